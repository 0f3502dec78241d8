//! Inheritance of boards: a file laid over its base, and that over its own, with cycles and missing bases told.

use crate::error::{Fault, Problem};
use crate::files::{Files, near};
use crate::nearest::suggest;
use crate::reading::{Origins, Reading};
use crate::text::{Span, shown};
use crate::tree::{Node, merge};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Most files that one board is made of.
const DEEPEST: usize = 16;

/// The files that a board is made of, its own first.
pub(crate) type Layers = Vec<Layer>;

/// One file.
#[derive(Debug, Clone)]
pub(crate) struct Layer {
    pub name: String,
    pub bytes: Arc<[u8]>,
}

/// Where bases are looked for.
pub(crate) struct Bases<'a> {
    /// Files beside, by path.
    pub files: &'a dyn Files,
    /// Boards of the same folder, by id.
    pub siblings: &'a BTreeMap<String, Layer>,
    /// Boards read before, by id.
    pub before: &'a BTreeMap<String, Layers>,
}

/// A board as one tree, with where its figures come from and the files that made it.
pub(crate) struct Whole {
    pub root: Node,
    pub origins: Origins,
    pub layers: Layers,
}

/// Reads a board and all that it inherits.
pub(crate) fn whole(reading: &mut Reading, first: Layer, bases: &Bases<'_>) -> Option<Whole> {
    let (mut nodes, mut layers, mut origins) = (Vec::new(), Layers::new(), Origins::default());
    let mut waiting = vec![first];
    while let Some(layer) = waiting.pop() {
        let node = reading.parse(&layer.name, &layer.bytes)?;
        reading.check_format(&node, true);
        origins.add(reading, &node);
        let base = inherits(reading, &node)?;
        layers.push(layer);
        if let (Some((name, span)), true) = (base, waiting.is_empty()) {
            waiting = next(reading, &layers, &name, span, bases)?;
        }
        nodes.push(node);
    }
    let root = nodes.into_iter().rev().reduce(merge)?;
    Some(Whole { root, origins, layers })
}

/// The base that a file names; `None` for a fault.
fn inherits(reading: &mut Reading, node: &Node) -> Option<Option<(String, Span)>> {
    let Some(entry) = node.get("inherit") else {
        return Some(None);
    };
    let text = node.text("inherit").map(|(text, span)| (text.trim().to_string(), span));
    if text.is_none() {
        let problem = Problem::Type { expected: "a text".into(), found: entry.node.words() };
        reading.report(Fault::new(entry.node.span, problem).hint("name one board, or the path of one board file"));
        return None;
    }
    Some(text)
}

/// The layers that a base brings, topmost last.
fn next(reading: &mut Reading, above: &[Layer], name: &str, span: Span, bases: &Bases<'_>) -> Option<Layers> {
    let chain = |last: &str| {
        let mut names: Vec<String> = above.iter().map(|l| shown(&l.name)).collect();
        names.push(shown(last));
        names.join(" → ")
    };
    if above.len() >= DEEPEST {
        let problem = Problem::Deep { most: DEEPEST, chain: chain(name) };
        reading.report(Fault::new(span, problem).hint("inherit from a board nearer to the base"));
        return None;
    }
    let seen = |layer: &Layer| above.iter().any(|l| near("", &l.name) == near("", &layer.name));
    let layer = if name.ends_with(".toml") {
        by_path(reading, above, name, span, bases)?
    } else {
        match (bases.siblings.get(name), bases.before.get(name)) {
            // A board of one's own may be laid over a shipped one of the same name.
            (sibling, Some(before)) if sibling.is_none_or(seen) => {
                return Some(before.iter().rev().cloned().collect());
            }
            (Some(sibling), _) => sibling.clone(),
            (None, _) => return unknown(reading, name, span, bases),
        }
    };
    if seen(&layer) {
        let fault = Fault::new(span, Problem::Cycle { chain: chain(&layer.name) });
        reading.report(fault.hint("take one `inherit` of this chain away"));
        return None;
    }
    Some(vec![layer])
}

/// Reports a base that no board is named after.
fn unknown(reading: &mut Reading, name: &str, span: Span, bases: &Bases<'_>) -> Option<Layers> {
    let known = bases.siblings.keys().chain(bases.before.keys());
    let hint = suggest(name, known.map(String::as_str));
    let problem = Problem::UnknownName { what: "board", name: shown(name) };
    let fault = Fault::new(span, problem);
    reading.report(fault.hint(format!("{hint}; a file is named by its path, ending in .toml")));
    None
}

fn by_path(reading: &mut Reading, above: &[Layer], name: &str, span: Span, bases: &Bases<'_>) -> Option<Layer> {
    let from = above.last().map_or("", |l| l.name.as_str());
    let path = near(from, name);
    match bases.files.read(&path) {
        Ok(bytes) => Some(Layer { name: path.display().to_string(), bytes: bytes.into() }),
        Err(error) => {
            let problem = Problem::Unreadable { path: shown(&path.display().to_string()), reason: error.to_string() };
            reading
                .report(Fault::new(span, problem).hint("the path is relative to the folder of the file that names it"));
            None
        }
    }
}
