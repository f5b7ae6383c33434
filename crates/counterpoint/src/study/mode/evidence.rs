//! What speaks for a mode.

use rudiments::{Signature, Step};
use score::Score;

use super::{Ambitus, Clefs, System};
use crate::study::cadences::{Cadence, Final};

/// Something that was looked at.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Evidence {
    /// The lowest last note.
    Final(Final),
    /// The system.
    System(System),
    /// The combination of clefs.
    Clefs(Clefs),
    /// The compass of a voice.
    Ambitus(Ambitus),
    /// How many cadences there are on each step, most first; and on which steps the mode that is
    /// proposed usually has them.
    Cadences {
        /// The steps with how many cadences they have.
        counts: Vec<(Step, usize)>,
        /// The usual ones.
        usual: Vec<Step>,
        /// The signature by which the steps are named.
        signature: Signature,
    },
}

/// How many cadences there are on each step, most first. Evaded ones count: they name their goal.
pub(super) fn degrees(cadences: &[Cadence]) -> Vec<(Step, usize)> {
    let count =
        |step: Step| cadences.iter().filter(|cadence| cadence.goal.tone.step == step).count();
    let mut counts: Vec<(Step, usize)> = Step::ALL.map(|step| (step, count(step))).to_vec();
    counts.retain(|(_, count)| *count > 0);
    counts.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    counts
}

impl Evidence {
    /// In a sentence for people; `score` is what was studied.
    pub fn sentence(&self, score: &Score) -> String {
        let name = |voice: usize| score.voices.get(voice).map_or("", |voice| voice.name.as_str());
        match self {
            Evidence::Final(last) => {
                format!("final {}, the last note of the {}", last.pitch.tone.step, name(last.voice))
            }
            Evidence::System(system) => system.name(),
            Evidence::Clefs(clefs) => clefs.name().to_owned(),
            Evidence::Ambitus(ambitus) => {
                let Ambitus { voice, lowest, highest, range, .. } = ambitus;
                let range = range.map_or(String::new(), |range| format!(", {}", range.name()));
                format!("{} {lowest} to {highest}{range}", name(*voice))
            }
            Evidence::Cadences { counts, usual, signature } => {
                let name = |step: Step| match signature.alteration(step) {
                    ..=-1 => format!("{step}b"),
                    0 => step.to_string(),
                    _ => format!("{step}#"),
                };
                let counts = counts.iter().map(|(step, count)| {
                    let is_usual = usual.is_empty() || usual.contains(step);
                    format!("{} {count}{}", name(*step), if is_usual { "" } else { " (unusual)" })
                });
                format!("cadences: {}", counts.collect::<Vec<_>>().join(", "))
            }
        }
    }
}
