//! The black groups of a voice in duple time, and the ways in which each may be read.

use std::ops::Range;

use notation::Span;
use rudiments::{Proportion, Time};

use super::super::exact::Exact;
use super::super::section::{InSection, ReckonedVoice, Section, SectionEvent};
use crate::rule::Rule;

/// How a black group is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Way {
    /// As if it were white.
    Plain,
    /// Three in the time of two white.
    Thirds,
    /// Three in the time of one white.
    ThreeForOne,
}

/// The lines of a section.
pub(super) fn lines<'s>(
    voices: &'s mut [ReckonedVoice],
    number: usize,
    rooms: &'s mut [Time],
) -> Vec<Line<'s>> {
    let sections = voices
        .iter_mut()
        .zip(rooms)
        .filter_map(|(voice, room)| voice.sections.get_mut(number).map(|section| (section, room)));
    sections.map(Line::new).collect()
}

/// A section of a voice while its groups are read from the left.
pub(super) struct Line<'s> {
    pub(super) section: &'s mut Section,
    /// The groups, and which is the next.
    pub(super) groups: Vec<Range<usize>>,
    pub(super) next: usize,
    /// The first event that does not have its new onset yet, and by how much it moves.
    from: usize,
    pub(super) moved: Time,
    /// By how much the voice may still become longer.
    room: &'s mut Time,
    /// All moves: from when on, before any move, and by how much.
    moves: Vec<(InSection, Time)>,
}

impl<'s> Line<'s> {
    fn new((section, room): (&'s mut Section, &'s mut Time)) -> Line<'s> {
        let groups = find(&section.events);
        Line { section, groups, next: 0, from: 0, moved: Time::ZERO, room, moves: Vec::new() }
    }

    pub(super) fn group(&self) -> Option<Range<usize>> {
        self.groups.get(self.next).cloned()
    }

    pub(super) fn onset(&self, place: usize) -> InSection {
        let onset = self.section.events[place].onset;
        if place < self.from { onset } else { onset + self.moved }
    }

    /// The event that sounds at a moment, if there is one.
    pub(super) fn at(&self, time: InSection) -> Option<usize> {
        let (moved, unmoved) = self.section.events.split_at(self.from);
        let begun = match unmoved.partition_point(|event| event.onset + self.moved <= time) {
            0 => moved.partition_point(|event| event.onset <= time),
            begun => self.from + begun,
        };
        let place = begun.checked_sub(1)?;
        (time < self.onset(place) + self.section.events[place].length).then_some(place)
    }

    pub(super) fn last_onset(&self) -> Option<InSection> {
        self.section.events.len().checked_sub(1).map(|last| self.onset(last))
    }

    /// Reads the next group in a way; says if that is not the usual one.
    pub(super) fn read(&mut self, way: Way, exact: &mut Exact) -> Option<(Span, &'static str)> {
        let group = self.group()?;
        self.next += 1;
        for place in self.from..group.start {
            let onset = self.onset(place);
            self.section.events[place].onset = onset;
        }
        let mut at = self.onset(group.start);
        let after = self.section.events[group.end - 1].end();
        self.from = group.end;
        let events = &mut self.section.events[group.clone()];
        let usual = Way::of(&events[0]);
        let lengths: Option<Vec<Time>> = events
            .iter()
            .map(|event| way.length(event).and_then(|length| exact.admit(length)))
            .collect();
        let before: Time = events.iter().map(|event| event.length).sum();
        let lengthened = |lengths: &Vec<Time>| lengths.iter().copied().sum::<Time>() - before;
        let lengths =
            lengths.filter(|lengths| usual != Some(way) && lengthened(lengths) <= *self.room);
        *self.room = *self.room - lengths.as_ref().map_or(Time::ZERO, lengthened);
        let before = self.moved;
        for (place, event) in events.iter_mut().enumerate() {
            event.onset = at;
            if let Some(lengths) = &lengths {
                let without = without_color(event);
                event.proportion = without.and(way.proportion());
                (event.length, event.rule) = (lengths[place], way.rule());
            }
            at = at + event.length;
        }
        self.moved = at - after;
        if self.moved != before {
            self.moves.push((after, self.moved));
        }
        lengths.map(|_| (self.section.events[group.start].span, way.spoken()))
    }

    /// Moves what comes after the last group.
    pub(super) fn finish(self) {
        let Line { section, from, moved, moves, .. } = self;
        for event in &mut section.events[from..] {
            event.onset = event.onset + moved;
        }
        section.end = section.end + moved;
        if moves.is_empty() {
            return;
        }
        let place = |time: &mut InSection| {
            let begun = moves.partition_point(|(after, _)| *after <= *time);
            if let Some((_, by)) = begun.checked_sub(1).map(|place| moves[place]) {
                *time = *time + by;
            }
        };
        section.bar_lines.iter_mut().for_each(|(time, _)| place(time));
        section.line_ends.iter_mut().for_each(|(time, _)| place(time));
        section.mensurations.iter_mut().for_each(|(time, _)| place(time));
    }
}

impl Way {
    /// In which way an event is counted.
    pub(super) fn of(event: &SectionEvent) -> Option<Way> {
        match event.rule {
            Rule::ColoredPlain => Some(Way::Plain),
            Rule::ColoredThirds => Some(Way::Thirds),
            Rule::ColoredThreeForOne => Some(Way::ThreeForOne),
            _ => None,
        }
    }

    fn proportion(self) -> Proportion {
        match self {
            Way::Plain => Proportion::EQUAL,
            Way::Thirds => Proportion::SESQUIALTERA,
            Way::ThreeForOne => Proportion::TRIPLA,
        }
    }

    fn rule(self) -> Rule {
        match self {
            Way::Plain => Rule::ColoredPlain,
            Way::Thirds => Rule::ColoredThirds,
            Way::ThreeForOne => Rule::ColoredThreeForOne,
        }
    }

    fn spoken(self) -> &'static str {
        match self {
            Way::Plain => "keep their values",
            Way::Thirds => "last two thirds of their values",
            Way::ThreeForOne => "go three in the time of one white",
        }
    }

    /// The ways of a group, the usual one first. What is dotted, and its companion, may be dotted
    /// figures of a cadence, which are not three in the time of one.
    pub(super) fn all(events: &[SectionEvent]) -> Vec<Way> {
        let usual = Way::of(&events[0]);
        let dotted = events.len() <= 2 && usual == Some(Way::Plain);
        let others = if dotted {
            [Way::Thirds, Way::Plain, Way::Plain]
        } else {
            [Way::Thirds, Way::ThreeForOne, Way::Plain]
        };
        let mut ways: Vec<Way> = usual.into_iter().collect();
        for way in others {
            if !ways.contains(&way) {
                ways.push(way);
            }
        }
        ways
    }

    /// How long a group is in this way.
    pub(super) fn total(self, events: &[SectionEvent]) -> Option<Time> {
        events.iter().map(|event| self.length(event)).sum()
    }

    /// How long an event is in this way.
    fn length(self, event: &SectionEvent) -> Option<Time> {
        let plain = event.value.plain();
        let plain = if event.dotted { plain + plain.half() } else { plain };
        plain.checked_scale(without_color(event).and(self.proportion()))
    }
}

/// The proportion in force at a black note, without its colour.
fn without_color(event: &SectionEvent) -> Proportion {
    let back = match event.rule {
        Rule::ColoredThirds => Proportion::SUBSESQUIALTERA,
        Rule::ColoredThreeForOne => Proportion::SUBTRIPLA,
        _ => Proportion::EQUAL,
    };
    event.proportion.and(back)
}

/// The black groups that may be read in several ways.
fn find(events: &[SectionEvent]) -> Vec<Range<usize>> {
    let mut groups = Vec::new();
    let mut first = 0;
    for run in events.chunk_by(|one, next| Way::of(one).is_some() && Way::of(one) == Way::of(next))
    {
        // What is held to the end may last as long as it likes.
        if Way::of(&run[0]).is_some() {
            groups.push(first..first + run.len());
        }
        first += run.len();
    }
    groups
}
