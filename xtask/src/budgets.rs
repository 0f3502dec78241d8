//! How long things may be: files, functions, rules, and the list of other people's crates.

use crate::code;
use crate::repo::{Remark, Repo};

const FILE_TOLD: usize = 400;
const FILE_MOST: usize = 600;
const FUNCTION_MOST: usize = 75;
const MAIN_MOST: usize = 60;
const RULE_MOST: usize = 150;
const RULES: &str = "crates/engine/src/rules/";
/// (document, most lines).
const DOCUMENTS: &[(&str, usize)] = &[("ARCHITECTURE.md", 200)];
/// Other people's crates in Cargo.lock, those for other systems included. A larger set needs a reason in DESIGN.md.
const CRATES_MOST: usize = 290;

/// Files and functions within their budgets.
pub fn check(repo: &Repo) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (path, text) in repo.rust() {
        file(path, text.lines().count(), &mut remarks);
        for function in code::functions(text) {
            if function.lines > FUNCTION_MOST {
                let words = format!("`{}` has {} lines, {FUNCTION_MOST} are allowed", function.name, function.lines);
                remarks.push(Remark::fail(path, function.line, words));
            }
        }
    }
    for (path, most) in DOCUMENTS {
        match repo.files.get(*path) {
            Some(text) => over(path, text.lines().count(), *most, &mut remarks),
            None => remarks.push(Remark::fail(path, 0, "is missing")),
        }
    }
    remarks
}

fn file(path: &str, lines: usize, remarks: &mut Vec<Remark>) {
    if path.ends_with("src/main.rs") {
        over(path, lines, MAIN_MOST, remarks);
    } else if is_rule(path) {
        over(path, lines, RULE_MOST, remarks);
    } else if lines > FILE_MOST {
        over(path, lines, FILE_MOST, remarks);
    } else if lines > FILE_TOLD {
        let words = format!("{lines} lines; past {FILE_TOLD} a file is often two rooms");
        remarks.push(Remark::tell(path, 0, words));
    }
}

/// A rule is `<family>/<rule>.rs`; what rules share lies beside the families, their tests in `tests/`.
fn is_rule(path: &str) -> bool {
    let within = path.strip_prefix(RULES);
    within.is_some_and(|rest| rest.contains('/') && !rest.ends_with("/mod.rs") && !rest.starts_with("tests/"))
}

fn over(path: &str, lines: usize, most: usize, remarks: &mut Vec<Remark>) {
    if lines > most {
        remarks.push(Remark::fail(path, 0, format!("{lines} lines, {most} are allowed")));
    }
}

/// Other people's crates within their budget.
pub fn crates(repo: &Repo) -> Vec<Remark> {
    let path = "Cargo.lock";
    let lock = repo.files.get(path).and_then(|t| t.parse::<toml::Table>().ok());
    let Some(lock) = lock else {
        return vec![Remark::fail(path, 0, "is missing or does not read as TOML")];
    };
    let count = lock
        .get("package")
        .and_then(toml::Value::as_array)
        .map_or(0, |all| all.iter().filter(|p| p.get("source").is_some()).count());
    if count > CRATES_MOST {
        let words = format!("{count} crates of other people, {CRATES_MOST} are allowed");
        return vec![Remark::fail(path, 0, words)];
    }
    Vec::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(path: &str, text: &str) -> Vec<String> {
        let repo = Repo::of(&[("ARCHITECTURE.md", "a\n"), (path, text)]);
        check(&repo).into_iter().map(|r| r.words).collect()
    }

    #[test]
    fn each_budget_is_held_at_its_edge() {
        let lines = |n: usize| "\n".repeat(n);
        let rule = "crates/engine/src/rules/mixing/a.rs";
        assert!(words(rule, &lines(150)).is_empty());
        assert_eq!(words(rule, &lines(151)), ["151 lines, 150 are allowed"]);
        assert!(words("crates/engine/src/rules/tests/a.rs", &lines(151)).is_empty());
        assert_eq!(words("x/src/main.rs", &lines(61)).len(), 1);
        assert!(words("x/src/a.rs", &lines(400)).is_empty());
        assert!(words("x/src/a.rs", &lines(401))[0].contains("two rooms"));
        assert_eq!(words("x/src/a.rs", &lines(601)), ["601 lines, 600 are allowed"]);
        assert_eq!(words("ARCHITECTURE.md", &lines(201)).len(), 1);
    }

    #[test]
    fn a_long_function_is_named() {
        let body = "    x();\n".repeat(74);
        let text = format!("fn long() {{\n{body}}}\n");
        assert_eq!(words("x/src/a.rs", &text), ["`long` has 76 lines, 75 are allowed"]);
    }

    #[test]
    fn only_other_peoples_crates_count() {
        let own = "[[package]]\nname = \"domain\"\n";
        let other = "[[package]]\nname = \"a\"\nsource = \"s\"\n";
        let few = format!("{own}{}", other.repeat(CRATES_MOST));
        assert!(crates(&Repo::of(&[("Cargo.lock", &few)])).is_empty());
        let many = format!("{few}{other}");
        assert_eq!(crates(&Repo::of(&[("Cargo.lock", &many)])).len(), 1);
    }
}
