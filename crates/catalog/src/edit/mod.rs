//! Single values of a file that a person wrote: read out of its text and put back, all else left as it stands.
//!
//! A path names keys and, of lists, places from 0: `["rate", "0", "most"]`. Comments and order of the text stay.

mod held;
mod put;
mod sockets;

pub use held::Held;

use crate::text::Texts;
use crate::tree::{self, Node, Value};
use std::ops::Range;

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
    /// The value of a path. `None` where there is none, or a table or date.
    pub fn get(&self, path: &[&str]) -> Option<Held> {
        self.held(self.find(path)?)
    }
    /// How many entries a list has.
    pub fn count(&self, path: &[&str]) -> usize {
        match self.find(path).map(|n| &n.value) {
            Some(Value::List(list)) => list.len(),
            _ => 0,
        }
    }
    /// Is there anything of that path?
    pub fn has(&self, path: &[&str]) -> bool {
        self.find(path).is_some()
    }
    /// Does a table stand there, with braces or with a head of its own?
    pub fn is_table(&self, path: &[&str]) -> bool {
        matches!(self.find(path).map(|n| &n.value), Some(Value::Table(_)))
    }
    /// How many bytes the narrowest stretch of a path's value has that holds a place (line and column, from 1).
    pub fn holds(&self, path: &[&str], (line, column): (usize, usize)) -> Option<usize> {
        let range = self.whole(path)?;
        let start: usize = self.text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
        let row = self.text.get(start..)?;
        let at = start + row.char_indices().nth(column.saturating_sub(1)).map_or(row.len(), |(at, _)| at);
        (range.start..=range.end).contains(&at).then(|| range.len())
    }
    /// Puts a value there, or takes it out. False where the text would be no TOML then; it is left as it was.
    pub fn put(&mut self, path: &[&str], value: Option<&Held>) -> bool {
        let changed = match value {
            None if !self.has(path) => return true,
            None => self.without(path).or_else(|| put::taken(&self.text, path)),
            Some(value) => put::put(&self.text, path, value),
        };
        self.take(changed)
    }
    /// Makes a table of a bare value, which then stands under `key` in it; without a key it goes.
    pub fn widen(&mut self, path: &[&str], key: &str) -> bool {
        if !self.has(path) || self.is_table(path) {
            return true;
        }
        let changed = put::widened(&self.text, path, key);
        self.take(changed)
    }
    /// Adds an entry to a list of tables, with these keys in it.
    pub fn add(&mut self, list: &[&str], keys: &[(&str, Held)]) -> bool {
        let changed = put::added(&self.text, list, keys);
        self.take(changed)
    }
    /// Takes an entry of a list out, with the comment right above it. False where it can't be told where it stands.
    pub fn remove(&mut self, list: &[&str], place: usize) -> bool {
        let place = place.to_string();
        let path: Vec<&str> = list.iter().copied().chain([place.as_str()]).collect();
        let changed = self.section(&path).map(|r| self.with(self.with_its_comment(r), ""));
        let changed = changed.or_else(|| put::taken(&self.text, &path));
        self.take(changed)
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
    fn range(&self, node: &Node) -> Range<usize> {
        node.span.start.min(self.text.len())..node.span.end.min(self.text.len())
    }
    /// Where a path's value stands, from its head to the last thing in it.
    fn whole(&self, path: &[&str]) -> Option<Range<usize>> {
        let node = self.find(path)?;
        Some(first(node).min(self.text.len())..deepest(node).min(self.text.len()))
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
    /// The keys of a table, in their order.
    pub fn keys(&self, path: &[&str]) -> Vec<String> {
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
    /// The text without a value that stands on lines of its own; comments above it stay.
    fn without(&self, path: &[&str]) -> Option<String> {
        let (last, above) = path.split_last()?;
        let entry = self.find(above)?.get(last)?;
        let range = self.line_start(entry.key_span.start)..self.line_end(entry.node.span.end);
        let own = self.text.get(range.start..entry.key_span.start)?.trim().trim_matches(['"', '\'']).is_empty();
        let alone = self.text.get(entry.node.span.end..range.end)?.trim();
        (own && (alone.is_empty() || alone.starts_with('#'))).then(|| self.with(range, ""))
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
    /// The lines of a table of a list (`[[socket]]`), from its head to its last value.
    fn section(&self, path: &[&str]) -> Option<Range<usize>> {
        let range = self.whole(path)?;
        let start = self.line_start(range.start);
        self.text.get(start..)?.trim_start().starts_with("[[").then(|| start..self.line_end(range.end))
    }
    /// Those lines with the comment right above them, and one empty line.
    fn with_its_comment(&self, range: Range<usize>) -> Range<usize> {
        let mut start = range.start;
        let above = |start: usize| self.text.get(self.line_start(start.saturating_sub(1))..start).unwrap_or_default();
        while above(start).trim_start().starts_with('#') {
            start -= above(start).len();
        }
        if above(start).trim().is_empty() {
            start -= above(start).len();
        }
        start..range.end
    }
}

/// The start of the first thing within a node, its head among them.
fn first(node: &Node) -> usize {
    let within = match &node.value {
        Value::Table(entries) => entries.iter().map(|e| e.key_span.start.min(first(&e.node))).min(),
        Value::List(list) => list.iter().map(first).min(),
        _ => None,
    };
    within.map_or(node.span.start, |w| w.min(node.span.start))
}

/// The end of the last thing within a node.
fn deepest(node: &Node) -> usize {
    let within = match &node.value {
        Value::Table(entries) => entries.iter().map(|e| deepest(&e.node)).max(),
        Value::List(list) => list.iter().map(deepest).max(),
        _ => None,
    };
    within.map_or(node.span.end, |w| w.max(node.span.end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::SocketDraft;
    use crate::{Files, Library, Shipped, SlotDraft};
    use std::path::Path;

    const TEXT: &str = "# head\nformat = 1\ntitle = \"A\" # why\nkinds = [\n    \"RDIMM\",\n]\n\n[[socket]]\nname = \"w\"\ncontrollers = [\n    [[\"a\", \"b\"]],\n]\n\n[slot]\n\"a\" = { tab = \"white\" }\n\n[limits]\nmodule = { most = \"64 GiB\", severity = \"wrong\" }\n\n[[rate]]\nkinds = [\"RDIMM\"]\nmost = 2400\n";

    fn words(words: &str) -> Held {
        Held::Words(words.into())
    }
    fn number(number: &str) -> Held {
        Held::Number(number.into())
    }

    #[test]
    fn values_are_read_and_put_back_beside_their_comments() {
        let mut sheet = Sheet::read(TEXT).unwrap();
        assert_eq!(sheet.get(&["title"]), Some(words("A")));
        assert_eq!(sheet.get(&["limits", "module", "most"]), Some(words("64 GiB")));
        assert_eq!(sheet.get(&["rate", "0", "most"]), Some(number("2400")));
        assert!(sheet.put(&["title"], Some(&words("B \"x\""))));
        assert!(sheet.put(&["limits", "module", "most"], Some(&words("1 TiB"))));
        assert!(sheet.put(&["limits", "height_mm"], Some(&number("31.25"))));
        assert!(sheet.put(&["training_minutes"], Some(&number("4"))));
        assert!(sheet.add(&["rate"], &[("most", number("2666")), ("kinds", Held::List(vec![words("RDIMM")]))]));
        assert!(sheet.put(&["kinds"], None));
        let text = sheet.text();
        assert!(text.contains("title = \"B \\\"x\\\"\" # why\ntraining_minutes = 4\n"), "{text}");
        assert!(
            text.contains("[limits]\nmodule = { most = \"1 TiB\", severity = \"wrong\" }\nheight_mm = 31.25\n"),
            "{text}"
        );
        assert!(text.ends_with("\n[[rate]]\nmost = 2666\nkinds = [\"RDIMM\"]\n"), "{text}");
        assert!(!text.contains("    \"RDIMM\",\n"), "{text}");
        assert!(sheet.remove(&["rate"], 0));
        assert_eq!(sheet.count(&["rate"]), 1);
    }

    #[test]
    fn what_is_nested_is_put_where_it_belongs() {
        let mut sheet = Sheet::read(TEXT).unwrap();
        assert!(sheet.put(&["slot", "a", "height_mm"], Some(&number("31.25"))));
        assert!(sheet.put(&["slot", "b", "under_heat_sink"], Some(&number("true"))));
        assert!(sheet.widen(&["kinds"], "most") && sheet.put(&["kinds"], None));
        assert!(sheet.put(&["mixing", "widths", "allowed"], Some(&number("false"))));
        assert!(sheet.add(&["chart"], &[("closed", number("true"))]));
        assert!(sheet.add(&["chart", "0", "fill"], &[("count", number("1"))]));
        assert!(sheet.add(&["chart", "0", "fill"], &[("count", number("2"))]));
        assert!(sheet.add(&["chart"], &[("mode", words("mirror"))]));
        assert!(sheet.add(&["chart", "0", "fill"], &[("count", number("3"))]));
        assert!(sheet.add(&["firmware", "need"], &[("least", words("2.4"))]));
        let text = sheet.text();
        assert!(
            text.contains("\"a\" = { tab = \"white\", height_mm = 31.25 }\nb = { under_heat_sink = true }\n"),
            "{text}"
        );
        assert!(text.contains("\n[mixing]\nwidths = { allowed = false }\n"), "{text}");
        let charts = "[[chart]]\nclosed = true\n\n[[chart.fill]]\ncount = 1\n\n[[chart.fill]]\ncount = 2\n\n[[chart.fill]]\ncount = 3\n\n[[chart]]\nmode = \"mirror\"\n";
        assert!(text.contains(charts), "{text}");
        assert!(text.ends_with("\n\n[[firmware.need]]\nleast = \"2.4\"\n"), "{text}");
        assert!(sheet.remove(&["chart", "0", "fill"], 1));
        assert!(sheet.text().contains("count = 1\n\n[[chart.fill]]\ncount = 3\n"), "{}", sheet.text());
        assert!(sheet.remove(&["chart"], 0) && !sheet.text().contains("chart.fill"), "{}", sheet.text());
    }

    #[test]
    fn a_bare_value_widens_and_a_list_keeps_the_comments_of_what_stays() {
        let text = "limits = 1\n\nc = [\n    # left\n    [\n        [\"a\", \"b\"], # one\n        [\"c\"], # two\n    ],\n]\n";
        let mut sheet = Sheet::read(text).unwrap();
        assert!(sheet.widen(&["limits"], "most") && sheet.put(&["limits", "severity"], Some(&words("note"))));
        let lane = |labels: &[&str]| Held::List(labels.iter().map(|l| words(l)).collect());
        let three = Held::List(vec![lane(&["a", "x"]), lane(&["c"]), lane(&["d", "e"])]);
        assert!(sheet.put(&["c", "0"], Some(&three)));
        let wanted = "limits = { most = 1, severity = \"note\" }\n\nc = [\n    # left\n    [\n        [\"a\", \"x\"], # one\n        [\"c\"], # two\n        [\"d\", \"e\"],\n    ],\n]\n";
        assert_eq!(sheet.text(), wanted);
        assert!(sheet.put(&["c", "0"], Some(&Held::List(vec![lane(&["c"]), lane(&["d", "e"])]))));
        assert!(sheet.text().contains("[\"c\"], # two") && !sheet.text().contains("[\"a\""), "{}", sheet.text());
    }

    #[test]
    fn a_place_lies_in_the_narrowest_value_that_holds_it() {
        let sheet = Sheet::read(TEXT).unwrap();
        let line = TEXT.lines().position(|l| l.starts_with("module")).unwrap() + 1;
        let severity = (line, TEXT.lines().nth(line - 1).unwrap().find("\"wrong").unwrap() + 1);
        assert_eq!(sheet.holds(&["limits", "module", "severity"], severity), Some("\"wrong\"".len()));
        assert!(sheet.holds(&["limits", "module"], severity) > Some(7));
        assert_eq!(sheet.holds(&["limits", "module", "most"], severity), None);
        assert_eq!(sheet.holds(&["rate"], severity), None);
        let row = TEXT.lines().position(|l| l == "[[rate]]").unwrap() + 1;
        assert!(sheet.holds(&["rate", "0"], (row, 1)).is_some());
    }

    #[test]
    fn a_row_goes_with_its_own_comment_only() {
        let text =
            "a = 1\n\n# of all rates\n\n# of this one\n[[rate]]\nmost = 1 # so\n\n# of the next\n[[rate]]\nmost = 2\n";
        let mut sheet = Sheet::read(text).unwrap();
        assert!(sheet.remove(&["rate"], 0));
        assert_eq!(sheet.text(), "a = 1\n\n# of all rates\n\n# of the next\n[[rate]]\nmost = 2\n");
        let mut sheet = Sheet::read("alone = [{ a = 1 }, { a = 2 }]\n").unwrap();
        assert!(sheet.remove(&["alone"], 0));
        assert_eq!(sheet.text().trim(), "alone = [{ a = 2 }]");
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
            for path in [
                &["title"][..],
                &["kinds"],
                &["limits", "height_mm"],
                &["rate", "0", "most"],
                &["socket", "0", "controllers", "0"],
                &["layout", "rows"],
                &["chart", "0", "fill", "1", "slots"],
            ] {
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
