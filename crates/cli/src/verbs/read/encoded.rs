//! MEI part files, or a MusicXML score.

use cartella::{Document, Error, LARGEST_FILE, MeiPart, is_musicxml};

use super::Reading;
use crate::arguments::Read;
use crate::files::{self, Failure, shown};

/// A file that was read.
struct Encoded {
    /// Its name without folder and ending.
    name: String,
    bytes: Vec<u8>,
}

pub(super) fn read(inputs: &[super::Input], options: &Read) -> Result<Reading, Failure> {
    let files: Vec<Encoded> = inputs.iter().map(encoded).collect::<Result<_, _>>()?;
    let unread = |error: Error| Failure::Said(error.to_string());
    if files.iter().any(|file| is_musicxml(&file.bytes)) {
        let [score] = files.as_slice() else {
            let said = "read one MusicXML score at a time: it has all its voices in one file";
            return Err(Failure::Said(said.to_owned()));
        };
        let minim = options.minim.map(Into::into);
        return Document::read_musicxml(&score.name, &score.bytes, minim).map_err(unread);
    }
    let parts: Vec<MeiPart<'_>> = files.iter().map(part).collect::<Result<_, _>>()?;
    Document::read_mei(&parts).map_err(unread)
}

fn encoded(input: &super::Input) -> Result<Encoded, Failure> {
    let path = &input.path;
    let bytes = files::read(path, LARGEST_FILE)?;
    let name = path.file_stem().map_or_else(|| shown(path), |n| n.to_string_lossy().into());
    Ok(Encoded { name, bytes })
}

fn part(file: &Encoded) -> Result<MeiPart<'_>, Failure> {
    let text = std::str::from_utf8(&file.bytes).map_err(|_| {
        Failure::Said(format!("{} is not UTF-8 text, so it cannot be read as XML", file.name))
    })?;
    Ok(MeiPart { name: &file.name, text })
}
