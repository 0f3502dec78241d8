//! Why bytes are no SMBIOS table at all. What is wrong inside a table is a note instead.

/// No structure could be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SmbiosError {
    /// There are no bytes.
    #[error("the table is empty: 0 bytes")]
    Empty,
    /// Only an entry point, and the table that it names lies elsewhere.
    #[error(
        "an entry point without its table: it names {length} bytes at address {address:#x}, which this file does not hold"
    )]
    EntryPointOnly { address: u64, length: u64 },
    /// The bytes do not begin as a table does.
    #[error("no SMBIOS table: byte {offset} should begin a structure (type, length from 4, handle), but holds {found}")]
    NotATable { offset: usize, found: String },
}

impl SmbiosError {
    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Empty => "read the file as root; the kernel offers it as /sys/firmware/dmi/tables/DMI",
            Self::EntryPointOnly { .. } => {
                "give the table itself: /sys/firmware/dmi/tables/DMI, alone or behind the entry point"
            }
            Self::NotATable { .. } => {
                "give the raw table (Linux: /sys/firmware/dmi/tables/DMI), with or without an entry point or the 8-byte header of a firmware-table call in front"
            }
        }
    }
}
