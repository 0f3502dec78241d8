//! Modules and money as plain data.

use domain::{Module, Money};
use schemars::JsonSchema;
use serde::Serialize;

/// One kind of module.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ModuleView {
    pub id: String,
    /// The JEDEC module label.
    pub label: String,
    /// A short name for tables.
    pub short: String,
    pub generation: String,
    pub kind: String,
    pub capacity_mib: u64,
    /// `2S4Rx4`: 2 package ranks of x4 devices in stacks of 4.
    pub organisation: String,
    pub package_ranks: u8,
    pub logical_ranks: u8,
    pub width: u8,
    /// Per channel (DDR4) or sub-channel (DDR5); null where what was read does not tell.
    pub ecc_bits: Option<u8>,
    pub rate_mts: u32,
    pub cas_latency: Option<u8>,
    pub die_gbit: Option<u32>,
    pub voltage_mv: u32,
    pub watts: Option<f64>,
    pub height_mm: Option<f64>,
    pub part_number: Option<String>,
    pub maker: Option<String>,
}

impl ModuleView {
    /// A module as plain data.
    pub fn new(module: &Module) -> Self {
        Self {
            id: module.id.to_string(),
            label: module.label.clone(),
            short: module.short(),
            generation: module.generation.to_string(),
            kind: module.kind.to_string(),
            capacity_mib: module.capacity.mib(),
            organisation: module.organisation.to_string(),
            package_ranks: module.organisation.package_ranks,
            logical_ranks: module.organisation.logical_ranks(),
            width: module.organisation.width,
            ecc_bits: module.ecc_bits,
            rate_mts: module.rate.mts(),
            cas_latency: module.cas_latency,
            die_gbit: module.die_density.map(|d| d.gbit()),
            voltage_mv: module.voltage.millivolts(),
            watts: module.watts.map(|w| w.watts()),
            height_mm: module.height.map(|h| h.mm()),
            part_number: module.part_number.clone(),
            maker: module.maker.clone(),
        }
    }
}

/// An amount of money: decimal text, never a float.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MoneyView {
    /// `"89.50"`.
    pub amount: String,
    /// Three letters (ISO 4217).
    pub currency: String,
    /// The same in whole cents.
    pub minor: i64,
}

impl MoneyView {
    /// The amount.
    pub fn money(&self) -> Option<Money> {
        domain::Currency::parse(&self.currency).map(|c| Money::from_minor(self.minor, c))
    }
    /// An amount as plain data.
    pub fn new(money: Money) -> Self {
        Self { amount: money.decimal(), currency: money.currency().to_string(), minor: money.minor() }
    }
}

impl std::fmt::Display for MoneyView {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(&format!("{} {}", self.amount, self.currency))
    }
}
