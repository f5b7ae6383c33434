//! Frames as SVG: the drawing of each glyph stands once and is referred to.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use notation::Span;
use score::legible;

use crate::fonts::Face;
use crate::frame::{Block, Ink, Item, Origin, Picture, Role, StaffPlace};
use crate::glyphs::{Sign, Signs};
use crate::lettering::{self, Lettering};
use crate::outline::{Outline, Stroke};
use crate::units::{Mm, Point, Sp};

/// The picture as one SVG file, in millimetres; `line` says in which line of the parts file a
/// token stands.
///
/// There is a group for each note and rest, with `data-voice` (its name), `data-index` (its number
/// among the printed notes and rests of the voice, from 1; none for what is supplied), `data-staff`
/// (its staff in the system, from 1) and `data-line`. Staves have `data-clef`, and `data-octave`
/// where they sound in another octave than the clef says. The same picture gives the same bytes on any machine.
pub fn svg(picture: &Picture, line: &dyn Fn(Span) -> u32) -> String {
    on_ground(picture, line, true)
}

/// The same, on white or on nothing.
pub(crate) fn on_ground(picture: &Picture, line: &dyn Fn(Span) -> u32, white: bool) -> String {
    let mut body = String::with_capacity(1 << 16);
    let mut writer = Writer { picture, line, signs: Signs::read(), used: BTreeMap::new() };
    for block in &picture.blocks {
        writer.block(block, &mut body);
    }
    let (width, height) = (Number(picture.width.0), Number(picture.height.0));
    let mut out = String::with_capacity(1 << 15);
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\">"
    );
    if let Some(title) = &picture.title {
        let _ = writeln!(out, "<title>{}</title>", Escaped(title));
    }
    if let Some(source) = &picture.source {
        let _ = writeln!(out, "<desc>{}</desc>", Escaped(source));
    }
    writer.definitions(&mut out);
    if white {
        let _ = writeln!(out, "<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>");
    }
    // What is defined is known only once all is drawn; and the body may be long.
    body.insert_str(0, &out);
    body.push_str("</svg>\n");
    body
}

/// The lines of a staff.
const STAFF_LINES: usize = 5;

/// A number of an SVG file: at most three digits behind the point, none of them an idle zero.
struct Number(f64);

impl std::fmt::Display for Number {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let thousandths = (self.0 * 1000.0).round() as i64;
        let (whole, rest) = (thousandths / 1000, (thousandths % 1000).unsigned_abs());
        if thousandths < 0 && whole == 0 {
            f.write_str("-")?;
        }
        if rest == 0 {
            write!(f, "{whole}")
        } else if rest.is_multiple_of(100) {
            write!(f, "{whole}.{}", rest / 100)
        } else if rest.is_multiple_of(10) {
            write!(f, "{whole}.{:02}", rest / 10)
        } else {
            write!(f, "{whole}.{rest:03}")
        }
    }
}

/// Text in XML.
struct Escaped<'t>(&'t str);

impl std::fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for character in legible(self.0).chars() {
            match character {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                other => write!(f, "{other}")?,
            }
        }
        Ok(())
    }
}

/// A drawing that is referred to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Glyph {
    Sign(Sign),
    Letter(Face, u32),
}

struct Writer<'a> {
    picture: &'a Picture,
    line: &'a dyn Fn(Span) -> u32,
    signs: Signs,
    /// The drawings referred to, with their numbers.
    used: BTreeMap<Glyph, usize>,
}

impl Writer<'_> {
    fn number_of(&mut self, glyph: Glyph) -> usize {
        let next = self.used.len();
        *self.used.entry(glyph).or_insert(next)
    }

    fn mm(&self, length: Sp) -> Number {
        Number(length.0 * self.picture.space.0)
    }

    fn definitions(&self, out: &mut String) {
        let mut glyphs: Vec<(usize, Glyph)> =
            self.used.iter().map(|(glyph, number)| (*number, *glyph)).collect();
        glyphs.sort_unstable();
        out.push_str("<defs>\n");
        for (number, glyph) in glyphs {
            let _ = write!(out, "<path id=\"g{number}\" d=\"");
            match glyph {
                Glyph::Sign(sign) => {
                    path(self.signs.outline(sign), self.picture.space.0, (0.0, 0.0), out);
                }
                // In thousandths of the em, whatever the size.
                Glyph::Letter(face, letter) => {
                    path(&lettering::outline(face, letter), 1000.0, (0.0, 0.0), out);
                }
            }
            out.push_str("\"/>\n");
        }
        out.push_str("</defs>\n");
    }

    fn block(&mut self, block: &Block, out: &mut String) {
        let place = (block.x, block.y);
        // What belongs to no note comes first, then note by note.
        let mut of_notes: Vec<&Item> = Vec::new();
        let mut ruled: Vec<&Item> = Vec::new();
        let mut others: Vec<&Item> = Vec::new();
        for item in &block.frame.items {
            match (item.of, item.role) {
                (Some(_), _) => of_notes.push(item),
                (None, Role::StaffLine) => ruled.push(item),
                (None, _) => others.push(item),
            }
        }
        of_notes.sort_by_key(|item| item.of);
        out.push_str("<g>\n");
        for (lines, staff) in ruled.chunks(STAFF_LINES).zip(&block.frame.staves) {
            self.ruled(lines, staff, place, out);
        }
        for item in others {
            self.item(item, place, out);
        }
        for group in of_notes.chunk_by(|one, two| one.of == two.of) {
            if let Some(origin) = group[0].of {
                self.open(origin, out);
            }
            for item in group {
                self.item(item, place, out);
            }
            out.push_str("</g>\n");
        }
        out.push_str("</g>\n");
    }

    /// The lines of a staff, with its clef, so that places can be read as pitches.
    fn ruled(&self, lines: &[&Item], staff: &StaffPlace, place: (Mm, Mm), out: &mut String) {
        let _ = write!(out, "<path class=\"staff\" data-clef=\"{}\"", staff.clef);
        if staff.octave_change != 0 {
            let _ = write!(out, " data-octave=\"{}\"", staff.octave_change);
        }
        let thickness = lines.iter().find_map(|item| match item.ink {
            Ink::Line { thickness, .. } => Some(thickness),
            _ => None,
        });
        let width = self.mm(thickness.unwrap_or(Sp::ZERO));
        let _ = write!(out, " stroke=\"#000\" stroke-width=\"{width}\" d=\"");
        for item in lines {
            if let Ink::Line { from, to, .. } = &item.ink {
                let (x, y) = self.at(*from, place);
                let _ = write!(out, "M{x} {y}H{}", self.at(*to, place).0);
            }
        }
        out.push_str("\"/>\n");
    }

    fn open(&self, origin: Origin, out: &mut String) {
        let name = self.picture.voices.get(origin.voice).map_or("", String::as_str);
        let _ = write!(out, "<g data-voice=\"{}\"", Escaped(name));
        if let Some(index) = origin.index {
            let _ = write!(out, " data-index=\"{index}\"");
        }
        let line = (self.line)(origin.span);
        let _ = writeln!(out, " data-staff=\"{}\" data-line=\"{line}\">", origin.staff + 1);
    }

    fn at(&self, point: Point, place: (Mm, Mm)) -> (Number, Number) {
        let space = self.picture.space.0;
        (Number(place.0.0 + point.x.0 * space), Number(place.1.0 + point.y.0 * space))
    }

    fn item(&mut self, item: &Item, place: (Mm, Mm), out: &mut String) {
        match &item.ink {
            Ink::Sign { sign, at, scale, flipped } => {
                let number = self.number_of(Glyph::Sign(*sign));
                let (x, y) = self.at(*at, place);
                let class = class(item.role);
                if (*scale - 1.0).abs() < 1e-9 && !flipped {
                    let _ = writeln!(out, "<use href=\"#g{number}\" x=\"{x}\" y=\"{y}\"{class}/>");
                } else {
                    let (across, down) =
                        (Number(*scale), Number(if *flipped { -scale } else { *scale }));
                    let _ = writeln!(
                        out,
                        "<use href=\"#g{number}\" \
                         transform=\"translate({x} {y})scale({across} {down})\"{class}/>"
                    );
                }
            }
            Ink::Line { from, to, thickness } => {
                let (x, y) = self.at(*from, place);
                let (to_x, to_y) = self.at(*to, place);
                let _ = writeln!(
                    out,
                    "<path stroke=\"#000\" stroke-width=\"{}\" d=\"M{x} {y}L{to_x} {to_y}\"{}/>",
                    self.mm(*thickness),
                    class(item.role)
                );
            }
            Ink::Shape(outline) => {
                let _ = write!(out, "<path{} d=\"", class(item.role));
                path(outline, self.picture.space.0, (place.0.0, place.1.0), out);
                out.push_str("\"/>\n");
            }
            Ink::Painted(outline, color) => {
                let [red, green, blue] = color.rgb();
                let _ = write!(out, "<path fill=\"#{red:02x}{green:02x}{blue:02x}\" d=\"");
                path(outline, self.picture.space.0, (place.0.0, place.1.0), out);
                out.push_str("\"/>\n");
            }
            Ink::Letters { letters, at } => self.letters(letters, *at, place, out),
            Ink::Shared => {}
        }
    }

    /// Words as drawings, so that they look the same everywhere, with a label that says them.
    fn letters(&mut self, letters: &Lettering, at: Point, place: (Mm, Mm), out: &mut String) {
        let (x, y) = self.at(at, place);
        // Thousandths of the em to millimetres, with digits enough for long lines.
        let scale = letters.size.0 * self.picture.space.0 / 1000.0;
        let _ = writeln!(
            out,
            "<g aria-label=\"{}\" transform=\"translate({x} {y})scale({scale:.6})\">",
            Escaped(&letters.text)
        );
        for letter in &letters.glyphs {
            if lettering::outline(letters.face, letter.glyph).strokes.is_empty() {
                continue;
            }
            let number = self.number_of(Glyph::Letter(letters.face, letter.glyph));
            let x = Number((letter.x / letters.size * 1000.0).round());
            let y = Number((-(letter.rise / letters.size) * 1000.0).round());
            let _ = writeln!(out, "<use href=\"#g{number}\" x=\"{x}\" y=\"{y}\"/>");
        }
        out.push_str("</g>\n");
    }
}

/// What a reader of the file may look for.
fn class(role: Role) -> &'static str {
    match role {
        Role::Head => " class=\"head\"",
        Role::Rest => " class=\"rest\"",
        Role::Accidental | Role::Editorial => " class=\"accidental\"",
        Role::Stem => " class=\"stem\"",
        Role::Tie => " class=\"tie\"",
        Role::Beam => " class=\"beam\"",
        _ => "",
    }
}

/// Writes a drawing as path data: lengths times `scale`, moved to a place.
fn path(outline: &Outline, scale: f64, (left, top): (f64, f64), out: &mut String) {
    let x = |point: Point| Number(left + point.x.0 * scale);
    let y = |point: Point| Number(top + point.y.0 * scale);
    for stroke in &outline.strokes {
        let _ = match *stroke {
            Stroke::Move(to) => write!(out, "M{} {}", x(to), y(to)),
            Stroke::Line(to) => write!(out, "L{} {}", x(to), y(to)),
            Stroke::Quadratic(by, to) => write!(out, "Q{} {} {} {}", x(by), y(by), x(to), y(to)),
            Stroke::Cubic(one, two, to) => {
                write!(out, "C{} {} {} {} {} {}", x(one), y(one), x(two), y(two), x(to), y(to))
            }
            Stroke::Close => write!(out, "Z"),
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        let written = |number: f64| Number(number).to_string();
        assert_eq!(written(12.0), "12");
        assert_eq!(written(-0.25), "-0.25");
        assert_eq!(written(1.05), "1.05");
        assert_eq!(written(-3.1), "-3.1");
        assert_eq!(written(0.0004), "0");
        assert_eq!(written(0.007), "0.007");
    }

    #[test]
    fn text_is_escaped() {
        assert_eq!(Escaped("a<b & \"c\"").to_string(), "a&lt;b &amp; &quot;c&quot;");
    }
}
