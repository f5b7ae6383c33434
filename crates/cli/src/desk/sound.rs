//! A piece as it is heard: samples as they are made, and when every note comes.

use std::io::{self, Write};
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};

use axum::Json;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse as _, Response};
use cartella::{
    Aligned, BarLength, Excerpt, Options, Performance, Rendering, Time, render, stream_wav,
};
use futures_core::Stream;
use serde::Deserialize;
use tokio::sync::mpsc::{Receiver, Sender, channel};

use super::music::Typed;
use super::refusal::{Refusal, aside};
use super::server::Server;
use crate::instrument::OnInstrument;
use crate::report::Source;
use crate::sounding::Sounding;
use crate::verbs::timing;

/// So many bytes are sent at once, and so many such pieces wait at most.
const PIECE: usize = 1 << 15;
const WAITING: usize = 8;

#[derive(Deserialize)]
pub(super) struct Heard {
    #[serde(flatten)]
    typed: Typed,
    /// From which minim on; from the beginning of its bar.
    from: Option<f64>,
    /// Up to which minim; to the end of its bar.
    to: Option<f64>,
    #[serde(default)]
    only: Vec<String>,
    #[serde(default)]
    without: Vec<String>,
    tempo: Option<String>,
    temperament: Option<String>,
    pitch: Option<f64>,
    instrument: Option<String>,
}

impl Heard {
    /// Does something with the passage as it is played.
    fn play<T>(
        &self,
        then: impl FnOnce(&Aligned<'_>, &Performance) -> Result<T, Refusal>,
    ) -> Result<T, Refusal> {
        let document = self.typed.read();
        let whole = self.typed.example(&document)?.score(BarLength::Breve);
        let tempo = self.tempo.as_deref();
        let sounding = Sounding::of_words(tempo, self.only.clone(), self.without.clone());
        let sounding = sounding.map_err(Refusal::unclear)?;
        let playing = sounding.playing(&whole).map_err(Refusal::unclear)?;
        let bar = |minims: f64| {
            let moment = Time::new((minims.clamp(0.0, 1e9) * 840.0).round() as i64, 840);
            whole.score.bar_at(moment).map_or(1, |bar| bar.number)
        };
        let last = whole.score.bars.last().map_or(1, |bar| bar.number);
        // The moment of the end is not heard itself.
        let bars = (self.from.map_or(1, bar), self.to.map_or(last, |to| bar(to - 1.0 / 840.0)));
        let aligned = match bars {
            (1, to) if to == last => whole,
            (from, to) => {
                let excerpt = Excerpt::bars(from..=to.max(from));
                whole.excerpt(&excerpt).map_err(|none| Refusal::unclear(none.to_string()))?
            }
        };
        let performance = aligned.arrangement(Options::default()).performance(&playing);
        then(&aligned, &performance)
    }

    fn rendering(&self) -> Result<Rendering, Refusal> {
        let (temperament, instrument) = (self.temperament.as_deref(), self.instrument.as_deref());
        let asked = OnInstrument::of_words(temperament, self.pitch, instrument);
        Ok(asked.map_err(Refusal::unclear)?.rendering())
    }
}

pub(super) async fn sound(
    State(_): State<Arc<Server>>,
    Json(heard): Json<Heard>,
) -> Result<Response, Refusal> {
    let rendering = heard.rendering()?;
    // What is wrong with the question is said before the first sample.
    let heard = aside(move || heard.play(|_, _| Ok(())).map(|()| heard)).await?;
    let (send, receive) = channel(WAITING);
    tokio::task::spawn_blocking(move || {
        let written = heard.play(|_, performance| {
            let samples = render(performance, &rendering);
            let mut pieces = Pieces { send: send.clone(), piece: Vec::with_capacity(PIECE) };
            let written = samples.and_then(|mut samples| stream_wav(&mut samples, &mut pieces));
            written.map_err(|error| Refusal::unclear(error.to_string()))
        });
        if let Err(refusal) = written {
            // The answer has begun: it is broken off.
            let _ = send.blocking_send(Err(io::Error::other(refusal.message)));
        }
    });
    let body = Body::from_stream(Sent(receive));
    Ok(([(CONTENT_TYPE, "audio/wav")], body).into_response())
}

pub(super) async fn times(
    State(_): State<Arc<Server>>,
    Json(heard): Json<Heard>,
) -> Result<Response, Refusal> {
    let said = aside(move || {
        heard.play(|aligned, performance| {
            let source = Source { name: "", document: aligned.example().document() };
            Ok(timing::answer(&[], &aligned.score, performance, &source).as_bytes().to_vec())
        })
    });
    Ok(([(CONTENT_TYPE, "application/json")], said.await?).into_response())
}

/// Sends what is written in it; nobody reads on where nobody listens any more.
struct Pieces {
    send: Sender<io::Result<Bytes>>,
    piece: Vec<u8>,
}

impl Write for Pieces {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.piece.extend_from_slice(bytes);
        if self.piece.len() >= PIECE {
            self.flush()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        let piece = std::mem::replace(&mut self.piece, Vec::with_capacity(PIECE));
        if piece.is_empty() {
            return Ok(());
        }
        self.send.blocking_send(Ok(piece.into())).map_err(|_| io::ErrorKind::BrokenPipe.into())
    }
}

struct Sent(Receiver<io::Result<Bytes>>);

impl Stream for Sent {
    type Item = io::Result<Bytes>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        self.0.poll_recv(context)
    }
}
