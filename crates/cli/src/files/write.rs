//! Writing: a file is written beside its place and then put there, so that nobody ever sees half of
//! it; its owner, its mode and the links to it stay.

use std::ffi::OsString;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, Cursor, ErrorKind, Read as _, Seek, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::place::{Place, folder, names};
use super::{Failure, Inputs, is_standard_output, is_stream, unfinished};
use crate::streams;

/// What may stand in the place of a file that is written.
#[derive(Clone, Copy)]
enum Before<'b> {
    Anything,
    Nothing,
    /// These bytes alone.
    Bytes(&'b [u8]),
}

/// Writes an output, which is none of the files that are read.
pub(crate) fn write(path: &Path, bytes: &[u8], inputs: &Inputs) -> Result<(), Failure> {
    write_new(path, bytes, true, inputs)
}

/// Where a file that is made piece by piece is written.
pub(crate) trait WriteAnywhere: Write + Seek {}

impl<W: Write + Seek> WriteAnywhere for W {}

/// Makes a file.
type Make<'m> = &'m dyn Fn(&mut dyn WriteAnywhere) -> io::Result<()>;

/// Writes an output that is made piece by piece, and is never whole in memory unless it goes to a stream.
pub(crate) fn write_made(path: &Path, inputs: &Inputs, make: Make<'_>) -> Result<(), Failure> {
    if is_standard_output(path) {
        let mut bytes = Cursor::new(Vec::new());
        make(&mut bytes).map_err(|error| Failure::Unwritten(path.to_owned(), error))?;
        return streams::output(bytes.get_ref());
    }
    inputs.refuse(path)?;
    put(path, make, Before::Anything)
}

/// The same, of a file that must not be there yet unless it may be replaced.
pub(crate) fn write_new(
    path: &Path,
    bytes: &[u8],
    replace: bool,
    inputs: &Inputs,
) -> Result<(), Failure> {
    if is_standard_output(path) {
        return streams::output(bytes);
    }
    inputs.refuse(path)?;
    let before = if replace { Before::Anything } else { Before::Nothing };
    put(path, &|file| file.write_all(bytes), before)
}

/// Refuses a file to be written that is one of those that are read, or that is there already, unless it may
/// be replaced: before work that takes a while.
pub(crate) fn check_place(path: &Path, replace: bool, inputs: &Inputs) -> Result<(), Failure> {
    inputs.refuse(path)?;
    if path.is_file() && !replace { Err(Failure::There(path.to_owned())) } else { Ok(()) }
}

/// Writes a file anew that was read, unless somebody else has changed it since; what came from
/// standard input goes to standard output.
pub(crate) fn replace(path: &Path, before: &[u8], after: &[u8]) -> Result<(), Failure> {
    if is_stream(path) {
        return streams::output(after);
    }
    put(path, &|file| file.write_all(after), Before::Bytes(before))
}

/// Writes a file anew that held something, and says whether it did: where somebody else has changed it, it
/// stays, and nothing is written.
pub(crate) fn replace_unless_changed(
    path: &Path,
    before: &[u8],
    after: &[u8],
) -> Result<bool, Failure> {
    let unread = |error| Failure::Unread(path.to_owned(), error);
    if !holds(path, before).map_err(unread)? {
        return Ok(false);
    }
    match replace(path, before, after) {
        // It was changed in this very moment.
        Err(Failure::Changed(_, aside)) => {
            fs::remove_file(&aside).map_err(|error| Failure::Unwritten(aside, error))?;
            Ok(false)
        }
        replaced => replaced.map(|()| true),
    }
}

fn put(path: &Path, make: Make<'_>, before: Before<'_>) -> Result<(), Failure> {
    let failed = |error| Failure::Unwritten(path.to_owned(), error);
    let refused = |why: &str| Failure::Refused(path.to_owned(), why.to_owned());
    match (Place::of(path).map_err(failed)?, before) {
        (Place::Folder, _) => Err(refused("it is a folder")),
        (Place::Stream, Before::Bytes(_)) => {
            Err(refused("it is a pipe or a device, in which nothing can be changed in place"))
        }
        (Place::Stream, _) => {
            let mut bytes = Cursor::new(Vec::new());
            make(&mut bytes).map_err(failed)?;
            // What stands there already is written on, never over.
            let stream = OpenOptions::new().append(true).open(path);
            stream.and_then(|mut stream| stream.write_all(bytes.get_ref())).map_err(failed)
        }
        (Place::New(_), Before::Bytes(_)) => Err(refused("it is not there any more")),
        (Place::New(target), _) => {
            let unplaced = finished(&target, None, make).map_err(failed)?;
            let placed = match before {
                Before::Nothing => unplaced.persist_noclobber(&target),
                _ => unplaced.persist(&target),
            };
            match placed {
                Ok(_) => sync_folder(folder(&target)).map_err(failed),
                Err(error) if error.error.kind() == ErrorKind::AlreadyExists => {
                    Err(Failure::There(path.to_owned()))
                }
                Err(error) => Err(failed(error.error)),
            }
        }
        (Place::File(..), Before::Nothing) => Err(Failure::There(path.to_owned())),
        (Place::File(target, found), _) => {
            if found.permissions().readonly() {
                return Err(refused("it is read-only"));
            }
            if names(&found) > 1 {
                return Err(refused(
                    "it has another name too (a hard link), which would keep what is there now: copy \
                     it under a name of its own first",
                ));
            }
            // A file that this user may not write is not replaced either.
            OpenOptions::new().write(true).open(&target).map_err(failed)?;
            let unplaced = finished(&target, Some(&found), make).map_err(failed)?;
            if let Before::Bytes(before) = before
                && !holds(&target, before).map_err(failed)?
            {
                let other = put_aside(unplaced, &target).map_err(failed)?;
                return Err(Failure::Changed(path.to_owned(), other));
            }
            unplaced.persist(&target).map_err(|error| failed(error.error))?;
            sync_folder(folder(&target)).map_err(failed)
        }
    }
}

/// What is made, in a file beside its place, safe on the disk, with the owner and the mode of the file
/// that it will replace.
fn finished(target: &Path, found: Option<&Metadata>, make: Make<'_>) -> io::Result<NamedTempFile> {
    let folder = folder(target);
    let there = fs::metadata(folder).is_ok_and(|found| found.is_dir());
    if !there {
        let folder = super::shown(folder);
        return Err(io::Error::new(ErrorKind::NotFound, format!("there is no folder {folder}")));
    }
    if is_read_only(folder) {
        let folder = super::shown(folder);
        let why = format!("the folder {folder} is read-only");
        return Err(io::Error::new(ErrorKind::PermissionDenied, why));
    }
    let mut unplaced = unfinished::begin(folder, found.is_some())?;
    let file = unplaced.as_file_mut();
    make(file)?;
    if let Some(found) = found {
        keep_owner(file, found)?;
        file.set_permissions(found.permissions())?;
    }
    file.sync_all()?;
    Ok(unplaced)
}

/// Whether a folder is marked as one in which nothing changes; the mark binds every user.
#[cfg(unix)]
fn is_read_only(folder: &Path) -> bool {
    fs::metadata(folder).is_ok_and(|found| found.permissions().readonly())
}

/// Elsewhere the mark of a folder says nothing of what is in it.
#[cfg(not(unix))]
fn is_read_only(_: &Path) -> bool {
    false
}

#[cfg(unix)]
fn keep_owner(file: &File, found: &Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt as _, fchown};
    let now = file.metadata()?;
    if (now.uid(), now.gid()) == (found.uid(), found.gid()) {
        return Ok(());
    }
    fchown(file, Some(found.uid()), Some(found.gid())).map_err(|error| {
        let why = "it belongs to another user or group, and would be yours after this: copy it under another name first";
        io::Error::new(error.kind(), why)
    })
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &Metadata) -> io::Result<()> {
    Ok(())
}

/// Whether a file holds these bytes and no others.
fn holds(path: &Path, bytes: &[u8]) -> io::Result<bool> {
    let mut now = Vec::with_capacity(bytes.len() + 1);
    File::open(path)?.take(bytes.len() as u64 + 1).read_to_end(&mut now)?;
    Ok(now == bytes)
}

/// Puts a finished file beside the one that it was to replace: `duo.parts.new`, or `.new2` where
/// that is taken.
fn put_aside(mut unplaced: NamedTempFile, target: &Path) -> io::Result<PathBuf> {
    for number in 1_u32.. {
        let mut name = OsString::from(target);
        name.push(".new");
        if number > 1 {
            name.push(number.to_string());
        }
        match unplaced.persist_noclobber(&name) {
            Ok(_) => return Ok(name.into()),
            Err(taken) if taken.error.kind() == ErrorKind::AlreadyExists => unplaced = taken.file,
            Err(failed) => return Err(failed.error),
        }
    }
    Err(ErrorKind::AlreadyExists.into())
}

/// Makes a new name in a folder safe on the disk.
#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    match File::open(folder).and_then(|folder| folder.sync_all()) {
        // A folder that may be written in but not read, or that lies where folders are not synced.
        Err(error)
            if matches!(
                error.kind(),
                ErrorKind::PermissionDenied | ErrorKind::InvalidInput | ErrorKind::Unsupported
            ) =>
        {
            Ok(())
        }
        synced => synced,
    }
}

/// Elsewhere folders cannot be opened.
#[cfg(not(unix))]
fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}
