//! What may be wrong, how likely, and what each test would show: numbers only, of any machine.
//!
//! A hypothesis is one fault, or two at once. A test may cure faults and shows one of several answers while the symptom
//! is still there; where the symptom is gone, the machine runs and nothing more can be seen.

use smallvec::SmallVec;

/// A figure by hypothesis; those of a real case lie where they are, not on the heap.
pub type Row<T> = SmallVec<[T; 12]>;

/// One or two faults.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypothesis {
    /// Its probability before any test; all together are 1.
    pub prior: f64,
    /// The faults that it consists of, by number; all of them must be cured.
    pub faults: Vec<usize>,
    /// What to do about it, by number: hypotheses of one remedy need not be told apart.
    pub remedy: usize,
}

/// One thing that can be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    /// What it costs: minutes, with what its risk is taken to be worth.
    pub minutes: f64,
    /// Minutes more where the symptom is then gone.
    pub minutes_if_gone: f64,
    /// By fault: the probability that it cures it for good.
    pub cures: Vec<f64>,
    /// By answer, then by fault: the probability of that answer while the fault is still there; 1 over all answers.
    pub shows: Vec<Vec<f64>>,
    /// The answer where two faults alone would give two different ones.
    pub mixed: usize,
    /// An answer that says nothing, such as that nothing is to be seen: of two faults the other one's answer is given.
    pub silent: Option<usize>,
    /// Can a symptom that comes and goes stay away by chance when it is done? So with every start of the machine.
    pub starts: bool,
}

impl Test {
    /// The answer that is given where two faults alone would give these.
    fn of_two(&self, one: usize, other: usize) -> usize {
        match self.silent {
            _ if one == other => one,
            Some(silent) if silent == one => other,
            Some(silent) if silent == other => one,
            _ => self.mixed,
        }
    }
}

/// When to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop {
    /// When it runs; or hand it on at this price in minutes.
    Runs { hand_on: f64 },
    /// When the verdict is worth no further test: a wrong one costs so many minutes.
    Verdict { wrong: f64 },
    /// When no test can tell any further.
    Settled,
}

/// The whole question.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    pub hypotheses: Vec<Hypothesis>,
    pub tests: Vec<Test>,
    pub stop: Stop,
    /// The probability that a symptom that is still there does not show at all those starts that a test asks for.
    pub hides: f64,
    /// What a symptom that only hid costs when it comes back, in minutes.
    pub comes_back: f64,
    /// Tests at most, where that is limited.
    pub most: Option<usize>,
    /// By test, answer and hypothesis: the probability of the answer while the symptom is there.
    shows: Vec<Vec<Vec<f64>>>,
}

/// Most tests and most answers of one that a [`History`] holds.
pub const TESTS_MOST: usize = 21;
pub const ANSWERS_MOST: usize = 6;

/// Which tests are done and what they showed; the order does not matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct History(u64);

const OPEN: u64 = 0;
const BARRED: u64 = 7;

impl History {
    fn digit(self, test: usize) -> u64 {
        (self.0 >> (3 * test)) & 7
    }
    /// Neither done nor barred.
    pub fn is_open(self, test: usize) -> bool {
        test < TESTS_MOST && self.digit(test) == OPEN
    }
    /// Bit by bit, which of the first so many tests are open.
    pub fn open_of(self, tests: usize) -> u32 {
        (0..tests.min(TESTS_MOST)).fold(0, |all, test| all | u32::from(self.is_open(test)) << test)
    }
    /// What it showed.
    pub fn answer(self, test: usize) -> Option<usize> {
        match self.digit(test) {
            OPEN | BARRED => None,
            digit => Some(digit as usize - 1),
        }
    }
    /// With this answer of an open test.
    #[must_use]
    pub fn with(self, test: usize, answer: usize) -> Self {
        debug_assert!(self.is_open(test) && answer < ANSWERS_MOST);
        Self(self.0 | ((answer as u64 + 1) << (3 * test)))
    }
    /// With a test that can't be done.
    #[must_use]
    pub fn without(self, test: usize) -> Self {
        Self(self.0 | (BARRED << (3 * test)))
    }
}

/// What is believed after a history: joint probabilities, so that they sum up to the probability of the history.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    pub history: History,
    pub done: usize,
    /// By hypothesis: the probability of its prior and of every answer.
    pub(super) seen: Row<f64>,
    /// By hypothesis, then fault: the probability that no test so far has cured it.
    pub(super) left: Row<[f64; 2]>,
    /// By hypothesis: the joint probability, the symptom being there.
    pub joint: Row<f64>,
}

/// What may come of a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Prospect {
    /// What it costs in any case.
    pub minutes: f64,
    /// By answer that can come: the belief then.
    pub answers: Vec<(usize, Belief)>,
    /// By hypothesis: the joint probability that it is cured now, and that the symptom only hides.
    pub gone: Row<(f64, f64)>,
}

impl Model {
    /// A question about a symptom that is there all the time.
    pub fn new(hypotheses: Vec<Hypothesis>, tests: Vec<Test>, stop: Stop) -> Self {
        let by_answer = |test: &Test, answer: usize| hypotheses.iter().map(|h| shows(test, answer, h)).collect();
        let shows = tests.iter().map(|t| (0..t.shows.len()).map(|a| by_answer(t, a)).collect()).collect();
        Self { hypotheses, tests, stop, hides: 0.0, comes_back: 0.0, most: None, shows }
    }
    /// The belief before any test.
    pub fn start(&self) -> Belief {
        let seen: Row<f64> = self.hypotheses.iter().map(|h| h.prior).collect();
        let left = self.hypotheses.iter().map(|h| [1.0, if h.faults.len() > 1 { 1.0 } else { 0.0 }]).collect();
        Belief { history: History::default(), done: 0, joint: seen.clone(), seen, left }
    }
    /// The belief after an answer; `None` where it can't be.
    pub fn after(&self, belief: &Belief, test: usize, answer: usize) -> Option<Belief> {
        let next = self.next(belief, test, answer, |h| self.shows[test][answer][h]);
        (next.mass() > IMPOSSIBLE).then_some(next)
    }
    fn next(&self, belief: &Belief, test: usize, answer: usize, shows: impl Fn(usize) -> f64) -> Belief {
        let done = &self.tests[test];
        let stays = if done.starts { 1.0 - self.hides } else { 1.0 };
        let mut next = belief.clone();
        next.history = belief.history.with(test, answer);
        next.done += 1;
        for (h, hypothesis) in self.hypotheses.iter().enumerate() {
            next.seen[h] *= shows(h) * stays;
            next.left[h] = uncured(done, hypothesis, belief.left[h]);
            next.joint[h] = next.seen[h] * there(&next.left[h]);
        }
        next
    }
    /// What may come of an open test.
    pub fn prospect(&self, belief: &Belief, test: usize) -> Prospect {
        let done = &self.tests[test];
        let answers: Vec<(usize, Belief)> =
            (0..done.shows.len()).filter_map(|a| Some((a, self.after(belief, test, a)?))).collect();
        Prospect { minutes: done.minutes, answers, gone: self.gone(belief, test) }
    }
    /// By hypothesis: the joint probability that a test cures it, and that the symptom only hides after it.
    pub fn gone(&self, belief: &Belief, test: usize) -> Row<(f64, f64)> {
        let done = &self.tests[test];
        let hides = if done.starts { self.hides } else { 0.0 };
        let of = |(h, hypothesis): (usize, &Hypothesis)| {
            let still = belief.seen[h] * there(&uncured(done, hypothesis, belief.left[h]));
            ((belief.joint[h] - still).max(0.0), still * hides)
        };
        self.hypotheses.iter().enumerate().map(of).collect()
    }
    /// The belief where a test has not made the symptom go, whatever else it showed.
    pub fn whatever_it_shows(&self, belief: &Belief, test: usize) -> Belief {
        self.next(belief, test, 0, |_| 1.0)
    }
    /// What it costs to end here, as a share of the belief's mass; `None` where one may not.
    pub fn end(&self, belief: &Belief) -> Option<f64> {
        match self.stop {
            Stop::Runs { hand_on } => Some(hand_on * belief.mass()),
            Stop::Verdict { wrong } => Some(wrong * self.doubt(&belief.joint)),
            Stop::Settled => None,
        }
    }
    /// What it costs to end because the symptom is gone.
    pub fn end_gone(&self, test: usize, gone: &[(f64, f64)]) -> f64 {
        let mass: f64 = gone.iter().map(|(cured, hidden)| cured + hidden).sum();
        let hidden: f64 = gone.iter().map(|(_, hidden)| hidden).sum();
        let verdict = match self.stop {
            Stop::Verdict { wrong } => {
                let joint: Vec<f64> = gone.iter().map(|(cured, hidden)| cured + hidden).collect();
                wrong * self.doubt(&joint)
            }
            Stop::Runs { .. } | Stop::Settled => 0.0,
        };
        self.tests[test].minutes_if_gone * mass + hidden * self.comes_back + verdict
    }
    /// What is not of the likeliest remedy.
    pub fn doubt(&self, joint: &[f64]) -> f64 {
        let (best, mass) = self.remedy(joint);
        mass.iter().sum::<f64>() - best.map_or(0.0, |b| mass[b])
    }
    /// The likeliest remedy, the first of a tie, and the joint probability of each.
    pub fn remedy(&self, joint: &[f64]) -> (Option<usize>, Vec<f64>) {
        let count = self.hypotheses.iter().map(|h| h.remedy + 1).max().unwrap_or(0);
        let mut mass = vec![0.0; count];
        self.hypotheses.iter().zip(joint).for_each(|(h, p)| mass[h.remedy] += p);
        let best = (0..count).reduce(|a, b| if mass[b] > mass[a] { b } else { a });
        (best, mass)
    }
    /// Can this test change anything: cure something that may be there, make the symptom hide, or answer in two ways?
    pub fn matters(&self, belief: &Belief, test: usize, prospect: &Prospect) -> bool {
        if prospect.answers.len() > 1 || (self.tests[test].starts && self.hides > 0.0) {
            return true;
        }
        let cures = &self.tests[test].cures;
        self.hypotheses.iter().enumerate().any(|(h, hypothesis)| {
            let live = belief.joint[h] > IMPOSSIBLE;
            let mut parts = hypothesis.faults.iter().take(2).zip(belief.left[h]);
            live && parts.any(|(f, left)| left > 0.0 && cures.get(*f).is_some_and(|c| *c > 0.0))
        })
    }
    /// The open tests, in their order.
    pub fn open(&self, belief: &Belief) -> Vec<usize> {
        if self.most.is_some_and(|most| belief.done >= most) {
            return Vec::new();
        }
        (0..self.tests.len()).filter(|t| belief.history.is_open(*t)).collect()
    }
}

/// Below this a history can't be.
pub(super) const IMPOSSIBLE: f64 = 1e-13;

/// The probability that not all parts are cured.
pub(super) fn there(left: &[f64; 2]) -> f64 {
    1.0 - (1.0 - left[0]) * (1.0 - left[1])
}

/// How a hypothesis answers a test while the symptom is there.
///
/// Of two faults one may have been cured by this very test, and then the other one answers; what earlier tests cured is
/// not looked at here, so that the order of tests does not matter.
fn shows(test: &Test, answer: usize, hypothesis: &Hypothesis) -> f64 {
    let of = |answer: usize, fault: usize| test.shows[answer].get(fault).copied().unwrap_or(0.0);
    let cure = |fault: usize| test.cures.get(fault).copied().unwrap_or(0.0);
    match *hypothesis.faults.as_slice() {
        [] => 0.0,
        [one] => of(answer, one),
        [a, b, ..] => {
            let all = || 0..test.shows.len();
            let pairs = all().flat_map(|x| all().map(move |y| (x, y)));
            let both: f64 =
                pairs.filter(|(x, y)| test.of_two(*x, *y) == answer).map(|(x, y)| of(x, a) * of(y, b)).sum();
            let (a_gone, b_gone) = (cure(a), cure(b));
            let left = 1.0 - a_gone * b_gone;
            let joint = (1.0 - a_gone) * (1.0 - b_gone) * both
                + a_gone * (1.0 - b_gone) * of(answer, b)
                + (1.0 - a_gone) * b_gone * of(answer, a);
            // Where it cures both for certain, the symptom is never there and the answer never comes.
            if left > 0.0 { joint / left } else { both }
        }
    }
}

/// By fault: the probability that it is there after a test too.
pub(super) fn uncured(test: &Test, hypothesis: &Hypothesis, mut left: [f64; 2]) -> [f64; 2] {
    for (part, fault) in hypothesis.faults.iter().take(2).enumerate() {
        left[part] *= 1.0 - test.cures.get(*fault).copied().unwrap_or(0.0);
    }
    left
}

impl Belief {
    /// The probability of its history.
    pub fn mass(&self) -> f64 {
        self.joint.iter().sum()
    }
    /// By hypothesis, summing up to 1.
    pub fn shares(&self) -> Vec<f64> {
        let mass = self.mass();
        self.joint.iter().map(|p| if mass > 0.0 { p / mass } else { 0.0 }).collect()
    }
    /// The same belief with a test barred.
    #[must_use]
    pub fn barring(&self, test: usize) -> Self {
        Self { history: self.history.without(test), ..self.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn two_at_once() -> Model {
        let test = |cures: [f64; 2]| Test {
            minutes: 1.0,
            minutes_if_gone: 0.0,
            cures: cures.to_vec(),
            shows: vec![vec![1.0; 2]],
            mixed: 0,
            silent: None,
            starts: false,
        };
        let hypothesis = |prior, faults: &[usize], remedy| Hypothesis { prior, faults: faults.to_vec(), remedy };
        let all = vec![hypothesis(0.5, &[0], 0), hypothesis(0.3, &[1], 1), hypothesis(0.2, &[0, 1], 2)];
        Model::new(all, vec![test([0.9, 0.0]), test([0.0, 0.8])], Stop::Runs { hand_on: 50.0 })
    }

    #[test]
    fn of_two_faults_at_once_both_must_be_cured() {
        let model = two_at_once();
        let start = model.start();
        let first = model.prospect(&start, 0);
        assert!((first.gone[0].0 - 0.45).abs() < 1e-12 && first.gone[2].0.abs() < 1e-12);
        let then = model.prospect(&first.answers[0].1, 1);
        // 0.2 × 0.9 × 0.8: only where both took.
        assert!((then.gone[2].0 - 0.144).abs() < 1e-12, "{:?}", then.gone);
        let other = model.after(&model.after(&start, 1, 0).unwrap(), 0, 0).unwrap();
        assert_eq!(then.answers[0].1.history, other.history);
        let close = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(x, y)| (x - y).abs() < 1e-12);
        assert!(close(&then.answers[0].1.joint, &other.joint), "the order does not matter");
    }

    #[test]
    fn of_two_faults_the_one_that_shows_is_seen() {
        let (mut model, third) = (two_at_once(), vec![vec![0.6, 0.01], vec![0.01, 0.01], vec![0.39, 0.98]]);
        model.tests[0] = Test { shows: third, cures: vec![0.0; 2], silent: Some(2), ..model.tests[0].clone() };
        let seen = |answer| shows(&model.tests[0], answer, &model.hypotheses[2]);
        // 0.6 × 0.98 + 0.39 × 0.01, with what both show alike and, as the first is the mixed one, what they show unlike.
        assert!((seen(0) - (0.6 * 0.98 + 0.39 * 0.01 + 0.6 * 0.01 + 0.6 * 0.01 + 0.01 * 0.01)).abs() < 1e-12);
        assert!((seen(2) - 0.39 * 0.98).abs() < 1e-12, "nothing only where neither shows");
        assert!(((0..3).map(seen).sum::<f64>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn nothing_is_lost_or_gained() {
        let mut model = two_at_once();
        model.hides = 0.25;
        model.tests[0].starts = true;
        let start = model.start();
        for test in 0..2 {
            let prospect = model.prospect(&start, test);
            let gone: f64 = prospect.gone.iter().map(|(a, b)| a + b).sum();
            let stays: f64 = prospect.answers.iter().map(|(_, b)| b.mass()).sum();
            assert!((gone + stays - 1.0).abs() < 1e-12);
        }
    }
}
