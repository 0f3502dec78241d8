//! Replays `published/march-tests/march.toml`.

use bench::fault::{Background, Family, Free, Linked, coverage, detects, linked};
use bench::march::{BACKGROUNDS, March, intra_word_factor, known};
use domain::Bandwidth;
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    #[serde(rename = "format")]
    _format: u8,
    test: Vec<Test>,
    lengths: Lengths,
    full: Full,
    misses: Misses,
    bound: Bound,
    intra_word: Vec<IntraWord>,
    backgrounds: Backgrounds,
    duration: Vec<Duration>,
}

#[derive(Deserialize)]
struct Test {
    name: String,
    sequence: String,
    background: String,
    operations: usize,
    coverage: BTreeMap<String, [usize; 2]>,
    #[serde(default)]
    linked: BTreeMap<String, [usize; 2]>,
}

#[derive(Deserialize)]
struct Lengths {
    by_name: BTreeMap<String, usize>,
}

#[derive(Deserialize)]
struct Full {
    name: String,
}

#[derive(Deserialize)]
struct Misses {
    name: String,
    families: Vec<String>,
}

#[derive(Deserialize)]
struct Bound {
    least: usize,
    tests: Vec<String>,
}

#[derive(Deserialize)]
struct IntraWord {
    bits: u32,
    factor: u32,
}

#[derive(Deserialize)]
struct Backgrounds {
    hex: Vec<String>,
    pairs: usize,
}

#[derive(Deserialize)]
struct Duration {
    name: String,
    bytes: u64,
    gbs: f64,
    backgrounds: usize,
    seconds: f64,
    tolerance: f64,
}

fn published() -> Published {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../published/march-tests/march.toml");
    toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn march(name: &str) -> March {
    known(name).and_then(|k| k.march()).unwrap_or_else(|| panic!("{name} is not known"))
}

fn background(word: &str) -> Background {
    if word == "checkerboard" { Background::Checkerboard } else { Background::Solid }
}

#[test]
fn every_test_finds_what_the_table_says() {
    let tests = published().test;
    assert_eq!(tests.len(), 14);
    for test in tests {
        let march = March::parse(&test.sequence).unwrap();
        if let Some(ours) = known(&test.name) {
            assert_eq!(ours.march().as_ref(), Some(&march), "{}", test.name);
        }
        assert_eq!(march.operations(), test.operations, "{}", test.name);
        assert_eq!(test.coverage.len(), Family::ALL.len());
        for (family, short, _) in Family::ALL {
            let share = coverage(&march, family, background(&test.background), Free::Alike);
            assert_eq!([share.found, share.of], test.coverage[short], "{} {short}", test.name);
        }
    }
}

#[test]
fn linked_faults_are_found_as_the_table_says() {
    let tests = published().test;
    assert_eq!(tests.iter().filter(|t| !t.linked.is_empty()).count(), 13);
    for test in tests.iter().filter(|t| !t.linked.is_empty()) {
        let march = March::parse(&test.sequence).unwrap();
        for (sort, name) in Linked::ALL {
            let all = linked(sort);
            let found = all.iter().filter(|f| detects(&march, *f, Background::Solid, Free::Alike)).count();
            assert_eq!([found, all.len()], test.linked[name], "{} {name}", test.name);
        }
    }
}

#[test]
fn lengths_and_claims_are_as_printed() {
    let printed = published();
    for (name, length) in &printed.lengths.by_name {
        assert_eq!(march(name).operations(), *length, "{name}");
    }
    for (family, short, _) in Family::ALL {
        let share = coverage(&march(&printed.full.name), family, Background::Solid, Free::Each);
        assert_eq!(share.found, share.of, "{} {short}", printed.full.name);
    }
    let march_of_misses = march(&printed.misses.name);
    let incomplete = |family| {
        let share = coverage(&march_of_misses, family, Background::Solid, Free::Each);
        share.found < share.of
    };
    let missed = Family::ALL.iter().filter(|(family, _, _)| incomplete(*family)).map(|(_, short, _)| short.to_string());
    let (mut missed, mut told) = (missed.collect::<Vec<_>>(), printed.misses.families.clone());
    missed.sort();
    told.sort();
    assert_eq!(missed, told, "{}", printed.misses.name);
    for name in &printed.bound.tests {
        assert!(march(name).operations() >= printed.bound.least, "{name}");
    }
}

#[test]
fn words_backgrounds_and_times_are_as_worked_out() {
    let printed = published();
    for row in &printed.intra_word {
        assert_eq!(intra_word_factor(row.bits), row.factor);
    }
    let hex: Vec<String> = BACKGROUNDS.iter().map(|b| format!("0x{b:016X}")).collect();
    assert_eq!(hex, printed.backgrounds.hex);
    let unlike = |a: u32, b: u32| BACKGROUNDS.iter().any(|w| (w >> a ^ w >> b) & 1 == 1);
    let pairs = (0..64).flat_map(|a| (0..a).map(move |b| (a, b))).filter(|(a, b)| unlike(*a, *b)).count();
    assert_eq!(pairs, printed.backgrounds.pairs);
    for row in &printed.duration {
        let seconds = march(&row.name).seconds(row.bytes, Bandwidth::from_gbs(row.gbs), row.backgrounds);
        assert!((seconds - row.seconds).abs() <= row.tolerance, "{} {seconds}", row.name);
    }
}

#[test]
fn mixtures_of_free_sweeps_change_one_figure_of_the_table() {
    let mut unlike = Vec::new();
    for test in published().test {
        let march = March::parse(&test.sequence).unwrap();
        for (family, short, _) in Family::ALL {
            let share = coverage(&march, family, background(&test.background), Free::Each);
            if test.coverage[short] != [share.found, share.of] {
                unlike.push(format!("{} {short} {}", test.name, share.found));
            }
        }
        for (sort, name) in Linked::ALL.iter().filter(|(_, name)| test.linked.contains_key(*name)) {
            let found = linked(*sort).iter().filter(|f| detects(&march, *f, Background::Solid, Free::Each)).count();
            if test.linked[*name][0] != found {
                unlike.push(format!("{} {name} {found}", test.name));
            }
        }
    }
    assert_eq!(unlike, ["MATS CFin-CFin, two aggressors 4"]);
}
