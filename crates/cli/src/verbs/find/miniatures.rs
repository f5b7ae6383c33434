//! What is found as a sheet with the music of each place.

use std::path::Path;

use cartella::{
    BarLength, Card, Excerpt, Options, Paper, Sheet, SheetBody, SheetPart, Table, pdf,
    sheet as set_on,
};

use super::Answer;
use crate::files::Failure;
use crate::piece::Loaded;

/// So many bars of a place are shown.
const MOST_BARS: u32 = 6;

/// The sheet as PDF: the music of each place, and then a table of what was found where.
pub(super) fn sheet_of(asked: &str, answers: &[Answer]) -> Result<Sheet, Failure> {
    let (mut cards, mut rows) = (Vec::new(), Vec::new());
    let mut last: Option<Loaded> = None;
    for (number, answer) in (1..).zip(answers) {
        // Answers of a file often follow one another.
        let loaded = match last.take().filter(|loaded| loaded.path == answer.path) {
            Some(loaded) => loaded,
            None => Loaded::read(&answer.path)?,
        };
        let name = answer.row.example.as_deref();
        if let Some(example) = loaded.document.examples().find(|one| one.name() == name) {
            let score = example.score(BarLength::Breve).score;
            let (first, end) = answer.hit.bars;
            let bars = first..=end.min(first + MOST_BARS - 1);
            if let Ok(music) = Excerpt::bars(bars).of(&score) {
                cards.push(Card { title: format!("{number}. {}", short(answer)), music });
            }
        }
        rows.push(vec![format!("{number}"), answer.label(), answer.hit.why.join("; ")]);
        last = Some(loaded);
    }
    let part = |heading: &str, body| SheetPart { heading: heading.to_owned(), body };
    let table = Table { columns: Vec::new(), rows };
    Ok(Sheet {
        title: asked.to_owned(),
        facts: vec![crate::report::counted(answers.len(), "example")],
        parts: vec![part("Music", SheetBody::Cards(cards)), part("Found", SheetBody::Table(table))],
    })
}

/// The name of the file without folders and ending, and of the example: `chapter-2 8`.
fn short(answer: &Answer) -> String {
    let stem = answer.path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let parts = [stem, answer.row.example.clone()];
    let name = parts.into_iter().flatten().collect::<Vec<_>>().join(" ");
    format!("{name}, bar {}", answer.hit.bars.0)
}

/// The sheet as PDF.
pub(super) fn sheet(asked: &str, answers: &[Answer], out: &Path) -> Result<Vec<u8>, Failure> {
    let book = set_on(&sheet_of(asked, answers)?, Options::default(), &Paper::A4);
    let stem = out.file_stem().map(|stem| stem.to_string_lossy());
    pdf(&book, stem.as_deref()).map_err(|error| Failure::Said(error.to_string()))
}
