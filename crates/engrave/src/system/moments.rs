//! Where the moments of a system are.

use rudiments::Time;
use score::Shape;

use super::brackets::segment;
use super::voice_line::VoiceLine;
use super::{BarPlace, Workshop};
use crate::units::Sp;

/// The moments at which something begins in a system, with their places.
pub(super) struct Moments {
    /// In order of time: the moment, the left edge of what begins, and its middle.
    begin: Vec<Moment>,
    /// The bar lines, the end of the system included: when a bar begins, and the place of the line
    /// before it.
    lines: Vec<(Time, Sp)>,
}

/// A moment at which something begins.
#[derive(Clone, Copy)]
struct Moment {
    at: Time,
    left: Sp,
    middle: Sp,
}

impl Moments {
    pub(super) fn of(workshop: &Workshop<'_>, places: &[BarPlace], lines: &[VoiceLine]) -> Moments {
        let chords = lines.iter().flat_map(|line| &line.chords).map(|chord| Moment {
            at: chord.origin.onset,
            left: chord.x,
            middle: chord.x + chord.width / 2.0,
        });
        let width = |sign| workshop.signs.width(sign);
        let rests = lines.iter().flat_map(|line| &line.rests);
        // A rest in the middle of a bar is not where the bar begins.
        let whole = |origin| matches!(segment(workshop, origin).shape, Shape::WholeBar { .. });
        let rests = rests.filter(|placed| !whole(placed.rest.origin)).map(|placed| Moment {
            at: placed.rest.origin.onset,
            left: placed.x,
            middle: placed.x + width(placed.rest.sign) / 2.0,
        });
        let mut begin: Vec<Moment> = chords.chain(rests).collect();
        begin.sort_by(|one, two| one.at.cmp(&two.at).then(one.left.0.total_cmp(&two.left.0)));
        begin.dedup_by_key(|moment| moment.at);
        let bars = &workshop.arrangement.score.bars;
        let starts = places.iter().map(|place| (bars[place.number].start, place.start));
        let end = places.last().map(|place| (bars[place.number].end, place.end));
        Moments { begin, lines: starts.chain(end).collect() }
    }

    /// From when to when the system goes.
    pub(super) fn span(&self) -> Option<(Time, Time)> {
        Some((self.lines.first()?.0, self.lines.last()?.0))
    }

    /// The middle of what begins at a moment; nothing where nothing begins.
    pub(super) fn middle(&self, at: Time) -> Option<Sp> {
        let place = self.begin.binary_search_by_key(&at, |moment| moment.at).ok()?;
        Some(self.begin[place].middle)
    }

    /// Where a stretch of time begins or ends: at the bar line, or so far before what begins then.
    /// Where nothing begins, between what does before and after.
    pub(super) fn edge(&self, at: Time, before: Sp) -> Sp {
        let line = self.lines.binary_search_by_key(&at, |(at, _)| *at);
        if let Ok(line) = line {
            return self.lines[line].1;
        }
        let next = self.begin.partition_point(|moment| moment.at < at);
        let begins = self.begin.get(next);
        if let Some(moment) = begins.filter(|moment| moment.at == at) {
            return moment.left - before;
        }
        let earlier = next.checked_sub(1).map(|place| self.begin[place]);
        let earlier = earlier.map(|moment| (moment.at, moment.left));
        let later = self.lines.iter().find(|(line, _)| *line > at).copied();
        let later = begins
            .map(|moment| (moment.at, moment.left))
            .filter(|(begins, _)| later.is_none_or(|(line, _)| *begins < line))
            .or(later);
        match (earlier, later) {
            (Some((from, left)), Some((to, right))) => {
                let part = |time: Time| time.numerator() as f64 / time.denominator() as f64;
                left + (right - left) * (part(at - from) / part(to - from)) - before
            }
            (Some((_, x)), None) | (None, Some((_, x))) => x,
            (None, None) => Sp::ZERO,
        }
    }
}
