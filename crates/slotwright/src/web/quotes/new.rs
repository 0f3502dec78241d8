//! A quote made from a plan, or the next version of one: which plan, for whom, at what margin, for how long.

use super::PLACE;
use crate::failure::Failure;
use crate::verbs::plan::Searched;
use crate::verbs::sheet;
use crate::verbs::shop::chosen::{self, ChosenBuild};
use crate::verbs::shop::quote_make::{self, Nearest, Offer, QuoteMadeView, Revision, Saw};
use crate::verbs::shop::quote_paper::QuotePaper;
use crate::verbs::shop::{calendar, settings};
use crate::web::app::{App, Timed};
use crate::web::asked::{Answer, Asked};
use crate::web::field::{Field, carried};
use crate::web::layout::{self, Page, quoted, sentence};
use crate::web::need::{self, Form, Wrong};
use crate::web::query::Query;
use crate::web::{judged, shop};
use crate::world;
use domain::shop::{Percent, Shop};
use maud::{Markup, html};
use store::{Store, StoreError};

const HERE: &str = "/quotes/new";
/// Where modules come from.
const SHELF: &str = "shelf";
const CATALOGUE: &str = "catalogue";
/// The settings of today rather than those of the quote.
const NOW: &str = "now";
/// Longest that a quote may hold, in days.
const DAYS_MOST: u16 = 365;

/// What a quote is made of: the need of the address, or of the quote that is revised.
struct Subject {
    /// The need file's text.
    text: String,
    /// What the form carries along.
    carried: Query,
    /// The quote of which this is the next version, with what its paper keeps.
    old: Option<(domain::quote::Quote, QuotePaper)>,
}

impl Subject {
    /// Is it planned from the shelf? As the address says, else as the quote was.
    fn shelf(&self, given: &Query) -> bool {
        match given.some("from") {
            Some(from) => from == SHELF,
            None => self.old.as_ref().is_some_and(|(_, paper)| paper.from_stock),
        }
    }
    /// The quoted build among these plans, where a quote is revised.
    fn nearest(&self, searched: &Searched) -> Option<Nearest> {
        let (old, _) = self.old.as_ref()?;
        ChosenBuild::read(&old.offer.build).ok().map(|quoted| quote_make::nearest(searched, &quoted))
    }
}

/// The form; what was sent is written down.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "New quote", PLACE, |store| {
        let sent = !asked.fields.is_empty();
        let given = if sent { &asked.fields } else { &asked.query };
        let subject = match subject(app, store, given) {
            Ok(subject) => subject,
            Err(answer) => return answer,
        };
        let timed = match search(app, store, &subject.text, subject.shelf(given)) {
            Ok(timed) => timed,
            Err(failure) => return layout::failed(&failure, PLACE),
        };
        let mut wrong = Wrong::default();
        let mut failure = None;
        if sent && given.get("act") == "write" {
            match write(app, store, &subject, given, &mut wrong) {
                Ok(Some(view)) => return Answer::Go(format!("/quote/{}", view.quote.number)),
                Ok(None) => {}
                Err(fault) => beside(fault, given, &mut wrong, &mut failure),
            }
        }
        shown(store, &subject, given, &timed.searched, (&wrong, failure.as_ref()))
    })
}

fn subject(app: &App, store: &Store, given: &Query) -> Result<Subject, Answer> {
    if let Some(number) = given.some("revise") {
        let old = store.quote(number, None).map_err(|e| shop::failed(&e.into(), PLACE))?;
        let paper = QuotePaper::read(&old.offer.paper).map_err(|e| shop::failed(&e, PLACE))?;
        let carried = Query::default().with("revise", &old.number);
        return Ok(Subject { text: old.offer.need.clone(), carried, old: Some((old, paper)) });
    }
    let form = Form::new(&given.trimmed().without(&["stock"]));
    if form.query.is_empty() {
        return Err(beginning());
    }
    let data = app.data();
    form.read(&data.library).map_err(|wrong| need::answer(data.library.catalog(), &Form::new(given), &wrong))?;
    let mut carried = form.query.clone();
    for name in ["pick", "all"] {
        if let Some(value) = given.some(name) {
            carried.push(name, value);
        }
    }
    Ok(Subject { text: form.text(), carried, old: None })
}

fn beginning() -> Answer {
    let body = html! {
        p { "A quote is a plan with a price, a number and a last day." }
        div.acts { a.button href="/need" { "Say what the customer needs" } a.button.lesser href=(PLACE) { "Look at quotes" } }
    };
    Page::new("New quote", PLACE, body).command("slotwright quote new need.toml --customer NAME").answer()
}

fn search(app: &App, store: &Store, text: &str, shelf: bool) -> Result<Timed, Failure> {
    let need = quote_make::need(&app.data(), store, text, shelf, calendar::of(world::today()))?;
    let lots = need.lots.iter().map(|l| format!("\n{} {} {} {:?}", l.module.label, l.condition, l.each, l.count));
    let key = format!("a quote\n{text}{}", lots.collect::<String>());
    Ok(app.search(&key, need))
}

/// Puts a fault beside the field that it speaks of.
fn beside(fault: Failure, given: &Query, wrong: &mut Wrong, failure: &mut Option<Failure>) {
    match &fault {
        Failure::Shop { .. } | Failure::NoPlan { .. } => wrong.add("plan", shop::words(&fault)),
        Failure::Store(StoreError::Refused(_)) if given.some("customer").is_none() => {
            wrong.add("customer", "a quote needs a customer's name".to_string());
        }
        _ => *failure = Some(fault),
    }
}

/// The plan's number, and whether it is one of the whole front.
fn number(given: &Query) -> (usize, bool) {
    let value = match (given.some("plan"), given.some("pick")) {
        (Some(plan), _) => plan.to_string(),
        (None, Some(pick)) if given.get("all") == "1" => format!("all-{pick}"),
        (None, pick) => pick.unwrap_or("1").to_string(),
    };
    match value.strip_prefix("all-") {
        Some(of_all) => (shop::number(of_all), true),
        None => (shop::number(&value), false),
    }
}

/// Writes it down; `None` where fields are wrong.
fn write(
    app: &App,
    store: &Store,
    subject: &Subject,
    given: &Query,
    wrong: &mut Wrong,
) -> Result<Option<QuoteMadeView>, Failure> {
    let days = match given.some("days").map(str::parse::<u16>) {
        None => None,
        Some(Ok(days)) if days <= DAYS_MOST => Some(days),
        Some(_) => {
            wrong.add("days", format!("that is no count of days: write a whole number from 0 to {DAYS_MOST}"));
            None
        }
    };
    let (data, who, today) = (app.data(), world::who(), world::today());
    let shop = with_margin(made_with(app, subject, given)?, given, wrong);
    if subject.old.is_none() && given.some("customer").is_none() {
        wrong.add("customer", "a quote needs a customer's name".to_string());
    }
    if wrong.any() {
        return Ok(None);
    }
    let (plan, all) = number(given);
    let seen = given.all("saw").find_map(|s| s.strip_prefix(&format!("{}=", option(plan, all))));
    let saw = Saw { plan: seen, all };
    let from_stock = subject.shelf(given);
    Ok(Some(match &subject.old {
        Some((old, _)) => {
            let revision =
                Revision { need: None, plan: Some(plan), shop, valid_days: days, from_stock: Some(from_stock), today };
            quote_make::revise(&data, store, old, &revision, saw, &who)?
        }
        None => {
            let customer = given.get("customer");
            let offer = Offer { need: &subject.text, customer, plan, shop, valid_days: days, from_stock, today };
            quote_make::new(&data, store, offer, saw, &who)?
        }
    }))
}

/// The settings to write with: those that the quote was made with, unless those of today are asked for.
fn made_with(app: &App, subject: &Subject, given: &Query) -> Result<Option<Shop>, Failure> {
    match &subject.old {
        Some((old, paper)) if !given.holds("settings", NOW) => {
            quote_make::made_with(old, paper).map(Some).map_err(of_page)
        }
        Some(_) => app.shop()?.ok_or_else(settings::none_kept).map(Some),
        None => app.shop(),
    }
}

/// The hint that names options of the command line, in the words of the page.
fn of_page(failure: Failure) -> Failure {
    let Failure::UnknownSettings { .. } = failure else { return failure };
    Failure::Shop { why: failure.to_string(), hint: "tick that those of today are taken".to_string() }
}

/// The shop's settings with the margin that the form says.
fn with_margin(shop: Option<Shop>, given: &Query, wrong: &mut Wrong) -> Option<Shop> {
    let Some(margin) = given.some("margin") else { return shop };
    match Percent::parse(margin) {
        Some(margin) => Some(Shop { margin, ..shop.unwrap_or_else(sheet::nobody) }),
        None => {
            wrong.add("margin", format!("`{margin}` is no percentage: write such as 12.5, with two decimals at most"));
            shop
        }
    }
}

fn option(number: usize, all: bool) -> String {
    if all { format!("all-{number}") } else { number.to_string() }
}

fn shown(
    store: &Store,
    subject: &Subject,
    given: &Query,
    searched: &Searched,
    (wrong, failure): (&Wrong, Option<&Failure>),
) -> Answer {
    let title = subject.old.as_ref().map_or("New quote".to_string(), |(old, _)| format!("Revise {}", old.number));
    let need = crate::verbs::need::NeedView::new(searched.need());
    let (none, machines) = (searched.front_size() == 0, searched.need().machines);
    let body = html! {
        @if let Some(failure) = failure { (layout::told(failure)) }
        p.lead { strong { (need.board) } ": " (need.words) }
        (source(subject, given))
        @if none {
            div.problem role="alert" {
                p { strong { "Nothing fits this need from there." } }
                p { "What to do: plan from the other source, or change the need." }
            }
        } @else { (fields(subject, given, searched, wrong, machines)) }
        (judged::file("The need as a file", "need.toml", &subject.text, &Form::new(given).query, "/plans"))
    };
    let page = Page::new(&title, PLACE, body).command(command(store, subject, given));
    if wrong.any() || failure.is_some() { page.refused() } else { page.answer() }
}

/// Where the modules come from; another source has other plans, so it asks again.
fn source(subject: &Subject, given: &Query) -> Markup {
    let kept = given.without(&["from", "plan", "saw", "act", "pick", "all"]);
    let shelf = subject.shelf(given);
    let words = if shelf {
        "Planned from what is free on the shelf."
    } else {
        "Planned from the catalogue: modules may have to be bought."
    };
    let next = kept.with("from", if shelf { CATALOGUE } else { SHELF });
    html! {
        p { (words) " " a href=(next.to(HERE)) { @if shelf { "Plan from the catalogue instead" } @else { "Plan from the shelf instead" } } }
        @if given.some("stock").is_some() && subject.old.is_none() {
            p.verdict.is-note role="status" { "The stock that was typed into the need is left out: a quote is made from the catalogue or from the shelf." }
        }
    }
}

fn fields(subject: &Subject, given: &Query, searched: &Searched, wrong: &Wrong, machines: u32) -> Markup {
    let nearest = subject.nearest(searched);
    let picked = given.some("plan").is_some() || given.some("pick").is_some();
    let (plan, all) = nearest.filter(|_| !picked).map_or_else(|| number(given), |n| (n.number, n.all));
    let mut plans: Vec<(String, String)> = Vec::new();
    let shown = searched.show(&searched.numbered(false)).view.plans;
    let extra = all.then(|| searched.pick(plan, true).ok()).flatten();
    let listed = shown.iter().map(|p| (option(p.number, false), p));
    for (value, view) in extra.iter().map(|(view, _)| (option(plan, true), view)).chain(listed) {
        plans.push((value, chosen::seen(view)));
    }
    let labelled = |(value, seen): &(String, String)| {
        let of = value
            .strip_prefix("all-")
            .map_or_else(|| format!("Plan {value}"), |n| format!("Plan {n} of the whole front"));
        (value.clone(), format!("{of}: {seen}"))
    };
    let options: Vec<(String, String)> = plans.iter().map(labelled).collect();
    let now = option(plan, all);
    let field = |name: &'static str, label: &'static str, hint: &'static str| Field {
        name,
        label,
        hint,
        value: given.get(name),
        wrong: wrong.of(name).collect(),
        ..Field::default()
    };
    let (margin, days) = match &subject.old {
        Some(_) => (
            "on what a module costs, where neither a price list nor a margin of its class says more; as it was quoted if empty",
            "as it was quoted if empty",
        ),
        None => (
            "on what a module costs, where neither a price list nor a margin of its class says more; as the shop's settings say if empty",
            "as the settings say if empty, else 14",
        ),
    };
    let cost = if machines > 1 {
        "what the modules cost, for all machines, before margin, labour and tax"
    } else {
        "what the modules cost, before margin, labour and tax"
    };
    html! {
        form method="post" action=(HERE) {
            input type="hidden" name="act" value="write";
            input type="hidden" name="from" value=(if subject.shelf(given) { SHELF } else { CATALOGUE });
            (carried(&subject.carried.without(&["pick", "all"])))
            @for (value, seen) in &plans { input type="hidden" name="saw" value={ (value) "=" (seen) }; }
            fieldset {
                legend { "The quote" }
                (Field { value: &now, ..field("plan", "Plan", cost) }.choice(&options))
                div.row {
                    @match &subject.old {
                        Some((old, _)) => { dl.facts { dt { "customer" } dd { (old.offer.customer) } } }
                        None => { (Field { required: true, ..field("customer", "Customer", "") }.line()) }
                    }
                    (field("margin", "Margin, in percent", margin).line())
                    (field("days", "Days for which it holds", days).line())
                }
                @if let Some((old, paper)) = &subject.old {
                    @if let Some(note) = nearest.and_then(|n| n.note) { p.verdict.is-note { (sentence(note)) } }
                    @if let Err(unknown) = quote_make::made_with(old, paper) { p.verdict.is-note { (sentence(&unknown.to_string())) } }
                    label.tick { input type="checkbox" name="settings" value=(NOW) checked[given.holds("settings", NOW)]; " With the shop's settings of today (name, margin, tax, labour, terms) in the place of those that it was made with" }
                }
                div.acts { button { @if subject.old.is_some() { "Write the next version" } @else { "Write the quote" } } }
            }
        }
    }
}

fn command(store: &Store, subject: &Subject, given: &Query) -> String {
    let mut rest = match &subject.old {
        Some((old, _)) => format!("quote revise {}", old.number),
        None => format!("quote new need.toml --customer {}", quoted(given.some("customer").unwrap_or("NAME"))),
    };
    let (plan, all) = number(given);
    let said = subject.old.is_none() || given.some("plan").is_some();
    if !all && said {
        rest.push_str(&format!(" --plan {plan}"));
    }
    if let Some(days) = given.some("days") {
        rest.push_str(&format!(" --valid-days {}", quoted(days)));
    }
    let shelf = subject.shelf(given);
    match &subject.old {
        Some((_, paper)) if paper.from_stock == shelf => {}
        Some(_) if !shelf => rest.push_str(" --from-catalogue"),
        _ if shelf => rest.push_str(" --from-stock"),
        _ => {}
    }
    if subject.old.is_some() && given.holds("settings", NOW) {
        rest.push_str(" --settings-now");
    }
    shop::command(store, &rest)
}
