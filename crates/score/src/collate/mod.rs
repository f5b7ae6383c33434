//! Collation: what differs between two transcriptions of the same music.
//!
//! Voices are matched ([`pairs`]), what is compared of them listed ([`element`]) and aligned
//! ([`alignment`]), and what differs is told once for each stretch ([`differences`]). Between two parts
//! files that is what is printed; where a file came through a modern score, only what sounds can be
//! compared ([`Basis`]). The differences of two parts files can be written into one of them as variants
//! ([`merge`]).

mod alignment;
mod differences;
mod element;
mod merge;
mod pairs;

use notation::{Piece, Span};
use rudiments::Time;

use crate::places::Places;
use crate::timed::Score;
use alignment::{BUDGET, Column, align};
use element::{Element, printed, sounding};
pub use merge::{Merged, merge};
use pairs::Candidate;

/// One of two transcriptions.
#[derive(Clone, Copy, Debug)]
pub struct Side<'s> {
    /// As it was read.
    pub piece: &'s Piece,
    /// The score that was aligned from it.
    pub score: &'s Score,
}

/// What of two transcriptions is compared.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Basis {
    /// What is printed: clefs, signatures and signs, notes with their step, octave, value, dot, signs
    /// and marks, rests, ligatures, coloration, double bars; beside that the accidentals, lengths and
    /// readings of dots that an editor gave to what is printed. Not compared are line ends, directs, bar
    /// lines, words, doubts, and what was emended or supplied.
    Printed,
    /// What sounds: pitches and lengths. Rests that follow each other are one; the last notes of sections
    /// are as long as they are held, so their lengths are not compared.
    Sounding,
}

/// What differs between two transcriptions.
#[derive(Clone, PartialEq, Debug)]
pub struct Collation<'s> {
    /// The differences, voice by voice, in the order of the left side.
    pub differences: Vec<Difference>,
    /// How many notes and rests were compared, of the side that has more.
    pub compared: usize,
    /// Beside the voices that were compared, what their alignment is; for [`merge`].
    pairs: Vec<Pair<'s>>,
}

/// Two voices that are aligned.
#[derive(Clone, PartialEq, Debug)]
struct Pair<'s> {
    /// The left voice, as its place in the piece (in the score, where what sounds is compared).
    voice: usize,
    left: Vec<Element<'s>>,
    right: Vec<Element<'s>>,
    columns: Vec<Column>,
    /// The columns of each difference.
    stretches: Vec<std::ops::Range<usize>>,
}

/// One thing that differs; a stretch that differs in the same way is one.
#[derive(Clone, PartialEq, Debug)]
pub struct Difference {
    /// In what.
    pub kind: DifferenceKind,
    /// The voice, by the name it has on the left, or on the right where it is there alone.
    pub voice: String,
    /// Where on the left; what is added stands before that.
    pub left: Locus,
    /// Where on the right; what is left out would stand before that.
    pub right: Locus,
    /// When, in minims, by the side that has the voice.
    pub at: Time,
    /// The bar, by the same score, from 1.
    pub bar: Option<u32>,
    /// Its place in the score, `bar 9, 3rd note`.
    pub place: String,
    /// What the left side has, as it is typed: all of it, or only the pitches or values where only these
    /// differ. Of what sounds, lengths are in minims.
    pub left_text: String,
    /// What the right side has.
    pub right_text: String,
    /// How many notes, rests and marks are concerned, on the side that has more.
    pub count: usize,
}

/// Where a difference is on one side.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Locus {
    /// The number of the first note or rest concerned, as printed; else of the one that follows.
    pub index: Option<u32>,
    /// The line of the voice in the source, from 1.
    pub line: Option<u32>,
    /// The token.
    pub span: Option<Span>,
}

/// In what two transcriptions differ.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum DifferenceKind {
    /// The step or octave; or one has a note where the other has a rest.
    Pitch,
    /// The value, the dot, or the length; the pitch may differ too.
    Value,
    /// A sign, at the same step and octave.
    Accidental,
    /// The right side lacks it.
    Omission,
    /// The left side lacks it.
    Addition,
    /// A clef, signature or sign; a corona, ligature, coloration and the like; a whole voice that one
    /// side lacks; a passage that has too little in common to be compared.
    Other,
}

impl DifferenceKind {
    /// Its name, one word.
    pub fn name(self) -> &'static str {
        match self {
            DifferenceKind::Pitch => "pitch",
            DifferenceKind::Value => "value",
            DifferenceKind::Accidental => "accidental",
            DifferenceKind::Omission => "omission",
            DifferenceKind::Addition => "addition",
            DifferenceKind::Other => "other",
        }
    }
}

/// Compares two transcriptions.
///
/// Voices with the same name are compared with each other, others with those that have the most
/// intervals in common. An alignment of least cost says which event is which, so that something left
/// out displaces nothing; the time that takes grows with the length of the voices and with what differs,
/// and passages that have next to nothing in common are not compared further.
pub fn collate<'s>(left: Side<'s>, right: Side<'s>, basis: Basis) -> Collation<'s> {
    let (here, there) = (Voices::of(left, basis), Voices::of(right, basis));
    let mut collation = Collation { differences: Vec::new(), compared: 0, pairs: Vec::new() };
    let matched = pairs::pairs(&here.candidates(), &there.candidates());
    let (mut here, mut there) = (here, there);
    let mut budget = BUDGET;
    for pair in matched {
        let (one, other) = match pair {
            (Some(one), Some(other)) => (one, other),
            (Some(one), None) => {
                collation.differences.extend(differences::alone(&here.voices[one], true));
                continue;
            }
            (None, Some(other)) => {
                collation.differences.extend(differences::alone(&there.voices[other], false));
                continue;
            }
            (None, None) => continue,
        };
        let (one, other) = (&mut here.voices[one], &mut there.voices[other]);
        let events =
            |elements: &[Element<'_>]| elements.iter().filter(|one| one.is_event()).count();
        collation.compared += events(&one.elements).max(events(&other.elements));
        collation.differences.extend(differences::heading(one, other));
        let columns = align(&one.elements, &other.elements, &mut budget);
        let mut pair = Pair {
            voice: one.place,
            left: std::mem::take(&mut one.elements),
            right: std::mem::take(&mut other.elements),
            columns,
            stretches: Vec::new(),
        };
        for (stretch, difference) in differences::differences(&pair, one, other) {
            pair.stretches.push(stretch);
            collation.differences.push(difference);
        }
        collation.pairs.push(pair);
    }
    collation
}

/// The voices of a side, with what is compared of them.
struct Voices<'s> {
    voices: Vec<Compared<'s>>,
}

/// A voice of a side.
struct Compared<'s> {
    side: Side<'s>,
    basis: Basis,
    /// Its place in the piece, or in the score where what sounds is compared.
    place: usize,
    name: &'s str,
    elements: Vec<Element<'s>>,
    places: Option<Places>,
}

impl<'s> Voices<'s> {
    fn of(side: Side<'s>, basis: Basis) -> Voices<'s> {
        let voices = match basis {
            Basis::Printed => {
                let voices = side.piece.voices.iter().enumerate();
                let compared = voices.map(|(place, voice)| Compared {
                    side,
                    basis,
                    place,
                    name: &voice.name,
                    elements: printed(voice),
                    places: Some(Places::of(side.piece, place, side.score)),
                });
                compared.collect()
            }
            Basis::Sounding => {
                let voices = side.score.voices.iter().enumerate();
                let compared = voices.map(|(place, voice)| Compared {
                    side,
                    basis,
                    place,
                    name: &voice.name,
                    elements: sounding(voice, side.score),
                    places: None,
                });
                // A voice that is silent throughout is not in every score.
                compared.filter(|voice| !voice.elements.is_empty()).collect()
            }
        };
        Voices { voices }
    }

    fn candidates(&self) -> Vec<Candidate<'_>> {
        let voices = self.voices.iter();
        voices.map(|voice| Candidate { name: voice.name, elements: &voice.elements }).collect()
    }
}

#[cfg(test)]
mod tests;
