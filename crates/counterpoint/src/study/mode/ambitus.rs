//! How far each voice goes, and whether that is the authentic or the plagal octave of the final.

use rudiments::{Pitch, Step};
use score::Score;

use super::{Clefs, Part};
use crate::texture::{Height, Line, Texture};

/// How far a voice goes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ambitus {
    /// The place of the voice in [`Score::voices`].
    pub voice: usize,
    /// Its part, by its clef.
    pub part: Option<Part>,
    /// Its lowest note.
    pub lowest: Pitch,
    /// Its highest note.
    pub highest: Pitch,
    /// Which octave that is; nothing where it fits both as well.
    pub range: Option<Range>,
}

/// An octave of a final.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Range {
    /// From the final up to its octave.
    Authentic,
    /// From the fourth below the final to the fifth above it.
    Plagal,
}

/// The compass of every voice that has notes.
pub(super) fn of(
    texture: &Texture,
    score: &Score,
    clefs: Option<Clefs>,
    last: Option<Step>,
) -> Vec<Ambitus> {
    let of_line = |line: &Line| {
        let heights = || line.notes.iter().filter_map(|note| note.pitch);
        let key = |height: &Height| (height.rung, height.semitones);
        let (lowest, highest) = (heights().min_by_key(key)?, heights().max_by_key(key)?);
        let range = last.and_then(|last| range(lowest, highest, last));
        let part = clefs.and_then(|clefs| clefs.part(score.voices[line.voice].clef));
        let (lowest, highest) = (lowest.pitch(), highest.pitch());
        Some(Ambitus { voice: line.voice, part, lowest, highest, range })
    };
    texture.lines.iter().filter_map(of_line).collect()
}

/// The octave that a compass fits better. A step beyond at either end is free (Zarlino IV, ch. 31;
/// from memory); of two that it does not exceed, the one whose ends are nearer.
fn range(lowest: Height, highest: Height, last: Step) -> Option<Range> {
    let misfit = |below: i16| {
        let (low, high) = (lowest.rung, highest.rung);
        // The octave that begins nearest to the lowest note, and the two around it.
        let begins = last as i16 - below;
        let nearest = low + (begins - low).rem_euclid(7);
        [nearest - 7, nearest].map(|from| {
            let over = |steps: i16| (steps - 1).max(0);
            let beyond = over(from - low) + over(high - (from + 7));
            (beyond, (from - low).abs() + (high - (from + 7)).abs())
        })
    };
    let least = |below| misfit(below).into_iter().min();
    match least(0).cmp(&least(3)) {
        std::cmp::Ordering::Less => Some(Range::Authentic),
        std::cmp::Ordering::Greater => Some(Range::Plagal),
        std::cmp::Ordering::Equal => None,
    }
}

impl Ambitus {
    /// How it votes for the authentic mode of its final, or against it if negative: the Tenor, by
    /// which the mode is judged first, counts twice; a voice of unknown part not at all.
    pub(super) fn vote(&self) -> i32 {
        let (Some(range), Some(part)) = (self.range, self.part) else { return 0 };
        let weight = if part == Part::Tenor { 2 } else { 1 };
        if (range == Range::Authentic) == part.has_the_mode() { weight } else { -weight }
    }
}

impl Range {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Range::Authentic => "authentic",
            Range::Plagal => "plagal",
        }
    }
}

#[cfg(test)]
mod tests {
    use rudiments::{Signature, Tone};

    use super::*;

    fn fits(lowest: (Step, i8), highest: (Step, i8), last: Step) -> Option<Range> {
        let height =
            |(step, octave)| Height::of(Pitch::new(Tone::new(step, octave), 0), Signature::NONE);
        range(height(lowest), height(highest), last)
    }

    /// Mode 1 goes from D to D, mode 2 from A to A (Zarlino IV, ch. 18 and 19; from memory).
    #[test]
    fn octaves_of_d() {
        assert_eq!(fits((Step::D, 3), (Step::D, 4), Step::D), Some(Range::Authentic));
        assert_eq!(fits((Step::A, 2), (Step::A, 3), Step::D), Some(Range::Plagal));
        assert_eq!(fits((Step::C, 3), (Step::E, 4), Step::D), Some(Range::Authentic));
        assert_eq!(fits((Step::G, 4), (Step::B, 5), Step::D), Some(Range::Plagal));
    }

    #[test]
    fn a_fifth_fits_both() {
        assert_eq!(fits((Step::D, 3), (Step::A, 3), Step::D), None);
    }
}
