//! Redfish's own words (DMTF DSP0268: Memory, Processor, Resource) and what they mean here.

use super::resources::Memory;
use domain::reading::Form;
use domain::{Generation, Kind};

/// `MemoryDeviceType`, or `MemoryType` where a service puts it there.
pub fn generation(device: Option<&str>, memory: Option<&str>) -> Option<Generation> {
    let of = |word: &str| {
        let starts = |name: &str| word.get(..name.len()).is_some_and(|w| w.eq_ignore_ascii_case(name));
        let all = [("DDR3", Generation::Ddr3), ("DDR4", Generation::Ddr4), ("DDR5", Generation::Ddr5)];
        all.into_iter().find(|(name, _)| starts(name)).map(|(_, generation)| generation)
    };
    device.and_then(of).or_else(|| memory.and_then(of))
}

/// `BaseModuleType`, with `MemoryDeviceType` for MRDIMM and for memory that is soldered down.
pub fn outline(base: Option<&str>, device: Option<&str>) -> (Option<Kind>, Option<Form>) {
    if device.is_some_and(|d| d.starts_with("LPDDR")) {
        return (None, Some(Form::SolderedDown));
    }
    if device == Some("DDR5_MRDIMM") {
        return (Some(Kind::Mrdimm), Some(Form::Dimm));
    }
    match base.unwrap_or("") {
        "RDIMM" => (Some(Kind::Rdimm), Some(Form::Dimm)),
        "UDIMM" => (Some(Kind::Udimm), Some(Form::Dimm)),
        "LRDIMM" => (Some(Kind::Lrdimm), Some(Form::Dimm)),
        "MRDIMM" => (Some(Kind::Mrdimm), Some(Form::Dimm)),
        "SO_DIMM" | "SO_DIMM_16b" | "SO_DIMM_32b" => (None, Some(Form::Sodimm)),
        "SO_UDIMM_72b" => (Some(Kind::Udimm), Some(Form::Sodimm)),
        "SO_RDIMM_72b" => (Some(Kind::Rdimm), Some(Form::Sodimm)),
        "Mini_RDIMM" => (Some(Kind::Rdimm), Some(Form::MiniDimm)),
        "Mini_UDIMM" => (Some(Kind::Udimm), Some(Form::MiniDimm)),
        "CAMM2" => (None, Some(Form::Camm2)),
        "Die" => (None, Some(Form::SolderedDown)),
        _ => (None, None),
    }
}

/// Words of the enumeration `ErrorCorrection`.
pub const ERROR_CORRECTION: [&str; 4] = ["NoECC", "SingleBitECC", "MultiBitECC", "AddressParity"];

/// Why a resource keeps its contents without power, in its own words; `None` where nothing says so.
pub fn nonvolatile(memory: &Memory<'_>) -> Option<String> {
    let kind = memory.memory_type.said().unwrap_or("");
    if ["NVDIMM", "Optane", "PMEM", "Persistent"].iter().any(|w| kind.contains(w)) {
        return Some(format!("MemoryType {kind}"));
    }
    let media = memory.memory_media.0.iter().filter_map(|m| m.said());
    if let Some(word) = media.into_iter().find(|m| matches!(*m, "NAND" | "Intel3DXPoint")) {
        return Some(format!("MemoryMedia {word}"));
    }
    let modes = memory.operating_memory_modes.0.iter().filter_map(|m| m.said());
    if let Some(word) = modes.into_iter().find(|m| matches!(*m, "PMEM" | "Block")) {
        return Some(format!("OperatingMemoryModes {word}"));
    }
    let regions = memory.regions.0.iter().filter_map(|r| r.0.memory_classification.said());
    let mut classes = memory.memory_classification.said().into_iter().chain(regions);
    if let Some(word) = classes.find(|c| matches!(*c, "ByteAccessiblePersistent" | "Block")) {
        return Some(format!("MemoryClassification {word}"));
    }
    let sizes =
        [("NonVolatileSizeMiB", memory.nonvolatile_size), ("PersistentRegionSizeLimitMiB", memory.persistent_limit)];
    sizes.into_iter().find_map(|(name, n)| n.whole().filter(|n| *n > 0).map(|n| format!("{name} {n}")))
}

/// What memory is that is no main memory of a processor, as the end of "is …"; `owner` is the sort of processor that
/// it is linked to, where that is known.
pub fn other_memory(memory: &Memory<'_>, name: &str, owner: Option<Owner>) -> Option<&'static str> {
    let device = memory.memory_device_type.said().unwrap_or("");
    if device.starts_with("HBM") {
        return Some("HBM on a processor's or accelerator's package");
    }
    if device.starts_with("GDDR") {
        return Some("an accelerator's GDDR");
    }
    if device == "ROM" {
        return Some("a ROM");
    }
    if memory.memory_type.said() == Some("Cache") {
        return Some("a cache");
    }
    if owner == Some(Owner::Other) {
        return Some("an accelerator's memory");
    }
    let names = [memory.id.said().unwrap_or(""), name];
    let holds = |n: &str, word: &str| n.len() >= word.len() && tokens(n).any(|t| t.eq_ignore_ascii_case(word));
    let says = |word: &str| names.iter().any(|n| holds(n, word));
    if memory.cxl.0 || says("CXL") {
        return Some("memory behind CXL");
    }
    (owner.is_none() && says("GPU")).then_some("a GPU's memory, by its name")
}

/// Words of a name: `GPU_0_DRAM_0` has four.
fn tokens(name: &str) -> impl Iterator<Item = &str> {
    name.split(|c: char| !c.is_ascii_alphabetic()).filter(|t| !t.is_empty())
}

/// What sort of processor memory is linked to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    Cpu,
    /// GPU, FPGA, DSP, accelerator.
    Other,
}

impl Owner {
    /// Reads `ProcessorType`; a processor that does not say is a CPU.
    pub fn of(kind: Option<&str>) -> Self {
        match kind {
            None | Some("CPU" | "Core" | "Thread") => Self::Cpu,
            Some(_) => Self::Other,
        }
    }
}
