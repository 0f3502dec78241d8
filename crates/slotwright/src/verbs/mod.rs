//! The verbs: input → view, plain data that every face shows with the same field names.

pub mod board_facts;
pub mod board_file;
pub mod boards;
pub mod check;
pub mod codes;
pub mod compare;
pub mod demo;
pub mod diagnose;
pub mod draft;
pub mod drawing;
pub mod exercise;
pub mod explain;
pub mod explain_sign;
pub mod findings;
pub mod in_short;
pub mod judgement;
pub mod measure;
pub mod modules;
pub mod need;
pub mod plan;
pub mod read;
pub mod recognise;
pub mod resolve;
pub mod sent;
pub mod sheet;
pub mod shop;
pub mod snapshot;
pub mod spares;
pub mod summary;
pub mod watts;

#[cfg(test)]
mod schemas;

/// The known names nearest to what was written, at most three; none where none is near.
pub fn nearest<'a>(written: &str, known: impl Iterator<Item = &'a str>) -> Vec<String> {
    /// Jaro-Winkler likeness from which a name counts as near: below it, strangers appear (tried on the rules' names).
    const NEAR: f64 = 0.8;
    let wanted = written.trim().to_lowercase();
    let mut scored: Vec<(f64, &str)> = known
        .map(|name| (strsim::jaro_winkler(&wanted, name), name))
        .filter(|(likeness, name)| *likeness >= NEAR || (wanted.len() > 2 && name.contains(&wanted)))
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    scored.iter().take(3).map(|(_, name)| name.to_string()).collect()
}
