//! Paper, and pictures that fit on it.

use score::Arrangement;

use super::running::HEAD;
use super::strips;
use crate::engraving::engrave;
use crate::frame::Picture;
use crate::look::Look;
use crate::practice::STAFF;
use crate::units::Mm;

/// A kind of paper, upright or turned, and how much of it is left white.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Paper {
    /// From left to right.
    pub width: Mm,
    /// From top to bottom.
    pub height: Mm,
    /// The white on all sides.
    pub margin: Mm,
}

impl Paper {
    /// A4 (ISO 216).
    pub const A4: Paper = Paper { width: Mm(210.0), height: Mm(297.0), margin: Look::MARGIN };

    /// Letter, 8½ by 11 inches (ANSI/ASME Y14.1, size A).
    pub const LETTER: Paper = Paper { width: Mm(215.9), height: Mm(279.4), margin: Look::MARGIN };

    /// The same paper, turned.
    #[must_use]
    pub fn landscape(self) -> Paper {
        Paper { width: self.height, height: self.width, ..self }
    }

    /// The height between the margins.
    pub(crate) fn room(&self) -> Mm {
        self.height - self.margin * 2.0
    }
}

/// How often a smaller staff is tried before the picture is shrunk as a whole.
const TRIES: usize = 5;

/// Draws an arrangement so that [`crate::pages()`] finds room for every bar and every system on
/// this paper: with the staff of the look, or with a smaller one where it must be. The width and
/// the margin of the look are those of the paper.
///
/// [`Picture::staff`] says how large the staff has become.
pub fn engrave_on(arrangement: &Arrangement<'_>, look: &Look, paper: &Paper) -> Picture {
    let mut look = Look { width: paper.width, margin: paper.margin, ..*look };
    let mut picture = engrave(arrangement, &look);
    if look.incipits && fitting(&picture, paper) < 1.0 {
        // They are not worth a smaller staff.
        look.incipits = false;
        picture = engrave(arrangement, &look);
    }
    for _ in 0..TRIES {
        let scale = fitting(&picture, paper);
        let staff = picture.staff() * scale;
        if scale >= 1.0 || staff < Look::STAFF_RANGE[0] {
            break;
        }
        // A hair less, so that sums of rounded lengths fit too.
        look.staff = staff * 0.9999;
        picture = engrave(arrangement, &look);
    }
    let scale = fitting(&picture, paper);
    if scale < 1.0 { shrunk(picture, scale * 0.9999) } else { picture }
}

/// By how much a picture must shrink so that it is no wider than the paper, and none of its systems
/// is higher; 1 and more where it fits.
fn fitting(picture: &Picture, paper: &Paper) -> f64 {
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

impl Picture {
    /// How high a staff is.
    pub fn staff(&self) -> Mm {
        self.space * STAFF.0
    }
}
