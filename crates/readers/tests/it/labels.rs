//! Replays `published/labels/labels.toml`: every row read, field by field.

use domain::reading::{Form, Made};
use domain::{Capacity, Kind};
use readers::label::{self, Field, LabelError, code};
use readers::serial;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    #[serde(rename = "format")]
    _format: u8,
    label: Vec<Row>,
    odd: Vec<Odd>,
    slip: Vec<Slip>,
    short: Vec<Short>,
    code: Vec<Code>,
    serial: Vec<Serial>,
}

/// A label that leaves capacity or organisation out.
#[derive(Deserialize)]
struct Short {
    text: String,
    capacity_gb: Option<u64>,
    generation: String,
    rate: u32,
    kind: String,
    cl: Option<u16>,
    raw_card: Option<String>,
    raw_card_revision: Option<String>,
    spd_revision: Option<String>,
    ecc_bits: Option<u8>,
    millivolts: u32,
}

#[derive(Deserialize)]
struct Code {
    text: String,
    label: String,
    part_number: String,
    maker_text: String,
    #[serde(flatten)]
    serial: Serial,
}

#[derive(Deserialize)]
struct Serial {
    text: Option<String>,
    maker: String,
    location: u8,
    year: u16,
    week: u8,
    serial: String,
}

#[derive(Deserialize)]
struct Row {
    text: String,
    capacity_gb: u64,
    package_ranks: u8,
    dual_die: bool,
    stack: u8,
    width: u8,
    generation: String,
    rate: u32,
    grade: Option<String>,
    kind: String,
    cl: Option<u8>,
    raw_card: Option<String>,
    raw_card_revision: Option<String>,
    spd_revision: Option<String>,
    tail: Option<String>,
}

#[derive(Deserialize)]
struct Odd {
    text: String,
    name: String,
}

#[derive(Deserialize)]
struct Slip {
    text: String,
    means: String,
    offered: bool,
}

fn published() -> Published {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../published/labels/labels.toml");
    toml::from_str(&std::fs::read_to_string(path).expect("the published labels")).expect("their form")
}

#[test]
fn every_published_label_reads_as_its_row_says() {
    let rows = published().label;
    assert!(rows.len() >= 30, "{} rows", rows.len());
    for row in rows {
        let reading = label::read(&row.text).unwrap_or_else(|e| panic!("{}: {e}", row.text));
        if row.kind == "SODIMM" {
            assert_eq!(reading.reading().form, Some(Form::Sodimm), "{}", row.text);
            assert!(matches!(reading.module(), Err(LabelError::NotServer { column: 21, .. })), "{}", row.text);
            continue;
        }
        let module = reading.module().unwrap_or_else(|e| panic!("{}: {e}", row.text));
        assert_eq!(module.capacity, Capacity::from_gib(row.capacity_gb), "{}", row.text);
        assert_eq!(module.organisation.package_ranks, row.package_ranks, "{}", row.text);
        assert_eq!(module.organisation.dual_die, row.dual_die, "{}", row.text);
        assert_eq!(module.organisation.stack, row.stack, "{}", row.text);
        assert_eq!(module.organisation.width, row.width, "{}", row.text);
        assert_eq!(module.generation.name(), row.generation, "{}", row.text);
        assert_eq!(module.rate.mts(), row.rate, "{}", row.text);
        assert_eq!(module.kind.name(), row.kind, "{}", row.text);
        assert_eq!(module.cas_latency, row.cl, "{}", row.text);
        assert_eq!(reading.parts.grade.map(|l| l.to_string()), row.grade, "{}", row.text);
        assert_eq!(reading.parts.raw_card.map(|l| l.to_string()), row.raw_card, "{}", row.text);
        assert_eq!(reading.parts.raw_card_revision.map(|l| l.to_string()), row.raw_card_revision, "{}", row.text);
        assert_eq!(reading.parts.spd_revision.map(|l| l.to_string()), row.spd_revision, "{}", row.text);
        assert_eq!(reading.parts.tail, row.tail, "{}", row.text);
        assert_eq!((&reading.notes[..], &reading.oddities[..]), (&[][..], &[][..]), "{}", row.text);
        assert_eq!(label::read(&label::write(&reading)).map(|r| r.parts), Ok(reading.parts), "{}", row.text);
    }
}

#[test]
fn short_labels_tell_what_they_print_and_nothing_else() {
    for row in published().short {
        let read = label::read(&row.text).unwrap_or_else(|e| panic!("{}: {e}", row.text));
        let reading = read.reading();
        assert_eq!(reading.capacity, row.capacity_gb.map(Capacity::from_gib), "{}", row.text);
        assert_eq!(reading.package_ranks, None, "{}", row.text);
        assert_eq!(reading.generation.map(|g| g.name()), Some(row.generation.as_str()), "{}", row.text);
        assert_eq!(reading.rate.map(|r| r.mts()), Some(row.rate), "{}", row.text);
        assert_eq!(reading.kind.map(|k| k.name()), Some(row.kind.as_str()), "{}", row.text);
        assert_eq!(reading.clocks.map(|c| (c.cas, c.rcd)), row.cl.map(|c| (c, c)), "{}", row.text);
        assert_eq!(reading.voltage.map(|v| v.millivolts()), Some(row.millivolts), "{}", row.text);
        assert_eq!(reading.raw_card.as_ref().map(|c| &c.letter), row.raw_card.as_ref(), "{}", row.text);
        assert_eq!(reading.raw_card.as_ref().map(|c| &c.revision), row.raw_card_revision.as_ref(), "{}", row.text);
        assert_eq!(reading.spd_revision, row.spd_revision, "{}", row.text);
        assert!(row.ecc_bits.is_none() || reading.ecc_bits == row.ecc_bits, "{}", row.text);
        assert_eq!(label::write(&read), row.text);
        assert!(matches!(read.module(), Err(LabelError::Missing { .. })), "{}", row.text);
    }
}

fn check_serial(read: &serial::LongSerial, row: &Serial) {
    let maker = read.maker.map(|m| (m.continuations, m.id));
    let bytes = u16::from_str_radix(&row.maker, 16).expect("four digits").to_be_bytes();
    assert_eq!(maker, Some((bytes[0] & 0x7F, bytes[1] & 0x7F)));
    assert_eq!((read.location, &read.serial), (row.location, &row.serial));
    assert_eq!(read.made, Some(Made { year: row.year, week: row.week }));
    assert_eq!(read.oddities, []);
}

#[test]
fn codes_and_serials_come_apart_as_their_rows_say() {
    for row in published().code {
        let code = code::read(&row.text).unwrap_or_else(|e| panic!("{}: {e}", row.text));
        assert_eq!(code.label_text.as_ref(), Some(&row.label));
        assert_eq!(code.part_number.as_ref(), Some(&row.part_number));
        assert_eq!(code.maker_text.as_deref().unwrap_or_default(), row.maker_text);
        let other = code.others.first().map(|(key, text)| (*key, text.as_str()));
        assert_eq!(other, row.maker_text.is_empty().then_some(('C', "QSFF")));
        check_serial(code.serial.as_ref().expect("18 digits"), &row.serial);
        let reading = code.reading();
        assert_eq!(reading.serial, Some(row.serial.serial.into()));
        assert_eq!(reading.label, label::read(&row.label).map(|l| label::write(&l)).ok());
        assert!(reading.oddities.is_empty(), "{:?}", reading.oddities);
        assert_eq!(code::read(&code::write(&code)), Ok(code));
    }
    for row in published().serial {
        check_serial(&serial::read(row.text.as_deref().expect("its text")).expect("18 digits"), &row);
    }
}

#[test]
fn keys_of_codes_are_read_in_lower_case_and_bad_fields_are_told() {
    let code = code::read("(l)32gb 2rx4 pc4-2666v-rb2-12 (p) M393A4K40CB2-CTD(s)80CF99").expect("a code");
    assert_eq!(code.label_text.as_deref(), Some("32gb 2rx4 pc4-2666v-rb2-12"));
    assert_eq!(code.part_number.as_deref(), Some("M393A4K40CB2-CTD"));
    assert_eq!(code.reading().oddities.first().map(|o| o.name), Some("serial-not-in-form"));
    assert_eq!(code::read("(l)32gb ... (p)").map(|c| c.part_number), Ok(None));
    assert_eq!(code::read("(L)(S)(P)"), Err(code::CodeError::NoField));
    let wrong = serial::read("00CE01223A03A7EFA4").expect("18 digits");
    let names: Vec<_> = wrong.oddities.iter().map(|o| o.name).collect();
    assert_eq!((names, wrong.made), (vec!["maker-parity-wrong", "date-not-bcd"], None));
}

#[test]
fn labels_of_nonvolatile_modules_are_recognised_and_carry_the_caution() {
    for (text, gb, ranks, rate) in [
        ("16GB 1Rx4 NN4-2666V-RC1", Some(16), Some(1), Some(2666)),
        ("32GB 2Rx4 PC4-2933Y-RB2-12 NVDIMM-N", Some(32), Some(2), Some(2933)),
        ("16GB NVDIMM PC4-2400T", Some(16), None, Some(2400)),
        ("nvdimm-n 16 GB", Some(16), None, None),
    ] {
        let read = label::read(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        let reading = read.reading();
        assert_eq!(reading.kind, Some(Kind::Nonvolatile), "{text}");
        assert_eq!(reading.capacity, gb.map(Capacity::from_gib), "{text}");
        assert_eq!((reading.package_ranks, reading.rate.map(|r| r.mts())), (ranks, rate), "{text}");
        assert!(read.notes.iter().any(|n| n.contains("customer's data")), "{text}");
        assert!(matches!(read.module(), Err(LabelError::Nonvolatile { .. })), "{text}");
        assert_eq!(label::read(&label::write(&read)).map(|r| r.parts), Ok(read.parts), "{text}");
    }
}

#[test]
fn what_separators_and_slips_leave_out_is_found() {
    let taken = [
        ("64GB2Rx4PC4-2933YRB2-12", "64GB 2Rx4 PC4-2933Y-RB2-12"),
        ("64GB 2Rx4 PC5-4800BRA01010-XT", "64GB 2Rx4 PC5-4800B-RA0-1010-XT"),
        ("PC4-3200AA-RB2-12 64GB 2Rx4", "64GB 2Rx4 PC4-3200AA-RB2-12"),
        ("2Rx4 64 GB pc4_3200aa r", "64GB 2Rx4 PC4-3200AA-R"),
        ("16GB 2Rx8 PC4-3200AA-RAC1-12", "16GB 2Rx8 PC4-3200AA-RAC1-12"),
        ("256GB 4S4Rx4 PC5-5600B-R", "256GB 4S4Rx4 PC5-5600B-R"),
    ];
    for (text, means) in taken {
        assert_eq!(label::read(text).map(|r| label::write(&r)), Ok(means.to_string()), "{text}");
    }
    let offered = [
        ("64G8 2Rx4 PC4-2933Y-RB2-12", "64GB 2Rx4 PC4-2933Y-RB2-12"),
        ("G4GB 2Rx4 PC4-2933Y-RB2-12", "64GB 2Rx4 PC4-2933Y-RB2-12"),
        ("64GB 2Rx4 PC4-Z933Y-RB2-1Z", "64GB 2Rx4 PC4-2933Y-RB2-12"),
        ("64GB 252Rx4 PC4-2933Y-RA2-12", "64GB 2S2Rx4 PC4-2933Y-RA2-12"),
        ("64GB 2Rx4 PCS-4800B-RA0-1010-XT", "64GB 2Rx4 PC5-4800B-RA0-1010-XT"),
        ("8GB 2Rx8 PC4-10600E-9-10-E0", "8GB 2Rx8 PC3-10600E-9-10-E0"),
        // Look-alikes all over the label.
        ("64GB 2Rx4 PC5-4BOOB-RA0-1010-XT", "64GB 2Rx4 PC5-4800B-RA0-1010-XT"),
        ("64GB 2Rx4 PC5-48OOB-RAO-1O1O-XT", "64GB 2Rx4 PC5-4800B-RA0-1010-XT"),
        ("32GB 2Rx4 PC4-24OOT-RA1-11-DCO", "32GB 2Rx4 PC4-2400T-RA1-11-DC0"),
        ("64GB 2Rx4 PC5-48008-RA0-1010-XT", "64GB 2Rx4 PC5-4800B-RA0-1010-XT"),
        ("128GB 2S2Rx4 PC5-480OB-RA0-1010-XT", "128GB 2S2Rx4 PC5-4800B-RA0-1010-XT"),
        ("32GB 2Rx4 PC4-2400T-R41", "32GB 2Rx4 PC4-2400T-RA1"),
        // Slips of the keys.
        ("16GB 1R4 PC4-2666V-RC2-12", "16GB 1Rx4 PC4-2666V-RC2-12"),
        ("16GB Rx4 PC4-2666V-RC2-12", "16GB 1Rx4 PC4-2666V-RC2-12"),
        ("16GB 1Rx4 P4C-2666V-RC2-12", "16GB 1Rx4 PC4-2666V-RC2-12"),
        ("16GB 1Rx4 PC4-266V-RC2-12", "16GB 1Rx4 PC4-2666V-RC2-12"),
        ("16GB 1Rx4 PC4-6266V-RC2-12", "16GB 1Rx4 PC4-2666V-RC2-12"),
        ("16GB 1Rx4 PC4-2666V-C2-12", "16GB 1Rx4 PC4-2666V-RC2-12"),
        ("32GB 2Rx4 PC4-2400T", "32GB 2Rx4 PC4-2400T-R"),
        // Words around it.
        ("Brand 64GB 2Rx4 PC4-2933Y-RB2-12 S/N 123", "64GB 2Rx4 PC4-2933Y-RB2-12"),
    ];
    for (text, means) in offered {
        let error = label::read(text).expect_err(text);
        assert_eq!(error.nearest(), Some(means), "{text}: {error}");
    }
    // Neither a look-alike that would be an odd revision, nor one of several words, is offered.
    for text in ["32GB 2Rx4 PC4-2400T-R1A", "32GB 2Rx4 PC4-2933Z-R", "64GB 2Rx4 PC4-2933Y-RB2-32"] {
        assert_eq!(label::read(text).err().and_then(|e| e.nearest().map(str::to_string)), None, "{text}");
    }
    let letter = label::read("32GB 2Rx4 PC4-2400T-RBZ-11").expect("a letter as revision");
    assert_eq!(letter.nearest().as_deref(), Some("32GB 2Rx4 PC4-2400T-RB2-11"));
    let missing = label::read("8GB PC4-2400T-RD1-11").expect("a label without organisation");
    assert_eq!(missing.nearest().as_deref(), Some("8GB 1Rx8 PC4-2400T-RD1-11"));
}

#[test]
fn labels_whose_fields_disagree_are_noted() {
    for odd in published().odd {
        let reading = label::read(&odd.text).unwrap_or_else(|e| panic!("{}: {e}", odd.text));
        assert!(reading.oddities.iter().any(|o| o.name == odd.name), "{}: {:?}", odd.text, reading.oddities);
    }
}

#[test]
fn slips_are_taken_or_the_label_that_was_meant_is_offered() {
    for slip in published().slip {
        match label::read(&slip.text) {
            Ok(reading) => {
                let offered = reading.nearest();
                assert_eq!(offered.is_some(), slip.offered, "{} was taken as {}", slip.text, label::write(&reading));
                assert_eq!(offered.unwrap_or_else(|| label::write(&reading)), slip.means);
            }
            Err(error) => {
                assert!(slip.offered, "{}: {error}", slip.text);
                assert_eq!(error.nearest(), Some(slip.means.as_str()), "{}: {error:?}", slip.text);
                assert!(error.hint().contains(&slip.means));
            }
        }
    }
}

#[test]
fn stacks_and_old_forms() {
    let stacked = label::module("128gb 2s4rx4 pc4-2933y-ra1-12").expect("a 3DS module");
    assert_eq!((stacked.kind, stacked.cas_latency), (Kind::Rdimm3ds, Some(24)));
    assert_eq!(stacked.organisation.logical_ranks(), 8);
    assert_eq!(stacked.die_density.map(|d| d.gbit()), Some(8));
    let old = label::module("16GB 2Rx4 PC4-19200R-17-11-B1").expect("the bandwidth form");
    assert_eq!((old.rate.mts(), old.cas_latency), (2400, Some(17)));
    assert_eq!(old.label, "16GB 2Rx4 PC4-19200R-17-11-B1");
    let ddr3 = label::module("8GB 2Rx8 PC3L-12800R-11-12-E2").expect("a DDR3 module");
    assert_eq!((ddr3.voltage.millivolts(), ddr3.rate.mts()), (1350, 1600));
    let told = label::module("64GB 2Rx4 PC5-4800B-R x80").expect("a DDR5 module");
    assert_eq!(told.ecc_bits, Some(8));
    assert_eq!(label::module("64GB 2Rx4 PC5-4800B-R").map(|m| m.ecc_bits), Ok(None));
    let unbuffered = label::module("16 GB 1Rx8 PC5-5600B-U").expect("an unbuffered module");
    assert_eq!((unbuffered.kind, unbuffered.ecc_bits), (Kind::Udimm, Some(0)));
    // Makers print the CAS latency of DDR3 with a zero in front too, and the first modules had dies of 512 Mbit.
    let padded = label::module("8GB 2Rx8 PC3L-10600R-09-11-E1-D3").expect("a DDR3 module");
    assert_eq!((padded.cas_latency, padded.label.as_str()), (Some(9), "8GB 2Rx8 PC3L-10600R-9-11-E1-D3"));
    let small = label::read("512MB 1Rx8 PC3-10600U-9-10-A0").expect("a small module");
    assert_eq!(small.oddities, []);
    // No raw card of a DDR5 stack is known, so that none is unusual.
    let stack = label::read("128GB 2S2Rx4 PC5-4800B-RA0-1010-XT").expect("a 3DS module");
    assert_eq!(stack.oddities, []);
    let mixed = label::read("PC5-44800B-R 64GB 2Rx4").expect("a mixed form");
    assert_eq!((mixed.reading().rate.map(|r| r.mts()), mixed.oddities.len()), (Some(5600), 1));
    assert_eq!(mixed.oddities[0].name, "bandwidth-with-grade");
}

#[test]
fn errors_name_the_field_and_the_column() {
    let cases = [
        ("2Rx4 PC4-2933Y-R", Field::Capacity, 1, None),
        ("64 2Rx4 PC4-2933Y-R", Field::Capacity, 1, Some("64GB 2Rx4 PC4-2933Y-R")),
        ("8GB PC4-2400T-RD1-11", Field::Organisation, 5, Some("8GB 1Rx8 PC4-2400T-RD1-11")),
        ("64GB 2Sx4 PC4-2933Y-R", Field::Organisation, 6, Some("64GB 2Rx4 PC4-2933Y-R")),
        ("64GB 2Rx4 2933Y-R", Field::Generation, 11, None),
        ("64GB 2Rx4 PC4-2993Y-R", Field::Rate, 15, Some("64GB 2Rx4 PC4-2933Y-R")),
        ("64GB 2Rx4 PC4-2933Z-R", Field::Grade, 19, None),
        ("64GB 2Rx4 PC4-2933Y", Field::Kind, 20, Some("64GB 2Rx4 PC4-2933Y-R")),
        ("64GB 4DRx4 PC4-2933Y", Field::Kind, 21, None),
        ("16GB 2Rx8 PC4-2933Y", Field::Kind, 20, None),
        ("64GB 2Rx4 PC4-2400R", Field::Kind, 20, Some("64GB 2Rx4 PC4-2400-R")),
        ("64GB 2Rx4 PC4-2933Y-RBO", Field::RawCard, 22, Some("64GB 2Rx4 PC4-2933Y-RB0")),
        ("64GB 2Rx4 PC4-2933Y-RB2-1O", Field::SpdRevision, 25, Some("64GB 2Rx4 PC4-2933Y-RB2-10")),
        ("64GB 2Rx4 PC4-2933Y-RB2-12-\u{1b}[31m", Field::Tail, 28, None),
    ];
    for (text, field, column, nearest) in cases {
        let error = label::module(text).expect_err(text);
        assert_eq!((error.field(), error.column(), error.nearest()), (Some(field), column, nearest), "{text}: {error}");
        assert!(!error.hint().is_empty());
    }
    let nonvolatile = label::module("16GB 1Rx4 NN4-2666V-RC1").expect_err("a non-volatile module");
    assert!(matches!(nonvolatile, LabelError::Nonvolatile { column: 11, .. }));
    assert!(matches!(label::module("16GB 1Rx8 PC4-2666V-SA1"), Err(LabelError::NotServer { column: 21, .. })));
    assert_eq!(label::read("  "), Err(LabelError::Empty));
}
