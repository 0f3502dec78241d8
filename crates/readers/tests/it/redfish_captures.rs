//! Saved Redfish trees against what an honest reader should see in them. `REDFISH_CAPTURES` names a folder of more.

use domain::snapshot::{SlotState, Snapshot};
use readers::redfish::{self, Kept};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::{env, fs};

/// The trees of the repository, and those of the folder that the environment names.
pub fn trees() -> Vec<PathBuf> {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../captures/redfish");
    let more = env::var_os("REDFISH_CAPTURES").map(PathBuf::from);
    let mut all = Vec::new();
    for folder in [Some(own), more].into_iter().flatten() {
        let entries = fs::read_dir(&folder).unwrap().map(|e| e.unwrap().path());
        all.extend(entries.filter(|p| p.join("expect.json").is_file()));
    }
    all.sort();
    all
}

/// Holds every `index.json` of a tree.
pub fn keep(tree: &Path) -> Kept {
    fn walk(folder: &Path, path: &str, kept: &mut Kept) {
        for entry in fs::read_dir(folder).unwrap().map(|e| e.unwrap()) {
            let name = entry.file_name().to_string_lossy().into_owned();
            if entry.path().is_dir() {
                walk(&entry.path(), &format!("{path}/{name}"), kept);
            } else if name == "index.json" {
                kept.hold(path, fs::read(entry.path()).unwrap());
            }
        }
    }
    let mut kept = Kept::default();
    walk(&tree.join("redfish"), "/redfish", &mut kept);
    kept
}

fn expected(tree: &Path) -> Vec<Value> {
    let text = fs::read_to_string(tree.join("expect.json")).unwrap();
    let value: Value = serde_json::from_str(&text).unwrap();
    value["slots"].as_array().unwrap().clone()
}

fn notes(all: &[Snapshot]) -> String {
    let lines =
        all.iter().flat_map(|s| &s.notes).map(|n| format!("{}: {}\n", n.place.as_deref().unwrap_or(""), n.what));
    lines.collect()
}

fn check(tree: &Path) -> usize {
    let all = redfish::read(&mut keep(tree)).unwrap_or_else(|e| panic!("{}: {e}", tree.display()));
    let mut slots = 0;
    for want in expected(tree) {
        let text = |key: &str| want[key].as_str().unwrap_or("").to_string();
        let handle = format!("/redfish/v1/Systems/{}/Memory/{}", text("system"), text("id"));
        let at = format!("{} {handle}", tree.display());
        let found: Vec<_> = all.iter().flat_map(|s| &s.slots).filter(|s| s.handle == handle).collect();
        assert_eq!(found.len(), 1, "{at}");
        let slot = found[0];
        let label = want["locator"].as_str().or(want["service_label"].as_str());
        if let Some(label) = label {
            assert_eq!(slot.name, label, "{at}");
        } else {
            assert!(!slot.name.is_empty(), "{at}");
        }
        let kind = text("type");
        let other = kind.starts_with("HBM") || text("id").starts_with("GPU_");
        assert_eq!(slot.state == SlotState::NotMemory, other, "{at}: {:?}", slot.state);
        if !other {
            let filled = if want["populated"].as_bool().unwrap() { SlotState::Filled } else { SlotState::Empty };
            assert_eq!(slot.state, filled, "{at}");
            let capacity = slot.module.as_ref().and_then(|m| m.reading.capacity).map(|c| c.mib());
            assert_eq!(capacity, want["capacity_mib"].as_u64().filter(|n| *n > 0), "{at}");
        }
        if let Some(module) = &slot.module {
            let generation = module.reading.generation.map(|g| g.name());
            assert_eq!(generation, Some(kind.as_str()).filter(|k| k.starts_with("DDR")), "{at}");
        }
        let told = &want["memory_location"];
        let number = |key: &str| told[key].as_u64().and_then(|n| u32::try_from(n).ok());
        let here = slot.location;
        assert_eq!(
            [here.socket, here.controller, here.channel, here.slot],
            [number("Socket"), number("MemoryController"), number("Channel"), number("Slot")],
            "{at}"
        );
        slots += 1;
    }
    assert_eq!(all.iter().map(|s| s.slots.len()).sum::<usize>(), slots, "{}", tree.display());
    slots
}

#[test]
fn every_saved_tree_is_seen_as_it_is() {
    let slots: usize = trees().iter().map(|t| check(t)).sum();
    assert!(slots >= 150, "only {slots} slots");
}

fn own(id: &str) -> Vec<Snapshot> {
    let tree = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../captures/redfish").join(id);
    redfish::read(&mut keep(&tree)).unwrap()
}

#[test]
fn what_is_odd_is_told_and_fails_nothing() {
    let odd = br##"{"@odata.id": "/redfish/v1/Systems/1/Memory/1", "@odata.type": "#Memory.v1_10_0.Memory", "Name": "DIMM 0",
        "MemoryDeviceType": "DDR5", "CapacityMiB": 65536, "OperatingSpeedMhz": 9600, "ErrorCorrection": "Single-bit ECC"}"##;
    let one = redfish::read_one(odd).unwrap();
    assert!(notes(&one).contains("speed 9600 is read as 4800 MT/s: it is twice the rate"), "{}", notes(&one));
    assert!(notes(&one).contains("ErrorCorrection `Single-bit ECC` is not in the standard's list"));
    let running = one[0].slots[0].module.as_ref().unwrap().running.unwrap();
    assert_eq!((running.rate.mts(), running.raw), (4800, 9600));
    let five = notes(&own("r05"));
    assert!(five.contains("is a GPU's memory, by its name"), "{five}");
    assert!(five.contains("the same part and serial numbers are listed under /redfish/v1/Systems/System_0 too: 2"));
    assert!(notes(&own("r03")).contains("Slot numbers slots of the socket or board"));
    assert!(notes(&own("r20")).contains("MemoryLocation socket 1, controller 1, channel 1, slot 1 is given to"));
    assert!(notes(&own("r02")).is_empty(), "{}", notes(&own("r02")));
}

#[test]
fn memory_that_lasts_is_never_counted() {
    let all = own("r21");
    assert_eq!(all.len(), 5);
    for snapshot in &all {
        assert!(snapshot.installed().is_zero());
        assert!(snapshot.slots.iter().all(|s| s.module.as_ref().is_some_and(|m| m.nonvolatile)));
        let words = notes(std::slice::from_ref(snapshot));
        assert!(words.contains("may hold a customer's data"), "{words}");
    }
}

#[test]
fn processors_are_named_and_linked() {
    let two = &own("r02")[0];
    let names: Vec<_> = two.processors.iter().map(|p| (p.name.as_str(), p.cores)).collect();
    assert_eq!(names, [("CPU.Socket.1", Some(18)), ("CPU.Socket.2", Some(18))]);
    let of = |slot: &str| two.slots.iter().find(|s| s.name == slot).and_then(|s| s.processor.clone());
    assert_eq!(of("DIMM B1").as_ref(), Some(&two.processors[1].handle));
    assert_eq!(two.total.map(|t| t.mib()), Some(131_072));
    let seven = own("r07");
    assert!(seven[0].processors.iter().all(|p| p.model.is_some()), "{:?}", seven[0].processors);
    assert_eq!(seven[0].processors.len(), 2);
}

#[test]
fn a_part_of_a_tree_is_enough() {
    let tree = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../captures/redfish/r03");
    let whole = keep(&tree);
    let paths = redfish::Fetch::paths(&whole);
    let part = |under: &str| {
        let mut part = Kept::default();
        for path in paths.iter().filter(|p| p.starts_with(under)) {
            part.hold(path, redfish::Fetch::get(&mut whole.clone(), path).unwrap());
        }
        redfish::read(&mut part).map(|all| all.iter().map(|s| s.slots.len()).collect::<Vec<_>>())
    };
    assert_eq!(part("/redfish/v1/Systems/1").unwrap(), [32]);
    assert_eq!(part("/redfish/v1/Systems/1/Memory").unwrap(), [32]);
    assert_eq!(part("/redfish/v1/Systems/1/Memory/proc1dimm2").unwrap(), [1]);
    assert!(part("/redfish/v1/Systems/1/Processors").is_err());
}
