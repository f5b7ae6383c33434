//! Voices that stand one below another on a page are told apart.

use facsimile::Network;
use source::{Part, StaffLine, apart_by, from_the_top, seeming_voices, told_apart};
use suite::{MADRIGALS, opendata, read_scans};

/// How many lines each voice has.
fn counts(voices: &[Vec<StaffLine>]) -> Vec<usize> {
    voices.iter().map(Vec::len).collect()
}

/// The voices of some madrigals below one another: all of them, and each two that follow one another. The figures of
/// all twelve stand in `docs/reading.md`.
#[test]
fn madrigals() {
    let Some(opendata) = opendata() else { return };
    let network = Network::shipped();
    // How many pages of two voices would be told if they were said to show one.
    let mut seen = 0;
    for piece in [MADRIGALS[2], MADRIGALS[7], MADRIGALS[10]] {
        let parts = read_scans(&opendata, piece, &network);
        let voices: Vec<Vec<StaffLine>> = parts.into_iter().map(|part| part.lines).collect();
        for some in voices.windows(2).chain([voices.as_slice()]) {
            let lines = some.concat();
            let found = told_apart(lines, some.len()).unwrap();
            assert!(found.sure, "{piece}");
            assert_eq!(counts(&found.voices), counts(some), "{piece}");
        }
        // At least the highest and the lowest have clefs of their own.
        let outer = [voices[0].as_slice(), &voices[voices.len() - 1]].concat();
        seen += usize::from(seeming_voices(&outer) == 2);
        for voice in &voices {
            assert_eq!(seeming_voices(voice), 1, "{piece}");
        }
    }
    assert!(seen >= 2, "{seen} of 3");
}

/// The voices of some madrigals in systems, as far as the shortest goes: their lines take turns. The figures of all
/// twelve stand in `docs/reading.md`.
#[test]
fn voices_in_systems() {
    let Some(opendata) = opendata() else { return };
    let network = Network::shipped();
    for piece in [MADRIGALS[1], MADRIGALS[4], MADRIGALS[8]] {
        let parts = read_scans(&opendata, piece, &network);
        let systems = parts.iter().map(|part| part.lines.len()).min().unwrap();
        // The highest and the lowest have clefs of their own.
        for voices in [vec![0, 4], vec![0, 1, 2, 3, 4]] {
            let parts: Vec<&Part> = voices.iter().map(|voice| &parts[*voice]).collect();
            let lines: Vec<StaffLine> = (0..systems)
                .flat_map(|system| parts.iter().map(move |part| part.lines[system].clone()))
                .collect();
            let found = told_apart(lines, parts.len()).unwrap();
            assert!(found.in_turn, "{piece}, {voices:?}");
            for (voice, part) in found.voices.iter().zip(&parts) {
                let rows =
                    |lines: &[StaffLine]| lines.iter().map(|l| l.row.clone()).collect::<Vec<_>>();
                assert_eq!(rows(voice), rows(&part.lines[..systems]), "{piece}");
            }
        }
    }
}

/// The lines of a voice without its first and last have nothing but clefs, directs and lengths to tell them apart.
/// What is called sure may be wrong, but seldom.
#[test]
fn voices_that_go_on() {
    let Some(opendata) = opendata() else { return };
    let network = Network::shipped();
    let (mut all, mut right, mut sure, mut misled) = (0, 0, 0, 0);
    for piece in [MADRIGALS[5], MADRIGALS[11]] {
        let parts = read_scans(&opendata, piece, &network);
        let inner = |part: Part| part.lines[1..part.lines.len() - 1].to_vec();
        let voices: Vec<Vec<StaffLine>> = parts.into_iter().map(inner).collect();
        for some in voices.windows(2) {
            let found = told_apart(some.concat(), 2).unwrap();
            let is_right = counts(&found.voices) == counts(some);
            all += 1;
            right += usize::from(is_right);
            sure += usize::from(found.sure);
            misled += usize::from(found.sure && !is_right);
        }
    }
    assert_eq!(all, 8);
    assert!(right >= 6 && sure >= 6 && misled == 0, "{right} right, {sure} sure, {misled} misled");
}

/// Whatever is read on them, and however many voices there are to be, no line is lost, none comes twice, and each
/// voice has one.
#[test]
fn no_line_is_lost() {
    let Some(opendata) = opendata() else { return };
    let parts = read_scans(&opendata, MADRIGALS[0], &Network::shipped());
    let lines: Vec<StaffLine> = parts.into_iter().flat_map(|part| part.lines).collect();
    let count_of_all = lines.len();
    for count in 1..=count_of_all {
        let found = told_apart(lines.clone(), count).unwrap().voices;
        assert_eq!(found.len(), count);
        assert!(found.iter().all(|voice| !voice.is_empty()));
        let rows =
            |lines: &[StaffLine]| lines.iter().map(|line| line.row.clone()).collect::<Vec<_>>();
        assert_eq!(rows(&found.concat()), rows(&lines));
    }
    assert_eq!(told_apart(lines.clone(), count_of_all + 1), None);
    assert_eq!(told_apart(lines.clone(), 0), None);
    let by_count = apart_by(lines, &[3, 1, count_of_all - 4]);
    assert_eq!(counts(&by_count), [3, 1, count_of_all - 4]);
    assert!(by_count.iter().all(|voice| voice[voice.len() - 1].ends_page));
}

/// Voices in the order of a choir book, below one another on either page, are put from the top down.
#[test]
fn voices_come_from_the_top() {
    let Some(opendata) = opendata() else { return };
    let parts = read_scans(&opendata, MADRIGALS[1], &Network::shipped());
    let names = |parts: &[Part]| parts.iter().map(|part| part.name.clone()).collect::<Vec<_>>();
    let mut mixed = parts.clone();
    mixed.reverse();
    let sorted = from_the_top(mixed);
    let mut clefs = Vec::new();
    for part in &sorted {
        let read = source::read(std::slice::from_ref(part)).unwrap();
        let document = cartella::Document::parse(read.text);
        clefs.push(document.first().piece().voices[0].clef.unwrap().to_string());
    }
    assert_eq!(clefs, ["C1", "C3", "C4", "F3", "F4"], "{:?}", names(&sorted));
}
