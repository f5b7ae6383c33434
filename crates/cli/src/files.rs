//! Files and standard streams: read whole, written whole or not at all.

use std::fmt;
use std::fs;
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

/// Why a run came to nothing.
pub(crate) enum Failure {
    /// A file could not be read.
    Unread(PathBuf, io::Error),
    /// A file could not be written.
    Unwritten(PathBuf, io::Error),
    /// A file that is not to be lost is there already.
    There(PathBuf),
    /// Nobody reads the output any more.
    Closed,
    /// Anything else, in a sentence.
    Said(String),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Unread(path, error) => write!(f, "cannot read {}: {error}", path.display()),
            Failure::Unwritten(path, error) => {
                write!(f, "cannot write {}: {error}", path.display())
            }
            Failure::There(path) => {
                write!(f, "{} is there already; --replace writes over it", path.display())
            }
            Failure::Closed => f.write_str("nobody reads the output"),
            Failure::Said(said) => f.write_str(said),
        }
    }
}

/// Whether a path stands for a standard stream.
pub(crate) fn is_stream(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// The name of a path in messages.
pub(crate) fn shown(path: &Path) -> String {
    if is_stream(path) { "standard input".to_owned() } else { path.display().to_string() }
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

/// Writes a file beside its place and then puts it there, so that nobody ever sees half of it.
/// The permissions of a file that is replaced stay.
pub(crate) fn write(path: &Path, text: &[u8]) -> Result<(), Failure> {
    if is_stream(path) {
        return print(text);
    }
    let failed = |error| Failure::Unwritten(path.to_owned(), error);
    // A link is written through, not replaced.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    let mut file =
        tempfile::Builder::new().prefix(".cartella-").tempfile_in(folder).map_err(failed)?;
    file.write_all(text).map_err(failed)?;
    let permissions = fs::metadata(&target).map(|metadata| metadata.permissions());
    match permissions {
        Ok(permissions) => fs::set_permissions(file.path(), permissions).map_err(failed)?,
        Err(_) => readable(file.as_file()).map_err(failed)?,
    }
    file.persist(&target).map_err(|error| failed(error.error))?;
    Ok(())
}

/// A temporary file is made for its owner alone; a score is for whoever may read the folder.
#[cfg(unix)]
fn readable(file: &fs::File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable(_: &fs::File) -> io::Result<()> {
    Ok(())
}

/// Writes a file that must not be there yet, unless it may be replaced.
pub(crate) fn write_new(path: &Path, text: &[u8], replace: bool) -> Result<(), Failure> {
    if !replace && !is_stream(path) && path.exists() {
        return Err(Failure::There(path.to_owned()));
    }
    write(path, text)
}

/// Prints to standard output.
pub(crate) fn print(text: &[u8]) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text).and_then(|()| out.flush()).map_err(|error| match error.kind() {
        io::ErrorKind::BrokenPipe => Failure::Closed,
        _ => Failure::Unwritten(PathBuf::from("standard output"), error),
    })
}
