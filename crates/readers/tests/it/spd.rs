//! Captures of modules against what is known of them from outside, broken ones, and what is told of each.

use readers::spd::{self, Readout, SpdError};
use serde_json::Value;
use std::path::PathBuf;

pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../captures/spd")
}

/// The bytes of a capture.
pub fn capture(file: &str) -> Vec<u8> {
    let text = std::fs::read_to_string(folder().join(file)).unwrap_or_else(|e| panic!("{file}: {e}"));
    spd::text::bytes(&text).unwrap_or_else(|e| panic!("{file}: {e}"))
}

/// Every capture with its entry in the index.
pub fn captures() -> Vec<(Value, Vec<u8>)> {
    let text = std::fs::read_to_string(folder().join("index.json")).expect("the index");
    let index: Vec<Value> = serde_json::from_str(&text).expect("a list");
    index.into_iter().map(|entry| (entry.clone(), capture(entry["file"].as_str().expect("a file")))).collect()
}

fn names(bytes: &[u8]) -> Vec<&'static str> {
    let spd = spd::read(bytes).expect("contents");
    spd.oddities().iter().map(|o| o.name).collect()
}

#[test]
fn captures_are_what_is_known_of_them() {
    let captures = captures();
    assert_eq!(captures.len(), 7);
    for (entry, bytes) in captures {
        let file = &entry["file"];
        let spd = spd::read(&bytes).unwrap_or_else(|e| panic!("{file}: {e}"));
        let reading = spd.reading();
        let known = &entry["known"];
        let told = |name: &str, value: Option<Value>| {
            if !known[name].is_null() {
                assert_eq!(Some(&known[name]), value.as_ref(), "{file}: {name}");
            }
        };
        told("generation", reading.generation.map(|g| g.name().into()));
        told("kind", reading.kind.map(|k| k.name().into()));
        told("capacity_gib", reading.capacity.map(|c| (c.mib() / 1024).into()));
        told("rate", reading.rate.map(|r| r.mts().into()));
        told("cl", reading.clocks.map(|c| c.cas.into()));
        told("part_number", reading.part_number.as_deref().map(Value::from));
        told("year", reading.made.map(|m| m.year.into()));
        told("week", reading.made.map(|m| m.week.into()));
        let label = reading.label.clone().unwrap_or_default();
        told("organisation", label.split(' ').nth(1).map(Value::from));
        let maker = reading.maker.clone().and_then(|m| m.name).unwrap_or_default();
        assert!(maker.starts_with(known["maker"].as_str().expect("a maker")), "{file}: {maker}");
        assert!(!reading.checksums.is_empty() && reading.checksums.iter().all(|c| c.holds()), "{file}");
        let odd: Vec<&str> = reading.oddities.iter().map(|o| o.name).collect();
        let expected: Vec<&str> =
            entry["oddities"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
        assert_eq!(odd, expected, "{file}: {:?}", reading.oddities);
        assert_eq!(spd::write(&spd), bytes, "{file}");
    }
}

#[test]
fn the_labels_that_captures_should_bear() {
    let labels = [
        ("ddr4-rdimm-64g-a.hex", "64GB 2Rx4 PC4-3200AA-RB4-12"),
        ("ddr4-lrdimm-3ds-128g.hex", "128GB 2S4Rx4 PC4-2666V-LA0-12"),
        ("ddr5-rdimm-64g.hex", "64GB 2Rx4 PC5-4800B-RA0-1010-XT"),
        ("ddr3-rdimm-32g.hex", "32GB 4Rx4 PC3-14900R-13-11-F1"),
        ("ddr3-ecc-sodimm-8g.hex", "8GB 2Rx8 PC3L-12800T-11-13-D1"),
    ];
    for (file, label) in labels {
        let reading = spd::read(&capture(file)).expect("contents").reading();
        assert_eq!(reading.label.as_deref(), Some(label), "{file}");
    }
}

#[test]
fn rates_come_with_their_cas_latency_fastest_first() {
    let of = |file: &str| -> Vec<(u32, u16)> {
        let reading = spd::read(&capture(file)).expect("contents").reading();
        reading.rates.iter().map(|(rate, cl)| (rate.mts(), *cl)).collect()
    };
    let ddr4 = [(3200, 22), (2933, 21), (2666, 19), (2400, 17), (2133, 15), (1866, 13), (1600, 11)];
    assert_eq!(of("ddr4-rdimm-64g-a.hex"), ddr4);
    assert_eq!(of("ddr5-rdimm-64g.hex"), [(4800, 40), (4400, 36), (4000, 32), (3600, 30), (3200, 26)]);
    assert_eq!(of("ddr3-rdimm-32g.hex"), [(1866, 13), (1600, 11), (1333, 9), (1066, 7), (800, 6)]);
}

/// The oddity expected, its offset, and the bytes to change.
type Fault = (&'static str, usize, &'static [(usize, u8)]);

#[test]
fn each_fault_is_told_where_it_is() {
    let whole = capture("ddr4-rdimm-64g-a.hex");
    let cases: &[Fault] = &[
        ("checksum-wrong", 126, &[(126, 0)]),
        ("checksum-wrong", 254, &[(255, 0)]),
        ("type-unknown", 3, &[(3, 0x0F)]),
        ("organisation-unreadable", 4, &[(4, 0x8F)]),
        ("reserved-bits-set", 8, &[(8, 1)]),
        ("raw-card-unusual", 130, &[(12, 0)]),
        ("cas-not-in-map", 20, &[(22, 0), (21, 0x78)]),
        ("no-such-speed-bin", 18, &[(25, 0x60)]),
        ("row-cycle-too-short", 29, &[(29, 0x10)]),
        ("maker-blank", 320, &[(320, 0), (321, 0)]),
        ("maker-parity-wrong", 320, &[(320, 0)]),
        ("maker-parity-wrong", 350, &[(351, 0xAC)]),
        ("year-impossible", 323, &[(323, 0x08)]),
        ("date-not-bcd", 323, &[(323, 0x1A)]),
        ("date-not-bcd", 324, &[(324, 0x3F)]),
        ("week-impossible", 324, &[(324, 0x00)]),
        ("week-impossible", 324, &[(324, 0x54)]),
        ("date-blank", 323, &[(323, 0), (324, 0)]),
        ("serial-blank", 325, &[(325, 0xFF), (326, 0xFF), (327, 0xFF), (328, 0xFF)]),
        ("part-number-garbled", 330, &[(330, 0x07)]),
        ("maker-fingerprint-differs", 349, &[(352, 0x42)]),
    ];
    for (name, offset, changes) in cases {
        let mut bytes = whole.clone();
        for (at, byte) in *changes {
            bytes[*at] = *byte;
        }
        let odd = spd::read(&bytes).expect("contents").oddities();
        assert!(odd.iter().any(|o| o.name == *name && o.offset == Some(*offset)), "{name} at {offset}: {odd:?}");
    }
    let mut blank = whole.clone();
    blank[329..349].fill(0x20);
    assert!(names(&blank).contains(&"part-number-blank"));
    blank[320..384].fill(0xFF);
    assert_eq!(names(&blank), ["erased"]);
}

#[test]
fn wrong_readouts_are_read_as_far_as_they_go() {
    let ddr4 = capture("ddr4-rdimm-64g-a.hex");
    let ddr5 = capture("ddr5-rdimm-64g.hex");
    assert_eq!(names(&ddr4[..256]), ["base-only"]);
    let repeated = [&ddr4[..256], &ddr4[..256]].concat();
    assert_eq!(names(&repeated), ["pages-repeated"]);
    assert_eq!(names(&[&ddr5[..128], &ddr5[..128], &ddr5[..128]].concat())[0], "pages-repeated");
    let swapped = [&ddr4[256..], &ddr4[..256]].concat();
    let read = spd::read(&swapped).expect("contents");
    assert_eq!((read.readout, read.reading().serial.as_deref()), (Readout::PagesSwapped, Some("32297BC1")));
    assert_eq!(spd::write(&read), swapped);
    let hub = [&[0x51, 0x18][..], &[0; 126], &ddr5[..128]].concat();
    let read = spd::read(&hub).expect("a page");
    assert_eq!(read.reading().rate.map(|r| r.mts()), Some(4800));
    assert_eq!(names(&hub), ["hub-registers-not-contents"]);
    assert_eq!(spd::write(&read), hub);
    let mut mended = ddr4.clone();
    mended[2] = 0x4C;
    let read = spd::read(&mended).expect("contents");
    assert_eq!(read.readout, Readout::TypeMended { found: 0x4C });
    assert_eq!(read.oddities().first().map(|o| (o.name, o.offset)), Some(("type-byte-wrong", Some(2))));
    assert_eq!(spd::write(&read), mended);
    mended[40] ^= 1;
    let read = spd::read(&mended).expect("contents");
    assert_eq!((read.readout, read.generation().name()), (Readout::TypeGuessed { found: 0x4C }, "DDR4"));
    let mut renamed = ddr4.clone();
    renamed[2] = 0x12;
    assert_eq!(spd::read(&renamed).map(|s| s.generation().name()), Ok("DDR4"));
    let padded = [&ddr4[..], &[0xFF; 512]].concat();
    assert_eq!(names(&padded), ["size-wrong"]);
    let cut = spd::read(&ddr5[..300]).expect("a part").reading();
    assert_eq!((cut.capacity.map(|c| c.mib()), cut.maker, cut.checksums.len()), (Some(65_536), None, 0));
    assert!(cut.oddities.iter().any(|o| o.name == "size-wrong" && o.offset == Some(300)));
    // The label tells no raw card that was not read.
    let label = |length: usize| spd::read(&ddr4[..length]).expect("a part").reading().label.expect("a label");
    let card = spd::read(&ddr4).expect("contents").reading().raw_card.expect("a card");
    let whole = label(512);
    assert_eq!(label(128), whole.replace(&format!("-R{}{}-", card.letter, card.revision), "-R-"));
    assert_ne!(label(128), whole);
}

#[test]
fn what_is_no_contents_says_what_to_do() {
    let mut older = capture("ddr4-rdimm-64g-a.hex");
    (older[2], older[5]) = (0x08, 0);
    let cases = [
        (spd::read(&[0x23; 3]), "too few"),
        (spd::read(&[0xFF; 512]), "FF"),
        (spd::read(&[0x00; 1024]), "00"),
        (spd::read(&older), "DDR2"),
        (spd::read(&[&[0x51, 0x18][..], &[7; 62]].concat()), "hub"),
    ];
    for (result, word) in cases {
        let error: SpdError = result.expect_err(word);
        assert!(error.to_string().contains(word) && !error.hint().is_empty(), "{error}");
    }
}

#[test]
fn every_oddity_has_its_name_in_the_list() {
    let whole = capture("ddr5-rdimm-64g.hex");
    let mut seen = 0;
    for at in 0..1024 {
        let mut bytes = whole.clone();
        bytes[at] ^= 0xFF;
        let Ok(spd) = spd::read(&bytes) else { continue };
        for odd in spd.oddities() {
            assert!(spd::ODDITIES.iter().any(|(name, _)| *name == odd.name), "{}", odd.name);
            seen += 1;
        }
    }
    // Every byte under the checksum is noticed.
    assert!(seen >= 510, "{seen}");
}
