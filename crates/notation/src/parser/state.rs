//! What the parser keeps in mind of each voice.

use rudiments::{Clef, Step, Tone, Value};

use crate::undecided::bare_letter;
use crate::words::PlaceWord;
use crate::{Event, Group, Item, ItemKind, Span, Standing};

/// What is in force at a place of a voice.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(crate) struct InForce {
    /// The value, once there is one.
    pub(crate) value: Option<Value>,
    /// The voice's previous note.
    pub(crate) previous: Option<Tone>,
    /// Which undecided letter the previous note depends on, and where it would stand if that stood at
    /// its other place.
    pub(crate) otherwise: Option<(usize, Tone)>,
    /// The clef, once there is one.
    pub(crate) clef: Option<Clef>,
    /// Whether the event right before has a dot.
    pub(crate) dotted: bool,
}

impl InForce {
    /// The tone that a word means here; nothing where it is in doubt.
    pub(crate) fn tone(self, place: PlaceWord) -> Option<Tone> {
        match place {
            PlaceWord::Letter(step, Some(octave)) => Some(Tone::new(step, octave)),
            PlaceWord::Letter(step, None) => bare_letter(self.clef?, step, self.previous).ok(),
            PlaceWord::Position(place) => Some(self.clef?.tone_at(place)),
        }
    }
}

/// The way through the items of a voice: what is in force, also where groups bring back what was in
/// force before.
#[derive(Clone, Debug)]
pub(crate) struct Course {
    pub(crate) now: InForce,
    /// What was in force where each open group began, and at the end of its printed side.
    groups: Vec<(Group, InForce, Option<InForce>)>,
}

impl Course {
    pub(crate) fn new(clef: Option<Clef>) -> Course {
        Course { now: InForce { clef, ..InForce::default() }, groups: Vec::new() }
    }

    /// Past an item. The value of an event is not put in force: that is done by what is typed before it.
    pub(crate) fn pass(&mut self, kind: &ItemKind) {
        match kind {
            ItemKind::Event(event) => {
                self.now.dotted = event.dot.is_some();
                let first = event.notes().first().map(|note| note.tone);
                self.now.previous = first.or(self.now.previous);
            }
            ItemKind::Clef(clef) => self.now.clef = Some(*clef),
            ItemKind::Open(group) => self.groups.push((*group, self.now, None)),
            ItemKind::Divide => {
                let sided = |group| matches!(group, Group::Emendation | Group::Variant);
                let open = self.groups.iter_mut().rfind(|(group, ..)| sided(*group));
                if let Some((_, entry, printed)) = open {
                    *printed = Some(self.now);
                    self.now = *entry;
                }
            }
            ItemKind::Close(group) => self.close(*group),
            _ => {}
        }
    }

    fn close(&mut self, group: Group) {
        let Some(place) = self.groups.iter().rposition(|(open, ..)| *open == group) else { return };
        let (_, entry, printed) = self.groups.remove(place);
        match group {
            Group::Supplied => self.now.value = entry.value,
            Group::Emendation | Group::Variant => self.now = printed.unwrap_or(self.now),
            Group::Ligature | Group::Coloration => {}
        }
    }

    /// A value is typed before the innermost groups, so many of them.
    pub(crate) fn value_before_groups(&mut self, groups: usize, value: Value) {
        for (_, entry, _) in self.groups.iter_mut().rev().take(groups) {
            entry.value = Some(value);
        }
    }

    /// What will be in force after the innermost group, if that has two sides and is in its second.
    pub(crate) fn printed_end(&self) -> Option<InForce> {
        self.groups.last()?.2
    }
}

/// A group that is open.
#[derive(Clone, Copy, Debug)]
pub(super) struct OpenGroup {
    pub(super) group: Group,
    pub(super) span: Span,
    /// What was in force where it began.
    pub(super) entry: InForce,
    /// The index that the next printed event had where it began.
    pub(super) first_index: u32,
    /// What is in force at the end of the printed side, once that is known.
    pub(super) printed_end: Option<InForce>,
    /// How many events of the read side have taken an index of the printed side.
    pub(super) taken: u32,
}

/// The state of a voice between its tokens.
#[derive(Clone, Debug)]
pub(super) struct VoiceState {
    pub(super) now: InForce,
    pub(super) groups: Vec<OpenGroup>,
    /// Groups whose opening was reported and passed over, so that their closing is not reported.
    pub(super) passed_over: Vec<Group>,
    /// The index of the next printed event.
    pub(super) next_index: u32,
    /// Whether a dot was typed after the value in force instead of after its note.
    pub(super) dot_meant: bool,
    /// How many ligatures have begun.
    pub(super) ligatures: u32,
    /// Whether a missing clef or value was reported already.
    pub(super) clef_missing: bool,
    pub(super) value_missing: bool,
    /// Whether a letter among positions, or the other way round, was reported already.
    pub(super) mixed: bool,
    /// Whether music in a canon voice was reported already.
    pub(super) canon_music: bool,
    /// The letters typed under the clef that opens the voice.
    pub(super) letters: Vec<(Step, Option<i8>)>,
}

impl VoiceState {
    pub(super) fn new(clef: Option<Clef>) -> VoiceState {
        VoiceState {
            now: InForce { clef, ..InForce::default() },
            groups: Vec::new(),
            passed_over: Vec::new(),
            next_index: 1,
            dot_meant: false,
            ligatures: 0,
            clef_missing: false,
            value_missing: false,
            mixed: false,
            canon_music: false,
            letters: Vec::new(),
        }
    }

    pub(super) fn is_open(&self, group: Group) -> bool {
        self.groups.iter().any(|open| open.group == group)
    }

    /// How an item that is typed now stands to the source.
    pub(super) fn standing(&self) -> Standing {
        let side = |wanted| self.groups.iter().find(|open| open.group == wanted);
        if side(Group::Variant).is_some_and(|open| open.printed_end.is_some()) {
            return Standing::Alternative;
        }
        match side(Group::Emendation) {
            Some(open) if open.printed_end.is_none() => Standing::Replaced,
            Some(_) => Standing::Emended,
            None if self.is_open(Group::Supplied) => Standing::Supplied,
            None => Standing::Printed,
        }
    }

    /// The index of an event that is typed now.
    fn index(&mut self, standing: Standing) -> Option<u32> {
        match standing {
            Standing::Printed | Standing::Replaced => {
                self.next_index += 1;
                Some(self.next_index - 1)
            }
            Standing::Emended => {
                let next = self.next_index;
                let open = self.groups.iter_mut().find(|open| open.group == Group::Emendation)?;
                let index = open.first_index + open.taken;
                open.taken += 1;
                (index < next).then_some(index)
            }
            Standing::Supplied | Standing::Alternative => None,
        }
    }

    /// The item of an event that is typed now: its index, coloration and ligature are filled in.
    pub(super) fn event(&mut self, span: Span, mut event: Event) -> Item {
        let standing = self.standing();
        event.index = self.index(standing);
        event.colored = self.is_open(Group::Coloration);
        event.ligature = self.is_open(Group::Ligature).then(|| self.ligatures - 1);
        Item { span, standing, kind: ItemKind::Event(event) }
    }
}
