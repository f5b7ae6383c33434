//! The figures between the upper two staves: the intervals of two voices.

use score::Figure;

use super::Workshop;
use super::draft::StaffDraft;
use super::moments::Moments;
use crate::fonts::Face;
use crate::frame::{Ink, Item, Role};
use crate::lettering::{CAPITAL_HEIGHT, Lettering};
use crate::practice::{BETWEEN_VOICE_STAVES, OUTSIDE_GAP, STAFF};
use crate::units::{Area, Point, Sp};

/// The size of figures.
const SIZE: Sp = Sp(2.3);

/// Between two figures, at least, and from a figure to the line that leads to the next.
const BETWEEN: Sp = Sp(0.3);

/// How thick that line is, and how long at least: a shorter one is not seen.
const LINE: Sp = Sp(0.14);
const SHORTEST: Sp = Sp(0.5);

/// Draws the figures of a system in one row under the upper staff. One for whose moment nothing
/// begins is left out, as there is no place for it.
pub(super) fn draw(workshop: &Workshop<'_>, moments: &Moments, drafts: &mut [StaffDraft<'_>]) {
    let figures = &workshop.arrangement.score.annotations.figures;
    let (Some((first, last)), [upper, ..]) = (moments.span(), drafts) else { return };
    let begun = figures.partition_point(|figure| figure.at < first);
    let placed: Vec<(&Figure, Lettering, Sp)> = figures[begun..]
        .iter()
        .take_while(|figure| figure.at < last)
        .filter_map(|figure| {
            let letters = workshop.letterer.set(&figure.text, Face::Roman, SIZE);
            let left = moments.middle(figure.at)? - letters.width / 2.0;
            Some((figure, letters, left))
        })
        .collect();
    let height = SIZE * CAPITAL_HEIGHT;
    let reach = |(_, letters, left): &(&Figure, Lettering, Sp)| {
        upper.below.reach(*left - BETWEEN, *left + letters.width + BETWEEN) + OUTSIDE_GAP
    };
    let Some(lowest) = placed.iter().map(reach).reduce(Sp::max) else { return };
    // In the middle between the staves, if nothing hangs down so far.
    let top = lowest.max(STAFF + (BETWEEN_VOICE_STAVES - height) / 2.0);
    let baseline = top + height;
    for (place, (figure, letters, left)) in placed.iter().enumerate() {
        let at = Point::new(*left, baseline);
        let ink = Ink::Letters { letters: Box::new(letters.clone()), at };
        upper.put(Item { role: Role::Figure, of: None, ink });
        let Some((_, _, next)) = placed.get(place + 1).filter(|_| figure.leads_on) else {
            continue;
        };
        let (from, to) = (*left + letters.width + BETWEEN, *next - BETWEEN);
        if to - from >= SHORTEST {
            let y = baseline - height / 2.0;
            upper.line(Role::Figure, None, Point::new(from, y), Point::new(to, y), LINE);
        }
    }
    // The other staff keeps clear of the whole row.
    if let (Some((_, _, left)), Some((_, letters, right))) = (placed.first(), placed.last()) {
        let row = Area::new(*left, top, *right + letters.width, baseline);
        upper.below.raise(row.left, row.right, row.bottom);
    }
}
