//! `stock scan`, `tray` and `count`: what holds for all that comes in, and views as text.

use super::super::table::table;
use crate::disk;
use crate::failure::Failure;
use crate::verbs::recognise;
use crate::verbs::shop::calendar;
use crate::verbs::shop::count::CountView;
use crate::verbs::shop::intake::{ScreenedView, Terms};
use crate::verbs::shop::stock::ItemView;
use crate::world;
use std::path::Path;

/// What holds for all that comes in.
#[derive(Debug, clap::Args)]
pub struct TermArgs {
    /// new or used.
    #[arg(long, default_value = "used", value_name = "CONDITION")]
    condition: String,
    #[arg(long, default_value = "", value_name = "BIN")]
    bin: String,
    /// What one cost, such as "42 EUR".
    #[arg(long, default_value = "", value_name = "MONEY")]
    cost: String,
    /// From whom, by which reference.
    #[arg(long, default_value = "", value_name = "SUPPLIER/REF")]
    batch: String,
    #[arg(long, default_value = "", value_name = "TEXT")]
    note: String,
}

impl TermArgs {
    pub fn read(&self) -> Result<Terms, Failure> {
        let today = calendar::of(world::today());
        Terms::read(&self.condition, &self.bin, &self.cost, &self.batch, &self.note, today)
    }
}

/// The text of a file, or of standard input for `-`.
pub fn text(from: &Path) -> Result<String, Failure> {
    let failed = |why: String| Failure::Shop {
        why: format!("`{}` can't be read: {why}", from.display()),
        hint: "name a file that is there, or - for standard input".to_string(),
    };
    let bytes = if from == Path::new("-") {
        disk::standard_input().map_err(|e| failed(e.to_string()))?.ok_or(Failure::NothingToRead)?
    } else {
        disk::bytes(from).map_err(|e| failed(e.to_string()))?
    };
    recognise::text_of(&bytes).ok_or_else(|| Failure::Shop {
        why: format!("`{}` can't be read: {}", from.display(), recognise::why_no_text(&bytes)),
        hint: "save it as plain text in UTF-8; a spreadsheet calls that `CSV UTF-8`".to_string(),
    })
}

fn in_a_line(item: &ItemView) -> String {
    let serial = item.serial.as_ref().map_or_else(String::new, |s| format!(", serial {s}"));
    let bin = if item.bin.is_empty() { "no bin".to_string() } else { format!("bin {}", item.bin) };
    format!("item {}: {} x {}{serial}, {bin}, {}", item.item, item.quantity, item.label, item.state)
}

fn rows(items: &[&ItemView]) -> String {
    let row = |item: &&ItemView| {
        vec![
            item.item.to_string(),
            item.label.clone(),
            item.part_number.clone().unwrap_or_default(),
            item.serial.clone().unwrap_or_default(),
            item.bin.clone(),
            item.cost.to_string(),
            item.state.clone(),
            item.screening.clone(),
        ]
    };
    let header = ["item", "module", "part number", "serial", "bin", "cost", "state", "screening"];
    table(&header, &[0, 5], items.iter().map(row).collect())
}

/// What was taken in and what screening said.
pub fn took(view: &ScreenedView) -> String {
    let items: Vec<&ItemView> = view.items.iter().map(|t| &t.item).collect();
    let mut text = rows(&items);
    let (modules, rejects, suspects) = (view.modules, view.rejects, view.suspects);
    text.push_str(&format!("{modules} taken in; {rejects} held back by screening, {suspects} to look at\n"));
    for took in view.items.iter().filter(|t| t.again) {
        text.push_str(&format!("item {} was here before\n", took.item.item));
    }
    for item in items.iter().filter(|i| !i.screening_note.is_empty()) {
        text.push_str(&format!("item {}: {}\n", item.item, item.screening_note));
    }
    view.together.iter().for_each(|t| text.push_str(&format!("together: {t}\n")));
    if !view.passed_over.is_empty() {
        text.push_str(&format!("columns that nothing reads: {}\n", view.passed_over.join(", ")));
    }
    text
}

/// A bin, counted.
pub fn counted(view: &CountView) -> String {
    let mut text = format!("bin {}: {} of {} found\n", view.bin, view.found, view.expected);
    for (name, items) in [
        ("missing", &view.missing),
        ("missing, and promised to an order: let it go there first", &view.missing_promised),
        ("found here, in another bin by the store", &view.elsewhere),
        ("found here, missing by the store", &view.back),
        ("found here, but gone by the store: look", &view.gone),
    ] {
        if !items.is_empty() {
            text.push_str(&format!("{name}:\n"));
            items.iter().for_each(|i| text.push_str(&format!("  {}\n", in_a_line(i))));
        }
    }
    for (name, serials) in [
        ("not in stock", &view.unknown),
        ("of several modules", &view.unclear),
        ("seen more than once", &view.repeated),
    ] {
        if !serials.is_empty() {
            text.push_str(&format!("{name}: {}\n", serials.join(", ")));
        }
    }
    if view.without_serial > 0 {
        text.push_str(&format!("not counted: {} without serials\n", view.without_serial));
    }
    match view.accepted {
        Some(number) => text.push_str(&format!("accepted as stock-take {number}\n")),
        None if view.differs() => text.push_str("nothing was changed; --accept makes the store say so\n"),
        None => {}
    }
    text
}
