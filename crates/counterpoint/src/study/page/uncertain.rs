//! What is proposed, not known.

use super::About;
use super::words::{place, run};

/// So many signs are told; the others are counted.
const MOST_TOLD: usize = 12;

/// The signs that singers may have added, doubtful entries, and the evidence for the mode.
pub(super) fn uncertain(about: &About<'_>) -> Vec<String> {
    let (study, score) = (about.study, about.score);
    let mut told: Vec<String> = Vec::new();
    let doubtful: Vec<_> =
        study.accidentals.iter().filter(|proposed| !proposed.is_certain()).collect();
    let signs = doubtful.iter().take(MOST_TOLD);
    told.extend(signs.map(|proposed| format!("sign? {}", proposed.sentence(score))));
    if doubtful.len() > MOST_TOLD {
        told.push(format!("and {} signs more", doubtful.len() - MOST_TOLD));
    }
    let certain = study.accidentals.len() - doubtful.len();
    if certain > 0 {
        let signs = super::words::counted(certain, "sign");
        told.push(format!("{signs} heard that the source does not print (study --accidentals)"));
    }
    for (number, entry) in study.imitations.entries.iter().enumerate() {
        let freedoms = entry.freedoms;
        let mut free: Vec<&str> = Vec::new();
        if freedoms.values {
            free.push("other values");
        }
        if freedoms.repetition {
            free.push("a note repeated or left out");
        }
        if freedoms.shorter {
            free.push("it breaks off");
        }
        if free.len() > 1 {
            let (at, run) = (place(score, entry.onset), run(score, entry.first, entry.last));
            told.push(format!("entry {}? bar {at}, {run}: {}", number + 1, free.join(", ")));
        }
    }
    let evidence = study.mode.evidence.iter().map(|evidence| evidence.sentence(score));
    let evidence = evidence.collect::<Vec<_>>().join("; ");
    let mode = study.mode.sentence();
    // What is no mode says so itself.
    let mode = if mode.starts_with("mode") { mode } else { format!("mode: {mode}") };
    told.push(format!("{mode}; {evidence}"));
    told
}
