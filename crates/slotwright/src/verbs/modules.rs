//! `modules`: the kinds of the catalogue that were asked for; modules and money as plain data.

use domain::{Capacity, Catalog, DataRate, Generation, Kind, Module, Money};
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

/// Kinds of modules.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ModuleListView {
    /// By id.
    pub modules: Vec<ModuleLine>,
    /// All that the catalogue holds.
    pub known: usize,
}

/// One kind in the list.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ModuleLine {
    #[serde(flatten)]
    pub module: ModuleView,
    /// What one costs, by condition (`new`, `used`); none where the catalogue has no price.
    pub prices: Vec<PriceView>,
}

/// A price.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PriceView {
    pub condition: String,
    pub price: MoneyView,
}

/// What is asked of the catalogue; what is `None` or empty asks nothing.
#[derive(Debug, Clone, Default)]
pub struct Question {
    pub generation: Option<Generation>,
    pub kind: Option<Kind>,
    pub capacity: Option<Capacity>,
    /// Exactly this rate, as printed on the module.
    pub rate: Option<DataRate>,
    /// Words that stand in the id, label, maker or part number, in any case; all of them.
    pub text: String,
}

impl Question {
    fn meets(&self, module: &Module) -> bool {
        let texts = [Some(&module.label), module.maker.as_ref(), module.part_number.as_ref()];
        let mut all = format!("{} {}", module.id, module.short());
        texts.into_iter().flatten().for_each(|t| all.extend([" ", t]));
        let all = all.to_lowercase();
        self.generation.is_none_or(|g| g == module.generation)
            && self.kind.is_none_or(|k| k == module.kind)
            && self.capacity.is_none_or(|c| c == module.capacity)
            && self.rate.is_none_or(|r| r == module.rate)
            && self.text.to_lowercase().split_whitespace().all(|word| all.contains(word))
    }
}

/// The kinds of the catalogue that were asked for.
pub fn list(catalog: &Catalog, question: &Question) -> ModuleListView {
    let asked = catalog.modules.values().filter(|m| question.meets(m));
    ModuleListView { modules: asked.map(|m| ModuleLine::new(m)).collect(), known: catalog.modules.len() }
}

impl ModuleLine {
    fn new(module: &Module) -> Self {
        let price =
            |p: &domain::module::Price| PriceView { condition: p.condition.to_string(), price: MoneyView::new(p.each) };
        Self { module: ModuleView::new(module), prices: module.prices.iter().map(price).collect() }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_and_every_limit_narrows_the_list() {
        let library = crate::world::shipped().unwrap();
        let asked = |question: Question| list(library.catalog(), &question);
        let all = asked(Question::default());
        assert_eq!(all.modules.len(), all.known);
        let one = asked(Question {
            generation: Some(Generation::Ddr4),
            kind: Some(Kind::Rdimm),
            capacity: Some(Capacity::from_gib(32)),
            rate: Some(DataRate::from_mts(2933)),
            text: "2rx4 PC4".to_string(),
        });
        assert!(!one.modules.is_empty() && one.modules.len() < 4);
        assert!(one.modules.iter().all(|m| m.module.capacity_mib == 32 * 1024 && m.module.organisation == "2Rx4"));
        assert!(asked(Question { text: "2rx4 nowhere".to_string(), ..Question::default() }).modules.is_empty());
    }
}
