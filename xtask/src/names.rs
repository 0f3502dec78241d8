//! File names: no room without a name of its own, no file that nothing mentions, verbs with their two halves.

use crate::repo::{Remark, Repo};

/// Names that say nothing of what is inside.
const EMPTY_NAMES: &[&str] = &["utils", "util", "common", "helpers", "helper", "manager", "misc"];
const README: &str = "README.md";
/// Where the halves of a verb lie.
const HALVES: &[&str] = &["crates/slotwright/src/verbs/", "crates/slotwright/src/cli/"];
/// The verb whose answer is pages, the half that it has no file for, and what stands for that.
const PAGES: (&str, &str, &str) = ("serve", "crates/slotwright/src/verbs/", "crates/slotwright/src/web.rs");

/// Files and folders with empty names, without an opening `//!`, or that no parent names.
pub fn check(repo: &Repo) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (path, text) in repo.rust() {
        if let Some(name) = path.trim_end_matches(".rs").split('/').find(|part| EMPTY_NAMES.contains(part)) {
            let words = format!("`{name}` says nothing of what is inside");
            remarks.push(Remark::fail(path, 0, words));
        }
        if !text.starts_with("//! ") {
            remarks.push(Remark::fail(path, 1, "does not open with `//!`"));
        }
        if forgotten(repo, path) {
            remarks.push(Remark::fail(path, 0, "no parent module names this file"));
        }
    }
    remarks.extend(halves(repo));
    remarks
}

/// Is this a module file that its parent does not name, so that it is never compiled?
fn forgotten(repo: &Repo, path: &str) -> bool {
    let parts: Vec<&str> = path.trim_end_matches(".rs").split('/').collect();
    let Some(root) = parts.iter().position(|p| matches!(*p, "src" | "tests")) else {
        return false;
    };
    let mut own = parts[root + 1..].to_vec();
    if own.last() == Some(&"mod") {
        own.pop();
    }
    // Crate roots: src/lib.rs, src/main.rs, src/bin/x.rs, tests/it.rs, tests/it/main.rs.
    let is_root = match own.as_slice() {
        [] | ["lib" | "main"] | ["bin", _] | [.., "main"] => true,
        [_] => parts[root] == "tests",
        _ => false,
    };
    if is_root {
        return false;
    }
    let name = own.pop().unwrap_or_default();
    let folder = [&parts[..=root], &own].concat().join("/");
    if module(repo, &folder).any(|text| declares(text, name)) {
        return false;
    }
    // A folder without a file of its own is declared, with what lies in it, one level up.
    let Some(last) = own.pop() else {
        return true;
    };
    let above = [&parts[..=root], &own].concat().join("/");
    module(repo, &folder).next().is_some() || !module(repo, &above).any(|t| declares(t, last) && declares(t, name))
}

/// The files in which the module of a folder may stand.
fn module<'a>(repo: &'a Repo, folder: &str) -> impl Iterator<Item = &'a String> {
    let files = ["/mod.rs", "/lib.rs", "/main.rs", ".rs"].map(|end| format!("{folder}{end}"));
    files.into_iter().filter_map(|path| repo.files.get(&path))
}

/// Does the text name this module, as `mod x;` or in a list of a macro?
fn declares(text: &str, name: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').any(|word| word == name)
}

/// Every verb that README.md lists has its two halves.
fn halves(repo: &Repo) -> Vec<Remark> {
    let readme = repo.files.get(README).map_or("", String::as_str);
    let mut remarks = Vec::new();
    for (i, line) in readme.lines().enumerate() {
        let Some(rest) = line.strip_prefix("| `slotwright ") else {
            continue;
        };
        let verb: String = rest.chars().take_while(char::is_ascii_lowercase).collect();
        for folder in HALVES {
            let file = format!("{folder}{verb}.rs");
            let room = format!("{folder}{verb}/mod.rs");
            let pages = PAGES.0 == verb && PAGES.1 == *folder && repo.files.contains_key(PAGES.2);
            if !repo.files.contains_key(&file) && !repo.files.contains_key(&room) && !pages {
                let words = format!("the verb `{verb}` has no {file}");
                remarks.push(Remark::fail(README, i + 1, words));
            }
        }
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(files: &[(&str, &str)]) -> Vec<String> {
        check(&Repo::of(files)).into_iter().map(|r| r.words).collect()
    }

    #[test]
    fn a_file_that_nobody_names_is_found() {
        let lib = ("a/src/lib.rs", "//! A.\nmod b;\nfamily! { c }\n");
        let b = ("a/src/b.rs", "//! B.\n");
        let c = ("a/src/c/mod.rs", "//! C.\nmod d;\n");
        let d = ("a/src/c/d.rs", "//! D.\n");
        let it = ("a/tests/it/main.rs", "//! It.\n");
        assert!(words(&[lib, b, c, d, it]).is_empty());
        let lost = ("a/src/c/e.rs", "//! E.\n");
        assert_eq!(words(&[lib, b, c, d, lost]), ["no parent module names this file"]);
        let rules = ("a/src/lib.rs", "//! A.\nregistry! { ranks: few; }\n");
        let few = ("a/src/ranks/few.rs", "//! F.\n");
        assert!(words(&[rules, few]).is_empty());
        let many = ("a/src/ranks/many.rs", "//! M.\n");
        assert_eq!(words(&[rules, few, many]).len(), 1);
        let case = ("a/tests/it/f.rs", "//! F.\n");
        assert_eq!(words(&[it, case]).len(), 1);
    }

    #[test]
    fn empty_names_and_missing_openings_are_found() {
        let found = words(&[("a/src/lib.rs", "mod utils;\n"), ("a/src/utils.rs", "//! U.\n")]);
        assert_eq!(found.len(), 2, "{found:?}");
    }

    #[test]
    fn a_verb_has_both_halves() {
        let readme = (README, "| `slotwright plan NEED` | x |\n");
        let verb = ("crates/slotwright/src/verbs/plan.rs", "");
        let face = ("crates/slotwright/src/cli/plan/mod.rs", "");
        assert!(halves(&Repo::of(&[readme, verb, face])).is_empty());
        assert_eq!(halves(&Repo::of(&[readme, verb])).len(), 1);
    }
}
