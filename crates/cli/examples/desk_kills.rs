//! Types at a desk that is killed again and again, and says whether a keystroke is lost.
//!
//! `cargo run -p cartella-cli --example desk_kills -- target/debug/cartella [KILLS [drop]]`
//!
//! With `drop`, one keystroke is lost on purpose, and it must be found missing.
//!
//! The client keeps what it typed until it is told that it is saved, as the page does in the store of the
//! browser, with the texts that it sent: so it knows a file again that holds one of them.

#[path = "../tests/desk/client.rs"]
#[allow(dead_code)]
mod client;

use std::fs;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, Instant};

use client::Running;
use serde_json::{Value, json};

const PIECE: &str = "piece.parts";
const KEYS: &[u8] = b"sb D4 E mn F G A\n";

/// What the page keeps: what is typed, what it grew from, and all texts that were sent since.
struct Page {
    /// What the fingers did.
    keys: String,
    /// The keystroke that is lost on purpose.
    drop: Option<usize>,
    text: String,
    revision: u64,
    base: String,
    sent: Vec<String>,
    saved: u64,
}

impl Page {
    /// Types the next letter.
    fn key(&mut self) {
        let key = KEYS[self.keys.len() % KEYS.len()] as char;
        self.keys.push(key);
        if self.drop != Some(self.keys.len()) {
            self.text.push(key);
            self.revision += 1;
        }
    }

    /// The text, to be sent.
    fn message(&mut self) -> Value {
        self.sent.push(self.text.clone());
        json!({
            "kind": "text", "path": PIECE, "revision": self.revision, "base": self.base,
            "text": self.text, "cursor": self.text.len(), "width": 180.0, "have": [],
        })
    }

    /// Takes what is told; whether all is to be sent again.
    fn told(&mut self, told: &Value) -> bool {
        let text = told["text"].as_str().unwrap_or_default();
        match told["kind"].as_str().unwrap_or_default() {
            "saved" => {
                told["hash"].as_str().unwrap_or_default().clone_into(&mut self.base);
                self.saved = told["revision"].as_u64().unwrap_or(0);
                let saved = self.saved as usize;
                // What stood in the text at that revision: one key a revision.
                self.sent.retain(|sent| sent.len() >= saved);
                false
            }
            kind @ ("opened" | "changed_on_disk") => {
                let own =
                    told["hash"] == self.base.as_str() || self.sent.iter().any(|sent| sent == text);
                assert!(
                    own || text == self.text,
                    "{kind}: the file has what was never typed: {text:?}"
                );
                told["hash"].as_str().unwrap_or_default().clone_into(&mut self.base);
                true
            }
            "not_saved" => panic!("{told}"),
            _ => false,
        }
    }
}

/// A window whose messages come through a channel, so that one can type meanwhile.
struct Line {
    ask: Sender<Value>,
    told: Receiver<Value>,
}

fn main() {
    let mut arguments = std::env::args_os().skip(1);
    let program = PathBuf::from(arguments.next().expect("the program is named first"));
    let kills: usize = arguments
        .next()
        .map_or(50, |kills| kills.to_string_lossy().parse().expect("how many kills is a number"));
    let drop = arguments.next().map(|word| {
        assert_eq!(word, "drop", "what is lost on purpose is said by `drop`");
        50
    });
    let folder = tempfile::tempdir().expect("there is room for a folder");
    let file = folder.path().join(PIECE);
    fs::write(&file, "").expect("the folder can be written");
    let mut page = Page {
        keys: String::new(),
        drop,
        text: String::new(),
        revision: 0,
        base: String::new(),
        sent: vec![String::new()],
        saved: 0,
    };
    let (mut seed, mut at_once, mut unsaved) = (0x2545_f491_u64, 0, 0);
    for kill in 0..=kills {
        let mut running = Running::start(&program, folder.path(), 0);
        let line = open(&running);
        // Until when it lives: up to three seconds, sometimes a few milliseconds.
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        let last = kill == kills;
        let life = if kill % 4 == 0 { seed % 60 } else { seed % 3000 };
        let end = Instant::now() + Duration::from_millis(life);
        let mut connected = false;
        loop {
            for told in line.told.try_iter() {
                let again = page.told(&told);
                connected |= again;
                if again && page.revision > 0 {
                    let message = page.message();
                    let _ = line.ask.send(message);
                }
            }
            let over = Instant::now() >= end;
            if last && over && page.saved == page.revision {
                break;
            }
            if !last && over {
                break;
            }
            if !over {
                page.key();
                if connected {
                    let message = page.message();
                    let _ = line.ask.send(message);
                }
            }
            std::thread::sleep(Duration::from_millis(7));
        }
        running.kill();
        at_once += usize::from(!connected);
        unsaved += page.revision - page.saved;
    }
    let found = fs::read_to_string(&file).expect("the file is there");
    let differ = || found.chars().zip(page.keys.chars()).position(|(file, key)| file != key);
    let lost = (found != page.keys).then(|| differ().unwrap_or(found.len().min(page.keys.len())));
    match (lost, drop) {
        (None, None) => println!(
            "{kills} kills, {} keystrokes, none lost; {unsaved} were not said to be saved when it was killed; {at_once} kills \
             came before the piece was open",
            page.keys.len()
        ),
        (Some(at), Some(_)) => println!(
            "{kills} kills, {} keystrokes; the one that was lost on purpose is missing at place {at}",
            page.keys.len()
        ),
        (Some(at), None) => {
            panic!("from place {at} on, what was typed is not what the file has: {found:?}")
        }
        (None, Some(_)) => panic!("a keystroke was lost on purpose, and the comparison missed it"),
    }
}

/// A window that asks and is told on threads of its own.
fn open(running: &Running) -> Line {
    let token = running.token();
    let mut window = running.socket(&token).expect("the socket opens");
    window.ask(&json!({ "kind": "open", "path": PIECE, "example": null, "window": "kills" }));
    let (ask, asked) = channel::<Value>();
    let (tell, told) = channel();
    std::thread::spawn(move || {
        window.wait_at_most(Duration::from_millis(3));
        loop {
            for asked in asked.try_iter() {
                if !window.ask(&asked) {
                    return;
                }
            }
            match window.try_told() {
                Ok(Some(value)) => {
                    if tell.send(value).is_err() {
                        return;
                    }
                }
                Ok(None) => {}
                Err(()) => return,
            }
        }
    });
    Line { ask, told }
}
