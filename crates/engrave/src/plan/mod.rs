//! The plan of a piece as a drawing: a band for each voice over the bars, grey where it sounds; entries
//! as open bars with one pattern a subject; beneath them how many voices sound, and the cadences.
//!
//! All of it is legible in black and white. A long piece has several systems of bars, all at one scale.

mod key;
mod labels;
mod pattern;
mod system;

use std::ops::Range;

use rudiments::Time;
use score::Plan;

use crate::frame::{Block, BlockKind, Frame, Picture};
use crate::glyphs::Signs;
use crate::lettering::Letterer;
use crate::look::Look;
use crate::practice::STAFF;
use crate::units::{Area, Mm, Sp};
use system::Ruler;

/// A minim is at least so wide: labels of entries fit over two breves or three.
const NARROWEST_MINIM: f64 = 1.05;

/// Nor is it wider than this, so that a short piece does not look like a long one.
const WIDEST_MINIM: f64 = 3.0;

/// Between two systems of bars, and before the key.
const BETWEEN: Sp = Sp(3.0);

/// Draws a plan as a picture of its own, in the width and with the margin of the look. A staff space
/// of the look is the measure of its letters.
///
/// ```
/// use engrave::{Look, audit, plan, svg};
/// use score::{BarLength, Plan, PlannedSubject, PlannedEntry, align, reckon};
///
/// let piece = notation::parse("voice Cantus clef C1\n  sb A4 B br C5 sb A lg D //\n").piece;
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
/// let mut of_piece = Plan::of(&score);
/// of_piece.subjects.push(PlannedSubject { name: "S1".into(), notes: "A B C".into() });
/// of_piece.entries.push(PlannedEntry {
///     voice: 0,
///     from: score.voices[0].events[0].onset,
///     to: score.voices[0].events[2].end(),
///     subject: 0,
///     inverted: false,
///     label: "model".into(),
/// });
/// let picture = plan(&of_piece, &Look::default());
/// assert_eq!(audit(&picture), []);
/// assert!(svg(&picture, &|_| 0).contains("S1 model"));
/// ```
pub fn plan(plan: &Plan, look: &Look) -> Picture {
    let [smallest, largest] = Look::STAFF_RANGE;
    let space = Mm(look.staff.max(smallest).min(largest).0 / STAFF.0);
    let [narrowest, widest] = Look::WIDTH_RANGE;
    let page = look.width.max(narrowest).min(widest);
    let (letterer, signs) = (Letterer::default(), Signs::all());
    let width = Sp((page - look.margin * 2.0) / space);
    let mut blocks = Vec::new();
    let mut y = look.margin;
    for frame in frames(plan, width, &letterer, signs) {
        let area = frame.area.unwrap_or(Area::new(Sp::ZERO, Sp::ZERO, Sp::ZERO, Sp::ZERO));
        let top = y + Mm(-area.top.0 * space.0);
        y = top + Mm((area.bottom + BETWEEN).0 * space.0);
        blocks.push(Block { x: look.margin, y: top, kind: BlockKind::Plan, frame });
    }
    let height = if blocks.is_empty() { y } else { y - Mm(BETWEEN.0 * space.0) };
    Picture {
        title: None,
        composer: None,
        source: None,
        voices: plan.voices.iter().map(|voice| voice.name.clone()).collect(),
        width: page,
        height: height + look.margin,
        margin: look.margin,
        space,
        page_begins: Vec::new(),
        blocks,
    }
}

/// The systems of bars of a plan in this width, from the top, and last its key; nothing of a plan
/// without bars.
pub(crate) fn frames(plan: &Plan, width: Sp, letterer: &Letterer, signs: &Signs) -> Vec<Frame> {
    let names = system::names(plan, letterer);
    let left = system::left(&names);
    let room = (width - left).max(Sp(NARROWEST_MINIM * 4.0));
    let systems = systems(plan, room);
    let Some(longest) = systems.iter().map(|bars| minims(span(plan, bars))).reduce(f64::max) else {
        return Vec::new();
    };
    let scale = (room.0 / longest.max(1.0)).min(WIDEST_MINIM);
    let mut frames: Vec<Frame> = systems
        .iter()
        .map(|bars| {
            let (from, to) = span(plan, bars);
            let ruler = Ruler { from, to, left, scale };
            system::draw(plan, bars.clone(), ruler, &names, letterer, signs)
        })
        .collect();
    frames.extend(key::draw(plan, width, letterer, signs));
    frames
}

/// How many minims a stretch of time has.
fn minims((from, to): (Time, Time)) -> f64 {
    let length = to - from;
    length.numerator() as f64 / length.denominator() as f64
}

/// From when to when some bars go.
fn span(plan: &Plan, bars: &Range<usize>) -> (Time, Time) {
    let end = plan.bars.get(bars.end).map_or(plan.length, |bar| bar.start);
    (plan.bars[bars.start].start, end)
}

/// The bars of each system: as few systems as there is room for, and as even as they can be.
fn systems(plan: &Plan, room: Sp) -> Vec<Range<usize>> {
    let most = room.0 / NARROWEST_MINIM + 1e-9;
    let needed = broken(plan, |system, _| minims(span(plan, &system)) > most).len();
    let share = minims((Time::ZERO, plan.length)) / needed.max(1) as f64;
    broken(plan, |system, before| {
        let reached = minims((Time::ZERO, plan.bars[system.end - 1].start));
        minims(span(plan, &system)) > most || reached >= share * (before + 1) as f64 - 1e-9
    })
}

/// Systems that end before a bar with which they would be too long; what decides is told of the system
/// with that bar, and how many are before it.
fn broken(plan: &Plan, too_long: impl Fn(Range<usize>, usize) -> bool) -> Vec<Range<usize>> {
    let mut systems: Vec<Range<usize>> = Vec::new();
    let mut from = 0;
    for bar in 1..plan.bars.len() {
        if too_long(from..bar + 1, systems.len()) {
            systems.push(from..bar);
            from = bar;
        }
    }
    if from < plan.bars.len() {
        systems.push(from..plan.bars.len());
    }
    systems
}

#[cfg(test)]
mod tests;
