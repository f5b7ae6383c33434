//! A piece that was not typed, as text.

use rudiments::Signature;

use super::lines::Lines;
use super::voice::VoiceWriter;
use super::{Spelling, facsimile, mark};
use crate::{Head, ItemKind, Layout, Piece, Text};

/// The text of a piece, in canonical form; a note completes the dotted one before it only where the
/// piece has it so.
///
/// Of the items of a voice only their kinds count, groups among them: what an event's number is, in
/// which ligature it stands and whether it is read follows from these, as in any text. Items of the
/// kind [`ItemKind::More`] part the blocks of a voice: the first blocks of all voices stand before
/// the second ones.
///
/// The text reads as the piece if that can be typed at all: names are words, and words have no
/// quotes.
pub fn print(piece: &Piece, spelling: Spelling) -> String {
    let mut lines = Lines::default();
    for line in head(piece) {
        lines.line(&line);
    }
    let writer = |voice| VoiceWriter::new(piece, voice, spelling, false);
    let mut writers: Vec<VoiceWriter<'_>> = piece.voices.iter().map(writer).collect();
    let blocks: Vec<usize> = piece
        .voices
        .iter()
        .map(|voice| 1 + voice.items.iter().filter(|item| item.kind == ItemKind::More).count())
        .collect();
    for number in 0..blocks.iter().copied().max().unwrap_or(0) {
        for (writer, _) in writers.iter_mut().zip(&blocks).filter(|(_, blocks)| **blocks > number) {
            lines.blank();
            writer.block(&mut lines, &mut |_, _| {});
        }
    }
    lines.finish()
}

/// The lines of the head.
fn head(piece: &Piece) -> Vec<String> {
    let Head {
        example,
        title,
        composer,
        source,
        editor,
        notes,
        topics,
        facsimiles,
        layout,
        sign,
        signature,
        subjects,
        marks,
        hands,
        breaks,
    } = &piece.head;
    let name = |voice: usize| piece.voices[voice].name.as_str();
    let mut lines = Vec::new();
    let mut line = |item: &str, said: &str| lines.push(format!("{item:<7} {said}"));
    let mut text = |item: &str, said: &Option<Text>| {
        if let Some(said) = said {
            line(item, &said.text);
        }
    };
    text("example", example);
    text("title", title);
    text("composer", composer);
    text("source", source);
    text("editor", editor);
    for note in notes {
        line("note", &note.text);
    }
    for topic in topics {
        line("topic", &topic.text);
    }
    match layout {
        Layout::Stacked => line("layout", "stacked"),
        Layout::Barred => line("layout", "barred"),
        Layout::Partbooks => {}
    }
    if *signature != Signature::NONE {
        line("signature", &signature.to_string());
    }
    if let Some(sign) = sign {
        line("sign", &sign.to_string());
    }
    for subject in subjects {
        line("subject", &format!("{} {}-{}", name(subject.voice), subject.first, subject.last));
    }
    for one in facsimiles {
        line("facsimile", &facsimile(one.voice.map_or("*", name), one));
    }
    for one in marks {
        line("mark", &mark(name(one.voice), one));
    }
    for one in hands {
        line("hand", &format!("{} {} {}-{}", one.hand, name(one.voice), one.first, one.last));
    }
    for one in breaks {
        line(if one.page { "page" } else { "break" }, &one.bar.to_string());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{parse, tidy};

    /// Canonical text, read and printed again.
    #[track_caller]
    fn is_printed_as_it_is(text: &str) {
        let tidied = tidy(text, Spelling::default()).unwrap();
        assert_eq!(print(&parse(text).piece, Spelling::default()), tidied);
    }

    #[test]
    fn head_and_voices() {
        is_printed_as_it_is(
            "title A duo\ncomposer A. Serrano\nsource Valdeluz, f. 2\neditor M. Ortega\nnote one\nnote two\n\
             topic duo, close; of G\n\
             layout stacked\nsignature Bb\nsign C|\nsubject Cantus 1-3\n\
             facsimile Cantus 1 page.png 1 0 0 10 10 0\nmark Cantus 1-2 circle \"a\"\n\
             hand left Cantus 2-3\nbreak 2\npage 4\n\n\
             voice Cantus clef C1\n sb A4. .G sb F# ~E / sb E < F | G > [ mn A ] {sb B mn C}\n\n\
             voice Tenor clef C4 signature none sign O\n (br D3 E) _*3 || \"Tace\" mn F^%? G=5/2 ::\n",
        );
    }

    #[test]
    fn systems_follow_one_another() {
        let text = "voice A  clef C1\n  sb A4 B /\n\nvoice B  clef F4\n  sb D3 E /\n\n\
                    more A\n  sb C5\n\nmore B\n  sb F3\n";
        assert_eq!(print(&parse(text).piece, Spelling::default()), text);
    }
}
