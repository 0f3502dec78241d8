//! `docs/rules/`: one page a rule, printed from what the rule says of itself, and an index by severity.

use crate::repo::{Done, Remark, Repo};
use crate::sources::REGISTER;
use engine::rules::{self, Rule, Scope};
use std::collections::BTreeMap;
use std::fs;

const FOLDER: &str = "docs/rules/";
const MARK: &str = "<!-- Written by `cargo xtask docs` from the rule's own file. Change that file. -->\n\n";

/// Writes the pages, and takes away pages of rules that are gone.
pub fn write(repo: &Repo) -> Done {
    let pages = pages(repo);
    fs::create_dir_all(repo.root.join(FOLDER))?;
    for (path, text) in &pages {
        fs::write(repo.root.join(path), text)?;
    }
    for (path, _) in repo.under(FOLDER, ".md") {
        if !pages.contains_key(path) {
            fs::remove_file(repo.root.join(path))?;
        }
    }
    println!("{} pages in {FOLDER}", pages.len());
    Ok(true)
}

/// Pages that differ from what the rules say now.
pub fn check(repo: &Repo) -> Vec<Remark> {
    let pages = pages(repo);
    let stale = pages
        .iter()
        .filter(|(path, text)| repo.files.get(*path) != Some(*text))
        .map(|(path, _)| Remark::fail(path, 0, "is stale; run `cargo xtask docs`"));
    let gone = repo
        .under(FOLDER, ".md")
        .filter(|(path, _)| !pages.contains_key(*path))
        .map(|(path, _)| Remark::fail(path, 0, "has no rule; run `cargo xtask docs`"));
    stale.chain(gone).collect()
}

fn pages(repo: &Repo) -> BTreeMap<String, String> {
    let mut pages: BTreeMap<String, String> =
        rules::ALL.iter().map(|rule| (format!("{FOLDER}{}.md", rule.name), page(repo, rule))).collect();
    pages.insert(format!("{FOLDER}README.md"), index());
    pages
}

fn page(repo: &Repo, rule: &Rule) -> String {
    format!(
        "{MARK}# {}\n\nAt worst **{}**. Looks at {}.\n\n{}\n\n## Sources\n\n{}",
        rule.name,
        rule.severity,
        scope(rule.scope),
        rule.explain.trim(),
        cited(repo, rule)
    )
}

fn index() -> String {
    let mut rows: Vec<&Rule> = rules::ALL.to_vec();
    rows.sort_by_key(|r| (r.severity, r.name));
    let mut text = format!(
        "{MARK}# The rules\n\n{} rules. The severity is the worst that a rule gives; a board's data may soften it.\n\n\
         | Rule | At worst | Looks at |\n| --- | --- | --- |\n",
        rows.len()
    );
    for rule in rows {
        text += &format!("| [{0}]({0}.md) | {1} | {2} |\n", rule.name, rule.severity, scope(rule.scope));
    }
    text
}

fn scope(scope: Scope) -> &'static str {
    match scope {
        Scope::Slot => "one module in its slot",
        Scope::Channel => "one channel",
        Scope::Socket => "one socket",
        Scope::Machine => "the whole machine",
    }
}

/// The rule's sources as the register has them.
fn cited(repo: &Repo, rule: &Rule) -> String {
    let register = repo.files.get(REGISTER).and_then(|t| t.parse::<toml::Table>().ok());
    let entry = |id: &str| register.as_ref()?.get("source")?.get(id)?.as_table().cloned();
    let mut lines = String::new();
    for id in rule.sources {
        let words = entry(id).map_or_else(String::new, |e| {
            ["publisher", "title", "edition", "place"]
                .iter()
                .filter_map(|key| e.get(*key)?.as_str().filter(|t| !t.is_empty()))
                .collect::<Vec<_>>()
                .join(", ")
        });
        lines += &format!("- `{id}`: {words}\n");
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_without_a_rule_and_a_missing_index_are_found() {
        let repo = Repo::of(&[("docs/rules/no-such-rule.md", "x\n")]);
        let words: Vec<String> = check(&repo).into_iter().map(|r| r.words).collect();
        assert!(words.iter().any(|w| w.contains("no rule")));
        assert!(words.iter().any(|w| w.contains("stale")));
    }
}
