//! What is refused before anything is looked at, and what every answer tells the browser.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{
    AUTHORIZATION, CACHE_CONTROL, CONTENT_LENGTH, CONTENT_SECURITY_POLICY, HOST, ORIGIN,
    REFERRER_POLICY, SEC_WEBSOCKET_PROTOCOL, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};

use super::refusal::Refusal;
use super::server::{LARGEST, Server};

/// The one name of the machine by which the desk is asked.
pub(super) const NAME: &str = "127.0.0.1";

/// The subprotocol of the socket, and what stands before the token in another.
pub(super) const PROTOCOL: &str = "cartella";
const TOKEN: &str = "token.";

pub(super) async fn guard(
    State(server): State<Arc<Server>>,
    request: Request,
    next: Next,
) -> Response {
    let mut response = match refused(&server, &request) {
        Some(refusal) => refusal.into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    let said = [
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (X_FRAME_OPTIONS, "DENY"),
        (CACHE_CONTROL, "no-store"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in said {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if !headers.contains_key(CONTENT_SECURITY_POLICY) {
        headers.insert(
            CONTENT_SECURITY_POLICY,
            HeaderValue::from_static("default-src 'none'; frame-ancestors 'none'"),
        );
    }
    response
}

/// Why a request is refused, whatever it asks for.
fn refused(server: &Server, request: &Request) -> Option<Refusal> {
    let (headers, path) = (request.headers(), request.uri().path());
    let host = format!("{NAME}:{}", server.port);
    let named = request.uri().authority().is_none_or(|authority| authority.as_str() == host);
    if !named || only(headers, &HOST) != Some(host.as_str()) {
        return Some(Refusal::forbidden(format!("the desk is asked as http://{host} only")));
    }
    let is_socket = path == "/socket";
    let origin = format!("http://{host}");
    let is_own = only(headers, &ORIGIN) == Some(origin.as_str());
    let needs_origin = is_socket || !matches!(*request.method(), Method::GET | Method::HEAD);
    if !is_own && (needs_origin || headers.contains_key(ORIGIN)) {
        return Some(Refusal::forbidden("another page asks"));
    }
    // Browsers say from where and for what they ask.
    let asked = |name: &'static str| headers.get(name).and_then(|value| value.to_str().ok());
    let framed = asked("sec-fetch-dest")
        .is_some_and(|dest| ["iframe", "frame", "embed", "object", "fencedframe"].contains(&dest));
    let foreign =
        asked("sec-fetch-site").is_some_and(|site| !["same-origin", "none"].contains(&site));
    let opened = path == "/" && asked("sec-fetch-mode") == Some("navigate");
    if framed || (foreign && !opened) {
        return Some(Refusal::forbidden("another page asks"));
    }
    let length = only(headers, &CONTENT_LENGTH).and_then(|length| length.parse::<usize>().ok());
    if length.is_some_and(|length| length > LARGEST) {
        let said = format!("a request has at most {} MiB", LARGEST >> 20);
        return Some(Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, said));
    }
    let token = match () {
        () if is_socket => subprotocol_token(headers),
        () if path.starts_with("/api/") && path != "/api/token" => bearer(headers),
        () => return None,
    };
    let known = token.is_some_and(|token| server.session.knows(token));
    (!known).then(|| {
        Refusal::new(
            StatusCode::UNAUTHORIZED,
            "this page is not known: open the address that the program shows",
        )
    })
}

/// A header that is there once.
fn only<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Option<&'h str> {
    let mut all = headers.get_all(name).iter();
    all.next().filter(|_| all.next().is_none())?.to_str().ok()
}

fn bearer(headers: &HeaderMap) -> Option<&str> {
    only(headers, &AUTHORIZATION)?.strip_prefix("Bearer ")
}

fn subprotocol_token(headers: &HeaderMap) -> Option<&str> {
    let mut offered = only(headers, &SEC_WEBSOCKET_PROTOCOL)?.split(',').map(str::trim);
    offered.find_map(|one| one.strip_prefix(TOKEN))
}

/// What the page may do: run its own program, and ask this server alone.
pub(super) fn policy(nonce: &str) -> String {
    format!(
        "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-{nonce}'; font-src 'self'; \
         img-src 'self' data: blob:; connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; \
         form-action 'none'"
    )
}
