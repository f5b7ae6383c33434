//! Heads beside one another: seconds, unisons, voices that cross.

use score::Beam;

use super::{Chord, Head, y_of};
use crate::glyphs::{Sign, Signs};
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
/// Chords that share a stem are one: their heads stand on it as those of one voice do. The outer
/// ones come first; they stand above one another, or the lower one to the right where they are a
/// second apart (Read, Gould). Two voices share a head where it looks the same for both and their
/// stems go apart.
pub(super) fn place(chords: &mut [Chord], signs: &Signs) {
    let groups = on_one_stem(chords);
    for group in &groups {
        join(chords, group);
    }
    for rank in 1..groups.len() {
        let placed: Vec<usize> = groups[..rank].concat();
        let group = &groups[rank];
        let places = aside(chords, &placed, group, rank > 1);
        let least = places
            .into_iter()
            .map(|x| (clashes_of(chords, &placed, group, x, signs), x))
            .reduce(|best, next| if next.0 < best.0 { next } else { best });
        if let Some((clashes, x)) = least {
            let dotted = groups[..rank]
                .iter()
                .find(|before| x > Sp::ZERO && has_its_dot(chords, before, group));
            match dotted.and_then(|before| right_of(chords, before, &groups[..=rank], signs)) {
                Some((found, other)) if found <= clashes => {
                    let before = dotted.into_iter().flatten();
                    before.for_each(|place| chords[*place].shift(other));
                }
                _ => group.iter().for_each(|place| chords[*place].shift(x)),
            }
        }
        for other in &placed {
            for own in group {
                share_heads(chords, *other, *own);
            }
        }
    }
}

/// Shortens the strokes of breves that would touch heads above or below them.
pub(super) fn clear_strokes(chords: &mut [Chord], signs: &Signs) {
    let heads: Vec<(usize, Area)> = chords
        .iter()
        .enumerate()
        .flat_map(|(place, chord)| chord.head_areas(signs).map(move |area| (place, area)))
        .collect();
    for (place, chord) in chords.iter_mut().enumerate() {
        let touches = |own: Area| {
            let above_or_below = |other: Area| (own.top - other.top).abs() > Sp(0.6);
            heads.iter().any(|(_, other)| above_or_below(*other) && own.meets(*other))
        };
        let mut own = heads.iter().filter(|(of, _)| *of == place).map(|(_, area)| *area);
        if chord.head == Sign::HeadBreve && own.any(touches) {
            chord.head = Sign::HeadBreveAmongOthers;
        }
    }
}

/// Whether the dot of a chord would stand behind the head of another, at the same height, as if it were
/// that one's.
fn has_its_dot(chords: &[Chord], dotted: &[usize], other: &[usize]) -> bool {
    let places = |group: &[usize]| -> Vec<i32> {
        let heads = group.iter().flat_map(|place| &chords[*place].heads);
        heads.map(|head| head.place).collect()
    };
    let others = places(other);
    chords[dotted[0]].dotted
        && !chords[other[0]].dotted
        && places(dotted).iter().any(|place| others.contains(place))
}

/// Where the chords of one stem may stand to the right of all others, whose last have found no place
/// yet, and what all run into then.
fn right_of(
    chords: &[Chord],
    group: &[usize],
    groups: &[Vec<usize>],
    signs: &Signs,
) -> Option<(usize, Sp)> {
    let (last, placed) = groups.split_last()?;
    let mut others = placed.concat();
    others.retain(|place| !group.contains(place));
    let of_last = clashes_of(chords, &others, last, Sp::ZERO, signs);
    others.extend(last);
    let places = aside(chords, &others, group, false).into_iter().filter(|x| *x > Sp::ZERO);
    let with_clashes = places.map(|x| (of_last + clashes_of(chords, &others, group, x, signs), x));
    with_clashes.reduce(|best, next| if next.0 < best.0 { next } else { best })
}

/// How many things those that have their places run into when a group stands at `x`.
fn clashes_of(chords: &[Chord], placed: &[usize], group: &[usize], x: Sp, signs: &Signs) -> usize {
    let pairs = placed.iter().flat_map(|other| group.iter().map(move |own| (other, own)));
    pairs.map(|(other, own)| clashes(&chords[*other], &chords[*own], x, signs)).sum()
}

/// Where the chords of a stem may stand beside those that have their places, the nearest first:
/// above one another; so that the heads touch on both sides of one stem; or with white between.
fn aside(chords: &[Chord], placed: &[usize], group: &[usize], is_third: bool) -> Vec<Sp> {
    /// To the right, where nothing looks as if it came before the beat, is better than to the left by
    /// as much;
    const RIGHT: Sp = Sp(0.8);
    /// but a third part not so far to the right that it looks as if it came after: two millimetres on
    /// a staff of six.
    const LATE: Sp = Sp(2.0 / 1.5);
    let edges = |group: &[usize]| -> Vec<Sp> {
        let heads = group.iter().flat_map(|place| {
            let chord = &chords[*place];
            chord.heads.iter().map(|head| head.x + chord.width)
        });
        let mut edges: Vec<Sp> = heads.collect();
        edges.sort_by(|one, two| one.0.total_cmp(&two.0));
        edges.dedup();
        edges
    };
    let own = edges(group);
    let mut places = vec![Sp::ZERO];
    for by in [-STEM, Sp(0.1), Sp(0.5)] {
        places.extend(edges(placed).into_iter().map(|edge| edge + by));
        places.extend(own.iter().map(|edge| -*edge - by));
    }
    let farthest = |edges: Vec<Sp>| edges.last().copied().unwrap_or(Sp::ZERO);
    let (placed, own) = (farthest(edges(placed)), farthest(own));
    places.extend([placed * 2.0, -own - placed]);
    let far = |x: &Sp| match *x {
        left if left < Sp::ZERO => RIGHT - left,
        late if is_third && late > LATE => late + RIGHT * 2.0,
        right => right,
    };
    places.sort_by(|one, two| far(one).0.total_cmp(&far(two).0));
    places
}

/// The chords of each stem: first those of the highest stem upwards, then those of the lowest
/// downwards, then the others from the top.
fn on_one_stem(chords: &[Chord]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::with_capacity(chords.len());
    for (place, chord) in chords.iter().enumerate() {
        let joins =
            |group: &&mut Vec<usize>| group.iter().all(|other| same_stem(&chords[*other], chord));
        match groups.iter_mut().find(joins) {
            Some(group) => group.push(place),
            None => groups.push(vec![place]),
        }
    }
    if groups.len() < 2 {
        return groups;
    }
    let highest = |group: &[usize]| group.iter().map(|place| chords[*place].highest()).max();
    groups.sort_by_key(|group| std::cmp::Reverse(highest(group)));
    let up = groups.iter().position(|group| chords[group[0]].up).unwrap_or(0);
    let first = groups.remove(up);
    groups.insert(0, first);
    if let Some(down) =
        groups.iter().rposition(|group| !chords[group[0]].up).filter(|down| *down > 0)
    {
        let second = groups.remove(down);
        groups.insert(1, second);
    }
    groups
}

/// How many things of a placed chord another one runs into when it stands at `x`.
fn clashes(placed: &Chord, chord: &Chord, x: Sp, signs: &Signs) -> usize {
    let aligned = (placed.x - chord.x - x).abs() < Sp(0.001);
    let shares = aligned && shares_heads(placed, chord);
    // Round heads are oval: corners of their rectangles may meet. The strokes of a breve may not.
    let square = [placed, chord].iter().any(|chord| chord.head == Sign::HeadBreve);
    let corner = if square { Sp(0.03) } else { Sp(-0.1) };
    let oval = |area: Area| flat(area).grown(corner, Sp::ZERO);
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
    for (one, two, at) in [(placed, chord, -x), (chord, placed, x)] {
        let Some(flag) = one.flag_area(signs) else { continue };
        // Counted from where the other chord is.
        let flag = flag.moved(at, Sp::ZERO).grown(Sp(-0.05), Sp(-0.1));
        let stem = two.stem_area().into_iter();
        let in_the_way = two.head_areas(signs).map(oval).chain(stem).chain(two.flag_area(signs));
        clashes += in_the_way.filter(|area| area.meets(flag)).count();
    }
    if placed.up == chord.up {
        clashes += beam_clashes(placed, chord, x) + beam_clashes(chord, placed, -x);
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

/// How often the beam of a chord runs through the stem of another, which goes to the same side,
/// when that stands so far to the right.
fn beam_clashes(beamed: &Chord, other: &Chord, x: Sp) -> usize {
    let (Some(own), Some(stem)) = (beamed.stem, other.stem) else { return 0 };
    let off = stem.x + x - own.x;
    let meets = |beam: &Beam| match beam {
        Beam::Begins | Beam::HookForward => off > Sp::ZERO,
        Beam::Ends | Beam::HookBack => off < Sp::ZERO,
        Beam::GoesOn => true,
    };
    2 * usize::from(beamed.beams.first().is_some_and(meets))
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
        && (one.up != two.up || one.stem.is_none())
}

/// Whether two voices can have one stem. One that has no beam of its own hangs on the other's.
fn same_stem(one: &Chord, two: &Chord) -> bool {
    let beams = |chord: &Chord| (chord.beams.clone(), chord.beam_span);
    one.up == two.up
        && one.value == two.value
        && one.dotted == two.dotted
        && one.tuplet == two.tuplet
        && one.stem.is_some()
        && two.stem.is_some()
        && (!one.is_beamed() || !two.is_beamed() || beams(one) == beams(two))
}

/// Sets the heads of chords on their one stem: voices have a head in common where they meet, and
/// the chord that reaches farthest draws the end of the stem.
fn join(chords: &mut [Chord], group: &[usize]) {
    let [_, _, ..] = group else { return };
    let mut heads: Vec<(usize, usize)> = Vec::new();
    for place in group {
        heads.extend((0..chords[*place].heads.len()).map(|rank| (*place, rank)));
    }
    let (up, width) = (chords[group[0]].up, chords[group[0]].width);
    heads.sort_by_key(|(place, rank)| chords[*place].heads[*rank].place);
    let mut placed: Vec<Head> = Vec::with_capacity(heads.len());
    for (place, rank) in &heads {
        let head = &chords[*place].heads[*rank];
        let Head { place, alteration, .. } = *head;
        if placed.last().is_none_or(|last| (last.place, last.alteration) != (place, alteration)) {
            placed.push(Head { place, alteration, x: Sp::ZERO, shared: false });
        }
    }
    displace_seconds(&mut placed, up, width);
    let mut next = 0;
    let mut before: Option<(i32, i8)> = None;
    for (place, rank) in heads {
        let head = &mut chords[place].heads[rank];
        let here = (head.place, head.alteration);
        head.shared = before == Some(here);
        next += usize::from(!head.shared && before.is_some());
        head.x = placed[next].x;
        before = Some(here);
    }
    let reaches = |chord: &Chord| {
        let y = y_of(chord.outermost());
        if up { -y } else { y }
    };
    let outer = group
        .iter()
        .copied()
        .reduce(|one, two| if reaches(&chords[two]) > reaches(&chords[one]) { two } else { one });
    let tip = outer.and_then(|outer| chords[outer].stem).map(|stem| stem.tip);
    let beamed = group.iter().any(|place| chords[*place].is_beamed());
    for place in group {
        let chord = &mut chords[*place];
        chord.hung = beamed && !chord.is_beamed();
        chord.joined = chord.hung || Some(*place) != outer;
        if let (Some(stem), Some(tip)) = (&mut chord.stem, tip) {
            stem.tip = tip;
        }
    }
}

/// Lets a newly placed chord have heads of another in common, where they stand in one place.
fn share_heads(chords: &mut [Chord], other: usize, chord: usize) {
    let (one, two) = (&chords[other], &chords[chord]);
    if (one.x - two.x).abs() > Sp(0.001) || !shares_heads(one, two) {
        return;
    }
    let places: Vec<(i32, i8, Sp)> =
        one.heads.iter().map(|head| (head.place, head.alteration, head.x)).collect();
    for head in &mut chords[chord].heads {
        head.shared |= places.contains(&(head.place, head.alteration, head.x));
    }
}
