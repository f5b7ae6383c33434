//! Which request goes where.

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, State};
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::middleware::from_fn_with_state;
use axum::response::IntoResponse;
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Deserialize;
use serde_json::{Value, json};

use super::guard::{guard, policy};
use super::refusal::Refusal;
use super::server::{LARGEST, Server};
use super::session::secret;
use super::{bring, paper, pictures, pieces, socket, sound};

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
