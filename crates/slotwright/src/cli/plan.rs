//! `plan NEED`: arguments and text.

use super::paint::Paint;
use super::table::{paragraph, table, wrap};
use super::{Reply, build_file, judged};
use crate::failure::{Failure, Front};
use crate::verbs::drawing::Map;
use crate::verbs::in_short;
use crate::verbs::plan::{self, PlanView, Planned, PlansView};
use crate::world::{self, Data};
use domain::{Bandwidth, Capacity, DataRate};
use std::path::PathBuf;

/// Plans a need: every population worth having, the best few first.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A need file (TOML).
    #[arg(value_name = "NEED")]
    file: PathBuf,
    /// Show the whole front, not only the few chosen for a person.
    #[arg(long)]
    all: bool,
    /// Show the plan of this number closely.
    #[arg(long, value_name = "N")]
    pick: Option<usize>,
    /// Write the picked plan (the first, where none is picked) as a build file.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
    /// Write the slot map of the picked plan (the first, where none is picked) as SVG.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
}

/// Plans and says what was found.
///
/// # Errors
/// The need is wrong, there is no plan of that number, or a file can't be written.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let library = &data.library;
    let planned = plan::plan(&plan::read(library, &args.file)?, args.all);
    let shown = planned.plans.len();
    let number = args.pick.unwrap_or(1);
    let picked = number.checked_sub(1).and_then(|i| planned.plans.get(i));
    if args.pick.is_some() && picked.is_none() && shown > 0 {
        let all = if args.all { Front::CanNot } else { Front::CanBeListed };
        return Err(Failure::NoPlan { number, shown, all });
    }
    let mut reply = Reply::of(&planned.view, args.json, planned.plans.is_empty(), || match args.pick {
        Some(number) if shown > 0 => closely(&planned, number, paint),
        _ => list(&planned.view, args, data, paint),
    })?;
    if let Some(plan) = picked {
        if let Some(path) = &args.svg {
            reply.notices.push(Map::planned(plan).save(path)?);
        }
        if let Some(path) = &args.out {
            let text = build_file::write(&plan.build, library.catalog(), &args.file, path);
            world::write_file(path, &text)?;
            reply.notices.push(format!("wrote {}: plan {number} as a build file", path.display()));
        }
    }
    Ok(reply)
}

fn list(view: &PlansView, args: &Args, data: &Data, paint: Paint) -> String {
    let mut text = overview(view, paint);
    if !view.plans.is_empty() {
        let all = if args.all { " --all" } else { "" };
        let plan = format!("slotwright plan {}{}{all} --pick 1", args.file.display(), data.option());
        text.push_str(&format!("\nshow one closely: {plan}\nsave one to check: {plan} --out build.toml\n"));
    }
    text
}

/// The need, the table of plans, and what each is for; or why nothing fits.
pub fn overview(view: &PlansView, paint: Paint) -> String {
    let need = &view.need;
    let mut text =
        format!("{} with {}: {}", paint.strong(&need.board), in_short::processors(&need.processors), need.words);
    text = format!("{}\n", wrap(&text, 0));
    if let Some(words) = &view.window.words {
        text.push_str(&format!("{}\n", wrap(words, 0)));
    }
    if let Some(conflict) = &view.conflict {
        text.push_str(&format!("\n{}\n", paint.strong("nothing fits")));
        text.push_str(&bullets("these can't hold together", &conflict.limits));
        text.push_str(&bullets("what would help", &conflict.changes));
        return text;
    }
    let found = format!(
        "{} plan{} worth having, {} shown; {}",
        view.front_size,
        if view.front_size == 1 { "" } else { "s" },
        view.plans.len(),
        view.proof.words
    );
    text.push_str(&format!("{}\n\n", wrap(&found, 0)));
    let rows = plans_table(view);
    let fits = |columns| rows.lines().all(|line| line.chars().count() <= columns);
    text.push_str(&if world::width().is_none_or(fits) { rows } else { plans_lines(view) });
    for plan in &view.plans {
        text.push_str(&format!("\n{}\n", paint.strong(&format!("plan {}", plan.number))));
        text.extend(plan.why.iter().map(|w| bullet(w)));
        text.extend(plan.against.iter().map(|w| bullet(w)));
    }
    text
}

fn bullet(words: &str) -> String {
    format!("{}\n", paragraph(&format!("- {words}"), 2, 4))
}

fn bullets(heading: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let lines: String = lines.iter().map(|l| bullet(l)).collect();
    format!("{heading}:\n{lines}")
}

fn plans_table(view: &PlansView) -> String {
    let many = view.need.machines > 1;
    let mut header = vec!["plan", "modules", "usable", "rate", "bandwidth", "slowest region", "free", "price"];
    if many {
        header.push("all machines");
    }
    let rows: Vec<Vec<String>> = view
        .plans
        .iter()
        .map(|plan| {
            let mut row = plan_row(plan);
            if many {
                row.push(plan.price_all.to_string());
            }
            row
        })
        .collect();
    table(&header, &[0, 2, 3, 4, 5, 6, 7, 8], rows)
}

fn plan_row(plan: &PlanView) -> Vec<String> {
    let objectives = &plan.objectives;
    let slowest = plan.judgement.bandwidth.as_ref().map(|b| b.slowest_region);
    vec![
        plan.number.to_string(),
        plan.made_of(),
        Capacity::from_mib(objectives.usable_mib).to_string(),
        DataRate::from_mts(objectives.data_rate_mts).to_string(),
        Bandwidth::from_mbs(objectives.bandwidth_mbs).to_string(),
        slowest.map_or_else(String::new, in_short::percent),
        objectives.free_slots.to_string(),
        plan.price.to_string(),
    ]
}

/// The plans where the table has no room: two lines or more each.
fn plans_lines(view: &PlansView) -> String {
    let line = |plan: &PlanView| {
        let row = plan_row(plan);
        let [number, modules, usable, rate, bandwidth, slowest, free, price] = row.as_slice() else {
            return String::new();
        };
        let all = if view.need.machines > 1 { format!(", all machines {}", plan.price_all) } else { String::new() };
        let figures =
            format!("{usable}, {rate}, {bandwidth}, slowest region {slowest}, {free} slots free, {price}{all}");
        format!("{}\n{}\n", paragraph(&format!("plan {number}: {modules}"), 2, 6), wrap(&figures, 6))
    };
    view.plans.iter().map(line).collect()
}

/// One plan closely: what to buy, what to move, and its whole judgement.
pub fn closely(planned: &Planned, number: usize, paint: Paint) -> String {
    let Some((view, plan)) =
        number.checked_sub(1).and_then(|i| Some((planned.view.plans.get(i)?, planned.plans.get(i)?)))
    else {
        return String::new();
    };
    let mut text = format!("plan {number}: {}\n", view.made_of());
    text.extend(view.why.iter().chain(&view.against).map(|w| bullet(w)));
    text.push_str(&judged::section("what to take from where", &bill(view), paint));
    text.push_str(&judged::section("what becomes of what was there", &changes(view), paint));
    let map = Map::planned(plan).text(paint.is_on());
    text.push('\n');
    text.push_str(&judged::whole(&view.judgement, &map, paint));
    text
}

fn bill(view: &PlanView) -> String {
    if view.bill.is_empty() {
        return String::new();
    }
    let mut rows: Vec<Vec<String>> = view
        .bill
        .iter()
        .map(|line| {
            vec![
                line.count.to_string(),
                line.module.clone(),
                line.condition.clone(),
                line.bin.clone().unwrap_or_default(),
                line.each.to_string(),
                line.sum.to_string(),
            ]
        })
        .collect();
    let price = view.price.to_string();
    rows.push(vec![String::new(), "in all".into(), String::new(), String::new(), String::new(), price]);
    table(&["count", "module", "condition", "bin", "each", "sum"], &[0, 4, 5], rows)
}

fn changes(view: &PlanView) -> String {
    let moves = view.moves.iter();
    let moves = moves.map(|m| format!("  move {} from {} to {}\n", m.module, m.from, m.to));
    let out = view.taken_out.iter().map(|t| match &t.slot {
        Some(slot) => format!("  take {} out of {slot}\n", t.module),
        None => format!("  leave {} aside\n", t.module),
    });
    moves.chain(out).collect()
}
