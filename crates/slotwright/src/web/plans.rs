//! Plans: the list with its chart, one plan closely, and a few side by side.

pub mod beside;
mod chart;
pub mod list;
pub mod one;

use super::app::{App, Timed};
use super::asked::Answer;
use super::need::{self, Form};
use super::query::Query;

/// A need that was asked for and searched.
pub struct Found {
    pub form: Form,
    pub timed: Timed,
}

/// Searches the need of a query; a need with faults goes back to its form.
///
/// # Errors
/// The page to show instead.
pub fn find(app: &App, query: &Query) -> Result<Found, Answer> {
    let data = app.data();
    let form = Form::new(&query.trimmed());
    match form.read(&data.library) {
        Ok(need) => {
            let text = format!("{}\n{}", form.text(), form.stock());
            Ok(Found { timed: app.search(&text, need), form })
        }
        Err(wrong) => Err(need::answer(data.library.catalog(), &Form::new(query), &wrong)),
    }
}

/// What the steps of the way carry on from a need, and from a plan of it where one is picked.
pub fn way(form: &Form, picked: Option<&Query>, build: Option<String>) -> Vec<(&'static str, String)> {
    let mut way = vec![("/need", form.query.text()), ("/plans", form.query.text())];
    if let Some(picked) = picked {
        way.push(("/sheets", picked.text()));
        way.push(("/compare", picked.text()));
        way.push(("/diagnose", picked.text()));
    }
    way.extend(build.map(|b| ("/build", b)));
    way
}
