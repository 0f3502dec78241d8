//! The planner against brute force, and its plans against the rules.

use super::{brute, random};
use domain::Severity;
use engine::plan::{self, Proof};
use std::collections::BTreeSet;

const BOARDS: u64 = 1000;

/// A number from the environment: the long form under `bench/` asks for more and larger boards.
fn asked(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|s| s.parse().ok()).unwrap_or(default)
}

fn seeds() -> Vec<u64> {
    // A single seed can be replayed with SLOTWRIGHT_SEED=n.
    match std::env::var("SLOTWRIGHT_SEED").ok().and_then(|s| s.parse().ok()) {
        Some(seed) => vec![seed],
        None => (0..asked("SLOTWRIGHT_BOARDS", BOARDS)).collect(),
    }
}

/// Compares the planner with brute force; returns (builds tried, points, needs that nothing meets).
fn compare(seeds: &[u64]) -> (u64, usize, usize) {
    let (mut tried, mut points, mut empty) = (0, 0, 0);
    let mut wrong = Vec::new();
    let slots = asked("SLOTWRIGHT_SLOTS", 6) as usize;
    for seed in seeds {
        let need = random::need(*seed, slots, 4);
        let (expected, n) = brute::front(&need);
        tried += n;
        let found: BTreeSet<_> = plan::vectors(&need).into_iter().collect();
        empty += usize::from(expected.is_empty());
        points += expected.len();
        if found != expected {
            let missing: Vec<_> = expected.difference(&found).collect();
            let surplus: Vec<_> = found.difference(&expected).collect();
            wrong.push(format!("seed {seed}: missing {missing:?}, surplus {surplus:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n"));
    (tried, points, empty)
}

#[test]
fn the_front_equals_brute_force_on_random_small_boards() {
    let seeds = seeds();
    let halves = seeds.split_at(seeds.len() / 2);
    let (first, second) = std::thread::scope(|scope| {
        let other = scope.spawn(|| compare(halves.1));
        (compare(halves.0), other.join())
    });
    let second = second.unwrap_or_else(|panic| std::panic::resume_unwind(panic));
    let (tried, points, empty) = (first.0 + second.0, first.1 + second.1, first.2 + second.2);
    println!("{tried} builds tried, {points} points, {empty} needs that nothing meets");
    assert!(seeds.len() < 1000 || points > 2000, "the needs are too narrow to prove anything: {points} points");
}

#[test]
fn every_plan_passes_the_rules_and_is_what_it_says() {
    for seed in 0..200 {
        let need = random::need(seed, 6, 4);
        let report = plan::plan(&need);
        assert_eq!(report.proof, Proof::Complete, "seed {seed}");
        for plan in &report.front {
            let judged = engine::judge::judge(&plan.build);
            assert_eq!(judged.count(Severity::Wrong), 0, "seed {seed}: {:?}", judged.findings);
            assert_eq!(judged.usable, plan.objectives.usable, "seed {seed}");
            let bandwidth = judged.bandwidth.expect("a plan has memory");
            assert_eq!(bandwidth.serial, plan.objectives.bandwidth, "seed {seed}");
            assert_eq!(judged.rate.map(|r| r.rate), Some(plan.objectives.rate), "seed {seed}");
            let price: i64 = plan.picks.iter().map(|p| p.each.minor()).sum();
            assert_eq!(price, plan.objectives.price, "seed {seed}");
            assert_eq!(plan.picks.len(), plan.build.filled().count(), "seed {seed}");
        }
        assert_eq!(report.front.is_empty(), report.conflict.is_some(), "seed {seed}");
        assert!(report.chosen.len() <= 7);
    }
}
