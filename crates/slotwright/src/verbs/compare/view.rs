//! What a comparison found, as plain data.

use domain::{Capacity, Severity};
use engine::compare::{Cause, Comparison, Count, Difference, Errors, MatchedBy, Where};
use schemars::JsonSchema;
use serde::Serialize;

/// Where plan and machine differ.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CompareView {
    /// What was planned: the file it came from.
    pub planned_from: String,
    /// What was seen: the file or address it came from.
    pub seen_from: String,
    /// How slots were matched: `name`, `place` (by socket, channel and position) or `nothing`.
    pub matched_by: String,
    /// Slots of the plan, and how many of them the report lists.
    pub slots_planned: usize,
    pub slots_listed: usize,
    /// Modules, DRAM only.
    pub modules_planned: usize,
    pub modules_seen: usize,
    pub capacity_planned_mib: u64,
    pub capacity_seen_mib: u64,
    /// The gravest first; empty where the machine is as planned.
    pub differences: Vec<DifferenceView>,
    /// Errors that the earlier report counted already, where none came since: no difference.
    pub old_errors: Vec<ErrorsView>,
    /// What this report cannot tell, in sentences.
    pub untold: Vec<String>,
    /// What reading the report brought up, in sentences.
    pub notes: Vec<String>,
}

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DifferenceView {
    /// `socket-gone`, `controller-gone`, `channel-gone`, `processor-missing`, `missing`, `disabled`, `swapped`,
    /// `wrong-slot`, `different-kind`, `smaller`, `larger`, `different-part`, `different-module`, `unexpected`, `slower`
    /// or `errors`.
    pub what: String,
    /// In words.
    pub place: String,
    /// The slots that it touches; of a move the planned one first.
    pub slots: Vec<String>,
    /// From 0, where known.
    pub socket: Option<u8>,
    /// From 0 within the socket, where the plan knows controllers, or an earlier report states them.
    pub controller: Option<u8>,
    /// From 0 within its controller, else within the socket.
    pub channel: Option<u8>,
    pub planned: String,
    pub seen: String,
    /// The likeliest first.
    pub causes: Vec<CauseView>,
    /// Errors in numbers; of `errors` alone.
    pub errors: Option<ErrorsView>,
}

/// Errors of one place, then and now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ErrorsView {
    pub place: String,
    pub corrected: u64,
    pub uncorrected: u64,
    /// Seconds that these counters have run.
    pub seconds: Option<u64>,
    /// What the earlier report counted there, where it counted and the same module sat there.
    pub earlier: Option<CountView>,
    /// What came since; none where that can't be said.
    pub new: Option<CountView>,
    /// Did the counters begin again since the earlier report?
    pub began_again: bool,
    /// Does another module sit there now, by its serial number?
    pub other_module: bool,
    /// Where this module sat before, and what it had counted there.
    pub moved_from: Option<MovedView>,
    /// Where the module sits now that the earlier report counted these errors for.
    pub moved_to: Option<String>,
    /// In a sentence, where none came since.
    pub words: Option<String>,
}

/// Errors that were counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CountView {
    pub corrected: u64,
    pub uncorrected: u64,
}

/// A module's earlier slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MovedView {
    pub slot: String,
    pub corrected: u64,
    pub uncorrected: u64,
}

/// One likely cause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CauseView {
    pub what: String,
    /// Why it comes to mind, or how it shows.
    pub why: String,
    /// How this is known.
    pub mark: String,
}

impl CompareView {
    /// A comparison as plain data.
    pub fn new(comparison: &Comparison, planned_from: &str, seen_from: &str, notes: Vec<String>) -> Self {
        let by = match comparison.matched_by {
            MatchedBy::Name => "name",
            MatchedBy::Place => "place",
            MatchedBy::Nothing => "nothing",
        };
        let (planned, seen): (Capacity, Capacity) = comparison.capacity;
        Self {
            planned_from: planned_from.to_string(),
            seen_from: seen_from.to_string(),
            matched_by: by.to_string(),
            slots_planned: comparison.slots.0,
            slots_listed: comparison.slots.1,
            modules_planned: comparison.modules.0,
            modules_seen: comparison.modules.1,
            capacity_planned_mib: planned.mib(),
            capacity_seen_mib: seen.mib(),
            differences: comparison.differences.iter().map(DifferenceView::new).collect(),
            old_errors: comparison
                .old_errors
                .iter()
                .map(|e| ErrorsView { words: Some(e.to_string()), ..ErrorsView::new(e) })
                .collect(),
            untold: comparison.untold.clone(),
            notes,
        }
    }
}

impl DifferenceView {
    /// How it is marked on a map: what is gone weighs most, another part of the same sort least.
    pub fn severity(&self) -> Severity {
        match self.what.as_str() {
            "slower" => Severity::Slower,
            "missing" | "disabled" | "socket-gone" | "controller-gone" | "channel-gone" | "processor-missing"
            | "smaller" | "errors" => Severity::Wrong,
            _ => Severity::Note,
        }
    }
    fn new(difference: &Difference) -> Self {
        let at: Option<Where> = difference.at;
        Self {
            what: difference.what.to_string(),
            place: difference.place.clone(),
            slots: difference.slots.clone(),
            socket: at.map(|a| a.socket),
            controller: at.and_then(|a| a.controller),
            channel: at.map(|a| a.channel),
            planned: difference.planned.clone(),
            seen: difference.seen.clone(),
            causes: difference.causes.iter().map(CauseView::new).collect(),
            errors: difference.errors.as_ref().map(ErrorsView::new),
        }
    }
}

impl ErrorsView {
    fn new(errors: &Errors) -> Self {
        let count = |c: Count| CountView { corrected: c.corrected, uncorrected: c.uncorrected };
        Self {
            place: errors.place.clone(),
            corrected: errors.now.corrected,
            uncorrected: errors.now.uncorrected,
            seconds: errors.seconds,
            earlier: errors.earlier.map(count),
            new: errors.new.map(count),
            began_again: errors.began_again,
            other_module: errors.other_module,
            moved_from: errors.moved_from.as_ref().map(|(slot, c)| MovedView {
                slot: slot.clone(),
                corrected: c.corrected,
                uncorrected: c.uncorrected,
            }),
            moved_to: errors.moved_to.clone(),
            words: None,
        }
    }
}

impl CauseView {
    fn new(cause: &Cause) -> Self {
        Self { what: cause.what.clone(), why: cause.why.clone(), mark: cause.mark.to_string() }
    }
}
