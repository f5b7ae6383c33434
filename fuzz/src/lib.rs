//! Files built of random bytes, and what must be true of whatever is read.

use notation::{Spelling, parse, tidy};
use rudiments::Time;
use score::{Aligned, BarLength, Options, Score, Staves, align, arrange, reckon};

/// The first byte of input of which a file is to be built.
pub const BUILT: u8 = b'!';

/// A text of words, one for each byte.
pub fn words(data: &[u8], words: &[&str]) -> String {
    data.iter().map(|byte| words[*byte as usize % words.len()]).collect::<Vec<_>>().join(" ")
}

/// A well-formed document: each byte opens or closes an element, or adds an attribute or text.
pub fn document(
    data: &[u8],
    before: &str,
    tags: &[&str],
    attributes: &[&str],
    texts: &[&str],
    after: &str,
) -> String {
    let mut xml = before.to_owned();
    let mut open: Vec<&str> = Vec::new();
    let mut bytes = data.iter().map(|byte| *byte as usize).peekable();
    while let Some(byte) = bytes.next() {
        match byte {
            0..16 => {
                if let Some(tag) = open.pop() {
                    xml += &format!("</{tag}>");
                }
            }
            16..112 => xml += texts[(byte - 16) % texts.len()],
            _ => {
                let tag = tags[(byte - 112) % tags.len()];
                xml += &format!("<{tag}");
                let mut said: Vec<&str> = Vec::new();
                while let Some(byte) = bytes.next_if(|byte| *byte >= 240) {
                    let attribute = attributes[bytes.next().unwrap_or(byte) % attributes.len()];
                    let name = attribute.split('=').next().unwrap_or_default();
                    if !said.contains(&name) {
                        said.push(name);
                        xml += &format!(" {attribute}");
                    }
                }
                xml += ">";
                open.push(tag);
            }
        }
    }
    while let Some(tag) = open.pop() {
        xml += &format!("</{tag}>");
    }
    xml + after
}

/// Takes a parts file all the way.
///
/// # Panics
/// If anything is not as it must be.
pub fn whole_way(text: &str) {
    let parsed = parse(text);
    if let Ok(once) = tidy(text, Spelling::default()) {
        let twice = tidy(&once, Spelling::default());
        assert_eq!(twice.as_ref(), Ok(&once), "tidying is idempotent");
    }
    let Aligned { score, .. } = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve);
    for voice in &score.voices {
        let mut now = Time::ZERO;
        for event in &voice.events {
            assert_eq!(event.onset, now, "events follow without gaps");
            now = event.end();
        }
        assert_eq!(now, score.length, "voices end together");
    }
    for staves in [Staves::Open, Staves::Keyboard] {
        let options = Options { staves, ..Options::default() };
        if let Ok(xml) = exchange::write_musicxml(&arrange(&score, options)) {
            there_and_back(&score, &xml);
        }
    }
    let _ = exchange::write_midi(&score, None);
}

/// What is written as MusicXML is read again as the same notes at the same times, if it is read.
fn there_and_back(score: &Score, xml: &str) {
    let pitches =
        score.voices.iter().flat_map(|voice| &voice.events).flat_map(|event| &event.notes);
    // There are alterations without a sign.
    let usual = pitches.clone().all(|note| note.pitch.alteration.abs() <= 1);
    if !usual || pitches.count() == 0 {
        return;
    }
    let Ok(reading) = exchange::read_musicxml("score", xml.as_bytes(), None) else { return };
    let back = without_errors(&reading.text);
    assert_eq!(heard(&back), heard(score), "{}", reading.text);
}

/// The score of a text that must have no errors.
///
/// # Panics
/// If it has.
pub fn without_errors(text: &str) -> Score {
    let parsed = parse(text);
    let Aligned { score, diagnostics } =
        align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve);
    let found: Vec<_> =
        parsed.diagnostics.iter().chain(&diagnostics).filter(|found| found.is_error()).collect();
    assert!(found.is_empty(), "{text}\n{found:#?}");
    score
}

type Heard = Vec<Vec<(Time, i32)>>;

/// The keys of all voices in which anything sounds, with their times.
fn heard(score: &Score) -> Heard {
    let voices = score.voices.iter().map(|voice| {
        let mut notes: Vec<(Time, i32)> = voice
            .events
            .iter()
            .flat_map(|event| event.notes.iter().map(|note| (event.onset, note.pitch.key_number())))
            .collect();
        notes.sort_unstable();
        notes.dedup();
        notes
    });
    voices.filter(|notes| !notes.is_empty()).collect()
}
