//! MusicXML that others have made, read into parts files: the same sounds at the same times, in
//! what is read and in what is written of it again.

use score::{BarLength, Options, Score, Staves};
use suite::{
    MADRIGALS, SoundingNote, duos, faultless, madrigal, musicxml, opendata, read_score, sounding,
    sounding_voices,
};

/// What sounds in a MusicXML file, by a reader that has nothing in common with the program's.
fn in_file(xml: &str) -> Vec<Vec<SoundingNote>> {
    sounding_voices(xml).into_iter().map(|voice| voice.notes).collect()
}

/// Compares what sounds; says how many editor's signs stand over notes that the file does not
/// alter. The last notes of the voices are held to the end of the last bar.
fn compare(name: &str, there: &[Vec<SoundingNote>], here: &[Vec<SoundingNote>]) -> usize {
    assert_eq!(there.len(), here.len(), "{name}");
    let mut signs = 0;
    for (there, here) in there.iter().zip(here) {
        assert_eq!(there.len(), here.len(), "{name}");
        let last = there.len() - 1;
        for (place, (there, here)) in there.iter().zip(here).enumerate() {
            let mut expected = there.clone();
            if place == last {
                expected.length = here.length;
            }
            if there.editorial && there.alter != here.alter {
                signs += 1;
                expected.alter = here.alter;
            }
            // A sign over one note may hold for another of the bar.
            expected.editorial |= here.editorial;
            assert_eq!(*here, expected, "{name}");
        }
    }
    signs
}

/// Reads a file, and what is written of it again; gives the number of notes, and of signs over
/// notes that are not altered.
fn there_and_back(name: &str, xml: &str) -> (usize, usize) {
    let text = read_score(name, xml.as_bytes(), None);
    let score: Score = faultless(name, &text, BarLength::Breve);
    let (there, here) = (in_file(xml), sounding(&score));
    let signs = compare(name, &there, &here);
    let again = musicxml(&score, Options { staves: Staves::Open, ..Options::default() });
    assert_eq!(compare(name, &there, &in_file(&again)), signs, "{name}");
    (here.iter().map(Vec::len).sum(), signs)
}

/// Counted on the files: 3482 notes.
#[test]
fn every_duo() {
    let Some(opendata) = opendata() else { return };
    let counts = duos(&opendata).into_iter().map(|(name, xml)| there_and_back(&name, &xml));
    let (notes, signs) = counts.fold((0, 0), |(n, s), (notes, signs)| (n + notes, s + signs));
    assert_eq!((notes, signs), (3482, 0));
}

/// Counted on the files: 8875 notes; of 60 accidental marks, 20 stand over notes that the file
/// does not alter.
#[test]
fn every_edition() {
    let Some(opendata) = opendata() else { return };
    let counts = MADRIGALS
        .map(|piece| there_and_back(piece, &madrigal(&opendata, piece, "edition.musicxml")));
    let (notes, signs) =
        counts.into_iter().fold((0, 0), |(n, s), (notes, signs)| (n + notes, s + signs));
    assert_eq!((notes, signs), (8875, 20));
}
