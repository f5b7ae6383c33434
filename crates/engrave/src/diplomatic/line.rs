//! A source line justified: in one row, or in as many as it needs where the page is too narrow.

use std::ops::Range;

use rudiments::{Clef, Time};

use super::case::Case;
use super::galley::{Galley, Reading};
use super::notes::READING;
use super::sort::{From, Over, Sort};
use crate::fonts::Face;
use crate::frame::{Frame, Ink, Item, Role, StaffPlace};
use crate::practice::{BEFORE_CLEF, BRACKET_LINE, OUTSIDE_GAP, STAFF, STAFF_LINE};
use crate::skyline::Skyline;
use crate::units::{Area, Point, Sp};

/// How wide one share of white is where a line is as dense as it may be, and where it is neither dense nor
/// loose; and how loose it may become.
const DENSE: Sp = Sp(0.25);
const NATURAL: Sp = Sp(1.1);
const LOOSE: Sp = Sp(3.2);

/// What is needed between a word and the next above a staff.
const BETWEEN_WORDS: Sp = Sp(0.5);

/// The room of some sorts that is always needed, and the shares of white between them.
struct Room {
    fixed: Sp,
    shares: f64,
}

impl Galley {
    fn room(&self, sorts: &Range<usize>, case: &Case<'_>) -> Room {
        let all = self.opening.iter().chain(&self.sorts[sorts.clone()]);
        let (mut fixed, mut shares) = (BEFORE_CLEF + case.style.least_white, 0.0);
        for sort in all {
            fixed += sort.width() + case.style.least_white;
            shares += sort.white;
        }
        Room { fixed, shares }
    }

    /// The width that all of it needs at least.
    pub(super) fn least(&self, case: &Case<'_>) -> Sp {
        let Room { fixed, shares } = self.room(&(0..self.sorts.len()), case);
        fixed + DENSE * shares
    }

    /// The width that its widest sort needs, which cannot be broken.
    pub(super) fn widest(&self, case: &Case<'_>) -> Sp {
        let Room { fixed, shares } = self.room(&(0..0), case);
        let widest = self.sorts.iter().map(Sort::width).fold(Sp::ZERO, Sp::max);
        fixed + DENSE * shares + widest + case.style.least_white
    }

    /// The rows that it needs on a staff of that width.
    pub(super) fn rows(&self, width: Sp, case: &Case<'_>) -> Vec<Range<usize>> {
        if self.least(case) <= width {
            return std::iter::once(0..self.sorts.len()).collect();
        }
        let opening = self.room(&(0..0), case);
        let mut rows = Vec::new();
        let mut first = 0;
        let mut taken = opening.fixed + DENSE * opening.shares;
        for (number, sort) in self.sorts.iter().enumerate() {
            // Broken rows are set as they would naturally be.
            let needs = sort.width() + case.style.least_white + NATURAL * (sort.white * 0.6);
            if taken + needs > width && number > first {
                rows.push(first..number);
                first = number;
                taken = opening.fixed + DENSE * opening.shares;
            }
            taken += needs;
        }
        rows.push(first..self.sorts.len());
        rows
    }

    /// Sets a row on a staff of that width; if it is `full` it reaches to the end.
    pub(super) fn set(
        &self,
        row: &Range<usize>,
        width: Sp,
        full: bool,
        clef: (Clef, i8),
        case: &Case<'_>,
    ) -> Frame {
        let Room { fixed, shares } = self.room(row, case);
        let last = self.sorts[row.clone()].last().map_or(0.0, |sort| sort.white);
        // Behind the last there is none.
        let shares = (shares - last).max(0.1);
        let fit = (width - fixed) / shares;
        let unit = if full { fit.min(LOOSE) } else { fit.min(NATURAL) }.max(Sp::ZERO);
        let mut items = Vec::new();
        for line in 0..5_u8 {
            let y = Sp(line.into());
            let (from, to) = (Point::new(Sp::ZERO, y), Point::new(width, y));
            let ink = Ink::Line { from, to, thickness: STAFF_LINE };
            items.push(Item { role: Role::StaffLine, of: None, ink });
        }
        let mut above = Skyline::flat(Sp(-4.0), width + Sp(6.0), Sp::ZERO);
        let mut x = BEFORE_CLEF;
        let mut places = Vec::with_capacity(row.len());
        let mut over: Vec<(Sp, &Over)> = Vec::new();
        let mut put = |sort: &Sort, x: &mut Sp, above: &mut Skyline| {
            let origin = *x - sort.left;
            for item in &sort.items {
                let item = item.clone().moved(origin, Sp::ZERO);
                if let Some(area) = item.area(case.signs) {
                    above.raise(area.left, area.right, -area.top);
                }
                items.push(item);
            }
            *x += sort.width() + case.style.least_white + unit * sort.white;
            origin
        };
        for sort in &self.opening {
            put(sort, &mut x, &mut above);
        }
        for sort in &self.sorts[row.clone()] {
            if full && sort.ends {
                x = x.max(width - BEFORE_CLEF - sort.width());
            }
            let origin = put(sort, &mut x, &mut above);
            over.extend(sort.over.iter().map(|over| (origin, over)));
            places.push((origin + sort.left, origin + sort.right));
        }
        let narrow = |over: &Over| over.items.iter().all(|item| item.role != Role::Words);
        for (origin, over) in over.iter().filter(|(_, over)| narrow(over)) {
            stand(over, *origin, width, case, (&mut above, &mut items));
        }
        // First all brackets, then all words, so that none is driven away from its notes.
        let first = self.readings.partition_point(|reading| reading.sorts.end < row.start);
        let end = self.readings.partition_point(|reading| reading.sorts.start <= row.end);
        let readings = &self.readings[first..end.max(first)];
        let spans: Vec<_> = readings
            .iter()
            .map(|reading| self.bracket(reading, row, &places, case, (&mut above, &mut items)))
            .collect();
        for (reading, span) in readings.iter().zip(spans) {
            let Some((left, right)) = span.filter(|_| reading.sorts.start >= row.start) else {
                continue;
            };
            let letters = case.letterer.set(&reading.words, Face::Italic, READING);
            let mut words = Sort::default();
            let middle = From::Middle((left + right) / 2.0);
            words.words_over(Role::Reading, reading.of, letters, middle);
            for over in &words.over {
                stand(over, Sp::ZERO, width, case, (&mut above, &mut items));
            }
        }
        for (origin, over) in over.iter().filter(|(_, over)| !narrow(over)) {
            stand(over, *origin, width, case, (&mut above, &mut items));
        }
        let area = items.iter().filter_map(|item| item.area(case.signs)).reduce(Area::and);
        let (clef, octave_change) = clef;
        let staff = StaffPlace { clef, clef_changes: Vec::new(), octave_change, bottom: STAFF };
        Frame { items, staves: vec![staff], area, bars: 0..0, begins: Time::ZERO }
    }

    /// The bracket over what is read otherwise, or a stroke where something is added: from where to where;
    /// nothing where the row has none of it. Where it began on the row before, the words stand there.
    fn bracket(
        &self,
        reading: &Reading,
        row: &Range<usize>,
        places: &[(Sp, Sp)],
        case: &Case<'_>,
        (above, items): (&mut Skyline, &mut Vec<Item>),
    ) -> Option<(Sp, Sp)> {
        let within = reading.sorts.start.max(row.start)..reading.sorts.end.min(row.end);
        let (left, right) = if within.start < within.end {
            let (first, last) = (within.start - row.start, within.end - 1 - row.start);
            (places[first].0, places[last].1)
        } else {
            let at = reading.sorts.start;
            let is_here = row.contains(&at) || (at == row.end && row.end == self.sorts.len());
            if !reading.sorts.is_empty() || !is_here {
                return None;
            }
            let next = places.get(at - row.start).map(|next| next.0 - case.style.least_white / 2.0);
            let x = next.or(places.last().map(|last| last.1)).unwrap_or(BEFORE_CLEF);
            (x, x)
        };
        let y = -(above.reach(left, right).max(Sp(0.2)) + OUTSIDE_GAP);
        let high = y - Sp(if left < right { 0.5 } else { 0.9 });
        let mut line = |from: Point, to: Point| {
            let ink = Ink::Line { from, to, thickness: BRACKET_LINE };
            items.push(Item { role: Role::ReadingBracket, of: reading.of, ink });
        };
        line(Point::new(left, high), Point::new(left, y));
        if left < right {
            line(Point::new(right, high), Point::new(right, y));
            line(Point::new(left, high), Point::new(right, high));
        }
        above.raise(left - Sp(0.1), right + Sp(0.1), -high + Sp(0.1));
        Some((left, right))
    }
}

/// Lets something stand above the staff, as low as it can.
fn stand(
    over: &Over,
    origin: Sp,
    width: Sp,
    case: &Case<'_>,
    (above, items): (&mut Skyline, &mut Vec<Item>),
) {
    // Within the staff where it has room.
    let left = (origin + over.left).min(width - over.width).max(Sp::ZERO);
    let right = left + over.width.min(width);
    let low = above.reach(left - BETWEEN_WORDS / 2.0, right + BETWEEN_WORDS / 2.0);
    let y = -(low.max(Sp(0.1)) + OUTSIDE_GAP);
    let mut highest = y;
    for item in &over.items {
        let mut item = item.clone().moved(left, y);
        if let Ink::Letters { letters, .. } = &mut item.ink {
            **letters = letters.as_ref().clone().no_wider_than(width);
        }
        if let Some(area) = item.area(case.signs) {
            highest = highest.min(area.top);
        }
        items.push(item);
    }
    above.raise(left, right, -highest + Sp(0.05));
}
