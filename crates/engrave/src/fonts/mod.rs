//! The two families of type, embedded unmodified; their licences stand beside the files.
//!
//! Noto Music (SIL OFL 1.1, Debian's `fonts-noto-core`) for signs of music, EB Garamond (SIL OFL
//! 1.1, Debian's `fonts-ebgaramond`) for words and figures.

use skrifa::FontRef;
use skrifa::GlyphId;
use skrifa::MetadataProvider as _;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};

use crate::outline::{Outline, Stroke};
use crate::units::{Point, Sp};

/// A font file of the picture.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Face {
    /// Signs of music.
    Music,
    /// Words.
    Roman,
    /// Words, slanted.
    Italic,
    /// Figures of meters.
    Bold,
}

impl Face {
    /// The font file, as embedded.
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Face::Music => include_bytes!("NotoMusic-Regular.ttf"),
            Face::Roman => include_bytes!("EBGaramond12-Regular.otf"),
            Face::Italic => include_bytes!("EBGaramond12-Italic.otf"),
            Face::Bold => include_bytes!("EBGaramond12-Bold.otf"),
        }
    }

    /// Units of the font's drawings in one em.
    pub const UNITS_PER_EM: f64 = 1000.0;

    pub(crate) fn font(self) -> FontRef<'static> {
        FontRef::new(self.bytes()).expect("an embedded font is well formed")
    }
}

/// The glyph of a character; that of a missing character where the font has none.
pub(crate) fn glyph_of(font: &FontRef<'_>, character: char) -> GlyphId {
    font.charmap().map(character).unwrap_or(GlyphId::NOTDEF)
}

/// A glyph's drawing: units of the font divided by `unit`, `y` downwards.
pub(crate) fn draw(font: &FontRef<'_>, glyph: GlyphId, unit: f64) -> Outline {
    let mut pen = Pen { unit, strokes: Vec::new() };
    if let Some(outline) = font.outline_glyphs().get(glyph) {
        let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
        // What cannot be drawn is left blank; an embedded font has no such glyph.
        let _ = outline.draw(settings, &mut pen);
    }
    Outline { strokes: pen.strokes }
}

struct Pen {
    unit: f64,
    strokes: Vec<Stroke>,
}

impl Pen {
    fn point(&self, x: f32, y: f32) -> Point {
        Point::new(Sp(f64::from(x) / self.unit), Sp(-f64::from(y) / self.unit))
    }
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.strokes.push(Stroke::Move(self.point(x, y)));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.strokes.push(Stroke::Line(self.point(x, y)));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.strokes.push(Stroke::Quadratic(self.point(cx, cy), self.point(x, y)));
    }

    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        let (first, second) = (self.point(ax, ay), self.point(bx, by));
        self.strokes.push(Stroke::Cubic(first, second, self.point(x, y)));
    }

    fn close(&mut self) {
        self.strokes.push(Stroke::Close);
    }
}
