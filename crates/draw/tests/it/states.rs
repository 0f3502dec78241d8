//! States differ by line, mark and letter, never by colour alone; findings land where they belong.

use crate::boards;
use domain::{Finding, Outcome, Place, Severity, SlotIndex};
use draw::text::{self, TextStyle};
use draw::{Fill, ItemKind, MapInput, Shape, SlotState, slot_map, svg};
use std::collections::BTreeMap;

/// What is seen of a state without colour: edges, whether it is hatched, mark, letter.
fn grey(shapes: &[Shape]) -> String {
    let mut seen = String::new();
    for shape in shapes {
        match shape {
            Shape::Box { fill, edge, .. } => {
                let hatch = *fill == Fill::Hatch;
                seen.push_str(&format!("{:?} {hatch};", edge.map(|(_, line)| line)));
            }
            Shape::Mark { shape, .. } => seen.push_str(&format!("{shape:?};")),
            Shape::Words(words) if words.text.len() == 1 => seen.push_str(&words.text),
            _ => {}
        }
    }
    seen
}

#[test]
fn every_pair_of_states_differs_without_colour() {
    let build = boards::build(boards::board("All", &["main"], &[&[2; 8]]));
    let mut findings = boards::findings(&build);
    findings.retain(|f| matches!(f.place, Place::Slots(_)));
    let drawing = slot_map(&MapInput::new(&build, &findings));
    let mut seen: BTreeMap<SlotState, String> = BTreeMap::new();
    for item in &drawing.items {
        if let ItemKind::Slot(slot, state) = item.kind {
            let filled = build.slots[slot.at()].is_some();
            seen.insert(state, format!("{} {}", grey(&item.shapes), if filled { "" } else { "nothing" }));
        }
    }
    assert_eq!(seen.keys().copied().collect::<Vec<_>>(), SlotState::ALL);
    let looks: Vec<&String> = seen.values().collect();
    for (at, look) in looks.iter().enumerate() {
        assert!(!looks[at + 1..].contains(look), "{look}");
    }
    // On a terminal without colour, the corner and the tag tell.
    for unicode in [true, false] {
        let style = TextStyle { columns: 200, colour: false, unicode };
        let map = text::render(&drawing, &style);
        for tag in ["[W]", "{X}", "/S\\", "<U>", "(N)"] {
            assert!(map.matches(tag).count() >= 2, "{tag}\n{map}");
        }
    }
}

#[test]
fn colour_is_only_added_to_the_text() {
    let build = boards::build(boards::board("Colour", &["main"], &[&[2; 4]]));
    let findings = boards::findings(&build);
    let drawing = slot_map(&MapInput::new(&build, &findings));
    let plain = text::render(&drawing, &TextStyle { colour: false, ..TextStyle::default() });
    let coloured = text::render(&drawing, &TextStyle { colour: true, ..TextStyle::default() });
    assert!(!plain.contains('\u{1b}') && coloured.contains("\u{1b}["));
    let mut stripped = String::new();
    let mut rest = coloured.as_str();
    while let Some(at) = rest.find('\u{1b}') {
        stripped.push_str(&rest[..at]);
        rest = &rest[at..];
        rest = &rest[rest.find('m').expect("an end") + 1..];
    }
    stripped.push_str(rest);
    assert_eq!(stripped, plain);
}

#[test]
fn findings_land_on_slots_channels_sockets_and_the_machine() {
    let build = boards::build(boards::board("Places", &["west", "east"], &[&[2, 2]]));
    let finding = |place: Place| Finding {
        rule: "a-rule",
        severity: Severity::Slower,
        outcome: Outcome::LosesBandwidth,
        place,
        evidence: String::new(),
        advice: String::new(),
    };
    let slower = |place: Place| {
        let findings = [finding(place)];
        let drawing = slot_map(&MapInput::new(&build, &findings));
        let slots: Vec<u16> = drawing
            .items
            .iter()
            .filter_map(|i| match i.kind {
                ItemKind::Slot(slot, SlotState::Slower) => Some(slot.0),
                _ => None,
            })
            .collect();
        (slots, drawing)
    };
    assert_eq!(slower(Place::Slots(vec![SlotIndex(1), SlotIndex(900)])).0, [1]);
    // A channel's finding marks what sits in it.
    assert_eq!(slower(Place::Channel { socket: 0, controller: 0, channel: 0 }).0, [0]);
    assert_eq!(slower(Place::Channel { socket: 0, controller: 0, channel: 1 }).0, [2, 3]);
    let (slots, drawing) = slower(Place::Socket(1));
    assert!(slots.is_empty());
    assert!(svg::render(&drawing).contains("<title>socket east, ddr4-6ch-2933, slower: a-rule</title>"));
    let (slots, drawing) = slower(Place::Machine);
    assert!(slots.is_empty() && drawing.machine.len() == 1);
    assert!(text::render(&drawing, &TextStyle::default()).contains("/S\\ whole machine, slower: a-rule"));
}

#[test]
fn the_worst_finding_decides_and_all_are_named() {
    let build = boards::build(boards::board("Worst", &["main"], &[&[1]]));
    let finding = |rule, severity| Finding {
        rule,
        severity,
        outcome: Outcome::Unknown,
        place: Place::Slots(vec![SlotIndex(0)]),
        evidence: String::new(),
        advice: String::new(),
    };
    let findings = [finding("mild", Severity::Note), finding("bad", Severity::Wrong)];
    let drawing = slot_map(&MapInput::new(&build, &findings));
    let (view, _) = drawing.blocks[0].slots().next().expect("a slot");
    assert_eq!(view.state, SlotState::Wrong);
    assert_eq!(view.name, "socket main, slot main-1, 64 GiB 2Rx4 RDIMM 2933, wrong: bad, note: mild");
}
