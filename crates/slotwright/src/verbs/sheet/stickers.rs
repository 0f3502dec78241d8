//! Stickers: one for the machine, one for the bag of every module.

use super::Job;
use domain::Capacity;
use draw::sheet::{Block, Sheet, Sticker};

/// Makes the stickers of one machine.
pub fn sheet(job: &Job) -> Sheet {
    let mut sheet = job.blank("Stickers");
    let number = &job.papers.number;
    let code = |what: &str| [number.as_str(), what].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" ");
    let capacity = Capacity::from_mib(job.judged.capacity_mib).to_string();
    let rate = job.judged.rate().map_or(String::new(), |r| r.to_string());
    let mut all = vec![Sticker {
        code: code(&format!("{} {capacity} {rate}", job.judged.board)),
        lines: vec![
            if number.is_empty() { job.judged.board.clone() } else { number.clone() },
            job.judged.title.clone(),
            format!("{capacity}, {rate}"),
            job.papers.date.to_string(),
        ],
    }];
    all.extend(job.build.filled().map(|(slot, module)| {
        let label = &job.build.board.slot(slot).label;
        Sticker {
            code: code(&format!("{label} {}", module.label)),
            lines: vec![label.clone(), module.label.clone(), number.clone()],
        }
    }));
    sheet.blocks.push(Block::Stickers(all));
    sheet
}
