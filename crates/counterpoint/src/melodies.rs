//! All melodies of a piece: how long the note in the midst of each lasts, and how it is inflected.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use crate::inflections::Inflections;
use crate::kinds::Kinds;
use crate::length::Length;
use crate::texture::{Note, Texture};

/// Four steps in a row, a byte each.
pub(crate) type Melody = u32;

/// A melody around a note, and the class of its length.
pub(crate) type Window = (Melody, Length);

/// How often something has each class of length.
pub(crate) type Lengths = [u16; Length::COUNT];

/// How often the note in the midst of a melody has each class of length, and how it is inflected.
pub(crate) struct Melodies {
    lengths: HashMap<Melody, Lengths, BuildHasherDefault<Scattering>>,
    pub(crate) inflections: Inflections,
}

impl Melodies {
    /// All melodies of a texture.
    pub(crate) fn new(texture: &Texture) -> Melodies {
        let mut all: HashMap<Melody, Lengths, _> = HashMap::default();
        for line in &texture.lines {
            for (melody, length) in windows(line.notes.iter()) {
                let lengths = all.entry(melody).or_insert([0; Length::COUNT]);
                let count = &mut lengths[length.number()];
                *count = count.saturating_add(1);
            }
        }
        Melodies { lengths: all, inflections: Inflections::new(texture) }
    }

    /// The lengths of the note in the midst of a melody.
    pub(crate) fn lengths(&self, melody: Melody) -> Option<&Lengths> {
        self.lengths.get(&melody)
    }
}

/// The melodies of all five notes in a row, and the class of the one in the midst of each.
pub(crate) fn windows<'n>(notes: impl Iterator<Item = &'n Note>) -> impl Iterator<Item = Window> {
    let mut last: [Option<i16>; 4] = [None; 4];
    let mut lengths = [Length::Semifusa; 2];
    notes.filter_map(move |note| {
        let [one, two, three, four] = last;
        let five = note.pitch.map(|pitch| pitch.rung);
        last = [two, three, four, five];
        let [middle, next] = lengths;
        lengths = [next, note.class];
        let step = |from: i16, to: i16| (to - from).clamp(-20, 20) as u8;
        let (one, two, three, four, five) = (one?, two?, three?, four?, five?);
        let steps = [step(one, two), step(two, three), step(three, four), step(four, five)];
        Some((Melody::from_le_bytes(steps), middle))
    })
}

/// Scatters the few bits of melodies by a multiplication (Knuth, *The Art of Computer Programming*,
/// III, 6.4, on multiplicative hashing; from memory): they are looked up for every candidate.
#[derive(Default)]
pub(crate) struct Scattering(u64);

impl Hasher for Scattering {
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u32(u32::from(*byte));
        }
    }

    fn write_u32(&mut self, word: u32) {
        self.0 = (self.0 ^ u64::from(word)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }

    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 32)
    }
}
