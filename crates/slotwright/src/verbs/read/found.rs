//! What is odd about a module or a machine, as plain data.

use super::sources;
use super::view::SignView;
use domain::Snapshot;
use domain::reading::{Sign, Weight};
use engine::screen::{self, Evidence, Given, Today};

/// Signs of a module, heaviest first, then what else was odd while reading.
pub fn module(given: &[Given], today: Today) -> Vec<SignView> {
    let signs = screen::one(given, today);
    let mut found: Vec<SignView> = signs.iter().map(|s| sign(s, given)).collect();
    for (from, oddity) in given.iter().flat_map(|g| g.reading.oddities.iter().map(move |o| (g.from, o))) {
        if screen::by_name(oddity.name).is_none() {
            found.push(SignView {
                name: oddity.name.to_string(),
                weight: Weight::Note.word().to_string(),
                evidence: format!("{}: {}", from.word(), oddity.seen),
                offset: oddity.offset,
                means: "The reader came upon it; nothing more is known of it".to_string(),
                innocent: "unknown".to_string(),
                advice: "compare with another module of the lot".to_string(),
                source: "common practice, no source".to_string(),
            });
        }
    }
    found
}

/// A sign as plain data; the offset is that of the oddity of its name.
pub fn sign(sign: &Sign, given: &[Given]) -> SignView {
    let mut oddities = given.iter().flat_map(|g| &g.reading.oddities);
    SignView {
        name: sign.name.to_string(),
        weight: sign.weight.word().to_string(),
        evidence: sign.evidence.clone(),
        offset: oddities.find(|o| o.name == sign.name).and_then(|o| o.offset),
        means: sign.means.to_string(),
        innocent: sign.innocent.to_string(),
        advice: sign.advice.to_string(),
        source: sign.source.to_string(),
    }
}

/// Signs that a machine's report can be trusted with: its other fields are wrong on many machines.
const OF_MACHINES: [&str; 3] = ["generation-differs", "capacity-differs", "keeps-its-contents"];

/// Signs of the modules of a machine, each with its slot.
pub fn machine(snapshot: &Snapshot, today: Today) -> Vec<SignView> {
    let mut found = Vec::new();
    for slot in snapshot.memory_slots() {
        let Some(module) = &slot.module else { continue };
        let mut reading = module.reading.clone();
        if module.nonvolatile {
            reading.kind = Some(domain::Kind::Nonvolatile);
        }
        let mut given = vec![Given { from: Evidence::Machine, reading }];
        given.extend(sources::from_part_number(&given));
        let name = if slot.name.trim().is_empty() { &slot.handle } else { &slot.name };
        for sign in screen::one(&given, today).iter().filter(|s| OF_MACHINES.contains(&s.name)) {
            let mut view = self::sign(sign, &given);
            view.evidence = format!("{}: {}", name.trim(), view.evidence);
            found.push(view);
        }
    }
    found
}
