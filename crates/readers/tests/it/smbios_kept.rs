//! The kept tables: 190 machines as records of the standard's fields, and seven raw ones.

use readers::smbios::write::Table;
use serde::Deserialize;
use std::fs;
use std::path::PathBuf;

/// One machine of `captures/smbios/machines.jsonl`.
#[derive(Debug, Deserialize)]
pub struct Machine {
    pub id: String,
    pub truth: Option<Truth>,
    pub table: Table,
}

/// What is known of its layout.
#[derive(Debug, Deserialize)]
pub struct Truth {
    pub not_memory_slots: Vec<String>,
}

fn captures() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../captures")
}

/// All machines.
pub fn machines() -> Vec<Machine> {
    let text = fs::read_to_string(captures().join("smbios/machines.jsonl")).unwrap_or_default();
    let machines: Vec<Machine> =
        text.lines().map(|line| serde_json::from_str(line).expect("a machine a line")).collect();
    assert!(machines.len() >= 190, "{} machines are kept", machines.len());
    machines
}

/// The raw tables' files.
pub const RAW: [&str; 7] = [
    "1s-2slot-ddr5-sm3.bin",
    "1s-2slot-winheader.bin",
    "1s-4slot-ddr4.bin",
    "2s-16slot-ddr3.bin",
    "2s-24slot-ddr4.bin",
    "4s-32slot-ddr3.bin",
    "vm-odd.bin",
];

/// A raw table by its file's name.
pub fn raw(name: &str) -> Vec<u8> {
    fs::read(captures().join("smbios-raw").join(name)).expect(name)
}
