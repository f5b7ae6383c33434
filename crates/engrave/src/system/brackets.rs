//! Brackets over several notes: tuplets, ligatures, coloration.

use std::collections::HashSet;

use rudiments::Time;
use score::{Edges, Segment};

use super::Workshop;
use super::draft::{Side, StaffDraft};
use super::voice_line::VoiceLine;
use crate::fonts::Face;
use crate::frame::{Ink, Item, Origin, Role};
use crate::lettering::CAPITAL_HEIGHT;
use crate::practice::BRACKET_LINE;
use crate::units::{Area, Point, Sp};

/// A sign of a voice under a bracket.
#[derive(Clone, Copy)]
pub(super) struct Member {
    pub(super) origin: Origin,
    pub(super) left: Sp,
    pub(super) right: Sp,
    pub(super) side: Side,
    beamed: bool,
}

/// What is drawn once for all voices that have it on one side of a staff: from when to when, and
/// the figure of a tuplet.
type Said = HashSet<(usize, Side, Time, Time, Option<u32>)>;

/// Draws the brackets of a system.
pub(super) fn draw(workshop: &Workshop<'_>, lines: &[VoiceLine], drafts: &mut [StaffDraft<'_>]) {
    let mut said = Said::new();
    for line in lines {
        let members = members(workshop, line);
        let mut new = |members: &[Member], figure: Option<u32>| {
            let (first, last) = (&members[0], &members[members.len() - 1]);
            let from = segment(workshop, first.origin).onset;
            let to = segment(workshop, last.origin).end();
            said.insert((first.origin.staff, first.side, from, to, figure))
        };
        let tuplet = |segment: &Segment| {
            segment.tuplet.filter(|tuplet| tuplet.shown).map(|tuplet| tuplet.edges)
        };
        for (from, to, begins, ends) in stretches(workshop, &members, tuplet) {
            let members = &members[from..=to];
            let tuplet = segment(workshop, members[0].origin).tuplet;
            if new(members, tuplet.map(|tuplet| tuplet.many)) {
                draw_tuplet(workshop, members, (begins, ends), drafts);
            }
        }
        for (from, to, begins, ends) in stretches(workshop, &members, |segment| segment.ligature) {
            draw_bracket(&members[from..=to], (begins, ends), true, drafts);
        }
        for (from, to, begins, ends) in stretches(workshop, &members, |segment| segment.coloration)
        {
            if new(&members[from..=to], None) {
                draw_bracket(&members[from..=to], (begins, ends), false, drafts);
            }
        }
    }
}

pub(super) fn segment<'w>(workshop: &Workshop<'w>, origin: Origin) -> &'w Segment {
    &workshop.arrangement.bars[origin.bar].voices[origin.voice][origin.place]
}

/// The signs of a voice in order.
pub(super) fn members(workshop: &Workshop<'_>, line: &VoiceLine) -> Vec<Member> {
    // A voice alone has its brackets above, as words and signs are.
    let side = |up: bool, alone: bool| if up || alone { Side::Above } else { Side::Below };
    let mut members: Vec<Member> = line
        .chords
        .iter()
        .map(|chord| Member {
            origin: chord.origin,
            left: chord.x,
            right: chord.x + chord.width,
            side: side(chord.up, chord.alone),
            beamed: chord.is_beamed(),
        })
        .collect();
    members.extend(line.rests.iter().map(|placed| Member {
        origin: placed.rest.origin,
        left: placed.x,
        right: placed.x + workshop.signs.width(placed.rest.sign),
        side: side(placed.rest.up, placed.rest.alone),
        beamed: false,
    }));
    members.sort_by_key(|member| (member.origin.bar, member.origin.place));
    members
}

/// The stretches of members under one bracket: first, last, and whether it begins and ends here.
fn stretches(
    workshop: &Workshop<'_>,
    members: &[Member],
    edges: impl Fn(&Segment) -> Option<Edges>,
) -> Vec<(usize, usize, bool, bool)> {
    let mut stretches: Vec<(usize, usize, bool, bool)> = Vec::new();
    let mut open: Option<(usize, bool)> = None;
    for (place, member) in members.iter().enumerate() {
        let Some(edges) = edges(segment(workshop, member.origin)) else {
            open = None;
            continue;
        };
        if edges.begins || open.is_none() {
            open = Some((place, edges.begins));
        }
        if let Some((from, begins)) = open
            && (edges.ends || place + 1 == members.len())
        {
            stretches.push((from, place, begins, edges.ends));
            open = None;
        }
    }
    stretches
}

fn draw_tuplet(
    workshop: &Workshop<'_>,
    members: &[Member],
    (begins, ends): (bool, bool),
    drafts: &mut [StaffDraft<'_>],
) {
    let (Some(first), Some(last)) = (members.first(), members.last()) else { return };
    let Some(tuplet) = segment(workshop, first.origin).tuplet else { return };
    let draft = &mut drafts[first.origin.staff];
    let side = first.side;
    let of = Some(first.origin);
    let letters = workshop.letterer.set(&tuplet.many.to_string(), Face::Italic, Sp(1.9));
    let height = letters.size * CAPITAL_HEIGHT;
    let (left, right) = (first.left, last.right);
    let area = Area::new(left, -height / 2.0, right, height / 2.0);
    let middle = draft.outside(side, area);
    let x = (left + right - letters.width) / 2.0;
    let (gap_left, gap_right) = (x - Sp(0.35), x + letters.width + Sp(0.35));
    let at = Point::new(x, middle + height / 2.0);
    // A beam that is as long as the tuplet is bracket enough (Read, Gould).
    let beamed = members.iter().all(|member| member.beamed)
        && members.iter().all(|member| member.origin.bar == first.origin.bar);
    draft.put(Item {
        role: Role::TupletFigure,
        of,
        ink: Ink::Letters { letters: letters.into(), at },
    });
    if beamed || gap_left < left {
        return;
    }
    let hook = if side == Side::Above { Sp(0.7) } else { Sp(-0.7) };
    for (edge, gap, closed) in [(left, gap_left, begins), (right, gap_right, ends)] {
        let corner = Point::new(edge, middle);
        draft.line(
            Role::NoteBracket,
            of,
            Point::new(gap.min(edge), middle),
            Point::new(gap.max(edge), middle),
            BRACKET_LINE,
        );
        if closed {
            draft.line(Role::NoteBracket, of, corner, corner.moved(Sp::ZERO, hook), BRACKET_LINE);
        }
    }
}

/// The bracket of a ligature, whole, or that of coloration, of which only the corners are drawn
/// (common practice of modern editions).
fn draw_bracket(
    members: &[Member],
    (begins, ends): (bool, bool),
    whole: bool,
    drafts: &mut [StaffDraft<'_>],
) {
    // Where the voice changes its staff, the bracket does too.
    let mut rest = members;
    let mut opened = false;
    while let Some(first) = rest.first() {
        let count = rest.iter().take_while(|m| m.origin.staff == first.origin.staff).count();
        let (part, after) = rest.split_at(count);
        let last = &part[part.len() - 1];
        let draft = &mut drafts[first.origin.staff];
        let of = Some(first.origin);
        let (left, right) = (first.left - Sp(0.1), last.right + Sp(0.1));
        let hook = if first.side == Side::Above { Sp(0.7) } else { Sp(-0.7) };
        let area = Area::new(left, hook.min(Sp::ZERO), right, hook.max(Sp::ZERO));
        let y = draft.outside(first.side, area);
        let corner = |draft: &mut StaffDraft<'_>, x: Sp| {
            let at = Point::new(x, y);
            draft.line(Role::NoteBracket, of, at, at.moved(Sp::ZERO, hook), BRACKET_LINE);
        };
        let arm = ((right - left) / 2.0 - Sp(0.2)).min(Sp(1.4)).max(Sp(0.4));
        let mut stroke = |from: Sp, to: Sp| {
            let (from, to) = (Point::new(from, y), Point::new(to, y));
            draft.line(Role::NoteBracket, of, from, to, BRACKET_LINE);
        };
        if whole {
            stroke(left, right);
        } else {
            if begins && !opened {
                stroke(left, left + arm);
            }
            if ends && after.is_empty() {
                stroke(right - arm, right);
            }
        }
        if begins && !opened {
            corner(draft, left + BRACKET_LINE / 2.0);
        }
        if ends && after.is_empty() {
            corner(draft, right - BRACKET_LINE / 2.0);
        }
        opened = true;
        rest = after;
    }
}
