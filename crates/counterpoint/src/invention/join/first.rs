//! The first pair, as it may end.

use super::super::line::{Line, MINIM};
use super::place::{Goal, Place};
use super::seam::end;

/// The first pair, with or without new notes at its end.
#[derive(Clone, Debug)]
pub(super) struct First {
    pub(super) lines: [Line; 2],
    /// The cadences to which it comes, in order; the last stands at its end.
    pub(super) goals: Vec<Goal>,
    /// The bridge, if there is one.
    pub(super) bridge: Option<Bridge>,
}

/// New notes at the end of the first pair.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bridge {
    /// When they begin, in ticks.
    pub(super) begin: i64,
    /// So many minims from there to the new last note.
    pub(super) minims: i64,
    /// How far it is from going by step.
    pub(super) cost: u32,
    /// The last moment at which an entry is better served by it than by another.
    pub(super) serves: i64,
}

/// What the first pair does when the second has entered.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Meanwhile {
    /// It holds what it sounds, and then rests.
    Holds,
    /// It begins more notes.
    GoesOn,
    /// It has ended.
    Rests,
}

impl Meanwhile {
    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Meanwhile::Holds => "holds",
            Meanwhile::GoesOn => "goes-on",
            Meanwhile::Rests => "rests",
        }
    }
}

/// So long a last note may be held, in minims: as it is typed, a breve, a semibreve, a minim.
const HOLDS: [i64; 4] = [i64::MAX / MINIM / 2, 4, 2, 1];

impl First {
    /// When its last note begins.
    pub(super) fn last(&self) -> i64 {
        self.lines.iter().filter_map(|line| line.last()).map(|note| note.on).max().unwrap_or(0)
    }

    /// How it may end, the longest first: its last notes held as they are typed, or less.
    pub(super) fn held(&self) -> Vec<[Line; 2]> {
        let last = self.last();
        let written = end(&self.lines);
        let ends = HOLDS.map(|minims| written.min(last.saturating_add(minims * MINIM)));
        let mut ends = ends.to_vec();
        ends.dedup();
        ends.into_iter().map(|end| self.until(end)).collect()
    }

    /// Its last notes held up to a moment at most.
    pub(super) fn until(&self, end: i64) -> [Line; 2] {
        let mut lines = self.lines.clone();
        for note in lines.iter_mut().filter_map(|line| line.last_mut()) {
            note.off = note.off.min(end.max(note.on + 1));
        }
        lines
    }

    /// Where a moment stands by the cadences: by the last one, or by another that has a name for it;
    /// and whether it is another.
    pub(super) fn place(&self, at: i64) -> (Place, bool) {
        let places = || self.goals.iter().rev().map(|goal| Place::of(at, *goal));
        let named = places().enumerate().find(|(_, place)| Place::NAMED.contains(place));
        match (named, places().next()) {
            (Some((number, place)), _) => (place, number > 0),
            (None, Some(place)) => (place, false),
            (None, None) => (Place::End, false),
        }
    }
}

/// What a pair does from a moment on.
pub(super) fn meanwhile(lines: &[Line], at: i64) -> Meanwhile {
    let lasts = || lines.iter().filter_map(|line| line.last());
    match () {
        () if lasts().any(|note| note.on > at) => Meanwhile::GoesOn,
        () if lasts().any(|note| note.off > at) => Meanwhile::Holds,
        () => Meanwhile::Rests,
    }
}
