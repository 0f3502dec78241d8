//! Fields ↔ need file: every line of the written file knows its field, so that a fault finds its way back.

use crate::failure::Failure;
use crate::verbs::plan;
use crate::web::query::Query;
use catalog::{Files, Input, Library};
use domain::Need;
use std::io;
use std::path::{Path, PathBuf};

/// Every field of the form, in the words of the need file.
pub const FIELDS: [&str; 21] = [
    "board",
    "processors",
    "mode",
    "numa",
    "firmware",
    "about",
    "least",
    "most",
    "budget",
    "bandwidth",
    "rate",
    "free_slots",
    "machines",
    "kinds",
    "capacities",
    "rates",
    "conditions",
    "stock",
    "installed",
    "loose",
    "keep",
];

/// A need as its form holds it.
#[derive(Debug, Clone)]
pub struct Form {
    pub query: Query,
}

/// What is wrong, field by field; a fault that belongs to none stands under an empty name.
#[derive(Debug, Clone, Default)]
pub struct Wrong(Vec<(String, String)>);

impl Wrong {
    /// What is wrong with a field.
    pub fn of<'a>(&'a self, field: &'a str) -> impl Iterator<Item = &'a str> {
        self.0.iter().filter(move |(f, _)| f == field).map(|(_, words)| words.as_str())
    }
    /// Is anything wrong?
    pub fn any(&self) -> bool {
        !self.0.is_empty()
    }
    /// How many faults there are.
    pub fn count(&self) -> usize {
        self.0.len()
    }
    /// Adds a fault.
    pub fn add(&mut self, field: &str, words: String) {
        self.0.push((field.to_string(), words));
    }
}

/// The written file, with the field of each line.
#[derive(Debug, Default)]
struct Written {
    text: String,
    fields: Vec<String>,
}

impl Written {
    fn line(&mut self, field: &str, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
        self.fields.push(field.to_string());
    }
}

/// The need and the stock as files that the reader may open.
struct Kept<'a> {
    need: &'a str,
    stock: &'a str,
}

const NEED: &str = "need.toml";
const STOCK: &str = "stock.toml";

impl Files for Kept<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        match path.to_str() {
            Some(NEED) => Ok(self.need.into()),
            Some(STOCK) => Ok(self.stock.into()),
            _ => Err(io::Error::new(io::ErrorKind::PermissionDenied, "a page can name no file")),
        }
    }
    fn list(&self, _: &Path) -> io::Result<Vec<PathBuf>> {
        Ok(Vec::new())
    }
}

impl Form {
    /// The form's part of a query.
    pub fn new(query: &Query) -> Self {
        let pairs = query.pairs().filter(|(name, _)| FIELDS.contains(name));
        Self { query: Query::of(pairs.map(|(n, v)| (n.to_string(), v.to_string())).collect()) }
    }
    /// A need that the shipped data answers well.
    pub fn example() -> Query {
        Query::parse(
            "board=dunlin-2s6&processors=ddr4-6ch-2933&processors=ddr4-6ch-2933&firmware=2.14&about=750+GB&budget=2500+EUR\
             &bandwidth=150+GB/s&kinds=RDIMM&capacities=16+GiB&capacities=32+GiB&capacities=64+GiB&rates=2666&rates=2933",
        )
    }
    /// The need as a file.
    pub fn text(&self) -> String {
        self.write().text
    }
    /// The stock that was typed in, as a file; empty where the catalogue is meant.
    pub fn stock(&self) -> String {
        self.query.raw("stock").replace("\r\n", "\n")
    }
    fn write(&self) -> Written {
        let query = &self.query;
        let mut out = Written::default();
        out.line("board", &format!("board = {}", toml_text(query.get("board"))));
        out.line("processors", &format!("processors = {}", list(query.all("processors").map(toml_text))));
        for key in ["mode", "numa", "firmware", "about"] {
            if let Some(value) = query.some(key) {
                out.line(key, &format!("{key} = {}", toml_text(value)));
            }
        }
        let (least, most) = (query.some("least"), query.some("most"));
        if least.is_some() || most.is_some() {
            // One key a line, so that a fault in either finds its field.
            if let Some(value) = least {
                out.line("least", &format!("capacity.least = {}", toml_text(value)));
            }
            if let Some(value) = most {
                out.line("most", &format!("capacity.most = {}", toml_text(value)));
            }
        }
        if let Some(value) = query.some("budget") {
            out.line("budget", &format!("budget = {}", toml_text(value)));
        }
        if let Some(value) = query.some("bandwidth") {
            out.line("bandwidth", &format!("bandwidth.least = {}", toml_text(value)));
        }
        // What is no number is left out here and told apart, so that the other faults are found beside it.
        for (field, key) in [("rate", "rate.least"), ("free_slots", "free_slots"), ("machines", "machines")] {
            if let Some(value) = query.some(field).and_then(number) {
                out.line(field, &format!("{key} = {value}"));
            }
        }
        self.parts(&mut out);
        self.present(&mut out);
        out
    }
    /// Where modules come from.
    fn parts(&self, out: &mut Written) {
        if self.query.some("stock").is_some() {
            out.line("stock", &format!("modules = {}", toml_text(STOCK)));
            return;
        }
        for key in ["kinds", "capacities", "rates", "conditions"] {
            let values: Vec<&str> = self.query.all(key).collect();
            if !values.is_empty() {
                let item =
                    |v: &&str| number(v).filter(|_| key == "rates").map_or_else(|| toml_text(v), |n| n.to_string());
                out.line(key, &format!("modules.{key} = {}", list(values.iter().map(item))));
            }
        }
    }
    /// What the machine holds already.
    fn present(&self, out: &mut Written) {
        let lines = |name: &str| -> Vec<String> {
            self.query.raw(name).lines().map(|l| l.trim().to_string()).filter(|l| !l.is_empty()).collect()
        };
        let (installed, loose) = (lines("installed"), lines("loose"));
        if !installed.is_empty() || !loose.is_empty() {
            out.line("keep", &format!("keep = {}", !self.query.holds("keep", "no")));
        }
        if !loose.is_empty() {
            out.line("loose", &format!("loose = {}", list(loose.iter().map(|l| toml_text(l)))));
        }
        if !installed.is_empty() {
            out.line("installed", "[installed]");
            for line in installed {
                let (slot, module) = line.split_once('=').unwrap_or((&line, ""));
                let bare = |t: &str| toml_text(t.trim().trim_matches('"'));
                out.line("installed", &format!("{} = {}", bare(slot), bare(module)));
            }
        }
    }
    /// The need that is meant.
    ///
    /// # Errors
    /// What is wrong, field by field.
    pub fn read(&self, library: &Library) -> Result<Need, Wrong> {
        let written = self.write();
        let stock = self.stock();
        let files = Kept { need: &written.text, stock: &stock };
        let input = Input::file(&files, Path::new(NEED)).map_err(Failure::from);
        let read = input.and_then(|input| plan::read_text(library, &input));
        let mut wrong = read.as_ref().err().map_or_else(Wrong::default, |failure| sorted(failure, &written));
        for field in ["rate", "free_slots", "machines"] {
            if let Some(value) = self.query.some(field).filter(|v| number(v).is_none()) {
                wrong.add(field, format!("`{value}` is no whole number: write digits alone"));
            }
        }
        read.ok().filter(|_| !wrong.any()).ok_or(wrong)
    }
}

fn sorted(failure: &Failure, written: &Written) -> Wrong {
    let mut wrong = Wrong::default();
    let Failure::File(error) = failure else {
        wrong.add("", format!("{failure}: {}", failure.hint()));
        return wrong;
    };
    for report in error.reports() {
        let words = format!("{}: {}", report.problem, report.hint);
        match &report.place {
            Some(place) if place.file == STOCK => {
                wrong.add("stock", format!("line {}, column {}: {words}", place.line, place.column));
            }
            Some(place) => {
                let field = place.line.checked_sub(1).and_then(|at| written.fields.get(at));
                wrong.add(field.map_or("", String::as_str), words);
            }
            None => wrong.add("", words),
        }
    }
    wrong
}

/// A TOML string on one line, so that what a person typed begins no line of its own; JSON's escapes are TOML's too.
pub fn toml_text(words: &str) -> String {
    serde_json::Value::from(words.trim()).to_string().replace('\u{7f}', "\\u007f")
}

/// A whole number.
fn number(words: &str) -> Option<i64> {
    words.trim().parse().ok()
}

fn list(items: impl Iterator<Item = String>) -> String {
    format!("[{}]", items.collect::<Vec<_>>().join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world;

    fn form(pairs: &str) -> Form {
        Form::new(&Query::parse(pairs))
    }

    #[test]
    fn the_form_writes_the_need_file_that_it_reads() {
        let library = world::shipped().unwrap();
        let example = Form::new(&Form::example());
        let need = example.read(&library).unwrap();
        let file = catalog::Input::text("need", include_str!("../../../../../examples/need-750.toml"));
        let same = plan::read_text(&library, &file).unwrap();
        assert_eq!(format!("{need:?}"), format!("{same:?}"));
    }

    #[test]
    fn a_fault_finds_its_field() {
        let library = world::shipped().unwrap();
        let base = "board=dunlin-2s6&processors=ddr4-6ch-2933&processors=ddr4-6ch-2933";
        for (more, field) in [
            ("&about=750+XB", "about"),
            ("&about=750&budget=2500", "budget"),
            ("&least=512+GB&most=1+apple", "most"),
            ("&about=750+GB&machines=many", "machines"),
            ("&about=750+GB&kinds=WIDE", "kinds"),
            ("&about=750+GB&mode=loud", "mode"),
            ("&about=750+GB&installed=nowhere-1+%3D+32GB+2Rx4+PC4-2933Y-R", "installed"),
            ("&about=750+GB&loose=soup", "loose"),
            ("&about=750+GB&stock=%5B%5Blot%5D%5D%0D%0Amodule+%3D+%22soup%22", "stock"),
        ] {
            let wrong = form(&format!("{base}{more}")).read(&library).unwrap_err();
            assert!(wrong.of(field).next().is_some_and(|w| w.len() > 10), "{field}: {wrong:?}");
        }
        let both = form(&format!("{base}&least=1+apple&machines=many")).read(&library).unwrap_err();
        assert!(both.of("least").next().is_some() && both.of("machines").next().is_some(), "{both:?}");
        let wrong = form("board=heron&processors=x&about=1+TB").read(&library).unwrap_err();
        assert!(wrong.of("board").next().is_some(), "{wrong:?}");
    }

    #[test]
    fn hostile_words_stay_words() {
        let library = world::shipped().unwrap();
        let hostile = "\"]\nbudget = \"1 EUR\"\n#";
        let mut query = Form::example();
        query = query.with("firmware", hostile);
        let form = Form::new(&query);
        let table: toml::Table = form.text().parse().unwrap();
        assert_eq!(table["firmware"].as_str(), Some(hostile.trim()));
        assert_eq!(table["budget"].as_str(), Some("2500 EUR"));
        let _ = form.read(&library);
    }
}
