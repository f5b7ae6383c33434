//! How a follower enters: its interval and its delay, as musicians say them.

use std::fmt;

use rudiments::{Time, Value};

/// An interval in staff steps, up positive; shown as musicians say it: `5 above`, `4 below`, `unison`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Steps(pub i32);

impl fmt::Display for Steps {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            0 => f.write_str("unison"),
            steps => {
                let way = if steps > 0 { "above" } else { "below" };
                write!(f, "{} {way}", steps.unsigned_abs() + 1)
            }
        }
    }
}

/// How a follower enters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Entry {
    /// Its interval from the leader in staff steps, up positive.
    pub steps: i32,
    /// How many minims after the leader it begins.
    pub delay: Time,
}

/// `5 above after 1`, as it is typed.
impl fmt::Display for Entry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} after {}", Steps(self.steps), self.delay)
    }
}

/// Why some words are no entry.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EntryError {
    /// What was typed.
    pub typed: String,
    /// What is wrong in it.
    what: What,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum What {
    Shape,
    Interval,
    Delay,
}

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let EntryError { typed, what } = self;
        match what {
            What::Shape => write!(
                f,
                "`{typed}` does not say how a voice enters: type interval and delay, as in `5 above \
                 after 1` or `unison after sb`"
            ),
            What::Interval => write!(
                f,
                "`{typed}` has no interval that can be answered: type a number from 1 to 15 and above \
                 or below, as in `5 above after 1`"
            ),
            What::Delay => write!(
                f,
                "`{typed}` has no delay: type after it how many minims, `after 1` or `after 3/2`, or a \
                 value, `after sb`"
            ),
        }
    }
}

impl std::error::Error for EntryError {}

impl Entry {
    /// What was typed as `5 above after 1`, `unison after sb`, `8 below after 3/2`.
    ///
    /// # Errors
    /// If it says no interval, or no delay that is more than nothing.
    pub fn parse(typed: &str) -> Result<Entry, EntryError> {
        let wrong = |what| EntryError { typed: typed.trim().to_owned(), what };
        let lower = typed.to_ascii_lowercase();
        let words: Vec<&str> = lower.split_whitespace().collect();
        let Some(after) = words.iter().position(|word| *word == "after") else {
            return Err(wrong(What::Shape));
        };
        let steps = match &words[..after] {
            ["unison" | "1"] => Some(0),
            [number, way @ ("above" | "below")] => {
                let ordinal = number.trim_end_matches(['s', 't', 'n', 'd', 'r', 'h', 'v', 'e']);
                let number = ordinal.parse::<i32>().ok();
                let steps = number.filter(|number| (1..=15).contains(number)).map(|n| n - 1);
                steps.map(|steps| if *way == "above" { steps } else { -steps })
            }
            [] => return Err(wrong(What::Shape)),
            _ => None,
        };
        let steps = steps.ok_or_else(|| wrong(What::Interval))?;
        let [delay] = &words[after + 1..] else { return Err(wrong(What::Delay)) };
        let delay = minims(delay).filter(|delay| delay.is_positive());
        Ok(Entry { steps, delay: delay.ok_or_else(|| wrong(What::Delay))? })
    }
}

/// A number of minims, a fraction of them, or the letters of a value.
fn minims(typed: &str) -> Option<Time> {
    if let Some(value) = Value::from_letters(typed) {
        return Some(value.plain());
    }
    let (above, below) = typed.split_once('/').unwrap_or((typed, "1"));
    let number = |text: &str| text.parse::<i64>().ok().filter(|number| (1..=9999).contains(number));
    Some(Time::new(number(above)?, number(below)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_are_said_as_they_are_typed() {
        for said in ["5 above after 1", "4 below after 3/2", "unison after 2", "8 above after 1/2"]
        {
            assert_eq!(Entry::parse(said).unwrap().to_string(), said);
        }
        let typed = |typed| Entry::parse(typed).unwrap().to_string();
        assert_eq!(typed("5th Above after sb"), "5 above after 2");
        assert_eq!(typed("1 below after mn"), "unison after 1");
    }

    #[test]
    fn what_is_no_entry_is_said() {
        let said = |typed| Entry::parse(typed).unwrap_err().to_string();
        assert!(said("5 above").starts_with("`5 above` does not say how a voice enters"));
        assert!(said("fifth above after 1").contains("type a number from 1 to 15"));
        assert!(said("16 above after 1").contains("type a number from 1 to 15"));
        assert!(said("5 above after").contains("has no delay"));
        assert!(said("5 above after 0").contains("has no delay"));
        assert!(said("5 above after 1/0").contains("has no delay"));
    }
}
