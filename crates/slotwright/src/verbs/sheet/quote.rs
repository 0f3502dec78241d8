//! The quote: for the customer, without bins and costs.

use super::{BlockView, Job, Selling, SheetView};
use crate::failure::Failure;
use crate::verbs::judgement::JudgementView;
use crate::verbs::plan::BillLine;
use domain::shop::Shop;
use domain::{Build, Capacity, Condition, Money};
use draw::sheet::{Block, Column, Sheet, Table};

/// Makes the quote.
///
/// # Errors
/// The build has no prices.
pub fn sheet(job: &Job) -> Result<Sheet, Failure> {
    let bill = Bill::of(job)?;
    let mut sheet = job.blank("Quote");
    let until = job.papers.date.saturating_add(jiff::Span::new().days(i64::from(job.shop.validity_days)));
    sheet.aside.push(format!("valid until {until}"));
    if !job.papers.customer.is_empty() {
        sheet.blocks.push(Block::Facts(vec![("For".to_string(), job.papers.customer.clone())]));
    }
    sheet.blocks.push(Block::Heading("What you get".to_string()));
    sheet.blocks.push(Block::Facts(facts(job)));
    sheet.blocks.push(Block::Heading("Price".to_string()));
    sheet.blocks.push(Block::Table(prices(job, &bill.priced()?)?));
    sheet.blocks.push(Block::Heading("Why it fits".to_string()));
    sheet.blocks.extend(fits(job).into_iter().map(Block::Text));
    let know = know(&job.judged);
    if !know.is_empty() {
        sheet.blocks.push(Block::Heading("What you should know".to_string()));
        sheet.blocks.extend(know.into_iter().map(Block::Text));
    }
    sheet.blocks.push(Block::Heading("Where the modules go".to_string()));
    sheet.blocks.push(Block::Map(Box::new(job.map())));
    sheet.blocks.push(Block::Small(format!(
        "This quote holds until {until}, as long as the parts can be had. Bandwidth figures are estimates for a tuned \
         streaming program."
    )));
    sheet.blocks.extend(job.shop.terms.iter().cloned().map(Block::Small));
    Ok(sheet)
}

fn facts(job: &Job) -> Vec<(String, String)> {
    let judged = &job.judged;
    let mut facts = vec![
        ("Machine".to_string(), judged.title.clone()),
        ("Processors".to_string(), job.processors()),
        ("Memory".to_string(), capacity(judged)),
        ("Data rate".to_string(), job.rate()),
        ("Bandwidth".to_string(), bandwidth(judged)),
    ];
    if job.machines > 1 {
        facts.insert(0, ("Machines".to_string(), format!("{} alike", job.machines)));
    }
    if !job.build.mode.is_independent() {
        facts.push(("Memory mode".to_string(), job.build.mode.to_string()));
    }
    let (free, all) = (judged.slots.iter().filter(|s| s.module.is_none()).count(), judged.slots.len());
    facts.push(("Room to grow".to_string(), format!("{free} of {all} slots stay free")));
    facts
}

fn capacity(judged: &JudgementView) -> String {
    let (whole, usable) = (Capacity::from_mib(judged.capacity_mib), Capacity::from_mib(judged.usable_mib));
    if whole == usable { whole.to_string() } else { format!("{whole}, {usable} of it usable in this mode") }
}

fn bandwidth(judged: &JudgementView) -> String {
    let Some(b) = &judged.bandwidth else { return "none".to_string() };
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    match (b.estimate_gbs, b.relative_to_best) {
        (Some(gbs), Some(share)) => {
            format!("about {gbs:.1} GB/s, {} of the best that these processors reach", percent(share))
        }
        _ => format!(
            "{:.1} to {:.1} GB/s, {} to {} of the best that these processors reach",
            b.low_gbs,
            b.high_gbs,
            percent(b.relative_to_best_low),
            percent(b.relative_to_best_high)
        ),
    }
}

/// One line of the price: count, what, each, sum.
type Line = (u32, String, Money, Money);

/// What is sold, and how it is priced.
#[derive(Debug, Clone, Copy)]
pub struct Bill<'a> {
    /// For one machine.
    pub lines: &'a [BillLine],
    pub build: &'a Build,
    pub machines: u32,
    pub shop: &'a Shop,
    pub selling: &'a Selling,
}

/// What the whole quote comes to: net, and with tax.
///
/// # Errors
/// The build has no prices, or they are in two currencies.
pub fn sums(job: &Job) -> Result<(Money, Money), Failure> {
    let net = Bill::of(job)?.net()?.ok_or(Failure::NoPrices)?;
    Ok((net, job.shop.tax.as_ref().map_or(net, |(_, rate)| rate.on(net))))
}

impl<'a> Bill<'a> {
    fn of(job: &'a Job) -> Result<Self, Failure> {
        let (view, _) = job.plan.as_ref().ok_or(Failure::NoPrices)?;
        let (build, machines) = (&job.build, job.machines);
        Ok(Self { lines: &view.bill, build, machines, shop: &job.shop, selling: &job.selling })
    }
    /// For all machines, before tax; `None` where nothing is sold.
    ///
    /// # Errors
    /// The build has no prices, or they are in two currencies.
    pub fn net(&self) -> Result<Option<Money>, Failure> {
        net(&self.priced()?)
    }
    /// What one module of a line is sold at.
    fn each(&self, line: &BillLine) -> Result<Money, Failure> {
        let cost = line.each.money().ok_or(Failure::NoPrices)?;
        let module = self.build.filled().map(|(_, m)| m).find(|m| m.label == line.module);
        match (module, Condition::parse(&line.condition)) {
            (Some(module), Some(condition)) => self.selling.each(module, condition, cost, self.shop.margin),
            _ => Ok(self.shop.margin.on(cost)),
        }
    }
    fn priced(&self) -> Result<Vec<Line>, Failure> {
        let mut lines: Vec<Line> = Vec::new();
        for bill in self.lines {
            let each = self.each(bill)?;
            let what = format!("{}, {}", bill.module, bill.condition);
            let count = bill.count.saturating_mul(self.machines);
            // Bins are the shop's own affair: like modules from two of them are one line.
            match lines.iter_mut().find(|l| l.1 == what && l.2 == each) {
                Some(line) => line.0 += count,
                None => lines.push((count, what, each, each)),
            }
        }
        if let Some(labour) = self.shop.labour {
            lines.push((self.machines, "Fitting, first start and test of one machine".to_string(), labour, labour));
        }
        for line in &mut lines {
            line.3 = line.2.times(i64::from(line.0));
        }
        Ok(lines)
    }
}

fn net(lines: &[Line]) -> Result<Option<Money>, Failure> {
    let mut net: Option<Money> = None;
    for line in lines {
        net = Some(match net {
            Some(net) => net.plus(line.3)?,
            None => line.3,
        });
    }
    Ok(net)
}

fn prices(job: &Job, lines: &[Line]) -> Result<Table, Failure> {
    let row = |l: &Line| vec![l.0.to_string(), l.1.clone(), l.2.to_string(), l.3.to_string()];
    let net = net(lines)?;
    let sum = |what: String, amount: Money| vec![String::new(), what, String::new(), amount.to_string()];
    let mut totals = Vec::new();
    if let Some(net) = net {
        match &job.shop.tax {
            Some((name, rate)) => {
                totals.push(sum("Net".to_string(), net));
                totals.push(sum(format!("{name} {rate}"), rate.of(net)));
                totals.push(sum("Total".to_string(), rate.on(net)));
            }
            None => totals.push(sum("Total".to_string(), net)),
        }
    }
    Ok(Table { columns: columns(), rows: lines.iter().map(row).collect(), totals, ticks: false })
}

fn columns() -> Vec<Column> {
    vec![
        Column::figures("count", 0.6),
        Column::text("what", 5.0),
        Column::figures("each", 1.6),
        Column::figures("sum", 1.8),
    ]
}

/// A quote that was made before, to be printed as it was; `map` is drawn where the slot map stood.
pub fn again(kept: &SheetView, foot: String, map: Result<draw::Drawing, String>) -> Sheet {
    let mut map = Some(map);
    let block = |block: &BlockView| {
        Some(match block {
            BlockView::Heading(text) => Block::Heading(text.clone()),
            BlockView::Text(text) => Block::Text(text.clone()),
            BlockView::Small(text) => Block::Small(text.clone()),
            BlockView::Facts(facts) => Block::Facts(facts.clone()),
            BlockView::Table(t) => {
                Block::Table(Table { columns: columns(), rows: t.rows.clone(), totals: t.totals.clone(), ticks: false })
            }
            BlockView::Map(words) => match map.take() {
                Some(Ok(drawing)) => Block::Map(Box::new(drawing)),
                Some(Err(why)) => Block::Text(format!("{words} The map can't be drawn any more: {why}.")),
                None => Block::Text(words.clone()),
            },
            // A quote has no others.
            _ => return None,
        })
    };
    Sheet {
        title: kept.title.clone(),
        aside: kept.aside.clone(),
        from: kept.from.clone(),
        foot,
        language: "en".to_string(),
        blocks: kept.blocks.iter().filter_map(block).collect(),
    }
}

fn fits(job: &Job) -> Vec<String> {
    let mut words = Vec::new();
    if let Some((view, _)) = &job.plan {
        words.extend(view.why.iter().map(|w| sentence(&format!("Chosen as {w}"))));
    }
    for link in job.judged.rate_chain.iter().filter(|l| l.binds).take(2) {
        words.push(sentence(&format!(
            "{} MT/s is the most that the {} allows: {}",
            link.most_mts, link.what, link.because
        )));
    }
    let widest = job.judged.regions.iter().map(|r| r.width).max().unwrap_or(0);
    let even = job.judged.regions.iter().all(|r| r.width == widest);
    if even && widest > 1 {
        words.push(format!("All memory is read over {widest} channels of each processor at once."));
    }
    words
}

fn know(judged: &JudgementView) -> Vec<String> {
    judged
        .findings
        .iter()
        .filter(|f| f.matters())
        .map(|f| sentence(&format!("{}: {}", f.severity, f.evidence)))
        .collect()
}

fn sentence(words: &str) -> String {
    let mut chars = words.trim().chars();
    let first: String = chars.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    let text = format!("{first}{}", chars.as_str());
    if text.ends_with(['.', '!', '?']) { text } else { format!("{text}.") }
}
