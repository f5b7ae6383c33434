//! The folder of the desk: nothing outside it is read or written.

use std::fs;
use std::path::{Component, Path, PathBuf};

use axum::http::StatusCode;

use super::refusal::Refusal;
use crate::files;

/// Folders within folders are looked into so deep.
const DEEPEST: usize = 8;

/// So many files are listed at most.
const MOST_FILES: usize = 5000;

/// The ending of parts files.
pub(super) const ENDING: &str = "parts";

/// A folder, by its canonical path.
pub(super) struct Folder {
    root: PathBuf,
}

impl Folder {
    pub(super) fn new(path: &Path) -> std::io::Result<Folder> {
        let root = fs::canonicalize(path)?;
        if root.is_dir() {
            Ok(Folder { root })
        } else {
            Err(std::io::ErrorKind::NotADirectory.into())
        }
    }

    /// Its name for people.
    pub(super) fn shown(&self) -> String {
        files::shown(&self.root)
    }

    /// The file of a path that a page names; it is there, and no link leads out of the folder.
    pub(super) fn file(&self, path: &str) -> Result<PathBuf, Refusal> {
        let named = self.root.join(relative(path)?);
        let found = fs::canonicalize(&named)
            .map_err(|_| Refusal::new(StatusCode::NOT_FOUND, format!("there is no {path}")))?;
        self.within(found, path)
    }

    /// The place of a file that is to be written: its folder is there, and inside.
    pub(super) fn place(&self, path: &str) -> Result<PathBuf, Refusal> {
        let relative = relative(path)?;
        let (Some(folder), Some(name)) = (relative.parent(), relative.file_name()) else {
            return Err(outside(path));
        };
        let folder = fs::canonicalize(self.root.join(folder)).map_err(|_| {
            Refusal::new(StatusCode::NOT_FOUND, format!("there is no folder for {path}"))
        })?;
        let folder = self.within(folder, path)?;
        let place = folder.join(name);
        // What is a link already may lead anywhere.
        if place.is_symlink() { self.file(path) } else { Ok(place) }
    }

    fn within(&self, found: PathBuf, path: &str) -> Result<PathBuf, Refusal> {
        if found.starts_with(&self.root) { Ok(found) } else { Err(outside(path)) }
    }

    /// A file as pages name it: from the folder, parted by slashes.
    pub(super) fn named(&self, file: &Path) -> Option<String> {
        let relative = file.strip_prefix(&self.root).ok()?;
        let parts: Option<Vec<&str>> = relative.iter().map(|part| part.to_str()).collect();
        parts.map(|parts| parts.join("/"))
    }

    /// All files whose names end in one of these, in order; hidden folders and links are left out.
    pub(super) fn files(&self, endings: &[&str]) -> Vec<PathBuf> {
        let mut found = Vec::new();
        let mut left = vec![(self.root.clone(), 0)];
        while let Some((folder, depth)) = left.pop() {
            for entry in fs::read_dir(&folder).into_iter().flatten().flatten() {
                let (path, Ok(kind)) = (entry.path(), entry.file_type()) else { continue };
                let hidden = entry.file_name().to_string_lossy().starts_with('.');
                if kind.is_dir() && !hidden && depth < DEEPEST {
                    left.push((path, depth + 1));
                } else if kind.is_file() && !hidden && has_ending(&path, endings) {
                    found.push(path);
                }
            }
            if found.len() > MOST_FILES {
                break;
            }
        }
        found.sort();
        found.truncate(MOST_FILES);
        found
    }
}

/// Whether a file is of a kind, by its ending.
pub(super) fn has_ending(path: &Path, endings: &[&str]) -> bool {
    let ending = path.extension().and_then(|ending| ending.to_str());
    ending.is_some_and(|ending| endings.iter().any(|one| one.eq_ignore_ascii_case(ending)))
}

/// Nothing but parts files is written.
pub(super) fn must_be_parts(file: &Path) -> Result<(), Refusal> {
    if has_ending(file, &[ENDING]) {
        return Ok(());
    }
    Err(Refusal::forbidden(format!("{} is no parts file", files::shown(file))))
}

/// A path of plain names only.
fn relative(path: &str) -> Result<&Path, Refusal> {
    let plain = |part: &str| !part.is_empty() && !part.contains(['\\', ':', '\0']);
    let relative = Path::new(path);
    let is_plain = path.split('/').all(plain)
        && relative.components().all(|part| matches!(part, Component::Normal(_)));
    if is_plain { Ok(relative) } else { Err(outside(path)) }
}

fn outside(path: &str) -> Refusal {
    Refusal::forbidden(format!("{path} is not inside the folder of this desk"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_outside_is_refused() {
        let outer = tempfile::tempdir().unwrap();
        let root = outer.path().join("pieces");
        fs::create_dir_all(root.join("inner")).unwrap();
        fs::write(root.join("inner/duo.parts"), "").unwrap();
        fs::write(outer.path().join("secret.parts"), "").unwrap();
        let folder = Folder::new(&root).unwrap();
        assert!(folder.file("inner/duo.parts").is_ok());
        assert!(folder.place("inner/new.parts").is_ok());
        let escapes = [
            "../secret.parts",
            "inner/../../secret.parts",
            "/etc/passwd",
            "",
            ".",
            "inner//x",
            "./inner/duo.parts",
            "C:x",
            "..\\secret.parts",
            "inner/",
        ];
        for path in escapes {
            assert!(folder.file(path).is_err(), "{path}");
            assert!(folder.place(path).is_err(), "{path}");
        }
        #[cfg(unix)]
        {
            use std::os::unix::fs::symlink;
            symlink(outer.path().join("secret.parts"), root.join("link.parts")).unwrap();
            symlink(outer.path(), root.join("out")).unwrap();
            for path in ["link.parts", "out/secret.parts"] {
                assert!(folder.file(path).is_err(), "{path}");
                assert!(folder.place(path).is_err(), "{path}");
            }
            let listed = folder.files(&["parts"]);
            let names: Vec<_> = listed.iter().filter_map(|file| folder.named(file)).collect();
            assert_eq!(names, ["inner/duo.parts"]);
        }
    }
}
