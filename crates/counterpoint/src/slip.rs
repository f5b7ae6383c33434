//! What goes wrong when music is copied, and what would be read instead.

use rudiments::{Accidental, Tone, Value};

use crate::kinds::named;
use crate::rules::rule::{Prior, Weighed};

named! {
    /// The kinds of slips of whoever copies music.
    pub enum Kind {
        /// There is none.
        None = "none",
        /// A value is half of what it should be.
        ValueHalved = "value halved",
        /// It is twice that.
        ValueDoubled = "value doubled",
        /// A dot is missing.
        DotMissing = "dot missing",
        /// A dot is too many.
        DotTooMany = "dot too many",
        /// A dotted note and what completes it have half their values.
        PairHalved = "pair halved",
        /// They have twice their values.
        PairDoubled = "pair doubled",
        /// A note is left out.
        NoteLeftOut = "note left out",
        /// A rest is left out beside rests.
        RestLeftOut = "rest left out",
        /// A rest is left out between notes.
        RestBetweenNotesLeftOut = "rest between notes left out",
        /// A note stands twice.
        NoteTwice = "note twice",
        /// A rest stands twice.
        RestTwice = "rest twice",
        /// A rest is too many.
        RestTooMany = "rest too many",
        /// A line of the source is left out.
        LineLeftOut = "line left out",
        /// A value word is left out, so that the one before it goes on.
        ValueWordLeftOut = "value word left out",
        /// A value word is another than it should be.
        ValueWordWrong = "value word wrong",
        /// A value word is too many: the one before it should go on.
        ValueWordTooMany = "value word too many",
        /// A note stands a step away.
        Step = "step",
        /// A note stands a third away.
        Third = "third",
        /// A note stands an octave away.
        Octave = "octave",
        /// Two notes stand in each other's place.
        Exchanged = "notes exchanged",
        /// A sign is left out.
        AccidentalLeftOut = "sign left out",
        /// A sign is too many.
        AccidentalTooMany = "sign too many",
        /// A stretch is read under a wrong clef.
        WrongClef = "wrong clef",
    }
}

impl Weighed for Kind {
    const NAME: &'static str = "slip";
    const PRIOR: Prior = Prior::Given(&{
        let mut weights = [3.0; Kind::ALL.len()];
        weights[Kind::None as usize] = 0.0;
        weights
    });
}

impl Kind {
    /// Whether an event repeats the one before.
    pub(crate) fn is_twin(self) -> bool {
        matches!(self, Kind::NoteTwice | Kind::RestTwice)
    }

    /// Whether it is a slip in the pitch of a note or two, which may also be meant.
    pub(crate) fn is_of_one_pitch(self) -> bool {
        use Kind::{AccidentalLeftOut, AccidentalTooMany, Exchanged, Octave, Step, Third};
        matches!(self, Step | Third | Octave | Exchanged | AccidentalLeftOut | AccidentalTooMany)
    }

    /// Whether all that follows is displaced in time.
    pub fn is_rhythm(self) -> bool {
        self > Kind::None && self < Kind::Step
    }
}

/// What is read instead of what is typed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Repair {
    /// Another value, with or without a dot.
    Value {
        /// The value.
        value: Value,
        /// Whether it is dotted.
        dotted: bool,
    },
    /// Another value for this event and the next; their dots stay.
    Pair {
        /// The value of this event.
        first: Value,
        /// The value of the next.
        second: Value,
    },
    /// Values so many degrees smaller, or larger if negative, for so many events from this one on,
    /// as under another value word.
    Degrees {
        /// Degrees: 1 makes a minim of a semibreve.
        smaller: i32,
        /// How many events.
        events: u32,
    },
    /// A note before this event.
    InsertNote {
        /// Its value.
        value: Value,
        /// Whether it is dotted.
        dotted: bool,
        /// Its tone.
        tone: Tone,
    },
    /// A rest before this event.
    InsertRest {
        /// Its value.
        value: Value,
    },
    /// Nothing: the event is one too many.
    Delete,
    /// So many ticks of music before this event that nobody can guess.
    InsertLine {
        /// How long it is, in ticks.
        ticks: i64,
    },
    /// Another tone.
    Tone(Tone),
    /// The tones of this note and the next, exchanged.
    Exchange {
        /// The tone of this note then.
        first: Tone,
        /// The tone of the next.
        second: Tone,
    },
    /// The same tone with a printed sign, or with none.
    Sign(Option<Accidental>),
    /// So many steps higher, or lower, for so many events from this one on.
    Transpose {
        /// Steps, up positive.
        steps: i32,
        /// How many events.
        events: u32,
    },
}
