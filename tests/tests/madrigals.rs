//! Five part-books of 1582 to a keyboard score, against the modern edition of the same piece, made
//! separately by musicologists. Source: the SEILS dataset (Parada-Cabaleiro et al., ISMIR 2017 and
//! 2019); the README of the open data says which files are clean.

use std::fmt::Write as _;

use num_rational::Ratio;
use score::{BarLength, Close, Options};
use suite::{
    CLEAN_MADRIGALS, MADRIGALS, Match, SoundingNote, aligned, madrigal, madrigal_parts,
    match_voices, minims, musicxml, opendata, sounding_voices,
};

/// A piece as it comes out of the whole way, beside its edition.
struct Compared {
    /// The notes of each voice, top voice first.
    ours: Vec<Vec<SoundingNote>>,
    edition: Vec<Vec<SoundingNote>>,
    matches: Vec<Match>,
}

fn compared(opendata: &std::path::Path, piece: &str) -> Compared {
    let (score, _) = aligned(&madrigal_parts(opendata, piece), BarLength::Breve);
    let xml = musicxml(&score, Options::default());
    let mut voices = sounding_voices(&xml);
    // The voice number is the voice's place from the top.
    voices.sort_by_key(|voice| voice.voice.parse::<u32>().unwrap());
    let ours: Vec<Vec<SoundingNote>> = voices.into_iter().map(|voice| voice.notes).collect();
    assert_eq!(ours.len(), 5, "{piece}");
    let edition = sounding_voices(&madrigal(opendata, piece, "edition.musicxml"));
    let edition: Vec<Vec<SoundingNote>> = edition.into_iter().map(|voice| voice.notes).collect();
    let matches = match_voices(&ours, &edition);
    Compared { ours, edition, matches }
}

#[test]
fn every_note_of_the_clean_pieces_is_where_the_edition_has_it() {
    let Some(opendata) = opendata() else { return };
    for piece in CLEAN_MADRIGALS {
        let compared = compared(&opendata, piece);
        let notes: usize = compared.ours.iter().map(Vec::len).sum();
        println!("{piece}: {notes} notes");
        for (voice, found) in compared.matches.iter().enumerate() {
            assert_eq!(found.missing, [] as [usize; 0], "{piece}, voice {voice}");
        }
    }
}

/// The encoded Bassus has a natural slip at its events 40 and 41, at minim 41 1/2.
#[test]
fn giovannelli_agrees_up_to_its_slip() {
    let Some(opendata) = opendata() else { return };
    let compared = compared(&opendata, "giovannelli_nelfoco");
    for (voice, found) in compared.matches.iter().enumerate().take(4) {
        assert_eq!(found.missing, [] as [usize; 0], "voice {voice}");
    }
    let first = &compared.ours[4][compared.matches[4].missing[0]];
    assert!(minims(first.onset) > Ratio::new(83, 2), "{}", minims(first.onset));
}

/// The slip leaves the Bassus half a minim short, and that is what is said.
#[test]
fn giovannelli_is_told_to_be_half_a_minim_short() {
    let Some(opendata) = opendata() else { return };
    let text = madrigal_parts(&opendata, "giovannelli_nelfoco");
    let (_, diagnostics) = aligned(&text, BarLength::Breve);
    let errors: Vec<&str> =
        diagnostics.iter().filter(|d| d.is_error()).map(|d| d.message.as_str()).collect();
    assert_eq!(errors, ["Bassus comes to its last note 1/2 minim early"]);
}

#[test]
fn vecchi_has_two_sections() {
    let Some(opendata) = opendata() else { return };
    let text = madrigal_parts(&opendata, "vecchi_fummofelici");
    let (score, diagnostics) = aligned(&text, BarLength::Breve);
    let sections = score.bars.iter().filter(|bar| bar.close == Close::Section).count();
    assert_eq!((sections, diagnostics.iter().filter(|d| d.is_error()).count()), (1, 0));
    let xml = musicxml(&score, Options::default());
    assert_eq!(xml.matches("<bar-style>light-light</bar-style>").count(), 1);
}

/// Whether the same step stands before a note in the edition's bar with the same alteration, so
/// that a sign there holds for the note too by modern practice. The edition's bars are semibreves.
fn holds_from_before(edition: &[SoundingNote], note: &SoundingNote) -> bool {
    let bar = |time: Ratio<i64>| (minims(time) / 2).floor();
    edition.iter().any(|other| {
        other.onset < note.onset
            && bar(other.onset) == bar(note.onset)
            && (other.step, other.octave, other.alter) == (note.step, note.octave, note.alter)
    })
}

/// Where what sounds differs from the edition, by cause. The editors of the edition raise and
/// lower notes by signs above the staff, which the parts do not have, and a sign holds to the end
/// of its bar there; the rest is listed.
#[test]
fn sounding_accidentals_against_the_edition() {
    let Some(opendata) = opendata() else { return };
    let mut report = String::new();
    for piece in MADRIGALS {
        let compared = compared(&opendata, piece);
        let (mut same, mut editors, mut held, mut others) = (0, 0, 0, Vec::new());
        for (voice, found) in compared.matches.iter().enumerate() {
            for note in &compared.ours[voice] {
                let edition = &compared.edition[found.other];
                let twin = edition.iter().find(|other| {
                    (other.onset, other.step, other.octave) == (note.onset, note.step, note.octave)
                });
                match twin {
                    Some(twin) if twin.alter == note.alter => same += 1,
                    Some(twin) if twin.editorial => editors += 1,
                    Some(twin) if holds_from_before(edition, twin) => held += 1,
                    Some(twin) => others.push(format!(
                        "voice {voice}, minim {}: {}{} altered by {} here, {} there",
                        minims(note.onset),
                        note.step,
                        note.octave,
                        note.alter,
                        twin.alter
                    )),
                    None => {}
                }
            }
        }
        let _ = writeln!(
            report,
            "{piece}: {same} alike, {editors} the editors' signs, {held} held in a bar"
        );
        for other in others {
            let _ = writeln!(report, "    {other}");
        }
    }
    insta::assert_snapshot!(report);
}
