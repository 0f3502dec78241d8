//! Scanning modules in: what a scanner types, line by line, until `done`. The same lines give the same state, so that a
//! page can carry them along.

use super::act::read_bin;
use super::intake::{self, Row, ScreenedView, Terms};
use crate::failure::Failure;
use crate::verbs::read::intake::{self as reading, Scanned};
use crate::verbs::recognise::{self, What};
use crate::world::Data;
use domain::item::Who;
use store::Store;

/// Longest line that is taken.
const LONGEST: usize = 400;
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
            "undo" => return self.undo(),
            "done" => return self.end(),
            _ => {}
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
            (What::Code | What::Label, Some((label, _))) => Said::Wrong(
                format!("`{label}` still waits for its serial"),
                "scan the serial first, or type undo, or `none` where it bears none".to_string(),
            ),
            (_, Some(_)) => self.serial(line),
            (What::Code | What::Label | What::PartNumber, None) => self.label(line),
            (_, None) => wrong("it is neither a label nor a 2-D code nor a part number", "scan the label first"),
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
            Some(serial) => self.push(line.to_string(), Some(serial.clone()), words),
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
        let serial = (!line.eq_ignore_ascii_case("none")).then(|| line.to_uppercase());
        self.push(text, serial, words)
    }
    fn push(&mut self, text: String, serial: Option<String>, words: String) -> Said {
        let twice = self.modules.iter().any(|m| m.serial.is_some() && m.serial == serial);
        if twice {
            return Said::Wrong(
                format!("serial {} was scanned already", serial.unwrap_or_default()),
                "put it aside; the label before it was dropped too".to_string(),
            );
        }
        let said = format!("{}: {words}, {}", self.modules.len() + 1, serial.as_deref().unwrap_or("no serial"));
        self.modules.push(Module { text, serial, bin: self.bin.clone(), words, line: self.lines });
        Said::Module(said)
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
        let wrong: Vec<usize> =
            said.iter().enumerate().filter(|(_, s)| matches!(s, Said::Wrong(..))).map(|(i, _)| i).collect();
        assert_eq!(wrong, [0, 2, 3, 8, 10], "{said:?}");
        assert!(scan.modules.is_empty() && scan.waiting.is_none());
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
