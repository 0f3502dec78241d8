//! A build written as a build file that `check` reads.

use domain::{Build, Catalog, Module};
use std::path::{Path, PathBuf};
use toml::Value;

/// The text of a build file at `out` for a build that came from the need file `need`.
pub fn write(build: &Build, catalog: &Catalog, need: &Path, out: &Path) -> String {
    let processors: Vec<String> =
        build.processors.iter().map(|p| quoted(p.as_ref().map_or("none", |p| p.id.0.as_str()))).collect();
    let mut lines = vec![
        "format = 1".to_string(),
        format!("board = {}", quoted(&board(build, catalog, need, out))),
        format!("processors = [{}]", processors.join(", ")),
    ];
    if !build.mode.is_independent() {
        lines.push(format!("mode = {}", quoted(&build.mode.0)));
    }
    for (key, value) in [("numa", &build.numa), ("firmware", &build.firmware)] {
        lines.extend(value.iter().map(|v| format!("{key} = {}", quoted(v))));
    }
    lines.push("\n[slots]".to_string());
    lines.extend(build.filled().map(|(slot, module)| {
        let label = &build.board.slot(slot).label;
        format!("{} = {}", quoted(label), quoted(name(module, catalog)))
    }));
    lines.push(String::new());
    lines.join("\n")
}

fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

/// The label, or the id where the catalogue takes the label for another module.
fn name<'a>(module: &'a Module, catalog: &Catalog) -> &'a str {
    let by_label = catalog.modules.values().find(|m| m.label == module.label);
    let own = catalog.modules.get(&module.id.0);
    match (by_label, own) {
        (Some(found), Some(own)) if found.id != own.id => &module.id.0,
        _ => &module.label,
    }
}

/// The board's name where it is a shipped one, else the path that the need gave, seen from `out`.
fn board(build: &Build, catalog: &Catalog, need: &Path, out: &Path) -> String {
    let id = &build.board.id;
    if catalog.boards.get(id).is_some_and(|b| **b == *build.board) {
        return id.clone();
    }
    let written = std::fs::read_to_string(need).unwrap_or_default();
    let table: toml::Table = written.parse().unwrap_or_default();
    let named = table.get("board").and_then(Value::as_str).unwrap_or(id);
    let folder = |path: &Path| -> PathBuf {
        let parent = path.parent().filter(|p| !p.as_os_str().is_empty());
        let parent = parent.unwrap_or(Path::new("."));
        parent.canonicalize().unwrap_or_else(|_| parent.to_path_buf())
    };
    if folder(need) == folder(out) {
        return named.to_string();
    }
    folder(need).join(named).display().to_string()
}
