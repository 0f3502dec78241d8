//! Plays the examples of every sign, and holds the registry's form.

use super::{all, by_name, notation, one, tray};
use std::collections::BTreeSet;

#[test]
fn every_sign_is_found_in_its_example_and_nothing_in_the_clean_one() {
    for entry in all() {
        let examples = notation::parse(entry.examples).unwrap_or_else(|e| panic!("{}: {e}", entry.name));
        let (mut found, mut clean) = (0, 0);
        for example in examples {
            let report = tray(&example.modules, example.today);
            let names: BTreeSet<&str> = report
                .modules
                .iter()
                .flatten()
                .chain(report.together.iter().map(|t| &t.sign))
                .map(|s| s.name)
                .collect();
            match &example.expected {
                Some(expected) => {
                    assert_eq!(expected, entry.name, "an example of another sign");
                    assert!(names.contains(entry.name), "{} is not found: {names:?}", entry.name);
                    found += 1;
                }
                None => {
                    assert!(names.is_empty(), "{}: {names:?} in the clean example", entry.name);
                    clean += 1;
                }
            }
        }
        assert!(found > 0 && clean > 0, "{} has {found} found and {clean} clean examples", entry.name);
    }
}

#[test]
fn names_are_words_and_each_stands_once() {
    let mut seen = BTreeSet::new();
    for entry in all() {
        assert!(entry.name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", entry.name);
        assert!(seen.insert(entry.name), "{} stands twice", entry.name);
        assert!(crate::rules::by_name(entry.name).is_none(), "{} is a rule too", entry.name);
        for text in [entry.finds, entry.means, entry.innocent, entry.advice, entry.source] {
            assert!(!text.trim().is_empty() && !text.ends_with('.') && !text.contains("  "), "{}: {text}", entry.name);
        }
        assert!(std::ptr::eq(by_name(entry.name).unwrap(), entry));
    }
    assert!(seen.len() >= 30, "{}", seen.len());
}

#[test]
fn signs_come_heaviest_first_and_nothing_is_found_where_nothing_is_known() {
    let text =
        "label: capacity 64GB\nspd: capacity 32GB, kind RDIMM, generation DDR4, sensor no, serial 00000000\n-> x";
    let example = &notation::parse(text).unwrap()[0];
    let weights: Vec<_> = one(&example.modules[0], example.today).iter().map(|s| s.weight).collect();
    assert_eq!(weights.len(), 3);
    assert!(weights.is_sorted(), "{weights:?}");
    assert!(one(&[], example.today).is_empty());
    assert!(tray(&[Vec::new(), Vec::new()], example.today).together.is_empty());
}
