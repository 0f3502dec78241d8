//! Runs every check and prints what is not as it should be.

use crate::repo::{Done, Remark, Repo};
use crate::{absence, budgets, edges, names, prose, rule_docs, sources};

/// Prints the remarks of all checks; true where none fails.
pub fn run(repo: &Repo) -> Done {
    let metadata = edges::metadata(repo)?;
    let checks: [(&str, Vec<Remark>); 9] = [
        ("edges and licences", edges::check(&metadata)),
        ("crates of other people", budgets::crates(repo)),
        ("sizes", budgets::check(repo)),
        ("names", names::check(repo)),
        ("absences", absence::check(repo)),
        ("sources", sources::check(repo)),
        ("boards have checks", sources::boards(repo)),
        ("pages of the rules", rule_docs::check(repo)),
        ("prose", prose::check(repo)),
    ];
    let mut failed = 0;
    for (name, mut remarks) in checks {
        remarks.sort();
        let bad = remarks.iter().filter(|r| r.fails).count();
        failed += bad;
        println!("{} {name}", if bad == 0 { "  ok  " } else { " FAIL " });
        for remark in &remarks {
            println!("       {}", line(remark));
        }
    }
    println!("tidy: {} files read, {failed} to mend", repo.files.len());
    Ok(failed == 0)
}

fn line(remark: &Remark) -> String {
    let told = if remark.fails { "" } else { "told only: " };
    match remark.line {
        0 => format!("{}: {told}{}", remark.path, remark.words),
        n => format!("{}:{n}: {told}{}", remark.path, remark.words),
    }
}
