//! Files of pictures, read.

use std::path::{Path, PathBuf};

use cartella::facsimile::{self, Page, Strip};

use crate::files::{self, Failure, shown};

/// No file is larger: a hundred large scans in a PDF.
const LARGEST: usize = 1 << 30;

/// A file with its pages.
pub(super) struct Pictures {
    /// The bytes of the file.
    pub(super) bytes: Vec<u8>,
    /// Its pages; a picture is one.
    pub(super) pages: Vec<Page>,
}

impl Pictures {
    /// Reads a PNG, JPEG or PDF file; `-` is standard input.
    pub(super) fn read(path: &Path) -> Result<Pictures, Failure> {
        let bytes = files::read(path, LARGEST)?;
        if bytes.len() > LARGEST {
            return Err(Failure::Said(format!("{} has more than 1 GiB", shown(path))));
        }
        let pages = facsimile::pages(&bytes)
            .map_err(|error| Failure::Said(format!("{}: {error}", shown(path))))?;
        Ok(Pictures { bytes, pages })
    }
}

/// A staff found in a picture.
pub(super) struct Found {
    /// The file.
    pub(super) file: PathBuf,
    /// The page in it, from 1.
    pub(super) page: u32,
    /// The page among those of all files, from 1.
    pub(super) of_all: u32,
    /// Its number on the page, from 1, empty ones counted in.
    pub(super) line: u32,
    /// Where it is, in the units of the file: pixels of a picture, points of a PDF.
    pub(super) strip: Strip,
}

/// The staves of all pages of some files, in order.
pub(super) fn found(paths: &[PathBuf]) -> Result<Vec<Found>, Failure> {
    let (mut all, mut of_all) = (Vec::new(), 0);
    for path in paths {
        for (page, read) in (1..).zip(Pictures::read(path)?.pages) {
            of_all += 1;
            let strips = facsimile::strips(&read.picture).into_iter();
            all.extend((1..).zip(strips).map(|(line, strip)| Found {
                file: path.clone(),
                page,
                of_all,
                line,
                strip: strip.scaled(1.0 / read.scale),
            }));
        }
    }
    Ok(all)
}
