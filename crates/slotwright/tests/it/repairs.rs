//! Simulated repairs on all demo boards: the tests that `diagnose` chooses against three habits of the bench.
//!
//! The long form is `bench/repairs.sh`; SLOTWRIGHT_REPAIRS says how many repairs.

use catalog::Library;
use domain::board::SlotIndex;
use domain::{Board, Build, Mode};
use engine::diagnose::model::Belief;
use engine::diagnose::session::HAND_ON;
use engine::diagnose::{Act, Aim, Case, Cause, Setting, Sign, Solver, Symptom, bounds};
use std::sync::Arc;

/// Random numbers that are the same on every run (splitmix64; Steele, Lea and Flood 2014, from memory).
struct Dice(u64);

impl Dice {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
    fn draw(&mut self, shares: impl Iterator<Item = f64>) -> usize {
        let (mut at, mut last) = (self.share(), 0);
        for (i, share) in shares.enumerate() {
            last = i;
            at -= share;
            if at < 0.0 {
                break;
            }
        }
        last
    }
}

/// Every slot of the board filled alike, or the first of each channel only.
pub fn filled(library: &Library, board: &Arc<Board>, all: bool) -> Build {
    let catalog = library.catalog();
    let processor = Arc::clone(&catalog.processors[board.processors[0].0.as_str()]);
    let fits = |m: &&Arc<domain::Module>| m.generation == board.generation && board.kinds.contains(&m.kind);
    let module = catalog.modules.values().find(fits).unwrap();
    let processors = board.sockets.iter().map(|_| Some(Arc::clone(&processor))).collect();
    let mut build = Build::empty(Arc::clone(board), processors, Mode::independent());
    for (slot, found) in board.indexed() {
        if all || found.address.position == 0 {
            build.slots[slot.at()] = Some(Arc::clone(module));
        }
    }
    build
}

/// One machine on the bench: what is truly wrong, and what is cured by now.
struct Truth<'c> {
    case: &'c Case<'c>,
    faults: Vec<usize>,
}

impl Truth<'_> {
    /// Does a test; `None` where the symptom is gone.
    fn does(&mut self, test: usize, dice: &mut Dice) -> Option<usize> {
        let test = &self.case.model.tests[test];
        self.faults.retain(|f| dice.share() >= test.cures[*f]);
        let told: Vec<usize> =
            self.faults.iter().map(|f| dice.draw(test.shows.iter().map(|by_fault| by_fault[*f]))).collect();
        let first = *told.first()?;
        Some(if told.iter().all(|a| *a == first) { first } else { test.mixed })
    }
}

/// A way of going about it: the next test, or none to hand it on.
type Habit = fn(&Case<'_>, &mut Solver<'_>, &Belief) -> Option<usize>;

fn least_minutes(_: &Case<'_>, solver: &mut Solver<'_>, belief: &Belief) -> Option<usize> {
    match solver.best(belief).act {
        Act::Test(test) => Some(test),
        Act::End => None,
    }
}

fn open(case: &Case<'_>, belief: &Belief, names: &[&str]) -> Option<usize> {
    let deed = |name: &&str| case.deeds.iter().position(|d| d.name == *name);
    names.iter().filter_map(deed).find(|t| belief.history.is_open(*t))
}

/// Everything is seated again first, then part after part, whatever was seen.
fn reseat_all(case: &Case<'_>, _: &mut Solver<'_>, belief: &Belief) -> Option<usize> {
    open(
        case,
        belief,
        &[
            "reseat",
            "reseat-processor",
            "fit-spare",
            "clear-settings",
            "mend-build",
            "update-firmware",
            "new-board",
            "new-processor",
        ],
    )
}

/// The test whose answers halve what is believed, whatever it costs.
fn halves(case: &Case<'_>, _: &mut Solver<'_>, belief: &Belief) -> Option<usize> {
    let bits = |test: usize| {
        let prospect = case.model.prospect(belief, test);
        let gone: f64 = prospect.gone.iter().map(|(a, b)| a + b).sum();
        let all = prospect.answers.iter().map(|(_, b)| b.mass()).chain([gone]);
        bounds::entropy(&all.map(|m| m / belief.mass()).collect::<Vec<_>>())
    };
    let rated = case.model.open(belief).into_iter().map(|t| (bits(t), t)).filter(|(b, _)| *b > 1e-6);
    rated.reduce(|a, b| if b.0 > a.0 { b } else { a }).map(|(_, t)| t)
}

/// The likeliest cause first, and what cures it best.
fn by_probability(case: &Case<'_>, _: &mut Solver<'_>, belief: &Belief) -> Option<usize> {
    let cure = |cause: Cause| match cause {
        Cause::Seating => "reseat",
        Cause::Module => "fit-spare",
        Cause::Slot | Cause::Channel | Cause::Board => "new-board",
        Cause::Contact => "reseat-processor",
        Cause::Processor => "new-processor",
        Cause::Configuration => "mend-build",
        Cause::Firmware => "update-firmware",
    };
    let mut shares: Vec<(f64, Cause)> = Cause::ALL.iter().map(|c| (belief.shares()[c.number()], *c)).collect();
    shares.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    shares.iter().find_map(|(_, cause)| open(case, belief, &[cure(*cause)]))
}

const HABITS: [(&str, Habit); 4] = [
    ("least expected minutes", least_minutes),
    ("probability order", by_probability),
    ("halves", halves),
    ("reseat all", reseat_all),
];

/// What repairs came to.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    repairs: f64,
    minutes: f64,
    /// With what risks are worth.
    cost: f64,
    /// Repairs of cases that were worked out exactly; cost over what was expected, and its square.
    exact: f64,
    over: f64,
    square: f64,
    lifted: f64,
    handed_on: f64,
}

fn repair(case: &Case<'_>, solver: &mut Solver<'_>, habit: Habit, faults: Vec<usize>, dice: &mut Dice, sum: &mut Sum) {
    let mut truth = Truth { case, faults };
    let mut belief = case.model.start();
    let (mut minutes, mut cost) = (0.0, 0.0);
    loop {
        // What can't be by the model (two faults, seen one after the other) is handed on as well.
        let Some(test) = habit(case, solver, &belief) else {
            (minutes, cost) = (minutes + HAND_ON, cost + HAND_ON);
            sum.handed_on += 1.0;
            break;
        };
        minutes += f64::from(case.deeds[test].minutes(&case.around));
        cost += case.model.tests[test].minutes;
        sum.lifted += f64::from(u8::from(case.deeds[test].processor));
        let Some(answer) = truth.does(test, dice) else { break };
        match case.model.after(&belief, test, answer) {
            Some(next) => belief = next,
            None => belief = belief.barring(test),
        }
    }
    sum.repairs += 1.0;
    sum.minutes += minutes;
    sum.cost += cost;
}

/// So many repairs of every sign on one build.
fn on(build: &Build, sign: Sign, repairs: usize, dice: &mut Dice, sums: &mut [Sum]) {
    let suspect: Vec<SlotIndex> = build.filled().map(|(s, _)| s).take(1).collect();
    let symptom = Symptom::at(build, sign, &suspect).unwrap();
    let case = Case::new(build, &symptom, Setting { aim: Aim::Run, ..Setting::default() }).unwrap();
    let mut solver = case.solver();
    let began = std::time::Instant::now();
    let told = solver.best(&case.model.start());
    let exact = told.is_exact().then_some(told.most);
    println!(
        "{} {sign}: {} modules, {} tests, {} histories, {:.1?} min, {:.0} ms",
        build.board.id,
        build.filled().count(),
        case.deeds.len(),
        solver.histories(),
        exact,
        began.elapsed().as_secs_f64() * 1e3
    );
    for _ in 0..repairs {
        let truth = dice.draw(case.model.hypotheses.iter().map(|h| h.prior));
        let faults = &case.model.hypotheses[truth].faults;
        let luck = dice.0;
        for ((_, habit), sum) in HABITS.iter().zip(sums.iter_mut()) {
            // The same luck for every habit.
            let mut own = Dice(luck);
            let before = sum.cost;
            repair(&case, &mut solver, *habit, faults.clone(), &mut own, sum);
            if let Some(expected) = exact {
                let over = sum.cost - before - expected;
                (sum.over, sum.square, sum.exact) = (sum.over + over, sum.square + over * over, sum.exact + 1.0);
            }
        }
        dice.share();
    }
}

#[test]
fn the_tests_that_are_chosen_take_less_than_any_habit() {
    let asked = std::env::var("SLOTWRIGHT_REPAIRS").ok().and_then(|r| r.parse::<usize>().ok());
    // The short form takes every ninth case, so that it comes by every sign on different boards.
    let (repairs, stride) = asked.map_or((1440, 9), |r| (r, 1));
    let library = Library::shipped().unwrap();
    let boards = library.catalog().boards.values();
    let builds: Vec<Build> = boards.flat_map(|b| [false, true].map(|all| filled(&library, b, all))).collect();
    let cases: Vec<(&Build, Sign)> = builds.iter().flat_map(|b| Sign::ALL.map(|sign| (b, sign))).collect();
    let cases: Vec<_> = cases.into_iter().step_by(stride).collect();
    let each = repairs.div_ceil(cases.len());
    let mut dice = Dice(1);
    let mut sums = vec![Sum::default(); HABITS.len()];
    for (build, sign) in &cases {
        on(build, *sign, each, &mut dice, &mut sums);
    }
    println!("| way | repairs | mean minutes | processors lifted per 100 | handed on per 100 |");
    for ((name, _), s) in HABITS.iter().zip(&sums) {
        let n = s.repairs;
        println!(
            "| {name} | {n} | {:.1} | {:.1} | {:.1} |",
            s.minutes / n,
            100.0 * s.lifted / n,
            100.0 * s.handed_on / n
        );
    }
    let ours = sums[0];
    let over = ours.over / ours.exact;
    let error = ((ours.square / ours.exact - over * over) / ours.exact).sqrt();
    println!("{} exact: over what was expected {over:.2} min, standard error {error:.2}", ours.exact);
    // Two faults at once are simulated as they are, and a little simplified in the model.
    assert!(over.abs() < 4.0 * error + 0.5, "{over} ± {error} over what was expected");
    assert!(ours.exact == ours.repairs, "not all were worked out exactly: {} of {}", ours.exact, ours.repairs);
    for (s, (name, _)) in sums.iter().zip(&HABITS).skip(1) {
        assert!(ours.cost < s.cost && ours.minutes < s.minutes, "{name} takes less");
    }
}
