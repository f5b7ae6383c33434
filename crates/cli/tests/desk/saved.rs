//! What is typed goes to the file, and nothing that others have written is lost.

use std::fs;
use std::time::{Duration, Instant};

use serde_json::json;

use crate::client::Running;
use crate::{DUO, desk, folder};

#[test]
fn a_text_is_saved_soon() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    let opened = window.open("duo.parts", "one");
    assert_eq!(opened["text"], DUO);
    let base = opened["hash"].as_str().unwrap();
    let begun = Instant::now();
    // One types faster than the pause, for longer than the two seconds.
    let mut text = DUO.to_owned();
    let mut revision = 0;
    while begun.elapsed() < Duration::from_millis(2500) {
        revision += 1;
        text.push_str(&format!("; {revision}\n"));
        window.text("duo.parts", revision, base, &text);
        std::thread::sleep(Duration::from_millis(50));
    }
    let saved = window.next("saved");
    assert!(
        saved["revision"].as_u64().unwrap() < revision,
        "it is not waited for a pause for ever"
    );
    assert_ne!(saved["hash"], opened["hash"]);
    while window.next("saved")["revision"] != revision {}
    let file = outer.path().join("pieces/duo.parts");
    assert_eq!(fs::read_to_string(&file).unwrap(), text);
    let left: Vec<_> = fs::read_dir(outer.path().join("pieces")).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

#[test]
fn what_another_program_wrote_stays() {
    let outer = folder();
    let file = outer.path().join("pieces/duo.parts");
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    let base = window.open("duo.parts", "one")["hash"].as_str().unwrap().to_owned();
    fs::write(&file, "title Of another program\n").unwrap();
    window.text("duo.parts", 1, &base, &format!("{DUO}; mine\n"));
    let changed = window.next("changed_on_disk");
    assert_eq!(changed["text"], "title Of another program\n");
    assert_eq!(fs::read_to_string(&file).unwrap(), "title Of another program\n");
    assert_eq!(fs::read_dir(outer.path().join("pieces")).unwrap().count(), 1);
    // A text that still grows from the old file is told the same, and is not written.
    window.text("duo.parts", 2, &base, &format!("{DUO}; mine again\n"));
    assert_eq!(window.next("changed_on_disk")["hash"], changed["hash"]);
    // Merged, it grows from what the file holds now.
    let merged = "title Of another program\n; mine\n";
    window.text("duo.parts", 3, changed["hash"].as_str().unwrap(), merged);
    assert_eq!(window.next("saved")["revision"], 3);
    assert_eq!(fs::read_to_string(&file).unwrap(), merged);
}

#[test]
fn a_change_on_disk_is_noticed_while_nobody_types() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    window.open("duo.parts", "one");
    fs::write(outer.path().join("pieces/duo.parts"), "title New\n").unwrap();
    assert_eq!(window.next("changed_on_disk")["text"], "title New\n");
}

#[test]
fn one_window_types_and_the_others_follow() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let mut one = running.socket(&token).unwrap();
    let base = one.open("duo.parts", "one")["hash"].as_str().unwrap().to_owned();
    let mut two = running.socket(&token).unwrap();
    two.open("duo.parts", "two");
    let text = format!("{DUO}; of one\n");
    one.text("duo.parts", 1, &base, &text);
    assert_eq!(two.next("typing")["window"], "one");
    let peer = two.next("peer");
    assert_eq!((peer["text"].as_str(), peer["revision"].as_u64()), (Some(text.as_str()), Some(1)));
    // The other may not type, until it asks; then what the first typed is saved before.
    two.text("duo.parts", 2, &base, "title Lost\n");
    assert_eq!(two.next("typing")["window"], "one");
    two.ask(&json!({ "kind": "type_here", "path": "duo.parts", "window": "two" }));
    let saved = two.next("saved")["hash"].as_str().unwrap().to_owned();
    assert_eq!(two.next("typing")["window"], "two");
    let file = outer.path().join("pieces/duo.parts");
    assert_eq!(fs::read_to_string(&file).unwrap(), text);
    // What it types upon the older file would undo what the first has typed.
    two.text("duo.parts", 2, &base, "title Lost\n");
    assert_eq!(two.next("changed_on_disk")["text"], text);
    two.text("duo.parts", 3, &saved, "title Two\n");
    assert_eq!(two.next("saved")["revision"], 3);
    assert_eq!(fs::read_to_string(&file).unwrap(), "title Two\n");
}

#[test]
fn what_cannot_be_written_is_said_and_tried_again() {
    let outer = folder();
    let file = outer.path().join("pieces/duo.parts");
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    let base = window.open("duo.parts", "one")["hash"].as_str().unwrap().to_owned();
    let mut mode = fs::metadata(&file).unwrap().permissions();
    mode.set_readonly(true);
    fs::set_permissions(&file, mode.clone()).unwrap();
    let text = format!("{DUO}; kept\n");
    window.text("duo.parts", 1, &base, &text);
    let said = window.next("not_saved");
    assert!(said["message"].as_str().unwrap().contains("read-only"), "{said}");
    assert_eq!(fs::read_to_string(&file).unwrap(), DUO);
    #[allow(clippy::permissions_set_readonly_false)]
    mode.set_readonly(false);
    fs::set_permissions(&file, mode).unwrap();
    assert_eq!(window.next("saved")["revision"], 1);
    assert_eq!(fs::read_to_string(&file).unwrap(), text);
}

#[cfg(unix)]
#[test]
fn what_a_full_disk_does_not_take_stays_and_is_tried_again() {
    let outer = folder();
    let file = outer.path().join("pieces/duo.parts");
    let program = assert_cmd::cargo::cargo_bin!("cartella");
    let running = Running::start_within(8, program, &outer.path().join("pieces"));
    let token = running.token();
    let mut window = running.socket(&token).unwrap();
    let base = window.open("duo.parts", "one")["hash"].as_str().unwrap().to_owned();
    let long = format!("{DUO}; {}\n", "kept ".repeat(4000));
    window.text("duo.parts", 1, &base, &long);
    let said = window.next("not_saved");
    assert_eq!(said["revision"], 1, "{said}");
    assert!(!said["message"].as_str().unwrap().is_empty());
    let left = || fs::read_dir(outer.path().join("pieces")).unwrap().count();
    assert_eq!((fs::read_to_string(&file).unwrap().as_str(), left()), (DUO, 1));
    // Another window sees what was typed, not what was saved.
    let mut two = running.socket(&token).unwrap();
    assert_eq!(two.open("duo.parts", "two")["text"], long.as_str());
    let short = format!("{DUO}; kept\n");
    window.text("duo.parts", 2, &base, &short);
    assert_eq!(window.next("saved")["revision"], 2);
    assert_eq!((fs::read_to_string(&file).unwrap(), left()), (short, 1));
}

#[test]
fn a_text_is_put_only_upon_what_it_grew_from() {
    let outer = folder();
    let file = outer.path().join("pieces/duo.parts");
    let (running, token) = desk(&outer);
    let hash = running.get("/api/piece?path=duo.parts", &token).json()["hash"].clone();
    let put = |text: &str, base: &serde_json::Value| {
        let body = json!({ "path": "duo.parts", "text": text, "base": base }).to_string();
        running.send("PUT", "/api/piece", &token, &body)
    };
    let saved = put("title One\n", &hash);
    assert_eq!(saved.status, 200);
    let other = put("title Two\n", &hash);
    assert_eq!((other.status, other.json()["text"].as_str()), (409, Some("title One\n")));
    assert_eq!(put("title Two\n", &saved.json()["hash"]).status, 200);
    assert_eq!(fs::read_to_string(&file).unwrap(), "title Two\n");
}

#[test]
fn the_end_of_the_program_saves_first() {
    let outer = folder();
    let (mut running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    let base = window.open("duo.parts", "one")["hash"].as_str().unwrap().to_owned();
    window.text("duo.parts", 1, &base, "title Last\n");
    window.next("shown");
    running.end();
    let file = outer.path().join("pieces/duo.parts");
    assert_eq!(fs::read_to_string(file).unwrap(), "title Last\n");
}
