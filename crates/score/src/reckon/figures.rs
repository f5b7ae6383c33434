//! Figures 3 that mark black groups and are not cancelled.
//!
//! In Italian prints of the 1580s a `3` stands in the midst of a group of black notes, three of
//! them in the time of one white, and the next group has its own; nothing cancels it (common
//! practice). A black minim looks like a semiminim, and a black semibreve is easily taken for a
//! white one, so the groups are known by their figures alone: each has three parts, a black minim
//! being one, a black semibreve two; a figure stands within its group; and the groups follow upon
//! one another.

use std::ops::Range;

use notation::{Event, ItemKind, Voice};
use rudiments::{Circle, Proportion, Sign, Time, Value};

/// The groups that figures mark in a voice.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Figures {
    /// The figures, as places among the voice's items.
    pub(super) signs: Vec<usize>,
    /// The notes of the groups, as places among the voice's events that are read.
    pub(super) events: Vec<Range<usize>>,
}

/// Finds the groups of a voice, where at least two figures follow upon one another. A single one
/// is a sign of proportion, unless it stands at notes typed as black.
pub(super) fn find(voice: &Voice) -> Figures {
    let mut figures = Figures::default();
    if !voice.items.iter().any(|item| is_bare_three(&item.kind)) {
        return figures;
    }
    let mut passage = Passage { duple: is_duple(voice.sign), ..Passage::default() };
    let mut events: Vec<&Event> = Vec::new();
    for (place, item) in voice.items.iter().enumerate().filter(|(_, item)| item.standing.is_read())
    {
        match &item.kind {
            ItemKind::Event(event) => events.push(event),
            kind if is_bare_three(kind) => passage.figures.push((place, events.len())),
            ItemKind::Sign(sign) => {
                passage.end(&events, &mut figures);
                passage = Passage {
                    duple: is_duple(Some(*sign)),
                    first: events.len(),
                    figures: Vec::new(),
                };
            }
            ItemKind::Ratio(ratio) => {
                passage.end(&events, &mut figures);
                let duple = passage.duple && *ratio == Proportion::EQUAL;
                passage = Passage { duple, first: events.len(), figures: Vec::new() };
            }
            ItemKind::SectionEnd | ItemKind::Repeat => {
                passage.end(&events, &mut figures);
                passage = Passage { first: events.len(), figures: Vec::new(), ..passage };
            }
            _ => {}
        }
    }
    passage.end(&events, &mut figures);
    figures
}

/// Whether this is the figure 3 alone.
pub(super) fn is_bare_three(kind: &ItemKind) -> bool {
    let three = Sign { circle: None, dot: false, stroke: false, upper: Some(3), lower: None };
    *kind == ItemKind::Sign(three)
}

fn is_duple(sign: Option<Sign>) -> bool {
    sign.is_none_or(|sign| sign.circle == Some(Circle::Half) && !sign.dot && sign.upper.is_none())
}

/// What stands between two other signs.
#[derive(Default)]
struct Passage {
    /// Whether its values hold two.
    duple: bool,
    /// Its first event.
    first: usize,
    /// Its figures: the place of the item, and the event before which it stands.
    figures: Vec<(usize, usize)>,
}

impl Passage {
    /// Adds its groups, if its figures mark groups.
    fn end(&self, events: &[&Event], figures: &mut Figures) {
        let (Some((_, first)), true) = (self.figures.first(), self.figures.len() > 1) else {
            return;
        };
        if !self.duple {
            return;
        }
        let mut ends = [1, 2].into_iter().filter_map(|before| {
            let start = first.checked_sub(before).filter(|start| *start >= self.first)?;
            Some(start..self.groups(events, start)?)
        });
        if let (Some(groups), None) = (ends.next(), ends.next()) {
            figures.signs.extend(self.figures.iter().map(|(place, _)| *place));
            figures.events.push(groups);
        }
    }

    /// Where the groups end that begin with this event, if every figure stands within a group.
    fn groups(&self, events: &[&Event], start: usize) -> Option<usize> {
        let group = Time::minims(3);
        let mut sum = Time::ZERO;
        let mut figures = self.figures.iter().map(|(_, event)| *event).peekable();
        for (place, event) in events.iter().enumerate().skip(start) {
            while figures.next_if_eq(&place).is_some() {
                if sum.is_zero() {
                    return None;
                }
            }
            sum += parts(event)?;
            if sum > group {
                return None;
            }
            if sum == group {
                sum = Time::ZERO;
                if figures.peek().is_none() {
                    return Some(place + 1);
                }
            }
        }
        None
    }
}

/// How many parts of a group an event has, a black minim being one.
fn parts(event: &Event) -> Option<Time> {
    let value = match event.value {
        Value::Semibreve => Value::Semibreve,
        Value::Minim if event.colored => Value::Minim,
        smaller if smaller > Value::Minim && event.colored => smaller,
        // It looks like a semiminim.
        smaller if smaller > Value::Minim => smaller.larger()?,
        _ => return None,
    };
    let parts = value.plain();
    (event.length.is_none()).then(|| if event.dot.is_some() { parts + parts.half() } else { parts })
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    fn found(music: &str) -> Figures {
        let parsed = parse(&format!("voice Cantus clef C1 sign C\n  {music}\n"));
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        find(&parsed.piece.voices[0])
    }

    #[test]
    fn each_figure_stands_within_a_group_of_three() {
        let figures = found("mn G4 A sm G sign 3 G G sb A sign 3 sm G G. fu F sm G mn A");
        assert_eq!((figures.events.len(), figures.signs.len()), (1, 2));
        assert_eq!(figures.events[0], 2..7);
    }

    #[test]
    fn groups_without_a_figure_may_stand_between() {
        let figures = found("mn G4 sm G sign 3 G G sb A sm G G. fu F sm G G sign 3 sb A mn A");
        assert_eq!(figures.events[0], 1..11);
    }

    #[test]
    fn a_single_figure_is_a_sign() {
        assert_eq!(found("mn G4 sm G sign 3 G G mn A"), Figures::default());
    }

    #[test]
    fn a_figure_that_is_cancelled_is_a_sign() {
        assert_eq!(
            found("sm G4 sign 3 G G sign C mn A sm G sign 3 G G sign C"),
            Figures::default()
        );
    }

    #[test]
    fn white_notes_are_in_no_group() {
        assert_eq!(found("mn G4 sign 3 G G sb G sign 3 mn G"), Figures::default());
    }
}
