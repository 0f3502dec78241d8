//! Replays `published/part-numbers/parts.toml`, and the readers' properties on part numbers.

use domain::reading::Form;
use domain::{Capacity, Generation, Kind};
use proptest::prelude::*;
use readers::part_number::{self, PartError};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    #[serde(rename = "format")]
    _format: u8,
    part: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    text: String,
    capacity_gb: u64,
    ranks: u8,
    mts: u32,
    reported_mts: Option<u32>,
}

fn published() -> Vec<Row> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../published/part-numbers/parts.toml");
    let text = std::fs::read_to_string(path).expect("the published part numbers");
    toml::from_str::<Published>(&text).expect("their form").part
}

/// Parts of which machines reported other ranks than the number tells: one 64 GB module of 8 Gbit dies in stacks of two,
/// which can have four.
const OTHER_RANKS: [&str; 1] = ["M393A8K40B22-CWD6Q"];

#[test]
fn every_published_part_number_tells_capacity_ranks_and_rate() {
    let rows = published();
    assert_eq!(rows.len(), 156);
    let mut slower = 0;
    for row in &rows {
        let part = part_number::read(&row.text).unwrap_or_else(|e| panic!("{}: {e}", row.text));
        let reading = &part.reading;
        assert_eq!(reading.capacity, Some(Capacity::from_gib(row.capacity_gb)), "{}", row.text);
        assert_eq!(reading.rate.map(|r| r.mts()), Some(row.mts), "{}", row.text);
        let agree = reading.logical_ranks() == Some(row.ranks) && reading.package_ranks.is_some();
        assert_eq!(agree, !OTHER_RANKS.contains(&row.text.as_str()), "{}: {:?}", row.text, reading.package_ranks);
        assert!(reading.clocks.is_some() && reading.kind.is_some(), "{}", row.text);
        assert!(part.untold.contains(&"serial number and date"), "{}", row.text);
        slower += usize::from(row.reported_mts.is_some_and(|m| m < row.mts));
    }
    assert_eq!(slower, 2, "machines that ran the module slower");
}

#[test]
fn each_scheme_tells_kind_width_stack_and_clocks() {
    let told = |text: &str| {
        let part = part_number::read(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        let r = part.reading;
        let clocks = r.clocks.map(|c| (c.cas, c.rcd, c.rp));
        (r.kind, r.package_ranks, r.stack_height, r.device_width, clocks)
    };
    let all = |cl, rest| Some((cl, rest, rest));
    for (text, kind, ranks, stack, width, clocks) in [
        ("M393A8G40MB2-CVFBY", Kind::Rdimm, 2, 1, 4, all(21, 21)),
        ("M386AAK40B40-CWD", Kind::Lrdimm3ds, 2, 4, 4, all(22, 19)),
        ("M386A8K40BM2-CTD60", Kind::Lrdimm, 4, 1, 4, all(19, 19)),
        ("M321R8GA0BB0-CQKDS", Kind::Rdimm, 2, 1, 4, all(40, 39)),
        ("M321RAGA0B20-CWKBY", Kind::Rdimm3ds, 2, 2, 4, all(46, 39)),
        ("M321RYGA0BB0-CQK", Kind::Rdimm, 2, 1, 4, all(40, 39)),
        ("M393B4G70BM0-CMA", Kind::Rdimm, 4, 1, 4, all(13, 13)),
        ("M393B1K70DH0-YH9", Kind::Rdimm, 2, 1, 4, all(9, 9)),
        ("HMA84GL7AMR4N-TF", Kind::Lrdimm, 4, 1, 4, all(15, 15)),
        // As SPD contents of DDR3 have them, without the dash.
        ("36JSZF1G72PDZ1G4D1", Kind::Rdimm, 4, 1, 8, all(9, 9)),
        ("HMT42GR7AFR4A-PB", Kind::Rdimm, 2, 1, 4, all(11, 11)),
        ("HMCGY8MGBRB227N", Kind::Rdimm, 2, 1, 8, all(46, 45)),
        ("MTA36ASF8G72PZ-3G2E1", Kind::Rdimm, 2, 1, 4, all(22, 22)),
        ("MTA144ASQ16G72PSZ-2S6G1", Kind::Rdimm3ds, 2, 4, 4, all(22, 19)),
        ("MTA4ATF51264HZ-2G3B1", Kind::Udimm, 1, 1, 16, all(17, 17)),
        ("MT36KSF2G72PZ-1G6E1", Kind::Rdimm, 2, 1, 4, all(11, 11)),
        ("MT18KSF1G72HZ-1G6E2", Kind::Udimm, 2, 1, 8, all(11, 11)),
        ("MTC20F1045S1RC64BD2", Kind::Rdimm, 1, 1, 4, all(52, 52)),
        ("mtc40f2046s1rc56bd", Kind::Rdimm, 2, 1, 4, all(46, 45)),
    ] {
        assert_eq!(told(text), (Some(kind), Some(ranks), Some(stack), Some(width), clocks), "{text}");
    }
    let small = part_number::read("M425R4GA3BB0-CWMOD").expect("a DDR5 SODIMM").reading;
    assert_eq!((small.form, small.generation, small.ecc_bits), (Some(Form::Sodimm), Some(Generation::Ddr5), Some(0)));
    let low = part_number::read("HMT42GR7AFR4A-PB").expect("a DDR3 module").reading;
    assert_eq!(low.voltage.map(|v| v.millivolts()), Some(1350));
    let maker = low.maker.and_then(|m| m.id).map(|id| (id.continuations, id.id));
    assert_eq!(maker, Some((0, 0x2D)));
}

#[test]
fn a_slip_gets_the_nearest_number_and_a_stranger_is_called_one() {
    let slip = part_number::read("HMCGY8MG8RB227N").expect_err("8 for B");
    assert_eq!(slip.nearest(), Some("HMCGY8MGBRB227N"));
    assert!(slip.hint().contains("HMCGY8MGBRB227N"), "{}", slip.hint());
    let slip = part_number::read("M393A4K4OCB2-CTD").expect_err("O for 0");
    assert_eq!((slip.nearest(), slip.column()), (Some("M393A4K40CB2-CTD"), 9));
    for stranger in ["KSM32RD4/64", "9965745-002", "NT32GA72D4NFX3K-IX", "UD5-6000"] {
        let error = part_number::read(stranger).expect_err(stranger);
        assert!(matches!(&error, PartError::NoScheme { nearest: None, .. }), "{error:?}");
        assert!(error.hint().contains("SPD"), "{}", error.hint());
    }
    assert_eq!(part_number::read(" "), Err(PartError::Empty));
    let later = part_number::read("M393A4K40CB2-CZZ").expect("an unknown speed");
    assert_eq!((later.reading.rate, later.notes.len()), (None, 1));
    assert!(later.untold.contains(&"data rate"));
    for (cut, gb) in [("M393B2G70DB0-Y", 16), ("18KSF51272PDZ1G", 4), ("HMT31GR7CFR4A-", 8)] {
        let part = part_number::read(cut).unwrap_or_else(|e| panic!("{cut}: {e}"));
        assert_eq!((part.reading.capacity, part.reading.rate), (Some(Capacity::from_gib(gb)), None), "{cut}");
        assert!(part.reading.package_ranks == Some(2) && part.untold.contains(&"data rate"), "{cut}");
        assert!(part.notes[0].contains("cut short"), "{cut}: {:?}", part.notes);
    }
    let own = part_number::read("MTC20F2085S1RC48BA1 NGFF").expect("with a customer's text");
    assert!(own.notes.iter().any(|n| n.contains("NGFF")), "{:?}", own.notes);
}

proptest! {
    #[test]
    fn any_text_is_a_part_number_or_an_error(text in "\\PC{0,45}") {
        if let Err(error) = part_number::read(&text) {
            prop_assert!(!error.hint().is_empty() && error.column() >= 1);
        }
    }

    #[test]
    fn a_damaged_number_reads_or_its_nearest_does(row in 0usize..156, at in 0usize..24, with in "[A-Z0-9 -]") {
        let mut text: Vec<char> = published()[row].text.chars().collect();
        if let Some(place) = text.get_mut(at) {
            *place = with.chars().next().unwrap_or('0');
        }
        let text: String = text.into_iter().collect();
        match part_number::read(&text) {
            Ok(part) => prop_assert_eq!(part.reading.part_number.as_deref(), Some(text.trim())),
            Err(error) => if let Some(nearest) = error.nearest() {
                prop_assert!(part_number::read(nearest).is_ok(), "{} offered for {}", nearest, text);
            }
        }
    }
}
