//! What a candidate costs: sums for the whole voice, and a close look at the notes around it.

use crate::against::Against;
use crate::melodies::Melodies;
use crate::mend::candidate::{Candidate, own};
use crate::mend::likeness::Typed;
use crate::rules::UnwrittenSign;
use crate::slip::Repair;
use crate::sum::{Cost, Sum};
use crate::texture::{Line, Note, Texture, relate_one};
use crate::weights::Weights;

/// What is known of a voice while its repairs are looked at.
pub(in super::super) struct Known<'k> {
    pub(in super::super) texture: &'k Texture,
    pub(in super::super) line: &'k Line,
    pub(in super::super) melodies: &'k Melodies,
    /// The sums of what its notes cost as typed.
    pub(in super::super) here: &'k [f64],
    /// The place after the last note of each of its sections.
    pub(in super::super) ends: &'k [usize],
    pub(in super::super) weights: &'k Weights,
}

impl Known<'_> {
    /// What is typed where a candidate reads something else.
    pub(in super::super) fn typed(&self, candidate: &Candidate) -> Typed<'_, Cost<'_>> {
        Typed::new(self.melodies, self.line, (candidate.from, candidate.to), self.weights)
    }

    /// What a candidate costs, `there` being the sums of what the notes cost after it.
    pub(in super::super) fn cost(
        &self,
        candidate: &Candidate,
        typed: &Typed<'_, Cost<'_>>,
        there: &[f64],
        against: &mut Against<'_>,
    ) -> f64 {
        let read = candidate.read(self.line);
        let like = typed.changed(&read).sum;
        let local: Cost<'_> = around(self.line, candidate, read, against, self.weights);
        self.difference(candidate, there, local.sum) + like + prior(candidate, self.weights)
    }

    /// About what a candidate costs. The notes around it are left out; but not where many last
    /// otherwise than typed.
    pub(super) fn rough(
        &self,
        candidate: &Candidate,
        there: &[f64],
        against: &mut Against<'_>,
    ) -> f64 {
        if candidate.lengths.is_empty() {
            self.difference(candidate, there, 0.0) + prior(candidate, self.weights)
        } else {
            self.cost(candidate, &self.typed(candidate), there, against)
        }
    }

    /// What a candidate costs beyond what is typed, `there` being the sums of what the notes cost
    /// where they would stand after it, `local` what the notes around it cost.
    pub(super) fn difference(&self, candidate: &Candidate, there: &[f64], local: f64) -> f64 {
        let end = self.ends[self.line.notes[candidate.at].section as usize];
        let (from, to) = reach(self.line, candidate);
        let before = self.here[end.max(to)] - self.here[from];
        let after = if to < end { there[end] - there[to] } else { 0.0 };
        local + after - before
    }
}

/// The sums of the costs of a voice's notes, moved by so many ticks: the first is nothing, the
/// last that of all.
pub(super) fn pass(
    against: &mut Against<'_>,
    notes: &[Note],
    shift: i64,
    weights: &Weights,
) -> Vec<f64> {
    let mut sums = Vec::with_capacity(notes.len() + 1);
    let mut cost = Cost::nothing(weights);
    sums.push(cost.sum);
    against.stretch(notes, 0..notes.len(), shift, &mut cost, |cost| sums.push(cost.sum));
    sums
}

/// What the notes cost that a candidate reads in another way, and the one before and after them.
pub(super) fn around<'w, S: Sum<'w>>(
    line: &Line,
    candidate: &Candidate,
    read: Vec<Note>,
    against: &mut Against<'_>,
    weights: &'w Weights,
) -> S {
    let notes = &line.notes;
    let section = notes[candidate.at].section;
    let inserted = candidate.from == candidate.to && !read.is_empty();
    let unknown = matches!(candidate.repair, Repair::InsertLine { .. });
    // Two notes on either side: the inner is looked at, the outer is only its neighbour.
    let lead = candidate.from.min(2);
    let mut stretch: Vec<(Note, i64)> = Vec::with_capacity(read.len() + 4);
    stretch.extend(notes[candidate.from - lead..candidate.from].iter().map(|note| (*note, 0)));
    stretch.extend(read.into_iter().map(|note| (note, 0)));
    let after = stretch.len();
    for note in notes.iter().skip(candidate.to).take(2) {
        let shift = if note.section == section { candidate.shift } else { 0 };
        stretch.push((*note, shift));
    }
    if (inserted || unknown) && after < stretch.len() {
        stretch[after].0.facts.direct = None;
    }
    let mut sum = S::nothing(weights);
    let first = lead.saturating_sub(1);
    for place in first..stretch.len().min(after + 1) {
        // What follows an unknown stretch is not related to what is before it.
        let parted = |place: usize| unknown && place == lead;
        let before = place.checked_sub(1).filter(|_| !parted(place)).map(|p| stretch[p].0);
        let next = Some(place + 1).filter(|next| !parted(*next));
        let next = next.and_then(|next| stretch.get(next)).map(|(note, _)| *note);
        let (mut note, shift) = stretch[place];
        relate_one(before.as_ref(), &mut note, next.as_ref());
        if place == first || place == after || note.section != section {
            against.seek(note.onset + shift);
        }
        against.note(before.as_ref(), &note, shift, &mut sum);
    }
    sum
}

/// What another sign changes in how a note is inflected; `read` are the notes with it.
pub(in super::super) fn inflected<'w, S: Sum<'w>>(
    (melodies, typed, weights): (&Melodies, &[Note], &'w Weights),
    candidate: &Candidate,
    read: &[Note],
    against: &mut Against<'_>,
) -> S {
    let own = candidate.from..candidate.to;
    let as_typed = |place: usize| typed.get(place).copied();
    let as_read = |place: usize| {
        if own.contains(&place) { Some(read[place - own.start]) } else { as_typed(place) }
    };
    let mut changed = S::nothing(weights);
    let mut known = S::nothing(weights);
    let inflections = &melodies.inflections;
    inflections.observe(candidate.at, typed, as_read, against, |seen| changed.count(seen));
    inflections.observe(candidate.at, typed, as_typed, against, |seen| known.count(seen));
    UnwrittenSign::at(candidate.at, as_read, |seen| changed.count(seen));
    UnwrittenSign::at(candidate.at, as_typed, |seen| known.count(seen));
    changed.subtract(&known);
    changed
}

/// The notes whose cost a candidate changes by itself, from the first up to the last.
pub(super) fn reach(line: &Line, candidate: &Candidate) -> (usize, usize) {
    (candidate.from.saturating_sub(1), (candidate.to + 1).min(line.notes.len()))
}

/// The place after the last note of each section of a voice.
pub(in super::super) fn section_ends(line: &Line) -> Vec<usize> {
    let mut ends = Vec::new();
    for (place, note) in line.notes.iter().enumerate() {
        ends.resize(note.section as usize + 1, place);
        ends[note.section as usize] = place + 1;
    }
    ends
}

/// How much likelier a slip is where a note is marked as hard to make out, as a logarithm of odds. Of what the
/// reader of pictures marks 25 to 28 % is wrong, of the rest 2 % (docs/reading.md); what people mark was not counted.
const DOUBTED: f64 = 2.7;

/// How much likelier a candidate is by such marks.
pub(super) fn doubt(line: &Line, candidate: &Candidate) -> f64 {
    // Of a long stretch, one note says little.
    if let Repair::InsertLine { .. } = candidate.repair {
        return 0.0;
    }
    let own = own(candidate.repair, candidate.at);
    // A note that is inserted stands before its own.
    let notes = line.notes.get(own.start..own.end.max(own.start + 1)).unwrap_or_default();
    if notes.len() <= 2 && notes.iter().any(|note| note.facts.doubted) { DOUBTED } else { 0.0 }
}

/// What a kind of slip costs before the music is looked at.
pub(in super::super) fn prior(candidate: &Candidate, weights: &Weights) -> f64 {
    f64::from(weights.of(candidate.kind))
}
