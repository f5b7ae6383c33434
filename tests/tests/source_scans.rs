//! Scans of whole pieces become parts files, and these are nearly the encodings.

use cartella::Document;
use facsimile::Network;
use notation::NoteSign;
use suite::{MADRIGALS, likeness, madrigal_parts, opendata, read_scans};

/// Two pieces, all voices. The figures of all twelve stand in `docs/reading.md`.
#[test]
fn madrigals() {
    let Some(opendata) = opendata() else { return };
    let network = Network::shipped();
    for (piece, [least_alone, least_together]) in LEAST {
        let piece = MADRIGALS[piece];
        let encoded = Document::parse(madrigal_parts(&opendata, piece));
        let parts = read_scans(&opendata, piece, &network);
        let mut right = Vec::new();
        for reading in [source::read(&parts), source::read_together(&parts)] {
            let reading = reading.unwrap();
            let read = Document::parse(reading.text);
            assert!(!read.has_errors(), "{:#?}", read.diagnostics());
            let piece = read.first().piece();
            let mut sum = 0;
            let (mut marked, mut wrong, mut both) = (0, 0, 0);
            for voice in 0..parts.len() {
                let found = likeness(piece, encoded.first().piece(), voice);
                sum += found.right;
                let events = piece.voices[voice].items.iter().filter_map(|item| item.event());
                for (event, agrees) in events.zip(&found.agree) {
                    let is_marked = event.signs.has(NoteSign::Doubt);
                    marked += usize::from(is_marked);
                    wrong += usize::from(!agrees);
                    both += usize::from(is_marked && !agrees);
                }
                // Each line of the source is one of the file.
                let lines = |piece: &notation::Piece| piece.voices[voice].source_lines();
                assert_eq!(lines(piece), lines(encoded.first().piece()), "voice {voice}");
            }
            // A mark finds what is wrong more often than chance would.
            let all: usize = (0..parts.len())
                .map(|voice| {
                    piece.voices[voice].items.iter().filter(|i| i.event().is_some()).count()
                })
                .sum();
            assert!(both * all > 4 * marked * wrong, "{both} of {marked} and {wrong} of {all}");
            // What is doubtful is said, the least sure first.
            let said =
                reading.remarks.iter().filter(|remark| remark.what.contains(" is doubtful ("));
            assert_eq!(said.count(), marked);
            right.push(sum);
        }
        assert!(right[0] >= least_alone && right[1] >= least_together, "{piece}: {right:?}");
        assert!(right[1] > right[0], "all voices together read better: {piece}: {right:?}");
    }
}

/// For a piece, how many notes are right at least: each voice by itself, and all together.
const LEAST: [(usize, [usize; 2]); 2] = [(1, [638, 642]), (8, [796, 806])];
