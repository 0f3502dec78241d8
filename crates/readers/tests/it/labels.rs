//! Replays `published/labels/labels.toml`: every row read, field by field.

use domain::{Capacity, Kind};
use readers::label::{self, Field, LabelError};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    #[serde(rename = "format")]
    _format: u8,
    label: Vec<Row>,
    odd: Vec<Odd>,
    slip: Vec<Slip>,
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
        if row.kind == "SODIMM" {
            assert!(matches!(label::read(&row.text), Err(LabelError::NotServer { .. })), "{}", row.text);
            continue;
        }
        let reading = label::read(&row.text).unwrap_or_else(|e| panic!("{}: {e}", row.text));
        let module = &reading.module;
        assert_eq!(module.capacity, Capacity::from_gib(row.capacity_gb), "{}", row.text);
        assert_eq!(module.organisation.package_ranks, row.package_ranks, "{}", row.text);
        assert_eq!(module.organisation.dual_die, row.dual_die, "{}", row.text);
        assert_eq!(module.organisation.stack, row.stack, "{}", row.text);
        assert_eq!(module.organisation.width, row.width, "{}", row.text);
        assert_eq!(module.generation.name(), row.generation, "{}", row.text);
        assert_eq!(module.rate.mts(), row.rate, "{}", row.text);
        assert_eq!(module.kind.name(), row.kind, "{}", row.text);
        assert_eq!(module.cas_latency, row.cl, "{}", row.text);
        assert_eq!(reading.parts.grade, row.grade, "{}", row.text);
        assert_eq!(reading.parts.raw_card, row.raw_card, "{}", row.text);
        assert_eq!(reading.parts.raw_card_revision, row.raw_card_revision, "{}", row.text);
        assert_eq!(reading.parts.spd_revision, row.spd_revision, "{}", row.text);
        assert_eq!(reading.parts.tail, row.tail, "{}", row.text);
        assert_eq!(reading.notes, Vec::<String>::new(), "{}", row.text);
        assert_eq!(label::read(&label::write(&reading)).as_ref(), Ok(&reading), "{}", row.text);
    }
}

#[test]
fn labels_whose_fields_disagree_are_noted() {
    for odd in published().odd {
        let reading = label::read(&odd.text).unwrap_or_else(|e| panic!("{}: {e}", odd.text));
        assert!(reading.notes.iter().any(|n| n.starts_with("raw card")), "{}: {:?}", odd.text, reading.notes);
    }
}

#[test]
fn slips_are_taken_or_the_label_that_was_meant_is_offered() {
    for slip in published().slip {
        match label::read(&slip.text) {
            Ok(reading) => {
                assert!(!slip.offered, "{} was taken as {}", slip.text, reading.module.label);
                assert_eq!(reading.module.label, slip.means);
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
    let stacked = label::read("128gb 2s4rx4 pc4-2933y-ra1-12").expect("a 3DS module");
    assert_eq!((stacked.module.kind, stacked.module.cas_latency), (Kind::Rdimm3ds, Some(24)));
    assert_eq!(stacked.module.organisation.logical_ranks(), 8);
    assert_eq!(stacked.module.die_density.map(|d| d.gbit()), Some(8));
    let old = label::read("16GB 2Rx4 PC4-19200R-17-11-B1").expect("the bandwidth form");
    assert_eq!((old.module.rate.mts(), old.module.cas_latency), (2400, Some(17)));
    assert_eq!(old.module.label, "16GB 2Rx4 PC4-19200R-17-11-B1");
    let ddr3 = label::read("8GB 2Rx8 PC3L-12800R-11-12-E2").expect("a DDR3 module");
    assert_eq!((ddr3.module.voltage.millivolts(), ddr3.module.rate.mts()), (1350, 1600));
    assert_eq!(ddr3.parts.raw_card.as_deref(), Some("E"));
    let told = label::read("64GB 2Rx4 PC5-4800B-R x80").expect("a DDR5 module");
    assert_eq!(told.module.ecc_bits, Some(8));
    assert_eq!(label::read("64GB 2Rx4 PC5-4800B-R").map(|r| r.module.ecc_bits), Ok(None));
    let unbuffered = label::read("16 GB 1Rx8 PC5-5600B-U").expect("an unbuffered module");
    assert_eq!((unbuffered.module.kind, unbuffered.module.ecc_bits), (Kind::Udimm, Some(0)));
    let mixed = label::read("64GB 2Rx4 PC5-44800B-R").expect("a mixed form");
    assert_eq!((mixed.module.rate.mts(), mixed.notes.len()), (5600, 1));
}

#[test]
fn errors_name_the_field_and_the_column() {
    let cases = [
        ("2Rx4 PC4-2933Y-R", Field::Capacity, 1, None),
        ("64 2Rx4 PC4-2933Y-R", Field::Capacity, 1, None),
        ("8GB PC4-2400T-RD1-11", Field::Organisation, 5, Some("8GB 1Rx8 PC4-2400T-RD1-11")),
        ("64GB 2Sx4 PC4-2933Y-R", Field::Organisation, 6, None),
        ("64GB 2Rx4 2933Y-R", Field::Generation, 11, None),
        ("64GB 2Rx4 PC4-2993Y-R", Field::Rate, 15, None),
        ("64GB 2Rx4 PC4-2933Z-R", Field::Grade, 19, None),
        ("64GB 2Rx4 PC4-2933Y", Field::Kind, 20, None),
        ("64GB 2Rx4 PC4-2400R", Field::Kind, 20, Some("64GB 2Rx4 PC4-2400-R")),
        ("64GB 2Rx4 PC4-2933Y-RBO", Field::RawCard, 22, Some("64GB 2Rx4 PC4-2933Y-RB0")),
        ("64GB 2Rx4 PC4-2933Y-RB2-1O", Field::SpdRevision, 25, Some("64GB 2Rx4 PC4-2933Y-RB2-10")),
        ("64GB 2Rx4 PC4-2933Y-RB2-12-\u{1b}[31m", Field::Tail, 28, None),
    ];
    for (text, field, column, nearest) in cases {
        let error = label::read(text).expect_err(text);
        assert_eq!((error.field(), error.column(), error.nearest()), (Some(field), column, nearest), "{text}: {error}");
        assert!(!error.hint().is_empty());
    }
    let nonvolatile = label::read("16GB 1Rx4 NN4-2666V-RC1").expect_err("a non-volatile module");
    assert!(matches!(nonvolatile, LabelError::Nonvolatile { column: 11, .. }));
    assert!(matches!(label::read("16GB 1Rx8 PC4-2666V-SA1"), Err(LabelError::NotServer { column: 21, .. })));
    assert_eq!(label::read("  "), Err(LabelError::Empty));
}
