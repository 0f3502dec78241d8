//! `measure`, `exercise`, `spares`, `watts` and logged errors as their user meets them.

use crate::program::Place;
use std::io::Read;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

#[test]
fn measuring_gives_every_stream_and_latency_and_holds_it_against_a_build() {
    let place = Place::new();
    place.example("build-24x64.toml");
    let told =
        place.run(&["measure", "build-24x64.toml", "--size", "4 MiB", "--runs", "2", "--threads", "1", "--json"]);
    let view = told.json();
    let pair = &view["tables"][0];
    for stream in ["read", "write", "copy", "triad"] {
        let rows: Vec<_> = pair["streams"].as_array().unwrap().iter().filter(|s| s["stream"] == stream).collect();
        assert!(!rows.is_empty() && rows.iter().all(|s| s["gbs"]["median"].as_f64().unwrap() > 0.0), "{stream}");
    }
    assert!(pair["latency_ns"]["median"].as_f64().unwrap() > 0.0);
    let expected = &view["expected"];
    assert!(expected["expected_gbs"].as_f64().unwrap() > 100.0);
    let enough = expected["enough"].as_bool().unwrap();
    assert_eq!(told.code, Some(i32::from(!enough)));
    assert_eq!(enough, expected["suggestions"].as_array().unwrap().is_empty());
    let far = place.run(&["measure", "--size", "500 TiB"]);
    assert_eq!(far.code, Some(2));
    assert!(far.err.contains("MiB stay free"), "{}", far.err);
}

#[test]
fn exercising_passes_on_good_memory_and_says_what_it_did_not_reach() {
    let place = Place::new();
    let told = place.run(&["exercise", "--size", "8 MiB", "--only", "own-place", "--only", "disturbing", "--json"]);
    let view = told.json();
    assert_eq!((told.code, view["end"].as_str(), view["errors"].as_u64()), (Some(0), Some("done"), Some(0)));
    assert_eq!(view["exercises"].as_array().unwrap().len(), 2);
    assert_eq!(view["moved_bytes"], view["planned_bytes"]);
    assert!(view["limits"].as_array().unwrap().len() >= 5);
    let own = place.run(&[
        "exercise",
        "--size",
        "2 MiB",
        "--march",
        "{b(w0); u(r0,w1); d(r1,w0)}",
        "--threads",
        "1",
        "--json",
    ]);
    assert_eq!(own.json()["exercises"][0]["operations"], 5 * 7);
    let flushed =
        place.run(&["exercise", "--size", "2 MiB", "--march", "mats", "--one-pattern", "--flush", "--threads", "1"]);
    assert_eq!(flushed.code, Some(0), "{}", flushed.err);
    for (args, words) in [
        (["exercise", "--march", "u(r0)"], "column 3: reads 0, but nothing was written before"),
        (["exercise", "--only", "own-plaice"], "did you mean `own-place`?"),
        (["exercise", "--size", "500 TiB"], "MiB stay free"),
    ] {
        let told = place.run(&args);
        assert!(told.code == Some(2) && told.err.contains(words), "{}", told.err);
    }
}

/// Pages of a running program, in KiB.
fn resident(pid: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:")).unwrap_or("0 kB");
    line.trim().trim_end_matches("kB").trim().parse().unwrap_or(0)
}

#[test]
fn an_interrupt_ends_exercising_with_what_was_found_so_far() {
    let place = Place::new();
    let mut command =
        place.command(&["exercise", "--size", "64 MiB", "--only", "both-ways", "--rounds", "1000000", "--json"]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let start = Instant::now();
    while resident(child.id()) < 64 << 10 && start.elapsed() < Duration::from_secs(60) {
        std::thread::sleep(Duration::from_millis(50));
    }
    let score = std::fs::read_to_string(format!("/proc/{}/oom_score_adj", child.id())).unwrap();
    assert_eq!(score.trim(), "1000");
    assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
    let mut out = String::new();
    child.stdout.take().unwrap().read_to_string(&mut out).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(0));
    let view: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((view["end"].as_str(), view["exercised_mib"].as_u64()), (Some("stopped"), Some(64)));
    assert!(view["moved_bytes"].as_u64() < view["planned_bytes"].as_u64());
}

#[test]
fn spares_and_watts_refuse_what_makes_no_sense() {
    let place = Place::new();
    place.example("build-24x64.toml");
    for args in [
        &["spares"][..],
        &["spares", "--modules", "0"],
        &["spares", "--modules", "10", "--yearly", "200"],
        &["watts", "build-24x64.toml", "--used", "120"],
        &["spares", "build-24x64.toml", "--modules", "4"],
    ] {
        assert_eq!(place.run(args).code, Some(2), "{args:?}");
    }
    let hot = place.run(&["watts", "build-24x64.toml", "--temperature", "90", "--json"]).json();
    let cool = place.run(&["watts", "build-24x64.toml", "--temperature", "80", "--json"]).json();
    let refresh = |v: &serde_json::Value| v["modules"][0]["refresh_watts"].as_f64().unwrap();
    // Above 85 °C refresh comes twice as often (JESD79-4); figures are whole mW.
    assert!((refresh(&hot) - 2.0 * refresh(&cool)).abs() <= 0.001_5, "two roundings to whole mW");
    assert!(hot["working_watts"].as_f64().unwrap() > hot["standing_watts"].as_f64().unwrap());
}

/// A machine's report with the counter of one slot.
fn counted(corrected: &str, seconds: u32) -> String {
    format!(
        r#"{{"slotwright-snapshot": 1, "origins": ["smbios", "edac"],
            "slots": [{{"origin": "smbios", "handle": "0x1100", "name": "west-1", "state": "filled", "module": {{}}}}],
            "errors": {{"state": "read", "controllers": [{{"index": 0, "seconds": {seconds},
                "modules": [{{"index": 0, "by_rank": false, "label": "west-1", "corrected": {corrected}, "uncorrected": 0}}]}}]}}}}"#
    )
}

#[test]
fn growth_of_counters_comes_in_numbers_and_old_errors_beside_as_planned() {
    let place = Place::new();
    place.write("then.json", counted("40", 3600));
    place.write("same.json", counted("40", 7200));
    place.write("more.json", counted("47", 7200));
    let same = place.run(&["compare", "then.json", "same.json"]);
    assert_eq!(same.code, Some(0), "{}{}", same.out, same.err);
    assert!(same.out.contains("As planned"), "{}", same.out);
    assert!(same.out.contains("west-1: 40 corrected, 0 uncorrected, all of them before"), "{}", same.out);
    let more = place.run(&["compare", "then.json", "more.json", "--json"]);
    let errors = &more.json()["differences"][0]["errors"];
    assert_eq!(errors["new"], serde_json::json!({"corrected": 7, "uncorrected": 0}), "{}", more.out);
    assert_eq!(errors["earlier"]["corrected"], 40);
    assert_eq!((&errors["began_again"], &errors["moved_from"]), (&false.into(), &serde_json::Value::Null));
}

#[test]
fn a_counter_that_is_no_number_is_told_with_its_file() {
    let place = Place::new();
    let folder = place.path().join("root/sys/devices/system/edac/mc/mc0/dimm0");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("dimm_ce_count"), "garbled\n").unwrap();
    std::fs::write(folder.join("dimm_ue_count"), "0\n").unwrap();
    for verb in [["read", "root"], ["snapshot", "--root=root"]] {
        let told = place.run(&[verb[0], verb[1], "--json"]);
        let all = format!("{}{}", told.out, told.err);
        assert!(all.contains("mc0/dimm0/dimm_ce_count") && all.contains("`garbled` is no number"), "{verb:?}: {all}");
    }
}

#[test]
fn a_byte_of_a_record_that_cannot_be_read_is_told_and_moves_nothing() {
    let told = std::fs::read_to_string(crate::top().join("scenarios/errors-and-spares.md")).unwrap();
    let (_, records) = told.split_once(" records.hex\n").unwrap();
    let mut lines: Vec<String> = records.split_once("```").unwrap().0.lines().map(str::to_string).collect();
    let line = lines.iter().position(|l| l.starts_with("00 00 00 00 00 00 00 00 42 C3 02 00")).unwrap();
    // Within the first record's address, beyond the sixteenth byte of the line.
    let mut bytes: Vec<&str> = lines[line].split(' ').collect();
    bytes[25] = "zz";
    let broken = bytes.join(" ");
    lines[line] = broken;
    let place = Place::new();
    place.write("records.hex", lines.join("\n"));
    let read = place.run(&["read", "records.hex", "--json"]).json();
    assert_eq!(read["items"][0]["errors"]["events"].as_array().unwrap().len(), 3, "{read}");
    let note = read["items"][0]["notes"][0]["what"].as_str().unwrap();
    let (number, offset) = (line + 1, line * 32 + 25);
    assert_eq!(note, format!("line {number}: `zz` is no byte in hexadecimal; offset {offset} stands as 00"));
}

#[test]
fn a_report_without_slots_or_a_plan_in_its_place_is_told_with_what_to_give() {
    let place = Place::new();
    place.example("build-24x64.toml");
    let bare = |corrected: u32| {
        format!(
            r#"{{"slotwright-snapshot": 1, "origins": ["edac"], "errors": {{"state": "read", "controllers":
                [{{"index": 0, "seconds": 60, "modules": [{{"index": 0, "corrected": {corrected}, "uncorrected": 0}}]}}]}}}}"#
        )
    };
    place.write("then.json", bare(2));
    place.write("now.json", bare(9));
    for verb in ["compare", "diagnose"] {
        let told = place.run(&[verb, "build-24x64.toml", "now.json"]);
        assert_eq!(told.code, Some(2), "{}", told.out);
        assert!(told.err.contains("it lists no memory slots") && told.err.contains("as root"), "{}", told.err);
        let told = place.run(&[verb, "build-24x64.toml", "build-24x64.toml"]);
        assert_eq!(told.code, Some(2), "{}", told.out);
        assert!(told.err.contains("no report of a machine") && told.err.contains("plan first"), "{}", told.err);
    }
    // Two reports of counters alone are held against each other.
    let told = place.run(&["compare", "then.json", "now.json", "--json"]);
    assert_eq!(told.json()["differences"][0]["errors"]["new"]["corrected"], 7, "{}{}", told.out, told.err);
}
