//! What is compared: the printed things of a voice, or what sounds of it.

use std::hash::{DefaultHasher, Hash, Hasher};

use notation::{Dot, Event, ItemKind, Note, Sound, Span, Voice};
use rudiments::{Pitch, Time};

use crate::timed::{Close, Score, TimedVoice};

/// One thing in a voice that is compared.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Element<'s> {
    pub(super) what: What<'s>,
    /// Its place among the items of the printed voice, or among the events of the timed one.
    pub(super) item: usize,
    /// The number of a note or rest; of a mark, that of the one which follows.
    pub(super) index: Option<u32>,
    pub(super) span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub(super) enum What<'s> {
    /// A printed note or rest, and how it is bound to the printed ones beside it.
    Event { event: &'s Event, before: Joint, after: Joint },
    /// A clef, signature, sign or double bar.
    Mark(&'s ItemKind),
    /// What sounds, lowest first, and for how long; nothing sounds in a rest. The last of a section
    /// lasts as long as it is held.
    Sound { pitches: Vec<Pitch>, length: Time, last: bool },
}

/// How two notes that follow each other are bound together.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) enum Joint {
    #[default]
    None,
    Ligature,
    Oblique,
}

/// In what two elements that stand in the same place differ.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Differs {
    pub(super) pitch: bool,
    pub(super) accidental: bool,
    pub(super) value: bool,
    pub(super) other: bool,
    /// A note here, a rest there.
    pub(super) rest: bool,
}

impl Differs {
    /// How unlikely it is that one is written for the other; nothing for equals. (Tuned by no data;
    /// beside what is left out or added, which costs 9 for one event and 1 for each more, a changed
    /// event is cheap. Another pitch or another value costs no more than one event that is left out and
    /// one that is added in a long stretch, so that notes which stand for each other stay together.)
    pub(super) fn cost(self) -> u32 {
        let weight = |differs: bool, weight| if differs { weight } else { 0 };
        weight(self.pitch, 2)
            + weight(self.accidental, 1)
            + weight(self.value, 2)
            + weight(self.other, 1)
            + weight(self.rest, 2)
    }
}

/// The largest cost of two elements that are compared at all.
pub(super) const MOST_COST: u32 = 8;

impl Element<'_> {
    /// In what two elements differ; nothing where they cannot stand for each other.
    pub(super) fn differs(&self, other: &Element<'_>) -> Option<Differs> {
        match (&self.what, &other.what) {
            (
                What::Event { event, before, after },
                What::Event { event: there, before: before_there, after: after_there },
            ) => {
                let mut differs = events(event, there);
                differs.other |= before != before_there || after != after_there;
                Some(differs)
            }
            (What::Mark(here), What::Mark(there)) => {
                let alike = std::mem::discriminant(*here) == std::mem::discriminant(*there);
                let differs = Differs { other: here != there, ..Differs::default() };
                alike.then_some(differs)
            }
            (
                What::Sound { pitches, length, last },
                What::Sound { pitches: there, length: length_there, last: last_there },
            ) => {
                let tones = |pitches: &[Pitch]| -> Vec<i32> {
                    pitches.iter().map(|pitch| pitch.tone.rung()).collect()
                };
                let pitch = pitches != there && tones(pitches) != tones(there);
                Some(Differs {
                    pitch,
                    accidental: !pitch && pitches != there,
                    value: !*last && !*last_there && length != length_there,
                    other: false,
                    rest: pitches.is_empty() != there.is_empty(),
                })
            }
            _ => None,
        }
    }

    pub(super) fn same(&self, other: &Element<'_>) -> bool {
        self.differs(other) == Some(Differs::default())
    }

    /// The same for elements of equal pitch, whatever their values.
    pub(super) fn melody(&self) -> u64 {
        let mut hasher = DefaultHasher::new();
        match &self.what {
            What::Event { event, .. } => {
                for note in event.notes() {
                    note.tone.rung().hash(&mut hasher);
                }
            }
            What::Mark(kind) => std::mem::discriminant(*kind).hash(&mut hasher),
            What::Sound { pitches, .. } => {
                for pitch in pitches {
                    pitch.tone.rung().hash(&mut hasher);
                }
            }
        }
        hasher.finish()
    }

    /// The rung of its lowest, or first, note.
    pub(super) fn rung(&self) -> Option<i32> {
        match &self.what {
            What::Event { event, .. } => event.notes().first().map(|note| note.tone.rung()),
            What::Mark(_) => None,
            What::Sound { pitches, .. } => pitches.first().map(|pitch| pitch.tone.rung()),
        }
    }

    /// Whether it is a note or rest, rather than a mark between them.
    pub(super) fn is_event(&self) -> bool {
        !matches!(self.what, What::Mark(_))
    }
}

fn events(here: &Event, there: &Event) -> Differs {
    let tones = |notes: &[Note]| -> Vec<i32> {
        notes.iter().map(|note| note.tone.rung()).collect::<Vec<i32>>()
    };
    let (notes, others) = (here.notes(), there.notes());
    let pitch = notes != others && tones(notes) != tones(others);
    let spaces = |event: &Event| match event.sound {
        Sound::Rest { spaces } => spaces,
        Sound::Notes(_) => None,
    };
    let decided = |event: &Event| event.dot.filter(|dot| *dot != Dot::Plain);
    let dotted = here.dot.is_some() && there.dot.is_some();
    Differs {
        pitch,
        accidental: !pitch && notes != others,
        value: here.value != there.value
            || here.dot.is_some() != there.dot.is_some()
            || here.length != there.length
            || spaces(here) != spaces(there),
        other: here.signs.printed() != there.signs.printed()
            || here.colored != there.colored
            || (dotted && decided(here) != decided(there)),
        rest: here.is_rest() != there.is_rest(),
    }
}

/// What is printed in a voice: notes and rests, and the marks that change how they are read.
pub(super) fn printed(voice: &Voice) -> Vec<Element<'_>> {
    let mut elements: Vec<Element<'_>> = Vec::new();
    let mut oblique = false;
    // The event before, and its ligature.
    let mut last: Option<(usize, Option<u32>)> = None;
    for (item, found) in voice.items.iter().enumerate() {
        if !found.standing.is_printed() {
            continue;
        }
        let (what, index) = match &found.kind {
            ItemKind::Event(event) => {
                let joint = match (event.ligature, last) {
                    (Some(ligature), Some((_, Some(same)))) if ligature == same => {
                        if oblique {
                            Joint::Oblique
                        } else {
                            Joint::Ligature
                        }
                    }
                    _ => Joint::None,
                };
                if let Some((before, _)) = last
                    && let What::Event { after, .. } = &mut elements[before].what
                {
                    *after = joint;
                }
                last = Some((elements.len(), event.ligature));
                oblique = false;
                (What::Event { event, before: joint, after: Joint::None }, event.index)
            }
            ItemKind::Clef(_)
            | ItemKind::Signature(_)
            | ItemKind::Sign(_)
            | ItemKind::SectionEnd
            | ItemKind::Repeat => (What::Mark(&found.kind), None),
            ItemKind::Oblique => {
                oblique = true;
                continue;
            }
            _ => continue,
        };
        elements.push(Element { what, item, index, span: found.span });
    }
    let mut next = None;
    for element in elements.iter_mut().rev() {
        if element.is_event() {
            next = element.index;
        } else {
            element.index = next;
        }
    }
    elements
}

/// What sounds of a voice: notes with their lengths, rests that follow each other made one, those at
/// the end left out.
pub(super) fn sounding(voice: &TimedVoice, score: &Score) -> Vec<Element<'static>> {
    let ends = score.bars.iter().filter(|bar| bar.close != Close::Plain).map(|bar| bar.end);
    let mut ends = ends.peekable();
    let mut elements: Vec<Element<'static>> = Vec::new();
    for (item, event) in voice.events.iter().enumerate() {
        while ends.next_if(|end| *end < event.end()).is_some() {}
        let last = ends.peek() == Some(&event.end());
        if event.is_rest()
            && let Some(What::Sound { pitches, length, last: before }) =
                elements.last_mut().map(|element| &mut element.what)
            && pitches.is_empty()
        {
            *length += event.length;
            *before |= last;
            continue;
        }
        let mut pitches: Vec<Pitch> = event.notes.iter().map(|note| note.pitch).collect();
        pitches.sort_by_key(|pitch| pitch.key_number());
        let what = What::Sound { pitches, length: event.length, last };
        elements.push(Element { what, item, index: event.index, span: event.span });
    }
    while elements.last().is_some_and(|element| element.rung().is_none()) {
        elements.pop();
    }
    elements
}
