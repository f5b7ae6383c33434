//! Pictures that fit on paper: with smaller staves where they must, and with notes closer or looser, so
//! that a piece ends with its pages.

use std::ops::Range;

use score::Arrangement;

use super::breaking::{self, Begins};
use super::paper::Paper;
use super::running::HEAD;
use super::{cut, rooms, slats, strips};
use crate::engraving::{engrave, engrave_at};
use crate::frame::Picture;
use crate::look::{Fit, Look};
use crate::units::Mm;

/// How often a smaller staff is tried before the picture is shrunk as a whole.
const SIZES: usize = 5;

/// Draws an arrangement so that [`crate::pages()`] finds room for every bar and every system on
/// this paper: with the staff of the look, or with a smaller one where it must be. The width and
/// the margin of the look are those of the paper. No last page is left with one or two systems, if
/// notes that stand a little closer or looser make whole pages; [`Fit::OnePage`] sets a short piece
/// on one.
///
/// [`Picture::staff`] says how large the staff has become.
pub fn engrave_on(arrangement: &Arrangement<'_>, look: &Look, paper: &Paper) -> Picture {
    let mut look = Look { width: paper.width, margin: paper.margin, ..*look };
    let mut picture = engrave(arrangement, &look);
    if look.incipits && scale_that_fits(&picture, paper) < 1.0 {
        // They are not worth a smaller staff.
        look.incipits = false;
        picture = engrave(arrangement, &look);
    }
    let draw = |look: &Look| engrave(arrangement, look);
    let (picture, fits) = smaller_until_it_fits(picture, &mut look, paper, &draw);
    if !fits {
        return picture;
    }
    match look.fit {
        Fit::Pages => whole_pages(arrangement, &look, paper, picture),
        Fit::OnePage => one_page(arrangement, &look, paper, picture),
    }
}

/// A picture drawn so that all of it has room on paper, with smaller staves where it must be.
pub(crate) fn shrunk_to_fit(
    look: &Look,
    paper: &Paper,
    draw: &dyn Fn(&Look) -> Picture,
) -> Picture {
    let mut look = *look;
    smaller_until_it_fits(draw(&look), &mut look, paper, draw).0
}

/// Draws a picture again with smaller staves until it fits; whether it does, or is shrunk as a whole.
fn smaller_until_it_fits(
    mut picture: Picture,
    look: &mut Look,
    paper: &Paper,
    draw: &dyn Fn(&Look) -> Picture,
) -> (Picture, bool) {
    for _ in 0..SIZES {
        let scale = scale_that_fits(&picture, paper);
        let staff = picture.staff() * scale;
        if scale >= 1.0 || staff < Look::STAFF_RANGE[0] {
            break;
        }
        // A hair less, so that sums of rounded lengths fit too.
        look.staff = staff * 0.9999;
        picture = draw(look);
    }
    let scale = scale_that_fits(&picture, paper);
    if scale < 1.0 { (shrunk(picture, scale * 0.9999), false) } else { (picture, true) }
}

/// By how much a picture must shrink so that it is no wider than the paper, and none of its systems
/// is higher; 1 and more where it fits.
fn scale_that_fits(picture: &Picture, paper: &Paper) -> f64 {
    let between = |width: Mm| width - paper.margin * 2.0;
    let across = if picture.width > paper.width + Mm(0.001) {
        between(paper.width) / between(picture.width)
    } else {
        1.0
    };
    let head = Mm(HEAD.0 * picture.space.0);
    let highest = strips::heights(picture).fold(Mm::ZERO, Mm::max) + head;
    across.min(if highest > Mm::ZERO { paper.room() / highest } else { 1.0 })
}

/// A picture made smaller as a whole.
fn shrunk(mut picture: Picture, scale: f64) -> Picture {
    let margin = picture.margin;
    let moved = |place: Mm| margin + (place - margin) * scale;
    picture.space = picture.space * scale;
    picture.width = moved(picture.width - margin) + margin;
    picture.height = moved(picture.height - margin) + margin;
    for block in &mut picture.blocks {
        block.x = moved(block.x);
        block.y = moved(block.y);
    }
    picture
}

/// How loosely notes are tried to stand, 1 being what they need by the published practice: a little
/// looser or tighter is hardly seen.
const LOOSENESS: [f64; 4] = [0.93, 1.08, 0.87, 1.16];

/// On one page a piece is set as tight as that before its staves become smaller.
const TIGHTEST: f64 = 0.8;

/// Staves of a piece on one page become no smaller: the smallest size of staves for players in the
/// tables of engravers (Gould; from memory).
pub const SMALLEST_ON_ONE_PAGE: Mm = Mm(3.7);

/// How often the staff of a piece on one page is tried.
const TRIES: usize = 6;

/// So few systems on the last page look left over, where another page holds more.
const FEW: usize = 2;

/// A piece with more systems is set once: it takes its time, and of so many pages the last one counts
/// for little.
const MOST_BLOCKS: usize = 200;

/// The picture in which the last page is not left with a few systems, if a tighter or a looser
/// setting makes whole pages.
fn whole_pages(
    arrangement: &Arrangement<'_>,
    look: &Look,
    paper: &Paper,
    picture: Picture,
) -> Picture {
    if picture.blocks.len() > MOST_BLOCKS || !is_left_over(&pages_of(&picture, paper)) {
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
fn one_page(
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
