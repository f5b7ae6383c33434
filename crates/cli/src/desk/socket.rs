//! The socket of a window: what it asks, and what it is told.

use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::State;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::response::Response;
use desk::message::{Asked, Manner, Printed, Shown, Told};
use desk::{Desk, View, fixed, mended, typed_for_key, why_at};
use tokio::sync::Notify;
use tokio::sync::mpsc::{UnboundedSender, unbounded_channel};
use tokio::task::{AbortHandle, spawn, spawn_blocking};

use super::guard::PROTOCOL;
use super::pieces;
use super::room::{Room, said};
use super::server::{LARGEST, Server};

/// Asks for the socket; the guard has looked at who asks.
pub(super) async fn socket(State(server): State<Arc<Server>>, asked: WebSocketUpgrade) -> Response {
    let asked = asked.protocols([PROTOCOL]).max_message_size(LARGEST).max_frame_size(LARGEST);
    asked.on_upgrade(move |socket| window(server, socket))
}

/// A window as long as its socket is open.
async fn window(server: Arc<Server>, mut socket: WebSocket) {
    let (tell, mut told) = unbounded_channel();
    let mut window = Window { server, tell, open: None };
    loop {
        tokio::select! {
            came = socket.recv() => match came {
                Some(Ok(Message::Text(asked))) => match serde_json::from_str(&asked) {
                    Ok(asked) => window.ask(asked).await,
                    Err(_) => break,
                },
                Some(Ok(Message::Ping(_) | Message::Pong(_))) => {}
                _ => break,
            },
            Some(told) = told.recv() => {
                if socket.send(Message::Text(told.into())).await.is_err() {
                    break;
                }
            }
        }
    }
    window.close().await;
}

struct Window {
    server: Arc<Server>,
    tell: UnboundedSender<String>,
    open: Option<Open>,
}

/// The piece that a window shows.
struct Open {
    room: Arc<Room>,
    name: String,
    example: Option<String>,
    /// The text that the window sent last.
    sent: Sent,
    eye: Arc<Eye>,
    watching: AbortHandle,
    /// Slips are looked for, for the newest revision only.
    mending: Option<AbortHandle>,
}

#[derive(Clone, Default)]
struct Sent {
    revision: u64,
    text: Arc<str>,
    cursor: u32,
    width: f64,
}

impl Window {
    fn tell(&self, told: &Told) {
        let _ = self.tell.send(said(told));
    }

    async fn ask(&mut self, asked: Asked) {
        if let Asked::Open { path, example, window } = asked {
            self.close().await;
            return self.enter(path, example, window).await;
        }
        let Some(open) = self.open.as_mut().filter(|open| open.room.path() == asked.path()) else {
            return;
        };
        match asked {
            Asked::Open { .. } => {}
            Asked::Text { revision, base, text, cursor, width, have, .. } => {
                open.sent = Sent { revision, text: text.into(), cursor, width };
                open.look(Some(have));
                let sent = &open.sent;
                open.room.take(&open.name, &self.tell, (revision, &base, &sent.text)).await;
            }
            Asked::Cursor { cursor, .. } => {
                open.sent.cursor = cursor;
                open.look(None);
            }
            Asked::TypeHere { .. } => open.room.type_here(&open.name).await,
            Asked::Mend { revision, .. } => open.mend(&self.server, self.tell.clone(), revision),
            Asked::Fix { revision, suggestion, manner, .. } => {
                open.fix(self.tell.clone(), revision, suggestion, manner);
            }
            Asked::Key { revision, cursor, key, .. } => {
                open.key(self.tell.clone(), revision, cursor, key);
            }
            Asked::Why { revision, voice, start, .. } => {
                open.why(self.tell.clone(), revision, voice, start);
            }
        }
    }

    async fn enter(&mut self, path: String, example: Option<String>, name: String) {
        let room = match self.server.room(&path).await {
            Ok(room) => room,
            Err(refusal) => {
                let (revision, message) = (0, refusal.message);
                return self.tell(&Told::NotSaved { path, revision, message });
            }
        };
        let opened = room.enter(&name, self.tell.clone());
        self.tell(&opened);
        let eye = Arc::new(Eye::default());
        let watching = spawn(watch(eye.clone(), path, self.tell.clone())).abort_handle();
        let (sent, mending) = (Sent::default(), None);
        self.open = Some(Open { room, name, example, sent, eye, watching, mending });
    }

    async fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        open.room.leave(&open.name, &self.tell);
        open.room.save().await;
        open.watching.abort();
        if let Some(mending) = open.mending {
            mending.abort();
        }
        self.server.leave(&open.room);
    }
}

impl Open {
    /// Lets the text be shown that was sent last, with what the window holds; or only where the cursor is.
    fn look(&self, have: Option<Vec<String>>) {
        let look = Look { example: self.example.clone(), sent: self.sent.clone(), have };
        let mut wanted = self.eye.wanted.lock().unwrap_or_else(PoisonError::into_inner);
        // A text that is not shown yet must be, wherever the cursor goes.
        let have = match (look.have, wanted.take()) {
            (Some(have), _) => Some(have),
            (None, Some(before)) => before.have,
            (None, None) => None,
        };
        *wanted = Some(Look { have, ..look });
        drop(wanted);
        self.eye.look.notify_one();
    }

    /// Looks for slips, on a thread of its own; what is still being looked for is given up.
    fn mend(&mut self, server: &Arc<Server>, tell: UnboundedSender<String>, revision: u64) {
        if revision != self.sent.revision {
            return;
        }
        if let Some(before) = self.mending.take() {
            before.abort();
        }
        let (path, example) = (self.room.path().to_owned(), self.example.clone());
        let (text, server) = (self.sent.text.clone(), server.clone());
        let work = async move {
            let named = path.clone();
            let found = spawn_blocking(move || {
                let refused = pieces::refused(&server.folder, &named);
                mended(&text, example.as_deref(), &refused)
            });
            if let Ok(suggestions) = found.await {
                let _ = tell.send(said(&Told::Mended { path, revision, suggestions }));
            }
        };
        self.mending = Some(spawn(work).abort_handle());
    }

    fn key(&self, tell: UnboundedSender<String>, revision: u64, cursor: u32, key: u8) {
        if revision != self.sent.revision {
            return;
        }
        let (path, example) = (self.room.path().to_owned(), self.example.clone());
        let text = self.sent.text.clone();
        spawn_blocking(move || {
            if let Some(text) = typed_for_key(&text, example.as_deref(), cursor, key) {
                let _ = tell.send(said(&Told::Keyed { path, revision, cursor, text }));
            }
        });
    }

    fn why(&self, tell: UnboundedSender<String>, revision: u64, voice: usize, start: u32) {
        if revision != self.sent.revision {
            return;
        }
        let (path, example) = (self.room.path().to_owned(), self.example.clone());
        let text = self.sent.text.clone();
        spawn_blocking(move || {
            if let Some(why) = why_at(&text, example.as_deref(), voice, start) {
                let _ = tell.send(said(&Told::Why { path, revision, voice, start, why }));
            }
        });
    }

    fn fix(&self, tell: UnboundedSender<String>, revision: u64, rank: usize, manner: Manner) {
        if revision != self.sent.revision {
            return;
        }
        let (path, example) = (self.room.path().to_owned(), self.example.clone());
        let text = self.sent.text.clone();
        spawn_blocking(move || {
            if let Some(text) = fixed(&text, example.as_deref(), rank, manner) {
                let _ = tell.send(said(&Told::Fixed { path, revision, text }));
            }
        });
    }
}

/// What is to be shown next: only the newest.
#[derive(Default)]
struct Eye {
    wanted: Mutex<Option<Look>>,
    look: Notify,
}

struct Look {
    example: Option<String>,
    sent: Sent,
    /// The drawings that the window holds; nothing if only the cursor has moved.
    have: Option<Vec<String>>,
}

/// What a window was shown last.
#[derive(Default)]
struct Before {
    desk: Desk,
    findings: Vec<desk::message::Finding>,
    printed: Option<Printed>,
    drawn: Vec<String>,
}

/// Shows what is wanted, one after another, on a thread where it keeps nobody waiting.
async fn watch(eye: Arc<Eye>, path: String, tell: UnboundedSender<String>) {
    let mut before = Before::default();
    loop {
        eye.look.notified().await;
        let wanted = eye.wanted.lock().unwrap_or_else(PoisonError::into_inner).take();
        let Some(look) = wanted else { continue };
        let (revision, of) = (look.sent.revision, path.clone());
        let mut seen = std::mem::take(&mut before);
        let shown = spawn_blocking(move || {
            let told = seen.told(of, look);
            (seen, told.map(|told| said(&told)))
        });
        let said = match shown.await {
            Ok((seen, told)) => {
                before = seen;
                told
            }
            // The text is saved all the same, and the last picture stays.
            Err(_) => Some(said(&failed(&path, revision))),
        };
        let gone = said.is_some_and(|said| tell.send(said).is_err());
        if gone {
            return;
        }
    }
}

fn failed(path: &str, revision: u64) -> Told {
    let failed = "this text could not be drawn, which is a fault of the program; it is saved";
    let shown = Box::new(Shown { failed: Some(failed.to_owned()), ..Shown::default() });
    Told::Shown { path: path.to_owned(), revision, shown }
}

impl Before {
    /// What a window is told of a text; nothing where the cursor moved and all looks the same.
    fn told(&mut self, path: String, look: Look) -> Option<Told> {
        let Look { example, sent: Sent { revision, text, cursor, width }, have } = look;
        let view = View { text: &text, example: example.as_deref(), cursor, width };
        let moved = have.is_none();
        let shown = self.desk.show(&view, &have.unwrap_or_else(|| std::mem::take(&mut self.drawn)));
        self.drawn = shown.systems.iter().map(|drawn| drawn.hash.clone()).collect();
        let same = moved && self.findings == shown.findings;
        let told = match &shown.voice {
            printed if same && *printed == self.printed => None,
            Some(Printed { index, svg, line }) if same => {
                let (voice, svg, line) = (*index, svg.clone(), *line);
                Some(Told::Voice { path, revision, voice, svg, line })
            }
            _ => Some(Told::Shown { path, revision, shown: Box::new(shown.clone()) }),
        };
        (self.findings, self.printed) = (shown.findings, shown.voice);
        told
    }
}
