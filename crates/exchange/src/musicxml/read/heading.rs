//! What stands over a piece: title, composer, editor, source.

use roxmltree::Node;

use super::Minim;
use crate::elements::{child, children, elements, name, text};
use crate::reading::Remarks;

/// Title and names.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Heading {
    pub(super) title: Option<String>,
    pub(super) composer: Option<String>,
    pub(super) source: Option<String>,
    pub(super) editor: Option<String>,
    pub(super) notes: Vec<String>,
    /// The names of all voices, if the file says them apart from its parts; see [`super::voices`].
    pub(super) voices: Vec<String>,
}

impl Heading {
    /// The heading of a score, and which note it says stands for a minim.
    pub(super) fn of(score: Node<'_, '_>, remarks: &mut Remarks) -> (Heading, Option<Minim>) {
        let of = |parent: &'static str, wanted: &'static str| {
            child(score, parent).and_then(|parent| child(parent, wanted)).and_then(free_text)
        };
        let own = |wanted: &'static str| child(score, wanted).and_then(free_text);
        let mut titles: Vec<String> =
            [of("work", "work-title"), own("movement-title")].into_iter().flatten().collect();
        titles.dedup();
        let numbers = [of("work", "work-number"), own("movement-number")];
        let mut heading = Heading {
            title: (!titles.is_empty()).then(|| titles.join(". ")),
            composer: None,
            source: of("identification", "source"),
            editor: None,
            voices: Vec::new(),
            notes: numbers
                .into_iter()
                .flatten()
                .map(|number| format!("Number: {number}"))
                .collect(),
        };
        let mut minim = None;
        if let Some(identification) = child(score, "identification") {
            for element in elements(identification) {
                heading.identification(element, &mut minim, remarks);
            }
        }
        if let Some(credit) = child(score, "credit") {
            remarks.about(credit, "words that are placed on the page are not kept");
        }
        (heading, minim)
    }

    fn identification(
        &mut self,
        element: Node<'_, '_>,
        minim: &mut Option<Minim>,
        remarks: &mut Remarks,
    ) {
        match name(element) {
            "creator" => {
                let Some(creator) = free_text(element) else { return };
                match element.attribute("type") {
                    Some("composer") if self.composer.is_none() => self.composer = Some(creator),
                    Some("editor") if self.editor.is_none() => self.editor = Some(creator),
                    kind => {
                        let kind = kind.and_then(capital).unwrap_or_else(|| "By".to_owned());
                        self.notes.push(format!("{kind}: {creator}"));
                    }
                }
            }
            "rights" => self.notes.extend(free_text(element)),
            "miscellaneous" => {
                for field in children(element, "miscellaneous-field") {
                    match (field.attribute("name"), free_text(field)) {
                        (Some("note"), Some(note)) => self.notes.push(note),
                        (Some("voices"), Some(names)) => {
                            self.voices = names.split_whitespace().map(str::to_owned).collect();
                        }
                        (Some("minim"), Some(said)) => *minim = Minim::parse(&said),
                        (_, Some(_)) => remarks.about(field, "miscellaneous fields are not kept"),
                        _ => {}
                    }
                }
            }
            // How the file was made, and what it is part of.
            _ => {}
        }
    }
}

/// All text in an element, if the head of a parts file would see any.
fn free_text(element: Node<'_, '_>) -> Option<String> {
    // To a parts file a byte order mark is a blank.
    text(element)
        .map(|text| text.replace('\u{feff}', "").trim().to_owned())
        .filter(|text| !text.is_empty())
}

/// A word with its first letter capital.
fn capital(word: &str) -> Option<String> {
    let word: Vec<&str> = word.split_whitespace().collect();
    let word = word.join(" ");
    let mut letters = word.chars();
    let first = letters.next()?;
    Some(first.to_uppercase().chain(letters).collect())
}
