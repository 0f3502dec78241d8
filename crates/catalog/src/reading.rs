//! One reading of one or more files: the texts opened, the faults found, and where figures are cited from.

use crate::decode::{At, decode};
use crate::error::{CatalogError, Fault, Problem};
use crate::nearest::suggest;
use crate::shape::words::{MarkWord, OutcomeWord, SeverityWord};
use crate::text::{Span, Texts, shown};
use crate::tree::{self, Node, Value};
use domain::board::Ruling;
use domain::source::Source;
use domain::{Cited, Mark, Outcome, Severity, SourceId};
use std::collections::BTreeMap;

/// The register of sources, and whether every source must be in it.
pub(crate) type Register = BTreeMap<String, Source>;

/// What has been read so far, and what was wrong with it.
#[derive(Debug, Default)]
pub(crate) struct Reading {
    pub texts: Texts,
    faults: Vec<Fault>,
}

impl Reading {
    /// Keeps a fault, up to a hundred: more help nobody, and a file can have a million.
    pub fn report(&mut self, fault: Fault) {
        if self.faults.len() < 100 {
            self.faults.push(fault);
        }
    }
    /// Keeps a value, or its fault.
    pub fn keep<T>(&mut self, result: Result<T, Fault>) -> Option<T> {
        result.map_err(|fault| self.report(fault)).ok()
    }
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }
    /// Parses a file.
    pub fn parse(&mut self, name: &str, bytes: &[u8]) -> Option<Node> {
        match tree::parse(&mut self.texts, name, bytes) {
            Ok(node) => Some(node),
            Err(faults) => {
                self.faults.extend(faults);
                None
            }
        }
    }
    /// Reads a shape out of a tree.
    pub fn decode<T: serde::de::DeserializeOwned>(&mut self, node: &Node) -> Option<T> {
        self.keep(decode(node))
    }
    /// The value, if nothing at all was wrong.
    pub fn finish<T>(self, value: Option<T>) -> Result<T, CatalogError> {
        match value {
            Some(value) if self.faults.is_empty() => Ok(value),
            _ => Err(CatalogError::new(self.faults, self.texts)),
        }
    }
    /// Checks the version of a file's format.
    pub fn check_format(&mut self, root: &Node, required: bool) {
        match root.get("format") {
            None if !required => {}
            None => self.report(
                Fault::new(root.span, Problem::MissingKey { key: "format".into() }).hint("add a line `format = 1`"),
            ),
            Some(entry) => match &entry.node.value {
                Value::Whole(Some(1)) => {}
                _ => {
                    let fault = Fault::new(entry.node.span, Problem::Format { found: entry.node.words() });
                    self.report(fault.hint("write `format = 1`, or use the program that the file was written for"));
                }
            },
        }
    }
    /// A whole number that must lie in a range.
    pub fn ranged<T>(&mut self, at: &At<T>, what: &str, least: T, most: T) -> Option<T>
    where
        T: PartialOrd + Copy + std::fmt::Display,
    {
        if at.value >= least && at.value <= most {
            return Some(at.value);
        }
        let (least, most) = (least.to_string(), most.to_string());
        let hint = format!("give a number from {least} to {most}");
        let problem = Problem::Range { what: what.into(), least, most, found: at.value.to_string() };
        self.report(Fault::new(at.span, problem).hint(hint));
        None
    }
    /// A name that must be short, in one line, and not empty.
    pub fn name(&mut self, at: &At<String>, what: &str) -> Option<String> {
        let name = at.value.trim();
        let wrong = if name.is_empty() {
            "is empty"
        } else if name.chars().count() > 100 {
            "is longer than 100 characters"
        } else if shown(name).chars().take(60).ne(name.chars().take(60)) || name.chars().any(char::is_control) {
            "has characters that can't be printed"
        } else {
            return Some(name.to_string());
        };
        self.report(Fault::contradiction(at.span, format!("{what} {wrong}")).hint("write a short name in one line"));
        None
    }
    /// Reports a name that is not known, with the nearest that is.
    pub fn unknown<'n>(
        &mut self,
        at: &At<String>,
        what: &'static str,
        known: impl IntoIterator<Item = &'n str> + Clone,
    ) {
        let problem = Problem::UnknownName { what, name: shown(at) };
        self.report(Fault::new(at.span, problem).hint(suggest(at, known)));
    }
    /// Reports a thing given twice.
    pub fn twice(&mut self, what: &'static str, name: &str, first: Span, second: Span) {
        let fault = Fault::new(second, Problem::Twice { what, name: shown(name) });
        self.report(fault.see(first, "first given here").hint("take one of the two away"));
    }
}

/// Where the figures of a file come from, where they do not say it themselves.
#[derive(Debug, Default)]
pub(crate) struct Origins {
    /// Each file's own `source` and `mark`, with a span in that file, base first.
    files: Vec<(Span, Option<At<String>>, Option<Mark>)>,
}

impl Origins {
    /// Notes what a file says at its top.
    pub fn add(&mut self, reading: &mut Reading, root: &Node) {
        let source = root.text("source").map(|(text, span)| At { value: text.to_string(), span });
        let mark = root.get("mark").and_then(|e| reading.decode::<MarkWord>(&e.node)).map(MarkWord::value);
        self.files.push((root.span, source, mark));
    }
    fn of(&self, texts: &Texts, span: Span) -> (Option<&At<String>>, Option<Mark>) {
        let base = |s: Span| texts.of(s).map(|t| t.base);
        let own = self.files.iter().find(|(s, ..)| base(*s) == base(span));
        // A file that names no source of its own takes that of the file it inherits.
        let source = own.and_then(|o| o.1.as_ref()).or_else(|| self.files.iter().find_map(|f| f.1.as_ref()));
        (source, own.and_then(|o| o.2))
    }
}

/// Cites figures: with their own source, or their file's.
pub(crate) struct Citing<'a> {
    pub origins: Origins,
    pub register: &'a Register,
    /// Must every source be in the register?
    pub strict: bool,
}

impl Citing<'_> {
    /// The source and mark of the figure at `span`.
    pub fn cite(
        &self,
        reading: &mut Reading,
        span: Span,
        source: Option<&At<String>>,
        mark: Option<MarkWord>,
    ) -> (SourceId, Mark) {
        let (file_source, file_mark) = self.origins.of(&reading.texts, span);
        let named = source.or(file_source);
        let registered = named.and_then(|s| self.register.get(s.trim()));
        if let (Some(name), None, true) = (named, registered, self.strict) {
            reading.unknown(name, "source", self.register.keys().map(String::as_str));
        }
        let inherited = if source.is_none() { file_mark } else { None };
        let mark = mark.map(MarkWord::value).or(inherited).or(registered.map(|s| s.mark)).unwrap_or(Mark::Seen);
        (SourceId::new(named.map_or("", |s| s.trim())), mark)
    }
    /// A cited value.
    pub fn cited<T>(
        &self,
        reading: &mut Reading,
        value: T,
        span: Span,
        source: Option<&At<String>>,
        mark: Option<MarkWord>,
    ) -> Cited<T> {
        let (source, mark) = self.cite(reading, span, source, mark);
        Cited::new(value, source, mark)
    }
    /// A ruling; what it does where not said is `severity`.
    pub fn ruling<T>(&self, reading: &mut Reading, value: T, span: Span, by: &Breaking<'_>) -> Ruling<T> {
        let (source, mark) = self.cite(reading, span, by.source, by.mark);
        let (severity, outcome) = by.values();
        Ruling { value, severity, outcome, source, mark }
    }
}

/// What breaking a ruling does, as the file has it.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Breaking<'a> {
    pub severity: Option<SeverityWord>,
    pub outcome: Option<OutcomeWord>,
    pub source: Option<&'a At<String>>,
    pub mark: Option<MarkWord>,
    /// The severity where the file has none; `Unsupported` if `None`.
    pub otherwise: Option<Severity>,
}

impl Breaking<'_> {
    pub fn values(&self) -> (Severity, Outcome) {
        let severity = self.severity.map(SeverityWord::value);
        let severity = severity.or(self.otherwise).unwrap_or(Severity::Unsupported);
        let unsaid = if severity == Severity::Wrong { Outcome::Stops } else { Outcome::Unknown };
        (severity, self.outcome.map_or(unsaid, OutcomeWord::value))
    }
}
