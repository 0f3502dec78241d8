//! Stickers: one for the machine, one for the bag of every module.

use super::Job;
use domain::Capacity;
use draw::sheet::{Block, Sheet, Sticker};

/// Makes the stickers of every machine.
pub fn sheet(job: &Job) -> Sheet {
    let mut sheet = job.blank("Stickers");
    let number = &job.papers.number;
    let code = |what: &str| [number.as_str(), what].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" ");
    let capacity = Capacity::from_mib(job.judged.capacity_mib).to_string();
    let rate = job.judged.rate().map_or(String::new(), |r| r.to_string());
    let mut all = Vec::new();
    for machine in 1..=job.machines.max(1) {
        let of = if job.machines > 1 { format!("machine {machine} of {}", job.machines) } else { String::new() };
        let numbered =
            [number.as_str(), of.as_str()].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", ");
        let facts = [job.judged.board.as_str(), of.as_str(), capacity.as_str(), rate.as_str()];
        all.push(Sticker {
            code: code(&facts.into_iter().filter(|f| !f.is_empty()).collect::<Vec<_>>().join(" ")),
            lines: vec![
                if numbered.is_empty() { job.judged.board.clone() } else { numbered.clone() },
                job.judged.title.clone(),
                format!("{capacity}, {rate}"),
                job.papers.date.to_string(),
            ],
        });
        all.extend(job.build.filled().map(|(slot, module)| {
            let label = &job.build.board.slot(slot).label;
            let exact = job.promised.iter().find(|p| p.machine == machine && p.slot == *label);
            let module = exact.map_or(module.label.as_str(), |p| p.module.as_str());
            let serial = exact.and_then(|p| p.serial.clone()).unwrap_or_default();
            Sticker {
                code: code([label, module, serial.as_str()].join(" ").trim_end()),
                lines: vec![label.clone(), module.to_string(), serial, numbered.clone()],
            }
        }));
    }
    sheet.blocks.push(Block::Stickers(all));
    sheet
}
