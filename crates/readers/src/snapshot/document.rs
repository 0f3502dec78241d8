//! The document's fields. Their names are stable: a new version adds, and never renames.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

macro_rules! fields {
    ($(#[$about:meta])* $name:ident { $($(#[$meta:meta])* $field:ident : $kind:ty),* $(,)? }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(default)]
        pub struct $name { $($(#[$meta])* #[serde(skip_serializing_if = "empty")] pub $field: $kind),* }
    };
}

/// Is there nothing to write?
trait Blank {
    fn blank(&self) -> bool;
}
impl<T> Blank for Option<T> {
    fn blank(&self) -> bool {
        self.is_none()
    }
}
impl<T> Blank for Vec<T> {
    fn blank(&self) -> bool {
        self.is_empty()
    }
}
impl Blank for bool {
    fn blank(&self) -> bool {
        !self
    }
}
impl Blank for String {
    fn blank(&self) -> bool {
        false
    }
}
impl Blank for u32 {
    fn blank(&self) -> bool {
        false
    }
}
impl Blank for u64 {
    fn blank(&self) -> bool {
        false
    }
}
impl Blank for u16 {
    fn blank(&self) -> bool {
        false
    }
}
impl Blank for u8 {
    fn blank(&self) -> bool {
        false
    }
}
macro_rules! written {
    ($($name:ident)*) => { $(impl Blank for $name { fn blank(&self) -> bool { *self == Self::default() } })* };
}
written!(Place Module Errors);

fn empty<T: Blank>(value: &T) -> bool {
    value.blank()
}

fields! {
    /// What a machine reported of its memory.
    Document {
        /// The version of this document: 1.
        #[serde(rename = "slotwright-snapshot")]
        version: u32,
        /// What it was read from: `smbios`, `redfish`, `edac`, `spd`.
        origins: Vec<String>,
        /// When, as RFC 3339 text.
        taken: Option<String>,
        /// Maker and product, as the machine calls itself.
        system: Option<String>,
        firmware: Option<String>,
        processors: Vec<Processor>,
        arrays: Vec<Array>,
        slots: Vec<Slot>,
        ranges: Vec<Range>,
        /// The total that the machine states apart from the modules, in MiB.
        total_mib: Option<u64>,
        errors: Errors,
        notes: Vec<Remark>,
    }
}
fields! {
    /// A processor socket.
    Processor {
        origin: String,
        handle: String,
        name: String,
        model: Option<String>,
        present: Option<bool>,
        cores: Option<u32>,
    }
}
fields! {
    /// A memory array.
    Array {
        handle: String,
        /// `system`, `flash`, `other`, `unknown`.
        role: String,
        ecc: Option<String>,
        maximum_mib: Option<u64>,
        devices: Option<u16>,
    }
}
fields! {
    /// A place for a module.
    Slot {
        origin: String,
        handle: String,
        array: Option<String>,
        /// The locator as reported.
        name: String,
        bank: Option<String>,
        location: Place,
        processor: Option<String>,
        /// `empty`, `filled`, `disabled`, `not-memory`, `unknown`.
        state: String,
        module: Option<Module>,
    }
}
fields! {
    /// Numbers that a report gives for a place.
    Place { socket: Option<u32>, controller: Option<u32>, channel: Option<u32>, slot: Option<u32> }
}
fields! {
    /// A module as reported.
    Module {
        generation: Option<String>,
        kind: Option<String>,
        form: Option<String>,
        capacity_mib: Option<u64>,
        package_ranks: Option<u8>,
        stack_height: Option<u8>,
        dual_die: Option<bool>,
        device_width: Option<u8>,
        ecc_bits: Option<u8>,
        die_density_gbit: Option<u32>,
        data_rate_mts: Option<u32>,
        clocks: Option<ClockCounts>,
        grade: Option<String>,
        rates: Vec<RateAt>,
        voltage_mv: Option<u32>,
        height_mm: Option<f64>,
        raw_card: Option<Card>,
        spd_revision: Option<String>,
        temperature_range: Option<String>,
        thermal_sensor: Option<bool>,
        dram_rows: Option<u8>,
        maker: Option<Who>,
        dram_maker: Option<Who>,
        register_maker: Option<Who>,
        part_number: Option<String>,
        serial: Option<String>,
        made: Option<When>,
        /// The maker's code of the place where it was made.
        location: Option<u8>,
        label: Option<String>,
        checksums: Vec<Sum>,
        oddities: Vec<Odd>,
        running: Option<Rate>,
        rated: Option<Rate>,
        nonvolatile: bool,
        widths: Option<Widths>,
        health: Option<String>,
        reported: Vec<Raw>,
    }
}
fields! {
    /// Clocks at the data rate.
    ClockCounts { cas: u16, rcd: u16, rp: u16 }
}
fields! {
    /// A rate that the module supports, with its CAS latency.
    RateAt { data_rate_mts: u32, cl: u16 }
}
fields! {
    /// The JEDEC raw card.
    Card { letter: String, revision: String }
}
fields! {
    /// A maker: name, JEP106 id, or both.
    Who { name: Option<String>, jep106: Option<Id> }
}
fields! {
    /// JEP106 without parity bits.
    Id { continuations: u8, id: u8 }
}
fields! {
    /// When it was made.
    When { year: u16, week: u8 }
}
fields! {
    /// A checksum as stored and computed.
    Sum { name: String, stored: u16, computed: u16 }
}
fields! {
    /// Something that is not as it should be.
    Odd { name: String, offset: Option<u64>, seen: String }
}
fields! {
    /// A reported rate: the nearest standard one in MT/s, and the figure as reported.
    Rate { rate_mts: u32, raw: u32 }
}
fields! {
    /// In bits.
    Widths { total: u16, data: u16 }
}
fields! {
    /// A text as reported: `field` is `maker`, `part_number` or `serial`.
    Raw { field: String, text: String }
}
fields! {
    /// A range of addresses, both ends part of it.
    Range {
        handle: String,
        first: u64,
        last: u64,
        array: Option<String>,
        slot: Option<String>,
        width_or_position: Option<u8>,
    }
}
fields! {
    /// Error counters: `state` is `not-read` (the default), `no-driver` or `read`.
    Errors { state: Option<String>, controllers: Vec<Controller> }
}
fields! {
    /// The counters of a memory controller.
    Controller {
        index: u32,
        driver: Option<String>,
        size_mib: Option<u64>,
        corrected: Option<u64>,
        uncorrected: Option<u64>,
        corrected_unplaced: Option<u64>,
        uncorrected_unplaced: Option<u64>,
        seconds: Option<u64>,
        modules: Vec<Counted>,
    }
}
fields! {
    /// The counters of a module or, with `by_rank`, of one rank.
    Counted {
        index: u32,
        by_rank: bool,
        label: Option<String>,
        location: Vec<Layer>,
        size_mib: Option<u64>,
        kind: Option<String>,
        device: Option<String>,
        mode: Option<String>,
        corrected: Option<u64>,
        uncorrected: Option<u64>,
    }
}
fields! {
    /// A layer of a place: `channel` 0.
    Layer { layer: String, index: u32 }
}
fields! {
    /// What could not be read, or contradicts itself.
    Remark { offset: Option<u64>, place: Option<String>, what: String }
}
