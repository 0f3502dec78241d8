//! Error records: the published layout of the UEFI section and the meanings of IPMI memory events, replayed; damage survived.

use domain::Gravity;
use proptest::prelude::*;
use readers::{cper, sel};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    #[serde(rename = "format")]
    _format: u8,
    section: Section,
    second: Second,
    event: Vec<Event>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Section {
    #[serde(rename = "origin")]
    _origin: String,
    guid: String,
    bytes: usize,
    old_bytes: usize,
    layout: Vec<Field>,
    valid: BTreeMap<String, u32>,
    bank_group_shift: u32,
    bank_address_mask: u64,
    row_ext_shift: u32,
    row_ext_mask: u8,
    chip_id_shift: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Second {
    #[serde(rename = "origin")]
    _origin: String,
    guid: String,
    bytes: usize,
    layout: Vec<Field>,
    valid: BTreeMap<String, u32>,
    kinds: Vec<String>,
}

#[derive(Deserialize)]
struct Field {
    name: String,
    at: usize,
    size: usize,
}

#[derive(Deserialize)]
struct Event {
    offset: u8,
    gravity: String,
}

fn published() -> Published {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../published/error-records/records.toml");
    toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// A section with these fields, each with its validity bit.
fn section(layout: &Section, fields: &[(&str, u64)], valid: &[&str]) -> Vec<u8> {
    built(layout.bytes, &layout.layout, &layout.valid, fields, valid)
}

fn built(
    bytes: usize,
    layout: &[Field],
    places: &BTreeMap<String, u32>,
    fields: &[(&str, u64)],
    valid: &[&str],
) -> Vec<u8> {
    let mut bytes = vec![0u8; bytes];
    let bits = valid.iter().fold(0u64, |bits, name| bits | 1 << places[*name]);
    for (name, value) in fields.iter().copied().chain([("validation_bits", bits)]) {
        let field = layout.iter().find(|f| f.name == name).unwrap();
        bytes[field.at..field.at + field.size].copy_from_slice(&value.to_le_bytes()[..field.size]);
    }
    bytes
}

/// A whole record around a section: header, one descriptor with a name, the section.
fn record(body: &[u8], severity: u32) -> Vec<u8> {
    let mut bytes = vec![0u8; 200];
    bytes[..10].copy_from_slice(b"CPER\x00\x01\xFF\xFF\xFF\xFF");
    bytes[10] = 1;
    bytes[16] = 2;
    bytes[20..24].copy_from_slice(&(200 + body.len() as u32).to_le_bytes());
    // 2024-02-29 23:59:58, in binary-coded decimals.
    bytes[24..32].copy_from_slice(&[0x58, 0x59, 0x23, 0, 0x29, 0x02, 0x24, 0x20]);
    bytes[128..132].copy_from_slice(&200u32.to_le_bytes());
    bytes[132..136].copy_from_slice(&(body.len() as u32).to_le_bytes());
    bytes[138] = 2;
    bytes[144..160].copy_from_slice(&cper::GUID);
    bytes[176..180].copy_from_slice(&severity.to_le_bytes());
    bytes[180..192].copy_from_slice(b"west-1-outer");
    bytes.extend_from_slice(body);
    bytes
}

#[test]
fn each_field_of_the_section_is_read_from_its_published_place() {
    let layout = published().section;
    assert_eq!((cper::FULL, cper::OLD), (layout.bytes, layout.old_bytes));
    let one =
        |name: &str, value: u64, bit: &str| cper::section(&section(&layout, &[(name, value)], &[bit])).unwrap().place;
    assert_eq!(one("physical_addr", 0x12_3456_7890, "physical_addr").address, Some(0x12_3456_7890));
    assert_eq!(one("node", 3, "node").node, Some(3));
    assert_eq!(one("card", 4, "card").card, Some(4));
    assert_eq!(one("module", 5, "module").module, Some(5));
    assert_eq!(one("bank", 0x0206, "bank").bank, Some(0x0206));
    assert_eq!(one("device", 7, "device").device, Some(7));
    assert_eq!(one("row", 0xFFF8, "row").row, Some(0xFFF8));
    assert_eq!(one("column", 9, "column").column, Some(9));
    assert_eq!(one("bit_pos", 10, "bit_pos").bit, Some(10));
    assert_eq!(one("rank", 1, "rank").rank, Some(1));
    assert_eq!(one("module_handle", 0x1105, "module_handle").handle, Some(0x1105));
    // Without its bit nothing is taken.
    let none = cper::section(&section(&layout, &[("module_handle", 0x1105), ("row", 9), ("node", 2)], &[])).unwrap();
    assert_eq!(none.place, domain::ErrorPlace::default());
}

#[test]
fn packed_fields_are_taken_apart_as_published() {
    let layout = published().section;
    let bank = 2 << layout.bank_group_shift | (3 & layout.bank_address_mask);
    let packed = cper::section(&section(&layout, &[("bank", bank)], &["bank_group", "bank_address"])).unwrap();
    assert_eq!((packed.place.bank_group, packed.place.bank), (Some(2), Some(3)));
    let extended = u64::from(layout.row_ext_mask) | 5 << layout.chip_id_shift;
    let fields = [("row", 1), ("extended", extended)];
    let wide = cper::section(&section(&layout, &fields, &["row", "row_ext", "chip_id"])).unwrap();
    assert_eq!(wide.place.row, Some(u32::from(layout.row_ext_mask) << layout.row_ext_shift | 1));
    assert_eq!(wide.notes, ["chip 5 of a stack"]);
    // The first form ends before the extended byte, so nothing behind it is taken.
    let old = section(&layout, &[("rank", 1), ("row", 1), ("extended", 3)], &["rank", "row", "row_ext"]);
    let old = cper::section(&old[..layout.old_bytes]).unwrap();
    assert_eq!((old.place.rank, old.place.row), (None, Some(1)));
    assert!(cper::section(&vec![0; layout.old_bytes - 1]).is_none());
}

#[test]
fn the_second_section_is_read_from_its_published_places() {
    let printed = published().second;
    assert_eq!(cper::SECOND, printed.bytes);
    let read = |fields: &[(&str, u64)], valid: &[&str]| {
        cper::second(&built(printed.bytes, &printed.layout, &printed.valid, fields, valid)).unwrap()
    };
    let one = |name: &str, value: u64| read(&[(name, value)], &[name]).place;
    assert_eq!(one("physical_addr", 0x12_3456_7890).address, Some(0x12_3456_7890));
    assert_eq!((one("node", 3).node, one("card", 4).card, one("module", 5).module), (Some(3), Some(4), Some(5)));
    assert_eq!((one("bank", 0x0206).bank, one("device", 7).device), (Some(0x0206), Some(7)));
    assert_eq!((one("row", 0x3_FFF8).row, one("column", 0x3F8).column), (Some(0x3_FFF8), Some(0x3F8)));
    assert_eq!((one("rank", 1).rank, one("bit_pos", 10).bit), (Some(1), Some(10)));
    assert_eq!(one("module_handle", 0x1105).handle, Some(0x1105));
    let none = read(&[("module_handle", 0x1105), ("row", 9), ("status", 1)], &[]);
    assert_eq!((none.place, none.notes.len()), (domain::ErrorPlace::default(), 0), "without its bit nothing is taken");
    let split = read(&[("bank", 0x0203), ("chip_id", 5)], &["bank_group", "bank_address", "chip_id"]);
    assert_eq!((split.place.bank_group, split.place.bank), (Some(2), Some(3)));
    assert_eq!(split.notes, ["chip 5 of a stack"]);
    let wide = read(&[("module_handle", 0x1_0000)], &["module_handle"]);
    assert_eq!(wide.place.handle, None);
    assert!(wide.notes[0].contains("0x10000"), "{:?}", wide.notes);
    assert!(cper::second(&vec![0; printed.bytes - 1]).is_none());
}

#[test]
fn the_second_sections_kinds_and_status_decide_how_bad_it_is() {
    let printed = published().second;
    let read = |kind: u64, status: Option<u64>| {
        let fields = [("error_type", kind), ("status", status.unwrap_or(0))];
        let valid: &[&str] = if status.is_some() { &["error_type", "status"] } else { &["error_type"] };
        cper::second(&built(printed.bytes, &printed.layout, &printed.valid, &fields, valid)).unwrap()
    };
    for (kind, words) in (0u64..).zip(&printed.kinds) {
        let expected = match words.as_str() {
            "Single-bit ECC" | "Single-symbol ChipKill ECC" | "Scrub corrected error" => Gravity::Corrected,
            "Unknown" | "No error" | "Mirror Broken" | "Memory Sparing" | "Physical Memory Map-out event" => {
                Gravity::Notice
            }
            _ => Gravity::Uncorrected,
        };
        assert_eq!(read(kind, None).gravity, expected, "{words}");
    }
    assert_eq!(read(printed.kinds.len() as u64, None).notes.len(), 1);
    assert_eq!(read(2, Some(1)).gravity, Gravity::Uncorrected, "the status outweighs the kind");
    assert_eq!((read(3, Some(0)).gravity, read(0, Some(0)).gravity), (Gravity::Corrected, Gravity::Corrected));
    assert_eq!(read(11, Some(1)).gravity, Gravity::Notice, "a broken mirror is no error of its own");
}

#[test]
fn a_record_may_carry_both_sections() {
    let printed = published().second;
    let body =
        built(printed.bytes, &printed.layout, &printed.valid, &[("rank", 3), ("row", 0x2_0001)], &["rank", "row"]);
    let mut bytes = record(&body, 2);
    bytes[144..160].copy_from_slice(&cper::SECOND_GUID);
    let read = cper::read(&bytes).unwrap();
    assert_eq!(read.events.len(), 1);
    assert_eq!((read.events[0].place.rank, read.events[0].place.row), (Some(3), Some(0x2_0001)));
    assert_eq!(
        (read.events[0].gravity, read.events[0].place.name.as_deref()),
        (Gravity::Corrected, Some("west-1-outer"))
    );
    let bare = cper::read(&body).unwrap();
    assert_eq!(bare.events[0].place.rank, Some(3));
    let parts: Vec<&str> = printed.guid.split('-').collect();
    let hex = |hex: &str| {
        (0..hex.len()).step_by(2).map(|i| u8::from_str_radix(&hex[i..i + 2], 16).unwrap()).collect::<Vec<_>>()
    };
    let little = |text: &str| hex(text).into_iter().rev().collect::<Vec<_>>();
    let guid = [little(parts[0]), little(parts[1]), little(parts[2]), hex(parts[3]), hex(parts[4])].concat();
    assert_eq!(guid, cper::SECOND_GUID);
}

#[test]
fn a_record_tells_when_how_bad_and_whose() {
    let printed = published();
    let parts: Vec<&str> = printed.section.guid.split('-').collect();
    let little = |hex: &str| {
        (0..hex.len()).step_by(2).rev().map(|i| u8::from_str_radix(&hex[i..i + 2], 16).unwrap()).collect::<Vec<_>>()
    };
    let big = |hex: &str| {
        (0..hex.len()).step_by(2).map(|i| u8::from_str_radix(&hex[i..i + 2], 16).unwrap()).collect::<Vec<_>>()
    };
    let guid = [little(parts[0]), little(parts[1]), little(parts[2]), big(parts[3]), big(parts[4])].concat();
    assert_eq!(cper::GUID.to_vec(), guid);
    let body =
        section(&printed.section, &[("error_type", 3), ("module_handle", 0x1100)], &["error_type", "module_handle"]);
    let twice = [record(&body, 1), record(&body, 2), vec![0; 5]].concat();
    assert!(cper::recognises(&twice));
    let read = cper::read(&twice).unwrap();
    assert_eq!(read.events.len(), 2);
    assert_eq!((read.events[0].gravity, read.events[1].gravity), (Gravity::Fatal, Gravity::Corrected));
    assert_eq!(read.events[0].at, Some(1_709_251_198));
    assert_eq!(read.events[0].place.name.as_deref(), Some("west-1-outer"));
    assert_eq!((read.events[0].offset, read.events[1].offset), (200, 480));
    assert_eq!(read.notes, ["offset 560: 5 bytes behind the last record are passed over"]);
    assert_eq!(cper::read(&body).unwrap().events[0].gravity, Gravity::Uncorrected);
    assert_eq!(cper::read(b"CPER"), Err(cper::CperError::NoRecord));
    let mut other = record(&body, 1);
    other[144] ^= 1;
    assert_eq!(cper::read(&other), Err(cper::CperError::NoMemory));
}

/// A system event record: 2023-11-14 22:13:20, memory sensor 53h.
fn event(data1: u8, data3: u8) -> [u8; 16] {
    let [a, b, c, d] = 1_700_000_000u32.to_le_bytes();
    [1, 0, 2, a, b, c, d, 0x20, 0, 4, 0x0C, 0x53, 0x6F, data1, 0xFF, data3]
}

#[test]
fn each_memory_event_means_what_the_table_says() {
    let events = published().event;
    assert_eq!(events.len(), 11);
    for row in events {
        let log = sel::read(&event(0x30 | row.offset, 6)).unwrap();
        assert_eq!(log.events[0].gravity.word(), row.gravity, "{}", row.offset);
        assert_eq!((log.events[0].place.module, log.events[0].place.sensor), (Some(6), Some(0x53)));
        assert_eq!(log.events[0].at, Some(1_700_000_000));
    }
}

#[test]
fn a_makers_own_bytes_are_told_and_not_guessed() {
    let log = sel::read(&event(0xA0, 0x21)).unwrap();
    assert_eq!(log.events[0].place.module, None);
    assert_eq!(log.events[0].notes.len(), 2, "{:?}", log.events[0].notes);
    let mut gone = event(0x30, 1);
    gone[12] |= 0x80;
    assert_eq!(sel::read(&gone).unwrap().events[0].gravity, Gravity::Notice);
    let mut early = event(0x30, 1);
    early[3..7].copy_from_slice(&90u32.to_le_bytes());
    assert_eq!(sel::read(&early).unwrap().events[0].at, None);
    let mut fan = event(0x30, 1);
    fan[10] = 4;
    assert_eq!(sel::read(&fan), Err(sel::SelError::NoMemory(1)));
    assert_eq!(sel::read(&fan[..15]), Err(sel::SelError::Length(15)));
    let mixed = sel::read(&[fan, event(0x31, 2)].concat()).unwrap();
    assert_eq!(mixed.notes, ["records that are no memory events: 1"]);
}

proptest! {
    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let _ = (cper::read(&bytes), sel::read(&bytes), cper::section(&bytes));
        prop_assert!(!sel::recognises(&bytes) || bytes.len().is_multiple_of(16));
    }

    #[test]
    fn a_damaged_record_is_survived(at in 0usize..280, value: u8, cut in 0usize..280) {
        let layout = published().section;
        let mut bytes = record(&section(&layout, &[("row", 5)], &["row"]), 2);
        bytes[at] = value;
        let read = cper::read(&bytes[..cut]);
        prop_assert!(read.is_err() || !read.unwrap().events.is_empty());
    }
}
