//! Ligatures: bodies side by side, with their tails, as [`rudiments::ligature`] says.

use notation::Event;
use rudiments::{Body, LigatureNote, LigatureShape, Place, Tail, ligature};

use super::case::Case;
use super::notes;
use super::sort::Sort;
use super::sorts;
use crate::column::y_of;
use crate::frame::{Origin, Role};
use crate::units::{Point, Sp};

/// How long a tail of a ligature is, from the middle of its body.
const TAIL: f64 = 0.92;

/// A note of a ligature.
#[derive(Clone, Copy)]
pub(super) struct Bound<'p> {
    pub(super) event: &'p Event,
    pub(super) place: Place,
    pub(super) of: Origin,
    /// Whether it shares an oblique body with the next.
    pub(super) oblique: bool,
}

/// The ligature of some notes; nothing where they can be none.
pub(super) fn sort(bound: &[Bound<'_>], case: &Case<'_>) -> Option<Sort> {
    let notes: Vec<LigatureNote> = bound
        .iter()
        .map(|one| LigatureNote { value: one.event.value, place: one.place, oblique: one.oblique })
        .collect();
    let shapes = ligature(&notes).ok()?;
    let style = case.style;
    let mut sort = Sort { white: notes::white(notes[0].value), ..Sort::default() };
    let mut x = Sp::ZERO;
    let mut behind: Option<Sp> = None;
    for (number, (one, shape)) in bound.iter().zip(&shapes).enumerate() {
        let (of, y) = (one.of, y_of(one.place));
        let black = one.event.colored;
        let falls = |from: usize| (y_of(bound[from + 1].place) - y_of(bound[from].place)).0;
        let (outline, width) = match shape.body {
            Body::Square => (sorts::square(style, style.square_width.0, black), style.square_width),
            Body::Wide => (sorts::square(style, style.maxima_width.0, black), style.maxima_width),
            Body::ObliqueBegins => {
                let half = style.oblique_width / 2.0;
                (sorts::oblique(style, falls(number), true, black), half)
            }
            Body::ObliqueEnds => {
                let half = style.oblique_width / 2.0;
                let outline = sorts::oblique(style, falls(number - 1), false, black);
                (outline.moved(half, Sp::ZERO), half)
            }
        };
        if number == 0 {
            notes::accidentals(one.event, &[one.place], of, case, &mut sort);
        }
        sort.shape(Role::Head, Some(of), outline.moved(x, y), case);
        if let Some(before) = behind
            && shape.body != Body::ObliqueEnds
        {
            let join = sorts::join(style, (before - y).0, 0.0).moved(x, y);
            sort.shape(Role::Stem, Some(of), join, case);
        }
        notes::ledgers(one.place, (x, x + width), of, case, &mut sort);
        tail(*shape, (x, width), y, of, case, &mut sort);
        if one.event.dot.is_some() {
            // Behind the last it stands beside, behind others above their body.
            let (place, right) = if number + 1 == bound.len() {
                (one.place, x + width)
            } else {
                (one.place + 3, x + width / 2.0 - Sp(0.4))
            };
            notes::dot(place, right, of, case, &mut sort);
        }
        notes::over(one.event, x + width / 2.0, of, case, &mut sort);
        x += width;
        behind = Some(y);
    }
    Some(sort)
}

fn tail(
    shape: LigatureShape,
    (x, width): (Sp, Sp),
    y: Sp,
    of: Origin,
    case: &Case<'_>,
    sort: &mut Sort,
) {
    let style = case.style;
    let half = style.square_side / 2.0;
    let (x, side) = match shape.tail {
        None => return,
        Some(Tail::LeftUp) => (x + half, -1.0),
        Some(Tail::LeftDown) => (x + half, 1.0),
        Some(Tail::RightDown) => (x + width - half, 1.0),
    };
    let tip = Point::new(x, y + style.stem_length * (TAIL * side));
    sort.line(Role::Stem, Some(of), (Point::new(x, y), tip, style.stem), case);
}
