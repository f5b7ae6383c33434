//! Perfect values: perfection, imperfection and alteration.
//!
//! Where a value is perfect, it holds three *parts*, notes or rests of the next smaller value or as
//! much of smaller ones. What stands between two notes or rests that are at least as large as the
//! perfect value is a *run* of parts; how many parts it has decides what it does to its
//! neighbours. Values are counted level by level, from prolation up to the greater mood.
//!
//! The rules are those of Franco of Cologne, *Ars cantus mensurabilis*, about 1280, as the
//! theorists of white notation keep them (Tinctoris about 1475, Gaffurius 1496, Ornithoparchus
//! 1517; from memory).

use std::ops::Range;

use rudiments::{Mensuration, Time, Value};

use super::exact::{FINEST, LONGEST};
use super::written::{Sense, Written};
use crate::rule::Rule;

/// Makes the notes of a stretch imperfect and alters them, on all levels. What is counted alone is
/// already in their lengths.
pub(super) fn count(events: &mut [Written], mensuration: Mensuration) {
    for perfect in mensuration.perfect_values() {
        if let Some(part) = perfect.smaller() {
            let level = Level { perfect, part, length: mensuration.full(part) };
            level.count(events);
        }
    }
}

/// One perfect value.
struct Level {
    perfect: Value,
    /// The value of its parts.
    part: Value,
    /// The length of a part.
    length: Time,
}

/// What may happen to the neighbours of a run.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
struct May {
    /// The note before it may lose a part to what follows, and the first part of the run ends with
    /// an event.
    after: bool,
    /// The note after it may lose a part to what precedes, and the last part of the run begins
    /// with an event.
    before: bool,
    /// Its last part is a single note before a larger note.
    alter: bool,
}

impl Level {
    fn count(&self, events: &mut [Written]) {
        for event in &mut *events {
            event.lost_before = false;
        }
        let (mut left, mut start, mut place) = (None, 0, 0);
        while place < events.len() {
            let group = self.complete_group(events, place);
            if !group.is_empty() {
                self.run(events, left, start..place, Some(place));
                (left, start, place) = (None, group.end, group.end);
            } else if events[place].value <= self.perfect && !events[place].black {
                self.run(events, left, start..place, Some(place));
                (left, start, place) = (Some(place), place + 1, place + 1);
            } else {
                place += 1;
            }
        }
        self.run(events, left, start..place, None);
    }

    /// The coloured group that begins here, if its sum completes perfections, so that it stands by
    /// itself: the hemiola (Tinctoris, *De regulari valore notarum*; from memory).
    fn complete_group(&self, events: &[Written], first: usize) -> Range<usize> {
        if !events[first].black || first.checked_sub(1).is_some_and(|before| events[before].black) {
            return first..first;
        }
        let black = events[first..].iter().take_while(|event| event.black).count();
        let group = first..first + black;
        let has_perfect = events[group.clone()].iter().any(|event| event.value <= self.perfect);
        let sum = sum(&events[group.clone()]);
        let complete = sum.is_some_and(|sum| sum.within(self.length * 3).is_zero());
        if has_perfect && complete { group } else { first..first }
    }

    /// What stands between two large values. Dots of division part it.
    fn run(
        &self,
        events: &mut [Written],
        left: Option<usize>,
        run: Range<usize>,
        right: Option<usize>,
    ) {
        let (mut left, mut start) = (left, run.start);
        for place in run.clone() {
            if events[place].sense == Sense::Divides {
                self.parts(events, left, start..place + 1, None);
                (left, start) = (None, place + 1);
            }
        }
        self.parts(events, left, start..run.end, right);
    }

    /// A run without dots of division.
    fn parts(
        &self,
        events: &mut [Written],
        left: Option<usize>,
        run: Range<usize>,
        right: Option<usize>,
    ) {
        if run.is_empty() {
            if let (Some(left), Some(right)) = (left, right) {
                like_before_like(events, left, right);
            }
            return;
        }
        let sum = sum(&events[run.clone()]);
        let Some(parts) = sum.and_then(|sum| sum.exactly(self.length)) else { return };
        let may = May {
            after: left.is_some_and(|left| self.may_lose_after(&events[left]))
                && self.ends_a_part(events[run.clone()].iter()),
            before: right.is_some_and(|right| self.may_lose_before(events, right))
                && self.ends_a_part(events[run.clone()].iter().rev()),
            alter: right.is_some_and(|right| self.may_be_altered(events, run.end - 1, right)),
        };
        let plan = plan(parts, may);
        if let Some(left) = left.filter(|_| plan.after) {
            self.take(&mut events[left], Rule::After, Rule::PartAfter);
        }
        if let Some(right) = right.filter(|_| plan.before) {
            self.take(&mut events[right], Rule::Before, Rule::PartBefore);
            events[right].lost_before = true;
        }
        if plan.alter {
            let last = &mut events[run.end - 1];
            last.length += self.length;
            last.rule = Rule::Altered;
        }
    }

    /// Whether events in this order fill a first part exactly.
    fn ends_a_part<'e>(&self, events: impl Iterator<Item = &'e Written>) -> bool {
        let mut sum = Time::ZERO;
        for event in events {
            let Some(longer) = sum.checked_add(event.length) else { return false };
            sum = longer;
            if sum >= self.length {
                break;
            }
        }
        sum == self.length
    }

    /// Imperfection *a parte post*. Rests are never made imperfect, nor black notes, nor a note
    /// with a dot of perfection; none of the perfect value twice.
    fn may_lose_after(&self, note: &Written) -> bool {
        self.may_lose(note) && !(note.value == self.perfect && note.lost_before)
    }

    /// Imperfection *a parte ante*; not of a note before its like, which is always perfect.
    fn may_lose_before(&self, events: &[Written], place: usize) -> bool {
        let like = events.get(place + 1).is_some_and(|next| next.value == events[place].value);
        let note = &events[place];
        self.may_lose(note) && !(note.value == self.perfect && like)
    }

    fn may_lose(&self, note: &Written) -> bool {
        !note.rest
            && !note.black
            && !note.fixed
            && note.sense == Sense::None
            && note.value <= self.perfect
    }

    /// Alteration: of a single note that is a part, never of a rest; before a larger note, not
    /// before a rest.
    fn may_be_altered(&self, events: &[Written], place: usize, right: usize) -> bool {
        let (note, larger) = (&events[place], &events[right]);
        note.value == self.part
            && note.length == self.length
            && !(note.rest || note.black || note.fixed)
            && note.sense == Sense::None
            && !larger.rest
            && larger.value <= self.perfect
    }

    /// Takes a part of a note: of the perfect value itself, or of a larger one that holds it.
    fn take(&self, note: &mut Written, whole: Rule, part: Rule) {
        note.length = note.length - self.length;
        let before = note.rule;
        note.rule = match before {
            Rule::PartAfter | Rule::PartBefore if note.value < self.perfect && before != part => {
                Rule::PartBoth
            }
            Rule::PartAfter | Rule::PartBefore | Rule::PartBoth => Rule::Twice,
            _ if note.value == self.perfect => whole,
            _ => part,
        };
    }
}

/// What events last together; nothing where an editor's length is beyond what can be kept.
pub(super) fn sum(events: &[Written]) -> Option<Time> {
    events.iter().try_fold(Time::ZERO, |sum, event| {
        let sum = sum.checked_add(event.length)?;
        (event.length <= LONGEST && sum.denominator() <= FINEST).then_some(sum)
    })
}

/// *Similis ante similem perfecta* (Franco, chapter 5; from memory).
fn like_before_like(events: &mut [Written], left: usize, right: usize) {
    if events[left].rule == Rule::Perfect && events[left].value == events[right].value {
        events[left].rule = Rule::Like;
    }
}

/// What a run of so many parts does (Franco, chapter 5; from memory).
///
/// One part makes the note before it imperfect, or else the note after it. Of two, the second is
/// altered; or each makes its neighbour imperfect. Three are a perfection. Of more, the first makes
/// the note before imperfect, and the others go in threes; of what is left, one makes the note
/// after imperfect, of two the second is altered. Where that cannot be, they go in threes from the
/// first.
fn plan(parts: i64, may: May) -> May {
    let complete = |after: bool| {
        if after && !may.after {
            return None;
        }
        match (parts - after as i64) % 3 {
            0 => Some(May { after, before: false, alter: false }),
            1 if may.before => Some(May { after, before: true, alter: false }),
            2 if may.alter => Some(May { after, before: false, alter: true }),
            _ => None,
        }
    };
    let first_takes = parts == 1 || parts > 3;
    complete(first_takes).or_else(|| complete(!first_takes)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: May = May { after: true, before: true, alter: true };

    fn planned(parts: i64, may: May) -> (bool, bool, bool) {
        let May { after, before, alter } = plan(parts, may);
        (after, before, alter)
    }

    #[test]
    fn by_the_number_of_parts() {
        assert_eq!(planned(1, ALL), (true, false, false));
        assert_eq!(planned(2, ALL), (false, false, true));
        assert_eq!(planned(3, ALL), (false, false, false));
        assert_eq!(planned(4, ALL), (true, false, false));
        assert_eq!(planned(5, ALL), (true, true, false));
        assert_eq!(planned(6, ALL), (true, false, true));
        assert_eq!(planned(7, ALL), (true, false, false));
    }

    #[test]
    fn where_the_note_before_must_stay_perfect() {
        let may = May { after: false, ..ALL };
        assert_eq!(planned(1, may), (false, true, false));
        assert_eq!(planned(4, may), (false, true, false));
        assert_eq!(planned(5, may), (false, false, true));
        assert_eq!(planned(6, may), (false, false, false));
    }

    #[test]
    fn where_nothing_may_be_altered() {
        let may = May { alter: false, ..ALL };
        assert_eq!(planned(2, may), (true, true, false));
        assert_eq!(planned(6, may), (false, false, false));
    }

    /// Whatever is done fills perfections: parts, what is doubled and what is taken add up.
    #[test]
    fn what_is_planned_is_complete() {
        for parts in 1..40 {
            for bits in 0..8 {
                let may = May { after: bits & 1 > 0, before: bits & 2 > 0, alter: bits & 4 > 0 };
                let plan = plan(parts, may);
                let sum = parts - plan.after as i64 - plan.before as i64 + plan.alter as i64;
                let nothing = plan == May::default();
                assert!(sum % 3 == 0 || nothing, "{parts} {may:?} {plan:?}");
                assert!(!plan.after || may.after);
                assert!(!plan.before || may.before);
                assert!(!plan.alter || may.alter);
            }
        }
    }
}
