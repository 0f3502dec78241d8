//! Sequential diagnosis: the solver against trying every order of tests, and bounds that hold.

use engine::diagnose::{Act, Belief, Hypothesis, Model, Solver, Stop, Test, bounds};

/// Random numbers that are the same on every run (splitmix64; Steele, Lea and Flood 2014, from memory).
pub struct Dice(pub u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// 0 up to 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }
}

fn shares(dice: &mut Dice, n: usize) -> Vec<f64> {
    let raw: Vec<f64> = (0..n).map(|_| dice.share() + 0.02).collect();
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|r| r / sum).collect()
}

/// Answers of a test by fault: certain ones half of the time.
fn answers(dice: &mut Dice, count: usize, faults: usize) -> Vec<Vec<f64>> {
    let mut by_answer = vec![vec![0.0; faults]; count];
    (0..faults).for_each(|fault| {
        if dice.below(2) == 0 {
            by_answer[dice.below(count)][fault] = 1.0;
        } else {
            let drawn = shares(dice, count);
            (0..count).for_each(|a| by_answer[a][fault] = drawn[a]);
        }
    });
    by_answer
}

fn random(dice: &mut Dice, number: usize) -> Model {
    let faults = 2 + dice.below(5);
    let tests = 1 + dice.below(6);
    let stop = match number % 3 {
        0 => Stop::Runs { hand_on: 20.0 + 200.0 * dice.share() },
        1 => Stop::Verdict { wrong: 5.0 + 300.0 * dice.share() },
        _ => Stop::Settled,
    };
    let mut sets: Vec<Vec<usize>> = (0..faults).map(|f| vec![f]).collect();
    if faults < 6 && dice.below(2) == 0 {
        sets.push(vec![0, faults - 1]);
    }
    let priors = shares(dice, sets.len());
    let hypotheses = sets.into_iter().zip(priors).enumerate();
    let hypotheses = hypotheses.map(|(i, (faults, prior))| Hypothesis { prior, faults, remedy: i.min(4) }).collect();
    let most = if tests > 4 { 2 } else { 3 };
    let test = |dice: &mut Dice| {
        let count = 1 + dice.below(most);
        let cures = (0..faults).map(|_| if dice.below(3) == 0 { dice.share() } else { 0.0 }).collect();
        Test {
            minutes: 1.0 + 30.0 * dice.share(),
            minutes_if_gone: if dice.below(4) == 0 { 10.0 * dice.share() } else { 0.0 },
            cures: if stop == Stop::Settled { vec![0.0; faults] } else { cures },
            shows: answers(dice, count, faults),
            mixed: count - 1,
            silent: (dice.below(2) == 0).then(|| dice.below(count)),
            starts: dice.below(2) == 0,
        }
    };
    let tests: Vec<Test> = (0..tests).map(|_| test(dice)).collect();
    let hides = if stop != Stop::Settled && dice.below(3) == 0 { 0.4 * dice.share() } else { 0.0 };
    let most = (dice.below(5) == 0).then_some(2);
    let mut model = Model::new(hypotheses, tests, stop);
    (model.hides, model.comes_back, model.most) = (hides, 60.0, most);
    model
}

/// One way the machine may be: which hypothesis, and which of its faults are cured by now.
#[derive(Clone)]
struct World {
    hypothesis: usize,
    cured: [bool; 2],
    chance: f64,
}

/// The joint expected minutes of the best way on, by trying every test first, second and so on.
fn brute(model: &Model, worlds: &[World], done: &[usize]) -> f64 {
    let mass: f64 = worlds.iter().map(|w| w.chance).sum();
    let doubt = |worlds: &[World]| {
        let of = |r: usize| {
            worlds.iter().filter(|w| model.hypotheses[w.hypothesis].remedy == r).map(|w| w.chance).sum::<f64>()
        };
        worlds.iter().map(|w| w.chance).sum::<f64>() - (0..9).map(of).fold(0.0, f64::max)
    };
    let mut best = match model.stop {
        Stop::Runs { hand_on } => hand_on * mass,
        Stop::Verdict { wrong } => wrong * doubt(worlds),
        Stop::Settled if doubt(worlds) < 1e-13 => return 0.0,
        Stop::Settled => f64::INFINITY,
    };
    if model.most.is_some_and(|most| done.len() >= most) {
        return if best.is_infinite() { 0.0 } else { best };
    }
    for (t, test) in model.tests.iter().enumerate().filter(|(t, _)| !done.contains(t)) {
        let (gone, stays) = act(model, test, worlds);
        let hidden = gone.iter().filter(|w| !w.1);
        let all: f64 = gone.iter().map(|w| w.0.chance).sum();
        let mut cost = mass * test.minutes + all * test.minutes_if_gone;
        cost += model.comes_back * hidden.map(|w| w.0.chance).sum::<f64>();
        if let Stop::Verdict { wrong } = model.stop {
            cost += wrong * doubt(&gone.into_iter().map(|w| w.0).collect::<Vec<_>>());
        }
        let split: Vec<Vec<World>> = (0..test.shows.len()).map(|a| told(model, test, a, &stays)).collect();
        let live = split.iter().filter(|s| s.iter().map(|w| w.chance).sum::<f64>() > 1e-13).count();
        if live < 2 && model.stop == Stop::Settled {
            continue;
        }
        let then: Vec<usize> = done.iter().copied().chain([t]).collect();
        cost += split.iter().map(|s| brute(model, s, &then)).sum::<f64>();
        best = best.min(cost);
    }
    if best.is_infinite() { 0.0 } else { best }
}

type Gone = Vec<(World, bool)>;

/// The worlds after a test: without the symptom (and whether it is truly cured), and with it.
fn act(model: &Model, test: &Test, worlds: &[World]) -> (Gone, Vec<World>) {
    let (mut gone, mut stays) = (Vec::new(), Vec::new());
    for world in worlds {
        let faults = &model.hypotheses[world.hypothesis].faults;
        for cured in [[false, false], [false, true], [true, false], [true, true]] {
            let mut chance = world.chance;
            for (part, now) in cured.into_iter().enumerate() {
                let cure = faults.get(part).map_or(0.0, |f| test.cures[*f]);
                chance *= match (world.cured[part], now) {
                    (true, now) => f64::from(u8::from(now)),
                    (false, true) => cure,
                    (false, false) => 1.0 - cure,
                };
            }
            let next = World { hypothesis: world.hypothesis, cured, chance };
            if chance == 0.0 {
                continue;
            }
            if (0..faults.len()).all(|p| cured[p]) {
                gone.push((next, true));
            } else {
                let hides = if test.starts { model.hides } else { 0.0 };
                gone.push((World { chance: chance * hides, ..next.clone() }, false));
                stays.push(World { chance: chance * (1.0 - hides), ..next });
            }
        }
    }
    (gone, stays)
}

fn told(model: &Model, test: &Test, answer: usize, worlds: &[World]) -> Vec<World> {
    let shows = |world: &World| {
        let faults = &model.hypotheses[world.hypothesis].faults;
        let pair = |a: usize, b: usize| {
            let telling: Vec<usize> = [a, b].into_iter().filter(|x| Some(*x) != test.silent).collect();
            match telling[..] {
                [] => a,
                [one] => one,
                _ => {
                    if a == b {
                        a
                    } else {
                        test.mixed
                    }
                }
            }
        };
        let mut chance = 0.0;
        if let [one] = faults[..] {
            chance = test.shows[answer][one];
        }
        if let [one, two] = faults[..] {
            // Which of the two this very test has cured, given that it has not cured both.
            let (c, d) = (test.cures[one], test.cures[two]);
            for a in 0..test.shows.len() {
                for b in 0..test.shows.len() {
                    let drawn = test.shows[a][one] * test.shows[b][two];
                    chance += (1.0 - c) * (1.0 - d) * drawn * f64::from(u8::from(pair(a, b) == answer));
                    chance += c * (1.0 - d) * drawn * f64::from(u8::from(b == answer));
                    chance += d * (1.0 - c) * drawn * f64::from(u8::from(a == answer));
                }
            }
            chance /= 1.0 - c * d;
        }
        chance
    };
    worlds.iter().map(|w| World { chance: w.chance * shows(w), ..w.clone() }).collect()
}

fn worlds(model: &Model) -> Vec<World> {
    let world = |(hypothesis, h): (usize, &Hypothesis)| World { hypothesis, cured: [false; 2], chance: h.prior };
    model.hypotheses.iter().enumerate().map(world).collect()
}

#[test]
fn the_solver_equals_trying_every_order_on_500_instances() {
    let mut dice = Dice(20_261_125);
    let (mut tested, mut deep) = (0, 0);
    for number in 0..500 {
        let model = random(&mut dice, number);
        let told = Solver::new(&model, usize::MAX).best(&model.start());
        let tried = brute(&model, &worlds(&model), &[]);
        assert!((told.most - tried).abs() < 1e-7, "instance {number}: {told:?}, by brute force {tried}\n{model:#?}");
        assert!(told.is_exact(), "instance {number}: {told:?}");
        tested += usize::from(matches!(told.act, Act::Test(_)));
        deep += usize::from(model.tests.len() >= 5);
    }
    assert!(tested > 250 && deep > 100, "too few that test at all: {tested}, or have many tests: {deep}");
}

#[test]
fn the_best_first_test_costs_what_the_best_way_costs_and_no_other_less() {
    let mut dice = Dice(7);
    for number in 0..200 {
        let model = random(&mut dice, number);
        let start = model.start();
        let mut solver = Solver::new(&model, usize::MAX);
        let best = solver.best(&start);
        for test in 0..model.tests.len() {
            let Some(first) = solver.first(&start, test, f64::INFINITY) else { continue };
            let (least, most) = (best.most - 1e-7, best.most + 0.05 + 1e-7);
            assert!(first.most > least || model.stop == Stop::Settled, "instance {number}, test {test}");
            assert!(first.most - first.least < 0.05 + 1e-7, "instance {number}, test {test}");
            assert!(
                best.act != Act::Test(test) || (least..most).contains(&first.most),
                "instance {number}, test {test}"
            );
        }
    }
}

/// With a budget that is too small, the optimum lies between what is told; the more histories, the nearer.
#[test]
fn past_its_budget_the_solver_brackets_the_optimum() {
    let mut dice = Dice(11);
    let (mut open, mut closed) = (0, 0);
    for number in 0..300 {
        let model = random(&mut dice, number);
        let start = model.start();
        let best = Solver::new(&model, usize::MAX).best(&start).most;
        let mut before = f64::INFINITY;
        for budget in [1, 10, 100, 1000] {
            let told = Solver::new(&model, budget).best(&start);
            assert!(told.least < best + 1e-7 && best < told.most + 1e-7, "instance {number}: {told:?}, best {best}");
            assert!(told.most < before + 1e-7, "instance {number}: {budget} is worse, {told:?} after {before}");
            before = told.most;
            if told.is_exact() { closed += 1 } else { open += 1 }
        }
    }
    assert!(open > 50 && closed > 50, "too few that stayed open, {open}, or were closed, {closed}");
}

/// From every belief that some answers lead to, two faults of which one may be cured by now among them.
#[test]
fn the_plain_bounds_hold_from_every_belief() {
    let mut dice = Dice(31);
    let mut deep = 0;
    for number in (0..600).filter(|n| n % 3 == 0) {
        let model = random(&mut dice, number);
        let (mut known, mut solver) = (bounds::Known::new(&model), Solver::new(&model, usize::MAX));
        let mut belief = model.start();
        loop {
            let best = solver.best(&belief).most * belief.mass();
            let (least, most) = (known.least(&belief), bounds::most(&model, &belief).0);
            assert!(least < best + 1e-9 && best < most + 1e-9, "instance {number}: {least} {best} {most}\n{belief:?}");
            deep += usize::from(belief.done > 1);
            let open = model.open(&belief);
            let Some(test) = open.get(dice.below(open.len().max(1))) else { break };
            let mut answers = model.prospect(&belief, *test).answers;
            if answers.is_empty() {
                break;
            }
            belief = answers.swap_remove(dice.below(answers.len())).1;
        }
    }
    assert!(deep > 100, "{deep}");
}

/// What is promised is what comes of it: the way that the solver goes, followed to its end through every answer.
#[test]
fn following_the_advice_takes_what_was_told() {
    let mut dice = Dice(23);
    for number in 0..150 {
        let model = random(&mut dice, number);
        let start = model.start();
        for budget in [30, usize::MAX] {
            let told = Solver::new(&model, budget).best(&start);
            let taken = followed(&mut Solver::new(&model, budget), &start);
            assert!(taken < told.most + 1e-7, "instance {number}: {told:?}, and it takes {taken}");
            assert!(taken > told.least - 1e-7, "instance {number}: {told:?}, and it takes {taken}");
        }
    }
}

/// Joint minutes of going by the solver's acts.
fn followed(solver: &mut Solver<'_>, belief: &Belief) -> f64 {
    let model = solver.model;
    let Act::Test(test) = solver.best(belief).act else { return model.end(belief).unwrap_or(0.0) };
    let prospect = model.prospect(belief, test);
    let own = prospect.minutes * belief.mass() + model.end_gone(test, &prospect.gone);
    own + prospect.answers.iter().map(|(_, next)| followed(solver, next)).sum::<f64>()
}

#[test]
fn no_way_takes_less_than_halving_needs() {
    for n in 2..7 {
        let shares = vec![1.0 / n as f64; n];
        let sets = 1..(1usize << (n - 1));
        let test = |set: usize| Test {
            minutes: 1.0,
            minutes_if_gone: 0.0,
            cures: vec![0.0; n],
            shows: (0..2).map(|a| (0..n).map(|f| f64::from(u8::from((set >> f) & 1 == a))).collect()).collect(),
            mixed: 0,
            silent: None,
            starts: false,
        };
        let fault = |f: usize| Hypothesis { prior: shares[f], faults: vec![f], remedy: f };
        let tests: Vec<Test> = sets.map(test).take(engine::diagnose::model::TESTS_MOST).collect();
        let all = tests.len() == (1 << (n - 1)) - 1;
        let stop = Stop::Settled;
        let hypotheses = (0..n).map(fault).collect();
        let model = Model::new(hypotheses, tests, stop);
        let told = Solver::new(&model, usize::MAX).best(&model.start()).most;
        let least = bounds::halving(&shares);
        assert!(told > least - 1e-9 && (!all || told < least + 1e-9), "{n}: {told}, halving {least}");
    }
}
