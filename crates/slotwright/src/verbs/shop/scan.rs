//! Scanning modules in: what a scanner types, line by line, until `done`. The same lines give the same state, so that a
//! page can carry them along.

use super::act::read_bin;
use super::intake::{self, Row, ScreenedView, Terms};
use crate::failure::Failure;
use crate::verbs::read::intake::{self as reading, Scanned};
use crate::verbs::recognise::{self, What};
use crate::world::Data;
use domain::item::{Item, ItemState, Who};
use store::Store;

/// Longest line that is taken.
const LONGEST: usize = 400;
/// The line that takes the last one back.
pub const UNDO: &str = "undo";
/// Serials are of so many characters.
const SERIAL: std::ops::RangeInclusive<usize> = 3..=64;

/// A module that was scanned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Module {
    /// A label, 2-D code or part number.
    pub text: String,
    /// As scanned; of a 2-D code that carries it, the code's own.
    pub serial: Option<String>,
    pub bin: String,
    /// In short what the text says.
    pub words: String,
    line: usize,
}

/// What a line did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    Nothing,
    /// A label; its serial comes next.
    Label(String),
    /// A module is whole.
    Module(String),
    Bin(String),
    Undone(String),
    Done,
    /// The line was not taken: why, and what to do.
    Wrong(String, String),
    /// What waited was let go: why, and what to do.
    Dropped(String, String),
    /// The shelf has the module already, and it was undone: why, and what to do.
    Known(String, String),
}

/// Everything that was scanned so far.
#[derive(Debug, Clone, Default)]
pub struct Scan {
    pub modules: Vec<Module>,
    pub bin: String,
    /// A label that waits for its serial.
    pub waiting: Option<(String, String)>,
    pub done: bool,
    lines: usize,
}

impl Scan {
    /// Begins with a bin, which may be empty.
    pub fn new(bin: &str) -> Self {
        Self { bin: bin.to_string(), ..Self::default() }
    }
    /// Takes a line.
    pub fn line(&mut self, line: &str) -> Said {
        self.lines += 1;
        let line = line.trim();
        let lower = line.to_lowercase();
        let wrong = |why: &str, what: &str| Said::Wrong(why.to_string(), what.to_string());
        if line.is_empty() || self.done {
            return Said::Nothing;
        }
        if line.chars().count() > LONGEST {
            return wrong("the line is longer than any label or code", "scan it again");
        }
        match lower.as_str() {
            UNDO => return self.undo(),
            "done" => return self.end(),
            _ => {}
        }
        if let Some(number) = lower.strip_prefix("leave out ") {
            return self.leave_out(number);
        }
        if let Some(bin) = lower.strip_prefix("bin ") {
            return match read_bin(bin) {
                Ok(bin) => {
                    self.bin.clone_from(&bin);
                    Said::Bin(bin)
                }
                Err(e) => Said::Wrong(e.to_string(), e.hint()),
            };
        }
        match (recognise::line(line), &self.waiting) {
            (What::Code | What::Label, Some(_)) => self.over(line),
            (_, Some(_)) => self.serial(line),
            (What::Code | What::Label | What::PartNumber, None) => self.label(line),
            (_, None) => wrong("it is neither a label nor a 2-D code nor a part number", "scan the label first"),
        }
    }
    /// A label where a serial was expected: a serial that comes next is this one's, and never the one's before.
    fn over(&mut self, line: &str) -> Said {
        let before = self.waiting.take();
        match (self.label(line), before) {
            (wrong @ Said::Wrong(..), before) => {
                self.waiting = before;
                wrong
            }
            (said, Some((label, _))) => {
                let now = match said {
                    Said::Label(words) => format!("now the serial of {words}"),
                    Said::Dropped(why, _) => why,
                    _ => format!("`{line}` was taken"),
                };
                let why = format!("`{label}` had no serial and is let go; {now}");
                Said::Dropped(why, "scan the module that was let go again, label and serial".to_string())
            }
            (said, None) => said,
        }
    }
    fn label(&mut self, line: &str) -> Said {
        let one = Scanned { line: self.lines, text: line, serial: None, count: 1 };
        let view = reading::scanned(&[one], &intake::question());
        if let Some(unread) = view.unread.first() {
            return Said::Wrong(unread.why.clone(), unread.hint.clone());
        }
        let Some(module) = view.items.first().and_then(|i| i.module.as_ref()) else {
            return Said::Wrong("it tells of no module".to_string(), "scan the label".to_string());
        };
        let words = module.short();
        match &module.serial {
            Some(serial) => self.push(line.to_string(), Some(intake::serial(serial)), words),
            None => {
                self.waiting = Some((line.to_string(), words.clone()));
                Said::Label(words)
            }
        }
    }
    fn serial(&mut self, line: &str) -> Said {
        let plain = line.chars().all(|c| c.is_ascii_alphanumeric() || "-_./".contains(c));
        if !plain || !SERIAL.contains(&line.len()) {
            return Said::Wrong(
                format!("`{line}` is no serial"),
                "scan the serial's bar code again, or type undo".to_string(),
            );
        }
        let Some((text, words)) = self.waiting.take() else { return Said::Nothing };
        let serial = (!line.eq_ignore_ascii_case("none")).then(|| intake::serial(line));
        self.push(text, serial, words)
    }
    fn push(&mut self, text: String, serial: Option<String>, words: String) -> Said {
        let twice = self.modules.iter().any(|m| m.serial.is_some() && m.serial == serial);
        if twice {
            return Said::Dropped(
                format!("serial {} was scanned already, and its label is let go", serial.unwrap_or_default()),
                "put the module aside, and go on with the next one's label".to_string(),
            );
        }
        let said = format!("{}: {words}, {}", self.modules.len() + 1, serial.as_deref().unwrap_or("no serial"));
        self.modules.push(Module { text, serial, bin: self.bin.clone(), words, line: self.lines });
        Said::Module(said)
    }
    /// Leaves out a module, by its number from 1.
    fn leave_out(&mut self, number: &str) -> Said {
        let at =
            number.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|at| *at < self.modules.len());
        match at.map(|at| self.modules.remove(at)) {
            Some(module) => {
                let serial = module.serial.unwrap_or_else(|| "no serial".to_string());
                Said::Undone(format!("{}, {serial}", module.words))
            }
            None => Said::Wrong(
                format!("`{}` is no number of a module that was scanned", number.trim()),
                "say `leave out 3` for the third; those after it move up".to_string(),
            ),
        }
    }
    fn undo(&mut self) -> Said {
        if let Some((_, words)) = self.waiting.take() {
            return Said::Undone(format!("label {words}"));
        }
        match self.modules.pop() {
            Some(module) => {
                let serial = module.serial.unwrap_or_else(|| "no serial".to_string());
                Said::Undone(format!("{}, {serial}", module.words))
            }
            None => Said::Wrong("there is nothing to undo".to_string(), "scan a label".to_string()),
        }
    }
    fn end(&mut self) -> Said {
        if let Some((label, _)) = &self.waiting {
            let why = format!("`{label}` still waits for its serial");
            return Said::Wrong(why, "scan it, or type undo first".to_string());
        }
        self.done = true;
        Said::Done
    }
}

/// What a line did, once more with what the shelf knows: a module that lies on it already is let go at once.
///
/// # Errors
/// The store's.
pub fn line(store: &Store, scan: &mut Scan, text: &str) -> Result<Said, Failure> {
    let said = scan.line(text);
    let (Said::Module(_), Some(serial)) = (&said, scan.modules.last().and_then(|m| m.serial.clone())) else {
        return Ok(said);
    };
    let here = |i: &&Item| matches!(i.state, ItemState::Shelf | ItemState::HeldBack);
    let known = store.items_by_serial(&serial)?;
    let Some(item) = known.iter().find(here) else { return Ok(said) };
    let bin = if item.bin.is_empty() { "no bin".to_string() } else { format!("bin {}", item.bin) };
    let why = format!("serial {serial} is in stock already: item {}, {}, {bin}", item.id, item.model.label);
    scan.line(UNDO);
    Ok(Said::Known(why, "put the module aside, and go on with the next one's label".to_string()))
}

/// Takes in all that was scanned.
///
/// # Errors
/// [`Failure::Intake`] with everything that can't be taken in; nothing is then.
pub fn take_in(data: &Data, store: &Store, scan: &Scan, terms: &Terms, who: &Who) -> Result<ScreenedView, Failure> {
    if scan.modules.is_empty() {
        return Err(Failure::Shop {
            why: "nothing was scanned".to_string(),
            hint: "scan a label, then its serial; end with done".to_string(),
        });
    }
    let scanned: Vec<Scanned<'_>> = scan
        .modules
        .iter()
        .map(|m| Scanned { line: m.line, text: &m.text, serial: m.serial.as_deref(), count: 1 })
        .collect();
    let view = reading::scanned(&scanned, &intake::question());
    let row = |from: &str| {
        let line = reading::line_of(from)?;
        let module = scan.modules.iter().find(|m| m.line == line)?;
        let bin = if module.bin.is_empty() { terms.bin.clone() } else { module.bin.clone() };
        let serial = module.serial.as_deref().unwrap_or("no serial");
        let text = format!("{}, {serial}", module.text);
        Some(Row { line: Some(line), text, terms: Terms { bin, ..terms.clone() } })
    };
    intake::take(data, store, &view, &row, terms, intake::unread(&view, ""), who)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn scan(lines: &[&str]) -> (Scan, Vec<Said>) {
        let mut scan = Scan::new("");
        let said = lines.iter().map(|l| scan.line(l)).collect();
        (scan, said)
    }

    #[test]
    fn labels_and_serials_alternate_and_bins_hold_until_the_next() {
        let label = "64GB 2Rx4 PC4-2933Y-RB2-12";
        let (scan, said) = scan(&["bin a3", label, "4a5b6c01", label, "none", "bin B1", label, "4A5B6C02", "done"]);
        let found: Vec<_> = scan.modules.iter().map(|m| (m.serial.as_deref(), m.bin.as_str())).collect();
        assert_eq!(found, [(Some("4A5B6C01"), "A3"), (None, "A3"), (Some("4A5B6C02"), "B1")]);
        assert!(scan.done && said.last() == Some(&Said::Done), "{said:?}");
    }

    #[test]
    fn what_is_out_of_turn_is_told_and_undo_takes_back_one_step() {
        let label = "64GB 2Rx4 PC4-2933Y-RB2-12";
        let (scan, said) = scan(&["4A5B", label, label, "done", "undo", label, "AA11", label, "AA11", "undo", "undo"]);
        let places = |of: fn(&Said) -> bool| -> Vec<usize> {
            said.iter().enumerate().filter(|(_, s)| of(s)).map(|(i, _)| i).collect()
        };
        assert_eq!(places(|s| matches!(s, Said::Wrong(..))), [0, 3, 10], "{said:?}");
        assert_eq!(places(|s| matches!(s, Said::Dropped(..))), [2, 8], "{said:?}");
        assert!(scan.modules.is_empty() && scan.waiting.is_none());
    }

    #[test]
    fn a_serial_never_goes_to_a_label_before_the_last() {
        let (large, small) = ("64GB 2Rx4 PC4-2933Y-RB2-12", "16GB 2Rx4 PC4-2133P-RA0-10");
        let (scan, _) = scan(&[large, "DUP00001", large, "DUP00001", small, "SMALL001", large, small, "SMALL002"]);
        let found: Vec<_> = scan.modules.iter().map(|m| (m.text.as_str(), m.serial.as_deref())).collect();
        assert_eq!(found, [(large, Some("DUP00001")), (small, Some("SMALL001")), (small, Some("SMALL002"))]);
    }

    #[test]
    fn the_long_form_of_a_serial_is_the_same_serial_and_one_can_be_left_out() {
        let label = "64GB 2Rx4 PC4-2933Y-RB2-12";
        // Maker 80 CE, place 01, year 20, week 14, then the serial.
        let (mut scan, said) = scan(&[label, "80CE012014A1B2C3D4", label, "a1b2c3d4", label, "A1B2C3D5"]);
        assert!(matches!(said[3], Said::Dropped(..)), "{said:?}");
        let serials = |scan: &Scan| scan.modules.iter().filter_map(|m| m.serial.clone()).collect::<Vec<_>>();
        assert_eq!(serials(&scan), ["A1B2C3D4", "A1B2C3D5"]);
        assert!(matches!(scan.line("leave out 1"), Said::Undone(_)));
        assert!(matches!(scan.line("leave out 2"), Said::Wrong(..)));
        assert_eq!(serials(&scan), ["A1B2C3D5"]);
    }

    proptest! {
        #[test]
        fn no_line_panics_and_every_module_has_a_text(lines in proptest::collection::vec(".{0,30}|undo|bin x|64GB 2Rx4 PC4-2933Y-RB2-12|4A5B", 0..12)) {
            let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
            let (scan, said) = scan(&lines);
            prop_assert_eq!(said.len(), lines.len());
            prop_assert!(scan.modules.iter().all(|m| !m.text.is_empty()));
        }
    }
}
