//! Ink on a page of a PDF file.

use std::collections::BTreeMap;

use krilla::color::{luma, rgb};
use krilla::geom::{Path, PathBuilder, Point as PdfPoint, Rect, Size, Transform};
use krilla::image::Image;
use krilla::paint::{Fill, FillRule, Paint, Stroke as PdfStroke};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};

use crate::Error;
use crate::fonts::Face;
use crate::frame::{Block, GREY, Ink, Item, Role};
use crate::glyphs::{FaceGlyph, MUSIC_EM, Sign, Signs};
use crate::lettering::Lettering;
use crate::outline::{Outline, Stroke};
use crate::strip::{Format, Strip};
use crate::units::{Area, Mm, Point, Sp};

/// A point in PDF is the 72nd part of an inch.
pub(super) fn points(length: Mm) -> f32 {
    (length.0 * 72.0 / 25.4) as f32
}

/// A sign of a block that is a glyph of the music face.
struct Placed {
    glyph: u32,
    character: char,
    /// The size of the em.
    size: f32,
    flipped: bool,
    at: PdfPoint,
}

/// What pages are drawn with.
pub(super) struct Pens {
    fonts: BTreeMap<Face, Font>,
    signs: &'static Signs,
    /// Of every sign, in their order: its glyph in the music face.
    glyphs: Vec<Option<FaceGlyph>>,
}

impl Pens {
    pub(super) fn new() -> Result<Pens, Error> {
        let faces = [Face::Music, Face::Roman, Face::Italic, Face::Bold];
        let font = |face: Face| {
            let font = Font::new(face.bytes().into(), 0);
            Ok((
                face,
                font.ok_or_else(|| Error::unwritten(format!("the font {face:?} cannot be read")))?,
            ))
        };
        let music = Face::Music.font();
        Ok(Pens {
            fonts: faces.into_iter().map(font).collect::<Result<_, Error>>()?,
            signs: Signs::all(),
            glyphs: Sign::ALL.iter().map(|sign| sign.glyph(&music)).collect(),
        })
    }

    /// Draws all of a block but the signs that are glyphs of the music face.
    pub(super) fn ink(&self, block: &Block, space: Mm, surface: &mut Surface<'_>) {
        let ruler = Ruler { block, space };
        surface.set_stroke(None);
        fill(luma::Color::new(GREY).into(), surface);
        for item in &block.frame.items {
            if let Ink::Shaded(outline) = &item.ink {
                draw(path(outline, |point| ruler.at(point)).as_ref(), surface);
            }
        }
        lines(&ruler, surface);
        surface.set_stroke(None);
        fill(luma::Color::black().into(), surface);
        for item in &block.frame.items {
            match &item.ink {
                Ink::Sign { sign, at, scale, flipped } => {
                    if self.glyphs[*sign as usize].is_none() {
                        self.drawing(*sign, *at, (*scale, *flipped), &ruler, surface);
                    }
                }
                Ink::Shape(outline) => {
                    draw(path(outline, |point| ruler.at(point)).as_ref(), surface);
                }
                Ink::Painted(outline, color) => {
                    let [red, green, blue] = color.rgb();
                    fill(rgb::Color::new(red, green, blue).into(), surface);
                    draw(path(outline, |point| ruler.at(point)).as_ref(), surface);
                    fill(luma::Color::black().into(), surface);
                }
                Ink::Letters { .. } => self.words(item, block, space, surface),
                Ink::Picture { strip, area } => picture(strip, *area, &ruler, surface),
                Ink::Line { .. } | Ink::Shaded(_) | Ink::Shared => {}
            }
        }
    }

    /// Draws words; nothing if the item is something else.
    pub(super) fn words(&self, item: &Item, block: &Block, space: Mm, surface: &mut Surface<'_>) {
        let Ink::Letters { letters, at } = &item.ink else { return };
        // Figures in a staff are signs, not words that one would look for.
        let outlined = matches!(item.role, Role::Meter | Role::TupletFigure);
        surface.set_stroke(None);
        fill(luma::Color::black().into(), surface);
        self.letters(letters, *at, outlined, &Ruler { block, space }, surface);
    }

    /// The signs of a block that are glyphs of the music face, as text, so that the file has each drawing
    /// once.
    pub(super) fn music(&self, block: &Block, space: Mm, surface: &mut Surface<'_>) {
        let ruler = Ruler { block, space };
        let placed = |item: &Item| {
            let Ink::Sign { sign, at, scale, flipped } = item.ink else { return None };
            let FaceGlyph { glyph, character, moved } = self.glyphs[sign as usize]?;
            let down = moved.y * if flipped { -scale } else { scale };
            let at = ruler.at(at.moved(moved.x * scale, down));
            let size = ruler.length(MUSIC_EM * scale);
            Some(Placed { glyph, character, size, flipped, at })
        };
        let mut signs: Vec<Placed> = block.frame.items.iter().filter_map(placed).collect();
        let kind = |sign: &Placed| (sign.flipped, sign.size.to_bits());
        signs.sort_by_key(kind);
        surface.set_stroke(None);
        fill(luma::Color::black().into(), surface);
        for alike in signs.chunk_by(|one, two| kind(one) == kind(two)) {
            let Placed { size, flipped, .. } = alike[0];
            // Upside down, the page is seen from below.
            let down = if flipped { -1.0 } else { 1.0 };
            let mut text = String::new();
            let glyph = |sign: &Placed| {
                let (x, y) = (sign.at.x / size, -sign.at.y * down / size);
                let from = text.len();
                text.push(sign.character);
                KrillaGlyph::new(GlyphId::new(sign.glyph), 0.0, x, y, 0.0, from..text.len(), None)
            };
            let glyphs: Vec<KrillaGlyph> = alike.iter().map(glyph).collect();
            let font = self.fonts[&Face::Music].clone();
            surface.push_transform(&Transform::from_scale(1.0, down));
            surface.draw_glyphs(PdfPoint::from_xy(0.0, 0.0), &glyphs, font, &text, size, false);
            surface.pop();
        }
    }

    /// A drawing of our own: the same numbers each time, so that they are packed small.
    fn drawing(
        &self,
        sign: Sign,
        at: Point,
        (scale, flipped): (f64, bool),
        ruler: &Ruler<'_>,
        surface: &mut Surface<'_>,
    ) {
        let place = ruler.at(at);
        let down = if flipped { -1.0 } else { 1.0 };
        let size = |length: Sp| ruler.length(length * scale);
        let around = |point: Point| PdfPoint::from_xy(size(point.x), size(point.y));
        surface.push_transform(&Transform::from_row(1.0, 0.0, 0.0, down, place.x, place.y));
        draw(path(self.signs.outline(sign), around).as_ref(), surface);
        surface.pop();
    }

    fn letters(
        &self,
        letters: &Lettering,
        at: Point,
        outlined: bool,
        ruler: &Ruler<'_>,
        surface: &mut Surface<'_>,
    ) {
        let in_ems = |length: Sp| (length / letters.size) as f32;
        let glyph = |place: usize| {
            let letter = letters.glyphs[place];
            let later = &letters.glyphs[place + 1..];
            let next = later.first().map_or(letters.width, |next| next.x);
            let end = later.iter().map(|other| other.from).find(|from| *from > letter.from);
            let end = end.map_or(letters.text.len(), |end| end as usize);
            KrillaGlyph::new(
                GlyphId::new(letter.glyph),
                in_ems(next - letter.x),
                0.0,
                in_ems(letter.rise),
                0.0,
                letter.from as usize..end,
                None,
            )
        };
        let size = ruler.length(letters.size);
        let mut place = 0;
        for of_face in letters.glyphs.chunk_by(|one, two| one.face == two.face) {
            let glyphs: Vec<KrillaGlyph> = (place..place + of_face.len()).map(glyph).collect();
            let font = self.fonts[&of_face[0].face].clone();
            let at = ruler.at(at.moved(of_face[0].x, Sp::ZERO));
            surface.draw_glyphs(at, &glyphs, font, &letters.text, size, outlined);
            place += of_face.len();
        }
    }
}

/// A strip of a page picture in its place, straightened; nothing where the picture cannot be read. The library
/// puts a picture into the file once, however many strips of it are shown.
fn picture(strip: &Strip, area: Area, ruler: &Ruler<'_>, surface: &mut Surface<'_>) {
    let bytes = strip.picture.to_vec().into();
    let image = match strip.format() {
        Some(Format::Png) => Image::from_png(bytes, true),
        Some(Format::Jpeg) => Image::from_jpeg(bytes, true),
        None => return,
    };
    let corner = ruler.at(Point::new(area.left, area.top));
    let (width, height) = (ruler.length(area.width()), ruler.length(area.height()));
    let window = Rect::from_xywh(corner.x, corner.y, width, height);
    let size = Size::from_wh(strip.size.0 as f32, strip.size.1 as f32);
    let (Ok(image), Some(window), Some(size)) = (image, window, size) else { return };
    let mut path = PathBuilder::new();
    path.push_rect(window);
    let Some(path) = path.finish() else { return };
    surface.push_clip_path(&path, &FillRule::NonZero);
    // From pixels to the page: turned back round the middle of the box, which comes to the middle of
    // the window.
    let (sin, cos) = (-strip.angle.to_radians()).sin_cos();
    let (across, down) = (f64::from(width) / strip.width, f64::from(height) / strip.height);
    let row = [cos * across, sin * down, -sin * across, cos * down];
    let middle = (strip.x + strip.width / 2.0, strip.y + strip.height / 2.0);
    let x = f64::from(corner.x + width / 2.0) - (row[0] * middle.0 + row[2] * middle.1);
    let y = f64::from(corner.y + height / 2.0) - (row[1] * middle.0 + row[3] * middle.1);
    let [xx, yx, xy, yy] = row.map(|part| part as f32);
    surface.push_transform(&Transform::from_row(xx, yx, xy, yy, x as f32, y as f32));
    surface.draw_image(image, size);
    surface.pop();
    surface.pop();
}

/// All lines of a block, those of one thickness as one drawing.
fn lines(ruler: &Ruler<'_>, surface: &mut Surface<'_>) {
    let mut paths: BTreeMap<u64, (Sp, PathBuilder)> = BTreeMap::new();
    for item in &ruler.block.frame.items {
        if let Ink::Line { from, to, thickness } = item.ink {
            let (from, to) = (ruler.at(from), ruler.at(to));
            let entry = paths.entry(thickness.0.to_bits());
            let (_, path) = entry.or_insert_with(|| (thickness, PathBuilder::new()));
            path.move_to(from.x, from.y);
            path.line_to(to.x, to.y);
        }
    }
    surface.set_fill(None);
    for (thickness, path) in paths.into_values() {
        surface.set_stroke(Some(PdfStroke {
            paint: luma::Color::black().into(),
            width: ruler.length(thickness),
            ..PdfStroke::default()
        }));
        draw(path.finish().as_ref(), surface);
    }
}

/// Measures a block in points of the page.
struct Ruler<'b> {
    block: &'b Block,
    space: Mm,
}

impl Ruler<'_> {
    fn length(&self, length: Sp) -> f32 {
        rounded(points(self.space * length.0))
    }

    fn at(&self, point: Point) -> PdfPoint {
        let x = self.block.x + self.space * point.x.0;
        let y = self.block.y + self.space * point.y.0;
        PdfPoint::from_xy(rounded(points(x)), rounded(points(y)))
    }
}

/// To a thousandth of a point: less is not seen.
fn rounded(length: f32) -> f32 {
    (length * 1000.0).round() / 1000.0
}

fn fill(paint: Paint, surface: &mut Surface<'_>) {
    surface.set_fill(Some(Fill { paint, ..Fill::default() }));
}

fn draw(path: Option<&Path>, surface: &mut Surface<'_>) {
    if let Some(path) = path {
        surface.draw_path(path);
    }
}

fn path(outline: &Outline, at: impl Fn(Point) -> PdfPoint) -> Option<Path> {
    let mut path = PathBuilder::new();
    for stroke in &outline.strokes {
        match *stroke {
            Stroke::Move(to) => {
                let to = at(to);
                path.move_to(to.x, to.y);
            }
            Stroke::Line(to) => {
                let to = at(to);
                path.line_to(to.x, to.y);
            }
            Stroke::Quadratic(by, to) => {
                let (by, to) = (at(by), at(to));
                path.quad_to(by.x, by.y, to.x, to.y);
            }
            Stroke::Cubic(one, two, to) => {
                let (one, two, to) = (at(one), at(two), at(to));
                path.cubic_to(one.x, one.y, two.x, two.y, to.x, to.y);
            }
            Stroke::Close => path.close(),
        }
    }
    path.finish()
}
