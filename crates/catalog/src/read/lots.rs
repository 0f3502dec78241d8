//! Where the modules of a need come from: the catalogue, a part of it, or a stock file.

use super::amounts;
use super::build::Task;
use super::stock::{self, one_currency};
use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::nearest::suggest;
use crate::reading::Reading;
use crate::shape::Either;
use crate::shape::task::ModulesTable;
use crate::shape::words::ConditionWord;
use crate::text::{Span, shown};
use domain::money::MoneyError;
use domain::{Capacity, DataRate, Lot, Module, Money};
use std::collections::BTreeSet;

/// One of the prices that a need counts with, and where it is written; `None` in the catalogue.
pub(crate) type Price = (Money, Option<Span>);

/// What can be had, with one of its prices.
pub(crate) fn lots(
    reading: &mut Reading,
    task: &mut Task<'_>,
    modules: Option<&At<Either<String, ModulesTable>>>,
) -> (Vec<Lot>, Option<Price>) {
    let Some(at) = modules else {
        return catalogue(reading, task, None, &ModulesTable::default());
    };
    match &at.value {
        Either::Bare(path) => stock_file(reading, task, &At { value: path.clone(), span: at.span }),
        Either::Table(table) => match &table.stock {
            None => catalogue(reading, task, Some(at.span), table),
            Some(path) => {
                if filters(table) {
                    let fault = Fault::contradiction(path.span, "a stock file beside a filter of the catalogue");
                    reading.report(fault.hint("give one of the two; list in the stock file what may be used"));
                }
                stock_file(reading, task, path)
            }
        },
    }
}

fn filters(t: &ModulesTable) -> bool {
    let lists = t.kinds.is_some() || t.capacities.is_some() || t.rates.is_some() || t.conditions.is_some();
    lists || t.generation.is_some() || t.ids.is_some() || t.makers.is_some()
}

fn stock_file(reading: &mut Reading, task: &mut Task<'_>, path: &At<String>) -> (Vec<Lot>, Option<Price>) {
    let full = task.input.near(path.trim());
    let bytes = reading.keep(task.input.beside.read(&full).map_err(|e| {
        let problem = Problem::Unreadable { path: shown(&full.display().to_string()), reason: e.to_string() };
        Fault::new(path.span, problem).hint("`modules` names a stock file by its path, relative to this file's folder")
    }));
    let Some(bytes) = bytes else {
        return (Vec::new(), None);
    };
    let read = stock::stock(reading, task, &full.display().to_string(), &bytes);
    let (lots, first) = read.unwrap_or_default();
    (lots, first.map(|(money, span)| (money, Some(span))))
}

/// The filter of a need with its quantities read.
struct Filter<'a> {
    table: &'a ModulesTable,
    capacities: Option<Vec<Capacity>>,
    rates: Option<Vec<DataRate>>,
}

impl<'a> Filter<'a> {
    fn read(reading: &mut Reading, table: &'a ModulesTable) -> Self {
        let capacities = table.capacities.as_ref();
        let capacities = capacities.map(|l| l.iter().filter_map(|c| amounts::capacity(reading, c)).collect());
        let rates = table.rates.as_ref();
        let rates = rates.map(|l| l.iter().filter_map(|r| amounts::rate(reading, r)).collect());
        Self { table, capacities, rates }
    }
    fn passes(&self, module: &Module) -> bool {
        let made_by = |m: &At<String>| module.maker.as_deref().is_some_and(|has| has.eq_ignore_ascii_case(m.trim()));
        let t = self.table;
        t.generation.is_none_or(|g| g.value() == module.generation)
            && t.kinds.as_ref().is_none_or(|l| l.iter().any(|k| k.value() == module.kind))
            && self.capacities.as_ref().is_none_or(|l| l.contains(&module.capacity))
            && self.rates.as_ref().is_none_or(|l| l.contains(&module.rate))
            && t.ids.as_ref().is_none_or(|l| l.iter().any(|i| i.trim() == module.id.0))
            && t.makers.as_ref().is_none_or(|l| l.iter().any(made_by))
    }
    fn wants(&self, condition: domain::Condition) -> bool {
        let list = self.table.conditions.as_ref();
        list.is_none_or(|l| l.iter().map(|w| ConditionWord::value(*w)).any(|w| w == condition))
    }
}

/// Names in a filter that the catalogue does not know.
fn unknown_names(reading: &mut Reading, task: &Task<'_>, table: &ModulesTable) {
    let known = &task.library.catalog().modules;
    for id in table.ids.iter().flatten().filter(|id| !known.contains_key(id.trim())) {
        reading.unknown(id, "module of the catalogue", known.keys().map(String::as_str));
    }
    let makers: BTreeSet<&str> = known.values().filter_map(|m| m.maker.as_deref()).collect();
    for maker in table.makers.iter().flatten() {
        if !makers.iter().any(|m| m.eq_ignore_ascii_case(maker.trim())) {
            let problem = Problem::UnknownName { what: "maker", name: shown(maker) };
            reading.report(Fault::new(maker.span, problem).hint(suggest(maker, makers.clone())));
        }
    }
}

fn catalogue(
    reading: &mut Reading,
    task: &Task<'_>,
    span: Option<Span>,
    table: &ModulesTable,
) -> (Vec<Lot>, Option<Price>) {
    let filter = Filter::read(reading, table);
    unknown_names(reading, task, table);
    let mut lots: Vec<Lot> = Vec::new();
    for module in task.library.catalog().modules.values().filter(|m| filter.passes(m)) {
        for price in module.prices.iter().filter(|p| filter.wants(p.condition)) {
            let (module, condition, each) = (module.clone(), price.condition, price.each);
            lots.push(Lot { module, condition, each, count: None, bin: None });
        }
    }
    if let (true, Some(span), true) = (lots.is_empty(), span, reading.is_clean()) {
        let fault = Fault::contradiction(span, "no priced module of the catalogue passes this filter");
        reading.report(fault.hint("leave out one of its lists"));
    }
    let first = lots.first().map(|l| l.each);
    let other = first.and_then(|f| lots.iter().map(|l| l.each).find(|m| m.currency() != f.currency()));
    if let (Some(first), Some(other)) = (first, other) {
        let error = MoneyError::Mixed { left: first.currency(), right: other.currency() };
        let fault = Fault::money(span.unwrap_or_default(), error);
        reading.report(
            fault.hint("the catalogue has prices in both: name modules of one currency by `ids`, or a stock file"),
        );
    }
    (lots, first.map(|money| (money, None)))
}

/// Reports a budget in another currency than the prices.
pub(crate) fn one_budget(reading: &mut Reading, price: Price, budget: (Money, Span)) {
    let (left, right) = (budget.0.currency(), price.0.currency());
    match price.1 {
        Some(span) => one_currency(reading, (price.0, span), budget),
        None if left == right => {}
        None => {
            let fault = Fault::money(budget.1, MoneyError::Mixed { left, right });
            let hint = format!("the catalogue's prices are in {right}: give the budget in {right}, or a stock file");
            reading.report(fault.hint(hint));
        }
    }
}
