//! What stands in brackets: accidentals that are not needed or not the source's, and notes that the
//! editor supplied.

use score::{Arrangement, Edges, TimedEvent};

use super::{Chord, RestSign};
use crate::frame::Origin;
use crate::glyphs::{Sign, Signs};
use crate::units::{Area, Sp};

/// The width of a bracket, with the white on both its sides.
pub(crate) const ENCLOSURE: Sp = Sp(0.42);

/// How far a bracket reaches above and below what it encloses, and what an accidental's does.
pub(crate) const BEYOND: Sp = Sp(0.85);
pub(crate) const AROUND_ACCIDENTAL: Sp = Sp(1.2);

/// Enclosed accidentals are a little smaller.
pub(crate) const ENCLOSED: f64 = 0.8;

/// What stands around something (common practice of editions).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Enclosure {
    /// Parentheses: an accidental that only confirms what is read anyway.
    Round,
    /// Square brackets: the editor's.
    Square,
}

/// A square bracket before or behind a note.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct NoteBracket {
    pub(crate) opens: bool,
    /// Its left edge.
    pub(crate) x: Sp,
    pub(crate) top: Sp,
    pub(crate) bottom: Sp,
}

impl NoteBracket {
    pub(crate) fn area(self) -> Area {
        Area::new(self.x, self.top, self.x + ENCLOSURE, self.bottom)
    }
}

/// Whether a sign is the first or the last of what the editor supplied; nothing if it was not.
pub(super) fn supplied(arrangement: &Arrangement<'_>, origin: Origin) -> Option<Edges> {
    let segment = &arrangement.bars[origin.bar].voices[origin.voice][origin.place];
    let events = &arrangement.score.voices[origin.voice].events;
    let is_supplied = |place: usize| {
        // The silence before a canon enters is nobody's reading.
        let supplied = |event: &TimedEvent| {
            event.standing == notation::Standing::Supplied && event.item.is_some()
        };
        events.get(place).is_some_and(supplied)
    };
    if !is_supplied(segment.event) {
        return None;
    }
    // Rests may be joined to one sign.
    let next = events.partition_point(|event| event.onset < segment.end()).max(segment.event + 1);
    let before = segment.event.checked_sub(1).is_some_and(is_supplied);
    Some(Edges {
        begins: segment.onset <= events[segment.event].onset && !before,
        ends: segment.end() >= events[next - 1].end() && !is_supplied(next),
    })
}

/// Places the brackets around supplied notes, clear of everything else of the staff.
pub(super) fn place(chords: &mut [Chord], signs: &Signs) {
    if chords.iter().all(|chord| chord.supplied.is_none()) {
        return;
    }
    let mut obstacles: Vec<Area> = Vec::new();
    for chord in chords.iter() {
        obstacles.extend(chord.head_areas(signs));
        obstacles.extend(chord.stem_area());
        obstacles.extend(chord.flag_area(signs));
        obstacles.extend(chord.accidentals.iter().map(|sign| sign.area(signs)));
        obstacles.extend(chord.dots.iter().map(|(x, y)| signs.area(Sign::Dot).moved(*x, *y)));
    }
    for chord in chords {
        let Some(edges) = chord.supplied else { continue };
        let heads = chord.head_areas(signs).reduce(Area::and).unwrap_or(Area::EMPTY);
        let middle = (heads.left + heads.right) / 2.0;
        let top = heads.top + Sp(0.5) - BEYOND;
        let bottom = heads.bottom - Sp(0.5) + BEYOND;
        for opens in [true, false] {
            if !(if opens { edges.begins } else { edges.ends }) {
                continue;
            }
            let x = if opens { heads.left - ENCLOSURE - Sp(0.15) } else { heads.right + Sp(0.15) };
            let mut bracket = NoteBracket { opens, x, top, bottom };
            for _ in 0..=obstacles.len() {
                let here = bracket.area().grown(Sp(0.08), Sp::ZERO);
                let hit = obstacles.iter().find(|other| {
                    let outside = if opens { other.left < middle } else { other.right > middle };
                    outside && other.meets(here)
                });
                let Some(other) = hit else { break };
                bracket.x =
                    if opens { other.left - ENCLOSURE - Sp(0.1) } else { other.right + Sp(0.1) };
            }
            obstacles.push(bracket.area());
            chord.brackets.push(bracket);
        }
    }
}

/// The brackets around a rest that stands at `x`.
pub(crate) fn around_rest(rest: &RestSign, x: Sp, signs: &Signs) -> Vec<NoteBracket> {
    let Some(edges) = rest.supplied else { return Vec::new() };
    let area = signs.area(rest.sign).moved(x, rest.y);
    let (top, bottom) = (area.top.min(rest.y - Sp(0.5)), area.bottom.max(rest.y + Sp(0.5)));
    let (top, bottom) = (top - Sp(0.25), bottom + Sp(0.25));
    let dot = if rest.dotted { Sp(0.7) } else { Sp::ZERO };
    let opening = (edges.begins, true, area.left - ENCLOSURE - Sp(0.15));
    let closing = (edges.ends, false, area.right + dot + Sp(0.15));
    let both = [opening, closing].into_iter().filter(|(there, ..)| *there);
    both.map(|(_, opens, x)| NoteBracket { opens, x, top, bottom }).collect()
}
