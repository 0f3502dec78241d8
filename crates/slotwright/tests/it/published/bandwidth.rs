//! Published bandwidth: shares of a reference fill, bounds, ranges, classes, shares of peak, ratios of generations.

use super::{Role, Setup, board, build, files, library};
use catalog::Library;
use engine::bandwidth::MachineBandwidth;
use engine::judge::judge;
use serde::Deserialize;

/// A single-region figure agrees within so many points.
const POINTS: f64 = 3.0;
/// A stated miss holds within so many points, so that a change of the model is noticed.
const HELD: f64 = 0.5;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Kind {
    /// A share of the reference fill, told as a figure.
    Exact,
    /// At least this share of the reference fill.
    Bound,
    /// Between two shares of the reference fill.
    Range,
    /// A coarse label.
    Class,
    /// A share of the bus's peak.
    Absolute,
    /// The bandwidth against another generation's machine, as a quotient.
    Ratio,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    case: Vec<Case>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    kind: Kind,
    role: Role,
    /// The figure as printed.
    quote: String,
    mark: String,
    /// The published share or quotient; the lower end of a range.
    value: f64,
    /// The upper end of a range.
    #[serde(default)]
    to: Option<f64>,
    /// The peak that the source divides by, in GB/s, both sockets where it tells of two.
    #[serde(default)]
    peak_gbs: Option<f64>,
    /// Prediction less published, in points, where they do not agree.
    #[serde(default)]
    miss: Option<f64>,
    /// Address sets, where the source tells how many.
    #[serde(default)]
    sets: Option<usize>,
    setup: Setup,
    #[serde(default)]
    reference: Option<Setup>,
}

/// What the engine says, in the unit of the published figure, all in points (hundredths).
struct Said {
    /// Lower and upper bound; equal where there is one figure.
    range: (f64, f64),
    /// Slowest and fastest region.
    regions: (f64, f64),
    single: bool,
}

fn bandwidth(library: &Library, setup: &Setup) -> (MachineBandwidth, usize) {
    let judgement = judge(&build(library, setup, board(library, &setup.board)));
    let widest = judgement.bandwidth.unwrap_or_else(|| panic!("{setup:?} does not run"));
    (widest, judgement.regions.iter().filter(|r| r.socket == 0).count())
}

fn said(library: &Library, case: &Case) -> Said {
    let (this, sets) = bandwidth(library, &case.setup);
    if let Some(told) = case.sets {
        assert_eq!(sets, told, "{}: address sets", case.id);
    }
    let against = match (&case.reference, case.kind) {
        (Some(reference), _) => bandwidth(library, reference).0.serial.gbs(),
        (None, Kind::Absolute) => this.peak.gbs(),
        (None, _) => panic!("{} has no reference", case.id),
    };
    if let Some(peak) = case.peak_gbs {
        assert!((this.peak.gbs() - peak).abs() < 0.5, "{}: peak {} against {peak}", case.id, this.peak);
    }
    let of = |gbs: f64| 100.0 * gbs / against;
    let full = this.full.gbs();
    let (low, high) = this.range();
    Said {
        range: (of(low.gbs()), of(high.gbs())),
        regions: (of(full * this.slowest_region), of(full * this.fastest_region)),
        single: sets == 1,
    }
}

/// By how many points the published figure is missed, and whether it is met.
fn miss(case: &Case, said: &Said) -> (f64, bool) {
    let (low, high) = (100.0 * case.value, 100.0 * case.to.unwrap_or(case.value));
    let outside = |a: f64, b: f64, low: f64, high: f64| {
        if b < low {
            b - low
        } else if a > high {
            a - high
        } else {
            0.0
        }
    };
    if case.kind == Kind::Bound {
        let short = (said.range.0 - low).min(0.0);
        return (short, short == 0.0);
    }
    if !said.single {
        let inner = outside(said.range.0, said.range.1, low, high);
        let outer = outside(said.regions.0, said.regions.1, low, high);
        let least = if inner.abs() <= outer.abs() { inner } else { outer };
        return (least, least == 0.0);
    }
    let figure = said.range.0;
    match case.kind {
        Kind::Range => {
            let off = outside(figure, figure, low, high);
            (off, off.abs() < HELD)
        }
        _ => {
            let off = outside(figure, figure, low, high);
            (off, off.abs() <= POINTS)
        }
    }
}

#[test]
fn published_bandwidth_is_met_or_missed_by_what_is_stated() {
    let library = library();
    let mut wrong = Vec::new();
    let (mut fit, mut met, mut missed, mut recalled) = (0, 0, 0, 0);
    println!("{:34} {:8} {:4} {:>13} {:>13} {:>6}", "row", "kind", "role", "predicted", "published", "miss");
    for (source, text) in files("bandwidth.toml") {
        let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("{source}: {e}"));
        for case in file.case {
            assert!(!case.quote.is_empty() && ["seen", "derived", "from memory"].contains(&case.mark.as_str()));
            assert_eq!(source == "memory", case.mark == "from memory", "{}", case.id);
            let said = said(&library, &case);
            let (off, meets) = miss(&case, &said);
            match (case.role, meets) {
                (Role::Fit, _) => fit += 1,
                (Role::Test, _) if case.mark == "from memory" => recalled += 1,
                (Role::Test, true) => met += 1,
                (Role::Test, false) => missed += 1,
            }
            let (a, b) = said.range;
            let predicted = if said.single { format!("{a:.1}") } else { format!("{a:.1}..{b:.1}") };
            let published = 100.0 * case.value;
            let published =
                case.to.map_or(format!("{published:.1}"), |to| format!("{published:.1}..{:.1}", 100.0 * to));
            let role = if case.role == Role::Fit { "fit" } else { "test" };
            let kind = format!("{:?}", case.kind).to_lowercase();
            println!("{:34} {kind:8} {role:4} {predicted:>13} {published:>13} {off:>+6.1}", case.id);
            match case.miss {
                None if !meets => wrong.push(format!("{} is missed by {off:+.1}, which it does not state", case.id)),
                Some(m) if meets => {
                    wrong.push(format!("{} is met now ({off:+.1}), its `miss = {m}` is stale", case.id))
                }
                Some(m) if (off - m).abs() > HELD => wrong.push(format!("{}: miss {off:+.1}, stated {m:+.1}", case.id)),
                _ => {}
            }
        }
    }
    println!("{fit} fit, {met} met, {missed} missed as stated, {recalled} from memory");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    super::told("bandwidth", &[("fit", fit), ("met", met), ("missed", missed), ("from memory", recalled)]);
}
