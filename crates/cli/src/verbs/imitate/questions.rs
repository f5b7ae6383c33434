//! The questions of `imitate --ask`: subjects from easy to hard, and what is to be found.

use cartella::invention::{Entry, Row, Subject, Verdict, row};
use cartella::{Time, subject};

use super::words;

/// Subjects from easy to hard: by step, with a turn, with a third, with a leap, in mixed values.
const SUBJECTS: [&str; 14] = [
    "mn D4 E F",
    "mn A4 G F",
    "mn D4 E F G A",
    "mn A4 G F E D",
    "mn D4 E F E D",
    "mn D4 F E G F A",
    "mn A4 F G E F D",
    "mn D4 A4 G F",
    "sb D4 A4 mn G F E D",
    "sb D4 mn E F sb G A",
    "mn G4. .A sb B mn A G sb A",
    "sb A4 mn A4 B C B sb A",
    "sb D4 mn F G sb A mn G F E D",
    "sb D5 A4 mn C5 B A G sb F",
];

/// The intervals that are asked for, each in its turn.
const INTERVALS: [i32; 6] = [4, -4, 3, -3, 7, 0];

/// What is asked.
pub(super) struct Question {
    pub(super) subject: Subject,
    pub(super) steps: i32,
    /// What each delay of whole minims comes to.
    pub(super) rows: Vec<Row>,
}

impl Question {
    fn new(subject: Subject, steps: i32) -> Question {
        let delays = (1..).map(Time::minims).take_while(|delay| *delay < subject.length());
        let rows = delays.filter_map(|delay| row(&subject, Entry { steps, delay })).collect();
        Question { subject, steps, rows }
    }

    /// The delay to be found: the first that works, or does so with figures or a sign.
    pub(super) fn answer(&self) -> Option<&Row> {
        let first = |verdict| self.rows.iter().find(|row| row.verdict == verdict);
        first(Verdict::Works).or(first(Verdict::Treated)).or(first(Verdict::Accidental))
    }

    /// What each delay comes to.
    pub(super) fn reasons(&self) -> Vec<String> {
        let rows = self.rows.iter();
        rows.map(|row| format!("after {}: {}", row.entry.delay, words::verdict(row))).collect()
    }
}

/// So many questions, the easier first; each has an answer.
pub(super) fn questions(count: usize) -> Vec<Question> {
    let rounds = 0..INTERVALS.len();
    let mut questions: Vec<(usize, Question)> = Vec::new();
    for round in rounds {
        for (place, line) in SUBJECTS.iter().enumerate() {
            let Ok(subject) = subject(line) else { continue };
            let steps = INTERVALS[(place + round) % INTERVALS.len()];
            let question = Question::new(subject, steps);
            if questions.len() < count && question.answer().is_some() {
                questions.push((place, question));
            }
        }
    }
    questions.sort_by_key(|(place, _)| *place);
    questions.into_iter().map(|(_, question)| question).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_subject_can_be_read() {
        assert!(SUBJECTS.iter().all(|line| subject(line).is_ok()));
    }

    #[test]
    fn there_are_as_many_questions_as_are_asked_for() {
        for count in [1, 12, 40] {
            let questions = questions(count);
            assert_eq!(questions.len(), count);
            assert!(questions.iter().all(|question| question.answer().is_some()));
        }
    }
}
