//! The pieces of the folder: listed, read, written, and begun anew.

use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError};

use axum::Json;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Response};
use cartella::{BarLength, Clef, Document, Example, Term, Value};
use desk::message::Refused;
use rayon::prelude::*;
use serde::Deserialize;
use serde_json::{Value as Answer, json};

use super::folder::{ENDING, Folder, has_ending, must_be_parts};
use super::known::{Entry, Listed};
use super::pictures;
use super::refusal::{Refusal, aside};
use super::room::{Put, hash, text_of};
use super::server::Server;
use crate::files::{self, Inputs};
use crate::verbs::new::form;

/// The most voices of a piece that is begun.
const MOST_VOICES: usize = 64;

/// What is added to the name of a piece for the file that keeps which suggestions were refused.
const REFUSED: &str = ".refused";

#[derive(Deserialize)]
pub(super) struct Named {
    path: String,
}

pub(super) async fn list(State(server): State<Arc<Server>>) -> Result<Json<Answer>, Refusal> {
    aside(move || {
        let mut known = server.known.0.lock().unwrap_or_else(PoisonError::into_inner);
        let files = server.folder.files(&[ENDING]);
        let entries = files.into_par_iter().filter_map(|file| {
            let found = std::fs::metadata(&file).ok()?;
            let stamp = (found.len(), found.modified().ok()?);
            let before = known.iter().find(|(path, of, _)| *path == file && *of == stamp);
            let listed = match before {
                Some((.., listed)) => listed.clone(),
                None => listed(&server.folder.named(&file)?, &text_of(&file).ok()?),
            };
            Some((file, stamp, listed))
        });
        let entries: Vec<Entry> = entries.collect();
        let pieces: Vec<&Listed> = entries.iter().flat_map(|(.., listed)| listed).collect();
        let answer = json!({ "folder": server.folder.shown(), "pieces": pieces });
        *known = entries;
        Ok(Json(answer))
    })
    .await
}

fn listed(path: &str, text: &str) -> Vec<Listed> {
    let document = Document::parse(text);
    let one = |example: Example<'_>| {
        let head = &example.piece().head;
        let text = |text: &Option<_>| text.as_ref().map(|text: &cartella::Text| text.text.clone());
        let found = example.score(BarLength::Breve).diagnostics;
        let shared = document.shared_diagnostics().iter();
        let errors = found.iter().chain(shared).filter(|found| found.is_error()).count();
        let all = found.len() + document.shared_diagnostics().len();
        Listed {
            path: path.to_owned(),
            example: example.name().map(str::to_owned),
            title: text(&head.title),
            source: text(&head.source),
            voices: example.piece().voices.len(),
            errors,
            warnings: all - errors,
        }
    };
    document.examples().map(one).collect()
}

pub(super) async fn read(
    State(server): State<Arc<Server>>,
    Query(Named { path }): Query<Named>,
) -> Result<Json<Answer>, Refusal> {
    aside(move || {
        let file = server.folder.file(&path)?;
        must_be_parts(&file)?;
        let text = text_of(&file)?;
        let (hash, refused) = (hash(text.as_bytes()), refused(&server.folder, &path));
        let pictures = pictures::beside(&server.folder, &file);
        Ok(Json(json!({
            "path": path, "text": text, "hash": hash, "refused": refused, "pictures": pictures,
        })))
    })
    .await
}

#[derive(Deserialize)]
pub(super) struct Written {
    path: String,
    text: String,
    base: String,
}

pub(super) async fn write(
    State(server): State<Arc<Server>>,
    Json(Written { path, text, base }): Json<Written>,
) -> Result<Response, Refusal> {
    let room = server.room(&path).await?;
    let put = room.put(&base, &text).await;
    server.leave(&room);
    Ok(match put? {
        Put::Saved { hash } => Json(json!({ "hash": hash })).into_response(),
        Put::Changed { text, hash } => {
            (StatusCode::CONFLICT, Json(json!({ "text": text, "hash": hash }))).into_response()
        }
    })
}

#[derive(Deserialize)]
pub(super) struct Begun {
    path: String,
    voices: usize,
    #[serde(default)]
    clefs: Vec<String>,
}

pub(super) async fn new(
    State(server): State<Arc<Server>>,
    Json(Begun { path, voices, clefs }): Json<Begun>,
) -> Result<Json<Answer>, Refusal> {
    aside(move || {
        let named = has_ending(Path::new(&path), &[ENDING]);
        let path = if named { path } else { format!("{path}.{ENDING}") };
        if !(1..=MOST_VOICES).contains(&voices) || (!clefs.is_empty() && clefs.len() != voices) {
            let said = format!("a piece has from 1 to {MOST_VOICES} voices, and a clef for each");
            return Err(Refusal::unclear(said));
        }
        if let Some(other) = clefs.iter().find(|clef| Clef::parse(clef).is_none()) {
            let said = format!("{other} is not a clef: type its letter and line, C1 C3 C4 F4 G2");
            return Err(Refusal::unclear(said));
        }
        let place = server.folder.place(&path)?;
        let title = place.file_stem().unwrap_or_default().to_string_lossy();
        let form = form(&title, voices, &clefs);
        files::write_new(&place, form.as_bytes(), false, &Inputs::default())?;
        Ok(Json(json!({ "path": path })))
    })
    .await
}

/// The file beside a piece that keeps which suggestions were refused; the piece is read without it.
fn refused_file(folder: &Folder, path: &str) -> Result<PathBuf, Refusal> {
    must_be_parts(&folder.file(path)?)?;
    folder.place(&format!("{path}{REFUSED}"))
}

/// The suggestions that were refused for a piece; none where there is no such file, or it cannot be read.
pub(super) fn refused(folder: &Folder, path: &str) -> Vec<Refused> {
    let file = refused_file(folder, path).ok();
    let text = file.and_then(|file| text_of(&file).ok()).unwrap_or_default();
    text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect()
}

#[derive(Deserialize)]
pub(super) struct Refusing {
    path: String,
    refused: Vec<Refused>,
}

pub(super) async fn refuse(
    State(server): State<Arc<Server>>,
    Json(Refusing { path, refused }): Json<Refusing>,
) -> Result<Json<Answer>, Refusal> {
    aside(move || {
        let file = refused_file(&server.folder, &path)?;
        let lines = refused.iter().filter_map(|one| serde_json::to_string(one).ok());
        let text: String = lines.map(|line| line + "\n").collect();
        files::write(&file, text.as_bytes(), &Inputs::default())?;
        Ok(Json(json!({})))
    })
    .await
}

/// The words that can be typed, for completion: each that a term has, and what kind of word it is.
pub(super) async fn words() -> Json<Answer> {
    let value = |value: &Value| {
        let term = Term::find(value.letters());
        let text = term.map_or("", |term| term.text);
        json!({ "word": value.letters(), "kind": "value", "help": format!("{}. {text}", value.name()) })
    };
    let is_word =
        |word: &&str| word.len() > 1 && word.chars().all(|char| char.is_ascii_lowercase());
    let is_value = |word: &str| Value::from_letters(word).is_some();
    let others = Term::all().flat_map(|term| {
        let words = term.typed.split(' ').filter(is_word).filter(|word| !is_value(word));
        words.map(move |word| json!({ "word": word, "kind": kind(word), "help": term.text }))
    });
    Json(Value::ALL.iter().map(value).chain(others).collect())
}

/// Where a word is typed.
fn kind(word: &str) -> &'static str {
    match word {
        "voice" | "more" | "example" => "voice",
        "title" | "composer" | "source" | "editor" | "note" | "layout" | "subject" | "mark"
        | "hand" | "break" | "page" | "facsimile" => "head",
        _ => "music",
    }
}
