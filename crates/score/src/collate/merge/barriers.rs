//! What of the left text was not read, or only guessed.

use std::collections::HashSet;

use notation::{Code, ItemKind, Parsed, Span, TokenKind};

/// What no variant may hold: on its other side it would be lost, and a stray `|` or `>` would be taken
/// for one of the variant's own.
pub(super) struct Barriers {
    /// Apart from each other, in order.
    spans: Vec<Span>,
}

impl Barriers {
    pub(super) fn of(parsed: &Parsed) -> Barriers {
        let items = || parsed.piece.voices.iter().flat_map(|voice| &voice.items);
        let events: HashSet<Span> = items()
            .filter(|item| matches!(item.kind, ItemKind::Event(_)))
            .map(|item| item.span)
            .collect();
        let read: HashSet<Span> = items().map(|item| item.span).collect();
        // An error of a note as a whole, such as a doubtful octave, leaves the note in its place.
        let errors = parsed.diagnostics.iter().filter(|found| found.is_error());
        let errors = errors
            .filter(|found| found.code == Code::MalformedNote || !events.contains(&found.span));
        let errors = errors.map(|found| found.span);
        // A mark that closes what was passed over is passed over without a word.
        let marks = parsed.tokens.iter().filter(|token| token.kind == TokenKind::Mark);
        let marks = marks.map(|token| token.span).filter(|span| !read.contains(span));
        let mut spans: Vec<Span> =
            errors.chain(marks).filter(|span| span.start < span.end).collect();
        spans.sort_unstable();
        spans.dedup_by(|next, last| {
            let overlap = next.start < last.end;
            if overlap {
                last.end = last.end.max(next.end);
            }
            overlap
        });
        Barriers { spans }
    }

    /// Whether one of them is in a stretch of the text, or reaches into it.
    pub(super) fn touch(&self, stretch: Span) -> bool {
        let first = self.spans.partition_point(|barrier| barrier.end <= stretch.start);
        self.spans.get(first).is_some_and(|barrier| barrier.start < stretch.end)
    }
}
