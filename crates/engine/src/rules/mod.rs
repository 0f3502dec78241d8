//! The registry of rules: one rule = one file, and each explains itself.

mod alike;
mod channel_limit;
mod chart;
mod firmware_level;
mod machine_rate;
mod report;
#[cfg(test)]
mod tests;

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

/// Declares each rule's file and puts it into the lists.
macro_rules! registry {
    ($($family:ident: $($rule:ident),+;)+) => {
        $(mod $family {
            $(pub mod $rule;)+
        })+

        /// All rules.
        pub static ALL: &[&Rule] = &[$($(&$family::$rule::RULE),+),+];

        /// All rules by family, for documents.
        pub static FAMILIES: &[(&str, &[&Rule])] = &[$((stringify!($family), &[$(&$family::$rule::RULE),+])),+];
    };
}

registry! {
    kind: mixed_ecc_bits, mixed_module_kinds, module_without_ecc, non_volatile_module, wrong_generation, wrong_kind, wrong_voltage;
    ranks: mixed_rank_counts, mixed_ranks_in_channel, quad_rank_mixed, too_many_loads, too_many_logical_ranks, too_many_modules_in_channel, too_many_package_ranks;
    dies: mixed_device_widths, mixed_die_densities, mixed_stack_heights;
    rate: mixed_rate_bins, rated_above_use, rated_below_processor;
    capacity: capacity_over_module_limit, capacity_over_processor_limit, capacity_over_system_limit, capacity_that_stands_alone, mixed_capacities_in_channel, too_many_capacities;
    order: count_not_advised, count_not_in_chart, larger_module_nearer_processor, later_slot_before_first, second_slot_before_all_first, slots_off_the_chart;
    balance: channels_unequal, controllers_unequal, empty_channel, no_memory_at_all, processor_without_memory, sockets_unequal;
    mode: mode_demand_not_met, mode_not_offered, numa_demand_not_met, numa_not_offered;
    power: blanks_missing, module_watts_over_slot, watts_over_budget;
    parts: firmware_too_old, module_too_tall, processor_not_on_board, processors_unequal, reserved_slot_filled, slot_of_absent_processor;
}

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
