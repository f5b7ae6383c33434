//! What the tests of the command share: files in a folder of their own, and runs in it.

#![allow(dead_code, reason = "each test file takes what it needs")]

use std::fs;
use std::path::Path;
use std::process::Command;

use assert_cmd::cargo::cargo_bin;

/// A folder with these files in it, by name and text.
pub(crate) fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

/// The command, to be run in a folder.
pub(crate) fn cartella(folder: &Path, arguments: &str) -> Command {
    let mut command = Command::new(cargo_bin("cartella"));
    command.current_dir(folder).env("NO_COLOR", "1").args(arguments.split_whitespace());
    command
}

/// The exit status, the bytes of standard output, and standard error.
pub(crate) fn run_for_bytes(folder: &Path, arguments: &str) -> (i32, Vec<u8>, String) {
    let output = cartella(folder, arguments).output().unwrap();
    let err = String::from_utf8(output.stderr).unwrap();
    (output.status.code().unwrap(), output.stdout, err)
}

/// The exit status, standard output and standard error.
pub(crate) fn run(folder: &Path, arguments: &str) -> (i32, String, String) {
    let (status, out, err) = run_for_bytes(folder, arguments);
    (status, String::from_utf8(out).unwrap(), err)
}
