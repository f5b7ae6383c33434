//! What a rule is: what it looks at, what it tells apart, and how it says so.
//!
//! `mend` asks a rule also where a note would stand if a slip were repaired. So when something
//! happens is said by [`Heard::onset`], [`Heard::over`] and [`Meeting::at`]; a note's own `onset` and
//! `end` are where it stands as it was typed. What a note follows and what follows it is in its
//! `come` and `leave`.

use crate::dyad::Dyad;
use crate::kinds::Kinds;
use crate::rank::Strength;
use crate::texture::Note;

/// Something whose kinds have weights.
pub(crate) trait Weighed: Kinds {
    /// Its name, by which its weights are known.
    const NAME: &'static str;

    /// How its weights begin when they are tuned. Until then they are 0, whatever stands here.
    const PRIOR: Prior = Prior::Nothing;
}

/// How weights begin before they are fitted, which is done by the tuning program alone.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Prior {
    /// At 0.
    Nothing,
    /// By how much more often a kind occurs where a voice is moved against the others.
    Displaced,
    /// By how rare a kind is among all.
    Rare,
    /// By how rare the second of two is after the first; kinds are numbered first by first, with so
    /// many seconds each.
    Following(usize),
    /// As given.
    Given(&'static [f32]),
}

/// A rule, as what it observes.
pub(crate) trait Rule: Weighed {
    /// What was observed, in plain words without a place: `parallel fifths`.
    fn sentence(self) -> String;
}

/// A rule about an event among those of its voice.
pub(crate) trait OfEvent: Rule {
    /// Whether what it observes is also about the event before: `observe` then names both events.
    const WITH_BEFORE: bool = false;

    /// What is observed at an event.
    fn observe(heard: &Heard<'_>) -> Option<Self>;
}

/// A rule about two notes of different voices that sound together.
pub(crate) trait OfMeeting: Rule {
    /// What is observed at a moment at which at least one of them is struck.
    fn observe(meeting: &Meeting<'_>) -> Option<Self>;
}

/// An event where it stands, or would stand. All times are in ticks from the beginning of the piece.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Heard<'n> {
    pub(crate) note: &'n Note,
    /// The event directly before in the same voice.
    pub(crate) before: Option<&'n Note>,
    pub(crate) onset: i64,
    /// When it is over.
    pub(crate) over: i64,
    /// When the finals of the other voices begin in its section.
    pub(crate) finals: &'n [i64],
}

/// Two notes of different voices at a moment at which one of them is struck, or both.
///
/// Each pair is looked at from both sides, so `one` may be of the upper voice or of the lower, and
/// voices may cross. A rule that treats the higher note otherwise than the lower compares their
/// pitches itself, and observes the same from both sides: `observe` lists only what is seen from the
/// voice that stands first, `mend` weighs what is seen from the voice that it moves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meeting<'n> {
    pub(crate) one: &'n Note,
    pub(crate) other: &'n Note,
    /// The line of the other.
    pub(crate) line: usize,
    /// In ticks from the beginning of the piece.
    pub(crate) at: i64,
    /// Whether each is struck.
    pub(crate) struck: (bool, bool),
    pub(crate) dyad: Dyad,
    pub(crate) strength: Strength,
}

impl Meeting<'_> {
    /// Whether both are struck.
    pub(crate) fn together(&self) -> bool {
        self.struck == (true, true)
    }
}
