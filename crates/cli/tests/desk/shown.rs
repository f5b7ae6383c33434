//! What is told of texts, and what is made of them.

use std::fs;

use serde_json::{Value, json};

use crate::{DUO, desk, folder};

#[test]
fn a_text_is_shown_and_only_what_changed_is_sent() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    let base = window.open_and_type("duo.parts", DUO);
    let shown = window.next("shown");
    assert_eq!(shown["revision"], 0);
    assert!(shown["systems"][0]["svg"].as_str().unwrap().starts_with("<svg"));
    assert_eq!(shown["events"].as_array().unwrap().len(), 6);
    assert_eq!(
        (shown["voice"]["index"].as_u64(), shown["voice"]["line"].as_u64()),
        (Some(1), Some(1))
    );
    let have = [shown["systems"][0]["hash"].clone()];
    window.ask(&json!({
        "kind": "text", "path": "duo.parts", "revision": 0, "base": base, "text": DUO,
        "cursor": DUO.find("A4").unwrap(), "width": 180.0, "have": have,
    }));
    let again = window.next("shown");
    assert_eq!(
        (&again["systems"][0]["svg"], &again["systems"][0]["hash"]),
        (&Value::Null, &have[0])
    );
    // In the other voice, the line is told, and what is found there.
    window
        .ask(&json!({ "kind": "cursor", "path": "duo.parts", "cursor": DUO.find("D3").unwrap() }));
    assert_eq!(window.next("voice")["voice"], 1);
}

#[test]
fn slips_are_found_fixed_and_refused() {
    let outer = folder();
    let slip = "voice Cantus clef C1\n  sb A4 B C5 D lg D\nvoice Tenor clef C4\n  sb D3 mn E sb F D lg D3\n";
    fs::write(outer.path().join("pieces/slip.parts"), slip).unwrap();
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    window.open_and_type("slip.parts", slip);
    let mend = json!({ "kind": "mend", "path": "slip.parts", "revision": 0 });
    window.ask(&mend);
    let found = window.next("mended")["suggestions"].clone();
    let first = &found[0];
    assert_eq!(first["rank"], 1);
    window.ask(&json!({
        "kind": "fix", "path": "slip.parts", "revision": 0, "suggestion": 1, "manner": "emended",
    }));
    let fixed = window.next("fixed")["text"].as_str().unwrap().to_owned();
    assert!(fixed.contains(" | ") || fixed.contains('['), "{fixed}");
    assert_eq!(fs::read_to_string(outer.path().join("pieces/slip.parts")).unwrap(), slip);
    let name = if first["voice"] == 0 { "Cantus" } else { "Tenor" };
    let refused = json!([{
        "voice": name, "event": first["event"], "printed": first["printed"], "read": first["read"],
    }]);
    let answer =
        running.post("/api/refuse", &token, &json!({ "path": "slip.parts", "refused": refused }));
    assert_eq!(answer.status, 200);
    window.ask(&mend);
    let left = window.next("mended")["suggestions"].clone();
    assert_eq!(left.as_array().unwrap().len(), found.as_array().unwrap().len() - 1);
    assert_eq!(running.get("/api/piece?path=slip.parts", &token).json()["refused"], refused);
}

#[test]
fn why_a_note_lasts_so_is_told_when_it_is_asked_for() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    window.open_and_type("duo.parts", DUO);
    let shown = window.next("shown");
    let first = &shown["events"][0];
    window.ask(&json!({
        "kind": "why", "path": "duo.parts", "revision": 0, "voice": first[1], "start": first[2],
    }));
    let why = window.next("why")["why"].as_str().unwrap().to_owned();
    assert!(why.contains(" 1, ") && why.contains("lasts"), "{why}");
}

#[test]
fn a_key_is_answered_by_its_letter() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    window.open_and_type("duo.parts", DUO);
    let cursor = DUO.find(" lg A").unwrap();
    window.ask(
        &json!({ "kind": "key", "path": "duo.parts", "revision": 0, "cursor": cursor, "key": 72 }),
    );
    assert_eq!(window.next("keyed")["text"], "C");
}

#[test]
fn what_is_no_message_closes_the_socket() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let mut window = running.socket(&token).unwrap();
    window.ask(&json!({ "kind": "anything" }));
    assert!(window.told().is_none());
    assert!(running.socket(&token).is_some());
}

#[test]
fn a_passage_is_heard_alike_however_it_is_written() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let asked = json!({ "text": DUO, "example": null, "tempo": "mn=120" });
    let answer = running.post("/api/sound", &token, &asked);
    assert!(answer.head.contains("content-type: audio/wav"), "{}", answer.head);
    let out = outer.path().join("duo.wav");
    let mut command = std::process::Command::new(assert_cmd::cargo::cargo_bin!("cartella"));
    command.arg("score").arg(outer.path().join("pieces/duo.parts")).arg("-o").arg(&out);
    assert!(command.args(["--tempo", "mn=120"]).status().unwrap().success());
    assert_eq!(unchunked(&answer.body), fs::read(out).unwrap());
    // A bar of it, and a voice that is not there.
    let bar = json!({ "text": DUO, "example": null, "from": 4, "to": 8 });
    let times = running.post("/api/times", &token, &bar).json();
    assert_eq!(times["notes"].as_array().unwrap().len(), 2);
    let none = json!({ "text": DUO, "example": null, "only": ["Bassus"] });
    assert_eq!(running.post("/api/sound", &token, &none).status, 422);
}

/// A body that came in chunks (RFC 9112, 7.1).
fn unchunked(mut body: &[u8]) -> Vec<u8> {
    let mut whole = Vec::new();
    while let Some(end) = body.windows(2).position(|two| two == b"\r\n") {
        let size = std::str::from_utf8(&body[..end]).unwrap();
        let size = usize::from_str_radix(size, 16).unwrap();
        whole.extend(&body[end + 2..end + 2 + size]);
        body = &body[end + 4 + size..];
    }
    whole
}

#[test]
fn pieces_are_begun_listed_and_brought_in() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let begun = json!({ "path": "trio", "voices": 3 });
    assert_eq!(running.post("/api/new", &token, &begun).json()["path"], "trio.parts");
    assert_eq!(running.post("/api/new", &token, &begun).status, 409);
    let clefs = json!({ "path": "other", "voices": 2, "clefs": ["C1", "X9"] });
    assert_eq!(running.post("/api/new", &token, &clefs).status, 422);
    let mei = "<mei xmlns=\"http://www.music-encoding.org/ns/mei\"><music><body><mdiv><score>\
        <scoreDef><staffGrp><staffDef n=\"1\" lines=\"5\" notationtype=\"mensural.white\" clef.shape=\"C\" \
        clef.line=\"1\" mensur.tempus=\"2\"/></staffGrp></scoreDef><section><staff n=\"1\"><layer n=\"1\">\
        <note pname=\"a\" oct=\"4\" dur=\"longa\"/></layer></staff></section></score></mdiv></body></music></mei>";
    let file = json!({ "name": "Cantus.mei", "base64": base64(mei.as_bytes()) });
    let brought = running.post("/api/bring", &token, &json!({ "files": [file] })).json();
    assert_eq!(brought["path"], "cantus.parts");
    let png = b"\x89PNG\r\n\x1a\n".as_slice();
    let picture = json!({ "name": "page 1.png", "base64": base64(png) });
    let laid = json!({ "files": [picture], "beside": "duo.parts" });
    assert_eq!(running.post("/api/bring", &token, &laid).json()["pictures"], json!(["page-1.png"]));
    assert_eq!(
        running.get("/api/picture?path=page-1.png", &token).status,
        422,
        "a damaged picture"
    );
    let listed = running.get("/api/pieces", &token).json()["pieces"].clone();
    let names: Vec<&str> =
        listed.as_array().unwrap().iter().filter_map(|one| one["path"].as_str()).collect();
    assert_eq!(names, ["cantus.parts", "duo.parts", "trio.parts"]);
    assert_eq!((&listed[1]["title"], &listed[1]["errors"]), (&json!("A duo"), &json!(0)));
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let three = |chunk: &[u8]| {
        let bits = chunk.iter().fold(0_u32, |bits, byte| bits << 8 | u32::from(*byte));
        let bits = bits << (8 * (3 - chunk.len()));
        let digit = |place: usize| {
            let known = place <= chunk.len();
            if known { DIGITS[(bits >> (18 - 6 * place) & 63) as usize] as char } else { '=' }
        };
        (0..4).map(digit).collect::<String>()
    };
    bytes.chunks(3).map(three).collect()
}

#[test]
fn a_study_and_sheets_of_paper_are_made() {
    let outer = folder();
    let (running, token) = desk(&outer);
    let typed = json!({ "text": DUO, "example": null, "width": 180.0 });
    let study = running.post("/api/study", &token, &typed).json();
    assert_eq!(study["title"], "A duo");
    assert_eq!(study["parts"][0]["heading"], "Subjects");
    assert!(study["drawn"][0].as_str().unwrap().starts_with("<svg"));
    assert!(study["systems"][0]["svg"].as_str().unwrap().contains("data-voice=\"Cantus\""));
    for what in ["score", "proof", "study"] {
        let asked = json!({ "text": DUO, "example": null, "what": what, "paper": "letter" });
        let printed = running.post("/api/print", &token, &asked);
        assert!(printed.body.starts_with(b"%PDF-"), "{what}");
    }
    let empty = json!({ "text": "title None\n", "example": null, "what": "score", "paper": "a4" });
    assert_eq!(running.post("/api/print", &token, &empty).status, 422);
}
