//! Files built of random bytes, and what must be true of whatever is read.

use notation::{Diagnostic, Digits, Piece, Spelling, examples, parse, tidy};
use rudiments::Time;
use score::{
    Aligned, BarLength, Options, Score, Staves, TimedEvent, align, arrange, fix, reckon,
};

/// The first byte of input of which a file is to be built.
pub const BUILT: u8 = b'!';

/// Words of parts files, and some that are nearly such.
const WORDS: &[&str] = &[
    "C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "F3", "B2", "C", "D", "E", "G", "A",
    "F#4", "Bb4", "Bn4", "F[#]4", "E#4", "Cb5", "F#[n]4", "G#4.", "D4.", ".E", "_", "_.", "_*3",
    "_*120", "_2", "_3", "D4^", "D4%", "D4?", "D4=5/2", "E4=1/3", "F4=9999", "G4=1/64", "_=7/5",
    "D4+A4", "D4+F#4+A4", "mx", "lg", "br", "sb", "mn", "sm", "fu", "sf", "(", ")", "{", "}", "[",
    "]", "<", "<?", "|", ">", "\\", "/", "//", "~E4", "~C", "||", "::", "\"words\"", "\"",
    "clef C1", "clef F4", "clef G2", "signature Bb", "signature none", "signature F#,C#", "sign C",
    "sign C|", "sign O", "sign C3", "sign 3/2", "sign 3", "ratio 3:2", "ratio 1:1", "ratio 5:4",
    "ratio 64:63", "perfect br", "imperfect br", "perfect sb", "=", ".", ":", "4", "11", "-1",
    "\nvoice A clef C1\n", "\nvoice B clef C4\n", "\nvoice C clef F4 signature Bb sign C|\n",
    "\nvoice D canon A 5 below after 2\n", "\nvoice E positions clef C3\n", "\nmore A\n",
    "\nmore B\n", "\ntitle T\n", "\nlayout barred\n", "\nlayout stacked\n", "\nsubject A 1-2\n",
    "\n; comment\n", "; rest\n", "\n", "\nsign C\n", "\nsignature Bb\n",
    "sign O.", "sign C.", "sign O2", "sign C3/2", "sign rC", "perfect lg", "D4.:", "E4.+", "_2", ".E.",
    "SB", "minim", "br.", "sbD4", "Bflat", "bB4", "fis", "rest", "-", "C 4", "clef: C3", "Clef", "Sign",
    "signature Bb Eb", "signature Bb, F#", "C|", "\"Prima", "D4E", "D4/", "\nvoice F C1\n",
    "\nvoice G clef C1 mn D4\n", "\nsignature Bb Eb\n", "\ntitle: T\n", "\nsign O\n",
    "\nmark A 1-2 circle blue \"words\"\n", "\nmark B 1\n", "\nfacsimile A 1 f.png 1 0 0 9 9 -0.5\n",
    "\nvoice H canon A 4 above after 3/2 sign O\n", "\nexample 1\n", "\nexample 2\n", "\nexample\n",
];

/// The parts file that the input is, or of which it says the words.
pub fn parts_file(data: &[u8]) -> Option<String> {
    match data.split_first() {
        Some((&BUILT, data)) => {
            let words = data.iter().map(|byte| WORDS[*byte as usize % WORDS.len()]);
            Some(words.collect::<Vec<_>>().join(" "))
        }
        _ => notation::text_of(data).ok().map(str::to_owned),
    }
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
    if let Ok(once) = tidy(text, Spelling::default()) {
        let twice = tidy(&once, Spelling::default());
        assert_eq!(twice.as_ref(), Ok(&once), "tidying is idempotent");
    }
    for parsed in examples(text).examples {
        counted_and_written(&parsed.piece);
    }
}

fn counted_and_written(piece: &Piece) {
    let Aligned { score, .. } = align(piece, reckon(piece), BarLength::Breve);
    for voice in &score.voices {
        let mut now = Time::ZERO;
        for event in &voice.events {
            assert_eq!(event.onset, now, "events follow without gaps");
            now = event.end();
        }
        assert_eq!(now, score.length, "voices end together");
    }
    for staves in [Staves::Open, Staves::Keyboard] {
        let _ = exchange::write_musicxml(&arrange(&score, Options { staves, ..Options::default() }));
    }
    let performance = sound::perform(&score, &sound::Playing::default(), None);
    let _ = exchange::write_midi(&score, &performance);
    if let Ok(mut samples) = sound::render(&performance, &sound::Rendering::default()) {
        let _ = samples.next_block();
    }
}

/// Takes a parts file to MusicXML, as a keyboard score and as an open one, and back.
///
/// # Panics
/// If other notes come back, or the same at other times.
pub fn back_again(text: &str) {
    let piece = parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    for staves in [Staves::Open, Staves::Keyboard] {
        let options = Options { staves, ..Options::default() };
        if let Ok(xml) = exchange::write_musicxml(&arrange(&score, options)) {
            there_and_back(&score, &xml);
        }
    }
}

/// Brings a parts file into canonical form, with as many and as few octaves as can be: it is the same
/// music, event for event.
///
/// # Panics
/// If it is not.
pub fn tidied(text: &str) {
    for digits in [Digits::Canonical, Digits::Needed] {
        let spelling = Spelling { digits, ..Spelling::default() };
        let Ok(tidied) = tidy(text, spelling) else { return };
        must_be_the_music_of(text, &tidied);
        assert_eq!(tidy(&tidied, spelling).as_ref(), Ok(&tidied), "tidying is idempotent");
    }
}

/// Mends what is mechanical in a parts file: it is the music that was read, and no error is new.
///
/// # Panics
/// If it is not.
pub fn mended(text: &str) {
    let diagnostics = |text: &str| {
        let read = examples(text);
        let mut all: Vec<Diagnostic> = read.diagnostics().cloned().collect();
        for parsed in read.examples {
            let aligned = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve);
            all.extend(aligned.diagnostics);
        }
        all
    };
    let before = diagnostics(text);
    let fixed = fix(text, &before);
    let count = |found: &[Diagnostic]| found.iter().filter(|found| found.is_error()).count();
    assert!(count(&diagnostics(&fixed.text)) <= count(&before), "{}", fixed.text);
    must_be_the_music_of(text, &fixed.text);
}

/// Compares onsets, lengths and rules of all events.
fn must_be_the_music_of(text: &str, other: &str) {
    let counted = |text: &str| {
        let scores = examples(text).examples.into_iter().map(|parsed| {
            align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score
        });
        let voices = scores.flat_map(|score| score.voices);
        let events = voices.flat_map(|voice| voice.events);
        let what = |event: TimedEvent| (event.onset, event.length, event.rule, event.notes);
        events.map(what).collect::<Vec<_>>()
    };
    assert_eq!(counted(text), counted(other), "{other}");
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
