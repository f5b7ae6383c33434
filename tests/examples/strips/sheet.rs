//! A line set with the sorts of a case on a staff of its own, with all that disturbs it in a print.

use engrave::Signs;
use facsimile::image::GrayImage;
use facsimile::{Kind, ROWS, SPACE, Sort};
use resvg::tiny_skia::{Color, FillRule, LineCap, Paint, Pixmap, Stroke, Transform};
use rudiments::Place;
use suite::Dice;

use crate::case::{Case, Drawing};
use crate::music::{Composer, Word};
use crate::words::Words;

/// A strip that was drawn, and what stands on it.
pub(crate) struct Strip {
    pub(crate) picture: GrayImage,
    pub(crate) sorts: Vec<Sort>,
}

/// A drawing at its place: in spaces from the left end of the staff, and below the middle line.
struct Placed {
    x: f64,
    y: f64,
    drawing: Drawing,
}

/// Draws a strip.
pub(crate) fn strip(dice: &mut Dice, signs: &Signs, words: &Words) -> Strip {
    let case = Case::thrown(dice, signs);
    // Some lines are set wide, as where signs stand under those of another voice.
    let (length, gap) = if dice.throw() < 0.12 {
        (dice.between(40.0, 120.0), dice.between(1.3, 6.0))
    } else {
        (dice.between(26.0, 62.0), dice.between(0.15, 1.3))
    };
    let uneven = dice.between(0.0, 0.7);
    let empty = dice.throw() < 0.03;
    let mut sorts = Vec::new();
    let mut placed: Vec<Placed> = Vec::new();
    let mut edges = vec![-0.2];
    let mut x = dice.between(-0.3, 1.2);
    if !empty {
        let seed = (dice.throw() * 1e9) as u64;
        let mut own = Dice::new(seed);
        let mut composer = Composer::new(&mut own);
        let mut put = |word: &Word, x: &mut f64, placed: &mut Vec<Placed>, dice: &mut Dice| {
            let before = *x;
            set(word, &case, x, placed, &mut sorts, dice);
            edges.push(before - 0.05);
            let by = match word {
                Word::One(Sort { kind: Kind::Accidental(_), .. }) => gap * 0.3,
                Word::One(Sort { kind: Kind::Clef(_), .. }) => gap * 0.5,
                _ => gap,
            };
            *x += by * (1.0 + uneven * dice.between(-1.0, 1.0)) + 0.05;
        };
        let above = dice.throw() < 0.7;
        let mut before: Option<(Sort, f64)> = None;
        for sort in composer.opening() {
            // The same sign at another octave may stand above it.
            if let Some((lower, at)) = before
                && lower.kind == sort.kind
                && above
                && lower.place.map(|place| place + 7) == sort.place
            {
                x = at;
            }
            before = Some((sort, x));
            put(&Word::One(sort), &mut x, &mut placed, dice);
        }
        // Some lines end long before the staff does.
        let end = if dice.throw() < 0.12 { length * dice.between(0.2, 0.8) } else { length - 5.0 };
        while x < end {
            for word in composer.phrase() {
                put(&word, &mut x, &mut placed, dice);
                if x > length - 2.0 {
                    break;
                }
            }
        }
        for word in composer.ending() {
            if matches!(word, Word::One(Sort { kind: Kind::Direct, .. })) {
                x = x.max(length - case.direct().width - dice.between(0.0, 2.0));
            }
            put(&word, &mut x, &mut placed, dice);
        }
    }
    let length = length.max(x + dice.between(0.0, 1.0));
    edges.push(x);
    while x < length {
        x += dice.between(0.5, 4.0);
        edges.push(x.min(length));
    }
    let picture = inked(dice, &placed, &edges, length, words);
    Strip { picture, sorts }
}

/// Sets a word from `x` on.
fn set(
    word: &Word,
    case: &Case<'_>,
    x: &mut f64,
    placed: &mut Vec<Placed>,
    sorts: &mut Vec<Sort>,
    dice: &mut Dice,
) {
    let y_of = |place: Place| f64::from(6 - place) / 2.0;
    let sort = match word {
        Word::Ligature(notes) => {
            for (number, (note, shape)) in notes.iter().enumerate() {
                sorts.push(Sort::at(Kind::Bound(note.value), note.place));
                let goes_on = notes.get(number + 1).is_some();
                if goes_on && shape.body == rudiments::Body::ObliqueBegins {
                    sorts.push(Sort::of(Kind::Oblique));
                }
            }
            let drawing = case.ligature(notes);
            let width = drawing.width;
            placed.push(Placed { x: *x, y: y_of(notes[0].0.place), drawing });
            *x += width;
            return;
        }
        Word::One(sort) => *sort,
    };
    sorts.push(sort);
    let y = sort.place.map_or(0.0, y_of);
    let last = placed.last().map_or(0.0, |last| last.x + last.drawing.width / 2.0);
    let height = placed.last().map_or(0.0, |last| last.y);
    let (drawing, at, y) = match sort.kind {
        Kind::Clef(shape) => (case.clef(shape), *x, y),
        // Before a note it is set roughly, or stands above its head, if there is room.
        Kind::Accidental(sign) if is_before_note(sorts) && dice.throw() < 0.4 => {
            let drawing = case.accidental(sign);
            if y > -1.5 && dice.throw() < 0.2 {
                let y = (y - dice.between(1.8, 3.2)).max(-4.0);
                placed.push(Placed { x: *x, y, drawing });
                return;
            }
            (drawing, *x, y + dice.between(-0.5, 0.5))
        }
        Kind::Accidental(sign) => (case.accidental(sign), *x, y),
        Kind::Note { value, black } => {
            let above = sort.place.unwrap_or(6) - 6;
            let mut drawing = case.note(value, black, above, dice);
            if dice.throw() < 0.75 {
                ledgers(sort.place.unwrap_or(6), &mut drawing, placed, *x);
            }
            (drawing, *x, y)
        }
        Kind::Direct => (case.direct(), *x, y),
        Kind::Dot => {
            // Behind what it belongs to, on its place or half a space off.
            let drawing = case.dot();
            let behind = placed.last().map_or(*x, |last| last.x + last.drawing.width);
            let at = behind + dice.between(0.08, 0.55);
            let off = if dice.throw() < 0.5 { 0.0 } else { -0.5 };
            *x = (*x).max(at);
            let right = at + drawing.width;
            let y = height + off + dice.between(-0.15, 0.15);
            placed.push(Placed { x: at, y, drawing });
            *x = x.max(right);
            return;
        }
        Kind::Rest { value, spaces } => {
            let y = Case::rest_at(value, spaces, dice);
            (case.rest(value, spaces), *x, y)
        }
        Kind::Sign(sign) => {
            // Numbers stand anywhere.
            let far = if sign.circle.is_none() && dice.throw() < 0.6 { 1.7 } else { 0.3 };
            (case.sign(sign), *x, dice.between(-far, far))
        }
        Kind::BarLine => (case.bars(1, false, dice), *x, 0.0),
        Kind::DoubleBar => (case.bars(2, false, dice), *x, 0.0),
        Kind::Repeat => {
            let count = 1 + u8::from(dice.throw() < 0.7);
            (case.bars(count, true, dice), *x, 0.0)
        }
        Kind::Corona | Kind::Signum => {
            let drawing = if sort.kind == Kind::Corona { case.corona() } else { case.signum() };
            // Above the staff and its note.
            let y = (height - 1.4).min(-3.0) - dice.between(0.0, 0.5);
            let drawing = Drawing { width: 0.0, ..drawing };
            let at = placed.len().saturating_sub(1);
            placed.insert(at, Placed { x: last, y, drawing });
            return;
        }
        Kind::Bound(_) | Kind::Oblique => return,
    };
    let width = drawing.width;
    placed.push(Placed { x: at, y, drawing });
    *x = at + width;
}

/// Whether the last of these sorts, an accidental, is none of a signature.
fn is_before_note(sorts: &[Sort]) -> bool {
    let opens = |sort: &Sort| matches!(sort.kind, Kind::Clef(_));
    let is_accidental = |sort: &&Sort| matches!(sort.kind, Kind::Accidental(_));
    !sorts.iter().rev().find(|sort| !is_accidental(sort)).is_some_and(opens)
}

/// Ledger lines of a head.
fn ledgers(place: Place, drawing: &mut Drawing, placed: &mut Vec<Placed>, x: f64) {
    let width = drawing.width;
    let lines: Vec<Place> = if place <= 0 {
        (place..=0).filter(|place| place % 2 == 0).collect()
    } else {
        (12..=place).filter(|place| place % 2 == 0).collect()
    };
    for line in lines {
        let mut ledger = Drawing::default();
        ledger.rule(width);
        placed.push(Placed { x, y: f64::from(6 - line) / 2.0, drawing: ledger });
    }
}

/// The staff and all sorts in ink, and what stands around them.
fn inked(
    dice: &mut Dice,
    placed: &[Placed],
    edges: &[f64],
    length: f64,
    words: &Words,
) -> GrayImage {
    let margins = [dice.between(0.4, 1.6), dice.between(0.4, 1.6)];
    let columns = ((length + margins[0] + margins[1]) * SPACE as f64) as u32;
    let Some(mut pixmap) = Pixmap::new(columns, ROWS as u32) else { return GrayImage::default() };
    pixmap.fill(Color::BLACK);
    // Ink is white here, so that darker ink covers lighter.
    let unit = SPACE as f32;
    let middle = ROWS as f32 / 2.0;
    let origin = Transform::from_row(unit, 0.0, 0.0, unit, margins[0] as f32 * unit, middle);
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    let mut shade = |alpha: f64| {
        paint.set_color(
            Color::from_rgba(1.0, 1.0, 1.0, alpha.clamp(0.0, 1.0) as f32).unwrap_or(Color::WHITE),
        );
        paint.clone()
    };
    // The lines: one by one over all their length, or in the pieces that sorts and quads have.
    let pen = dice.between(0.06, 0.17);
    let pieces = dice.throw() < 0.75;
    let (loose, slant) = (dice.between(0.0, 0.09), dice.between(0.0, 0.025));
    let (apart, missing) = (dice.between(0.0, 0.2), dice.between(0.0, 0.06));
    let mut ends: Vec<f64> = if pieces { edges.to_vec() } else { vec![0.0, length] };
    if pieces && dice.throw() < 0.6 {
        // Quads between sorts have lines of their own.
        let mut x = 0.0;
        while x < length {
            x += dice.between(0.5, 3.0);
            ends.push(x.min(length));
        }
        ends.sort_by(f64::total_cmp);
    }
    let ink = dice.between(0.65, 1.0);
    for pair in ends.windows(2) {
        let off = dice.between(-loose, loose);
        let lean = dice.between(-slant, slant);
        for line in -2..=2 {
            if pieces && dice.throw() < missing {
                continue;
            }
            let y = f64::from(line) + off + if pieces { dice.between(-0.03, 0.03) } else { 0.0 };
            let cut = if dice.throw() < 0.6 { dice.between(0.0, apart) } else { -0.05 };
            let mut rule = Drawing::default();
            rule.way(
                &[(pair[0], y), (pair[1] - cut, y + lean * (pair[1] - pair[0]))],
                pen * dice.between(0.8, 1.25),
            );
            draw(&mut pixmap, &rule, origin, &shade(ink * dice.between(0.75, 1.05)));
        }
    }
    let (turned, moved, sized) =
        (dice.between(0.0, 2.5), dice.between(0.0, 0.09), dice.between(0.0, 0.06));
    let black = dice.between(0.75, 1.0);
    let pale = if dice.throw() < 0.3 { 0.5 } else { 0.12 };
    for Placed { x, y, drawing } in placed {
        let at = Transform::from_row(
            (1.0 + dice.between(-sized, sized)) as f32,
            0.0,
            0.0,
            (1.0 + dice.between(-sized, sized)) as f32,
            *x as f32,
            (*y + dice.between(-moved, moved)) as f32,
        );
        let at = origin.pre_concat(at).pre_rotate(dice.between(-turned, turned) as f32);
        draw(&mut pixmap, drawing, at, &shade(black - pale * dice.throw() * dice.throw()));
        let mut paper = Paint { anti_alias: true, ..Paint::default() };
        paper.set_color_rgba8(0, 0, 0, dice.between(20.0, 130.0) as u8);
        for path in &drawing.pale {
            pixmap.fill_path(path, &paper, FillRule::Winding, at, None);
        }
    }
    around(dice, &mut pixmap, origin, length, &mut shade);
    let mut ink: Vec<u8> = pixmap.pixels().iter().map(|pixel| pixel.red()).collect();
    words.strew(dice, &mut ink, columns as usize);
    let light = ink.into_iter().map(|ink| 255 - ink).collect();
    GrayImage::from_raw(columns, ROWS as u32, light).unwrap_or_default()
}

/// Rules of a frame, the edge of an initial, specks.
fn around(
    dice: &mut Dice,
    pixmap: &mut Pixmap,
    origin: Transform,
    length: f64,
    shade: &mut impl FnMut(f64) -> Paint<'static>,
) {
    let mut rule = |dice: &mut Dice, x: f64| {
        let mut drawing = Drawing::default();
        let lean = dice.between(-0.3, 0.3);
        drawing.way(&[(x, -5.0), (x + lean, 5.0)], dice.between(0.08, 0.4));
        draw(pixmap, &drawing, origin, &shade(dice.between(0.6, 1.0)));
    };
    if dice.throw() < 0.35 {
        let x = length + dice.between(0.05, 1.2);
        rule(dice, x);
    }
    if dice.throw() < 0.3 {
        let x = dice.between(-1.4, -0.1);
        rule(dice, x);
    }
    if dice.throw() < 0.12 {
        // An initial: its frame, and hatching.
        let right = dice.between(-1.2, -0.2);
        let mut drawing = Drawing::default();
        let (top, bottom) = (dice.between(-7.0, -1.0), dice.between(1.5, 7.0));
        drawing.way(
            &[(-3.0, top), (right, top), (right, bottom), (-3.0, bottom)],
            dice.between(0.1, 0.35),
        );
        for _ in 0..30 {
            let (x, y) = (dice.between(-3.0, right), dice.between(top, bottom));
            drawing.way(
                &[(x, y), (x + dice.between(-0.6, 0.3), y + dice.between(-0.6, 0.6))],
                dice.between(0.08, 0.5),
            );
        }
        draw(pixmap, &drawing, origin, &shade(0.9));
    }
    let mut specks = Drawing::default();
    for _ in 0..(dice.throw() * dice.throw() * 30.0) as usize {
        let (x, y) = (dice.between(-1.0, length + 1.0), dice.between(-4.8, 4.8));
        specks.way(
            &[(x, y), (x + dice.between(-0.2, 0.2), y + dice.between(-0.2, 0.2))],
            dice.between(0.05, 0.22),
        );
    }
    draw(pixmap, &specks, origin, &shade(dice.between(0.3, 1.0)));
}

fn draw(pixmap: &mut Pixmap, drawing: &Drawing, at: Transform, paint: &Paint<'_>) {
    for path in &drawing.filled {
        pixmap.fill_path(path, paint, FillRule::Winding, at, None);
    }
    for (path, pen) in &drawing.lines {
        let stroke = Stroke { width: *pen, line_cap: LineCap::Butt, ..Stroke::default() };
        pixmap.stroke_path(path, paint, &stroke, at, None);
    }
}
