//! What is made for paper, and the page of a study.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse as _, Response};
use cartella::{BarLength, Book, Copy, Look, Options, Paper, RuleSet, pages, pdf, sheet};
use serde::Deserialize;
use serde_json::{Value as Answer, json};

use super::music::Typed;
use super::refusal::{Refusal, aside};
use super::server::Server;
use crate::verbs::study;

pub(super) async fn study(
    State(_): State<Arc<Server>>,
    Json(typed): Json<Typed>,
) -> Result<Json<Answer>, Refusal> {
    aside(move || {
        let document = typed.read();
        let aligned = typed.example(&document)?.score(BarLength::Breve);
        let studied = aligned.study(RuleSet::default());
        let page = aligned.page(&studied, &[]);
        let drawn = sheet(&page, Options::default(), &Paper::A4);
        let drawn: Vec<String> = drawn.pages.iter().map(|page| document.svg(page)).collect();
        Ok(Json(json!({ "page": study::page(&page), "svg": drawn })))
    })
    .await
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
