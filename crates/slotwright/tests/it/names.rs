//! The names in `--json` that people's scripts rest on: each is held by name, with a value where the case has one.

use crate::program::Place;
use serde_json::Value;

/// Every one of these names is there, whatever its value.
fn has(value: &Value, names: &str) {
    let object = value.as_object().unwrap_or_else(|| panic!("no object: {value}"));
    let missing: Vec<&str> = names.split_whitespace().filter(|name| !object.contains_key(*name)).collect();
    assert!(missing.is_empty(), "{missing:?} not among {:?}", object.keys().collect::<Vec<_>>());
}

/// Every one of these names has a value.
fn tells(value: &Value, names: &str) {
    has(value, names);
    let silent: Vec<&str> = names.split_whitespace().filter(|name| value[*name].is_null()).collect();
    assert!(silent.is_empty(), "{silent:?} say nothing: {value}");
}

const MODULE: &str = "generation kind capacity_mib package_ranks stack_height device_width data_rate_mts cl maker \
    part_number serial made label checksums";

#[test]
fn read_names_what_a_module_is() {
    let place = Place::new();
    place.example("used-1.hex");
    let view = place.run(&["read", "used-1.hex", "--json"]).json();
    has(&view, "items tray unread");
    let item = &view["items"][0];
    has(item, "input from evidence module snapshot errors quantity findings notes");
    assert_eq!(item["input"], "spd");
    tells(&item["evidence"][0], "input from");
    tells(&item["module"], MODULE);
    tells(&item["module"]["made"], "year week");
    tells(&item["module"]["checksums"][0], "name stored computed holds");
    // A label tells less, under the same names.
    let label = place.run(&["read", "64GB 2Rx4 PC4-2933Y-RB2-12", "--json"]).json()["items"][0].clone();
    assert_eq!(label["input"], "label");
    has(&label["module"], MODULE);
    let part = place.run(&["read", "M393A8G40MB2-CVF", "--json"]).json()["items"][0].clone();
    assert_eq!(part["input"], "part-number");
    has(&part["module"], MODULE);
}

#[test]
fn read_names_findings_and_what_is_unread() {
    let place = Place::new();
    let mut bytes = crate::reads::dump("used-1.hex");
    // A byte of the first block, so that its sum fails.
    bytes[10] ^= 1;
    place.write("tray/bent.bin", bytes);
    place.write("tray/soup.bin", [7; 40]);
    let view = place.run(&["read", "tray", "--json"]).json();
    let finding = &view["items"][0]["findings"][0];
    has(finding, "name weight evidence offset means innocent advice source");
    tells(finding, "name weight evidence means innocent advice source");
    tells(&view["unread"][0], "from why hint named");
    has(&view["unread"][0], "offset");
}

#[test]
fn read_names_a_machine_and_its_error_counters() {
    let place = Place::new();
    let count = |path: &str, text: &str| place.write(&format!("root/sys/devices/system/edac/mc/{path}"), text);
    for (name, text) in [
        ("mc_name", "a driver\n"),
        ("size_mb", "65536\n"),
        ("ce_count", "7\n"),
        ("ue_count", "1\n"),
        ("ce_noinfo_count", "2\n"),
        ("ue_noinfo_count", "0\n"),
        ("seconds_since_reset", "86400\n"),
    ] {
        count(&format!("mc0/{name}"), text);
    }
    for (name, text) in [
        ("dimm_label", "west-1-outer\n"),
        ("dimm_location", "channel 1 slot 0\n"),
        ("size", "65536\n"),
        ("dimm_dev_type", "x4\n"),
        ("dimm_edac_mode", "S4ECD4ED\n"),
        ("dimm_mem_type", "Registered-DDR4\n"),
        ("dimm_ce_count", "5\n"),
        ("dimm_ue_count", "1\n"),
    ] {
        count(&format!("mc0/dimm0/{name}"), text);
    }
    let item = place.run(&["read", "root", "--json"]).json()["items"][0].clone();
    assert_eq!(item["input"], "edac");
    let document = &item["snapshot"];
    tells(document, "slotwright-snapshot origins errors");
    let errors = &document["errors"];
    assert_eq!(errors["state"], "read", "{errors}");
    let controller = &errors["controllers"][0];
    tells(
        controller,
        "index driver size_mib corrected uncorrected corrected_unplaced uncorrected_unplaced seconds modules",
    );
    assert_eq!((&controller["corrected"], &controller["uncorrected"]), (&7.into(), &1.into()));
    let module = &controller["modules"][0];
    tells(module, "index label location size_mib kind device mode corrected uncorrected");
    tells(&module["location"][0], "layer index");
    assert_eq!((&module["corrected"], &module["uncorrected"]), (&5.into(), &1.into()));
}

#[test]
fn draft_names_slots_and_what_is_to_confirm() {
    let place = Place::new();
    let capture = crate::top().join("captures/smbios-raw/2s-24slot-ddr4.bin");
    let view = place.run(&["draft", capture.to_str().unwrap(), "--json"]).json();
    has(
        &view,
        "from system confidence sockets channels_per_socket processor family slots not_memory_slots questions notes",
    );
    tells(&view, "confidence sockets channels_per_socket");
    assert!(["sure", "likely", "unsure"].contains(&view["confidence"].as_str().unwrap()), "{view}");
    assert_eq!(view["slots"].as_array().map(Vec::len), Some(24));
    for slot in view["slots"].as_array().unwrap() {
        has(slot, "handle label socket channel position confidence evidence");
        tells(slot, "handle label confidence");
    }
    // Slots that a machine does not tell apart leave something to ask.
    let slot = |n: usize| serde_json::json!({"origin": "smbios", "handle": format!("0x110{n}"), "name": "slot", "state": "empty"});
    let odd = serde_json::json!({"slotwright-snapshot": 1, "origins": ["smbios"], "slots": [slot(0), slot(1)]});
    place.write("odd.json", odd.to_string());
    let view = place.run(&["draft", "odd.json", "--json"]).json();
    assert_eq!(view["confidence"], "unsure");
    tells(&view["questions"][0], "question readings slots");
}

#[test]
fn compare_names_each_difference_and_its_causes() {
    let place = Place::new();
    let slot = |c: usize, state: &str, module: Value| {
        serde_json::json!({"origin": "smbios", "handle": format!("0x110{c}"), "name": format!("west-{c}-outer"),
            "state": state, "module": module})
    };
    let module = |mib: u64| serde_json::json!({"generation": "DDR4", "kind": "RDIMM", "capacity_mib": mib});
    let report = |slots: [Value; 2]| {
        serde_json::json!({"slotwright-snapshot": 1, "origins": ["smbios"], "slots": slots}).to_string()
    };
    place.write("before.json", report([slot(1, "filled", module(32_768)), slot(2, "filled", module(32_768))]));
    let mut empty = slot(1, "empty", Value::Null);
    empty.as_object_mut().unwrap().remove("module");
    place.write("after.json", report([empty, slot(2, "filled", module(16_384))]));
    let view = place.run(&["compare", "before.json", "after.json", "--json"]).json();
    has(
        &view,
        "planned_from seen_from matched_by slots_planned slots_listed modules_planned modules_seen capacity_planned_mib \
         capacity_seen_mib differences untold notes",
    );
    let differences = view["differences"].as_array().unwrap();
    let whats: Vec<&str> = differences.iter().filter_map(|d| d["what"].as_str()).collect();
    assert_eq!(whats, ["missing", "smaller"], "{view}");
    for difference in differences {
        has(difference, "what place slots socket controller channel planned seen causes");
        tells(difference, "what place slots planned seen causes");
        tells(&difference["causes"][0], "what why mark");
    }
    assert!(differences[0]["causes"][0]["what"].as_str().unwrap().contains("seated"), "{view}");
}
