//! The signs so far, and what sounds with them.

use rudiments::{Accidental, Time};

use super::{AccidentalReason, Doubt, ProposedAccidental};
use crate::dyad::{Discord, Dyad};
use crate::study::moments::{Moments, NoteRef};
use crate::texture::{Height, Note, Texture};

/// Minims, a semibreve, for which a note is remembered as it was heard in another voice.
pub(super) const BEFORE: i64 = 2;

/// The signs that are proposed so far.
pub(super) struct Signs<'t> {
    pub(super) texture: &'t Texture,
    pub(super) moments: &'t Moments,
    /// For each line and note the semitones by which a certain sign alters it.
    altered: Vec<Vec<i16>>,
    /// Whether a note has a sign, or must have none.
    settled: Vec<Vec<bool>>,
    proposed: Vec<(ProposedAccidental, NoteRef)>,
}

impl<'t> Signs<'t> {
    pub(super) fn new(texture: &'t Texture, moments: &'t Moments) -> Signs<'t> {
        let notes = || texture.lines.iter().map(|line| &line.notes);
        // A sign of the source stands; so does one of the editor.
        let has_sign = |note: &Note| note.pitch.is_none_or(|pitch| pitch.altered);
        Signs {
            texture,
            moments,
            altered: notes().map(|notes| vec![0; notes.len()]).collect(),
            settled: notes().map(|notes| notes.iter().map(has_sign).collect()).collect(),
            proposed: Vec::new(),
        }
    }

    /// All of them, in order of time, but for those that contradict a certain one.
    pub(super) fn proposed(self) -> Vec<ProposedAccidental> {
        let stands = |(one, note): &&(ProposedAccidental, NoteRef)| {
            one.is_certain() || !self.contradicts(*note, one)
        };
        let mut proposed: Vec<ProposedAccidental> =
            self.proposed.iter().filter(stands).map(|(one, _)| *one).collect();
        proposed.sort_by_key(|one| (one.at, one.event));
        proposed
    }

    /// Whether a note with the sign would make a chromatic interval with a sign of the source or a certain
    /// one: at the same time in another voice, or directly before or after in its own.
    fn contradicts(&self, note: NoteRef, one: &ProposedAccidental) -> bool {
        let Note { onset, end, signature, .. } = *note.of(self.texture);
        let sounds = Height::of(one.pitch, signature);
        let is_false = |other: NoteRef| {
            let added = self.altered[other.line as usize][other.note as usize] != 0;
            self.height(other).is_some_and(|height| {
                (height.altered || added)
                    && Dyad::of(sounds, height, true) == Dyad::Discord(Discord::Chromatic)
            })
        };
        let beside = [note.before(), note.after(self.texture)].into_iter().flatten();
        beside.chain(self.together(note, onset, end)).any(is_false)
    }

    /// Proposes the signs so far for what repeats their notes directly. An editor's sign, unlike a
    /// printed one, holds for its note alone.
    pub(super) fn repeat(&mut self) {
        for place in 0..self.proposed.len() {
            let (one, note) = self.proposed[place];
            let by = if one.sign == Accidental::Sharp { 1 } else { -1 };
            let mut next = note.after(self.texture);
            while let Some(again) = next.filter(|again| again.of(self.texture).come == Some(0)) {
                self.propose_unless(again, by, AccidentalReason::Repeated, |_, _| one.doubt);
                next = again.after(self.texture);
            }
        }
    }

    /// What a note sounds, with the certain signs.
    pub(super) fn height(&self, note: NoteRef) -> Option<Height> {
        let NoteRef { line, note: place } = note;
        let height = note.of(self.texture).pitch?;
        let by = self.altered[line as usize][place as usize];
        Some(Height { semitones: height.semitones + by, ..height })
    }

    /// The notes of a line, rests included.
    pub(super) fn notes(&self, line: usize) -> impl Iterator<Item = NoteRef> + use<> {
        (0..self.texture.lines[line].notes.len()).map(move |note| NoteRef::new(line, note))
    }

    /// Whether a note has a sign, or must have none.
    pub(super) fn is_settled(&self, note: NoteRef) -> bool {
        self.settled[note.line as usize][note.note as usize]
    }

    /// Lets a note have no sign, if it has none.
    pub(super) fn settle(&mut self, note: NoteRef) {
        self.settled[note.line as usize][note.note as usize] = true;
    }

    /// Proposes to raise a note by a semitone, or to lower it, unless it is settled. A doubt of the
    /// rule itself counts before what else speaks against it.
    pub(super) fn propose(
        &mut self,
        note: NoteRef,
        by: i16,
        reason: AccidentalReason,
        doubt: Option<Doubt>,
    ) {
        self.propose_unless(note, by, reason, |signs, sounds| {
            doubt
                .or_else(|| signs.augmented_step(note, sounds))
                .or_else(|| signs.natural(note, sounds, BEFORE))
        });
    }

    /// The same, with what speaks against it as the rule finds it.
    pub(super) fn propose_unless(
        &mut self,
        note: NoteRef,
        by: i16,
        reason: AccidentalReason,
        doubt: impl FnOnce(&Signs<'_>, Height) -> Option<Doubt>,
    ) {
        let Some(height) = self.height(note).filter(|_| !self.is_settled(note)) else { return };
        let sounds = Height { semitones: height.semitones + by, ..height };
        let sign = if by > 0 { Accidental::Sharp } else { Accidental::Flat };
        let signature = note.of(self.texture).signature;
        let pitch = sounds.pitch();
        // A sharp on E, or a flat on C, is no sign of this music.
        if sign.alteration(pitch.tone.step, signature.alteration(pitch.tone.step))
            != pitch.alteration
        {
            return;
        }
        let doubt = doubt(self, sounds);
        self.settle(note);
        if doubt.is_none() {
            self.altered[note.line as usize][note.note as usize] = by;
        }
        let at = Time::new(note.of(self.texture).onset, self.texture.minim);
        let event = note.id(self.texture);
        let one = ProposedAccidental { event, at, sign, pitch, reason, doubt };
        self.proposed.push((one, note));
    }

    /// Whether the line would go to or from a note that sounds so by an augmented step.
    pub(super) fn augmented_step(&self, note: NoteRef, sounds: Height) -> Option<Doubt> {
        let beside = [note.before(), note.after(self.texture)];
        let heights = beside.into_iter().flatten().filter_map(|beside| self.height(beside));
        let is_augmented = |other: Height| {
            (other.rung - sounds.rung).abs() == 1 && (other.semitones - sounds.semitones).abs() > 2
        };
        heights.into_iter().any(is_augmented).then_some(Doubt::AugmentedStep)
    }

    /// Another voice that has the note otherwise: together with it, or so many minims before. What comes
    /// after, nobody has heard yet.
    pub(super) fn natural(&self, note: NoteRef, sounds: Height, before: i64) -> Option<Doubt> {
        let Note { onset, end, .. } = *note.of(self.texture);
        let differs = |other: &NoteRef| {
            self.height(*other).is_some_and(|other| {
                let (steps, semitones) =
                    (other.rung - sounds.rung, other.semitones - sounds.semitones);
                steps % 7 == 0 && semitones % 12 != 0
            })
        };
        let other = self.together(note, onset - before * self.texture.minim, end).find(differs)?;
        Some(Doubt::Natural(other.id(self.texture)))
    }

    /// The notes of all other lines that sound between two moments.
    fn together(&self, note: NoteRef, from: i64, to: i64) -> impl Iterator<Item = NoteRef> + '_ {
        let lines = self.texture.lines.iter().enumerate();
        let others = lines.filter(move |(line, _)| *line != note.line as usize);
        others.flat_map(move |(line, of_line)| {
            let first = of_line.notes.partition_point(|other| other.end <= from);
            let near = of_line.notes[first..].iter().take_while(move |other| other.onset < to);
            near.enumerate().map(move |(place, _)| NoteRef::new(line, first + place))
        })
    }

    /// What two notes make, as parts of all that sounds at a moment.
    pub(super) fn dyad(&self, at: i64, one: NoteRef, other: NoteRef) -> Option<Dyad> {
        let lowest = self.moments.at(at)?.lowest()?.note;
        let is_lowest = one == lowest || other == lowest;
        Some(Dyad::of(self.height(one)?, self.height(other)?, is_lowest))
    }
}
