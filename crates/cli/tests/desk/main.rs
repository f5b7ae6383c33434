//! The desk over a real connection: what is refused, what is saved, what is told.

#[allow(dead_code)]
mod client;
mod refused;
mod saved;
mod shown;

use std::fs;
use std::path::Path;

use client::Running;
use tempfile::TempDir;

/// A duo without faults.
const DUO: &str = "title A duo\n\nvoice Cantus clef C1\n  sb A4 B lg A //\n\
                   voice Tenor clef C4\n  sb D3 G3 lg D3 //\n";

/// A folder with a duo in it, in a folder with a secret.
fn folder() -> TempDir {
    let outer = tempfile::tempdir().unwrap();
    fs::create_dir(outer.path().join("pieces")).unwrap();
    fs::write(outer.path().join("pieces/duo.parts"), DUO).unwrap();
    fs::write(outer.path().join("secret.parts"), "title secret\n").unwrap();
    outer
}

fn desk(outer: &TempDir) -> (Running, String) {
    let program = assert_cmd::cargo::cargo_bin!("cartella");
    let running = Running::start(Path::new(program), &outer.path().join("pieces"), 0);
    let token = running.token();
    (running, token)
}
