//! The clef that was meant, by the letters that are typed under another.

use rudiments::{Clef, ClefShape, Step, Tone};

use crate::undecided::{bare_letter, nearer};

/// The clefs in common use, the most usual first.
const CLEFS: [(ClefShape, u8); 7] = [
    (ClefShape::C, 1),
    (ClefShape::C, 4),
    (ClefShape::F, 4),
    (ClefShape::C, 3),
    (ClefShape::G, 2),
    (ClefShape::C, 2),
    (ClefShape::F, 3),
];

/// So many wide leaps are no accident, if they are more than one letter in [`PART`].
const WIDE: usize = 4;
const PART: usize = 16;

/// Under another clef there is at most this part of the wide leaps, and half of the cost.
const FEWER: usize = 4;

/// Clefs whose costs differ by so much, or by a quarter, fit alike.
const ALIKE: usize = 8;

/// The clef that was meant for the letters of a voice, as they are typed, with or without octave, if it
/// is another, and the troubles under both.
///
/// The letters of a melody lie close together. Under its own clef few have two places, and bare
/// letters make no wide leaps; under another, the melody is folded where that staff ends.
///
/// Letters do not say in which octave they sound, so clefs that lie about an octave apart fit alike.
/// Of those that fit about as well as the best, the one is meant that lies between the clefs of the voices above and
/// below.
pub(crate) fn clef_meant(
    typed: Clef,
    letters: &[(Step, Option<i8>)],
    above: Option<Clef>,
    below: Option<Clef>,
) -> Option<(Clef, [usize; 2])> {
    let now = Troubles::under(typed, letters);
    if now.wide < WIDE || now.wide * PART < letters.len() {
        return None;
    }
    let clefs = CLEFS.into_iter().filter_map(|(shape, line)| Clef::new(shape, line));
    let others = clefs.filter(|clef| *clef != typed);
    let under = others.map(|clef| (Troubles::under(clef, letters), clef));
    let is_better =
        |then: &Troubles| then.wide * FEWER <= now.wide && then.cost() * 2 <= now.cost();
    let fitting: Vec<(Troubles, Clef)> = under.filter(|(then, _)| is_better(then)).collect();
    let least = fitting.iter().map(|(then, _)| then.cost()).min()?;
    let middle = |clef: Clef| clef.tone_at(6).rung();
    let outside = |clef: Clef| {
        let over = above.map_or(0, |above| middle(clef) - middle(above)).max(0);
        let under = below.map_or(0, |below| middle(below) - middle(clef)).max(0);
        over + under
    };
    let alike = fitting.iter().filter(|(then, _)| then.cost() <= least + least / 4 + ALIKE);
    let (then, clef) = alike.min_by_key(|(then, clef)| (outside(*clef), then.cost()))?;
    Some((*clef, [now.all(), then.all()]))
}

/// What is wrong with letters under a clef.
#[derive(Default)]
struct Troubles {
    /// Letters that have two places.
    two_places: usize,
    /// Leaps of a seventh, and of more than an octave.
    wide: usize,
}

impl Troubles {
    fn all(&self) -> usize {
        self.two_places + self.wide
    }

    /// A wide leap is rarer than a letter with two places.
    fn cost(&self) -> usize {
        self.two_places + 3 * self.wide
    }

    fn under(clef: Clef, letters: &[(Step, Option<i8>)]) -> Troubles {
        let mut troubles = Troubles::default();
        let mut previous: Option<Tone> = None;
        for (step, octave) in letters {
            let tone = match octave {
                Some(octave) => Tone::new(*step, *octave),
                None => bare_letter(clef, *step, previous).unwrap_or_else(|(low, high)| {
                    troubles.two_places += 1;
                    nearer(low, high, previous)
                }),
            };
            let is_wide = |before: Tone| matches!(tone.steps_above(before).abs(), 6 | 8..);
            troubles.wide += usize::from(previous.is_some_and(is_wide));
            previous = Some(tone);
        }
        troubles
    }
}
