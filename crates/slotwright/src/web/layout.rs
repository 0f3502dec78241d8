//! The frame of every page: head, way, main part, and the same thing as a command line at the end.

use super::asked::Answer;
use super::prose;
use crate::failure::Failure;
use axum::http::StatusCode;
use maud::{DOCTYPE, Markup, html};
use std::sync::OnceLock;

/// The script: makes quick what works without it.
pub const SCRIPT: &str = include_str!("../../assets/script.js");

/// The one stylesheet: the page's own rules, the palette's colours, and the drawings' classes.
pub fn style() -> &'static str {
    static STYLE: OnceLock<String> = OnceLock::new();
    STYLE.get_or_init(|| {
        [draw::palette::tokens().as_str(), &draw::svg::stylesheet(), include_str!("../../assets/style.css")].join("\n")
    })
}

/// A number that changes with the assets, so that browsers may keep them.
fn version() -> &'static str {
    static VERSION: OnceLock<String> = OnceLock::new();
    VERSION.get_or_init(|| {
        let sum = ring::digest::digest(&ring::digest::SHA256, [style(), SCRIPT].concat().as_bytes());
        sum.as_ref().iter().take(6).map(|b| format!("{b:02x}")).collect()
    })
}

/// The steps of the way, the shop, and what else there is to look at: (name, path).
const WAY: [(&str, &str); 6] = [
    ("Need", "/need"),
    ("Plans", "/plans"),
    ("Build", "/build"),
    ("Sheets", "/sheets"),
    ("Compare", "/compare"),
    ("Diagnose", "/diagnose"),
];
const SHOP: [(&str, &str); 5] = [
    ("Quotes", "/quotes"),
    ("Orders", "/orders"),
    ("Allocate", "/allocate"),
    ("Stock", "/stock"),
    ("Suppliers", "/suppliers"),
];
const SHELF: [(&str, &str); 5] =
    [("Boards", "/boards"), ("Modules", "/modules"), ("Rules", "/rules"), ("Read", "/read"), ("Machines", "/machines")];

/// A page.
pub struct Page<'a> {
    pub title: &'a str,
    /// The path of the step or shelf that it belongs to, as the navigation has it.
    pub place: &'a str,
    /// Query strings that the steps of the way go on with: (path, query).
    pub way: Vec<(&'static str, String)>,
    pub body: Markup,
    /// The same as a command line; may be several lines.
    pub command: Option<String>,
}

impl<'a> Page<'a> {
    /// A page that carries nothing along the way.
    pub fn new(title: &'a str, place: &'a str, body: Markup) -> Self {
        Self { title, place, way: Vec::new(), body, command: None }
    }
    /// With the same as a command line.
    #[must_use]
    pub fn command(self, command: impl Into<String>) -> Self {
        Self { command: Some(command.into()), ..self }
    }
    /// With the way's links carrying what is already known.
    #[must_use]
    pub fn way(self, way: Vec<(&'static str, String)>) -> Self {
        Self { way, ..self }
    }
    /// As an answer.
    pub fn answer(self) -> Answer {
        Answer::page(self.markup())
    }
    /// As an answer to a form with something wrong in it.
    pub fn refused(self) -> Answer {
        Answer::Page(StatusCode::UNPROCESSABLE_ENTITY, self.markup())
    }
    fn link(&self, path: &str) -> String {
        self.way.iter().find(|(p, _)| *p == path).map_or_else(|| path.to_string(), |(p, q)| format!("{p}?{q}"))
    }
    /// The whole document.
    pub fn markup(&self) -> Markup {
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    title { (self.title) " · Slotwright" }
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    link rel="stylesheet" href={ "/style.css?" (version()) };
                    link rel="icon" href=(ICON);
                    script type="module" src={ "/script.js?" (version()) } {}
                }
                body {
                    a.skip href="#main" { "To the main part" }
                    header.top {
                        a.name href="/" { "Slotwright" }
                        nav aria-label="The way" {
                            ol.way {
                                @for (name, path) in WAY {
                                    li { a href=(self.link(path)) aria-current=[(path == self.place).then_some("page")] { (name) } }
                                }
                            }
                        }
                        nav aria-label="The shop" {
                            ul.shelf {
                                @for (name, path) in SHOP {
                                    li { a href=(path) aria-current=[(path == self.place).then_some("page")] { (name) } }
                                }
                            }
                        }
                        nav aria-label="To look up" {
                            ul.shelf {
                                @for (name, path) in SHELF {
                                    li { a href=(path) aria-current=[(path == self.place).then_some("page")] { (name) } }
                                }
                            }
                        }
                    }
                    main #main tabindex="-1" {
                        h1 { (self.title) }
                        (self.body)
                    }
                    @if let Some(command) = &self.command {
                        footer.command {
                            h2 { "The same as a command line" }
                            pre tabindex="0" aria-label="Command line" { code { (command) } }
                        }
                    }
                }
            }
        }
    }
}

/// A slot with its module, in 16 by 16.
const ICON: &str = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'%3E%3Cpath d='M3 1h4v14H3zM9 1h4v14H9z' fill='%233F978C' stroke='%2314181D'/%3E%3C/svg%3E";

/// A page that says one thing and what to do.
pub fn plain(status: StatusCode, what: &str, next: &str) -> Answer {
    let title = status.canonical_reason().map_or_else(|| "Refused".to_string(), sentence_case);
    let body = html! {
        p.verdict.is-wrong role="alert" { (what) }
        p { "What to do: " (next) "." }
        p { a href="/" { "Start page" } }
    };
    Answer::Page(status, Page::new(&title, "", body).markup())
}

/// A thing of a list that is not there: back to the list.
pub fn absent(what: &str, place: &str) -> Answer {
    let body = html! {
        p.verdict.is-wrong role="alert" { (what) }
        p { "What to do: look for it in the list." }
        (back(place))
    };
    Answer::Page(StatusCode::NOT_FOUND, Page::new("Not found", place, body).markup())
}

fn back(place: &str) -> Markup {
    let name = WAY.iter().chain(&SHOP).chain(&SHELF).find(|(_, path)| *path == place).map(|(name, _)| *name);
    html! { @if let Some(name) = name { div.acts { a.button.lesser href=(place) { (name) } } } }
}

fn sentence_case(reason: &str) -> String {
    let mut words = reason.chars();
    words.next().into_iter().chain(words.flat_map(char::to_lowercase)).collect()
}

/// The page of a failure.
pub fn failed(failure: &Failure, place: &str) -> Answer {
    let status = match failure {
        Failure::NoBoard { .. } | Failure::NoRule { .. } | Failure::NoPlan { .. } => StatusCode::NOT_FOUND,
        _ if failure.is_ours() => StatusCode::INTERNAL_SERVER_ERROR,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let title = if status == StatusCode::NOT_FOUND { "Not found" } else { "This can't be answered" };
    Answer::Page(status, Page::new(title, place, html! { (told(failure)) (back(place)) }).markup())
}

/// A failure in words, with its lines where a file has faults.
pub fn told(failure: &Failure) -> Markup {
    html! {
        div.problem role="alert" {
            @match failure {
                Failure::File(error) => { pre.drawn tabindex="0" { (error.render(false)) } }
                other => {
                    p { strong { (prose::inline(&sentence(&other.to_string()))) } }
                    p { "What to do: " (prose::inline(&other.hint())) }
                }
            }
        }
    }
}

/// With a capital and a full stop.
pub fn sentence(words: &str) -> String {
    let mut chars = words.chars();
    let first = chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let whole = format!("{first}{}", chars.as_str());
    if whole.ends_with(['.', '?', '!', ':']) { whole } else { format!("{whole}.") }
}

/// A moment as people read it, of RFC 3339 text in UTC: to the minute.
pub fn moment(text: &str) -> String {
    let (Some((day, time)), true) = (text.split_once('T'), text.ends_with('Z')) else { return text.to_string() };
    let minute: String = time.chars().take(5).collect();
    format!("{day} {minute} UTC")
}

/// One word for a shell.
pub fn quoted(word: &str) -> String {
    let plain = !word.is_empty() && word.chars().all(|c| c.is_ascii_alphanumeric() || "-_./:=,+@".contains(c));
    if plain { word.to_string() } else { format!("'{}'", word.replace('\'', r"'\''")) }
}
