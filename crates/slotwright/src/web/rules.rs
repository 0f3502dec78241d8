//! Rules and signs: the list, and one of them with its text and its example drawn.

use super::app::App;
use super::asked::{Answer, Asked};
use super::judged;
use super::layout::{self, Page};
use super::prose;
use crate::verbs::drawing::Map;
use crate::verbs::explain::{self, RuleAnswer, RuleView};
use crate::verbs::explain_sign::{self, SignPageView};
use crate::verbs::judgement::JudgementView;
use domain::Catalog;
use maud::{Markup, html};

const PLACE: &str = "/rules";

/// All rules, then all signs.
pub fn list(_: &App, _: &Asked) -> Answer {
    let view = explain::list();
    let body = html! {
        p.lead { (view.rules.len()) " rules judge a build; " (view.signs.len()) " signs are looked for in modules that are read. Nothing else is." }
        h2 #judge { "Rules, for builds" }
        div.wide tabindex="0" role="group" aria-label="Table" { table.named {
            thead { tr { th scope="col" { "Rule" } th scope="col" { "At worst" } th scope="col" { "What it finds" } } }
            tbody {
                @for rule in &view.rules {
                    tr {
                        th scope="row" { a href={ (PLACE) "/" (rule.name) } { (rule.name) } }
                        td { (judged::mark(&rule.severity)) " " (rule.severity) }
                        td { (rule.finds) }
                    }
                }
            }
        } }
        h2 #screen { "Signs, for modules that are read" }
        div.wide tabindex="0" role="group" aria-label="Table" { table.named {
            thead { tr { th scope="col" { "Sign" } th scope="col" { "Weight" } th scope="col" { "What it finds" } } }
            tbody {
                @for sign in &view.signs {
                    tr {
                        th scope="row" { a href={ (PLACE) "/" (sign.name) } { (sign.name) } }
                        td { (judged::mark(&sign.weight)) " " (sign.weight) }
                        td { (sign.finds) }
                    }
                }
            }
        } }
    };
    Page::new("Rules", PLACE, body).command("slotwright explain").answer()
}

/// One rule or sign.
pub fn one(app: &App, asked: &Asked) -> Answer {
    let name = asked.name.trim();
    let command = format!("slotwright explain {}", layout::quoted(name));
    if let Some(view) = explain_sign::one(name) {
        return Page::new(&view.name, PLACE, sign(&view)).command(command).answer();
    }
    match explain::one(name) {
        Ok(answer) => {
            let data = app.data();
            let title = &answer.view.name;
            Page::new(title, PLACE, rule(data.library.catalog(), &answer)).command(command).answer()
        }
        Err(failure) => layout::failed(&failure, PLACE),
    }
}

fn rule(catalog: &Catalog, answer: &RuleAnswer) -> Markup {
    let view = &answer.view;
    html! {
        p.lead { (judged::mark(&view.severity)) " " strong { (view.severity) } " at worst; it looks at a " (view.scope) " at a time." }
        (prose::html(&view.text))
        @if let Some((build, judgement)) = &answer.example {
            @let judged = JudgementView::new(build, judgement);
            h2 { "The first example, drawn" }
            (judged::map(&Map::judged(build, judgement).drawing(), &judged))
            (judged::table(&judged, &judged::module))
            (judged::findings(&view.findings))
        }
        (sources(catalog, view))
        p { a href=(PLACE) { "All rules" } }
    }
}

fn sources(catalog: &Catalog, view: &RuleView) -> Markup {
    html! {
        h2 { "Sources" }
        ul {
            @for id in &view.sources {
                li {
                    @match catalog.sources.get(id) {
                        Some(source) => { code { (id) } ": " (cited(source)) },
                        None => code { (id) },
                    }
                }
            }
        }
    }
}

/// Publisher, title, edition, place and how it is known; what is not known is left out.
fn cited(source: &domain::source::Source) -> String {
    let parts = [&source.publisher, &source.title, &source.edition, &source.place];
    let words: Vec<&str> = parts.into_iter().map(|p| p.trim()).filter(|p| !p.is_empty()).collect();
    format!("{} ({})", words.join(", "), source.mark.words())
}

fn sign(view: &SignPageView) -> Markup {
    html! {
        p.lead { (judged::mark(&view.weight)) " " strong { (view.weight) } ": " (view.finds) "." }
        dl.facts {
            dt { "It means" } dd { (view.means) }
            dt { "Innocently" } dd { (view.innocent) }
            dt { "Do" } dd { (view.advice) }
            dt { "Source" } dd { (view.source) }
        }
        h2 { "Examples" }
        p.hint { "Each case ends with what is found in it, or with " code { "clean" } "." }
        pre.source tabindex="0" aria-label="Examples in the text notation" { code { (view.examples.trim_end()) } }
        p { a href={ (PLACE) "#screen" } { "All signs" } }
    }
}
