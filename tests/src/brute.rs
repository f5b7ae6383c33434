//! Two voices judged by brute force: interval arithmetic over every moment, with nothing of the program.

/// A note: when it begins and ends, in any unit, staff steps and semitones.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Plain {
    /// When it begins.
    pub on: i64,
    /// When it is over.
    pub off: i64,
    /// Staff steps.
    pub steps: i32,
    /// Semitones.
    pub semitones: i32,
}

/// What is wrong between two voices.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Wrong {
    /// A second, fourth or seventh, the tritone among them.
    Discord,
    /// Anything else that is not pure: a false fifth, a diminished fourth.
    False,
    /// Two fifths, or two unisons or octaves, in one direction.
    Parallel,
}

/// Something that is wrong: which, when, and the places of the two notes.
pub type Found = (Wrong, i64, [usize; 2]);

/// The interval of two notes in steps and semitones, octaves left out.
fn interval(one: Plain, other: Plain) -> (i32, i32) {
    let (mut steps, mut semitones) = (other.steps - one.steps, other.semitones - one.semitones);
    if steps < 0 || (steps == 0 && semitones < 0) {
        (steps, semitones) = (-steps, -semitones);
    }
    while steps >= 7 {
        (steps, semitones) = (steps - 7, semitones - 12);
    }
    (steps, semitones)
}

/// Whether it is a pure fifth, unison or octave: then which.
fn perfect(one: Plain, other: Plain) -> Option<i32> {
    let interval = interval(one, other);
    matches!(interval, (0, 0) | (4, 7)).then_some(interval.0)
}

/// The place of the note that sounds at a moment.
fn sounding(voice: &[Plain], at: i64) -> Option<usize> {
    voice.iter().position(|note| note.on <= at && at < note.off)
}

/// All that is wrong between two voices wherever one of them begins a note.
pub fn wrong(one: &[Plain], other: &[Plain]) -> Vec<Found> {
    let mut moments: Vec<i64> = one.iter().chain(other).map(|note| note.on).collect();
    moments.sort_unstable();
    moments.dedup();
    let mut found = Vec::new();
    for at in moments {
        let (Some(first), Some(second)) = (sounding(one, at), sounding(other, at)) else {
            continue;
        };
        let (a, b) = (one[first], other[second]);
        match interval(a, b) {
            (0, 0) | (2, 3 | 4) | (4, 7) | (5, 8 | 9) => {}
            (1, 1 | 2) | (3, 5 | 6) | (6, 10 | 11) => {
                found.push((Wrong::Discord, at, [first, second]));
            }
            _ => found.push((Wrong::False, at, [first, second])),
        }
        // Both have moved: what they sounded just before must have ended now.
        let (Some(first_before), Some(second_before)) =
            (sounding(one, at - 1), sounding(other, at - 1))
        else {
            continue;
        };
        let (c, d) = (one[first_before], other[second_before]);
        let both = first_before != first && second_before != second;
        let similar = (a.steps - c.steps) * (b.steps - d.steps) > 0;
        if both && similar && perfect(a, b).is_some() && perfect(a, b) == perfect(c, d) {
            found.push((Wrong::Parallel, at, [first, second]));
        }
    }
    found
}
