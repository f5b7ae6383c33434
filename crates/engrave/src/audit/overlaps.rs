//! Things that run into each other.

use super::{FindingKind, finding};
use crate::audit::Finding;
use crate::frame::{Block, Ink, Item, Role};
use crate::glyphs::{Sign, Signs};
use crate::outline::Outline;
use crate::units::{Area, Point, Sp};

/// An item with what is compared.
struct Body<'i> {
    item: &'i Item,
    area: Area,
    /// For ties: the points along it; for slanted beams, their corners are enough.
    points: Vec<Point>,
    /// Whether it is a round head, which fills its rectangle but for the corners.
    oval: bool,
}

impl Body<'_> {
    fn holds(&self, point: Point) -> bool {
        if self.oval {
            return Body::away(self.area, point.x, point.y) < 1.0;
        }
        self.area.contains(point)
    }

    /// How far a point is from the middle of an area, where 1 is the oval that fills it.
    fn away(area: Area, x: Sp, y: Sp) -> f64 {
        let across = (x - (area.left + area.right) / 2.0) / (area.width() / 2.0);
        let down = (y - (area.top + area.bottom) / 2.0) / (area.height() / 2.0);
        across.hypot(down)
    }

    /// Whether its oval has a part in common with another body.
    fn oval_meets(&self, other: &Body<'_>) -> bool {
        let (x, y) = (
            (other.area.left + other.area.right) / 2.0,
            (other.area.top + other.area.bottom) / 2.0,
        );
        if other.oval {
            // Two ovals meet where the middle of one lies in the other, grown by its half.
            let grown = self.area.grown(other.area.width() / 2.0, other.area.height() / 2.0);
            return Body::away(grown, x, y) < 1.0;
        }
        // The point of a rectangle that is nearest to the middle of the oval.
        let middle = |from: Sp, to: Sp| (from + to) / 2.0;
        let x = middle(self.area.left, self.area.right).max(other.area.left).min(other.area.right);
        let y = middle(self.area.top, self.area.bottom).max(other.area.top).min(other.area.bottom);
        Body::away(self.area, x, y) < 1.0
    }
}

fn body<'i>(item: &'i Item, signs: &Signs) -> Option<Body<'i>> {
    let area = item.area(signs)?;
    // What is hollow may come closer than its rectangle.
    let area = match item.role {
        // A head fills its space, so that heads a third apart touch; the strokes of a breve are
        // looked at by themselves.
        Role::Head => {
            let high = (area.height() / 2.0 - Sp(0.48)).max(Sp::ZERO);
            area.grown(Sp(-0.02), -high)
        }
        Role::Accidental | Role::Editorial | Role::Rest => area.grown(Sp(-0.05), Sp(-0.05)),
        Role::Flag => area.grown(Sp(-0.12), Sp(-0.15)),
        Role::Dot => area.grown(Sp(-0.03), Sp(-0.03)),
        Role::Stem => area.grown(Sp::ZERO, Sp(-0.12)),
        Role::StaffLine
        | Role::LedgerLine
        | Role::VoiceLead
        | Role::SystemBracket
        | Role::Incipit
        | Role::VoiceName
        | Role::Title
        | Role::Heading
        | Role::Note
        | Role::PageHead
        | Role::PlanBand
        | Role::PlanLine => return None,
        _ => area.grown(Sp(-0.02), Sp(-0.02)),
    };
    let points = match (item.role, &item.ink) {
        (Role::Tie | Role::Beam, Ink::Shape(shape)) => along(shape, item.role),
        // A circle is hollow.
        (Role::MarkCircle, Ink::Shape(shape) | Ink::Painted(shape, _)) => shape.points(0),
        _ => Vec::new(),
    };
    let oval = item.role == Role::Head
        && !matches!(
            item.ink,
            Ink::Sign {
                sign: Sign::HeadBreve
                    | Sign::HeadBreveAmongOthers
                    | Sign::HeadLonga
                    | Sign::HeadMaxima,
                ..
            }
        );
    Some(Body { item, area, points, oval })
}

/// Points inside a tie or a beam, close enough to find every head.
fn along(shape: &Outline, role: Role) -> Vec<Point> {
    if role == Role::Tie {
        return shape.points(15);
    }
    let corners = shape.points(0);
    let [left_top, right_top, .., left_bottom] = corners.as_slice() else { return corners };
    let count = ((right_top.x - left_top.x).0 / 0.3).ceil().max(1.0) as u32;
    let height = left_bottom.y - left_top.y;
    (0..=count)
        .flat_map(|step| {
            let part = f64::from(step) / f64::from(count);
            let top = Point::new(
                left_top.x + (right_top.x - left_top.x) * part,
                left_top.y + (right_top.y - left_top.y) * part,
            );
            [0.05, 0.5, 0.95].map(|down| top.moved(Sp::ZERO, height * down))
        })
        .collect()
}

/// Finds all of a block.
pub(super) fn find(block: &Block, signs: &Signs, findings: &mut Vec<Finding>) {
    let mut bodies: Vec<Body<'_>> =
        block.frame.items.iter().filter_map(|item| body(item, signs)).collect();
    bodies.sort_by(|one, two| one.area.left.0.total_cmp(&two.area.left.0));
    let mut open: Vec<usize> = Vec::new();
    for place in 0..bodies.len() {
        let left = bodies[place].area.left;
        open.retain(|other| bodies[*other].area.right > left);
        for other in &open {
            let (one, two) = (&bodies[*other], &bodies[place]);
            if one.area.meets(two.area) && collide(one, two) && !intended(one, two, &bodies) {
                let (one, two) =
                    if one.item.role <= two.item.role { (one, two) } else { (two, one) };
                findings.push(finding(FindingKind::Overlap, block, &[one.item, two.item]));
            }
        }
        open.push(place);
    }
}

/// Whether two whose rectangles meet really do, as far as their shapes tell.
fn collide(one: &Body<'_>, two: &Body<'_>) -> bool {
    let within =
        |curve: &Body<'_>, other: &Body<'_>| curve.points.iter().any(|point| other.holds(*point));
    match (one.points.is_empty(), two.points.is_empty()) {
        (true, true) if one.oval => one.oval_meets(two),
        (true, true) if two.oval => two.oval_meets(one),
        (true, true) => true,
        (false, true) => within(one, two),
        (true, false) => within(two, one),
        (false, false) if one.item.role == Role::MarkCircle => circle_meets(one, two),
        (false, false) if two.item.role == Role::MarkCircle => circle_meets(two, one),
        // Ties and beams among themselves may cross.
        (false, false) => false,
    }
}

/// Whether a circle runs over a beam, or over another circle.
fn circle_meets(circle: &Body<'_>, other: &Body<'_>) -> bool {
    /// Points of two circles that are nearer than this are on both.
    const NEAR: f64 = 0.08;
    let distance = |one: &Point, two: &Point| (one.x - two.x).0.hypot((one.y - two.y).0);
    match (&other.item.ink, other.item.role) {
        (Ink::Shape(shape), Role::Beam) => circle.points.iter().any(|point| in_beam(shape, *point)),
        _ => circle
            .points
            .iter()
            .any(|point| other.points.iter().any(|there| distance(point, there) < NEAR)),
    }
}

fn in_beam(shape: &Outline, point: Point) -> bool {
    let corners = shape.points(0);
    let [left, right, .., under] = corners.as_slice() else { return false };
    let part = (point.x - left.x) / (right.x - left.x).max(Sp(0.01));
    let top = left.y + (right.y - left.y) * part;
    (0.0..=1.0).contains(&part) && top < point.y && point.y < top + (under.y - left.y)
}

/// Whether two things are meant to touch.
fn intended(one: &Body<'_>, two: &Body<'_>, bodies: &[Body<'_>]) -> bool {
    use Role::{
        BarLine, Beam, Figure, Flag, Head, MarkCircle, MarkWords, Meter, NoteBracket, PeriodSign,
        PlanEntry, ReadingBracket, Shade, Stem, Tie, Words,
    };
    let (first, second) = if one.item.role <= two.item.role { (one, two) } else { (two, one) };
    let same_note = first.item.of.is_some() && first.item.of == second.item.of;
    let voice = |body: &Body<'_>| body.item.of.map(|origin| origin.voice);
    match (first.item.role, second.item.role) {
        (Head, Head) => coincide(first, second),
        // Lines between the staves may be crossed, but they do not cross what a mark says.
        // What is shaded lies behind all else, but one shade on another would be darker.
        (Shade, other) => other != Shade,
        (BarLine, Figure) => !matches!(second.item.ink, Ink::Letters { .. }),
        (BarLine, other) => other != MarkWords,
        // A stem belongs to all heads at which it may begin.
        (Head, Stem) => same_note || shares_stem(first, second, bodies),
        (Stem, Stem) => (first.area.left - second.area.left).abs() < Sp(0.02),
        (Stem, Flag) => same_note || (first.area.left - second.area.left).abs() < Sp(0.3),
        // The lines of a pattern, and those of a bracket.
        (PlanEntry, PlanEntry)
        | (ReadingBracket, ReadingBracket)
        // Lines may cross lines.
        | (Stem | Beam | Flag | Tie, Tie)
        | (Stem | Beam, Beam)
        | (Stem | Tie, MarkCircle)
        | (Beam, Flag)
        // Figures and signs that are one sign.
        | (Meter, Meter)
        | (PeriodSign, PeriodSign) => true,
        // A tie begins and ends at notes of its voice, or at heads that others share with it.
        (_, Tie) if voice(first) == voice(second) => true,
        (Head, Tie) => bodies.iter().any(|body| {
            body.item.role == Head && voice(body) == voice(second) && coincide(body, first)
        }),
        // Corners of one bracket.
        (NoteBracket, NoteBracket) => same_note,
        (Words, Words) => is_sign_part(first) || is_sign_part(second),
        _ => false,
    }
}

/// Whether it is part of a sign of mensuration, which is made of several.
fn is_sign_part(body: &Body<'_>) -> bool {
    !matches!(body.item.ink, Ink::Letters { .. })
}

/// Whether two heads are one for two voices.
fn coincide(one: &Body<'_>, two: &Body<'_>) -> bool {
    match (&one.item.ink, &two.item.ink) {
        (Ink::Sign { sign, at, .. }, Ink::Sign { sign: other, at: there, .. }) => {
            sign == other && (at.x - there.x).abs() < Sp(0.01) && (at.y - there.y).abs() < Sp(0.01)
        }
        _ => false,
    }
}

/// Whether a head hangs on a stem of another voice: its own stem stands there too, or the head is
/// also that of the stem's note.
fn shares_stem(head: &Body<'_>, stem: &Body<'_>, bodies: &[Body<'_>]) -> bool {
    bodies.iter().any(|other| {
        let of_head = other.item.of == head.item.of && other.item.role == Role::Stem;
        let of_stem = other.item.of == stem.item.of && other.item.role == Role::Head;
        (of_head && (other.area.left - stem.area.left).abs() < Sp(0.02) && ends_alike(other, stem))
            || (of_stem && coincide(other, head))
    })
}

/// Whether two stems end together.
fn ends_alike(one: &Body<'_>, two: &Body<'_>) -> bool {
    match (&one.item.ink, &two.item.ink) {
        (Ink::Line { to, .. }, Ink::Line { to: other, .. }) => (to.y - other.y).abs() < Sp(0.02),
        _ => false,
    }
}
