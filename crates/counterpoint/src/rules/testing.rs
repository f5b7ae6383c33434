//! What is observed in a few notes.

use score::{BarLength, align, reckon};

use crate::observe::{Observation, observe};

/// What was observed in a piece.
pub(crate) struct Seen(Vec<Observation>);

/// What is observed in a piece.
pub(crate) fn seen(text: &str) -> Seen {
    let piece = notation::parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    Seen(observe(&piece, &score))
}

/// What is observed in two voices.
pub(crate) fn duo(upper: &str, lower: &str) -> Seen {
    seen(&format!("voice A clef C1\n {upper}\nvoice B clef C4\n {lower}\n"))
}

impl Seen {
    /// What a rule observes: when, in minims, and what.
    pub(crate) fn of(&self, rule: &str) -> Vec<String> {
        let seen = self.0.iter().filter(|observation| observation.what.rule() == rule);
        seen.map(|seen| format!("{}: {}", seen.at, seen.what.name())).collect()
    }
}
