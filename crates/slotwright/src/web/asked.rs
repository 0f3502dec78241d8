//! A request as pages see it, and what they answer: no HTTP type goes further than this file and its server.

use super::query::Query;
use axum::body::{Body, Bytes};
use axum::http::{HeaderValue, Response, StatusCode, header};
use maud::Markup;

/// What was asked for.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// The path, without the query.
    pub path: String,
    /// The part of the path that names a thing, where the route has one.
    pub name: String,
    pub query: Query,
    /// Fields of a form that was sent.
    pub fields: Query,
    pub files: Vec<Upload>,
}

/// A file that was sent.
#[derive(Debug, Clone)]
pub struct Upload {
    /// The name of its field.
    pub field: String,
    /// Its own name; never used as a path.
    pub name: String,
    pub bytes: Bytes,
}

/// An answer.
#[derive(Debug)]
pub enum Answer {
    Page(StatusCode, Markup),
    Pdf {
        name: String,
        bytes: Vec<u8>,
    },
    /// A file to keep.
    File {
        name: String,
        text: String,
    },
    /// Bytes that somebody sent once: to keep, never to be run or shown by the browser.
    Kept {
        name: String,
        bytes: Vec<u8>,
    },
    /// Another page to go to; 303, so that going back does not send a form again.
    Go(String),
}

impl Answer {
    /// A page as it should be.
    pub fn page(markup: Markup) -> Self {
        Self::Page(StatusCode::OK, markup)
    }
    /// As HTTP has it.
    pub fn respond(self) -> Response<Body> {
        match self {
            Self::Page(status, markup) => {
                made(status, "text/html; charset=utf-8", None, harmless(markup.into_string()).into())
            }
            Self::Pdf { name, bytes } => made(
                StatusCode::OK,
                "application/pdf",
                Some(format!("inline; filename=\"{}\"", plain(&name))),
                bytes.into(),
            ),
            Self::File { name, text } => made(
                StatusCode::OK,
                "text/plain; charset=utf-8",
                Some(format!("attachment; filename=\"{}\"", plain(&name))),
                text.into(),
            ),
            Self::Kept { name, bytes } => made(
                StatusCode::OK,
                "application/octet-stream",
                Some(format!("attachment; filename=\"{}\"", plain(&name))),
                bytes.into(),
            ),
            Self::Go(to) => {
                let mut response = made(StatusCode::SEE_OTHER, "text/plain; charset=utf-8", None, Body::empty());
                if let Ok(to) = HeaderValue::from_str(&to) {
                    response.headers_mut().insert(header::LOCATION, to);
                }
                response
            }
        }
    }
}

/// Controls, and what turns the direction of the text around it, replaced: a label must not reorder the page that quotes it.
fn harmless(page: String) -> String {
    let harms = |c: char| match c {
        '\t' | '\n' | '\r' => false,
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => true,
        c => c.is_control(),
    };
    if page.contains(harms) { page.replace(harms, "\u{fffd}") } else { page }
}

fn made(status: StatusCode, kind: &'static str, disposition: Option<String>, body: Body) -> Response<Body> {
    let mut response = Response::new(body);
    *response.status_mut() = status;
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    if let Some(value) = disposition.and_then(|d| HeaderValue::from_str(&d).ok()) {
        response.headers_mut().insert(header::CONTENT_DISPOSITION, value);
    }
    response
}

/// A file name of plain characters.
fn plain(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() || ".-_".contains(c) { c } else { '-' }).collect()
}

#[cfg(test)]
mod tests {
    use super::harmless;

    #[test]
    fn what_would_reorder_a_page_is_replaced_and_its_lines_stay() {
        assert_eq!(
            harmless("a\u{202e}b\u{2067}c\0\u{1b}[\u{85}".into()),
            "a\u{fffd}b\u{fffd}c\u{fffd}\u{fffd}[\u{fffd}"
        );
        let arabic = "\u{645}\u{200c}\u{627}\t\r\nend";
        assert_eq!(harmless(arabic.into()), arabic);
    }
}
