//! The registry of rules: one rule = one file, and each explains itself.

use crate::scene::Scene;
use domain::{Finding, Severity};

/// How much of a build a rule has to see. A finding is there in the whole build exactly when it is there in the part.
///
/// The planner uses this to refuse a part early; a property test holds it true.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Scope {
    /// One module in its slot.
    Slot,
    /// One channel.
    Channel,
    /// One socket.
    Socket,
    /// The whole machine.
    Machine,
}

/// One rule: what it finds, why, where that is written, and its check.
#[derive(Debug)]
pub struct Rule {
    /// The pattern found, in words; reads after "allow …". Equals the file's name.
    pub name: &'static str,
    /// The worst severity that it gives.
    pub severity: Severity,
    pub scope: Scope,
    /// Once it says *wrong*, does adding modules never make that go away? (The planner prunes on it.)
    pub monotone: bool,
    /// Ids in `data/sources.toml`.
    pub sources: &'static [&'static str],
    /// Markdown with the fixed headings *What it finds*, *Why it matters*, *Example*, *Instead*.
    pub explain: &'static str,
    pub check: fn(&Scene, &mut Vec<Finding>),
}

/// All rules.
pub static ALL: &[&Rule] = &[];

/// What all rules say of a build, worst first, then by rule and place.
pub fn check_all(scene: &Scene) -> Vec<Finding> {
    let mut found = Vec::new();
    for rule in ALL {
        (rule.check)(scene, &mut found);
    }
    found.sort_by(|a, b| (a.severity, a.rule, &a.place, &a.evidence).cmp(&(b.severity, b.rule, &b.place, &b.evidence)));
    found
}

/// The rule with a name.
pub fn by_name(name: &str) -> Option<&'static Rule> {
    ALL.iter().find(|r| r.name == name).copied()
}
