//! Exit codes, and what goes to which stream.

use crate::program::Place;
use std::io::Read;
use std::process::Stdio;

#[test]
fn a_clean_build_exits_with_0_and_a_finding_with_1() {
    let place = Place::new();
    place.write("clean.toml", even(&["west", "east"], "64GB 2Rx4 PC4-2933Y-R"));
    let clean = place.run(&["check", "clean.toml"]);
    assert_eq!(clean.code, Some(0), "{}{}", clean.out, clean.err);
    place.write("lone.toml", even(&["west"], "64GB 2Rx4 PC4-2933Y-R"));
    let lone = place.run(&["check", "lone.toml"]);
    assert_eq!(lone.code, Some(1), "{}{}", lone.out, lone.err);
}

/// A build of one module a channel on the named sockets of the dunlin board.
fn even(sockets: &[&str], module: &str) -> String {
    let mut text = "board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\", \"ddr4-6ch-2933\"]\nfirmware = \"2.14\"\n\
                    blanks = true\n[slots]\n"
        .to_string();
    for socket in sockets {
        for channel in 1..=6 {
            text.push_str(&format!("\"{socket}-{channel}-outer\" = \"{module}\"\n"));
        }
    }
    text
}

#[test]
fn wrong_usage_and_wrong_input_exit_with_2_and_say_nothing_on_standard_output() {
    let place = Place::new();
    place.example("need-750.toml");
    for args in [
        vec![],
        vec!["no-such-verb"],
        vec!["check"],
        vec!["check", "not-there.toml"],
        vec!["check", "."],
        vec!["plan", "not-there.toml", "--json"],
        vec!["plan", "need-750.toml", "--pick", "99"],
        vec!["plan", "need-750.toml", "--pick", "0"],
        vec!["boards", "no-such-board"],
        vec!["boards", "not-there.toml"],
        vec!["boards", "dunlin-2s6", "--count", "13"],
        vec!["boards", "dunlin-2s6", "--count", "0"],
        vec!["boards", "dunlin-2s6", "--count", "six"],
        vec!["boards", "dunlin-2s6", "--mode", "no-such-mode"],
        vec!["boards", "dunlin-2s6", "--processor", "ddr5-12ch-4800"],
        vec!["boards", "--count", "4"],
        vec!["explain", "no-such-rule"],
        vec!["explain", ""],
        vec!["boards", "--colour", "sometimes"],
    ] {
        let told = place.run(&args);
        assert_eq!(told.code, Some(2), "{args:?}: {}{}", told.out, told.err);
        assert_eq!(told.out, "", "{args:?}");
        assert!(!told.err.trim().is_empty(), "{args:?}");
    }
}

#[test]
fn a_near_name_is_offered() {
    let place = Place::new();
    let told = place.run(&["explain", "mixed-modul-kinds"]);
    assert!(told.err.contains("`mixed-module-kinds`"), "{}", told.err);
    let told = place.run(&["boards", "dunlin-2s"]);
    assert!(told.err.contains("`dunlin-2s6`"), "{}", told.err);
}

#[test]
fn an_unsupported_count_exits_with_1_and_fills_nothing() {
    let place = Place::new();
    let told = place.run(&["boards", "dunlin-2s6", "--count", "5", "--mode", "mirror", "--json"]);
    assert_eq!(told.code, Some(1), "{}", told.err);
    let view = told.json();
    assert_eq!(view["basis"]["verdict"], "not-supported");
    assert_eq!(view["slots"].as_array().map(Vec::len), Some(0));
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let place = Place::new();
    let mut child = place
        .command(&["boards", "turnstone-4s6", "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut said = String::new();
    child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(0), "{said}");
    assert_eq!(said, "");
}

#[test]
fn colour_is_only_where_it_is_wanted() {
    let place = Place::new();
    let coloured = |args: &[&str]| place.run(args).out.contains('\x1b');
    assert!(!coloured(&["explain", "mixed-module-kinds"]));
    assert!(!coloured(&["explain", "mixed-module-kinds", "--colour", "never"]));
    assert!(coloured(&["explain", "mixed-module-kinds", "--colour", "always"]));
    assert!(!coloured(&["explain", "mixed-module-kinds", "--json", "--colour", "always"]));
}
