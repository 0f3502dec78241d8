//! Files that the program writes: whole or not at all, and readable by the next verb.

use crate::program::Place;

#[test]
fn a_picked_plan_is_a_build_that_check_reads() {
    let place = Place::new();
    place.example("need-750.toml");
    let planned = place.run(&["plan", "need-750.toml", "--pick", "1", "--out", "build.toml", "--json"]);
    assert_eq!(planned.code, Some(0), "{}", planned.err);
    let plan = &planned.json()["plans"][0];
    let checked = place.run(&["check", "build.toml", "--json"]);
    let build = checked.json();
    for field in ["capacity_mib", "usable_mib", "data_rate_mts", "regions", "bandwidth", "findings", "watts"] {
        assert_eq!(plan[field], build[field], "{field}");
    }
}

#[test]
fn a_plan_for_a_board_of_ones_own_is_saved_with_the_way_to_that_board() {
    let place = Place::new();
    place.write("mine/board.toml", OWN_BOARD);
    place.write("mine/need.toml", OWN_NEED);
    for out in ["mine/build.toml", "build.toml"] {
        let planned = place.run(&["plan", "mine/need.toml", "--out", out]);
        assert_eq!(planned.code, Some(0), "{}{}", planned.out, planned.err);
        let checked = place.run(&["check", out, "--json"]);
        assert_ne!(checked.code, Some(2), "{}", checked.err);
        assert_eq!(checked.json()["capacity_mib"], 131_072, "{}", place.read(out));
    }
}

const OWN_BOARD: &str = r#"format = 1
title = "A board of one's own"
about = "One socket, two channels."
generation = "DDR4"
processors = ["ddr4-2ch-2666"]
kinds = ["UDIMM"]
ecc = "optional"
source = "own"

[[socket]]
name = "only"
controllers = [[["a far", "a near"], ["b far", "b near"]]]
"#;

const OWN_NEED: &str = r#"board = "board.toml"
processors = ["ddr4-2ch-2666"]
capacity = { least = "128 GB", most = "128 GB" }
modules = { kinds = ["UDIMM"], rates = [2666] }
"#;

#[test]
fn an_svg_is_written_and_told_on_standard_error() {
    let place = Place::new();
    place.example("build-24x64.toml");
    let told = place.run(&["check", "build-24x64.toml", "--json", "--svg", "map.svg"]);
    assert!(told.err.contains("map.svg"), "{}", told.err);
    told.json();
    let svg = place.read("map.svg");
    assert!(svg.contains("<svg") && svg.trim_end().ends_with("</svg>"));
    assert!(svg.contains("west-1-outer"));
}

#[test]
fn a_file_that_cant_be_written_is_told_and_nothing_is_left_behind() {
    let place = Place::new();
    place.example("build-24x64.toml");
    for svg in ["no/such/folder/map.svg", ".", "build-24x64.toml/map.svg"] {
        let told = place.run(&["check", "build-24x64.toml", "--svg", svg]);
        assert_eq!(told.code, Some(2), "{svg}: {}", told.err);
        assert!(told.err.contains("can't write"), "{}", told.err);
    }
    let left: Vec<_> = std::fs::read_dir(place.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

#[cfg(unix)]
#[test]
fn a_link_keeps_pointing_at_the_file_that_is_replaced() {
    let place = Place::new();
    place.example("build-24x64.toml");
    place.write("real.svg", "old");
    std::os::unix::fs::symlink("real.svg", place.path().join("link.svg")).unwrap();
    place.run(&["check", "build-24x64.toml", "--svg", "link.svg"]);
    assert!(place.read("real.svg").contains("<svg"));
    assert!(place.path().join("link.svg").is_symlink());
}

#[test]
fn the_demo_writes_its_picture() {
    let place = Place::new();
    let told = place.run(&["demo"]);
    assert_eq!(told.code, Some(0), "{}", told.err);
    assert!(place.read("slotwright-demo.svg").contains("<svg"));
    assert!(told.err.contains("slotwright-demo.svg"));
}
