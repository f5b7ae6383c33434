//! The first note of a voice in the shape that the source gives it.

use rudiments::{Clef, Value};
use score::{Rule, TimedEvent};

use super::Pen;
use crate::column::{MIDDLE_LINE, y_of};
use crate::frame::{Ink, Item, Role};
use crate::glyphs::Sign;
use crate::practice::{BEFORE_DOT, FLAG_SIZE, STEM, STEM_LENGTH};
use crate::units::{Point, Sp};

/// The head of a value in white notation.
fn head(value: Value, colored: bool) -> Sign {
    match value {
        Value::Maxima => Sign::HeadMaxima,
        Value::Longa | Value::Breve => Sign::HeadLonga,
        Value::Semibreve | Value::Minim if !colored => Sign::DiamondWhite,
        _ => Sign::DiamondBlack,
    }
}

/// Draws the note at the pen, which then stands behind it.
pub(super) fn draw(event: &TimedEvent, clef: Clef, pen: &mut Pen<'_>) {
    let shape = head(event.value, event.colored);
    let (x, width) = (pen.x, pen.signs.width(shape));
    let places: Vec<_> = event.notes.iter().map(|note| clef.place_of(note.pitch.tone)).collect();
    for place in &places {
        pen.ledgers(*place, x, width);
        pen.sign_at(Role::Incipit, shape, Point::new(x, y_of(*place)));
    }
    let (Some(lowest), Some(highest)) = (places.iter().min(), places.iter().max()) else { return };
    pen.x += width;
    match event.value {
        // At the right side, downwards.
        Value::Maxima | Value::Longa => {
            let stem = x + width - STEM / 2.0;
            let tip = y_of(*lowest) + STEM_LENGTH;
            pen.line(Point::new(stem, y_of(*highest)), Point::new(stem, tip), STEM);
        }
        Value::Breve | Value::Semibreve => {}
        // From the point of the diamond, upwards; downwards in the upper half of the staff.
        Value::Minim | Value::Semiminim | Value::Fusa | Value::Semifusa => {
            let stem = x + width / 2.0;
            let up = *highest <= MIDDLE_LINE;
            let (from, side) = if up { (*highest, -1.0) } else { (*lowest, 1.0) };
            let from = y_of(from) + Sp(0.5 * side);
            let tip = from + (STEM_LENGTH - Sp(0.5)) * side;
            pen.line(Point::new(stem, from), Point::new(stem, tip), STEM);
            let flag = match event.value {
                Value::Fusa => Some(Sign::Flag1),
                Value::Semifusa => Some(Sign::Flag2),
                _ => None,
            };
            if let Some(sign) = flag {
                let at = Point::new(stem - STEM / 2.0, tip);
                let ink = Ink::Sign { sign, at, scale: FLAG_SIZE, flipped: !up };
                pen.items.push(Item { role: Role::Incipit, of: None, ink });
                pen.x += pen.signs.width(sign) * FLAG_SIZE - width / 2.0;
            }
        }
    }
    if matches!(event.rule, Rule::DotAdds | Rule::DotDivides | Rule::DotPerfects) {
        pen.x += BEFORE_DOT;
        // In a space: beside a note on a line, in the one above.
        let y = y_of(*highest + i32::from(highest % 2 == 0));
        pen.sign(Role::Incipit, Sign::Dot, y);
        pen.x += pen.signs.width(Sign::Dot);
    }
}
