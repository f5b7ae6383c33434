//! How notes are let go, and where time is held.

use rudiments::Time;

/// Articulation, and the notes that are held.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Touch {
    /// So many seconds before a voice strikes the same pitch again, it lets it go.
    pub repeated: f64,
    /// So many seconds before a line of the source ends, its last note is let go.
    pub line_end: f64,
    /// So many minims time is held at the end of a note with a corona.
    pub corona: Time,
    /// So many minims time is held at the end of a section.
    pub section: Time,
    /// So many minims time is held at the end of the piece.
    pub last: Time,
}

impl Touch {
    /// Nothing is held and nothing is let go early: every note is just as long as it is counted.
    pub const EXACT: Touch = Touch {
        repeated: 0.0,
        line_end: 0.0,
        corona: Time::ZERO,
        section: Time::ZERO,
        last: Time::ZERO,
    };

    /// No note loses more of its length than this part by being let go early.
    pub(super) const MOST: f64 = 0.5;
}

/// As a player of the organ does it (common practice): the same key speaks again after a short silence, a
/// line is parted from the next by less than that, and a corona about doubles the minim on which the beat
/// comes to rest. The figures are our own, chosen by what they do to minims of a second and fusae of a
/// quarter.
impl Default for Touch {
    fn default() -> Touch {
        Touch {
            repeated: 0.06,
            line_end: 0.04,
            corona: Time::minims(2),
            section: Time::minims(1),
            last: Time::minims(2),
        }
    }
}
