//! Pictures of the printed voices.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use cartella::facsimile::{Network, Page, Sizes, Strip, read as read_staff, strips};
use cartella::{Document, SourcePart, StaffLine, from_the_top};
use rayon::prelude::*;

use super::style::network;
use super::voices::Voices;
use super::{Input, Reading};
use crate::arguments::Read;
use crate::files::{Failure, is_standard_output, is_stream, shown};
use crate::printed::Printed;
use crate::streams::say;
use crate::verbs::scans::{boxed, each_page, from_folder};

/// Whether these files are pictures: by their first bytes, or because a voice is named with them. Standard
/// input is none.
pub(super) fn are_pictures(inputs: &[Input]) -> Result<bool, Failure> {
    let mut are = Vec::with_capacity(inputs.len());
    for input in inputs {
        are.push(input.voice.is_some() || !is_stream(&input.path) && is_picture(&input.path)?);
    }
    if are.contains(&true)
        && let Some(other) = are.iter().position(|is| !is)
    {
        let path = shown(&inputs[other].path);
        return Err(Failure::Said(format!(
            "{path} is no picture (PNG, JPEG, PDF), but others are: read pictures by themselves"
        )));
    }
    Ok(are.contains(&true))
}

/// Whether a file is a picture, by its first bytes.
pub(super) fn is_picture(path: &Path) -> Result<bool, Failure> {
    let mut first = Vec::new();
    let read = File::open(path).and_then(|file| file.take(8).read_to_end(&mut first));
    read.map_err(|error| Failure::Unread(path.to_owned(), error))?;
    let begins = [&b"\x89PNG"[..], b"\xff\xd8", b"%PDF-"];
    Ok(begins.iter().any(|begin| first.starts_with(begin)))
}

/// Reads the voices; nothing where there is no music to be read, which is said.
pub(super) fn read(inputs: &[Input], options: &Read) -> Result<Option<Reading>, Failure> {
    let network = network(options.print_style.as_deref())?;
    let mut parts: Vec<SourcePart> = Vec::new();
    let mut empty: Vec<String> = Vec::new();
    let files = files_shown(inputs)?;
    let together = files.iter().any(|file| file.voices.len() > 1);
    for Shown { voices, path } in files {
        let lines = lines(path, &options.output, &network)?;
        if lines.is_empty() {
            empty.push(shown(path));
        }
        let (parted, note) = voices.parted(lines, path)?;
        if let Some(note) = note {
            say(&Printed::plain(format!("{note}\n")));
        }
        for (name, lines) in parted {
            match parts.iter_mut().find(|part| part.name == name) {
                Some(part) => part.lines.extend(lines),
                None => parts.push(SourcePart { name, lines }),
            }
        }
    }
    // On a page they were named in its order: a choir book has the Tenor below the Cantus.
    let parts = if together { from_the_top(parts) } else { parts };
    match Document::read_source(&parts) {
        Ok(read) => {
            for path in empty {
                say(&Printed::plain(format!("{path}: no music is found\n")));
            }
            Ok(Some(read))
        }
        Err(unread) => {
            say(&Printed::plain(format!("{unread}; nothing is written\n")));
            Ok(None)
        }
    }
}

/// A file, and whose lines stand in it.
struct Shown<'i> {
    voices: Voices,
    path: &'i Path,
}

/// The files with the names of their voices: as they are said, or by the names of the files.
fn files_shown(inputs: &[Input]) -> Result<Vec<Shown<'_>>, Failure> {
    if inputs.iter().any(|input| input.voice.is_some()) {
        let one = |input| match input {
            &Input { voice: Some(ref voice), ref path } => {
                Ok(Shown { voices: Voices::typed(voice, path)?, path })
            }
            Input { path, .. } => Err(Failure::Said(format!(
                "which voice does {} show? Type it before the file, as with the others: VOICE={}",
                shown(path),
                shown(path)
            ))),
        };
        return inputs.iter().map(one).collect();
    }
    let stem = |input: &Input| {
        input.path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default()
    };
    let stems: Vec<String> = inputs.iter().map(stem).collect();
    let names = Document::names_of_voices(&stems);
    let paths = inputs.iter().map(|input| input.path.as_path());
    let one = |(name, path)| Shown { voices: Voices::one(name), path };
    Ok(names.into_iter().zip(paths).map(one).collect())
}

/// All lines with music on the pages of a file.
fn lines(path: &Path, output: &Path, network: &Network) -> Result<Vec<StaffLine>, Failure> {
    let parts = if is_standard_output(output) { Path::new("out.parts") } else { output };
    let file = from_folder(path, parts)?;
    let mut all = Vec::new();
    each_page(path, |number, page| all.extend(of_page(page, (&file, number), network)))?;
    Ok(all)
}

/// The lines with music on a page, of which the last ends it.
fn of_page(page: &Page, (file, number): (&str, u32), network: &Network) -> Vec<StaffLine> {
    let staves = strips(&page.picture);
    let sizes = Sizes::of(&page.picture, &staves);
    let staves: Vec<&Strip> = staves.iter().filter(|staff| !staff.empty).collect();
    let line = |staff: &&Strip| {
        let place = (*staff).clone().scaled(1.0 / page.scale);
        StaffLine {
            row: read_staff(&sizes.laid(staff), network),
            place: Some(boxed(0, 1, (file.to_owned(), number), &place)),
            ends_page: false,
        }
    };
    let mut lines: Vec<StaffLine> =
        staves.par_iter().map(line).filter(StaffLine::has_music).collect();
    if let Some(last) = lines.last_mut() {
        last.ends_page = true;
    }
    lines
}
