//! The shapes of build, need and stock files.

use super::words::{ConditionWord, GenerationWord, KindWord};
use super::{Either, MtPerS, Named};
use crate::decode::At;
use schemars::JsonSchema;
use serde::Deserialize;

/// What sits in every slot of a machine.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "build", rename = "Build")]
#[allow(dead_code, reason = "format is read before the shape")]
pub(crate) struct BuildFile {
    /// The version of this file format: 1, also if absent.
    pub format: Option<At<u32>>,
    /// A board by name, or the path of a board file ending in `.toml`.
    pub board: At<String>,
    /// One processor family a socket; "" or "none" for an empty socket.
    pub processors: At<Vec<At<String>>>,
    /// The RAS mode; `independent` if absent.
    pub mode: Option<At<String>>,
    /// The NUMA mode, by the processor's word for it.
    pub numa: Option<At<String>>,
    /// The firmware level.
    pub firmware: Option<At<String>>,
    /// Are the empty slots blanked?
    pub blanks: Option<bool>,
    /// Slots that must stay empty.
    #[serde(default)]
    pub reserved: Vec<At<String>>,
    /// Slot label to module: JEDEC label, catalogue id or part number.
    #[serde(default)]
    pub slots: Named<At<String>>,
}

/// What a customer asks for.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "need", rename = "Need")]
#[allow(dead_code, reason = "format is read before the shape")]
pub(crate) struct NeedFile {
    /// The version of this file format: 1, also if absent.
    pub format: Option<At<u32>>,
    /// A board by name, or the path of a board file ending in `.toml`.
    pub board: At<String>,
    /// One processor family a socket; "" or "none" for an empty socket.
    pub processors: At<Vec<At<String>>>,
    pub mode: Option<At<String>>,
    pub numa: Option<At<String>>,
    pub firmware: Option<At<String>>,
    /// Usable capacity: "700 GiB" (at least), or least and most.
    pub capacity: Option<At<Either<String, CapacityTable>>>,
    /// About this much: the nearest even fills on both sides.
    pub about: Option<At<String>>,
    /// The most that all machines together may cost, such as "4000 EUR".
    pub budget: Option<At<String>>,
    /// Least bandwidth of one machine, such as "150 GB/s".
    pub bandwidth: Option<At<Either<String, LeastTable<String>>>>,
    /// Least data rate.
    pub rate: Option<At<Either<MtPerS, LeastTable<MtPerS>>>>,
    /// Slots of one machine to leave empty, at least.
    pub free_slots: Option<At<u16>>,
    /// Machines alike, 1 to 10000; 1 if absent.
    pub machines: Option<At<u32>>,
    /// Must the installed modules stay in the machine? `true` if absent.
    pub keep: Option<bool>,
    /// Modules that come with the machine outside its slots, one entry a module.
    #[serde(default)]
    pub loose: Vec<At<String>>,
    /// What the machine holds, slot by slot.
    #[serde(default)]
    pub installed: Named<At<String>>,
    /// Where modules come from: the whole catalogue if absent, a part of it, or a stock file.
    pub modules: Option<At<Either<String, ModulesTable>>>,
}

/// How much memory is asked for.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CapacityTable {
    pub least: Option<At<String>>,
    pub most: Option<At<String>>,
    pub about: Option<At<String>>,
}

/// At least so much.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LeastTable<T> {
    pub least: At<T>,
}

/// A part of the catalogue (a module passes if it passes every list that is given), or a stock file.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ModulesTable {
    /// The path of a stock file, relative to this file.
    pub stock: Option<At<String>>,
    pub generation: Option<GenerationWord>,
    pub kinds: Option<Vec<KindWord>>,
    /// Such as ["32 GiB", "64 GiB"].
    pub capacities: Option<Vec<At<String>>>,
    /// Rate bins.
    pub rates: Option<Vec<At<MtPerS>>>,
    pub conditions: Option<Vec<ConditionWord>>,
    /// Catalogue ids.
    pub ids: Option<Vec<At<String>>>,
    pub makers: Option<Vec<At<String>>>,
}

/// What is on the shelf.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "stock", rename = "Stock")]
#[allow(dead_code, reason = "format is read before the shape")]
pub(crate) struct StockFile {
    /// The version of this file format: 1.
    pub format: At<u32>,
    #[serde(default)]
    pub lot: Vec<LotEntry>,
}

/// Like modules at one price.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LotEntry {
    /// Catalogue id, JEDEC label or part number.
    pub module: At<String>,
    /// `used` if absent.
    pub condition: Option<ConditionWord>,
    /// What one costs, such as "80.00 EUR".
    pub each: At<String>,
    /// How many there are; any number if absent.
    pub count: Option<At<u32>>,
    /// The shop's bin.
    pub bin: Option<String>,
}
