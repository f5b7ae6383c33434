//! Pieces on pages, and what poppler says of a PDF file.

use std::path::Path;
use std::process::Command;

use engrave::{Book, Look, Paper, engrave_on, pages};
use score::arrange;

use crate::{Layout, Raster, aligned};

/// The pages of several parts files, one after another.
pub fn book(texts: &[&str], layout: Layout, look: &Look, paper: &Paper) -> Book {
    let picture = |text: &&str| {
        let (score, _) = aligned(text, layout.bar);
        engrave_on(&arrange(&score, layout.options()), look, paper)
    };
    pages(texts.iter().map(picture).collect(), paper)
}

/// What a program of poppler prints, the file being put between its arguments for `FILE`.
///
/// # Panics
/// If it fails, or has anything to complain of.
pub fn of_poppler(command: &str, file: &Path) -> String {
    let mut words = command.split(' ');
    let mut program = Command::new(words.next().unwrap_or_default());
    for word in words {
        match word {
            "FILE" => program.arg(file),
            other => program.arg(other),
        };
    }
    let output = program.output().unwrap();
    // A tagged file says whether its tags are suspect (ISO 32000-1, 14.7.1, table 321), as a boolean;
    // some versions of poppler take `false` for an error.
    let said = String::from_utf8_lossy(&output.stderr)
        .replace("Syntax Error: Suspects object is wrong type (boolean)\n", "");
    assert!(output.status.success() && said.is_empty(), "{command}: {said}");
    String::from_utf8(output.stdout).unwrap()
}

/// A page of a PDF file as poppler draws it; the first is page 1.
///
/// # Panics
/// If it cannot be drawn.
pub fn drawn_by_poppler(file: &Path, page: usize, dpi: u32) -> Raster {
    let (page, dpi) = (page.to_string(), dpi.to_string());
    let output = Command::new("pdftoppm")
        .args(["-gray", "-r", &dpi, "-f", &page, "-l", &page])
        .arg(file)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && said.is_empty(), "{said}");
    grey_map(&output.stdout)
}

/// A portable grey map (Netpbm's PGM, kind P5, 255 shades).
fn grey_map(bytes: &[u8]) -> Raster {
    let mut fields = bytes.splitn(4, u8::is_ascii_whitespace);
    let mut field = || fields.next().expect("a grey map has a header");
    assert_eq!(field(), b"P5");
    let mut number = || std::str::from_utf8(field()).unwrap().parse::<u32>().unwrap();
    let (width, height) = (number(), number());
    let pixels = field().strip_prefix(b"255\n").expect("255 shades");
    assert_eq!(pixels.len(), (width * height) as usize);
    Raster { width, height, black: pixels.iter().map(|pixel| 255 - pixel).collect() }
}
