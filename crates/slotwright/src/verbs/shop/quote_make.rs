//! A quote is made of a plan, or of the quote before it: what a revision does not say stays as it was.

use super::chosen::{self, ChosenBuild};
use super::quote::{QuoteView, lots};
use super::quote_changes;
use super::quote_paper::{QuotePaper, name};
use super::{calendar, settings};
use crate::failure::Failure;
use crate::verbs::plan::{self, Plan, PlanView, Searched};
use crate::verbs::sheet::{self, Job, Papers, Selling};
use crate::world::Data;
use catalog::Input;
use domain::item::Who;
use domain::quote::{NewQuote, Quote};
use domain::shop::Shop;
use domain::{Day, Need};
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;
use store::{Store, StoreError};

/// A version of a quote that was just written down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct QuoteMadeView {
    #[serde(flatten)]
    pub quote: QuoteView,
    /// What should be seen to before it is given out, such as that no tax is set.
    pub notes: Vec<String>,
    /// What is different from the version before; null for a first version.
    pub changes: Option<Vec<String>>,
}

/// What a quote is made of.
#[derive(Debug)]
pub struct Offer<'a> {
    /// The need file's text; a board that it names must be one that this program or the shop's folder has.
    pub need: &'a str,
    pub customer: &'a str,
    /// The plan's number, from 1.
    pub plan: usize,
    /// The shop's settings; those that the store keeps, where it does, if absent.
    pub shop: Option<Shop>,
    /// Days for which it holds, other than the settings say.
    pub valid_days: Option<u16>,
    /// Plans from what is free on the shelf.
    pub from_stock: bool,
    pub today: Date,
}

/// What is other in the next version of a quote.
#[derive(Debug)]
pub struct Revision<'a> {
    /// Another need file's text.
    pub need: Option<&'a str>,
    /// Another plan's number, from 1; the quoted build, or what is nearest to it, if absent.
    pub plan: Option<usize>,
    /// Other settings than the quote was made with.
    pub shop: Option<Shop>,
    /// Days for which it holds, other than before.
    pub valid_days: Option<u16>,
    /// From the shelf, or not.
    pub from_stock: Option<bool>,
    pub today: Date,
}

/// What a person saw of a plan before it was picked by its number.
#[derive(Debug, Clone, Copy, Default)]
pub struct Saw<'a> {
    /// What [`chosen::seen`] said of it.
    pub plan: Option<&'a str>,
    /// Is its number one of the whole front rather than of the chosen few?
    pub all: bool,
}

/// Plans, prices, and writes the first version down. The plan is still what a person saw of it, where one did.
///
/// # Errors
/// The need is wrong, nothing fits, there are no prices, the plan is another by now, or the store's.
pub fn new(data: &Data, store: &Store, asked: Offer<'_>, saw: Saw<'_>, who: &Who) -> Result<QuoteMadeView, Failure> {
    let need = need(data, store, asked.need, asked.from_stock, calendar::of(asked.today))?;
    let machines = need.machines;
    let picked = Searched::new(need).pick(asked.plan, saw.all)?;
    chosen::as_seen(&picked.0, saw.plan)?;
    let mut shop = match asked.shop {
        Some(shop) => shop,
        None => settings::kept(data, store)?.unwrap_or_else(sheet::nobody),
    };
    shop.validity_days = asked.valid_days.unwrap_or(shop.validity_days);
    let notes = notes(&shop);
    let made = Made { need: asked.need, customer: asked.customer, machines, from_stock: asked.from_stock };
    let quote = written((data, store), made, picked, shop, asked.today)?;
    Ok(QuoteMadeView {
        quote: QuoteView::new(&store.new_quote(&quote, who)?, calendar::of(asked.today))?,
        notes,
        changes: None,
    })
}

/// Plans and prices anew, and writes the next version down. What is not said stays as the version before has it: where the modules
/// come from, the need, the settings, the days for which it holds, and the build where it is still worth having.
///
/// # Errors
/// As [`new`], the quote is not open, or it does not hold the settings that it was made with.
pub fn revise(
    data: &Data,
    store: &Store,
    old: &Quote,
    asked: &Revision<'_>,
    saw: Saw<'_>,
    who: &Who,
) -> Result<QuoteMadeView, Failure> {
    if calendar::of(asked.today) < old.offer.issued {
        let why = format!(
            "quote {} is dated {}, so its next version can't be of {}",
            name(old),
            calendar::day(old.offer.issued),
            asked.today
        );
        return Err(StoreError::NotNow { why, hint: "name a day from then on with --date" }.into());
    }
    let paper = QuotePaper::read(&old.offer.paper)?;
    let from_stock = asked.from_stock.unwrap_or(paper.from_stock);
    let mut shop = match &asked.shop {
        Some(shop) => shop.clone(),
        None => made_with(old, &paper)?,
    };
    shop.validity_days = asked.valid_days.unwrap_or(shop.validity_days);
    let text = asked.need.unwrap_or(&old.offer.need);
    let need = need(data, store, text, from_stock, calendar::of(asked.today))?;
    let machines = need.machines;
    let searched = Searched::new(need);
    let mut notes = notes(&shop);
    let picked = match asked.plan {
        Some(plan) => {
            let picked = searched.pick(plan, saw.all)?;
            chosen::as_seen(&picked.0, saw.plan)?;
            picked
        }
        None => {
            let found = nearest(&searched, &ChosenBuild::read(&old.offer.build)?);
            notes.extend(found.note.map(str::to_string));
            searched.pick(found.number, found.all)?
        }
    };
    let made = Made { need: text, customer: &old.offer.customer, machines, from_stock };
    let quote = written((data, store), made, picked, shop, asked.today)?;
    let kept = store.revise_quote(&old.number, old.version, &quote, who)?;
    Ok(QuoteMadeView {
        quote: QuoteView::new(&kept, calendar::of(asked.today))?,
        notes,
        changes: Some(quote_changes::between(old, &kept)?),
    })
}

/// The settings that a version was made with.
///
/// # Errors
/// It is of a version of this program that did not keep them.
pub fn made_with(old: &Quote, paper: &QuotePaper) -> Result<Shop, Failure> {
    let unknown = || Failure::UnknownSettings { quote: name(old) };
    paper.settings.as_ref().ok_or_else(unknown)?.shop()
}

/// The need of a quote, to be met from what can be bought on a day, or from what is free on the shelf.
///
/// # Errors
/// The need is wrong, or the store's.
pub fn need(data: &Data, store: &Store, text: &str, from_stock: bool, day: Day) -> Result<Need, Failure> {
    let mut need = plan::read_text(&data.library, &Input::text("need", text))?;
    need.lots = lots(data, store, &need, from_stock, day)?;
    Ok(need)
}

/// What should be seen to before a quote is given out.
fn notes(shop: &Shop) -> Vec<String> {
    let set = "keep the shop's settings with `slotwright store settings FILE`, or name them with --shop";
    let tax = shop.tax.is_none().then(|| format!("no tax is set, so the total is the net price: {set}"));
    let name = shop.name.trim().is_empty().then(|| format!("the paper bears no name of a shop: {set}"));
    [tax, name].into_iter().flatten().collect()
}

/// The plan of a front that is the quoted build, or what is nearest to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nearest {
    /// Its number among the chosen few, or of the whole front.
    pub number: usize,
    pub all: bool,
    /// Why it is another, where it is.
    pub note: Option<&'static str>,
}

/// Finds the quoted build among plans; else the one with the fewest other modules, then in the fewest other slots, then the cheapest.
pub fn nearest(searched: &Searched, quoted: &ChosenBuild) -> Nearest {
    let far = |plan: &Plan| chosen::distance(quoted, plan);
    let plans = searched.plans().iter().enumerate();
    let best = plans.map(|(place, plan)| (far(plan), plan.price_all.minor(), place)).min();
    let ((modules, slots), _, place) = best.unwrap_or_default();
    let note = match (modules, slots) {
        (0, 0) => None,
        (0, _) => Some("the quoted build is no longer worth having as it was: the same modules go into other slots"),
        _ => Some("the quoted build is no longer among those worth having: this is another, the nearest to it"),
    };
    let few = searched.numbered(false).iter().position(|p| *p == place);
    Nearest { number: few.unwrap_or(place) + 1, all: few.is_none(), note }
}

/// What a version is written of, beside its plan and settings.
struct Made<'a> {
    need: &'a str,
    customer: &'a str,
    machines: u32,
    from_stock: bool,
}

fn written(
    (data, store): (&Data, &Store),
    made: Made<'_>,
    (view, picked): (PlanView, Plan),
    shop: Shop,
    today: Date,
) -> Result<NewQuote, Failure> {
    let build = ChosenBuild::new(&view, &picked);
    let issued = calendar::of(today);
    let valid_until = Day::from_days(issued.days() + i64::from(shop.validity_days));
    let papers = Papers { number: String::new(), customer: made.customer.to_string(), date: today };
    let mut job = Job::of_plan(view, picked, made.machines, Some(shop), papers);
    job.selling = Selling::on(data, store, issued)?;
    let (net, total) = sheet::quote::sums(&job)?;
    let view = job.plan.as_ref().map(|(view, _)| view).ok_or(Failure::NoPrices)?;
    let paper = QuotePaper::new(&job, &build, view, made.from_stock)?;
    Ok(NewQuote {
        customer: made.customer.to_string(),
        need: made.need.to_string(),
        build: build.write()?,
        paper: serde_json::to_string(&paper)?,
        machines: job.machines,
        net,
        total,
        issued,
        valid_until,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paper_of_an_earlier_version_is_read_and_has_no_settings() {
        let kept = r#"{"sheet":{"title":"Quote","from":[],"aside":[],"blocks":[]},"machine":"Dunlin","from_stock":true,
            "margin_hundredths":1000,"sold":[]}"#;
        let paper = QuotePaper::read(kept).unwrap();
        assert!(paper.from_stock && paper.settings.is_none());
        let shop = sheet::nobody();
        let euro = domain::Money::parse("1 EUR").unwrap();
        let quote = Quote {
            id: domain::order::QuoteId(1),
            number: "Q-00001".to_string(),
            version: 2,
            offer: NewQuote {
                customer: "Plover".to_string(),
                need: String::new(),
                build: String::new(),
                paper: kept.to_string(),
                machines: 1,
                net: euro,
                total: euro,
                issued: Day::from_days(1),
                valid_until: Day::from_days(2),
            },
            state: domain::quote::QuoteState::Open,
            order: None,
            who: Who { name: "desk".to_string(), at: domain::Stamp::from_seconds(0) },
        };
        let unknown = made_with(&quote, &paper).unwrap_err();
        assert!(unknown.to_string().contains("Q-00001 version 2 does not hold the settings"), "{unknown}");
        assert!(unknown.hint().contains("--settings-now"));
        let paper = QuotePaper { settings: Some(settings::ShopView::new(&shop)), ..paper };
        assert_eq!(made_with(&quote, &paper).unwrap(), shop);
    }
}
