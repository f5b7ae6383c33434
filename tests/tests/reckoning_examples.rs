//! Worked examples of perfection, imperfection, alteration, dots, coloration and proportion.
//!
//! Each row is a stretch of music under a sign, the lengths of its events in minims, and where the
//! rule stands. All sources are cited from memory; the examples are made up after their rules.

use notation::parse;
use score::{BarLength, align, reckon};

/// A sign, the music of a voice under it, its lengths in minims, and who teaches it.
type Row = (&'static str, &'static str, &'static str, &'static str);

const FRANCO: &str =
    "Franco of Cologne, Ars cantus mensurabilis, about 1280, chapter 5 (from memory)";
const RESTS: &str = "Franco, Ars cantus mensurabilis, chapter 9, of rests (from memory)";
const TINCTORIS: &str = "Tinctoris, De imperfectione notarum musicalium, about 1475 (from memory)";
const ALTERATION: &str = "Tinctoris, Tractatus alterationum, about 1475 (from memory)";
const POINTS: &str = "Tinctoris, Scriptum super punctis musicalibus, about 1475 (from memory)";
const GAFFURIUS: &str = "Gaffurius, Practica musicae, 1496, book 2 (from memory)";
const PROPORTION: &str = "Gaffurius, Practica musicae, 1496, book 4 (from memory)";
const MORLEY: &str = "Morley, Introduction to Practicall Musicke, 1597, first part (from memory)";
const PRAETORIUS: &str = "Praetorius, Syntagma musicum III, 1619 (from memory)";
const COMMON: &str = "common practice";

#[rustfmt::skip]
const ROWS: &[Row] = &[
    // The four moods of Morley's table.
    ("C",  "br A A sb A mn A sm A fu A sf A", "4 4 2 1 1/2 1/4 1/8", MORLEY),
    ("O",  "br A A sb A A mn A A", "6 6 2 2 1 1", MORLEY),
    ("C.", "br A A sb A A mn A A A", "6 6 3 3 1 1 1", MORLEY),
    ("O.", "br A A sb A A mn A A A", "9 9 3 3 1 1 1", MORLEY),

    // Perfect time: what stands between two breves.
    ("O",  "br A A A", "6 6 6", FRANCO),
    ("O",  "br A sb A br A A", "4 2 6 6", FRANCO),
    ("O",  "br A sb A A br A A", "6 2 4 6 6", FRANCO),
    ("O",  "br A sb A A A br A A", "6 2 2 2 6 6", FRANCO),
    ("O",  "br A sb A A A A br A A", "4 2 2 2 2 6 6", FRANCO),
    ("O",  "br A sb A A A A A br A sb A A A br A", "4 2 2 2 2 2 4 2 2 2 6", FRANCO),
    ("O",  "br A sb A A A A A A br A A", "4 2 2 2 2 2 4 6 6", FRANCO),
    ("O",  "br A sb A A A A A A A br A A", "4 2 2 2 2 2 2 2 6 6", FRANCO),
    // From before, where there is nothing to take from behind.
    ("O",  "sb A br A sb A A A br A", "2 4 2 2 2 6", TINCTORIS),
    // Like before like: the second breve cannot lose its part to the semibreve before it.
    ("O",  "br A sb A br A br A sb A A A br A", "4 2 6 6 2 2 2 6", TINCTORIS),
    ("O",  "br A sb A br A sb A br A sb A br A A", "4 2 4 2 4 2 6 6", TINCTORIS),
    // A part in smaller values, or in a value and a rest.
    ("O",  "br A mn A A br A A", "4 1 1 6 6", TINCTORIS),
    ("O",  "br A mn A sm A A br A A", "4 1 1/2 1/2 6 6", TINCTORIS),
    ("O",  "br A mn A _ br A A", "4 1 1 6 6", TINCTORIS),

    // Alteration: of a single note, before a larger note.
    ("O",  "br A mn A A sb A br A A", "6 1 1 4 6 6", ALTERATION),
    ("O",  "br A sb A mn A A br A sb A A A br A", "4 2 1 1 4 2 2 2 6", ALTERATION),
    ("O",  "br A sb A A lg A br A A", "6 2 4 12 6 6", ALTERATION),
    ("O",  "br A sb A A A br A sb A A br A A", "6 2 2 2 6 2 4 6 6", ALTERATION),
    // A rest is not altered.
    ("O",  "br A sb A _ br A sb A A A br A", "4 2 2 4 2 2 2 6", ALTERATION),
    // But it is counted: rest and note, of which the note is altered.
    ("O",  "br A sb _ A br A A", "6 2 4 6 6", ALTERATION),
    // Nothing is altered before a rest.
    ("O",  "br A sb A A br _ br A", "6 2 2 6 6", ALTERATION),

    // Rests.
    ("O",  "br A sb _ br A A", "4 2 6 6", RESTS),
    ("O",  "br _ sb A br A sb A A A br A", "6 2 4 2 2 2 6", RESTS),
    ("O",  "br A _ A", "6 6 6", RESTS),
    ("O",  "lg _2 br A A", "12 6 6", RESTS),
    ("O",  "lg _3 br A A", "18 6 6", RESTS),
    ("C",  "lg _2 _3 br A A", "8 12 4 4", RESTS),
    ("C.", "sb _ mn A sb A mn A A A sb A", "3 1 2 1 1 1 3", RESTS),

    // Dots.
    ("O",  "br A. sb A A br A A", "6 2 4 6 6", POINTS),
    ("O",  "br A. sb A br A sb A A br A A", "6 2 4 2 4 6 6", POINTS),
    ("O",  "br A sb A. A br A sb A A A br A", "4 2 2 4 2 2 2 6", POINTS),
    ("O",  "br A sb A. mn A sb A br A A", "6 3 1 2 6 6", POINTS),
    ("O",  "br A sb A. .A sb A br A A", "6 3 1 2 6 6", POINTS),
    ("O",  "br A sb A. A. br A A", "6 3 3 6 6", COMMON),
    ("O",  "br A mn A. sm A br A A", "4 3/2 1/2 6 6", POINTS),
    ("C.", "sb A mn A. A sb A mn A A A sb A", "2 1 1 2 1 1 1 3", POINTS),
    ("C.", "sb A mn A. sm A mn A sb A A", "3 3/2 1/2 1 3 3", POINTS),
    ("C",  "sb A. mn A. .A", "3 3/2 1/2", POINTS),
    // The editor overrules them.
    ("O",  "br A sb A.+ A mn A br A A", "6 3 2 1 6 6", COMMON),
    ("O",  "br A sb A.: mn A A br A sb A A A br A", "4 2 1 1 4 2 2 2 6", COMMON),

    // Major prolation.
    ("C.", "sb A mn A sb A A", "2 1 3 3", TINCTORIS),
    ("C.", "sb A mn A A sb A A", "3 1 2 3 3", ALTERATION),
    ("C.", "sb A mn A A A sb A A", "3 1 1 1 3 3", TINCTORIS),
    ("C.", "sb A mn A A A A sb A A", "2 1 1 1 1 3 3", TINCTORIS),
    ("C.", "mn A sb A mn A A A sb A", "1 2 1 1 1 3", TINCTORIS),
    // A larger note loses a part of its part: remote imperfection, from either side and from both.
    ("C.", "br A mn A sb A A", "5 1 3 3", TINCTORIS),
    ("C.", "mn A br A sb A A", "1 5 3 3", TINCTORIS),
    ("C.", "mn A br A mn A sb A A", "1 4 1 3 3", TINCTORIS),
    ("O",  "lg A sb A br A A", "10 2 6 6", TINCTORIS),
    ("O",  "sb A lg A br A A", "2 10 6 6", TINCTORIS),
    ("O.", "br A mn A br A A", "8 1 9 9", TINCTORIS),
    ("O.", "br A sb A br A A", "6 3 9 9", TINCTORIS),
    ("O.", "br A sb A mn A br A A", "6 2 1 9 9", TINCTORIS),
    ("O.", "br A sb A A br A A", "9 3 6 9 9", ALTERATION),

    // Perfect mood, said by the editor.
    ("C",  "perfect lg lg A br A lg A br A A A lg A br A A", "8 4 12 4 4 4 12 4 4", GAFFURIUS),
    ("C",  "perfect lg lg A br A A lg A br A A A", "12 4 8 12 4 4 4", GAFFURIUS),
    ("C",  "perfect mx mx A lg A mx A br A A A A A A", "16 8 24 4 4 4 4 4 4", GAFFURIUS),

    // Coloration makes imperfect; a group that fills perfections stands by itself.
    ("O",  "br A { br A } sb A br A A", "6 4 2 6 6", GAFFURIUS),
    ("O",  "br A { br A A A } br A A", "6 4 4 4 6 6", GAFFURIUS),
    ("O",  "br A { br A sb A A br A } br A A", "6 4 2 2 4 6 6", GAFFURIUS),
    ("C.", "sb A { sb A A A } sb A A", "3 2 2 2 3 3", GAFFURIUS),
    ("C.", "sb A { sb A mn A } sb A A", "3 2 1 3 3", GAFFURIUS),
    // In duple time it takes a third.
    ("C|", "sb A { sb A A A } sb A", "2 4/3 4/3 4/3 2", MORLEY),
    ("C|", "br A { br A sb A } br A", "4 8/3 4/3 4", MORLEY),
    // The blackened dotted figure of cadences.
    ("C|", "sb A { mn A. } sm A mn A", "2 3/2 1/2 1", PRAETORIUS),
    ("C",  "sb A { mn A. .A } mn A", "2 3/2 1/2 1", PRAETORIUS),
    ("C",  "sm A { mn A sm A } mn A", "1/2 1 1/2 1", PRAETORIUS),
    // The editor's ratio before the group says all.
    ("C",  "ratio 3:1 { sb A mn A } ratio 1:1 mn A", "2/3 1/3 1", COMMON),
    ("C",  "ratio 3:2 { sb A mn A A sb A } ratio 1:1 mn A", "4/3 2/3 2/3 4/3 1", COMMON),
    // Under C, three black minims go in the time of one white.
    ("C",  "sb A { sb A mn A A sb A } mn A A", "2 2/3 1/3 1/3 2/3 1 1", COMMON),

    // Proportions.
    ("C",  "sb A sign 3/2 sb A mn A A A A sign C sb A", "2 4/3 2/3 2/3 2/3 2/3 2", PROPORTION),
    ("C",  "sb A sign 3/2 sb _ A mn A sign C sb A", "2 2 4/3 2/3 2", PROPORTION),
    ("C|", "br A sign 3 br A sb A br A A sign C| br A", "4 8/3 4/3 4 4 4", PROPORTION),
    ("C",  "mn A A sign 2 mn A A sign C mn A", "1 1 1/2 1/2 1", PROPORTION),
    ("C",  "mn A sign 4/3 mn A A A A sign C mn A", "1 3/4 3/4 3/4 3/4 1", PROPORTION),
    ("C",  "mn A sign 3/2 mn A A A sign 2/3 mn A", "1 2/3 2/3 2/3 1", PROPORTION),
];

/// The lengths of a voice's events. The music is a section of its own, so that its last event, no
/// long, keeps its length.
fn lengths(sign: &str, music: &str) -> String {
    let text =
        format!("voice Cantus clef C1 sign {sign}\n  {} || lg A\n", music.replacen(" A", " A4", 1));
    let parsed = parse(&text);
    assert!(!parsed.has_errors(), "{text}: {:#?}", parsed.diagnostics);
    let score = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score;
    let events = &score.voices[0].events;
    let lengths = events[..events.len() - 1].iter().map(|event| event.length.to_string());
    lengths.collect::<Vec<_>>().join(" ")
}

#[test]
fn worked_examples() {
    let mut wrong = Vec::new();
    for (sign, music, expected, source) in ROWS {
        let found = lengths(sign, music);
        if found != *expected {
            wrong.push(format!("{sign}: {music}\n  {expected} ({source}), but found\n  {found}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), ROWS.len(), wrong.join("\n"));
}

#[test]
fn there_are_enough_and_no_row_stands_twice() {
    assert!(ROWS.len() >= 40, "{}", ROWS.len());
    let mut rows: Vec<(&str, &str)> =
        ROWS.iter().map(|(sign, music, ..)| (*sign, *music)).collect();
    rows.sort_unstable();
    rows.dedup();
    assert_eq!(rows.len(), ROWS.len());
}
