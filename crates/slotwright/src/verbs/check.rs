//! `check`: a build file → the whole judgement of the build.

use super::judgement::JudgementView;
use super::resolve;
use crate::failure::Failure;
use catalog::{Folder, Input, Library};
use domain::Build;
use engine::judge::{self, Judgement};
use std::path::Path;

/// A judged build: plain data, and what to draw.
#[derive(Debug)]
pub struct Checked {
    pub view: JudgementView,
    pub build: Build,
    pub judgement: Judgement,
}

/// Reads a build file and judges the build.
///
/// # Errors
/// The file, or the board file that it names, is wrong.
pub fn check(library: &Library, file: &Path) -> Result<Checked, Failure> {
    let files = Folder::default();
    check_text(library, &Input::file(&files, file)?)
}

/// The same from a text that stands for a file.
///
/// # Errors
/// The text is no build, or names what is not known.
pub fn check_text(library: &Library, input: &Input<'_>) -> Result<Checked, Failure> {
    let build = library.build(input, &|text| resolve::module(library.catalog(), text))?;
    Ok(judged(build))
}

/// Judges a build.
pub fn judged(build: Build) -> Checked {
    let judgement = judge::judge(&build);
    Checked { view: JudgementView::new(&build, &judgement), build, judgement }
}
