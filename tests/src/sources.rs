//! The sources of the program itself.

use std::fs;
use std::path::{Path, PathBuf};

/// The folder of the workspace.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The sources below a folder that are no tests: `name/tests.rs`, `name/tests/…` and `testing.rs` are.
///
/// # Panics
/// If the folder cannot be read.
pub fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap_or_default();
        if name == "tests" || name == "testing" {
        } else if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found
}

/// The code of a source without its comments, and without what is compiled for tests alone, which
/// stands at its end.
pub fn code(source: &str) -> String {
    let before_tests = source.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    let lines = before_tests.lines().map(|line| line.split("//").next().unwrap_or_default());
    lines.collect::<Vec<_>>().join("\n")
}
