//! Readings nearly as likely, of which the one is taken under which the voices agree.

use std::collections::BTreeMap;

use counterpoint::mend::{OtherReading, Repair, Weighed, weighed};
use facsimile::{Change, Instead, Kind, Sort};
use notation::{Piece, Sound};
use score::{BarLength, align, reckon};

use crate::things::{Played, Thing, follows};
use crate::voice::Set;
use crate::{Part, StaffLine};

/// What else a sort may be is weighed down to these odds, as a logarithm.
const LEAST: f32 = -6.0;

/// A change of a row, by which its other reading is told.
struct Asked {
    voice: usize,
    line: usize,
    /// Its place among the changes of the row.
    change: usize,
}

/// The parts as all voices together have them, from the voices as they are set and the piece that these
/// make.
pub(crate) fn agreed(parts: &[Part], sets: &[Set], piece: &Piece) -> Vec<Part> {
    let (mut asked, mut readings): (Vec<Asked>, Vec<OtherReading>) = (Vec::new(), Vec::new());
    for (voice, (part, set)) in parts.iter().zip(sets).enumerate() {
        for (line, staff) in part.lines.iter().enumerate() {
            for (number, change) in staff.row.changes.iter().enumerate() {
                if change.odds >= LEAST
                    && let Some((item, repair)) = repair(set, staff, line, change)
                {
                    asked.push(Asked { voice, line, change: number });
                    readings.push(OtherReading { voice, item, repair, odds: change.odds.into() });
                }
            }
        }
    }
    let score = align(piece, reckon(piece), BarLength::Breve).score;
    let answers = weighed(piece, &score, &readings);
    let mut parts = parts.to_vec();
    let mut made: BTreeMap<(usize, usize), Vec<Change>> = BTreeMap::new();
    for (Asked { voice, line, change }, Weighed { taken, odds }) in asked.iter().zip(&answers) {
        let one = &mut parts[*voice].lines[*line].row.changes[*change];
        one.odds = *odds as f32;
        if *taken {
            made.entry((*voice, *line)).or_default().push(*one);
        }
    }
    for ((voice, line), changes) in made {
        let row = &mut parts[voice].lines[line].row;
        *row = std::mem::take(row).with(changes);
    }
    parts
}

/// What a change of a row is at a note or rest, with its place among the items of the voice. Nothing where
/// it is of something else, or of two things at once.
fn repair(set: &Set, staff: &StaffLine, line: usize, change: &Change) -> Option<(usize, Repair)> {
    let events = || {
        set.things.iter().enumerate().filter_map(|(item, thing)| match thing {
            Thing::Event(played) => Some((item, played)),
            Thing::Other(_) => None,
        })
    };
    let own = || events().filter(|(_, played)| played.line == line);
    let holds = || own().find(|(_, played)| played.sorts.contains(&change.place));
    match change.instead {
        Instead::Other(sort) => {
            let (item, played) = holds()?;
            let read = staff.row.sorts[change.place].sort;
            Some((item, other(played, read, sort, change.place == played.sorts[0])?))
        }
        Instead::Nothing => {
            let (item, played) = holds()?;
            if change.place == played.sorts[0] {
                return Some((item, Repair::Delete));
            }
            match staff.row.sorts[change.place].sort.kind {
                Kind::Dot => {
                    let value = played.event.value;
                    Some((item, Repair::Value { value, dotted: false }))
                }
                Kind::Accidental(_) => Some((item, Repair::Sign(None))),
                _ => None,
            }
        }
        Instead::Before(sort) if follows(sort.kind) => {
            let before = own().take_while(|(_, played)| played.sorts[0] < change.place).last();
            let (item, played) = before?;
            let is_dot = sort.kind == Kind::Dot && played.event.dot.is_none();
            let value = played.event.value;
            is_dot.then_some((item, Repair::Value { value, dotted: true }))
        }
        Instead::Before(sort) => {
            let after = |(_, played): &(usize, &Played)| {
                (played.line, played.sorts[0]) >= (line, change.place)
            };
            let (item, played) = events().find(after)?;
            Some((item, inserted(played, sort, line, set)?))
        }
    }
}

/// A sort instead of another of the same note or rest.
fn other(played: &Played, read: Sort, sort: Sort, is_main: bool) -> Option<Repair> {
    let dotted = played.event.dot.is_some();
    match (read.kind, sort.kind) {
        (Kind::Note { .. } | Kind::Bound(_), Kind::Note { value, .. } | Kind::Bound(value))
            if is_main =>
        {
            let (_, clef) = played.stands?;
            if read.place == sort.place {
                (value != played.event.value).then_some(Repair::Value { value, dotted })
            } else if value == played.event.value {
                Some(Repair::Tone(clef.tone_at(sort.place?)))
            } else {
                None
            }
        }
        // A rest over three spaces is as long as a dotted one over two.
        (Kind::Rest { .. }, Kind::Rest { value, spaces }) if is_main => {
            Some(Repair::Value { value, dotted: spaces == 3 || dotted && spaces == 0 })
        }
        (Kind::Accidental(was), Kind::Accidental(sign)) if was != sign => {
            Some(Repair::Sign(Some(sign)))
        }
        _ => None,
    }
}

/// A sort before a note or rest.
fn inserted(played: &Played, sort: Sort, line: usize, set: &Set) -> Option<Repair> {
    match sort.kind {
        Kind::Note { value, black: false } => {
            let clef = played.stands.map_or(set.clef, |(_, clef)| clef);
            let tone = clef.tone_at(sort.place?);
            Some(Repair::InsertNote { value, dotted: false, tone })
        }
        Kind::Rest { value, spaces: 0 | 2 } => Some(Repair::InsertRest { value }),
        Kind::Accidental(sign) => {
            let is_note = matches!(played.event.sound, Sound::Notes(_));
            let (place, _) = played.stands?;
            let is_of_it = is_note && played.line == line && Some(place) == sort.place;
            is_of_it.then_some(Repair::Sign(Some(sign)))
        }
        _ => None,
    }
}
