//! The words around the code: no blanks at line ends, links that lead somewhere, a changelog that names this version.

use crate::repo::{Remark, Repo};
use std::path::Path;

/// What real machines reported is kept byte for byte.
const AS_IT_CAME: &str = "captures/";

/// Blanks at line ends, missing last line ends, dead links, and a changelog without this version.
pub fn check(repo: &Repo) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (path, text) in &repo.files {
        if !path.starts_with(AS_IT_CAME) {
            blanks(path, text, &mut remarks);
        }
    }
    for (path, text) in repo.under("", ".md") {
        links(repo, path, text, &mut remarks);
    }
    remarks.extend(changelog(repo));
    remarks
}

fn blanks(path: &str, text: &str, remarks: &mut Vec<Remark>) {
    for (i, line) in text.lines().enumerate() {
        if line.ends_with([' ', '\t', '\r']) {
            remarks.push(Remark::fail(path, i + 1, "ends with a blank"));
        }
    }
    if !text.is_empty() && !text.ends_with('\n') {
        remarks.push(Remark::fail(path, 0, "does not end with a line end"));
    }
}

fn links(repo: &Repo, path: &str, text: &str, remarks: &mut Vec<Remark>) {
    let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
    let mut fenced = false;
    for (i, line) in text.lines().enumerate() {
        fenced ^= line.trim_start().starts_with("```");
        if fenced {
            continue;
        }
        for target in line.split("](").skip(1).filter_map(|p| p.split(')').next()) {
            let file = target.split('#').next().unwrap_or_default();
            if file.is_empty() || target.contains("://") || leads(repo, folder, file) {
                continue;
            }
            remarks.push(Remark::fail(path, i + 1, format!("`{target}` leads nowhere")));
        }
    }
}

fn leads(repo: &Repo, folder: &str, file: &str) -> bool {
    let mut parts: Vec<&str> = folder.split('/').filter(|p| !p.is_empty()).collect();
    for part in file.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop();
            }
            name => parts.push(name),
        }
    }
    let target = parts.join("/");
    repo.files.contains_key(&target)
        || repo.files.keys().any(|p| p.starts_with(&format!("{target}/")))
        || Path::new(&repo.root).join(&target).exists() && !repo.root.as_os_str().is_empty()
}

fn changelog(repo: &Repo) -> Option<Remark> {
    let path = "CHANGELOG.md";
    let version = env!("CARGO_PKG_VERSION");
    let named = repo.files.get(path).is_some_and(|text| {
        text.lines().filter_map(|l| l.strip_prefix("## ")).any(|h| h.contains("Unreleased") || h.contains(version))
    });
    (!named).then(|| Remark::fail(path, 0, format!("has no heading for {version} or Unreleased")))
}

#[cfg(test)]
mod tests {
    use super::*;

    const LOG: (&str, &str) = ("CHANGELOG.md", "## Unreleased\n");

    fn words(files: &[(&str, &str)]) -> Vec<String> {
        check(&Repo::of(files)).into_iter().map(|r| r.words).collect()
    }

    #[test]
    fn blanks_and_missing_line_ends_are_found() {
        assert!(words(&[LOG, ("a.md", "a\n")]).is_empty());
        assert_eq!(words(&[LOG, ("a.md", "a \nb")]).len(), 2);
        assert!(words(&[LOG, ("captures/a.md", "a \nb")]).is_empty());
    }

    #[test]
    fn links_lead_somewhere() {
        let page = ("docs/guide/a.md", "[r](../rules/b.md#x) [w](https://x.example/) [h](#y)\n");
        let rule = ("docs/rules/b.md", "b\n");
        assert!(words(&[LOG, page, rule]).is_empty());
        assert_eq!(words(&[LOG, page]), ["`../rules/b.md#x` leads nowhere"]);
    }

    #[test]
    fn the_changelog_names_this_version() {
        assert_eq!(words(&[("CHANGELOG.md", "## 0.0.1\n")]).len(), 1);
    }
}
