//! The sockets of a board's text, read and replaced as a whole.

use super::Sheet;
use crate::draft::{SocketDraft, sockets_text};
use crate::tree::{Node, Value};

impl Sheet {
    /// Puts other sockets in place of those that there are, and takes out what was said of slots that are gone.
    pub fn put_sockets(&mut self, sockets: &[SocketDraft]) -> bool {
        let mut next = self.clone();
        let mut at = None;
        while let Some(range) = next.section(&["socket", "0"]) {
            at.get_or_insert(range.start);
            let without = next.with(range, "");
            if !next.take(Some(without)) {
                return false;
            }
        }
        let at = at.unwrap_or_else(|| next.head_end());
        let written = next.with(at..at, &sockets_text(sockets));
        if !next.take(Some(written)) {
            return false;
        }
        let labels = |s: &SocketDraft, label: &str| s.controllers.iter().flatten().flatten().any(|l| l.label == label);
        for label in next.keys(&["slot"]) {
            if !sockets.iter().any(|s| labels(s, &label)) {
                next.put(&["slot", &label], None);
            }
        }
        *self = next;
        true
    }
    /// Sockets as far as they can be made out: name, and labels by controller and channel.
    pub fn sockets(&self) -> Vec<SocketDraft> {
        let Some(Value::List(tables)) = self.find(&["socket"]).map(|n| &n.value) else { return Vec::new() };
        tables.iter().enumerate().map(|(at, table)| socket(at, table)).collect()
    }
}

fn socket(at: usize, table: &Node) -> SocketDraft {
    let list = |node: &Node| match &node.value {
        Value::List(list) => list.clone(),
        _ => Vec::new(),
    };
    let label = |node: &Node| match &node.value {
        Value::Text(label) => Some(crate::SlotDraft { label: label.clone(), confirm: String::new() }),
        _ => None,
    };
    let channels = |node: &Node| list(node).iter().map(|c| list(c).iter().filter_map(label).collect()).collect();
    SocketDraft {
        name: table.text("name").map_or_else(|| format!("socket-{}", at + 1), |(n, _)| n.to_string()),
        controllers: table.get("controllers").map(|e| list(&e.node).iter().map(channels).collect()).unwrap_or_default(),
    }
}
