//! `modules [TEXT...]`: arguments and text.

use super::paint::Paint;
use super::{Reply, table};
use crate::failure::Failure;
use crate::verbs::modules::{self, ModuleListView, Question};
use crate::world::Data;
use domain::{Capacity, DataRate, Generation, Kind};

/// Lists the kinds of modules in the catalogue.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Words that stand in the id, label, maker or part number.
    text: Vec<String>,
    /// DDR3, DDR4 or DDR5.
    #[arg(long, value_name = "DDR", value_parser = generation)]
    generation: Option<Generation>,
    /// RDIMM, LRDIMM, RDIMM-3DS, LRDIMM-3DS, UDIMM, MRDIMM or NVDIMM.
    #[arg(long, value_name = "KIND", value_parser = kind)]
    kind: Option<Kind>,
    /// The capacity of one module, such as 32GB.
    #[arg(long, value_name = "CAPACITY", value_parser = capacity)]
    capacity: Option<Capacity>,
    /// The data rate printed on it, in MT/s.
    #[arg(long, value_name = "MT/S", value_parser = rate)]
    rate: Option<DataRate>,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
}

fn generation(text: &str) -> Result<Generation, String> {
    Generation::parse(text).ok_or_else(|| "use DDR3, DDR4 or DDR5".to_string())
}

fn kind(text: &str) -> Result<Kind, String> {
    let names: Vec<&str> = Kind::ALL.iter().map(|(_, n)| *n).collect();
    Kind::parse(text).ok_or_else(|| format!("use {}", names.join(", ")))
}

fn capacity(text: &str) -> Result<Capacity, String> {
    Capacity::parse(text).map_err(|e| format!("{e}: {}", e.hint()))
}

fn rate(text: &str) -> Result<DataRate, String> {
    DataRate::parse(text).map_err(|e| format!("{e}: {}", e.hint()))
}

/// Lists.
///
/// # Errors
/// The view can't be written.
pub fn run(args: &Args, data: &Data, _: Paint) -> Result<Reply, Failure> {
    let question = Question {
        generation: args.generation,
        kind: args.kind,
        capacity: args.capacity,
        rate: args.rate,
        text: args.text.join(" "),
    };
    let view = modules::list(data.library.catalog(), &question);
    Reply::of(&view, args.json, false, || words(&view))
}

fn words(view: &ModuleListView) -> String {
    let rows = view.modules.iter().map(|line| {
        let prices: Vec<String> = line.prices.iter().map(|p| format!("{} {}", p.price, p.condition)).collect();
        vec![line.module.id.clone(), line.module.label.clone(), line.module.kind.clone(), prices.join(", ")]
    });
    let mut text = String::new();
    if !view.modules.is_empty() {
        text.push_str(&table::table(&["module", "label", "kind", "price"], &[], rows.collect()));
        text.push('\n');
    }
    text.push_str(&format!("{} of {} kinds in the catalogue\n", view.modules.len(), view.known));
    text
}
