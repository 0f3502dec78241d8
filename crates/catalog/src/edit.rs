//! Single values of a file that a person wrote: read out of its text and put back, all else left as it stands.
//!
//! A path names keys and, of lists, places from 0: `["rate", "0", "most"]`. Comments and order of the text stay.

use crate::draft::{SocketDraft, quoted, sockets_text};
use crate::text::Texts;
use crate::tree::{self, Node, Value};
use std::ops::{Range, RangeInclusive};

/// A value that a line of a form can hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Held {
    Words(String),
    /// As it is written.
    Number(String),
    List(Vec<Held>),
}

/// A text that is TOML, to look into and to change.
#[derive(Debug, Clone)]
pub struct Sheet {
    text: String,
    root: Node,
}

impl Sheet {
    /// Takes a text; `None` where it is no TOML.
    pub fn read(text: &str) -> Option<Self> {
        let root = tree::parse(&mut Texts::default(), "", text.as_bytes()).ok()?;
        Some(Self { text: text.to_string(), root })
    }
    /// As it now stands.
    pub fn text(&self) -> &str {
        &self.text
    }
    /// The value of a path; of a table with a key `most`, that. `None` where there is none, or a table or date.
    pub fn get(&self, path: &[&str]) -> Option<Held> {
        self.held(self.simple(path)?)
    }
    /// How many entries a list has.
    pub fn count(&self, path: &[&str]) -> usize {
        match self.find(path).map(|n| &n.value) {
            Some(Value::List(list)) => list.len(),
            _ => 0,
        }
    }
    /// The lines, from 1, that a path's value stands on.
    pub fn lines(&self, path: &[&str]) -> Option<RangeInclusive<usize>> {
        let range = self.range(self.find(path)?);
        let line = |at: usize| self.text.get(..at).map_or(1, |t| t.matches('\n').count() + 1);
        Some(line(range.start)..=line(range.end))
    }
    /// Is there anything of that path?
    pub fn has(&self, path: &[&str]) -> bool {
        self.find(path).is_some()
    }
    /// Puts a value there, or takes it out. False where the text would be no TOML then; it is left as it was.
    pub fn put(&mut self, path: &[&str], value: Option<&Held>) -> bool {
        let changed = match (self.simple(path).map(|n| self.range(n)), value) {
            (Some(range), Some(value)) => Some(self.with(range, &value.written())),
            (Some(_), None) => self.without(path),
            (None, None) => return true,
            (None, Some(value)) => self.added(path, value),
        };
        self.take(changed)
    }
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

    fn take(&mut self, text: Option<String>) -> bool {
        let next = text.and_then(|t| Self::read(&t));
        let taken = next.is_some();
        if let Some(next) = next {
            *self = next;
        }
        taken
    }
    fn find(&self, path: &[&str]) -> Option<&Node> {
        let mut node = &self.root;
        for step in path {
            node = match &node.value {
                Value::List(list) => list.get(step.parse::<usize>().ok()?)?,
                _ => &node.get(step)?.node,
            };
        }
        Some(node)
    }
    fn simple(&self, path: &[&str]) -> Option<&Node> {
        let node = self.find(path)?;
        match node.value {
            Value::Table(_) => node.get("most").map(|e| &e.node).or(Some(node)),
            _ => Some(node),
        }
    }
    fn range(&self, node: &Node) -> Range<usize> {
        node.span.start.min(self.text.len())..node.span.end.min(self.text.len())
    }
    fn held(&self, node: &Node) -> Option<Held> {
        Some(match &node.value {
            Value::Text(text) => Held::Words(text.clone()),
            Value::Whole(_) | Value::Number(_) | Value::Flag(_) => {
                Held::Number(self.text.get(self.range(node))?.into())
            }
            Value::List(list) => Held::List(list.iter().filter_map(|n| self.held(n)).collect()),
            Value::Date | Value::Table(_) => return None,
        })
    }
    fn keys(&self, path: &[&str]) -> Vec<String> {
        match self.find(path).map(|n| &n.value) {
            Some(Value::Table(entries)) => entries.iter().map(|e| e.key.clone()).collect(),
            _ => Vec::new(),
        }
    }
    fn with(&self, range: Range<usize>, words: &str) -> String {
        let (before, after) = (self.text.get(..range.start), self.text.get(range.end..));
        [before.unwrap_or_default(), words, after.unwrap_or_default()].concat()
    }
    fn line_start(&self, at: usize) -> usize {
        self.text.get(..at).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1)
    }
    fn line_end(&self, at: usize) -> usize {
        self.text.get(at..).and_then(|t| t.find('\n')).map_or(self.text.len(), |i| at + i + 1)
    }
    /// The text without a value that stands on lines of its own.
    fn without(&self, path: &[&str]) -> Option<String> {
        let (last, above) = path.split_last()?;
        let entry = self.find(above)?.get(last)?;
        let range = self.line_start(entry.key_span.start)..self.line_end(entry.node.span.end);
        let own = self.text.get(range.start..entry.key_span.start)?.trim().trim_matches(['"', '\'']).is_empty();
        own.then(|| self.with(range, ""))
    }
    /// Does a key stand as the head of a table, as `[limits]` or `[[rate]]`?
    fn is_head(&self, at: usize) -> bool {
        self.text.get(self.line_start(at)..at).is_some_and(|t| t.trim_start().starts_with('['))
    }
    /// Where the keys of the file's head end.
    fn head_end(&self) -> usize {
        let Value::Table(entries) = &self.root.value else { return 0 };
        let simple = entries.iter().filter(|e| !self.is_head(e.key_span.start));
        simple.map(|e| self.line_end(e.node.span.end)).max().unwrap_or(0)
    }
    fn added(&self, path: &[&str], value: &Held) -> Option<String> {
        let line = |key: &str| format!("{} = {}\n", bare(key), value.written());
        match path {
            [key] => Some(self.with(self.head_end()..self.head_end(), &line(key))),
            [table, key] => {
                let Some(entry) = self.root.get(table) else {
                    let apart = if self.text.is_empty() || self.text.ends_with('\n') { "" } else { "\n" };
                    return Some(format!("{}{apart}\n[{}]\n{}", self.text, bare(table), line(key)));
                };
                let start = self.range(&entry.node).start;
                if self.text.get(start..)?.starts_with('{') {
                    return Some(self.with(start + 1..start + 1, &format!(" {} = {},", bare(key), value.written())));
                }
                let at = self.line_end(entry.key_span.end);
                self.is_head(entry.key_span.start).then(|| self.with(at..at, &line(key)))
            }
            [list, place, key] => {
                if place.parse() == Ok(self.count(&[list])) {
                    return Some(format!(
                        "{}\n[[{}]]\n{}",
                        self.text.trim_end_matches('\n').to_owned() + "\n",
                        bare(list),
                        line(key)
                    ));
                }
                let section = self.section(&[list, place])?;
                let at = self.line_end(section.start);
                Some(self.with(at..at, &line(key)))
            }
            _ => None,
        }
    }
    /// Takes a table of a list out. False where it can't be told where it stands.
    pub fn remove(&mut self, list: &str, place: usize) -> bool {
        let range = self.section(&[list, &place.to_string()]);
        let changed = range.map(|r| self.with(r, ""));
        self.take(changed)
    }
    /// The lines of a table of a list (`[[socket]]`), from its head to its last value.
    fn section(&self, path: &[&str]) -> Option<Range<usize>> {
        let node = self.find(path)?;
        let Value::Table(entries) = &node.value else { return None };
        let first = entries.iter().map(|e| e.key_span.start).min()?;
        let head = self.text.get(..first)?.rfind("[[")?;
        let end = entries.iter().map(|e| deepest(&e.node)).max()?;
        Some(self.line_start(head)..self.line_end(end))
    }
}

/// The end of the last value within a node.
fn deepest(node: &Node) -> usize {
    match &node.value {
        Value::Table(entries) => entries.iter().map(|e| deepest(&e.node)).max().unwrap_or(0).max(node.span.end),
        _ => node.span.end,
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

impl Held {
    /// As TOML has it.
    pub fn written(&self) -> String {
        match self {
            Self::Words(words) => quoted(words),
            Self::Number(number) => number.clone(),
            Self::List(items) => format!("[{}]", items.iter().map(Self::written).collect::<Vec<_>>().join(", ")),
        }
    }
    /// In words, as a form's field shows it; lists with commas.
    pub fn words(&self) -> String {
        match self {
            Self::Words(words) | Self::Number(words) => words.clone(),
            Self::List(items) => items.iter().map(Self::words).collect::<Vec<_>>().join(", "),
        }
    }
}

fn bare(key: &str) -> String {
    let plain = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || "-_".contains(c));
    if plain { key.to_string() } else { quoted(key) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Files, Library, Shipped, SlotDraft};
    use std::path::Path;

    const TEXT: &str = "# head\nformat = 1\ntitle = \"A\" # why\nkinds = [\n    \"RDIMM\",\n]\n\n[[socket]]\nname = \"w\"\ncontrollers = [\n    [[\"a\", \"b\"]],\n]\n\n[slot]\n\"a\" = { tab = \"white\" }\n\n[limits]\nmodule = { most = \"64 GiB\", severity = \"wrong\" }\n\n[[rate]]\nkinds = [\"RDIMM\"]\nmost = 2400\n";

    #[test]
    fn values_are_read_and_put_back_beside_their_comments() {
        let mut sheet = Sheet::read(TEXT).unwrap();
        assert_eq!(sheet.get(&["title"]), Some(Held::Words("A".into())));
        assert_eq!(sheet.get(&["limits", "module"]), Some(Held::Words("64 GiB".into())));
        assert_eq!(sheet.get(&["rate", "0", "most"]), Some(Held::Number("2400".into())));
        assert!(sheet.put(&["title"], Some(&Held::Words("B \"x\"\n".into()))));
        assert!(sheet.put(&["limits", "module"], Some(&Held::Words("1 TiB".into()))));
        assert!(sheet.put(&["limits", "height_mm"], Some(&Held::Number("31.25".into()))));
        assert!(sheet.put(&["training_minutes"], Some(&Held::Number("4".into()))));
        assert!(sheet.put(&["rate", "1", "most"], Some(&Held::Number("2666".into()))));
        assert!(sheet.put(&["rate", "1", "kinds"], Some(&Held::List(vec![Held::Words("RDIMM".into())]))));
        assert!(sheet.put(&["kinds"], None));
        let text = sheet.text();
        assert!(text.contains("title = \"B \\\"x\\\"\\u000A\" # why\ntraining_minutes = 4\n"), "{text}");
        assert!(
            text.contains("[limits]\nheight_mm = 31.25\nmodule = { most = \"1 TiB\", severity = \"wrong\" }"),
            "{text}"
        );
        assert!(text.ends_with("\n[[rate]]\nkinds = [\"RDIMM\"]\nmost = 2666\n"), "{text}");
        assert!(!text.contains("    \"RDIMM\",\n"), "{text}");
        assert!(sheet.remove("rate", 0));
        assert_eq!(sheet.count(&["rate"]), 1);
    }

    #[test]
    fn other_sockets_take_the_place_of_those_that_were() {
        let mut sheet = Sheet::read(TEXT).unwrap();
        let slot = |l: &str| SlotDraft { label: l.to_string(), confirm: String::new() };
        let sockets = [SocketDraft { name: "n".into(), controllers: vec![vec![vec![slot("c")], vec![slot("d")]]] }];
        assert!(sheet.put_sockets(&sockets));
        assert_eq!(sheet.sockets(), sockets);
        assert!(!sheet.has(&["slot", "a"]), "{}", sheet.text());
        assert_eq!(sheet.count(&["socket"]), 1);
        assert!(sheet.has(&["limits", "module"]));
    }

    #[test]
    fn what_is_no_toml_changes_nothing() {
        assert!(Sheet::read("title = ").is_none());
        let mut sheet = Sheet::read(TEXT).unwrap();
        assert!(!sheet.put(&["title"], Some(&Held::Number("1 2".into()))));
        assert_eq!(sheet.text(), TEXT);
    }

    /// Each board that the program carries: putting every value back leaves its text as it was; writing its sockets anew
    /// leaves a board with the same slots.
    #[test]
    fn every_board_survives() {
        let library = Library::shipped().unwrap();
        let mut laid = 0;
        for path in Shipped.list(Path::new("boards")).unwrap() {
            let text = String::from_utf8(Shipped.read(&path).unwrap()).unwrap();
            let mut sheet = Sheet::read(&text).unwrap();
            for path in
                [&["title"][..], &["kinds"], &["limits", "module"], &["limits", "height_mm"], &["rate", "0", "most"]]
            {
                if let Some(value) = sheet.get(path) {
                    assert!(sheet.put(path, Some(&value)));
                }
            }
            assert_eq!(sheet.text(), text);
            let sockets = sheet.sockets();
            if sockets.is_empty() {
                continue;
            }
            assert!(sheet.put_sockets(&sockets));
            let id = path.file_stem().unwrap().to_string_lossy().into_owned();
            let board = library.board(&crate::Input::text(format!("{id}.toml"), sheet.text())).unwrap();
            assert_eq!(board.slots, library.catalog().boards[&id].slots);
            laid += 1;
        }
        assert!(laid > 10);
    }
}
