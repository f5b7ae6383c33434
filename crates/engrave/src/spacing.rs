//! Horizontal space: how far each column of a bar is from the next.
//!
//! By itself a column takes space by its length (the law of Gould's table, see
//! [`QUARTER_SPACE`]); never less than what stands in it needs. A line is justified by one factor
//! for all its columns.

use rudiments::Time;
use score::{Arrangement, Close};

use crate::column::{BarDraft, Column};
use crate::glyphs::{Sign, Signs};
use crate::practice::{
    ACCIDENTAL_AFTER_BAR_LINE, AFTER_BAR_LINE, BAR_LINE, BEFORE_BAR_LINE, BETWEEN_BAR_LINES,
    CLEARANCE, QUARTER_SPACE, SHORTEST_TIE, THICK_BAR_LINE,
};
use crate::units::{Area, Sp};

/// The space of a bar: what does not stretch, and what does.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct BarSpace {
    /// From the end of the bar before to the first column.
    pub(crate) lead: Sp,
    /// From each column to the next, and from the last to the bar line.
    pub(crate) gaps: Vec<Gap>,
    /// The room of what stands before its bar line, like a new clef.
    pub(crate) tail: Sp,
    /// The width of what stands at its end.
    pub(crate) close: Sp,
}

/// The space from a column to the next.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Gap {
    /// By its length.
    pub(crate) natural: Sp,
    /// What it needs at the least.
    pub(crate) least: Sp,
}

impl BarSpace {
    /// What does not stretch.
    pub(crate) fn fixed(&self) -> Sp {
        self.lead + self.tail + self.close
    }
}

/// The width of a bar line.
pub(crate) fn close_width(close: Close) -> Sp {
    match close {
        Close::Plain => BAR_LINE,
        Close::Section => BAR_LINE * 2.0 + BETWEEN_BAR_LINES,
        Close::Final => BAR_LINE + BETWEEN_BAR_LINES + THICK_BAR_LINE,
        Close::Repeat | Close::FinalRepeat => {
            REPEAT_DOTS + BAR_LINE + BETWEEN_BAR_LINES + THICK_BAR_LINE
        }
    }
}

/// Notes on different staves that are no farther apart than a head is wide look as if they struck
/// together.
const LEAST_STEP: Sp = Sp(1.5);

/// The width of the dots of a repeat, with the white behind them.
pub(crate) const REPEAT_DOTS: Sp = Sp(0.75);

/// The width of the sign with which a repeated section begins.
pub(crate) const REPEAT_BEGINS: Sp = Sp(0.5 + 0.45 + 0.16 + 0.75);

/// Half spaces above the highest staff line and from it downwards that are told apart.
const ABOVE: usize = 28;
const HEIGHTS: usize = 84;

/// How far to the right each height of each staff is taken.
struct Fronts(Vec<f64>);

impl Fronts {
    fn heights(area: Area) -> std::ops::Range<usize> {
        let row = |y: Sp| ((y.0 * 2.0 + ABOVE as f64).floor().max(0.0) as usize).min(HEIGHTS - 1);
        // What only touches a height is not in it.
        row(area.top + Sp(0.08))..row(area.bottom - Sp(0.08)).max(row(area.top + Sp(0.08))) + 1
    }

    /// The least place of a column behind what is there.
    fn least(&self, column: &Column) -> Sp {
        let mut least = f64::NEG_INFINITY;
        for staff in &column.staves {
            let rows = &self.0[staff.staff * HEIGHTS..][..HEIGHTS];
            for area in &staff.areas {
                for front in &rows[Fronts::heights(*area)] {
                    least = least.max(front - area.left.0);
                }
            }
        }
        Sp(least) + CLEARANCE
    }

    fn put(&mut self, column: &Column, x: Sp) {
        for staff in &column.staves {
            let rows = &mut self.0[staff.staff * HEIGHTS..][..HEIGHTS];
            for area in &staff.areas {
                for front in &mut rows[Fronts::heights(*area)] {
                    *front = front.max((x + area.right).0);
                }
            }
        }
    }
}

fn extent(column: &Column) -> Area {
    let areas = column.staves.iter().flat_map(|staff| &staff.areas);
    areas.fold(Area::EMPTY, |all, area| all.and(*area))
}

fn float(time: Time) -> f64 {
    time.numerator() as f64 / time.denominator() as f64
}

/// The space that a length takes; in quarters, as written.
fn natural(quarters: f64) -> Sp {
    QUARTER_SPACE * quarters.sqrt()
}

/// The space of a bar; `lead` is the width of what stands at its beginning, like a new
/// signature, `tail` of what stands before its bar line.
pub(crate) fn of_bar(
    arrangement: &Arrangement<'_>,
    number: usize,
    draft: &BarDraft,
    (lead, tail): (Sp, Sp),
    signs: &Signs,
) -> BarSpace {
    let bar = &arrangement.score.bars[number];
    let close = close_width(bar.close);
    let quarters = |length: Time| {
        let quarters = arrangement.options.reduction.quarters(length);
        quarters.numerator() as f64 / quarters.denominator() as f64
    };
    let Some(first) = draft.columns.first() else {
        let natural = natural(quarters(bar.end - bar.start));
        let least = signs.width(Sign::RestWhole) + Sp(3.0);
        return BarSpace { lead, gaps: vec![Gap { natural, least }], tail, close };
    };
    let needed = ACCIDENTAL_AFTER_BAR_LINE - extent(first).left;
    let lead = lead + AFTER_BAR_LINE.max(needed);
    let mut fronts = Fronts(vec![f64::NEG_INFINITY; arrangement.staves.len() * HEIGHTS]);
    let mut gaps = Vec::with_capacity(draft.columns.len());
    // Columns that are closer than the shortest note, as in two against three, share its space.
    let shortest = shortest(arrangement, number);
    let mut x = Sp::ZERO;
    let mut right = Sp::ZERO;
    for (place, column) in draft.columns.iter().enumerate() {
        fronts.put(column, x);
        right = right.max(x + extent(column).right);
        let next = draft.columns.get(place + 1);
        let until = next.map_or(bar.end, |next| next.onset);
        let length = until - column.onset;
        // Where the columns are closer than the shortest note that sounds, as in two against
        // three, they share its space.
        let natural = natural(quarters(length.max(shortest)))
            * (float(length.min(shortest)) / float(shortest));
        let least_place = next.map_or(right + BEFORE_BAR_LINE, |next| {
            let step = if length < shortest { LEAST_STEP / 2.0 } else { LEAST_STEP };
            fronts.least(next).max(x + step).max(x + tied(column, next))
        });
        gaps.push(Gap { natural, least: least_place - x });
        x = least_place;
    }
    BarSpace { lead, gaps, tail, close }
}

/// The room that ties from one column to the next need.
fn tied(column: &Column, next: &Column) -> Sp {
    let mut room = Sp::ZERO;
    for chord in column.staves.iter().flat_map(|staff| &staff.chords) {
        let others = next.staves.iter().flat_map(|staff| &staff.chords);
        let tied =
            others.filter(|other| chord.tied_after && other.origin.voice == chord.origin.voice);
        for other in tied {
            room = room.max(chord.x + chord.width + SHORTEST_TIE - other.x);
        }
    }
    room
}

/// The length of the shortest note or rest of a bar.
fn shortest(arrangement: &Arrangement<'_>, number: usize) -> Time {
    let segments = arrangement.bars[number].voices.iter().flatten();
    let segments = segments.filter(|segment| !segment.left_out || segment.blank);
    segments.map(|segment| segment.length).min().unwrap_or(Time::minims(1))
}

/// The factor by which all gaps are multiplied, none falling below its least, so that they fill
/// the width together. Where even the least do not fit, they are all at their least.
pub(crate) fn justify(gaps: &[Gap], width: Sp) -> f64 {
    let mut factor = f64::INFINITY;
    // Each round, gaps that would fall below their least are set aside; their number only grows.
    for _ in 0..=gaps.len() {
        let (mut stiff, mut free) = (Sp::ZERO, Sp::ZERO);
        for gap in gaps {
            if gap.natural * factor < gap.least || factor.is_infinite() && gap.natural.0 <= 0.0 {
                stiff += gap.least;
            } else {
                free += gap.natural;
            }
        }
        if free <= Sp::ZERO {
            return 0.0;
        }
        let next = ((width - stiff) / free).max(0.0);
        if next >= factor {
            break;
        }
        factor = next;
    }
    factor
}

/// The width of a gap at a factor.
pub(crate) fn width(gap: Gap, factor: f64) -> Sp {
    (gap.natural * factor).max(gap.least)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::places;
    use crate::testing::picture;

    /// Gould, *Behind Bars*, table of spacing: crotchet 3 1/2, minim 5, semibreve 7 (from memory).
    #[test]
    fn longer_values_take_more_space_but_not_twice_as_much() {
        assert_eq!(natural(1.0), Sp(3.5));
        assert!((natural(2.0) - Sp(5.0)).abs() < Sp(0.06));
        assert_eq!(natural(4.0), Sp(7.0));
        assert!((natural(0.5) - Sp(2.5)).abs() < Sp(0.06));
    }

    /// A crotchet after which another voice strikes takes the space of a crotchet, though what sounds
    /// beside it is longer.
    #[test]
    fn a_column_takes_the_space_of_its_own_length() {
        let text =
            "sign C|\nvoice A clef C1\n mn A4. sm B sb C5\nvoice B clef C1\n sm F4 mn G. sb A\n";
        let heads = places::heads(&picture(text));
        let mut columns: Vec<f64> = heads.iter().map(|head| (head.x.0 * 10.0).round()).collect();
        columns.sort_by(f64::total_cmp);
        columns.dedup();
        // After the crotchet, the minim, the crotchet.
        let [one, two, three, four] = columns[..] else { panic!("{columns:?}") };
        let (first, minim, last) = (two - one, three - two, four - three);
        assert!((first - last).abs() < 0.1 * first && minim > 1.3 * first, "{columns:?}");
    }

    fn gaps(gaps: &[(f64, f64)]) -> Vec<Gap> {
        gaps.iter()
            .map(|(natural, least)| Gap { natural: Sp(*natural), least: Sp(*least) })
            .collect()
    }

    #[test]
    fn a_line_is_filled() {
        let line = gaps(&[(5.0, 2.0), (3.0, 2.5), (2.0, 3.0)]);
        for filled in [7.5, 9.0, 12.0, 30.0] {
            let factor = justify(&line, Sp(filled));
            let sum: Sp = line.iter().map(|gap| width(*gap, factor)).sum();
            assert!((sum - Sp(filled)).abs() < Sp(1e-9), "{filled}: {sum:?}");
        }
    }

    #[test]
    fn what_does_not_fit_is_as_close_as_can_be() {
        let line = gaps(&[(5.0, 2.0), (3.0, 2.5)]);
        let factor = justify(&line, Sp(1.0));
        let sum: Sp = line.iter().map(|gap| width(*gap, factor)).sum();
        assert_eq!(sum, Sp(4.5));
    }
}
