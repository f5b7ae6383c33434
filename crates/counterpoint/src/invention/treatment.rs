//! Which figure treats a dissonance between two voices.
//!
//! A judge of its own, for a few notes that are all known: the suspension on a stronger place that goes
//! down a step, and passing notes, neighbours, anticipations and cambiate on weak places (Zarlino III,
//! ch. 42; Fux, *Gradus*, I, second to fourth species; Jeppesen; from memory).

use std::fmt;

use super::line::{MINIM, Tactus, Tick};

/// A figure that treats a dissonance.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Figure {
    /// A held note goes down a step: named by its dissonance and its resolution.
    Suspension(u32, u32),
    /// By step, and on in the same direction.
    Passing,
    /// By step and back.
    Neighbour,
    /// By step, and struck again.
    Anticipation,
    /// A step down, a third down, a step up.
    Cambiata,
}

/// `suspension 7-6`, `passing note`.
impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Figure::Suspension(from, to) => write!(f, "suspension {from}-{to}"),
            Figure::Passing => f.write_str("passing note"),
            Figure::Neighbour => f.write_str("neighbour note"),
            Figure::Anticipation => f.write_str("anticipation"),
            Figure::Cambiata => f.write_str("cambiata"),
        }
    }
}

/// A dissonance that is treated.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Treatment {
    /// By which figure.
    pub figure: Figure,
    /// The note of the voice that entered earlier, by its number in the subject.
    pub at: u32,
}

/// A note and those around it that follow without a rest.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Turn<'l> {
    line: &'l [Tick],
    place: usize,
}

impl<'l> Turn<'l> {
    pub(crate) fn new(line: &'l [Tick], place: usize) -> Turn<'l> {
        Turn { line, place }
    }

    pub(crate) fn note(self) -> Tick {
        self.line[self.place]
    }

    pub(crate) fn before(self) -> Option<Tick> {
        let before = *self.line.get(self.place.checked_sub(1)?)?;
        (before.off == self.note().on).then_some(before)
    }

    pub(crate) fn after(self) -> Option<Tick> {
        let after = *self.line.get(self.place + 1)?;
        (after.on == self.note().off).then_some(after)
    }

    /// Steps from the note before.
    fn come(self) -> Option<i32> {
        Some(self.note().rung - self.before()?.rung)
    }

    /// Steps to the note after.
    fn leave(self) -> Option<i32> {
        Some(self.after()?.rung - self.note().rung)
    }

    /// What the voice sounds at a moment near this note.
    fn at(self, moment: i64) -> Option<Tick> {
        let begun = self.line.partition_point(|note| note.on <= moment);
        let note = *self.line.get(begun.checked_sub(1)?)?;
        (moment < note.off).then_some(note)
    }
}

/// The figure that treats a dissonance at the moment at which one of two notes, or both, are struck.
pub(crate) fn treated(one: Turn<'_>, other: Turn<'_>, at: i64, place: Place) -> Option<Figure> {
    let (first, second) = (one.note(), other.note());
    match (first.on == at, second.on == at) {
        (true, true) if first.value() == second.value() => None,
        (true, true) => {
            let smaller = if first.value() < second.value() { one } else { other };
            ornament(smaller, place.tactus)
        }
        (true, false) => suspension(one, other, at, place).or_else(|| ornament(one, place.tactus)),
        (false, true) => {
            suspension(other, one, at, place).or_else(|| ornament(other, place.tactus))
        }
        (false, false) => None,
    }
}

/// Where a dissonance stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub(crate) tactus: Tactus,
    /// Whether more than two voices sound.
    pub(crate) several: bool,
}

/// A struck note that is an ornament by itself, on a weak place: the one that is natural for its value.
/// On a weaker one it would be a syncopation, held over a stronger place.
fn ornament(turn: Turn<'_>, tactus: Tactus) -> Option<Figure> {
    let note = turn.note();
    if tactus.weight(note.on) != note.value() || note.off - note.on > MINIM {
        return None;
    }
    let short = note.off - note.on <= MINIM / 2;
    match (turn.come()?, turn.leave()?) {
        (1, 1) | (-1, -1) => Some(Figure::Passing),
        (1, -1) | (-1, 1) if short => Some(Figure::Neighbour),
        (1 | -1, 0) if short => Some(Figure::Anticipation),
        (-1, -2) => {
            let third = turn.after()?;
            let then = turn.line.get(turn.place + 2).filter(|then| then.on == third.off)?;
            (then.rung == third.rung + 1).then_some(Figure::Cambiata)
        }
        _ => None,
    }
}

/// Whether the held note is suspended by the struck one.
fn suspension(struck: Turn<'_>, held: Turn<'_>, at: i64, place: Place) -> Option<Figure> {
    let note = held.note();
    let resolution = held.after().filter(|after| after.rung == note.rung - 1)?;
    let prepared = struck.at(note.on).is_some_and(|with| {
        let fourth = place.several && (with.rung - note.rung).rem_euclid(7) == 3;
        fourth || is_concord(with, note)
    });
    let lasts = note.off - at <= at - note.on;
    let stronger = place.tactus.weight(note.on) < place.tactus.weight(at);
    if !(prepared && lasts && stronger) {
        return None;
    }
    let with = struck.at(resolution.on)?;
    let resolves = match (resolution.rung - with.rung).abs() % 7 {
        2 | 5 => true,
        0 | 4 => place.several,
        _ => false,
    };
    let steps = note.rung - struck.note().rung;
    let within = |steps: i32| if steps > 8 { (steps - 1) % 7 + 2 } else { steps + 1 };
    let from = within(steps.abs());
    let to = if steps > 0 { from - 1 } else { from + 1 };
    resolves.then_some(Figure::Suspension(from as u32, to as u32))
}

/// Whether two notes make a pure unison, third, fifth, sixth or octave.
pub(crate) fn is_concord(one: Tick, other: Tick) -> bool {
    let (low, high) =
        if (one.rung, one.key) <= (other.rung, other.key) { (one, other) } else { (other, one) };
    let (steps, semitones) = (high.rung - low.rung, high.key - low.key);
    let semitones = semitones - steps / 7 * 12;
    matches!((steps % 7, semitones), (0, 0) | (2, 3 | 4) | (4, 7) | (5, 8 | 9))
}
