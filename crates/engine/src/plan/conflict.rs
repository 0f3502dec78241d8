//! When nothing fits: the smallest group of limits that cannot hold together, and the smallest change that helps.

use super::frame::Space;
use super::kinds::Conflict;
use super::search::{Limits, Outcome, search};
use crate::rules;
use crate::scene::Scene;
use domain::finding::Severity;
use domain::{Build, Capacity, Money, Need};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Limit {
    Least,
    Most,
    Budget,
    Bandwidth,
    Rate,
    Free,
    Keep,
}

const ALL: [Limit; 7] =
    [Limit::Budget, Limit::Least, Limit::Most, Limit::Bandwidth, Limit::Rate, Limit::Free, Limit::Keep];

fn without(limits: &Limits, dropped: &[Limit]) -> Limits {
    let mut open = limits.clone();
    for limit in dropped {
        match limit {
            Limit::Least => open.least = None,
            Limit::Most => open.most = None,
            Limit::Budget => open.budget = None,
            Limit::Bandwidth => open.bandwidth = None,
            Limit::Rate => open.rate = None,
            Limit::Free => open.free = 0,
            Limit::Keep => open.keep_all = false,
        }
    }
    open
}

fn is_set(limits: &Limits, limit: Limit, need: &Need) -> bool {
    match limit {
        Limit::Least => limits.least.is_some(),
        Limit::Most => limits.most.is_some(),
        Limit::Budget => limits.budget.is_some(),
        Limit::Bandwidth => limits.bandwidth.is_some(),
        Limit::Rate => limits.rate.is_some(),
        Limit::Free => limits.free > 0,
        Limit::Keep => limits.keep_all && !(need.installed.is_empty() && need.loose.is_empty()),
    }
}

/// Works out why nothing fits.
pub fn explain(space: &Space, limits: &Limits) -> Conflict {
    let set: Vec<Limit> = ALL.into_iter().filter(|l| is_set(limits, *l, space.need)).collect();
    if search(space, &without(limits, &set)).points.is_empty() {
        return Conflict { limits: refusals(space), changes: Vec::new() };
    }
    // Drop limits one by one as long as nothing fits: what stays is a smallest conflicting group.
    let mut dropped: Vec<Limit> = Vec::new();
    for limit in &set {
        let mut tried = dropped.clone();
        tried.push(*limit);
        if search(space, &without(limits, &tried)).points.is_empty() {
            dropped = tried;
        }
    }
    let group: Vec<Limit> = set.into_iter().filter(|l| !dropped.contains(l)).collect();
    Conflict {
        limits: group.iter().map(|l| words(space.need, limits, *l)).collect(),
        changes: group.iter().filter_map(|l| change(space, limits, *l)).collect(),
    }
}

fn words(need: &Need, limits: &Limits, limit: Limit) -> String {
    let or = |c: Option<Capacity>| c.unwrap_or_default();
    match limit {
        Limit::Least => format!("at least {} usable", or(limits.least)),
        Limit::Most => format!("at most {} usable", or(limits.most)),
        Limit::Budget => format!("a budget of {}", budget(need).map_or(String::new(), |b| b.to_string())),
        Limit::Bandwidth => format!("at least {}", limits.bandwidth.unwrap_or_default()),
        Limit::Rate => limits.rate.map_or(String::new(), |r| format!("at least {r}")),
        Limit::Free => format!("{} slots to stay free", limits.free),
        Limit::Keep => "the installed modules stay".into(),
    }
}

fn budget(need: &Need) -> Option<Money> {
    need.budget
}

/// The smallest change of one limit, all others held, that lets something fit.
fn change(space: &Space, limits: &Limits, limit: Limit) -> Option<String> {
    let need = space.need;
    let Outcome { points, .. } = search(space, &without(limits, &[limit]));
    let all = || points.iter().map(|(o, _)| o);
    match limit {
        Limit::Budget => {
            let price = all().map(|o| o.price).min()?;
            let currency = budget(need)?.currency();
            let machines = i64::from(need.machines.max(1));
            let whole = Money::from_minor(price.saturating_mul(machines), currency);
            let gap = Money::from_minor(whole.minor() - budget(need)?.minor(), currency);
            Some(format!("raise the budget to {whole} ({gap} more)"))
        }
        Limit::Least => all().map(|o| o.usable).max().map(|c| format!("ask for at least {c}")),
        Limit::Most => all().map(|o| o.usable).min().map(|c| format!("allow up to {c}")),
        Limit::Bandwidth => all().map(|o| o.bandwidth).max().map(|b| format!("ask for at least {b}")),
        Limit::Rate => all().map(|o| o.rate).max().map(|r| format!("ask for at least {r}")),
        Limit::Free => all().map(|o| o.free).max().map(|n| match n {
            0 => "keep no slot free".to_string(),
            1 => "keep 1 slot free".to_string(),
            n => format!("keep {n} slots free"),
        }),
        Limit::Keep => (!points.is_empty()).then(|| "let installed modules be taken out".to_string()),
    }
}

/// What the rules say of each module offered, where none fits at all.
fn refusals(space: &Space) -> Vec<String> {
    let need = space.need;
    if need.lots.is_empty() && need.installed.is_empty() && need.loose.is_empty() {
        return vec!["no modules are offered: the filter or the stock file leaves none".into()];
    }
    if space.frames.is_empty() {
        return vec!["no socket has a processor".into()];
    }
    let mut reasons: Vec<(String, usize)> = Vec::new();
    for sort in 0..space.sorts.len() {
        let build = alone(space, sort as u16);
        let scene = Scene::new(&build);
        let found = rules::check_all(&scene).into_iter().find(|f| f.severity == Severity::Wrong);
        let Some(found) = found else { continue };
        let text = format!("{}: {}", found.rule, found.advice);
        match reasons.iter_mut().find(|(r, _)| *r == text) {
            Some((_, n)) => *n += 1,
            None => reasons.push((text, 1)),
        }
    }
    if reasons.is_empty() {
        return vec![format!("no fill of {} meets the demands of mode {}", need.board.title, need.mode)];
    }
    reasons.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
    reasons.into_iter().map(|(text, n)| format!("{text} ({n} of the modules offered)")).collect()
}

fn alone(space: &Space, sort: u16) -> Build {
    let mut build = space.base.clone();
    for frame in &space.frames {
        if let Some(slot) = frame.channels.iter().flatten().next() {
            build.slots[slot.at()] = Some(space.sample(sort).clone());
        }
    }
    build
}
