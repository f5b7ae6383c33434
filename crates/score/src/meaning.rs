//! Whether two readings of a text are the same music: what must hold before a text that was spelled
//! anew, or mended, takes the place of the old one.

use notation::{Head, Item, ItemKind, Piece, Span, Standing, Text, Voice};

use crate::timed::TimedEvent;
use crate::{BarLength, Score, align, reckon};

/// Where two pieces are not the same music: the place in the first of them, as nearly as can be
/// said; nothing where all is the same.
///
/// Compared are the head, every printed, emended and supplied item, and what counting and aligning
/// make of it: every event's onset, length and rule. How a thing is typed is spelling: blanks, where
/// values and octaves are said, positions or letters, whether a note is typed as completing.
pub fn first_difference(one: &Piece, other: &Piece) -> Option<Span> {
    difference(one, other, |_| true)
}

/// The same where the ends of sections need not be typed: one that the other voices have counts in
/// any case.
pub(crate) fn difference_apart_from_ends(one: &Piece, other: &Piece) -> Option<Span> {
    difference(one, other, |item| !matches!(item.kind, ItemKind::SectionEnd | ItemKind::Repeat))
}

/// The first difference, where those items of the voices are compared that `counts` names.
fn difference(one: &Piece, other: &Piece, counts: fn(&Item) -> bool) -> Option<Span> {
    if head(&one.head) != head(&other.head) {
        return Some(Span::default());
    }
    let (left, right) = (&one.voices, &other.voices);
    let mut pairs = left.iter().zip(right);
    if let Some(place) = pairs.find_map(|(one, other)| in_voices(one, other, counts)) {
        return Some(place);
    }
    if left.len() != right.len() {
        return Some(left.get(right.len()).map_or(Span::default(), |voice| voice.span));
    }
    in_scores(score(one), score(other))
}

fn score(piece: &Piece) -> Score {
    align(piece, reckon(piece), BarLength::Breve).score
}

/// A head without its places.
fn head(head: &Head) -> Head {
    let text = |text: &Text| Text { text: text.text.clone(), span: Span::default() };
    let texts = |texts: &[Text]| texts.iter().map(text).collect();
    let mut plain = Head {
        example: head.example.as_ref().map(text),
        title: head.title.as_ref().map(text),
        composer: head.composer.as_ref().map(text),
        source: head.source.as_ref().map(text),
        editor: head.editor.as_ref().map(text),
        notes: texts(&head.notes),
        topics: texts(&head.topics),
        ..head.clone()
    };
    let Head { subjects, marks, hands, breaks, facsimiles, .. } = &mut plain;
    let spans = subjects.iter_mut().map(|subject| &mut subject.span);
    let spans = spans.chain(marks.iter_mut().map(|mark| &mut mark.span));
    let spans = spans.chain(hands.iter_mut().map(|hand| &mut hand.span));
    let spans = spans.chain(breaks.iter_mut().map(|one| &mut one.span));
    let spans = spans.chain(facsimiles.iter_mut().map(|facsimile| &mut facsimile.span));
    spans.for_each(|span| *span = Span::default());
    plain
}

fn in_voices(one: &Voice, other: &Voice, counts: fn(&Item) -> bool) -> Option<Span> {
    let opening =
        |voice: &Voice| (voice.name.clone(), voice.clef, voice.signature, voice.sign, voice.canon);
    if opening(one) != opening(other) {
        return Some(one.span);
    }
    let (mut left, mut right) = (said(one, counts), said(other, counts));
    loop {
        match (left.next(), right.next()) {
            (None, None) => return None,
            (Some((_, one)), Some((_, other))) if one == other => {}
            (Some((span, _)), _) => return Some(span),
            (None, Some(_)) => return Some(one.span),
        }
    }
}

/// What a voice says, one item after another, and where.
fn said(
    voice: &Voice,
    counts: fn(&Item) -> bool,
) -> impl Iterator<Item = (Span, (ItemKind, Standing))> {
    voice.items.iter().filter(move |item| counts(item)).map(|item| {
        let mut kind = item.kind.clone();
        if let ItemKind::Event(event) = &mut kind {
            event.completing = false;
        }
        (item.span, (kind, item.standing))
    })
}

fn in_scores(mut one: Score, mut other: Score) -> Option<Span> {
    let places = take_places(&mut one);
    take_places(&mut other);
    if one == other {
        return None;
    }
    let first = events(&one).zip(events(&other)).position(|(one, other)| one != other);
    Some(first.map_or(Span::default(), |first| places[first]))
}

fn events(score: &Score) -> impl Iterator<Item = &TimedEvent> {
    score.voices.iter().flat_map(|voice| &voice.events)
}

/// Takes the places of all events, voice by voice, so that nothing but music is left to compare.
fn take_places(score: &mut Score) -> Vec<Span> {
    let events = score.voices.iter_mut().flat_map(|voice| &mut voice.events);
    let take = |event: &mut TimedEvent| {
        event.item = None;
        std::mem::take(&mut event.span)
    };
    events.map(take).collect()
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    fn difference(one: &str, other: &str) -> Option<Span> {
        let voice = |music: &str| parse(&format!("voice A clef C1\n  {music}\n")).piece;
        first_difference(&voice(one), &voice(other))
    }

    #[test]
    fn spelling_is_no_difference() {
        assert_eq!(difference("mn D4. sm E mn F _ _", "mn d4. .e\n F4 _*2 ; two"), None);
    }

    #[test]
    fn what_a_dot_does_is_a_difference() {
        let place = difference("sign O sb A4. .G mn F", "sign O sb A4. mn G F");
        assert_eq!(place.map(|place| place.start), Some(28));
    }

    #[test]
    fn a_note_a_sign_or_a_word_is_a_difference() {
        for other in ["mn D4 F lg G", "mn D4 E", "mn D4 E[#] lg G", "mn D4 E \"a\" lg G"] {
            assert!(difference("mn D4 E lg G", other).is_some(), "{other}");
        }
    }

    #[test]
    fn the_end_of_a_section_is_no_spelling() {
        assert!(difference("mn D4 E || lg G", "mn D4 E lg G").is_some());
    }
}
