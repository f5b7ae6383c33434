//! The parts files below a folder.

use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use catalogue::natural_order;
use rayon::prelude::*;

use crate::files::{Failure, shown};

/// A parts file, and how its folder describes it.
pub(super) struct Listed {
    pub(super) path: PathBuf,
    /// Its path, legible, with `/` on every system.
    pub(super) name: String,
    pub(super) size: u64,
    /// When it was last changed: nanoseconds since 1970; nothing where the system does not know.
    pub(super) changed: Option<u64>,
}

impl Listed {
    fn new(path: PathBuf, found: &Metadata) -> Listed {
        let name = shown(&path).replace(std::path::MAIN_SEPARATOR, "/");
        Listed {
            path,
            name,
            size: found.len(),
            changed: found.modified().ok().and_then(nanoseconds),
        }
    }
}

/// Nanoseconds since 1970.
pub(super) fn nanoseconds(time: SystemTime) -> Option<u64> {
    u64::try_from(time.duration_since(UNIX_EPOCH).ok()?.as_nanos()).ok()
}

/// The parts files of a folder and of those within it, in the order in which people count; or the one
/// file that is named. Hidden folders and links to folders are passed over, so no circle is walked.
pub(super) fn parts_files(root: &Path) -> Result<Vec<Listed>, Failure> {
    let unread = |path: &Path| {
        let path = path.to_owned();
        move |error| Failure::Unread(path, error)
    };
    let found = fs::metadata(root).map_err(unread(root))?;
    if !found.is_dir() {
        return Ok(vec![Listed::new(root.to_owned(), &found)]);
    }
    let (mut folders, mut paths) = (vec![root.to_owned()], Vec::new());
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).map_err(unread(&folder))? {
            let entry = entry.map_err(unread(&folder))?;
            let path = entry.path();
            if entry.file_name().to_string_lossy().starts_with('.') {
                continue;
            }
            let kind = entry.file_type().map_err(unread(&path))?;
            let is_parts = path.extension().is_some_and(|ending| ending == "parts");
            if kind.is_dir() {
                folders.push(path);
            } else if is_parts && (kind.is_file() || path.is_file()) {
                paths.push(path);
            }
        }
    }
    let listed = paths.into_par_iter().map(|path| {
        let found = fs::metadata(&path).map_err(unread(&path))?;
        Ok(Listed::new(path, &found))
    });
    let mut listed = listed.collect::<Result<Vec<Listed>, Failure>>()?;
    listed.par_sort_by(|one, other| natural_order(&one.name, &other.name));
    Ok(listed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_come_as_people_count_them() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path();
        fs::create_dir(root.join("more")).unwrap();
        fs::create_dir(root.join(".hidden")).unwrap();
        for name in ["10.parts", "2.parts", "more/1.parts", ".hidden/3.parts", "notes.md"] {
            fs::write(root.join(name), "").unwrap();
        }
        let listed = parts_files(root).ok().unwrap();
        let names: Vec<&Path> =
            listed.iter().map(|file| file.path.strip_prefix(root).unwrap()).collect();
        assert_eq!(names, ["2.parts", "10.parts", "more/1.parts"].map(Path::new));
    }

    #[cfg(unix)]
    #[test]
    fn no_circle_is_walked() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path();
        fs::write(root.join("1.parts"), "").unwrap();
        std::os::unix::fs::symlink(root, root.join("again")).unwrap();
        assert_eq!(parts_files(root).ok().unwrap().len(), 1);
    }
}
