//! Transcriptions of the same music, in which nothing differs.

use score::{BarLength, Basis, Options, Reduction, Staves};
use suite::{
    MADRIGALS, SIGNED, Transcription, aligned, duos, fixtures, madrigal_parts, musicxml, opendata,
    read_score, with_signs,
};

const REDUCTIONS: [Reduction; 3] = [Reduction::Original, Reduction::Halved, Reduction::Quartered];

/// Every piece: the fixtures, the madrigals with and without their signs, the duos.
fn pieces() -> Vec<(String, String)> {
    let mut pieces = fixtures();
    let Some(opendata) = opendata() else { return pieces };
    let madrigal = |piece: &str| madrigal_parts(&opendata, piece);
    pieces.extend(MADRIGALS.map(|piece| (piece.to_owned(), madrigal(piece))));
    pieces.extend(
        SIGNED.map(|(piece, signs)| (piece.to_owned(), with_signs(&madrigal(piece), signs))),
    );
    let duos = duos(&opendata).into_iter();
    pieces.extend(duos.map(|(name, xml)| {
        let text = read_score(&name, xml.as_bytes(), None);
        (name, text)
    }));
    pieces
}

#[test]
fn a_file_and_itself() {
    for (name, text) in pieces() {
        let one = Transcription::new(&text);
        for basis in [Basis::Printed, Basis::Sounding] {
            assert_eq!(one.against(&one, basis), [], "{name}");
        }
        assert_eq!(one.with_variants(&one), (text, 0), "{name}");
    }
}

/// As a modern score and back, on two staves or on open ones, in original and reduced values, in bars
/// of either length: the voices lose their names there, and the same sounds.
#[test]
fn a_file_that_came_back_from_musicxml() {
    for (name, text) in pieces() {
        let one = Transcription::new(&text);
        for (staves, bar) in
            [(Staves::Keyboard, BarLength::Breve), (Staves::Open, BarLength::Semibreve)]
        {
            for reduction in REDUCTIONS {
                let options = Options { staves, reduction, ..Options::default() };
                let xml = musicxml(&aligned(&text, bar).0, options);
                let back = Transcription::new(&read_score(&name, xml.as_bytes(), None));
                let way = format!("{name}, {bar:?}, {options:?}");
                assert_eq!(one.against(&back, Basis::Sounding), [], "{way}");
                assert_eq!(back.against(&one, Basis::Sounding), [], "{way}");
            }
        }
    }
}
