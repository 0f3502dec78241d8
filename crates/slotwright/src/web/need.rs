//! The need: a form in the words of the need file, written as one; faults come back beside their fields.

mod form;
mod page;

pub use form::{Form, Wrong, toml_text};
pub use page::{answer, page};
