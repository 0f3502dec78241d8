//! Memory modules: what a label or a catalogue row says of one.

use crate::money::Money;
use crate::quantity::{Capacity, DataRate, DieDensity, Height, Voltage, Watts};
use std::fmt;

/// The DDR generation, which fixes the key notch and the voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Generation {
    Ddr3,
    Ddr4,
    Ddr5,
}

impl Generation {
    /// All, with the trade's names.
    pub const ALL: [(Self, &'static str); 3] = [(Self::Ddr3, "DDR3"), (Self::Ddr4, "DDR4"), (Self::Ddr5, "DDR5")];
    /// The trade's name.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(g, _)| *g == self).map_or("", |(_, n)| n)
    }
    /// Reads the trade's name in any case.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n)| n.eq_ignore_ascii_case(text.trim())).map(|(g, _)| *g)
    }
}
impl fmt::Display for Generation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// What stands between the bus and the DRAM. Kinds never share a system unless a board's data says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Unbuffered.
    Udimm,
    /// Registered.
    Rdimm,
    /// Registered, with 3DS stacks.
    Rdimm3ds,
    /// Load-reduced.
    Lrdimm,
    /// Load-reduced, with 3DS stacks.
    Lrdimm3ds,
    /// Multiplexed-rank; its rate is the host rate.
    Mrdimm,
    /// Non-volatile (persistent or battery-backed): recognised, never counted as DRAM; may hold a customer's data.
    Nonvolatile,
}

impl Kind {
    /// All, with the names that files and reports use.
    pub const ALL: [(Self, &'static str); 7] = [
        (Self::Udimm, "UDIMM"),
        (Self::Rdimm, "RDIMM"),
        (Self::Rdimm3ds, "RDIMM-3DS"),
        (Self::Lrdimm, "LRDIMM"),
        (Self::Lrdimm3ds, "LRDIMM-3DS"),
        (Self::Mrdimm, "MRDIMM"),
        (Self::Nonvolatile, "NVDIMM"),
    ];
    /// The name that files and reports use.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(k, _)| *k == self).map_or("", |(_, n)| n)
    }
    /// Reads that name in any case.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n)| n.eq_ignore_ascii_case(text.trim())).map(|(k, _)| *k)
    }
    /// Has it 3DS stacks?
    pub fn is_3ds(self) -> bool {
        matches!(self, Self::Rdimm3ds | Self::Lrdimm3ds)
    }
    /// Does a data buffer stand between the bus and all ranks, so that the bus sees one load?
    pub fn is_buffered(self) -> bool {
        matches!(self, Self::Lrdimm | Self::Lrdimm3ds | Self::Mrdimm)
    }
}
impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// How the DRAM is organised: `2S4Rx4` is 2 package ranks of x4 devices in 3DS stacks of 4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Organisation {
    /// Package ranks, 1 to 8.
    pub package_ranks: u8,
    /// Data bits of one device: 4, 8 or 16.
    pub width: u8,
    /// Dies of a 3DS stack, each a logical rank of its own; 1 where there is none.
    pub stack: u8,
    /// Two dies a package that are package ranks (`4DRx4`), which is never a stack.
    pub dual_die: bool,
}

impl Organisation {
    /// Ranks that the memory controller addresses: package ranks × stack height.
    pub fn logical_ranks(self) -> u8 {
        self.package_ranks.saturating_mul(self.stack)
    }
}
impl fmt::Display for Organisation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let stack = match (self.stack, self.dual_die) {
            (2.., _) => format!("S{}", self.stack),
            (_, true) => "D".to_string(),
            _ => String::new(),
        };
        f.pad(&format!("{}{stack}Rx{}", self.package_ranks, self.width))
    }
}

/// The id of a module in a catalogue or stock file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ModuleId(pub String);

impl fmt::Display for ModuleId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// One kind of module: all modules with this id are alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Module {
    pub id: ModuleId,
    /// The JEDEC module label, as printed or as it should be printed.
    pub label: String,
    pub generation: Generation,
    pub kind: Kind,
    pub capacity: Capacity,
    pub organisation: Organisation,
    /// ECC bits per channel (DDR4: 0 or 8) or per sub-channel (DDR5: 0, 4 or 8); on-die ECC never counts.
    /// `None` where what was read does not tell.
    pub ecc_bits: Option<u8>,
    /// The rate bin; for an MRDIMM the host rate.
    pub rate: DataRate,
    /// CAS latency in clocks at that rate.
    pub cas_latency: Option<u8>,
    pub die_density: Option<DieDensity>,
    pub voltage: Voltage,
    /// Power while loaded.
    pub watts: Option<Watts>,
    pub height: Option<Height>,
    pub part_number: Option<String>,
    pub maker: Option<String>,
    pub prices: Vec<Price>,
}

/// What a module costs in one condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    pub condition: crate::stock::Condition,
    pub each: Money,
}

impl Module {
    /// The supply voltage of a generation: 1.5, 1.2 and 1.1 V (JEDEC JESD79-3, JESD79-4, JESD79-5).
    pub fn standard_voltage(generation: Generation) -> Voltage {
        Voltage::from_millivolts(match generation {
            Generation::Ddr3 => 1500,
            Generation::Ddr4 => 1200,
            Generation::Ddr5 => 1100,
        })
    }
    /// A short name for tables: `64 GiB 2Rx4 RDIMM 2933`.
    pub fn short(&self) -> String {
        format!("{} {} {} {}", self.capacity, self.organisation, self.kind, self.rate.mts())
    }
}
