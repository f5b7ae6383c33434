//! Pictures of the source: their pages, and the staves on them.

use std::path::Path;
use std::sync::{Arc, PoisonError};
use std::time::SystemTime;

use axum::Json;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse as _, Response};
use cartella::facsimile::{self, Strip};
use serde::Deserialize;
use serde_json::{Value as Answer, json};

use super::drawn::Shown;
use super::folder::{Folder, has_ending};
use super::refusal::{Refusal, aside};
use super::server::Server;
use crate::files;

/// The endings of pictures.
const ENDINGS: [&str; 4] = ["png", "jpg", "jpeg", "pdf"];

/// The most bytes of a picture that is shown.
const LARGEST: usize = 256 << 20;

/// The most pages whose pictures are kept.
const MOST_KEPT: usize = 4;

/// The ending that fits a picture, by its first bytes.
pub(super) fn kind(bytes: &[u8]) -> Option<&'static str> {
    let kinds: [(&[u8], &str); 3] =
        [(b"\x89PNG\r\n\x1a\n", "png"), (b"\xff\xd8\xff", "jpg"), (b"%PDF-", "pdf")];
    kinds.into_iter().find(|(begin, _)| bytes.starts_with(begin)).map(|(_, kind)| kind)
}

/// The pictures that lie in the folder of a piece or within it, as pages name them.
pub(super) fn beside(folder: &Folder, parts: &Path) -> Vec<String> {
    let own = files::folder(parts);
    let all = folder.files(&ENDINGS).into_iter().filter(|file| file.starts_with(own));
    all.filter_map(|file| folder.named(&file)).collect()
}

#[derive(Deserialize)]
pub(super) struct Asked {
    path: String,
    #[serde(default = "first")]
    page: u32,
}

fn first() -> u32 {
    1
}

pub(super) async fn picture(
    State(server): State<Arc<Server>>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    aside(move || {
        let shown = shown(&server, &asked)?;
        let said = [
            (CONTENT_TYPE.as_str(), shown.kind.to_owned()),
            ("cartella-pages", shown.pages.to_string()),
            ("cartella-unit", (1.0 / shown.page.scale).to_string()),
        ];
        Ok((said, shown.bytes.clone()).into_response())
    })
    .await
}

pub(super) async fn staves(
    State(server): State<Arc<Server>>,
    Query(asked): Query<Asked>,
) -> Result<Json<Answer>, Refusal> {
    aside(move || {
        let shown = shown(&server, &asked)?;
        let (picture, unit) = (&shown.page.picture, 1.0 / shown.page.scale);
        let tenth = |length: f64| (length * 10.0).round() / 10.0;
        let listed = |strip: Strip| {
            let Strip { x, y, width, height, angle, empty, .. } = strip.scaled(unit);
            json!({
                "x": tenth(x), "y": tenth(y), "w": tenth(width), "h": tenth(height),
                "angle": (angle * 100.0).round() / 100.0, "empty": empty,
            })
        };
        let strips: Vec<Answer> = facsimile::strips(picture).into_iter().map(listed).collect();
        Ok(Json(json!({
            "width": tenth(f64::from(picture.width()) * unit),
            "height": tenth(f64::from(picture.height()) * unit),
            "pages": shown.pages,
            "strips": strips,
        })))
    })
    .await
}

/// A page, drawn unless it was drawn lately.
fn shown(server: &Server, Asked { path, page }: &Asked) -> Result<Arc<Shown>, Refusal> {
    let file = server.folder.file(path)?;
    if !has_ending(&file, &ENDINGS) {
        return Err(Refusal::forbidden(format!("{path} is no picture")));
    }
    let changed = std::fs::metadata(&file).and_then(|found| found.modified());
    let key = (file, changed.unwrap_or(SystemTime::UNIX_EPOCH), *page);
    let mut drawn = server.drawn.lock().unwrap_or_else(PoisonError::into_inner);
    let found = match drawn.0.iter().position(|(known, _)| *known == key) {
        Some(place) => drawn.0.remove(place).1,
        None => Arc::new(draw(path, &key.0, *page)?),
    };
    if drawn.0.len() >= MOST_KEPT {
        drawn.0.remove(0);
    }
    drawn.0.push((key, found.clone()));
    Ok(found)
}

fn draw(path: &str, file: &Path, number: u32) -> Result<Shown, Refusal> {
    let bytes = files::read(file, LARGEST)?;
    if bytes.len() > LARGEST {
        let said = format!("{path} has more than {} MiB", LARGEST >> 20);
        return Err(Refusal::unclear(said));
    }
    let unread = |error: facsimile::Unreadable| Refusal::unclear(format!("{path}: {error}"));
    let (page, pages) = facsimile::page(&bytes, number).map_err(unread)?.ok_or_else(|| {
        Refusal::new(StatusCode::NOT_FOUND, format!("{path} has no page {number}"))
    })?;
    let (bytes, kind) = match kind(&bytes) {
        Some("png") => (bytes, "image/png"),
        Some("jpg") => (bytes, "image/jpeg"),
        _ => (page.png().map_err(unread)?, "image/png"),
    };
    Ok(Shown { page, pages, bytes, kind })
}
