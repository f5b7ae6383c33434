//! What is brought in from other formats: voices in MEI or a score in MusicXML become a piece; pictures are
//! laid beside one.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use cartella::{Document, LARGEST_FILE, MeiPart, is_musicxml, usual_names};
use serde::Deserialize;
use serde_json::{Value as Answer, json};

use super::pictures;
use super::refusal::{Refusal, aside};
use super::server::Server;
use crate::files::{self, Failure, Inputs};

#[derive(Deserialize)]
pub(super) struct Brought {
    files: Vec<Coded>,
    /// The piece beside which pictures are laid.
    beside: Option<String>,
}

#[derive(Deserialize)]
struct Coded {
    name: String,
    base64: String,
}

struct File {
    name: String,
    bytes: Vec<u8>,
}

impl File {
    /// Its name without folder and ending.
    fn stem(&self) -> &str {
        let name = self.name.rsplit(['/', '\\']).next().unwrap_or_default();
        name.rsplit_once('.').map_or(name, |(stem, _)| stem)
    }
}

pub(super) async fn bring(
    State(server): State<Arc<Server>>,
    Json(Brought { files, beside }): Json<Brought>,
) -> Result<Json<Answer>, Refusal> {
    aside(move || {
        let files: Vec<File> = files.into_iter().map(decoded).collect::<Result<_, _>>()?;
        match beside {
            Some(piece) => lay_beside(&server, &piece, &files),
            None => become_piece(&server, files),
        }
    })
    .await
}

fn decoded(Coded { name, base64 }: Coded) -> Result<File, Refusal> {
    let bytes = STANDARD.decode(base64);
    let bytes = bytes.map_err(|_| Refusal::unclear(format!("{name} came in damaged")))?;
    Ok(File { name, bytes })
}

fn lay_beside(server: &Server, piece: &str, files: &[File]) -> Result<Json<Answer>, Refusal> {
    let parts = server.folder.file(piece)?;
    let folder = piece.rsplit_once('/').map_or(String::new(), |(folder, _)| format!("{folder}/"));
    for file in files {
        let kind = pictures::kind(&file.bytes).ok_or_else(|| {
            Refusal::unclear(format!("{} is no picture: PNG, JPEG and PDF are read", file.name))
        })?;
        let place = server.folder.place(&format!("{folder}{}.{kind}", plain(file.stem())))?;
        match files::write_new(&place, &file.bytes, false, &Inputs::default()) {
            // The same picture, brought twice.
            Err(Failure::There(_)) if std::fs::read(&place).is_ok_and(|it| it == file.bytes) => {}
            written => written?,
        }
    }
    Ok(Json(json!({ "pictures": pictures::beside(&server.folder, &parts) })))
}

fn become_piece(server: &Server, mut files: Vec<File>) -> Result<Json<Answer>, Refusal> {
    in_order(&mut files);
    let unread = |error: cartella::Error| Refusal::unclear(error.to_string());
    if let Some(large) = files.iter().find(|file| file.bytes.len() > LARGEST_FILE) {
        let said = format!("{} has more than {} MiB", large.name, LARGEST_FILE >> 20);
        return Err(Refusal::unclear(said));
    }
    let (document, name) = match files.as_slice() {
        [] => return Err(Refusal::unclear("nothing was brought")),
        [score] if is_musicxml(&score.bytes) => {
            let read = Document::read_musicxml(score.stem(), &score.bytes, None).map_err(unread)?;
            (read.0, score.stem())
        }
        several if several.iter().any(|file| is_musicxml(&file.bytes)) => {
            return Err(Refusal::unclear(
                "bring one MusicXML score at a time: it has all its voices in one file",
            ));
        }
        parts => {
            let parts: Vec<MeiPart<'_>> = parts.iter().map(part).collect::<Result<_, _>>()?;
            (Document::read_mei(&parts).map_err(unread)?.0, files[0].stem())
        }
    };
    let head = document.first().piece().head.title.as_ref().map(|title| title.text.as_str());
    let stem = plain(head.unwrap_or(name));
    // A piece that is there already stays.
    for number in 1.. {
        let path = match number {
            1 => format!("{stem}.parts"),
            _ => format!("{stem}-{number}.parts"),
        };
        let place = server.folder.place(&path)?;
        match files::write_new(&place, document.text().as_bytes(), false, &Inputs::default()) {
            Err(Failure::There(_)) => {}
            written => {
                written?;
                return Ok(Json(json!({ "path": path })));
            }
        }
    }
    Err(Refusal::unclear("there is no free name for it"))
}

fn part(file: &File) -> Result<MeiPart<'_>, Refusal> {
    let text = std::str::from_utf8(&file.bytes)
        .map_err(|_| Refusal::unclear(format!("{} is not UTF-8 text", file.name)))?;
    Ok(MeiPart { name: file.stem(), text })
}

/// Voices that have the usual names go from the top down, in whatever order they came; others stay.
fn in_order(files: &mut [File]) {
    let usual = usual_names(8).unwrap_or_default();
    let rank = |file: &File| {
        let stem = file.stem().to_lowercase();
        usual.iter().position(|name| stem.contains(&name.to_lowercase()))
    };
    if files.iter().all(|file| rank(file).is_some()) {
        files.sort_by_key(rank);
    }
}

/// A name of letters, digits and hyphens.
fn plain(name: &str) -> String {
    let words = name.split(|char: char| !char.is_alphanumeric()).filter(|word| !word.is_empty());
    let name: String =
        words.collect::<Vec<_>>().join("-").to_lowercase().chars().take(60).collect();
    if name.is_empty() { "piece".to_owned() } else { name }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn voices_come_in_the_usual_order() {
        let file = |name: &str| File { name: name.to_owned(), bytes: Vec::new() };
        let mut files = ["tenor.mei", "x/altus.mei", "Bassus.mei", "cantus.mei"].map(file);
        in_order(&mut files);
        let names: Vec<&str> = files.iter().map(File::stem).collect();
        assert_eq!(names, ["cantus", "altus", "tenor", "Bassus"]);
    }

    #[test]
    fn names_of_files_are_plain() {
        assert_eq!(plain("Amor, io sento"), "amor-io-sento");
        assert_eq!(plain("../../x"), "x");
        assert_eq!(plain("…"), "piece");
    }
}
