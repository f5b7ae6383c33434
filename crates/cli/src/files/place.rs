//! Where a path leads, and whether two lead to the same file.

use std::fs::{self, Metadata};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// So many links are followed, one after another.
const MOST_LINKS: usize = 40;

/// What stands where a path leads.
pub(super) enum Place {
    /// Nothing yet.
    New(PathBuf),
    /// A file.
    File(PathBuf, Metadata),
    /// A pipe, a device, a terminal: something that is written to, but never replaced.
    Stream,
    Folder,
}

impl Place {
    pub(super) fn of(path: &Path) -> io::Result<Place> {
        match fs::metadata(path) {
            Ok(found) if found.is_dir() => Ok(Place::Folder),
            // The names of open streams lead to what they were redirected to, be it a file.
            Ok(found) if !found.is_file() || in_system(path) => Ok(Place::Stream),
            Ok(found) => Ok(Place::File(target(path)?, found)),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(Place::New(target(path)?)),
            Err(error) => Err(error),
        }
    }
}

fn in_system(path: &Path) -> bool {
    path.starts_with("/dev") || path.starts_with("/proc")
}

/// A path and the example that is named after it, `F.parts#NAME`; a file whose own name has such a sign
/// is that file.
pub(crate) fn parted(typed: &Path) -> (PathBuf, Option<String>) {
    let parts =
        typed.to_str().filter(|_| !typed.is_file()).and_then(|typed| typed.rsplit_once('#'));
    match parts {
        Some((path, example)) if super::is_stream(Path::new(path)) || Path::new(path).exists() => {
            (PathBuf::from(path), Some(example.to_owned()))
        }
        _ => (typed.to_owned(), None),
    }
}

/// The folder that a path stands in.
pub(crate) fn folder(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Where a link leads in the end, also if nothing stands there yet.
fn target(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        if !path.is_symlink() {
            return Ok(path);
        }
        path = folder(&path).join(fs::read_link(&path)?);
    }
    Err(io::Error::other("it is a link that leads from link to link without an end"))
}

/// What tells a file from all others, whatever name it is called by.
#[derive(Clone, PartialEq, Eq, Hash)]
pub(super) enum Identity {
    /// The numbers of the device and of the file on it.
    #[cfg(unix)]
    Numbers(u64, u64),
    /// Of one that is not there yet, its path.
    Path(PathBuf),
}

impl Identity {
    pub(super) fn of(path: &Path) -> Identity {
        #[cfg(unix)]
        if let Ok(found) = fs::metadata(path) {
            use std::os::unix::fs::MetadataExt as _;
            return Identity::Numbers(found.dev(), found.ino());
        }
        let target = target(path).unwrap_or_else(|_| path.to_owned());
        let whole = fs::canonicalize(&target).or_else(|_| {
            let folder = fs::canonicalize(folder(&target))?;
            Ok::<_, io::Error>(folder.join(target.file_name().unwrap_or_default()))
        });
        Identity::Path(whole.unwrap_or(target))
    }
}

/// How many names a file has.
#[cfg(unix)]
pub(super) fn names(found: &Metadata) -> u64 {
    use std::os::unix::fs::MetadataExt as _;
    found.nlink()
}

#[cfg(not(unix))]
pub(super) fn names(_: &Metadata) -> u64 {
    1
}
