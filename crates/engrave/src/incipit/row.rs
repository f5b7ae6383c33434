//! The incipits of all voices beside one another, each under its name, for scores in which a voice has
//! no staff of its own.

use score::Score;

use super::{Incipit, of_voices};
use crate::fonts::Face;
use crate::frame::{Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::lettering::Letterer;
use crate::practice::OUTSIDE_GAP;
use crate::units::{Area, Point, Sp};
use crate::voice_names;

/// Between two incipits, and between what hangs from a row and what stands on the next.
const BETWEEN: Sp = Sp(3.0);

/// The incipits of a score in as many rows as it needs, around the left end of the first one's
/// uppermost line; nothing where no voice has one.
pub(crate) fn rows(score: &Score, width: Sp, letterer: &Letterer, signs: &Signs) -> Option<Frame> {
    let mut frame = Frame::default();
    let mut row: Vec<(&str, Incipit)> = Vec::new();
    let mut taken = Sp::ZERO;
    for (voice, incipit) in score.voices.iter().zip(of_voices(score, signs, letterer)) {
        let Some(incipit) = incipit else { continue };
        if taken + incipit.width > width && !row.is_empty() {
            add(std::mem::take(&mut row), &mut frame, letterer, signs);
            taken = Sp::ZERO;
        }
        taken += incipit.width + BETWEEN;
        row.push((&voice.name, incipit));
    }
    add(row, &mut frame, letterer, signs);
    frame.area.is_some().then_some(frame)
}

/// Adds a row below what is there.
fn add(row: Vec<(&str, Incipit)>, frame: &mut Frame, letterer: &Letterer, signs: &Signs) {
    let mut items: Vec<Item> = Vec::new();
    let mut names = Vec::new();
    let mut x = Sp::ZERO;
    for (name, incipit) in row {
        names.push((letterer.set(&voice_names::shown(name), Face::Roman, voice_names::SIZE), x));
        items.extend(incipit.items.into_iter().map(|item| item.moved(x, Sp::ZERO)));
        x += incipit.width + BETWEEN;
    }
    let area = |items: &[Item]| items.iter().filter_map(|item| item.area(signs)).reduce(Area::and);
    let Some(ink) = area(&items) else { return };
    for (letters, x) in names {
        let at = Point::new(x, ink.top - OUTSIDE_GAP - Sp(0.3));
        let ink = Ink::Letters { letters: letters.into(), at };
        items.push(Item { role: Role::VoiceName, of: None, ink });
    }
    let Some(all) = area(&items) else { return };
    let down = frame.area.map_or(Sp::ZERO, |before| before.bottom + BETWEEN - all.top);
    frame.items.extend(items.into_iter().map(|item| item.moved(Sp::ZERO, down)));
    let all = all.moved(Sp::ZERO, down);
    frame.area = Some(frame.area.map_or(all, |before| before.and(all)));
}
