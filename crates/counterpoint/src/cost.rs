//! What it costs to believe a reading: every feature of counterpoint, metre and source has a
//! weight, and a reading costs the sum of the weights of its features.
//!
//! Weights are in natural units of log-odds: of two readings, one that costs 1 more is `e` times
//! less likely. How they were tuned stands beside them in `weights.rs`.

use crate::dissonance::{FIGURES, Figure, figure};
use crate::melody::{MOTIONS, TURNS, motion, turn};
use crate::parallels::parallel;
use crate::place::{COARSE, LENGTHS, PLACES, place};
use crate::sonority::{CONSONANCES, DISSONANCES, Interval};
use crate::texture::{Key, Note, Texture};

/// A feature, as a place among all weights.
pub type Feature = usize;

/// Groups of places in the tactus for dissonance: on a semibreve, on a minim, on a semiminim, on
/// less.
const STRENGTHS: usize = 4;

const AT_PLACE: Feature = 0;
pub(crate) const SEQUENCE: Feature = AT_PLACE + LENGTHS * PLACES;
pub(crate) const CONSONANT: Feature = SEQUENCE + COARSE * COARSE;
const DISSONANT: Feature = CONSONANT + CONSONANCES * 2 * STRENGTHS;
const PARALLEL: Feature = DISSONANT + DISSONANCES * FIGURES * STRENGTHS;
pub(crate) const MOTION: Feature = PARALLEL + 2;
pub(crate) const TURN: Feature = MOTION + MOTIONS;
pub(crate) const ALTERED: Feature = TURN + TURNS;
pub(crate) const FINAL: Feature = ALTERED + 3;
pub(crate) const EVIDENCE: Feature = FINAL + 4;
pub(crate) const LIKENESS: Feature = EVIDENCE + 6;
const SLIP: Feature = LIKENESS + 4;

/// The number of kinds of slips.
const SLIPS: usize = 24;

/// The number of all features.
pub const FEATURES: usize = SLIP + SLIPS;

/// How a final stands to those of the other voices.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum FinalRelation {
    /// It begins with most of them.
    Together,
    /// It begins with one of them.
    WithOne,
    /// It begins on a semibreve's beat, within two breves of most of them.
    OnABeat,
    /// None of these.
    Apart,
}

/// What the source says for or against a reading.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Evidence {
    /// A direct announces the note.
    DirectAgrees,
    /// A direct announces another note.
    DirectDiffers,
    /// The voices' lines end together, in a stacked source.
    LinesAgree,
    /// They do not.
    LinesDiffer,
    /// A printed bar line stands where a bar ends.
    BarAgrees,
    /// It does not.
    BarDiffers,
}

/// Where a feature stands in the tables.
pub(crate) mod feature {
    use super::{ALTERED, EVIDENCE, Evidence, FINAL, Feature, FinalRelation, LIKENESS, SLIP};

    pub(crate) fn of_final(relation: FinalRelation) -> Feature {
        FINAL + relation as usize
    }

    pub(crate) fn evidence(evidence: Evidence) -> Feature {
        EVIDENCE + evidence as usize
    }

    pub(crate) fn altered(alteration: usize) -> Feature {
        ALTERED + alteration
    }

    /// Whether other voices have the same where they have the same melody.
    pub(crate) fn likeness(number: usize) -> Feature {
        LIKENESS + number
    }

    /// The kind of a slip, by its number.
    pub(crate) fn slip(number: usize) -> Feature {
        SLIP + number
    }
}

/// The groups of features, each with its first, in order: for the tuning program.
pub const GROUPS: [(&str, Feature); 12] = [
    ("AT_PLACE", AT_PLACE),
    ("SEQUENCE", SEQUENCE),
    ("CONSONANT", CONSONANT),
    ("DISSONANT", DISSONANT),
    ("PARALLEL", PARALLEL),
    ("MOTION", MOTION),
    ("TURN", TURN),
    ("ALTERED", ALTERED),
    ("FINAL", FINAL),
    ("EVIDENCE", EVIDENCE),
    ("LIKENESS", LIKENESS),
    ("SLIP", SLIP),
];

/// A sum of features: its cost, or the count of each for the tuning program.
pub trait Sum: Clone {
    /// Nothing yet.
    fn nothing() -> Self;
    /// One feature more.
    fn count(&mut self, feature: Feature, weights: &[f32; FEATURES]);
    /// All of another sum.
    fn add(&mut self, other: &Self);
    /// Without all of another sum.
    fn subtract(&mut self, other: &Self);
}

impl Sum for f64 {
    fn nothing() -> f64 {
        0.0
    }

    fn count(&mut self, feature: Feature, weights: &[f32; FEATURES]) {
        *self += f64::from(weights[feature]);
    }

    fn add(&mut self, other: &f64) {
        *self += other;
    }

    fn subtract(&mut self, other: &f64) {
        *self -= other;
    }
}

impl Sum for Box<[f32; FEATURES]> {
    fn nothing() -> Self {
        Box::new([0.0; FEATURES])
    }

    fn count(&mut self, feature: Feature, _: &[f32; FEATURES]) {
        self[feature] += 1.0;
    }

    fn add(&mut self, other: &Self) {
        self.iter_mut().zip(other.iter()).for_each(|(own, other)| *own += other);
    }

    fn subtract(&mut self, other: &Self) {
        self.iter_mut().zip(other.iter()).for_each(|(own, other)| *own -= other);
    }
}

/// Whether a feature is a dissonance that no figure explains.
pub(crate) fn is_clash(feature: Feature) -> bool {
    (DISSONANT..PARALLEL).contains(&feature)
        && !matches!(
            (feature - DISSONANT) / STRENGTHS % FIGURES,
            number if number == Figure::Suspension as usize
                || number == Figure::Passing as usize
                || number == Figure::Neighbour as usize
                || number == Figure::Anticipation as usize
                || number == Figure::Cambiata as usize
        )
}

/// One voice against the others: what each of its notes costs where it stands, or would stand.
pub(crate) struct Against<'t> {
    texture: &'t Texture,
    weights: &'t [f32; FEATURES],
    /// The voices it is held against.
    others: Vec<usize>,
    /// All moments at which one of them begins a note, in order.
    moments: Vec<i64>,
    /// For each section the onsets of the others' finals.
    finals: Vec<Vec<i64>>,
    /// Where each of the others was last, and the next moment.
    cursors: Vec<usize>,
    next: usize,
}

/// More voices than so many are not held against one: the nearest, and the lowest, say enough.
const MOST_OTHERS: usize = 8;

impl<'t> Against<'t> {
    /// A voice against the others of its texture.
    pub(crate) fn new(
        texture: &'t Texture,
        voice: usize,
        weights: &'t [f32; FEATURES],
    ) -> Against<'t> {
        let mut others: Vec<usize> =
            (0..texture.lines.len()).filter(|other| *other != voice).collect();
        if others.len() > MOST_OTHERS {
            let last = texture.lines.len() - 1;
            others.sort_by_key(|other| (*other != last, other.abs_diff(voice)));
            others.truncate(MOST_OTHERS);
            others.sort_unstable();
        }
        let mut moments: Vec<i64> = others
            .iter()
            .flat_map(|other| &texture.lines[*other].notes)
            .filter(|note| note.pitch.is_some())
            .map(|note| note.onset)
            .collect();
        moments.sort_unstable();
        moments.dedup();
        let sections = texture.bounds.len().saturating_sub(1).max(1);
        let mut finals = vec![Vec::new(); sections];
        for other in &others {
            for note in texture.lines[*other].notes.iter().filter(|note| note.facts.last) {
                if note.facts.printed && note.pitch.is_some() {
                    finals.resize(finals.len().max(note.section as usize + 1), Vec::new());
                    finals[note.section as usize].push(note.onset);
                }
            }
        }
        let cursors = vec![0; others.len()];
        Against { texture, weights, others, moments, finals, cursors, next: 0 }
    }

    /// The onsets of the other voices' finals in a section.
    pub(crate) fn finals(&self, section: u32) -> &[i64] {
        self.finals.get(section as usize).map_or(&[], Vec::as_slice)
    }

    /// Begins a pass from a moment on.
    pub(crate) fn seek(&mut self, at: i64) {
        for (cursor, other) in self.cursors.iter_mut().zip(&self.others) {
            let notes = &self.texture.lines[*other].notes;
            *cursor = partition_near(notes, *cursor, |note| note.end <= at);
        }
        self.next = partition_near(&self.moments, self.next, |moment| *moment < at);
    }

    /// What a note costs that begins so many ticks later than it stands. Notes of a pass are asked
    /// for in order.
    pub(crate) fn note<S: Sum>(
        &mut self,
        before: Option<&Note>,
        note: &Note,
        shift: i64,
        sum: &mut S,
    ) {
        let start = self.texture.start_of(note);
        let end = self.texture.end_of(note);
        let onset = note.onset + shift;
        // A final is held to the end, wherever it begins.
        let over =
            if note.facts.last { end.max(onset + 1) } else { note.onset + note.length + shift };
        let minim = self.texture.minim;
        let weights = self.weights;
        let mut count = |feature| sum.count(feature, weights);
        let at = place(onset - start, minim);
        if !note.facts.odd {
            count(AT_PLACE + note.class.number() * PLACES + at);
        }
        if let Some(before) = note.before {
            count(SEQUENCE + before.coarse() * COARSE + note.class.coarse());
        }
        if note.facts.last && note.facts.printed && note.pitch.is_some() {
            count(feature::of_final(self.relation(note, onset)));
        }
        if let Some(expected) = note.facts.line_sum {
            let agree = expected == over;
            count(feature::evidence(if agree {
                Evidence::LinesAgree
            } else {
                Evidence::LinesDiffer
            }));
        }
        if note.facts.bar_line {
            let agree = (over - start) % (minim * 2) == 0;
            count(feature::evidence(if agree {
                Evidence::BarAgrees
            } else {
                Evidence::BarDiffers
            }));
        }
        let Some(pitch) = note.pitch else { return };
        if let Some(before) = before
            && let Some(motion) = motion(before, note)
        {
            count(MOTION + motion);
        }
        if let Some(before) = before
            && let Some(turn) = turn(before, note)
        {
            count(TURN + turn);
        }
        if pitch.altered {
            count(feature::altered(0));
        }
        if let Some(announced) = note.facts.direct {
            let agree = announced == pitch.rung;
            count(feature::evidence(if agree {
                Evidence::DirectAgrees
            } else {
                Evidence::DirectDiffers
            }));
        }
        self.sonorities(note, onset, over, start, sum);
    }

    /// How a final stands to the others of its section.
    fn relation(&self, note: &Note, onset: i64) -> FinalRelation {
        let finals = self.finals(note.section);
        let count = |at: i64| finals.iter().filter(|other| **other == at).count();
        let Some(most) = finals.iter().copied().max_by_key(|at| (count(*at), *at)) else {
            return FinalRelation::OnABeat;
        };
        let minim = self.texture.minim;
        let start = self.texture.start_of(note);
        if onset == most {
            FinalRelation::Together
        } else if count(onset) > 0 {
            FinalRelation::WithOne
        } else if place(onset - start, minim) <= 1 && (onset - most).abs() <= 8 * minim {
            FinalRelation::OnABeat
        } else {
            FinalRelation::Apart
        }
    }

    /// What a note makes with those of the other voices, at its own beginning and at theirs.
    fn sonorities<S: Sum>(&mut self, note: &Note, onset: i64, over: i64, start: i64, sum: &mut S) {
        while self.moments.get(self.next).is_some_and(|moment| *moment < onset) {
            self.next += 1;
        }
        self.moment(note, onset, true, start, sum);
        let mut next = self.next;
        if self.moments.get(next) == Some(&onset) {
            next += 1;
        }
        while let Some(moment) = self.moments.get(next).copied().filter(|moment| *moment < over) {
            self.moment(note, moment, false, start, sum);
            next += 1;
        }
        self.next = next;
    }

    /// What a note makes with the others at a moment: with all that sound if it is struck there,
    /// else with those that are.
    fn moment<S: Sum>(&mut self, note: &Note, at: i64, struck: bool, start: i64, sum: &mut S) {
        let Some(pitch) = note.pitch else { return };
        let lines = &self.texture.lines;
        let mut lowest = (pitch.rung, pitch.semitones);
        let mut with: [Option<(&Note, Key)>; MOST_OTHERS] = [None; MOST_OTHERS];
        for ((cursor, other), with) in self.cursors.iter_mut().zip(&self.others).zip(&mut with) {
            let notes = &lines[*other].notes;
            while notes.get(*cursor).is_some_and(|note| note.end <= at) {
                *cursor += 1;
            }
            let held = sounding(notes, *cursor, at);
            *with = held.and_then(|note| Some((note, note.pitch?)));
            if let Some((_, pitch)) = with {
                lowest = lowest.min((pitch.rung, pitch.semitones));
            }
        }
        let place = place(at - start, self.texture.minim);
        let strength = place.saturating_sub(1).min(STRENGTHS - 1);
        for (held, with) in with.into_iter().flatten() {
            let other_struck = held.onset == at;
            if !struck && !other_struck {
                continue;
            }
            let lower = (pitch.rung, pitch.semitones).min((with.rung, with.semitones));
            let interval = Interval::of(pitch, with, lower == lowest);
            let both = struck && other_struck;
            let weights = self.weights;
            if both && let Some(kind) = parallel(note, held, interval) {
                sum.count(PARALLEL + kind, weights);
            }
            sum.count(
                match interval.dissonance() {
                    None => {
                        let kind = interval.consonance() * 2 + usize::from(both);
                        CONSONANT + kind * STRENGTHS + strength
                    }
                    Some(kind) => {
                        let figure = match (struck, other_struck) {
                            (true, true) => Figure::Together,
                            (true, false) => figure(note, held),
                            _ => figure(held, note),
                        };
                        DISSONANT + (kind * FIGURES + figure as usize) * STRENGTHS + strength
                    }
                },
                weights,
            );
        }
    }
}

/// The place of the first item of which something does not hold that holds of all before it, looked
/// for outwards from a place that is near it as a rule.
fn partition_near<T>(items: &[T], near: usize, holds: impl Fn(&T) -> bool) -> usize {
    let near = near.min(items.len());
    let (mut low, mut high) = (near, near);
    let mut stride = 1;
    while low > 0 && !holds(&items[low - 1]) {
        high = low - 1;
        low = low.saturating_sub(stride);
        stride *= 2;
    }
    stride = 1;
    while high < items.len() && holds(&items[high]) {
        low = high + 1;
        high = (high + stride).min(items.len());
        stride *= 2;
    }
    low + items[low..high].partition_point(holds)
}

/// The note of a voice that sounds at a moment, if the cursor stands at or before it.
fn sounding(notes: &[Note], cursor: usize, at: i64) -> Option<&Note> {
    notes.get(cursor).filter(|note| note.onset <= at && at < note.end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_found_from_wherever_it_is_looked_for() {
        for length in 0..20 {
            let items: Vec<usize> = (0..length).collect();
            for (near, first) in
                (0..=length + 1).flat_map(|near| (0..=length).map(move |f| (near, f)))
            {
                assert_eq!(partition_near(&items, near, |item| *item < first), first, "{near}");
            }
        }
    }
}
