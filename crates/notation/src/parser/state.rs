//! What the parser keeps in mind of each voice.

use rudiments::{Clef, Step, Tone, Value};

use crate::{Event, Group, Item, ItemKind, Span, Standing};

/// What is in force at a place of a voice.
#[derive(Clone, Copy, Debug, Default)]
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
