//! A first look over a file: where its one voice is, and what must be known before it is read.

use std::collections::HashSet;

use roxmltree::{Document, Node, NodeId};

use super::elements::{elements, name};
use crate::elements::{text, words};
use crate::reading::Remarks;
use crate::{Fault, ReadError, names};

/// What must be known before a voice is read.
pub(super) struct Survey<'a, 'i> {
    /// The `<mei>`.
    pub(super) mei: Node<'a, 'i>,
    /// The `<score>` or `<part>` that holds the voice.
    pub(super) music: Node<'a, 'i>,
    /// All elements with music somewhere in them.
    pub(super) with_music: HashSet<NodeId>,
    /// What the voice is called, in the first label that says something.
    pub(super) label: Option<String>,
    /// Whether line ends are marked by `<sb>`; else each `<measure>` is a line.
    pub(super) has_line_ends: bool,
    /// The `xml:id`s of what signs refer to.
    pub(super) targets: HashSet<&'a str>,
}

/// What makes an element that is not understood worth being looked into.
const MUSIC: &[&str] = &[
    "barLine", "chord", "clef", "custos", "dot", "keySig", "measure", "mensur", "note", "pb",
    "proport", "rest", "sb", "scoreDef", "staffDef",
];

impl<'a, 'i> Survey<'a, 'i> {
    /// Looks over a file.
    ///
    /// # Errors
    /// If it is not MEI, or holds anything but one voice.
    pub(super) fn of(
        document: &'a Document<'i>,
        remarks: &mut Remarks,
    ) -> Result<Survey<'a, 'i>, ReadError> {
        let mei = document.root_element();
        if name(mei) != "mei" {
            let found = name(mei).chars().take(40).collect();
            let fault = match name(mei) {
                "meiCorpus" => Fault::SeveralPieces,
                _ => Fault::OtherFormat { wanted: "MEI", found },
            };
            return Err(remarks.fault(mei, fault));
        }
        let music = one_voice(mei, remarks)?;
        let mut survey = Survey {
            mei,
            music,
            with_music: HashSet::new(),
            label: label(music),
            has_line_ends: false,
            targets: HashSet::new(),
        };
        let mut staff = None;
        for node in music.descendants().filter(Node::is_element) {
            match name(node) {
                "staffDef" | "staff" => {
                    let number = node.attribute("n").unwrap_or("1");
                    if *staff.get_or_insert(number) != number {
                        return Err(remarks.fault(node, Fault::SeveralStaves));
                    }
                }
                "layer" if has_layer_before(node) => {
                    return Err(remarks.fault(node, Fault::SeveralLayers));
                }
                "sb" => survey.has_line_ends = true,
                _ => {}
            }
            survey.targets.extend(target(node));
            if MUSIC.contains(&name(node)) {
                for around in node.ancestors().skip(1) {
                    if around == music || !survey.with_music.insert(around.id()) {
                        break;
                    }
                }
            }
        }
        Ok(survey)
    }
}

/// The `xml:id` of what a sign refers to.
pub(super) fn target<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    node.attribute("startid").and_then(|target| target.trim().strip_prefix('#'))
}

/// The one `<score>` or `<part>` of a file.
fn one_voice<'a, 'i>(mei: Node<'a, 'i>, remarks: &mut Remarks) -> Result<Node<'a, 'i>, ReadError> {
    let mut found = None;
    for music in elements(mei).filter(|child| name(*child) == "music") {
        for beside in elements(music).filter(|child| name(*child) != "body") {
            remarks.element(beside);
        }
        for node in music.descendants().filter(|node| matches!(name(*node), "score" | "part")) {
            if found.is_some() {
                return Err(remarks.fault(node, Fault::SeveralPieces));
            }
            found = Some(node);
        }
    }
    found.ok_or_else(|| remarks.fault(mei, Fault::NoMusic))
}

/// What stands beside the staff, as an element or an attribute.
fn label(music: Node<'_, '_>) -> Option<String> {
    music
        .descendants()
        .filter(Node::is_element)
        .find_map(|node| match name(node) {
            "label" => text(node),
            "part" | "staffDef" => words(node.attribute("label")?),
            _ => None,
        })
        .map(|label| names::short(&label))
}

/// Whether a staff has another layer before this one.
fn has_layer_before(layer: Node<'_, '_>) -> bool {
    let mut before = layer.prev_siblings().skip(1);
    before.any(|node| name(node) == "layer")
}
