//! Random builds hold up what each rule claims of itself: its scope, that it is monotone, its worst severity.

use crate::notation;
use crate::rules::{ALL, Rule, Scope};
use crate::scene::Scene;
use domain::{Build, Finding, Module, Severity};
use std::sync::Arc;

/// A small generator (xorshift), so that every run plays the same builds.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 16) as usize % sides
    }
    fn one<'t, T>(&mut self, list: &'t [T]) -> &'t T {
        &list[self.roll(list.len())]
    }
}

const MACHINES: &[&str] = &[
    "machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots",
    "machine DDR4 1 socket x 1 controller x 2 channels x 3 slots",
    "machine DDR5 2 sockets x 2 controllers x 1 channel x 1 slot",
    "machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots",
];
const PROCESSORS: &[&str] = &[
    "processor 2933 limit 256GB second 2666",
    "processor 2400 second none",
    "processor 3200 most 1 kinds RDIMM LRDIMM NVDIMM",
    "processor DDR3 2933",
    "processor numa halves a b equal-within equal-nodes",
    "socket 0 empty",
    "socket 0 other",
    "firmware 2.9",
    "blanks no",
    "numa halves",
    "mode mirror",
    "mode spare",
];
const SAYS: &[&str] = &[
    "says kinds RDIMM LRDIMM RDIMM-3DS",
    "says processors ddr4-6ch-2933",
    "says ecc required",
    "says together RDIMM LRDIMM",
    "says mixing widths never",
    "says mixing quad-rank never",
    "says mixing densities never",
    "says mixing stacks never",
    "says mixing rates never",
    "says mixing ecc-bits never",
    "says mixing rank-counts never",
    "says mixing widths freely",
    "says at-most 1 capacities",
    "says at-most 2 capacities",
    "says at-most 1 capacities-in-channel",
    "says at-most 1 rank-counts-in-channel",
    "says alone 128GB",
    "says channel RDIMM package-ranks 4 loads 3",
    "says channel LRDIMM RDIMM-3DS package-ranks 6 logical-ranks 8 loads 2 unsupported",
    "says channel RDIMM-3DS logical-ranks 4",
    "says limit module 64GB",
    "says limit processor 192GB",
    "says limit system 256GB",
    "says limit slot-watts 8W",
    "says limit memory-watts 30W",
    "says limit height 31.25mm",
    "says limit overhang-height 20mm",
    "says overhang 0a1",
    "says height *b1 20mm",
    "says rate RDIMM 2 2400",
    "says firmware 2.10 for 16Gbit",
    "says firmware 2.10 for ddr4-6ch-2933",
    "says firmware 2.10 for ddr4-6ch-3200",
    "says firmware 2.10 for ddr5-8ch-4800",
    "says firmware-order text",
    "says first-slot-first no",
    "says first-slot-first yes wrong",
    "says blanks wrong",
    "says mode mirror counts 2 4 alike ab identical not-with-numa halves",
    "says mode spare ranks 2 width 4",
    "chart breaking-it wrong",
    "chart 1: not-supported",
    "chart 2: a1 b1",
    "chart 3: not-supported",
    "chart 4: a1 b1 not-advised",
    "chart order a1 b1",
    "chart ranks 2",
    "chart closed",
    "chart for mirror",
    "reserve 0a1",
];
const MODULES: &[&str] = &[
    "32GB 2Rx4 RDIMM 2933 8Gbit 4W",
    "64GB 2Rx4 RDIMM 2933 16Gbit 9W 31.25mm",
    "16GB 1Rx8 RDIMM 2666 8Gbit",
    "64GB 4DRx4 LRDIMM 2933",
    "128GB 2S2Rx4 RDIMM-3DS 2933 16Gbit 14W 40mm",
    "256GB 2S4Rx4 RDIMM-3DS 2933",
    "32GB 2Rx8 RDIMM 3200 ecc4",
    "16GB 2Rx8 UDIMM 3200 no-ecc 1.35V",
    "16GB 2Rx8 UDIMM 3200 ecc-unknown",
    "32GB 1Rx8 RDIMM 4800 DDR5",
    "128GB 1Rx4 NVDIMM 2666",
];

fn module(line: &str) -> Arc<Module> {
    let text = format!("machine DDR4 1 socket x 1 controller x 1 channel x 1 slot\nfill 0a1 {line}");
    notation::parse(&text).unwrap().build.slots[0].clone().unwrap()
}

fn random_build(dice: &mut Dice, modules: &[Arc<Module>]) -> Build {
    let mut text = dice.one(MACHINES).to_string();
    for (pool, most) in [(PROCESSORS, 4), (SAYS, 24)] {
        for _ in 0..dice.roll(most) {
            text.push('\n');
            text.push_str(dice.one::<&str>(pool));
        }
    }
    let mut build = notation::parse(&text).unwrap_or_else(|e| panic!("{e} in\n{text}")).build;
    let variety = 1 + dice.roll(4);
    let palette: Vec<_> = (0..variety).map(|_| Arc::clone(dice.one(modules))).collect();
    let sparse = 1 + dice.roll(5);
    for slot in &mut build.slots {
        if dice.roll(5) >= sparse {
            *slot = Some(Arc::clone(dice.one(&palette)));
        }
    }
    build
}

fn findings(rule: &Rule, build: &Build) -> Vec<Finding> {
    let mut found = Vec::new();
    (rule.check)(&Scene::new(build), &mut found);
    found
}

fn says_wrong(rule: &Rule, build: &Build) -> bool {
    findings(rule, build).iter().any(|f| f.severity == Severity::Wrong)
}

/// The parts of a build at a scope: all but one slot, channel or socket emptied.
fn parts(build: &Build, scope: Scope) -> Vec<Build> {
    let key = |i: usize| {
        let a = build.board.slots[i].address;
        match scope {
            Scope::Slot => (a.socket, a.controller, a.channel, a.position),
            Scope::Channel => (a.socket, a.controller, a.channel, 0),
            Scope::Socket => (a.socket, 0, 0, 0),
            Scope::Machine => (0, 0, 0, 0),
        }
    };
    let mut keys: Vec<_> = (0..build.slots.len()).map(key).collect();
    keys.dedup();
    let only = |wanted| {
        let mut part = build.clone();
        for (i, slot) in part.slots.iter_mut().enumerate() {
            if key(i) != wanted {
                *slot = None;
            }
        }
        part
    };
    keys.into_iter().map(only).collect()
}

#[test]
fn rules_are_as_they_claim_on_random_builds() {
    let modules: Vec<_> = MODULES.iter().map(|m| module(m)).collect();
    let mut dice = Dice(0x5107_3a1e_92c4_d6b7);
    let mut wrong = vec![0; ALL.len()];
    for _ in 0..6000 {
        let build = random_build(&mut dice, &modules);
        let mut fuller = build.clone();
        let at = dice.roll(fuller.slots.len());
        fuller.slots[at].get_or_insert_with(|| Arc::clone(dice.one(&modules)));
        for (i, rule) in ALL.iter().enumerate() {
            let found = findings(rule, &build);
            for finding in &found {
                assert_eq!(finding.rule, rule.name);
                assert!(finding.severity >= rule.severity, "{} finds worse than it says", rule.name);
                assert!(!finding.evidence.is_empty() && !finding.advice.is_empty(), "{}", rule.name);
                assert!(finding.place != domain::Place::Slots(Vec::new()), "{} names no slot", rule.name);
            }
            if rule.severity != Severity::Wrong {
                continue;
            }
            let whole = found.iter().any(|f| f.severity == Severity::Wrong);
            wrong[i] += usize::from(whole);
            if rule.scope < Scope::Machine {
                let part = parts(&build, rule.scope).iter().any(|p| says_wrong(rule, p));
                assert_eq!(whole, part, "{}: scope {:?} does not hold in {build:#?}", rule.name, rule.scope);
            }
            if rule.monotone && whole {
                assert!(says_wrong(rule, &fuller), "{} is not monotone in {fuller:#?}", rule.name);
            }
        }
    }
    let never: Vec<_> = ALL.iter().zip(&wrong).filter(|(r, n)| r.severity == Severity::Wrong && **n == 0).collect();
    assert!(never.is_empty(), "the random builds never break {never:?}");
}
