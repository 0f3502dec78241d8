//! Replays what is published or worked out of power from currents, and of bandwidth counted.

use super::files;
use domain::{Bandwidth, DataRate, Generation};
use engine::currents::{Currents, typical};
use toml::Table;

fn table(name: &str) -> Table {
    files(name)[0].1.parse().unwrap()
}

fn f(table: &Table, key: &str) -> f64 {
    table[key].as_float().or_else(|| table[key].as_integer().map(|i| i as f64)).unwrap()
}

fn near(a: f64, b: f64, tolerance: f64, what: &str) {
    assert!((a - b).abs() <= tolerance, "{what}: {a} against {b}");
}

/// The generation's own currents hold what the row says, key by key.
fn holds(currents: Currents, row: &Table) {
    near(currents.vdd, f(row, "vdd"), 0.0, "vdd");
    let ours = |key: &str| match key {
        "idd0" => currents.idd0,
        "idd2p" => currents.idd2p,
        "idd2n" => currents.idd2n,
        "idd3p" => currents.idd3p,
        "idd3n" => currents.idd3n,
        "idd4r" => currents.idd4r,
        "idd4w" => currents.idd4w,
        "idd5" | "idd5b" => currents.idd5,
        "ipp0" => currents.ipp0,
        "tras" => currents.tras,
        "trc" => currents.trc,
        "trfc" => currents.trfc,
        "trefi" => currents.trefi,
        other => panic!("{other}"),
    };
    for part in ["ma", "ns"] {
        let part = row[part].as_table().unwrap();
        for key in part.keys() {
            near(ours(key), f(part, key), 0.0, key);
        }
    }
}

#[test]
fn the_ddr3_example_comes_out_as_its_spreadsheet_has_it() {
    let printed = table("power.toml");
    let row = printed["ddr3"].as_table().unwrap();
    let currents = typical(Generation::Ddr3).0;
    holds(currents, row);
    let tolerance = f(row, "tolerance");
    let (down, open_down) = currents.power_down();
    near(down, f(row, "precharge_power_down"), tolerance, "precharge power-down");
    near(currents.precharged(), f(row, "precharge_standby"), tolerance, "precharge standby");
    near(open_down, f(row, "active_power_down"), tolerance, "active power-down");
    near(currents.open(), f(row, "active_standby"), tolerance, "active standby");
    near(currents.activate(), f(row, "activate"), tolerance, "activate");
    near(currents.activate(), f(row, "activate_exact"), 1e-9, "activate, exact");
    near(currents.read(), f(row, "read"), tolerance, "read");
    near(currents.write(), f(row, "write"), tolerance, "write");
    near(currents.refresh(false), f(row, "refresh"), tolerance, "refresh");
    near(currents.refresh(false), f(row, "refresh_exact"), 1e-9, "refresh, exact");
}

#[test]
fn a_ddr4_rank_takes_the_energy_that_was_worked_out_elsewhere() {
    let printed = table("power.toml");
    let row = printed["ddr4_rank"].as_table().unwrap();
    let currents = typical(Generation::Ddr4).0;
    holds(currents, row);
    near(currents.vpp, f(row, "vpp"), 0.0, "vpp");
    let (devices, tolerance) = (f(row, "devices"), f(row, "tolerance"));
    near(currents.activate_energy() * devices / 1000.0, f(row, "activate_nj"), tolerance, "activate");
    // Eight transfers of a burst, ns; 512 data bits.
    let burst = 8.0 / f(row, "mts") * 1000.0;
    let pins = row["io_pj_per_bit"].as_table().unwrap();
    let energy = |core: f64, pin: f64| (core * burst * devices + pin * 512.0) / 1000.0;
    near(energy(currents.read(), f(pins, "read")), f(row, "read_nj"), tolerance, "read");
    near(energy(currents.write(), f(pins, "write")), f(row, "write_nj"), tolerance, "write");
    near(currents.open() * devices, f(row, "background_mw"), tolerance, "background");
    near(currents.refresh(false) * devices, f(row, "refresh_mw"), tolerance, "refresh");
}

#[test]
fn pins_modules_and_refresh_are_as_published() {
    let printed = table("power.toml");
    let pins = printed["pins"].as_table().unwrap();
    // mW a pin at 3.2 Gbit/s are pJ a bit.
    for way in ["read", "write"] {
        near(f(pins, &format!("{way}_mw")) / 3.2, f(pins, &format!("{way}_pj_per_bit")), f(pins, "tolerance"), way);
    }
    near(engine::workload::PIN_READ, f(pins, "read_pj_per_bit"), f(pins, "tolerance"), "read");
    near(engine::workload::PIN_WRITE, f(pins, "write_pj_per_bit"), f(pins, "tolerance"), "write");
    let module = printed["module"].as_table().unwrap();
    for state in module["state"].as_array().unwrap().iter().map(|s| s.as_table().unwrap()) {
        let one = |ma: f64| Currents { vdd: f(module, "vdd"), idd3n: ma, ..typical(Generation::Ddr4).0 }.open();
        near(one(f(state, "ma")) / 1000.0, f(state, "watts"), f(module, "tolerance"), state["name"].as_str().unwrap());
    }
    let refresh = printed["refresh"].as_table().unwrap();
    for (generation, key) in [(Generation::Ddr4, "ddr4_us"), (Generation::Ddr5, "ddr5_us")] {
        let currents = typical(generation).0;
        for (hot, us) in [false, true].into_iter().zip(refresh[key].as_array().unwrap()) {
            near(currents.interval(hot) / 1000.0, us.as_float().unwrap(), f(refresh, "tolerance"), key);
        }
        near(currents.refresh(true) / currents.refresh(false), f(refresh, "factor_above_85"), 1e-9, "twice");
    }
}

#[test]
fn peaks_and_counted_bytes_are_as_published() {
    let printed = table("stream.toml");
    let whole = |row: &Table, key: &str| row[key].as_integer().unwrap() as u32;
    for row in printed["peak"].as_array().unwrap().iter().map(|r| r.as_table().unwrap()) {
        let peak =
            Bandwidth::peak(DataRate::from_mts(whole(row, "mts")), whole(row, "channels") * whole(row, "sockets"));
        near(peak.gbs(), f(row, "gbs"), 1e-6, "peak");
    }
    for row in printed["stream"].as_array().unwrap().iter().map(|r| r.as_table().unwrap()) {
        let name = row["name"].as_str().unwrap();
        // Scale and add are not run: they move what copy and triad move, with an operation more and one less.
        let (run, more, less) = match name {
            "scale" => ("copy", 1, 0),
            "add" => ("triad", 0, 1),
            own => (own, 0, 0),
        };
        let stream = bench::measure::Stream::parse(run).unwrap_or_else(|| panic!("no stream {run}"));
        assert_eq!(stream.operations() + more - less, u64::from(whole(row, "flops")), "{name}");
        assert_eq!(stream.bytes(), u64::from(whole(row, "bytes")), "{name}");
        assert_eq!(stream.bytes_allocating(), u64::from(whole(row, "with_write_allocate")), "{name}");
        near(stream.bytes_allocating() as f64 / stream.bytes() as f64, f(row, "factor"), 1e-6, name);
        near(stream.bytes() as f64 / stream.bytes_allocating() as f64, f(row, "share_of_bus"), 1e-6, name);
    }
}
