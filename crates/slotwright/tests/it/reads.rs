//! `read` as its user meets it: what it recognises, how it fails, what it finds in a tray.

use crate::program::{Place, Told};
use serde_json::Value;
use std::io::Write;
use std::process::Stdio;

const LABEL: &str = "64GB 2Rx4 PC4-2933Y-RB2-12";

fn item(told: &Told) -> Value {
    told.json()["items"][0].clone()
}

fn names(item: &Value) -> Vec<String> {
    let findings = item["findings"].as_array().cloned().unwrap_or_default();
    findings.iter().filter_map(|f| f["name"].as_str().map(str::to_string)).collect()
}

fn piped(place: &Place, args: &[&str], bytes: &[u8]) -> Told {
    let mut child =
        place.command(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(bytes).unwrap();
    let out = child.wait_with_output().unwrap();
    Told {
        code: out.status.code(),
        out: String::from_utf8(out.stdout).unwrap(),
        err: String::from_utf8_lossy(&out.stderr).into_owned(),
    }
}

/// The bytes of one of the shipped dumps.
pub fn dump(name: &str) -> Vec<u8> {
    let text = std::fs::read_to_string(crate::top().join("examples").join(name)).unwrap();
    let rows = text.lines().filter(|l| !l.starts_with('#')).filter_map(|l| l.split_once(": "));
    rows.flat_map(|(_, bytes)| bytes.split(' ').map(|b| u8::from_str_radix(b, 16).unwrap())).collect()
}

#[test]
fn a_label_is_read_as_an_argument_a_file_and_from_standard_input() {
    let place = Place::new();
    place.write("label.txt", LABEL);
    let as_argument = place.run(&["read", LABEL, "--json"]);
    let as_file = place.run(&["read", "label.txt", "--json"]);
    let as_pipe = piped(&place, &["read", "--json"], LABEL.as_bytes());
    let as_dash = piped(&place, &["read", "-", "--json"], LABEL.as_bytes());
    for told in [&as_argument, &as_file, &as_pipe, &as_dash] {
        assert_eq!(told.code, Some(0), "{}{}", told.out, told.err);
        let item = item(told);
        assert_eq!(item["input"], "label");
        let module = &item["module"];
        assert_eq!(module["generation"], "DDR4");
        assert_eq!(module["kind"], "RDIMM");
        assert_eq!(module["capacity_mib"], 65_536);
        assert_eq!(module["package_ranks"], 2);
        assert_eq!(module["stack_height"], 1);
        assert_eq!(module["device_width"], 4);
        assert_eq!(module["data_rate_mts"], 2933);
        assert_eq!(module["label"], LABEL);
        assert_eq!(module["serial"], Value::Null);
    }
}

#[test]
fn contents_are_read_as_bytes_and_as_text_alike() {
    let place = Place::new();
    place.example("used-1.hex");
    place.write("used-1.bin", dump("used-1.hex"));
    let text = place.run(&["read", "used-1.hex", "--json"]);
    let bytes = place.run(&["read", "used-1.bin", "--json"]);
    assert_eq!(text.code, Some(0), "{}{}", text.out, text.err);
    assert_eq!(item(&text)["module"], item(&bytes)["module"]);
    let item = item(&text);
    assert_eq!(item["input"], "spd");
    let module = &item["module"];
    // As built: 2 ranks of 16 Gbit x4 dies (JESD21-C Annex L) are 64 GiB; 13.75 ns at 682 ps are 21 clocks.
    assert_eq!(module["capacity_mib"], 65_536);
    assert_eq!(module["cl"], 21);
    assert_eq!(module["serial"], "5A0C1101");
    assert_eq!(module["made"]["year"], 2022);
    assert_eq!(module["made"]["week"], 18);
    let sums = module["checksums"].as_array().unwrap();
    assert!(sums.len() == 2 && sums.iter().all(|s| s["holds"] == true), "{sums:?}");
    let from = module["facts"].as_array().unwrap().iter().find(|f| f["what"] == "capacity").unwrap();
    assert_eq!(from["from"], serde_json::json!(["SPD"]));
}

#[test]
fn sources_of_one_module_are_held_against_each_other() {
    let place = Place::new();
    for name in ["used-1.hex", "used-3.hex"] {
        place.example(name);
    }
    let sound = place.run(&["read", "--same", LABEL, "used-1.hex", "--json"]);
    assert_eq!(sound.code, Some(0), "{}", sound.out);
    let forged = place.run(&["read", "--same", LABEL, "used-3.hex", "--json"]);
    assert_eq!(forged.code, Some(1));
    let view = forged.json();
    assert_eq!(view["items"].as_array().map(Vec::len), Some(1));
    let item = &view["items"][0];
    assert_eq!(item["evidence"].as_array().map(Vec::len), Some(2));
    let found = names(item);
    for name in ["capacity-differs", "ranks-differ"] {
        assert!(found.iter().any(|f| f == name), "{name} is not in {found:?}");
    }
    let apart = place.run(&["read", LABEL, "used-3.hex", "--json"]);
    assert_eq!(apart.json()["items"].as_array().map(Vec::len), Some(2));
    assert_eq!(apart.code, Some(0), "{}", apart.out);
}

#[test]
fn a_tray_is_summed_up_and_each_planted_fault_is_told() {
    let place = Place::new();
    for name in ["tray.csv", "used-1.hex", "used-2.hex", "used-3.hex", "used-4.hex"] {
        place.example(name);
    }
    let told = place.run(&["read", "--tray", "tray.csv", "--json"]);
    assert_eq!(told.code, Some(1), "{}", told.err);
    let view = told.json();
    let items = view["items"].as_array().unwrap();
    let of = |line: &str| {
        let found = items.iter().find(|i| i["from"].as_str().is_some_and(|f| f.starts_with(line)));
        names(found.unwrap_or_else(|| panic!("no item of {line}")))
    };
    assert!(of("tray.csv:2").is_empty(), "{:?}", of("tray.csv:2"));
    assert!(of("tray.csv:4").contains(&"capacity-differs".to_string()));
    assert!(of("tray.csv:5").contains(&"checksum-wrong".to_string()));
    assert!(of("tray.csv:5").contains(&"serial-differs".to_string()));
    let tray = &view["tray"];
    assert_eq!(tray["repeated_serials"], 1);
    let together: Vec<&str> =
        tray["together"].as_array().unwrap().iter().filter_map(|t| t["finding"]["name"].as_str()).collect();
    assert!(together.contains(&"module-repeated"), "{together:?}");
    let unread: Vec<String> =
        view["unread"].as_array().unwrap().iter().map(|u| format!("{} {}", u["from"], u["why"])).collect();
    assert_eq!(unread.len(), 3, "{unread:?}");
    for (line, word) in [("tray.csv:7", "used-9.hex"), ("tray.csv:8", "label"), ("tray.csv:8", "`two`")] {
        assert!(unread.iter().any(|u| u.contains(line) && u.contains(word)), "{line} {word}: {unread:?}");
    }
}

#[test]
fn a_folder_takes_the_dumps_of_its_list_once_and_tells_what_it_cannot_read() {
    let place = Place::new();
    for name in ["used-1.hex", "used-2.hex"] {
        place.write(&format!("tray/{name}"), std::fs::read(crate::top().join("examples").join(name)).unwrap());
    }
    place.write("tray/list.csv", "spd,serial\nused-1.hex,5A0C1101\n");
    place.write("tray/cut.bin", &dump("used-1.hex")[..9]);
    let told = place.run(&["read", "tray", "--json"]);
    assert_eq!(told.code, Some(1), "{}{}", told.out, told.err);
    let view = told.json();
    assert_eq!(view["items"].as_array().map(Vec::len), Some(2), "{:#}", view["items"]);
    assert_eq!(view["tray"]["modules"], 2);
    assert_eq!(view["tray"]["repeated_serials"], 0);
    let unread = view["unread"].as_array().unwrap();
    assert_eq!(unread.len(), 1);
    assert!(unread[0]["from"].as_str().unwrap().ends_with("cut.bin"));
    assert_eq!(unread[0]["offset"], 0);
}

#[test]
fn a_saved_redfish_tree_and_error_counters_are_recognised_by_their_folders() {
    let place = Place::new();
    place.write(
        "tree/redfish/v1/index.json",
        r##"{"@odata.id":"/redfish/v1","Systems":{"@odata.id":"/redfish/v1/Systems"}}"##,
    );
    place.write(
        "tree/redfish/v1/Systems/index.json",
        r##"{"@odata.id":"/redfish/v1/Systems","Members":[{"@odata.id":"/redfish/v1/Systems/1"}]}"##,
    );
    place.write(
        "tree/redfish/v1/Systems/1/index.json",
        r##"{"@odata.id":"/redfish/v1/Systems/1","Id":"1","MemorySummary":{"TotalSystemMemoryGiB":32}}"##,
    );
    let told = place.run(&["read", "tree", "--json"]);
    assert_ne!(told.code, Some(2), "{}", told.err);
    assert_eq!(item(&told)["input"], "redfish");
    assert_eq!(item(&told)["snapshot"]["slotwright-snapshot"], 1);

    place.write("root/sys/devices/system/edac/mc/mc0/ce_count", "7\n");
    place.write("root/sys/devices/system/edac/mc/mc0/ue_count", "0\n");
    for folder in ["root", "root/sys/devices/system/edac/mc"] {
        let told = place.run(&["read", folder, "--json"]);
        assert_eq!(item(&told)["input"], "edac", "{}{}", told.out, told.err);
        let text = place.run(&["read", folder]);
        assert!(text.out.lines().any(|l| l.contains("mc0") && l.contains('7')), "{}", text.out);
    }
}

#[test]
fn a_machine_is_a_table_by_slot() {
    let place = Place::new();
    let mut table = vec![17u8, 0x28, 0x00, 0x11];
    // DSP0134 7.18: widths at 08h and 0Ah, size in MiB at 0Ch, form 0Eh, locator 10h, type 12h, speed 15h.
    table.resize(0x28, 0);
    table[0x08] = 72;
    table[0x0A] = 64;
    table[0x0C..0x0E].copy_from_slice(&16_384u16.to_le_bytes());
    table[0x0E] = 9;
    table[0x10] = 1;
    table[0x12] = 0x1A;
    table[0x15..0x17].copy_from_slice(&2666u16.to_le_bytes());
    table.extend(b"first slot\0\0");
    table.extend([127, 4, 0xFF, 0xFE, 0, 0]);
    place.write("table.bin", &table);
    let told = place.run(&["read", "table.bin"]);
    assert_ne!(told.code, Some(2), "{}", told.err);
    let row = told.out.lines().find(|l| l.contains("first slot")).unwrap_or_else(|| panic!("{}", told.out));
    assert!(row.contains("16 GiB") && row.contains("2666"), "{row}");
    assert_eq!(item(&place.run(&["read", "table.bin", "--json"]))["input"], "smbios");
}

#[test]
fn what_cannot_be_read_exits_with_2_and_says_why() {
    let place = Place::new();
    place.write("empty.bin", "");
    place.write("erased.bin", vec![0xFF; 512]);
    place.write("text.md", "# Some notes\n\nNothing of use.\n");
    place.write("list.csv", "colour,shape\nred,round\n");
    for (args, word) in [
        (vec!["read", "no/such/dump.bin"], "no such file"),
        (vec!["read", "dump.bin"], "no such file"),
        (vec!["read", "empty.bin"], "empty"),
        (vec!["read", "erased.bin"], "FF"),
        (vec!["read", "text.md"], "can't be read"),
        (vec!["read", "--as", "csv", "list.csv"], "column"),
        (vec!["read", "64GB 2Rx4 PC4-2933"], "column"),
        (vec!["read", "hello"], "can't be read"),
        (vec!["read", "--as", "smbios", "text.md"], "SMBIOS"),
        (vec!["read"], "empty"),
    ] {
        let told = place.run(&args);
        assert_eq!(told.code, Some(2), "{args:?}: {}{}", told.out, told.err);
        assert_eq!(told.out, "", "{args:?}");
        assert!(told.err.contains(word) && told.err.contains("help"), "{args:?}: {}", told.err);
    }
}

#[test]
fn one_unreadable_thing_does_not_hide_the_others() {
    let place = Place::new();
    let told = place.run(&["read", LABEL, "no/such.bin", "--json"]);
    assert_eq!(told.code, Some(2), "{}", told.err);
    let view = told.json();
    assert_eq!(view["items"].as_array().map(Vec::len), Some(1));
    assert_eq!(view["unread"][0]["from"], "no/such.bin");
}

#[test]
fn signs_are_explained_and_a_near_name_is_offered() {
    let place = Place::new();
    let told = place.run(&["explain", "checksum-wrong"]);
    assert_eq!(told.code, Some(0), "{}", told.err);
    assert!(told.out.contains("innocently"), "{}", told.out);
    let near = place.run(&["explain", "checksum-wrng"]);
    assert!(near.err.contains("`checksum-wrong`"), "{}", near.err);
}

#[test]
fn every_capture_of_spd_contents_is_recognised() {
    let place = Place::new();
    let captures = crate::top().join("captures/spd");
    let mut read = 0;
    for entry in std::fs::read_dir(&captures).into_iter().flatten() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "hex" && e != "bin") {
            continue;
        }
        let told = place.run(&["read", &path.display().to_string(), "--json"]);
        assert!(matches!(told.code, Some(0 | 1)), "{}: {}", path.display(), told.err);
        assert_eq!(item(&told)["input"], "spd", "{}", path.display());
        assert!(item(&told)["module"]["capacity_mib"].as_u64().is_some_and(|c| c >= 4096), "{}", path.display());
        read += 1;
    }
    assert!(read >= 3, "{read} captures were found");
}

#[test]
fn contents_cut_short_are_read_as_far_as_they_go() {
    let place = Place::new();
    let whole = std::fs::read_to_string(crate::top().join("captures/spd/ddr4-rdimm-64g-a.hex")).unwrap();
    for length in [200, 700, 900] {
        place.write("cut.hex", &whole[..length]);
        for args in [&["read", "cut.hex", "--json"][..], &["read", "--as", "spd", "cut.hex", "--json"]] {
            let told = place.run(args);
            let item = item(&told);
            assert_eq!(item["input"], "spd", "{length}: {}{}", told.out, told.err);
            assert_eq!(item["module"]["generation"], "DDR4");
            assert_eq!(item["module"]["capacity_mib"], 65_536);
        }
    }
}

#[test]
fn a_text_of_another_sort_is_refused_once() {
    let place = Place::new();
    place.write("accounts", "root:x:0:0:root:/root:/bin/sh4\nbin:x:2:2:bin:/bin:/usr/sbin/nologin3\n");
    let told = place.run(&["read", "accounts"]);
    assert_eq!(told.code, Some(2));
    assert_eq!(told.err.matches("can't be read").count(), 1, "{}", told.err);
}

#[test]
fn the_invented_dumps_bear_no_real_makers_code() {
    let place = Place::new();
    for name in ["used-1.hex", "used-2.hex", "used-3.hex", "used-4.hex"] {
        place.example(name);
        let bytes = dump(name);
        // Register, module maker and DRAM maker (JEDEC JESD21-C Annex L).
        for at in [133, 320, 350] {
            let id = readers::maker::from_bytes(bytes[at], bytes[at + 1]).unwrap_or_else(|| panic!("{name} at {at}"));
            assert_eq!(readers::maker::name(id), Some("Avocet Modules (invented)"), "{name} at {at}");
            assert!(readers::maker::parity_holds(bytes[at]) && readers::maker::parity_holds(bytes[at + 1]));
        }
    }
}
