//! Where the next note of a measure stands.

use std::collections::BTreeMap;

use rudiments::{Quarters, Time};

use crate::musicxml::read::Minim;

/// A place in a measure: as the durations of the file have it, which may be rounded, and exactly.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Cursor {
    /// By the durations.
    declared: Quarters,
    /// In minims, exactly.
    pub(super) at: Time,
    /// How far notes and rests reach, but for those rests that fill a measure of any length.
    pub(super) extent: Time,
    /// The places where the two differ.
    rounded: BTreeMap<Quarters, Time>,
}

impl Cursor {
    /// Goes on by a note or rest.
    pub(super) fn advance(&mut self, declared: Quarters, length: Time, minim: Minim, fills: bool) {
        self.declared += declared;
        self.at += length;
        if minim.minims(self.declared) != self.at {
            self.rounded.insert(self.declared, self.at);
        }
        if !fills {
            self.extent = self.extent.max(self.at);
        }
    }

    /// Goes on over a silence.
    pub(super) fn forward(&mut self, declared: Quarters, length: Time) {
        self.declared += declared;
        self.at += length;
        self.extent = self.extent.max(self.at);
    }

    /// Goes back; to a place where something began or ended, if the durations lead as near to it
    /// as that. False if it would go back beyond the beginning.
    pub(super) fn back(&mut self, declared: Quarters, minim: Minim, near: Quarters) -> bool {
        let inside = declared <= self.declared || declared - self.declared <= near;
        self.declared = (self.declared - declared).max(Quarters::ZERO);
        self.at = self.rounded_to(near).unwrap_or_else(|| minim.minims(self.declared));
        inside
    }

    fn rounded_to(&self, near: Quarters) -> Option<Time> {
        let before = self.rounded.range(..=self.declared).next_back();
        let after = self.rounded.range(self.declared..).next();
        let places = [before, after].into_iter().flatten();
        let distances = places.map(|(place, at)| (distance(*place, self.declared), *at));
        let nearest = distances.min().filter(|(far, _)| *far <= near);
        nearest.filter(|_| self.declared != Quarters::ZERO).map(|(_, at)| at)
    }
}

fn distance(one: Quarters, other: Quarters) -> Quarters {
    if one < other { other - one } else { one - other }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn third() -> Quarters {
        Quarters::new(341, 256)
    }

    #[test]
    fn a_second_voice_begins_where_the_first_did() {
        let mut cursor = Cursor::default();
        for _ in 0..3 {
            cursor.advance(third(), Time::new(2, 3), Minim::Half, false);
        }
        assert_eq!((cursor.at, cursor.extent), (Time::minims(2), Time::minims(2)));
        let near = Quarters::new(2, 256);
        assert!(cursor.back(Quarters::whole(4), Minim::Half, near));
        assert_eq!(cursor.at, Time::ZERO);
        cursor.forward(third() * 2, Time::new(341, 256));
        assert!(cursor.back(third(), Minim::Half, near));
        assert_eq!(cursor.at, Time::new(2, 3));
    }

    #[test]
    fn the_beginning_of_a_measure_is_not_gone_over() {
        let mut cursor = Cursor::default();
        cursor.forward(Quarters::whole(2), Time::minims(1));
        assert!(!cursor.back(Quarters::whole(3), Minim::Half, Quarters::new(1, 2)));
        assert_eq!(cursor.at, Time::ZERO);
    }
}
