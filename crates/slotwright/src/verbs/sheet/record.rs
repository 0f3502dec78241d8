//! The record: what was built, with serials by slot, what was found, and who signs for it.

use super::Job;
use domain::Capacity;
use draw::sheet::{Block, Column, Sheet, Table};

/// Makes the record.
pub fn sheet(job: &Job) -> Sheet {
    let mut sheet = job.blank("Record");
    let judged = &job.judged;
    let mut facts = vec![
        ("Machine".to_string(), judged.title.clone()),
        ("Serial of the machine".to_string(), "______________________________".to_string()),
        ("Processors".to_string(), job.processors()),
        ("Memory".to_string(), Capacity::from_mib(judged.capacity_mib).to_string()),
        ("Memory mode".to_string(), job.build.mode.to_string()),
        ("Data rate".to_string(), job.rate()),
        ("Firmware".to_string(), judged.firmware.clone().unwrap_or_else(|| "______________".to_string())),
    ];
    if !job.papers.customer.is_empty() {
        facts.insert(0, ("Customer".to_string(), job.papers.customer.clone()));
    }
    sheet.blocks.push(Block::Facts(facts));
    let machines = if job.promised.is_empty() { 1 } else { job.machines };
    for machine in 1..=machines {
        let of = if machines > 1 { format!(", machine {machine} of {machines}") } else { String::new() };
        sheet.blocks.push(Block::Heading(format!("Modules by slot{of}")));
        sheet.blocks.push(Block::Table(by_slot(job, machine)));
    }
    sheet.blocks.push(Block::Heading("Findings of the check".to_string()));
    let exchanged = job.exchanged.iter().map(|words| Block::Text(format!("Other than was planned: {words}")));
    let findings = judged.findings.iter().filter(|f| f.matters());
    let findings = findings.map(|f| Block::Text(format!("{}: {}, {}", f.severity, f.rule, f.evidence)));
    let found: Vec<Block> = exchanged.chain(findings).collect();
    match found.is_empty() {
        true => sheet.blocks.push(Block::Text("None.".to_string())),
        false => sheet.blocks.extend(found),
    }
    sheet.blocks.push(Block::Heading("Seen at the bench".to_string()));
    sheet.blocks.push(Block::Blank(4));
    sheet.blocks.push(Block::Signatures(vec!["Built by, date".to_string(), "Handed over to, date".to_string()]));
    sheet
}

/// What sits in each slot of a machine; of an order's modules with part number and serial.
fn by_slot(job: &Job, machine: u32) -> Table {
    let row = |(slot, module): (domain::SlotIndex, &std::sync::Arc<domain::Module>)| {
        let label = &job.build.board.slot(slot).label;
        let exact = job.promised.iter().find(|p| p.machine == machine && p.slot == *label);
        let text = |t: Option<&String>| t.cloned().unwrap_or_default();
        let module = exact.map_or_else(|| module.label.clone(), |p| p.module.clone());
        let (part, serial) = (exact.and_then(|p| p.part_number.as_ref()), exact.and_then(|p| p.serial.as_ref()));
        vec![label.clone(), module, text(part), text(serial)]
    };
    Table {
        columns: vec![
            Column::text("slot", 1.2),
            Column::text("module", 2.6),
            Column::text("part number", 1.6),
            Column::text("serial", 1.6),
        ],
        rows: job.build.filled().map(row).collect(),
        totals: Vec::new(),
        ticks: true,
    }
}
