//! The names that scripts rely on stand in every view.

use crate::program::Place;
use serde_json::Value;

fn has(view: &Value, names: &[&str]) {
    for name in names {
        assert!(view.get(name).is_some(), "no `{name}` in {view:.300}");
    }
}

#[test]
fn check_has_its_fields() {
    let place = Place::new();
    place.example("build-24x64.toml");
    let view = place.run(&["check", "build-24x64.toml", "--json"]).json();
    has(
        &view,
        &["capacity_mib", "usable_mib", "data_rate_mts", "rate_chain", "regions", "bandwidth", "findings", "watts"],
    );
    has(&view, &["board", "mode", "processors", "slots", "latency"]);
    has(&view["rate_chain"][0], &["what", "most_mts", "because", "binds", "lift", "source"]);
    has(&view["regions"][0], &["socket", "width", "capacity_mib", "members"]);
    has(&view["bandwidth"], &["peak_gbs", "estimate_gbs", "low_gbs", "high_gbs", "serial_gbs", "concurrent_gbs"]);
    has(&view["bandwidth"], &["slowest_region", "relative_to_full", "relative_to_best", "best_gbs", "single"]);
    has(&view["bandwidth"], &["verified", "words", "sockets"]);
    has(&view["slots"][0], &["label", "socket", "controller", "channel", "position", "module"]);
    // 24 modules of 64 GiB; 12 channels of 8 bytes at 2933 MT/s (JESD79-4) peak at 281.568 GB/s.
    assert_eq!(view["capacity_mib"], 24 * 64 * 1024);
    assert_eq!(view["bandwidth"]["peak_gbs"], 281.568);
    assert_eq!(view["data_rate_mts"], 2933);
}

#[test]
fn plan_has_its_fields() {
    let place = Place::new();
    place.example("need-750.toml");
    let told = place.run(&["plan", "need-750.toml", "--json"]);
    let view = told.json();
    has(&view, &["need", "window", "front_size", "proof", "plans", "conflict"]);
    assert_eq!(view["need"]["capacity"]["about_mib"], 750 * 1024);
    let plans = view["plans"].as_array().unwrap();
    assert!((1..=7).contains(&plans.len()), "{}", plans.len());
    for plan in plans {
        has(plan, &["build", "price", "price_all", "objectives", "why", "against", "picks", "taken_out", "moves"]);
        has(plan, &["capacity_mib", "usable_mib", "data_rate_mts", "rate_chain", "regions", "bandwidth", "findings"]);
        has(&plan["build"], &["board", "processors", "mode", "slots"]);
        has(&plan["price"], &["amount", "currency", "minor"]);
        has(
            &plan["objectives"],
            &["price_minor", "usable_mib", "bandwidth_mbs", "data_rate_mts", "free_slots", "bought"],
        );
        assert_eq!(plan["price"]["minor"], plan["objectives"]["price_minor"]);
    }
    let all = place.run(&["plan", "need-750.toml", "--json", "--all"]).json();
    assert_eq!(all["plans"].as_array().map(|p| p.len() as u64), all["front_size"].as_u64());
}

#[test]
fn a_board_has_its_slots_in_order_and_a_count_only_those_it_fills() {
    let place = Place::new();
    let board = place.run(&["boards", "dunlin-2s6", "--json"]).json();
    let orders: Vec<u64> = board["slots"].as_array().unwrap().iter().filter_map(|s| s["order"].as_u64()).collect();
    assert_eq!(orders, (1..=24).collect::<Vec<u64>>());
    has(&board["slots"][0], &["label", "socket", "controller", "channel", "position", "order", "mark", "tab"]);
    has(&board, &["limits", "processors", "kinds", "modes", "charts", "rate_limits"]);

    let four = place.run(&["boards", "dunlin-2s6", "--count", "4", "--json"]).json();
    let labels: Vec<&str> = four["slots"].as_array().unwrap().iter().filter_map(|s| s["label"].as_str()).collect();
    assert_eq!(
        labels,
        [
            "west-1-outer",
            "east-1-outer",
            "west-2-outer",
            "east-2-outer",
            "west-4-outer",
            "east-4-outer",
            "west-5-outer",
            "east-5-outer"
        ]
    );
    assert_eq!(four["modules_in_all"], 8);
    assert_eq!(four["basis"]["kind"], "chart");
}

#[test]
fn every_shipped_board_can_be_shown() {
    let place = Place::new();
    let list = place.run(&["boards", "--json"]).json();
    let boards = list["boards"].as_array().unwrap();
    assert!(boards.len() >= 10);
    for board in boards {
        let id = board["id"].as_str().unwrap();
        let told = place.run(&["boards", id]);
        assert_eq!(told.code, Some(0), "{id}: {}", told.err);
    }
}
