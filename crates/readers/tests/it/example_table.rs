//! The invented machine of `examples/plover.smbios`: the file is what the writer makes of the document here. `UPDATE=1`
//! writes it anew.

use std::fs;
use std::path::Path;

const DOCUMENT: &str = r#"{"slotwright-snapshot": 1, "origins": ["smbios"], "system": "Plover", "firmware": "P 1.04",
"processors": [{"origin": "smbios", "handle": "0x0004", "name": "main", "model": "Model 1234", "present": true, "cores": 8}],
"arrays": [{"handle": "0x0010", "role": "system", "ecc": "Multi-bit ECC", "maximum_mib": 131072, "devices": 4}],
"slots": [
{"origin": "smbios", "handle": "0x0011", "array": "0x0010", "name": "DIMM 1", "bank": "CHANNEL A", "state": "filled",
 "module": {"generation": "DDR4", "kind": "UDIMM", "form": "DIMM", "capacity_mib": 16384, "package_ranks": 2,
 "data_rate_mts": 2666, "maker": {"name": "Demo"}, "part_number": "DEMO-16G-2R8-2666", "serial": "5A0C2201",
 "rated": {"rate_mts": 2666, "raw": 2667}, "running": {"rate_mts": 2666, "raw": 2667}, "widths": {"total": 72, "data": 64}}},
{"origin": "smbios", "handle": "0x0012", "array": "0x0010", "name": "DIMM 2", "bank": "CHANNEL A", "state": "empty"},
{"origin": "smbios", "handle": "0x0013", "array": "0x0010", "name": "DIMM 1", "bank": "CHANNEL B", "state": "filled",
 "module": {"generation": "DDR4", "kind": "UDIMM", "form": "DIMM", "capacity_mib": 16384, "package_ranks": 2,
 "data_rate_mts": 2666, "maker": {"name": "Demo"}, "part_number": "DEMO-16G-2R8-2666", "serial": "5A0C2202",
 "rated": {"rate_mts": 2666, "raw": 2667}, "running": {"rate_mts": 2666, "raw": 2667}, "widths": {"total": 72, "data": 64}}},
{"origin": "smbios", "handle": "0x0014", "array": "0x0010", "name": "DIMM 2", "bank": "CHANNEL B", "state": "empty"}
]}"#;

#[test]
fn the_example_is_what_the_writer_makes() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/plover.smbios");
    let meant = readers::snapshot::read(DOCUMENT).unwrap();
    assert_eq!(meant.notes, [], "the document has no field of its own making");
    let made = readers::smbios::write::write(&meant);
    if std::env::var_os("UPDATE").is_some() {
        fs::write(&path, &made).unwrap();
    }
    assert_eq!(fs::read(&path).unwrap(), made, "UPDATE=1 writes it anew");
    let read = readers::smbios::read(&made).unwrap();
    let serials: Vec<Option<&str>> =
        read.slots.iter().map(|s| s.module.as_ref().and_then(|m| m.reading.serial.as_deref())).collect();
    assert_eq!(serials, [Some("5A0C2201"), None, Some("5A0C2202"), None]);
}
