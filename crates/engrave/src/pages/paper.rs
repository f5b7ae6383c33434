//! Paper.

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

impl Picture {
    /// How high a staff is.
    pub fn staff(&self) -> Mm {
        self.space * STAFF.0
    }
}
