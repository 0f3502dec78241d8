//! Properties of the label reader: what is written reads back, and no text makes it panic.

use domain::{Capacity, DataRate, Generation};
use proptest::prelude::*;
use readers::label::{
    self, EccWord, KindLetter, LabelParts, LabelReading, Letters, Nonvolatile, Ranks, Stacking, SupplyLetter,
};

fn card() -> impl Strategy<Value = (Option<String>, Option<String>)> {
    prop_oneof![
        Just((None, None)),
        "[A-HJ-N]".prop_map(|c| (Some(c), None)),
        ("[A-HJ-N]{1,2}", "([0-9]{1,2}|[A-H])").prop_map(|(c, r)| (Some(c), Some(r))),
    ]
}

fn stacking() -> impl Strategy<Value = Stacking> {
    prop_oneof![Just(Stacking::Mono), Just(Stacking::Dual), Just(Stacking::Quad), (2u8..=8).prop_map(Stacking::Single)]
}

/// (generation, supply, rate, grade, kind, CAS latency in print, SPD revision)
type Named = (Generation, Option<SupplyLetter>, u32, Option<String>, KindLetter, Option<u8>, Option<String>);

fn kinds() -> impl Strategy<Value = KindLetter> {
    prop::sample::select(vec![
        KindLetter::Registered,
        KindLetter::LoadReduced,
        KindLetter::UnbufferedEcc,
        KindLetter::Unbuffered,
        KindLetter::SmallOutline,
        KindLetter::SmallOutlineEcc,
    ])
}

fn named() -> impl Strategy<Value = Named> {
    let ddr3 = (
        prop::option::of(prop::sample::select(vec![SupplyLetter::Low, SupplyLetter::UltraLow])),
        prop::sample::select(vec![800, 1066, 1333, 1600, 1866]),
        kinds(),
        prop::option::of((5u8..=14, prop::option::of("[0-9]{2}"))),
    )
        .prop_map(|(supply, rate, kind, cas)| {
            let (cas, spd) = cas.map_or((None, None), |(c, s)| (Some(c), s));
            (Generation::Ddr3, supply, rate, None, kind, cas, spd)
        });
    let ddr4 = (
        prop::sample::select(vec![2133, 2400, 2666, 2933, 3200]),
        prop::option::of(prop::sample::select(vec!["P", "R", "T", "U", "V", "W", "Y", "AA", "AC"])),
        kinds(),
        prop::option::of(10u8..=30),
        prop::option::of("[0-9]{2}"),
    )
        .prop_map(|(rate, grade, kind, cas, spd)| {
            let cas = if grade.is_some() { None } else { cas };
            (Generation::Ddr4, None, rate, grade.map(String::from), kind, cas, spd)
        });
    let ddr5 = (
        prop::sample::select(vec![4800, 5600, 6400, 8000, 8800]),
        prop::option::of(prop::sample::select(vec!["A", "B", "C", "AN", "BN"])),
        prop_oneof![kinds(), Just(KindLetter::Multiplexed)],
        prop::option::of("[0-9]{4}"),
    )
        .prop_map(|(rate, grade, kind, spd)| (Generation::Ddr5, None, rate, grade.map(String::from), kind, None, spd));
    prop_oneof![ddr3, ddr4, ddr5]
}

fn ranks() -> impl Strategy<Value = Ranks> {
    (1u8..=8, stacking(), prop::sample::select(vec![4u8, 8, 16, 32]))
        .prop_map(|(package_ranks, stacking, width)| Ranks { package_ranks, stacking, width })
}

fn parts() -> impl Strategy<Value = LabelParts> {
    let shape = (prop::option::of(64u64..=1024 * 1024), prop::option::of(ranks()));
    let ecc = prop::option::of(prop::sample::select(vec![EccWord::None, EccWord::Four, EccWord::Eight]));
    let tail = prop::option::of("[A-W][A-Z0-9]{1,3}(-[A-W][A-Z0-9]{0,2})?");
    let kept = prop::sample::select(vec![None, Some(Nonvolatile::Word(None)), Some(Nonvolatile::Word(Some('N')))]);
    (shape, named(), card(), tail, ecc, kept).prop_map(|((mib, ranks), named, card, tail, ecc, nonvolatile)| {
        let (generation, supply, rate, grade, kind, cas_latency, spd_revision) = named;
        // `EC4` is a DDR5 word, and a tail behind no raw card can't be told from one.
        let ecc = ecc.filter(|e| generation == Generation::Ddr5 || *e != EccWord::Four);
        let tail = tail.filter(|t| card.0.is_some() && !t.contains("EC"));
        LabelParts {
            capacity: mib.map(Capacity::from_mib),
            ranks,
            nonvolatile,
            generation: Some(generation),
            supply,
            rate: Some(DataRate::from_mts(rate)),
            bandwidth: generation == Generation::Ddr3 || cas_latency.is_some(),
            grade: grade.and_then(|g| Letters::new(&g)),
            kind: Some(kind),
            cas_latency,
            raw_card: card.0.and_then(|c| Letters::new(&c)),
            raw_card_revision: card.1.and_then(|r| Letters::new(&r)),
            spd_revision: spd_revision.and_then(|r| Letters::new(&r)),
            tail,
            ecc,
        }
    })
}

proptest! {
    #[test]
    fn what_is_written_reads_back(parts in parts()) {
        let reading = LabelReading::from_parts(parts);
        let text = label::write(&reading);
        prop_assert_eq!(label::read(&text).map(|r| r.parts), Ok(reading.parts.clone()), "{}", text);
        if reading.parts.nonvolatile.is_none() {
            let loose = text.to_lowercase().replace('-', " - ").replacen(' ', "   ", 1);
            prop_assert_eq!(label::read(&loose).map(|r| r.parts), Ok(reading.parts), "{}", loose);
        }
    }

    #[test]
    fn any_bytes_are_a_label_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        if let Err(error) = label::read(&String::from_utf8_lossy(&bytes)) {
            prop_assert!(error.column() >= 1 && !error.hint().is_empty());
        }
    }

    #[test]
    fn a_damaged_label_reads_to_something_stable_or_is_an_error(
        text in "(64|16|l6|O)? ?(GB|G8|TB)? ?[1248O][DSR4]{0,2}[Rr]?[xX*8]4? ?(PC|P[C0])?[345AL]{0,2}[- _]?\
                 (2933Y|19200R|4800B|56008|12800R|2400R)[- ]?[RLEUSNM]?[ABO]?[0-9O]?(-1[012O])?(-.{0,4})?"
    ) {
        match label::read(&text) {
            Ok(reading) => {
                let again = label::read(&label::write(&reading)).map(|r| r.parts);
                prop_assert_eq!(again, Ok(reading.parts), "{}", text);
            }
            Err(error) => if let Some(nearest) = error.nearest() {
                prop_assert!(label::read(nearest).is_ok(), "{} offered for {}", nearest, text);
            }
        }
    }
}
