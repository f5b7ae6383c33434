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
            for (melody, class) in line.notes.windows(5).filter_map(window) {
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
        let windows = |middle: &[Note]| -> Vec<Window> {
            let stretch: Vec<Note> = [before, middle, after].concat();
            stretch.windows(5).filter_map(window).collect()
        };
        let typed = windows(&notes[candidate.from..candidate.to]);
        let own = counted(&typed);
        let mut with = S::nothing();
        let mut without = S::nothing();
        self.count(&windows(read), &own, weights, &mut with);
        self.count(&typed, &own, weights, &mut without);
        with.subtract(&without);
        with
    }

    /// Counts how windows are like those of the piece, `own` aside.
    fn count<S: Sum>(
        &self,
        windows: &[Window],
        own: &[(Window, u16)],
        weights: &[f32; FEATURES],
        sum: &mut S,
    ) {
        for (melody, class) in windows {
            let Some(known) = self.0.get(melody) else { continue };
            let mut counts = *known;
            let first = own.partition_point(|((other, _), _)| other < melody);
            for ((_, class), times) in own[first..].iter().take_while(|one| one.0.0 == *melody) {
                counts[*class] = counts[*class].saturating_sub(*times);
            }
            let all: u32 = counts.iter().map(|count| u32::from(*count)).sum();
            let same = u32::from(counts[*class]);
            if all > 0 {
                let like = same * 2 >= all;
                let number = usize::from(!like) * 2 + usize::from(all > 1);
                sum.count(feature::likeness(number), weights);
            }
        }
    }
}

/// Windows in order, each once, and how often it is among them.
fn counted(windows: &[Window]) -> Vec<(Window, u16)> {
    let mut own: Vec<(Window, u16)> = windows.iter().map(|window| (*window, 1)).collect();
    own.sort_unstable();
    own.dedup_by(|next, first| {
        let same = next.0 == first.0;
        first.1 = first.1.saturating_add(u16::from(same));
        same
    });
    own
}

/// The melody of five notes in a row, and the class of the one in the midst.
fn window(notes: &[Note]) -> Option<Window> {
    let mut rungs = [0; 5];
    for (rung, note) in rungs.iter_mut().zip(notes) {
        *rung = note.pitch?.rung;
    }
    let steps = [0, 1, 2, 3].map(|place| (rungs[place + 1] - rungs[place]).clamp(-20, 20) as u8);
    Some((Melody::from_le_bytes(steps), notes.get(2)?.class.number()))
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
