//! What is wrong in a file: each fault with its place, what to do about it, and the lines drawn for a person.

use crate::text::{Place, Span, Texts, shown};
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet, renderer::DecorStyle};
use domain::money::MoneyError;
use domain::quantity::QuantityError;
use std::fmt;
use std::path::Path;

/// The kinds of fault that a file can have.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Problem {
    /// The file is not there or can't be read.
    #[error("can't read `{path}`: {reason}")]
    Unreadable { path: String, reason: String },
    /// The file is longer than any that is read.
    #[error("the file is longer than {most} bytes")]
    TooLong { most: usize },
    /// The bytes are no UTF-8 text.
    #[error("byte 0x{byte:02x} is not UTF-8 text")]
    NotText { byte: u8 },
    /// The text is no TOML.
    #[error("not TOML: {0}")]
    Syntax(String),
    /// Another `format` than this program reads.
    #[error("this is format {found}, but this program reads format 1")]
    Format { found: String },
    /// A key that the table does not have.
    #[error("there is no key `{key}` here")]
    UnknownKey { key: String },
    /// A key that must be there.
    #[error("the key `{key}` is missing")]
    MissingKey { key: String },
    /// A text where a number belongs, and the like.
    #[error("expected {expected}, found {found}")]
    Type { expected: String, found: String },
    /// A word that is not among those it must be one of.
    #[error("`{word}` is not a word that stands here")]
    UnknownWord { word: String },
    /// A name of something that is not known.
    #[error("there is no {what} `{name}`")]
    UnknownName { what: &'static str, name: String },
    /// A number outside its range.
    #[error("{found} is out of range: {what} goes from {least} to {most}")]
    Range { what: String, least: String, most: String, found: String },
    /// A text that is no quantity.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
    /// A text that is no amount of money, or two currencies in one sum.
    #[error(transparent)]
    Money(#[from] MoneyError),
    /// The same thing given twice.
    #[error("{what} `{name}` is given twice")]
    Twice { what: &'static str, name: String },
    /// A file that inherits itself.
    #[error("a board inherits itself: {chain}")]
    Cycle { chain: String },
    /// Too long a chain of inheritance.
    #[error("more than {most} boards inherit each other: {chain}")]
    Deep { most: usize, chain: String },
    /// A module that can't be told from what is written.
    #[error("{message}")]
    UnknownModule { message: String },
    /// Figures that can't all hold.
    #[error("{0}")]
    Contradiction(String),
}

/// One fault, with its place.
#[derive(Debug, Clone)]
pub(crate) struct Fault {
    pub problem: Box<Problem>,
    pub span: Option<Span>,
    pub hint: Option<String>,
    pub see: Vec<(Span, String)>,
}

impl Fault {
    pub fn new(span: impl Into<Option<Span>>, problem: Problem) -> Self {
        Self { problem: Box::new(problem), span: span.into(), hint: None, see: Vec::new() }
    }
    pub fn contradiction(span: Span, text: impl Into<String>) -> Self {
        Self::new(span, Problem::Contradiction(text.into()))
    }
    pub fn quantity(span: Span, error: QuantityError) -> Self {
        let hint = error.hint();
        Self::new(span, error.into()).hint(hint)
    }
    pub fn money(span: Span, error: MoneyError) -> Self {
        let hint = error.hint();
        Self::new(span, error.into()).hint(hint)
    }
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
    /// Shows another place that matters.
    pub fn see(mut self, span: Span, text: impl Into<String>) -> Self {
        self.see.push((span, text.into()));
        self
    }
}

/// What a program needs of one fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    pub problem: Problem,
    /// Where it is; `None` where no file could be opened.
    pub place: Option<Place>,
    /// What the person can do next, in one clause.
    pub hint: String,
}

/// All faults that were found in the files that were read; at least one.
#[derive(Clone)]
pub struct CatalogError {
    faults: Vec<Fault>,
    texts: Texts,
}

impl CatalogError {
    pub(crate) fn new(mut faults: Vec<Fault>, texts: Texts) -> Self {
        let order = |f: &Fault| f.span.map_or(0, |s| s.start);
        faults.sort_by_key(order);
        // A base that several boards inherit is read with each; its faults are told once.
        let mut told = Vec::new();
        faults.retain(|fault| {
            let this = (fault.span.and_then(|s| texts.place(s)), fault.problem.clone());
            let new = !told.contains(&this);
            told.push(this);
            new
        });
        if faults.is_empty() {
            // Nothing was read and nothing was found wrong: that is our own mistake, told as one.
            faults.push(Fault::new(None, Problem::Contradiction("the file could not be read as a whole".into())));
        }
        Self { faults, texts }
    }
    pub(crate) fn unreadable(path: &Path, error: &std::io::Error) -> Self {
        let path = shown(&path.display().to_string());
        let fault = Fault::new(None, Problem::Unreadable { path, reason: error.to_string() });
        Self::new(vec![fault.hint("check the path, and that the file may be read")], Texts::default())
    }
    fn report(&self, fault: &Fault) -> Report {
        Report {
            problem: (*fault.problem).clone(),
            place: fault.span.and_then(|s| self.texts.place(s)),
            hint: fault.hint.clone().unwrap_or_else(|| "see the guide to the files that people write".into()),
        }
    }
    /// All faults, in order of place.
    pub fn reports(&self) -> Vec<Report> {
        self.faults.iter().map(|f| self.report(f)).collect()
    }
    /// What the person can do next about the first fault, in one clause.
    pub fn hint(&self) -> String {
        self.faults.first().map(|f| self.report(f).hint).unwrap_or_default()
    }
    /// All faults (twenty at most) drawn under their lines; with colour codes for a terminal if `colour`.
    pub fn render(&self, colour: bool) -> String {
        const MOST: usize = 20;
        let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
        let renderer = renderer.decor_style(DecorStyle::Ascii);
        let drawn = |f: &Fault| renderer.render(&[self.group(f)]);
        let mut out: Vec<String> = self.faults.iter().take(MOST).map(drawn).collect();
        if let more @ 1.. = self.faults.len().saturating_sub(MOST) {
            out.push(format!("and {more} more"));
        }
        out.join("\n\n")
    }
    fn group<'a>(&'a self, fault: &'a Fault) -> Group<'a> {
        let mut group = Group::with_title(Level::ERROR.primary_title(fault.problem.to_string()));
        // One snippet a file: the fault's own first, then those of the other places.
        let mut places = vec![];
        places.extend(fault.span.map(|s| (s, None)));
        places.extend(fault.see.iter().map(|(s, t)| (*s, Some(t.as_str()))));
        let mut files: Vec<usize> = Vec::new();
        for base in places.iter().filter_map(|(s, _)| self.texts.of(*s)).map(|t| t.base) {
            if !files.contains(&base) {
                files.push(base);
            }
        }
        for base in files {
            group = group.element(self.snippet(base, &places));
        }
        if fault.hint.is_some() {
            group = group.element(Level::HELP.message(self.report(fault).hint));
        }
        group
    }
    fn snippet<'a>(
        &'a self,
        base: usize,
        places: &[(Span, Option<&'a str>)],
    ) -> Snippet<'a, annotate_snippets::Annotation<'a>> {
        let text = self.texts.of(Span { start: base, end: base });
        let (source, name) = text.map_or(("", ""), |t| (&t.text, &t.name));
        let mut snippet = Snippet::source(source).path(name).fold(true);
        for (span, label) in places {
            if self.texts.of(*span).map(|t| t.base) != Some(base) {
                continue;
            }
            let range = within(source, span.start - base, span.end.saturating_sub(base));
            let kind = if label.is_none() { AnnotationKind::Primary } else { AnnotationKind::Context };
            snippet = snippet.annotation(kind.span(range).label(*label));
        }
        snippet
    }
}

/// A range cut to the text, to whole characters and to its first line, so that a fault marks one line.
fn within(source: &str, start: usize, end: usize) -> std::ops::Range<usize> {
    let mut start = start.min(source.len());
    while !source.is_char_boundary(start) {
        start -= 1;
    }
    let mut end = end.clamp(start, source.len());
    while !source.is_char_boundary(end) {
        end -= 1;
    }
    let line = source[start..end].find(['\n', '\r']).unwrap_or(end - start);
    start..start + line
}

impl fmt::Display for CatalogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some(first) = self.faults.first() else {
            return Ok(());
        };
        if let Some(place) = first.span.and_then(|s| self.texts.place(s)) {
            write!(f, "{place}: ")?;
        }
        write!(f, "{}", first.problem)?;
        match self.faults.len() {
            0 | 1 => Ok(()),
            n => write!(f, " (and {} more)", n - 1),
        }
    }
}

impl fmt::Debug for CatalogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for CatalogError {}
