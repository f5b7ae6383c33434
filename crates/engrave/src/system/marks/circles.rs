//! Circles round notes. What belongs to other notes and stands too near is not run over, but for their
//! stems, ties and lines: there the circle is open.

use std::f64::consts::FRAC_PI_2;

use crate::frame::{Ink, Origin, Role};
use crate::outline::Outline;
use crate::practice::AROUND_MARKED;
use crate::strokes::{Pen, along};
use crate::system::beams;
use crate::system::brackets::Member;
use crate::system::draft::StaffDraft;
use crate::units::{Area, Point, Sp};

/// White between a circle and what it must not touch.
const WHITE: Sp = Sp(0.08);

/// Accidentals and dots of a note are no farther from it.
const BESIDE: Sp = Sp(8.0);

/// Points of a quarter of a circle.
const QUARTER: u32 = 12;

/// Between points of its straight parts.
const STEP: f64 = 0.12;

/// Something on a staff.
#[derive(Clone, Copy)]
struct Thing {
    area: Area,
    of: Option<Origin>,
    role: Role,
}

/// All that stands on the staves of a system.
pub(super) struct Surroundings(Vec<Staff>);

/// From left to right.
#[derive(Default)]
struct Staff {
    things: Vec<Thing>,
    widest: Sp,
}

impl Surroundings {
    pub(super) fn of(drafts: &[StaffDraft<'_>]) -> Surroundings {
        Surroundings(drafts.iter().map(Staff::of).collect())
    }

    /// The circle round a note, or round a rest whose place is known: round its heads with all
    /// accidentals and dots, and outside of the circles that it has. Nothing where there is nothing.
    pub(super) fn circle(
        &mut self,
        member: &Member,
        rest: Option<Area>,
        pen: Pen,
    ) -> Option<Outline> {
        let origin = member.origin;
        let staff = &mut self.0[origin.staff];
        let column = Area::new(member.left, Sp(f64::NEG_INFINITY), member.right, Sp(f64::INFINITY));
        let own = staff.near(column.grown(BESIDE, Sp::ZERO));
        let own = own.filter(|thing| thing.of == Some(origin) && is_circled(thing.role));
        let own: Vec<&Thing> = own.collect();
        // Heads are round, but a sign before them may have something in every corner.
        let is_round = own.iter().all(|thing| matches!(thing.role, Role::Head | Role::Rest));
        let areas = own.iter().map(|thing| thing.area);
        let inside = areas.chain(rest).reduce(Area::and)?;
        let path = |white: Sp| {
            let half = white + pen.thickness / 2.0;
            let least = WHITE + pen.thickness / 2.0;
            let roundest = if is_round { Sp(f64::INFINITY) } else { roundest(half, least) };
            round(inside.grown(half, half), roundest)
        };
        let free = |point: &Point| {
            let around = Area::new(point.x, point.y, point.x, point.y);
            let reach = WHITE + pen.thickness / 2.0;
            let mut things = staff.near(around.grown(reach, reach));
            things.all(|thing| thing.of == Some(origin) && is_circled(thing.role))
        };
        // The first that need not be opened; else the one of which the most is drawn.
        let mut best: Option<(f64, Vec<Point>)> = None;
        for white in AROUND_MARKED {
            let points = path(white);
            let drawn = points.iter().filter(|point| free(point)).count();
            let whole = drawn == points.len();
            let around = points.iter().copied().fold(Area::EMPTY, Area::with);
            let length = (around.width() + around.height()).0 * drawn as f64 / points.len() as f64;
            if whole || best.as_ref().is_none_or(|(other, _)| length > *other) {
                best = Some((length, points));
            }
            if whole {
                break;
            }
        }
        let (_, points) = best?;
        let outline = along(&points, pen.finer(), |point| free(&point));
        let area = points.into_iter().fold(Area::EMPTY, Area::with);
        let area = area.grown(pen.thickness / 2.0, pen.thickness / 2.0);
        staff.add(Thing { area, of: Some(origin), role: Role::MarkCircle });
        Some(outline)
    }
}

impl Staff {
    fn of(draft: &StaffDraft<'_>) -> Staff {
        let mut staff = Staff::default();
        for item in &draft.items {
            let (of, role) = (item.of, item.role);
            match (role, &item.ink) {
                (Role::Beam, Ink::Shape(outline)) => {
                    let slices = beams::slices(outline).into_iter();
                    staff.things.extend(slices.map(|area| Thing { area, of, role }));
                }
                _ if is_circled(role) || role == Role::Flag => {
                    let area = item.area(draft.signs);
                    staff.things.extend(area.map(|area| Thing { area, of, role }));
                }
                _ => {}
            }
        }
        staff.things.sort_by(|one, two| one.area.left.0.total_cmp(&two.area.left.0));
        let widths = staff.things.iter().map(|thing| thing.area.width());
        staff.widest = widths.fold(Sp::ZERO, Sp::max);
        staff
    }

    fn add(&mut self, thing: Thing) {
        let place = self.things.partition_point(|other| other.area.left < thing.area.left);
        self.things.insert(place, thing);
        self.widest = self.widest.max(thing.area.width());
    }

    /// What meets a place.
    fn near(&self, place: Area) -> impl Iterator<Item = &Thing> {
        let first = self.things.partition_point(|other| other.area.left < place.left - self.widest);
        let things = self.things[first..].iter();
        things
            .take_while(move |thing| thing.area.left < place.right)
            .filter(move |thing| thing.area.meets(place))
    }
}

/// What a circle goes round; what another note has of it is not run over.
fn is_circled(role: Role) -> bool {
    matches!(
        role,
        Role::Head
            | Role::Rest
            | Role::Accidental
            | Role::Editorial
            | Role::Enclosure
            | Role::Dot
            | Role::MarkCircle
    )
}

/// The largest radius of a corner that goes round another corner, so far outside of its edges, and stays
/// so far from it.
fn roundest(outside: Sp, least: Sp) -> Sp {
    let root = std::f64::consts::SQRT_2;
    ((outside * root - least) / (root - 1.0)).max(outside)
}

/// The points of a closed line round a rectangle, as round as it may be: a circle round a square,
/// unless corners of a smaller radius are asked for.
fn round(area: Area, roundest: Sp) -> Vec<Point> {
    let radius = (area.width() / 2.0).min(area.height() / 2.0).min(roundest);
    let (left, right) = (area.left + radius, area.right - radius);
    let (top, bottom) = (area.top + radius, area.bottom - radius);
    let mut points: Vec<Point> = Vec::new();
    // Clockwise, from the left end of the upper edge.
    for (number, (x, y)) in
        [(right, top), (right, bottom), (left, bottom), (left, top)].into_iter().enumerate()
    {
        let begin = FRAC_PI_2 * (number as f64 - 1.0);
        for step in 0..=QUARTER {
            let angle = begin + FRAC_PI_2 * f64::from(step) / f64::from(QUARTER);
            let point = Point::new(x + radius * angle.cos(), y + radius * angle.sin());
            straight(&mut points, point);
        }
    }
    if let Some(first) = points.first().copied() {
        straight(&mut points, first);
    }
    points
}

/// Adds the points of a straight line to its end.
fn straight(points: &mut Vec<Point>, to: Point) {
    let Some(from) = points.last().copied() else {
        points.push(to);
        return;
    };
    let (across, down) = (to.x - from.x, to.y - from.y);
    let steps = (across.0.hypot(down.0) / STEP).ceil().max(1.0) as u32;
    points.extend((1..steps).map(|step| {
        let part = f64::from(step) / f64::from(steps);
        from.moved(across * part, down * part)
    }));
    points.push(to);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_has_a_circle_round_it() {
        let points = round(Area::new(Sp(-1.0), Sp(-1.0), Sp(1.0), Sp(1.0)), Sp(9.0));
        assert_eq!(points.first(), points.last());
        assert!(points.iter().all(|point| (point.x.0.hypot(point.y.0) - 1.0).abs() < 0.01));
    }

    #[test]
    fn a_corner_stays_clear() {
        let (outside, least) = (Sp(0.5), Sp(0.2));
        let area = Area::new(Sp(-2.0), Sp(-2.0), Sp(2.0), Sp(2.0));
        let corner = Point::new(area.right - outside, area.bottom - outside);
        let far = |point: &Point| (point.x - corner.x).0.hypot((point.y - corner.y).0);
        let nearest =
            |roundest: Sp| round(area, roundest).iter().map(far).fold(f64::INFINITY, f64::min);
        assert!((nearest(roundest(outside, least)) - least.0).abs() < 0.01);
        assert!(nearest(Sp(2.0)) < least.0);
    }

    #[test]
    fn a_long_thing_has_straight_sides() {
        let area = Area::new(Sp::ZERO, Sp::ZERO, Sp(6.0), Sp(2.0));
        let points = round(area, Sp(9.0));
        let around = points.iter().copied().fold(Area::EMPTY, Area::with);
        assert!((around.width() - Sp(6.0)).abs() < Sp(1e-9));
        assert!(
            points
                .windows(2)
                .all(|pair| { (pair[1].x - pair[0].x).0.hypot((pair[1].y - pair[0].y).0) < 0.2 })
        );
        assert!(points.iter().filter(|point| point.y.0.abs() < 1e-9).count() > 20);
    }
}
