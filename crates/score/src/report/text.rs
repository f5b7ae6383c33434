//! The report set as text.

use std::fmt::Write as _;

use rudiments::{Time, Value};

use super::{Entry, Report};
use crate::places::Numbers;

/// What is said where there is nothing to report.
const NOTHING: &str =
    "The score is what the source prints: nothing is emended, supplied, or left to be decided.";

impl Report {
    /// The whole report as it can be printed: title and source, how things are counted, and a
    /// paragraph for each entry. Lines are not broken.
    pub fn text(&self) -> String {
        let mut text = String::new();
        for line in
            [&self.heading.title, &self.heading.example, &self.heading.source].into_iter().flatten()
        {
            let _ = writeln!(text, "{line}");
        }
        let blank = if text.is_empty() { "" } else { "\n" };
        let _ = writeln!(text, "{blank}Critical report\n");
        if self.entries.is_empty() {
            let _ = writeln!(text, "{NOTHING}");
            return text;
        }
        let _ = writeln!(text, "{}\n", self.counting());
        for entry in &self.entries {
            let _ = writeln!(text, "{}", entry.text());
        }
        text
    }

    /// How places are counted, in a sentence or two.
    pub fn counting(&self) -> String {
        let bars = match self.bar {
            bar if bar == Value::Breve.plain() => "of a breve",
            bar if bar == Value::Semibreve.plain() => "of a semibreve",
            _ => "those of the score",
        };
        format!(
            "Bars are {bars}; notes and rests are counted in the bar in which they begin. In \
             parentheses: the line of the part in the source, and the number of the note or rest \
             among all that are printed in the part. Middle C is C4."
        )
    }
}

impl Entry {
    /// The entry as it is printed: `Tenor, bar 9, 3rd note (line 2, no. 14): minim D4 in the source;
    /// emended to minim E4.`
    pub fn text(&self) -> String {
        let place = self.place.as_ref().map_or(String::new(), |place| format!(", {}", place.words));
        let source = self.source();
        let source = if source.is_empty() { source } else { format!(" ({source})") };
        format!("{}{place}{source}: {}.", self.voice, self.remark)
    }

    /// Where it is in the source: `line 2, nos. 14–15`.
    pub fn source(&self) -> String {
        let Some(line) = self.line else { return String::new() };
        match self.numbers {
            Numbers::Printed(first, last) if first == last => format!("line {line}, no. {first}"),
            Numbers::Printed(first, last) => format!("line {line}, nos. {first}–{last}"),
            Numbers::Before(next) => format!("line {line}, before no. {next}"),
            Numbers::End => format!("line {line}, at the end"),
        }
    }
}

/// `2 1/2 minims`
pub(super) fn minims(length: Time) -> String {
    let plural = if length > Time::minims(1) { "s" } else { "" };
    format!("{} minim{plural}", length.spoken())
}
