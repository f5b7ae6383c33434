//! What is made for paper, and the page of a study.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse as _, Response};
use cartella::{BarLength, Book, Copy, Look, Options, Paper, RuleSet, pages, pdf, sheet};
use desk::message::Studied;
use desk::studied;
use serde::Deserialize;

use super::music::Typed;
use super::refusal::{Refusal, aside};
use super::server::Server;

#[derive(Deserialize)]
pub(super) struct Asked {
    #[serde(flatten)]
    typed: Typed,
    /// How wide the score is, in millimetres.
    width: f64,
}

pub(super) async fn study(
    State(_): State<Arc<Server>>,
    Json(Asked { typed, width }): Json<Asked>,
) -> Result<Json<Studied>, Refusal> {
    aside(move || Ok(Json(studied(typed.example(&typed.read())?, width)))).await
}

#[derive(Deserialize)]
pub(super) struct Printed {
    #[serde(flatten)]
    typed: Typed,
    what: What,
    #[serde(default)]
    paper: OnPaper,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Score,
    Proof,
    Study,
}

#[derive(Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
enum OnPaper {
    #[default]
    A4,
    Letter,
}

pub(super) async fn print(
    State(_): State<Arc<Server>>,
    Json(asked): Json<Printed>,
) -> Result<Response, Refusal> {
    let printed = aside(move || {
        let document = asked.typed.read();
        let example = asked.typed.example(&document)?;
        let paper = match asked.paper {
            OnPaper::A4 => Paper::A4,
            OnPaper::Letter => Paper::LETTER,
        };
        let title = example.piece().head.title.as_ref().map(|title| title.text.as_str());
        let aligned = example.score(BarLength::Breve);
        let look = Look { notes: true, ..Look::default() };
        let book: Book = match asked.what {
            What::Score => aligned.arrangement(Options::default()).pages(&look, &paper),
            What::Proof => {
                let copied = example.copied();
                let picture = copied.on_paper(&look, &paper, &Copy::default(), &|_, _| None);
                pages(vec![picture], &paper)
            }
            What::Study => {
                let studied = aligned.study(RuleSet::default());
                sheet(&aligned.page(&studied, &[]), Options::default(), &paper)
            }
        };
        pdf(&book, title).map_err(|error| Refusal::unclear(error.to_string()))
    });
    Ok(([(CONTENT_TYPE, "application/pdf")], printed.await?).into_response())
}
