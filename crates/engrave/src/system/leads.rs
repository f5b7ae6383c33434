//! Where a voice goes over to the other hand in the middle of a phrase: a thin line from the last
//! head on the one staff to the first on the other (Gould, chapter on keyboard music; from memory).
//!
//! It takes a way past heads, accidentals, dots, rests and lines of others, and ends nearer to its own
//! heads than to theirs; where there is no such way, it is left out: a line through another head would
//! lead that one.

use crate::column::{Chord, y_of};
use crate::frame::{Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::practice::{STAFF, VOICE_LEAD};
use crate::units::{Area, Point, Sp};

use super::Workshop;
use super::voice_line::VoiceLine;

/// The white between the line and what it joins.
const CLEAR: Sp = Sp(0.25);

/// What a line through it would seem to lead.
const LEADING: [Role; 8] = [
    Role::Head,
    Role::Accidental,
    Role::Editorial,
    Role::Enclosure,
    Role::Dot,
    Role::Rest,
    Role::TupletFigure,
    Role::VoiceLead,
];

/// The white between the line and what it passes.
const NEAR: Sp = Sp(0.1);

/// The white between the end of a line and other heads than its own.
const NEAR_ITS_END: Sp = Sp(0.42);

/// How far beside the middle of a head a line may leave or arrive.
const ASIDE: Sp = Sp(0.45);

/// A line that would be shorter than this says nothing.
const SHORTEST: f64 = 0.5;

/// Draws the lines of a system whose staves have their places. Across the break of a system there
/// is none.
pub(super) fn draw(workshop: &Workshop<'_>, lines: &[VoiceLine], frame: &mut Frame) {
    let tops: Vec<Sp> = frame.staves.iter().map(|staff| staff.bottom - STAFF).collect();
    for line in lines {
        for pair in line.chords.windows(2) {
            let [from, to] = pair else { continue };
            if from.origin.staff != to.origin.staff && joined(workshop, from, to) {
                let way = way(from, to, (&tops, frame), workshop.signs);
                frame.items.extend(way.map(|(start, end)| {
                    let ink = Ink::Line { from: start, to: end, thickness: VOICE_LEAD };
                    Item { role: Role::VoiceLead, of: Some(to.origin), ink }
                }));
            }
        }
    }
}

/// Whether no rest parts two notes of a voice.
fn joined(workshop: &Workshop<'_>, from: &Chord, to: &Chord) -> bool {
    let origin = from.origin;
    let segment = &workshop.arrangement.bars[origin.bar].voices[origin.voice][origin.place];
    segment.end() == to.onset
}

/// The best of the ways for a line: straight from middle to middle, or leaving or arriving beside it. It
/// runs through no sign that it could seem to lead, and through as little else as there is.
fn way(
    from: &Chord,
    to: &Chord,
    (tops, frame): (&[Sp], &Frame),
    signs: &Signs,
) -> Option<(Point, Point)> {
    let down = from.origin.staff < to.origin.staff;
    let (start, start_area) = head(from, down, tops, signs)?;
    let (end, end_area) = head(to, !down, tops, signs)?;
    let around = start_area.and(end_area).grown(CLEAR, CLEAR);
    let in_the_way: Vec<(Passed, bool)> = frame
        .items
        .iter()
        .filter_map(|item| {
            let own = item.role != Role::VoiceLead
                && (item.of == Some(from.origin) || item.of == Some(to.origin));
            let leading = LEADING.contains(&item.role);
            let counts =
                leading || matches!(item.role, Role::Stem | Role::Flag | Role::NoteBracket);
            if own || !counts {
                return None;
            }
            let thing = match item.ink {
                Ink::Line { from, to, .. } if leading => Passed::Line(from, to),
                _ => Passed::Area(item.area(signs)?, item.role == Role::Head),
            };
            let same_head = matches!(thing, Passed::Area(area, true)
                if area.contains(start) || area.contains(end));
            (!same_head && thing.area().meets(around)).then_some((thing, leading))
        })
        .collect();
    let aside = [Sp::ZERO, ASIDE, -ASIDE];
    let ways = aside.into_iter().flat_map(|leave| aside.map(|arrive| (leave, arrive)));
    let ways = ways.filter_map(|(leave, arrive)| {
        let start = (start.moved(leave, Sp::ZERO), start_area);
        ends(start, (end.moved(arrive, Sp::ZERO), end_area), to, tops, signs)
    });
    let hits = |(start, end): (Point, Point), which: bool| {
        let things = in_the_way.iter().filter(|(_, leading)| *leading == which);
        things.filter(|(thing, _)| thing.is_met(start, end)).count()
    };
    let free = ways.filter(|way| hits(*way, true) == 0).map(|way| (hits(way, false), way));
    free.reduce(|best, next| if next.0 < best.0 { next } else { best }).map(|(_, way)| way)
}

/// What a line passes: another line, or a sign in its rectangle, which may be a head.
#[derive(Clone, Copy)]
enum Passed {
    Line(Point, Point),
    Area(Area, bool),
}

impl Passed {
    fn area(self) -> Area {
        match self {
            Passed::Line(from, to) => Area::EMPTY.with(from).with(to),
            Passed::Area(area, _) => area,
        }
    }

    /// Whether a line from one point to another runs through it, or ends at it if it is a head.
    fn is_met(self, from: Point, to: Point) -> bool {
        match self {
            Passed::Line(start, end) => cross([from, to], [start, end]),
            Passed::Area(area, is_head) => {
                let near = area.grown(NEAR_ITS_END, NEAR_ITS_END);
                runs_through(from, to, area.grown(NEAR, NEAR))
                    || (is_head && (near.contains(from) || near.contains(to)))
            }
        }
    }
}

/// Whether two straight lines have a point in common.
pub(crate) fn cross([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let turn = |from: Point, to: Point, other: Point| {
        (to.x - from.x).0 * (other.y - from.y).0 - (to.y - from.y).0 * (other.x - from.x).0
    };
    turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
}

/// Whether a straight line has a point in an area.
fn runs_through(from: Point, to: Point, area: Area) -> bool {
    // The parts of the way at which it is between two sides, each from one to the other.
    let between = |from: Sp, to: Sp, low: Sp, high: Sp| {
        let way = (to - from).0;
        if way == 0.0 {
            let inside = low <= from && from <= high;
            return if inside { (0.0, 1.0) } else { (1.0, 0.0) };
        }
        let (one, two) = ((low - from).0 / way, (high - from).0 / way);
        (one.min(two), one.max(two))
    };
    let across = between(from.x, to.x, area.left, area.right);
    let along = between(from.y, to.y, area.top, area.bottom);
    across.0.max(along.0).max(0.0) <= across.1.min(along.1).min(1.0)
}

/// Where a line from head to head begins and ends.
fn ends(
    (start, start_area): (Point, Area),
    (end, mut end_area): (Point, Area),
    to: &Chord,
    tops: &[Sp],
    signs: &Signs,
) -> Option<(Point, Point)> {
    // What stands before the note is joined with it.
    let top = tops[to.origin.staff];
    for sign in &to.accidentals {
        let area = sign.area(signs).moved(Sp::ZERO, top);
        if area.top <= end.y && area.bottom >= end.y {
            end_area = end_area.and(area);
        }
    }
    let length = (end.x - start.x).0.hypot((end.y - start.y).0);
    let at = |way: f64| {
        let part = way / length;
        Point::new(start.x + (end.x - start.x) * part, start.y + (end.y - start.y) * part)
    };
    let leaves = beyond(start, end, start_area) + CLEAR.0;
    let arrives = length - beyond(end, start, end_area) - CLEAR.0;
    (arrives - leaves >= SHORTEST).then(|| (at(leaves), at(arrives)))
}

/// The head of a note that is nearest to the other staff: its middle and its rectangle.
fn head(chord: &Chord, down: bool, tops: &[Sp], signs: &Signs) -> Option<(Point, Area)> {
    let head = if down { chord.heads.first() } else { chord.heads.last() }?;
    let y = tops[chord.origin.staff] + y_of(head.place);
    let area = signs.area(chord.head).moved(head.x, y);
    Some((Point::new(head.x + chord.width / 2.0, y), area))
}

/// How far it is from a point to where the way to another leaves a rectangle around the first.
fn beyond(from: Point, to: Point, area: Area) -> f64 {
    let (across, along) = ((to.x - from.x).0, (to.y - from.y).0);
    let part = |way: f64, room: Sp| if way == 0.0 { f64::INFINITY } else { room.0 / way.abs() };
    let sideways =
        part(across, if across > 0.0 { area.right - from.x } else { from.x - area.left });
    let upright = part(along, if along > 0.0 { area.bottom - from.y } else { from.y - area.top });
    sideways.min(upright) * across.hypot(along)
}

#[cfg(test)]
mod tests {
    use super::runs_through;
    use crate::frame::{Ink, Item, Role};
    use crate::testing::picture;
    use crate::units::{Area, Point, Sp};

    /// The lines of a piece.
    fn leads(text: &str) -> Vec<Item> {
        let items = picture(text).blocks.into_iter().flat_map(|block| block.frame.items);
        items.filter(|item| item.role == Role::VoiceLead).collect()
    }

    /// The line runs from the lower left to the upper right.
    #[test]
    fn a_line_runs_through_what_lies_on_its_way() {
        let (from, to) = (Point::new(Sp(0.0), Sp(4.0)), Point::new(Sp(4.0), Sp(0.0)));
        let square = |x: f64, y: f64| Area::new(Sp(x), Sp(y), Sp(x + 1.0), Sp(y + 1.0));
        assert!(runs_through(from, to, square(1.5, 1.5)));
        assert!(!runs_through(from, to, square(0.5, 0.5)));
        assert!(!runs_through(from, to, square(4.5, -1.5)), "behind its end");
    }

    /// The tenor's low E can only be the left hand's.
    const LED: &str = "voice A clef C1\n br B4 B\nvoice B clef C1\n br G4 G\n\
                       voice T clef C4\n br A3 E\nvoice F clef F4\n br F2 D3\n";

    #[test]
    fn a_voice_is_led_to_the_other_hand() {
        let leads = leads(LED);
        let [Item { of: Some(of), ink: Ink::Line { from, to, .. }, .. }] = leads.as_slice() else {
            panic!("{leads:#?}")
        };
        assert_eq!((of.voice, of.index, of.staff), (2, Some(2), 1));
        assert!(from.x < to.x && from.y < to.y);
    }

    #[test]
    fn after_a_rest_it_begins_anew() {
        assert_eq!(leads(&LED.replace("br A3 E", "sb A3 _ br E")), []);
    }
}
