//! Files while they are written: beside their place, under a name of their own. A run that was
//! killed leaves such a file behind, and the next one removes it.

use std::collections::HashSet;
use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use tempfile::{Builder, NamedTempFile};

const PREFIX: &str = ".cartella-";
const SUFFIX: &str = ".unfinished";
/// So many letters and digits stand between them, taken at random.
const RANDOM: usize = 12;

/// Folders that were looked through in this run.
static TIDIED: Mutex<Option<HashSet<PathBuf>>> = Mutex::new(None);

/// A new unfinished file in a folder: for its owner alone if it is private, else for whoever the
/// umask lets read it. It is locked as long as it is worked on, and removed if it is dropped.
pub(super) fn begin(folder: &Path, private: bool) -> io::Result<NamedTempFile> {
    remove_leftovers_once(folder);
    loop {
        let mut builder = Builder::new();
        builder.prefix(PREFIX).suffix(SUFFIX).rand_bytes(RANDOM);
        if !private {
            open_to_others(&mut builder);
        }
        let file = builder.tempfile_in(folder)?;
        // Where files cannot be locked, none is taken for a leftover.
        let locked = file.as_file().lock().is_ok();
        // Another run may have taken it for a leftover before it was locked.
        if !locked || file.path().exists() {
            return Ok(file);
        }
    }
}

#[cfg(unix)]
fn open_to_others(builder: &mut Builder<'_, '_>) {
    use std::os::unix::fs::PermissionsExt as _;
    builder.permissions(fs::Permissions::from_mode(0o666));
}

#[cfg(not(unix))]
fn open_to_others(_: &mut Builder<'_, '_>) {}

/// Removes what killed runs left in a folder, when something is first written there.
fn remove_leftovers_once(folder: &Path) {
    let mut tidied = TIDIED.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    if tidied.get_or_insert_default().insert(folder.to_owned()) {
        remove_leftovers(folder);
    }
}

/// What cannot be looked at or removed stays; that is no reason not to write.
fn remove_leftovers(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let is_ours = entry.file_name().to_str().is_some_and(is_unfinished);
        if is_ours && entry.file_type().is_ok_and(|kind| kind.is_file()) {
            let path = entry.path();
            // The lock of a run that is gone is gone with it.
            let unlocked = OpenOptions::new().write(true).open(&path).ok().filter(is_left);
            if unlocked.is_some() {
                let _ = fs::remove_file(&path);
            }
        }
    }
}

fn is_left(file: &File) -> bool {
    file.try_lock().is_ok()
}

fn is_unfinished(name: &str) -> bool {
    let random = name.strip_prefix(PREFIX).and_then(|rest| rest.strip_suffix(SUFFIX));
    random.is_some_and(|random| {
        random.len() == RANDOM && random.bytes().all(|byte| byte.is_ascii_alphanumeric())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_leftovers_are_removed() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        let (left, other) = (".cartella-0aZ3bY6cX9dW.unfinished", ".cartella-mine.unfinished");
        for name in [left, other, "duo.parts"] {
            fs::write(path(name), "half").unwrap();
        }
        let at_work = begin(folder.path(), true).unwrap();
        assert!(is_unfinished(at_work.path().file_name().unwrap().to_str().unwrap()));
        remove_leftovers(folder.path());
        assert!(!path(left).exists());
        assert!(path(other).exists() && path("duo.parts").exists() && at_work.path().exists());
    }
}
