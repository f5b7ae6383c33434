//! What stands over a piece: the few things of the MEI header that a parts file has a line for.
//! All else in the header is about the encoding, not the print, and is passed over in silence.

use roxmltree::Node;

use crate::elements::{child, children, text};
use crate::reading::Remarks;

/// Title and names, from the first file that has them.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Heading {
    pub(super) title: Option<String>,
    pub(super) source: Option<String>,
    pub(super) editor: Option<String>,
    pub(super) composer: Option<String>,
}

impl Heading {
    /// Takes in the header of a file.
    pub(super) fn take(&mut self, mei: Node<'_, '_>, remarks: &mut Remarks) {
        let Some(head) = child(mei, "meiHead") else { return };
        let file = child(head, "fileDesc");
        let statement = file.and_then(|file| child(file, "titleStmt"));
        let work = child(head, "workList").and_then(|works| child(works, "work"));
        let of = |name| {
            let places = [statement, work].into_iter().flatten();
            places.flat_map(move |place| children(place, name)).find_map(filled)
        };
        keep(&mut self.title, of("title"), "another title is not kept", remarks);
        keep(&mut self.composer, of("composer"), "another composer is not kept", remarks);
        keep(&mut self.editor, of("editor"), "another editor is not kept", remarks);

        let sources = file.and_then(|file| child(file, "sourceDesc"));
        let mut sources = sources.into_iter().flat_map(|sources| children(sources, "source"));
        if let (Some(source), None) = (sources.next(), sources.next()) {
            let of = |name| children(source, name).find_map(filled);
            let title = of("bibl").or_else(|| of("title"));
            keep(&mut self.source, title, "another source is not kept", remarks);
        }
    }
}

fn filled<'a, 'i>(node: Node<'a, 'i>) -> Option<(Node<'a, 'i>, String)> {
    text(node).map(|text| (node, text))
}

fn keep(
    place: &mut Option<String>,
    found: Option<(Node<'_, '_>, String)>,
    otherwise: &'static str,
    remarks: &mut Remarks,
) {
    match (place, found) {
        (place @ None, Some((_, text))) => *place = Some(text),
        (Some(before), Some((node, text))) if *before != text => remarks.about(node, otherwise),
        _ => {}
    }
}
