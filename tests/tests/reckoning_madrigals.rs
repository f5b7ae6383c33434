//! The four madrigals of the open data that plain counting does not get right: with the signs that
//! the prints have, every note of the parts has onset, step and octave of the modern edition, made
//! separately by musicologists. Source: the SEILS dataset (Parada-Cabaleiro et al., ISMIR 2017 and
//! 2019); the README of the open data lists the signs.

use std::path::Path;

use notation::{Code, Diagnostic};
use score::{BarLength, Rule, Score, why};
use suite::{
    FIORINO, PrintedSign, SPONTONE, VIRCHI, aligned, madrigal, madrigal_parts, match_voices,
    opendata, sounding, sounding_voices, with_signs, with_token,
};

/// The notes of the parts, and those that the edition does not have there, voice by voice.
fn compared(opendata: &Path, piece: &str, text: &str) -> (usize, Vec<String>, Score) {
    let (score, diagnostics) = aligned(text, BarLength::Breve);
    let errors: Vec<&Diagnostic> = diagnostics.iter().filter(|found| found.is_error()).collect();
    assert!(errors.is_empty(), "{piece}: {errors:#?}");
    let ours = sounding(&score);
    let edition = sounding_voices(&madrigal(opendata, piece, "edition.musicxml"));
    let edition: Vec<_> = edition.into_iter().map(|voice| voice.notes).collect();
    let mut missing = Vec::new();
    for (voice, found) in match_voices(&ours, &edition).into_iter().enumerate() {
        missing.extend(found.missing.into_iter().map(|note| {
            let note = &ours[voice][note];
            format!("{} {}{} at {}", score.voices[voice].name, note.step, note.octave, note.onset)
        }));
    }
    (ours.iter().map(Vec::len).sum(), missing, score)
}

fn agrees(opendata: &Path, piece: &str, text: &str, notes: usize) -> Score {
    let (count, missing, score) = compared(opendata, piece, text);
    assert_eq!(missing, [] as [String; 0], "{piece}");
    assert_eq!(count, notes, "{piece}");
    score
}

fn codes(text: &str) -> Vec<Code> {
    aligned(text, BarLength::Breve).1.into_iter().map(|found| found.code).collect()
}

/// Under the figure 3 no semibreve is perfect: with perfect ones two voices, which have two minims
/// before a semibreve, would not meet the others.
#[test]
fn fiorino() {
    let Some(opendata) = opendata() else { return };
    let text = with_signs(&madrigal_parts(&opendata, "fiorino_delanima"), FIORINO);
    agrees(&opendata, "fiorino_delanima", &text, 637);
    assert_eq!(codes(&text), [Code::ReadingTaken]);
}

/// Under 3/2 the semibreve is perfect: else the voices, which have different numbers of its rests,
/// would not meet.
#[test]
fn virchi() {
    let Some(opendata) = opendata() else { return };
    let text = with_signs(&madrigal_parts(&opendata, "virchi_arsimentre"), VIRCHI);
    let score = agrees(&opendata, "virchi_arsimentre", &text, 816);
    assert_eq!(codes(&text), [Code::ReadingTaken]);
    let why = why(&score, "Cantus", 119).unwrap();
    assert_eq!(
        why,
        "Cantus 119, a rest of a semibreve, lasts 2 minims: the rest is perfect, as a rest is never \
         made imperfect; 3 of any value go in the time of 2"
    );
}

/// The figures alone tell the groups of black notes, of which most are encoded as white ones with
/// semiminims; those that are encoded as black are read with their black minims.
#[test]
fn spontone() {
    let Some(opendata) = opendata() else { return };
    let plain = madrigal_parts(&opendata, "spontone_tamai");
    let text = with_signs(&plain, SPONTONE);
    let score = agrees(&opendata, "spontone_tamai", &text, 663);
    let figured = score.voices[0].events.iter().filter(|event| event.rule == Rule::Figure);
    assert_eq!(
        figured.map(|event| event.index.unwrap()).collect::<Vec<_>>(),
        (103..=112).collect::<Vec<_>>()
    );
}

/// What is not as the print has it: three notes of the Cantus are encoded an octave too low, and
/// the Altus has two minims of rest too many among its events 42 to 45.
fn belli(opendata: &Path) -> String {
    let mut text = madrigal_parts(opendata, "belli_amorcon");
    for place in ["C6", "C9", "C38"] {
        text = with_token(&text, place, "B4");
    }
    with_token(&text, "A44", "< _ | >")
}

/// Black minims, three in the time of one white, and no sign.
#[test]
fn belli_without_its_surplus_rest() {
    let Some(opendata) = opendata() else { return };
    agrees(&opendata, "belli_amorcon", &belli(&opendata), 593);
}

#[test]
fn bellis_surplus_rest_is_named() {
    let Some(opendata) = opendata() else { return };
    let text = madrigal_parts(&opendata, "belli_amorcon");
    let (_, diagnostics) = aligned(&text, BarLength::Breve);
    let late: Vec<&str> = diagnostics
        .iter()
        .filter(|found| matches!(found.code, Code::NotTogether))
        .map(|found| found.message.as_str())
        .collect();
    assert_eq!(late, ["Altus comes to its last note 2 minims late"]);
}

/// The ratio that the editor types says the same as the reading that is taken.
#[test]
fn the_editors_reading_is_the_same() {
    let Some(opendata) = opendata() else { return };
    let plain = madrigal_parts(&opendata, "virchi_arsimentre");
    let signs: Vec<PrintedSign> = VIRCHI
        .iter()
        .map(|(sign, places)| match *sign {
            "3/2" => ("3/2 ratio 3:2 perfect sb", *places),
            sign => (sign, *places),
        })
        .collect();
    let text = with_signs(&plain, &signs);
    agrees(&opendata, "virchi_arsimentre", &text, 816);
    assert_eq!(codes(&text), [] as [Code; 0]);
}
