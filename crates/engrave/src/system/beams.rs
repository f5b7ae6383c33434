//! Beams: their height and slant, and with them the stems of their notes.

use score::Beam;

use super::voice_line::VoiceLine;
use crate::column::{Chord, MIDDLE_LINE, y_of};
use crate::outline::Outline;
use crate::practice::{
    BEAM, BEAM_DISTANCE, BEAM_HOOK, BEAM_RISE, SHORTEST_BEAMED_STEM, STEEPEST_BEAM, STEM,
};
use crate::units::{Area, Sp};

/// A group of beamed notes: places in its voice's line.
pub(super) struct Group {
    pub(super) members: Vec<usize>,
}

/// The groups of a voice.
pub(super) fn groups(line: &VoiceLine) -> Vec<Group> {
    let mut groups = Vec::new();
    let mut members = Vec::new();
    for (place, chord) in line.chords.iter().enumerate() {
        match chord.beams.first() {
            Some(Beam::Begins) => members = vec![place],
            Some(Beam::GoesOn) => members.push(place),
            Some(Beam::Ends) => {
                members.push(place);
                groups.push(Group { members: std::mem::take(&mut members) });
            }
            _ => {}
        }
    }
    groups
}

/// The line along which the primary beam runs: through the middle of its thickness.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slant {
    x: Sp,
    y: Sp,
    slope: f64,
}

impl Slant {
    fn at(self, x: Sp) -> Sp {
        self.y + (x - self.x) * self.slope
    }
}

/// Where the beam of a group runs, so that no stem is too short and no foreign head is struck.
///
/// `inner` are the notes of other voices that hang on the same stems: where, and at which place.
pub(super) fn slant(chords: &[&Chord], inner: &[(Sp, i32)], foreign: &[Area]) -> Option<Slant> {
    let (first, last) = (chords.first()?, chords.last()?);
    let (from, to) = (first.stem?.x, last.stem?.x);
    let up = first.up;
    let out = if up { -1.0 } else { 1.0 };
    let levels = chords.iter().map(|chord| chord.beams.len()).max().unwrap_or(1);
    let places: Vec<i32> = chords.iter().map(|chord| chord.outermost()).collect();
    let (one, other) = (places[0], places[places.len() - 1]);
    let steps = other - one;
    let between = &places[1..places.len() - 1];
    let concave = between
        .iter()
        .any(|place| if up { *place >= one.max(other) } else { *place <= one.min(other) });
    let rise = if concave || to - from < Sp(0.5) {
        0.0
    } else {
        let wanted = BEAM_RISE[(steps.unsigned_abs() as usize).min(BEAM_RISE.len() - 1)];
        let most = (to - from).0 * STEEPEST_BEAM;
        // Rises in quarters of a space meet the staff lines well at both ends.
        (wanted.min(most) * 4.0).floor() / 4.0
    };
    let slope = -rise * f64::from(steps.signum()) / (to - from).0.max(0.5);
    let length = |place: i32| {
        let beyond = if up { place - MIDDLE_LINE } else { MIDDLE_LINE - place };
        let shorter = (f64::from(beyond.max(0)) * 0.2).min(0.75);
        let inner_beams = BEAM_DISTANCE * levels.saturating_sub(2) as f64;
        (Sp(3.25 - shorter) + inner_beams).max(SHORTEST_BEAMED_STEM)
    };
    // Counted outwards from the staff's highest line, so that the farthest wins.
    let mut reach = Sp(f64::NEG_INFINITY);
    let own = chords.iter().zip(&places).filter_map(|(chord, place)| Some((chord.stem?.x, *place)));
    for (x, place) in own.chain(inner.iter().copied()) {
        let tip = y_of(place) * out + length(place);
        reach = reach.max(tip - (x - from) * slope * out);
    }
    if chords.iter().all(|chord| chord.alone) {
        // The beam of notes far outside reaches the middle line.
        reach = reach.max(y_of(MIDDLE_LINE) * out - Sp((rise / 2.0).max(0.0)));
    }
    let mut y = settled(reach * out, up);
    let thickness = BEAM_DISTANCE * (levels as f64 - 1.0) + BEAM;
    for _ in 0..24 {
        let slant = Slant { x: from, y, slope };
        if !foreign.iter().any(|head| strikes(slant, from, to, up, thickness, *head)) {
            break;
        }
        y += Sp(0.5) * out;
    }
    Some(Slant { x: from, y, slope })
}

/// A beam hangs from a staff line, is straddled by it, or sits on it; it never floats in the
/// middle of a space (Ross). Moved outwards to the next such height.
fn settled(y: Sp, up: bool) -> Sp {
    let quarters = y.0 * 4.0;
    let mut quarters = if up { (quarters + 1e-6).floor() } else { (quarters - 1e-6).ceil() };
    let on_staff = (-1.0..=17.0).contains(&quarters);
    if on_staff && (quarters.rem_euclid(4.0) - 2.0).abs() < 0.5 {
        quarters += if up { -1.0 } else { 1.0 };
    }
    Sp(quarters / 4.0)
}

/// Whether beams of that thickness in all run into a rectangle.
fn strikes(slant: Slant, from: Sp, to: Sp, up: bool, thickness: Sp, area: Area) -> bool {
    if area.right < from || area.left > to {
        return false;
    }
    let outer = BEAM / 2.0 + Sp(0.15);
    let inner = thickness - BEAM / 2.0 + Sp(0.15);
    let (over, under) = if up { (outer, inner) } else { (inner, outer) };
    [area.left.max(from), area.right.min(to)].into_iter().any(|x| {
        let y = slant.at(x);
        y - over < area.bottom && area.top < y + under
    })
}

/// Lets the stems of a group end at its beam.
pub(super) fn set_tips(line: &mut VoiceLine, members: &[usize], slant: Slant) {
    for place in members {
        if let Some(stem) = &mut line.chords[*place].stem {
            stem.tip = slant.at(stem.x);
        }
    }
}

/// The drawings of a group's beams.
pub(super) fn outlines(chords: &[&Chord], slant: Slant) -> Vec<Outline> {
    let mut outlines = Vec::new();
    let up = chords.first().is_some_and(|chord| chord.up);
    let levels = chords.iter().map(|chord| chord.beams.len()).max().unwrap_or(0);
    for level in 0..levels {
        let inwards = BEAM_DISTANCE * level as f64 * if up { 1.0 } else { -1.0 };
        let mut begun: Option<Sp> = None;
        for chord in chords {
            let Some(stem) = chord.stem else { continue };
            let (left, right) = (stem.x - STEM / 2.0, stem.x + STEM / 2.0);
            match chord.beams.get(level) {
                Some(Beam::Begins) => begun = Some(left),
                Some(Beam::Ends) => {
                    if let Some(from) = begun.take() {
                        outlines.push(bar(slant, from, right, inwards));
                    }
                }
                Some(Beam::HookForward) => {
                    outlines.push(bar(slant, left, right + BEAM_HOOK, inwards));
                }
                Some(Beam::HookBack) => {
                    outlines.push(bar(slant, left - BEAM_HOOK, right, inwards));
                }
                Some(Beam::GoesOn) | None => {}
            }
        }
    }
    outlines
}

/// The rectangles that a beam fills, one for each space of its length.
pub(super) fn slices(outline: &Outline) -> Vec<Area> {
    let corners = outline.points(0);
    let [left, right, .., under] = corners.as_slice() else { return Vec::new() };
    let count = (right.x - left.x).0.ceil().max(1.0) as u32;
    let part = |number: u32| left.x + (right.x - left.x) * (f64::from(number) / f64::from(count));
    let slope = (right.y - left.y) / (right.x - left.x).max(Sp(0.01));
    let at = |x: Sp| left.y + (x - left.x) * slope;
    (0..count)
        .map(|number| {
            let (from, to) = (part(number), part(number + 1));
            let (one, two) = (at(from), at(to));
            Area::new(from, one.min(two), to, one.max(two) + (under.y - left.y))
        })
        .collect()
}

fn bar(slant: Slant, from: Sp, to: Sp, inwards: Sp) -> Outline {
    let half = BEAM / 2.0;
    let (left, right) = (slant.at(from) + inwards, slant.at(to) + inwards);
    Outline::polygon([
        (from.0, (left - half).0),
        (to.0, (right - half).0),
        (to.0, (right + half).0),
        (from.0, (left + half).0),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ross: a beam hangs, straddles or sits (from memory).
    #[test]
    fn beams_do_not_float_in_a_space() {
        for quarters in -4..=20 {
            for up in [true, false] {
                let wanted = f64::from(quarters) / 4.0;
                let y = settled(Sp(wanted), up).0;
                assert!((y - wanted).abs() <= 0.25);
                assert!(if up { y <= wanted } else { y >= wanted });
                if (0.0..=4.0).contains(&y) {
                    assert!((y.rem_euclid(1.0) - 0.5).abs() > 0.2, "{wanted}");
                }
            }
        }
    }
}
