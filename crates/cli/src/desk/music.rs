//! A text as it is typed, for whatever is made of it at once.

use cartella::{Document, Example};
use serde::Deserialize;

use super::refusal::Refusal;

/// A text, and the example that is meant.
#[derive(Deserialize)]
pub(super) struct Typed {
    text: String,
    example: Option<String>,
}

impl Typed {
    pub(super) fn read(&self) -> Document {
        Document::parse(self.text.as_str())
    }

    /// The example that is meant, which must have music.
    pub(super) fn example<'d>(&self, document: &'d Document) -> Result<Example<'d>, Refusal> {
        let found = match &self.example {
            Some(name) => document.example(name),
            None => Some(document.first()),
        };
        let found = found.ok_or_else(|| Refusal::unclear("there is no such example any more"))?;
        let has_music = found.piece().voices.iter().any(|voice| {
            voice.items.iter().any(|item| item.event().is_some()) || voice.canon.is_some()
        });
        if has_music { Ok(found) } else { Err(Refusal::unclear("there is no music yet")) }
    }
}
