//! Who may ask: a browser on this machine that was opened with the printed address, and no other page in it.

use std::collections::HashMap;
use std::sync::Arc;

use axum::extract::{Query, Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, COOKIE, HOST, LOCATION, ORIGIN, REFERRER_POLICY, SET_COOKIE,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use subtle::ConstantTimeEq;

use super::answer::refused;
use super::desk::Desk;

const NAME: &str = "couchside";

/// What every answer carries: nothing from elsewhere, nothing inline, nothing kept by the browser, in nobody's frame.
const HEADERS: [(HeaderName, &str); 7] = [
    (
        CONTENT_SECURITY_POLICY,
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; media-src 'self'; connect-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    (CACHE_CONTROL, "no-store"),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (X_FRAME_OPTIONS, "DENY"),
    // Not "no-referrer": forms would then not say which page they come from.
    (REFERRER_POLICY, "same-origin"),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
];

/// Lets a request through, or says why not.
pub async fn guard(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    let mut answer = match admit(&desk, &request) {
        Ok(None) => next.run(request).await,
        Ok(Some(enter)) => enter,
        Err(why) => refused(StatusCode::FORBIDDEN, why),
    };
    for (name, value) in HEADERS {
        answer.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// Nothing if it may go on; an answer if it came with the printed address.
fn admit(desk: &Desk, request: &Request) -> Result<Option<Response>, &'static str> {
    let headers = request.headers();
    let host = text(headers, &HOST).ok_or("The request names no host.")?;
    if !is_here(host) {
        return Err("This page is only for the machine that it runs on.");
    }
    if let Some(origin) = text(headers, &ORIGIN)
        && origin.strip_prefix("http://") != Some(host)
    {
        return Err("Another page asked for this.");
    }
    if request.uri().path() == "/enter" && request.method() == Method::GET {
        let query = Query::<HashMap<String, String>>::try_from_uri(request.uri()).unwrap_or_default();
        return match query.get("token") {
            Some(token) if same(token, &desk.token) => Ok(Some(enter(desk))),
            _ => Err(UNKNOWN),
        };
    }
    let from_elsewhere = text(headers, &HeaderName::from_static("sec-fetch-site"))
        .is_some_and(|site| !matches!(site, "same-origin" | "none"));
    if from_elsewhere {
        return Err("Another page asked for this.");
    }
    let writes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if writes && text(headers, &ORIGIN).is_none() {
        return Err("The request does not say which page it comes from.");
    }
    match cookie(headers) {
        Some(cookie) if same(cookie, &desk.cookie) => Ok(None),
        _ => Err(UNKNOWN),
    }
}

const UNKNOWN: &str =
    "Open the page with the address that couchside printed when it started; it is another one each time.";

/// The token is good for a cookie that scripts and other sites never see.
fn enter(desk: &Desk) -> Response {
    let cookie = format!("{NAME}={}; Path=/; HttpOnly; SameSite=Strict", desk.cookie);
    let first = match desk.live() {
        Some(_) => "/live",
        None => "/",
    };
    (
        StatusCode::SEE_OTHER,
        [(SET_COOKIE, cookie.as_str()), (LOCATION, first)],
    )
        .into_response()
}

/// A name that another site could point at this machine is not this machine's.
fn is_here(host: &str) -> bool {
    let name = host.rsplit_once(':').map_or(host, |(name, _)| name);
    matches!(name, "127.0.0.1" | "localhost")
}

fn cookie(headers: &HeaderMap) -> Option<&str> {
    let all = headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok());
    all.flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == NAME)
        .map(|(_, value)| value)
}

fn text<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    headers.get(name)?.to_str().ok()
}

/// Takes as long whatever is the same in them.
fn same(one: &str, other: &str) -> bool {
    one.as_bytes().ct_eq(other.as_bytes()).into()
}
