//! Ties: curved to the side of their voice, clear of foreign heads, and, where there is a choice, of
//! foreign stems and of other ties.

use crate::column::{Chord, y_of};
use crate::outline::{Outline, Stroke, on_curve};
use crate::practice::{TIE_ENDS, TIE_THICKNESS};
use crate::units::{Area, Point, Sp};

/// How far a tie may end from the place beside its head.
const FARTHEST_END: Sp = Sp(0.84);

/// The white between the middle of a tie and what it passes: what it should be, and where it only does
/// not touch.
const WHITE: [Sp; 2] = [Sp(0.12), Sp(0.0)];

/// The white to another tie, from where the two seem to be one.
const BESIDE_TIE: Sp = Sp(0.22);

/// A tie as an arc.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arc {
    from: Point,
    to: Point,
    /// How high it rises, upwards if negative.
    rise: Sp,
}

/// Where a tie begins and ends: at the heads of two notes, or at the end of the system.
pub(super) struct Ends<'c> {
    /// The note from which it comes, if it stands in this system.
    pub(super) before: Option<&'c Chord>,
    /// The note to which it goes.
    pub(super) after: Option<&'c Chord>,
    /// The place of the tied heads.
    pub(super) place: i32,
    /// From where to where the system has room for music.
    pub(super) room: (Sp, Sp),
    /// Where accidentals begin that stand before the note to which it goes, and others with it.
    pub(super) accidentals: Option<Sp>,
}

/// Whether the tie of a head is curved upwards: of several heads of one voice on a stem, the upper
/// ones have them above.
pub(super) fn is_upwards(chord: &Chord, place: i32) -> bool {
    if chord.heads.len() == 1 {
        return chord.ties_up;
    }
    let rank = chord.heads.iter().position(|head| head.place == place).unwrap_or(0);
    2 * rank >= chord.heads.len()
}

impl Ends<'_> {
    /// The arc that runs into the fewest of the obstacles, then of other ties; of those that run into
    /// none, one of moderate height that crosses the fewest stems. And whether it runs into none.
    pub(super) fn arc(
        &self,
        upwards: bool,
        obstacles: &[Area],
        ties: &[Area],
        stems: &[Area],
    ) -> Option<(Arc, bool)> {
        self.before.or(self.after)?;
        let is_clear = |[obstacles, ties, _]: [usize; 3]| obstacles + ties == 0;
        let mut best: Option<([usize; 3], Arc)> = None;
        for white in WHITE {
            for (rank, (side, start, height)) in attempts(upwards).enumerate() {
                if rank >= MODERATE && best.is_some_and(|(hits, _)| is_clear(hits)) {
                    break;
                }
                let arc = self.attempt(side, start, height, obstacles);
                let mut hits = [arc.hits(obstacles, white), 0, 0];
                if hits[0] == 0 {
                    hits = [0, arc.hits(ties, BESIDE_TIE), arc.hits(stems, WHITE[0])];
                }
                if hits == [0; 3] {
                    return Some((arc, true));
                }
                if best.is_none_or(|(least, _)| hits < least) {
                    best = Some((hits, arc));
                }
            }
            if best.is_some_and(|(hits, _)| is_clear(hits)) {
                break;
            }
        }
        best.map(|(hits, arc)| (arc, is_clear(hits)))
    }

    /// The arc on a side, so many times as high as usual.
    fn attempt(&self, upwards: bool, start: Start, height: f64, obstacles: &[Area]) -> Arc {
        let inside = matches!(
            start,
            Start::Beside | Start::Behind | Start::Short | Start::ShortFlat | Start::ShortSlanting
        );
        let slanting = matches!(start, Start::Leaving | Start::Arriving);
        let sign = if upwards { -1.0 } else { 1.0 };
        let head = y_of(self.place);
        let mut from = (self.room.0, false);
        let mut to = (self.room.1, false);
        if let Some(chord) = self.before {
            let x = head_x(chord, self.place);
            let right = x + chord.width;
            let dot = chord.dots.iter().map(|(x, _)| *x + Sp(0.5)).fold(right, Sp::max);
            // A stem on this side stands in the way.
            let stem = chord.stem.is_some() && chord.up && upwards;
            from = if chord.dotted {
                (dot, true)
            } else if stem || inside || matches!(start, Start::Flat | Start::Leaving) {
                (right + Sp(0.15), true)
            } else {
                (right - chord.width * 0.3, false)
            };
        }
        if let Some(chord) = self.after {
            let x = head_x(chord, self.place);
            let stem = chord.stem.is_some() && !chord.up && !upwards;
            to = if stem || inside || matches!(start, Start::Flat | Start::Arriving) {
                (x - Sp(0.15), true)
            } else {
                (x + chord.width * 0.3, false)
            };
        }
        let low = (from.1 || to.1) && !slanting;
        let off = match start {
            Start::Far => Sp(1.0),
            Start::Farther => Sp(1.6),
            Start::Flat | Start::ShortFlat | Start::ShortSlanting => Sp(0.1),
            _ if low => Sp(0.3),
            _ => Sp(0.62),
        };
        if low {
            // Both ends at one height, beside the heads.
            if let (Some(chord), false) = (self.before, from.1) {
                from.0 = head_x(chord, self.place) + chord.width + Sp(0.1);
            }
            if let (Some(chord), false) = (self.after, to.1) {
                to.0 = head_x(chord, self.place) - Sp(0.1);
            }
        }
        let y = head + off * sign;
        let short = matches!(start, Start::Short | Start::ShortFlat | Start::ShortSlanting);
        if short || start == Start::Behind {
            let (band, far) = if short { (Sp(1.6), Sp(9.0)) } else { (Sp(0.6), Sp(0.6)) };
            // Behind the heads that stand aside of its own, before the accidentals of the next; but
            // never so far from the own heads that it does not arrive there.
            let (first, last) = (from.0, to.0);
            let beside = |area: &&Area| area.top < y + band && y - band < area.bottom;
            for area in obstacles.iter().filter(beside) {
                let middle = (from.0 + to.0) / 2.0;
                if area.left < from.0 + far && area.right > from.0 && area.right < middle {
                    from.0 = area.right + Sp(0.12);
                }
            }
            for area in obstacles.iter().rev().filter(beside) {
                let middle = (from.0 + to.0) / 2.0;
                if area.right > to.0 - far && area.left < to.0 && area.left > middle {
                    to.0 = area.left - Sp(0.12);
                }
            }
            // Of two heads at one height, a tie of either begins behind both.
            let level = |area: &&Area| ((area.top + area.bottom) / 2.0 - head).abs() < Sp(0.05);
            let beside = |area: &&Area| area.left < first + Sp(0.2) && first < area.right;
            let pair = obstacles.iter().filter(level).find(beside).filter(|_| short);
            from.0 = from.0.min(pair.map_or(first, |other| other.right) + FARTHEST_END);
            // As the last resort, a tie stops before accidentals (Gould, from memory).
            let accidentals = self.accidentals.filter(|_| short);
            let last = accidentals.map_or(last, |accidentals| accidentals.min(last));
            to.0 = to.0.max(last - FARTHEST_END);
        }
        let length = (to.0 - from.0).max(Sp(0.3));
        let usual = (Sp(0.32) + length * 0.08).min(Sp(1.2));
        // Even the shortest is flatter than a half circle.
        let rise = (usual * height).min(length * 0.4).max(Sp(0.15)) * sign;
        let end = if start == Start::ShortSlanting { head + Sp(0.5) * sign } else { y };
        Arc { from: Point::new(from.0, y), to: Point::new(from.0 + length, end), rise }
    }
}

/// Where a tie begins and ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Start {
    /// Where it is best seen: above or below the heads, or beside a stem.
    Usual,
    /// Beside the heads.
    Beside,
    /// Beside the first head, over the second.
    Leaving,
    /// Over the first head, beside the second.
    Arriving,
    /// Beside the heads, nearly at the height of their middle.
    Flat,
    /// Farther off.
    Far,
    /// Still farther.
    Farther,
    /// Beside what stands beside the heads.
    Behind,
    /// Only where nothing stands: the last resort.
    Short,
    /// The same, nearly at the height of the heads' middle.
    ShortFlat,
    /// The same, and at the edge of the second head.
    ShortSlanting,
}

/// So many of the attempts, those of a moderate height, are good enough to spare a stem.
const MODERATE: usize = 70;

/// All ways to draw a tie, the best first: on its own side at a moderate height, then on the other,
/// and only then flat or steep.
fn attempts(upwards: bool) -> impl Iterator<Item = (bool, Start, f64)> {
    let on = |side: bool, heights: &'static [f64]| {
        let starts = [
            Start::Usual,
            Start::Beside,
            Start::Leaving,
            Start::Arriving,
            Start::Far,
            Start::Flat,
            Start::Behind,
        ];
        starts
            .into_iter()
            .flat_map(move |start| heights.iter().map(move |height| (side, start, *height)))
    };
    let moderate = &[1.0, 0.75, 1.3, 0.5, 1.7];
    let extreme = &[0.2, 2.3, 3.0];
    on(upwards, moderate)
        .chain(on(!upwards, moderate))
        .chain(on(upwards, extreme))
        .chain(on(!upwards, extreme))
        .chain(fine(upwards))
        .chain(fine(!upwards))
        .chain([upwards, !upwards].into_iter().flat_map(|side| {
            let starts = [Start::Short, Start::ShortFlat, Start::ShortSlanting];
            starts.into_iter().flat_map(move |start| FINE.map(|height| (side, start, height)))
        }))
}

/// Heights close to one another, for where little room is left.
const FINE: [f64; 10] = [1.0, 0.5, 0.2, 0.9, 1.15, 0.7, 1.5, 0.35, 2.0, 0.1];

/// All ways to draw a tie on a side, at all heights.
fn fine(side: bool) -> impl Iterator<Item = (bool, Start, f64)> {
    let starts =
        [Start::Usual, Start::Leaving, Start::Arriving, Start::Beside, Start::Far, Start::Farther];
    starts.into_iter().flat_map(move |start| FINE.map(|height| (side, start, height)))
}

fn head_x(chord: &Chord, place: i32) -> Sp {
    let head = chord.heads.iter().find(|head| head.place == place);
    head.map_or(chord.x, |head| head.x)
}

impl Arc {
    /// The curve along its middle, its ends moved by `thick` outwards in the middle.
    fn curve(&self, more: Sp) -> [Point; 4] {
        let length = self.to.x - self.from.x;
        // A cubic curve reaches three quarters of its control points' height.
        let height = (self.rise + more) * (4.0 / 3.0);
        let inset = (length * 0.28).min(Sp(2.2));
        [self.from, self.from.moved(inset, height), self.to.moved(-inset, height), self.to]
    }

    /// Whether some of it lies between two places.
    pub(super) fn is_between(&self, left: Sp, right: Sp) -> bool {
        self.to.x > left && self.from.x < right
    }

    /// Whether it leaves no white to another tie.
    pub(super) fn merges(&self, other: &Arc) -> bool {
        self.hits(&other.slices().collect::<Vec<Area>>(), BESIDE_TIE) > 0
    }

    /// How many of the obstacles it runs into; with no white, its ink alone counts.
    fn hits(&self, obstacles: &[Area], white: Sp) -> usize {
        let points: Vec<Point> = if white > Sp::ZERO {
            let curve = self.curve(Sp::ZERO);
            (0..=32).map(|step| on_curve(curve, f64::from(step) / 32.0)).collect()
        } else {
            self.outline().points(15)
        };
        let near = |area: &Area| {
            let area = area.grown(white * 0.7 - Sp(0.02), white - Sp(0.02));
            points.iter().any(|point| area.contains(*point))
        };
        obstacles.iter().filter(|area| near(area)).count()
    }

    /// The rectangles along its middle, for what comes near it.
    pub(super) fn slices(&self) -> impl Iterator<Item = Area> {
        const COUNT: u32 = 12;
        let curve = self.curve(Sp::ZERO);
        let at = move |step: u32| on_curve(curve, f64::from(step) / f64::from(COUNT));
        let half = TIE_THICKNESS / 2.0 + Sp(0.05);
        (0..COUNT)
            .map(move |step| Area::EMPTY.with(at(step)).with(at(step + 1)).grown(Sp::ZERO, half))
    }

    /// Its drawing, thicker in the middle.
    pub(super) fn outline(&self) -> Outline {
        let half = if self.rise < Sp::ZERO { -TIE_THICKNESS / 2.0 } else { TIE_THICKNESS / 2.0 };
        let outer = self.curve(half);
        let inner = self.curve(-half);
        let end = if half < Sp::ZERO { TIE_ENDS / 2.0 } else { -TIE_ENDS / 2.0 };
        let up = |point: Point, by: Sp| point.moved(Sp::ZERO, by);
        Outline {
            strokes: vec![
                Stroke::Move(up(outer[0], -end)),
                Stroke::Cubic(outer[1], outer[2], up(outer[3], -end)),
                Stroke::Line(up(inner[3], end)),
                Stroke::Cubic(inner[2], inner[1], up(inner[0], end)),
                Stroke::Close,
            ],
        }
    }
}
