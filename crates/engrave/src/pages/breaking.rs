//! Which strips stand on which page: the best way over a whole book, by dynamic programming, as
//! `crate::breaking` does it for bars.

use std::ops::Range;

/// What breaking needs to know of a strip. Lengths are in any unit, the same throughout.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Slat {
    /// Its height.
    pub(crate) height: f64,
    /// The white between it and the next, if both stand on one page.
    pub(crate) white: f64,
    /// Whether a page begins with it.
    pub(crate) begins: Begins,
    /// Whether its piece has others.
    pub(crate) of_many: bool,
    /// Whether the page may be turned before it with a hand that is free.
    pub(crate) free: bool,
}

/// Whether a page begins with a strip.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Begins {
    May,
    Must,
    /// It does not, but where nothing else is possible.
    Never,
}

/// The room on the first page, and on those that follow.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Room {
    pub(crate) first: f64,
    pub(crate) others: f64,
}

/// Costs are counted in pages that are spread to twice their natural white. No more pages than
/// needed are taken, whatever they look like.
const PAGE: f64 = 1e4;

/// A page on which a system of a longer piece stands alone: worse than any spreading.
const LONELY: f64 = 200.0;

/// A last page of two systems looks left over: better a system less on the page before, if that is then
/// spread but a little.
const FEW: f64 = 3.0;

/// Turning a page in the middle of the music.
const TURN: f64 = 1.0;

/// A page that is not full is not spread to more than this, so its cost does not grow either.
const LOOSEST: f64 = 8.0;

/// What does not fit, or is to stay together, costs more than any number of pages.
const MISFIT: f64 = 1e12;

/// What a page of these strips costs; none if they do not fit. Odd pages are those that are turned:
/// the first stands on the right.
fn cost(strips: &[Slat], page: &Range<usize>, odd: bool, room: Room) -> Option<f64> {
    let on_page = &strips[page.clone()];
    let room = if page.start == 0 { room.first } else { room.others };
    let white: f64 = on_page[..on_page.len() - 1].iter().map(|strip| strip.white).sum();
    let slack = room - white - on_page.iter().map(|strip| strip.height).sum::<f64>();
    if slack < -1e-6 && on_page.len() > 1 {
        return None;
    }
    let next = strips.get(page.end);
    let mut cost = PAGE;
    // A page after which a new one must begin may end anywhere.
    if next.is_some_and(|next| next.begins != Begins::Must) {
        let white = if white > 0.0 { white } else { on_page[0].white.max(1.0) };
        let loose = (slack / white).clamp(0.0, LOOSEST);
        cost += loose * loose;
    }
    if next.is_some_and(|next| odd && next.begins != Begins::Must && !next.free) {
        cost += TURN;
    }
    if on_page.len() == 1 && on_page[0].of_many {
        cost += LONELY;
    }
    let ends = next.is_none_or(|next| next.begins == Begins::Must);
    if ends && page.start > 0 && on_page.len() == 2 && on_page[0].begins == Begins::May {
        cost += FEW;
    }
    if page.start > 0 && on_page[0].begins == Begins::Never {
        cost += MISFIT;
    }
    Some(cost)
}

/// Divides the strips into pages.
pub(crate) fn pages(strips: &[Slat], room: Room) -> Vec<Range<usize>> {
    // For each number of strips from the beginning, and for an even and an odd number of pages:
    // the least cost, and where the last page begins.
    let mut best = vec![[(f64::INFINITY, 0); 2]; strips.len() + 1];
    best[0][0] = (0.0, 0);
    for end in 1..=strips.len() {
        for start in (0..end).rev() {
            for odd in [true, false] {
                // Before an odd page there is an even number of pages.
                let before = best[start][usize::from(!odd)].0;
                let Some(page) = cost(strips, &(start..end), odd, room) else { continue };
                let entry = &mut best[end][usize::from(odd)];
                if before + page < entry.0 {
                    *entry = (before + page, start);
                }
            }
            // More strips only fit worse on any page but the first, which may have more room.
            let height: f64 = strips[start..end].iter().map(|strip| strip.height).sum();
            if strips[start].begins == Begins::Must || height > room.first.max(room.others) {
                break;
            }
        }
    }
    let mut pages = Vec::new();
    let mut end = strips.len();
    let mut odd = best[end][1].0 < best[end][0].0;
    while end > 0 {
        let start = best[end][usize::from(odd)].1;
        pages.push(start..end);
        end = start;
        odd = !odd;
    }
    pages.reverse();
    pages
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const ROOM: Room = Room { first: 100.0, others: 92.0 };

    /// Systems of one piece.
    fn systems(count: usize, height: f64) -> Vec<Slat> {
        let (begins, of_many) = (Begins::May, count > 1);
        vec![Slat { height, white: 5.0, begins, of_many, free: false }; count]
    }

    fn lengths(strips: &[Slat]) -> Vec<usize> {
        pages(strips, ROOM).iter().map(Range::len).collect()
    }

    fn total(strips: &[Slat], pages: &[Range<usize>]) -> f64 {
        let cost = |(place, page): (usize, &Range<usize>)| {
            cost(strips, page, place % 2 == 0, ROOM).unwrap_or(f64::INFINITY)
        };
        pages.iter().enumerate().map(cost).sum()
    }

    /// The least cost of all ways, tried one after another.
    fn brute_force(strips: &[Slat]) -> f64 {
        let count = strips.len();
        let ways = (0..1_u32 << (count - 1)).filter_map(|breaks| {
            let mut ends: Vec<usize> =
                (1..count).filter(|end| breaks & (1 << (end - 1)) != 0).collect();
            ends.push(count);
            let starts = std::iter::once(0).chain(ends.iter().copied());
            let pages: Vec<Range<usize>> =
                starts.zip(&ends).map(|(start, end)| start..*end).collect();
            let held = pages.iter().all(|page| {
                strips[page.clone()].iter().skip(1).all(|strip| strip.begins != Begins::Must)
            });
            held.then(|| total(strips, &pages))
        });
        ways.fold(f64::INFINITY, f64::min)
    }

    fn any_strips() -> impl Strategy<Value = Vec<Slat>> {
        let begins = prop_oneof![
            8 => Just(Begins::May),
            1 => Just(Begins::Must),
            2 => Just(Begins::Never),
        ];
        let strip = (5.0..60.0_f64, 1.0..10.0_f64, begins, any::<bool>(), any::<bool>()).prop_map(
            |(height, white, begins, of_many, free)| Slat { height, white, begins, of_many, free },
        );
        prop::collection::vec(strip, 1..12)
    }

    proptest! {
        #[test]
        fn no_way_is_better_than_the_one_taken(strips in any_strips()) {
            let (ours, best) = (total(&strips, &pages(&strips, ROOM)), brute_force(&strips));
            prop_assert!((ours - best).abs() <= best * 1e-9, "{ours} against {best}");
        }
    }

    #[test]
    fn what_fits_on_one_page_stands_on_it() {
        assert_eq!(lengths(&systems(4, 20.0)), [4]);
    }

    /// First fit would give 5, 5, 1.
    #[test]
    fn no_system_is_left_alone() {
        assert_eq!(lengths(&systems(11, 14.0)), [5, 4, 2]);
    }

    /// One of three is alone anyhow; it is the last.
    #[test]
    fn a_full_page_comes_first() {
        assert_eq!(lengths(&systems(3, 40.0)), [2, 1]);
        assert_eq!(lengths(&systems(3, 60.0)), [1, 1, 1]);
    }

    #[test]
    fn what_must_begin_a_page_does() {
        let mut strips = systems(6, 15.0);
        strips[2].begins = Begins::Must;
        assert_eq!(lengths(&strips), [2, 4]);
    }

    #[test]
    fn what_fits_on_a_page_is_not_split() {
        let mut strips = systems(6, 18.0);
        strips[3].begins = Begins::Never;
        strips[4].begins = Begins::Never;
        strips[5].begins = Begins::Never;
        assert_eq!(lengths(&strips), [2, 4]);
    }

    /// A little looser, and the hand is free where the page is turned.
    #[test]
    fn a_page_is_turned_at_a_rest() {
        let mut strips = systems(12, 10.0);
        assert_eq!(lengths(&strips)[0], 7);
        strips[6].free = true;
        assert_eq!(lengths(&strips)[0], 6);
    }
}
