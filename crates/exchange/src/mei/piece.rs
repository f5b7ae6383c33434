//! Voices as a piece.

use notation::{Group, Head, Item as PrintedItem, ItemKind, Piece, Span, Text};

use super::heading::Heading;
use super::voice::{Item, Voice, is_of_the_editor};

/// The piece of these voices. Its items are in the order of those that were read, each with the
/// groups of coloration and the strokes of oblique bodies around it.
pub(super) fn of(heading: &Heading, voices: &[Voice]) -> Piece {
    let text = |words: &Option<String>| {
        words.as_ref().map(|words| Text { text: words.clone(), span: Span::default() })
    };
    let head = Head {
        title: text(&heading.title),
        composer: text(&heading.composer),
        source: text(&heading.source),
        editor: text(&heading.editor),
        ..Head::of_voices(voices.iter().map(|voice| (voice.signature, voice.sign)))
    };
    Piece { head, voices: voices.iter().map(printed).collect(), ..Piece::default() }
}

fn printed(voice: &Voice) -> notation::Voice {
    let mut items = Vec::with_capacity(voice.items.len());
    let mut add = |kind| items.push(PrintedItem::new(kind));
    for (item, coloration) in voice.items.iter().zip(coloration(&voice.items)) {
        if coloration.begins {
            add(ItemKind::Open(Group::Coloration));
        }
        match item {
            Item::Event(event) => {
                if event.joined {
                    add(ItemKind::Oblique);
                }
                add(ItemKind::Event(event.printed.clone()));
            }
            Item::Other(kind) => add(kind.clone()),
        }
        if coloration.ends {
            add(ItemKind::Close(Group::Coloration));
        }
    }
    notation::Voice {
        name: voice.name.clone(),
        span: Span::default(),
        clef: voice.clef,
        signature: voice.signature,
        sign: voice.sign,
        positions: false,
        canon: None,
        items,
    }
}

/// Whether coloration begins before an item, or ends after it.
#[derive(Clone, Copy, Default)]
struct Coloration {
    begins: bool,
    ends: bool,
}

/// The runs of coloured notes. They run across line ends and ligatures.
fn coloration(items: &[Item]) -> Vec<Coloration> {
    let mut coloration = vec![Coloration::default(); items.len()];
    let mut last = None;
    for (place, item) in items.iter().enumerate() {
        match item {
            Item::Event(event) if event.printed.colored => {
                coloration[place].begins = last.is_none();
                last = Some(place);
            }
            Item::Other(ItemKind::Open(group) | ItemKind::Close(group))
                if !is_of_the_editor(*group) => {}
            Item::Event(_)
            | Item::Other(ItemKind::Open(_) | ItemKind::Divide | ItemKind::Close(_)) => {
                if let Some(last) = last.take() {
                    coloration[last].ends = true;
                }
            }
            Item::Other(_) => {}
        }
    }
    if let Some(last) = last {
        coloration[last].ends = true;
    }
    coloration
}
