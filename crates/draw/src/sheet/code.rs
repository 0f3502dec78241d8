//! A two-dimensional code as squares on a page.

use super::page::{self, Page};
use crate::code::{Code, QUIET, Spare};
use crate::palette::LIGHT;

/// Puts a code into a square of `size` pt; nothing where the text is too long for any code.
pub fn put(text: &str, at: (f64, f64), size: f64, onto: &mut Page) {
    let Some(code) = Code::new(text, Spare::Paper) else { return };
    let step = size / (code.width() + 2 * QUIET) as f64;
    for run in code.runs() {
        let left = at.0 + (QUIET + run.left) as f64 * step;
        let top = at.1 + (QUIET + run.top) as f64 * step;
        onto.shape(page::rounded(left, top, run.length as f64 * step, step, 0.0), Some(LIGHT.ink), None);
    }
}
