//! Build files into builds, and what builds and needs share: board, processors, modes and modules by name.

use super::board::offered;
use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::files::Input;
use crate::library::Library;
use crate::nearest::nearest;
use crate::reading::Reading;
use crate::shape::Named;
use crate::shape::task::BuildFile;
use crate::text::{Span, count, shown};
use domain::board::{Board, SlotIndex};
use domain::{Build, Mode, Module, Processor};
use std::collections::HashMap;
use std::sync::Arc;

/// Why a text names no module.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// What is wrong with it: a lower-case fragment.
    pub message: String,
    /// What the person can do next, in one clause.
    pub hint: String,
}

/// Reads a JEDEC label or a part number that the catalogue does not have.
pub type Resolve<'a> = &'a dyn Fn(&str) -> Result<Module, Unread>;

/// One task file being read.
pub(crate) struct Task<'a> {
    pub library: &'a Library,
    pub resolve: Resolve<'a>,
    pub input: &'a Input<'a>,
    modules: HashMap<String, Arc<Module>>,
}

impl<'a> Task<'a> {
    pub fn new(library: &'a Library, input: &'a Input<'a>, resolve: Resolve<'a>) -> Self {
        Self { library, resolve, input, modules: HashMap::new() }
    }

    /// A board by name or path.
    pub fn board(&self, reading: &mut Reading, name: &At<String>) -> Option<Arc<Board>> {
        let boards = &self.library.catalog().boards;
        if let Some(board) = boards.get(name.trim()) {
            return Some(board.clone());
        }
        if !name.trim().ends_with(".toml") {
            reading.unknown(name, "board", boards.keys().map(String::as_str));
            return None;
        }
        let path = self.input.near(name.trim());
        let bytes = reading.keep(self.input.beside.read(&path).map_err(|e| {
            let problem = Problem::Unreadable { path: shown(&path.display().to_string()), reason: e.to_string() };
            Fault::new(name.span, problem).hint("the path is relative to the folder of this file")
        }))?;
        let input = Input { name: path.display().to_string(), bytes, beside: self.input.beside };
        self.library.board_in(reading, &input)
    }

    /// One processor a socket.
    pub fn processors(
        &self,
        reading: &mut Reading,
        names: &At<Vec<At<String>>>,
        board: &Board,
    ) -> Option<Vec<Option<Arc<Processor>>>> {
        let mut all = Vec::new();
        for name in &names.value {
            let found = match name.trim() {
                "" | "none" => Some(None),
                id => self.processor(reading, name, id, board).map(Some),
            };
            all.push(found?);
        }
        if all.len() != board.sockets.len() {
            let (named, sockets) = (count(all.len(), "processor"), count(board.sockets.len(), "socket"));
            let text = format!("{named} for a board with {sockets}");
            let hint = match &names[..] {
                [one] => {
                    let each = vec![format!("{:?}", one.value); board.sockets.len()];
                    format!("name one a socket: [{}]; \"none\" leaves a socket empty", each.join(", "))
                }
                _ => "name one a socket; \"none\" leaves a socket empty".to_string(),
            };
            reading.report(Fault::contradiction(names.span, text).hint(hint));
            return None;
        }
        if all.iter().all(Option::is_none) {
            reading.report(Fault::contradiction(names.span, "a machine without a processor").hint("name at least one"));
            return None;
        }
        Some(all)
    }

    fn processor(&self, reading: &mut Reading, name: &At<String>, id: &str, board: &Board) -> Option<Arc<Processor>> {
        let known = &self.library.catalog().processors;
        let taken = board.processors.iter().map(|p| p.0.as_str());
        match known.get(id) {
            None if taken.clone().next().is_some() => {
                // Of all that are known, those that the board takes are what was meant.
                reading.unknown(name, "processor", taken);
                None
            }
            None => {
                reading.unknown(name, "processor", known.keys().map(String::as_str));
                None
            }
            Some(processor) if board.processors.contains(&processor.id) => Some(processor.clone()),
            Some(_) => {
                let text = format!("the board `{}` does not take the processor `{}`", board.id, shown(id));
                let hint = format!("it takes: {}", taken.collect::<Vec<_>>().join(", "));
                reading.report(Fault::contradiction(name.span, text).hint(hint));
                None
            }
        }
    }

    /// The RAS mode that is asked for.
    pub fn mode(&self, reading: &mut Reading, name: Option<&At<String>>, board: &Board) -> Option<Mode> {
        name.map_or(Some(Mode::independent()), |name| offered(reading, board, name))
    }

    /// The NUMA mode that is asked for: all processors must know it.
    pub fn numa(
        &self,
        reading: &mut Reading,
        name: Option<&At<String>>,
        processors: &[Option<Arc<Processor>>],
    ) -> Option<String> {
        let name = name?;
        for processor in processors.iter().flatten() {
            if !processor.numa.iter().any(|n| n.name == name.trim()) {
                reading.unknown(name, "NUMA mode", processor.numa.iter().map(|n| n.name.as_str()));
                return None;
            }
        }
        Some(name.trim().to_string())
    }

    /// A module by catalogue id, part number, the catalogue's label, or what the label itself says; in that order.
    pub fn module(&mut self, reading: &mut Reading, name: &At<String>) -> Option<Arc<Module>> {
        let text = name.trim();
        let known = &self.library.catalog().modules;
        if let Some(module) = known.get(text).or_else(|| self.modules.get(text)) {
            return Some(module.clone());
        }
        let same = |part: &Option<String>| part.as_deref().is_some_and(|p| p.eq_ignore_ascii_case(text));
        let found = known.values().find(|m| same(&m.part_number)).or_else(|| known.values().find(|m| m.label == text));
        let module = match found {
            Some(module) => module.clone(),
            None => Arc::new(reading.keep(self.resolved(name))?),
        };
        self.modules.insert(text.to_string(), module.clone());
        Some(module)
    }

    fn resolved(&self, name: &At<String>) -> Result<Module, Fault> {
        let text = name.trim();
        if text.is_empty() {
            let fault = Fault::new(name.span, Problem::UnknownModule { message: "a module without a name".into() });
            return Err(fault.hint("write its label, or take the line away where the slot is empty"));
        }
        (self.resolve)(text).map_err(|unread| {
            let ids = self.library.catalog().modules.keys().map(String::as_str);
            let hint = match nearest(text, ids) {
                Some(id) => format!("did you mean `{id}`? or {}", unread.hint),
                None => unread.hint,
            };
            Fault::new(name.span, Problem::UnknownModule { message: shown_long(&unread.message) })
                .hint(shown_long(&hint))
        })
    }

    /// What sits in named slots: each slot once, whatever the case of its label.
    pub fn slots(
        &mut self,
        reading: &mut Reading,
        named: &Named<At<String>>,
        board: &Board,
    ) -> Vec<(SlotIndex, Arc<Module>)> {
        let mut filled: Vec<(SlotIndex, Arc<Module>)> = Vec::new();
        let mut seen: HashMap<SlotIndex, Span> = HashMap::new();
        for (label, name) in &named.0 {
            let Some(index) = slot(reading, label, board) else {
                continue;
            };
            if let Some(first) = seen.insert(index, label.span) {
                reading.twice("slot", label, first, label.span);
            }
            filled.extend(self.module(reading, name).map(|module| (index, module)));
        }
        filled
    }
}

fn shown_long(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).take(400).collect()
}

/// Keys of the whole file, which often stand below a table's head by mistake.
const TOP: [&str; 14] = [
    "board",
    "processors",
    "mode",
    "numa",
    "firmware",
    "blanks",
    "reserved",
    "budget",
    "machines",
    "keep",
    "loose",
    "about",
    "free_slots",
    "capacity",
];

/// A slot of the board by its label.
pub(crate) fn slot(reading: &mut Reading, label: &At<String>, board: &Board) -> Option<SlotIndex> {
    let found = board.slot_by_label(label);
    if found.is_none() {
        if TOP.contains(&label.trim()) {
            let problem = Problem::UnknownName { what: "slot", name: shown(label) };
            let fault = Fault::new(label.span, problem);
            reading.report(fault.hint(format!("move `{}` above the first line in [brackets]", label.trim())));
        } else {
            reading.unknown(label, "slot", board.slots.iter().map(|s| s.label.as_str()));
        }
    }
    found
}

/// Named slots that must stay empty.
fn reserved(reading: &mut Reading, labels: &[At<String>], board: &Board) -> Vec<SlotIndex> {
    let mut all: Vec<(SlotIndex, Span)> = Vec::new();
    for label in labels {
        let Some(index) = slot(reading, label, board) else {
            continue;
        };
        match all.iter().find(|(i, _)| *i == index) {
            Some((_, first)) => reading.twice("reserved slot", label, *first, label.span),
            None => all.push((index, label.span)),
        }
    }
    all.into_iter().map(|(index, _)| index).collect()
}

/// The build that a file describes.
pub(crate) fn build(reading: &mut Reading, task: &mut Task<'_>) -> Option<Build> {
    let root = reading.parse(&task.input.name, &task.input.bytes)?;
    reading.check_format(&root, false);
    let file: BuildFile = reading.decode(&root)?;
    let board = task.board(reading, &file.board)?;
    let processors = task.processors(reading, &file.processors, &board);
    let mode = task.mode(reading, file.mode.as_ref(), &board);
    let filled = task.slots(reading, &file.slots, &board);
    let reserved = reserved(reading, &file.reserved, &board);
    let numa = task.numa(reading, file.numa.as_ref(), processors.as_deref().unwrap_or_default());
    let firmware = file.firmware.as_ref().and_then(|f| reading.name(f, "the firmware level"));
    let mut build = Build::empty(board, processors?, mode?);
    for (index, module) in filled {
        build.slots[index.at()] = Some(module);
    }
    Some(Build { numa, firmware, blanks: file.blanks, reserved, ..build })
}
