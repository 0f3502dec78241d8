//! One order: where it stands, what comes next as a form, its build, its modules and its history.

use super::{PLACE, forms, parts, plans};
use crate::failure::Failure;
use crate::verbs::shop::order::{self, OrderCloselyView, PromiseView};
use crate::verbs::shop::{calendar, order_acts};
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::layout::{self, Page, quoted};
use crate::web::query::Query;
use crate::web::{judged, shop};
use crate::world;
use domain::order::Stage;
use maud::{Markup, html};
use store::{Store, Swap};

/// What was sent, and what came of it.
pub struct Sent<'a> {
    pub fields: &'a Query,
    /// The act that failed, or a field of it, with why.
    pub failure: Option<(&'static str, Failure)>,
    /// Are plans to choose from on the page?
    pub plans: bool,
}

impl Sent<'_> {
    /// What an act failed with.
    pub fn failure_of(&self, act: &str) -> Option<&Failure> {
        self.failure.as_ref().filter(|(a, _)| *a == act).map(|(_, failure)| failure)
    }
    /// The same as words for beside a field.
    pub fn words_of(&self, act: &str) -> Option<String> {
        self.failure_of(act).map(shop::words)
    }
}

/// Shows an order; a form that was sent takes it on first.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "Order", PLACE, |store| {
        let mut sent = Sent { fields: &asked.fields, failure: None, plans: asked.query.get("plans") == "1" };
        if !asked.fields.is_empty() {
            match act(app, store, &asked.name, &asked.fields) {
                Ok(to) => return Answer::Go(to),
                Err(failed) => sent.failure = Some(failed),
            }
        }
        match order::closely(&app.data(), store, &asked.name) {
            Ok(view) => shown(app, store, &view, &mut sent, &asked.query),
            Err(failure) => shop::failed(&failure, PLACE),
        }
    })
}

/// Does what the form says; gives where to go then.
fn act(app: &App, store: &Store, number: &str, fields: &Query) -> Result<String, (&'static str, Failure)> {
    let who = world::who();
    let here = format!("/order/{}", store.order_by_number(number).map_err(|e| ("choose", e.into()))?.number);
    let version = fields.some("version").and_then(|v| v.parse().ok());
    let seen = |act: &'static str| order_acts::seen(store, number, version).map_err(|f| (act, f));
    let step = |act: &'static str, to: Stage, note: &str| {
        order_acts::step(store, &seen(act)?, to, note, &who).map_err(|f| (act, f)).map(|_| here.clone())
    };
    let note = fields.get("note");
    match fields.get("act") {
        "choose" => {
            let plan = (shop::number(fields.get("plan")), fields.some("saw"));
            let order = seen("choose")?;
            app.sale()
                .and_then(|sale| order_acts::choose(&app.data(), store, &order, plan, sale, &who))
                .map_err(|f| ("choose", f))?;
            Ok(here)
        }
        "reserve" => {
            order_acts::reserve(&app.data(), store, &seen("reserve")?, &who).map_err(|f| ("reserve", f))?;
            Ok(here)
        }
        "pick" => {
            // Without a version: two may pick for one order at a time.
            let scanned = [fields.get("scan").to_string()];
            let picked = order_acts::pick(store, number, None, Some(&scanned), &who).map_err(|f| ("pick", f))?;
            let told = |module: &PromiseView| {
                let to = Query::default().with("picked", module.item).with("slot", &module.slot);
                to.with("machine", module.machine).to(&here)
            };
            Ok(picked.modules.first().map_or_else(|| here.clone(), told))
        }
        "change" => {
            let due = match fields.some("due").map(calendar::read_day).transpose() {
                Ok(due) => due,
                Err(fault) => return Err(("change-due", fault)),
            };
            let priority = fields.some("priority").map(|p| p.parse().unwrap_or(u8::MAX));
            order_acts::revise(store, &seen("change")?, priority, Some(due), &who).map_err(|f| ("change", f))?;
            Ok(here)
        }
        "picked" => step("picked", Stage::Picked, note),
        "built" => step("built", Stage::Built, note),
        "verified" => step("verified", Stage::Verified, note),
        "shipped" => step("shipped", Stage::Shipped, note),
        "back" => step("back", Stage::Built, note),
        "cancel" => step("cancel", Stage::Cancelled, fields.get("reason")),
        "swap" => swap(app, store, number, fields).map(|()| here),
        other => Err((
            "choose",
            Failure::Shop {
                why: format!("`{other}` is nothing that can be done to an order"),
                hint: "use the buttons of its page".to_string(),
            },
        )),
    }
}

fn swap(app: &App, store: &Store, number: &str, fields: &Query) -> Result<(), (&'static str, Failure)> {
    let why = fields.get("why").trim().to_string();
    let item = order::item(store, fields.get("item")).map_err(|f| ("swap-item", f))?;
    let (machine, slot) = fields.get("place").split_once(' ').unwrap_or_default();
    let exchange = Swap {
        machine: shop::number(machine),
        slot: slot.to_string(),
        item,
        faulty: fields.holds("faulty", "yes"),
        why,
    };
    let anyway = fields.holds("anyway", "yes");
    let order = order_acts::seen(store, number, None).map_err(|f| ("swap", f))?;
    let act = if exchange.why.is_empty() { "swap-why" } else { "swap" };
    order_acts::swap(&app.data(), store, &order, &exchange, anyway, &world::who()).map_err(|f| (act, of_page(f)))?;
    Ok(())
}

/// The hint that names an option of the command line, in the words of the page.
fn of_page(failure: Failure) -> Failure {
    let Failure::OtherSort { .. } = failure else { return failure };
    Failure::Shop {
        why: failure.to_string(),
        hint: "take one of the same sort, or check the changed build and tick that another is meant".to_string(),
    }
}

fn shown(app: &App, store: &Store, view: &OrderCloselyView, sent: &mut Sent<'_>, query: &Query) -> Answer {
    let order = &view.order;
    let stage = Stage::parse(&order.stage);
    // Another build may be chosen until the bench has begun.
    let open = matches!(stage, Some(Stage::Asked | Stage::Chosen | Stage::Reserved));
    // Planning from a large shelf takes a second, so it is asked for; a choice that was refused asks for it again.
    sent.plans = open && (sent.plans || sent.fields.get("act") == "choose");
    let checked = order.build.as_ref().and_then(|b| b.check(&app.data()).ok());
    let picked = query.some("picked").and_then(|p| p.parse::<i64>().ok());
    let body = html! {
        (parts::stages(order))
        @match &sent.failure {
            None => { (just_picked(view, query)) }
            Some((act, failure)) if !forms::has(view, act) => { (layout::told(failure)) }
            Some(_) => {}
        }
        (forms::all(view, sent))
        (parts::facts(view))
        (forms::change(view, sent))
        @if sent.plans { (plans::choice(app, store, order, &view.need)) }
        (parts::modules(view, picked))
        @if let Some(build) = &order.build { (parts::chosen(order, build, &view.exchanged, checked.as_ref())) }
        @if let Some(checked) = &checked { (judged::table(&checked.view, &judged::module)) }
        (parts::history(&view.history))
        (forms::cancel(view, sent))
        details.file { summary { "The need as a file" } pre tabindex="0" aria-label="The need as a file" { code { (view.need) } } }
    };
    let title = format!("Order {}", order.number);
    let page = Page::new(&title, PLACE, body).command(command(store, view));
    if sent.failure.is_some() { page.refused() } else { page.answer() }
}

/// What the last scan did, for eyes and for a screen reader.
fn just_picked(view: &OrderCloselyView, query: &Query) -> Markup {
    let item = query.some("picked").and_then(|p| p.parse::<i64>().ok());
    let is_it = |m: &&PromiseView| {
        Some(m.item) == item && m.slot == query.get("slot") && m.machine.to_string() == query.get("machine")
    };
    html! {
        @if let Some(module) = view.modules.iter().find(is_it) {
            p.verdict role="status" {
                "Picked: " strong { (module.serial.clone().unwrap_or_else(|| format!("item {}", module.item))) }
                ", for slot " strong { (module.slot) }
                @if view.order.machines > 1 { " of machine " (module.machine) }
            }
        }
    }
}

fn command(store: &Store, view: &OrderCloselyView) -> String {
    let show = shop::command(store, &format!("order show {}", quoted(&view.order.number)));
    match &view.order.next_command {
        Some(next) => format!("{show}\n{}", shop::command(store, next)),
        None => show,
    }
}
