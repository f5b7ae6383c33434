//! What is typed for a key of a keyboard.

use cartella::{Accidental, Document, ItemKind, Pitch, Step, Tone};

use crate::places::Places;

/// The word for a key struck with the cursor before some byte: a letter, its sign where the signature does
/// not have it, and an octave where the letter alone would not be that tone. Nothing in the head, and for a
/// key that no voice has.
///
/// Of the two names of a black key, the signature's is taken, or else the usual one of the time: C#, Eb, F#,
/// G#, Bb (common practice; these are the keys of a keyboard in quarter-comma meantone).
pub fn typed_for_key(text: &str, example: Option<&str>, cursor: u32, key: u8) -> Option<String> {
    let cursor =
        (0..=(cursor as usize).min(text.len())).rev().find(|at| text.is_char_boundary(*at))?;
    let document = Document::parse(text);
    let found = match example {
        Some(name) => document.example(name)?,
        None => document.first(),
    };
    let voice = Places::of(found).voice_at(cursor as u32)?;
    let items = &found.piece().voices.get(voice)?.items;
    let before = items.iter().filter(|item| (item.span.start as usize) < cursor);
    let signature =
        before.fold(found.piece().voices[voice].signature, |now, item| match item.kind {
            ItemKind::Signature(signature) => signature,
            _ => now,
        });
    let is_key = |pitch: &Pitch| i32::from(key) == pitch.key_number();
    let octave = (key / 12) as i8 - 1;
    let tones =
        (octave - 1..=octave + 1).flat_map(|octave| Step::ALL.map(|step| Tone::new(step, octave)));
    let pitches: Vec<Pitch> = tones
        .flat_map(|tone| [0, 1, -1].map(|alteration| Pitch { tone, alteration }))
        .filter(is_key)
        .collect();
    let usual = |pitch: &&Pitch| match pitch.alteration {
        0 => true,
        1 => matches!(pitch.tone.step, Step::C | Step::F | Step::G),
        _ => matches!(pitch.tone.step, Step::E | Step::B),
    };
    let in_signature = |pitch: &&Pitch| signature.alteration(pitch.tone.step) == pitch.alteration;
    let pitch = *pitches.iter().find(in_signature).or_else(|| pitches.iter().find(usual))?;
    let plain = signature.alteration(pitch.tone.step);
    let signs = [Accidental::Sharp, Accidental::Flat, Accidental::Natural];
    let gives = |sign: &Accidental| sign.alteration(pitch.tone.step, plain) == pitch.alteration;
    let sign = if pitch.alteration == plain {
        String::new()
    } else {
        signs.into_iter().find(gives)?.letter().to_string()
    };
    let word = |octave: &str| format!("{}{sign}{octave}", pitch.tone.step);
    let bare = word("");
    Some(if is_read_as(text, example, cursor, &bare, pitch.tone) {
        bare
    } else {
        word(&pitch.tone.octave.to_string())
    })
}

/// Whether a word that is typed there is read as that tone, and nothing is asked about it.
fn is_read_as(text: &str, example: Option<&str>, cursor: usize, word: &str, tone: Tone) -> bool {
    let (before, after) = text.split_at(cursor);
    let document = Document::parse(format!("{before} {word} {after}"));
    let found = match example {
        Some(name) => document.example(name),
        None => Some(document.first()),
    };
    let Some(found) = found else { return false };
    let start = cursor as u32 + 1;
    let asked = found.piece().undecided.iter().any(|letter| letter.span.start == start);
    let items = found.piece().voices.iter().flat_map(|voice| &voice.items);
    let mut notes = items.filter(|item| item.span.start == start).filter_map(|item| item.event());
    !asked && notes.any(|event| event.notes().first().is_some_and(|note| note.tone == tone))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(head: &str, before: &str, key: u8) -> Option<String> {
        let text = format!("{head}voice Cantus clef C1\n  {before}");
        typed_for_key(&text, None, text.len() as u32, key)
    }

    #[test]
    fn an_octave_is_typed_only_where_it_is_needed() {
        // Middle C is 60 (MIDI 1.0); under clef C1 the letters C and D have two places.
        assert_eq!(typed("", "sb A4", 71).as_deref(), Some("B"));
        assert_eq!(typed("", "sb B4", 72).as_deref(), Some("C"));
        assert_eq!(typed("", "sb A4", 62).as_deref(), Some("D4"));
        assert_eq!(typed("", "sb D4", 64).as_deref(), Some("E"));
        assert_eq!(typed("", "sb D4", 84).as_deref(), Some("C6"));
    }

    #[test]
    fn black_keys_have_the_name_of_the_signature_or_the_usual_one() {
        assert_eq!(typed("", "sb A4", 70).as_deref(), Some("Bb"));
        assert_eq!(typed("signature Bb\n", "sb A4", 70).as_deref(), Some("B"));
        assert_eq!(typed("signature Bb\n", "sb A4", 71).as_deref(), Some("B#"));
        assert_eq!(typed("", "sb A4", 68).as_deref(), Some("G#"));
        assert_eq!(typed("", "sb E4", 63).as_deref(), Some("Eb"));
    }

    #[test]
    fn there_is_none_in_the_head() {
        assert_eq!(typed_for_key("title A duo\n", None, 3, 60), None);
        assert_eq!(typed_for_key("title é\n", None, 7, 60), None);
    }
}
