//! The bench sheet: cautions first, then step by step in slot order, then what the machine should report.

use super::Job;
use domain::board::FirmwareReason;
use domain::{Capacity, SlotIndex};
use draw::sheet::{Block, Column, Sheet, Step, Table};
use engine::order;

/// What can hurt people, parts or data; the maker's service manual and local rules come first.
pub const CAUTIONS: [&str; 7] = [
    "Follow the maker's service manual and your local rules; they come before this sheet.",
    "Shut down, pull every power cord (there may be more than one), and wait until the standby light is out.",
    "Wear a wrist strap on bare metal of the chassis; take modules by their short edges.",
    "Modules and heat sinks may be hot enough to burn: let them cool.",
    "A chassis on rails or on the bench is heavy: lift it with two people, and lock the rails.",
    "The machine may hold a customer's data. A module that keeps its contents without power does too: never put it into \
     another machine before it is erased by the maker's procedure.",
    "Leave processors and heat sinks to trained hands, with the maker's torque and order. Never straighten a contact of a \
     socket.",
];

/// Makes the bench sheet.
pub fn sheet(job: &Job) -> Sheet {
    let mut sheet = job.blank("Bench sheet");
    let mut facts = vec![
        ("Machine".to_string(), job.judged.title.clone()),
        ("Processors".to_string(), job.processors()),
        ("Modules".to_string(), modules(job)),
    ];
    if job.machines > 1 {
        facts.push(("Machines".to_string(), format!("{} alike; one sheet each", job.machines)));
    }
    if !job.papers.customer.is_empty() {
        facts.push(("Customer".to_string(), job.papers.customer.clone()));
    }
    sheet.blocks.push(Block::Facts(facts));
    sheet.blocks.push(Block::Cautions(CAUTIONS.iter().map(|c| c.to_string()).collect()));
    sheet.blocks.push(Block::Heading("Before".to_string()));
    sheet.blocks.push(Block::Steps(before(job)));
    sheet.blocks.push(Block::MapPage(Box::new(job.map())));
    sheet.blocks.push(Block::Heading("Modules, in this order".to_string()));
    sheet.blocks.push(Block::Text(
        "Match the notch, then press both ends until both latches close. Numbers in circles on the map are these steps."
            .to_string(),
    ));
    sheet.blocks.push(Block::Steps(fitting(job)));
    sheet.blocks.push(Block::Heading("After".to_string()));
    sheet.blocks.push(Block::Steps(after(job)));
    sheet.blocks.push(Block::Heading("What the machine should report".to_string()));
    sheet.blocks.push(Block::Facts(expected(job)));
    sheet.blocks.push(Block::Table(report(job)));
    sheet.blocks.push(Block::Signatures(vec!["Built by, date".to_string(), "Checked by, date".to_string()]));
    sheet
}

fn modules(job: &Job) -> String {
    job.modules().iter().map(|(label, n)| format!("{n} × {label}")).collect::<Vec<_>>().join(", ")
}

fn step(act: &str, detail: &str) -> Step {
    Step { act: act.to_string(), detail: detail.to_string() }
}

fn before(job: &Job) -> Vec<Step> {
    let mut steps = Vec::new();
    for (what, least) in firmware(job) {
        let now = job.build.firmware.as_deref().unwrap_or("not known");
        steps.push(step(
            &format!("Bring the firmware to {least} or newer before {what} goes in (now: {now})"),
            "with the parts that run now; a board that does not know a part may not start with it",
        ));
    }
    steps.push(step("Shut down, pull all power cords, wait for the standby light to go out", ""));
    steps.push(step("Wrist strap on; cover and air baffle off as the service manual shows", ""));
    steps.push(step("Look into every slot and at every module's contacts", "dust, bent contacts, a blank left inside"));
    for out in job.there.taken_out.iter().filter_map(|t| Some((t.slot.as_ref()?, &t.module))) {
        steps
            .push(step(&format!("Take {} out of {}", out.1, out.0), "press both latches outward, lift it straight up"));
    }
    for m in &job.there.moves {
        steps
            .push(step(&format!("Take {} out of {}, for {}", m.module, m.from, m.to), "keep it apart from the others"));
    }
    steps
}

/// Firmware levels that this build asks for and that are not known to be there.
fn firmware(job: &Job) -> Vec<(String, String)> {
    let board = &job.build.board;
    let asked = |reason: &FirmwareReason| match reason {
        FirmwareReason::Processor(id) => job.build.processors.iter().flatten().any(|p| p.id == *id),
        FirmwareReason::Density(least) => job.build.filled().any(|(_, m)| m.die_density.is_some_and(|d| d >= *least)),
        FirmwareReason::Kind(kind) => job.build.filled().any(|(_, m)| m.kind == *kind),
    };
    let met = |rule: &str| job.judged.findings.iter().any(|f| f.rule.contains(rule));
    let open = job.build.firmware.is_none() || met("firmware");
    let needs = board.firmware.iter().filter(|n| open && asked(&n.reason));
    needs
        .map(|n| {
            let what = match &n.reason {
                FirmwareReason::Processor(id) => format!("a {id} processor"),
                FirmwareReason::Density(density) => format!("a module with dies of {density} or more"),
                FirmwareReason::Kind(kind) => format!("a module of kind {kind}"),
            };
            (what, n.least.clone())
        })
        .collect()
}

/// The filled slots in the order in which they are to be filled.
fn order(job: &Job) -> Vec<SlotIndex> {
    let board = &job.build.board;
    let order = order::install_order(board, &job.build.processors, &job.build.mode);
    let filled = |s: &SlotIndex| job.build.slots.get(s.at()).is_some_and(Option::is_some);
    let mut slots: Vec<SlotIndex> = order.into_iter().filter(filled).collect();
    let rest: Vec<SlotIndex> = job.build.filled().map(|(s, _)| s).filter(|s| !slots.contains(s)).collect();
    slots.extend(rest);
    slots
}

fn fitting(job: &Job) -> Vec<Step> {
    let board = &job.build.board;
    let stays = |slot: SlotIndex| job.there.stays.contains(&board.slot(slot).label);
    let mut steps = Vec::new();
    for slot in order(job) {
        let (place, Some(Some(module))) = (board.slot(slot), job.build.slots.get(slot.at())) else { continue };
        if stays(slot) {
            steps.push(step(&format!("{}: {} stays; press both ends once", place.label, module.label), ""));
            continue;
        }
        let socket = board.sockets.get(usize::from(place.address.socket)).map_or("", |s| s.name.as_str());
        let nth = ["first", "second", "third"].get(usize::from(place.address.position)).copied().unwrap_or("next");
        let tab = place.tab.as_ref().map_or(String::new(), |t| format!(", {t} tabs"));
        steps.push(step(
            &format!("{}: {}", place.label, module.label),
            &format!("socket {socket}, {nth} of its channel{tab}"),
        ));
    }
    steps
}

fn after(job: &Job) -> Vec<Step> {
    let board = &job.build.board;
    let mut steps = Vec::new();
    let empty = job.build.slots.iter().filter(|s| s.is_none()).count();
    if empty > 0 {
        let must = board.blanks.as_ref().is_some_and(|b| b.value);
        let act =
            format!("Blanks into the {empty} empty slots{}", if must { "" } else { ", where the maker gives them" });
        steps.push(step(&act, "they guide the air over the modules"));
    }
    steps.push(step("Every latch closed, every module level with its neighbours", "look along the rows from the side"));
    steps.push(step("Air baffle and cover back on, then the power cords", "without the baffle modules get too hot"));
    let minutes = board.training.map_or("several minutes".to_string(), |m| format!("about {m}"));
    steps.push(step(
        &format!("Start it. The first start trains the memory: allow {minutes}, and don't cut the power"),
        "the screen may stay dark and the machine may restart by itself",
    ));
    let mut settings = vec![format!("memory mode {}", job.build.mode)];
    settings.extend(job.build.numa.as_ref().map(|n| format!("NUMA partition {n}")));
    settings.extend(job.judged.rate().map(|r| format!("memory rate automatic, or {r}")));
    steps.push(step(&format!("In the firmware set: {}", settings.join("; ")), "save, and start again"));
    steps.push(step(
        "Hold what it reports against the list below",
        "the page Compare, or slotwright compare, does it from a snapshot",
    ));
    steps
}

fn expected(job: &Job) -> Vec<(String, String)> {
    let judged = &job.judged;
    vec![
        ("Memory".to_string(), Capacity::from_mib(judged.capacity_mib).to_string()),
        ("Modules".to_string(), job.build.filled().count().to_string()),
        ("Data rate".to_string(), job.rate()),
    ]
}

fn report(job: &Job) -> Table {
    let rows = job
        .judged
        .slots
        .iter()
        .map(|slot| match &slot.module {
            Some(module) => vec![slot.label.clone(), module.label.clone()],
            None => vec![slot.label.clone(), "empty".to_string()],
        })
        .collect();
    Table {
        columns: vec![Column::text("slot", 1.0), Column::text("should hold", 3.0), Column::text("differs", 1.5)],
        rows,
        totals: Vec::new(),
        ticks: true,
    }
}
