//! What a call is answered with: a view as JSON, or a problem.

use super::problem::Problem;
use super::table::Route;
use axum::body::Body;
use axum::http::{HeaderName, HeaderValue, Response, StatusCode, header};
use serde::Serialize;

/// A view with the version of what it shows, where that has one.
#[derive(Debug)]
pub struct Made<V> {
    pub view: V,
    pub version: Option<i64>,
}

impl<V> Made<V> {
    /// Of something that has no version.
    pub const fn of(view: V) -> Self {
        Self { view, version: None }
    }
    /// At a version.
    pub const fn at(version: i64, view: V) -> Self {
        Self { view, version: Some(version) }
    }
}

/// A view, written.
#[derive(Debug)]
pub struct Written {
    text: String,
    version: Option<i64>,
}

impl Written {
    /// Writes a view as `--json` does.
    ///
    /// # Errors
    /// It can't be written: our own mistake.
    pub fn new<V: Serialize>(made: &Made<V>) -> Result<Self, Problem> {
        let text =
            serde_json::to_string_pretty(&made.view).map_err(|e| Problem::from(crate::failure::Failure::Json(e)))?;
        Ok(Self { text: text + "\n", version: made.version })
    }
    /// As HTTP has it.
    pub fn respond(self, route: &Route) -> Response<Body> {
        let status = StatusCode::from_u16(route.status()).unwrap_or(StatusCode::OK);
        let mut response = json(status, "application/json", self.text);
        let tag = self.version.filter(|_| route.tagged()).and_then(|v| HeaderValue::from_str(&format!("\"{v}\"")).ok());
        response.headers_mut().extend(tag.map(|t| (header::ETAG, t)));
        response
    }
}

/// A problem as HTTP has it.
pub fn problem(problem: &Problem, headers: &[(HeaderName, &str)]) -> Response<Body> {
    let status = StatusCode::from_u16(problem.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let text = serde_json::to_string_pretty(problem).unwrap_or_default() + "\n";
    let mut response = json(status, "application/problem+json", text);
    let headers = headers.iter().filter_map(|(n, v)| Some((n.clone(), HeaderValue::from_str(v).ok()?)));
    response.headers_mut().extend(headers);
    response
}

fn json(status: StatusCode, kind: &'static str, text: String) -> Response<Body> {
    let mut response = Response::new(Body::from(text));
    *response.status_mut() = status;
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    response
}
