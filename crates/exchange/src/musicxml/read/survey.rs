//! Where in the file the parts are, and what they are called.

use std::collections::HashMap;

use notation::MOST_VOICES;
use roxmltree::{Document, Node};

use crate::elements::{child, children, name, text};
use crate::reading::Remarks;
use crate::{Fault, ReadError};

/// What a file consists of.
pub(super) struct Survey<'a, 'i> {
    /// The outermost element.
    pub(super) score: Node<'a, 'i>,
    /// The parts, from the top.
    pub(super) parts: Vec<PartElements<'a, 'i>>,
}

/// A part.
pub(super) struct PartElements<'a, 'i> {
    /// Its name, where it has one that says something.
    pub(super) name: Option<String>,
    /// The measures in which it has something, by their numbers from 0, each with the element
    /// that holds it.
    pub(super) measures: Vec<(usize, Node<'a, 'i>)>,
}

impl<'a, 'i> Survey<'a, 'i> {
    /// Looks a file over.
    ///
    /// # Errors
    /// If it is no MusicXML score, or has more parts than a parts file has voices.
    pub(super) fn of(
        document: &'a Document<'i>,
        remarks: &mut Remarks,
    ) -> Result<Survey<'a, 'i>, ReadError> {
        let score = document.root_element();
        let parts = match name(score) {
            "score-partwise" => partwise(score),
            "score-timewise" => timewise(score),
            found => {
                let (wanted, found) = ("a score in MusicXML", found.to_owned());
                return Err(remarks.fault(score, Fault::OtherFormat { wanted, found }));
            }
        };
        if parts.is_empty() {
            return Err(remarks.fault(score, Fault::NoMusic));
        }
        if parts.len() > MOST_VOICES {
            let voices = parts.len();
            return Err(remarks.fault(score, Fault::TooManyVoices { voices }));
        }
        let names = names(score);
        let parts = parts
            .into_iter()
            .map(|(id, measures)| PartElements { name: names.get(id).cloned(), measures })
            .collect();
        Ok(Survey { score, parts })
    }
}

type Parts<'a, 'i> = Vec<(&'a str, Vec<(usize, Node<'a, 'i>)>)>;

fn id<'a>(part: Node<'a, '_>) -> &'a str {
    part.attribute("id").unwrap_or_default()
}

/// Parts that have measures.
fn partwise<'a, 'i>(score: Node<'a, 'i>) -> Parts<'a, 'i> {
    children(score, "part")
        .map(|part| (id(part), children(part, "measure").enumerate().collect()))
        .collect()
}

/// Measures that have parts: turned round. A part that a measure lacks is silent in it.
fn timewise<'a, 'i>(score: Node<'a, 'i>) -> Parts<'a, 'i> {
    let mut parts: Parts<'a, 'i> = Vec::new();
    let mut places: HashMap<&str, usize> = HashMap::new();
    for (number, measure) in children(score, "measure").enumerate() {
        for part in children(measure, "part") {
            let place = *places.entry(id(part)).or_insert_with(|| {
                parts.push((id(part), Vec::new()));
                parts.len() - 1
            });
            // Where there are more, the file is refused anyway.
            if place <= MOST_VOICES {
                parts[place].1.push((number, part));
            }
        }
    }
    parts
}

/// The names of the parts by their identifiers. A name that is not shown says nothing: programs
/// put it there when nobody has given one.
fn names(score: Node<'_, '_>) -> HashMap<String, String> {
    let Some(list) = child(score, "part-list") else { return HashMap::new() };
    let shown = |part, wanted| {
        let name: Option<Node<'_, '_>> = child(part, wanted);
        name.filter(|name| name.attribute("print-object") != Some("no")).and_then(text)
    };
    children(list, "score-part")
        .filter_map(|part| {
            let name = shown(part, "part-name").or_else(|| shown(part, "part-name-display"))?;
            Some((id(part).to_owned(), name))
        })
        .collect()
}
