//! The stretches of time that are shaded: a light grey behind all staves.

use score::Shade;

use super::Workshop;
use super::moments::Moments;
use crate::drawn::rectangle;
use crate::frame::{Frame, Ink, Item, Role};
use crate::outline::Outline;
use crate::practice::STAFF;
use crate::units::Sp;

/// How far what is shaded reaches before its first note, and beyond the outer staff lines.
const BEFORE: Sp = Sp(0.6);
const BEYOND: Sp = Sp(1.2);

/// Draws what is shaded in a system whose staves stand. It lies behind all else.
pub(super) fn draw(workshop: &Workshop<'_>, moments: &Moments, frame: &mut Frame) {
    let shades = &workshop.arrangement.score.annotations.shades;
    let Some((first, last)) = moments.span() else { return };
    let bottom = frame.staves.last().map_or(STAFF, |staff| staff.bottom) + BEYOND;
    let inside = |shade: &&Shade| shade.from < last && first < shade.to && shade.from < shade.to;
    // What is shaded twice is not darker.
    let mut reached = first;
    let mut items = Vec::new();
    let mut inside: Vec<&Shade> = shades.iter().filter(inside).collect();
    inside.sort_by_key(|shade| (shade.from, shade.to));
    for Shade { from, to } in inside.into_iter().copied() {
        let (from, to) = (from.max(reached), to.min(last));
        if from >= to {
            continue;
        }
        reached = to;
        let (left, right) = (moments.edge(from, BEFORE), moments.edge(to, BEFORE));
        let outline = Outline::polygon(rectangle(left.0, -BEYOND.0, right.0, bottom.0));
        items.push(Item { role: Role::Shade, of: None, ink: Ink::Shaded(outline) });
    }
    let areas = items.iter().filter_map(|item| item.area(workshop.signs));
    frame.area = areas.chain(frame.area).reduce(crate::units::Area::and);
    frame.items.splice(0..0, items);
}
