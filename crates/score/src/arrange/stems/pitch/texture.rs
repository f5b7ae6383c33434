//! Where all that sounds on a staff has one stem.

use super::strikes::{Attack, Texture};
use super::{Page, Segment, Staff, middle_line};

impl Page<'_> {
    /// Finds the attacks at which all that sounds has one stem.
    pub(super) fn find_textures(&mut self) {
        let textures: Vec<Texture> =
            (0..self.attacks.len()).map(|number| self.texture_of(number)).collect();
        for (attack, texture) in self.attacks.iter_mut().zip(textures) {
            attack.texture = texture;
        }
        // What a beam joins is of one texture; so is what is too short by itself. Each round turns
        // attacks into several parts, or is the last.
        loop {
            let before =
                self.attacks.iter().filter(|attack| attack.texture == Texture::One).count();
            self.spread_along_beams();
            self.drop_short_stretches();
            let after = self.attacks.iter().filter(|attack| attack.texture == Texture::One).count();
            if after == before {
                break;
            }
        }
    }

    fn texture_of(&self, number: usize) -> Texture {
        let attack = &self.attacks[number];
        let next = self.attacks.get(number + 1).map_or(self.bar.end, |next| next.onset);
        let first = attack.strikes[0];
        let equal = attack.strikes.iter().all(|other| {
            let (one, two) = (self.segment(first), self.segment(*other));
            let ties = |segment: &Segment| (segment.tied_before, segment.tied_after);
            self.can_share_stem(first, *other)
                && self.share_beams(first, *other)
                && ties(one) == ties(two)
        });
        // Two that meet in one head are told apart by their stems.
        let pairs = attack.strikes.windows(2);
        let equal = equal
            && pairs
                .into_iter()
                .all(|pair| self.strikes[pair[0]].height != self.strikes[pair[1]].height);
        let is_one = attack.held.is_empty() && equal && self.strikes[first].end <= next;
        if is_one { Texture::One } else { Texture::Parts }
    }

    fn spread_along_beams(&mut self) {
        let mut parts = vec![false; self.groups.len()];
        for attack in self.attacks.iter().filter(|attack| attack.texture == Texture::Parts) {
            for strike in &attack.strikes {
                parts[self.strikes[*strike].group] = true;
            }
        }
        for attack in &mut self.attacks {
            if attack.strikes.iter().any(|strike| parts[self.strikes[*strike].group]) {
                attack.texture = Texture::Parts;
            }
        }
    }

    /// A stretch of one texture is at least half as long as the bar, or all there is.
    fn drop_short_stretches(&mut self) {
        let half = (self.bar.end - self.bar.start) / 2;
        let mut first = 0;
        while first < self.attacks.len() {
            let one = |attack: &Attack| attack.texture == Texture::One;
            let count = self.attacks[first..].iter().take_while(|attack| one(attack)).count();
            let after = first + count;
            if count > 0 {
                let end =
                    self.attacks[after - 1].strikes.iter().map(|s| self.strikes[*s].end).max();
                let length = end.unwrap_or(self.bar.end) - self.attacks[first].onset;
                if length < half && count < self.attacks.len() {
                    for attack in &mut self.attacks[first..after] {
                        attack.texture = Texture::Parts;
                    }
                }
            }
            first = after.max(first + 1);
        }
    }

    /// Stems by the middle line, where all have one.
    pub(super) fn one_stem(&mut self, staff: (&Staff, usize)) {
        for attack in self.attacks.iter().filter(|attack| attack.texture == Texture::One) {
            let undecided =
                |strike: &&usize| self.groups[self.strikes[**strike].group].side.is_none();
            if attack.strikes.iter().any(|strike| undecided(&strike)) {
                let together = attack.strikes.iter().map(|strike| self.strikes[*strike].group);
                let together: Vec<usize> = together.collect();
                let members = together.iter().flat_map(|group| &self.groups[*group].strikes);
                let side = middle_line::side(members.map(|strike| self.segment(*strike)), staff);
                for group in together {
                    self.groups[group].side = Some(side);
                }
            }
            for strike in &attack.strikes {
                self.strikes[*strike].alone = true;
            }
        }
    }
}
