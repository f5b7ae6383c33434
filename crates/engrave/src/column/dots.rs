//! Dots of addition: in spaces, behind everything that is in their way.

use super::{Chord, MIDDLE_LINE, y_of};
use crate::glyphs::{Sign, Signs};
use crate::practice::BEFORE_DOT;
use crate::units::{Area, Sp};

/// Within this distance of a head a dot above or below it reads as a sign of articulation (those stand
/// half a space to a space away; Ross, from memory).
const STACCATO: Sp = Sp(0.8);

/// Gives dotted notes their dots.
///
/// The dot of a note on a line stands in the space above; that of a lower voice that shares the
/// staff in the space below (Gould). A space that has a dot already takes no second one, unless
/// the voices share the head.
pub(super) fn place(chords: &mut [Chord], signs: &Signs) {
    let heads: Vec<Area> = chords.iter().flat_map(|chord| chord.head_areas(signs)).collect();
    let stems: Vec<Area> = chords.iter().filter_map(Chord::stem_area).collect();
    let flags: Vec<Area> = chords.iter().filter_map(|chord| chord.flag_area(signs)).collect();
    let mut taken: Vec<i32> = Vec::new();
    for chord in chords.iter_mut().filter(|chord| chord.dotted) {
        let below = !chord.up && !chord.alone;
        let mut places = Vec::new();
        // From the stem's side inwards, so that the outer notes have the first choice.
        for head in chord.heads.iter().filter(|head| !head.shared) {
            let on_line = head.place.rem_euclid(2) == 0;
            let choices = match (on_line, below) {
                (true, false) => [head.place + 1, head.place - 1],
                (true, true) => [head.place - 1, head.place + 1],
                (false, false) => [head.place, head.place + 2],
                (false, true) => [head.place, head.place - 2],
            };
            let free = choices.into_iter().find(|place| !taken.contains(place));
            let place = free.unwrap_or(choices[0]);
            debug_assert!(place.rem_euclid(2) == 1 && MIDDLE_LINE % 2 == 0);
            taken.push(place);
            places.push(place);
        }
        let dot = signs.area(Sign::Dot);
        let own = chord.heads.iter().map(|head| head.x + chord.width).fold(Sp(-9.0), Sp::max);
        let mut x = own + BEFORE_DOT;
        // Behind all heads, stems and flags at the height of a dot; and close above or below no head, as
        // if it made that one shorter.
        for _ in 0..8 {
            let hit = places.iter().find_map(|place| {
                let area = dot.moved(x, y_of(*place)).grown(Sp(0.2), Sp(0.02));
                let above_or_below = area.grown(Sp::ZERO, STACCATO);
                let of_head = heads.iter().find(|head| head.meets(above_or_below));
                of_head.or_else(|| stems.iter().chain(&flags).find(|other| other.meets(area)))
            });
            let Some(hit) = hit else { break };
            x = hit.right + BEFORE_DOT;
        }
        chord.dots = places.into_iter().map(|place| (x, y_of(place))).collect();
    }
}
