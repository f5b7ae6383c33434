//! What stands at the beginning of a staff: clef, signature, meter.

use rudiments::{Clef, ClefShape, Place, Signature, Step};
use score::{Meter, MeterSymbol, Staff};

use super::draft::StaffDraft;
use crate::column::y_of;
use crate::fonts::Face;
use crate::frame::{Ink, Item, Role};
use crate::glyphs::{Sign, Signs};
use crate::lettering::{CAPITAL_HEIGHT, Letterer};
use crate::practice::{AFTER_CLEF, BEFORE_CLEF};
use crate::units::{Point, Sp};

/// The sign of a clef that sounds so many octaves higher than it says.
pub(crate) fn clef_sign(clef: Clef, octave_change: i8) -> Sign {
    match clef.shape {
        ClefShape::G if octave_change < 0 => Sign::ClefGLow,
        ClefShape::G => Sign::ClefG,
        ClefShape::C => Sign::ClefC,
        ClefShape::F => Sign::ClefF,
    }
}

/// One sign of a signature or its cancelling.
pub(crate) struct SignatureSign {
    pub(crate) sign: Sign,
    pub(crate) x: Sp,
    pub(crate) place: Place,
}

/// The signs of a signature, and first the naturals for what of the one before it no longer
/// holds; with their width.
pub(crate) fn signature(
    clef: Clef,
    before: Signature,
    now: Signature,
    signs: &Signs,
) -> (Vec<SignatureSign>, Sp) {
    let cancelled = before
        .signs()
        .filter(|(step, _)| now.alteration(*step) == 0)
        .map(|(step, was)| (Sign::Natural, place_in_signature(clef, step, was)));
    let shown = now.signs().map(|(step, alteration)| {
        (crate::column::accidental_sign(alteration), place_in_signature(clef, step, alteration))
    });
    let mut x = Sp::ZERO;
    let placed = cancelled
        .chain(shown)
        .map(|(sign, place)| {
            let here = SignatureSign { sign, x, place };
            x += signs.width(sign) + Sp(0.15);
            here
        })
        .collect();
    (placed, x)
}

/// Where the sign of a step stands in a signature: sharps and flats zigzag within the staff, as
/// all prints have them (common practice). Under G2 the flats lie from A4 to E5, the sharps from
/// A4 to G5; under other clefs the whole pattern moves so that it fits the staff.
fn place_in_signature(clef: Clef, step: Step, alteration: i8) -> Place {
    let (low, high) = clef.on_staff(step);
    let low = clef.place_of(low);
    let high = high.map_or(low, |tone| clef.place_of(tone));
    let lowest = if alteration < 0 { 3 } else { 5 }
        - match clef.shape {
            ClefShape::G => 0,
            ClefShape::C => 1,
            ClefShape::F => 2,
        };
    let fits = |place: Place| (lowest..lowest + 7).contains(&place);
    [low, high, low + 7].into_iter().find(|place| fits(*place)).unwrap_or(low)
}

/// The figures of a meter.
pub(crate) fn meter_figures(letterer: &Letterer, meter: Meter) -> Vec<(Item, Sp)> {
    let size = Sp(1.98 / CAPITAL_HEIGHT);
    let figures = [meter.beats.to_string(), (1_u32 << -meter.beat.power().min(0)).to_string()];
    let set = figures.map(|text| letterer.set(&text, Face::Bold, size));
    let widest = set[0].width.max(set[1].width);
    let lines = set.into_iter().zip([Sp(2.0), Sp(4.0)]);
    lines
        .map(|(letters, y)| {
            let at = Point::new((widest - letters.width) / 2.0, y - Sp(0.01));
            let ink = Ink::Letters { letters: letters.into(), at };
            (Item { role: Role::Meter, of: None, ink }, widest)
        })
        .collect()
}

/// Draws the beginning of a staff in a system that begins with a bar; how far it reaches.
pub(super) fn draw(
    draft: &mut StaffDraft<'_>,
    (staff, bar): (&Staff, usize),
    signature_now: Signature,
    signature_width: Sp,
) -> Sp {
    let clef = staff.clef_in(bar);
    let sign = clef_sign(clef, staff.octave_change);
    let mut x = BEFORE_CLEF;
    draft.sign(Role::Clef, None, sign, x, y_of(2 * Place::from(clef.line)));
    // Signatures of all staves begin on one vertical.
    x += draft.signs.width(Sign::ClefF).max(draft.signs.width(Sign::ClefG)) + AFTER_CLEF;
    let (signs, _) = signature(clef, Signature::NONE, signature_now, draft.signs);
    for sign in signs {
        draft.sign(Role::Signature, None, sign.sign, x + sign.x, y_of(sign.place));
    }
    x + signature_width + if signature_width > Sp::ZERO { Sp(0.6) } else { Sp::ZERO }
}

/// The width of the beginning of a system, meter apart.
pub(crate) fn width(signs: &Signs, signature_width: Sp) -> Sp {
    BEFORE_CLEF
        + signs.width(Sign::ClefF).max(signs.width(Sign::ClefG))
        + AFTER_CLEF
        + signature_width
        + if signature_width > Sp::ZERO { Sp(0.6) } else { Sp::ZERO }
}

/// The sign of the period that is shown above a meter.
pub(super) fn period_sign(symbol: MeterSymbol) -> rudiments::Sign {
    match symbol {
        MeterSymbol::Common => rudiments::Sign::IMPERFECT,
        MeterSymbol::Cut => rudiments::Sign::CUT,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the signs of full signatures stand (common practice; Read, chapter on signatures).
    #[test]
    fn signs_zigzag_as_in_all_prints() {
        let places = |clef: &str, fifths| {
            let clef = Clef::parse(clef).unwrap();
            let signature = Signature::of_fifths(fifths);
            let places: Vec<String> = signature
                .signs()
                .map(|(step, alteration)| {
                    clef.tone_at(place_in_signature(clef, step, alteration)).to_string()
                })
                .collect();
            places.join(" ")
        };
        assert_eq!(places("G2", -7), "B4 E5 A4 D5 G4 C5 F4");
        assert_eq!(places("G2", 7), "F5 C5 G5 D5 A4 E5 B4");
        assert_eq!(places("F4", -7), "B2 E3 A2 D3 G2 C3 F2");
        assert_eq!(places("F4", 7), "F3 C3 G3 D3 A2 E3 B2");
    }
}
