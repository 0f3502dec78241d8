//! Replays what is published or worked out of failures, spares and thresholds.

use super::files;
use domain::Capacity;
use engine::errors::{self, Threshold, overflow};
use engine::field;
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
fn what_field_studies_counted_is_what_the_program_says() {
    let printed = table("incidence.toml", "field-incidence-2009");
    let of = |key: &str| printed[key].as_table().unwrap();
    let within = |value: f64, range: &Table, key: &str| {
        let range = range[key].as_array().unwrap();
        let end = |i: usize| range[i].as_float().or_else(|| range[i].as_integer().map(|n| n as f64)).unwrap();
        assert!(end(0) <= value && value <= end(1), "{key} {value}");
    };
    let fleet = of("fleet_2009");
    let ours = field::FLEET_2009;
    near(ours.corrected * 100.0, f(fleet, "corrected_percent"), 1e-9, "corrected");
    near(ours.machines_corrected * 100.0, f(fleet, "machines_corrected_percent"), 1e-9, "machines, corrected");
    near(ours.uncorrected * 100.0, f(fleet, "uncorrected_percent"), 1e-9, "uncorrected");
    near(ours.machines_uncorrected * 100.0, f(fleet, "machines_uncorrected_percent"), 1e-9, "machines, uncorrected");
    near(Basis::Corrected.yearly(18, 1.0), ours.corrected, 1e-12, "the basis");
    near(Basis::Uncorrected.yearly(18, 1.0), ours.uncorrected, 1e-12, "the basis");
    near(ours.errors, f(fleet, "errors_a_module_year"), 0.0, "errors");
    within(f(fleet, "uncorrected_percent"), fleet, "uncorrected_range");
    let fit = ours.fit_per_mbit(Capacity::from_gib(1));
    near(fit, f(fleet, "fit_per_mbit_of_1_gib"), f(fleet, "tolerance"), "fit per Mbit");
    within(fit, fleet, "fit_per_mbit_range");
    let (hours, ours) = (of("hours_2019"), field::WATCHED_2019);
    for (key, figure) in [("mb_hours", ours.mb_hours), ("corrected", ours.corrected), ("uncorrected", ours.uncorrected)]
    {
        near(figure, f(hours, key), 0.0, key);
    }
    near(ours.gb_years(), f(hours, "gb_years"), f(hours, "tolerance"), "GB years");
    let a_year = ours.uncorrected_a_year(Capacity::from_gib(1));
    near(a_year, f(hours, "uncorrected_a_gb_year"), 1e-8, "uncorrected a GB year");
    let (counts, ours) = (of("counts_2014"), field::LOGGED_2014);
    near(ours.errors, f(counts, "errors"), 0.0, "errors");
    near(ours.uncorrected, f(counts, "uncorrected"), 0.0, "uncorrected");
    near(ours.uncorrected_share(), f(counts, "share"), f(counts, "tolerance"), "share");
    near(1.0 - ours.uncorrected_share(), f(counts, "corrected_share"), f(counts, "tolerance"), "corrected share");
    let (replaced, ours) = (of("replaced"), field::PULLED);
    for (key, figure) in [
        ("with_error", ours.with_error),
        ("corrected_only", ours.corrected_only),
        ("uncorrected_only", ours.uncorrected_only),
        ("both", ours.both),
        ("none_logged", ours.clean()),
        ("any_uncorrected", ours.uncorrected()),
        ("any_corrected", ours.corrected()),
    ] {
        near(figure, f(replaced, key), f(replaced, "tolerance"), key);
    }
    for ours in field::BUILT_UP {
        let row = of("built_up")[ours.what].as_array().unwrap();
        assert_eq!([row[0].as_integer(), row[1].as_integer()], [Some(ours.replaced.into()), Some(ours.of.into())]);
        near(ours.share(), row[2].as_float().unwrap(), f(of("built_up"), "tolerance"), ours.what);
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
