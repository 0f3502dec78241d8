//! Tests of all rules together: the registry, the examples in their explanations, and what scope and monotone claim.

mod claims;

use super::{ALL, FAMILIES, by_name};
use crate::notation::{self, Example};
use crate::scene::Scene;
use domain::{Place, Severity};
use std::path::Path;

/// Every rule there is, by name: taking one out of the code makes a test fail until it is taken out here too.
const NAMES: &[&str] = &[
    "blanks-missing",
    "capacity-over-module-limit",
    "capacity-over-processor-limit",
    "capacity-over-system-limit",
    "capacity-that-stands-alone",
    "channels-unequal",
    "controllers-unequal",
    "count-not-advised",
    "count-not-in-chart",
    "empty-channel",
    "firmware-too-old",
    "larger-module-nearer-processor",
    "later-slot-before-first",
    "mixed-capacities-in-channel",
    "mixed-device-widths",
    "mixed-die-densities",
    "mixed-ecc-bits",
    "mixed-module-kinds",
    "mixed-rank-counts",
    "mixed-ranks-in-channel",
    "mixed-rate-bins",
    "mixed-stack-heights",
    "mode-demand-not-met",
    "mode-not-offered",
    "module-too-tall",
    "module-watts-over-slot",
    "module-without-ecc",
    "no-memory-at-all",
    "non-volatile-module",
    "numa-demand-not-met",
    "numa-not-offered",
    "processor-not-on-board",
    "processor-without-memory",
    "processors-unequal",
    "quad-rank-mixed",
    "rated-above-use",
    "rated-below-processor",
    "reserved-slot-filled",
    "second-slot-before-all-first",
    "slot-of-absent-processor",
    "slots-off-the-chart",
    "sockets-unequal",
    "too-many-capacities",
    "too-many-loads",
    "too-many-logical-ranks",
    "too-many-modules-in-channel",
    "too-many-package-ranks",
    "watts-over-budget",
    "wrong-generation",
    "wrong-kind",
    "wrong-voltage",
];

const HEADINGS: [&str; 4] = ["What it finds", "Why it matters", "Example", "Instead"];

#[test]
fn the_registry_holds_just_the_named_rules_each_once() {
    let mut registered: Vec<&str> = ALL.iter().map(|r| r.name).collect();
    registered.sort_unstable();
    assert_eq!(registered, NAMES);
    let in_families = FAMILIES.iter().flat_map(|(_, rules)| rules.iter().map(|r| r.name)).count();
    assert_eq!(in_families, ALL.len());
}

#[test]
fn every_file_of_a_family_is_a_rule_named_as_the_file() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rules");
    for (family, rules) in FAMILIES {
        let mut files: Vec<String> = std::fs::read_dir(folder.join(family))
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap().replace('_', "-"))
            .collect();
        files.sort_unstable();
        let mut expected: Vec<String> = rules.iter().map(|r| format!("{}.rs", r.name)).collect();
        expected.sort_unstable();
        assert_eq!(files, expected, "family {family}");
    }
    let folders = std::fs::read_dir(&folder).unwrap().filter(|e| e.as_ref().unwrap().path().is_dir()).count();
    assert_eq!(folders, FAMILIES.len() + 1, "a folder of rules that is in no family (tests/ is the one more)");
}

/// The text below each heading.
fn sections(explain: &str) -> Vec<(&str, &str)> {
    let parts = explain.split("## ").skip(1);
    parts.map(|part| part.split_once('\n').unwrap_or((part, ""))).collect()
}

#[test]
fn every_explanation_has_the_fixed_headings_and_sources() {
    for rule in ALL {
        let headings: Vec<&str> = sections(rule.explain).iter().map(|(h, _)| *h).collect();
        assert_eq!(headings, HEADINGS, "{}", rule.name);
        assert!(rule.explain.starts_with("## "), "{}", rule.name);
        for (heading, text) in sections(rule.explain) {
            assert!(!text.trim().is_empty(), "{}: nothing under {heading}", rule.name);
        }
        assert!(!rule.sources.is_empty(), "{} names no source", rule.name);
        assert!(rule.explain.lines().all(|l| l.chars().count() <= 120), "{}: a line is too long", rule.name);
    }
}

fn examples(rule: &str, text: &str) -> Vec<Example> {
    let read = |block: String| notation::parse(&block).unwrap_or_else(|e| panic!("{rule}: {e} in\n{block}"));
    notation::blocks(text).into_iter().map(read).collect()
}

/// What a rule finds in an example, as its `->` lines would say it.
fn said(example: &Example, rule: &super::Rule) -> Vec<String> {
    let mut found = Vec::new();
    (rule.check)(&Scene::new(&example.build), &mut found);
    let mut said: Vec<String> = found.iter().map(|f| line(example, f.severity, f.rule, &f.place)).collect();
    said.sort_unstable();
    said
}

fn line(example: &Example, severity: Severity, rule: &str, place: &Place) -> String {
    format!("-> {severity} {rule} at {}", notation::write_place(&example.build.board, place))
}

#[test]
fn every_bad_example_is_found_as_told_and_every_mended_one_is_clean() {
    for rule in ALL {
        let sections = sections(rule.explain);
        let bad = examples(rule.name, sections[2].1);
        let mended = examples(rule.name, sections[3].1);
        assert!(!bad.is_empty() && !mended.is_empty(), "{} lacks an example", rule.name);
        for example in bad {
            let mut told: Vec<String> =
                example.told.iter().map(|t| line(&example, t.severity, &t.rule, &t.place)).collect();
            told.sort_unstable();
            assert!(!told.is_empty() && !example.clean, "{}: a bad example tells no finding", rule.name);
            assert_eq!(said(&example, rule), told, "{}", rule.name);
        }
        for example in mended {
            assert!(example.clean && example.told.is_empty(), "{}: a mended example is not clean", rule.name);
            assert_eq!(said(&example, rule), Vec::<String>::new(), "{}", rule.name);
        }
    }
}

#[test]
fn some_bad_example_reaches_the_worst_severity_or_the_board_decides() {
    // Rules of fixed severity must show it; for the others the example board's maker picks one.
    for rule in ALL.iter().filter(|r| r.severity != Severity::Wrong) {
        let worst = examples(rule.name, sections(rule.explain)[2].1);
        let worst = worst.iter().flat_map(|e| e.told.iter().map(|t| t.severity)).min();
        assert_eq!(worst, Some(rule.severity), "{}", rule.name);
    }
}

#[test]
fn a_plain_even_fill_has_no_finding_at_all() {
    let text = "machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots\n\
                processor 2933 limit 1TiB\n\
                fill 0*1 1*1 64GB 2Rx4 RDIMM 2933 16Gbit 6W 31.25mm\n";
    let build = notation::parse(text).unwrap().build;
    assert_eq!(super::check_all(&Scene::new(&build)), Vec::new());
}

#[test]
fn a_rule_is_had_by_its_name() {
    assert_eq!(by_name("mixed-module-kinds").map(|r| r.name), Some("mixed-module-kinds"));
    assert!(by_name("mixed").is_none());
}
