//! What an analysis wants to be drawn beside marks at notes: at moments, over or between the staves.

use rudiments::Time;

/// What is drawn at moments of a score.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Annotations {
    /// Stretches of time behind which all staves are shaded.
    pub shades: Vec<Shade>,
    /// Figures between the upper two staves, in order of time.
    pub figures: Vec<Figure>,
}

/// A stretch of time that is shaded, like the semibreve on which a cadence is made.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Shade {
    /// When it begins, in minims from the beginning of the score.
    pub from: Time,
    /// When it is over: what begins then is not shaded.
    pub to: Time,
}

/// A figure between two staves, like the number of the interval that two voices have.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Figure {
    /// The moment, in minims from the beginning of the score.
    pub at: Time,
    /// What is written, like `6` or `8`.
    pub text: String,
    /// Whether it leads to the next figure, as a seventh does to the sixth into which it resolves:
    /// a short line is drawn between the two.
    pub leads_on: bool,
}

impl Figure {
    /// A figure that stands for itself.
    pub fn new(at: Time, text: impl Into<String>) -> Figure {
        Figure { at, text: text.into(), leads_on: false }
    }
}
