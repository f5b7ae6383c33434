//! The files of a study: the page drawn, or the parts file with the certain signs.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use cartella::{Aligned, Ground, Options, Paper, Study as Studied, pdf, png, sheet};

use crate::arguments::Study;
use crate::files::{self, Failure, Inputs, is_standard_output, shown};
use crate::printed::Printed;
use crate::verbs::leaves::{comment, mark, numbered, remove_after};
use crate::verbs::pictures::Files;

/// Pixels to an inch of a PNG.
const DPI: f64 = 200.0;

/// What can be written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Parts,
    Pdf,
    Svg,
    Png,
}

/// What an output is, by its ending; on standard output, a parts file.
fn kind(path: &Path) -> Result<Kind, Failure> {
    let ending = path.extension().map(OsStr::to_ascii_lowercase);
    match ending.as_deref().and_then(|ending| ending.to_str()) {
        _ if is_standard_output(path) => Ok(Kind::Parts),
        Some("parts") => Ok(Kind::Parts),
        Some("pdf") => Ok(Kind::Pdf),
        Some("svg") => Ok(Kind::Svg),
        Some("png") => Ok(Kind::Png),
        _ => Err(Failure::Said(format!(
            "what kind of file is {}? The page is drawn as .pdf, .svg or .png; a name that ends in \
             .parts gets the piece with its certain signs",
            shown(path)
        ))),
    }
}

/// What would go wrong is said before the first file is read.
pub(super) fn check(options: &Study) -> Result<(), Failure> {
    if options.output.is_empty() {
        return Ok(());
    }
    options.output.iter().try_for_each(|path| kind(path).map(|_| ()))?;
    files::check_distinct(&options.output)?;
    if options.files.len() > 1 {
        let said = "-o writes what is known of one piece: name one file";
        return Err(Failure::Said(said.to_owned()));
    }
    let inputs = Inputs::of(&options.files);
    options.output.iter().try_for_each(|path| inputs.refuse(path))
}

/// Writes all outputs; what is to be said of them.
pub(super) fn outputs(
    options: &Study,
    aligned: &Aligned<'_>,
    studied: &Studied,
    inputs: &Inputs,
    name: &str,
) -> Result<Printed, Failure> {
    let mut said = Printed::default();
    let without: Vec<_> = options.without.iter().copied().map(Into::into).collect();
    let drawn = || {
        let paper = if options.letter { Paper::LETTER } else { Paper::A4 };
        sheet(&aligned.page(studied, &without), Options::default(), &paper)
    };
    for out in &options.output {
        let fails = |error: &dyn std::fmt::Display| Failure::Said(format!("{name}: {error}"));
        match kind(out)? {
            Kind::Parts => {
                let signed = aligned.with_accidentals(studied);
                files::write_new(out, signed.as_bytes(), options.replace, inputs)?;
                continue;
            }
            Kind::Pdf => {
                let title = aligned.score.heading.title.as_deref().or(Some(name));
                let bytes = pdf(&drawn(), title).map_err(|error| fails(&error))?;
                files::write(out, &bytes, inputs)?;
                continue;
            }
            Kind::Svg | Kind::Png => {}
        }
        let pages = drawn().pages;
        let several = pages.len() > 1;
        let mut all: Files = Vec::with_capacity(pages.len());
        for (place, page) in pages.iter().enumerate() {
            let number = several.then_some(place + 1);
            let path: PathBuf = number.map_or_else(|| out.clone(), |number| numbered(out, number));
            let bytes = if kind(out)? == Kind::Svg {
                let mut svg = aligned.example().document().svg(page);
                svg.extend(number.map(comment));
                svg.into_bytes()
            } else {
                let comment = number.map(mark);
                png(page, DPI, Ground::White, comment.as_deref()).map_err(|error| fails(&error))?
            };
            all.push((path, bytes));
        }
        for (path, bytes) in &all {
            files::write(path, bytes, inputs)?;
        }
        said += remove_after(if several { all.len() } else { 0 }, out)?;
    }
    Ok(said)
}
