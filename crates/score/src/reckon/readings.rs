//! Signs and black notes whose reading is divided: which reading is taken, and why.
//!
//! A question is asked of a piece as a whole, as a printer is taken to mean the same by the same
//! sign. The common reading is the default. Where another lets more voices come to their last
//! notes together, that one is taken.

use notation::{Code, Diagnostic, Span};
use rudiments::{Sign, Time};

use super::coloration::Duple;
use super::walk::Walked;

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
    const ALL: [Question; 8] = [
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
    fn readings(self) -> u8 {
        match self {
            Question::Stroke | Question::Augmentation | Question::Figure | Question::Group => 2,
            Question::Reversed | Question::Fraction | Question::Coloration => 3,
            Question::Triple => 5,
        }
    }

    /// What to type for another reading.
    fn help(self) -> &'static str {
        match self {
            Question::Stroke => {
                "type `ratio 2:1` after it where it means two in the time of one, else `ratio 1:1`"
            }
            Question::Augmentation => {
                "type `ratio 1:2` after it where its minim lasts as long as a semibreve of the \
                 others, else `ratio 1:1`"
            }
            Question::Reversed => "type `ratio 2:1`, `ratio 4:3` or `ratio 1:1` after it",
            Question::Triple | Question::Fraction => {
                "type `ratio 3:2` or `ratio 3:1` after it, and, where a value holds three, \
                 `perfect sb` or `perfect br`"
            }
            Question::Figure => {
                "type `ratio 2:1` and the like after it; `ratio 1:1` changes nothing"
            }
            Question::Group => "where it holds for what follows too, type `ratio 3:2` after it",
            Question::Coloration => {
                "type `ratio 3:2` before a group for two thirds, `ratio 3:1` for three in the time \
                 of one white, and `ratio 1:1` after it"
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

    fn with(mut self, question: Question, reading: u8) -> Readings {
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
}

/// The questions that a piece asks, each with the first place where it does.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Asked([Option<Doubtful>; Question::ALL.len()]);

impl Asked {
    pub(super) fn ask(&mut self, question: Question, doubtful: impl FnOnce() -> Doubtful) {
        self.0[question as usize].get_or_insert_with(doubtful);
    }
}

/// The voices of a piece that are written out, counted under certain readings.
pub(super) struct Counted {
    /// Each with its place in the piece.
    pub(super) voices: Vec<(usize, Walked)>,
    pub(super) asked: Asked,
    pub(super) diagnostics: Vec<Diagnostic>,
}

/// Counts a piece under the readings that let the most voices meet, and says which those are.
pub(super) fn choose(count: impl Fn(Readings) -> Counted) -> Counted {
    let mut readings = Readings::default();
    let mut counted = count(readings);
    let mut said = Vec::new();
    for question in Question::ALL {
        if counted.asked.0[question as usize].is_none() {
            continue;
        }
        let mut scores = vec![meeting(&counted.voices)];
        let mut best = 0;
        // A single voice meets nobody.
        let others = if counted.voices.len() > 1 { question.readings() } else { 1 };
        for reading in 1..others {
            let other = count(readings.with(question, reading));
            let score = meeting(&other.voices);
            if scores.iter().all(|before| score > *before) {
                (best, counted) = (reading, other);
            }
            scores.push(score);
        }
        readings = readings.with(question, best);
        let alone = scores.iter().filter(|score| **score == scores[best as usize]).count() == 1;
        if let Some(doubtful) = &counted.asked.0[question as usize] {
            said.push(say(question, doubtful, others > 1 && (alone || best > 0)));
        }
    }
    counted.diagnostics.extend(said);
    counted
}

/// How many voices come to the last notes of their sections together.
fn meeting(voices: &[(usize, Walked)]) -> usize {
    let onsets: Vec<Vec<Option<Time>>> =
        voices.iter().map(|(_, walked)| walked.last_onsets()).collect();
    let sections = onsets.iter().map(Vec::len).max().unwrap_or(0);
    (0..sections)
        .map(|number| {
            let last = onsets.iter().filter_map(|onsets| *onsets.get(number)?);
            let mut times: Vec<Time> = last.collect();
            times.sort_unstable();
            times.chunk_by(|one, other| one == other).map(<[Time]>::len).max().unwrap_or(0)
        })
        .sum()
}

fn say(question: Question, doubtful: &Doubtful, voices_decide: bool) -> Diagnostic {
    let Doubtful { span, what, reading } = doubtful;
    let (code, message) = if voices_decide {
        (Code::ReadingTaken, format!("{what} read as {reading}, so that the voices meet"))
    } else {
        (Code::ReadingDivided, format!("{what} read as {reading}, but may mean something else"))
    };
    Diagnostic::new(code, *span, message).help(question.help())
}
