//! Which of the five species a voice is of: what it sings against each note of a cantus firmus.
//!
//! Fux, *Gradus ad Parnassum*, 1725, I: note against note; two notes against one; four; syncopations;
//! and all of them mixed, the florid species. Which figures and values each has is his, that no note
//! is repeated is common practice of the school books; all from memory.

use super::rules::{Figure, Judgement, Severity};
use crate::kinds::named;
use crate::texture::{Line, Note, Texture};

named! {
    /// The species of counterpoint.
    pub enum Species {
        /// Note against note.
        First = "first species",
        /// Two notes against one.
        Second = "second species",
        /// Four notes against one.
        Third = "third species",
        /// Syncopations.
        Fourth = "fourth species",
        /// All of them mixed.
        Fifth = "fifth species",
    }
}

impl Species {
    /// What a species says of a figure of dissonance that the species together allow so.
    pub(crate) fn dissonance(self, figure: Figure, said: Judgement) -> Judgement {
        use Figure::{BothStruck, Cambiata, Neighbour, Passing, PerfectSuspension, SixFive};
        let is_its_own = match self {
            Species::First => false,
            Species::Second => figure == Passing,
            Species::Third => matches!(figure, Passing | Neighbour | Cambiata | BothStruck),
            Species::Fourth => {
                matches!(figure, Figure::Suspension | SixFive | PerfectSuspension | Passing)
            }
            Species::Fifth => true,
        };
        if !is_its_own {
            return Some(Severity::Fault);
        }
        // Where the ligature of the fourth is broken, two notes stand against one.
        let is_broken = self == Species::Fourth && figure == Passing;
        said.max(is_broken.then_some(Severity::Licence))
    }

    /// How many notes stand against one; nothing where they are of many values.
    pub(crate) fn against_one(self) -> Option<i64> {
        match self {
            Species::First => Some(1),
            Species::Second => Some(2),
            Species::Third => Some(4),
            Species::Fourth | Species::Fifth => None,
        }
    }
}

/// A voice that is counterpoint against a cantus firmus, and its species.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Exercise {
    /// The place of its voice in [`score::Score::voices`].
    pub voice: usize,
    /// The place of the voice that has the cantus firmus.
    pub cantus: usize,
    /// Its species.
    pub species: Species,
}

/// The lines of exercises.
#[derive(Clone, Debug, Default)]
pub(crate) struct Exercises {
    /// The line of the cantus firmus.
    pub(crate) cantus: usize,
    /// Ticks of each of its notes.
    pub(crate) value: i64,
    /// The species of each line; nothing for the cantus firmus, and for what is none.
    pub(crate) lines: Vec<Option<Species>>,
}

/// A cantus firmus has at least so many notes.
const CANTUS: usize = 4;

impl Exercises {
    /// The exercises in a texture: none where no voice has a cantus firmus, notes of one value. Of
    /// several that have, the one with the longest notes, or else the lowest, is the cantus firmus.
    pub(crate) fn of(texture: &Texture) -> Exercises {
        let values = texture.lines.iter().map(cantus_value).enumerate();
        let cantus = values.filter_map(|(line, value)| Some((value?, line))).max();
        let Some((value, cantus)) = cantus else { return Exercises::default() };
        let species = |(number, line): (usize, &Line)| {
            (number != cantus).then(|| of_line(line, value)).flatten()
        };
        let lines = texture.lines.iter().enumerate().map(species).collect();
        Exercises { cantus, value, lines }
    }

    /// The species of two lines, one of which has the cantus firmus.
    pub(crate) fn of_pair(&self, one: u32, other: u32) -> Option<Species> {
        let (one, other) = (one as usize, other as usize);
        let own = if one == self.cantus { other } else { one };
        (one == self.cantus || other == self.cantus).then(|| *self.lines.get(own)?).flatten()
    }

    /// They by the voices of the score.
    pub(crate) fn told(&self, texture: &Texture) -> Vec<Exercise> {
        let told = |(line, species): (usize, &Option<Species>)| {
            let [voice, cantus] = [line, self.cantus].map(|line| texture.lines[line].voice);
            species.map(|species| Exercise { voice, cantus, species })
        };
        self.lines.iter().enumerate().filter_map(told).collect()
    }
}

/// The notes of a line before its last.
fn before_last(line: &Line) -> Vec<&Note> {
    let mut notes: Vec<&Note> = line.notes.iter().filter(|note| note.pitch.is_some()).collect();
    notes.pop();
    notes
}

fn ticks(note: &Note) -> i64 {
    note.end - note.onset
}

/// The value of a line that has nothing but notes of one value, the last one left out.
fn cantus_value(line: &Line) -> Option<i64> {
    let rests = line.notes.iter().any(|note| note.pitch.is_none() && note.onset < note.end);
    let notes = before_last(line);
    let value = ticks(notes.first()?);
    let is_cantus = |note: &&Note| ticks(note) == value && note.section == 0;
    (!rests && notes.len() + 1 >= CANTUS && notes.iter().all(is_cantus)).then_some(value)
}

/// The species of a line against notes of a value.
fn of_line(line: &Line, value: i64) -> Option<Species> {
    let notes = before_last(line);
    let shortest = notes.iter().map(|note| ticks(note)).min()?;
    let share = |is_it: &dyn Fn(&Note) -> bool, of_hundred: usize| {
        notes.iter().filter(|note| is_it(note)).count() * 100 >= notes.len() * of_hundred
    };
    let is_tied = |note: &Note| ticks(note) == value && 2 * note.onset.rem_euclid(value) == value;
    // A note or two of another value make no other species, but a fault in this one.
    let has = |number: i64| share(&|note| ticks(note) * number == value, 75);
    Some(match () {
        () if share(&|note| ticks(note) == value && note.onset % value == 0, 100) => Species::First,
        () if shortest * 2 >= value && share(&is_tied, 50) => Species::Fourth,
        () if shortest * 2 >= value && has(2) => Species::Second,
        () if shortest * 4 >= value && has(4) => Species::Third,
        () if notes.iter().all(|note| ticks(note) <= 2 * value) => Species::Fifth,
        () => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{texture, voices};
    use super::*;

    fn species(music: &[&str]) -> Vec<Option<&'static str>> {
        let exercises = Exercises::of(&texture(&voices(music)));
        exercises.lines.iter().map(|species| species.map(Species::name)).collect()
    }

    #[test]
    fn the_species_is_known_from_the_values() {
        let cantus = "sb D4 F4 E4 D4 D4";
        for (upper, name) in [
            ("sb A4 A4 G4 A4 A4", "first species"),
            ("mn _ A4 D5 A4 G4 B4 A4 C#5 sb D5", "second species"),
            ("mn _ A4 D5 A4 G4 B4 sb A4 D5", "second species"),
            ("sm A4 B4 C5 D5 C5 D5 C5 A4 G4 A4 B4 G4 A4 B4 C5 B4 sb A4", "third species"),
            ("mn _ sb A4 D5 C5 B4 mn A4 sb A4", "fourth species"),
            ("mn _ sb A4 mn D5. sm C5 mn C5 sm B4 C5 mn A4 C#5 sb D5", "fifth species"),
        ] {
            assert_eq!(species(&[upper, cantus]), [Some(name), None], "{upper}");
            let below = species(&[cantus, upper]).into_iter().flatten();
            assert_eq!(below.collect::<Vec<_>>(), [name], "{upper}");
        }
    }

    /// Fux, second to fifth species (from memory).
    #[test]
    fn figures_of_each_species() {
        let (free, fault) = (None, Some(Severity::Fault));
        for (figure, said) in [
            (Figure::Passing, [fault, free, free, Some(Severity::Licence), free]),
            (Figure::Cambiata, [fault, fault, free, fault, free]),
            (Figure::Suspension, [fault, fault, fault, free, free]),
            (Figure::SuspensionOrnament, [fault, fault, fault, fault, free]),
        ] {
            let all = Species::ALL.iter().map(|species| species.dissonance(figure, free));
            assert_eq!(all.collect::<Vec<_>>(), said, "{figure:?}");
        }
    }

    #[test]
    fn without_a_cantus_firmus_there_is_no_species() {
        assert_eq!(species(&["mn A4 sb D5 mn C5 sb D5", "sb D4 mn F4 G4 sb D4"]), []);
        assert_eq!(species(&["sb D4 F4"]), []);
        assert_eq!(species(&[]), []);
    }
}
