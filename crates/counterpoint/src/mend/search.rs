//! The search over single repairs.
//!
//! After a slip of rhythm everything in its voice stands too early or too late by the same time.
//! So for each voice and each such time the cost of every note is computed once, where it stands
//! and where it would stand; with the sums of these from the left and from the right, a repair at
//! any place costs what is before it, what is after it, and the few notes around it. The whole
//! search is linear in the length of the piece, but for binary searches and sorting.

use std::collections::HashMap;

use rudiments::Accidental;

use crate::cost::{Against, FEATURES, Sum};
use crate::mend::likeness::Likeness;
use crate::mend::repairs::{
    Candidate, Kind, Repair, may_lack, pitch, rhythm, signed, tones_left_out, transposed,
};
use crate::texture::{Line, Note, Texture, relate_one};

/// A candidate and what it costs beyond what is typed; negative where it is the better reading.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Hypothesis {
    pub(crate) voice: usize,
    pub(crate) candidate: Candidate,
    pub(crate) cost: f64,
}

/// At most so many displacements are tried in a voice: the most frequent ones.
const MOST_SHIFTS: usize = 28;

/// Repairs of rhythm whose cost without the notes around them exceeds that of the best by more
/// than this are not looked at.
const MARGIN: f64 = 16.0;

/// At most so many repairs of rhythm are looked at closely in a voice.
const MOST_CLOSE: usize = 400;

/// Hypotheses that are less likely than the best by more than this many units are not kept.
pub(crate) const KEPT: f64 = 14.0;

/// What slips are looked for in a voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Wanted {
    pub(crate) rhythm: bool,
    pub(crate) pitch: bool,
}

/// All hypotheses about a voice that are worth keeping.
pub(crate) fn voice(
    texture: &Texture,
    voice: usize,
    wanted: Wanted,
    likeness: &Likeness,
    kept: f64,
    weights: &[f32; FEATURES],
) -> Vec<Hypothesis> {
    let line = &texture.lines[voice];
    if !line.written || line.notes.is_empty() {
        return Vec::new();
    }
    let mut against = Against::new(texture, voice, weights);
    let here = pass(&mut against, &line.notes, 0);
    let mut found = Vec::new();
    let known = Known { texture, line, likeness, here: &here, weights };
    if wanted.rhythm {
        known.rhythms(&mut against, &mut found);
    }
    if wanted.pitch {
        known.pitches(&mut against, &mut found);
        clefs(line, &mut against, &here, weights, &mut found);
    }
    let best = found.iter().map(|(_, cost)| *cost).fold(f64::INFINITY, f64::min);
    found
        .into_iter()
        .filter(|(_, cost)| *cost <= best + kept)
        .map(|(candidate, cost)| Hypothesis { voice, candidate, cost })
        .collect()
}

/// The sums of the costs of a voice's notes, moved by so many ticks: the first is nothing, the
/// last that of all.
fn pass(against: &mut Against<'_>, notes: &[Note], shift: i64) -> Vec<f64> {
    let mut sums = Vec::with_capacity(notes.len() + 1);
    let mut sum = 0.0;
    sums.push(sum);
    let mut section = None;
    for (place, note) in notes.iter().enumerate() {
        if section != Some(note.section) {
            against.seek(note.onset + shift);
            section = Some(note.section);
        }
        let before = place.checked_sub(1).map(|before| &notes[before]);
        against.note(before, note, shift, &mut sum);
        sums.push(sum);
    }
    sums
}

/// The features of a stretch of a voice's notes, moved by so many ticks.
pub(crate) fn range<S: Sum>(
    against: &mut Against<'_>,
    notes: &[Note],
    range: std::ops::Range<usize>,
    shift: i64,
) -> S {
    let mut sum = S::nothing();
    let mut section = None;
    for place in range {
        let note = &notes[place];
        if section != Some(note.section) {
            against.seek(note.onset + shift);
            section = Some(note.section);
        }
        let before = place.checked_sub(1).map(|before| &notes[before]);
        against.note(before, note, shift, &mut sum);
    }
    sum
}

/// What the notes cost that a candidate reads in another way, and the one before and after them.
fn around<S: Sum>(
    line: &Line,
    candidate: &Candidate,
    read: Vec<Note>,
    against: &mut Against<'_>,
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
    let mut sum = S::nothing();
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

/// What a candidate costs beyond what is typed, from the sums for where the notes stand and where
/// they would stand after it, and from the cost of the notes around it.
fn difference(line: &Line, candidate: &Candidate, here: &[f64], there: &[f64], local: f64) -> f64 {
    let end = section_end(line, candidate.at);
    let (from, to) = reach(line, candidate);
    let before = here[end.max(to)] - here[from];
    let after = if to < end { there[end] - there[to] } else { 0.0 };
    local + after - before
}

/// The notes whose cost a candidate changes by itself, from the first up to the last.
fn reach(line: &Line, candidate: &Candidate) -> (usize, usize) {
    (candidate.from.saturating_sub(1), (candidate.to + 1).min(line.notes.len()))
}

/// The place after the last note of the section in which a note stands.
fn section_end(line: &Line, at: usize) -> usize {
    let section = line.notes[at].section;
    line.notes.partition_point(|note| note.section <= section)
}

/// The features by which a candidate differs from what is typed.
pub(crate) fn features<S: Sum>(
    texture: &Texture,
    voice: usize,
    likeness: &Likeness,
    candidate: &Candidate,
    weights: &[f32; FEATURES],
) -> S {
    let line = &texture.lines[voice];
    let mut against = Against::new(texture, voice, weights);
    let end = section_end(line, candidate.at);
    let (from, to) = reach(line, candidate);
    let read = candidate.read(line, texture.minim);
    let mut sum: S = likeness.of(line, candidate, &read, weights);
    sum.add(&around(line, candidate, read, &mut against));
    if to < end {
        sum.add(&range(&mut against, &line.notes, to..end, candidate.shift));
    }
    sum.subtract(&range(&mut against, &line.notes, from..end.max(to), 0));
    sum.count(candidate.kind.feature(), weights);
    sum
}

/// What a kind of slip costs before the music is looked at.
fn prior(candidate: &Candidate, weights: &[f32; FEATURES]) -> f64 {
    f64::from(weights[candidate.kind.feature()])
}

/// What is known of a voice while its repairs are looked at.
struct Known<'k> {
    texture: &'k Texture,
    line: &'k Line,
    likeness: &'k Likeness,
    /// The sums of what its notes cost as typed.
    here: &'k [f64],
    weights: &'k [f32; FEATURES],
}

impl Known<'_> {
    /// What a candidate costs, `there` being the sums of what the notes cost after it.
    fn cost(&self, candidate: &Candidate, there: &[f64], against: &mut Against<'_>) -> f64 {
        let read = candidate.read(self.line, self.texture.minim);
        let like: f64 = self.likeness.of(self.line, candidate, &read, self.weights);
        let local: f64 = around(self.line, candidate, read, against);
        difference(self.line, candidate, self.here, there, local)
            + like
            + prior(candidate, self.weights)
    }

    fn rhythms(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let (line, minim) = (self.line, self.texture.minim);
        let mut by_shift: HashMap<i64, Vec<Candidate>> = HashMap::new();
        for at in 0..line.notes.len() {
            if line.notes[at].facts.printed {
                rhythm(line, at, minim, |candidate| {
                    by_shift.entry(candidate.shift).or_default().push(candidate);
                });
            }
        }
        lines_left_out(line, against, minim, &mut by_shift);
        let mut shifts: Vec<(i64, Vec<Candidate>)> = by_shift.into_iter().collect();
        // Lines that were left out are few, and always looked at.
        let few = |candidates: &[Candidate]| candidates[0].kind != Kind::LineLeftOut;
        shifts.sort_by_key(|(shift, candidates)| {
            (few(candidates), std::cmp::Reverse(candidates.len()), *shift)
        });
        let lines = shifts.iter().filter(|(_, candidates)| !few(candidates)).count();
        shifts.truncate(MOST_SHIFTS + lines.min(8));
        let mut rough: Vec<(f64, Candidate, usize)> = Vec::new();
        let mut best = f64::INFINITY;
        let mut sums: Vec<Vec<f64>> = Vec::with_capacity(shifts.len());
        for (number, (shift, candidates)) in shifts.into_iter().enumerate() {
            let there = pass(against, &line.notes, shift);
            for candidate in candidates {
                let cost = difference(line, &candidate, self.here, &there, 0.0)
                    + prior(&candidate, self.weights);
                best = best.min(cost);
                if cost <= best + MARGIN {
                    rough.push((cost, candidate, number));
                }
            }
            sums.push(there);
        }
        rough.retain(|(cost, ..)| *cost <= best + MARGIN);
        rough.sort_by(|one, other| one.0.total_cmp(&other.0));
        rough.truncate(MOST_CLOSE);
        for (_, candidate, number) in rough {
            let mut close = |candidate: Candidate| {
                let cost = self.cost(&candidate, &sums[number], against);
                found.push((candidate, cost));
            };
            if let Repair::InsertNote { value, dotted, .. } = candidate.repair {
                for tone in tones_left_out(line, candidate.at) {
                    let repair = Repair::InsertNote { value, dotted, tone };
                    close(Candidate { repair, ..candidate.clone() });
                }
            } else {
                close(candidate);
            }
        }
    }

    fn pitches(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let notes = &self.line.notes;
        for at in (0..notes.len()).filter(|at| notes[*at].facts.printed) {
            pitch(self.line, at, |candidate| {
                let cost = self.cost(&candidate, self.here, against);
                found.push((candidate, cost));
            });
        }
        self.signs(against, found);
    }

    /// The candidates of a sign left out, which holds for all immediate repetitions of its note.
    /// However many these are, only the joints are looked at closely. A sign changes no step, so
    /// the voice is as like the others with it as without.
    fn signs(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let notes = &self.line.notes;
        for sign in [Accidental::Sharp, Accidental::Flat] {
            let read: Vec<Note> = notes.iter().map(|note| signed(*note, sign)).collect();
            let there = pass(against, &read, 0);
            let mut to = notes.len();
            for at in (0..notes.len()).rev() {
                if notes.get(at + 1).is_some_and(|next| next.pitch != notes[at].pitch) {
                    to = at + 1;
                }
                if notes[at].facts.printed && may_lack(&notes[at], sign) {
                    let (kind, repair) = (Kind::AccidentalLeftOut, Repair::Sign(sign));
                    let candidate = Candidate { kind, repair, at, from: at, to, shift: 0 };
                    let stretch = Stretch { typed: notes, read: &read, from: at, to };
                    let cost =
                        stretch.cost(self.here, &there, against) + prior(&candidate, self.weights);
                    found.push((candidate, cost));
                }
            }
        }
    }
}

/// The shortest stretch, in minims, that is taken for a line of the source.
const SHORTEST_LINE: i64 = 6;

/// Lines of the source that may have been left out: before a line, as long as the voice is short.
fn lines_left_out(
    line: &Line,
    against: &Against<'_>,
    minim: i64,
    by_shift: &mut HashMap<i64, Vec<Candidate>>,
) {
    let mut missing: Vec<Vec<i64>> = Vec::new();
    for note in line.notes.iter().filter(|note| note.facts.last) {
        let mut ticks: Vec<i64> = against
            .finals(note.section)
            .iter()
            .map(|other| other - note.onset)
            .filter(|ticks| *ticks >= SHORTEST_LINE * minim)
            .collect();
        ticks.sort_unstable();
        ticks.dedup();
        missing.resize(note.section as usize + 1, Vec::new());
        missing[note.section as usize] = ticks;
    }
    for (at, note) in line.notes.iter().enumerate() {
        if !note.facts.begins_line || !note.facts.printed {
            continue;
        }
        for ticks in missing.get(note.section as usize).into_iter().flatten() {
            let repair = Repair::InsertLine { ticks: *ticks };
            let kind = Kind::LineLeftOut;
            let candidate = Candidate { kind, repair, at, from: at, to: at, shift: *ticks };
            by_shift.entry(*ticks).or_default().push(candidate);
        }
    }
}

/// Steps by which a clef misread displaces notes: one line up or down, two lines, and the like.
const CLEFS: [i32; 4] = [2, -2, 4, -4];

/// The fewest notes that are looked at as read under a wrong clef.
const SHORTEST_STRETCH: usize = 4;

/// So many beginnings of such a stretch are looked at closely.
const MOST_STRETCHES: usize = 24;

fn clefs(
    line: &Line,
    against: &mut Against<'_>,
    here: &[f64],
    weights: &[f32; FEATURES],
    found: &mut Vec<(Candidate, f64)>,
) {
    let count = line.notes.len();
    for steps in CLEFS {
        let notes: Vec<Note> = line.notes.iter().map(|note| transposed(*note, steps)).collect();
        let there = pass(against, &notes, 0);
        let gain = |place: usize| there[place] - here[place];
        // For each beginning, the end that makes the stretch cheapest.
        let mut best = count;
        let mut stretches: Vec<(f64, usize, usize)> = Vec::new();
        for from in (0..count.saturating_sub(SHORTEST_STRETCH)).rev() {
            if gain(from + SHORTEST_STRETCH) < gain(best) {
                best = from + SHORTEST_STRETCH;
            }
            if line.notes[from].pitch.is_some() {
                stretches.push((gain(best) - gain(from), from, best));
            }
        }
        stretches.sort_by(|one, other| one.0.total_cmp(&other.0));
        stretches.truncate(MOST_STRETCHES);
        let kind = Kind::WrongClef;
        for (_, from, to) in stretches {
            let repair = Repair::Transpose { steps, events: (to - from) as u32 };
            let candidate = Candidate { kind, repair, at: from, from, to, shift: 0 };
            // Only the joints are looked at closely; what is between them is known.
            let stretch = Stretch { typed: &line.notes, read: &notes, from, to };
            let cost = stretch.cost(here, &there, against) + prior(&candidate, weights);
            found.push((candidate, cost));
        }
    }
}

/// A stretch of a voice that is read otherwise, at other pitches.
struct Stretch<'n> {
    /// The notes as typed.
    typed: &'n [Note],
    /// All of them read otherwise.
    read: &'n [Note],
    from: usize,
    to: usize,
}

impl Stretch<'_> {
    /// What it costs beyond what is typed, from the sums for all notes as typed and read otherwise.
    fn cost(&self, here: &[f64], there: &[f64], against: &mut Against<'_>) -> f64 {
        let gain = |place: usize| there[place] - here[place];
        gain(self.to) - gain(self.from) + self.joints(here, there, against)
    }

    /// What the notes at the joints of the stretch cost beyond what they do where all are typed,
    /// or all are read.
    fn joints(&self, here: &[f64], there: &[f64], against: &mut Against<'_>) -> f64 {
        let mut cost = 0.0;
        let mut note = |place: usize| {
            let inside = |place: usize| (self.from..self.to).contains(&place);
            let get = |place: usize| {
                (if inside(place) { self.read.get(place) } else { self.typed.get(place) }).copied()
            };
            let Some(mut note) = get(place) else { return };
            let before = place.checked_sub(1).and_then(get);
            relate_one(before.as_ref(), &mut note, get(place + 1).as_ref());
            against.seek(note.onset);
            against.note(before.as_ref(), &note, 0, &mut cost);
            let known = if inside(place) { there } else { here };
            cost -= known[place + 1] - known[place];
        };
        if let Some(before) = self.from.checked_sub(1) {
            note(before);
            note(self.from);
        }
        if self.from == 0 || self.from + 1 < self.to {
            note(self.to - 1);
        }
        note(self.to);
        cost
    }
}
