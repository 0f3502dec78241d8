//! Replays what is published or worked out of failures, spares and thresholds.

use super::files;
use engine::errors::{self, Threshold, overflow};
use engine::spares::{Basis, FAULTS, afr, overdispersed, poisson};
use toml::Table;

fn table(name: &str, id: &str) -> Table {
    let all = files(name);
    let (_, text) = all.iter().find(|(folder, _)| folder == id).unwrap_or_else(|| panic!("no {id}/{name}"));
    text.parse().unwrap()
}

fn rows<'a>(table: &'a Table, key: &str) -> Vec<&'a Table> {
    table[key].as_array().unwrap().iter().map(|r| r.as_table().unwrap()).collect()
}

fn f(table: &Table, key: &str) -> f64 {
    table[key].as_float().or_else(|| table[key].as_integer().map(|i| i as f64)).unwrap()
}

fn near(a: f64, b: f64, tolerance: f64, what: &str) {
    assert!((a - b).abs() <= tolerance, "{what}: {a} against {b}");
}

#[test]
fn faults_by_mode_and_shares_of_modules_are_as_published() {
    let printed = table("fit.toml", "field-fit");
    let tolerance = f(&printed, "tolerance");
    let total: f64 = FAULTS.iter().map(|m| m.transient + m.permanent).sum();
    let permanent: f64 = FAULTS.iter().map(|m| m.permanent).sum();
    near(total, f(&printed, "total"), tolerance, "total");
    near(total - permanent, f(&printed, "transient"), tolerance, "transient");
    near(permanent, f(&printed, "permanent"), tolerance, "permanent");
    near(permanent / total, f(&printed, "permanent_share"), tolerance, "share");
    let modes = rows(&printed, "fault");
    assert_eq!(modes.len(), FAULTS.len());
    for (row, ours) in modes.into_iter().zip(FAULTS) {
        assert_eq!(row["of"].as_str(), Some(ours.of));
        near(ours.transient, f(row, "transient"), tolerance, ours.of);
        near(ours.permanent, f(row, "permanent"), tolerance, ours.of);
        near((ours.transient + ours.permanent) / total, f(row, "share"), tolerance, ours.of);
    }
    for row in rows(&printed, "module") {
        let devices = row["devices"].as_integer().unwrap() as u32;
        near(total * f64::from(devices), f(row, "fit_any"), 1e-6, "fit");
        near(permanent * f64::from(devices), f(row, "fit_permanent"), 1e-6, "fit");
        near(Basis::AnyFault.yearly(devices, 1.0), f(row, "any"), f(row, "tolerance"), "any");
        near(Basis::PermanentFault.yearly(devices, 1.0), f(row, "permanent"), f(row, "tolerance"), "permanent");
    }
    near(afr(0.0, 72), 0.0, 0.0, "no faults");
}

#[test]
fn stock_is_as_worked_out_elsewhere() {
    let printed = table("spares.toml", "spares-derived");
    let held =
        |row: &Table, key: &str, ours: u64| assert_eq!(row[key].as_integer(), Some(ours as i64), "{row:?} {key}");
    for row in rows(&printed, "poisson") {
        for (key, level) in [("s90", 0.90), ("s95", 0.95), ("s99", 0.99)] {
            held(row, key, poisson(f(row, "mean"), level));
        }
    }
    for row in rows(&printed, "fleet") {
        let mean = f(row, "modules") * f(row, "yearly") * f(row, "years");
        near(mean, f(row, "mean"), f(row, "tolerance"), "mean");
        held(row, "s95", poisson(mean, 0.95));
        held(row, "s99", poisson(mean, 0.99));
    }
    for row in rows(&printed, "wild") {
        held(row, "s95", overdispersed(f(row, "mean"), f(row, "shape"), 0.95));
        held(row, "s99", overdispersed(f(row, "mean"), f(row, "shape"), 0.99));
    }
}

#[test]
fn errors_seen_in_the_field_add_up() {
    let printed = table("incidence.toml", "field-incidence-2009");
    let of = |key: &str| printed[key].as_table().unwrap();
    let within = |value: f64, range: &Table, key: &str| {
        let range = range[key].as_array().unwrap();
        let end = |i: usize| range[i].as_float().or_else(|| range[i].as_integer().map(|n| n as f64)).unwrap();
        assert!(end(0) <= value && value <= end(1), "{key} {value}");
    };
    let fleet = of("fleet_2009");
    near(Basis::Corrected.yearly(18, 1.0) * 100.0, f(fleet, "corrected_percent"), 1e-9, "corrected");
    near(Basis::Uncorrected.yearly(18, 1.0) * 100.0, f(fleet, "uncorrected_percent"), 1e-9, "uncorrected");
    within(f(fleet, "uncorrected_percent"), fleet, "uncorrected_range");
    // 1 GiB is 8192 Mbit.
    let fit = f(fleet, "errors_a_module_year") / 8760.0 * 1e9 / 8192.0;
    near(fit, f(fleet, "fit_per_mbit_of_1_gib"), f(fleet, "tolerance"), "fit per Mbit");
    within(fit, fleet, "fit_per_mbit_range");
    let hours = of("hours_2019");
    let years = f(hours, "mb_hours") / 1024.0 / 8760.0;
    near(years, f(hours, "gb_years"), f(hours, "tolerance"), "GB years");
    near(f(hours, "uncorrected") / years, f(hours, "uncorrected_a_gb_year"), 1e-8, "uncorrected a GB year");
    let counts = of("counts_2014");
    let share = f(counts, "uncorrected") / f(counts, "errors");
    near(share, f(counts, "share"), f(counts, "tolerance"), "share");
    near(1.0 - share, f(counts, "corrected_share"), f(counts, "tolerance"), "corrected share");
    let replaced = of("replaced");
    let (with, only, both) = (f(replaced, "with_error"), f(replaced, "uncorrected_only"), f(replaced, "both"));
    near(1.0 - with, f(replaced, "none_logged"), 1e-9, "none");
    near(with * (only + both), f(replaced, "any_uncorrected"), 1e-9, "uncorrected");
    near(with * (f(replaced, "corrected_only") + both), f(replaced, "any_corrected"), 1e-9, "corrected");
    for key in ["processors", "boards", "modules"] {
        let row: Vec<f64> = of("built_up")[key]
            .as_array()
            .unwrap()
            .iter()
            .map(|v| v.as_float().or(v.as_integer().map(|i| i as f64)).unwrap())
            .collect();
        near(row[0] / row[1], row[2], f(of("built_up"), "tolerance"), key);
    }
}

#[test]
fn thresholds_are_as_published() {
    const HOUR: u64 = 3600;
    let leak = table("threshold.toml", "threshold-leak-by-size");
    let setting = errors::setting("leak-by-size").unwrap();
    assert_eq!(setting.source, "threshold-leak-by-size");
    assert_eq!(i64::from(setting.threshold.most()), leak["most"].as_integer().unwrap());
    for row in rows(&leak, "by_gib") {
        let (gib, hours) = (f(row, "gib"), f(row, "hours"));
        near(setting.threshold.hours(gib), hours, 0.0, "hours");
        // Nine errors at once, gone after nine tenths of the decay time: a tenth then stands at one again.
        let rest = (hours * 0.9 * HOUR as f64) as u64;
        let times: Vec<u64> = [0; 9].into_iter().chain([rest; 9]).collect();
        assert_eq!(overflow(setting.threshold, gib, &times).at, None, "{gib}");
        let early: Vec<u64> = [0; 9].into_iter().chain([rest / 2; 9]).collect();
        assert_eq!(overflow(setting.threshold, gib, &early).at, Some(rest / 2), "{gib}");
    }
    let day = table("threshold.toml", "threshold-day-of-24");
    let setting = errors::setting("day-of-24").unwrap();
    let hours = f(&day, "hours");
    let alone = day["alone"].as_bool().unwrap();
    let most = day["most"].as_integer().unwrap() as u32;
    assert_eq!(setting.threshold, Threshold::Window { most, hours, alone });
}
