//! What an example must have.

use std::error::Error;
use std::fmt;
use std::str::FromStr;

use cartella::Time;
use cartella::invention;

use crate::melody::Sought;

/// What an example must have: all of it.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Question {
    /// A subject, in any voice.
    pub subject: Option<Sought>,
    /// Whether it is to stand there neither turned over nor with ornaments.
    pub direct: bool,
    /// An imitation; with a subject, of that.
    pub imitation: Option<Imitated>,
    /// Cadences.
    pub cadences: Vec<Goal>,
    /// Cadences upon which a voice enters.
    pub upon: Vec<Goal>,
    /// The editor's keywords, without regard to capitals.
    pub topics: Vec<String>,
    /// So many voices.
    pub voices: Option<usize>,
    /// A mode.
    pub mode: Option<u8>,
    /// A combination of clefs: `low`, `high`.
    pub clefs: Option<String>,
}

/// An imitation that is looked for: `5 above after 1`; or `5 above`, or `after 1`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Imitated {
    /// Staff steps up; nothing for any.
    pub steps: Option<i32>,
    /// Minims; nothing for any.
    pub delay: Option<Time>,
}

impl Question {
    /// Whether it asks for the notes of voices: see [`crate::Row::melodies`].
    pub fn needs_melodies(&self) -> bool {
        self.subject.is_some()
    }
}

impl Imitated {
    /// Whether one voice follows another so.
    pub(crate) fn is(self, steps: i32, delay: Time) -> bool {
        self.steps.is_none_or(|wanted| wanted == steps)
            && self.delay.is_none_or(|wanted| wanted == delay)
    }
}

/// A cadence that is looked for: `G`, `D seventh`, `Phrygian`, `evaded`.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Goal {
    /// Its goal: `G`, `Bb`.
    pub tone: Option<String>,
    /// The interval of the two lowest voices.
    pub kind: Option<&'static str>,
    /// Whether it is Phrygian.
    pub phrygian: bool,
    /// Whether it is evaded.
    pub evaded: bool,
}

/// As it is typed.
impl fmt::Display for Goal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = self.kind.map(|kind| if kind == "none" { "plain" } else { kind });
        let phrygian = self.phrygian.then_some("Phrygian");
        let evaded = self.evaded.then_some("evaded");
        let words = [self.tone.as_deref(), kind, phrygian, evaded].into_iter().flatten();
        f.write_str(&words.collect::<Vec<_>>().join(" "))
    }
}

/// Words that ask for nothing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unasked(String);

impl fmt::Display for Unasked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Error for Unasked {}

impl FromStr for Imitated {
    type Err = Unasked;

    fn from_str(typed: &str) -> Result<Imitated, Unasked> {
        let words = typed.trim().to_ascii_lowercase();
        let (has_delay, has_steps) = (words.contains("after"), !words.starts_with("after"));
        // What is not said is put in, so that both are read by one grammar.
        let whole = match (has_steps, has_delay) {
            (true, true) => words,
            (true, false) => format!("{words} after 1"),
            (false, _) => format!("unison {words}"),
        };
        match invention::Entry::parse(&whole) {
            Ok(entry) => Ok(Imitated {
                steps: has_steps.then_some(entry.steps),
                delay: has_delay.then_some(entry.delay),
            }),
            Err(_) => Err(Unasked(format!(
                "`{typed}` does not say how a voice follows: type interval and delay, `5 above after 1`; \
                 or one of them, `5 above`, `after sb`"
            ))),
        }
    }
}

/// The kinds of a cadence, as they are typed.
const KINDS: [&str; 4] = ["second", "seventh", "fourth", "fifth"];

impl FromStr for Goal {
    type Err = Unasked;

    fn from_str(typed: &str) -> Result<Goal, Unasked> {
        let mut goal = Goal::default();
        let mut is_empty = true;
        for word in typed.split_whitespace() {
            is_empty = false;
            let lower = word.to_ascii_lowercase();
            match lower.as_str() {
                "phrygian" => goal.phrygian = true,
                "evaded" => goal.evaded = true,
                "plain" => goal.kind = Some("none"),
                lower => match KINDS.into_iter().find(|kind| *kind == lower) {
                    Some(kind) => goal.kind = Some(kind),
                    None if goal.tone.is_none() && is_tone(word) => {
                        goal.tone = Some(word[..1].to_ascii_uppercase() + &word[1..]);
                    }
                    None => return Err(no_goal(typed)),
                },
            }
        }
        if is_empty { Err(no_goal(typed)) } else { Ok(goal) }
    }
}

/// A letter, with a sharp or flat or without.
fn is_tone(word: &str) -> bool {
    let mut letters = word.chars();
    let is_step = letters.next().is_some_and(|letter| matches!(letter, 'A'..='G' | 'a'..='g'));
    is_step && matches!(letters.as_str(), "" | "#" | "b")
}

fn no_goal(typed: &str) -> Unasked {
    Unasked(format!(
        "`{typed}` is no cadence: type its goal, G or Bb; its kind, {}, or plain without a \
         suspension; Phrygian, evaded; or several of these, `G seventh`",
        KINDS.join(", ")
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_imitation_is_typed_whole_or_in_part() {
        let one =
            |steps, delay: Option<i64>| Ok(Imitated { steps, delay: delay.map(Time::minims) });
        assert_eq!("5 above after 1".parse(), one(Some(4), Some(1)));
        assert_eq!("4 below".parse(), one(Some(-3), None));
        assert_eq!("after sb".parse(), one(None, Some(2)));
        assert_eq!("Unison".parse(), one(Some(0), None));
        for typed in ["", "5", "above", "5 above after", "after 0", "5 beside after 1"] {
            assert!(typed.parse::<Imitated>().is_err(), "{typed}");
        }
    }

    #[test]
    fn a_cadence_is_typed_by_any_of_its_properties() {
        let goal = |tone: Option<&str>, kind, phrygian, evaded| {
            Ok(Goal { tone: tone.map(str::to_owned), kind, phrygian, evaded })
        };
        assert_eq!("G".parse(), goal(Some("G"), None, false, false));
        assert_eq!("bb Seventh".parse(), goal(Some("Bb"), Some("seventh"), false, false));
        assert_eq!("evaded phrygian E".parse(), goal(Some("E"), None, true, true));
        assert_eq!("plain".parse(), goal(None, Some("none"), false, false));
        for typed in ["", "H", "G D", "third", "G5", "é"] {
            assert!(typed.parse::<Goal>().is_err(), "{typed}");
        }
    }
}
