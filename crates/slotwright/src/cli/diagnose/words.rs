//! A diagnosis as text.

use crate::cli::paint::Paint;
use crate::cli::table::{facts, paragraph, table, wrap};
use crate::verbs::diagnose::{DiagnoseView, NextView, VerdictView};

/// All that the view tells.
pub fn all(view: &DiagnoseView, paint: Paint) -> String {
    let mut text = head(view);
    text.push_str(&format!("\n{}", believed(view, paint)));
    if let Some(next) = &view.next {
        text.push_str(&format!("\n{}", test(view, next, paint)));
        text.push_str(&reasons(next, paint));
        text.push_str("\nSay what it showed with --did TEST=ANSWER, added to what was said before.\n");
    }
    if let Some(verdict) = &view.verdict {
        text.push_str(&format!("\n{}", ended(verdict, paint)));
    }
    text.push_str(&done(view, paint));
    text.push_str(&list("noted", &view.notes, paint));
    text
}

/// What is asked at a terminal.
pub fn question(view: &DiagnoseView, paint: Paint) -> String {
    let mut text = String::from("\n");
    if view.record.is_empty() {
        text.push_str(&head(view));
        text.push_str(&list("noted", &view.notes, paint));
        text.push('\n');
    }
    text.push_str(&believed(view, paint));
    if let Some(next) = &view.next {
        text.push_str(&format!("\n{}", test(view, next, paint)));
    }
    text.push_str("\nWhat did it show? (number or word; why, can't, undo, stop, save FILE)\n> ");
    text
}

/// Why this test, at a terminal.
pub fn why(view: &DiagnoseView, paint: Paint) -> String {
    view.next.as_ref().map_or_else(String::new, |next| reasons(next, paint))
}

fn head(view: &DiagnoseView) -> String {
    let aim = match view.aim.as_str() {
        "prove" => "prove which part failed",
        _ => "make it run",
    };
    let mut rows = vec![
        ("symptom", format!("{}: {}", view.symptom.sign, view.symptom.place)),
        ("board", view.board.clone()),
        ("aim", aim.to_string()),
        ("one start", format!("{} min ({})", view.start_minutes, view.start_from)),
    ];
    if view.clean_starts > 1 {
        rows.push(("clean starts", format!("{} in a row before it counts as gone", view.clean_starts)));
    }
    if !view.finished {
        rows.push(("expected", format!("{:.1} min from here, risks counted as minutes", view.remaining_minutes)));
    }
    if !view.record.is_empty() {
        rows.push(("spent", format!("{} min by these figures", view.spent_minutes)));
    }
    facts(&rows)
}

fn believed(view: &DiagnoseView, paint: Paint) -> String {
    let rows = view.beliefs.iter().map(|b| vec![format!("{:.1} %", b.percent), b.cause.clone(), b.title.clone()]);
    let from = format!("what it may be (first figures: {})", view.beliefs_from);
    format!("{}\n{}", paint.strong(&from), table(&["", "cause", ""], &[0], rows.collect()))
}

fn test(view: &DiagnoseView, next: &NextView, paint: Paint) -> String {
    let mut text = format!("{}: {} (about {} min)\n", paint.strong(&next.test), next.title, next.minutes);
    for caution in &view.cautions {
        text.push_str(&format!("{}\n", paragraph(&format!("! {caution}"), 2, 4)));
    }
    for (i, step) in next.how.iter().enumerate() {
        text.push_str(&format!("{}\n", paragraph(&format!("{}. {step}", i + 1), 2, 5)));
    }
    text.push_str(&format!("{}\n", paragraph(&format!("Risk: {}.", next.risk), 2, 4)));
    let rows = next.answers.iter().enumerate().map(|(i, a)| {
        let then = match (&a.then_test, a.word.as_str()) {
            (Some(test), _) => format!("{} {:.0} %, then {test}", a.then, a.then_percent),
            (None, _) => format!("{} {:.0} %, and it ends", a.then, a.then_percent),
        };
        vec![(i + 1).to_string(), a.word.clone(), a.text.clone(), format!("{:.0} %", a.percent), then]
    });
    text.push_str(&table(&["", "answer", "what is seen", "likely", "it would be"], &[0, 3], rows.collect()));
    text
}

fn reasons(next: &NextView, paint: Paint) -> String {
    let mut text = list("why this test", &next.why, paint);
    text.push_str(&list("what would change that", &next.unless, paint));
    if !next.others.is_empty() {
        let rows = next.others.iter();
        let rows = rows.map(|o| {
            vec![o.test.clone(), o.minutes.to_string(), format!("{:.1}", o.expected_minutes), o.title.clone()]
        });
        let header = ["other first tests", "min", "expected", ""];
        text.push_str(&format!("\n{}", table(&header, &[1, 2], rows.collect())));
    }
    text
}

fn ended(verdict: &VerdictView, paint: Paint) -> String {
    let head = if verdict.runs { "It runs" } else { "No further test" };
    let mut text = format!("{}\n", paint.strong(head));
    text.push_str(&format!("{}\n", wrap(&format!("{}.", verdict.act), 2)));
    text.push_str(&facts(&[("where", verdict.place.clone()), ("sure", format!("{:.1} %", verdict.percent))]));
    text.push_str(&list("why", &verdict.reason, paint));
    text
}

fn done(view: &DiagnoseView, paint: Paint) -> String {
    let lines: Vec<String> = view
        .record
        .iter()
        .map(|s| {
            let then =
                if s.then.is_empty() { String::new() } else { format!("; then {} {:.0} %", s.then, s.then_percent) };
            format!("{}={} ({} min): {}{then}", s.test, s.answer, s.minutes, s.text)
        })
        .collect();
    list("done so far", &lines, paint)
}

fn list(title: &str, lines: &[String], paint: Paint) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{}\n", paint.strong(title));
    for line in lines {
        text.push_str(&format!("  - {}\n", wrap(line, 4).trim_start()));
    }
    text
}

/// A record that --answers reads again.
pub fn record(view: &DiagnoseView) -> String {
    let mut text = format!("# {}: {}, on {}; aim: {}\n", view.symptom.sign, view.symptom.place, view.board, view.aim);
    for step in &view.record {
        let plain = |text: &str| text.replace(['#', '\n'], " ");
        text.push_str(&format!(
            "{}={} # {} min; {}; then {} {:.0} %\n",
            step.test,
            step.answer,
            step.minutes,
            plain(&step.text),
            step.then,
            step.then_percent
        ));
    }
    if let Some(verdict) = &view.verdict {
        text.push_str(&format!("# {}. {}; {:.1} % sure.\n", verdict.act, verdict.place, verdict.percent));
        verdict.reason.iter().for_each(|line| text.push_str(&format!("# {line}\n")));
    }
    text
}
