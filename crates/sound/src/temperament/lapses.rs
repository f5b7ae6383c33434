//! What of a piece a tuning does not have: notes without a key, and the wolves that howl for it.

use std::collections::BTreeMap;
use std::fmt;

use rudiments::Pitch;
use score::Performance;

use super::{Note, Tuning, cents};

/// What of a performance a tuning does not have.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Lapses {
    /// The notes that no key has, along the line of fifths.
    pub lacks: Vec<Lack>,
    /// The consonances that are further from pure than those of the temperament are, because one of their
    /// notes is lacking.
    pub wolves: Vec<Wolf>,
}

impl Lapses {
    /// Whether the tuning has everything.
    pub fn is_empty(&self) -> bool {
        self.lacks.is_empty()
    }
}

/// A note that no key has.
#[derive(Clone, PartialEq, Debug)]
pub struct Lack {
    /// The note.
    pub note: Note,
    /// The one that its key has.
    pub sounds: Note,
    /// The numbers of the bars in which it is struck, each once, in order.
    pub bars: Vec<u32>,
}

/// A consonance that is not one.
#[derive(Clone, PartialEq, Debug)]
pub struct Wolf {
    /// The lower note, as it is written.
    pub lower: Note,
    /// The upper note.
    pub upper: Note,
    /// Its size in cents, octaves left out.
    pub cents: f64,
    /// The numbers of the bars in which it is struck, each once, in order.
    pub bars: Vec<u32>,
}

/// Fifths between the names of a consonance, octaves left out, and its pure ratio: fourth and fifth,
/// thirds and sixths (Zarlino 1558).
const CONSONANCES: [(i32, f64, f64); 6] =
    [(-4, 8.0, 5.0), (-3, 6.0, 5.0), (-1, 4.0, 3.0), (1, 3.0, 2.0), (3, 5.0, 3.0), (4, 5.0, 4.0)];

/// Linear in the notes, for so many voices.
pub(super) fn lapses(tuning: &Tuning, performance: &Performance) -> Lapses {
    let mut lacks: BTreeMap<(Note, Note), Vec<u32>> = BTreeMap::new();
    let mut wolves: BTreeMap<(Note, Note), (f64, Vec<u32>)> = BTreeMap::new();
    let mut sounding: Vec<usize> = Vec::new();
    let notes = &performance.notes;
    for (place, note) in notes.iter().enumerate() {
        if performance.voices[note.voice].loudness <= 0.0 {
            continue;
        }
        sounding.retain(|other| notes[*other].end > note.start);
        let bar = performance.bars.partition_point(|bar| bar.start <= note.start);
        let bar = bar.checked_sub(1).map_or(1, |bar| performance.bars[bar].number);
        let (written, sounds) = (Note::of(note.pitch), tuning.note(note.pitch));
        if written != sounds {
            lacks.entry((written, sounds)).or_default().push(bar);
        }
        for other in &sounding {
            let other = notes[*other].pitch;
            let (lower, upper) = if other.key_number() <= note.pitch.key_number() {
                (other, note.pitch)
            } else {
                (note.pitch, other)
            };
            if let Some(cents) = wolf(tuning, lower, upper) {
                let found = wolves.entry((Note::of(lower), Note::of(upper)));
                found.or_insert((cents, Vec::new())).1.push(bar);
            }
        }
        sounding.push(place);
    }
    let once = |mut bars: Vec<u32>| {
        bars.sort_unstable();
        bars.dedup();
        bars
    };
    let lack = |((note, sounds), bars)| Lack { note, sounds, bars: once(bars) };
    let wolf = |((lower, upper), (cents, bars))| Wolf { lower, upper, cents, bars: once(bars) };
    Lapses {
        lacks: lacks.into_iter().map(lack).collect(),
        wolves: wolves.into_iter().map(wolf).collect(),
    }
}

/// The size of a consonance if it is further from pure than the temperament has it.
fn wolf(tuning: &Tuning, lower: Pitch, upper: Pitch) -> Option<f64> {
    let fifths = upper.fifths() - lower.fifths();
    let (_, above, under) = CONSONANCES.iter().find(|(place, ..)| *place == fifths)?;
    let sounds = tuning.note(upper).fifths() - tuning.note(lower).fifths();
    if sounds == fifths {
        return None;
    }
    let size = |fifths: i32| (f64::from(fifths) * tuning.temperament.fifth()).rem_euclid(1200.0);
    let from_pure = |size: f64| (size - cents(above / under)).abs();
    let heard = size(sounds);
    (from_pure(heard) > from_pure(size(fifths))).then_some(heard)
}

/// `Ab (bars 3, 7) sounds as G#; wolves: Ab-Eb of 738 cents in bar 3`.
impl fmt::Display for Lapses {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lack =
            |lack: &Lack| format!("{} ({}) sounds as {}", lack.note, bars(&lack.bars), lack.sounds);
        f.write_str(&self.lacks.iter().map(lack).collect::<Vec<_>>().join(", "))?;
        let wolf = |wolf: &Wolf| {
            format!(
                "{}-{} of {:.0} cents ({})",
                wolf.lower,
                wolf.upper,
                wolf.cents,
                bars(&wolf.bars)
            )
        };
        match self.wolves.as_slice() {
            [] => Ok(()),
            [one] => write!(f, "; a wolf: {}", wolf(one)),
            all => {
                let all: Vec<String> = all.iter().map(wolf).collect();
                write!(f, "; wolves: {}", all.join(", "))
            }
        }
    }
}

/// `bar 3`, `bars 3, 7`; of many the first ones.
fn bars(numbers: &[u32]) -> String {
    const SAID: usize = 8;
    let said: Vec<String> = numbers.iter().take(SAID).map(u32::to_string).collect();
    let more = match numbers.len().saturating_sub(SAID) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let bars = if numbers.len() == 1 { "bar" } else { "bars" };
    format!("{bars} {}{more}", said.join(", "))
}

#[cfg(test)]
mod tests {
    use super::super::testing::performance;
    use super::*;
    use crate::Temperament;

    fn said(tuning: &Tuning, text: &str) -> String {
        tuning.lapses(&performance(text)).to_string()
    }

    const WOLF: &str =
        "voice A clef C1\n br Eb5 Bb4 Eb5 lg Eb5\nvoice B clef C3\n br Ab3 D4 Ab3 lg G3\n";

    #[test]
    fn the_wolf_is_found_with_its_bars() {
        let expected = "Ab (bars 1, 3) sounds as G#; a wolf: Ab-Eb of 738 cents (bars 1, 3)";
        assert_eq!(said(&Tuning::default(), WOLF), expected);
    }

    #[test]
    fn a_key_that_has_the_note_has_no_wolf() {
        for keys in ["Ab", "G#/Ab"] {
            let tuning = Tuning { keys: keys.parse().unwrap(), ..Tuning::default() };
            assert!(tuning.lapses(&performance(WOLF)).is_empty());
        }
        for temperament in [Temperament::Equal, Temperament::Just] {
            let tuning = Tuning { temperament, ..Tuning::default() };
            assert!(tuning.lapses(&performance(WOLF)).is_empty());
        }
    }

    /// With flats on the black keys, D to F sharp sounds as D to G flat, which is nearly pure: the note is
    /// lacking, but nothing howls (Arnaut de Zwolle's tuning; common practice of its description).
    #[test]
    fn a_third_that_is_better_than_its_own_is_no_wolf() {
        let flats = "Db,Gb,Ab".parse().unwrap();
        let tuning =
            Tuning { temperament: Temperament::Pythagorean, keys: flats, ..Tuning::default() };
        let third = "voice A clef C1\n br F#4\nvoice B clef C3\n br D4\n";
        assert_eq!(said(&tuning, third), "F# (bar 1) sounds as Gb");
        let fifth = "voice A clef C1\n br F#4\nvoice B clef C3\n br B3\n";
        let expected = "F# (bar 1) sounds as Gb; a wolf: B-F# of 678 cents (bar 1)";
        assert_eq!(said(&tuning, fifth), expected);
    }

    #[test]
    fn many_bars_are_counted() {
        assert_eq!(bars(&[3]), "bar 3");
        assert_eq!(bars(&(1..=10).collect::<Vec<_>>()), "bars 1, 2, 3, 4, 5, 6, 7, 8 and 2 more");
    }
}
