//! What stands before the music: title, composer, source, editor, and the list of parts.

use score::{Heading, Reduction};

use super::Part;
use super::tags::Tags;

/// Which elements an importing program finds complete, so that it need not make up its own.
const COMPLETE: [&str; 3] = [
    "supports element=\"accidental\" type=\"yes\"",
    "supports element=\"beam\" type=\"yes\"",
    "supports element=\"stem\" type=\"yes\"",
];

/// What it also says if the editor has broken systems or pages: that these are meant.
const BROKEN: [&str; 2] = [
    "supports element=\"print\" attribute=\"new-system\" type=\"yes\" value=\"yes\"",
    "supports element=\"print\" attribute=\"new-page\" type=\"yes\" value=\"yes\"",
];

/// `voices` are the names of the voices, if no part has them;
/// `broken` says whether the editor has broken systems or pages.
pub(super) fn write(
    tags: &mut Tags,
    heading: &Heading,
    reduction: Reduction,
    voices: Option<&str>,
    broken: bool,
) {
    if let Some(title) = &heading.title {
        tags.open("work");
        tags.free("work-title", title);
        tags.close("work");
    }
    if let Some(example) = &heading.example {
        tags.free("movement-title", example);
    }
    tags.open("identification");
    if let Some(composer) = &heading.composer {
        tags.free("creator type=\"composer\"", composer);
    }
    if let Some(editor) = &heading.editor {
        tags.free("creator type=\"editor\"", editor);
    }
    tags.open("encoding");
    tags.leaf("software", "Cartella");
    for complete in COMPLETE.into_iter().chain(BROKEN.into_iter().filter(|_| broken)) {
        tags.empty(complete);
    }
    tags.close("encoding");
    if let Some(source) = &heading.source {
        tags.free("source", source);
    }
    // A reader cannot see from reduced values that they are: the file says which note a minim is.
    let minim = match reduction {
        Reduction::Original => None,
        Reduction::Halved => Some("quarter"),
        Reduction::Quartered => Some("eighth"),
    };
    if !heading.notes.is_empty() || minim.is_some() || voices.is_some() {
        tags.open("miscellaneous");
        if let Some(minim) = minim {
            tags.leaf("miscellaneous-field name=\"minim\"", minim);
        }
        if let Some(voices) = voices {
            tags.free("miscellaneous-field name=\"voices\"", voices);
        }
        for note in &heading.notes {
            tags.free("miscellaneous-field name=\"note\"", note);
        }
        tags.close("miscellaneous");
    }
    tags.close("identification");
}

/// The list of parts; several are held together by a bracket.
pub(super) fn write_parts(tags: &mut Tags, parts: &[Part<'_>]) {
    tags.open("part-list");
    let together = parts.len() > 1;
    if together {
        tags.open("part-group number=\"1\" type=\"start\"");
        tags.leaf("group-symbol", "bracket");
        tags.leaf("group-barline", "yes");
        tags.close("part-group");
    }
    for (place, part) in parts.iter().enumerate() {
        tags.open(&format!("score-part id=\"P{}\"", place + 1));
        if part.name.is_empty() {
            tags.leaf("part-name print-object=\"no\"", "Keyboard");
        } else {
            tags.free("part-name", part.name);
        }
        tags.close("score-part");
    }
    if together {
        tags.empty("part-group number=\"1\" type=\"stop\"");
    }
    tags.close("part-list");
}
