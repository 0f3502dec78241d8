//! The program as its user meets it: scenarios, exit codes, faulty input, files that are written.

mod api;
mod at_the_bench;
mod codes;
mod compare_faults;
mod diagnoses;
mod drafts;
mod faults;
mod files;
mod kills;
mod machines;
mod names;
mod pages;
mod program;
mod published;
mod quotes;
mod reads;
mod repairs;
mod scanned;
mod scenarios;
mod selling;
mod shells;
mod stock;
mod terminal;
mod views;
mod widths;

use std::path::{Path, PathBuf};

/// The top of the repository.
fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A file in this folder that no `mod` names would never run.
#[test]
fn every_file_here_is_a_module() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it");
    let named = std::fs::read_to_string(here.join("main.rs")).unwrap();
    for entry in std::fs::read_dir(here).unwrap() {
        let name = entry.unwrap().path();
        let stem = name.file_stem().unwrap().to_string_lossy().into_owned();
        assert!(stem == "main" || named.contains(&format!("mod {stem};")), "{stem} is not named");
    }
}
