//! Which field a fault of the text belongs to: the narrowest value that holds its place, or the key that is missing there.

use super::cell::{every, lists, steps};
use super::parts::PARTS;
use crate::verbs::board_file::Fault;
use catalog::Sheet;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Faults by the name of their field, row or part.
#[derive(Debug, Default)]
pub struct Placed<'a> {
    at: BTreeMap<String, Vec<&'a str>>,
    /// The field of each fault, in the order of the faults, where it has one.
    pub fields: Vec<Option<String>>,
}

impl<'a> Placed<'a> {
    /// Sets each fault that has a place in the text beside a field.
    pub fn of(sheet: &Sheet, base: &[String], all: &'a [Fault]) -> Self {
        let places = places(sheet, base);
        let cells: BTreeSet<String> = every(sheet, base).into_iter().map(|c| c.name).collect();
        let mut placed = Self::default();
        for fault in all {
            placed.fields.push(None);
            let Some(at) = fault.place else { continue };
            let within = places.iter().filter_map(|(name, path)| Some((sheet.holds(&steps(path), at)?, name, path)));
            let narrowest = within.min_by_key(|(wide, _, path)| (*wide, Reverse(path.len())));
            let (name, path) = narrowest.map(|(_, name, path)| (name.as_str(), path.clone())).unwrap_or_default();
            let lacking = fault.missing.as_ref().map(|key| {
                let mut path = path;
                path.push(key.clone());
                path
            });
            let field = lacking.and_then(|path| places.iter().find(|(_, p)| *p == path)).map(|(name, _)| name.clone());
            let name = field.unwrap_or_else(|| name.to_string());
            if let Some(last) = placed.fields.last_mut() {
                *last = cells.get(&name).cloned();
            }
            placed.at.entry(name).or_default().push(&fault.problem);
        }
        placed
    }
    /// What is wrong with a field or row.
    pub fn at(&self, name: &str) -> Vec<&'a str> {
        self.at.get(name).cloned().unwrap_or_default()
    }
    /// How many faults a part, row or field has with all that is in it.
    pub fn within(&self, path: &str) -> usize {
        let inside = |name: &str| name.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'));
        self.at.iter().filter(|(name, _)| inside(name)).map(|(_, faults)| faults.len()).sum()
    }
}

/// Everything that a fault can stand beside: fields, rows, and the tables of parts.
fn places(sheet: &Sheet, base: &[String]) -> Vec<(String, Vec<String>)> {
    let mut all: Vec<(String, Vec<String>)> = every(sheet, base).into_iter().map(|c| (c.name, c.path)).collect();
    let mut add = |path: Vec<String>| all.push((path.join("."), path));
    for list in lists(sheet) {
        for at in 0..sheet.count(&steps(&list.path)) {
            add(list.path.iter().cloned().chain([at.to_string()]).collect());
        }
    }
    for at in 0..sheet.count(&["socket"]) {
        add(vec!["socket".to_string(), at.to_string()]);
    }
    for (at, _) in PARTS.iter().flat_map(|p| p.blocks).filter(|(at, _)| !at.is_empty()) {
        add(at.iter().map(ToString::to_string).collect());
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verbs::board_file::understand;
    use crate::world;

    #[test]
    fn each_fault_stands_beside_its_field() {
        let library = world::shipped().unwrap();
        let text = library.board_text("dunlin-2s6").unwrap();
        let slips = [
            ("module = \"128 GiB\"", "module = \"128 apples\"", "limits.module"),
            ("title = \"Dunlin, two sockets of six channels\"\n", "", "title"),
            ("die_gbit = 16\nleast = \"2.10\"\n", "die_gbit = 16\n", "firmware.need.2.least"),
            ("severity = \"note\", outcome = \"disables-mode\"", "severity = \"nota\"", "mixing.widths.severity"),
            ("count = 2\nslots = [\"west-1-outer\"", "count = 2\nslots = [\"west-1-auter\"", "chart.0.fill.1.slots"),
            ("name = \"spare-rank\"\n", "", "mode.2.name"),
            ("count = 3\n", "count = 4\n", "chart.0.fill.2.count"),
            ("[\"west-2-outer\", \"west-2-inner\"]", "[\"west-1-outer\", \"west-2-inner\"]", "socket.0.controllers.0"),
            ("\"west-2-inner\" = { tab = \"black\" }", "\"west-2-inner\" = { tab = 3 }", "slot.3.tab"),
            ("alone = [{ capacity = \"128 GiB\"", "alone = [{ capacity = \"soup\"", "mixing.alone.0.capacity"),
            ("usable = { less_percent = 25 }", "usable = { less_percent = 250 }", "mode.1.usable.less_percent"),
        ];
        for (from, to, field) in slips {
            assert!(text.contains(from), "{from}");
            let text = text.replacen(from, to, 1);
            let faults = understand(&library, "x", &text).faults;
            let sheet = Sheet::read(&text).unwrap();
            let placed = Placed::of(&sheet, &[], &faults);
            assert!(!placed.at(field).is_empty(), "{field}: {faults:?} are at {placed:?}");
            assert!(placed.fields.contains(&Some(field.to_string())), "{field}: {placed:?}");
        }
    }
}
