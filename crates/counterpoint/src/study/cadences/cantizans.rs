//! The way of the cantizans from the resolution on.

use crate::study::moments::NoteRef;
use crate::texture::{Height, Note, Texture};

/// How a suspension and its leading note are ornamented.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum CadenceOrnament {
    /// The suspended note is struck again on the dissonance.
    Restruck,
    /// The resolution comes early, and again in its place.
    Anticipated,
    /// The third below comes before the resolution.
    ThirdBelow,
    /// A rest comes before the resolution.
    Rest,
    /// The leading note turns: its lower neighbour, and itself again.
    Turned,
    /// The goal is reached from the third below.
    UnderThird,
}

impl CadenceOrnament {
    /// In a word, as the JSON has it.
    pub fn word(self) -> &'static str {
        match self {
            CadenceOrnament::Restruck => "restruck",
            CadenceOrnament::Anticipated => "anticipated",
            CadenceOrnament::ThirdBelow => "third-below",
            CadenceOrnament::Rest => "rest",
            CadenceOrnament::Turned => "turned",
            CadenceOrnament::UnderThird => "under-third",
        }
    }

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            CadenceOrnament::Restruck => "struck again",
            CadenceOrnament::Anticipated => "resolution anticipated",
            CadenceOrnament::ThirdBelow => "third below first",
            CadenceOrnament::Rest => "rest before the resolution",
            CadenceOrnament::Turned => "turned",
            CadenceOrnament::UnderThird => "from the third below",
        }
    }
}

/// A suspended voice, and where it may go.
#[derive(Clone, Copy)]
pub(super) struct Cantizans<'t> {
    pub(super) texture: &'t Texture,
    pub(super) line: usize,
    /// What was suspended, and is the goal.
    pub(super) goal: Height,
    /// The place of what was suspended in the line.
    pub(super) held: usize,
    /// The place of the leading note to which it resolves.
    pub(super) first: usize,
    /// No goal is looked for after this.
    pub(super) limit: i64,
}

impl<'t> Cantizans<'t> {
    fn notes(&self) -> &'t [Note] {
        &self.texture.lines[self.line].notes
    }

    /// Steps above the goal.
    fn steps(&self, note: &Note) -> Option<i16> {
        note.pitch.map(|pitch| pitch.rung - self.goal.rung)
    }

    /// Whether it strikes the goal at a moment, coming from the leading note and having stayed near it.
    pub(super) fn strikes_goal_at(&self, at: i64) -> bool {
        let since = &self.notes()[self.first..];
        let Ok(place) = since.binary_search_by_key(&at, |note| note.onset) else { return false };
        let stays = |note: &Note| self.steps(note).is_some_and(|steps| (-3..=1).contains(&steps));
        place > 0 && self.steps(&since[place]) == Some(0) && since[..place].iter().all(stays)
    }

    /// The place of the note with which it comes to the goal by itself: after nothing but the
    /// leading note and its lower neighbour, and not on the way back to them.
    pub(super) fn goal(&self) -> Option<usize> {
        let notes = self.notes();
        for (place, note) in notes.iter().enumerate().skip(self.first + 1) {
            if note.onset > self.limit {
                return None;
            }
            match self.steps(note)? {
                -1 | -2 => {}
                0 => {
                    let goes_back = notes.get(place + 1).is_some_and(|next| {
                        self.steps(next) == Some(-1) && next.onset < self.limit
                    });
                    let is_short = note.end - note.onset < self.texture.minim;
                    if !(goes_back && is_short) {
                        return Some(place);
                    }
                }
                _ => return None,
            }
        }
        None
    }

    /// When it leaves the leading note.
    pub(super) fn leaves(&self) -> i64 {
        let notes = &self.notes()[self.first..];
        let leading = notes.iter().take_while(|note| self.steps(note) == Some(-1));
        leading.last().map_or(i64::MAX, |last| last.end)
    }

    /// What it sounds between what was suspended and a moment.
    pub(super) fn until(&self, at: i64) -> Vec<NoteRef> {
        let after = self.held + 1;
        let until =
            self.notes()[after..].iter().enumerate().take_while(|(_, note)| note.onset < at);
        let sung = until.filter(|(_, note)| note.pitch.is_some());
        sung.map(|(place, _)| NoteRef::new(self.line, after + place)).collect()
    }

    /// The last leading note among these.
    pub(super) fn last_leading(&self, way: &[NoteRef]) -> NoteRef {
        let leads = |note: &&NoteRef| self.steps(note.of(self.texture)) == Some(-1);
        way.iter().rev().find(leads).copied().unwrap_or(NoteRef::new(self.line, self.first))
    }

    /// How the leading note is ornamented on this way, which reaches the goal or not.
    pub(super) fn ornaments(&self, way: &[NoteRef], arrives: bool) -> Vec<CadenceOrnament> {
        let steps: Vec<Option<i16>> =
            way.iter().map(|note| self.steps(note.of(self.texture))).collect();
        let turned = steps.windows(3).any(|three| three == [Some(-1), Some(-2), Some(-1)]);
        let under = arrives && steps.last() == Some(&Some(-2));
        let ornaments = [(turned, CadenceOrnament::Turned), (under, CadenceOrnament::UnderThird)];
        ornaments.into_iter().filter(|(is, _)| *is).map(|(_, ornament)| ornament).collect()
    }
}
