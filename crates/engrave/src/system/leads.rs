//! Where a voice goes over to the other hand in the middle of a phrase: a thin line from the last
//! head on the one staff to the first on the other (Gould, chapter on keyboard music; from memory).

use crate::column::{Chord, y_of};
use crate::frame::{Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::practice::{STAFF, VOICE_LEAD};
use crate::units::{Area, Point, Sp};

use super::Workshop;
use super::voice_line::VoiceLine;

/// The white between the line and what it joins.
const CLEAR: Sp = Sp(0.25);

/// A line that would be shorter than this says nothing.
const SHORTEST: f64 = 0.5;

/// Draws the lines of a system whose staves have their places. Across the break of a system there
/// is none.
pub(super) fn draw(workshop: &Workshop<'_>, lines: &[VoiceLine], frame: &mut Frame) {
    let tops: Vec<Sp> = frame.staves.iter().map(|staff| staff.bottom - STAFF).collect();
    for line in lines {
        for pair in line.chords.windows(2) {
            let [from, to] = pair else { continue };
            if from.origin.staff != to.origin.staff && joined(workshop, from, to) {
                let ends = ends(from, to, &tops, workshop.signs);
                frame.items.extend(ends.map(|(start, end)| {
                    let ink = Ink::Line { from: start, to: end, thickness: VOICE_LEAD };
                    Item { role: Role::VoiceLead, of: Some(to.origin), ink }
                }));
            }
        }
    }
}

/// Whether no rest parts two notes of a voice.
fn joined(workshop: &Workshop<'_>, from: &Chord, to: &Chord) -> bool {
    let origin = from.origin;
    let segment = &workshop.arrangement.bars[origin.bar].voices[origin.voice][origin.place];
    segment.end() == to.onset
}

/// Where the line begins and ends.
fn ends(from: &Chord, to: &Chord, tops: &[Sp], signs: &Signs) -> Option<(Point, Point)> {
    let down = from.origin.staff < to.origin.staff;
    let (start, start_area) = head(from, down, tops, signs)?;
    let (end, mut end_area) = head(to, !down, tops, signs)?;
    // What stands before the note is joined with it.
    let top = tops[to.origin.staff];
    for sign in &to.accidentals {
        let area = sign.area(signs).moved(Sp::ZERO, top);
        if area.top <= end.y && area.bottom >= end.y {
            end_area = end_area.and(area);
        }
    }
    let length = (end.x - start.x).0.hypot((end.y - start.y).0);
    let at = |way: f64| {
        let part = way / length;
        Point::new(start.x + (end.x - start.x) * part, start.y + (end.y - start.y) * part)
    };
    let leaves = beyond(start, end, start_area) + CLEAR.0;
    let arrives = length - beyond(end, start, end_area) - CLEAR.0;
    (arrives - leaves >= SHORTEST).then(|| (at(leaves), at(arrives)))
}

/// The head of a note that is nearest to the other staff: its middle and its rectangle.
fn head(chord: &Chord, down: bool, tops: &[Sp], signs: &Signs) -> Option<(Point, Area)> {
    let head = if down { chord.heads.first() } else { chord.heads.last() }?;
    let y = tops[chord.origin.staff] + y_of(head.place);
    let area = signs.area(chord.head).moved(head.x, y);
    Some((Point::new(head.x + chord.width / 2.0, y), area))
}

/// How far it is from a point to where the way to another leaves a rectangle around the first.
fn beyond(from: Point, to: Point, area: Area) -> f64 {
    let (across, along) = ((to.x - from.x).0, (to.y - from.y).0);
    let part = |way: f64, room: Sp| if way == 0.0 { f64::INFINITY } else { room.0 / way.abs() };
    let sideways =
        part(across, if across > 0.0 { area.right - from.x } else { from.x - area.left });
    let upright = part(along, if along > 0.0 { area.bottom - from.y } else { from.y - area.top });
    sideways.min(upright) * across.hypot(along)
}

#[cfg(test)]
mod tests {
    use crate::frame::{Ink, Item, Role};
    use crate::testing::picture;

    /// The lines of a piece.
    fn leads(text: &str) -> Vec<Item> {
        let items = picture(text).blocks.into_iter().flat_map(|block| block.frame.items);
        items.filter(|item| item.role == Role::VoiceLead).collect()
    }

    /// The tenor's low E can only be the left hand's.
    const LED: &str = "voice A clef C1\n br B4 B\nvoice B clef C1\n br G4 G\n\
                       voice T clef C4\n br A3 E\nvoice F clef F4\n br F2 D3\n";

    #[test]
    fn a_voice_is_led_to_the_other_hand() {
        let leads = leads(LED);
        let [Item { of: Some(of), ink: Ink::Line { from, to, .. }, .. }] = leads.as_slice() else {
            panic!("{leads:#?}")
        };
        assert_eq!((of.voice, of.index, of.staff), (2, Some(2), 1));
        assert!(from.x < to.x && from.y < to.y);
    }

    #[test]
    fn after_a_rest_it_begins_anew() {
        assert_eq!(leads(&LED.replace("br A3 E", "sb A3 _ br E")), []);
    }
}
