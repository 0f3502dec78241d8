//! The whole judgement of a build: capacity, rate, regions, bandwidth, watts, findings.

use crate::bandwidth::{self, MachineBandwidth};
use crate::interleave::{self, Region};
use crate::rate::{self, RateChain};
use crate::rules;
use crate::scene::Scene;
use crate::{power, usable};
use domain::{Build, Capacity, Finding, Severity, Watts};

/// Everything that can be said of a build.
#[derive(Debug, Clone)]
pub struct Judgement {
    pub capacity: Capacity,
    pub usable: Capacity,
    /// Non-volatile capacity, apart.
    pub non_volatile: Capacity,
    /// `None` where nothing runs.
    pub rate: Option<RateChain>,
    pub regions: Vec<Region>,
    pub bandwidth: Option<MachineBandwidth>,
    pub watts: Watts,
    /// Does every module's data give its watts?
    pub watts_known: bool,
    /// Worst first.
    pub findings: Vec<Finding>,
}

impl Judgement {
    /// Would every part train and take part?
    pub fn is_valid(&self) -> bool {
        self.findings.iter().all(|f| f.severity != Severity::Wrong)
    }
    /// Findings of a severity.
    pub fn count(&self, severity: Severity) -> usize {
        self.findings.iter().filter(|f| f.severity == severity).count()
    }
}

/// Judges a build.
pub fn judge(build: &Build) -> Judgement {
    let scene = Scene::new(build);
    let (capacity, usable) = usable::capacity(&scene);
    let rate = rate::chain(&scene);
    let bandwidth = rate.as_ref().map(|r| bandwidth::machine(&scene, r.rate));
    let (watts, watts_known) = power::machine(&scene);
    Judgement {
        capacity,
        usable,
        non_volatile: usable::non_volatile(&scene),
        regions: interleave::regions(&scene),
        rate,
        bandwidth,
        watts,
        watts_known,
        findings: rules::check_all(&scene),
    }
}
