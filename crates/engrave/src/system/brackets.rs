//! Brackets over several notes: tuplets, ligatures, coloration.

use std::cmp::Reverse;
use std::ops::Range;

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

/// What a bracket says.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    /// With its figure.
    Tuplet(u32),
    Ligature,
    Coloration,
}

/// What stands under one bracket of a staff: at least one member.
struct Group {
    kind: Kind,
    members: Vec<Member>,
    /// Whether it is closed at its beginning and at its end.
    closed: (bool, bool),
}

impl Group {
    fn staff(&self) -> usize {
        self.members[0].origin.staff
    }

    fn side(&self) -> Side {
        self.members[0].side
    }

    fn time(&self, workshop: &Workshop<'_>) -> Range<Time> {
        let last = self.members[self.members.len() - 1];
        segment(workshop, self.members[0].origin).onset..segment(workshop, last.origin).end()
    }
}

/// Draws the brackets of a system: those of tuplets next to the notes, then those of ligatures, and
/// those of coloration outside.
pub(super) fn draw(workshop: &Workshop<'_>, lines: &[VoiceLine], drafts: &mut [StaffDraft<'_>]) {
    let mut groups: Vec<Group> =
        lines.iter().flat_map(|line| groups(workshop, &members(workshop, line))).collect();
    // Within a kind, those above come first, and of these the longest: what is said there for all is
    // not said below, nor for a part of it.
    let kinds = |kind: Kind| match kind {
        Kind::Tuplet(_) => 0,
        Kind::Ligature => 1,
        Kind::Coloration => 2,
    };
    groups.sort_by_cached_key(|group| {
        let time = group.time(workshop);
        let nested = group.kind == Kind::Coloration;
        let length = if nested { time.end - time.start } else { Time::ZERO };
        (kinds(group.kind), group.side() == Side::Below, Reverse(length))
    });
    let mut said: Vec<Said> = Vec::new();
    for group in &groups {
        let time = group.time(workshop);
        if said.iter().any(|said| said.covers(group, &time)) {
            continue;
        }
        match group.kind {
            Kind::Tuplet(_) => draw_tuplet(workshop, &group.members, group.closed, drafts),
            Kind::Ligature => draw_bracket(&group.members, group.closed, true, drafts),
            Kind::Coloration => draw_bracket(&group.members, group.closed, false, drafts),
        }
        let for_all = is_for_all(workshop, group, &time);
        let (kind, staff, side) = (group.kind, group.staff(), group.side());
        said.push(Said { kind, staff, side, time, for_all });
    }
}

/// All that stands under brackets in a voice. Where a voice goes over to the other staff, a bracket
/// does too: that of a ligature stays open there, that of coloration is closed on both staves.
fn groups(workshop: &Workshop<'_>, members: &[Member]) -> Vec<Group> {
    let mut groups = Vec::new();
    let tuplet =
        |segment: &Segment| segment.tuplet.filter(|tuplet| tuplet.shown).map(|tuplet| tuplet.edges);
    for (from, to, begins, ends) in stretches(workshop, members, tuplet) {
        let tuplet = segment(workshop, members[from].origin).tuplet;
        let kind = Kind::Tuplet(tuplet.map_or(0, |tuplet| tuplet.many));
        let members = members[from..=to].to_vec();
        groups.push(Group { kind, members, closed: (begins, ends) });
    }
    let mut by_staff = |(from, to, begins, ends), kind: Kind| {
        let parts = members[from..=to].chunk_by(|one, two| one.origin.staff == two.origin.staff);
        let parts: Vec<&[Member]> = parts.collect();
        for (rank, part) in parts.iter().enumerate() {
            let cut = kind == Kind::Coloration;
            let first = if rank == 0 { begins } else { cut };
            let last = if rank + 1 == parts.len() { ends } else { cut };
            groups.push(Group { kind, members: part.to_vec(), closed: (first, last) });
        }
    };
    for stretch in stretches(workshop, members, |segment| segment.ligature) {
        by_staff(stretch, Kind::Ligature);
    }
    for stretch in stretches(workshop, members, |segment| segment.coloration) {
        by_staff(stretch, Kind::Coloration);
    }
    groups
}

/// A bracket that is drawn.
struct Said {
    kind: Kind,
    staff: usize,
    side: Side,
    time: Range<Time>,
    /// Whether all that sounds on its staff meanwhile is under such a bracket.
    for_all: bool,
}

impl Said {
    /// Whether it says what the bracket of a group would: for voices on one side that have it at the
    /// same time, and for all where all have it (common practice: one figure stands for all).
    fn covers(&self, group: &Group, time: &Range<Time>) -> bool {
        let same = self.time == *time;
        let within = group.kind == Kind::Coloration
            && self.time.start <= time.start
            && time.end <= self.time.end;
        (self.kind, self.staff) == (group.kind, group.staff())
            && group.kind != Kind::Ligature
            && ((same && self.side == group.side()) || ((same || within) && self.for_all))
    }
}

/// Whether all notes that sound on the staff of a group meanwhile are under brackets of its kind.
fn is_for_all(workshop: &Workshop<'_>, group: &Group, time: &Range<Time>) -> bool {
    let last = group.members[group.members.len() - 1].origin.bar;
    let bars = &workshop.arrangement.bars[group.members[0].origin.bar..=last];
    let mut sounding = bars.iter().flat_map(|bar| &bar.voices).flatten().filter(|segment| {
        let meanwhile = segment.onset < time.end && time.start < segment.end();
        segment.staff == group.staff() && !segment.is_rest() && meanwhile
    });
    sounding.all(|segment| match group.kind {
        Kind::Tuplet(many) => {
            segment.tuplet.is_some_and(|tuplet| tuplet.shown && tuplet.many == many)
        }
        Kind::Ligature => segment.ligature.is_some(),
        Kind::Coloration => segment.coloration.is_some(),
    })
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
    let (first, last) = (&members[0], &members[members.len() - 1]);
    let draft = &mut drafts[first.origin.staff];
    let of = Some(first.origin);
    let (left, right) = (first.left - Sp(0.1), last.right + Sp(0.1));
    let hook = if first.side == Side::Above { Sp(0.7) } else { Sp(-0.7) };
    let area = Area::new(left, hook.min(Sp::ZERO), right, hook.max(Sp::ZERO));
    let y = draft.outside(first.side, area);
    let mut stroke = |from: Point, to: Point| {
        draft.line(Role::NoteBracket, of, from, to, BRACKET_LINE);
    };
    let arm = ((right - left) / 2.0 - Sp(0.2)).min(Sp(1.4)).max(Sp(0.4));
    if whole {
        stroke(Point::new(left, y), Point::new(right, y));
    }
    for (closed, edge, inwards) in [(begins, left, 1.0), (ends, right, -1.0)] {
        if !closed {
            continue;
        }
        if !whole {
            let (one, other) = (edge, edge + arm * inwards);
            stroke(Point::new(one.min(other), y), Point::new(one.max(other), y));
        }
        let at = Point::new(edge + BRACKET_LINE / 2.0 * inwards, y);
        stroke(at, at.moved(Sp::ZERO, hook));
    }
}

#[cfg(test)]
mod tests {
    use crate::frame::{Ink, Item, Role};
    use crate::testing::picture;

    fn items(text: &str, role: Role) -> Vec<Item> {
        let items = picture(text).blocks.into_iter().flat_map(|block| block.frame.items);
        items.filter(|item| item.role == role).collect()
    }

    /// The upright lines of brackets on each staff, from the top.
    fn corners(text: &str) -> [usize; 2] {
        let brackets = items(text, Role::NoteBracket);
        [0, 1].map(|staff| {
            let upright = |item: &&Item| {
                let on_staff = item.of.is_some_and(|of| of.staff == staff);
                on_staff && matches!(item.ink, Ink::Line { from, to, .. } if from.x == to.x)
            };
            brackets.iter().filter(upright).count()
        })
    }

    const BLACK: &str = "voice A clef C1\n ratio 3:2 { sb A4 G A } ratio 1:1 br A\n\
                         voice B clef C1\n ratio 3:2 { sb F4 E F } ratio 1:1 br F\n\
                         voice F clef F4\n br D3 D\n";

    #[test]
    fn what_all_voices_of_a_staff_have_is_said_once() {
        assert_eq!(items(BLACK, Role::TupletFigure).len(), 1);
        assert_eq!(corners(BLACK), [4, 0], "of the figure and of the colour");
        let with_third = format!("{BLACK}voice C clef C1\n br D4 D\n");
        assert_eq!(items(&with_third, Role::TupletFigure).len(), 2);
        assert_eq!(corners(&with_third), [8, 0]);
    }

    /// The tenor's low notes can only be the left hand's.
    #[test]
    fn coloration_is_closed_on_both_staves() {
        let text = "voice A clef C1\n br B4 B\nvoice B clef C1\n br G4 G\n\
                    voice T clef C4\n sb A3 A { br E3 }\nvoice F clef F4\n br F2 D3\n";
        assert_eq!(corners(text), [0, 2]);
        let over = text.replace("sb A3 A { br E3 }", "sb A3 { A br E3 }");
        let [upper, lower] = corners(&over);
        assert_eq!((upper % 2, lower % 2), (0, 0));
        assert!(upper > 0 && lower > 0);
    }
}
