//! Files: read whole, written whole or not at all.

mod failure;
mod inputs;
mod place;
mod unfinished;
mod write;

use std::fs;
use std::io::{self, Read as _};
use std::path::Path;

pub(crate) use failure::Failure;
pub(crate) use inputs::{Inputs, check_distinct};
pub(crate) use place::{folder, parted};
pub(crate) use write::{
    check_place, replace, replace_unless_changed, write, write_made, write_new,
};

use crate::printed::in_line;

/// Whether a path stands for a standard stream.
pub(crate) fn is_stream(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// Whether an output is standard output, by whatever name.
pub(crate) fn is_standard_output(path: &Path) -> bool {
    const NAMES: [&str; 4] = ["-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"];
    NAMES.iter().any(|name| path.as_os_str() == *name)
}

/// The name of a path in messages.
pub(crate) fn shown(path: &Path) -> String {
    if is_stream(path) {
        "standard input".to_owned()
    } else {
        in_line(&path.to_string_lossy()).into_owned()
    }
}

/// The bytes of a file or of standard input; not much more than `limit` are read.
pub(crate) fn read(path: &Path, limit: usize) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let limit = limit as u64 + 1;
    let read = if is_stream(path) {
        io::stdin().lock().take(limit).read_to_end(&mut bytes)
    } else {
        fs::File::open(path).and_then(|file| file.take(limit).read_to_end(&mut bytes))
    };
    read.map_err(|error| Failure::Unread(path.to_owned(), error))?;
    Ok(bytes)
}
