//! Diagnosis: what is seen, then one test at a time with large buttons for gloved hands; the address holds all answers.

use super::app::App;
use super::asked::{Answer, Asked};
use super::build;
use super::field::{Field, carried};
use super::layout::{self, Page, sentence};
use super::prose;
use super::query::Query;
use super::sheets::{self, Subject, subject};
use crate::failure::Failure;
use crate::verbs::compare::DifferenceView;
use crate::verbs::diagnose::{self, BeliefView, DiagnoseView, NextView, VerdictView};
use domain::Build;
use maud::{Markup, html};

/// Fields of the diagnosis itself.
const FIELDS: [&str; 5] = ["symptom", "at", "aim", "shows_up", "did"];

/// Asks what is seen, or goes on from the answers so far.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let query = asked.query.trimmed();
    let machine = query.without(&FIELDS);
    if machine.is_empty() {
        return nothing();
    }
    let build = match subject(app, &asked.query) {
        Ok(Subject::Build(checked)) => checked.build,
        Ok(Subject::Plan(picked, _)) => picked.1.build,
        Err(answer) => return answer,
    };
    let page = |body: Markup| {
        let way = sheets::way(&machine);
        Page::new("Find the fault", "/diagnose", body).way(way).command(command(&query))
    };
    if query.some("symptom").is_none() {
        return page(ask(&query, &machine, &build, None)).answer();
    }
    let at: Vec<String> = query.all("at").flat_map(|t| t.split(',')).map(|s| s.trim().to_string()).collect();
    let answers: Vec<String> = query.all("did").map(str::to_string).collect();
    let shows_up = query.some("shows_up").map_or(Ok(100), str::parse::<u8>);
    let board = build.board.id.clone();
    let kept = build.clone();
    let view = match shows_up {
        Ok(shows_up) => {
            let aim = query.some("aim").unwrap_or("run");
            diagnose::of_build(build, (query.get("symptom"), &at), (aim, shows_up), &answers)
        }
        Err(_) => Err(Failure::Diagnose {
            why: format!("`{}` is no number of starts", query.get("shows_up")),
            hint: "give how many of 100 starts show it, 1 to 100".to_string(),
        }),
    };
    match view {
        Ok(view) => page(going_on(&query, &board, &view)).answer(),
        Err(failure) => page(ask(&query, &machine, &kept, Some(&failure))).refused(),
    }
}

fn nothing() -> Answer {
    let body = html! {
        p { "A fault is looked for in a build: take one from a plan, or lay out what sits in the machine." }
        div.acts { a.button href="/build" { "Lay out a build" } a.button.lesser href="/need" { "Say what the customer needs" } }
    };
    Page::new("Find the fault", "/diagnose", body).answer()
}

/// What is seen, where, and what for.
fn ask(query: &Query, machine: &Query, build: &Build, failure: Option<&Failure>) -> Markup {
    let mut signs = vec![(String::new(), "choose what is seen".to_string())];
    signs.extend(diagnose::signs().map(|(word, seen)| (word.to_string(), sentence(seen))));
    let mut slots = vec![(String::new(), "the whole machine".to_string())];
    slots.extend(build.filled().map(|(slot, module)| {
        let label = &build.board.slot(slot).label;
        (label.clone(), format!("{label}: {}", module.short()))
    }));
    let aims = [
        ("run".to_string(), "make it run".to_string()),
        ("prove".to_string(), "prove which part failed, as for a return".to_string()),
    ];
    html! {
        @if let Some(failure) = failure { (layout::told(failure)) }
        p { "From a report of the machine it starts by itself: " a href=(machine.to("/compare")) { "compare first" } ". What you see yourself is entered here." }
        form method="get" action="/diagnose" {
            (carried(machine))
            (Field { name: "symptom", label: "What is seen", value: query.get("symptom"), ..Field::default() }.choice(&signs))
            (Field { name: "at", label: "Where", value: query.get("at"), hint: "of a channel or processor, any of its slots", ..Field::default() }.choice(&slots))
            (Field { name: "aim", label: "What for", value: query.get("aim"), ..Field::default() }.choice(&aims))
            (Field { name: "shows_up", label: "Of 100 starts, how many show it", value: query.get("shows_up"), hint: "100 if left empty; less where it comes and goes", ..Field::default() }.line())
            div.acts { button { "Begin" } }
        }
    }
}

fn going_on(query: &Query, board: &str, view: &DiagnoseView) -> Markup {
    let seen =
        diagnose::signs().into_iter().find(|(word, _)| *word == view.symptom.sign).map(|(_, seen)| sentence(seen));
    let seen = seen.unwrap_or_else(|| sentence(&view.symptom.sign));
    let back = query.pairs().filter(|(n, _)| *n == "did").count();
    html! {
        p.lead { strong { (seen) } " On " (board) ": " (view.symptom.place) "." }
        @match (&view.verdict, &view.next) {
            (Some(found), _) => { (verdict(found)) }
            (None, Some(next)) => { (test(query, view, next)) }
            (None, None) => { p #verdict.verdict.is-note role="status" { "Nothing more can be done with what is at hand." } }
        }
        @if back > 0 { div.acts.unprinted { a.button.lesser href=(undone(query).to("/diagnose")) { "Take the last answer back" } } }
        (beliefs(&view.beliefs, &view.beliefs_from))
        (record(view))
        @if !view.notes.is_empty() { ul { @for note in &view.notes { li { (sentence(note)) } } } }
    }
}

fn verdict(found: &VerdictView) -> Markup {
    html! {
        div #verdict class={ "verdict is-" (if found.proven { "ok" } else { "note" }) } role="status" {
            p { strong { (sentence(&found.act)) } " " (found.place) }
            p { (percent(found.percent)) " sure." @if found.runs { " The symptom is gone." } }
        }
        h2 { "Why" }
        ul { @for reason in &found.reason { li { (sentence(reason)) } } }
    }
}

fn test(query: &Query, view: &DiagnoseView, next: &NextView) -> Markup {
    let to = |word: &str| {
        let mut next_query = query.clone();
        next_query.push("did", format!("{}={word}", next.test));
        next_query.to("/diagnose")
    };
    html! {
        section.test {
            div #verdict role="status" { h2 { "Next: " (next.title) ", about " (next.minutes) " min" } }
            @if !view.cautions.is_empty() {
                aside.cautions aria-label="Cautions" { ul { @for caution in &view.cautions { li { span aria-hidden="true" { "⚠ " } (sentence(caution)) } } } }
            }
            ol { @for step in &next.how { li { (prose::inline(&sentence(step))) } } }
            h3 { "What do you see?" }
            div.answers {
                @for answer in &next.answers {
                    a.button.big href=(to(&answer.word)) { span { (answer.text) } }
                }
                a.button.big.lesser href=(to(diagnose::CANNOT)) { span { "Can't do that now" } }
            }
            details {
                summary { "Why this test, and what would change it" }
                ul { @for why in next.why.iter().chain(&next.unless) { li { (sentence(why)) } } }
                p { "Risk: " (sentence(&next.risk)) }
                p {
                    "About " (format!("{:.0}", view.remaining_minutes)) " min expected from here"
                    @if next.exact { "; no other order takes fewer on average." }
                    @else { "; the best order may be shorter by " (format!("{:.1}", next.above_minutes)) " min at most." }
                }
                @if !next.others.is_empty() {
                    div.wide tabindex="0" role="group" aria-label="Table" { table {
                        thead { tr { th scope="col" { "Other tests" } th.number scope="col" { "Minutes" } th.number scope="col" { "Expected from here" } } }
                        tbody { @for other in &next.others { tr {
                            th scope="row" { (other.title) } td.number { (other.minutes) } td.number { (format!("{:.0}", other.expected_minutes)) }
                        } } }
                    } }
                }
            }
        }
    }
}

fn beliefs(all: &[BeliefView], from: &str) -> Markup {
    html! {
        h2 { "What it may be" }
        div.wide tabindex="0" role="group" aria-label="Table" { table.beliefs {
            thead { tr { th scope="col" { "Cause" } th.number scope="col" { "How likely" } th scope="col" { "As a bar" } } }
            tbody { @for belief in all { tr {
                th scope="row" { (belief.title) }
                td.number { (percent(belief.percent)) }
                td { meter min="0" max="100" value=(format!("{:.1}", belief.percent)) aria-label=(belief.title) { (percent(belief.percent)) } }
            } } }
        } }
        p.hint { (sentence(from)) }
    }
}

fn record(view: &DiagnoseView) -> Markup {
    html! {
        @if !view.record.is_empty() {
            h2 { "What was done" }
            div.wide tabindex="0" role="group" aria-label="Table" { table {
                thead { tr { th scope="col" { "Test" } th scope="col" { "Seen" } th.number scope="col" { "Minutes" } th scope="col" { "Then taken to be" } } }
                tbody { @for step in &view.record { tr {
                    th scope="row" { (step.title) } td { (step.text) } td.number { (step.minutes) }
                    td { (step.then) ", " (percent(step.then_percent)) }
                } } }
                tfoot { tr { th scope="row" colspan="2" { "In all" } td.number { (view.spent_minutes) } td {} } }
            } }
        }
    }
}

fn percent(value: f64) -> String {
    if value > 0.0 && value < 1.0 { "below 1 %".to_string() } else { format!("{value:.0} %") }
}

/// The query without its last answer.
fn undone(query: &Query) -> Query {
    let mut pairs: Vec<(String, String)> = query.pairs().map(|(n, v)| (n.to_string(), v.to_string())).collect();
    if let Some(last) = pairs.iter().rposition(|(n, _)| n == "did") {
        pairs.remove(last);
    }
    Query::of(pairs)
}

fn command(query: &Query) -> String {
    let mut command = "slotwright diagnose build.toml".to_string();
    for (name, option) in
        [("symptom", "symptom"), ("at", "at"), ("aim", "aim"), ("shows_up", "shows-up"), ("did", "did")]
    {
        for value in query.all(name) {
            command.push_str(&format!(" --{option} {}", layout::quoted(value)));
        }
    }
    if !build::Form::is_meant(query) {
        let pick = query.some("pick").unwrap_or("1");
        command = format!("slotwright plan need.toml --pick {pick} --out build.toml\n{command}");
    }
    command
}

/// Links from the differences that are symptoms to their diagnosis; a mix-up at the bench is put right instead.
pub fn links(query: &Query, differences: &[DifferenceView]) -> Markup {
    let begun = |difference: &DifferenceView| {
        let symptom = match difference.what.as_str() {
            "missing" | "disabled" => "missing-module",
            "channel-gone" => "missing-channel",
            "socket-gone" | "processor-missing" | "controller-gone" => "missing-processor",
            "smaller" => "wrong-size",
            "slower" => return Some(query.with("symptom", "slow").to("/diagnose")),
            _ => return None,
        };
        let at = difference.slots.first()?;
        Some(query.with("symptom", symptom).with("at", at).to("/diagnose"))
    };
    let found: Vec<(String, &DifferenceView)> = differences.iter().filter_map(|d| Some((begun(d)?, d))).collect();
    html! {
        @if !found.is_empty() {
            h2 { "Find the fault" }
            div.acts { @for (to, d) in found { a.button href=(to) { (d.what) ": " (d.place) } } }
        }
    }
}

/// A link from a judged build to its diagnosis.
pub fn link(query: &Query) -> Markup {
    html! { a.button.lesser href=(query.to("/diagnose")) { "Find a fault in it" } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_that_is_a_symptom_leads_to_its_diagnosis() {
        let difference = |what: &str, slots: &[&str]| DifferenceView {
            what: what.to_string(),
            place: "here".to_string(),
            slots: slots.iter().map(ToString::to_string).collect(),
            socket: None,
            controller: None,
            channel: None,
            planned: String::new(),
            seen: String::new(),
            causes: Vec::new(),
            errors: None,
        };
        let query = Query::parse("board=x");
        let shown = |d: DifferenceView| links(&query, &[d]).into_string();
        let missing = shown(difference("missing", &["west-1-outer"]));
        assert!(missing.contains("/diagnose?board=x&amp;symptom=missing-module&amp;at=west-1-outer"), "{missing}");
        assert!(shown(difference("slower", &[])).contains("symptom=slow"));
        assert_eq!(shown(difference("swapped", &["a", "b"])), "");
        let known: Vec<&str> = diagnose::signs().iter().map(|(word, _)| *word).collect();
        for word in ["missing-module", "missing-channel", "missing-processor", "wrong-size", "slow"] {
            assert!(known.contains(&word), "{word}");
        }
    }

    #[test]
    fn the_last_answer_is_taken_back() {
        let query = Query::parse("board=x&did=look%3Dnothing&did=reseat%3Dstays");
        assert_eq!(undone(&query).text(), "board=x&did=look%3Dnothing");
        assert_eq!(undone(&undone(&undone(&query))).text(), "board=x");
        assert!(command(&query).ends_with("--did look=nothing --did reseat=stays"), "{}", command(&query));
    }
}
