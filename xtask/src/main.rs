//! The repository's own chores: `cargo xtask tidy` checks it, `cargo xtask docs` writes the pages that the rules explain.

mod absence;
mod budgets;
mod code;
mod edges;
mod names;
mod prose;
mod repo;
mod rule_docs;
mod sources;
mod tidy;

use std::process::ExitCode;

const USAGE: &str = "\
usage: cargo xtask <chore>
  tidy   check edges between crates, sizes, sources, names and generated pages; writes nothing
  docs   write docs/rules/ from the rules";

fn main() -> ExitCode {
    let chore = std::env::args().nth(1);
    let done = match chore.as_deref() {
        Some("tidy") => repo::Repo::load().and_then(|repo| tidy::run(&repo)),
        Some("docs") => repo::Repo::load().and_then(|repo| rule_docs::write(&repo)),
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(clean) if clean => ExitCode::SUCCESS,
        Ok(_) => ExitCode::FAILURE,
        Err(error) => {
            eprintln!("xtask: {error}");
            ExitCode::from(2)
        }
    }
}
