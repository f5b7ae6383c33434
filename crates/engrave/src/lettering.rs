//! Words and figures: shaped by the font's own rules, measured, and drawn.

use std::cell::OnceCell;

use harfrust::{
    Direction, Feature, ShapeOptions, ShapePlan, ShaperData, Tag, UnicodeBuffer, script,
};
use score::legible;
use skrifa::{FontRef, GlyphId};

use crate::fonts::{self, Face};
use crate::outline::Outline;
use crate::units::Sp;

/// A line of words.
#[derive(Clone, PartialEq, Debug)]
pub struct Lettering {
    /// What it says.
    pub text: String,
    /// In which face.
    pub face: Face,
    /// The size of the em.
    pub size: Sp,
    /// Its glyphs, from left to right.
    pub glyphs: Vec<Letter>,
    /// How far the line reaches.
    pub width: Sp,
}

/// One glyph of a line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Letter {
    /// The number of the glyph in its font.
    pub glyph: u32,
    /// Where it stands, from the beginning of the line.
    pub x: Sp,
    /// How far it is raised.
    pub rise: Sp,
    /// The byte of the text at which what it shows begins.
    pub from: u32,
}

/// The height of capitals and figures of EB Garamond, in ems; measured on its H.
pub(crate) const CAPITAL_HEIGHT: f64 = 0.65;

/// How far its letters reach below the baseline, in ems; measured on its p.
pub(crate) const DESCENT: f64 = 0.285;

impl Lettering {
    /// Whether something of it reaches below the line.
    pub(crate) fn descends(&self) -> bool {
        self.text.chars().any(|letter| !letter.is_ascii_digit() && !letter.is_uppercase())
    }
}

/// The drawing of a letter, in ems around its place on the baseline.
pub(crate) fn outline(face: Face, glyph: u32) -> Outline {
    fonts::draw(&face.font(), GlyphId::new(glyph), Face::UNITS_PER_EM)
}

/// Sets words. What a face needs is read when it is first used.
#[derive(Default)]
pub(crate) struct Letterer {
    roman: OnceCell<Shaping>,
    italic: OnceCell<Shaping>,
    bold: OnceCell<Shaping>,
}

struct Shaping {
    font: FontRef<'static>,
    data: ShaperData,
    features: [Feature; 2],
    plan: ShapePlan,
}

impl Shaping {
    fn of(face: Face) -> Shaping {
        let font = face.font();
        let data = ShaperData::new(&font);
        // Figures that stand on the line and are as high as capitals, beside small letters too:
        // the old 1 of the face would be read as a capital I.
        let features =
            [Feature::new(Tag::new(b"lnum"), 1, ..), Feature::new(Tag::new(b"calt"), 0, ..)];
        let shaper = data.shaper(&font).build();
        let plan =
            ShapePlan::new(&shaper, Direction::LeftToRight, Some(script::LATIN), None, &features);
        Shaping { font, data, features, plan }
    }
}

impl Letterer {
    /// Sets a line of words in an em of that size.
    pub(crate) fn set(&self, text: &str, face: Face, size: Sp) -> Lettering {
        let cell = match face {
            Face::Italic => &self.italic,
            Face::Bold => &self.bold,
            Face::Roman | Face::Music => &self.roman,
        };
        let shaping = cell.get_or_init(|| Shaping::of(face));
        let text = legible(text).into_owned();
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&text);
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(script::LATIN);
        let shaper = shaping.data.shaper(&shaping.font).build();
        let options = ShapeOptions::new().plan(Some(&shaping.plan)).features(&shaping.features);
        let shaped = shaper.shape(buffer, options);
        let unit = |units: i32| size * (f64::from(units) / Face::UNITS_PER_EM);
        let mut x = Sp::ZERO;
        let infos = shaped.glyph_infos().iter().zip(shaped.glyph_positions());
        let glyphs = infos
            .map(|(info, position)| {
                let letter = Letter {
                    glyph: info.glyph_id,
                    x: x + unit(position.x_offset),
                    rise: unit(position.y_offset),
                    from: info.cluster,
                };
                x += unit(position.x_advance);
                letter
            })
            .collect();
        Lettering { text, face, size, glyphs, width: x }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_as_wide_as_their_letters() {
        let letterer = Letterer::default();
        let word = letterer.set("Tenor", Face::Roman, Sp(2.0));
        assert_eq!(word.glyphs.len(), 5);
        assert!(word.width > Sp(4.0) && word.width < Sp(6.0), "{:?}", word.width);
        let larger = letterer.set("Tenor", Face::Roman, Sp(4.0));
        assert!((larger.width - word.width * 2.0).abs() < Sp(0.001));
    }

    #[test]
    fn heights_are_those_of_the_face() {
        let letterer = Letterer::default();
        let area = |letter: &str| {
            let set = letterer.set(letter, Face::Roman, Sp(1.0));
            outline(Face::Roman, set.glyphs[0].glyph).area()
        };
        assert!((area("H").top + Sp(CAPITAL_HEIGHT)).abs() < Sp(0.02), "{:?}", area("H"));
        assert!((area("p").bottom - Sp(DESCENT)).abs() < Sp(0.02), "{:?}", area("p"));
        assert!((area("4").top + Sp(CAPITAL_HEIGHT)).abs() < Sp(0.03), "{:?}", area("4"));
    }
}
