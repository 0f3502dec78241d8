//! Drafts of small machines, and that any report is survived.

use super::{Confidence, Draft, draft};
use domain::snapshot::{Location, SeenModule, SeenProcessor, SeenSlot, SlotState};
use domain::{Attach, Origin, ProcessorName, Snapshot};
use proptest::prelude::*;

/// Two processors of so many channels, and slots by name and bank; a star behind the name fills it.
fn machine(slots: &[(&str, &str)], sockets: usize) -> Snapshot {
    let processor = |n: usize| SeenProcessor {
        origin: Origin::Smbios,
        handle: format!("0x{n:04X}").into(),
        name: "socket".into(),
        model: Some("Model 1234".to_string()),
        present: Some(true),
        cores: None,
    };
    let slot = |(i, (name, bank)): (usize, &(&str, &str))| {
        let filled = name.ends_with('*');
        SeenSlot {
            origin: Origin::Smbios,
            handle: format!("0x{:04X}", 0x100 + i).into(),
            array: None,
            name: name.trim_end_matches('*').into(),
            bank: Some((*bank).into()),
            location: Location::default(),
            processor: None,
            state: if filled { SlotState::Filled } else { SlotState::Empty },
            module: filled.then(SeenModule::default),
        }
    };
    Snapshot {
        processors: (0..sockets).map(processor).collect(),
        slots: slots.iter().enumerate().map(slot).collect(),
        ..Snapshot::default()
    }
}

fn channels(count: u8) -> Vec<ProcessorName> {
    let one = |attach| ProcessorName { pattern: "Model ####".to_string(), channels: Some(count), attach, family: None };
    vec![one(Attach::Direct)]
}

/// `socket.channel.position` of every slot.
fn places(draft: &Draft) -> String {
    let number = |n: Option<usize>| n.map_or_else(|| "?".to_string(), |n| n.to_string());
    let one = |s: &super::DraftSlot| format!("{}.{}.{}", number(s.socket), number(s.channel), number(s.position));
    draft.slots.iter().map(one).collect::<Vec<_>>().join(" ")
}

fn plain<'a>(names: &[&'a str]) -> Vec<(&'a str, &'a str)> {
    names.iter().map(|n| (*n, "")).collect()
}

#[test]
fn letters_are_ranked_since_some_are_left_out() {
    let names = ["CPU1_DIMM_G1", "CPU1_DIMM_H1", "CPU1_DIMM_J1", "CPU2_DIMM_K1", "CPU2_DIMM_L1", "CPU2_DIMM_N1"];
    let drafted = draft(&machine(&plain(&names), 2), &channels(3));
    assert_eq!(places(&drafted), "0.0.0 0.1.0 0.2.0 1.0.0 1.1.0 1.2.0");
    assert_eq!(drafted.confidence, Confidence::Sure, "{drafted:?}");
}

#[test]
fn a_channel_a_controller_is_read_from_the_controllers() {
    let names = [
        "Controller0-ChannelA-DIMM0*",
        "Controller0-ChannelA-DIMM1",
        "Controller1-ChannelA-DIMM0*",
        "Controller1-ChannelA-DIMM1",
    ];
    let drafted = draft(&machine(&plain(&names), 1), &channels(2));
    assert_eq!(places(&drafted), "0.0.0 0.0.1 0.1.0 0.1.1");
    assert_eq!(drafted.confidence, Confidence::Sure, "{drafted:?}");
}

#[test]
fn a_slot_number_of_the_processor_says_nothing_of_the_place() {
    let mut snapshot = machine(&plain(&["a*", "b", "c*", "d", "e*", "f"]), 1);
    for (i, slot) in snapshot.slots.iter_mut().enumerate() {
        let number = i as u32;
        slot.location =
            Location { socket: Some(1), controller: None, channel: Some(number / 2), slot: Some(number + 1) };
    }
    let drafted = draft(&snapshot, &channels(3));
    assert_eq!(places(&drafted), "0.0.0 0.0.1 0.1.0 0.1.1 0.2.0 0.2.1");
    assert_eq!(drafted.confidence, Confidence::Likely, "{drafted:?}");
    assert!(drafted.questions.iter().any(|q| q.text.contains("what is filled")), "{:?}", drafted.questions);
}

#[test]
fn a_square_of_letters_and_numbers_is_a_question() {
    let names = ["P1-1A*", "P1-1B", "P1-2A*", "P1-2B", "P2-1A*", "P2-1B", "P2-2A*", "P2-2B"];
    let drafted = draft(&machine(&plain(&names), 2), &channels(2));
    assert_eq!(drafted.confidence, Confidence::Likely);
    assert!(drafted.questions.iter().any(|q| q.readings.len() == 2), "{:?}", drafted.questions);
}

#[test]
fn a_strange_word_before_the_channel_may_be_its_controller() {
    let names = ["/SYS/P0/XYZ0/CH0/D0", "/SYS/P0/XYZ0/CH1/D0", "/SYS/P0/XYZ1/CH0/D0", "/SYS/P0/XYZ1/CH1/D0"];
    let drafted = draft(&machine(&plain(&names), 1), &channels(4));
    assert_eq!(places(&drafted), "0.0.0 0.1.0 0.2.0 0.3.0");
    assert_eq!(drafted.confidence, Confidence::Sure, "{drafted:?}");
    let drafted = draft(&machine(&plain(&names), 1), &[]);
    assert_eq!(drafted.confidence, Confidence::Likely, "{drafted:?}");
    assert!(drafted.questions.iter().any(|q| q.readings.len() == 2), "{:?}", drafted.questions);
}

#[test]
fn a_memory_control_unit_is_one_word() {
    let names: Vec<String> = (0..2)
        .flat_map(|unit| (0..2).flat_map(move |ch| (0..2).map(move |slot| format!("MCU{unit}_CH{ch}_DIMM{slot}"))))
        .collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let drafted = draft(&machine(&plain(&names), 1), &channels(4));
    assert_eq!(places(&drafted), "0.0.0 0.0.1 0.1.0 0.1.1 0.2.0 0.2.1 0.3.0 0.3.1");
    assert!(drafted.confidence >= Confidence::Likely, "{drafted:?}");
}

#[test]
fn a_letter_before_a_number_is_the_channel_in_whatever_order_they_are_listed() {
    let names = ["P1-DIMMA1", "P1-DIMMB1", "P1-DIMMC1", "P1-DIMMA2", "P1-DIMMB2", "P1-DIMMC2"];
    for known in [channels(3), Vec::new()] {
        let drafted = draft(&machine(&plain(&names), 1), &known);
        assert_eq!(places(&drafted), "0.0.0 0.1.0 0.2.0 0.0.1 0.1.1 0.2.1");
    }
    let square = ["P1-DIMMA1", "P1-DIMMB1", "P1-DIMMA2", "P1-DIMMB2"];
    let drafted = draft(&machine(&plain(&square), 1), &channels(2));
    assert_eq!(places(&drafted), "0.0.0 0.1.0 0.0.1 0.1.1");
    assert_eq!(drafted.confidence, Confidence::Likely, "{drafted:?}");
    // Counts may speak for the number as the channel: never surely.
    let sides = ["DIMM_A1", "DIMM_A2", "DIMM_A3", "DIMM_A4", "DIMM_B1", "DIMM_B2", "DIMM_B3", "DIMM_B4"];
    let drafted = draft(&machine(&plain(&sides), 1), &channels(4));
    assert!(drafted.confidence < Confidence::Sure, "{drafted:?}");
}

#[test]
fn slots_that_are_stated_and_not_listed_are_asked_for() {
    let mut snapshot = machine(&plain(&["CPU1_CH0_D0", "CPU1_CH1_D0"]), 1);
    let array = |devices| domain::snapshot::SeenArray {
        handle: "0x1000".into(),
        role: domain::snapshot::ArrayRole::System,
        ecc: None,
        maximum: None,
        devices: Some(devices),
    };
    snapshot.slots.iter_mut().for_each(|s| s.array = Some("0x1000".into()));
    let asks = |devices: u16, snapshot: &mut Snapshot| {
        snapshot.arrays = vec![array(devices)];
        draft(snapshot, &channels(2)).questions.iter().any(|q| q.text.contains("states 2 slots more"))
    };
    assert!(asks(4, &mut snapshot));
    assert!(!asks(2, &mut snapshot));
}

#[test]
fn a_memory_board_a_socket_is_a_sign_but_no_proof() {
    let names = ["Board 1, DIMM A1", "Board 1, DIMM B1", "Board 2, DIMM A1", "Board 2, DIMM B1"];
    let drafted = draft(&machine(&plain(&names), 2), &channels(2));
    assert_eq!(places(&drafted), "0.0.0 0.1.0 1.0.0 1.1.0");
    assert!(drafted.confidence < Confidence::Sure, "{drafted:?}");
}

#[test]
fn what_is_filled_tells_how_numbers_run() {
    let along = ["PROC 1 DIMM 1*", "PROC 1 DIMM 2", "PROC 1 DIMM 3", "PROC 1 DIMM 4*"];
    let drafted = draft(&machine(&plain(&along), 1), &channels(2));
    assert_eq!(places(&drafted), "0.0.0 0.0.1 0.1.1 0.1.0");
    let across = ["A1*", "A2*", "A3", "A4", "B1*", "B2*", "B3", "B4"];
    let drafted = draft(&machine(&plain(&across), 2), &channels(2));
    assert_eq!(places(&drafted), "0.0.0 0.1.0 0.0.1 0.1.1 1.0.0 1.1.0 1.0.1 1.1.1");
    assert!(drafted.confidence < Confidence::Sure);
}

#[test]
fn a_slip_of_the_bank_locator_is_told_and_the_name_believed() {
    let mut slots = Vec::new();
    let names: Vec<String> = "ABCD".chars().flat_map(|c| (1..=2).map(move |d| format!("CPU1_DIMM_{c}{d}"))).collect();
    let banks: Vec<String> = (0..8).map(|i| format!("Node0_Channel{}_Dimm{}", i / 2, i % 2)).collect();
    for (i, (name, bank)) in names.iter().zip(&banks).enumerate() {
        slots.push((name.as_str(), if i == 3 { "Node0_Channel7_Dimm1" } else { bank.as_str() }));
    }
    let drafted = draft(&machine(&slots, 1), &channels(4));
    assert_eq!(places(&drafted), "0.0.0 0.0.1 0.1.0 0.1.1 0.2.0 0.2.1 0.3.0 0.3.1");
    assert_eq!(drafted.confidence, Confidence::Likely);
    assert!(drafted.questions.iter().any(|q| q.text.contains("contradicts")), "{:?}", drafted.questions);
    assert!(drafted.slots.iter().any(|s| s.confidence == Confidence::Sure));
}

#[test]
fn running_numbers_alone_tell_nothing() {
    let names = ["DIMM 1*", "DIMM 2", "DIMM 3*", "DIMM 4"];
    let drafted = draft(&machine(&plain(&names), 2), &channels(2));
    assert_eq!(drafted.confidence, Confidence::Unsure);
    assert_eq!(places(&drafted), "?.?.? ?.?.? ?.?.? ?.?.?");
    assert!(!drafted.questions.is_empty());
}

#[test]
fn behind_a_shared_hub_no_slot_has_a_socket() {
    let mut hub = channels(4);
    hub[0].attach = Attach::Hub;
    let drafted = draft(&machine(&plain(&["CPU1_DIMM_A1", "CPU2_DIMM_A1"]), 2), &hub);
    assert_eq!(places(&drafted), "?.?.? ?.?.?");
}

#[test]
fn slots_without_a_name_are_placed_by_the_order_of_those_with_one() {
    let slots = [
        ("CH0_1*", "x"),
        ("NO DIMM", "NO DIMM"),
        ("CH1_1*", "x"),
        ("NO DIMM", "NO DIMM"),
        ("NO DIMM", ""),
        ("NO DIMM", ""),
        ("NO DIMM", ""),
        ("NO DIMM", ""),
    ];
    let drafted = draft(&machine(&slots, 2), &channels(2));
    assert_eq!(places(&drafted), "0.0.0 0.0.1 0.1.0 0.1.1 1.0.0 1.0.1 1.1.0 1.1.1");
    assert_eq!(drafted.confidence, Confidence::Likely);
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[A-D][0-9]{1,3}",
        "(P|CPU|PROC |NODE |CHANNEL |DIMM|/)?[0-9A-E](_|-| )(DIMM|CH|MC|C)[A-D0-9]{1,2}",
        "\\PC{0,12}",
        Just("NO DIMM".to_string()),
    ]
}

prop_compose! {
    fn seen()(name in text(), bank in proptest::option::of(text()), filled: bool, numbers in proptest::array::uniform4(proptest::option::of(0u32..4)), array in 0u8..3) -> SeenSlot {
        let [socket, controller, channel, slot] = numbers;
        SeenSlot {
            origin: Origin::Redfish,
            handle: name.clone().into(),
            array: (array > 0).then(|| array.to_string()).map(Into::into),
            name: name.into(),
            bank: bank.map(Into::into),
            location: Location { socket, controller, channel, slot },
            processor: None,
            state: if filled { SlotState::Filled } else { SlotState::Empty },
            module: filled.then(SeenModule::default),
        }
    }
}

proptest! {
    #[test]
    fn any_report_is_survived(slots in proptest::collection::vec(seen(), 0..24), sockets in 0usize..4, wide in 0u8..9) {
        let mut snapshot = machine(&[], sockets);
        snapshot.slots = slots;
        let drafted = draft(&snapshot, &channels(wide));
        prop_assert_eq!(drafted.slots.len() + drafted.others.len(), snapshot.slots.len());
        let worst = drafted.slots.iter().map(|s| s.confidence).min();
        prop_assert!(worst.is_none_or(|w| w == drafted.confidence));
        prop_assert!(drafted.confidence == Confidence::Sure || !drafted.questions.is_empty());
        // Two slots never share a place.
        let mut taken = std::collections::BTreeSet::new();
        for slot in drafted.slots.iter().filter(|s| s.position.is_some()) {
            prop_assert!(taken.insert((slot.socket, slot.channel, slot.position)), "{:?}", slot);
        }
    }
}
