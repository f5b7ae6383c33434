//! The intervals of two voices as figures.

use crate::annotations::Figure;
use crate::timed::{Score, TimedEvent, TimedVoice};

impl Score {
    /// The intervals of two voices, as places in [`Score::voices`]: one wherever either begins a note
    /// while the other sounds. Compound intervals are counted within the octave: a tenth is 3, a
    /// fifteenth 8.
    ///
    /// A second, fourth or seventh whose held note then falls a step leads on to the next figure.
    pub fn interval_figures(&self, upper: usize, lower: usize) -> Vec<Figure> {
        let (Some(upper), Some(lower)) = (self.voices.get(upper), self.voices.get(lower)) else {
            return Vec::new();
        };
        let (mut above, mut below) = (0, 0);
        let mut figures = Vec::new();
        while let (Some(one), Some(two)) = (upper.events.get(above), lower.events.get(below)) {
            if let Some(number) = number(one, two) {
                let leads_on = matches!(number, 2 | 4 | 7)
                    && (one.onset < two.onset && falls(upper, above)
                        || two.onset < one.onset && falls(lower, below));
                let at = one.onset.max(two.onset);
                figures.push(Figure { at, text: number.to_string(), leads_on });
            }
            let next = one.end().min(two.end());
            let passes = |event: &TimedEvent| usize::from(event.end() <= next);
            (above, below) = (above + passes(one), below + passes(two));
        }
        figures
    }
}

/// The number of the interval of two notes, from 1 to 8; nothing where one rests.
fn number(one: &TimedEvent, two: &TimedEvent) -> Option<u32> {
    let (one, two) = (one.notes.first()?, two.notes.first()?);
    let steps = (one.pitch.tone.rung() - two.pitch.tone.rung()).unsigned_abs();
    Some(if steps > 0 && steps.is_multiple_of(7) { 8 } else { steps % 7 + 1 })
}

/// Whether a voice goes a step down after an event.
fn falls(voice: &TimedVoice, event: usize) -> bool {
    let tone = |place: usize| Some(voice.events.get(place)?.notes.first()?.pitch.tone.rung());
    tone(event).zip(tone(event + 1)).is_some_and(|(now, next)| now - next == 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::testing::score;

    fn figures(upper: &str, lower: &str) -> String {
        let score = score(4, &[upper, lower]);
        let figures = score.interval_figures(0, 1);
        let said = figures.into_iter().map(|Figure { at, text, leads_on }| {
            format!("{at}:{text}{}", if leads_on { "-" } else { "" })
        });
        said.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_cadence_with_the_tenor_below() {
        assert_eq!(figures("D5:3 C#5:1 D5:4", "D4:2 E4:2 D4:4"), "0:8 2:7- 3:6 4:8");
    }

    #[test]
    fn a_cadence_with_the_cantus_below() {
        assert_eq!(figures("D4:2 E4:2 D4:4", "D4:3 C#4:1 D4:4"), "0:1 2:2- 3:3 4:1");
    }

    #[test]
    fn compounds_are_counted_within_the_octave() {
        assert_eq!(figures("E5:2 D6:2", "C4:2 D4:2"), "0:3 2:8");
    }

    #[test]
    fn nothing_stands_where_one_rests() {
        assert_eq!(figures("E5:2 _:2 G5:4", "C4:4 E4:4"), "0:3 4:3");
    }

    #[test]
    fn a_passing_note_leads_nowhere() {
        assert_eq!(figures("C5:1 D5:1 E5:2", "C4:4"), "0:8 1:2 2:3");
    }
}
