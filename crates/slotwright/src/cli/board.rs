//! One board as text: facts, limits, charts, and its slots in filling order.

use super::judged::section;
use super::paint::Paint;
use super::table::{facts, table, wrap};
use crate::verbs::boards::{BasisView, BoardView};

/// A board with its slot map.
pub fn text(view: &BoardView, map: &str, paint: Paint) -> String {
    let mut text = format!("{}: {}\n{}\n", paint.strong(&view.id), view.title, wrap(&view.about, 0));
    if let (Some(count), Some(basis)) = (view.count_per_processor, &view.basis) {
        text.push_str(&format!("\n{}\n", wrap(&counted(view, count, basis, paint), 0)));
    } else {
        text.push_str(&format!("\n{}", facts(&head(view))));
        text.push_str(&section("limits", &limits(view), paint));
        text.push_str(&section("data rates", &rates(view), paint));
        text.push_str(&section("population charts", &charts(view), paint));
    }
    text.push_str(&section("slots", map, paint));
    let heading = if view.basis.is_some() { "slots to fill, in order" } else { "slots in filling order" };
    text.push_str(&section(heading, &order(view), paint));
    text
}

fn head(view: &BoardView) -> Vec<(&'static str, String)> {
    let modes: Vec<&str> = view.modes.iter().map(|m| m.name.as_str()).collect();
    let mut rows = vec![
        ("memory", format!("{}, {}", view.generation, view.kinds.join(", "))),
        ("ECC", if view.ecc_required { "required" } else { "optional" }.to_string()),
        ("sockets", view.sockets.join(", ")),
        ("processors", view.processors.join(", ")),
        ("modes", modes.join(", ")),
    ];
    let firmware = view.firmware.iter();
    let firmware: Vec<String> = firmware.map(|f| format!("{} for {}", f.least, f.what)).collect();
    if !firmware.is_empty() {
        rows.push(("firmware", firmware.join("; ")));
    }
    if let Some(minutes) = view.training_minutes {
        let words = format!("{minutes} min at first start, with the screen dark: do not cut power");
        rows.push(("memory training", words));
    }
    rows.push(("source", view.source.clone()));
    rows
}

fn counted(view: &BoardView, count: u16, basis: &BasisView, paint: Paint) -> String {
    let reason = basis.why.as_ref().map(|w| format!(": {w}")).unwrap_or_default();
    let source = match (&basis.source, &basis.mark) {
        (Some(source), Some(mark)) => format!(" (source {source}, {mark})"),
        (None, Some(mark)) => format!(" ({mark})"),
        _ => String::new(),
    };
    let verdict = match basis.verdict.as_str() {
        "not-supported" => {
            return format!(
                "{count} modules per processor in mode {}: {}{reason}{source}",
                view.mode,
                paint.severity("unsupported")
            );
        }
        "not-advised" => "runs, but is not advised",
        _ => "supported",
    };
    let by = if basis.kind == "chart" { "by the board's chart" } else { "by the general order" };
    let tied = if basis.tied { "; other fills would do as well, and only a chart could decide" } else { "" };
    format!(
        "{count} modules per processor in mode {}, {} in all: {verdict}, {by}{reason}{source}{tied}",
        view.mode,
        view.modules_in_all.unwrap_or_default()
    )
}

fn limits(view: &BoardView) -> String {
    let rows = view.limits.iter();
    let rows: Vec<Vec<String>> =
        rows.map(|l| vec![l.what.clone(), l.most.clone(), l.severity.clone(), l.mark.clone()]).collect();
    if rows.is_empty() {
        return String::new();
    }
    table(&["limit", "at most", "beyond it", "how it is known"], &[1], rows)
}

fn rates(view: &BoardView) -> String {
    let rows = view.rate_limits.iter().map(|r| {
        let ranks = match r.ranks {
            None => "any".to_string(),
            Some([least, most]) if least == most => least.to_string(),
            Some([least, most]) => format!("{least} to {most}"),
        };
        vec![
            r.by.clone(),
            r.kind.clone(),
            r.modules_per_channel.to_string(),
            ranks,
            format!("{} MT/s", r.most_mts),
            r.mark.clone(),
        ]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    if rows.is_empty() {
        return String::new();
    }
    table(&["by", "kind", "modules a channel", "ranks", "at most", "how it is known"], &[2, 3, 4], rows)
}

fn charts(view: &BoardView) -> String {
    let counts = |counts: &[u16]| -> String {
        let words: Vec<String> = counts.iter().map(u16::to_string).collect();
        words.join(" ")
    };
    let rows = view.charts.iter().map(|c| {
        vec![
            c.mode.clone(),
            c.socket.map_or_else(|| "any".to_string(), |s| s.to_string()),
            counts(&c.supported),
            counts(&c.not_advised),
            counts(&c.not_supported),
            c.mark.clone(),
        ]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    if rows.is_empty() {
        return String::new();
    }
    table(&["mode", "socket", "supported", "not advised", "not supported", "how it is known"], &[], rows)
}

fn order(view: &BoardView) -> String {
    let rows = view.slots.iter().map(|s| {
        vec![
            s.order.to_string(),
            s.label.clone(),
            s.socket.to_string(),
            s.controller.to_string(),
            s.channel.to_string(),
            s.position.to_string(),
            s.mark.clone(),
            s.tab.clone().unwrap_or_default(),
        ]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    if rows.is_empty() {
        return String::new();
    }
    let header = ["order", "slot", "socket", "controller", "channel", "position", "of its channel", "tab"];
    table(&header, &[0, 2, 3, 4, 5], rows)
}
