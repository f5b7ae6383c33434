//! How closely notes are set so that a piece ends with its pages.

use std::ops::Range;

use score::Arrangement;

use super::breaking::{self, Begins};
use super::{cut, rooms, slats};
use crate::engraving::engrave_at;
use crate::frame::Picture;
use crate::look::Look;
use crate::pages::Paper;
use crate::units::Mm;

/// How loosely notes are tried to stand, 1 being what they need by the published practice: a little
/// looser or tighter is hardly seen.
const LOOSENESS: [f64; 6] = [0.93, 1.08, 0.87, 1.16, 0.8, 1.25];

/// On one page a piece is set as tight as that before its staves become smaller.
const TIGHTEST: f64 = 0.8;

/// Staves of a piece on one page become no smaller: the smallest size of staves for players in the
/// tables of engravers (Gould; from memory).
pub const SMALLEST_ON_ONE_PAGE: Mm = Mm(3.7);

/// How often the staff of a piece on one page is tried.
const TRIES: usize = 6;

/// So few systems on the last page look left over, where another page holds more.
const FEW: usize = 2;

/// The picture in which the last page is not left with a few systems, if a tighter or a looser
/// setting makes whole pages.
pub(super) fn whole_pages(
    arrangement: &Arrangement<'_>,
    look: &Look,
    paper: &Paper,
    picture: Picture,
) -> Picture {
    if !is_left_over(&pages_of(&picture, paper)) {
        return picture;
    }
    for looseness in LOOSENESS {
        let other = engrave_at(arrangement, look, looseness);
        if !is_left_over(&pages_of(&other, paper)) {
            return other;
        }
    }
    picture
}

/// The picture on one page: notes closer, then staves smaller. Where even the smallest do not fit,
/// as it was.
pub(super) fn one_page(
    arrangement: &Arrangement<'_>,
    look: &Look,
    paper: &Paper,
    picture: Picture,
) -> Picture {
    let fits = |picture: &Picture| pages_of(picture, paper).len() <= 1;
    if fits(&picture) {
        return picture;
    }
    let at =
        |staff: Mm, looseness: f64| engrave_at(arrangement, &Look { staff, ..*look }, looseness);
    let tight = at(look.staff, TIGHTEST);
    if fits(&tight) {
        return tight;
    }
    let mut fitting = None;
    let (mut small, mut large) = (SMALLEST_ON_ONE_PAGE, look.staff);
    let smallest = at(small, TIGHTEST);
    if small < large && fits(&smallest) {
        fitting = Some(smallest);
        for _ in 0..TRIES {
            let middle = (small + large) / 2.0;
            let picture = at(middle, TIGHTEST);
            if fits(&picture) {
                fitting = Some(picture);
                small = middle;
            } else {
                large = middle;
            }
        }
    }
    fitting.unwrap_or(picture)
}

/// The systems of each page.
fn pages_of(picture: &Picture, paper: &Paper) -> Vec<Range<usize>> {
    let (pieces, strips) = cut(vec![picture.clone()]);
    let slats = slats(&pieces, &strips, paper);
    let mut pages = breaking::pages(&slats, rooms(&pieces, paper));
    // Pages that the editor begins end where they do.
    let of_editor =
        |page: &Range<usize>| page.start > 0 && slats[page.start].begins == Begins::Must;
    if pages.iter().any(of_editor) {
        pages.truncate(1);
    }
    pages
}

fn is_left_over(pages: &[Range<usize>]) -> bool {
    let fullest = pages.iter().map(Range::len).max().unwrap_or(0);
    let last = pages.last().map_or(0, Range::len);
    pages.len() > 1 && last <= FEW && last < fullest
}
