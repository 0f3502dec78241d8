//! Faults planted in a small machine, each told by its name, and none in the untouched one.

use super::*;
use domain::module::{Generation, Kind};
use domain::reading::{ModuleReading, Origin};
use domain::snapshot::{SeenModule, SeenProcessor, SeenRate, SeenSlot, SlotState};
use domain::{Capacity, DataRate};

fn module(part: &str, gib: u64) -> SeenModule {
    let rate = DataRate::from_mts(2666);
    SeenModule {
        reading: ModuleReading {
            generation: Some(Generation::Ddr4),
            kind: Some(Kind::Rdimm),
            capacity: Some(Capacity::from_gib(gib)),
            rate: Some(rate),
            part_number: Some(part.into()),
            ..ModuleReading::default()
        },
        running: Some(SeenRate { rate, raw: 2666 }),
        ..SeenModule::default()
    }
}

/// Two sockets of three channels of two slots: `P1-A1` … `P2-C2`, the first slots and the second ones of channel A filled.
pub fn machine() -> (Snapshot, Places) {
    let (mut snapshot, mut places) = (Snapshot::default(), Places::new());
    for socket in 0..2u8 {
        snapshot.processors.push(SeenProcessor {
            origin: Origin::Smbios,
            handle: format!("0x040{socket}").into(),
            name: format!("CPU{}", socket + 1).into(),
            model: None,
            present: Some(true),
            cores: None,
        });
        for channel in 0..3u8 {
            for position in 0..2u8 {
                let handle = format!("0x11{socket}{channel}{position}");
                places.insert(
                    handle.clone().into(),
                    Where { socket, controller: None, channel, position: Some(position) },
                );
                let part = if socket == 0 { ("M393A4K40CB2-CTD", 32) } else { ("HMA82GR7JJR4N-VK", 16) };
                let held = (position == 0 || channel == 0).then(|| module(part.0, part.1));
                snapshot.slots.push(SeenSlot {
                    origin: Origin::Smbios,
                    handle: handle.into(),
                    array: None,
                    name: format!("P{}-{}{}", socket + 1, char::from(b'A' + channel), position + 1).into(),
                    bank: None,
                    location: Default::default(),
                    processor: None,
                    state: if held.is_some() { SlotState::Filled } else { SlotState::Empty },
                    module: held,
                });
            }
        }
    }
    (snapshot, places)
}

fn slot<'a>(snapshot: &'a mut Snapshot, name: &str) -> &'a mut SeenSlot {
    snapshot.slots.iter_mut().find(|s| s.name == name).unwrap()
}

fn empty(slot: &mut SeenSlot) {
    slot.module = None;
    slot.state = SlotState::Empty;
}

fn found(change: impl FnOnce(&mut Snapshot)) -> Vec<(What, String)> {
    let (before, places) = machine();
    let mut now = before.clone();
    change(&mut now);
    let compared = compare(&Expected::snapshot(&before, &places), &now, &places);
    compared.differences.into_iter().map(|d| (d.what, d.slots.join(" "))).collect()
}

#[test]
fn an_untouched_machine_has_no_difference() {
    assert_eq!(found(|_| {}), []);
}

#[test]
fn one_missing_module_is_first_of_all_not_seated() {
    let (before, places) = machine();
    let mut now = before.clone();
    empty(slot(&mut now, "P1-B1"));
    let compared = compare(&Expected::snapshot(&before, &places), &now, &places);
    let [one] = compared.differences.as_slice() else { panic!("{:?}", compared.differences) };
    assert_eq!((one.what, one.slots.join(" ")), (What::Missing, "P1-B1".to_string()));
    assert_eq!(one.causes.first().map(|c| c.what.as_str()), Some("not fully seated"));
}

#[test]
fn moves_and_exchanges_are_told_apart() {
    let exchange = |now: &mut Snapshot| {
        let (a, b) = (slot(now, "P1-A1").module.clone(), slot(now, "P2-B1").module.clone());
        slot(now, "P1-A1").module = b;
        slot(now, "P2-B1").module = a;
    };
    assert_eq!(found(exchange), [(What::Swapped, "P1-A1 P2-B1".to_string())]);
    let away = |now: &mut Snapshot| {
        let held = slot(now, "P1-B1").module.take();
        empty(slot(now, "P1-B1"));
        let to = slot(now, "P1-C2");
        (to.module, to.state) = (held, SlotState::Filled);
    };
    assert_eq!(found(away), [(What::WrongSlot, "P1-B1 P1-C2".to_string())]);
}

#[test]
fn a_whole_channel_or_socket_is_told_once() {
    let channel = |now: &mut Snapshot| ["P1-A1", "P1-A2"].into_iter().for_each(|n| empty(slot(now, n)));
    assert_eq!(found(channel), [(What::ChannelGone, "P1-A1 P1-A2".to_string())]);
    let socket = |now: &mut Snapshot| {
        now.processors[1].present = Some(false);
        now.slots.retain(|s| s.name.starts_with("P1"));
    };
    assert_eq!(found(socket), [(What::SocketGone, "P2-A1 P2-A2 P2-B1 P2-C1".to_string())]);
}

#[test]
fn a_processor_that_is_seen_is_not_the_first_to_suspect() {
    let first = |present: Option<bool>| {
        let (before, places) = machine();
        let mut now = before.clone();
        ["P2-A1", "P2-A2", "P2-B1", "P2-C1"].into_iter().for_each(|n| empty(slot(&mut now, n)));
        now.processors[1].present = present;
        let compared = compare(&Expected::snapshot(&before, &places), &now, &places);
        let [one] = compared.differences.as_slice() else { panic!("{:?}", compared.differences) };
        (one.what, one.causes.first().map(|c| c.what.clone()).unwrap_or_default())
    };
    let absent = "the processor is not seated or not there".to_string();
    assert_eq!(first(Some(false)), (What::SocketGone, absent));
    assert_eq!(first(Some(true)), (What::SocketGone, "a contact of the processor socket".to_string()));
}

#[test]
fn a_report_that_states_more_slots_than_it_lists_may_be_cut_short() {
    let (before, places) = machine();
    let mut now = before.clone();
    now.slots.truncate(9);
    let array = |devices| domain::snapshot::SeenArray {
        handle: "0x1000".into(),
        role: domain::snapshot::ArrayRole::System,
        ecc: None,
        maximum: None,
        devices: Some(devices),
    };
    let cut = |now: &Snapshot| {
        let compared = compare(&Expected::snapshot(&before, &places), now, &places);
        compared.untold.iter().any(|u| u.contains("states 12 and lists 9"))
    };
    now.slots.iter_mut().for_each(|s| s.array = Some("0x1000".into()));
    now.arrays = vec![array(12)];
    assert!(cut(&now));
    now.arrays = vec![array(9)];
    assert!(!cut(&now));
}

#[test]
fn two_faults_at_once_are_both_told() {
    let both = |now: &mut Snapshot| {
        empty(slot(now, "P2-C1"));
        slot(now, "P1-A2").module.as_mut().unwrap().reading.capacity = Some(Capacity::from_gib(16));
    };
    assert_eq!(found(both), [(What::Missing, "P2-C1".to_string()), (What::Smaller, "P1-A2".to_string())]);
    let crossed = |now: &mut Snapshot| {
        let (a, b) = (slot(now, "P1-A1").module.clone(), slot(now, "P2-B1").module.clone());
        slot(now, "P1-A1").module = b;
        slot(now, "P2-B1").module = a;
        slot(now, "P1-A1").module.as_mut().unwrap().reading.capacity = Some(Capacity::from_gib(8));
    };
    assert_eq!(found(crossed), [(What::Swapped, "P1-A1 P2-B1".to_string()), (What::Smaller, "P1-A1".to_string())]);
}

#[test]
fn a_slower_module_is_the_first_reason_for_a_lower_rate() {
    let (before, places) = machine();
    let mut now = before.clone();
    let slow = DataRate::from_mts(2133);
    for slot in now.slots.iter_mut().filter_map(|s| s.module.as_mut()) {
        slot.running = Some(SeenRate { rate: slow, raw: 2133 });
    }
    slot(&mut now, "P1-B1").module.as_mut().unwrap().reading.rate = Some(slow);
    slot(&mut now, "P1-B1").module.as_mut().unwrap().reading.part_number = Some("M393A4K40BB0-CPB".into());
    let compared = compare(&Expected::snapshot(&before, &places), &now, &places);
    let words: Vec<_> = compared.differences.iter().map(|d| (d.what, d.slots.len())).collect();
    assert_eq!(words, [(What::DifferentPart, 1), (What::Slower, 8)]);
    let slower = &compared.differences[1];
    assert!(slower.causes[0].why.contains("P1-B1"), "{:?}", slower.causes);
}

#[test]
fn other_names_are_matched_by_place_and_said_to_be() {
    let (before, places) = machine();
    let mut now = before.clone();
    now.slots.iter_mut().for_each(|s| {
        s.name = format!("slot {}", s.handle).into();
        s.handle = format!("{}f", s.handle).into();
    });
    let there: Places = places.iter().map(|(h, w)| (format!("{h}f").into(), *w)).collect();
    now.slots[0].module = None;
    now.slots[0].state = SlotState::Empty;
    let compared = compare(&Expected::snapshot(&before, &places), &now, &there);
    assert_eq!(compared.matched_by, MatchedBy::Place);
    let words: Vec<_> = compared.differences.iter().map(|d| (d.what, d.slots.join(" "))).collect();
    assert_eq!(words, [(What::Missing, "P1-A1".to_string())]);
    assert!(compared.untold.iter().any(|u| u.contains("confirm one by hand")), "{:?}", compared.untold);
    assert!(!compared.untold.iter().any(|u| u.contains("the board of the plan")), "{:?}", compared.untold);
    now.slots.pop();
    let fewer = compare(&Expected::snapshot(&before, &places), &now, &there);
    assert!(fewer.untold.iter().any(|u| u.contains("12 slots, the report lists 11")), "{:?}", fewer.untold);
}

#[test]
fn what_cannot_be_told_is_said() {
    let (before, places) = machine();
    let mut now = before.clone();
    slot(&mut now, "P1-A1").module.as_mut().unwrap().running = None;
    let compared = compare(&Expected::snapshot(&before, &places), &now, &places);
    assert!(compared.differences.is_empty());
    assert!(compared.untold.iter().any(|u| u.contains("1 of 8 modules do not report it")), "{:?}", compared.untold);
    assert!(compared.untold.iter().any(|u| u.starts_with("exchanges among like modules")), "{:?}", compared.untold);
}

#[test]
fn a_gone_controller_is_told_where_the_report_states_controllers() {
    let (mut before, mut places) = machine();
    // Two controllers a socket, numbered on over the sockets: of channels A and B, and of channel C.
    for slot in &mut before.slots {
        let at = places[&slot.handle];
        slot.location.controller = Some(u32::from(at.socket) * 2 + u32::from(at.channel == 2));
    }
    add_controllers(&before, &mut places);
    let at = |name: &str| before.slots.iter().find(|s| s.name == name).map(|s| places[&s.handle]);
    let is = |name: &str| at(name).map(|a| (a.socket, a.controller, a.channel));
    assert_eq!([is("P1-B1"), is("P2-C2")], [Some((0, Some(0), 1)), Some((1, Some(1), 0))]);
    let mut now = before.clone();
    ["P1-A1", "P1-A2", "P1-B1"].iter().for_each(|name| empty(slot(&mut now, name)));
    let told = compare(&Expected::snapshot(&before, &places), &now, &places);
    let told: Vec<(What, &[String])> = told.differences.iter().map(|d| (d.what, d.slots.as_slice())).collect();
    assert!(
        matches!(told.as_slice(), [(What::ControllerGone, names)] if *names == ["P1-A1", "P1-A2", "P1-B1"]),
        "{told:?}"
    );
}

#[test]
fn controllers_are_left_out_where_the_report_does_not_settle_them() {
    let (plain, places) = machine();
    let with = |of: &dyn Fn(Where, usize) -> Option<u32>| {
        let (mut snapshot, mut places) = (plain.clone(), places.clone());
        for (i, slot) in snapshot.slots.iter_mut().enumerate() {
            slot.location.controller = of(places[&slot.handle], i);
        }
        add_controllers(&snapshot, &mut places);
        places
    };
    assert_eq!(with(&|_, _| None), places);
    assert_eq!(with(&|_, _| Some(0)), places, "one controller");
    assert_eq!(with(&|at, _| Some(at.channel.into())), places, "a channel each");
    assert_eq!(with(&|_, i| u32::try_from(i % 2).ok()), places, "two controllers of one channel");
}
