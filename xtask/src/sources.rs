//! Every figure's source resolves in `data/sources.toml`, and every board has a check that names it.

use crate::repo::{Remark, Repo};
use std::collections::BTreeSet;
use toml::{Table, Value};

/// The citation register.
pub const REGISTER: &str = "data/sources.toml";

/// The ids of the register.
fn ids(repo: &Repo) -> BTreeSet<String> {
    let table = repo.files.get(REGISTER).and_then(|t| t.parse::<Table>().ok());
    let entries = table.as_ref().and_then(|t| t.get("source")?.as_table());
    entries.into_iter().flat_map(|t| t.keys().cloned()).collect()
}

/// Sources of data, of rules and of published answers that the register does not hold.
pub fn check(repo: &Repo) -> Vec<Remark> {
    let known = ids(repo);
    let mut remarks = Vec::new();
    if known.is_empty() {
        remarks.push(Remark::fail(REGISTER, 0, "is missing or has no [source.<id>]"));
    }
    let mut cited = BTreeSet::new();
    for (path, text) in repo.under("data/", ".toml") {
        if path != REGISTER {
            data(path, text, &known, &mut cited, &mut remarks);
        }
    }
    for rule in engine::rules::ALL {
        for id in rule.sources {
            if !known.contains(*id) {
                let words = format!("the rule `{}` cites `{id}`, which is not there", rule.name);
                remarks.push(Remark::fail(REGISTER, 0, words));
            }
            cited.insert((*id).to_string());
        }
    }
    for folder in published(repo) {
        if !known.contains(folder) {
            let words = format!("the folder is not named after an id of {REGISTER}");
            remarks.push(Remark::fail(&format!("published/{folder}"), 0, words));
        }
        cited.insert(folder.to_string());
    }
    for id in known.difference(&cited) {
        // Formulas and published answers cite in words.
        let named = |text: &str| names(&text.to_lowercase(), &id.to_lowercase());
        let mut texts = repo.rust().chain(repo.under("published/", ""));
        if !texts.any(|(_, text)| named(text)) {
            remarks.push(Remark::tell(REGISTER, 0, format!("`{id}` is cited nowhere")));
        }
    }
    remarks
}

fn data(path: &str, text: &str, known: &BTreeSet<String>, cited: &mut BTreeSet<String>, remarks: &mut Vec<Remark>) {
    let table = match text.parse::<Table>() {
        Ok(table) => table,
        Err(error) => {
            remarks.push(Remark::fail(path, 0, format!("does not read: {}", error.message())));
            return;
        }
    };
    let mut found = BTreeSet::new();
    collect(&Value::Table(table), &mut found);
    for id in &found {
        if !known.contains(id) {
            let quoted = format!("\"{id}\"");
            let line = text.lines().position(|l| l.contains("source") && l.contains(&quoted)).map_or(0, |i| i + 1);
            let words = format!("the source `{id}` is not in {REGISTER}");
            remarks.push(Remark::fail(path, line, words));
        }
    }
    cited.extend(found);
}

/// Every string under a key `source`, at any depth.
fn collect(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Table(table) => {
            for (key, inner) in table {
                match inner.as_str() {
                    Some(id) if key == "source" => {
                        found.insert(id.to_string());
                    }
                    _ => collect(inner, found),
                }
            }
        }
        Value::Array(all) => all.iter().for_each(|v| collect(v, found)),
        _ => {}
    }
}

/// The folders of published answers.
fn published(repo: &Repo) -> BTreeSet<&str> {
    repo.under("published/", "").filter_map(|(p, _)| Some(p.strip_prefix("published/")?.split_once('/')?.0)).collect()
}

/// Boards that no scenario and no published answer names.
pub fn boards(repo: &Repo) -> Vec<Remark> {
    let checks: Vec<&str> =
        repo.under("scenarios/", "").chain(repo.under("published/", "")).map(|(_, text)| text).collect();
    repo.under("data/boards/", ".toml")
        .filter(|(path, _)| {
            let id = path.rsplit('/').next().unwrap_or(path).trim_end_matches(".toml");
            !checks.iter().any(|text| names(text, id))
        })
        .map(|(path, _)| Remark::fail(path, 0, "no scenario and no published answer names this board"))
        .collect()
}

/// Does the text name this id, and not only a longer one that begins with it?
fn names(text: &str, id: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
    text.match_indices(id).any(|(at, _)| {
        !text[..at].chars().next_back().is_some_and(part) && !text[at + id.len()..].chars().next().is_some_and(part)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOOK: (&str, &str) = (REGISTER, "[source.jesd]\ntitle = \"t\"\n");

    fn fails(files: &[(&str, &str)]) -> Vec<(String, usize)> {
        let mut remarks = check(&Repo::of(files));
        remarks.retain(|r| r.fails && r.path != REGISTER);
        remarks.into_iter().map(|r| (r.path, r.line)).collect()
    }

    #[test]
    fn a_source_that_does_not_resolve_is_found_with_its_line() {
        let good = "source = \"jesd\"\n[a]\nb = [{ most = 1, source = \"jesd\" }]\n";
        assert!(fails(&[BOOK, ("data/boards/x.toml", good)]).is_empty());
        let bad = good.replace("1, source = \"jesd\"", "1, source = \"lost\"");
        let found = fails(&[BOOK, ("data/boards/x.toml", &bad)]);
        assert_eq!(found, [("data/boards/x.toml".to_string(), 3)]);
        assert_eq!(fails(&[BOOK, ("published/lost/a.toml", "")]).len(), 1);
    }

    #[test]
    fn a_board_is_named_whole() {
        let board = ("data/boards/dunlin-2s6.toml", "");
        let other = ("scenarios/a.md", "check dunlin-2s6-tall\n");
        let own = ("scenarios/b.md", "check `dunlin-2s6`\n");
        assert_eq!(boards(&Repo::of(&[board, other])).len(), 1);
        assert!(boards(&Repo::of(&[board, other, own])).is_empty());
    }
}
