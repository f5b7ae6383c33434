//! The plain stepwise subjects, and the delays at which they work.

use rudiments::{Pitch, Signature, Step, Time, Tone};

use super::entry::Entry;
use super::judge::Verdict;
use super::subject::{NoSubject, Subject};
use super::table::{Row, row};

/// So many notes plain subjects have.
pub const PATTERN_NOTES: std::ops::RangeInclusive<usize> = 3..=6;

/// A plain subject and all that works.
#[derive(Clone, PartialEq, Debug)]
pub struct Pattern {
    /// The subject, in minims from D.
    pub subject: Subject,
    /// Whether it rises.
    pub rising: bool,
    /// What works, by interval from the octave below to the octave above, and by delay.
    pub rows: Vec<Row>,
}

/// A subject of so many minims by step from D, up or down.
///
/// # Errors
/// If it has no note, or too many.
pub fn stepwise(notes: usize, rising: bool) -> Result<Subject, NoSubject> {
    let begin = Tone::new(Step::D, 4);
    let sung = (0..notes.min(1000) as i32).map(|step| {
        let tone = begin.up(if rising { step } else { -step });
        (Pitch::new(tone, 0), Time::minims(1))
    });
    Subject::of_notes(sung, Signature::NONE)
}

/// The stepwise subjects of three to six notes, rising and falling, with the delays of whole notes that
/// work at each interval, with or without a sign.
pub fn patterns() -> Vec<Pattern> {
    let shapes = [true, false].into_iter();
    let shapes = shapes.flat_map(|rising| PATTERN_NOTES.map(move |notes| (rising, notes)));
    let patterns = shapes.filter_map(|(rising, notes)| {
        let subject = stepwise(notes, rising).ok()?;
        let delays = 1..notes as i64;
        let entries = (-7..=7).flat_map(|steps| {
            delays.clone().map(move |delay| Entry { steps, delay: Time::minims(delay) })
        });
        let rows = entries.filter_map(|entry| row(&subject, entry));
        let rows = rows.filter(|row| matches!(row.verdict, Verdict::Works | Verdict::Accidental));
        let rows = rows.collect();
        Some(Pattern { subject, rising, rows })
    });
    patterns.collect()
}
