//! What a measured bandwidth that falls short of the predicted one suggests: shares that known causes would leave.

use crate::scene::Scene;
use domain::DataRate;

/// A share of the predicted bandwidth from which nothing is amiss: estimates of this engine err by some points, and plain
/// programs reach less than tuned ones (common practice, no source).
pub const ENOUGH: f64 = 0.92;
/// How near a cause's share must lie to what was measured to be named first (common practice, no source).
const NEAR: f64 = 0.06;

/// Something that would leave this share of the predicted bandwidth.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    pub what: String,
    /// What it would leave, 0 to 1; `None` where no figure is known.
    pub leaves: Option<f64>,
    /// Does that fit what was measured?
    pub fits: bool,
    pub check: String,
}

/// Suggestions for a build at its rate, of which a share was measured; those that fit come first. None where it is enough.
pub fn suggestions(scene: &Scene<'_>, rate: DataRate, share: f64, nodes: usize) -> Vec<Suggestion> {
    if share >= ENOUGH || share <= 0.0 {
        return Vec::new();
    }
    let filled = scene.sockets.iter().flat_map(|s| &s.channels).filter(|c| c.dram().next().is_some()).count();
    let sockets = scene.sockets.iter().filter(|s| s.count() > 0).count();
    let mut all = Vec::new();
    let mut add = |what: String, leaves: Option<f64>, check: &str| {
        let fits = leaves.is_some_and(|l| (l - share).abs() <= NEAR);
        all.push(Suggestion { what, leaves, fits, check: check.to_string() });
    };
    for gone in 1..=2usize {
        if filled > gone {
            let left = (filled - gone) as f64 / filled as f64;
            let word = if gone == 1 { "one channel is missing" } else { "two channels are missing" };
            add(
                format!("{word} of {filled}"),
                Some(left),
                "compare the machine with the plan: `compare` names the slots",
            );
        }
    }
    let lower = scene.sockets.iter().filter_map(|s| s.processor).flat_map(|p| p.rates.iter().map(|r| r.most));
    let mut lower: Vec<DataRate> = lower.filter(|r| *r < rate).collect();
    lower.sort_unstable();
    lower.dedup();
    for slow in lower.iter().rev().take(2) {
        let leaves = f64::from(slow.mts()) / f64::from(rate.mts());
        add(
            format!("it runs at {slow} in place of {rate}"),
            Some(leaves),
            "read the running rate: `snapshot`, or the firmware's page",
        );
    }
    if sockets > 1 {
        let only = 1.0 / sockets as f64;
        add(
            format!("the program used the memory of one of {sockets} sockets"),
            Some(only),
            "measure without a list of processors, on all nodes",
        );
    }
    if nodes > 1 || sockets > 1 {
        add(
            "memory lay on the other socket".to_string(),
            None,
            "compare the table by nodes: a node's own memory should be fastest",
        );
    }
    add(
        "too few threads or processors for this memory, a virtual machine, or other programs at work".to_string(),
        None,
        "run it on the idle machine itself, with all processors",
    );
    all.sort_by_key(|s| (!s.fits, s.leaves.is_none()));
    all
}
