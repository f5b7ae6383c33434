//! The files of the pages of a score: duo-1.svg, duo-2.svg. Each says in itself which page it is, so
//! that those that a longer score left behind are known.

use std::fs::{self, File};
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::{Path, PathBuf};

use crate::files::{Failure, shown};
use crate::printed::Printed;

/// So many bytes at the beginning or the end of a file hold what it says of itself.
const MARKED: u64 = 512;

/// The name of the file of a page: `duo-2.svg` of `duo.svg`.
pub(crate) fn numbered(out: &Path, number: usize) -> PathBuf {
    let mut name = out.file_stem().unwrap_or_default().to_owned();
    name.push(format!("-{number}"));
    if let Some(ending) = out.extension() {
        name.push(".");
        name.push(ending);
    }
    out.with_file_name(name)
}

/// What the file of a page says of itself.
pub(crate) fn mark(number: usize) -> String {
    format!("Cartella, page {number}")
}

/// The same as a comment of XML, which stands behind the picture.
pub(crate) fn comment(number: usize) -> String {
    format!("<!-- {} -->\n", mark(number))
}

/// Removes the pages behind the last one that this command wrote in an earlier run, and says so.
pub(crate) fn remove_after(last: usize, out: &Path) -> Result<Printed, Failure> {
    let mut left: Vec<PathBuf> = Vec::new();
    for number in last + 1.. {
        let path = numbered(out, number);
        if fs::symlink_metadata(&path).is_err() {
            break;
        }
        if is_page(&path, number) {
            left.push(path);
        }
    }
    // From behind, so that a run that is interrupted leaves no gap.
    for path in left.iter().rev() {
        fs::remove_file(path)
            .map_err(|error| Failure::Said(format!("cannot remove {}: {error}", shown(path))))?;
    }
    let (Some(first), Some(end)) = (left.first(), left.last()) else {
        return Ok(Printed::default());
    };
    let pages = if left.len() == 1 {
        format!("{} is removed: it was a page", shown(first))
    } else {
        format!("{} to {} are removed: they were pages", shown(first), shown(end))
    };
    Ok(Printed::plain(format!("{pages} of a longer score\n")))
}

/// Whether a file is that page of a score, as this command writes it, and may be removed.
fn is_page(path: &Path, number: usize) -> bool {
    let found = fs::symlink_metadata(path);
    let is_file = found.is_ok_and(|found| found.is_file() && !found.permissions().readonly());
    is_file && holds_mark(path, number).unwrap_or(false)
}

fn holds_mark(path: &Path, number: usize) -> std::io::Result<bool> {
    let mut file = File::open(path)?;
    let mut bytes = Vec::new();
    (&mut file).take(MARKED).read_to_end(&mut bytes)?;
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        // A chunk `tEXt`: a keyword, a byte of zero, and the words; behind it the sum of the chunk
        // and the next one (PNG specification, section 11.3.4.3).
        let chunk = format!("tEXtComment\0{}", mark(number));
        return Ok(bytes.windows(chunk.len()).any(|found| found == chunk.as_bytes())
            && bytes.windows(8).any(|length| {
                length[..4] == ((chunk.len() - 4) as u32).to_be_bytes() && &length[4..] == b"tEXt"
            }));
    }
    let end = file.metadata()?.len().saturating_sub(MARKED);
    file.seek(SeekFrom::Start(end))?;
    bytes.clear();
    file.take(MARKED).read_to_end(&mut bytes)?;
    Ok(bytes.ends_with(format!("</svg>\n{}", comment(number)).as_bytes()))
}
