//! The search over single repairs.
//!
//! After a slip of rhythm everything in its voice stands too early or too late by the same time.
//! So for each voice and each such time the cost of every note is computed once, where it stands
//! and where it would stand; with the sums of these from the left and from the right, a repair at
//! any place costs what is before it, what is after it, and the few notes around it. The whole
//! search is linear in the length of the piece, but for binary searches and sorting.

mod clefs;
mod known;
mod pitches;
mod rhythms;
mod stretch;
mod value_words;

use super::candidate::{Candidate, applied};
use super::likeness::Typed;
use crate::against::Against;
use crate::melodies::Melodies;
use crate::slip::Repair;
use crate::sum::{Counts, Sum};
use crate::texture::Texture;
use crate::weights::Weights;
pub(super) use known::{Known, inflected, prior, section_ends};
use known::{around, doubt, pass, reach};

/// A candidate and what it costs beyond what is typed; negative where it is the better reading.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Hypothesis {
    pub(crate) voice: usize,
    pub(crate) candidate: Candidate,
    pub(crate) cost: f64,
}

/// Hypotheses that are less likely than the best by more than this many units are not kept.
pub(crate) const KEPT: f64 = 14.0;

/// What slips are looked for in a voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Wanted {
    pub(crate) rhythm: bool,
    pub(crate) pitch: bool,
}

impl Texture {
    /// Reads a voice as a hypothesis has it.
    pub(crate) fn mend(&mut self, hypothesis: &Hypothesis) {
        let line = &mut self.lines[hypothesis.voice];
        *line = applied(line, &hypothesis.candidate);
    }
}

/// All hypotheses but those of the kind of an accepted slip in its voice: a voice has one slip of
/// rhythm, and one of pitch, at most.
pub(crate) fn search(
    texture: &Texture,
    melodies: &Melodies,
    accepted: &[Hypothesis],
    kept: f64,
    weights: &Weights,
) -> Vec<Hypothesis> {
    (0..texture.lines.len())
        .flat_map(|number| {
            let of = |slip: &&Hypothesis| slip.voice == number;
            let has = |rhythm: bool| {
                accepted.iter().filter(of).any(|s| s.candidate.kind.is_rhythm() == rhythm)
            };
            let wanted = Wanted { rhythm: !has(true), pitch: !has(false) };
            voice(texture, number, wanted, melodies, kept, weights)
        })
        .collect()
}

/// All hypotheses about a voice that are worth keeping.
fn voice(
    texture: &Texture,
    voice: usize,
    wanted: Wanted,
    melodies: &Melodies,
    kept: f64,
    weights: &Weights,
) -> Vec<Hypothesis> {
    let line = &texture.lines[voice];
    if !line.written || line.notes.is_empty() {
        return Vec::new();
    }
    let mut against = Against::new(texture, voice);
    let here = pass(&mut against, &line.notes, 0, weights);
    let mut found = Vec::new();
    let ends = section_ends(line);
    let known = Known { texture, line, melodies, here: &here, ends: &ends, weights };
    if wanted.rhythm {
        known.rhythms(&mut against, &mut found);
        known.value_words(&mut against, &mut found);
    }
    if wanted.pitch {
        known.pitches(&mut against, &mut found);
        known.clefs(&mut against, &mut found);
    }
    known.signs(wanted.pitch, &mut against, &mut found);
    for (candidate, cost) in &mut found {
        *cost -= doubt(line, candidate);
    }
    let best = found.iter().map(|(_, cost)| *cost).fold(f64::INFINITY, f64::min);
    found
        .into_iter()
        .filter(|(_, cost)| *cost <= best + kept)
        .map(|(candidate, cost)| Hypothesis { voice, candidate, cost })
        .collect()
}

/// The features by which a candidate differs from what is typed.
pub(crate) fn features(
    texture: &Texture,
    voice: usize,
    melodies: &Melodies,
    candidate: &Candidate,
    weights: &Weights,
) -> Counts {
    let line = &texture.lines[voice];
    let mut against = Against::new(texture, voice);
    let end = section_ends(line)[line.notes[candidate.at].section as usize];
    let (from, to) = reach(line, candidate);
    let read = candidate.read(line);
    let typed = Typed::new(melodies, line, (candidate.from, candidate.to), weights);
    let mut sum: Counts = typed.changed(&read);
    if let Repair::Sign(_) = candidate.repair {
        sum.add(&inflected((melodies, &line.notes, weights), candidate, &read, &mut against));
    }
    sum.add(&around(line, candidate, read, &mut against, weights));
    if to < end {
        against.stretch(&line.notes, to..end, candidate.shift, &mut sum, |_| ());
    }
    let mut typed = Counts::nothing(weights);
    against.stretch(&line.notes, from..end.max(to), 0, &mut typed, |_| ());
    sum.subtract(&typed);
    sum.count(candidate.kind);
    sum
}
