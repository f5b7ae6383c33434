//! A subject: a short melody that one voice begins and others take up.

use std::fmt;

use rudiments::{Accidental, Mensuration, Pitch, Signature, Step, Time, Tone};

/// So many notes a subject may have at most: far more than is ever imitated closely.
pub const MOST_NOTES: usize = 128;

/// So many minims it may last.
const MOST_MINIMS: i64 = 512;

/// So fine its time may be: parts of a minim.
const FINEST: i64 = 96;

/// A note of a subject.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Sung {
    /// What sounds.
    pub pitch: Pitch,
    /// When it begins, in minims from the first note.
    pub at: Time,
    /// How long it lasts, in minims.
    pub length: Time,
    /// Its number among the notes and rests of the subject, from 1.
    pub number: u32,
}

impl Sung {
    /// When it is over.
    pub fn end(self) -> Time {
        self.at + self.length
    }
}

/// A subject, from its first note to its last; rests may stand between.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Subject {
    notes: Vec<Sung>,
    signature: Signature,
    mensuration: Mensuration,
    /// How long after a breve of the tactus it begins.
    upbeat: Time,
}

/// Why some notes are no subject.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoSubject {
    /// There is no note.
    Empty,
    /// There are more than [`MOST_NOTES`] notes, or they last too long.
    TooLong,
    /// Its time is divided too finely.
    TooFine,
}

impl fmt::Display for NoSubject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoSubject::Empty => f.write_str("the subject has no note"),
            NoSubject::TooLong => write!(
                f,
                "the subject is too long: at most {MOST_NOTES} notes and {MOST_MINIMS} minims can be \
                 imitated closely"
            ),
            NoSubject::TooFine => f.write_str("the subject divides the minim too finely"),
        }
    }
}

impl std::error::Error for NoSubject {}

impl Subject {
    /// A subject of these notes, in order of time and none over another, under a signature; `begin` is
    /// where in the piece it begins, in minims, by which strong and weak places are told apart.
    ///
    /// # Errors
    /// If there is no note, or if there are too many or too short ones.
    pub fn new(
        mut notes: Vec<Sung>,
        signature: Signature,
        mensuration: Mensuration,
        begin: Time,
    ) -> Result<Subject, NoSubject> {
        let first = notes.first().ok_or(NoSubject::Empty)?.at;
        for note in &mut notes {
            note.at = note.at - first;
        }
        let end = notes.last().map_or(Time::ZERO, |last| last.end());
        if notes.len() > MOST_NOTES || end > Time::minims(MOST_MINIMS) {
            return Err(NoSubject::TooLong);
        }
        let times = || notes.iter().flat_map(|note| [note.at, note.length]).chain([begin]);
        if times().any(|time| FINEST % time.denominator() != 0) {
            return Err(NoSubject::TooFine);
        }
        // Eighteen minims are a breve of perfect time and major prolation twice over; four, eight and
        // twelve of plain counting go into 72 as well.
        let upbeat = begin.within(Time::minims(72));
        Ok(Subject { notes, signature, mensuration, upbeat })
    }

    /// A subject of notes that follow one another from the beginning of a piece in plain counting.
    ///
    /// # Errors
    /// As [`Subject::new`].
    pub fn of_notes(
        notes: impl IntoIterator<Item = (Pitch, Time)>,
        signature: Signature,
    ) -> Result<Subject, NoSubject> {
        let mut at = Time::ZERO;
        let sung = (1..).zip(notes).map(|(number, (pitch, length))| {
            let note = Sung { pitch, at, length, number };
            at += length;
            note
        });
        Subject::new(sung.collect(), signature, Mensuration::IMPERFECT, Time::ZERO)
    }

    /// Its notes.
    pub fn notes(&self) -> &[Sung] {
        &self.notes
    }

    /// The signature under which it is sung.
    pub fn signature(&self) -> Signature {
        self.signature
    }

    /// How long it lasts, in minims.
    pub fn length(&self) -> Time {
        self.notes.last().map_or(Time::ZERO, |last| last.end())
    }

    /// How its values are divided.
    pub fn mensuration(&self) -> Mensuration {
        self.mensuration
    }

    /// How long after a breve of the tactus it begins, in minims.
    pub fn upbeat(&self) -> Time {
        self.upbeat
    }

    /// The length that most of its notes have; of several, the shortest.
    pub fn value(&self) -> Time {
        let mut lengths: Vec<Time> = self.notes.iter().map(|note| note.length).collect();
        lengths.sort_unstable();
        let runs = lengths.chunk_by(|one, other| one == other).rev();
        runs.max_by_key(|run| run.len()).map_or(Time::minims(1), |run| run[0])
    }

    /// By what delays are counted: half of its value, but not more than a minim and not less than a
    /// semiminim.
    pub fn unit(&self) -> Time {
        if self.value().half() >= Time::minims(1) { Time::minims(1) } else { Time::new(1, 2) }
    }

    /// The pitch of a note moved by staff steps: under the signature, and altered as the note is. A
    /// sharp makes *mi* and a flat *fa*, as for a voice that follows in canon.
    pub fn answer(&self, note: Sung, steps: i32) -> Pitch {
        let tone = note.pitch.tone.up(steps);
        let plain = self.signature.alteration(note.pitch.tone.step);
        let there = self.signature.alteration(tone.step);
        let alteration = match note.pitch.alteration - plain {
            0 => there,
            above if above > 0 => Accidental::Sharp.alteration(tone.step, there),
            _ => Accidental::Flat.alteration(tone.step, there),
        };
        Pitch::new(tone, alteration)
    }

    /// Its inversion about D, or about G where B is flat in the signature: tones stay tones and
    /// semitones stay semitones, since the steps lie alike on both sides (common practice).
    #[must_use]
    pub fn mirrored(&self) -> Subject {
        let flat = self.signature.alteration(Step::B) < 0;
        let center = if flat { Tone::new(Step::G, 4) } else { Tone::new(Step::D, 4) };
        let mirrored = |pitch: Pitch| {
            let tone = center.up(center.steps_above(pitch.tone));
            let altered = pitch.alteration - self.signature.alteration(pitch.tone.step);
            Pitch::new(tone, self.signature.alteration(tone.step) - altered)
        };
        let notes = self.notes.iter().map(|note| Sung { pitch: mirrored(note.pitch), ..*note });
        Subject { notes: notes.collect(), ..self.clone() }
    }
}
