//! The planner against brute force, and its plans against the rules.

use super::{brute, random, wide};
use domain::{Need, Severity};
use engine::plan::{self, Proof};
use std::collections::BTreeSet;

const BOARDS: u64 = 1000;
const WIDE: u64 = 60;

/// A number from the environment: the long form under `bench/` asks for more and larger boards.
fn asked(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|s| s.parse().ok()).unwrap_or(default)
}

fn seeds(default: u64) -> Vec<u64> {
    // A single seed can be replayed with SLOTWRIGHT_SEED=n.
    match std::env::var("SLOTWRIGHT_SEED").ok().and_then(|s| s.parse().ok()) {
        Some(seed) => vec![seed],
        None => (0..asked("SLOTWRIGHT_BOARDS", default)).collect(),
    }
}

/// What comparing the planner with brute force came across.
#[derive(Debug, Default)]
struct Seen {
    tried: u64,
    points: usize,
    /// Needs that nothing meets.
    empty: usize,
    /// Sorts left out because another covers them.
    covered: usize,
    /// Needs of which a point has three different sorts or more.
    mixed: usize,
}

fn compare(seeds: &[u64], make: impl Fn(u64) -> Need) -> Seen {
    let mut seen = Seen::default();
    let mut wrong = Vec::new();
    for seed in seeds {
        let need = make(*seed);
        let (expected, n) = brute::front(&need);
        let vectors = plan::vectors(&need);
        seen.tried += n;
        seen.points += expected.len();
        seen.empty += usize::from(expected.is_empty());
        seen.covered += vectors.covered;
        seen.mixed += usize::from(vectors.different >= 3);
        let found: BTreeSet<_> = vectors.points.into_iter().collect();
        if found != expected || vectors.proof != Proof::Complete {
            let missing: Vec<_> = expected.difference(&found).collect();
            let surplus: Vec<_> = found.difference(&expected).collect();
            wrong.push(format!("seed {seed}: {:?}, missing {missing:?}, surplus {surplus:?}", vectors.proof));
        }
    }
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n"));
    seen
}

/// The same on two threads.
fn compare_all(seeds: &[u64], make: impl Fn(u64) -> Need + Sync) -> Seen {
    let halves = seeds.split_at(seeds.len() / 2);
    let (a, b) = std::thread::scope(|scope| {
        let other = scope.spawn(|| compare(halves.1, &make));
        (compare(halves.0, &make), other.join())
    });
    let b = b.unwrap_or_else(|panic| std::panic::resume_unwind(panic));
    Seen {
        tried: a.tried + b.tried,
        points: a.points + b.points,
        empty: a.empty + b.empty,
        covered: a.covered + b.covered,
        mixed: a.mixed + b.mixed,
    }
}

#[test]
fn the_front_equals_brute_force_on_random_small_boards() {
    let seeds = seeds(BOARDS);
    let slots = asked("SLOTWRIGHT_SLOTS", 6) as usize;
    let seen = compare_all(&seeds, |seed| random::need(seed, slots, 4));
    println!("{} builds tried, {} points, {} needs that nothing meets", seen.tried, seen.points, seen.empty);
    assert!(seeds.len() < 1000 || seen.points > 2000, "the needs are too narrow to prove anything: {seen:?}");
}

#[test]
fn the_front_equals_brute_force_on_wide_offers() {
    let seeds = seeds(WIDE);
    let slots = asked("SLOTWRIGHT_SLOTS", 5).saturating_sub(1).clamp(4, 5) as usize;
    let seen = compare_all(&seeds, |seed| wide::wide_need(seed, slots, 7));
    println!("wide offers: {seen:?}");
    let enough = seen.covered > seeds.len() && seen.mixed * 20 > seeds.len();
    assert!(seeds.len() < 60 || enough, "what this test is for did not come up: {seen:?}");
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
