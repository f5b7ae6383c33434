//! Which of several readings of a source the voices agree in. Whoever reads a print names, for single notes
//! and rests, what else they may be, with the odds; the rules of counterpoint have their say.
//!
//! A reading costs what its odds say and what the rules weigh of it. The one that makes the piece cheapest
//! is taken first, and all others are weighed anew with it, until none makes it cheaper: first a few minims
//! at a time from the beginning on, so that a wrong value is mended before the notes that it displaces;
//! then in the piece as a whole.

use std::ops::Range;

use notation::Piece;
use score::Score;

use super::candidate::{Candidate, own};
use super::counted::Recount;
use super::search::{Hypothesis, Known, inflected, prior, section_ends};
use crate::against::Against;
use crate::melodies::Melodies;
use crate::slip::{Kind, Repair};
use crate::sum::{Cost, Sum as _};
use crate::texture::{Line, Texture};
use crate::weights::Weights;

/// What else a note or rest may be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct OtherReading {
    /// The voice, as a place in the piece.
    pub voice: usize,
    /// The note or rest, as a place among the items of the voice.
    pub item: usize,
    /// What is read there instead.
    pub repair: Repair,
    /// How many times as likely that is, by the source alone, as a natural logarithm.
    pub odds: f64,
}

/// What has become of another reading.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Weighed {
    /// Whether it is taken.
    pub taken: bool,
    /// How many times as likely as what it is held against it is with all voices together, as a natural
    /// logarithm. What is taken is held against what it replaces.
    pub odds: f64,
}

/// How much the rules count beside the odds of a source: what they weigh was tuned on slips of copyists,
/// one in a piece.
const RULES: f64 = 0.15;

/// A reading must be likelier by so much to be taken.
const RATHER: f64 = 0.5;

/// So many readings are taken at most at a time.
const MOST_TAKEN: usize = 200;

/// So many minims are looked at together, going from the beginning to the end.
const STEP: i64 = 4;

/// And so many after them, to see what becomes of them.
const AHEAD: i64 = 6;

/// Weighs other readings by all voices together; the answers are in their order.
///
/// ```
/// use counterpoint::mend::{OtherReading, Repair, weighed};
/// use rudiments::Value;
/// use score::{BarLength, align, reckon};
///
/// let text = "voice Cantus clef C1\n  sb A4 mn G sb F G A C5 lg B\n\
///             voice Tenor clef C4\n  sb D3 E A3 G3 F A lg G3\n";
/// let piece = notation::parse(text).piece;
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
/// let semibreve = Repair::Value { value: Value::Semibreve, dotted: false };
/// let other = OtherReading { voice: 0, item: 1, repair: semibreve, odds: -1.0 };
/// assert!(weighed(&piece, &score, &[other])[0].taken);
/// ```
pub fn weighed(piece: &Piece, score: &Score, readings: &[OtherReading]) -> Vec<Weighed> {
    let answers: Vec<Weighed> =
        readings.iter().map(|reading| Weighed { taken: false, odds: reading.odds }).collect();
    if score.voices.iter().filter(|voice| !voice.events.is_empty()).count() < 2 {
        return answers;
    }
    let texture = Texture::new(piece, score);
    let melodies = Melodies::new(&texture);
    let mut search = Search { texture, melodies, readings, answers, open: Vec::new() };
    search.open = (0..readings.len()).collect();
    search.sweep();
    search.weigh(None);
    search.answers
}

/// From which moment on up to which a reading is looked at, in ticks, and how far what follows it.
#[derive(Clone, Copy)]
struct Window {
    from: i64,
    to: i64,
    until: i64,
}

/// What is read so far, and what else may be.
struct Search<'r> {
    texture: Texture,
    melodies: Melodies,
    readings: &'r [OtherReading],
    answers: Vec<Weighed>,
    /// Those that are neither taken nor ruled out.
    open: Vec<usize>,
}

impl Search<'_> {
    /// Goes through the piece from its beginning, a few minims at a time. What has gone by is right by then;
    /// what comes is looked at only so far as it tells anything: farther on, voices are displaced by what is
    /// yet to be mended.
    fn sweep(&mut self) {
        let minim = self.texture.minim;
        let end = |line: &Line| line.notes.last().map_or(0, |note| note.end);
        let mut from = 0;
        while from <= self.texture.lines.iter().map(end).max().unwrap_or(0) {
            let to = from + STEP * minim;
            self.weigh(Some(Window { from, to, until: to + AHEAD * minim }));
            from = to;
        }
    }

    /// Takes the best readings that begin in a window, or anywhere, one after another.
    fn weigh(&mut self, window: Option<Window>) {
        for _ in 0..MOST_TAKEN {
            let mut best: Option<(usize, Hypothesis)> = None;
            for voice in 0..self.texture.lines.len() {
                for (number, hypothesis) in self.costs(voice, window) {
                    self.answers[number].odds = -hypothesis.cost;
                    if best.as_ref().is_none_or(|(_, known)| hypothesis.cost < known.cost) {
                        best = Some((number, hypothesis));
                    }
                }
            }
            match best {
                Some((number, hypothesis)) if hypothesis.cost < -RATHER => {
                    self.take(number, &hypothesis);
                }
                _ => break,
            }
        }
    }

    fn take(&mut self, number: usize, hypothesis: &Hypothesis) {
        self.texture.mend(hypothesis);
        self.answers[number].taken = true;
        let readings = self.readings;
        let of_same = |other: usize| {
            let (one, other) = (readings[number], readings[other]);
            (one.voice, one.item) == (other.voice, other.item)
        };
        // What else the same may be is held against what is taken from now on.
        self.open.retain(|other| !of_same(*other));
        let odds = self.answers[number].odds;
        for (other, answer) in self.answers.iter_mut().enumerate() {
            if other != number && of_same(other) {
                answer.odds -= odds;
            }
        }
    }

    /// What each of the readings of a voice costs that begin in a window.
    fn costs(&self, voice: usize, window: Option<Window>) -> Vec<(usize, Hypothesis)> {
        let line = &self.texture.lines[voice];
        if !line.written || line.notes.is_empty() {
            return Vec::new();
        }
        let of_voice =
            self.open.iter().filter(|number| self.readings[**number].voice == line.place);
        let candidates = of_voice.filter_map(|number| {
            let candidate = candidate(line, &self.readings[*number])?;
            let at = line.notes[candidate.at].onset;
            let is_in = window.is_none_or(|window| (window.from..window.to).contains(&at));
            is_in.then_some((*number, candidate))
        });
        let candidates: Vec<(usize, Candidate)> = candidates.collect();
        let Some(first) = candidates.iter().map(|(_, candidate)| candidate.from).min() else {
            return Vec::new();
        };
        let last = candidates.iter().map(|(_, candidate)| candidate.to).max().unwrap_or(first);
        let to = window.map_or(line.notes.len(), |window| {
            line.notes.partition_point(|note| note.onset < window.until)
        });
        let range = first.saturating_sub(2)..(last + 2).max(to).min(line.notes.len());
        let weights = Weights::tuned();
        let mut against = Against::new(&self.texture, voice);
        let here = sums(&mut against, line, range.clone(), 0, weights);
        let ends: Vec<usize> =
            section_ends(line).into_iter().map(|end| end.min(range.end)).collect();
        let Search { texture, melodies, .. } = self;
        let known = Known { texture, line, melodies, here: &here, ends: &ends, weights };
        let mut moved: Vec<(i64, Vec<f64>)> = Vec::new();
        let mut found = Vec::new();
        for (number, candidate) in candidates {
            let place = moved.iter().position(|(shift, _)| *shift == candidate.shift);
            let place = place.unwrap_or_else(|| {
                let there = sums(&mut against, line, range.clone(), candidate.shift, weights);
                moved.push((candidate.shift, there));
                moved.len() - 1
            });
            let typed = known.typed(&candidate);
            let mut rules = known.cost(&candidate, &typed, &moved[place].1, &mut against);
            // A slip of the reader's own is no slip of a copyist.
            rules -= prior(&candidate, weights);
            if let Repair::Sign(_) = candidate.repair {
                let read = candidate.read(line);
                let of_it: Cost<'_> =
                    inflected((melodies, &line.notes, weights), &candidate, &read, &mut against);
                rules += of_it.sum;
            }
            let cost = RULES * rules - self.readings[number].odds;
            found.push((number, Hypothesis { voice, candidate, cost }));
        }
        found
    }
}

/// The sums of the costs of some notes of a voice, moved by so many ticks; before them they are nothing,
/// after them that of all.
fn sums(
    against: &mut Against<'_>,
    line: &Line,
    range: Range<usize>,
    shift: i64,
    weights: &Weights,
) -> Vec<f64> {
    let mut cost = Cost::nothing(weights);
    let mut sums = vec![0.0; range.start + 1];
    against.stretch(&line.notes, range, shift, &mut cost, |cost| sums.push(cost.sum));
    sums.resize(line.notes.len() + 1, cost.sum);
    sums
}

/// A reading as a candidate; nothing where it changes nothing.
fn candidate(line: &Line, reading: &OtherReading) -> Option<Candidate> {
    let is_it =
        |note: &crate::texture::Note| note.facts.printed && note.item as usize == reading.item;
    let at = line.notes.iter().position(is_it)?;
    let repair = reading.repair;
    let note = &line.notes[at];
    let kind = match repair {
        Repair::Value { value, .. } if value < note.shape.value => Kind::ValueHalved,
        Repair::Value { value, .. } if value > note.shape.value => Kind::ValueDoubled,
        Repair::Value { dotted: true, .. } => Kind::DotMissing,
        Repair::Value { dotted: false, .. } => Kind::DotTooMany,
        Repair::InsertNote { .. } => Kind::NoteLeftOut,
        Repair::InsertRest { .. } => Kind::RestLeftOut,
        Repair::Delete => Kind::NoteTwice,
        Repair::Tone(_) => Kind::Step,
        Repair::Sign(Some(_)) => Kind::AccidentalLeftOut,
        Repair::Sign(None) => Kind::AccidentalTooMany,
        _ => return None,
    };
    if !kind.is_rhythm() {
        let mut to = at + 1;
        // A sign holds for all immediate repetitions of its note.
        while matches!(repair, Repair::Sign(_))
            && line.notes.get(to).is_some_and(|next| next.pitch == note.pitch && !next.facts.signed)
        {
            to += 1;
        }
        return Some(Candidate::of_pitch(kind, repair, at, to));
    }
    if note.measure.is_perfect() {
        return Recount::at(line, at).with(kind, repair);
    }
    let own = own(repair, at);
    let mut plain =
        Candidate { kind, repair, at, from: own.start, to: own.end, shift: 0, lengths: Vec::new() };
    let was: i64 = line.notes[own].iter().map(|note| note.length).sum();
    let read: i64 = plain.read(line).iter().map(|note| note.length).sum();
    plain.shift = read - was;
    // The length of a last note moves nothing.
    if note.facts.last && matches!(repair, Repair::Value { .. }) {
        plain.shift = 0;
    }
    Some(plain)
}

#[cfg(test)]
mod tests {
    use rudiments::Value;
    use score::{BarLength, align, reckon};

    use super::*;

    /// What the staves alone say of a reading.
    const READ: f64 = -1.0;

    #[test]
    fn what_the_voices_do_not_ask_for_is_not_taken() {
        let text = "voice Cantus clef C1\n  sb A4 G F G A C5 lg B\n\
                    voice Tenor clef C4\n  sb D3 E A3 G3 F A lg G3\n";
        let piece = notation::parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let minim = Repair::Value { value: Value::Minim, dotted: false };
        let reading =
            |item: usize, repair: Repair| OtherReading { voice: 0, item, repair, odds: READ };
        let readings = [reading(1, minim), reading(3, Repair::Delete), reading(9, Repair::Delete)];
        let answers = weighed(&piece, &score, &readings);
        assert!(answers.iter().all(|answer| !answer.taken), "{answers:?}");
        // The voices speak against what moves all that follows, and say nothing of what is not there.
        assert!(answers[..2].iter().all(|answer| answer.odds < READ - 1.0), "{answers:?}");
        assert!((answers[2].odds - READ).abs() < 1e-9, "{answers:?}");
    }
}
