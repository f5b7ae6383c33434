//! How rare each turn of a piece is in it, in bits.
//!
//! What is common proves no imitation: scales are free, and so are minims in a row. A step, and a
//! value, is counted among those that follow the same kind of step, or the same value, in the piece;
//! its bits are the negative logarithm of its share (Shannon, *A Mathematical Theory of
//! Communication*, 1948). A voice has its own manner, and each turn is counted in its own voice
//! first: a bass leaps, and leaps of a bass prove little.

use std::collections::HashMap;

use super::melody::{Melody, Start};

/// Bits, in 1/16.
pub(super) type Bits = i32;

/// One bit.
pub(super) const BIT: Bits = 16;

/// So many notes of the repertory are counted beside those of the piece, so that a subject does not
/// become common in a short piece by its own entries.
const BESIDE: f64 = 70.0;

/// And so many of the piece beside those of the voice.
const BESIDE_VOICE: f64 = 20.0;

/// The share of each value in the repertory: one of eight that are common everywhere.
const SHARE_OF_VALUE: f64 = 0.125;

/// The share of each step in the repertory, from none to an octave; of both directions together.
/// Measured on ten duos and three madrigals of the open data, repetitions left out, and rounded
/// so that nothing is impossible.
const SHARES: [f64; 8] = [0.001, 0.71, 0.16, 0.064, 0.053, 0.002, 0.001, 0.007];

/// The bits of every turn of the melodies.
#[derive(Debug)]
pub(super) struct Rarity {
    /// Of each melody and tone: the bits of the step to the next.
    steps: Vec<Vec<Bits>>,
    /// Of each melody and tone: the bits of its value.
    values: Vec<Vec<Bits>>,
    /// Of each kind of beginning: how much likelier it is that of an entry than of any other tone.
    starts: [Bits; Start::COUNT],
    /// All tones.
    pub(super) tones: usize,
    /// Tones in a tick.
    density: f64,
}

/// The kinds of steps before a step.
fn context(before: Option<i32>) -> i32 {
    match before {
        None => 0,
        Some(1) => 1,
        Some(-1) => 2,
        Some(_) => 3,
    }
}

/// How often something is among all with the same before it.
struct Table {
    pairs: HashMap<(i64, i64), u32>,
    all: HashMap<i64, u32>,
}

impl Table {
    fn of(pairs: impl Iterator<Item = (i64, i64)>) -> Table {
        let mut table = Table { pairs: HashMap::new(), all: HashMap::new() };
        for (before, after) in pairs {
            *table.pairs.entry((before, after)).or_default() += 1;
            *table.all.entry(before).or_default() += 1;
        }
        table
    }

    /// The share of what follows, so many others counted beside with a share of their own.
    fn share(&self, (before, after): (i64, i64), beside: f64, share: f64) -> f64 {
        let count = f64::from(self.pairs.get(&(before, after)).copied().unwrap_or(0));
        let all = f64::from(self.all.get(&before).copied().unwrap_or(0));
        (count + share * beside) / (all + beside)
    }
}

fn bits(odds: f64) -> Bits {
    (odds.max(1e-9).log2() * f64::from(BIT)).round() as Bits
}

/// The bits of each turn of each melody: what it is after, and what it is. `counts` says which are
/// counted, and `share` how common a turn is in the repertory.
fn of_voices(
    melodies: &[Melody],
    turn: impl Fn(&Melody, usize) -> Option<(i64, i64)>,
    counts: impl Fn(&Melody, usize) -> bool,
    share: impl Fn(i64) -> f64,
) -> Vec<Vec<Bits>> {
    let turns = |melody: &Melody| -> Vec<(i64, i64)> {
        let places = (0..melody.tones.len()).filter(|place| counts(melody, *place));
        places.filter_map(|place| turn(melody, place)).collect()
    };
    let of_piece = Table::of(melodies.iter().flat_map(turns));
    let of_voice = |melody: &Melody| {
        let own = Table::of(turns(melody).into_iter());
        let rare = |place| {
            turn(melody, place).map_or(0, |turn| {
                let of_piece = of_piece.share(turn, BESIDE, share(turn.1));
                bits(1.0 / own.share(turn, BESIDE_VOICE, of_piece))
            })
        };
        (0..melody.tones.len()).map(rare).collect()
    };
    melodies.iter().map(of_voice).collect()
}

impl Rarity {
    pub(super) fn of(melodies: &[Melody]) -> Rarity {
        let before = |melody: &Melody, place: usize| {
            place.checked_sub(1).and_then(|before| melody.step(before))
        };
        let step = |melody: &Melody, place: usize| {
            let step = melody.step(place)?;
            Some((i64::from(context(before(melody, place))), i64::from(step)))
        };
        let value = |melody: &Melody, place: usize| {
            let before = place.checked_sub(1).filter(|before| melody.goes_on(*before));
            (before.map_or(0, |before| melody.value(before)), melody.value(place))
        };
        let share =
            |step: i64| SHARES.get(step.unsigned_abs() as usize).copied().unwrap_or(0.001) / 2.0;
        let steps = of_voices(melodies, step, |_, _| true, share);
        let values = of_voices(
            melodies,
            |melody, place| Some(value(melody, place)),
            // What a rest parts is no value of its own.
            Melody::goes_on,
            |_| SHARE_OF_VALUE,
        );
        let tones = melodies.iter().map(|melody| melody.tones.len()).sum();
        let ends = melodies.iter().filter_map(|melody| melody.tones.last()).map(|tone| tone.end);
        let length = ends.max().unwrap_or(0).max(1);
        Rarity {
            steps,
            values,
            starts: starts(melodies),
            tones,
            density: tones as f64 / length as f64,
        }
    }

    /// The bits of the step after a tone.
    pub(super) fn step(&self, melody: usize, place: usize) -> Bits {
        self.steps[melody][place]
    }

    /// The bits of the value of a tone.
    pub(super) fn value(&self, melody: usize, place: usize) -> Bits {
        self.values[melody][place]
    }

    /// How much likelier a beginning is that of an entry than of any other tone.
    pub(super) fn start(&self, start: Start) -> Bits {
        self.starts[start as usize]
    }

    /// The bits needed to single out one tone among all that are no further away than this.
    pub(super) fn among(&self, ticks: i64) -> Bits {
        bits(1.0 + self.density * ticks as f64)
    }

    /// The bits needed to single out one tone of the piece.
    pub(super) fn anywhere(&self) -> Bits {
        bits(1.0 + self.tones as f64)
    }
}

/// Of a hundred entries so many begin after a rest, after a long note, and in the midst of a phrase:
/// an estimate.
const ENTRIES: [f64; Start::COUNT] = [0.33, 0.25, 0.42];

fn starts(melodies: &[Melody]) -> [Bits; Start::COUNT] {
    // A few of each beside, so that none is without any.
    let mut counts = [2.0, 2.0, 14.0];
    for tone in melodies.iter().flat_map(|melody| &melody.tones) {
        counts[tone.start as usize] += 1.0;
    }
    let all: f64 = counts.iter().sum();
    [0, 1, 2].map(|start| bits(ENTRIES[start] * all / counts[start]))
}
