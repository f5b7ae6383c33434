//! Heads beside one another: seconds, unisons, voices that cross.

use super::{Chord, Head, y_of};
use crate::glyphs::Signs;
use crate::practice::STEM;
use crate::units::{Area, Sp};

/// Inside one chord, the second head of a second stands on the other side of the stem: counted
/// from the lowest head where the stem goes up, from the highest where it goes down (Read, Gould).
/// Heads are sorted from the lowest.
pub(super) fn displace_seconds(heads: &mut [Head], up: bool, width: Sp) {
    let by = if up { width - STEM } else { STEM - width };
    let count = heads.len();
    let mut before: Option<(i32, bool)> = None;
    for rank in 0..count {
        let head = &mut heads[if up { rank } else { count - 1 - rank }];
        let displaced =
            before.is_some_and(|(place, displaced)| !displaced && (head.place - place).abs() <= 1);
        if displaced {
            head.x += by;
        }
        before = Some((head.place, displaced));
    }
}

/// Moves the chords of a column aside until none runs into another.
///
/// The outer voices come first; they stand above one another, or the lower one to the right where
/// they are a second apart (Read, Gould). Two voices share a head where it looks the same for
/// both and their stems go apart; voices with stems to the same side share a stem where they
/// move in the same values.
pub(super) fn place(chords: &mut [Chord], signs: &Signs) {
    let mut order: Vec<usize> = Vec::with_capacity(chords.len());
    order.extend(chords.iter().position(|chord| chord.up));
    order.extend(chords.iter().rposition(|chord| !chord.up));
    let inner: Vec<usize> = (0..chords.len()).filter(|place| !order.contains(place)).collect();
    order.extend(inner);
    for rank in 1..order.len() {
        let (placed, chord) = (&order[..rank], order[rank]);
        let widest = placed.iter().map(|place| chords[*place].width).fold(Sp::ZERO, Sp::max);
        let own = chords[chord].width;
        let candidates = [
            Sp::ZERO,
            widest - STEM,
            Sp(-0.4),
            STEM - own,
            widest + Sp(0.12),
            -own - Sp(0.12),
            Sp(0.5),
            widest * 0.75,
            widest + Sp(0.5),
            -own - Sp(0.5),
            widest * 2.0,
            -own - widest,
            widest * 2.0 + Sp(0.5),
            -own - widest - Sp(0.5),
        ];
        let least = candidates
            .into_iter()
            .map(|x| {
                let clashes: usize = placed
                    .iter()
                    .map(|other| clashes(&chords[*other], &chords[chord], x, signs))
                    .sum();
                (clashes, x)
            })
            .reduce(|best, next| if next.0 < best.0 { next } else { best });
        if let Some((_, x)) = least {
            chords[chord].shift(x);
        }
        let placed = placed.to_vec();
        join(chords, &placed, chord);
    }
}

/// How many things of a placed chord another one runs into when it stands at `x`.
fn clashes(placed: &Chord, chord: &Chord, x: Sp, signs: &Signs) -> usize {
    let aligned = (placed.x - chord.x - x).abs() < Sp(0.001);
    let joins = aligned && same_stem(placed, chord);
    let shares = aligned && shares_heads(placed, chord);
    // Heads are oval: corners of their rectangles may meet.
    let oval = |area: Area| flat(area).grown(Sp(-0.1), Sp::ZERO);
    let mut clashes = 0;
    for (one, here) in placed.heads.iter().zip(placed.head_areas(signs)) {
        for (two, there) in chord.heads.iter().zip(chord.head_areas(signs)) {
            let same = shares && one.place == two.place && one.alteration == two.alteration;
            let there = there.moved(x, Sp::ZERO);
            // Side by side, they touch at most.
            let level = one.place == two.place && flat(here).meets(flat(there));
            if !same && (level || oval(here).meets(oval(there))) {
                clashes += 2;
            }
        }
    }
    if joins {
        return clashes;
    }
    for (one, two, at) in [(placed, chord, -x), (chord, placed, x)] {
        let Some(flag) = one.flag_area(signs) else { continue };
        // Counted from where the other chord is.
        let flag = flag.moved(at, Sp::ZERO).grown(Sp(-0.05), Sp(-0.1));
        let stem = two.stem_area().into_iter();
        let in_the_way = two.head_areas(signs).map(oval).chain(stem).chain(two.flag_area(signs));
        clashes += in_the_way.filter(|area| area.meets(flag)).count();
    }
    let free = |stem: Area| stem.grown(Sp(0.1), Sp(-0.1));
    let stem = placed.stem_area().map(free);
    let moved_stem = chord.stem_area().map(|area| free(area.moved(x, Sp::ZERO)));
    if let (Some(one), Some(two)) = (stem, moved_stem)
        && one.meets(two)
    {
        clashes += 1;
    }
    let heads_of_chord = chord.heads.iter().zip(chord.head_areas(signs));
    let shared = |chord: &Chord, place| shares && chord.heads.iter().any(|h| h.place == place);
    for (head, area) in heads_of_chord {
        let area = area.moved(x, Sp::ZERO).grown(Sp::ZERO, Sp(-0.07));
        if stem.is_some_and(|stem| stem.meets(area)) && !shared(placed, head.place) {
            clashes += 1;
        }
    }
    for (head, area) in placed.heads.iter().zip(placed.head_areas(signs)) {
        let area = area.grown(Sp::ZERO, Sp(-0.07));
        if moved_stem.is_some_and(|stem| stem.meets(area)) && !shared(chord, head.place) {
            clashes += 1;
        }
    }
    clashes
}

/// The rectangle of a head, no higher than a space: the sides of a breve may touch those of
/// another a third away.
fn flat(area: Area) -> Area {
    let middle = (area.top + area.bottom) / 2.0;
    Area {
        top: area.top.max(middle - Sp(0.46)),
        bottom: area.bottom.min(middle + Sp(0.46)),
        ..area
    }
}

/// Whether two voices can have one head: it looks the same for both, dot included, and their
/// stems go apart.
fn shares_heads(one: &Chord, two: &Chord) -> bool {
    one.head == two.head
        && one.dotted == two.dotted
        && one.unwritten == two.unwritten
        && (one.up != two.up || one.stem.is_none() || same_stem(one, two))
}

/// Whether two voices can have one stem.
pub(crate) fn same_stem(one: &Chord, two: &Chord) -> bool {
    one.up == two.up
        && one.value == two.value
        && one.dotted == two.dotted
        && one.beams == two.beams
        && one.tuplet == two.tuplet
        && one.stem.is_some()
        && two.stem.is_some()
}

/// Notes which heads and stems the newly placed chord has in common with the others.
fn join(chords: &mut [Chord], placed: &[usize], chord: usize) {
    for other in placed {
        let (one, two) = (&chords[*other], &chords[chord]);
        if (one.x - two.x).abs() > Sp(0.001) {
            continue;
        }
        if shares_heads(one, two) {
            let places: Vec<(i32, i8)> =
                one.heads.iter().map(|head| (head.place, head.alteration)).collect();
            for head in &mut chords[chord].heads {
                head.shared |= places.contains(&(head.place, head.alteration));
            }
        }
        let (one, two) = (&chords[*other], &chords[chord]);
        if same_stem(one, two) {
            // The one farther out draws the end; both stems reach it.
            let reaches = |chord: &Chord| {
                let y = y_of(chord.outermost());
                if chord.up { -y } else { y }
            };
            let outer = if reaches(one) >= reaches(two) { *other } else { chord };
            let inner = if outer == chord { *other } else { chord };
            let tip = chords[outer].stem.map(|stem| stem.tip);
            chords[inner].joined = true;
            if let (Some(stem), Some(tip)) = (&mut chords[inner].stem, tip) {
                stem.tip = tip;
            }
        }
    }
}
