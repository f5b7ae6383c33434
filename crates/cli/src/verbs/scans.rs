//! Files of pictures, read, and where in them lines stand.

use std::borrow::Cow;
use std::fs;
use std::path::{Path, PathBuf};

use cartella::facsimile::{self, Area, Page, Strip};
use cartella::{Facsimile, Span};

use crate::files::{self, Failure, folder, shown};

/// No file is larger: a hundred large scans in a PDF.
const LARGEST: usize = 1 << 30;

/// A file with its pages.
pub(crate) struct Pictures {
    /// The bytes of the file.
    pub(crate) bytes: Vec<u8>,
    /// Its pages; a picture is one.
    pub(crate) pages: Vec<Page>,
}

impl Pictures {
    /// Reads a PNG, JPEG or PDF file; `-` is standard input.
    pub(crate) fn read(path: &Path) -> Result<Pictures, Failure> {
        let bytes = bytes(path)?;
        let pages = facsimile::pages(&bytes).map_err(|error| unreadable(path, &error))?;
        Ok(Pictures { bytes, pages })
    }
}

/// The bytes of such a file.
fn bytes(path: &Path) -> Result<Vec<u8>, Failure> {
    let bytes = files::read(path, LARGEST)?;
    if bytes.len() > LARGEST {
        return Err(Failure::Said(format!("{} has more than 1 GiB", shown(path))));
    }
    Ok(bytes)
}

fn unreadable(path: &Path, error: &facsimile::Unreadable) -> Failure {
    Failure::Said(format!("{}: {error}", shown(path)))
}

/// Takes the pages of a file one after another, with their numbers from 1: a file may have more of them than
/// memory has room for.
pub(crate) fn each_page(path: &Path, mut take: impl FnMut(u32, &Page)) -> Result<(), Failure> {
    let bytes = bytes(path)?;
    for number in 1.. {
        let page = facsimile::page(&bytes, number).map_err(|error| unreadable(path, &error))?;
        let Some((page, count)) = page else { break };
        take(number, &page);
        if number as usize >= count {
            break;
        }
    }
    Ok(())
}

/// A staff found in a picture.
pub(crate) struct Found {
    /// The file.
    pub(crate) file: PathBuf,
    /// The page in it, from 1.
    pub(crate) page: u32,
    /// The page among those of all files, from 1.
    pub(crate) of_all: u32,
    /// Its number on the page, from 1, empty ones counted in.
    pub(crate) line: u32,
    /// Where it is, in the units of the file: pixels of a picture, points of a PDF.
    pub(crate) strip: Strip,
    /// Where words stand below it, in the same units.
    pub(crate) words: Vec<Area>,
}

/// The staves of all pages of some files, in order.
pub(crate) fn found(paths: &[PathBuf]) -> Result<Vec<Found>, Failure> {
    let (mut all, mut of_all) = (Vec::new(), 0);
    for path in paths {
        for (page, read) in (1..).zip(Pictures::read(path)?.pages) {
            of_all += 1;
            let strips = facsimile::strips(&read.picture);
            let words = facsimile::words(&read.picture, &strips);
            let by = 1.0 / read.scale;
            all.extend((1..).zip(strips.into_iter().zip(words)).map(|(line, (strip, words))| {
                let words = words.into_iter().map(|words| words.scaled(by)).collect();
                Found { file: path.clone(), page, of_all, line, strip: strip.scaled(by), words }
            }));
        }
    }
    Ok(all)
}

/// Where a line of a voice stands, as the head of a parts file has it: tenths of a pixel are more than can
/// be seen.
///
/// `strip` is in the units of the file, which is called `file` there.
pub(crate) fn boxed(
    voice: usize,
    line: u32,
    (file, page): (String, u32),
    strip: &Strip,
) -> Facsimile {
    Facsimile {
        voice: Some(voice),
        line,
        file,
        page,
        x: tenth(strip.x),
        y: tenth(strip.y),
        width: tenth(strip.width),
        height: tenth(strip.height),
        angle: hundredth(strip.angle),
        span: Span::default(),
    }
}

/// A file as it is called from the folder of the parts file.
pub(crate) fn from_folder(file: &Path, parts: &Path) -> Result<String, Failure> {
    let whole = |path: &Path| {
        fs::canonicalize(path).map_err(|error| Failure::Unread(path.to_owned(), error))
    };
    let (file, from) = (whole(file)?, whole(folder(parts))?);
    let (there, here): (Vec<_>, Vec<_>) =
        (file.components().collect(), from.components().collect());
    let shared = there.iter().zip(&here).take_while(|(one, other)| one == other).count();
    if shared == 0 {
        return Ok(file.to_string_lossy().into_owned());
    }
    let up = here[shared..].iter().map(|_| "..".into());
    let down = there[shared..].iter().map(|part| part.as_os_str().to_string_lossy());
    Ok(up.chain(down).collect::<Vec<Cow<'_, str>>>().join("/"))
}

pub(crate) fn tenth(number: f64) -> f64 {
    (number * 10.0).round() / 10.0 + 0.0
}

pub(crate) fn hundredth(number: f64) -> f64 {
    (number * 100.0).round() / 100.0 + 0.0
}
