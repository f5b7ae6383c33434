//! The signs at notes as the format has them.

use notation::NoteSign;
use roxmltree::Node;

use super::elements::{name, text};

/// How a file says that a sign stands at a note.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum How {
    /// By this element, in the note or naming it; or by an attribute of the note that is called so.
    Element(&'static str),
    /// By this element around the note, or around something in it.
    Around(&'static str),
    /// By a direction or symbol whose type, label, text or glyph has this in it, in small letters; of
    /// several signs that are called so, the one with the longest name is read.
    Called(&'static str),
}

impl How {
    /// How a sign is said.
    pub(super) fn of(sign: NoteSign) -> How {
        match sign {
            NoteSign::Corona => How::Element("fermata"),
            // `SMuFL` has the glyphs `mensuralSignumUp` and `mensuralSignumDown` (from memory).
            NoteSign::Signum => How::Called("signum"),
            NoteSign::Doubt => How::Around("unclear"),
        }
    }
}

/// The sign that an element says by its name, and how.
pub(super) fn said_by(node: Node<'_, '_>) -> Option<(NoteSign, How)> {
    let is_said = |(_, said): &(NoteSign, How)| match said {
        How::Element(element) | How::Around(element) => *element == name(node),
        How::Called(_) => false,
    };
    NoteSign::ALL.iter().map(|sign| (*sign, How::of(*sign))).find(is_said)
}

/// The sign that a direction or symbol is called.
pub(super) fn called(node: Node<'_, '_>) -> Option<NoteSign> {
    let names = ["type", "label", "glyph.name"].map(|name| node.attribute(name).map(str::to_owned));
    let names: Vec<String> =
        names.into_iter().flatten().chain(text(node)).map(|name| name.to_lowercase()).collect();
    let is_called = |sign: &NoteSign| match How::of(*sign) {
        How::Called(called) if names.iter().any(|name| name.contains(called)) => {
            Some((*sign, called.len()))
        }
        How::Called(_) | How::Element(_) | How::Around(_) => None,
    };
    let found = NoteSign::ALL.iter().filter_map(is_called);
    found.max_by_key(|(_, length)| *length).map(|(sign, _)| sign)
}

/// The signs that attributes of a note say, with those attributes.
pub(super) fn of_attributes(node: Node<'_, '_>) -> impl Iterator<Item = (NoteSign, &'static str)> {
    let attribute = |sign: &NoteSign| match How::of(*sign) {
        How::Element(called) => Some((*sign, called)),
        How::Around(_) | How::Called(_) => None,
    };
    NoteSign::ALL
        .iter()
        .filter_map(attribute)
        .filter(move |(_, called)| node.has_attribute(*called))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_sign_is_told_from_the_others() {
        for sign in NoteSign::ALL.iter().copied() {
            let (xml, read): (String, fn(Node<'_, '_>) -> Option<NoteSign>) = match How::of(sign) {
                How::Element(said) | How::Around(said) => {
                    (format!("<{said}/>"), |node| said_by(node).map(|(sign, _)| sign))
                }
                How::Called(said) => (format!("<dir>{said}</dir>"), called),
            };
            let document = roxmltree::Document::parse(&xml).unwrap();
            assert_eq!(read(document.root_element()), Some(sign), "{xml}");
        }
    }
}
