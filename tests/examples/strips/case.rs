//! Type cases: the sorts of a print, each case with proportions and shapes of its own. Lengths are in
//! staff spaces; a sort's origin is its left edge on the line or space where it stands, `y` goes down.

use engrave::{Sign as Drawn, Signs, Stroke};
use resvg::tiny_skia::{Path, PathBuilder, Transform};
use rudiments::{
    Accidental, Body, Circle, ClefShape, LigatureNote, LigatureShape, Sign, Tail, Value,
};
use suite::Dice;

use crate::music::one;

/// A drawing: what is filled, and what is drawn along with a pen so wide.
#[derive(Default)]
pub(crate) struct Drawing {
    pub(crate) filled: Vec<Path>,
    pub(crate) lines: Vec<(Path, f32)>,
    /// Where less ink has taken.
    pub(crate) pale: Vec<Path>,
    /// How wide it is set.
    pub(crate) width: f64,
}

/// A point.
type At = (f64, f64);

impl Drawing {
    fn fill(&mut self, corners: &[At]) {
        self.filled.extend(polygon(&[corners]));
    }

    /// A polygon with one left white in it.
    fn hollow(&mut self, outer: &[At], inner: &[At]) {
        let inner: Vec<At> = inner.iter().rev().copied().collect();
        self.filled.extend(polygon(&[outer, &inner]));
    }

    /// A line along some points.
    pub(crate) fn way(&mut self, way: &[At], pen: f64) {
        let mut path = PathBuilder::new();
        for (number, (x, y)) in way.iter().enumerate() {
            if number == 0 {
                path.move_to(*x as f32, *y as f32);
            } else {
                path.line_to(*x as f32, *y as f32);
            }
        }
        self.lines.extend(path.finish().map(|path| (path, pen as f32)));
    }

    /// Part of an ellipse, in turns clockwise from the right.
    fn arc(&mut self, (x, y): At, (across, down): At, turns: [f64; 2], pen: f64) {
        let way: Vec<At> = (0..=24)
            .map(|step| {
                let turn = turns[0] + (turns[1] - turns[0]) * f64::from(step) / 24.0;
                let (sin, cos) = (turn * std::f64::consts::TAU).sin_cos();
                (x + across * cos, y + down * sin)
            })
            .collect();
        self.way(&way, pen);
    }

    fn rectangle(&mut self, left: f64, top: f64, right: f64, bottom: f64) {
        self.fill(&[(left, top), (right, top), (right, bottom), (left, bottom)]);
    }

    fn dot(&mut self, (x, y): At, radius: f64) {
        let path = PathBuilder::from_circle(x as f32, y as f32, radius as f32);
        self.filled.extend(path);
    }

    /// A sign of the music face.
    fn sign(&mut self, signs: &Signs, sign: Drawn, (x, y): At, scale: f64) {
        let mut path = PathBuilder::new();
        let at = |point: engrave::Point| (point.x.0 as f32, point.y.0 as f32);
        for stroke in &signs.outline(sign).strokes {
            match *stroke {
                Stroke::Move(end) => path.move_to(at(end).0, at(end).1),
                Stroke::Line(end) => path.line_to(at(end).0, at(end).1),
                Stroke::Quadratic(by, end) => {
                    path.quad_to(at(by).0, at(by).1, at(end).0, at(end).1);
                }
                Stroke::Cubic(one, two, end) => {
                    path.cubic_to(at(one).0, at(one).1, at(two).0, at(two).1, at(end).0, at(end).1);
                }
                Stroke::Close => path.close(),
            }
        }
        let moved =
            Transform::from_translate(x as f32, y as f32).pre_scale(scale as f32, scale as f32);
        self.filled.extend(path.finish().and_then(|path| path.transform(moved)));
    }

    /// A ledger line of a head so wide.
    pub(crate) fn rule(&mut self, width: f64) {
        self.way(&[(-0.25, 0.0), (width + 0.25, 0.0)], 0.11);
    }

    /// The same moved.
    pub(crate) fn moved(self, by: Transform) -> Drawing {
        Drawing {
            filled: self.filled.into_iter().filter_map(|path| path.transform(by)).collect(),
            pale: self.pale.into_iter().filter_map(|path| path.transform(by)).collect(),
            lines: self
                .lines
                .into_iter()
                .filter_map(|(path, pen)| Some((path.transform(by)?, pen)))
                .collect(),
            width: self.width,
        }
    }

    fn with(&mut self, other: Drawing) {
        self.filled.extend(other.filled);
        self.lines.extend(other.lines);
        self.pale.extend(other.pale);
    }
}

fn polygon(parts: &[&[At]]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for part in parts {
        for (number, (x, y)) in part.iter().enumerate() {
            if number == 0 {
                path.move_to(*x as f32, *y as f32);
            } else {
                path.line_to(*x as f32, *y as f32);
            }
        }
        path.close();
    }
    path.finish()
}

fn shift(x: f64, y: f64) -> Transform {
    Transform::from_translate(x as f32, y as f32)
}

/// The sorts of one print.
pub(crate) struct Case<'s> {
    signs: &'s Signs,
    head: At,
    /// From 0, straight sides, to 1, round ones.
    round: f64,
    thick: f64,
    thin: f64,
    stem: f64,
    stem_length: f64,
    /// Where in a head its stem stands: 0.5 in the middle; otherwise at its side.
    stem_at: f64,
    /// How sure it is that stems turn at the middle line.
    turning: f64,
    flag: At,
    flag_kind: u8,
    /// Whether the flag of a stem down stands on its left.
    turned: bool,
    square: At,
    square_thick: f64,
    side: f64,
    ear: f64,
    longa_up: bool,
    rest_width: f64,
    rest_height: f64,
    rest_kind: u8,
    /// How wide and high a semiminim's rest is, and with what pen it is drawn.
    crotchet: (f64, f64, f64),
    /// How far its stroke leans.
    lean: f64,
    /// How large rings of clefs are, from the line upwards.
    rings: [f64; 3],
    /// How much of a white head is white at least.
    least_white: f64,
    /// How large the pale middle of a black head is; none below 0.
    core: f64,
    dot: f64,
    dot_kind: u8,
    sharp_kind: u8,
    sharp: f64,
    /// How far apart the strokes of a sharp are, how far out its points, and how large.
    points: (f64, f64, f64),
    flat_kind: u8,
    flat: At,
    clef_kind: u8,
    clef: At,
    direct_kind: u8,
    direct: At,
    sign_size: f64,
    /// How narrow figures are.
    narrow: f64,
    pen: f64,
    bar: f64,
}

impl<'s> Case<'s> {
    /// A case made up.
    pub(crate) fn thrown(dice: &mut Dice, signs: &'s Signs) -> Case<'s> {
        let mut between = |least, most| dice.between(least, most);
        let head = (between(0.75, 1.35), between(1.1, 1.75));
        let (thick, thin) = (between(0.14, 0.36), between(0.07, 0.2));
        let stem = between(0.08, 0.2);
        let stem_length = between(2.4, 4.0);
        let flag = (between(0.45, 0.95), between(0.6, 1.5));
        let square = (between(0.95, 1.7), between(0.75, 1.15));
        let (square_thick, side, ear) =
            (between(0.12, 0.32), between(0.08, 0.22), between(0.0, 0.4));
        let (rest_width, rest_height) = (between(0.22, 0.55), between(0.3, 0.8));
        let crotchet = (between(0.3, 0.75), between(0.6, 1.35), between(0.1, 0.3));
        let lean = between(-0.15, 0.15);
        let rings = [between(0.5, 0.95), between(0.4, 0.85), between(0.45, 0.9)];
        let least_white = between(0.42, 0.62);
        let core = between(-0.7, 0.75);
        let (dot, sharp) = (between(0.13, 0.25), between(0.4, 0.85));
        let points = (between(0.06, 0.2), between(0.55, 0.9), between(0.07, 0.17));
        let flat = (between(0.5, 0.9), between(1.6, 3.4));
        let clef = (between(0.75, 1.5), between(1.1, 2.3));
        let direct = (between(0.7, 1.6), between(0.5, 1.9));
        let (sign_size, pen, bar) = (between(0.7, 1.4), between(0.1, 0.24), between(0.08, 0.25));
        let (turning, narrow) = (between(0.3, 3.0), between(0.6, 1.1));
        let mut throw = |part: f64| dice.throw() < part;
        let round = if throw(0.5) { 0.0 } else { 0.6 };
        let (turned, longa_up) = (throw(0.6), throw(0.3));
        let middle = throw(0.85);
        let mut kind = |count: f64| dice.between(0.0, count) as u8;
        Case {
            signs,
            head,
            round,
            thick,
            thin,
            stem,
            stem_length,
            stem_at: if middle { 0.5 } else { 0.06 },
            turning,
            flag,
            flag_kind: kind(5.0),
            turned,
            square,
            square_thick,
            side,
            ear,
            longa_up,
            rest_width,
            rest_height,
            rest_kind: kind(4.0),
            crotchet,
            lean,
            rings,
            least_white,
            core,
            dot,
            dot_kind: kind(4.0),
            sharp_kind: kind(8.0),
            sharp,
            points,
            flat_kind: kind(3.0),
            flat,
            clef_kind: kind(6.0),
            clef,
            direct_kind: kind(5.0),
            direct,
            sign_size,
            narrow,
            pen,
            bar,
        }
    }

    /// A diamond, or a head with round sides.
    fn diamond(&self, black: bool) -> Drawing {
        let (width, height) = (self.head.0 / 2.0, self.head.1 / 2.0);
        let ring = |across: f64, down: f64, lean: f64| -> Vec<At> {
            (0..24)
                .map(|step| {
                    let turn = f64::from(step) / 24.0 * std::f64::consts::TAU;
                    let (sin, cos) = turn.sin_cos();
                    // Between a diamond and an ellipse.
                    let far = 1.0 / (sin.abs() + cos.abs());
                    let far = far + self.round * (1.0 - far) * 0.7;
                    (width + across * far * cos + lean * far * sin, down * far * sin)
                })
                .collect()
        };
        let mut drawing = Drawing { width: self.head.0, ..Drawing::default() };
        let outer = ring(width, height, 0.0);
        let ink = |part: f64| ring(width * part, height * part, 0.0);
        if black {
            drawing.fill(&outer);
            // Ink that did not take in the middle of a head.
            if self.core > 0.0 {
                drawing.pale.extend(polygon(&[&ink(self.core)]));
            }
        } else {
            let unit = (1.0 / width).hypot(1.0 / height);
            let (thick, thin) = (self.thick * unit, self.thin * unit);
            // The strokes that fall are thick, those that rise thin.
            let (u, v) =
                ((1.0 - thick).max(0.75 * self.least_white), (1.0 - thin).max(self.least_white));
            let corner = |u: f64, v: f64| (width + width * (u + v) / 2.0, height * (v - u) / 2.0);
            drawing.hollow(&outer, &[corner(u, -v), corner(u, v), corner(-u, v), corner(-u, -v)]);
        }
        drawing
    }

    fn square(&self, width: f64, black: bool) -> Drawing {
        let (half, thick) =
            (self.square.1 / 2.0, if black { self.square.1 / 2.0 } else { self.square_thick });
        let mut drawing = Drawing { width, ..Drawing::default() };
        drawing.rectangle(0.0, -half - self.ear, self.side, half + self.ear);
        drawing.rectangle(width - self.side, -half - self.ear, width, half + self.ear);
        drawing.rectangle(0.0, -half, width, thick - half);
        drawing.rectangle(0.0, half - thick, width, half);
        drawing
    }

    /// A note; how many places it is above the middle line.
    pub(crate) fn note(&self, value: Value, black: bool, above: i32, dice: &mut Dice) -> Drawing {
        let is_square = value <= Value::Breve;
        let up = {
            let sure = f64::from(above) * self.turning + dice.between(-2.5, 2.5);
            sure <= 0.0
        };
        if is_square {
            let width = if value == Value::Maxima { 2.0 * self.square.0 } else { self.square.0 };
            let mut drawing = self.square(width, black);
            if value != Value::Breve {
                let up = if self.longa_up { up } else { false };
                let x = width - self.side / 2.0;
                let length = if up { -self.stem_length } else { self.stem_length };
                drawing.way(&[(x, 0.0), (x, length)], self.side.max(self.stem));
            }
            return drawing;
        }
        let mut drawing = self.diamond(black || value > Value::Minim);
        if value == Value::Semibreve {
            return drawing;
        }
        let side = if up { -1.0 } else { 1.0 };
        let part = if up { 1.0 - self.stem_at } else { self.stem_at };
        let x = self.head.0 * part;
        let begins = if self.stem_at < 0.4 { 0.0 } else { self.head.1 * 0.4 * side };
        let tip = self.stem_length * side * dice.between(0.92, 1.06);
        drawing.way(&[(x, begins), (x, tip)], self.stem);
        let flags = match value {
            Value::Fusa => 1,
            Value::Semifusa => 2,
            _ => 0,
        };
        for number in 0..flags {
            let at = tip - side * 0.85 * self.flag.1 * f64::from(number);
            let flag = self.flag(up).moved(shift(x, at));
            drawing.with(flag);
        }
        drawing
    }

    fn flag(&self, up: bool) -> Drawing {
        let (width, height) = self.flag;
        let across = if up || !self.turned { 1.0 } else { -1.0 };
        let down = if up { 1.0 } else { -1.0 };
        let turn = |points: &[At]| -> Vec<At> {
            points.iter().map(|(x, y)| (across * x, down * y)).collect()
        };
        let mut drawing = Drawing::default();
        let triangle = turn(&[(0.0, 0.0), (width, height * 0.5), (0.0, height)]);
        match self.flag_kind {
            0 | 1 => {
                let pen = self.thin.min(0.14);
                let inner = turn(&[
                    (pen, pen * 1.6),
                    (width - pen * 2.0, height * 0.5),
                    (pen, height - pen * 1.6),
                ]);
                drawing.hollow(&triangle, &inner);
            }
            2 => drawing.fill(&triangle),
            3 => {
                let way = turn(&[
                    (0.0, 0.0),
                    (width * 0.6, height * 0.35),
                    (width * 0.8, height * 0.7),
                    (width * 0.5, height * 1.2),
                ]);
                drawing.way(&way, self.thick * 0.7);
            }
            _ => {
                let way = turn(&[(0.0, 0.0), (width, height * 0.7)]);
                drawing.way(&way, self.thick * 0.8);
            }
        }
        drawing
    }

    /// A rest, on the line or in the space from which it goes.
    pub(crate) fn rest(&self, value: Value, spaces: u8) -> Drawing {
        let (width, height) = (self.rest_width, self.rest_height);
        let mut drawing = Drawing { width, ..Drawing::default() };
        match value {
            Value::Longa => {
                let half = f64::from(spaces) / 2.0 + self.lean;
                drawing.rectangle(0.0, -half, width, half);
            }
            Value::Breve => drawing.rectangle(0.0, 0.0, width, 1.0),
            Value::Semibreve => drawing.rectangle(0.0, 0.0, width, height),
            Value::Minim => drawing.rectangle(0.0, -height, width, 0.0),
            _ => {
                let right = value == Value::Semiminim;
                let side = if right { 1.0 } else { -1.0 };
                let (reach, long, pen) = self.crotchet;
                let hooks = if value == Value::Semifusa { 2 } else { 1 };
                let x = if right { pen / 2.0 } else { reach };
                drawing.way(&[(x + side * self.lean, -long / 2.0), (x, long / 2.0)], pen);
                for number in 0..hooks {
                    let y = -long / 2.0 + 0.4 * f64::from(number) + pen / 2.0;
                    let (near, end) = (x + side * self.lean, x + side * reach);
                    let hook = (pen * 1.1).min(0.3);
                    match self.rest_kind {
                        0 => drawing.way(&[(near, y), (end, y - 0.02), (end, y + 0.28)], hook),
                        1 => {
                            drawing.way(
                                &[(near, y + 0.3), (x + side * reach * 0.6, y), (end, y + 0.06)],
                                hook,
                            );
                            drawing.dot((end, y + 0.1), hook * 0.7);
                        }
                        2 => {
                            let middle = x + side * reach * 0.5;
                            let turns = if right { [0.5, 1.05] } else { [1.0, 0.45] };
                            drawing.arc((middle, y + 0.2), (reach * 0.5, 0.24), turns, hook);
                        }
                        _ => drawing.way(&[(near, y), (end, y + 0.1)], hook * 1.3),
                    }
                }
                drawing.width = reach + pen / 2.0;
            }
        }
        drawing
    }

    pub(crate) fn dot(&self) -> Drawing {
        let mut drawing = Drawing { width: 2.0 * self.dot, ..Drawing::default() };
        let radius = self.dot;
        if self.dot_kind == 0 {
            drawing.fill(&[
                (0.0, 0.0),
                (radius, -radius * 1.2),
                (2.0 * radius, 0.0),
                (radius, radius * 1.2),
            ]);
        } else {
            drawing.dot((radius, 0.0), radius);
        }
        drawing
    }

    pub(crate) fn accidental(&self, sign: Accidental) -> Drawing {
        let mut drawing = Drawing::default();
        let reach = self.sharp;
        match sign {
            Accidental::Sharp => {
                drawing.width = 2.0 * reach;
                let pen = self.thin.max(0.08);
                let crossed = |drawing: &mut Drawing, apart: f64| {
                    let short = reach - apart;
                    for off in [-apart, apart] {
                        drawing.way(
                            &[
                                (reach - short + off, -short - off),
                                (reach + short + off, short - off),
                            ],
                            pen,
                        );
                        drawing.way(
                            &[
                                (reach - short + off, short + off),
                                (reach + short + off, -short + off),
                            ],
                            pen,
                        );
                    }
                };
                match self.sharp_kind {
                    0 | 1 => crossed(&mut drawing, 0.15 * reach / 0.6),
                    2 | 6 | 7 => {
                        let (apart, far, point) = self.points;
                        crossed(&mut drawing, apart);
                        for (x, y) in [(-far, 0.0), (far, 0.0), (0.0, -far), (0.0, far)] {
                            drawing.dot((reach + x * reach, y * reach), point);
                        }
                    }
                    3 => {
                        for turn in [0.0, 0.125, 0.25, 0.375] {
                            let (sin, cos) = (turn * std::f64::consts::TAU).sin_cos();
                            drawing.way(
                                &[
                                    (reach - reach * cos, -reach * sin),
                                    (reach + reach * cos, reach * sin),
                                ],
                                pen,
                            );
                        }
                    }
                    4 => drawing.sign(self.signs, Drawn::Sharp, (0.0, 0.0), reach / 0.7),
                    _ => {
                        for off in [-0.22, 0.22] {
                            drawing.way(
                                &[
                                    (reach + off * reach * 1.6, -reach * 1.2),
                                    (reach + off * reach * 1.6, reach * 1.2),
                                ],
                                pen,
                            );
                            drawing.way(
                                &[
                                    (0.15, off * reach * 1.6 + 0.1),
                                    (2.0 * reach - 0.15, off * reach * 1.6 - 0.1),
                                ],
                                pen * 1.3,
                            );
                        }
                    }
                }
            }
            Accidental::Flat => {
                let (width, height) = self.flat;
                let pen = self.thin.clamp(0.07, 0.14);
                drawing.width = width;
                match self.flat_kind {
                    0 => drawing.sign(self.signs, Drawn::Flat, (0.0, 0.0), height / 2.2),
                    1 => {
                        drawing.way(&[(0.05, -height), (0.05, 0.45)], pen);
                        drawing.arc((width * 0.4, 0.0), (width * 0.5, 0.46), [0.5, 1.3], pen * 1.5);
                    }
                    _ => {
                        drawing.way(
                            &[
                                (0.05, -height),
                                (0.05, 0.5),
                                (width, -0.1),
                                (width * 0.6, -0.5),
                                (0.05, -0.1),
                            ],
                            pen * 1.2,
                        );
                    }
                }
            }
            Accidental::Natural => {
                drawing.width = 0.6;
                drawing.sign(self.signs, Drawn::Natural, (0.0, 0.0), reach / 0.65);
            }
        }
        drawing
    }

    pub(crate) fn clef(&self, shape: ClefShape) -> Drawing {
        let (width, reach) = self.clef;
        let mut drawing = Drawing { width, ..Drawing::default() };
        let pen = self.pen;
        match shape {
            ClefShape::G => match self.clef_kind {
                // Rings above one another.
                0..=2 => {
                    let half = width.max(1.0) / 2.0;
                    let [low, middle, high] = self.rings;
                    drawing.width = 2.0 * half;
                    drawing.arc((half, 0.0), (half, low), [0.0, 1.0], pen);
                    if self.clef_kind > 0 {
                        drawing.arc((half * 0.9, 0.05), (half * 0.5, low * 0.5), [0.3, 1.1], pen);
                    }
                    let second = -low - middle * 0.75;
                    let turns = match self.clef_kind {
                        0 => [0.0, 1.0],
                        1 => [0.45, 1.2],
                        _ => [-0.35, 0.3],
                    };
                    drawing.arc((half, second), (half * 0.85, middle * 0.8), turns, pen);
                    let third = second - (middle + high) * 0.75;
                    drawing.arc((half, third), (half * 0.9, high * 0.9), [0.0, 1.0], pen);
                }
                // A letter.
                3 => {
                    let half = width.max(1.0) * 0.6;
                    drawing.width = 2.0 * half;
                    drawing.arc((half, -0.4), (half, reach * 0.8), [0.08, 0.88], pen * 1.4);
                    drawing.way(&[(half, 0.0), (2.0 * half, 0.0), (2.0 * half, reach * 0.5)], pen);
                }
                _ => {
                    drawing.sign(self.signs, Drawn::ClefG, (0.0, 0.0), 0.65 + 0.2 * reach);
                    drawing.width = 2.4 * (0.65 + 0.2 * reach);
                }
            },
            ClefShape::C => match self.clef_kind {
                5 => {
                    drawing.sign(self.signs, Drawn::ClefC, (0.0, 0.0), 0.55 + 0.25 * reach);
                    drawing.width = 2.4 * (0.55 + 0.25 * reach);
                }
                kind => {
                    let side = self.side * 1.3;
                    let thick = self.square_thick.min(0.26);
                    if kind != 3 {
                        drawing.rectangle(0.0, -reach, side, reach);
                    }
                    if kind.is_multiple_of(2) {
                        drawing.rectangle(side * 2.2, -reach, side * 3.2, reach);
                    }
                    let left = side;
                    let rungs: &[f64] = match kind {
                        0 | 1 => &[0.8, 0.2],
                        2 => &[0.95, 0.55, 0.15],
                        4 => &[0.95, 0.33],
                        _ => &[0.7, 0.12],
                    };
                    for rung in rungs.iter().flat_map(|rung| [-rung, *rung]) {
                        drawing.rectangle(
                            left,
                            rung * reach - thick / 2.0,
                            width,
                            rung * reach + thick / 2.0,
                        );
                    }
                    if kind != 2 {
                        for half in [-1.0, 1.0] {
                            let ends = [rungs[0] * reach * half, rungs[1] * reach * half];
                            drawing.rectangle(
                                width - self.side,
                                ends[0].min(ends[1]),
                                width,
                                ends[0].max(ends[1]),
                            );
                        }
                    }
                }
            },
            ClefShape::F => {
                let side = self.side;
                let left = match self.clef_kind {
                    0 | 1 => {
                        // A breve, then a pair of diamonds.
                        drawing.with(self.square(width * 0.6, false));
                        width * 0.6 + 0.15
                    }
                    2 => {
                        drawing.rectangle(0.0, -reach * 0.8, side * 1.3, reach * 0.8);
                        drawing.rectangle(0.0, -0.5, width * 0.6, -0.5 + self.square_thick);
                        drawing.rectangle(0.0, 0.5 - self.square_thick, width * 0.6, 0.5);
                        drawing.rectangle(width * 0.6 - side, -0.5, width * 0.6, 0.5);
                        width * 0.6 + 0.15
                    }
                    3 => {
                        drawing.rectangle(0.0, -0.8, side, 0.8);
                        drawing.rectangle(side * 2.0, -0.8, side * 3.0, 0.8);
                        drawing.rectangle(0.0, -0.4, 0.6, -0.2);
                        drawing.rectangle(0.0, 0.2, 0.6, 0.4);
                        0.7
                    }
                    4 => {
                        drawing.arc(
                            (width * 0.45, 0.3),
                            (width * 0.55, reach * 0.7),
                            [0.5, 1.3],
                            pen * 1.5,
                        );
                        drawing.dot((width * 0.2, 0.0), 0.28);
                        width * 1.05
                    }
                    _ => {
                        drawing.sign(self.signs, Drawn::ClefF, (0.0, 0.0), 0.7 + 0.2 * reach);
                        drawing.width = 2.6;
                        return drawing;
                    }
                };
                let half = 0.3 + 0.1 * (width - 0.75);
                let middle = left + half;
                match self.rest_kind {
                    0 => {
                        for y in [-0.55, 0.55] {
                            drawing.fill(&[
                                (left, y),
                                (middle, y - 0.45),
                                (middle + half, y),
                                (middle, y + 0.45),
                            ]);
                        }
                        if self.turned {
                            drawing.way(&[(middle, 0.9), (middle, 1.2 + reach)], self.stem);
                            drawing.way(&[(middle, -0.9), (middle, -1.0 - reach * 0.7)], self.stem);
                        }
                    }
                    1 => {
                        // Two strokes crossed, with heads above one another.
                        drawing.arc((middle, -0.6), (half * 1.2, 0.5), [0.0, 1.0], pen);
                        drawing.arc((middle, 0.6), (half * 1.2, 0.5), [0.0, 1.0], pen);
                        drawing.way(&[(middle, 1.0), (middle, 1.0 + reach)], self.side.max(0.12));
                    }
                    _ => {
                        for y in [-0.5, 0.5] {
                            drawing.dot((middle, y), 0.25);
                        }
                    }
                }
                drawing.width = left + 2.0 * half;
            }
        }
        drawing
    }

    pub(crate) fn direct(&self) -> Drawing {
        let (width, rise) = self.direct;
        let pen = self.thin.max(0.1);
        let mut drawing = Drawing { width: width + 0.6, ..Drawing::default() };
        let half = 0.2 + 0.12 * width;
        match self.direct_kind {
            // A zigzag with a tail.
            0 | 1 => {
                let step = width / 4.0;
                drawing.way(
                    &[
                        (0.0, half),
                        (step, -half),
                        (2.0 * step, half),
                        (3.0 * step, -half),
                        (3.6 * step, half * 0.6),
                    ],
                    pen * 1.5,
                );
                drawing.way(&[(3.6 * step, half * 0.6), (width + 0.5, -rise)], pen);
            }
            2 => {
                for number in 0..3 {
                    let x = width * f64::from(number) / 3.0;
                    drawing.way(&[(x, -half * 0.6), (x + width / 4.0, half)], pen * 2.0);
                }
                drawing.way(&[(width * 0.9, half), (width * 0.9 + 0.5, -rise * 1.2)], pen);
            }
            3 => {
                drawing.arc((width * 0.25, 0.0), (width * 0.25, half), [0.5, 1.0], pen * 1.5);
                drawing.arc((width * 0.75, 0.0), (width * 0.25, half), [0.5, 0.0], pen * 1.5);
                drawing.way(&[(width, 0.0), (width + 0.5, -rise)], pen);
            }
            _ => {
                drawing.way(&[(0.0, -half), (width * 0.3, half), (width + 0.4, -rise)], pen * 1.6);
            }
        }
        drawing
    }

    pub(crate) fn sign(&self, sign: Sign) -> Drawing {
        let size = self.sign_size;
        let pen = self.pen.max(0.12);
        let mut drawing = Drawing { width: 1.5 * size, ..Drawing::default() };
        match sign.circle {
            Some(Circle::Half) => {
                drawing.arc((0.8 * size, 0.0), (0.75 * size, 0.8 * size), [0.14, 0.86], pen * 1.2);
            }
            Some(_) => {
                drawing.arc((0.8 * size, 0.0), (0.75 * size, 0.8 * size), [0.0, 1.0], pen * 1.2);
            }
            None => {}
        }
        if sign.stroke {
            drawing.way(&[(0.75 * size, -1.4 * size), (0.75 * size, 1.4 * size)], pen);
        }
        let half = if sign.lower.is_some() { 1.0 } else { 0.0 };
        if sign.upper.is_some() {
            // A three, round or with a flat top.
            let (width, height) = (0.5 * size * self.narrow, 0.45 * size);
            let y = -half * 1.05;
            if self.flag_kind.is_multiple_of(2) {
                drawing.arc((width * 0.6, y - height), (width, height), [-0.4, 0.25], pen * 1.2);
            } else {
                drawing.way(
                    &[(0.1, y - 2.0 * height), (1.4 * width, y - 2.0 * height), (width * 0.6, y)],
                    pen * 1.2,
                );
            }
            drawing.arc((width * 0.6, y + height), (width * 1.05, height), [-0.25, 0.4], pen * 1.2);
            drawing.width = 2.0 * width;
        }
        if sign.lower.is_some() {
            let (width, height) = (0.5 * size * self.narrow, 0.4 * size);
            let y = 1.05;
            drawing.arc((width * 0.8, y - height), (width * 0.8, height), [-0.45, 0.1], pen * 1.2);
            drawing.way(
                &[
                    (1.5 * width, y - height * 0.5),
                    (0.0, y + 1.9 * height),
                    (1.8 * width, y + 1.9 * height),
                ],
                pen * 1.2,
            );
        }
        drawing
    }

    /// Bar lines over the staff, whose middle is the origin.
    pub(crate) fn bars(&self, count: u8, dots: bool, dice: &mut Dice) -> Drawing {
        let mut drawing = Drawing::default();
        let beyond = dice.between(-0.1, 0.3);
        let mut x = 0.0;
        let points = |drawing: &mut Drawing, x: f64, many: bool| {
            let places: &[f64] = if many { &[-1.5, -0.5, 0.5, 1.5] } else { &[-0.5, 0.5] };
            for y in places {
                drawing.dot((x, *y), self.dot);
            }
        };
        if dots {
            points(&mut drawing, x, self.turned);
            x += 0.55;
        }
        for number in 0..count {
            if number > 0 {
                x += self.bar + dice.between(0.25, 0.8);
            }
            drawing.way(&[(x, -2.0 - beyond), (x, 2.0 + beyond)], self.bar);
        }
        if dots {
            x += 0.55;
            points(&mut drawing, x, self.turned);
        }
        drawing.width = x + 0.1;
        drawing
    }

    /// Above the staff, around its own middle.
    pub(crate) fn corona(&self) -> Drawing {
        let mut drawing = Drawing::default();
        drawing.arc((0.0, 0.3), (1.0, 0.9), [0.5, 1.0], self.pen);
        drawing.dot((0.0, 0.1), 0.2);
        drawing
    }

    pub(crate) fn signum(&self) -> Drawing {
        let mut drawing = Drawing::default();
        let size = 0.5 * self.sign_size;
        drawing.arc((0.0, -size * 0.5), (size * 0.5, size * 0.5), [0.0, -0.75], self.pen);
        drawing.arc((0.0, size * 0.5), (size * 0.5, size * 0.5), [-0.25, 0.5], self.pen);
        for x in [-size, size] {
            drawing.dot((x, 0.1), 0.12);
            if self.turned {
                drawing.dot((x, -0.4), 0.12);
            }
        }
        drawing
    }

    /// A ligature, around the place of its first note.
    pub(crate) fn ligature(&self, notes: &[(LigatureNote, LigatureShape)]) -> Drawing {
        let mut drawing = Drawing::default();
        let half = self.square.1 / 2.0;
        let mut x = 0.0;
        let mut before: Option<f64> = None;
        let wide = self.square.0 * 2.0;
        for (number, (note, shape)) in notes.iter().enumerate() {
            let y = f64::from(notes[0].0.place - note.place) / 2.0;
            let width = match shape.body {
                Body::Square => self.square.0 * 0.9,
                Body::Wide => wide,
                Body::ObliqueBegins | Body::ObliqueEnds => wide / 2.0,
            };
            match shape.body {
                Body::Square | Body::Wide => {
                    drawing.with(self.square(width, false).moved(shift(x, y)));
                }
                Body::ObliqueBegins => {
                    let next = f64::from(notes[0].0.place - notes[number + 1].0.place) / 2.0;
                    let thick = self.square_thick;
                    for edge in [-half, half - thick] {
                        drawing.fill(&[
                            (x, y + edge),
                            (x + wide, next + edge),
                            (x + wide, next + edge + thick),
                            (x, y + edge + thick),
                        ]);
                    }
                    drawing.rectangle(x, y - half - self.ear, x + self.side, y + half + self.ear);
                    drawing.rectangle(
                        x + wide - self.side,
                        next - half - self.ear,
                        x + wide,
                        next + half + self.ear,
                    );
                }
                Body::ObliqueEnds => {}
            }
            if let Some(before) = before.filter(|_| shape.body != Body::ObliqueEnds) {
                drawing.rectangle(x, before.min(y), x + self.side, before.max(y));
            }
            let stem = self.stem_length * 0.92;
            let tail = match shape.tail {
                None => None,
                Some(Tail::LeftUp) => Some((x, -stem)),
                Some(Tail::LeftDown) => Some((x, stem)),
                Some(Tail::RightDown) => Some((x + width - self.side, stem)),
            };
            if let Some((at, length)) = tail {
                let at = at + self.side / 2.0;
                drawing.way(&[(at, y), (at, y + length)], self.side.max(self.stem));
            }
            x += width;
            before = Some(y);
        }
        drawing.width = x;
        drawing
    }

    /// A place for a rest of that value, in spaces below the middle line: usual, or any line.
    pub(crate) fn rest_at(value: Value, spaces: u8, dice: &mut Dice) -> f64 {
        let line = one(dice, &[(4.0, 0.0), (2.0, -1.0), (2.0, 1.0), (0.7, -2.0), (0.5, 2.0)]);
        match value {
            // It goes from line to line.
            Value::Longa if spaces == 3 => line + if dice.throw() < 0.5 { -0.5 } else { 0.5 },
            Value::Longa | Value::Breve | Value::Semibreve | Value::Minim => line,
            _ => line + dice.between(-0.6, 0.6),
        }
    }
}
