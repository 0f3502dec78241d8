//! EDAC trees: any names and texts are read, never a panic. The input is lines of `path<TAB>text`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use readers::edac::{self, Files};
use std::collections::BTreeMap;

struct Tree(BTreeMap<String, String>);

impl Files for Tree {
    fn list(&self, folder: &str) -> Option<Vec<String>> {
        let prefix = if folder.is_empty() { String::new() } else { format!("{folder}/") };
        let below = self.0.keys().filter_map(|k| k.strip_prefix(&prefix));
        Some(below.filter_map(|k| k.split('/').next()).map(str::to_string).collect())
    }
    fn read(&self, path: &str) -> Option<String> {
        self.0.get(path).cloned()
    }
}

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    let lines =
        text.lines().filter_map(|l| l.split_once('\t')).map(|(path, text)| (path.to_string(), text.to_string()));
    let _ = edac::read(&Tree(lines.collect()));
});
