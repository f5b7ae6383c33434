//! The way through one file, from its first element to its last, without recursion.

mod definitions;
mod editor;
mod lines;
mod marks;
mod notes;

use std::collections::{HashMap, HashSet};

use notation::{Group, ItemKind, NoteSign, NoteSigns};
use roxmltree::{Node, NodeId};
use rudiments::{Clef, Signature, Value};

use super::definition;
use super::elements::{elements, name, text};
use super::mensuration::TimeInForce;
use super::note_signs::{self, How};
use super::survey::Survey;
use super::voice::{Item, Voice};
use crate::reading::Remarks;
use crate::{Fault, ReadError, names};

/// Reads the voice that a file holds.
///
/// # Errors
/// If a note has no value or no pitch, if the notation is not mensural, or if there is no music.
pub(super) fn voice(
    name: String,
    survey: Survey<'_, '_>,
    remarks: &mut Remarks,
) -> Result<Voice, ReadError> {
    let music = survey.music;
    let mut walk = Walk {
        remarks,
        with_music: survey.with_music,
        has_line_ends: survey.has_line_ends,
        targets: survey.targets,
        label: survey.label,
        voice: Voice {
            name,
            clef: None,
            signature: Signature::NONE,
            sign: None,
            opening: Vec::new(),
            items: Vec::new(),
        },
        now: InForce::default(),
        default_value: None,
        last_event: None,
        around: NoteSigns::default(),
        edits: Vec::new(),
        edited: Edited::default(),
        in_ligature: false,
        after_printed: None,
        places: HashMap::new(),
        marks: Vec::new(),
        open: vec![Task::Enter(music)],
    };
    while let Some(task) = walk.open.pop() {
        match task {
            Task::Enter(node) => walk.enter(node)?,
            Task::Divide(before) => walk.divide(before),
            Task::Leave(group) => walk.leave(group),
        }
    }
    if walk.last_event.is_none() {
        return Err(walk.remarks.fault(music, Fault::NoMusic));
    }
    if walk.voice.clef.is_none() {
        walk.remarks
            .about(music, "there is no clef at the beginning; type the one that is printed");
    }
    walk.set_marks();
    Ok(walk.finish())
}

struct Walk<'a, 'i, 'r> {
    remarks: &'r mut Remarks,
    with_music: HashSet<NodeId>,
    has_line_ends: bool,
    targets: HashSet<&'a str>,
    /// What the voice is called after.
    label: Option<String>,
    voice: Voice,
    now: InForce,
    /// The value of notes that have none.
    default_value: Option<Value>,
    /// The place of the last note or rest among the items.
    last_event: Option<usize>,
    /// The signs that elements say of all that is in them.
    around: NoteSigns,
    /// The places of the editor's groups that are open.
    edits: Vec<usize>,
    edited: Edited,
    in_ligature: bool,
    /// What was in force at the end of the printed side of an emendation.
    after_printed: Option<InForce>,
    /// The places of events that signs refer to.
    places: HashMap<&'a str, usize>,
    /// Signs that stand apart from their event: its `xml:id`, and the sign with its element.
    marks: Vec<(&'a str, Mark, Node<'a, 'i>)>,
    /// What is still to be done, the next last.
    open: Vec<Task<'a, 'i>>,
}

/// What is in force at a place of the voice.
#[derive(Clone, Copy, Default)]
struct InForce {
    clef: Option<Clef>,
    signature: Signature,
    time: TimeInForce,
}

/// Which of the editor's groups are open.
#[derive(Clone, Copy, Default)]
struct Edited {
    supplied: bool,
    emendation: bool,
    /// On the printed side of an emendation.
    printed_side: bool,
}

#[derive(Clone, Copy)]
enum Task<'a, 'i> {
    Enter(Node<'a, 'i>),
    /// Between the two sides of an emendation; with what was in force before it.
    Divide(InForce),
    Leave(Leaving<'a, 'i>),
}

#[derive(Clone, Copy)]
enum Leaving<'a, 'i> {
    Measure(Node<'a, 'i>),
    Ligature {
        node: Node<'a, 'i>,
        start: usize,
    },
    /// With the signs that were said around it.
    Sign(NoteSigns),
    Supplied,
    Emendation,
}

/// A sign that stands apart from its event.
enum Mark {
    Sign(NoteSign),
    Words(String),
}

impl<'a, 'i> Walk<'a, 'i, '_> {
    fn enter(&mut self, node: Node<'a, 'i>) -> Result<(), ReadError> {
        match name(node) {
            "score" | "part" | "section" | "staff" | "layer" | "staffGrp" => {
                self.remarks.attributes(node, &["symbol", "bar.thru"]);
                self.push_elements(node);
            }
            "measure" => {
                self.remarks.attributes(node, &["right"]);
                self.open.push(Task::Leave(Leaving::Measure(node)));
                self.push_elements(node);
            }
            "scoreDef" | "staffDef" | "layerDef" => {
                self.definition(node)?;
                self.push_elements(node);
            }
            "clef" => {
                self.remarks.attributes(node, &["shape", "line"]);
                if let Some(clef) = definition::clef(node, "", self.remarks) {
                    self.clef(node, clef);
                }
            }
            "keySig" => {
                if let Some(signature) = definition::key_signature(node, self.remarks) {
                    self.signature(node, signature);
                }
            }
            "mensur" | "proport" => {
                let counting = definition::counting_of_element(node, self.remarks);
                self.counting(node, &counting);
            }
            "note" | "chord" | "rest" => self.event(node)?,
            "dot" => self.dot(node),
            "custos" => self.direct(node),
            // An abbreviated label says the same in short.
            "space" | "instrDef" | "labelAbbr" => {}
            "label" => {
                if text(node).is_some_and(|name| self.label.as_ref() != Some(&names::short(&name)))
                {
                    self.remarks.about(node, "another name beside the staff is not kept");
                }
            }
            "ligature" => self.ligature(node),
            "supplied" => self.supplied(node),
            "choice" => self.choice(node),
            "app" => self.apparatus(node),
            "barLine" => self.bar_line(node),
            "sb" => self.line_end(ItemKind::LineEnd),
            "pb" => self.line_end(ItemKind::PageEnd),
            "dir" | "symbol" | "signifLet" => self.mark(node),
            _ => match note_signs::said_by(node) {
                Some((sign, How::Around(_))) => {
                    self.open.push(Task::Leave(Leaving::Sign(self.around)));
                    self.around.extend([sign]);
                    self.push_elements(node);
                }
                Some(_) => self.mark(node),
                None => self.unknown(node),
            },
        }
        Ok(())
    }

    fn push_elements(&mut self, node: Node<'a, 'i>) {
        self.open.extend(elements(node).rev().map(Task::Enter));
    }

    /// An element that is not understood: what music stands in it is read all the same.
    fn unknown(&mut self, node: Node<'a, 'i>) {
        if self.with_music.contains(&node.id()) {
            self.remarks.wrapping(node);
            self.push_elements(node);
        } else {
            self.remarks.element(node);
        }
    }

    fn leave(&mut self, leaving: Leaving<'a, 'i>) {
        match leaving {
            Leaving::Measure(node) => self.end_of_measure(node),
            Leaving::Ligature { node, start } => {
                self.in_ligature = false;
                self.join_obliques(node, start);
                self.close(Group::Ligature);
            }
            Leaving::Sign(around) => self.around = around,
            Leaving::Supplied => {
                self.edited.supplied = false;
                self.edits.pop();
                self.close(Group::Supplied);
            }
            Leaving::Emendation => {
                self.edited.emendation = false;
                self.edits.pop();
                if let Some(after) = self.after_printed.take() {
                    self.now = after;
                }
                if self.voice.items.ends_with(&[
                    Item::Other(ItemKind::Open(Group::Emendation)),
                    Item::Other(ItemKind::Divide),
                ]) {
                    self.voice.items.pop();
                }
                self.close(Group::Emendation);
            }
        }
    }

    /// Closes a group; an empty one is taken back.
    fn close(&mut self, group: Group) {
        if self.voice.items.last() == Some(&Item::Other(ItemKind::Open(group))) {
            self.voice.items.pop();
        } else {
            self.voice.add(ItemKind::Close(group));
        }
    }

    /// The voice. At its end stands nothing but the end.
    fn finish(self) -> Voice {
        let mut voice = self.voice;
        let ends = |item: &Item| {
            let Item::Other(kind) = item else { return false };
            matches!(kind, ItemKind::LineEnd | ItemKind::PageEnd | ItemKind::SectionEnd)
        };
        while voice.items.last().is_some_and(ends) {
            voice.items.pop();
        }
        voice.items.splice(0..0, std::mem::take(&mut voice.opening));
        voice
    }
}
