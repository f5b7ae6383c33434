//! The marks of the score: circles round notes, arrows at them, brackets over them, and what they say.

mod circles;
mod sides;

use std::collections::HashMap;
use std::ops::Range;

use notation::MarkShape;
use rudiments::Time;
use score::Mark;

use super::brackets::{Member, members, segment};
use super::draft::{Side, StaffDraft};
use super::voice_line::{PlacedRest, VoiceLine};
use super::{SystemPlan, Workshop};
use crate::fonts::Face;
use crate::frame::{Ink, Item, Origin, Role};
use crate::lettering::{CAPITAL_HEIGHT, DESCENT, Lettering};
use crate::outline::Outline;
use crate::practice::{MARK_HOOK, MARK_LINE, MARK_MEASURE, MARK_WORDS};
use crate::strokes::{Pen, along};
use crate::title;
use crate::units::{Area, Point, Sp};

/// The marks of a system.
pub(super) struct Marks<'a> {
    workshop: &'a Workshop<'a>,
    lines: &'a [VoiceLine],
    marked: Vec<Marked<'a>>,
    /// Where rests are seen, with those that stand for the rests of several voices; nothing for one
    /// that is not drawn.
    rests: HashMap<Origin, Option<Area>>,
}

/// What of a mark stands in a system.
struct Marked<'a> {
    mark: &'a Mark,
    /// The signs of its events, in order; at least one.
    members: Vec<Member>,
    /// From when to when it is.
    span: (Time, Time),
    begins: bool,
    ends: bool,
}

impl<'a> Marks<'a> {
    /// The marks that reach the bars of a system; the shorter ones first, so that they stand nearer.
    pub(super) fn of(
        workshop: &'a Workshop<'a>,
        plan: &SystemPlan,
        lines: &'a [VoiceLine],
    ) -> Marks<'a> {
        let score = workshop.arrangement.score;
        let bars = &score.bars[plan.bars.clone()];
        let (Some(first), Some(last)) = (bars.first(), bars.last()) else {
            return Marks { workshop, lines, marked: Vec::new(), rests: HashMap::new() };
        };
        let mut marked = Vec::new();
        let mut of_voices: HashMap<usize, Vec<Member>> = HashMap::new();
        for mark in &score.marks {
            let Some((from, to)) = mark.run.time(score) else { continue };
            if from >= last.end || to <= first.start {
                continue;
            }
            let voice = mark.run.voice;
            let of_voice =
                of_voices.entry(voice).or_insert_with(|| members(workshop, &lines[voice]));
            let segment = |member: &Member| segment(workshop, member.origin);
            let begin = of_voice.partition_point(|member| segment(member).end() <= from);
            let end = of_voice.partition_point(|member| segment(member).onset < to);
            let members = of_voice.get(begin..end).unwrap_or_default().to_vec();
            if !members.is_empty() {
                let (begins, ends) = (from >= first.start, to <= last.end);
                let span = (from, to);
                marked.push((to - from, Marked { mark, members, span, begins, ends }));
            }
        }
        marked.sort_by_key(|(length, _)| *length);
        let marked: Vec<Marked<'_>> = marked.into_iter().map(|(_, marked)| marked).collect();
        let rests = if marked.is_empty() { HashMap::new() } else { rests(workshop, lines) };
        Marks { workshop, lines, marked, rests }
    }

    /// Draws the circles: first of all, since they stand where the notes do.
    pub(super) fn draw_circles(&self, drafts: &mut [StaffDraft<'_>]) {
        let is_circle = |marked: &&Marked<'_>| marked.mark.shape == MarkShape::Circle;
        if !self.marked.iter().any(|marked| is_circle(&marked)) {
            return;
        }
        let mut surroundings = circles::Surroundings::of(drafts);
        for marked in self.marked.iter().filter(is_circle) {
            for member in self.beginnings(marked) {
                let origin = member.origin;
                let rest = self.rests.get(&origin).copied().flatten();
                let pen = Pen::of(marked.mark.color);
                if let Some(outline) = surroundings.circle(member, rest, pen) {
                    let draft = &mut drafts[origin.staff];
                    paint(draft, Role::MarkCircle, origin, outline, marked.mark);
                }
            }
        }
    }

    /// Draws arrows, and the words of all marks but brackets.
    pub(super) fn draw_at_notes(&self, drafts: &mut [StaffDraft<'_>]) {
        let not_bracket = |marked: &&Marked<'_>| marked.mark.shape != MarkShape::Bracket;
        for marked in self.marked.iter().filter(not_bracket) {
            if marked.mark.shape == MarkShape::Arrow {
                for member in self.beginnings(marked) {
                    let (draft, side) = (&mut drafts[member.origin.staff], self.arrow_side(member));
                    arrow(draft, side, member, marked.mark);
                }
            }
            let first = &marked.members[0];
            if marked.begins {
                let side = match marked.mark.shape {
                    MarkShape::Arrow => self.arrow_side(first),
                    _ => sides::side(self.workshop, first, marked.span),
                };
                let middle = (first.left + first.right) / 2.0;
                self.label(&mut drafts[first.origin.staff], side, marked, Anchor::Middle(middle));
            }
        }
    }

    /// Draws the brackets, each with its words. `room` is where the system has music: a bracket that
    /// goes on in another system reaches to its edge.
    pub(super) fn draw_brackets(&self, room: (Sp, Sp), drafts: &mut [StaffDraft<'_>]) {
        let is_bracket = |marked: &&Marked<'_>| marked.mark.shape == MarkShape::Bracket;
        for marked in self.marked.iter().filter(is_bracket) {
            let mut parts = marked
                .members
                .chunk_by(|one, other| one.origin.staff == other.origin.staff)
                .enumerate()
                .peekable();
            // A voice that changes its staff takes its bracket along.
            while let Some((number, part)) = parts.next() {
                let (first, last) = (&part[0], &part[part.len() - 1]);
                let (opens, closes) = (number == 0, parts.peek().is_none());
                let goes_on = (opens && !marked.begins, closes && !marked.ends);
                let left = if goes_on.0 { room.0 } else { first.left - Sp(0.1) };
                let right = if goes_on.1 { room.1 } else { last.right + Sp(0.1) };
                let hooks = (opens && marked.begins, closes && marked.ends);
                let draft = &mut drafts[first.origin.staff];
                let span = left..right.max(left + Sp(1.0));
                let side = sides::side(self.workshop, first, marked.span);
                bracket(draft, (first.origin, side), span, hooks, marked.mark);
                if opens && marked.begins {
                    self.label(draft, side, marked, Anchor::Left(left));
                }
            }
        }
    }

    /// The signs with which marked events begin, as far as they are drawn.
    fn beginnings<'m>(&'m self, marked: &'m Marked<'_>) -> impl Iterator<Item = &'m Member> {
        let workshop = self.workshop;
        marked.members.iter().filter(move |member| {
            let segment = segment(workshop, member.origin);
            let voice = &workshop.arrangement.score.voices[member.origin.voice];
            let drawn = self.rests.get(&member.origin).is_none_or(Option::is_some);
            drawn && segment.onset <= voice.events[segment.event].onset
        })
    }

    /// A voice that has its staff for itself is pointed at from where the heads are.
    fn arrow_side(&self, member: &Member) -> Side {
        let chords = self.lines[member.origin.voice].chords.iter();
        let alone = chords.clone().find(|chord| chord.origin == member.origin && chord.alone);
        match alone {
            Some(chord) if chord.up && chord.stem.is_some() => Side::Below,
            _ => member.side,
        }
    }

    /// Draws what a mark says; a rule under words that have a colour, but nothing else to show it.
    fn label(&self, draft: &mut StaffDraft<'_>, side: Side, marked: &Marked<'_>, anchor: Anchor) {
        let (mark, origin) = (marked.mark, marked.members[0].origin);
        let text = mark.text();
        let measure = draft.right().min(MARK_MEASURE);
        let face = match mark.shape {
            MarkShape::Doubt => Face::Bold,
            MarkShape::Label => Face::Italic,
            MarkShape::Bracket | MarkShape::Circle | MarkShape::Arrow => Face::Roman,
        };
        let lines = title::lines(&text, measure, face, MARK_WORDS, self.workshop.letterer);
        let Some(widest) = lines.iter().map(|line| line.width).reduce(Sp::max) else { return };
        let left = match anchor {
            Anchor::Left(left) => left,
            Anchor::Middle(middle) => middle - widest / 2.0,
        };
        let left = left.min(draft.right() - widest).max(Sp::ZERO);
        let ruled =
            matches!(mark.shape, MarkShape::Label | MarkShape::Doubt) && mark.color.is_some();
        let rule = if ruled { Sp(0.6) } else { Sp::ZERO };
        let below = MARK_LINE * (lines.len() - 1) as f64 + MARK_WORDS * DESCENT;
        let area = Area::new(left, MARK_WORDS * -CAPITAL_HEIGHT, left + widest, below + rule);
        let first = draft.outside(side, area);
        for (number, letters) in lines.into_iter().enumerate() {
            let at = Point::new(left, first + MARK_LINE * number as f64);
            put(draft, origin, letters, at);
        }
        if ruled {
            let y = first + below + rule / 2.0;
            let path = [Point::new(left, y), Point::new(left + widest, y)];
            let outline = along(&path, Pen::of(mark.color), |_| true);
            paint(draft, Role::Mark, origin, outline, mark);
        }
    }
}

/// Where the rests of a system are seen.
fn rests(workshop: &Workshop<'_>, lines: &[VoiceLine]) -> HashMap<Origin, Option<Area>> {
    let all = || lines.iter().flat_map(|line| &line.rests);
    // What stands for others stands in their column.
    let place = |placed: &PlacedRest| (placed.rest.origin.staff, placed.x.0.to_bits());
    let drawn: HashMap<(usize, u64), Area> = all()
        .filter(|placed| !placed.rest.shared)
        .map(|placed| {
            let area = workshop.signs.area(placed.rest.sign).moved(placed.x, placed.rest.y);
            (place(placed), area)
        })
        .collect();
    let seen = |placed: &PlacedRest| {
        let own = workshop.signs.area(placed.rest.sign).moved(placed.x, placed.rest.y);
        if placed.rest.shared { drawn.get(&place(placed)).copied() } else { Some(own) }
    };
    all().map(|placed| (placed.rest.origin, seen(placed))).collect()
}

/// Where the words of marks stand in a system whose staves begin there, with some white around them.
pub(super) fn words(drafts: &[StaffDraft<'_>], tops: &[Sp]) -> Vec<Area> {
    let of_staff = |(draft, top): (&StaffDraft<'_>, &Sp)| {
        let words = draft.items.iter().filter(|item| item.role == Role::MarkWords);
        let areas = words.filter_map(|item| item.area(draft.signs));
        areas.map(|area| area.moved(Sp::ZERO, *top).grown(Sp(0.3), Sp(0.3))).collect::<Vec<_>>()
    };
    drafts.iter().zip(tops).flat_map(of_staff).collect()
}

/// Where words stand.
#[derive(Clone, Copy)]
enum Anchor {
    /// From here on.
    Left(Sp),
    /// Over or under this.
    Middle(Sp),
}

fn put(draft: &mut StaffDraft<'_>, origin: Origin, letters: Lettering, at: Point) {
    let ink = Ink::Letters { letters: Box::new(letters), at };
    draft.put(Item { role: Role::MarkWords, of: Some(origin), ink });
}

/// Draws a line of a mark in its colour.
fn paint(draft: &mut StaffDraft<'_>, role: Role, origin: Origin, outline: Outline, mark: &Mark) {
    let ink = match mark.color {
        Some(color) => Ink::Painted(outline, color),
        None => Ink::Shape(outline),
    };
    draft.put(Item { role, of: Some(origin), ink });
}

/// A bracket from one place to another, with a hook at each end that is one.
fn bracket(
    draft: &mut StaffDraft<'_>,
    (origin, side): (Origin, Side),
    span: Range<Sp>,
    (begins, ends): (bool, bool),
    mark: &Mark,
) {
    let pen = Pen::of(mark.color);
    let (half, hook) = (pen.thickness / 2.0, MARK_HOOK);
    let (top, bottom) = match side {
        Side::Above => (-half, hook),
        Side::Below => (-hook, half),
    };
    let y = draft.outside(side, Area::new(span.start, top, span.end, bottom));
    let mut outline = along(&[Point::new(span.start, y), Point::new(span.end, y)], pen, |_| true);
    for (there, left) in [(begins, span.start), (ends, span.end - pen.thickness)] {
        if there {
            let (left, right) = (left.0, (left + pen.thickness).0);
            let (top, bottom) = ((y + top).0, (y + bottom).0);
            outline.add_polygon([(left, top), (right, top), (right, bottom), (left, bottom)]);
        }
    }
    paint(draft, Role::Mark, origin, outline, mark);
}

/// An arrow that points at a note from outside the staff.
fn arrow(draft: &mut StaffDraft<'_>, side: Side, member: &Member, mark: &Mark) {
    const LENGTH: Sp = Sp(3.2);
    const HEAD: Sp = Sp(1.0);
    const HALF_HEAD: Sp = Sp(0.45);
    let x = (member.left + member.right) / 2.0;
    let y = draft.outside(side, Area::new(x - HALF_HEAD, Sp::ZERO, x + HALF_HEAD, LENGTH));
    // From the tail to the tip.
    let (tail, tip) = match side {
        Side::Above => (y, y + LENGTH),
        Side::Below => (y + LENGTH, y),
    };
    let neck = if side == Side::Above { tip - HEAD } else { tip + HEAD };
    let mut outline =
        along(&[Point::new(x, tail), Point::new(x, neck)], Pen::of(mark.color), |_| true);
    outline.add_polygon([((x - HALF_HEAD).0, neck.0), ((x + HALF_HEAD).0, neck.0), (x.0, tip.0)]);
    paint(draft, Role::Mark, member.origin, outline, mark);
}
