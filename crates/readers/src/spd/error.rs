//! Why contents can't be read at all.

/// Why these bytes are not the contents of a module's SPD memory. Whatever can be read in part is no error.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SpdError {
    /// Too few bytes to say anything.
    #[error("{length} bytes are too few for SPD contents: the module type and the organisation take {}", super::LEAST)]
    TooShort { length: usize },
    /// One byte all through.
    #[error("all {length} bytes are {filled:02X}: nothing is stored there, or nothing answered")]
    Erased { length: usize, filled: u8 },
    /// The DRAM type is not one that is read.
    #[error("byte 2, the DRAM type, is {found:02X}{}", .known.map_or(String::new(), |k| format!(", which is {k}")))]
    OtherType { found: u8, known: Option<&'static str> },
    /// The registers of a DDR5 hub, with no contents behind them.
    #[error("the bytes start 51 18: they are the registers of the module's SPD hub, not its contents")]
    HubRegisters,
}

impl SpdError {
    /// Byte offset of what can't be read.
    pub fn offset(&self) -> usize {
        match self {
            Self::OtherType { .. } => 2,
            _ => 0,
        }
    }
    /// What the person can do next.
    pub fn hint(&self) -> String {
        match self {
            Self::TooShort { .. } => "read the whole memory: 256 bytes for DDR3, 512 for DDR4, 1024 for DDR5".into(),
            Self::Erased { .. } => {
                "seat the module again and read it again; if it stays so, the memory is erased or dead".into()
            }
            Self::OtherType { .. } => {
                "0B is DDR3, 0C DDR4, 12 DDR5: check that the bytes start at offset 0 and that none is missing".into()
            }
            Self::HubRegisters => {
                "read the `eeprom` file that the kernel's spd5118 driver makes; it has 1024 bytes".into()
            }
        }
    }
}

/// DRAM types of other generations (the list of the standards, from memory).
pub fn other_type(code: u8) -> Option<&'static str> {
    Some(match code {
        0x01..=0x04 => "memory older than DDR",
        0x07 => "DDR",
        0x08 => "DDR2",
        0x09 | 0x0A => "DDR2 FB-DIMM",
        0x0F => "LPDDR3",
        0x10 => "LPDDR4",
        0x11 => "LPDDR4X",
        0x13 => "LPDDR5",
        0x14 => "DDR5 NVDIMM-P",
        0x15 => "LPDDR5X",
        _ => return None,
    })
}
