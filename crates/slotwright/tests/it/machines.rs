//! Machines as their user meets them: snapshots of a root folder, and what else takes such a folder or a report of it.

use crate::program::{Place, Told};
use serde_json::Value;
use std::io::Write;
use std::process::Stdio;

/// A root folder with the files that the kernel offers: table, entry point, and the counters of one controller.
pub fn root(place: &Place) {
    let area = std::fs::read(crate::top().join("captures/smbios-raw/1s-2slot-ddr5-sm3.bin")).unwrap();
    place.write("root/sys/firmware/dmi/tables/smbios_entry_point", &area[..24]);
    place.write("root/sys/firmware/dmi/tables/DMI", &area[32..]);
    let counts = [("ce_count", "3"), ("ue_count", "0"), ("seconds_since_reset", "60"), ("mc_name", "a driver")];
    for (name, text) in counts {
        place.write(&format!("root/sys/devices/system/edac/mc/mc0/{name}"), format!("{text}\n"));
    }
}

fn piped(place: &Place, args: &[&str], text: &str) -> Told {
    let mut child =
        place.command(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    Told {
        code: out.status.code(),
        out: String::from_utf8(out.stdout).unwrap(),
        err: String::from_utf8_lossy(&out.stderr).into_owned(),
    }
}

fn states(snapshot: &Value) -> Vec<(String, String)> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_string();
    let slots = snapshot["slots"].as_array().cloned().unwrap_or_default();
    slots.iter().map(|s| (text(&s["handle"]), text(&s["state"]))).collect()
}

#[test]
fn a_root_folder_gives_table_and_counters_to_every_verb() {
    let place = Place::new();
    root(&place);
    let taken = place.run(&["snapshot", "--root", "root"]);
    assert_eq!(taken.code, Some(0), "{}", taken.err);
    let document = taken.json();
    assert_eq!(document["slotwright-snapshot"], 1);
    assert_eq!(document["origins"], serde_json::json!(["smbios", "edac"]));
    assert_eq!(states(&document).len(), 2);
    assert_eq!(document["taken"], Value::Null, "another machine's files have no time of their own");
    let notes = document["notes"].as_array().cloned().unwrap_or_default();
    // The capture's own table is shorter than its entry point says: a sign that both were read.
    let told = notes.iter().filter(|n| n["what"].as_str().is_some_and(|w| w.contains("entry point states")));
    assert_eq!(told.count(), 1, "{notes:?}");

    place.write("seen.json", &taken.out);
    let read = place.run(&["read", "root", "--json"]).json();
    assert_eq!(states(&read["items"][0]["snapshot"]), states(&document));
    assert_eq!(read["items"][0]["snapshot"]["errors"], document["errors"]);
    let drafts = ["root", "seen.json"].map(|from| place.run(&["draft", from, "--json"]).json());
    assert_eq!(drafts[0]["slots"], drafts[1]["slots"]);
    assert_eq!(drafts[0]["slots"].as_array().map(Vec::len), Some(2));
    let compared = place.run(&["compare", "seen.json", "root", "--json"]).json();
    let whats: Vec<&str> =
        compared["differences"].as_array().unwrap().iter().filter_map(|d| d["what"].as_str()).collect();
    assert!(whats.iter().all(|what| *what == "errors"), "{whats:?}");
}

#[test]
fn a_root_folder_with_nothing_in_it_says_so() {
    let place = Place::new();
    std::fs::create_dir_all(place.path().join("root")).unwrap();
    let taken = place.run(&["snapshot", "--root", "root"]);
    assert_eq!(taken.code, Some(1));
    assert_eq!(taken.json()["slots"].as_array().map(Vec::len).unwrap_or_default(), 0);
    assert!(taken.err.contains("nothing could be read"), "{}", taken.err);
    let gone = place.run(&["snapshot", "--root", "elsewhere"]);
    assert_eq!(gone.code, Some(2));
}

#[test]
fn a_report_of_modules_alone_is_no_machine() {
    let place = Place::new();
    place.write("label.txt", "64GB 2Rx4 PC4-2933Y-RB2-12");
    let told = place.run(&["draft", "label.txt"]);
    assert_eq!(told.code, Some(2));
    assert!(told.err.contains("no machine"), "{}", told.err);
    let told = place.run(&["draft", "not-there.bin"]);
    assert_eq!(told.code, Some(2));
    assert!(told.err.contains("not-there.bin"), "{}", told.err);
}

#[test]
fn a_blank_board_asks_for_its_counts_on_standard_input() {
    let place = Place::new();
    let told =
        piped(&place, &["draft", "--blank", "--generation", "DDR4", "--out", "board.toml"], "2\nmany\n2\n3\n2\n");
    assert_eq!(told.code, Some(0), "{}", told.err);
    assert_eq!(told.err.matches("Memory controllers").count(), 2, "asked again: {}", told.err);
    let board = place.run(&["boards", "board.toml", "--json"]);
    assert_eq!(board.code, Some(0), "{}", board.err);
    let known = place.run(&["draft", "--blank", "--generation", "DDR4"]);
    assert_eq!(known.code, Some(2));
    assert!(known.err.contains("--sockets"), "{}", known.err);
}

/// The slots of one controller of the second socket, emptied in a report by name.
fn without(document: &Value, names: &[&str]) -> String {
    let mut changed = document.clone();
    for slot in changed["slots"].as_array_mut().unwrap() {
        if names.contains(&slot["name"].as_str().unwrap()) {
            slot["state"] = "empty".into();
            slot.as_object_mut().unwrap().remove("module");
        }
    }
    changed.to_string()
}

#[test]
fn a_gone_controller_is_named_from_the_plan_and_from_an_earlier_report() {
    let place = Place::new();
    let slots: Vec<String> = ["west", "east"]
        .iter()
        .flat_map(|s| (1..=6).map(move |c| format!("\"{s}-{c}-outer\" = \"32GB 2Rx4 PC4-2933Y-R\"\n")))
        .collect();
    let build = "board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\", \"ddr4-6ch-2933\"]\n\n[slots]\n".to_string();
    place.write("plan.toml", build + &slots.concat());
    // Names of the machine's own making: only the places agree.
    let slot = |name: String, socket: usize, n: usize| {
        serde_json::json!({"origin": "smbios", "handle": format!("0x11{socket}{n}"), "name": name, "state": "filled",
            "module": {"generation": "DDR4", "kind": "RDIMM", "capacity_mib": 32768, "data_rate_mts": 2933,
            "running": {"rate_mts": 2933, "raw": 2933}}})
    };
    let named: Vec<Value> = ["west", "east"]
        .iter()
        .enumerate()
        .flat_map(|(s, socket)| (1..=6).map(move |c| slot(format!("{socket}-{c}-outer"), s, c)))
        .collect();
    let document = serde_json::json!({"slotwright-snapshot": 1, "origins": ["smbios"], "slots": named});
    place.write("seen.json", without(&document, &["east-4-outer", "east-5-outer", "east-6-outer"]));
    let told = place.run(&["compare", "plan.toml", "seen.json", "--json"]).json();
    let first = &told["differences"][0];
    assert_eq!((&first["what"], &first["controller"]), (&"controller-gone".into(), &1.into()), "{told}");

    // A service that states the controller of each slot, before and after.
    let tree = crate::top().join("captures/redfish/r04");
    let before = place.run(&["read", tree.to_str().unwrap(), "--json"]).json()["items"][0]["snapshot"].clone();
    place.write("before.json", before.to_string());
    let of_controller = |s: &&Value| {
        let at = &s["location"];
        (at["socket"].as_u64(), at["controller"].as_u64()) == (Some(2), Some(1)) && s["state"] == "filled"
    };
    let lost: Vec<&str> =
        before["slots"].as_array().unwrap().iter().filter(of_controller).filter_map(|s| s["name"].as_str()).collect();
    assert!(lost.len() >= 2, "{lost:?}");
    place.write("after.json", without(&before, &lost));
    let told = place.run(&["compare", "before.json", "after.json", "--json"]).json();
    let whats: Vec<&str> = told["differences"].as_array().unwrap().iter().filter_map(|d| d["what"].as_str()).collect();
    assert_eq!(whats.first(), Some(&"controller-gone"), "{told}");
    assert!(!whats.contains(&"missing") && !whats.contains(&"channel-gone"), "{whats:?}");
}
