//! `stock correct`: arguments.

use crate::verbs::shop::correct::Asked;

/// What is right; what is not named stays as it is, and a `-` takes part number, maker, dies or serial away.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[arg(long, default_value = "", value_name = "LABEL", allow_hyphen_values = true)]
    label: String,
    #[arg(long, default_value = "", value_name = "TEXT", allow_hyphen_values = true)]
    part_number: String,
    #[arg(long, default_value = "", value_name = "NAME", allow_hyphen_values = true)]
    maker: String,
    /// Maker, density or revision of the dies.
    #[arg(long, default_value = "", value_name = "TEXT", allow_hyphen_values = true)]
    die: String,
    #[arg(long, default_value = "", value_name = "TEXT", allow_hyphen_values = true)]
    serial: String,
    /// new or used.
    #[arg(long, default_value = "", value_name = "CONDITION")]
    condition: String,
    #[arg(long, default_value = "", value_name = "N")]
    count: String,
    /// What one cost, such as "42 EUR".
    #[arg(long, default_value = "", value_name = "MONEY")]
    cost: String,
    /// From whom, by which reference.
    #[arg(long, default_value = "", value_name = "SUPPLIER/REF")]
    batch: String,
    /// The day on which it came in.
    #[arg(long, default_value = "", value_name = "DAY")]
    received: String,
    #[arg(long, value_name = "TEXT")]
    why: String,
}

impl Args {
    /// As the verb asks for it.
    pub fn asked(&self) -> Asked {
        Asked {
            label: self.label.clone(),
            part_number: self.part_number.clone(),
            maker: self.maker.clone(),
            die: self.die.clone(),
            serial: self.serial.clone(),
            condition: self.condition.clone(),
            count: self.count.clone(),
            cost: self.cost.clone(),
            received: self.received.clone(),
            batch: self.batch.clone(),
            why: self.why.clone(),
        }
    }
}
