//! A judged build in short: the rows that stand at the head of its judgement, in every face.

use super::judgement::{BandwidthView, JudgementView};
use domain::Capacity;

/// What a judged build comes to, as key and value.
pub fn rows(view: &JudgementView) -> Vec<(&'static str, String)> {
    let mut rows = vec![("in short", view.summary.clone()), ("processors", processors(&view.processors))];
    let mode = match &view.numa {
        Some(numa) => format!("{}, NUMA mode {numa}", view.mode),
        None => view.mode.clone(),
    };
    rows.push(("mode", mode));
    rows.push(("capacity", capacity(view)));
    rows.push(("data rate", view.rate().map_or_else(|| "none: nothing runs".to_string(), |r| r.to_string())));
    if let Some(bandwidth) = &view.bandwidth {
        rows.push(("bandwidth", format!("{} ", bandwidth.words)));
        rows.push(("", shares(bandwidth)));
    }
    rows.push(("power", power(view)));
    rows.extend(latency(view).map(|l| ("idle latency", l)));
    rows
}

/// Processors by socket, in words.
pub fn processors(processors: &[Option<String>]) -> String {
    let names: Vec<&str> = processors.iter().map(|p| p.as_deref().unwrap_or("none")).collect();
    match names.first() {
        Some(first) if names.len() > 1 && names.iter().all(|n| n == first) => {
            format!("{} × {first}", names.len())
        }
        _ => names.join(", "),
    }
}

fn capacity(view: &JudgementView) -> String {
    let whole = Capacity::from_mib(view.capacity_mib);
    let mut words = if view.capacity_mib == view.usable_mib {
        format!("{whole}, all of it usable")
    } else {
        format!("{whole}, of which {} usable in this mode", Capacity::from_mib(view.usable_mib))
    };
    if view.non_volatile_mib > 0 {
        let apart = Capacity::from_mib(view.non_volatile_mib);
        words.push_str(&format!("; {apart} non-volatile, not counted"));
    }
    words
}

fn shares(bandwidth: &BandwidthView) -> String {
    format!(
        "{} of all channels filled alike at this rate, {} of the best these processors reach ({:.1} GB/s); slowest \
         region {} of its own socket; peak of the filled channels {:.1} GB/s",
        span(bandwidth.relative_low, bandwidth.relative_high, bandwidth.single),
        span(bandwidth.relative_to_best_low, bandwidth.relative_to_best_high, bandwidth.single),
        bandwidth.best_gbs,
        percent(bandwidth.slowest_region),
        bandwidth.peak_gbs,
    )
}

fn span(low: f64, high: f64, single: bool) -> String {
    if single { percent(low) } else { format!("{:.0} to {}", low * 100.0, percent(high)) }
}

/// A share in whole hundredths.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

fn power(view: &JudgementView) -> String {
    let rest = if view.watts_known {
        "for all modules under load"
    } else {
        "for all modules under load; a rule of thumb where a module's data has no watts"
    };
    format!("{:.1} W {rest}", view.watts)
}

fn latency(view: &JudgementView) -> Option<String> {
    let first = view.latency.first()?;
    let remote = first.remote_ns.map(|ns| format!(", {ns} ns to the other processor's")).unwrap_or_default();
    Some(format!("{} ns to a processor's own memory{remote} ({})", first.local_ns, first.mark))
}
