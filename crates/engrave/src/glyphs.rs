//! The signs of music: their drawings and measures, in staff spaces.
//!
//! Most come from the music face. Its accidentals of U+266D to U+266F are drawn for running text,
//! in other proportions than its heads, so those are our own drawings; so are braces and the like,
//! which have to stretch.

use std::sync::LazyLock;

use skrifa::FontRef;

use crate::drawn;
use crate::fonts::{self, Face};
use crate::outline::Outline;
use crate::units::{Area, Point, Sp};

/// Units of the music face in a staff space: its five-line staff, U+1D11A, is 1000 units high and
/// its lines are 24 thick.
const UNITS_PER_SPACE: f64 = (1000.0 - 24.0) / 4.0;

/// The em of the music face at its usual size.
pub(crate) const MUSIC_EM: Sp = Sp(Face::UNITS_PER_EM / UNITS_PER_SPACE);

/// Where the middle of the lowest line of the music face's staff lies, above its baseline.
const BOTTOM_LINE: f64 = 12.0 / UNITS_PER_SPACE;

/// Where the middle of a head lies that the music face draws in its lowest space.
const HEAD_MIDDLE: f64 = 134.0 / UNITS_PER_SPACE;

/// The middle of the music face's staff, where its rests and small signs are centred.
const STAFF_MIDDLE: f64 = 500.0 / UNITS_PER_SPACE;

macro_rules! signs {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// A sign of music.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum Sign {
            $($(#[$doc])* $name,)*
        }

        impl Sign {
            /// All signs.
            pub const ALL: &[Sign] = &[$(Sign::$name,)*];
        }
    };
}

signs! {
    /// The G clef; its origin lies on the line of the G.
    ClefG,
    /// The G clef that sounds an octave lower.
    ClefGLow,
    /// The C clef; its origin lies on the line of the C.
    ClefC,
    /// The F clef; its origin lies on the line of the F.
    ClefF,
    /// A black head.
    HeadBlack,
    /// A half note's head.
    HeadHalf,
    /// A whole note.
    HeadWhole,
    /// A double whole note.
    HeadBreve,
    /// The same beside heads a third away: its strokes are no higher than its head.
    HeadBreveAmongOthers,
    /// The head of a longa, to which a stem is drawn.
    HeadLonga,
    /// The wide head of a maxima.
    HeadMaxima,
    /// A diamond, the head of a white semibreve or minim of the source.
    DiamondWhite,
    /// A black diamond.
    DiamondBlack,
    /// A sharp, centred on its place.
    Sharp,
    /// A flat.
    Flat,
    /// A natural.
    Natural,
    /// A double sharp.
    DoubleSharp,
    /// A double flat.
    DoubleFlat,
    /// A dot of addition.
    Dot,
    /// One flag of a stem upwards; its origin is the stem's end, at the stem's left edge.
    Flag1,
    /// Two flags.
    Flag2,
    /// Three flags.
    Flag3,
    /// Four flags.
    Flag4,
    /// Five flags.
    Flag5,
    /// A longa's rest, over two spaces.
    RestLonga,
    /// A breve's rest, in the space above its origin.
    RestBreve,
    /// A whole rest, hanging from its origin.
    RestWhole,
    /// A half rest, standing on its origin.
    RestHalf,
    /// A quarter rest, centred on its origin, as are those that follow.
    RestQuarter,
    /// An eighth rest.
    Rest8,
    /// A sixteenth rest.
    Rest16,
    /// A 32nd rest.
    Rest32,
    /// A 64th rest.
    Rest64,
    /// A 128th rest.
    Rest128,
    /// A corona, its lowest point on the origin.
    Corona,
    /// A corona for below the staff, its highest point on the origin.
    CoronaBelow,
    /// The full circle of mensuration, centred on its origin, as are those that follow.
    Circle,
    /// The full circle with its dot.
    CircleDot,
    /// The half circle.
    HalfCircle,
    /// The half circle with its dot.
    HalfCircleDot,
    /// The half circle turned round.
    ReversedCircle,
}

/// A sign as a glyph of the music face.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct FaceGlyph {
    pub(crate) glyph: u32,
    pub(crate) character: char,
    /// How far its own drawing is moved.
    pub(crate) moved: Point,
}

/// Where the drawing of a sign comes from.
enum Source {
    /// A character of the music face.
    Face(char),
    /// A drawing of our own.
    Own(fn() -> Outline),
    /// A character of the music face between strokes of our own, as wide in all as another.
    Between(char, char),
}

impl Sign {
    fn source(self) -> Source {
        use Source::{Between, Face, Own};
        match self {
            Sign::ClefG => Face('\u{1D11E}'),
            Sign::ClefGLow => Face('\u{1D120}'),
            Sign::ClefC => Face('\u{1D121}'),
            Sign::ClefF => Face('\u{1D122}'),
            Sign::HeadBlack => Face('\u{1D158}'),
            Sign::HeadHalf => Face('\u{1D157}'),
            Sign::HeadWhole => Face('\u{1D15D}'),
            Sign::HeadBreve => Face('\u{1D15C}'),
            Sign::HeadBreveAmongOthers => Between('\u{1D15D}', '\u{1D15C}'),
            Sign::DiamondWhite => Face('\u{1D1B9}'),
            Sign::DiamondBlack => Face('\u{1D1BA}'),
            Sign::DoubleSharp => Face('\u{1D12A}'),
            Sign::DoubleFlat => Face('\u{1D12B}'),
            Sign::Dot => Face('\u{1D16D}'),
            Sign::Flag1 => Face('\u{1D16E}'),
            Sign::Flag2 => Face('\u{1D16F}'),
            Sign::Flag3 => Face('\u{1D170}'),
            Sign::Flag4 => Face('\u{1D171}'),
            Sign::Flag5 => Face('\u{1D172}'),
            Sign::RestQuarter => Face('\u{1D13D}'),
            Sign::Rest8 => Face('\u{1D13E}'),
            Sign::Rest16 => Face('\u{1D13F}'),
            Sign::Rest32 => Face('\u{1D140}'),
            Sign::Rest64 => Face('\u{1D141}'),
            Sign::Rest128 => Face('\u{1D142}'),
            Sign::Corona => Face('\u{1D110}'),
            Sign::CoronaBelow => Face('\u{1D111}'),
            Sign::Circle => Face('\u{1D1C8}'),
            Sign::CircleDot => Face('\u{1D1C7}'),
            Sign::HalfCircle => Face('\u{1D1CB}'),
            Sign::HalfCircleDot => Face('\u{1D1CA}'),
            Sign::ReversedCircle => Face('\u{1D1CC}'),
            Sign::Sharp => Own(drawn::sharp),
            Sign::Flat => Own(drawn::flat),
            Sign::Natural => Own(drawn::natural),
            Sign::HeadLonga => Own(|| drawn::square_head(2.0)),
            Sign::HeadMaxima => Own(|| drawn::square_head(3.4)),
            Sign::RestLonga => Own(|| drawn::block(0.0, -1.0, 0.55, 1.0)),
            Sign::RestBreve => Own(|| drawn::block(0.0, -1.0, 0.55, 0.0)),
            Sign::RestWhole => Own(|| drawn::block(0.0, 0.0, 1.15, 0.5)),
            Sign::RestHalf => Own(|| drawn::block(0.0, -0.5, 1.15, 0.0)),
        }
    }

    /// How far above its origin the baseline of the music face lies; the left edge of every
    /// drawing lies on the origin's vertical.
    fn drop(self, area: Area) -> Sp {
        match self {
            Sign::ClefG | Sign::ClefGLow => Sp(BOTTOM_LINE + 1.0),
            Sign::ClefC => Sp(STAFF_MIDDLE),
            Sign::ClefF => Sp(BOTTOM_LINE + 3.0),
            Sign::HeadBlack | Sign::HeadHalf | Sign::HeadWhole | Sign::HeadBreve => Sp(HEAD_MIDDLE),
            Sign::Corona => -area.bottom,
            Sign::CoronaBelow
            | Sign::Flag1
            | Sign::Flag2
            | Sign::Flag3
            | Sign::Flag4
            | Sign::Flag5 => -area.top,
            // The bowls of a double flat are half a space below and above its place.
            Sign::DoubleFlat => Sp(0.5),
            _ => -(area.top + area.bottom) / 2.0,
        }
    }

    /// The sign in the music face; nothing for our drawings.
    pub(crate) fn glyph(self, music: &FontRef<'_>) -> Option<FaceGlyph> {
        let Source::Face(character) = self.source() else { return None };
        let glyph = fonts::glyph_of(music, character);
        let area = drawing(music, character).area();
        let moved = Point::new(-area.left, self.drop(area));
        Some(FaceGlyph { glyph: glyph.to_u32(), character, moved })
    }

    fn outline(self, music: &FontRef<'_>) -> Outline {
        match self.source() {
            Source::Own(draw) => draw(),
            Source::Face(character) => {
                let outline = drawing(music, character);
                let area = outline.area();
                outline.moved(-area.left, self.drop(area))
            }
            Source::Between(character, wide) => {
                let width = drawing(music, wide).area().width();
                let head = drawing(music, character);
                let area = head.area();
                let aside = (width - area.width()) / 2.0;
                let mut outline = head.moved(aside - area.left, Sp(HEAD_MIDDLE));
                for (left, right) in [(0.0, 0.1), (0.24, 0.34)] {
                    for (left, right) in [(left, right), (width.0 - right, width.0 - left)] {
                        outline.add_polygon(drawn::rectangle(left, -0.44, right, 0.44));
                    }
                }
                outline
            }
        }
    }
}

/// The drawing of a character of the music face.
fn drawing(music: &FontRef<'_>, character: char) -> Outline {
    fonts::draw(music, fonts::glyph_of(music, character), UNITS_PER_SPACE)
}

/// The drawings and measures of all signs.
pub struct Signs {
    drawings: Vec<(Outline, Area)>,
}

impl Signs {
    /// All of them, read from the music face when they are first used.
    pub fn all() -> &'static Signs {
        static SIGNS: LazyLock<Signs> = LazyLock::new(Signs::read);
        &SIGNS
    }

    fn read() -> Signs {
        let music = Face::Music.font();
        let drawing = |sign: &Sign| {
            let outline = sign.outline(&music);
            let area = outline.area();
            (outline, area)
        };
        Signs { drawings: Sign::ALL.iter().map(drawing).collect() }
    }

    /// The drawing of a sign, in staff spaces around its origin.
    pub fn outline(&self, sign: Sign) -> &Outline {
        &self.drawings[sign as usize].0
    }

    /// The rectangle around it.
    pub fn area(&self, sign: Sign) -> Area {
        self.drawings[sign as usize].1
    }

    /// Its width.
    pub fn width(&self, sign: Sign) -> Sp {
        self.area(sign).width()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_is_drawn() {
        let signs = Signs::all();
        for sign in Sign::ALL {
            let area = signs.area(*sign);
            assert!(area.width() > Sp::ZERO && area.height() > Sp::ZERO, "{sign:?}");
            assert!(area.left.abs() < Sp(0.001), "{sign:?} begins at its origin");
        }
    }

    /// A head fills its space (common practice).
    #[test]
    fn a_head_is_as_high_as_a_space() {
        let signs = Signs::all();
        for head in [Sign::HeadBlack, Sign::HeadHalf, Sign::HeadWhole] {
            let area = signs.area(head);
            assert!((area.height() - Sp(1.05)).abs() < Sp(0.08), "{head:?} {area:?}");
            assert!((area.top + area.bottom).abs() < Sp(0.05), "{head:?} {area:?}");
        }
    }
}
