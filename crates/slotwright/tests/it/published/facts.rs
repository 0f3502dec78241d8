//! Published rules of mixing, modes, limits and address sets: what they say of a build, and what `judge` says of it.

use super::{Role, Setup, board, build, chartless, files, library};
use domain::{Capacity, Severity};
use engine::judge::{Judgement, judge};
use serde::Deserialize;
use std::sync::Arc;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    fact: Vec<Fact>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Fact {
    id: String,
    role: Role,
    quote: String,
    mark: String,
    setup: Setup,
    /// Judged as if the board had no chart?
    #[serde(default)]
    chartless: bool,
    /// What the source says that the engine does not; the row then holds what it says instead.
    #[serde(default)]
    miss: Option<String>,
    expect: Expect,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Expect {
    /// A rule that finds something, and how badly.
    #[serde(default)]
    finding: Option<String>,
    #[serde(default)]
    severity: Option<String>,
    /// Rules that find nothing.
    #[serde(default)]
    absent: Vec<String>,
    #[serde(default)]
    usable: Option<String>,
    #[serde(default)]
    capacity: Option<String>,
    /// Widths of the first socket's address sets, in the order that they are formed.
    #[serde(default)]
    sets: Vec<u8>,
    /// More than one address set on the first socket?
    #[serde(default)]
    split: Option<bool>,
    /// MT/s that the machine runs at.
    #[serde(default)]
    rate: Option<u32>,
}

/// What is not as told.
fn unmet(expect: &Expect, judgement: &Judgement) -> Vec<String> {
    let mut unmet = Vec::new();
    let found = |rule: &str| judgement.findings.iter().filter(|f| f.rule == rule).map(|f| f.severity).min();
    if let Some(rule) = &expect.finding {
        let wanted = expect.severity.as_deref().and_then(Severity::parse);
        assert!(wanted.is_some(), "{rule}: a finding has a severity");
        if found(rule) != wanted {
            unmet.push(format!("{rule}: {:?}, told {wanted:?}", found(rule)));
        }
    }
    for rule in &expect.absent {
        assert!(engine::rules::ALL.iter().any(|r| r.name == rule), "there is no rule {rule}");
        unmet.extend(found(rule).map(|severity| format!("{rule} is found, {severity}")));
    }
    for (told, is, what) in
        [(&expect.usable, judgement.usable, "usable"), (&expect.capacity, judgement.capacity, "capacity")]
    {
        let told = told.as_deref().map(|t| Capacity::parse(t).unwrap());
        unmet.extend(told.filter(|t| *t != is).map(|t| format!("{what} {is}, told {t}")));
    }
    let sets: Vec<u8> = judgement.regions.iter().filter(|r| r.socket == 0).map(|r| r.width).collect();
    if !expect.sets.is_empty() && expect.sets != sets {
        unmet.push(format!("sets {sets:?}, told {:?}", expect.sets));
    }
    if expect.split.is_some_and(|split| split != (sets.len() > 1)) {
        unmet.push(format!("sets {sets:?}"));
    }
    let rate = judgement.rate.as_ref().map(|r| r.rate.mts());
    if expect.rate.is_some() && expect.rate != rate {
        unmet.push(format!("rate {rate:?}, told {:?}", expect.rate));
    }
    unmet
}

#[test]
fn published_rules_are_told_of_the_builds_that_they_are_about() {
    let library = library();
    let (mut fit, mut met, mut missed) = (0, 0, 0);
    let mut wrong = Vec::new();
    println!("{:44} {:4} outcome", "fact", "role");
    for (source, text) in files("facts.toml") {
        let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("{source}: {e}"));
        println!("{source}");
        for fact in file.fact {
            assert!(!fact.quote.is_empty() && ["seen", "derived"].contains(&fact.mark.as_str()), "{}", fact.id);
            let full = board(&library, &fact.setup.board);
            let used = if fact.chartless { chartless(&full) } else { Arc::clone(&full) };
            let unmet = unmet(&fact.expect, &judge(&build(&library, &fact.setup, used)));
            let outcome = match (fact.role, &fact.miss) {
                (Role::Fit, _) => (&mut fit, "put into the data"),
                (Role::Test, None) => (&mut met, "met"),
                (Role::Test, Some(_)) => (&mut missed, "missed as stated"),
            };
            *outcome.0 += 1;
            let role = if fact.role == Role::Fit { "fit" } else { "test" };
            println!("  {:42} {role:4} {}", fact.id, outcome.1);
            wrong.extend(unmet.into_iter().map(|u| format!("{}: {u}", fact.id)));
        }
    }
    println!("{fit} put into the data, {met} met, {missed} missed as stated");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    super::told("facts", &[("fit", fit), ("met", met), ("missed", missed)]);
}
