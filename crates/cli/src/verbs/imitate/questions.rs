//! The questions of `imitate --ask`: subjects from easy to hard, and the delay or the follower to be found.

use cartella::invention::{Entry, Intervals, Row, Steps, Subject, Verdict, row, strict_table};
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

/// What is to be found of an imitation.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Sought {
    /// After how many minims a follower at so many steps can enter.
    Delay(i32),
    /// At which interval one can enter after so many minims.
    Follower(Time),
}

/// What is asked.
pub(super) struct Question {
    pub(super) subject: Subject,
    pub(super) sought: Sought,
    /// What each delay of whole minims comes to, or each interval to the octave, the likeliest first.
    pub(super) rows: Vec<Row>,
}

impl Question {
    /// Of a delay.
    fn of_delay(subject: Subject, steps: i32) -> Question {
        let delays = (1..).map(Time::minims).take_while(|delay| *delay < subject.length());
        let rows = delays
            .filter_map(|delay| row(&subject, Entry { steps, delay }).map(Row::strict))
            .collect();
        Question { subject, sought: Sought::Delay(steps), rows }
    }

    /// Of a follower.
    fn of_follower(subject: Subject, delay: Time) -> Question {
        let mut rows = strict_table(&subject, Intervals::Octave);
        rows.retain(|row| row.entry.delay == delay);
        Question { subject, sought: Sought::Follower(delay), rows }
    }

    /// What is to be found: the first that works, or does so with figures or a sign.
    pub(super) fn answer(&self) -> Option<&Row> {
        let first = |verdict| self.rows.iter().find(|row| row.verdict == verdict);
        first(Verdict::Works).or(first(Verdict::Treated)).or(first(Verdict::Accidental))
    }

    /// As it stands over the subject.
    pub(super) fn title(&self) -> String {
        match self.sought {
            Sought::Delay(steps) => format!("{}: after how many minims?", Steps(steps)),
            Sought::Follower(delay) => {
                format!("after {delay}: at which intervals above and below?")
            }
        }
    }

    /// What each delay comes to; of intervals those that fail are put together.
    pub(super) fn reasons(&self) -> Vec<String> {
        let said = |row: &Row| match self.sought {
            Sought::Delay(_) => format!("after {}: {}", row.entry.delay, words::verdict(row)),
            Sought::Follower(_) => format!("{}: {}", Steps(row.entry.steps), words::verdict(row)),
        };
        if let Sought::Delay(_) = self.sought {
            return self.rows.iter().map(said).collect();
        }
        let fails = |row: &&Row| row.verdict == Verdict::Fails;
        let mut reasons: Vec<String> =
            self.rows.iter().filter(|row| !fails(row)).map(said).collect();
        let failing = self.rows.iter().filter(fails).filter_map(|row| {
            Some(format!("{} at note {}", Steps(row.entry.steps), row.fault?.at))
        });
        let failing: Vec<String> = failing.collect();
        if !failing.is_empty() {
            reasons.push(format!("fails: {}", failing.join(", ")));
        }
        reasons
    }
}

/// So many questions, the easier first; each has an answer. One after another asks for the delay, and for
/// the follower.
pub(super) fn questions(count: usize) -> Vec<Question> {
    let rounds = 0..INTERVALS.len();
    let mut questions: Vec<(usize, Question)> = Vec::new();
    for round in rounds {
        for (place, line) in SUBJECTS.iter().enumerate() {
            let Ok(subject) = subject(line) else { continue };
            let steps = INTERVALS[(place + round) % INTERVALS.len()];
            let question = Question::of_delay(subject.clone(), steps);
            let Some(delay) = question.answer().map(|row| row.entry.delay) else { continue };
            if questions.len() < count {
                let asks_follower = questions.len() % 2 == 1;
                let question =
                    if asks_follower { Question::of_follower(subject, delay) } else { question };
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
            let delays = questions.iter().filter(|one| matches!(one.sought, Sought::Delay(_)));
            assert_eq!(delays.count(), count.div_ceil(2), "{count}");
        }
    }
}
