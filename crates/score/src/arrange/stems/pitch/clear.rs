//! Beams that keep clear of one another, and of other stems.

use super::{Page, Stem};

impl Page<'_> {
    /// Breaks beams that would run into one another, or into a stem.
    pub(super) fn clear_beams(&mut self) {
        for group in 0..self.groups.len() {
            if self.groups[group].strikes.len() > 1 {
                self.clear_of_beams(group);
            }
        }
        let mut group = 0;
        // What is broken off is looked at again.
        while group < self.groups.len() {
            if self.groups[group].strikes.len() > 1 && !self.clear_of_stems(group) {
                continue;
            }
            group += 1;
        }
    }

    /// The attacks under a beam, its own first and last included.
    fn span(&self, group: usize) -> std::ops::RangeInclusive<usize> {
        let strikes = &self.groups[group].strikes;
        let attack =
            |strike: Option<&usize>| strike.map_or(0, |strike| self.strikes[*strike].attack);
        attack(strikes.first())..=attack(strikes.last())
    }

    /// Takes a group apart if another beam on its side, farther out, is above or below it: its notes
    /// hang on the stems of that one where they can.
    fn clear_of_beams(&mut self, group: usize) {
        let side = self.groups[group].side;
        let others = self.span(group).flat_map(|number| &self.attacks[number].strikes);
        let own = self.groups[group].strikes[0];
        let farther_out = |other: usize| {
            let (own, other) = (self.strikes[own].height, self.strikes[other].height);
            if side == Some(Stem::Up) { other >= own } else { other <= own }
        };
        let inside = others.copied().any(|other| {
            let there = self.strikes[other].group;
            there != group
                && self.groups[there].side == side
                && self.groups[there].strikes.len() > 1
                && !self.share_beams(own, other)
                && farther_out(self.groups[there].strikes[0])
        });
        if inside {
            let members = std::mem::take(&mut self.groups[group].strikes);
            for member in &members[1..] {
                self.split(group, &[*member], side);
            }
            self.groups[group].strikes = vec![members[0]];
        }
    }

    /// Breaks a beam before the first note beside which, or between whose neighbours, a stem of
    /// another value stands on the same side; whether there is none.
    fn clear_of_stems(&mut self, group: usize) -> bool {
        let side = self.groups[group].side;
        let span = self.span(group);
        let members = &self.groups[group].strikes;
        for number in span.start() + 1..*span.end() {
            let own = members.iter().position(|member| self.strikes[*member].attack >= number);
            let Some(rank) = own else { continue };
            let here = Some(members[rank]).filter(|own| self.strikes[*own].attack == number);
            let in_the_way = self.attacks[number].strikes.iter().any(|other| {
                Some(*other) != here
                    && self.strikes[*other].has_stem
                    && self.decided(*other) == side
                    && !here.is_some_and(|own| self.can_share_stem(own, *other))
            });
            if in_the_way {
                let (before, after) = (members[..rank].to_vec(), members[rank..].to_vec());
                self.split(group, &before, side);
                self.groups[group].strikes = after;
                return false;
            }
        }
        true
    }
}
