//! Where slips most likely are, and the text with one of them mended.

use cartella::{Document, Example};

use crate::message::{Manner, Refused, Suggestion};

/// The suggestions for an example, the likeliest first, without those that were refused. It may take
/// seconds.
pub fn mended(text: &str, example: Option<&str>, refused: &[Refused]) -> Vec<Suggestion> {
    let document = Document::parse(text);
    let Some(found) = example_of(&document, example) else { return Vec::new() };
    let listed = found.mend().into_iter().map(|slip| (slip.name.clone(), listed(slip)));
    let is_refused = |voice: &str, slip: &Suggestion| {
        refused.iter().any(|one| {
            one.voice == voice
                && one.event == slip.event
                && one.printed == slip.printed
                && one.read == slip.read
        })
    };
    listed.filter(|(voice, slip)| !is_refused(voice, slip)).map(|(_, slip)| slip).collect()
}

/// The text with the suggestion of that rank followed; nothing where there is none, or where it cannot be
/// typed by itself.
pub fn fixed(text: &str, example: Option<&str>, rank: usize, manner: Manner) -> Option<String> {
    let document = Document::parse(text);
    let found = example_of(&document, example)?;
    let slip = found.mend().into_iter().find(|slip| slip.rank == rank)?;
    let edits = match manner {
        Manner::Retyped => found.retype(&slip),
        Manner::Emended => found.emend(&slip),
    }?;
    Some(document.with(&edits))
}

fn example_of<'d>(document: &'d Document, name: Option<&str>) -> Option<Example<'d>> {
    match name {
        Some(name) => document.example(name),
        None => Some(document.first()),
    }
}

fn listed(slip: cartella::Suggestion) -> Suggestion {
    Suggestion {
        rank: slip.rank,
        slip: slip.slip,
        confidence: (slip.confidence * 100.0).round() / 100.0,
        voice: slip.voice,
        event: slip.index.unwrap_or(0),
        start: slip.span.start,
        end: slip.span.end,
        printed: slip.printed,
        read: slip.read,
        reason: slip.reason,
    }
}
