//! A subject looked for in melodies: by its steps, on any step, turned over, or with ornaments.

use cartella::Time;
use cartella::invention::Subject;
use serde::{Deserialize, Serialize};

use crate::minims::Minims;

/// A note of a voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Note {
    /// Staff steps above C0.
    pub rung: i32,
    /// When it begins.
    pub at: Minims,
    /// How long it lasts.
    pub length: Minims,
    /// Its printed number; nothing for one that is supplied.
    pub number: Option<u32>,
    /// In which bar it begins.
    pub bar: u32,
}

/// A subject to be looked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sought {
    /// Each note, from the first on: steps above the first, minims after it.
    notes: Vec<(i32, Time)>,
}

/// Where a subject was found in a voice. The closest likeness comes first in order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Found {
    /// Whether what goes up in the subject goes down.
    pub inverted: bool,
    /// Whether other notes stand between those of the subject, which come when they should.
    pub ornamented: bool,
    /// Whether notes come at other times than in the subject.
    pub other_values: bool,
    /// The place of its first note among those of the voice.
    pub first: usize,
    /// The place of its last note.
    pub last: usize,
}

impl Sought {
    /// A subject; nothing if it has fewer than two notes, which would be everywhere.
    pub fn new(subject: &Subject) -> Option<Sought> {
        let first = subject.notes().first().filter(|_| subject.notes().len() > 1)?;
        let from_first = |note: &cartella::invention::Sung| {
            (note.pitch.tone.steps_above(first.pitch.tone), note.at - first.at)
        };
        Some(Sought { notes: subject.notes().iter().map(from_first).collect() })
    }

    /// Where it stands in a melody, in order of time: at most once at each note, in the form that is
    /// most like it. `direct`: neither turned over nor with ornaments. Linear in the melody.
    ///
    /// ```
    /// use cartella::subject;
    /// use catalogue::{Minims, Note, Sought};
    ///
    /// let sought = Sought::new(&subject("mn D4 E F").unwrap()).unwrap();
    /// let note = |(at, rung)| Note {
    ///     rung,
    ///     at: Minims(cartella::Time::minims(at)),
    ///     length: Minims(cartella::Time::minims(1)),
    ///     number: None,
    ///     bar: 1,
    /// };
    /// let melody: Vec<Note> = (0..).zip([30, 31, 32, 31, 30]).map(note).collect();
    /// let found = sought.find(&melody, false);
    /// assert_eq!((found[0].first, found[0].inverted), (0, false));
    /// assert_eq!((found[1].first, found[1].inverted), (2, true));
    /// ```
    pub fn find(&self, melody: &[Note], direct: bool) -> Vec<Found> {
        let signs: &[i32] = if direct { &[1] } else { &[1, -1] };
        let starts = 0..melody.len();
        let found = starts.filter_map(|first| {
            let plain = signs.iter().find_map(|sign| self.plain(melody, first, *sign));
            let adorned = || signs.iter().find_map(|sign| self.adorned(melody, first, *sign));
            plain.or_else(|| if direct { None } else { adorned() })
        });
        found.collect()
    }

    /// Its steps, one note after another, without a rest between.
    fn plain(&self, melody: &[Note], first: usize, sign: i32) -> Option<Found> {
        let notes = melody.get(first..first + self.notes.len())?;
        let begin = notes[0];
        let fits =
            |(note, (steps, _)): (&Note, &(i32, Time))| note.rung - begin.rung == sign * steps;
        if !notes.iter().zip(&self.notes).all(fits) {
            return None;
        }
        let is_joined = |pair: &[Note]| pair[0].at.0 + pair[0].length.0 == pair[1].at.0;
        if !notes.windows(2).all(is_joined) {
            return None;
        }
        let in_time = |(note, (_, after)): (&Note, &(i32, Time))| note.at.0 - begin.at.0 == *after;
        Some(Found {
            inverted: sign < 0,
            ornamented: false,
            other_values: !notes.iter().zip(&self.notes).all(in_time),
            first,
            last: first + self.notes.len() - 1,
        })
    }

    /// Its notes, each when it should come, with others between. Of two notes this says nothing.
    fn adorned(&self, melody: &[Note], first: usize, sign: i32) -> Option<Found> {
        if self.notes.len() < 3 {
            return None;
        }
        let begin = melody[first];
        let mut place = first;
        for (steps, after) in &self.notes[1..] {
            let at = begin.at.0 + *after;
            place += 1;
            while melody.get(place)?.at.0 < at {
                place += 1;
            }
            let note = melody[place];
            if note.at.0 != at || note.rung - begin.rung != sign * steps {
                return None;
            }
        }
        (place - first >= self.notes.len()).then_some(Found {
            inverted: sign < 0,
            ornamented: true,
            other_values: false,
            first,
            last: place,
        })
    }
}

#[cfg(test)]
mod tests {
    use cartella::{BarLength, Document, RuleSet, subject};

    use super::*;
    use crate::Row;

    /// Where a subject is found in a line of music, as first note, last note and how.
    fn found(sought: &str, music: &str) -> Vec<(usize, usize, &'static str)> {
        let document = Document::parse(format!("voice A clef C1\n  {music}\n"));
        assert_eq!(document.diagnostics(), [], "{music}");
        let aligned = document.score(BarLength::Breve);
        let row = Row::of(&aligned, &aligned.study(RuleSet::default()));
        let sought = Sought::new(&subject(sought).unwrap()).unwrap();
        let how = |one: &Found| match (one.inverted, one.ornamented, one.other_values) {
            (false, false, false) => "as it is",
            (false, false, true) => "values",
            (true, false, false) => "inverted",
            (true, false, true) => "inverted, values",
            (false, true, _) => "ornaments",
            (true, true, _) => "inverted, ornaments",
        };
        let all = sought.find(&row.voices[0].notes, false);
        all.iter().map(|one| (one.first + 1, one.last + 1, how(one))).collect()
    }

    #[test]
    fn by_steps_on_any_step() {
        assert_eq!(found("mn D4 E F D", "mn A4 B C A lg B"), [(1, 4, "as it is")]);
        assert_eq!(found("mn D4 E F D", "sb A4 mn B C A lg B"), [(1, 4, "values")]);
        assert_eq!(found("mn D4 E F D", "mn A4 B C B lg A"), []);
    }

    #[test]
    fn turned_over() {
        assert_eq!(found("mn D4 E F D", "mn C5 B A C lg B"), [(1, 4, "inverted")]);
    }

    #[test]
    fn with_notes_between() {
        let adorned = found("sb D4 F A4", "mn D4. .E sb F mn G sm A F sb A lg G");
        assert_eq!(adorned, []); // A does not come when it should
        let adorned = found("sb D4 F A4", "mn D4. .E mn F G sb A lg G");
        assert_eq!(adorned, [(1, 5, "ornaments")]);
    }

    #[test]
    fn a_rest_parts_it() {
        assert_eq!(found("mn D4 E F D", "mn A4 B _ C A lg B"), []);
    }

    #[test]
    fn one_note_is_no_subject() {
        assert_eq!(Sought::new(&subject("mn D4").unwrap()), None);
    }
}
