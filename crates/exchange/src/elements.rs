//! Small helpers over the elements of an XML file.

use roxmltree::Node;

use crate::reading::Remarks;
use crate::{Fault, ReadError};

/// The name of an element.
pub(crate) fn name<'a>(node: Node<'a, '_>) -> &'a str {
    node.tag_name().name()
}

/// The elements in an element, in order.
pub(crate) fn elements<'a, 'i>(
    node: Node<'a, 'i>,
) -> impl DoubleEndedIterator<Item = Node<'a, 'i>> {
    node.children().filter(Node::is_element)
}

/// The elements of that name in an element, in order.
pub(crate) fn children<'a, 'i>(
    node: Node<'a, 'i>,
    wanted: &'static str,
) -> impl Iterator<Item = Node<'a, 'i>> {
    elements(node).filter(move |child| name(*child) == wanted)
}

/// The first element of that name in an element.
pub(crate) fn child<'a, 'i>(node: Node<'a, 'i>, wanted: &'static str) -> Option<Node<'a, 'i>> {
    children(node, wanted).next()
}

/// All text in an element, blanks and line breaks made one blank each; nothing if that is empty.
pub(crate) fn text(node: Node<'_, '_>) -> Option<String> {
    let parts = node.descendants().filter(Node::is_text);
    joined(parts.flat_map(|part| part.text().unwrap_or_default().split_whitespace()))
}

/// A text, blanks and line breaks made one blank each; nothing if that is empty.
pub(crate) fn words(text: &str) -> Option<String> {
    joined(text.split_whitespace())
}

fn joined<'t>(words: impl Iterator<Item = &'t str>) -> Option<String> {
    let mut text = String::new();
    for word in words {
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(word);
    }
    (!text.is_empty()).then_some(text)
}

impl Remarks {
    /// Something about this element.
    pub(crate) fn about(&mut self, node: Node<'_, '_>, what: &'static str) {
        self.add(node.range().start, what);
    }

    /// The error that something is wrong with this element.
    pub(crate) fn fault(&self, node: Node<'_, '_>, fault: Fault) -> ReadError {
        self.error(node.range().start, fault)
    }
}
