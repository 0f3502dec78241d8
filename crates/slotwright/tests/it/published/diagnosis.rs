//! Worked cases of sequential diagnosis: least expected minutes, orders, bounds, imperfect tests, clean starts.

use super::{files, told};
use engine::diagnose::model::{Belief, TESTS_MOST};
use engine::diagnose::{Act, Hypothesis, Model, Solver, Stop, Test, boots, bounds};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct File {
    settle: Vec<Settle>,
    order: Vec<Order>,
    halving: Vec<Halving>,
    one_of: Vec<OneOf>,
    noisy: Vec<Noisy>,
    starts: Vec<Starts>,
}

/// Tests with certain answers until all is told apart.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settle {
    id: String,
    origin: String,
    shares: Vec<f64>,
    minutes: f64,
    first: String,
    greedy: f64,
    halving: f64,
    entropy: f64,
    test: Vec<Certain>,
    /// The rest of the best way.
    then: Vec<Then>,
}

/// What comes after these answers, each a test and the number of its answer.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Then {
    after: Vec<(String, usize)>,
    test: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Certain {
    name: String,
    minutes: f64,
    /// By state.
    answers: Vec<usize>,
}

/// One look for each cause, and a repair where it is found.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Order {
    id: String,
    origin: String,
    shares: Vec<f64>,
    look: Vec<f64>,
    repair: Vec<f64>,
    minutes: f64,
    order: Vec<usize>,
    other: Vec<Other>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Other {
    order: Vec<usize>,
    minutes: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Halving {
    id: String,
    origin: String,
    shares: Vec<f64>,
    tests: f64,
    entropy: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct OneOf {
    id: String,
    origin: String,
    n: usize,
    one_at_a_time: f64,
    halving: f64,
    worst: u32,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Noisy {
    id: String,
    origin: String,
    shares: Vec<f64>,
    wrong: f64,
    tests: Vec<Imperfect>,
    by_most_tests: Vec<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Imperfect {
    minutes: f64,
    /// By hypothesis: the probability that it fails.
    fails: Vec<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Starts {
    id: String,
    origin: String,
    before: f64,
    shows: f64,
    still_there: Vec<f64>,
    for_95: u32,
    for_99: u32,
}

fn near(is: f64, told: f64, what: &str) {
    assert!((is - told).abs() < 1e-7, "{what}: {is}, told {told}");
}

fn causes(shares: &[f64]) -> Vec<Hypothesis> {
    let one = |(fault, prior): (usize, &f64)| Hypothesis { prior: *prior, faults: vec![fault], remedy: fault };
    shares.iter().enumerate().map(one).collect()
}

fn test(minutes: f64, shows: Vec<Vec<f64>>, faults: usize) -> Test {
    Test { minutes, minutes_if_gone: 0.0, cures: vec![0.0; faults], shows, mixed: 0, silent: None, starts: false }
}

/// A test that cures one fault for certain, and else shows nothing.
fn cure(fault: usize, minutes: f64, repair: f64, faults: usize) -> Test {
    let mut test = test(minutes, vec![vec![1.0; faults]], faults);
    test.cures[fault] = 1.0;
    test.minutes_if_gone = repair;
    test
}

fn best(model: &Model) -> (f64, Act) {
    let told = Solver::new(model, usize::MAX).best(&model.start());
    (told.most, told.act)
}

/// What it costs to take the test with the most bits per minute each time.
fn greedy(model: &Model, belief: &Belief) -> f64 {
    if model.doubt(&belief.joint) < 1e-12 {
        return 0.0;
    }
    let gain = |test: usize| {
        let all = model.prospect(belief, test).answers;
        let shares: Vec<f64> = all.iter().map(|(_, b)| b.mass() / belief.mass()).collect();
        bounds::entropy(&shares) / model.tests[test].minutes
    };
    let rated = model.open(belief).into_iter().map(|t| (gain(t), t));
    let (_, test) = rated.reduce(|a, b| if b.0 > a.0 + 1e-12 { b } else { a }).unwrap();
    let then = model.prospect(belief, test).answers;
    model.tests[test].minutes * belief.mass() + then.iter().map(|(_, b)| greedy(model, b)).sum::<f64>()
}

fn settle(case: &Settle) {
    let n = case.shares.len();
    let by_answer = |t: &Certain| {
        let count = t.answers.iter().max().unwrap() + 1;
        (0..count).map(|a| t.answers.iter().map(|s| f64::from(u8::from(*s == a))).collect()).collect()
    };
    let tests: Vec<Test> = case.test.iter().map(|t| test(t.minutes, by_answer(t), n)).collect();
    let model = Model::new(causes(&case.shares), tests, Stop::Settled);
    let (minutes, act) = best(&model);
    near(minutes, case.minutes, &case.id);
    let Act::Test(first) = act else { panic!("{} begins with no test", case.id) };
    assert_eq!(case.test[first].name, case.first, "{}", case.id);
    let mut solver = Solver::new(&model, usize::MAX);
    let number = |name: &str| case.test.iter().position(|t| t.name == name).unwrap();
    for then in &case.then {
        let follow = |belief: Belief, (test, answer): &(String, usize)| {
            let answers = model.prospect(&belief, number(test)).answers;
            answers.into_iter().find(|(a, _)| a == answer).unwrap_or_else(|| panic!("{then:?}")).1
        };
        let belief = then.after.iter().fold(model.start(), follow);
        assert_eq!(solver.best(&belief).act, Act::Test(number(&then.test)), "{}: {then:?}", case.id);
    }
    near(greedy(&model, &model.start()), case.greedy, &format!("{}, greedy", case.id));
    near(bounds::halving(&case.shares), case.halving, &case.id);
    near(bounds::entropy(&case.shares), case.entropy, &case.id);
}

/// What a fixed order of tests costs.
fn in_order(model: &Model, order: &[usize]) -> f64 {
    let (mut belief, mut cost) = (model.start(), 0.0);
    for test in order {
        cost += model.tests[*test].minutes * belief.mass() + model.end_gone(*test, &model.gone(&belief, *test));
        belief = model.whatever_it_shows(&belief, *test);
    }
    cost
}

fn order(case: &Order) {
    let n = case.shares.len();
    let tests = (0..n).map(|f| cure(f, case.look[f], case.repair[f], n)).collect();
    let model = Model::new(causes(&case.shares), tests, Stop::Runs { hand_on: 1e6 });
    near(best(&model).0, case.minutes, &case.id);
    near(in_order(&model, &case.order), case.minutes, &case.id);
    assert_eq!(best(&model).1, Act::Test(case.order[0]), "{}", case.id);
    for other in &case.other {
        near(in_order(&model, &other.order), other.minutes, &format!("{} {:?}", case.id, other.order));
    }
}

/// One bad of `n`, each with a test of its own; so many of the tests.
fn one_by_one(n: usize, tests: usize) -> Model {
    let is = |fault: usize, at: usize| f64::from(u8::from(fault == at));
    let shows = |f: usize| vec![(0..n).map(|i| 1.0 - is(i, f)).collect(), (0..n).map(|i| is(i, f)).collect()];
    let tests = (0..tests).map(|f| test(1.0, shows(f), n)).collect();
    Model::new(causes(&vec![1.0 / n as f64; n]), tests, Stop::Settled)
}

/// Tests on average where they are done in turn; the last needs none. More than a model holds are begun anew with what is left.
fn in_turn(n: usize) -> f64 {
    let most = (n - 1).min(TESTS_MOST);
    let model = one_by_one(n, most);
    let (mut belief, mut tests) = (model.start(), 0.0);
    for one in 0..most {
        tests += model.tests[one].minutes * belief.mass();
        let answers = model.prospect(&belief, one).answers;
        belief = answers.into_iter().find(|(answer, _)| *answer == 0).unwrap().1;
    }
    if most < n - 1 { tests + belief.mass() * in_turn(n - most) } else { tests }
}

/// One bad of `n`, asked one by one.
fn one_of(case: &OneOf) {
    let n = case.n;
    let halving = bounds::halving(&vec![1.0 / n as f64; n]);
    near(halving, (case.halving * 1e10).round() / 1e10, &case.id);
    // As `half-by-half` counts its starts.
    assert_eq!(halving.ceil() as u32, case.worst, "{}", case.id);
    near(in_turn(n), case.one_at_a_time, &case.id);
    // Beyond that many there are more ways than a short test has time for.
    if n <= 12 {
        near(best(&one_by_one(n, n)).0, case.one_at_a_time, &case.id);
    }
}

fn noisy(case: &Noisy) {
    let n = case.shares.len();
    for (most, told) in case.by_most_tests.iter().enumerate() {
        // Each test can be done again: as many times as there are tests at all.
        let again = case.tests.iter().flat_map(|t| std::iter::repeat_n(t, case.by_most_tests.len() - 1));
        let tests = again.map(|t| test(t.minutes, vec![t.fails.iter().map(|p| 1.0 - p).collect(), t.fails.clone()], n));
        let mut model = Model::new(causes(&case.shares), tests.collect(), Stop::Verdict { wrong: case.wrong });
        model.most = Some(most);
        let (minutes, _) = best(&model);
        assert!((minutes - told).abs() < 1e-6, "{} with {most} tests: {minutes}, told {told}", case.id);
    }
}

fn starts(case: &Starts) {
    for (n, told) in case.still_there.iter().enumerate() {
        near(boots::still_there(case.before, case.shows, n as u32), *told, &case.id);
    }
    assert_eq!(boots::clean_starts(case.before, case.shows, 0.95), Some(case.for_95), "{}", case.id);
    assert_eq!(boots::clean_starts(case.before, case.shows, 0.99), Some(case.for_99), "{}", case.id);
}

#[test]
fn worked_cases_of_diagnosis_come_out_as_told() {
    let mut met = 0;
    for (source, text) in files("diagnosis.toml") {
        let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("{source}: {e}"));
        file.settle.iter().for_each(settle);
        file.order.iter().for_each(order);
        for case in &file.halving {
            near(bounds::halving(&case.shares), case.tests, &case.id);
            near(bounds::entropy(&case.shares), case.entropy, &case.id);
        }
        file.one_of.iter().for_each(one_of);
        file.noisy.iter().for_each(noisy);
        file.starts.iter().for_each(starts);
        let mut origins: Vec<(&str, &str)> = file.settle.iter().map(|c| (c.id.as_str(), c.origin.as_str())).collect();
        origins.extend(file.order.iter().map(|c| (c.id.as_str(), c.origin.as_str())));
        origins.extend(file.halving.iter().map(|c| (c.id.as_str(), c.origin.as_str())));
        origins.extend(file.one_of.iter().map(|c| (c.id.as_str(), c.origin.as_str())));
        origins.extend(file.noisy.iter().map(|c| (c.id.as_str(), c.origin.as_str())));
        origins.extend(file.starts.iter().map(|c| (c.id.as_str(), c.origin.as_str())));
        origins.iter().for_each(|(id, origin)| println!("{source}: {id}: {origin}"));
        met += origins.len();
    }
    told("diagnosis", &[("met", met)]);
}
