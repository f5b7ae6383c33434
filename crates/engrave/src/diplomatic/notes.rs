//! Single notes and rests.

use notation::{Dot, Event, NoteSign, Sound};
use rudiments::{Accidental, Place, Value};

use super::case::Case;
use super::sort::{From, Sort};
use super::sorts;
use crate::column::{MIDDLE_LINE, accidental_sign, ledger_lines, y_of};
use crate::fonts::Face;
use crate::frame::{Origin, Role};
use crate::glyphs::Sign;
use crate::practice::{AFTER_ACCIDENTAL, BEFORE_DOT, LEDGER_LINE, LEDGER_OVERHANG, SMALL};
use crate::units::{Point, Sp};

/// The size of what the editor says above the staff, and of a signum.
pub(super) const READING: Sp = Sp(1.7);
const SIGNUM: Sp = Sp(2.1);

/// How much of a line's white a value takes behind it: type keeps notes nearly alike, long ones a little
/// farther apart.
pub(super) fn white(value: Value) -> f64 {
    match value {
        Value::Maxima => 2.2,
        Value::Longa => 1.9,
        Value::Breve => 1.7,
        Value::Semibreve => 1.5,
        Value::Minim => 1.25,
        Value::Semiminim => 1.0,
        Value::Fusa => 0.8,
        Value::Semifusa => 0.7,
    }
}

/// Whether a stem of a note, or of several at once, goes up: where they are not above the middle line.
pub(super) fn goes_up(places: &[Place]) -> bool {
    places.iter().sum::<Place>() <= MIDDLE_LINE * places.len() as Place
}

/// A note or rest by itself; `places` are those of its notes on the staff.
pub(super) fn sort(event: &Event, places: &[Place], of: Origin, case: &Case<'_>) -> Sort {
    let mut sort = Sort { white: white(event.value), ..Sort::default() };
    let middle = match event.sound {
        Sound::Rest { spaces } => {
            let outline = sorts::rest(case.style, event.value, spaces.unwrap_or(2));
            let left = -outline.area().left;
            sort.shape(Role::Rest, Some(of), outline.moved(left, Sp::ZERO), case);
            sort.white *= 0.7;
            left
        }
        Sound::Notes(_) => note(event, places, of, case, &mut sort),
    };
    let right = sort.right;
    if event.dot.is_some() {
        let place = places.iter().max().copied().unwrap_or(MIDDLE_LINE + 1);
        dot(place, right, of, case, &mut sort);
    }
    over(event, middle, of, case, &mut sort);
    sort
}

/// A dot behind a head that ends there: in a space, above that of a line.
pub(super) fn dot(place: Place, right: Sp, of: Origin, case: &Case<'_>, sort: &mut Sort) {
    let y = y_of(place + i32::from(place % 2 == 0));
    let at = Point::new(right + BEFORE_DOT * 0.7, y);
    sort.sign(Role::Dot, Some(of), (Sign::Dot, at, 1.0), case);
}

/// Heads with their stem, signs before them and ledger lines; where the middle of the heads is.
fn note(event: &Event, places: &[Place], of: Origin, case: &Case<'_>, sort: &mut Sort) -> Sp {
    let style = case.style;
    let black = event.colored || event.value > Value::Minim;
    let width = match event.value {
        Value::Maxima => style.maxima_width,
        Value::Longa | Value::Breve => style.square_width,
        _ => style.head_width,
    };
    let is_square = event.value <= Value::Breve;
    for place in places {
        let head = if is_square {
            sorts::square(style, width.0, black)
        } else {
            sorts::diamond(style, black)
        };
        sort.shape(Role::Head, Some(of), head.moved(Sp::ZERO, y_of(*place)), case);
        ledgers(*place, (Sp::ZERO, width), of, case, sort);
    }
    let (Some(lowest), Some(highest)) = (places.iter().min(), places.iter().max()) else {
        return Sp::ZERO;
    };
    let up = goes_up(places);
    let side = if up { -1.0 } else { 1.0 };
    let (near, far) = if up { (*highest, *lowest) } else { (*lowest, *highest) };
    let has_stem = !matches!(event.value, Value::Breve | Value::Semibreve);
    if has_stem {
        let x = if is_square { width - style.square_side / 2.0 } else { width / 2.0 };
        let begins =
            if is_square { y_of(far) } else { y_of(far) + style.head_height * (0.42 * side) };
        let tip = y_of(near) + style.stem_length * side;
        let stem = (Point::new(x, begins), Point::new(x, tip), style.stem);
        sort.line(Role::Stem, Some(of), stem, case);
        // A black minim looks like a semiminim, so a semiminim beside it looks like a fusa.
        let more = u8::from(event.colored && event.value > Value::Minim);
        let flags = more
            + match event.value {
                Value::Fusa => 1,
                Value::Semifusa => 2,
                _ => 0,
            };
        for number in 0..flags {
            let back = style.flag_height * (-0.85 * side * f64::from(number));
            let flag = sorts::flag(style, up).moved(x, tip + back);
            sort.shape(Role::Flag, Some(of), flag, case);
        }
    }
    accidentals(event, places, of, case, sort);
    width / 2.0
}

/// The ledger lines of a head between two places.
pub(super) fn ledgers(
    place: Place,
    (left, right): (Sp, Sp),
    of: Origin,
    case: &Case<'_>,
    sort: &mut Sort,
) {
    for line in ledger_lines(place) {
        let end = |x: Sp| Point::new(x, y_of(line));
        let ends = (end(left - LEDGER_OVERHANG), end(right + LEDGER_OVERHANG), LEDGER_LINE);
        let (before, after) = (sort.left, sort.right);
        sort.line(Role::LedgerLine, Some(of), ends, case);
        // They may reach under what stands beside.
        (sort.left, sort.right) = (before, after);
    }
}

/// The signs printed before the heads.
pub(super) fn accidentals(
    event: &Event,
    places: &[Place],
    of: Origin,
    case: &Case<'_>,
    sort: &mut Sort,
) {
    for (note, place) in event.notes().iter().zip(places) {
        let Some(sign) = note.printed else { continue };
        let outline = match sign {
            Accidental::Sharp => sorts::sharp(case.style),
            Accidental::Flat => case.signs.outline(Sign::Flat).clone(),
            Accidental::Natural => case.signs.outline(Sign::Natural).clone(),
        };
        let left = sort.left - AFTER_ACCIDENTAL - outline.area().right;
        sort.shape(Role::Accidental, Some(of), outline.moved(left, y_of(*place)), case);
    }
}

/// What stands above a note or rest: signs of the source, and what the editor says.
pub(super) fn over(event: &Event, middle: Sp, of: Origin, case: &Case<'_>, sort: &mut Sort) {
    let of = Some(of);
    for sign in event.signs.iter() {
        match sign {
            NoteSign::Corona => {
                sort.sign_over(Role::Corona, of, (Sign::Corona, 1.0), middle, case);
            }
            NoteSign::Signum => {
                let letters = case.letterer.set(":S:", Face::Roman, SIGNUM);
                sort.words_over(Role::Signum, of, letters, From::Middle(middle));
            }
            NoteSign::Doubt => {
                let letters = case.letterer.set("?", Face::Bold, SIGNUM);
                sort.words_over(Role::Reading, of, letters, From::Middle(middle));
            }
        }
    }
    for note in event.notes() {
        if let Some(sign) = note.editorial {
            let sign = accidental_sign(match sign {
                Accidental::Sharp => 1,
                Accidental::Flat => -1,
                Accidental::Natural => 0,
            });
            sort.sign_over(Role::Editorial, of, (sign, SMALL), middle, case);
        }
    }
    let decided = match event.dot {
        Some(Dot::Adds) => Some("[.+]".to_owned()),
        Some(Dot::Divides) => Some("[.:]".to_owned()),
        _ => None,
    };
    let length = event.length.map(|length| format!("[={length}]"));
    for words in decided.into_iter().chain(length) {
        let letters = case.letterer.set(&words, Face::Italic, READING);
        sort.words_over(Role::Reading, of, letters, From::Middle(middle));
    }
}
