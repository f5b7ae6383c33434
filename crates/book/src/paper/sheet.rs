//! The measures of a page.

use cartella::Mm;

use crate::text::PaperSize;

/// The paper of a book, its margins and its type. Proportions are common practice: lines of 65 to 85 letters,
/// and 130 hundredths of the letters' size from one to the next.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Sheet {
    pub(super) width: Mm,
    pub(super) height: Mm,
    /// The white on the left and on the right.
    pub(super) side: Mm,
    /// The white over the text, in which the running head stands, and under it.
    pub(super) top: Mm,
    pub(super) foot: Mm,
    /// The size of the letters.
    pub(super) size: Mm,
}

impl Sheet {
    pub(super) fn of(paper: PaperSize) -> Sheet {
        let (width, height) = match paper {
            PaperSize::A4 => (210.0, 297.0),
            PaperSize::A5 => (148.0, 210.0),
            PaperSize::Letter => (215.9, 279.4),
        };
        let small = paper == PaperSize::A5;
        Sheet {
            width: Mm(width),
            height: Mm(height),
            side: Mm(if small { 18.0 } else { 30.0 }),
            top: Mm(if small { 20.0 } else { 28.0 }),
            foot: Mm(if small { 18.0 } else { 26.0 }),
            size: Mm(if small { 3.7 } else { 4.2 }),
        }
    }

    /// The width between the margins.
    pub(super) fn measure(&self) -> Mm {
        self.width - self.side * 2.0
    }

    /// The height between the margins.
    pub(super) fn room(&self) -> Mm {
        self.height - self.top - self.foot
    }

    /// From one line to the next, in letters of that size.
    pub(super) fn leading(size: Mm) -> Mm {
        size * 1.3
    }

    /// The size of notes and of what stands beside the text.
    pub(super) fn small(&self) -> Mm {
        self.size * 0.83
    }
}
