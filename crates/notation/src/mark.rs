//! How a mark at notes looks.

use std::fmt;

/// The shape of a mark. The first three can be typed; the others are drawn for what an analysis
/// says.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum MarkShape {
    /// A bracket over all of them.
    #[default]
    Bracket,
    /// A circle round each.
    Circle,
    /// An arrow that points at each.
    Arrow,
    /// Words alone.
    Label,
    /// A question mark: it is doubtful.
    Doubt,
}

impl MarkShape {
    /// Those that can be typed.
    pub const TYPED: [MarkShape; 3] = [MarkShape::Bracket, MarkShape::Circle, MarkShape::Arrow];

    /// As it is typed, or would be.
    pub fn word(self) -> &'static str {
        match self {
            MarkShape::Bracket => "bracket",
            MarkShape::Circle => "circle",
            MarkShape::Arrow => "arrow",
            MarkShape::Label => "label",
            MarkShape::Doubt => "doubt",
        }
    }

    /// The shape that is typed so.
    pub fn from_word(word: &str) -> Option<MarkShape> {
        MarkShape::TYPED.into_iter().find(|shape| shape.word() == word)
    }
}

impl fmt::Display for MarkShape {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// The colour of a mark; each has a kind of line of its own, so that they can be told apart in black
/// and white too.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum MarkColor {
    Blue,
    Orange,
    Green,
    Red,
    Purple,
    Sky,
}

impl MarkColor {
    /// All of them.
    pub const ALL: [MarkColor; 6] = [
        MarkColor::Blue,
        MarkColor::Orange,
        MarkColor::Green,
        MarkColor::Red,
        MarkColor::Purple,
        MarkColor::Sky,
    ];

    /// As it is typed.
    pub fn word(self) -> &'static str {
        match self {
            MarkColor::Blue => "blue",
            MarkColor::Orange => "orange",
            MarkColor::Green => "green",
            MarkColor::Red => "red",
            MarkColor::Purple => "purple",
            MarkColor::Sky => "sky",
        }
    }

    /// The colour that is typed so.
    pub fn from_word(word: &str) -> Option<MarkColor> {
        MarkColor::ALL.into_iter().find(|color| color.word() == word)
    }

    /// Red, green and blue, 0 to 255. The palette is that of Masataka Okabe and Kei Ito, *Color
    /// Universal Design* (2002, revised 2008), which people with any kind of colour vision can tell
    /// apart; its yellow is left out, since it is hardly seen on white. `Red` is its vermilion,
    /// `Green` its bluish green, `Purple` its reddish purple, `Sky` its sky blue. (From memory.)
    pub fn rgb(self) -> [u8; 3] {
        match self {
            MarkColor::Blue => [0, 114, 178],
            MarkColor::Orange => [230, 159, 0],
            MarkColor::Green => [0, 158, 115],
            MarkColor::Red => [213, 94, 0],
            MarkColor::Purple => [204, 121, 167],
            MarkColor::Sky => [86, 180, 233],
        }
    }
}

impl fmt::Display for MarkColor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_and_colours_are_found_by_their_words() {
        for shape in MarkShape::TYPED {
            assert_eq!(MarkShape::from_word(shape.word()), Some(shape));
        }
        assert_eq!(MarkShape::from_word("doubt"), None);
        for color in MarkColor::ALL {
            assert_eq!(MarkColor::from_word(color.word()), Some(color));
        }
        assert_eq!(MarkColor::from_word("yellow"), None);
    }

    /// The contrast with white paper, by the relative luminance of WCAG 2.1; the lightest of the six,
    /// orange and sky blue, have about 2.3.
    #[test]
    fn every_colour_is_seen_on_white() {
        for color in MarkColor::ALL {
            let [red, green, blue] = color.rgb().map(|part| {
                let part = f64::from(part) / 255.0;
                if part <= 0.03928 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
            });
            let luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
            assert!(1.05 / (luminance + 0.05) > 2.0, "{color}");
        }
    }
}
