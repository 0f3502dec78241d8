//! How far the tests that `diagnose` chooses are from the best there are, where it looks ahead instead of working all out.
//!
//! The long form is `bench/optimum.sh`; SLOTWRIGHT_OPTIMUM says `all`.

use crate::repairs::filled;
use catalog::Library;
use domain::Build;
use domain::board::SlotIndex;
use engine::diagnose::model::Belief;
use engine::diagnose::session::{BUDGET, DEPTH};
use engine::diagnose::{Act, Aim, Case, Setting, Sign, Solver, Symptom, ahead};
use std::collections::BTreeMap;

/// Histories for the optimum: the largest demo case that was measured needs 5.5 million.
const WHOLE: usize = 12_000_000;
/// The most that the way of the look-ahead may take over the optimum.
const OVER: f64 = 1.02;

/// Joint expected minutes of the way that `diagnose` goes: exact where a fresh solver can, else by the look-ahead, and so on at
/// every answer.
fn way(case: &Case<'_>, belief: &Belief) -> f64 {
    let mut solver = Solver::new(&case.model, BUDGET);
    if let Some((minutes, _)) = solver.best(belief) {
        return minutes * belief.mass();
    }
    match ahead::look(&case.model, belief, DEPTH).act {
        Act::End => case.model.end(belief).unwrap(),
        Act::Test(test) => {
            let prospect = case.model.prospect(belief, test);
            let own = prospect.minutes * belief.mass() + case.model.end_gone(test, &prospect.gone);
            own + prospect.answers.iter().map(|(_, next)| way(case, next)).sum::<f64>()
        }
    }
}

/// Minutes of the optimum and of the way, where the solver's budget does not reach; `None` where it does.
fn gap(build: &Build, sign: Sign, seen: &mut BTreeMap<String, Option<(f64, f64)>>) -> Option<(f64, f64)> {
    let suspect: Vec<SlotIndex> = build.filled().map(|(s, _)| s).take(1).collect();
    let symptom = Symptom::at(build, sign, &suspect).unwrap();
    let case = Case::new(build, &symptom, Setting { aim: Aim::Run, ..Setting::default() }).unwrap();
    let start = case.model.start();
    // Boards with the same tests at the same minutes have the same answer.
    *seen.entry(format!("{:?}", case.model)).or_insert_with(|| {
        if case.solver().best(&start).is_some() {
            return None;
        }
        let (best, _) = Solver::new(&case.model, WHOLE).best(&start).expect("room for the optimum");
        let way = way(&case, &start);
        println!(
            "| {} {sign}, {} modules | {} | {best:.2} | {way:.2} | {:.2} % |",
            build.board.id,
            build.filled().count(),
            case.deeds.len(),
            100.0 * (way / best - 1.0)
        );
        Some((best, way))
    })
}

#[test]
fn the_look_ahead_is_near_the_optimum() {
    let library = Library::shipped().unwrap();
    let boards = library.catalog().boards.values();
    let builds: Vec<Build> = boards.flat_map(|b| [false, true].map(|all| filled(&library, b, all))).collect();
    let cases = builds.iter().flat_map(|b| Sign::ALL.map(|sign| (b, sign)));
    let all = std::env::var("SLOTWRIGHT_OPTIMUM").is_ok_and(|a| a == "all");
    // The short form takes two whose optimum needs few histories; a look of two tests was 2.8 % over it on the second.
    let short = |(b, sign): &(&Build, Sign)| match sign {
        Sign::MissingChannel => b.board.id == "dunlin-2s6",
        Sign::Correctable => b.board.id == "plover-1s2" && b.filled().count() == 2,
        _ => false,
    };
    let mut seen = BTreeMap::new();
    println!("| case | tests | optimum, min | way, min | over |");
    let gaps: Vec<(f64, f64)> =
        cases.filter(|c| all || short(c)).filter_map(|(b, sign)| gap(b, sign, &mut seen)).collect();
    assert!(gaps.len() >= 2, "no case looks ahead any more");
    let over: Vec<f64> = gaps.iter().map(|(best, way)| way / best).collect();
    let mean = over.iter().sum::<f64>() / over.len() as f64;
    let worst = over.iter().copied().fold(0.0, f64::max);
    println!(
        "{} of {} cases look ahead; mean {:.2} %, worst {:.2} % over the optimum",
        gaps.len(),
        builds.len() * Sign::ALL.len(),
        100.0 * (mean - 1.0),
        100.0 * (worst - 1.0)
    );
    assert!(over.iter().all(|o| *o > 1.0 - 1e-9), "nothing is better than the optimum");
    assert!(worst <= OVER, "{worst}");
}
