//! Rests: on their voice's side, out of the others' way.

use rudiments::Place;
use score::{Arrangement, NoteValue, Segment, Shape, Stem};

use super::{Chord, RestSign, Silence, origin, y_of};
use crate::frame::Origin;
use crate::glyphs::{Sign, Signs};
use crate::practice::STAFF;
use crate::units::{Area, Sp};

/// How far from its usual height the rest of a voice that shares its staff stands, at the least
/// (common practice: where it would have its notes).
const ASIDE: Sp = Sp(2.0);

/// A rest that need not be shown reaches no farther outside its staff than the first ledger line.
const FARTHEST_OUTSIDE: Sp = Sp(1.75);

/// Beyond this a rest is out of sight of its staff.
const FARTHEST: usize = 14;

/// The sign of a rest, and whether it has a dot.
fn of_shape(shape: Shape) -> (Sign, bool) {
    let (value, dotted) = match shape {
        Shape::Plain { value, dotted } => (value, dotted),
        Shape::WholeBar { value } => (value, false),
        Shape::Unwritten => (NoteValue::QUARTER, false),
    };
    let sign = match value.power() {
        2.. => Sign::RestLonga,
        1 => Sign::RestBreve,
        0 => Sign::RestWhole,
        -1 => Sign::RestHalf,
        -2 => Sign::RestQuarter,
        -3 => Sign::Rest8,
        -4 => Sign::Rest16,
        -5 => Sign::Rest32,
        -6 => Sign::Rest64,
        // The face has none beyond.
        _ => Sign::Rest128,
    };
    (sign, dotted)
}

pub(super) fn sign(origin: Origin, segment: &Segment) -> RestSign {
    let (sign, dotted) = of_shape(segment.shape);
    RestSign {
        origin,
        sign,
        y: usual(sign),
        up: segment.stem == Stem::Up,
        alone: segment.alone,
        dotted,
        shared: segment.left_out,
        tuplet: segment.tuplet.filter(|tuplet| tuplet.shown),
        supplied: None,
        optional: false,
    }
}

/// The rest of a staff that no voice has.
pub(super) fn of_staff(shape: Shape) -> Silence {
    let (sign, dotted) = of_shape(shape);
    Silence { sign, y: usual(sign), dotted }
}

impl Silence {
    /// The rectangle around it.
    pub(super) fn area(self, signs: &Signs) -> Area {
        let area = signs.area(self.sign).moved(Sp::ZERO, self.y);
        Area { right: area.right + if self.dotted { Sp(0.7) } else { Sp::ZERO }, ..area }
    }
}

impl RestSign {
    /// Whether others cover it, and it says nothing but that its voice is silent.
    pub(super) fn is_optional(&self, segment: &Segment) -> bool {
        !self.alone && self.tuplet.is_none() && segment.signs.is_empty()
    }

    /// Leaves it out where it would stand too far from its staff.
    pub(crate) fn settle(&mut self, signs: &Signs) {
        let area = signs.area(self.sign).moved(Sp::ZERO, self.y);
        let outside = area.top < -FARTHEST_OUTSIDE || area.bottom > STAFF + FARTHEST_OUTSIDE;
        self.shared |= self.optional && outside;
    }
}

/// Where a rest that is alone on its staff stands: the whole rest hangs from the fourth line, all
/// others are about the middle line (common practice).
fn usual(sign: Sign) -> Sp {
    if sign == Sign::RestWhole { Sp(1.0) } else { Sp(2.0) }
}

/// The rectangle around a rest, its dot included.
pub(super) fn area(rest: &RestSign, signs: &Signs) -> Area {
    let mut area = signs.area(rest.sign).moved(Sp::ZERO, rest.y);
    if rest.dotted {
        area.right += Sp(0.7);
    }
    let brackets = super::around_rest(rest, Sp::ZERO, signs).into_iter();
    brackets.map(super::NoteBracket::area).fold(area, Area::and)
}

/// The rests that stand for a whole bar: in the middle, once for each staff, and only where the
/// staff has nothing else.
pub(super) fn of_whole_bar(arrangement: &Arrangement<'_>, number: usize) -> Vec<RestSign> {
    let bar = &arrangement.bars[number];
    let mut rests: Vec<RestSign> = Vec::new();
    for (voice, segments) in bar.voices.iter().enumerate() {
        let is_seen = |one: &&Segment| matches!(one.shape, Shape::WholeBar { .. }) && !one.left_out;
        let Some(segment) = segments.first().filter(is_seen) else { continue };
        let origin = origin(arrangement, number, voice, 0);
        let supplied = super::enclosures::supplied(arrangement, origin);
        let mut rest = RestSign { supplied, ..sign(origin, segment) };
        let others = bar.voices.iter().flatten().filter(|other| other.staff == segment.staff);
        let busy = others.clone().any(|other| !matches!(other.shape, Shape::WholeBar { .. }));
        rest.shared = busy || rests.iter().any(|before| before.origin.staff == segment.staff);
        rests.push(rest);
    }
    rests
}

/// The rest of a whole bar, and its height: a breve rest for bars of a breve and longer.
pub(crate) fn whole_bar(arrangement: &Arrangement<'_>, number: usize) -> (Sign, Sp) {
    let bar = &arrangement.score.bars[number];
    let quarters = arrangement.options.reduction.quarters(bar.end - bar.start);
    let breve = quarters >= NoteValue::BREVE.quarters();
    let sign = if breve { Sign::RestBreve } else { Sign::RestWhole };
    (sign, usual(sign))
}

/// Moves rests to their voices' sides, and on, by whole spaces, until they are clear of the notes
/// of the other voices that begin or sound: `sounding` has, for each voice, its lowest and
/// highest place.
pub(super) fn place(
    rests: &mut [RestSign],
    chords: &[Chord],
    sounding: &[(usize, Place, Place)],
    signs: &Signs,
) {
    share(rests, sounding);
    let single = rests.iter().filter(|rest| !rest.shared).count() == 1;
    let mut obstacles: Vec<Area> = Vec::new();
    for chord in chords {
        obstacles.extend(chord.head_areas(signs));
        obstacles.extend(chord.stem_area());
        obstacles.extend(chord.flag_area(signs));
        let accidentals = chord.accidentals.iter();
        obstacles.extend(accidentals.map(|sign| sign.area(signs)));
        obstacles.extend(chord.brackets.iter().map(|bracket| bracket.area()));
        obstacles.extend(chord.dots.iter().map(|(x, y)| signs.area(Sign::Dot).moved(*x, *y)));
    }
    for rest in rests.iter_mut().filter(|rest| !rest.shared) {
        let others = sounding.iter().filter(|(voice, ..)| *voice != rest.origin.voice);
        if rest.alone || (single && sounding.is_empty()) {
            continue;
        }
        let step = if rest.up { Sp(-1.0) } else { Sp(1.0) };
        rest.y += if rest.up { -ASIDE } else { ASIDE };
        // The voices on the other side of it.
        let bound = if rest.up {
            let below = others.filter(|(voice, ..)| *voice > rest.origin.voice);
            below.map(|(_, _, high)| y_of(*high)).fold(Sp(9.0), Sp::min) - Sp(0.6)
        } else {
            let above = others.filter(|(voice, ..)| *voice < rest.origin.voice);
            above.map(|(_, low, _)| y_of(*low)).fold(Sp(-9.0), Sp::max) + Sp(0.6)
        };
        for _ in 0..FARTHEST {
            let here = area(rest, signs);
            let beyond = if rest.up { here.bottom > bound } else { here.top < bound };
            let grown = here.grown(Sp(0.2), Sp(0.1));
            if !beyond && !obstacles.iter().any(|other| other.meets(grown)) {
                break;
            }
            rest.y += step;
        }
        rest.settle(signs);
        if !rest.shared {
            obstacles.push(area(rest, signs));
        }
    }
}

/// Where all voices of a staff rest at once and alike, one rest in the middle stands for all.
fn share(rests: &mut [RestSign], sounding: &[(usize, Place, Place)]) {
    let mut shared = Vec::new();
    for later in 1..rests.len() {
        let same = |one: &RestSign, two: &RestSign| {
            (one.sign, one.dotted, one.tuplet) == (two.sign, two.dotted, two.tuplet)
                && (one.up == two.up || sounding.is_empty())
        };
        if rests[..later].iter().any(|before| !before.shared && same(before, &rests[later])) {
            shared.push(later);
            rests[later].shared = true;
        }
    }
}
