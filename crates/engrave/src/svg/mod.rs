//! Frames as SVG: the drawing of each sign stands once and is referred to, or stands at every place.

mod number;
mod path;
mod pictures;
mod shapes;

use std::collections::BTreeMap;
use std::fmt::Write as _;

use notation::Span;
use rudiments::{Clef, Time};
use score::legible;

use crate::frame::{Block, BlockKind, GREY, Ink, Item, Origin, Picture, Role, StaffPlace};
use crate::glyphs::Signs;
use crate::lettering::{self, Letter, Lettering};
use crate::outline::Outline;
use crate::units::{Mm, Point, Sp};
use number::{Digits, Number};
use pictures::Pictures;
use shapes::{Shape, Shapes};

/// The picture as one SVG file, in millimetres; `line` says in which line of the parts file a
/// token stands.
///
/// Each system is a group. In it, the notes and rests of a voice that stand on one staff and were typed
/// in one line are a group with `data-voice` (the name of the voice), `data-staff` (the staff in the
/// system, from 1) and `data-line`. In that there is a group for each note and rest, with `data-index`
/// (its number among the printed notes and rests of the voice, from 1; none for what is supplied) and
/// `data-time` (when it begins, in minims from the beginning of the piece, as `7` or `15/2`; where it
/// goes on in another system, when that begins). Staves have `data-clef`, and `data-octave` where they
/// sound in another octave than the clef says; `data-clef-changes` has the clefs that follow, each with
/// the bar line from which it holds, as `G2 88.2 F4 140.5`.
///
/// Signs are drawn once and referred to by ids that say what they are and how large, such as `sharp-680`,
/// so that an id stays what it is when something else is edited, and in one document with other
/// pictures. Heads are `h1` (a whole note), `h2`, `h4`, `hb` (a breve), `hl` and `hm`; `h2u14` is a half
/// note with a stem of 14 quarters of a space upwards. Other ink has a class: `stem`, `beam`, `tie`,
/// `ledger`, `bar`.
///
/// In a copy, the rows are groups in place of systems; their notes have `data-source-line` too, the line of the
/// source from 1, and heads, flags, rests, accidentals and directs are drawings of their own, with a class.
///
/// Words are drawn, so that they look the same everywhere, and stand as text behind their drawing, to be
/// selected and found. The same picture gives the same bytes on any machine.
pub fn svg(picture: &Picture, line: &dyn Fn(Span) -> u32) -> String {
    written(picture, Typed::In(line), Digits(2), Some(Shapes::default()), true)
}

/// The picture for a page on which it is shown while it is typed, without ground. It says nothing of lines of
/// the text, nor of times, except of what has no number: so it stays byte for byte what it was while
/// something else is typed before it, or changes.
///
/// Each sign and letter is drawn where it stands, and no text stands behind words: a browser takes several
/// times as long over hundreds of references, each of which moves what it refers to.
pub fn live_svg(picture: &Picture) -> String {
    written(picture, Typed::Unsaid, Digits(2), None, false)
}

/// The picture for a program that draws it at once, on white or on nothing: its lengths are exact enough
/// to fill pixels.
pub(crate) fn exact(picture: &Picture, white: bool) -> String {
    written(picture, Typed::Unsaid, Digits(4), Some(Shapes::default()), white)
}

/// Whether it is said where a note was typed.
#[derive(Clone, Copy)]
enum Typed<'l> {
    /// In which line of the text.
    In(&'l dyn Fn(Span) -> u32),
    Unsaid,
}

fn written(
    picture: &Picture,
    typed: Typed<'_>,
    digits: Digits,
    shapes: Option<Shapes>,
    white: bool,
) -> String {
    let mut body = String::with_capacity(1 << 16);
    let pictures = Pictures::default();
    let mut writer = Writer { picture, typed, digits, signs: Signs::all(), shapes, pictures };
    for block in &picture.blocks {
        writer.block(block, &mut body);
    }
    let (width, height) = (digits.of(picture.width.0), digits.of(picture.height.0));
    let mut out = String::with_capacity(1 << 15);
    // A stroke of no width is not drawn; lines say their own.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" stroke=\"#000\" stroke-width=\"0\" role=\"img\">"
    );
    if let Some(title) = &picture.title {
        let _ = writeln!(out, "<title>{}</title>", Escaped(title));
    }
    let said: Vec<&str> =
        [&picture.composer, &picture.source].into_iter().flatten().map(String::as_str).collect();
    if !said.is_empty() {
        let _ = writeln!(out, "<desc>{}</desc>", Escaped(&said.join("; ")));
    }
    if let Some(shapes) = &writer.shapes {
        shapes.write(writer.signs, picture.space, &mut out);
    }
    writer.pictures.write(&mut out);
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

impl Typed<'_> {
    fn line(self, span: Span) -> Option<u32> {
        match self {
            Typed::In(line) => Some(line(span)),
            Typed::Unsaid => None,
        }
    }
}

struct Writer<'a> {
    picture: &'a Picture,
    typed: Typed<'a>,
    digits: Digits,
    signs: &'static Signs,
    /// The drawings referred to; none if each is drawn where it stands.
    shapes: Option<Shapes>,
    /// The pictures of pages of which strips are shown.
    pictures: Pictures,
}

impl Writer<'_> {
    fn mm(&self, length: Sp) -> Number {
        self.digits.of(length.0 * self.picture.space.0)
    }

    fn at(&self, point: Point, place: (Mm, Mm)) -> (Number, Number) {
        let (x, y) = self.exactly(point, place);
        (self.digits.of(x), self.digits.of(y))
    }

    /// In millimetres.
    fn exactly(&self, point: Point, place: (Mm, Mm)) -> (f64, f64) {
        let space = self.picture.space.0;
        (place.0.0 + point.x.0 * space, place.1.0 + point.y.0 * space)
    }

    fn block(&mut self, block: &Block, out: &mut String) {
        let place = (block.x, block.y);
        // What belongs to no note comes first, then voice by voice, note by note.
        let mut of_notes: Vec<(Origin, &Item)> = Vec::new();
        let mut ruled: Vec<&Item> = Vec::new();
        let mut ledgers: Vec<&Item> = Vec::new();
        let mut bar_lines: Vec<&Item> = Vec::new();
        let mut incipits: Vec<&Item> = Vec::new();
        let mut others: Vec<&Item> = Vec::new();
        for item in &block.frame.items {
            match (item.of, item.role) {
                (None, Role::StaffLine) => ruled.push(item),
                (_, Role::LedgerLine) => ledgers.push(item),
                (None, Role::BarLine) if is_line(item) => bar_lines.push(item),
                (None, Role::Incipit) if is_line(item) => incipits.push(item),
                (Some(origin), _) => of_notes.push((origin, item)),
                (None, _) => others.push(item),
            }
        }
        out.push_str("<g>\n");
        let is_shaded = |item: &&Item| matches!(item.ink, Ink::Shaded(_));
        let (behind, others): (Vec<&Item>, Vec<&Item>) = others.into_iter().partition(is_shaded);
        for item in behind {
            self.item(item, place, out);
            out.push('\n');
        }
        for (lines, staff) in ruled.chunks(STAFF_LINES).zip(&block.frame.staves) {
            let octave = match staff.octave_change {
                0 => String::new(),
                octave => format!(" data-octave=\"{octave}\""),
            };
            let changes = self.clef_changes(staff, place.0);
            let staff = format!("class=\"staff\" data-clef=\"{}\"{changes}{octave}", staff.clef);
            self.lines(&staff, lines, place, out);
        }
        self.lines("class=\"ledger\"", &ledgers, place, out);
        self.lines("class=\"bar\"", &bar_lines, place, out);
        self.lines("class=\"incipit\"", &incipits, place, out);
        for item in others {
            self.item(item, place, out);
            out.push('\n');
        }
        of_notes.sort_by_key(|of| (of.0.staff, of.0.voice, of.0.bar, of.0.place));
        let typed = self.typed;
        let of_line = |(of, _): &(Origin, _)| (of.staff, of.voice, typed.line(of.span));
        for notes in of_notes.chunk_by(|one, two| of_line(one) == of_line(two)) {
            let in_copy = matches!(block.kind, BlockKind::Copy(_));
            self.notes(notes, (block.frame.begins, in_copy), place, out);
        }
        out.push_str("</g>\n");
    }

    /// The clefs that follow the first of a staff, each before the place from which it holds.
    fn clef_changes(&self, staff: &StaffPlace, left: Mm) -> String {
        if staff.clef_changes.is_empty() {
            return String::new();
        }
        let space = self.picture.space.0;
        let change =
            |(x, clef): &(Sp, Clef)| format!("{clef} {}", self.digits.of(left.0 + x.0 * space));
        let changes: Vec<String> = staff.clef_changes.iter().map(change).collect();
        format!(" data-clef-changes=\"{}\"", changes.join(" "))
    }

    /// What belongs to the notes of a voice that stand on one staff and in one line of the text.
    fn notes(
        &mut self,
        items: &[(Origin, &Item)],
        (begins, in_copy): (Time, bool),
        place: (Mm, Mm),
        out: &mut String,
    ) {
        let Some((first, _)) = items.first() else { return };
        let name = self.picture.voices.get(first.voice).map_or("", String::as_str);
        let staff = first.staff + 1;
        let line = match self.typed.line(first.span) {
            Some(line) => format!(" data-line=\"{line}\""),
            None => String::new(),
        };
        let of_source = if in_copy {
            format!(" data-source-line=\"{}\"", first.bar_number)
        } else {
            String::new()
        };
        let _ = writeln!(
            out,
            "<g data-voice=\"{}\" data-staff=\"{staff}\"{line}{of_source}>",
            Escaped(name)
        );
        // The tied signs of one printed note are one group.
        let of_note = |(of, _): &(Origin, _)| (of.index, of.span);
        for note in items.chunk_by(|one, two| of_note(one) == of_note(two)) {
            let (origin, _) = note[0];
            out.push_str("<g");
            if let Some(index) = origin.index {
                let _ = write!(out, " data-index=\"{index}\"");
            }
            if origin.index.is_none() || matches!(self.typed, Typed::In(_)) {
                let _ = write!(out, " data-time=\"{}\"", begins + origin.onset);
            }
            out.push('>');
            for sign in note.chunk_by(|(one, _), (two, _)| one == two) {
                self.note(sign, place, out);
            }
            out.push_str("</g>\n");
        }
        out.push_str("</g>\n");
    }

    /// What belongs to one modern sign. A head with its stem is one drawing, if that is a usual one.
    fn note(&mut self, items: &[(Origin, &Item)], place: (Mm, Mm), out: &mut String) {
        let of_role = |role| {
            let mut all = items.iter().map(|(_, item)| *item).filter(move |item| item.role == role);
            all.next().filter(|_| all.next().is_none())
        };
        let both = of_role(Role::Head).zip(of_role(Role::Stem));
        let whole = both.and_then(|(head, stem)| Shape::of_note(head, stem, self.signs));
        for (_, item) in items {
            match (whole, item.role) {
                (Some((shape, at)), Role::Head) => self.shape(shape, at, place, out),
                (Some(_), Role::Stem) => {}
                _ => self.item(item, place, out),
            }
        }
    }

    /// A drawing: a reference to it, or itself.
    fn shape(&mut self, shape: Shape, at: Point, place: (Mm, Mm), out: &mut String) {
        let space = self.picture.space;
        if let Some(shapes) = &mut self.shapes {
            let id = shapes.id(shape, space);
            let (x, y) = self.at(at, place);
            let _ = write!(out, "<use href=\"#{id}\" x=\"{x}\" y=\"{y}\"/>");
        } else {
            out.push_str("<path d=\"");
            shape.draw(self.signs, space.0, self.exactly(at, place), self.digits, out);
            out.push_str("\"/>");
        }
    }

    fn item(&mut self, item: &Item, place: (Mm, Mm), out: &mut String) {
        match &item.ink {
            Ink::Sign { sign, at, scale, flipped } => {
                let shape = Shape::of_sign(*sign, *scale, *flipped);
                self.shape(shape, *at, place, out);
            }
            Ink::Line { thickness, .. } => {
                let class = class(item.role);
                let _ = write!(out, "<path{class} stroke-width=\"{}\" d=\"", self.mm(*thickness));
                self.line(item, place, out);
                out.push_str("\"/>");
            }
            Ink::Shape(outline) => {
                let _ = write!(out, "<path{} d=\"", class(item.role));
                self.outline(outline, place, out);
            }
            Ink::Painted(outline, color) => {
                let [red, green, blue] = color.rgb();
                let _ = write!(out, "<path fill=\"#{red:02x}{green:02x}{blue:02x}\" d=\"");
                self.outline(outline, place, out);
            }
            Ink::Shaded(outline) => {
                let _ = write!(out, "<path fill=\"#{GREY:02x}{GREY:02x}{GREY:02x}\" d=\"");
                self.outline(outline, place, out);
            }
            Ink::Letters { letters, at } => self.letters(letters, *at, item.role, place, out),
            Ink::Picture { strip, area } => {
                let (x, y) = self.at(Point::new(area.left, area.top), place);
                let (width, height) = (self.mm(area.width()), self.mm(area.height()));
                self.pictures.strip(strip, (x, y, width, height), out);
            }
            Ink::Shared => {}
        }
    }

    fn outline(&self, outline: &Outline, place: (Mm, Mm), out: &mut String) {
        let space = self.picture.space.0;
        path::outline(outline, space, (place.0.0, place.1.0), self.digits, out);
        out.push_str("\"/>");
    }

    /// Lines as one drawing for each thickness, with attributes.
    fn lines(&self, attributes: &str, lines: &[&Item], place: (Mm, Mm), out: &mut String) {
        let mut by_thickness: BTreeMap<i64, Vec<&Item>> = BTreeMap::new();
        for item in lines {
            if let Ink::Line { thickness, .. } = item.ink {
                let units = self.digits.units(thickness.0 * self.picture.space.0);
                by_thickness.entry(units).or_default().push(item);
            }
        }
        for (thickness, lines) in by_thickness {
            let thickness = self.digits.number(thickness);
            let _ = write!(out, "<path {attributes} stroke-width=\"{thickness}\" d=\"");
            for item in lines {
                self.line(item, place, out);
            }
            out.push_str("\"/>\n");
        }
    }

    /// A straight line as path data.
    fn line(&self, item: &Item, place: (Mm, Mm), out: &mut String) {
        let Ink::Line { from, to, .. } = item.ink else { return };
        let ((x, y), (to_x, to_y)) = (self.at(from, place), self.at(to, place));
        let _ = write!(out, "M{x} {y}");
        let _ = match (x == to_x, y == to_y) {
            (true, _) => write!(out, "V{to_y}"),
            (_, true) => write!(out, "H{to_x}"),
            _ => write!(out, "L{to_x} {to_y}"),
        };
    }

    /// Words as drawings, so that they look the same everywhere, with the text behind them where drawings are
    /// referred to.
    fn letters(
        &mut self,
        letters: &Lettering,
        at: Point,
        role: Role,
        place: (Mm, Mm),
        out: &mut String,
    ) {
        let (x, y) = self.at(at, place);
        let inked =
            |letter: &&Letter| !lettering::outline(letter.face, letter.glyph).strokes.is_empty();
        let inked = letters.glyphs.iter().filter(inked);
        let Some(shapes) = &mut self.shapes else {
            let em = letters.size.0 * self.picture.space.0;
            out.push_str("<path d=\"");
            for letter in inked {
                let at = Point::new(at.x + letter.x, at.y - letter.rise);
                let shape = Shape::Letter(letter.face, letter.glyph);
                shape.draw(self.signs, em, self.exactly(at, place), self.digits, out);
            }
            out.push_str("\"/>");
            return;
        };
        // Thousandths of the em to millimetres, with digits enough for long lines.
        let scale = letters.size.0 * self.picture.space.0 / 1000.0;
        let _ = write!(out, "<g transform=\"translate({x} {y})scale({scale:.6})\">");
        // Figures in a staff are signs, not words that one would look for.
        if !matches!(role, Role::Meter | Role::TupletFigure) {
            let _ = write!(
                out,
                "<text font-family=\"serif\" font-size=\"1000\" fill-opacity=\"0\" \
                 textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>",
                (letters.width / letters.size * 1000.0).round(),
                Escaped(&letters.text)
            );
        }
        for letter in inked {
            let id = shapes.id(Shape::Letter(letter.face, letter.glyph), self.picture.space);
            let x = (letter.x / letters.size * 1000.0).round() as i64;
            let _ = write!(out, "<use href=\"#{id}\"");
            if x != 0 {
                let _ = write!(out, " x=\"{x}\"");
            }
            let y = (-(letter.rise / letters.size) * 1000.0).round() as i64;
            if y != 0 {
                let _ = write!(out, " y=\"{y}\"");
            }
            out.push_str("/>");
        }
        out.push_str("</g>");
    }
}

fn is_line(item: &Item) -> bool {
    matches!(item.ink, Ink::Line { .. })
}

/// What ink is that no id says it of.
fn class(role: Role) -> &'static str {
    match role {
        Role::Stem => " class=\"stem\"",
        Role::Tie => " class=\"tie\"",
        Role::Beam => " class=\"beam\"",
        Role::Head => " class=\"head\"",
        Role::Flag => " class=\"flag\"",
        Role::Rest => " class=\"rest\"",
        Role::Accidental => " class=\"accidental\"",
        Role::Direct => " class=\"direct\"",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_escaped() {
        assert_eq!(Escaped("a<b & \"c\"").to_string(), "a&lt;b &amp; &quot;c&quot;");
    }
}
