//! All MusicXML that is written is valid against the schema of the W3C (MusicXML 4.0).

use std::process::Command;

use score::{BarLength, Options, Reduction, Staves};
use suite::{
    MADRIGALS, SIGNED, aligned, fixtures, madrigal_parts, musicxml, opendata, schema_validator,
    with_signs,
};

#[test]
fn everything_written_is_valid() {
    let Some(validator) = schema_validator() else { return };
    let mut pieces = fixtures();
    if let Some(opendata) = opendata() {
        pieces.extend(MADRIGALS.map(|piece| (piece.to_owned(), madrigal_parts(&opendata, piece))));
        pieces.extend(SIGNED.map(|(piece, signs)| {
            (piece.to_owned(), with_signs(&madrigal_parts(&opendata, piece), signs))
        }));
    }
    let folder = tempfile::tempdir().unwrap();
    let mut files = Vec::new();
    for (name, text) in &pieces {
        for bar in [BarLength::Breve, BarLength::Semibreve] {
            let (score, _) = aligned(text, bar);
            for staves in [Staves::Keyboard, Staves::Open] {
                for reduction in [Reduction::Original, Reduction::Halved, Reduction::Quartered] {
                    let options = Options { staves, reduction, ..Options::default() };
                    let file = folder.path().join(format!("{}-{name}.musicxml", files.len()));
                    std::fs::write(&file, musicxml(&score, options)).unwrap();
                    files.push(file);
                }
            }
        }
    }
    assert!(files.len() >= 12 * 5, "{} files", files.len());
    let output = Command::new(validator).args(&files).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "{}",
        said.lines().filter(|l| !l.ends_with("validates")).collect::<Vec<_>>().join("\n")
    );
    println!("{} files are valid", files.len());
}
