//! What stands above or below the staff: editor's accidentals, coronas, words.

use super::draft::{Side, StaffDraft};
use super::voice_line::VoiceLine;
use super::{BarPlace, Workshop, period, put_above};
use crate::fonts::Face;
use crate::frame::{Ink, Item, Role, sign_area};
use crate::glyphs::Sign;
use crate::lettering::{CAPITAL_HEIGHT, DESCENT};
use crate::practice::SMALL;
use crate::units::{Area, Point, Sp};

/// Draws all of it, from the nearest to the farthest.
pub(super) fn draw(
    workshop: &Workshop<'_>,
    lines: &[VoiceLine],
    places: &[BarPlace],
    drafts: &mut [StaffDraft<'_>],
) {
    for line in lines {
        for chord in &line.chords {
            let draft = &mut drafts[chord.origin.staff];
            // An editor's sign stands above; that of a lower voice on a shared staff below, or it
            // would be read with the upper voice.
            let side = if chord.up || chord.alone { Side::Above } else { Side::Below };
            for sign in &chord.editorial {
                small(
                    draft,
                    chord.origin,
                    Role::Editorial,
                    *sign,
                    chord.x + chord.width / 2.0,
                    side,
                );
            }
        }
    }
    for line in lines {
        let chords = line
            .chords
            .iter()
            .map(|chord| (chord.origin, chord.x + chord.width / 2.0, chord.up || chord.alone));
        let rests = line.rests.iter().filter(|placed| !placed.rest.shared).map(|placed| {
            let middle = placed.x + workshop.signs.width(placed.rest.sign) / 2.0;
            (placed.rest.origin, middle, placed.rest.up || placed.rest.alone)
        });
        for (origin, middle, above) in chords.chain(rests) {
            let segment = &workshop.arrangement.bars[origin.bar].voices[origin.voice][origin.place];
            let draft = &mut drafts[origin.staff];
            let side = if above { Side::Above } else { Side::Below };
            if segment.corona {
                let sign = if above { Sign::Corona } else { Sign::CoronaBelow };
                outside(draft, origin, (Role::Corona, sign, 0.85), middle, side);
            }
            if segment.signum {
                outside(draft, origin, (Role::Signum, Sign::Signum, 0.8), middle, side);
            }
        }
    }
    for place in places {
        draw_words(workshop, *place, lines, drafts);
    }
}

fn small(
    draft: &mut StaffDraft<'_>,
    origin: crate::frame::Origin,
    role: Role,
    sign: Sign,
    middle: Sp,
    side: Side,
) {
    outside(draft, origin, (role, sign, SMALL), middle, side);
}

fn outside(
    draft: &mut StaffDraft<'_>,
    origin: crate::frame::Origin,
    (role, sign, scale): (Role, Sign, f64),
    middle: Sp,
    side: Side,
) {
    let area = sign_area(draft.signs, sign, scale, false);
    let x = middle - area.width() / 2.0;
    let y = draft.outside(side, area.moved(x, Sp::ZERO));
    draft.scaled(role, Some(origin), sign, Point::new(x, y), scale);
}

/// The words of a bar, each above the staff of its voice, from its moment on.
fn draw_words(
    workshop: &Workshop<'_>,
    place: BarPlace,
    lines: &[VoiceLine],
    drafts: &mut [StaffDraft<'_>],
) {
    let bar = &workshop.arrangement.bars[place.number];
    for words in &bar.words {
        let segments = &bar.voices[words.voice];
        let there = segments.partition_point(|segment| segment.end() <= words.at);
        let staff =
            segments.get(there).or(segments.last()).map_or(words.voice, |segment| segment.staff);
        let line = &lines[words.voice];
        let chord = line
            .chords
            .iter()
            .find(|chord| chord.origin.bar == place.number && chord.origin.place == there)
            .map(|chord| chord.x);
        let rest = line
            .rests
            .iter()
            .find(|rest| rest.rest.origin.bar == place.number && rest.rest.origin.place == there)
            .map(|rest| rest.x.min(place.music.max(place.start)));
        let x = chord.or(rest).unwrap_or(place.music);
        let Some(draft) = drafts.get_mut(staff) else { continue };
        if let Some(sign) = rudiments::Sign::parse(&words.text) {
            let (items, _) = period::items(sign, Role::Words, workshop.signs, workshop.letterer);
            put_above(draft, items, x);
            continue;
        }
        let letters = workshop.letterer.set(&words.text, Face::Italic, Sp(2.1));
        // Words that would run off the end of the system end with it.
        let right = draft.right() - letters.width;
        let x = x.min(right).max(Sp::ZERO);
        let area =
            Area::new(x, letters.size * -CAPITAL_HEIGHT, x + letters.width, letters.size * DESCENT);
        let y = draft.outside(Side::Above, area);
        let at = Point::new(x, y);
        draft.put(Item { role: Role::Words, of: None, ink: Ink::Letters { letters, at } });
    }
}
