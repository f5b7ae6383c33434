//! Which voice stands where in the text.

use cartella::{Example, ItemKind, Piece};

/// The voices of an example in the order of the text, each where its lines begin. A voice that goes on with
/// `more` has several places.
pub(crate) struct Places {
    /// The first byte of a place, and its voice.
    begins: Vec<(u32, usize)>,
    /// The byte after the example.
    end: u32,
}

impl Places {
    pub(crate) fn of(example: Example<'_>) -> Places {
        let document = example.document();
        let line_start = |byte: u32| {
            let line = document.lines().line(byte);
            document.lines().span_of_line(document.text(), line).start
        };
        let mut begins = Vec::new();
        for (place, voice) in example.piece().voices.iter().enumerate() {
            let more = voice.items.iter().filter(|item| matches!(item.kind, ItemKind::More));
            let starts = [voice.span].into_iter().chain(more.map(|item| item.span));
            begins.extend(starts.map(|span| (line_start(span.start), place)));
        }
        begins.sort_unstable();
        let name = |piece: &Piece| piece.head.example.as_ref().map(|name| name.span.start);
        let own = name(example.piece());
        let next = document.examples().filter_map(|other| name(other.piece()));
        let next = next.filter(|next| own.is_some_and(|own| *next > own)).min();
        let end = next.map_or(document.text().len() as u32, line_start);
        Places { begins, end }
    }

    /// The voice in which a byte stands; nothing in the head, and outside the example.
    pub(crate) fn voice_at(&self, byte: u32) -> Option<usize> {
        let begun = self.begins.partition_point(|(start, _)| *start <= byte);
        let (_, voice) = self.begins[..begun].last()?;
        (byte <= self.end).then_some(*voice)
    }

    /// The first place of a voice.
    pub(crate) fn first_of(&self, voice: usize) -> (u32, u32) {
        let first = self.begins.iter().position(|(_, of)| *of == voice);
        let Some(first) = first else { return (0, 0) };
        let end = self.begins.get(first + 1).map_or(self.end, |(next, _)| *next);
        (self.begins[first].0, end)
    }
}

#[cfg(test)]
mod tests {
    use cartella::Document;

    use super::*;

    #[test]
    fn every_byte_has_its_voice() {
        let text = "title A\nvoice A clef C1\n sb D4\nvoice B clef C1\n sb D4\nmore A\n sb E4\n";
        let document = Document::parse(text);
        let places = Places::of(document.first());
        let at = |word: &str| places.voice_at(text.find(word).unwrap() as u32);
        assert_eq!(at("title"), None);
        assert_eq!(at("voice A"), Some(0));
        assert_eq!(at("voice B"), Some(1));
        assert_eq!(at("E4"), Some(0));
        assert_eq!(places.first_of(1), (31, 54));
    }

    #[test]
    fn an_example_ends_where_the_next_begins() {
        let text = "example 1\nvoice A clef C1\n sb D4\nexample 2\nvoice A clef C1\n sb E4\n";
        let document = Document::parse(text);
        let places = Places::of(document.first());
        assert_eq!(places.voice_at(text.find("D4").unwrap() as u32), Some(0));
        assert_eq!(places.voice_at(text.find("E4").unwrap() as u32), None);
    }
}
