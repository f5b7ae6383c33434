//! Small helpers over the elements of an MEI file, and remarks on what is not understood.

use roxmltree::Node;

pub(super) use crate::elements::{elements, name, text};
use crate::reading::Remarks;

/// Attributes that say nothing of what is printed: numbering, and the place of things on a page
/// laid out by a program.
const LAYOUT: &[&str] = &[
    "def", "endho", "endto", "endvo", "ho", "layer", "loc", "lrx", "lry", "metcon", "n", "oloc",
    "ploc", "ppq", "scale", "staff", "startho", "startto", "startvo", "to", "ulx", "uly", "vo",
    "width", "x", "x2", "y", "y2",
];

/// Groups of attributes that say nothing of what is printed, by the beginning of their names.
const LAYOUT_GROUPS: &[&str] =
    &["coord.", "lyric.", "midi.", "music.", "page.", "spacing.", "system.", "text.", "vu."];

/// Whether an attribute is set to true, in one of MEI's spellings.
pub(super) fn is_true(node: Node<'_, '_>, attribute: &str) -> bool {
    matches!(node.attribute(attribute), Some("true" | "1"))
}

impl Remarks {
    /// The element is not understood and nothing of it is kept.
    pub(super) fn element(&mut self, node: Node<'_, '_>) {
        match name(node) {
            "verse" | "syl" | "lyrics" | "refrain" | "volta" => {
                self.about(node, "the words under the notes are not kept");
            }
            name => self.add(node.range().start, format!("`{name}` is not kept")),
        }
    }

    /// The element is not understood; only what stands in it is kept.
    pub(super) fn wrapping(&mut self, node: Node<'_, '_>) {
        let what = format!("`{}` is not kept, only the music in it", name(node));
        self.add(node.range().start, what);
    }

    /// Remarks on all attributes but those that are known, or that say nothing of the print.
    pub(super) fn attributes(&mut self, node: Node<'_, '_>, known: &[&str]) {
        for attribute in node.attributes().filter(|attribute| attribute.namespace().is_none()) {
            let name = attribute.name();
            // What is performed rather than printed belongs to MEI's gestural domain.
            let is_layout = LAYOUT.contains(&name)
                || name.strip_suffix(".ges").is_some()
                || LAYOUT_GROUPS.iter().any(|group| name.starts_with(group));
            if !is_layout && !known.contains(&name) {
                let what = format!("`{name}` of `{}` is not kept", self::name(node));
                self.add(node.range().start, what);
            }
        }
    }
}
