//! The pick list: what to take from which bin, in the order of the bins.

use super::Job;
use crate::verbs::shop::bins::walk;
use crate::verbs::shop::order::PromiseView;
use draw::sheet::{Block, Column, Sheet, Table};
use std::collections::BTreeMap;

/// Makes the pick list.
pub fn sheet(job: &Job) -> Sheet {
    let mut sheet = job.blank("Pick list");
    sheet.blocks.push(Block::Facts(vec![
        ("For".to_string(), format!("{} × {}", job.machines, job.judged.title)),
        ("Modules".to_string(), format!("{} a machine", job.build.filled().count())),
    ]));
    sheet.blocks.push(Block::Cautions(vec![
        "Wear the wrist strap, take modules by their short edges, and keep each in its bag or tray until it goes in."
            .to_string(),
        "Hold every label against this list: capacity, ranks, width, kind and rate, letter by letter.".to_string(),
    ]));
    let taken = taken(job);
    if !job.promised.is_empty() {
        sheet.blocks.push(Block::Table(exact(&job.promised)));
        sheet.blocks.extend(looks(&job.promised));
    } else if taken.is_empty() {
        sheet
            .blocks
            .push(Block::Text("Nothing comes from the shelf: every module is in the machine already.".to_string()));
    } else {
        sheet.blocks.push(Block::Table(table(job, &taken)));
    }
    if !job.there.taken_out.is_empty() {
        sheet.blocks.push(Block::Heading("Comes back from the machine".to_string()));
        sheet.blocks.extend(
            job.there.taken_out.iter().map(|t| {
                Block::Text(format!("{}, from {}", t.module, t.slot.as_deref().unwrap_or("the loose modules")))
            }),
        );
    }
    sheet.blocks.push(Block::Signatures(vec!["Picked by, date".to_string()]));
    sheet
}

/// What the intake screening saw of modules that are picked here, each once.
fn looks(promised: &[PromiseView]) -> Vec<Block> {
    let seen: BTreeMap<i64, &String> = promised.iter().filter_map(|p| Some((p.item, p.look.as_ref()?))).collect();
    if seen.is_empty() {
        return Vec::new();
    }
    let words = seen.into_iter().map(|(item, note)| Block::Text(format!("Item {item}: {note}")));
    std::iter::once(Block::Heading("Look at these before they go in".to_string())).chain(words).collect()
}

/// What one line of the list is for: the bin, as one walks, then module and condition.
type Line = (Vec<(String, u64)>, String, String, String);

/// How many of each for all machines.
fn taken(job: &Job) -> BTreeMap<Line, u32> {
    let mut taken = BTreeMap::new();
    match &job.plan {
        Some((view, _)) => {
            for line in &view.bill {
                let bin = line.bin.clone().unwrap_or_default();
                let key = (walk(&bin), bin, line.module.clone(), line.condition.clone());
                *taken.entry(key).or_insert(0) += line.count.saturating_mul(job.machines);
            }
        }
        None => {
            for (label, count) in job.modules() {
                *taken.entry((Vec::new(), String::new(), label, String::new())).or_insert(0) += count as u32;
            }
        }
    }
    taken
}

/// Slots that are named in a row.
const SLOTS_MOST: usize = 4;

/// The exact modules of an order: one row for each item, by bin, with the slots that it goes into.
fn exact(promised: &[PromiseView]) -> Table {
    let many = promised.iter().any(|p| p.machine > 1);
    let mut rows: BTreeMap<_, (&PromiseView, Vec<String>)> = BTreeMap::new();
    for p in promised {
        let slot = if many { format!("{}: {}", p.machine, p.slot) } else { p.slot.clone() };
        rows.entry((walk(&p.bin), p.item)).or_insert((p, Vec::new())).1.push(slot);
    }
    let row = |(p, slots): (&PromiseView, Vec<String>)| {
        let bin = if p.bin.is_empty() { "not named".to_string() } else { p.bin.clone() };
        let serial = p.serial.clone().unwrap_or_else(|| "none".to_string());
        // Modules of a lot are alike: which goes where is the bench sheet's.
        let places = match slots.len() {
            0..=SLOTS_MOST => slots.join(", "),
            many => format!("{many} slots: see the bench sheet"),
        };
        vec![bin, p.item.to_string(), slots.len().to_string(), p.module.clone(), serial, places]
    };
    Table {
        columns: vec![
            Column::text("bin", 0.9),
            Column::figures("item", 0.6),
            Column::figures("count", 0.6),
            Column::text("module", 2.6),
            Column::text("serial", 1.2),
            Column::text(if many { "for machine: slot" } else { "for slot" }, 2.0),
        ],
        rows: rows.into_values().map(row).collect(),
        totals: vec![vec![String::new(), String::new(), promised.len().to_string(), "modules in all".to_string()]],
        ticks: true,
    }
}

fn table(job: &Job, taken: &BTreeMap<Line, u32>) -> Table {
    let each = |n: u32| if job.machines > 1 { format!("{} a machine", n / job.machines) } else { String::new() };
    let rows = taken
        .iter()
        .map(|((_, bin, module, condition), count)| {
            let bin = if bin.is_empty() { "not named".to_string() } else { bin.clone() };
            vec![bin, count.to_string(), module.clone(), condition.clone(), each(*count)]
        })
        .collect();
    let all: u32 = taken.values().sum();
    Table {
        columns: vec![
            Column::text("bin", 1.2),
            Column::figures("count", 0.6),
            Column::text("module", 4.0),
            Column::text("condition", 1.0),
            Column::text("of these", 1.2),
        ],
        rows,
        totals: vec![vec![String::new(), all.to_string(), "modules in all".to_string()]],
        ticks: true,
    }
}
