//! The numbers of brackets: no two of a part that overlap share one.

use rudiments::Time;
use score::{Edges, Segment};

/// So many numbers the format has.
const NUMBERS: usize = 16;

/// What a bracket marks.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Marks {
    Ligature,
    Coloration,
}

/// A bracket that is open.
#[derive(Clone, Copy)]
pub(super) struct Open {
    /// From 1.
    pub(super) number: usize,
    /// Where it was opened: there it is closed too, whatever staff the voice has gone to.
    pub(super) staff: usize,
}

/// The brackets of a part.
pub(super) struct Brackets {
    /// Beside the numbers: when each was last given back; nothing while it is in use.
    free_from: [Option<Time>; NUMBERS],
    /// Beside the voices of the part: the brackets of ligature and coloration that are open.
    open: Vec<[Option<Open>; 2]>,
}

impl Brackets {
    /// Those of a part of so many voices.
    pub(super) fn new(voices: usize) -> Brackets {
        Brackets { free_from: [Some(Time::ZERO); NUMBERS], open: vec![[None; 2]; voices] }
    }

    /// Opens a bracket where one begins. Nothing where all numbers are in use; then it is not written.
    pub(super) fn open(&mut self, voice: usize, marks: Marks, segment: &Segment) -> Option<Open> {
        of(segment, marks).filter(|edges| edges.begins)?;
        // A voice keeps its numbers as long as it can.
        let own = (2 * voice + marks as usize) % NUMBERS;
        let is_free = |place: &usize| {
            self.free_from[*place].is_some_and(|free_from| free_from <= segment.onset)
        };
        let place = std::iter::once(own).chain(0..NUMBERS).find(is_free)?;
        let open = Open { number: place + 1, staff: segment.staff };
        self.free_from[place] = None;
        self.open[voice][marks as usize] = Some(open);
        Some(open)
    }

    /// Opens a bracket for something else. Nothing where all numbers are in use.
    pub(super) fn open_free(&mut self, at: Time, staff: usize) -> Option<Open> {
        // From the last on, so that voices keep theirs as long as they can.
        let free = |from: &Option<Time>| from.is_some_and(|free_from| free_from <= at);
        let place = self.free_from.iter().rposition(free)?;
        self.free_from[place] = None;
        Some(Open { number: place + 1, staff })
    }

    /// A bracket of something else is closed.
    pub(super) fn give_back(&mut self, open: Open, at: Time) {
        self.free_from[open.number - 1] = Some(at);
    }

    /// Closes the bracket that ends with a segment.
    pub(super) fn close(&mut self, voice: usize, marks: Marks, segment: &Segment) -> Option<Open> {
        of(segment, marks).filter(|edges| edges.ends)?;
        let open = self.open[voice][marks as usize].take()?;
        self.free_from[open.number - 1] = Some(segment.end());
        Some(open)
    }
}

fn of(segment: &Segment, marks: Marks) -> Option<Edges> {
    match marks {
        Marks::Ligature => segment.ligature,
        Marks::Coloration => segment.coloration,
    }
}
