//! Notes that strike between others.

use super::{Page, Stem};

/// Of more that strike together than this, no hand can play them, half go up.
const MOST_WEIGHED: usize = 8;

impl Page<'_> {
    /// Decides on the side of those that strike between others: so many from the top go up.
    pub(super) fn place_between(&mut self, number: usize) {
        let strikes = self.attacks[number].strikes.clone();
        if strikes.len() < 3 {
            return;
        }
        let ups = if strikes.len() > MOST_WEIGHED {
            strikes.len() / 2
        } else {
            (1..strikes.len()).min_by_key(|ups| self.cost(&strikes, *ups)).unwrap_or(1)
        };
        for (rank, strike) in strikes.iter().enumerate() {
            let side = self.decided(*strike).unwrap_or(side_of_rank(rank, ups));
            self.groups[self.strikes[*strike].group].side = Some(side);
        }
    }

    /// What it costs to turn so many from the top up, and the others down, but for those that are
    /// decided.
    fn cost(&self, strikes: &[usize], ups: usize) -> i32 {
        /// The higher of two has its stem down, the lower up.
        const CROSSED: i32 = 100;
        /// Two on one side that cannot share a stem: one has to stand aside.
        const ASIDE: i32 = 20;
        /// One leaves its own beam for the stem of the other.
        const LEFT: i32 = 6;
        /// Two heads on one stem that touch.
        const SECOND: i32 = 3;
        let side = |rank: usize| self.decided(strikes[rank]).unwrap_or(side_of_rank(rank, ups));
        let pairs = (0..strikes.len())
            .flat_map(|high| (high + 1..strikes.len()).map(move |low| (high, low)));
        pairs
            .map(|(high, low)| {
                // The stem that runs past the other's head.
                let passing = match (side(high), side(low)) {
                    (Stem::Up, Stem::Up) => low,
                    (Stem::Down, Stem::Down) => high,
                    (Stem::Up, Stem::Down) => return 0,
                    (Stem::Down, Stem::Up) => return CROSSED,
                };
                if !self.strikes[strikes[passing]].has_stem {
                    return 0;
                }
                let [high, low] = [high, low].map(|rank| strikes[rank]);
                let steps = (self.strikes[high].height - self.strikes[low].height) / 2;
                if !self.can_share_stem(high, low) {
                    return ASIDE;
                }
                let beams = if self.share_beams(high, low) { 0 } else { LEFT };
                beams + if steps <= 1 { SECOND } else { steps / 5 }
            })
            .sum()
    }
}

fn side_of_rank(rank: usize, ups: usize) -> Stem {
    if rank < ups { Stem::Up } else { Stem::Down }
}
