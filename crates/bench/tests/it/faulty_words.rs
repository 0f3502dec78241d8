//! Exercises on words with faults: each finds what the simulator of cells says that its march test finds.

use bench::exercise::{Exercise, Pattern, all, exercise, of_march};
use bench::fault::{Background, Family, Fault, FaultyWords, Free, coverage, detects, instances};
use bench::march::{KNOWN, known};
use proptest::prelude::*;

/// Words of the simulated memory, and where the four cells of the simulator lie in it.
const WORDS: usize = 11;
const PLACES: [usize; 4] = [0, 3, 4, 10];

/// The same fault among bits of words; each cell of the simulator is a bit of its own word.
fn among_words(fault: Fault, bit: usize) -> Fault {
    let at = |cell: usize| PLACES[cell] * 64 + bit;
    let first = |cell: usize| PLACES[cell] * 64;
    let when = |w: Option<(usize, bool)>| w.map(|(cell, value)| (at(cell), value));
    match fault {
        Fault::StuckAt { cell, at: value } => Fault::StuckAt { cell: at(cell), at: value },
        Fault::Transition { cell, to, when: w } => Fault::Transition { cell: at(cell), to, when: when(w) },
        Fault::WriteDisturb { cell, value, when: w } => Fault::WriteDisturb { cell: at(cell), value, when: when(w) },
        Fault::Read { cell, value, wrong, flips, when: w } => {
            Fault::Read { cell: at(cell), value, wrong, flips, when: when(w) }
        }
        Fault::Inversion { aggressor, victim, to } => {
            Fault::Inversion { aggressor: at(aggressor), victim: at(victim), to }
        }
        Fault::Idempotent { aggressor, victim, to, sets } => {
            Fault::Idempotent { aggressor: at(aggressor), victim: at(victim), to, sets }
        }
        Fault::State { aggressor, victim, holds, sets } => {
            Fault::State { aggressor: at(aggressor), victim: at(victim), holds, sets }
        }
        Fault::Disturb { aggressor, victim, act, value } => {
            Fault::Disturb { aggressor: at(aggressor), victim: at(victim), act, value }
        }
        Fault::Elsewhere { cell, other } => Fault::Elsewhere { cell: first(cell), other: first(other) },
        Fault::Both { cell, other, or } => Fault::Both { cell: first(cell), other: first(other), or },
        Fault::Nowhere { cell, reads } => Fault::Nowhere { cell: first(cell), reads },
    }
}

fn finds(one: &Exercise, fault: Fault) -> bool {
    let faults = [fault];
    let mut words = FaultyWords::new(WORDS, &faults);
    let mut found = false;
    exercise(one, &mut words, false, &mut |_| true, &mut |_| {
        found = true;
        false
    });
    found
}

#[test]
fn every_march_finds_among_words_what_it_finds_for_certain_among_cells() {
    for test in KNOWN {
        let march = test.march().unwrap();
        let one = of_march(march.clone(), test.name, test.citation, false);
        for (family, short, _) in Family::ALL {
            let all = instances(family);
            let mut certain = 0;
            for (i, fault) in all.iter().enumerate() {
                if detects(&march, &[*fault], Background::Solid, Free::Alike) {
                    certain += 1;
                    let bit = [0, 37, 63][i % 3];
                    assert!(finds(&one, among_words(*fault, bit)), "{} {short} {fault:?}", test.name);
                }
            }
            assert_eq!(certain, coverage(&march, family, Background::Solid, Free::Alike).found);
        }
    }
}

#[test]
fn the_disturbing_exercise_finds_every_fault_of_the_simulated_memory() {
    let one = all().into_iter().find(|e| e.name == "disturbing").unwrap();
    let mut tried = 0;
    for (family, _, _) in Family::ALL {
        for fault in instances(family) {
            for bit in [0, 1, 31, 63] {
                assert!(finds(&one, among_words(fault, bit)), "{fault:?} at bit {bit}");
                tried += 1;
            }
        }
    }
    assert_eq!(tried, 4 * Family::ALL.iter().map(|(f, _, _)| instances(*f).len()).sum::<usize>());
}

#[test]
fn an_exercise_tells_place_pattern_and_values() {
    let march = known("March C-").and_then(|k| k.march()).unwrap();
    let one = Exercise { patterns: vec![Pattern::Fixed(0xF0)], ..of_march(march, "x", "", false) };
    let faults = [Fault::StuckAt { cell: 5 * 64 + 4, at: false }];
    let mut words = FaultyWords::new(WORDS, &faults);
    let mut told = Vec::new();
    let whole = exercise(&one, &mut words, false, &mut |_| true, &mut |cell| {
        told.push(cell);
        true
    });
    assert!(whole);
    let first = told[0].mismatch;
    assert_eq!((first.cell, first.expected, first.read, first.again), (5, 0xF0, 0xE0, 0xE0));
    assert!(told.iter().all(|c| c.mismatch.cell == 5), "{told:?}");
}

#[test]
fn words_without_faults_pass_every_exercise() {
    for one in all() {
        let mut words = FaultyWords::new(WORDS, &[]);
        let mut operations = 0;
        let mut go_on = |n: u64| {
            operations += n;
            true
        };
        assert!(exercise(&one, &mut words, false, &mut go_on, &mut |cell| panic!("{} {cell:?}", one.name)));
        assert_eq!(operations, one.operations() * WORDS as u64);
    }
}

proptest! {
    #[test]
    fn stuck_and_coupled_bits_anywhere_are_found(
        a in 0usize..WORDS * 64, v in 0usize..WORDS * 64, to: bool, sets: bool, sort in 0u8..3,
    ) {
        prop_assume!(a / 64 != v / 64);
        let fault = match sort {
            0 => Fault::StuckAt { cell: v, at: sets },
            1 => Fault::Inversion { aggressor: a, victim: v, to },
            _ => Fault::Idempotent { aggressor: a, victim: v, to, sets },
        };
        let both_ways = all().into_iter().find(|e| e.name == "both-ways").unwrap();
        prop_assert!(finds(&both_ways, fault));
    }
}
