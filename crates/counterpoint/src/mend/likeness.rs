//! Whether a voice does what others do where they have the same melody: imitation, and whatever
//! else comes again.
//!
//! For every note that stands amid five, the four steps between them are looked up among those of
//! the whole piece. Where they come elsewhere, the note in the midst most likely lasts as long as
//! it does there.

use std::collections::HashMap;

use super::repairs::Candidate;
use crate::cost::{FEATURES, Sum, feature};
use crate::place::LENGTHS;
use crate::texture::{Line, Note, Texture};

/// Four steps in a row.
type Melody = [i8; 4];

/// How often the note in the midst of a melody has each class of length.
pub(crate) struct Likeness(HashMap<Melody, [u16; LENGTHS]>);

/// A melody around a note, and the class of its length.
type Window = (Melody, usize);

impl Likeness {
    /// All melodies of a texture.
    pub(crate) fn new(texture: &Texture) -> Likeness {
        let mut melodies: HashMap<Melody, [u16; LENGTHS]> = HashMap::new();
        for line in &texture.lines {
            for (melody, class) in line.notes.windows(5).filter_map(window) {
                let count = &mut melodies.entry(melody).or_insert([0; LENGTHS])[class];
                *count = count.saturating_add(1);
            }
        }
        Likeness(melodies)
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
        let mut with = S::nothing();
        let mut without = S::nothing();
        self.count(&windows(read), &typed, weights, &mut with);
        self.count(&typed, &typed, weights, &mut without);
        with.subtract(&without);
        with
    }

    /// Counts how windows are like those of the piece, `own` aside.
    fn count<S: Sum>(
        &self,
        windows: &[Window],
        own: &[Window],
        weights: &[f32; FEATURES],
        sum: &mut S,
    ) {
        for (melody, class) in windows {
            let Some(known) = self.0.get(melody) else { continue };
            let mut counts = *known;
            for (_, class) in own.iter().filter(|(other, _)| other == melody) {
                counts[*class] = counts[*class].saturating_sub(1);
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

/// The melody of five notes in a row, and the class of the one in the midst.
fn window(notes: &[Note]) -> Option<Window> {
    let mut rungs = [0; 5];
    for (rung, note) in rungs.iter_mut().zip(notes) {
        *rung = note.pitch?.rung;
    }
    let steps = [0, 1, 2, 3].map(|place| (rungs[place + 1] - rungs[place]).clamp(-20, 20) as i8);
    Some((steps, notes.get(2)?.class.number()))
}
