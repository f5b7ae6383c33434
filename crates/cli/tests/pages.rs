//! Every command of the pages about the catalogue and about practice sheets is run.

use std::fs;
use std::path::Path;
use std::process::Command;

use assert_cmd::cargo::cargo_bin;

/// Runs the commands of a page in a folder that has the demo book.
fn run_all(page: &str, least: usize) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let page = fs::read_to_string(root.join("docs").join(page)).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book");
    fs::create_dir(&book).unwrap();
    for entry in fs::read_dir(root.join("fixtures/book")).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, book.join(path.file_name().unwrap())).unwrap();
    }
    let bin = cargo_bin("cartella").parent().unwrap().display().to_string();
    let lines: Vec<&str> = page.lines().filter(|line| line.starts_with("cartella ")).collect();
    assert!(lines.len() >= least, "{lines:?}");
    for line in lines {
        let output = Command::new("bash")
            .args(["-euc", line])
            .current_dir(folder.path())
            .env("PATH", format!("{bin}:{}", std::env::var("PATH").unwrap()))
            .env("XDG_CACHE_HOME", folder.path().join("cache"))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{line}: {said}");
    }
}

#[test]
fn the_commands_of_the_catalogue() {
    run_all("catalogue.md", 5);
}

#[test]
fn the_commands_of_practice_sheets() {
    run_all("practice.md", 5);
}
