//! Accidentals in columns before the heads.

use super::Chord;
use crate::glyphs::{Sign, Signs};
use crate::practice::{AFTER_ACCIDENTAL, BETWEEN_ACCIDENTALS};
use crate::units::{Area, Sp};

/// Places all accidentals of a staff at a moment: the highest next to the heads, then the
/// lowest, then the next from above, and so on inwards, each as far to the right as it can stand
/// (Read, Gould).
pub(super) fn place(chords: &mut [Chord], signs: &Signs) {
    // What two voices would both show at one place is shown once.
    let mut shown: Vec<(Sign, Sp)> = Vec::new();
    for chord in chords.iter_mut() {
        chord.accidentals.retain(|sign| {
            let new = !shown.contains(&(sign.sign, sign.y));
            shown.push((sign.sign, sign.y));
            new
        });
    }
    let mut order: Vec<(usize, usize)> = chords
        .iter()
        .enumerate()
        .flat_map(|(chord, c)| (0..c.accidentals.len()).map(move |place| (chord, place)))
        .collect();
    order.sort_by(|one, two| {
        let y = |(chord, place): &(usize, usize)| chords[*chord].accidentals[*place].y;
        let x = |(chord, _): &(usize, usize)| chords[*chord].x;
        y(one).0.total_cmp(&y(two).0).then(x(two).0.total_cmp(&x(one).0))
    });
    let mut obstacles: Vec<(Area, Sp)> = Vec::new();
    for chord in chords.iter() {
        obstacles.extend(chord.head_areas(signs).map(|area| (area, AFTER_ACCIDENTAL)));
        obstacles.extend(chord.stem_area().map(|area| (area, AFTER_ACCIDENTAL)));
    }
    let count = order.len();
    for turn in 0..count {
        let rank = if turn % 2 == 0 { turn / 2 } else { count - 1 - turn / 2 };
        let (chord, place) = order[rank];
        let (area, y, head) = {
            let shown = &chords[chord].accidentals[place];
            let area = shown.area(signs).moved(-shown.x, -shown.y);
            (area, shown.y, chords[chord].x.min(Sp::ZERO))
        };
        let mut x = head.min(chords[chord].x) - AFTER_ACCIDENTAL - area.width();
        for _ in 0..=obstacles.len() {
            let here = area.moved(x, y);
            // Obstacles keep their distance at the right; above and below, signs may come close.
            let hit = obstacles.iter().find(|(other, gap)| {
                here.grown(Sp::ZERO, Sp(0.04)).meets(other.grown(*gap - Sp(0.001), Sp::ZERO))
            });
            let Some((other, gap)) = hit else { break };
            x = other.left - *gap - area.width();
        }
        chords[chord].accidentals[place].x = x;
        obstacles.push((area.moved(x, y), BETWEEN_ACCIDENTALS));
    }
}
