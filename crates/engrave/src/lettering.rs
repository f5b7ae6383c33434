//! Words and figures: shaped by the font's own rules, measured, and drawn.

use std::cell::OnceCell;
use std::ops::Range;

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
    /// The size of the em.
    pub size: Sp,
    /// Its glyphs, from left to right.
    pub glyphs: Vec<Letter>,
    /// How far the line reaches.
    pub width: Sp,
    /// The characters that no face has. In their place stands their number, as in `[U+6587]`.
    pub missing: Vec<char>,
}

/// One glyph of a line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Letter {
    /// The face that it is of: the one that is asked for, or another that has the character.
    pub face: Face,
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
pub const CAPITAL_HEIGHT: f64 = 0.65;

/// How far its letters reach below the baseline, in ems; measured on its p.
pub const DESCENT: f64 = 0.285;

impl Lettering {
    /// The same words so many times as large.
    #[must_use]
    pub(crate) fn scaled(mut self, by: f64) -> Lettering {
        self.size = self.size * by;
        self.width = self.width * by;
        for letter in &mut self.glyphs {
            letter.x = letter.x * by;
            letter.rise = letter.rise * by;
        }
        self
    }

    /// The same words with each of their spaces so much wider, or narrower where that is below zero.
    #[must_use]
    pub fn spaced(mut self, by: Sp) -> Lettering {
        let (mut before, mut place) = (0, 0);
        for letter in &mut self.glyphs {
            let from = (letter.from as usize).max(place);
            let between = self.text.get(place..from).unwrap_or_default();
            before += between.matches(' ').count();
            place = from;
            letter.x += by * before as f64;
        }
        let all = self.text.matches(' ').count();
        self.width += by * all as f64;
        self
    }

    /// The same words, smaller if they are wider than that.
    #[must_use]
    pub fn no_wider_than(self, width: Sp) -> Lettering {
        let by = width / self.width;
        if by < 1.0 { self.scaled(by) } else { self }
    }

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
pub struct Letterer {
    roman: OnceCell<Shaping>,
    italic: OnceCell<Shaping>,
    bold: OnceCell<Shaping>,
    music: OnceCell<Shaping>,
}

/// The faces in which a character is looked for that another lacks, in this order.
const OTHERS: [Face; 3] = [Face::Roman, Face::Italic, Face::Music];

struct Shaping {
    face: Face,
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
        Shaping { face, font, data, features, plan }
    }

    /// The glyphs of a text from its left end, in an em of that size, and how far they reach.
    fn shape(&self, text: &str, size: Sp) -> (Vec<Letter>, Sp) {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(script::LATIN);
        let shaper = self.data.shaper(&self.font).build();
        let options = ShapeOptions::new().plan(Some(&self.plan)).features(&self.features);
        let shaped = shaper.shape(buffer, options);
        let unit = |units: i32| size * (f64::from(units) / Face::UNITS_PER_EM);
        let mut x = Sp::ZERO;
        let infos = shaped.glyph_infos().iter().zip(shaped.glyph_positions());
        let glyphs = infos
            .map(|(info, position)| {
                let letter = Letter {
                    face: self.face,
                    glyph: info.glyph_id,
                    x: x + unit(position.x_offset),
                    rise: unit(position.y_offset),
                    from: info.cluster,
                };
                x += unit(position.x_advance);
                letter
            })
            .collect();
        (glyphs, x)
    }
}

/// Whether a face has no drawing for it.
fn is_missing(letter: &Letter) -> bool {
    letter.glyph == GlyphId::NOTDEF.to_u32()
}

impl Letterer {
    fn shaping(&self, face: Face) -> &Shaping {
        let cell = match face {
            Face::Italic => &self.italic,
            Face::Bold => &self.bold,
            Face::Roman => &self.roman,
            Face::Music => &self.music,
        };
        cell.get_or_init(|| Shaping::of(face))
    }

    /// Sets a line of words in an em of that size. What the face lacks is set in another that has it.
    pub fn set(&self, text: &str, face: Face, size: Sp) -> Lettering {
        let text = legible(text).into_owned();
        let (glyphs, width) = self.shaping(face).shape(&text, size);
        if !glyphs.iter().any(is_missing) {
            return Lettering { text, size, glyphs, width, missing: Vec::new() };
        }
        let mut pieced = Lettering { text, size, glyphs: Vec::new(), width, missing: Vec::new() };
        // What one cluster of glyphs takes less or more room shifts all that follow.
        let mut shift = Sp::ZERO;
        let mut clusters = glyphs.chunk_by(|one, two| one.from == two.from).peekable();
        while let Some(cluster) = clusters.next() {
            let next = clusters.peek().map(|next| next[0]);
            if !cluster.iter().any(is_missing) {
                let shifted = cluster.iter().map(|one| Letter { x: one.x + shift, ..*one });
                pieced.glyphs.extend(shifted);
                continue;
            }
            let from = cluster[0].from;
            let end = next.map_or(pieced.text.len(), |next| next.from as usize);
            let (found, room) = self.elsewhere(from as usize..end, size, &mut pieced);
            let at = cluster[0].x + shift;
            pieced.glyphs.extend(found.into_iter().map(|one| Letter { x: at + one.x, ..one }));
            shift += room - (next.map_or(width, |next| next.x) - cluster[0].x);
        }
        pieced.width = width + shift;
        pieced
    }

    /// Part of a text in the first face that has it; else the numbers of its characters.
    fn elsewhere(&self, range: Range<usize>, size: Sp, line: &mut Lettering) -> (Vec<Letter>, Sp) {
        let part = &line.text[range.clone()];
        let shaped = OTHERS.into_iter().map(|face| self.shaping(face).shape(part, size));
        let whole = shaped.into_iter().find(|(glyphs, _)| !glyphs.iter().any(is_missing));
        let from = range.start as u32;
        if let Some((glyphs, width)) = whole {
            let placed = glyphs.into_iter().map(|one| Letter { from: from + one.from, ..one });
            return (placed.collect(), width);
        }
        let numbers: String =
            part.chars().map(|character| format!("[U+{:04X}]", u32::from(character))).collect();
        line.missing.extend(part.chars());
        let (glyphs, width) = self.shaping(Face::Roman).shape(&numbers, size);
        (glyphs.into_iter().map(|one| Letter { from, ..one }).collect(), width)
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
    fn spaces_become_wider_and_words_stay_whole() {
        let letterer = Letterer::default();
        let line = letterer.set("a fine line", Face::Roman, Sp(2.0));
        let spaced = line.clone().spaced(Sp(0.5));
        assert!((spaced.width - line.width - Sp(1.0)).abs() < Sp(1e-9));
        let moved: Vec<f64> = spaced
            .glyphs
            .iter()
            .zip(&line.glyphs)
            .map(|(after, before)| (after.x - before.x).0)
            .collect();
        assert!(moved.windows(2).all(|pair| pair[0] <= pair[1] + 1e-9), "{moved:?}");
        // The space itself stays where it is; what follows moves.
        assert!(moved[1].abs() < 1e-9 && (moved[2] - 0.5).abs() < 1e-9, "{moved:?}");
        assert!((moved[moved.len() - 1] - 1.0).abs() < 1e-9);
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

    /// Of the signs of music in a title.
    #[test]
    fn what_a_face_lacks_is_set_in_another() {
        let letterer = Letterer::default();
        let faces = |text: &str, face: Face| -> Vec<Face> {
            letterer.set(text, face, Sp(2.0)).glyphs.iter().map(|one| one.face).collect()
        };
        assert_eq!(faces("B\u{266d}", Face::Roman), [Face::Roman, Face::Music]);
        assert_eq!(faces("\u{266f}4", Face::Bold), [Face::Music, Face::Bold]);
        let (with, without) = ("in B\u{266d} major", "in B major");
        let [with, without] = [with, without].map(|text| letterer.set(text, Face::Roman, Sp(2.0)));
        assert!(with.width > without.width && with.missing.is_empty());
        let order = with.glyphs.windows(2).all(|pair| pair[0].x < pair[1].x);
        assert!(order, "{:?}", with.glyphs);
        // The last letter ends with the line, as it does without the sign.
        let last = |line: &Lettering| line.width - line.glyphs[line.glyphs.len() - 1].x;
        assert!((last(&with) - last(&without)).abs() < Sp(0.001));
    }

    #[test]
    fn what_no_face_has_is_told_by_its_number() {
        let letterer = Letterer::default();
        let line = letterer.set("a\u{6587}b", Face::Italic, Sp(2.0));
        assert_eq!(
            (line.text.as_str(), line.missing.as_slice()),
            ("a\u{6587}b", &['\u{6587}'][..])
        );
        assert!(!line.glyphs.iter().any(is_missing));
        let told = letterer.set("[U+6587]", Face::Roman, Sp(2.0));
        assert_eq!(line.glyphs.len(), told.glyphs.len() + 2);
        // All of it stands for the one character.
        assert_eq!(line.glyphs.iter().filter(|one| one.from == 1).count(), told.glyphs.len());
    }
}
