//! Whether a voice does what others do where they have the same melody: imitation, and whatever
//! else comes again.
//!
//! For every note that stands amid five, the four steps between them are looked up among those of
//! the whole piece. Where they come elsewhere, the note in the midst most likely lasts as long as
//! it does there.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use super::repairs::Candidate;
use crate::cost::{FEATURES, Sum, feature};
use crate::place::LENGTHS;
use crate::texture::{Line, Note, Texture};

/// Four steps in a row, a byte each.
type Melody = u32;

/// How often the note in the midst of a melody has each class of length.
pub(crate) struct Likeness(HashMap<Melody, [u16; LENGTHS], BuildHasherDefault<Scattering>>);

/// A melody around a note, and the class of its length.
type Window = (Melody, usize);

impl Likeness {
    /// All melodies of a texture.
    pub(crate) fn new(texture: &Texture) -> Likeness {
        let mut melodies = Likeness(HashMap::default());
        for line in &texture.lines {
            for (melody, class) in windows(line.notes.iter()) {
                let count = &mut melodies.0.entry(melody).or_insert([0; LENGTHS])[class];
                *count = count.saturating_add(1);
            }
        }
        melodies
    }

    /// What a candidate changes in the likeness of a voice to the others and to itself.
    pub(crate) fn of<S: Sum>(
        &self,
        line: &Line,
        candidate: &Candidate,
        read: &[Note],
        weights: &[f32; FEATURES],
    ) -> S {
        let notes = &line.notes;
        let before = &notes[candidate.from.saturating_sub(4)..candidate.from];
        let after = &notes[candidate.to..(candidate.to + 4).min(notes.len())];
        let with = |middle| windows(before.iter().chain(middle).chain(after));
        let typed = &notes[candidate.from..candidate.to];
        let own = counted(with(typed));
        let mut changed = S::nothing();
        let mut known = S::nothing();
        self.count(with(read), &own, weights, &mut changed);
        self.count(with(typed), &own, weights, &mut known);
        changed.subtract(&known);
        changed
    }

    /// Counts how windows are like those of the piece, `own` aside.
    fn count<S: Sum>(
        &self,
        windows: impl Iterator<Item = Window>,
        own: &[(Window, u16)],
        weights: &[f32; FEATURES],
        sum: &mut S,
    ) {
        for (melody, class) in windows {
            let Some(known) = self.0.get(&melody) else { continue };
            let mut counts = *known;
            let first = own.partition_point(|((other, _), _)| *other < melody);
            for ((_, class), times) in own[first..].iter().take_while(|one| one.0.0 == melody) {
                counts[*class] = counts[*class].saturating_sub(*times);
            }
            let all: u32 = counts.iter().map(|count| u32::from(*count)).sum();
            let same = u32::from(counts[class]);
            if all > 0 {
                let like = same * 2 >= all;
                let number = usize::from(!like) * 2 + usize::from(all > 1);
                sum.count(feature::likeness(number), weights);
            }
        }
    }
}

/// Windows in order, each once, and how often it is among them.
fn counted(windows: impl Iterator<Item = Window>) -> Vec<(Window, u16)> {
    let mut own: Vec<(Window, u16)> = windows.map(|window| (window, 1)).collect();
    own.sort_unstable();
    own.dedup_by(|next, first| {
        let same = next.0 == first.0;
        first.1 = first.1.saturating_add(u16::from(same));
        same
    });
    own
}

/// The melodies of all five notes in a row, and the class of the one in the midst of each.
fn windows<'n>(notes: impl Iterator<Item = &'n Note>) -> impl Iterator<Item = Window> {
    let mut rungs = [None; 5];
    let mut classes = [0; 3];
    notes.filter_map(move |note| {
        rungs.rotate_left(1);
        rungs[4] = note.pitch.map(|pitch| pitch.rung);
        classes.rotate_left(1);
        classes[2] = note.class.number();
        let [one, two, three, four, five] = rungs;
        let step = |from: i16, to: i16| (to - from).clamp(-20, 20) as u8;
        let (one, two, three, four, five) = (one?, two?, three?, four?, five?);
        let steps = [step(one, two), step(two, three), step(three, four), step(four, five)];
        Some((Melody::from_le_bytes(steps), classes[0]))
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
