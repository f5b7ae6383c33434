//! Subjects and their imitation: entries, duos, canons.
//!
//! A melody that comes again is an entry if so much of it comes again that it is no chance: see
//! `windows` for where it is looked for, `likeness` for what may differ, `rarity` for what is
//! no chance, and `subjects` for which entries are of one subject. A canon over the whole length
//! is one thing, and is looked for first.

mod canons;
mod compared;
mod duos;
mod entries;
mod likeness;
mod melody;
mod rarity;
mod subjects;
pub mod syllables;
mod windows;

use notation::Piece;
use rudiments::{Pitch, Time, Value};
use score::Score;

use crate::observe::EventId;
use crate::texture::Texture;
use likeness::{Material, Place};
use melody::Melody;
use rarity::Rarity;
use subjects::Typed;
use syllables::Solmization;

/// What is imitated in a piece, and how.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Imitations {
    /// The subjects, in order of their first entries: S1, S2 and so on.
    pub subjects: Vec<Subject>,
    /// The entries of all subjects, in order of time; at one moment top voice first.
    pub entries: Vec<Entry>,
    /// Two voices that enter one after the other, and other two that answer them.
    pub duos: Vec<Duo>,
    /// The canons over the whole length. Voices that follow in one have no entries beside.
    pub canons: Vec<Canon>,
}

/// A subject.
#[derive(Clone, PartialEq, Debug)]
pub struct Subject {
    /// Its model: the first entry that has all of it, as a place in [`Imitations::entries`]; or the
    /// one that the head of the piece names.
    pub model: usize,
    /// Its entries in order of time, as places in [`Imitations::entries`].
    pub entries: Vec<usize>,
    /// Its notes, as the model has them. Whatever follows there is its continuation.
    pub notes: Vec<EventId>,
    /// Steps from each note to the next.
    pub shape: Vec<i32>,
    /// The syllables of its notes.
    pub syllables: Vec<Solmization>,
    /// The value of its first note.
    pub first_value: Value,
    /// Whether that is dotted.
    pub dotted: bool,
    /// How long it lasts, in minims.
    pub length: Time,
    /// Whether the head of the piece names it.
    pub named: bool,
}

/// A voice that enters with a subject.
#[derive(Clone, PartialEq, Debug)]
pub struct Entry {
    /// The subject, as a place in [`Imitations::subjects`].
    pub subject: usize,
    /// Its first note.
    pub first: EventId,
    /// Its last note: that with which the subject ends, or up to which it goes with it.
    pub last: EventId,
    /// When it begins, in minims.
    pub onset: Time,
    /// When its last note is over.
    pub end: Time,
    /// How it stands to the entry before it in time; nothing for the first.
    pub before: Option<Relation>,
    /// How it stands to the model; nothing for that itself.
    pub model: Option<Relation>,
    /// How it goes, against the model.
    pub form: Form,
    /// How it is like the model.
    pub quality: Quality,
    /// With [`Quality::Steps`], the fewest signs that would make it exact: notes as they would
    /// sound, each step once.
    pub signs: Vec<Pitch>,
    /// The syllables of its notes.
    pub syllables: Vec<Solmization>,
    /// How many notes it has.
    pub notes: usize,
    /// How many of these are at the same interval from the model's, in semitones.
    pub exact: usize,
    /// How many notes go with the model's in all, its continuation included.
    pub along: usize,
    /// Whether it begins before the entry before it has ended.
    pub meeting: Option<Meeting>,
    /// What it does otherwise than the model.
    pub freedoms: Freedoms,
}

/// How one entry stands to another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Relation {
    /// The other, as a place in [`Imitations::entries`].
    pub entry: usize,
    /// Staff steps from its first note up to this one's, negative down.
    pub steps: i32,
    /// Minims from its beginning to this one's.
    pub delay: Time,
}

/// In which form a subject enters.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Form {
    /// As it is.
    Direct,
    /// Up for down.
    Inverted,
    /// In values twice as long.
    Augmented,
    /// In values half as long.
    Diminished,
}

impl Form {
    /// Its word, for machines.
    pub fn name(self) -> &'static str {
        match self {
            Form::Direct => "direct",
            Form::Inverted => "inverted",
            Form::Augmented => "augmented",
            Form::Diminished => "diminished",
        }
    }
}

/// How an answer is like its model (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 51 and 52, on
/// fuga and imitatione; from memory).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Quality {
    /// Every interval is the same in semitones.
    Exact,
    /// Every interval has the same steps.
    Steps,
    /// A fifth is answered by a fourth, or a fourth by a fifth, among the first two intervals.
    Head,
}

impl Quality {
    /// Its word, for machines.
    pub fn name(self) -> &'static str {
        match self {
            Quality::Exact => "exact",
            Quality::Steps => "steps",
            Quality::Head => "head",
        }
    }
}

/// How an entry meets the one before it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Meeting {
    /// It begins so many minims before the other has ended its subject.
    Close(Time),
    /// It begins when the other has ended, or later.
    After,
}

/// What an entry does otherwise than its model, though it is an entry.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Freedoms {
    /// The first note has another value.
    pub first_value: bool,
    /// Values within are others.
    pub values: bool,
    /// A note is repeated, or repeated notes are one.
    pub repetition: bool,
    /// It breaks off, or ends otherwise, before the end of the subject.
    pub shorter: bool,
    /// It begins on the other minim of the tactus.
    pub other_minim: bool,
}

/// Two voices that enter one after the other, and how they stand to a pair before.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Duo {
    /// The entry that begins, as a place in [`Imitations::entries`].
    pub first: usize,
    /// The entry of the other voice.
    pub second: usize,
    /// Whether no other voice begins a note after the first has entered, until the second has ended
    /// its subject.
    pub alone: bool,
    /// The duo that it answers.
    pub answers: Option<Answer>,
}

/// How a duo answers another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Answer {
    /// The other duo, as a place in [`Imitations::duos`].
    pub duo: usize,
    /// Staff steps from the other's first voice up to this one's.
    pub steps: i32,
    /// Minims from the other's beginning to this one's.
    pub delay: Time,
    /// Which voice is above.
    pub order: Order,
}

/// Whether the voice that is above in one duo is above in the other.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Order {
    /// The same voice is above, and at the same interval.
    Same,
    /// They are exchanged, by an octave.
    Exchanged,
}

/// Voices that follow another throughout.
#[derive(Clone, PartialEq, Debug)]
pub struct Canon {
    /// The first note of the voice that is followed, the dux.
    pub dux: EventId,
    /// Those that follow it, in order of time.
    pub followers: Vec<Follower>,
}

/// A voice that follows another throughout.
#[derive(Clone, PartialEq, Debug)]
pub struct Follower {
    /// Its first note.
    pub first: EventId,
    /// Its last note that follows.
    pub last: EventId,
    /// When it begins, in minims.
    pub onset: Time,
    /// Staff steps from the first note of the dux up to its own.
    pub steps: i32,
    /// Minims from the beginning of the dux to its own.
    pub delay: Time,
    /// How it goes, against the dux.
    pub form: Form,
    /// Whether it is exact.
    pub quality: Quality,
    /// How many of its notes follow.
    pub notes: usize,
    /// How many of these are at the same interval from the dux, in semitones.
    pub exact: usize,
    /// Whether the source does not write it out.
    pub unwritten: bool,
}

/// So many subjects of the head are looked for: each is compared with the whole piece.
const NAMED_SUBJECTS: usize = 32;

/// What is imitated in a piece, and how.
pub fn imitations(piece: &Piece, score: &Score) -> Imitations {
    of(&Texture::new(piece, score), piece, score)
}

/// The same, where the texture is at hand.
pub(crate) fn of(texture: &Texture, piece: &Piece, score: &Score) -> Imitations {
    let canons = canons::canons(texture, piece);
    let follows = |voice: usize| {
        canons
            .iter()
            .flat_map(|canon| &canon.followers)
            .any(|follower| follower.first.voice == voice)
    };
    let lines = 0..texture.lines.len();
    let melodies: Vec<Melody> = lines
        .filter(|line| !follows(texture.lines[*line].voice))
        .map(|line| Melody::of(texture, line))
        .collect();
    let rarity = Rarity::of(&melodies);
    let material = Material { melodies, rarity, minim: texture.minim };
    let matches = windows::matches(&material);
    let found = subjects::subjects(&material, &matches, &named(&material, texture, piece, score));
    let (subjects, entries) = entries::entries(&material, texture, score, &found);
    let duos = duos::duos(&entries, texture);
    Imitations { subjects, entries, duos, canons }
}

/// The subjects that the head names, where they stand in the melodies.
fn named(material: &Material, texture: &Texture, piece: &Piece, score: &Score) -> Vec<Typed> {
    let subjects = piece.head.subjects.iter().take(NAMED_SUBJECTS);
    subjects
        .filter_map(|subject| {
            let melody = material
                .melodies
                .iter()
                .position(|melody| texture.lines[melody.line].place == subject.voice)?;
            let line = &texture.lines[material.melodies[melody].line];
            let numbered = |note: &usize| {
                let note = &line.notes[*note];
                let index = score.voices[line.voice].events[note.event as usize].index;
                let is_it =
                    index.is_some_and(|index| (subject.first..=subject.last).contains(&index));
                note.pitch.is_some() && is_it
            };
            let first = (0..line.notes.len()).find(numbered)?;
            let last = (0..line.notes.len()).rfind(numbered)?;
            let tones = &material.melodies[melody].tones;
            let tone = tones.partition_point(|tone| tone.last < first);
            let end = tones.partition_point(|tone| tone.first <= last);
            let place = Place { melody, tone };
            (end > tone + 1).then_some(Typed { place, tones: end - tone, notes: (first, last) })
        })
        .collect()
}

#[cfg(test)]
mod tests;
