//! The front as a chart: price over capacity, bandwidth by shape and size.

use super::list::money;
use crate::verbs::plan::ObjectivesView;
use crate::web::query::Query;
use domain::{Bandwidth, Capacity, DataRate};
use draw::chart::{self, Chart, Point, Shape};
use maud::{Markup, PreEscaped, html};

const SHAPES: [Shape; 3] = [Shape::Circle, Shape::Square, Shape::Triangle];

/// The chart; the chosen plans are numbered as in the table.
pub fn front(need: &Query, objectives: &[ObjectivesView], chosen: &[usize], currency: &str) -> Markup {
    if objectives.len() < 2 {
        return html! {};
    }
    let (low, high) = range(objectives.iter().map(|o| o.bandwidth_mbs));
    let third = |o: &ObjectivesView| {
        let share = if high > low { (o.bandwidth_mbs - low) as f64 / (high - low) as f64 } else { 1.0 };
        ((share * 3.0) as usize).min(2)
    };
    let points = objectives.iter().enumerate().map(|(place, o)| {
        let number = chosen.iter().position(|c| *c == place).map(|at| at + 1);
        let share = if high > low { (o.bandwidth_mbs - low) as f64 / (high - low) as f64 } else { 1.0 };
        let query = match number {
            Some(number) => need.with("pick", number),
            None => need.with("all", 1).with("pick", place + 1),
        };
        Point {
            x: o.usable_mib as f64 / 1024.0,
            y: o.price_minor as f64 / 100.0,
            size: share,
            shape: SHAPES[third(o)],
            label: number.map(|n| n.to_string()).unwrap_or_default(),
            href: Some(query.to("/plan")),
            chosen: number.is_some(),
            name: format!(
                "{}{}, {}, {}, {}",
                number.map(|n| format!("plan {n}: ")).unwrap_or_default(),
                Capacity::from_mib(o.usable_mib),
                DataRate::from_mts(o.data_rate_mts),
                Bandwidth::from_mbs(o.bandwidth_mbs),
                money(o.price_minor, currency),
            ),
        }
    });
    let step = |part: u64| Bandwidth::from_mbs(low + (high - low) * part / 3).to_string();
    let legend = vec![
        (SHAPES[0], format!("bandwidth {} to {}", step(0), step(1))),
        (SHAPES[1], format!("to {}", step(2))),
        (SHAPES[2], format!("to {}", step(3))),
    ];
    let chart = Chart {
        title: "Price over capacity".to_string(),
        description: format!(
            "{} plans worth having, from {} to {}; the chosen ones are numbered and listed in the table.",
            objectives.len(),
            span(objectives.iter().map(|o| o.usable_mib), |m| Capacity::from_mib(m).to_string()),
            span(objectives.iter().map(|o| o.price_minor.max(0) as u64), |p| money(p as i64, currency)),
        ),
        x_title: "usable capacity, GiB".to_string(),
        y_title: format!("price of one machine, {currency}"),
        points: points.collect(),
        legend,
        id_prefix: "front".to_string(),
    };
    html! { figure.chart { (PreEscaped(chart::svg(&chart))) } }
}

fn range(values: impl Iterator<Item = u64>) -> (u64, u64) {
    values.fold((u64::MAX, 0), |(low, high), v| (low.min(v), high.max(v)))
}

fn span(values: impl Iterator<Item = u64>, words: impl Fn(u64) -> String) -> String {
    let (low, high) = range(values);
    if low == high { words(low) } else { format!("{} to {}", words(low), words(high)) }
}
