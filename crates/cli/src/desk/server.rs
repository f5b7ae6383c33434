//! The server: what it holds, and which request goes where.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::{DefaultBodyLimit, State};
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::middleware::from_fn_with_state;
use axum::response::IntoResponse;
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Deserialize;
use serde_json::{Value, json};
use tokio::task::{AbortHandle, spawn};

use super::folder::Folder;
use super::guard::{guard, policy};
use super::pictures::Drawn;
use super::pieces::Known;
use super::refusal::Refusal;
use super::room::Room;
use super::session::{Session, secret};
use super::{bring, paper, pictures, pieces, socket, sound};

/// The most bytes of a request: a text, or the files that are brought, in JSON.
pub(super) const LARGEST: usize = 64 << 20;

/// All that the desk holds while it runs.
pub(super) struct Server {
    pub(super) port: u16,
    pub(super) folder: Folder,
    pub(super) session: Session,
    /// The pieces that are open, by their names, each with what saves it.
    pub(super) rooms: Mutex<HashMap<String, (Arc<Room>, AbortHandle)>>,
    /// What is known of the pieces of the folder.
    pub(super) known: Known,
    /// Pages of pictures that were drawn last.
    pub(super) drawn: Mutex<Drawn>,
}

impl Server {
    /// The pieces that are open.
    pub(super) fn open(&self) -> Vec<Arc<Room>> {
        let rooms = self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
        rooms.values().map(|(room, _)| room.clone()).collect()
    }

    /// The room of a piece, which is opened if it is not.
    pub(super) async fn room(&self, path: &str) -> Result<Arc<Room>, Refusal> {
        let file = self.folder.file(path)?;
        pieces::must_be_parts(&file)?;
        let found = {
            let mut rooms = self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
            let begun = || {
                let room = Arc::new(Room::new(path, file));
                let kept = room.clone();
                (room, spawn(async move { kept.keep().await }).abort_handle())
            };
            rooms.entry(path.to_owned()).or_insert_with(begun).0.clone()
        };
        let looked = found.look().await;
        if looked.is_err() {
            self.leave(&found);
        }
        looked.map(|()| found)
    }

    /// Lets a room go in which nobody is and nothing is unsaved.
    pub(super) fn leave(&self, room: &Room) {
        let mut rooms = self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
        if room.is_idle()
            && let Some((_, keeper)) = rooms.remove(room.path())
        {
            keeper.abort();
        }
    }
}

/// All requests.
pub(super) fn router(server: Arc<Server>) -> Router {
    Router::new()
        .route("/", get(index))
        .route(
            "/desk.js",
            get(|| async { file("text/javascript; charset=utf-8", desk::page::SCRIPT) }),
        )
        .route("/desk.css", get(|| async { file("text/css; charset=utf-8", desk::page::STYLE) }))
        .route("/garamond.otf", get(|| async { file("font/otf", cartella::Face::Roman.bytes()) }))
        .route("/api/token", post(token))
        .route("/api/code", post(code))
        .route("/api/pieces", get(pieces::list))
        .route("/api/piece", get(pieces::read).put(pieces::write))
        .route("/api/new", post(pieces::new))
        .route("/api/bring", post(bring::bring))
        .route("/api/refuse", post(pieces::refuse))
        .route("/api/words", get(pieces::words))
        .route("/api/picture", get(pictures::picture))
        .route("/api/staves", get(pictures::staves))
        .route("/api/sound", post(sound::sound))
        .route("/api/times", post(sound::times))
        .route("/api/study", post(paper::study))
        .route("/api/print", post(paper::print))
        .route("/socket", get(socket::socket))
        .layer(DefaultBodyLimit::max(LARGEST))
        .layer(from_fn_with_state(server.clone(), guard))
        .with_state(server)
}

async fn index() -> Result<impl IntoResponse, Refusal> {
    let nonce = secret()?;
    let page = desk::page::INDEX.replace("NONCE", &nonce);
    let said = [
        (CONTENT_TYPE, "text/html; charset=utf-8".to_owned()),
        (CONTENT_SECURITY_POLICY, policy(&nonce)),
    ];
    Ok((said, page))
}

fn file(kind: &'static str, bytes: impl IntoResponse) -> impl IntoResponse {
    ([(CONTENT_TYPE, kind)], bytes)
}

#[derive(Deserialize)]
struct Code {
    code: String,
}

async fn token(
    State(server): State<Arc<Server>>,
    Json(Code { code }): Json<Code>,
) -> Result<Json<Value>, Refusal> {
    match server.session.token_for(&code) {
        Some(token) => Ok(Json(json!({ "token": token }))),
        None => Err(Refusal::forbidden(
            "this address was opened already: start the program again, or open a window from the desk",
        )),
    }
}

async fn code(State(server): State<Arc<Server>>) -> Result<Json<Value>, Refusal> {
    Ok(Json(json!({ "code": server.session.code()? })))
}
