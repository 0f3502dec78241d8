//! `spares`: a fleet → failures to expect in a year, and the stock that covers them until new modules come.

use super::resolve;
use crate::failure::Failure;
use catalog::{Folder, Input, Library};
use domain::Capacity;
use engine::field::{BUILT_UP, FLEET_2009, LOGGED_2014, PULLED, WATCHED_2019};
use engine::spares;
use engine::workload;
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;

/// Probabilities of never running out that are shown.
const LEVELS: [f64; 3] = [0.90, 0.95, 0.99];
/// Shapes of the batches' spread: makers' rates differ by more than four times (Sridharan and others, SC 2013, seen), which
/// is about a shape of 1; 4 and 16 are milder (common practice, no source).
const SHAPES: [f64; 3] = [16.0, 4.0, 1.0];
/// Devices of a module where nothing tells: one rank of x4 with ECC, or two of x8.
const DEVICES: u32 = 18;

/// What counts as a failure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Basis {
    /// A fault of any device, passing or lasting.
    AnyFault,
    /// A lasting fault of any device.
    PermanentFault,
    /// An uncorrected error in the year.
    Uncorrected,
    /// A corrected error in the year.
    Corrected,
}

/// How old the modules are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Age {
    /// The first 90 days.
    New,
    FirstYear,
    Settled,
}

impl Basis {
    fn of_engine(self) -> spares::Basis {
        match self {
            Self::AnyFault => spares::Basis::AnyFault,
            Self::PermanentFault => spares::Basis::PermanentFault,
            Self::Uncorrected => spares::Basis::Uncorrected,
            Self::Corrected => spares::Basis::Corrected,
        }
    }
}

impl Age {
    fn factor(self) -> f64 {
        match self {
            Self::New => spares::Age::New.factor(),
            Self::FirstYear => spares::Age::FirstYear.factor(),
            Self::Settled => spares::Age::Settled.factor(),
        }
    }
}

/// What is asked.
#[derive(Debug, Clone)]
pub struct Question {
    /// Modules in all, where no build is given; with one, machines.
    pub count: u32,
    /// DRAM devices of a module, without a build.
    pub devices: Option<u32>,
    pub basis: Basis,
    /// Share of modules that fail in a year, 0 to 1, in place of the basis's.
    pub yearly: Option<f64>,
    /// On the rate of the basis.
    pub scale: f64,
    pub age: Age,
    /// Days until ordered modules come.
    pub resupply: f64,
}

/// Failures and stock.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SparesView {
    /// What counts as a failure.
    pub basis: String,
    pub basis_words: String,
    /// An id of the register of sources, or `given`.
    pub source: String,
    /// What the rate is multiplied by for age, and for the fleet's own make.
    pub age_factor: f64,
    pub scale: f64,
    pub resupply_days: f64,
    pub lots: Vec<LotView>,
    pub modules: u64,
    pub failures_a_year: f64,
    /// In the time until new modules come.
    pub failures_until_resupply: f64,
    pub stock: Vec<StockView>,
    /// What others counted in the field, for this fleet's size.
    pub field: Vec<FieldView>,
    /// What to keep in mind.
    pub notes: Vec<String>,
}

/// Modules alike.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LotView {
    pub module: String,
    pub modules: u64,
    pub devices: u32,
    /// Share that fails in a year, in percent.
    pub yearly_percent: f64,
    pub failures_a_year: f64,
}

/// A figure of a field study, to hold beside the fleet's own.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FieldView {
    pub what: String,
    pub figure: f64,
    /// `percent`, `modules a year` or `errors a year`.
    pub unit: String,
    pub source: String,
}

/// What to keep for a probability of not running out.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StockView {
    /// In percent.
    pub level: f64,
    /// Failures independent of each other.
    pub spares: u64,
    /// Where batches differ, by the shape of their spread: the smaller the shape, the wilder.
    pub uneven: Vec<UnevenView>,
}

/// Stock where batches differ.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UnevenView {
    pub shape: f64,
    pub spares: u64,
}

/// Works out the spares of a fleet; of machines as a build file has them, or of modules alike.
///
/// # Errors
/// The build file is wrong.
pub fn spares(library: &Library, build: Option<&Path>, question: &Question) -> Result<SparesView, Failure> {
    let fleet = match build {
        None => Fleet {
            lots: vec![("modules".to_string(), u64::from(question.count), question.devices.unwrap_or(DEVICES))],
            memory: None,
        },
        Some(file) => of_build(library, file, question.count)?,
    };
    Ok(view(fleet, question, build.is_none() && question.devices.is_none()))
}

/// What there is of modules.
struct Fleet {
    /// Sorts, with how many there are and the devices of one.
    lots: Vec<(String, u64, u32)>,
    /// Of all of them, where it is known.
    memory: Option<Capacity>,
}

/// Each sort of module in so many machines, with its devices.
fn of_build(library: &Library, file: &Path, machines: u32) -> Result<Fleet, Failure> {
    let files = Folder::default();
    let input = Input::file(&files, file)?;
    let build = library.build(&input, &|text| resolve::module(library.catalog(), text))?;
    let mut lots: Vec<(String, u64, u32)> = Vec::new();
    let mut memory = Capacity::ZERO;
    for (_, module) in build.filled().filter(|(_, m)| m.kind != domain::Kind::Nonvolatile) {
        let (per_rank, ranks) = workload::devices(module);
        memory = memory + module.capacity * u64::from(machines);
        let name = module.short();
        match lots.iter_mut().find(|(n, _, _)| *n == name) {
            Some((_, count, _)) => *count += u64::from(machines),
            None => lots.push((name, u64::from(machines), per_rank * ranks)),
        }
    }
    Ok(Fleet { lots, memory: Some(memory) })
}

fn view(fleet: Fleet, question: &Question, guessed: bool) -> SparesView {
    let (basis, factor) = (question.basis.of_engine(), question.age.factor());
    let yearly = |devices: u32| match question.yearly {
        Some(given) => (given * factor).min(1.0),
        None => question.basis.of_engine().yearly(devices, question.scale * factor),
    };
    let lots: Vec<LotView> = fleet
        .lots
        .into_iter()
        .map(|(module, modules, devices)| {
            let share = yearly(devices);
            let failures_a_year = share * modules as f64;
            LotView { module, modules, devices, yearly_percent: share * 100.0, failures_a_year }
        })
        .collect();
    let failures_a_year: f64 = lots.iter().map(|l| l.failures_a_year).sum();
    let mean = failures_a_year * question.resupply / 365.0;
    let stock = LEVELS.map(|level| StockView {
        level: level * 100.0,
        spares: spares::poisson(mean, level),
        uneven: SHAPES.map(|shape| UnevenView { shape, spares: spares::overdispersed(mean, shape, level) }).to_vec(),
    });
    SparesView {
        basis: question.yearly.map_or(basis.name(), |_| "given").to_string(),
        basis_words: question.yearly.map_or(basis.words(), |_| "the share that you gave").to_string(),
        source: question.yearly.map_or(basis.source(), |_| "given").to_string(),
        age_factor: factor,
        scale: if question.yearly.is_some() { 1.0 } else { question.scale },
        resupply_days: question.resupply,
        modules: lots.iter().map(|l| l.modules).sum(),
        field: seen(lots.iter().map(|l| l.modules).sum(), fleet.memory, question.age),
        notes: notes(question, &lots, mean, guessed),
        lots,
        failures_a_year,
        failures_until_resupply: mean,
        stock: stock.to_vec(),
    }
}

fn notes(question: &Question, lots: &[LotView], mean: f64, guessed: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if question.yearly.is_none() && matches!(question.basis, Basis::AnyFault | Basis::PermanentFault) {
        notes.push(
            "the rates are those of DDR2 devices in one large machine; makers differ by more than four times: put your own \
             experience in with --scale or --yearly"
                .to_string(),
        );
    }
    if question.yearly.is_none() && matches!(question.basis, Basis::Uncorrected | Basis::Corrected) {
        notes.push(
            "the share is one operator's fleet of DDR and DDR2 modules, from memory; platforms ranged from 0.05 to 0.39 % \
             uncorrected a year (seen)"
                .to_string(),
        );
    }
    if question.age.factor() != 1.0 {
        notes.push(format!("young modules: the rate times {}, common practice, no source", question.age.factor()));
    }
    if guessed && question.yearly.is_none() {
        notes.push(format!("{DEVICES} devices a module are assumed: say --devices, or give a build file"));
    }
    if lots.len() > 1 {
        notes.push(
            "the stock is for all sorts together: sorts that can't stand in for each other need stock of their own"
                .to_string(),
        );
    }
    if mean > spares::MEAN_MOST {
        notes.push("so many failures are beyond what is worked out; the stock is for a million".to_string());
    }
    notes
}

/// What others counted, as it would be in this fleet.
fn seen(modules: u64, memory: Option<Capacity>, age: Age) -> Vec<FieldView> {
    let row = |what: String, figure: f64, unit: &str, source: &str| FieldView {
        what,
        figure,
        unit: unit.to_string(),
        source: source.to_string(),
    };
    const FLEET: &str = "one operator's fleet of DDR and DDR2, 2009, from memory";
    let fleet = FLEET_2009;
    let mut all = vec![
        row("with a corrected error".into(), fleet.corrected * modules as f64, "modules a year", FLEET),
        row("with an uncorrected error".into(), fleet.uncorrected * modules as f64, "modules a year", FLEET),
    ];
    if let Some(memory) = memory {
        let what = format!("uncorrected, by {memory} of memory");
        let errors = WATCHED_2019.uncorrected_a_year(memory);
        all.push(row(what, errors, "errors a year", "one machine, 2019, counts published"));
    }
    let share = LOGGED_2014.uncorrected_share() * 100.0;
    let machine = "one machine whose code corrects a device, 2014, counts published";
    all.push(row("of logged errors not corrected".into(), share, "percent", machine));
    if age == Age::New {
        for part in BUILT_UP {
            let what = format!("{} replaced while it was built up", part.what);
            all.push(row(what, part.share() * 100.0, "percent", "one machine of 2,592 nodes, 2022, from memory"));
        }
    }
    let what = "of modules pulled with their servers had no error logged".to_string();
    all.push(row(what, PULLED.clean() * 100.0, "percent", "some 40,000 modules, abstract, seen"));
    all
}
