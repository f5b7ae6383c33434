//! How the last notes of the voices stand to one another.
//!
//! The last notes of all voices begin together, or one begins earlier on a beat and is held (common
//! practice).

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::named;
use crate::rank::Rank;

named! {
    /// How a final stands to those of the other voices.
    pub enum FinalNote {
        /// It begins with most of them.
        Together = "with most of the others",
        /// It begins with one of them.
        WithOne = "with one other",
        /// It begins on a semibreve's beat, within two breves of most of them.
        OnABeat = "on a beat",
        /// None of these.
        Apart = "apart",
    }
}

impl Weighed for FinalNote {
    const NAME: &'static str = "final";
    const PRIOR: Prior = Prior::Given(&[0.0, 0.6, 1.2, 3.0]);
}

impl Rule for FinalNote {
    fn sentence(self) -> String {
        format!("the last note of the section begins {}", self.name())
    }
}

impl OfEvent for FinalNote {
    fn observe(heard: &Heard<'_>) -> Option<FinalNote> {
        let facts = &heard.note.facts;
        let is_final = facts.last && facts.printed && heard.note.pitch.is_some();
        is_final.then(|| relation(heard))
    }
}

fn relation(heard: &Heard<'_>) -> FinalNote {
    let count = |at: i64| heard.finals.iter().filter(|other| **other == at).count();
    let Some(most) = heard.finals.iter().copied().max_by_key(|at| (count(*at), *at)) else {
        return FinalNote::OnABeat;
    };
    let onset = heard.onset;
    let on_a_beat = heard.note.measure.rank(onset) <= Rank::Semibreve;
    if onset == most {
        FinalNote::Together
    } else if count(onset) > 0 {
        FinalNote::WithOne
    } else if on_a_beat && (onset - most).abs() <= 8 * heard.note.measure.minim {
        FinalNote::OnABeat
    } else {
        FinalNote::Apart
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn finals_begin_together_or_on_a_beat() {
        let seen = seen(
            "voice A clef C1\n br D4 E lg D\nvoice B clef C4\n br D3 C lg D\n\
             voice C clef F4\n br D3 lg D\nvoice D clef F4\n br D3 mn C lg D\n",
        );
        assert_eq!(
            seen.of("final"),
            [
                "4: on a beat",
                "5: apart",
                "8: with most of the others",
                "8: with most of the others"
            ]
        );
    }
}
