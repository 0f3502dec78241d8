//! Error counters of that machine: placed, grown, old, and moved with their module.

use super::tests::machine;
use super::*;
use domain::snapshot::{ErrorController, ErrorCounts, ErrorModule, SlotState};

#[test]
fn counters_are_placed_by_the_drivers_numbers() {
    let (before, places) = machine();
    let mut now = before.clone();
    now.errors = ErrorCounts::Read(vec![ErrorController {
        index: 1,
        seconds: Some(7200),
        modules: vec![
            ErrorModule {
                label: Some("CPU_SrcID#1_MC#0_Chan#2_DIMM#0".into()),
                corrected: Some(12),
                ..Default::default()
            },
            ErrorModule {
                label: Some("CPU_SrcID#1_MC#0_Chan#0_DIMM#1".into()),
                corrected: Some(0),
                ..Default::default()
            },
        ],
        ..Default::default()
    }]);
    let compared = compare(&Expected::snapshot(&before, &places), &now, &places);
    let [one] = compared.differences.as_slice() else { panic!("{:?}", compared.differences) };
    assert_eq!((one.what, one.place.as_str()), (What::Errors, "P2-C1"));
    assert_eq!(one.seen, "12 corrected, 0 uncorrected in 2 h");
}

#[test]
fn errors_of_a_controller_that_names_no_module_are_told() {
    let (before, places) = machine();
    let mut now = before.clone();
    let module = ErrorModule { corrected: Some(2), label: Some("P1-A1".into()), ..ErrorModule::default() };
    let controller = ErrorController { corrected: Some(12), modules: vec![module], ..ErrorController::default() };
    now.errors = ErrorCounts::Read(vec![controller]);
    let compared = compare(&Expected::snapshot(&before, &places), &now, &places);
    let told: Vec<_> = compared.differences.iter().map(|d| (d.place.as_str(), d.seen.as_str())).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told.contains(&("P1-A1", "2 corrected, 0 uncorrected")), "{told:?}");
    assert!(told.contains(&("controller 0, no module named", "10 corrected, 0 uncorrected")), "{told:?}");
}

#[test]
fn errors_are_told_by_what_came_since_the_earlier_report() {
    let (before, places) = machine();
    let counted = |corrected, seconds| {
        let module = ErrorModule { corrected: Some(corrected), label: Some("P1-A1".into()), ..ErrorModule::default() };
        let controller =
            ErrorController { seconds: Some(seconds), modules: vec![module], ..ErrorController::default() };
        Snapshot { errors: ErrorCounts::Read(vec![controller]), ..before.clone() }
    };
    let told = |now: Snapshot| {
        let compared = compare(&Expected::snapshot(&counted(3, 7200), &places), &now, &places);
        compared
            .differences
            .into_iter()
            .map(|d| format!("{}: {} -> {}", d.place, d.planned, d.seen))
            .collect::<Vec<_>>()
    };
    let then = "P1-A1: 3 corrected, 0 uncorrected";
    assert_eq!(told(counted(3, 14_400)), [""; 0], "old errors alone are no difference");
    let grown = "90 corrected, 0 uncorrected in 4 h; 87 corrected, 0 uncorrected since the earlier report";
    assert_eq!(told(counted(90, 14_400)), [format!("{then} -> {grown}")]);
    let anew = "5 corrected, 0 uncorrected in 10 min; the counters began again since the earlier report";
    assert_eq!(told(counted(5, 600)), [format!("{then} -> {anew}")]);
}

/// The machine with serials, and with the errors of `P1-A1` and `P2-C1`, counted for so long.
fn counted(mut machine: Snapshot, corrected: [u64; 2], seconds: u64) -> Snapshot {
    for (i, slot) in machine.slots.iter_mut().enumerate() {
        if let Some(module) = slot.module.as_mut().filter(|m| m.reading.serial.is_none()) {
            module.reading.serial = Some(format!("0BADF00{i:X}").into());
        }
    }
    let module = |(index, label, corrected): (u32, &str, u64)| ErrorModule {
        index,
        corrected: Some(corrected),
        label: Some(label.into()),
        ..ErrorModule::default()
    };
    let modules = [(0, "P1-A1", corrected[0]), (1, "P2-C1", corrected[1])].map(module).to_vec();
    let controller = ErrorController { seconds: Some(seconds), modules, ..ErrorController::default() };
    machine.errors = ErrorCounts::Read(vec![controller]);
    machine
}

#[test]
fn errors_in_numbers_and_old_ones_stand_beside() {
    let (machine, places) = machine();
    let before = Expected::snapshot(&counted(machine.clone(), [3, 1], 7200), &places);
    let now = compare(&before, &counted(machine.clone(), [3, 9], 14_400), &places);
    let [grown] = now.differences.as_slice() else { panic!("{:?}", now.differences) };
    let errors = grown.errors.as_ref().unwrap();
    let count = |corrected| Some(Count { corrected, uncorrected: 0 });
    assert_eq!((errors.place.as_str(), errors.earlier, errors.new), ("P2-C1", count(1), count(8)));
    assert_eq!((errors.began_again, errors.other_module), (false, false));
    let old: Vec<String> = now.old_errors.iter().map(ToString::to_string).collect();
    assert_eq!(old, ["P1-A1: 3 corrected, 0 uncorrected, all of them before the earlier report"]);
    let anew = compare(&before, &counted(machine, [0, 0], 60), &places);
    assert!(anew.differences.is_empty(), "{:?}", anew.differences);
    let old: Vec<String> = anew.old_errors.iter().map(ToString::to_string).collect();
    let words = "in the earlier report; the counters began again, and none came since";
    assert_eq!(
        old,
        [format!("P1-A1: 3 corrected, 0 uncorrected {words}"), format!("P2-C1: 1 corrected, 0 uncorrected {words}")]
    );
}

#[test]
fn a_module_that_moved_takes_its_errors_along_by_its_serial() {
    let (machine, places) = machine();
    let before = Expected::snapshot(&counted(machine.clone(), [3, 0], 7200), &places);
    let moved = |corrected| {
        let mut now = counted(machine.clone(), corrected, 9000);
        let (a, c) = (0, now.slots.iter().position(|s| s.name.as_str() == "P2-C1").unwrap());
        let there = now.slots[c].module.take();
        now.slots[c].module = now.slots[a].module.take();
        now.slots[a].module = there;
        compare(&before, &now, &places)
    };
    let errors = |all: &Comparison| all.differences.iter().filter_map(|d| d.errors.clone()).collect::<Vec<_>>();
    // The module of P1-A1 errs in its new place; the one that came to P1-A1 has no history of its own.
    let both = moved([5, 2]);
    let told: Vec<String> =
        both.differences.iter().filter(|d| d.errors.is_some()).map(|d| format!("{}: {}", d.place, d.seen)).collect();
    let other = "another module sat here in the earlier report, so this one's count starts anew";
    assert_eq!(
        told,
        [
            format!("P1-A1: 5 corrected, 0 uncorrected in 2 h; {other}"),
            format!(
                "P2-C1: 2 corrected, 0 uncorrected in 2 h; {other}; this module sat in P1-A1 before, with 3 corrected, 0 \
                 uncorrected there"
            )
        ]
    );
    let came = &errors(&both)[1];
    assert_eq!((came.new, came.earlier, came.other_module), (None, None, true));
    let first = both.differences.iter().find(|d| d.place == "P2-C1").unwrap();
    assert_eq!(first.causes[0].why, "it erred in P1-A1 too: the errors went with it");
    // It is quiet in its new place: its old errors are told, and are no difference.
    let quiet = moved([0, 0]);
    assert!(errors(&quiet).is_empty(), "{:?}", quiet.differences);
    let old: Vec<String> = quiet.old_errors.iter().map(ToString::to_string).collect();
    assert_eq!(old, ["P2-C1: none so far; this module had 3 corrected, 0 uncorrected in P1-A1 before it moved"]);
}

#[test]
fn a_module_that_moved_into_an_empty_slot_is_told_at_both() {
    let (machine, places) = machine();
    let with = |mut machine: Snapshot, label: &str, corrected: u64| {
        let module =
            ErrorModule { index: 1, corrected: Some(corrected), label: Some(label.into()), ..ErrorModule::default() };
        let old = ErrorModule { corrected: Some(0), label: Some("P1-A1".into()), ..ErrorModule::default() };
        let controller =
            ErrorController { seconds: Some(60), modules: vec![old, module], ..ErrorController::default() };
        machine.errors = ErrorCounts::Read(vec![controller]);
        machine
    };
    let before = Expected::snapshot(&counted(machine.clone(), [30, 0], 7200), &places);
    let mut now = counted(machine, [0, 0], 60);
    let to = now.slots.iter().position(|s| s.module.is_none()).unwrap();
    let label = now.slots[to].name.to_string();
    now.slots[to].module = now.slots[0].module.take();
    (now.slots[to].state, now.slots[0].state) = (SlotState::Filled, SlotState::Empty);
    let compared = compare(&before, &with(now, &label, 4), &places);
    let errors = compared.differences.iter().find_map(|d| d.errors.as_ref()).unwrap();
    assert_eq!((errors.place.as_str(), errors.other_module, errors.new), (label.as_str(), false, None));
    assert_eq!(errors.moved_from, Some(("P1-A1".to_string(), Count { corrected: 30, uncorrected: 0 })));
    let old: Vec<String> = compared.old_errors.iter().map(ToString::to_string).collect();
    let told = "P1-A1: 30 corrected, 0 uncorrected in the earlier report, of the module that sits in";
    assert_eq!(old, [format!("{told} {label} now")]);
}
