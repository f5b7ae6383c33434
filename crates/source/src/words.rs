//! Sorts in words, as a person who types them says.

use facsimile::{Kind, Sort};
use rudiments::{Accidental, Clef};

/// A sort under a clef: `mn D4`, `a sharp on F4`, `a dot`.
pub(crate) fn sort(sort: Sort, clef: Clef) -> String {
    let tone = sort.place.map(|place| clef.tone_at(place).to_string()).unwrap_or_default();
    match sort.kind {
        Kind::Clef(shape) => match crate::beginnings::clef(sort) {
            Some(clef) => format!("clef {clef}"),
            None => format!("a {} clef", shape.letter()),
        },
        Kind::Accidental(accidental) => {
            let name = match accidental {
                Accidental::Sharp => "sharp",
                Accidental::Flat => "flat",
                Accidental::Natural => "natural",
            };
            format!("a {name} on {tone}")
        }
        Kind::Note { value, black: false } => format!("{value} {tone}"),
        Kind::Note { value, black: true } => format!("a black {value} {tone}"),
        Kind::Bound(value) => format!("{value} {tone} of a ligature"),
        Kind::Direct => format!("a direct on {tone}"),
        Kind::Dot => "a dot".to_owned(),
        Kind::Rest { value, spaces: 0 } => format!("{value} _"),
        Kind::Rest { value, spaces } => format!("{value} _{spaces}"),
        Kind::Sign(sign) => format!("sign {sign}"),
        Kind::Oblique => "an oblique body".to_owned(),
        Kind::BarLine => "a bar line".to_owned(),
        Kind::DoubleBar => "a double bar".to_owned(),
        Kind::Repeat => "a repeat".to_owned(),
        Kind::Corona => "a corona".to_owned(),
        Kind::Signum => "a signum".to_owned(),
    }
}
