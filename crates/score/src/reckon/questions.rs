//! What may be read in more than one way: the questions that a piece asks, and readings for them.

use notation::Span;
use rudiments::Sign;

/// What may be read in more than one way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Question {
    /// The stroke of a sign, where other voices have none: nothing; or twice as fast.
    Stroke,
    /// The dot of prolation, where other voices have none: nothing; or twice as slow.
    Augmentation,
    /// The reversed half circle: twice as fast; nothing; or four in the time of three.
    Reversed,
    /// The figure 3, alone or after a circle: see [`Triple`].
    Triple,
    /// 3/2 or 3/1, alone or after a circle: which value is perfect; see [`Triple`].
    Fraction,
    /// Any other figure alone: so many in the time of one; or nothing, as a meter.
    Figure,
    /// A figure 3 at black notes: it marks the group; or it is a sign of proportion.
    Group,
    /// Black notes in duple time: the usual; two thirds; or three for one.
    Coloration,
}

/// How black notes are read in duple time, where no ratio decides it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Duple {
    /// As the sign and the notes suggest: two thirds, or three for one.
    Usual,
    /// Two thirds of the plain value.
    Thirds,
    /// Three in the time of one white.
    ThreeForOne,
}

/// How a figure 3 is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Triple {
    /// Three in the time of two; the usual value is perfect.
    Sesquialtera,
    /// The same, but nothing is perfect.
    Imperfect,
    /// The same, but the other of breve and semibreve is perfect.
    OtherPerfect,
    /// Three in the time of one; the usual value is perfect.
    Tripla,
    /// The same, but nothing is perfect.
    TriplaImperfect,
}

impl Question {
    pub(super) const ALL: [Question; 8] = [
        Question::Stroke,
        Question::Augmentation,
        Question::Reversed,
        Question::Triple,
        Question::Fraction,
        Question::Figure,
        Question::Group,
        Question::Coloration,
    ];

    /// How many readings there are.
    pub(super) fn readings(self) -> u8 {
        match self {
            Question::Stroke | Question::Augmentation | Question::Figure | Question::Group => 2,
            Question::Reversed | Question::Fraction | Question::Coloration => 3,
            Question::Triple => 5,
        }
    }

    /// What to type for another reading, and where: after the sign, or, where it opens a voice, on the
    /// line of the voice or in the head, at the beginning of the music.
    pub(super) fn help(self, opens: bool) -> String {
        let after = if opens {
            "at the beginning of the music of each voice that has it"
        } else {
            "after it"
        };
        match self {
            Question::Stroke => format!(
                "type `ratio 2:1` {after} where it means two in the time of one, else `ratio 1:1`"
            ),
            Question::Augmentation => format!(
                "type `ratio 1:2` {after} where its minim lasts as long as a semibreve of the \
                 others, else `ratio 1:1`"
            ),
            Question::Reversed => {
                format!("type `ratio 2:1`, `ratio 4:3` or `ratio 1:1` {after}")
            }
            Question::Triple | Question::Fraction => format!(
                "type `ratio 3:2` or `ratio 3:1` {after}, and, where a value holds three, \
                 `perfect sb` or `perfect br`"
            ),
            Question::Figure => {
                format!("type `ratio 2:1` and the like {after}; `ratio 1:1` changes nothing")
            }
            Question::Group => {
                "where it holds for what follows too, type `ratio 3:2` after it".to_owned()
            }
            Question::Coloration => {
                "type `ratio 3:2` before a group for two thirds, `ratio 3:1` for \
                                     three in the time of one white, and `ratio 1:1` after it"
                    .to_owned()
            }
        }
    }
}

/// A reading for every question, by number; the default is the common one throughout.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Readings([u8; Question::ALL.len()]);

impl Readings {
    /// The number of the reading chosen.
    pub(super) fn of(self, question: Question) -> u8 {
        self.0[question as usize]
    }

    /// How the figure 3 of a sign is read.
    pub(super) fn triple(self, sign: Sign) -> Triple {
        let question = if sign.lower.is_some() { Question::Fraction } else { Question::Triple };
        match self.of(question) {
            1 => Triple::Imperfect,
            2 => Triple::OtherPerfect,
            3 => Triple::Tripla,
            4 => Triple::TriplaImperfect,
            _ => Triple::Sesquialtera,
        }
    }

    /// How black notes are read in duple time.
    pub(super) fn duple(self) -> Duple {
        match self.of(Question::Coloration) {
            1 => Duple::Thirds,
            2 => Duple::ThreeForOne,
            _ => Duple::Usual,
        }
    }

    pub(super) fn with(mut self, question: Question, reading: u8) -> Readings {
        self.0[question as usize] = reading;
        self
    }
}

/// Something that is read in one of several ways.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Doubtful {
    pub(super) span: Span,
    /// What stands there: `the sign 3`.
    pub(super) what: String,
    /// How it is read here: `three in the time of two`.
    pub(super) reading: String,
    /// Whether it is a sign that opens its voice, typed on its line or in the head.
    pub(super) opens: bool,
}

/// The questions that a piece asks, each with the first place where it does.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Asked([Option<Doubtful>; Question::ALL.len()]);

impl Asked {
    pub(super) fn ask(&mut self, question: Question, doubtful: impl FnOnce() -> Doubtful) {
        self.0[question as usize].get_or_insert_with(doubtful);
    }

    /// The first place where a question is asked.
    pub(super) fn first(&self, question: Question) -> Option<&Doubtful> {
        self.0[question as usize].as_ref()
    }
}
