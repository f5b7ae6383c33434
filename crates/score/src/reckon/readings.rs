//! Signs and black notes whose reading is divided: which reading is taken, and why.
//!
//! A question is asked of a piece as a whole, as a printer is taken to mean the same by the same
//! sign. The common reading is the default. Where another lets more voices come to their last
//! notes together, that one is taken.

use notation::{Code, Diagnostic};
use rudiments::Time;

use super::questions::{Asked, Doubtful, Question, Readings};
use super::walk::Walked;

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
        if counted.asked.first(question).is_none() {
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
        if let Some(doubtful) = counted.asked.first(question) {
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
    let Doubtful { span, what, reading, opens } = doubtful;
    let (code, message) = if voices_decide {
        (Code::ReadingTaken, format!("{what} read as {reading}, so that the voices meet"))
    } else {
        (Code::ReadingDivided, format!("{what} read as {reading}, but may mean something else"))
    };
    Diagnostic::new(code, *span, message).help(question.help(*opens))
}
