//! Words in rows where they must not run into one another.

use crate::fonts::Face;
use crate::lettering::{Letterer, Lettering};
use crate::units::Sp;

/// The size of labels.
pub(super) const LABEL: Sp = Sp(1.7);

/// Between two labels in a row.
const BETWEEN: Sp = Sp(0.7);

/// A label becomes no smaller than this part of its size.
const SMALLEST: f64 = 0.8;

/// The labels of a row with where they begin. Each is wanted from a place on, as a whole or at least as
/// its name; what has no room as a whole before the next, even in smaller letters, has its name alone,
/// and what has none even so is left out.
pub(super) fn row(
    wanted: &[(Sp, [String; 2])],
    right: Sp,
    letterer: &Letterer,
) -> Vec<(Lettering, Sp)> {
    let mut row: Vec<(Lettering, Sp)> = Vec::new();
    let mut end = Sp(f64::NEG_INFINITY);
    for (place, (x, texts)) in wanted.iter().enumerate() {
        let next = wanted.get(place + 1).map_or(right, |(next, _)| *next - BETWEEN);
        let fits = |letters: Lettering, size: Sp, text: &str| {
            // At the end of a system it may begin earlier.
            let earliest = if next == right { end } else { *x };
            let room = next - earliest.max(Sp::ZERO);
            if letters.width <= room {
                return Some(letters);
            }
            let smaller = size * (room / letters.width);
            (smaller >= size * SMALLEST).then(|| letterer.set(text, Face::Roman, smaller))
        };
        let set = |text: &String| {
            let letters = letterer.set(text, Face::Roman, LABEL);
            fits(letters, LABEL, text).filter(|letters| !letters.text.is_empty())
        };
        let Some(letters) = texts.iter().find_map(set) else { continue };
        let x = x.min(next - letters.width).max(end);
        if x < end {
            continue;
        }
        end = x + letters.width + BETWEEN;
        row.push((letters, x));
    }
    row
}

/// Lanes in which nothing overlaps: each thing has the first that is free.
#[derive(Default)]
pub(super) struct Lanes {
    ends: Vec<Sp>,
}

impl Lanes {
    /// The lane of something from one place to another; what is placed later begins no earlier.
    pub(super) fn place(&mut self, from: Sp, to: Sp) -> usize {
        let free = self.ends.iter().position(|end| *end <= from + Sp(1e-6));
        match free {
            Some(lane) => {
                self.ends[lane] = to;
                lane
            }
            None => {
                self.ends.push(to);
                self.ends.len() - 1
            }
        }
    }

    pub(super) fn count(&self) -> usize {
        self.ends.len()
    }
}
