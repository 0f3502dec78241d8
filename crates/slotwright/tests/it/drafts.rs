//! Boards drafted from the machines of `captures/smbios`, held against the layout where it is known.

use super::top;
use catalog::Library;
use domain::Snapshot;
use engine::draft::{Confidence, Draft, draft};
use serde_json::Value;
use std::collections::BTreeMap;

/// How a draft compares with what is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Verdict {
    Right,
    /// Right, with places on the channel left open.
    PlacesOpen,
    /// Something is left open that is known.
    Open,
    Wrong,
    /// A slot that it is sure of is wrong.
    SurelyWrong,
}

fn machines() -> Vec<Value> {
    let text = std::fs::read_to_string(top().join("captures/smbios/machines.jsonl")).unwrap();
    text.lines().map(|l| serde_json::from_str(l).unwrap()).collect()
}

/// The machine as the reader gives it, by way of its raw table.
fn snapshot(machine: &Value) -> Snapshot {
    let table: readers::smbios::write::Table = serde_json::from_value(machine["table"].clone()).unwrap();
    readers::smbios::read(&table.bytes()).unwrap()
}

/// Two numberings that must be one up to names.
#[derive(Default)]
struct Names<A, B> {
    there: BTreeMap<A, B>,
    back: BTreeMap<B, A>,
}

impl<A: Ord + Copy, B: Ord + Copy> Names<A, B> {
    fn agree(&mut self, a: A, b: B) -> bool {
        *self.there.entry(a).or_insert(b) == b && *self.back.entry(b).or_insert(a) == a
    }
}

fn verdict(drafted: &Draft, truth: &Value) -> Verdict {
    let Some(known) = truth["slots"].as_array() else {
        let sure = drafted.slots.iter().any(|s| s.confidence == Confidence::Sure);
        return if sure { Verdict::SurelyWrong } else { Verdict::Right };
    };
    let by_handle: BTreeMap<&str, _> = drafted.slots.iter().map(|s| (s.handle.as_str(), s)).collect();
    let (mut sockets, mut channels) = (Names::default(), Names::default());
    let mut worst = if known.len() == drafted.slots.len() { Verdict::Right } else { Verdict::Wrong };
    for slot in known {
        let number = |at: usize| slot[at].as_u64();
        let Some(told) = slot[0].as_str().and_then(|h| by_handle.get(h)) else { return Verdict::Wrong };
        let mut here = Verdict::Right;
        let mut hold = |verdict: Verdict| here = here.max(verdict);
        match (number(1), told.socket) {
            (Some(socket), Some(said)) if !sockets.agree(socket, said) => hold(Verdict::Wrong),
            (Some(_), None) => hold(Verdict::Open),
            _ => {}
        }
        match (number(1).zip(number(2)), told.socket.zip(told.channel)) {
            (Some(channel), Some(said)) if !channels.agree(channel, said) => hold(Verdict::Wrong),
            (Some(_), None) => hold(Verdict::Open),
            _ => {}
        }
        match (number(3), told.position) {
            (Some(place), Some(said)) if place != said as u64 => hold(Verdict::Wrong),
            (Some(_), None) => hold(Verdict::PlacesOpen),
            _ => {}
        }
        if here == Verdict::Wrong && told.confidence == Confidence::Sure {
            here = Verdict::SurelyWrong;
        }
        worst = worst.max(here);
    }
    worst
}

/// What is asserted: of each kind of knowledge, how many machines came out how.
const EXPECTED: &str = "\
explicit: likely Right 9, sure Right 79
none: likely Right 1, unsure Right 18
order: likely Right 16
partial: likely Right 2, unsure Open 1, unsure Right 8
rule: likely PlacesOpen 7, likely Right 38, unsure Right 5
uncertain: unsure Right 6
";

#[test]
fn drafts_of_real_machines_are_right_or_say_that_they_are_not_sure() {
    let library = Library::shipped().unwrap();
    let mut counts: BTreeMap<(String, &str, String), usize> = BTreeMap::new();
    for machine in machines() {
        let truth = &machine["truth"];
        let drafted = draft(&snapshot(&machine), library.names());
        let verdict = verdict(&drafted, truth);
        assert!(verdict != Verdict::SurelyWrong, "{}: sure and wrong: {drafted:#?}", machine["id"]);
        assert!(drafted.confidence == Confidence::Sure || !drafted.questions.is_empty(), "{}", machine["id"]);
        let kind = truth["confidence"].as_str().unwrap_or("none").to_string();
        *counts.entry((kind, drafted.confidence.word(), format!("{verdict:?}"))).or_default() += 1;
    }
    let mut table: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for ((kind, confidence, verdict), count) in &counts {
        table.entry(kind).or_default().push(format!("{confidence} {verdict} {count}"));
    }
    let told: String = table.iter().map(|(kind, cells)| format!("{kind}: {}\n", cells.join(", "))).collect();
    assert_eq!(told, EXPECTED);
}
