//! A piece that is open: what is typed in it, by which window, and what of it is saved.
//!
//! What is typed goes to the file 300 ms after the last keystroke, and at most 2 s after the first that is
//! not saved. It is written only upon the text that it grew from: where another program has changed the
//! file, nothing is written, and all windows are told.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use axum::http::StatusCode;
use cartella::LARGEST_TEXT;
use desk::message::Told;
use tokio::sync::mpsc::UnboundedSender;
use tokio::sync::{Mutex as Turns, Notify};
use tokio::time::{Instant, sleep_until, timeout};

use super::refusal::{Refusal, aside};
use crate::content::content;
use crate::files::{self, Failure};

/// So long after the last keystroke a text is saved.
const PAUSE: Duration = Duration::from_millis(300);

/// So long after the first keystroke that is not saved a text is saved, however fast one types.
const LATEST: Duration = Duration::from_secs(2);

/// So often a file is looked at that may have been changed by another program, and one is tried again that
/// could not be written.
const LOOK: Duration = Duration::from_secs(2);

/// So many saves of a window are remembered: more than can be under way.
const MOST_SINCE: usize = 100;

/// What tells texts of a file apart.
pub(super) fn hash(text: &[u8]) -> String {
    format!("{:032x}", content(text))
}

/// A piece that is open.
pub(super) struct Room {
    path: String,
    file: PathBuf,
    state: Mutex<State>,
    /// Something was typed.
    typed: Notify,
    /// One save at a time.
    saving: Turns<()>,
}

#[derive(Default)]
struct State {
    /// What was typed last.
    text: String,
    revision: u64,
    /// What the file holds, as far as is known, and its hash; none before it was read.
    saved: Option<(String, String)>,
    /// Hashes of what the file held while the same window has been typing.
    since: Vec<String>,
    /// The window that types.
    typing: Option<String>,
    windows: Vec<Window>,
    first_unsaved: Option<Instant>,
    last_typed: Option<Instant>,
    /// Why it could not be saved, as was told last.
    told: Option<String>,
}

struct Window {
    name: String,
    tell: UnboundedSender<String>,
}

impl State {
    fn is_saved(&self) -> bool {
        self.saved.as_ref().is_none_or(|(saved, _)| *saved == self.text)
    }

    fn tell_all(&self, told: &Told) {
        let said = said(told);
        for window in &self.windows {
            let _ = window.tell.send(said.clone());
        }
    }

    fn hash(&self) -> String {
        self.saved.as_ref().map_or_else(String::new, |(_, hash)| hash.clone())
    }

    /// The file is known to hold this.
    fn holds(&mut self, text: String) {
        let hash = hash(text.as_bytes());
        if self.since.len() == MOST_SINCE {
            self.since.remove(0);
        }
        self.since.push(hash.clone());
        self.saved = Some((text, hash));
    }
}

/// What came of writing a text at once.
pub(super) enum Put {
    Saved { hash: String },
    Changed { text: String, hash: String },
}

/// A message as it is sent.
pub(super) fn said(told: &Told) -> String {
    serde_json::to_string(told).unwrap_or_default()
}

impl Room {
    pub(super) fn new(path: &str, file: PathBuf) -> Room {
        let (path, state) = (path.to_owned(), Mutex::default());
        Room { path, file, state, typed: Notify::new(), saving: Turns::new(()) }
    }

    pub(super) fn path(&self) -> &str {
        &self.path
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether nobody is in it and nothing is unsaved.
    pub(super) fn is_idle(&self) -> bool {
        let state = self.state();
        state.windows.is_empty() && state.is_saved()
    }

    /// Reads the file, if nothing is typed that it does not have: it may have been changed.
    pub(super) async fn look(&self) -> Result<(), Refusal> {
        let _turn = self.saving.lock().await;
        if !self.state().is_saved() {
            return Ok(());
        }
        let file = self.file.clone();
        let text = aside(move || text_of(&file)).await?;
        let mut state = self.state();
        let known = state.saved.as_ref().is_some_and(|(saved, _)| *saved == text);
        if known || !state.is_saved() {
            return Ok(());
        }
        let is_first = state.saved.is_none();
        state.since.clear();
        state.holds(text.clone());
        state.text.clone_from(&text);
        if !is_first {
            let (path, hash) = (self.path.clone(), state.hash());
            state.tell_all(&Told::ChangedOnDisk { path, text, hash });
        }
        Ok(())
    }

    /// A window comes in; what it is told.
    pub(super) fn enter(&self, name: &str, tell: UnboundedSender<String>) -> Told {
        let mut state = self.state();
        state.windows.push(Window { name: name.to_owned(), tell });
        Told::Opened {
            path: self.path.clone(),
            text: state.text.clone(),
            hash: state.hash(),
            revision: state.revision,
            typing: state.typing.clone().unwrap_or_default(),
        }
    }

    /// A window goes, and types no more.
    pub(super) fn leave(&self, name: &str, tell: &UnboundedSender<String>) {
        let mut state = self.state();
        state.windows.retain(|window| !window.tell.same_channel(tell));
        let is_there = state.windows.iter().any(|window| window.name == name);
        if !is_there && state.typing.as_deref() == Some(name) {
            state.typing = None;
            state.tell_all(&Told::Typing { path: self.path.clone(), window: String::new() });
        }
    }

    /// A window types from now on; what was typed by another is saved first.
    pub(super) async fn type_here(&self, name: &str) {
        if self.state().typing.as_deref() == Some(name) {
            return;
        }
        self.save().await;
        let mut state = self.state();
        state.typing = Some(name.to_owned());
        let hash = state.hash();
        state.since = vec![hash];
        state.tell_all(&Told::Typing { path: self.path.clone(), window: name.to_owned() });
    }

    /// Takes what a window has typed, and what it grew from. What was not taken is told.
    pub(super) async fn take(
        &self,
        name: &str,
        tell: &UnboundedSender<String>,
        (revision, base, text): (u64, &str, &str),
    ) {
        if self.is_taken(tell, revision, text) {
            return;
        }
        if self.state().typing.is_none() {
            self.type_here(name).await;
        }
        let mut state = self.state();
        let reply = |told: &Told| {
            let _ = tell.send(said(told));
        };
        let path = self.path.clone();
        if let Some(window) = state.typing.clone().filter(|typing| typing != name) {
            return reply(&Told::Typing { path, window });
        }
        if text.len() > LARGEST_TEXT {
            let message = format!("a piece has at most {} MiB", LARGEST_TEXT >> 20);
            return reply(&Told::NotSaved { path, revision, message });
        }
        if !state.since.iter().any(|hash| hash == base) {
            let Some((text, hash)) = state.saved.clone() else { return };
            return reply(&Told::ChangedOnDisk { path, text, hash });
        }
        text.clone_into(&mut state.text);
        state.revision = revision;
        let peer = said(&Told::Peer { path, revision, text: text.to_owned() });
        for window in state.windows.iter().filter(|window| window.name != name) {
            let _ = window.tell.send(peer.clone());
        }
        let now = Instant::now();
        state.last_typed = Some(now);
        state.first_unsaved.get_or_insert(now);
        drop(state);
        self.typed.notify_one();
    }

    /// Writes a text at once, if the file holds what it grew from: the hash of it, or else what the file
    /// holds.
    pub(super) async fn put(&self, base: &str, text: &str) -> Result<Put, Refusal> {
        if text.len() > LARGEST_TEXT {
            let said = format!("a piece has at most {} MiB", LARGEST_TEXT >> 20);
            return Err(Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, said));
        }
        self.save().await;
        {
            let mut state = self.state();
            if state.hash() != base {
                let (text, hash) = state.saved.clone().unwrap_or_default();
                return Ok(Put::Changed { text, hash });
            }
            text.clone_into(&mut state.text);
            state.revision += 1;
            let (path, revision) = (self.path.clone(), state.revision);
            state.tell_all(&Told::Peer { path, revision, text: text.to_owned() });
        }
        self.save().await;
        let state = self.state();
        match (&state.told, state.is_saved()) {
            (_, true) if state.text == text => Ok(Put::Saved { hash: state.hash() }),
            (Some(message), _) => {
                Err(Refusal::new(StatusCode::INSUFFICIENT_STORAGE, message.clone()))
            }
            _ => {
                let (text, hash) = state.saved.clone().unwrap_or_default();
                Ok(Put::Changed { text, hash })
            }
        }
    }

    /// Whether a text is that of the room already: then it has nothing to be saved, or is to be saved soon.
    fn is_taken(&self, tell: &UnboundedSender<String>, revision: u64, text: &str) -> bool {
        let mut state = self.state();
        if state.text != text {
            return false;
        }
        if revision > state.revision {
            state.revision = revision;
            if state.is_saved() {
                let (path, hash) = (self.path.clone(), state.hash());
                let _ = tell.send(said(&Told::Saved { path, revision, hash }));
            }
        }
        true
    }

    /// Saves what is typed, whenever it is time, as long as the room is open.
    pub(super) async fn keep(&self) {
        loop {
            if timeout(LOOK, self.typed.notified()).await.is_err() && self.state().is_saved() {
                // A file that is gone, or cannot be read, is told of when it is written.
                let _ = self.look().await;
                continue;
            }
            while let Some(due) = self.due() {
                if due <= Instant::now() {
                    break;
                }
                sleep_until(due).await;
            }
            self.save().await;
        }
    }

    /// When what is typed must be saved.
    fn due(&self) -> Option<Instant> {
        let state = self.state();
        Some((state.first_unsaved? + LATEST).min(state.last_typed? + PAUSE))
    }

    /// Saves what is typed now.
    pub(super) async fn save(&self) {
        let _turn = self.saving.lock().await;
        let (before, text, revision) = {
            let state = self.state();
            let Some((before, _)) = state.saved.clone().filter(|_| !state.is_saved()) else {
                return;
            };
            (before, state.text.clone(), state.revision)
        };
        let (file, after) = (self.file.clone(), text.clone());
        let written = aside(move || {
            if files::replace_unless_changed(&file, before.as_bytes(), after.as_bytes())? {
                return Ok(None);
            }
            text_of(&file).map(Some)
        });
        let written = written.await;
        let mut state = self.state();
        let path = self.path.clone();
        match written {
            Ok(None) => {
                state.holds(text);
                state.told = None;
                state.first_unsaved = (!state.is_saved()).then(Instant::now);
                let hash = state.hash();
                state.tell_all(&Told::Saved { path, revision, hash });
            }
            Ok(Some(now)) => {
                state.since.clear();
                state.holds(now.clone());
                state.text.clone_from(&now);
                (state.first_unsaved, state.told) = (None, None);
                let hash = state.hash();
                state.tell_all(&Told::ChangedOnDisk { path, text: now, hash });
            }
            Err(Refusal { message, .. }) => {
                // It is tried again; what is the matter is told once.
                state.first_unsaved = Some(Instant::now());
                if state.told.as_ref() != Some(&message) {
                    state.told = Some(message.clone());
                    state.tell_all(&Told::NotSaved { path, revision, message });
                }
            }
        }
    }
}

/// What a file holds, which must be text.
pub(super) fn text_of(file: &Path) -> Result<String, Refusal> {
    let bytes = files::read(file, LARGEST_TEXT)?;
    if bytes.len() > LARGEST_TEXT {
        let said = format!("{} has more than {} MiB", files::shown(file), LARGEST_TEXT >> 20);
        return Err(Failure::Said(said).into());
    }
    String::from_utf8(bytes)
        .map_err(|_| Refusal::unclear(format!("{} is not UTF-8 text", files::shown(file))))
}
