//! What a person may choose about the looks.

use crate::units::Mm;

/// How a picture is to look.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Look {
    /// The width of the page, margins included.
    pub width: Mm,
    /// The height of a staff, from its lowest to its highest line.
    pub staff: Mm,
    /// Where bar lines are drawn.
    pub bar_lines: BarLines,
    /// Where systems break.
    pub breaks: Breaks,
    /// The white around the music.
    pub margin: Mm,
    /// Whether a piece without a title is called by its file.
    pub file_title: bool,
    /// Whether the incipits of the voices stand before the first system.
    pub incipits: bool,
    /// Whether the editor's notes stand under the last system.
    pub notes: bool,
    /// How a piece fills its pages.
    pub fit: Fit,
}

/// How a piece fills its pages.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Fit {
    /// As many as it needs with staves of the size that was asked for.
    #[default]
    Pages,
    /// One, with notes closer and staves smaller, down to [`crate::SMALLEST_ON_ONE_PAGE`].
    OnePage,
}

impl Look {
    /// The usual height of a staff.
    pub const STAFF: Mm = Mm(6.0);

    /// That of large print.
    pub const LARGE_STAFF: Mm = Mm(9.0);

    /// The usual white around the music.
    pub const MARGIN: Mm = Mm(12.0);

    /// Staves smaller or larger than this are not drawn.
    pub const STAFF_RANGE: [Mm; 2] = [Mm(2.0), Mm(30.0)];

    /// Widths smaller or larger than this are not drawn.
    pub const WIDTH_RANGE: [Mm; 2] = [Mm(60.0), Mm(2000.0)];
}

/// The width of A4 paper, staves of 6 mm, bar lines through all staves, the best breaks, and nothing over the music
/// but its heading.
impl Default for Look {
    fn default() -> Look {
        Look {
            width: Mm(210.0),
            staff: Look::STAFF,
            bar_lines: BarLines::Through,
            breaks: Breaks::Optimal,
            margin: Look::MARGIN,
            file_title: false,
            incipits: false,
            notes: false,
            fit: Fit::Pages,
        }
    }
}

/// Where plain bar lines are drawn. Double and final ones always go through all staves.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum BarLines {
    /// Through all staves.
    #[default]
    Through,
    /// Between the staves only, so that notes may be seen to run on.
    Between,
    /// Nowhere.
    None,
}

/// Where systems break.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Breaks {
    /// Where the whole piece is spaced best.
    #[default]
    Optimal,
    /// With the bar in which a line of the source ends, in the top voice; a source line that does
    /// not fit is broken once more.
    Source,
}
