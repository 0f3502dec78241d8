//! A module as plain data: what all evidence says together, with where each fact came from.

use domain::ModuleReading;
use domain::reading::{Form, Maker};
use domain::{Capacity, Generation, Kind};
use engine::screen::{Evidence, Given};
use schemars::JsonSchema;
use serde::Serialize;

/// What is known of one module. A field is null where nothing tells it.
#[derive(Debug, Clone, Default, Serialize, JsonSchema)]
pub struct ModuleView {
    /// `DDR3`, `DDR4` or `DDR5`.
    pub generation: Option<String>,
    /// The JEDEC module type: `RDIMM`, `LRDIMM`, `UDIMM`, `SODIMM`, `MRDIMM` or `NVDIMM`. A stack is told by `stack_height`.
    pub kind: Option<String>,
    /// `DIMM`, `SODIMM`, `mini-DIMM`, `CAMM2` or `soldered down`.
    pub form: Option<String>,
    pub capacity_mib: Option<u64>,
    pub package_ranks: Option<u8>,
    /// Dies of a 3DS stack; 1 where there is none.
    pub stack_height: Option<u8>,
    /// Package ranks × stack height.
    pub logical_ranks: Option<u8>,
    pub dual_die: Option<bool>,
    pub device_width: Option<u8>,
    /// A channel of DDR3 and DDR4, a sub-channel of DDR5.
    pub ecc_bits: Option<u8>,
    pub die_density_gbit: Option<u32>,
    /// The fastest standard rate; of an MRDIMM the host rate.
    pub data_rate_mts: Option<u32>,
    /// CAS latency in clocks at that rate.
    pub cl: Option<u16>,
    /// RAS-to-CAS delay in clocks.
    pub rcd: Option<u16>,
    /// Row precharge in clocks.
    pub rp: Option<u16>,
    pub speed_grade: Option<String>,
    /// Every standard rate that it supports, fastest first.
    pub rates: Vec<RateView>,
    pub voltage_mv: Option<u32>,
    pub height_mm: Option<f64>,
    /// Letter and revision.
    pub raw_card: Option<String>,
    pub spd_revision: Option<String>,
    pub temperature_range: Option<String>,
    pub thermal_sensor: Option<bool>,
    /// Rows of DRAM on the board.
    pub dram_rows: Option<u8>,
    pub maker: Option<String>,
    /// The maker's JEP106 id in words.
    pub maker_id: Option<String>,
    pub dram_maker: Option<String>,
    pub register_maker: Option<String>,
    pub part_number: Option<String>,
    pub serial: Option<String>,
    pub made: Option<MadeView>,
    /// The maker's own code of the place of manufacture.
    pub location: Option<u8>,
    /// The JEDEC label: as read, or as the contents say that it should be.
    pub label: Option<String>,
    pub checksums: Vec<ChecksumView>,
    /// Every fact with the evidence that tells it, in the order that a person reads them.
    pub facts: Vec<FactView>,
}

/// A rate with its CAS latency.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RateView {
    pub data_rate_mts: u32,
    pub cl: u16,
}

/// When a module was made; what was read is kept, even a week 54.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MadeView {
    pub year: u16,
    pub week: u8,
}

/// A checksum.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ChecksumView {
    /// What it covers.
    pub name: String,
    pub stored: u16,
    pub computed: u16,
    pub holds: bool,
}

/// One fact in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FactView {
    /// What it is about.
    pub what: String,
    pub value: String,
    /// The evidence that says so: `label`, `2-D code`, `part number`, `SPD`, `list`, `machine`.
    pub from: Vec<String>,
}

/// Whom to believe first: contents, then what is printed from them, then what is worked out.
const ORDER: [Evidence; 6] =
    [Evidence::Spd, Evidence::Code, Evidence::Label, Evidence::Machine, Evidence::List, Evidence::PartNumber];

/// The JEDEC module type.
pub fn module_type(kind: Kind, form: Option<Form>) -> &'static str {
    match (kind, form) {
        (Kind::Udimm, Some(Form::Sodimm)) => "SODIMM",
        (Kind::Rdimm3ds, _) => Kind::Rdimm.name(),
        (Kind::Lrdimm3ds, _) => Kind::Lrdimm.name(),
        _ => kind.name(),
    }
}

impl ModuleView {
    /// What all evidence says together.
    pub fn new(given: &[Given]) -> Self {
        let mut ordered: Vec<&Given> = given.iter().collect();
        ordered.sort_by_key(|g| ORDER.iter().position(|o| *o == g.from));
        let all = All(&ordered);
        let kind = |r: &ModuleReading| r.kind.map(|k| module_type(k, r.form).to_string());
        let maker = |m: &Option<Maker>| m.as_ref().and_then(|m| m.name.clone());
        let clocks = all.first(|r| r.clocks);
        Self {
            generation: all.first(|r| r.generation.map(|g| g.name().to_string())),
            kind: all.first(kind),
            form: all.first(|r| r.form.map(|f| f.name().to_string())),
            capacity_mib: all.first(|r| r.capacity.map(|c| c.mib())),
            package_ranks: all.first(|r| r.package_ranks),
            stack_height: all.first(|r| r.stack_height),
            logical_ranks: all.first(ModuleReading::logical_ranks),
            dual_die: all.first(|r| r.dual_die),
            device_width: all.first(|r| r.device_width),
            ecc_bits: all.first(|r| r.ecc_bits),
            die_density_gbit: all.first(|r| r.die_density.map(|d| d.gbit())),
            data_rate_mts: all.first(|r| r.rate.map(|d| d.mts())),
            cl: clocks.map(|c| c.cas),
            rcd: clocks.map(|c| c.rcd),
            rp: clocks.map(|c| c.rp),
            speed_grade: all.first(|r| r.grade.clone()),
            rates: all.first(|r| (!r.rates.is_empty()).then(|| rates(r))).unwrap_or_default(),
            voltage_mv: all.first(|r| r.voltage.map(|v| v.millivolts())),
            height_mm: all.first(|r| r.height.map(|h| h.mm())),
            raw_card: all.first(card),
            spd_revision: all.first(|r| r.spd_revision.clone()),
            temperature_range: all.first(|r| r.temperature_range.clone()),
            thermal_sensor: all.first(|r| r.thermal_sensor),
            dram_rows: all.first(|r| r.dram_rows),
            maker: all.first(|r| maker(&r.maker)).map(Into::into),
            maker_id: all.first(|r| r.maker.as_ref().and_then(maker_id)),
            dram_maker: all.first(|r| maker(&r.dram_maker)).map(Into::into),
            register_maker: all.first(|r| maker(&r.register_maker)).map(Into::into),
            part_number: all.first(|r| r.part_number.clone()).map(Into::into),
            serial: all.first(|r| r.serial.clone()).map(Into::into),
            made: all.first(|r| r.made.map(|m| MadeView { year: m.year, week: m.week })),
            location: all.first(|r| r.location),
            label: all.first(|r| r.label.clone()),
            checksums: ordered.iter().flat_map(|g| &g.reading.checksums).map(ChecksumView::new).collect(),
            facts: facts(&ordered),
        }
    }
}

impl ChecksumView {
    fn new(sum: &domain::reading::Checksum) -> Self {
        Self { name: sum.name.to_string(), stored: sum.stored, computed: sum.computed, holds: sum.holds() }
    }
}

/// Readings in the order of belief.
struct All<'a, 'g>(&'a [&'g Given]);

impl All<'_, '_> {
    fn first<T>(&self, field: impl Fn(&ModuleReading) -> Option<T>) -> Option<T> {
        self.0.iter().find_map(|g| field(&g.reading))
    }
}

fn rates(reading: &ModuleReading) -> Vec<RateView> {
    reading.rates.iter().map(|(rate, cl)| RateView { data_rate_mts: rate.mts(), cl: *cl }).collect()
}

fn card(reading: &ModuleReading) -> Option<String> {
    reading.raw_card.as_ref().map(|c| format!("{}{}", c.letter, c.revision))
}

fn maker_id(maker: &Maker) -> Option<String> {
    maker.id.map(|id| format!("bank {}, id {:02X}h", u16::from(id.continuations) + 1, id.id))
}

fn maker_words(maker: Option<&Maker>) -> Option<String> {
    let maker = maker?;
    match (&maker.name, maker_id(maker)) {
        (Some(name), Some(id)) => Some(format!("{name} ({id})")),
        (Some(name), None) => Some(name.clone().into()),
        (None, id) => id,
    }
}

type Fact = (&'static str, fn(&ModuleReading) -> Option<String>);

/// What a person reads, from top to bottom.
const FACTS: &[Fact] = &[
    ("what it is", what),
    ("label", |r| r.label.clone()),
    ("organisation", organisation),
    ("capacity", |r| r.capacity.map(|c| c.to_string())),
    ("ECC bits", ecc),
    ("dies", |r| r.die_density.map(|d| d.to_string())),
    ("data rate", |r| r.rate.map(|d| d.to_string())),
    ("clocks", |r| r.clocks.map(|c| format!("{}-{}-{}", c.cas, c.rcd, c.rp))),
    ("speed grade", |r| r.grade.clone()),
    ("supported", |r| (!r.rates.is_empty()).then(|| supported(r))),
    ("voltage", |r| r.voltage.map(|v| v.to_string())),
    ("height", |r| r.height.map(|h| format!("at most {h}"))),
    ("raw card", card),
    ("SPD revision", |r| r.spd_revision.clone()),
    ("range", |r| r.temperature_range.clone()),
    ("thermal sensor", |r| r.thermal_sensor.map(|s| if s { "yes" } else { "no" }.to_string())),
    ("rows of DRAM", |r| r.dram_rows.map(|n| n.to_string())),
    ("maker", |r| maker_words(r.maker.as_ref())),
    ("DRAM maker", |r| maker_words(r.dram_maker.as_ref())),
    ("register", |r| maker_words(r.register_maker.as_ref())),
    ("part number", |r| r.part_number.clone().map(Into::into)),
    ("serial", |r| r.serial.clone().map(Into::into)),
    ("made", |r| r.made.map(|m| format!("{} week {}", m.year, m.week))),
    ("place", |r| r.location.map(|l| format!("{l:02X}h, the maker's own code"))),
    ("checksums", checksums),
];

fn what(reading: &ModuleReading) -> Option<String> {
    let kind = reading.kind.map(|k| module_type(k, reading.form));
    let form = reading.form.filter(|f| *f != Form::Dimm).map(Form::name);
    let form = form.filter(|f| Some(*f) != kind);
    let words: Vec<&str> = [reading.generation.map(Generation::name), kind, form].into_iter().flatten().collect();
    (!words.is_empty()).then(|| words.join(" "))
}

fn organisation(reading: &ModuleReading) -> Option<String> {
    let (ranks, width) = (reading.package_ranks?, reading.device_width?);
    let stack = match (reading.stack_height, reading.dual_die) {
        (Some(high @ 2..), _) => format!("S{high}"),
        (_, Some(true)) => "D".to_string(),
        _ => String::new(),
    };
    Some(format!("{ranks}{stack}Rx{width}"))
}

fn ecc(reading: &ModuleReading) -> Option<String> {
    let bits = reading.ecc_bits?;
    let per = if reading.generation == Some(Generation::Ddr5) { "a sub-channel" } else { "a channel" };
    Some(if bits == 0 { "none".to_string() } else { format!("{bits} {per}") })
}

fn supported(reading: &ModuleReading) -> String {
    let words: Vec<String> = reading.rates.iter().map(|(rate, cl)| format!("{} CL{cl}", rate.mts())).collect();
    words.join(", ")
}

fn checksums(reading: &ModuleReading) -> Option<String> {
    let words: Vec<String> = reading
        .checksums
        .iter()
        .map(|c| match c.holds() {
            true => format!("{} holds", c.name),
            false => format!("{} is wrong: stored {:04X}h, computed {:04X}h", c.name, c.stored, c.computed),
        })
        .collect();
    (!words.is_empty()).then(|| words.join("; "))
}

/// Each fact once for each value that is told of it.
fn facts(ordered: &[&Given]) -> Vec<FactView> {
    let mut facts: Vec<FactView> = Vec::new();
    for (what, field) in FACTS {
        let start = facts.len();
        for given in ordered {
            let Some(value) = field(&given.reading) else { continue };
            let from = given.from.word().to_string();
            match facts[start..].iter_mut().find(|f| f.value == value) {
                Some(fact) if !fact.from.contains(&from) => fact.from.push(from),
                Some(_) => {}
                None => facts.push(FactView { what: (*what).to_string(), value, from: vec![from] }),
            }
        }
    }
    facts
}

impl ModuleView {
    /// In short: `64 GiB 2Rx4 RDIMM 2933`.
    pub fn short(&self) -> String {
        let mut words = Vec::new();
        words.extend(self.capacity_mib.map(|c| Capacity::from_mib(c).to_string()));
        if let (Some(ranks), Some(width)) = (self.package_ranks, self.device_width) {
            let stack = match (self.stack_height, self.dual_die) {
                (Some(high @ 2..), _) => format!("S{high}"),
                (_, Some(true)) => "D".to_string(),
                _ => String::new(),
            };
            words.push(format!("{ranks}{stack}Rx{width}"));
        }
        words.extend(self.generation.clone());
        words.extend(self.kind.clone());
        words.extend(self.data_rate_mts.map(|r| r.to_string()));
        if words.is_empty() { "unknown".to_string() } else { words.join(" ") }
    }
}
