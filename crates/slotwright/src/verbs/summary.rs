//! What a judged build comes to, in one line: does it start, and which rules say otherwise.

use domain::{Finding, Outcome, Severity};

/// One line for the head of a judgement: the worst that happens, with the rules that say so.
pub fn words(findings: &[Finding]) -> String {
    let wrong = |f: &&Finding| f.severity == Severity::Wrong;
    let stops = rules(findings.iter().filter(wrong).filter(|f| f.outcome == Outcome::Stops));
    if !stops.is_empty() {
        return format!("does not start: {stops}; the figures below take it as if it did");
    }
    let part = rules(findings.iter().filter(wrong));
    if !part.is_empty() {
        return format!("not as it should be: {part}; the figures below take it as if all of it ran");
    }
    let of = |severity| rules(findings.iter().filter(|f| f.severity == severity));
    let worst = [
        (Severity::Unsupported, "the maker does not stand behind it"),
        (Severity::Slower, "starts, but slower than these parts could run"),
        (Severity::Unproven, "no fault known, but not proven either"),
    ];
    let told = worst.into_iter().map(|(severity, meaning)| (of(severity), meaning)).find(|(r, _)| !r.is_empty());
    match told {
        Some((rules, meaning)) => format!("{meaning}: {rules}"),
        None if findings.is_empty() => "in order".to_string(),
        None => "in order; see the notes".to_string(),
    }
}

/// The rules of findings, each once, in their order.
fn rules<'a>(findings: impl Iterator<Item = &'a Finding>) -> String {
    let mut names: Vec<&str> = Vec::new();
    for finding in findings {
        if !names.contains(&finding.rule) {
            names.push(finding.rule);
        }
    }
    names.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::Place;

    fn finding(rule: &'static str, severity: Severity, outcome: Outcome) -> Finding {
        Finding { rule, severity, outcome, place: Place::Machine, evidence: String::new(), advice: String::new() }
    }

    #[test]
    fn a_machine_that_does_not_start_is_told_first() {
        let found = [
            finding("later-slot-before-first", Severity::Wrong, Outcome::DisablesModule),
            finding("wrong-kind", Severity::Wrong, Outcome::Stops),
            finding("wrong-kind", Severity::Wrong, Outcome::Stops),
            finding("empty-channel", Severity::Slower, Outcome::LosesBandwidth),
        ];
        assert_eq!(words(&found), "does not start: wrong-kind; the figures below take it as if it did");
        assert!(words(&found[..1]).starts_with("not as it should be: later-slot-before-first;"));
        assert_eq!(words(&found[3..]), "starts, but slower than these parts could run: empty-channel");
    }

    #[test]
    fn notes_are_in_order() {
        assert_eq!(words(&[]), "in order");
        assert_eq!(
            words(&[finding("rated-above-use", Severity::Note, Outcome::NothingSeen)]),
            "in order; see the notes"
        );
    }
}
