//! Which crate may see which, from `cargo metadata`; and the licences of everything that is linked in.

use crate::repo::{Remark, Repo};
use serde_json::Value;
use std::error::Error;
use std::process::Command;

/// (crate, crates of ours that it may see), for normal, build and dev dependencies alike.
const MAY_SEE: &[(&str, &[&str])] = &[
    ("domain", &[]),
    ("catalog", &["domain"]),
    ("readers", &["domain"]),
    ("engine", &["domain"]),
    ("draw", &["domain"]),
    ("store", &["domain"]),
    ("bench", &["domain"]),
    ("slotwright", &["domain", "catalog", "readers", "engine", "draw", "store", "bench"]),
    // The chores print what the rules say of themselves.
    ("xtask", &["domain", "engine"]),
];
/// Licences that may be linked in. `A OR B` passes with one of them, `A AND B` with both.
const LICENCES: &[&str] = &[
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "0BSD",
    "CC0-1.0",
    "BSL-1.0",
    "Unlicense",
    "Unicode-3.0",
];

/// What cargo knows of the workspace and of every crate that is linked in on this system.
pub fn metadata(repo: &Repo) -> Result<Value, Box<dyn Error>> {
    let version = Command::new("rustc").arg("-vV").output()?;
    let version = String::from_utf8(version.stdout)?;
    let host = version.lines().find_map(|l| l.strip_prefix("host: ")).ok_or("rustc does not name its host")?;
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_string());
    let output = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--locked"])
        .args(["--filter-platform", host])
        .current_dir(&repo.root)
        .output()?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into());
    }
    Ok(serde_json::from_slice(&output.stdout)?)
}

/// Edges that are not allowed, and licences that are not.
pub fn check(metadata: &Value) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for package in list(metadata, "packages") {
        let name = text(package, "name");
        if package["source"].is_null() {
            edges(name, package, &mut remarks);
        } else if !passes(text(package, "license")) {
            let words = format!("`{name}` has the licence `{}`", text(package, "license"));
            remarks.push(Remark::fail("Cargo.lock", 0, words));
        }
    }
    remarks
}

fn edges(name: &str, package: &Value, remarks: &mut Vec<Remark>) {
    let Some((_, may_see)) = MAY_SEE.iter().find(|(n, _)| *n == name) else {
        let words = format!("the crate `{name}` has no line in xtask/src/edges.rs");
        remarks.push(Remark::fail("Cargo.toml", 0, words));
        return;
    };
    let ours = list(package, "dependencies").filter(|d| !d["path"].is_null());
    for seen in ours.map(|d| text(d, "name")) {
        if !may_see.contains(&seen) {
            let words = format!("`{name}` must not see `{seen}`");
            remarks.push(Remark::fail("Cargo.toml", 0, words));
        }
    }
    let foreign = list(package, "dependencies").filter(|d| d["path"].is_null());
    for seen in foreign.map(|d| text(d, "name")) {
        if matches!(name, "domain" | "engine") && seen.starts_with("serde") {
            let words = format!("`{name}` must not know `{seen}`: formats belong to other rooms");
            remarks.push(Remark::fail("Cargo.toml", 0, words));
        }
    }
}

/// Is a licence expression allowed? Brackets are read as blanks: no crate of ours needs more.
fn passes(expression: &str) -> bool {
    let flat = expression.replace(['(', ')'], " ").replace('/', " OR ");
    let term = |t: &str| LICENCES.contains(&t.split_whitespace().collect::<Vec<_>>().join(" ").as_str());
    if expression.contains('(') {
        return flat.split(" AND ").all(|all| all.split(" OR ").any(term));
    }
    flat.split(" OR ").any(|any| any.split(" AND ").all(term))
}

fn list<'a>(value: &'a Value, key: &str) -> impl Iterator<Item = &'a Value> {
    value[key].as_array().into_iter().flatten()
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn words(packages: Value) -> Vec<String> {
        check(&json!({ "packages": packages })).into_iter().map(|r| r.words).collect()
    }

    #[test]
    fn siblings_never_see_each_other_not_even_in_tests() {
        let sees = |name: &str, seen: &str| {
            words(json!([{ "name": name, "source": null, "dependencies": [
                { "name": seen, "path": "/x", "kind": "dev" }, { "name": "proptest", "kind": "dev" },
            ]}]))
        };
        assert!(sees("engine", "domain").is_empty());
        assert!(sees("slotwright", "draw").is_empty());
        assert_eq!(sees("engine", "catalog"), ["`engine` must not see `catalog`"]);
        assert_eq!(sees("draw", "slotwright").len(), 1);
        assert_eq!(sees("domain", "engine").len(), 1);
        assert!(sees("parlour", "domain")[0].contains("no line"));
    }

    #[test]
    fn licences_pass_by_their_terms() {
        for good in ["MIT OR Apache-2.0", "MIT/Apache-2.0", "(MIT OR GPL-3.0) AND Unicode-3.0"] {
            assert!(passes(good), "{good}");
        }
        for bad in ["GPL-3.0-only", "MIT AND MPL-2.0", "(MIT OR ISC) AND GPL-2.0", ""] {
            assert!(!passes(bad), "{bad}");
        }
    }
}
