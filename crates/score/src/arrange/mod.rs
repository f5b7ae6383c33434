//! What a modern reader needs beside the bare times: staves and hands, notes split at bar lines
//! and tied, tuplets, beams, stems, and the accidentals that modern practice shows.
//!
//! Every output that looks like a modern score is made from an [`Arrangement`], and decides
//! nothing of this kind itself.

use rudiments::{Accidental, Clef, Interval, Proportion, Signature, Time};

use crate::{Bar, Score};

/// How a score is to be laid out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Options {
    /// Two staves for two hands, or one for each voice.
    pub staves: Staves,
    /// By how much values are reduced.
    pub reduction: Reduction,
    /// By what the whole piece is transposed.
    pub transpose: Option<Interval>,
    /// The widest span of a hand, as the number of an interval: 9 is a ninth.
    pub reach: u32,
}

/// On what staves a score stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Staves {
    /// Two staves, G2 and F4, for the two hands.
    #[default]
    Keyboard,
    /// A staff for each voice.
    Open,
}

/// Which modern note stands for a minim.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Reduction {
    /// The half note: original values.
    #[default]
    Original,
    /// The quarter: halved values.
    Halved,
    /// The eighth: quartered values.
    Quartered,
}

/// A score made ready to be written down. Borrowed from the [`Score`] it stands for.
#[derive(Clone, PartialEq, Debug)]
pub struct Arrangement<'s> {
    /// The score; its pitches are those before transposition.
    pub score: &'s Score,
    /// How it was asked for.
    pub options: Options,
    /// The staves, from the top.
    pub staves: Vec<Staff>,
    /// For each bar of the score, for each voice, what stands in it. The segments of a voice fill
    /// the bar without gaps.
    pub bars: Vec<Vec<Vec<Segment>>>,
}

/// A staff of the arrangement.
#[derive(Clone, PartialEq, Debug)]
pub struct Staff {
    /// Its clef.
    pub clef: Clef,
    /// Octaves by which it sounds above what is written: -1 under the octave-lowered G clef.
    pub octave_change: i8,
    /// Its signatures: at the beginning, and wherever one changes, by bar.
    pub signatures: Vec<(usize, Signature)>,
}

/// A modern note or rest: what of an event stands in one bar and can be written as one sign.
#[derive(Clone, PartialEq, Debug)]
pub struct Segment {
    /// The event, as a place in the voice's events.
    pub event: usize,
    /// When it begins.
    pub onset: Time,
    /// How long it lasts.
    pub length: Time,
    /// How it is written.
    pub shape: Shape,
    /// The tuplet that it belongs to.
    pub tuplet: Option<Tuplet>,
    /// Its staff, from 0.
    pub staff: usize,
    /// What sounds, transposed, with the sign to be shown; in the order of the event's notes.
    pub notes: Vec<SegmentNote>,
    /// Whether it is tied to what comes before.
    pub tied_before: bool,
    /// Whether it is tied to what comes after.
    pub tied_after: bool,
    /// Where its stem goes.
    pub stem: Stem,
    /// Its beams, the primary one first.
    pub beams: Vec<Beam>,
}
