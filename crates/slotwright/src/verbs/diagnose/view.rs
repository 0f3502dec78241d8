//! What `diagnose` shows, as plain data.

use schemars::JsonSchema;
use serde::Serialize;

/// Where a diagnosis stands.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DiagnoseView {
    pub board: String,
    pub symptom: SymptomView,
    /// `run` (the machine is to run) or `prove` (the part that failed is to be proven).
    pub aim: String,
    /// Is there nothing more to do?
    pub finished: bool,
    /// What it may be, the likeliest first.
    pub beliefs: Vec<BeliefView>,
    /// Where the first beliefs come from.
    pub beliefs_from: String,
    /// The next test; none where it is finished.
    pub next: Option<NextView>,
    /// What it is; none where it is not finished.
    pub verdict: Option<VerdictView>,
    /// Minutes that the tests so far took by these figures.
    pub spent_minutes: u32,
    /// Expected minutes from here, with what risks are taken to be worth.
    pub remaining_minutes: f64,
    /// Starts in a row without the symptom after which it counts as gone.
    pub clean_starts: u32,
    /// Minutes of one start, and where that is from.
    pub start_minutes: u32,
    pub start_from: String,
    /// What was done, in order.
    pub record: Vec<StepView>,
    /// The same as it is given to the program again: `test=answer`.
    pub answers: Vec<String>,
    /// What to be careful of in the next test.
    pub cautions: Vec<String>,
    /// Other things to know, in sentences.
    pub notes: Vec<String>,
}

/// What is seen.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SymptomView {
    /// Its word, as `--symptom` takes it.
    pub sign: String,
    /// In words.
    pub place: String,
    /// The filled slots that show it.
    pub slots: Vec<String>,
}

/// One thing that it may be.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BeliefView {
    /// A cause's word, or two joined by `+` for both at once.
    pub cause: String,
    pub title: String,
    pub percent: f64,
}

/// The next test.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NextView {
    pub test: String,
    pub title: String,
    /// Step by step.
    pub how: Vec<String>,
    /// Minutes by hand and of one start.
    pub minutes: u32,
    pub risk: String,
    /// What that risk is taken to be worth in minutes; no source.
    pub risk_minutes: f64,
    pub answers: Vec<AnswerView>,
    /// Why this test, in sentences.
    pub why: Vec<String>,
    /// What would change its mind, in sentences.
    pub unless: Vec<String>,
    /// Is the choice the best of all ways?
    pub exact: bool,
    /// Where it is not exact: minutes by which the best way may be shorter at most.
    pub above_minutes: f64,
    /// Other tests, with the expected minutes from here if they came first; the best first.
    pub others: Vec<OtherView>,
}

/// One answer of the next test.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AnswerView {
    pub word: String,
    /// What is seen.
    pub text: String,
    /// How likely it is.
    pub percent: f64,
    /// What it would be taken to be then, and how likely.
    pub then: String,
    pub then_percent: f64,
    /// The test after it; none where it ends there.
    pub then_test: Option<String>,
}

/// Another test that could come first.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OtherView {
    pub test: String,
    pub title: String,
    pub minutes: u32,
    pub expected_minutes: f64,
}

/// How it ends.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VerdictView {
    /// `seat`, `replace-module`, `replace-board`, `socket-contact`, `replace-processor`, `settings`, `firmware` or
    /// `two-faults`.
    pub remedy: String,
    /// What to do.
    pub act: String,
    /// Where.
    pub place: String,
    /// How likely it is the right one.
    pub percent: f64,
    /// Is it sure, at 95 %, that this is to be done, be it alone or with something else?
    pub proven: bool,
    /// Is the symptom gone?
    pub runs: bool,
    /// Why, in sentences.
    pub reason: Vec<String>,
}

/// One step that was done.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StepView {
    pub test: String,
    pub title: String,
    pub answer: String,
    pub text: String,
    pub minutes: u32,
    /// What it was taken to be after it, and how likely.
    pub then: String,
    pub then_percent: f64,
}
