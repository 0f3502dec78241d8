//! What must not stand where: unfinished marks anywhere, the outside in the pure rooms, drawings outside `draw`.

use crate::code::{Blank, blanked};
use crate::repo::{Remark, Repo};

/// Never, in any Rust file.
const NOWHERE: &[&str] = &["#[ignore", "should_panic", "todo!", "unimplemented!", "dbg!"];
/// (folder, parts of `std` and crates that it does not know).
const PURE: &[(&str, &[&str])] = &[
    ("crates/domain/src/", &["std::fs", "std::io", "std::net", "std::time", "std::env", "std::process", "serde"]),
    ("crates/engine/src/", &["std::fs", "std::io", "std::net", "std::time", "std::env", "std::process", "serde"]),
    ("crates/draw/src/", &["std::fs", "std::net", "std::time"]),
    ("crates/slotwright/src/cli/", &["engine::"]),
    ("crates/slotwright/src/web/", &["engine::"]),
];
/// Only this room writes drawings.
const DRAWS: &str = "crates/draw/";

/// Everything that stands where it must not.
pub fn check(repo: &Repo) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (path, text) in repo.rust() {
        let code = ungrouped(&blanked(text, Blank::CommentsAndLiterals));
        for what in NOWHERE {
            find(path, &code, what, "must not stand in any file", &mut remarks);
        }
        // Tests of a pure room may look at its files.
        let pure = PURE.iter().filter(|(f, _)| path.starts_with(f) && !path.contains("/tests/"));
        for (folder, absent) in pure {
            for what in *absent {
                let words = format!("is not known in {folder}");
                find(path, &code, what, &words, &mut remarks);
            }
        }
        if path.contains("/src/") && !path.starts_with(DRAWS) && !path.starts_with("xtask/") {
            let code = blanked(text, Blank::Comments);
            find(path, &code, "<svg", "is written by draw only", &mut remarks);
        }
    }
    remarks
}

fn find(path: &str, code: &str, what: &str, why: &str, remarks: &mut Vec<Remark>) {
    for (at, _) in code.match_indices(what) {
        let before = code[..at].chars().next_back();
        if before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let line = code[..at].matches('\n').count() + 1;
        remarks.push(Remark::fail(path, line, format!("`{what}` {why}")));
    }
}

/// Spells `std::{fs, io::Read}` out, so that a grouped import hides nothing.
fn ungrouped(code: &str) -> String {
    let group = "std::{";
    let mut out = String::with_capacity(code.len());
    let mut rest = code;
    while let Some(at) = rest.find(group) {
        let (before, after) = rest.split_at(at);
        out.push_str(before);
        let end = after.find(';').unwrap_or(after.len());
        out.push_str(&after[..end].replace('{', "").replace(", ", ", std::").replace("\n    ", "\n    std::"));
        rest = &after[end..];
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(path: &str, text: &str) -> Vec<(usize, String)> {
        check(&Repo::of(&[(path, text)])).into_iter().map(|r| (r.line, r.words)).collect()
    }

    #[test]
    fn unfinished_marks_are_found_in_code_only() {
        assert!(found("a/src/b.rs", "// todo!()\nlet x = \"dbg!\";\n").is_empty());
        let marks = found("a/src/b.rs", "fn a() {\n    todo!()\n}\n#[ignore]\n");
        assert_eq!(marks.iter().map(|m| m.0).collect::<Vec<_>>(), [4, 2]);
    }

    #[test]
    fn the_pure_rooms_do_not_know_the_outside() {
        let single = "use std::fs::File;\n";
        let group = "use std::{fmt, time::Instant};\n";
        let tall = "use std::{\n    fmt,\n    fs,\n};\n";
        for text in [single, group, tall] {
            assert_eq!(found("crates/engine/src/a.rs", text).len(), 1, "{text}");
            assert!(found("crates/slotwright/src/a.rs", text).is_empty());
        }
        assert!(found("crates/engine/src/rules/tests/a.rs", single).is_empty());
        assert_eq!(found("crates/domain/src/a.rs", "use serde::Serialize;\n").len(), 1);
        assert_eq!(found("crates/slotwright/src/cli/a.rs", "engine::judge();\n").len(), 1);
    }

    #[test]
    fn only_draw_writes_drawings() {
        let text = "let s = \"<svg>\";\n";
        assert!(found("crates/draw/src/a.rs", text).is_empty());
        assert_eq!(found("crates/catalog/src/a.rs", text).len(), 1);
    }
}
