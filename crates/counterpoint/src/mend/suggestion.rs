//! What is suggested.

use notation::Span;

use crate::slip::{Kind, Repair};

/// A place where a slip may be, and what may be read instead.
#[derive(Clone, PartialEq, Debug)]
pub struct Suggestion {
    /// From 1, the most likely first, but readings of a slip that is all but sure before others; missing
    /// signs come last, unless much speaks for them.
    pub rank: usize,
    /// The voice, as a place in the piece.
    pub voice: usize,
    /// Its name.
    pub name: String,
    /// The index of the event; nothing for one that is not printed.
    pub index: Option<u32>,
    /// The event's item among those of its voice.
    pub item: usize,
    /// Its token.
    pub span: Span,
    /// What kind of slip it would be.
    pub kind: Kind,
    /// What would be read.
    pub repair: Repair,
    /// What is printed, as it is typed; empty where something was left out.
    pub printed: String,
    /// What would be read; empty where something is too many.
    pub read: String,
    /// Why, in a sentence.
    pub reason: String,
    /// How likely it is that the slip is at this event, from 0 to 1.
    pub confidence: f64,
    /// Of which slip it is a reading, from 1, the likeliest first: readings of rhythm in one voice
    /// that move what follows by the same time are of one slip, which is at one of their places.
    pub slip: usize,
    /// How likely that slip is, wherever it is: what all its readings have together.
    pub slip_confidence: f64,
}

impl Suggestion {
    /// What would be changed: `fu G. -> sm G.`, `sm G left out before it`, `sb _ too many`.
    pub fn change(&self) -> String {
        let Suggestion { printed, read, .. } = self;
        match (printed.is_empty(), read.is_empty()) {
            (true, _) => format!("{read} left out before it"),
            (_, true) => format!("{printed} too many"),
            _ => format!("{printed} -> {read}"),
        }
    }
}
