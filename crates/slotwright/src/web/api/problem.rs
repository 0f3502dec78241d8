//! What goes wrong, as a problem document (RFC 9457) with the hint of what to do next.

use crate::failure::Failure;
use axum::http::StatusCode;
use schemars::JsonSchema;
use serde::Serialize;
use store::StoreError;

/// A problem document (RFC 9457).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Problem {
    /// `about:blank`: the status says what kind it is.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The status in words.
    pub title: &'static str,
    /// The HTTP status.
    #[schemars(range(min = 400, max = 599))]
    pub status: u16,
    /// What is wrong, where.
    pub detail: String,
    /// What to do next.
    pub hint: String,
    /// Each wrong part of what was sent; empty where it is one matter.
    pub errors: Vec<Wrong>,
    /// Was it changed since the version that the caller looked at?
    #[serde(skip)]
    pub stale: bool,
}

/// A wrong part of what was sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Wrong {
    /// A JSON pointer (RFC 6901) into the body.
    pub pointer: String,
    pub detail: String,
    pub hint: String,
}

impl Problem {
    /// One matter.
    pub fn new(status: StatusCode, detail: impl Into<String>, hint: impl Into<String>) -> Self {
        Self {
            kind: "about:blank",
            title: status.canonical_reason().unwrap_or_default(),
            status: status.as_u16(),
            detail: detail.into(),
            hint: hint.into(),
            errors: Vec::new(),
            stale: false,
        }
    }
    /// What was sent can't be understood.
    pub fn bad(detail: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, detail, hint)
    }
    /// Nothing by that name.
    pub fn absent(detail: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, detail, "list what there is, and take a name from there")
    }
    /// What was sent is understood and wrong.
    pub fn wrong(detail: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, detail, hint)
    }
    /// The same under another status.
    #[must_use]
    pub fn under(self, status: StatusCode) -> Self {
        Self { title: status.canonical_reason().unwrap_or_default(), status: status.as_u16(), ..self }
    }
    /// With the parts that are wrong.
    #[must_use]
    pub fn with(mut self, errors: Vec<Wrong>) -> Self {
        self.errors = errors;
        self
    }
}

impl From<Failure> for Problem {
    fn from(failure: Failure) -> Self {
        let stale = matches!(failure, Failure::Store(StoreError::Changed { .. }));
        Self { stale, ..Self::new(status(&failure), failure.to_string(), hint(&failure)) }
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        Failure::Store(error).into()
    }
}

/// What to do next, by the names that a body has, not by options of the command line.
fn hint(failure: &Failure) -> String {
    match failure {
        Failure::QuoteMoved { .. } => {
            "revise the quote, or order it at the quoted price with \"anyway\": true, if that was agreed".to_string()
        }
        Failure::OtherSort { .. } => {
            "take one of the same sort, or check the changed build and say \"anyway\": true".to_string()
        }
        Failure::UnknownSettings { .. } => {
            "say \"settings_now\": true to take the settings that the server has now".to_string()
        }
        other => other.hint(),
    }
}

fn status(failure: &Failure) -> StatusCode {
    match failure {
        Failure::Store(error) => match error {
            StoreError::Absent { .. } => StatusCode::NOT_FOUND,
            StoreError::Changed { .. }
            | StoreError::Taken(_)
            | StoreError::Stage { .. }
            | StoreError::State { .. }
            | StoreError::NotNow { .. } => StatusCode::CONFLICT,
            StoreError::Rows(_) | StoreError::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
            StoreError::Busy { .. } => StatusCode::SERVICE_UNAVAILABLE,
            StoreError::Open { .. } | StoreError::Later { .. } | StoreError::Foreign { .. } => {
                StatusCode::INTERNAL_SERVER_ERROR
            }
            StoreError::Database(_) => StatusCode::INTERNAL_SERVER_ERROR,
        },
        Failure::QuoteMoved { .. } | Failure::UnknownSettings { .. } => StatusCode::CONFLICT,
        failure if failure.is_ours() => StatusCode::INTERNAL_SERVER_ERROR,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_store_that_refuses_says_so_by_the_status() {
        let status = |error: StoreError| Problem::from(error).status;
        assert_eq!(status(StoreError::Absent { what: "order", which: "1".into() }), 404);
        let changed = Problem::from(StoreError::Changed { what: "order", which: "1".into() });
        assert!(changed.status == 409 && changed.stale);
        let now = Problem::from(StoreError::NotNow { why: "it is closed".into(), hint: "make another" });
        assert!(now.status == 409 && !now.stale);
        let under = changed.under(StatusCode::PRECONDITION_FAILED);
        assert_eq!((under.status, under.title), (412, "Precondition Failed"));
        assert_eq!(status(StoreError::Busy { turns: 9 }), 503);
        let problem = Problem::from(StoreError::Refused("an order needs a customer's name".into()));
        assert_eq!((problem.status, problem.title), (422, "Unprocessable Entity"));
        assert!(!problem.hint.is_empty() && problem.detail.contains("customer"));
    }
}
