//! What is answered where something cannot be done.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::json;

use crate::files::Failure;

/// A request that is not done, and why, in a sentence for people.
#[derive(Debug)]
pub(super) struct Refusal {
    pub(super) status: StatusCode,
    pub(super) message: String,
}

impl Refusal {
    pub(super) fn new(status: StatusCode, message: impl Into<String>) -> Refusal {
        Refusal { status, message: message.into() }
    }

    pub(super) fn forbidden(message: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::FORBIDDEN, message)
    }

    pub(super) fn unclear(message: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message)
    }
}

impl From<Failure> for Refusal {
    fn from(failure: Failure) -> Refusal {
        let status = match &failure {
            Failure::There(_) | Failure::Changed(..) => StatusCode::CONFLICT,
            Failure::Unread(_, error) if error.kind() == std::io::ErrorKind::NotFound => {
                StatusCode::NOT_FOUND
            }
            Failure::Unwritten(..) | Failure::Refused(..) => StatusCode::INSUFFICIENT_STORAGE,
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        Refusal::new(status, failure.to_string())
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        (self.status, Json(json!({ "message": self.message }))).into_response()
    }
}

/// Work that would keep others waiting, done aside.
pub(super) async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let done = tokio::task::spawn_blocking(work).await;
    done.unwrap_or_else(|_| {
        Err(Refusal::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "this failed, which is a fault of the program; nothing of the text is lost",
        ))
    })
}
