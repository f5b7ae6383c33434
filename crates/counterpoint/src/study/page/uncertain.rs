//! What is proposed, not known.

use score::Score;

use super::About;
use super::words::{index, place, run, voice};
use crate::study::accidentals::ProposedAccidental;

/// So many signs of a kind are told; the others are counted.
const MOST_TOLD: usize = 12;

/// `signs? one note above la is fa, but it may be meant otherwise: bar 6, Altus 33 (Bb4); …`: a line
/// for each reason and what speaks against it, in order of the first.
fn signs(score: &Score, doubtful: &[&ProposedAccidental]) -> Vec<String> {
    let kind = |proposed: &ProposedAccidental| {
        (proposed.reason.name(), proposed.doubt.map_or("", |doubt| doubt.name()))
    };
    let mut kinds: Vec<((&str, &str), Vec<&ProposedAccidental>)> = Vec::new();
    for proposed in doubtful {
        match kinds.iter_mut().find(|(known, _)| *known == kind(proposed)) {
            Some((_, same)) => same.push(proposed),
            None => kinds.push((kind(proposed), vec![proposed])),
        }
    }
    let told = |proposed: &&ProposedAccidental| {
        let (bar, voice) = (place(score, proposed.at), voice(score, proposed.event));
        let index = index(score, proposed.event).map_or_else(String::new, |i| format!(" {i}"));
        format!("bar {bar}, {voice}{index} ({})", proposed.pitch)
    };
    let line = |((reason, doubt), same): ((&str, &str), Vec<&ProposedAccidental>)| {
        let mut places: Vec<String> = same.iter().take(MOST_TOLD).map(told).collect();
        if same.len() > MOST_TOLD {
            places.push(format!("and {} more", same.len() - MOST_TOLD));
        }
        let signs = if same.len() == 1 { "sign" } else { "signs" };
        format!("{signs}? {reason}, but {doubt}: {}", places.join("; "))
    };
    kinds.into_iter().map(line).collect()
}

/// The signs that singers may have added, doubtful entries, and the evidence for the mode.
pub(super) fn uncertain(about: &About<'_>) -> Vec<String> {
    let (study, score) = (about.study, about.score);
    let mut told: Vec<String> = Vec::new();
    let doubtful: Vec<_> =
        study.accidentals.iter().filter(|proposed| !proposed.is_certain()).collect();
    told.extend(signs(score, &doubtful));
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
