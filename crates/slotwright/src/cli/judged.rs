//! A judged build as text: facts, slot map, rate chain, regions, findings.

use super::paint::Paint;
use super::table::{facts, paragraph, table, wrap};
use crate::verbs::findings::FindingView;
use crate::verbs::judgement::{BandwidthView, JudgementView};
use domain::Capacity;

/// Everything that is said of a build, with its slot map.
pub fn whole(view: &JudgementView, map: &str, paint: Paint) -> String {
    let mut text = head(view, paint);
    text.push_str(&section("slots", map, paint));
    text.push_str(&section("data rate, link by link", &chain(view), paint));
    text.push_str(&section("regions", &regions(view), paint));
    text.push_str(&section("findings", &findings(&view.findings, paint), paint));
    text
}

/// A heading with its text; nothing where the text is empty.
pub fn section(heading: &str, text: &str, paint: Paint) -> String {
    if text.trim().is_empty() {
        return String::new();
    }
    format!("\n{}\n{}\n", paint.strong(heading), text.trim_end())
}

fn head(view: &JudgementView, paint: Paint) -> String {
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
    format!("{}: {}\n{}", paint.strong(&view.board), view.title, facts(&rows))
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

fn chain(view: &JudgementView) -> String {
    let rows = view.rate_chain.iter().map(|link| {
        let binds = if link.binds { "binds" } else { "" };
        let most = format!("{} MT/s", link.most_mts);
        vec![binds.to_string(), most, link.what.clone(), link.because.clone()]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    if rows.is_empty() {
        return String::new();
    }
    let mut text = table(&["", "at most", "set by", "because of"], &[1], rows);
    for link in view.rate_chain.iter().filter(|l| l.binds) {
        let lift = format!("to lift the {}: {}", link.what, link.lift);
        text.push_str(&format!("{}\n", wrap(&lift, 2)));
    }
    text
}

fn regions(view: &JudgementView) -> String {
    let rows: Vec<Vec<String>> = view
        .regions
        .iter()
        .map(|region| {
            let members: Vec<String> = region.members.iter().map(u8::to_string).collect();
            vec![
                region.socket.to_string(),
                region.width.to_string(),
                Capacity::from_mib(region.capacity_mib).to_string(),
                members.join(" "),
            ]
        })
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    let mut text = table(&["socket", "channels wide", "capacity", "channels"], &[0, 1, 2], rows);
    if let Some(caution) = &view.regions_caution {
        text.push_str(&format!("{}\n", wrap(caution, 2)));
    }
    text
}

/// Findings, worst first.
pub fn findings(findings: &[FindingView], paint: Paint) -> String {
    if findings.is_empty() {
        return "  none\n".to_string();
    }
    findings.iter().map(|f| finding(f, paint)).collect()
}

fn finding(finding: &FindingView, paint: Paint) -> String {
    let head = format!("{}: {}, {}", finding.severity, finding.rule, finding.place.words);
    let head = paragraph(&head, 2, 6).replacen(&finding.rule, &paint.strong(&finding.rule), 1).replacen(
        &finding.severity,
        &paint.severity(&finding.severity),
        1,
    );
    format!(
        "{head}\n{}\n{}\n{}\n",
        wrap(&finding.evidence, 6),
        wrap(&format!("the machine: {}", finding.outcome), 6),
        wrap(&format!("do: {}", finding.advice), 6),
    )
}
