//! A judged build as text: facts, slot map, rate chain, regions, findings.

use super::paint::Paint;
use super::table::{facts, paragraph, table, wrap};
use crate::verbs::findings::FindingView;
use crate::verbs::in_short;
use crate::verbs::judgement::JudgementView;
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
    format!("{}: {}\n{}", paint.strong(&view.board), view.title, facts(&in_short::rows(view)))
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
