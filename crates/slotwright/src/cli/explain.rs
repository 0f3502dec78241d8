//! `explain [RULE]`: arguments and text.

use super::paint::Paint;
use super::{Reply, judged, table};
use crate::failure::Failure;
use crate::verbs::drawing::Map;
use crate::verbs::explain;
use crate::verbs::explain_sign::{self, SignPageView};
use std::path::PathBuf;

/// Lists the rules and signs, or tells what one finds, why it matters, and what to do instead.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A rule's or sign's name, as findings give it.
    rule: Option<String>,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
    /// Also write the example's slot map as SVG.
    #[arg(long, value_name = "FILE", requires = "rule")]
    svg: Option<PathBuf>,
}

/// Lists or explains.
///
/// # Errors
/// There is no such rule, or the drawing can't be written.
pub fn run(args: &Args, paint: Paint) -> Result<Reply, Failure> {
    let Some(name) = &args.rule else {
        let view = explain::list();
        return Reply::of(&view, args.json, false, || list(&view));
    };
    if let (Some(view), None) = (explain_sign::one(name), &args.svg) {
        return Reply::of(&view, args.json, false, || sign(&view, paint));
    }
    let answer = explain::one(name)?;
    let mut reply = Reply::of(&answer.view, args.json, false, || one(&answer, paint))?;
    if let (Some(path), Some((build, judgement))) = (&args.svg, &answer.example) {
        reply.notices.push(Map::judged(build, judgement).save(path)?);
    }
    Ok(reply)
}

fn list(view: &explain::RuleListView) -> String {
    let mut text = String::new();
    for rule in &view.rules {
        text.push_str(&format!("{} ({} at worst)\n{}\n", rule.name, rule.severity, table::wrap(&rule.finds, 4)));
    }
    text.push_str("\nWhat `read` finds in used modules:\n\n");
    for sign in &view.signs {
        text.push_str(&format!("{} ({})\n{}\n", sign.name, sign.weight, table::wrap(&sign.finds, 4)));
    }
    text.push_str("\n`slotwright explain NAME` tells more of one.\n");
    text
}

fn sign(view: &SignPageView, paint: Paint) -> String {
    let mut text = format!("{}: {}\n\n", paint.strong(&view.name), paint.severity(&view.weight));
    text.push_str(&table::facts(&[
        ("finds", view.finds.clone()),
        ("means", view.means.clone()),
        ("innocently", view.innocent.clone()),
        ("do", view.advice.clone()),
        ("source", view.source.clone()),
    ]));
    let examples: String = view.examples.lines().map(|l| format!("    {l}\n")).collect();
    text.push_str(&judged::section("examples", &format!("{}\n", examples.trim_end_matches('\n')), paint));
    text
}

fn one(answer: &explain::RuleAnswer, paint: Paint) -> String {
    let view = &answer.view;
    let mut text = format!(
        "{}: {} at worst, sees a {} at a time\n\n{}\n",
        paint.strong(&view.name),
        paint.severity(&view.severity),
        view.scope,
        view.text
    );
    if let Some((build, judgement)) = &answer.example {
        let map = Map::judged(build, judgement).text(paint.is_on());
        text.push_str(&judged::section("the first example, drawn", &map, paint));
        let found = judged::findings(&view.findings, paint);
        text.push_str(&judged::section("what is found in it", &found, paint));
    }
    text.push_str(&format!("\nsources: {}\n", view.sources.join(", ")));
    text
}
