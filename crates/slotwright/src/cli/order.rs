//! `order`: arguments and text.

use super::stock::evidence;
use super::table::{next, paragraph, table, wrap};
use super::{Reply, plan as plan_text, sheet as sheet_text};
use crate::cli::paint::Paint;
use crate::failure::Failure;
use crate::verbs::sheet;
use crate::verbs::shop::order::{self, Asked, OrderCloselyView, OrderView};
use crate::verbs::shop::order_acts::{self, SwappedView};
use crate::verbs::shop::order_list;
use crate::verbs::shop::pricing::Sale;
use crate::verbs::shop::{calendar, order_papers, settings};
use crate::world::{self, Data};
use domain::item::Subject;
use domain::order::Stage;
use jiff::civil::Date;
use std::path::PathBuf;
use store::{OrderFilter, Store, Swap};

/// Orders: from the need to the shipping, every step stamped; no module is ever in two builds.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, clap::Subcommand)]
enum Act {
    /// Write down what a customer asks for.
    New {
        /// A need file (TOML).
        #[arg(value_name = "NEED")]
        need: PathBuf,
        #[arg(long, value_name = "NAME")]
        customer: String,
        /// 0 goes first, 9 last.
        #[arg(long, default_value_t = 5, value_name = "0-9")]
        priority: u8,
        /// The day by which it is wanted, such as 2026-12-24.
        #[arg(long, value_name = "DAY")]
        due: Option<String>,
        #[arg(long)]
        json: bool,
    },
    /// List orders, those that go first on top.
    List {
        /// Part of a customer's name or of a number.
        #[arg(default_value = "", value_name = "WORDS")]
        words: String,
        /// Only those at this stage.
        #[arg(long, value_name = "STAGE")]
        stage: Option<String>,
        /// Closed ones too.
        #[arg(long)]
        all: bool,
        /// At most so many.
        #[arg(long, default_value_t = 100, value_name = "N")]
        most: u32,
        /// All of them as a table for other programs (CSV).
        #[arg(long, conflicts_with_all = ["json", "most"])]
        csv: bool,
        #[arg(long)]
        json: bool,
    },
    /// Show one order: its steps and its modules.
    Show {
        #[arg(value_name = "ORDER")]
        order: String,
        #[arg(long)]
        json: bool,
    },
    /// Plan an order from what is free on the shelf.
    Plans {
        #[arg(value_name = "ORDER")]
        order: String,
        #[arg(long)]
        json: bool,
    },
    /// Choose one of these plans; an earlier choice and what was promised for it go.
    Choose {
        #[arg(value_name = "ORDER")]
        order: String,
        /// The plan's number.
        #[arg(long, default_value_t = 1, value_name = "N")]
        plan: usize,
        #[arg(long)]
        json: bool,
    },
    /// Promise exact modules: matched sets first, then the oldest stock.
    Reserve {
        #[arg(value_name = "ORDER")]
        order: String,
        #[arg(long)]
        json: bool,
    },
    /// Mark modules as picked, by serial or item number; when the last one is picked, so is the order.
    Pick {
        #[arg(value_name = "ORDER")]
        order: String,
        #[arg(required_unless_present = "all", value_name = "SERIAL|ITEM")]
        items: Vec<String>,
        /// All that still wait.
        #[arg(long, conflicts_with = "items")]
        all: bool,
        #[arg(long)]
        json: bool,
    },
    /// Stamp the next step: built, verified, shipped; or go back from verified to built.
    Step {
        #[arg(value_name = "ORDER")]
        order: String,
        #[arg(value_name = "STAGE")]
        stage: String,
        /// A line for the record.
        #[arg(long, default_value = "", value_name = "TEXT")]
        note: String,
        #[arg(long)]
        json: bool,
    },
    /// Print a paper of an order: the pick list and the record name its exact modules.
    Sheet {
        #[arg(value_name = "ORDER")]
        order: String,
        /// Which paper.
        #[arg(value_enum, value_name = "PAPER")]
        kind: sheet::Kind,
        /// The shop's settings (TOML), for the heading; those of `store settings` if absent.
        #[arg(long, value_name = "FILE")]
        shop: Option<PathBuf>,
        /// The date on it, as 2026-11-25; today if absent.
        #[arg(long, value_name = "DATE")]
        date: Option<Date>,
        /// The size of paper.
        #[arg(long, value_enum, default_value_t, value_name = "SIZE")]
        paper: sheet_text::Size,
        /// Write it as PDF.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        #[arg(long)]
        json: bool,
    },
    /// Put another module in the place of one at the bench; both keep their history.
    Swap {
        #[arg(value_name = "ORDER")]
        order: String,
        #[arg(long, default_value_t = 1, value_name = "N")]
        machine: u32,
        #[arg(long, value_name = "SLOT")]
        slot: String,
        /// What goes in: serial or item number.
        #[arg(long, value_name = "SERIAL|ITEM")]
        item: String,
        /// What comes out is faulty: it is set aside and not sold again.
        #[arg(long)]
        faulty: bool,
        #[arg(long, value_name = "TEXT")]
        why: String,
        /// Although it is of another sort or condition.
        #[arg(long)]
        anyway: bool,
        #[arg(long)]
        json: bool,
    },
    /// Change an order's priority or the day by which it is wanted.
    #[command(group = clap::ArgGroup::new("what").required(true).multiple(true))]
    Change {
        #[arg(value_name = "ORDER")]
        order: String,
        /// 0 goes first, 9 last.
        #[arg(long, value_name = "0-9", group = "what")]
        priority: Option<u8>,
        /// The day by which it is wanted, such as 2026-12-24.
        #[arg(long, value_name = "DAY", group = "what")]
        due: Option<String>,
        /// It is not wanted by a day any more.
        #[arg(long, conflicts_with = "due", group = "what")]
        no_due: bool,
        #[arg(long)]
        json: bool,
    },
    /// Attach photos, logs, snapshots or records to an order; list them; get one back.
    Attach {
        #[arg(value_name = "ORDER")]
        order: String,
        #[command(flatten)]
        files: evidence::AttachArgs,
    },
    /// Cancel an order; everything that it holds is released.
    Cancel {
        #[arg(value_name = "ORDER")]
        order: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        #[arg(long)]
        json: bool,
    },
}

/// Does what was asked.
///
/// # Errors
/// The need is wrong, there is no such order, the step does not follow, or modules can't be had.
pub fn run(args: &Args, data: &Data, store: &Store, paint: Paint) -> Result<Reply, Failure> {
    let who = world::who();
    match &args.act {
        Act::New { need, customer, priority, due, json } => {
            let text = std::fs::read_to_string(need).map_err(|e| Failure::Shop {
                why: format!("`{}` can't be read: {e}", need.display()),
                hint: "name a need file".to_string(),
            })?;
            let due = due.as_deref().map(calendar::read_day).transpose()?;
            let asked = Asked { need: &text, customer, priority: *priority, due };
            said(&order::new(data, store, &asked, &who)?, *json)
        }
        Act::List { words, stage, all, most, csv, json } => {
            let stage = stage.as_deref().map(read_stage).transpose()?;
            let filter =
                OrderFilter { words: words.clone(), stage, open: !all && stage.is_none(), skip: 0, most: *most };
            if *csv {
                return Ok(Reply::new(order_list::export(store, &filter)?, false));
            }
            let view = order::list(store, &filter)?;
            Reply::of(&view, *json, false, || list(&view))
        }
        Act::Show { order, json } => {
            let view = order::closely(data, store, order)?;
            Reply::of(&view, *json, false, || closely(&view))
        }
        Act::Plans { order, json } => {
            let searched = order::plans(data, store, order)?;
            let planned = searched.show(&searched.numbered(false));
            Reply::of(&planned.view, *json, planned.plans.is_empty(), || {
                let mut text = plan_text::overview(&planned.view, paint);
                if !planned.plans.is_empty() {
                    text.push_str(&format!("\nchoose one: slotwright order choose {order} --plan 1\n"));
                }
                text
            })
        }
        Act::Choose { order, plan, json } => {
            let order = store.order_by_number(order)?;
            let sale = Sale { shop: None, day: calendar::of(world::today()) };
            said(&order_acts::choose(data, store, &order, (*plan, None), sale, &who)?, *json)
        }
        Act::Reserve { order, json } => {
            said(&order_acts::reserve(data, store, &store.order_by_number(order)?, &who)?, *json)
        }
        Act::Pick { order, items, all, json } => {
            let view = order_acts::pick(store, order, None, Some(items).filter(|_| !all).map(Vec::as_slice), &who)?;
            Reply::of(&view, *json, false, || match view.left {
                0 => whole(&view.order),
                left => format!("picked {}; {left} to go\n", view.picked),
            })
        }
        Act::Step { order, stage, note, json } => step(store, order, read_stage(stage)?, note, *json),
        Act::Cancel { order, why, json } => step(store, order, Stage::Cancelled, why, *json),
        Act::Change { order, priority, due, no_due, json } => {
            let due = due.as_deref().map(calendar::read_day).transpose()?.map(Some).or(no_due.then_some(None));
            let order = store.order_by_number(order)?;
            said(&order_acts::revise(store, &order, *priority, due, &who)?, *json)
        }
        Act::Attach { order, files } => evidence::run(store, Subject::Order(store.order_by_number(order)?.id.0), files),
        Act::Sheet { order, kind, shop, date, paper, out, json } => {
            let shop = settings::named(data, store, shop.as_deref())?;
            let job = order_papers::job(data, store, order, shop, date.unwrap_or_else(world::today))?;
            let made = sheet::sheet(*kind, &job)?;
            sheet_text::printed(&made, out.as_deref().map(|path| (path, *paper)), *json, paint)
        }
        Act::Swap { order, machine, slot, item, faulty, why, anyway, json } => {
            let item = order::item(store, item)?;
            let swap = Swap { machine: *machine, slot: slot.clone(), item, faulty: *faulty, why: why.clone() };
            let view = order_acts::swap(data, store, &store.order_by_number(order)?, &swap, *anyway, &who)?;
            Reply::of(&view, *json, !view.findings.is_empty(), || swapped(&view))
        }
    }
}

fn swapped(view: &SwappedView) -> String {
    let now = &view.item;
    let module = now.part_number.as_ref().map_or_else(|| now.label.clone(), |p| format!("{}, {p}", now.label));
    let mut text = format!("machine {}, slot {}: item {} ({module})\n", view.machine, view.slot, now.item);
    let other = view.other.iter().map(|o| format!("it is {o}"));
    for line in other.chain(view.findings.iter().cloned()) {
        text.push_str(&format!("{}\n", paragraph(&format!("! {line}"), 2, 4)));
    }
    text
}

fn step(store: &Store, order: &str, to: Stage, note: &str, json: bool) -> Result<Reply, Failure> {
    said(&order_acts::step(store, &store.order_by_number(order)?, to, note, &world::who())?, json)
}

fn read_stage(text: &str) -> Result<Stage, Failure> {
    Stage::parse(text).ok_or_else(|| Failure::Shop {
        why: format!("`{text}` is no stage of an order"),
        hint: format!("use one of: {}", Stage::ALL.iter().map(|s| s.word()).collect::<Vec<_>>().join(", ")),
    })
}

/// An order in short, with what comes next.
pub fn said(view: &OrderView, json: bool) -> Result<Reply, Failure> {
    Reply::of(view, json, false, || whole(view))
}

fn whole(view: &OrderView) -> String {
    format!("{}{}", head(view), next(&view.next, view.next_command.as_deref()))
}

fn head(view: &OrderView) -> String {
    let machines = if view.machines == 1 { "1 machine".to_string() } else { format!("{} machines", view.machines) };
    let due = view.due.as_ref().map_or_else(String::new, |d| format!(", due {d}"));
    let mut text = format!(
        "order {} for {}: {}, priority {}, {machines}{due}\n",
        view.number, view.customer, view.stage, view.priority
    );
    if let Some(build) = &view.build {
        let all = if view.machines > 1 { " for all machines" } else { "" };
        let price = view.price.as_ref().zip(view.price_is.as_ref());
        let price = price.map_or_else(String::new, |(p, is)| format!("; {is}{all}: {p}"));
        let cost = view.cost.as_ref().filter(|c| view.price.as_ref() != Some(*c));
        let cost = cost.map_or_else(String::new, |c| format!("; its modules cost {c}"));
        text.push_str(&format!("{}\n", wrap(&format!("{} with {}{price}{cost}", build.build.board, build.words), 2)));
    }
    if !view.lacks.is_empty() {
        let lacks = format!("! the shelf lacks {}", view.lacks.join(", "));
        text.push_str(&format!("{}\n", paragraph(&lacks, 2, 4)));
    }
    text
}

fn list(view: &order::OrderListView) -> String {
    if view.orders.is_empty() {
        return "no orders\n".to_string();
    }
    let row = |o: &OrderView| {
        vec![
            o.number.clone(),
            o.priority.to_string(),
            o.stage.clone(),
            o.customer.clone(),
            o.machines.to_string(),
            o.due.clone().unwrap_or_default(),
            o.build.as_ref().map_or_else(String::new, |b| b.words.clone()),
        ]
    };
    let header = ["order", "priority", "stage", "customer", "machines", "due", "build"];
    let text = table(&header, &[1, 4], view.orders.iter().map(row).collect());
    let more = view.found.saturating_sub(view.orders.len() as u64);
    if more > 0 { format!("{text}and {more} more\n") } else { text }
}

fn closely(view: &OrderCloselyView) -> String {
    let mut text = head(&view.order);
    if let Some((quote, version)) = view.quote.as_ref().zip(view.quote_version) {
        text.push_str(&format!("  from quote {quote} version {version}\n"));
    }
    let acts = view.history.iter().map(|e| vec![e.act.clone(), e.at.clone(), e.who.clone(), e.detail.clone()]);
    text.push_str(&format!("\n{}", table(&["what", "at", "who", "detail"], &[], acts.collect())));
    if !view.modules.is_empty() {
        let row = |m: &order::PromiseView| {
            vec![
                m.machine.to_string(),
                m.slot.clone(),
                m.item.to_string(),
                m.serial.clone().unwrap_or_default(),
                m.module.clone(),
                m.bin.clone(),
                m.state.clone(),
            ]
        };
        let header = ["machine", "slot", "item", "serial", "module", "bin", "state"];
        text.push_str(&format!("\n{}", table(&header, &[0, 2], view.modules.iter().map(row).collect())));
    }
    for exchange in &view.exchanged {
        text.push_str(&format!("{}\n", paragraph(&format!("! other than chosen: {exchange}"), 2, 4)));
    }
    text.push_str(&format!("\n{}", next(&view.order.next, view.order.next_command.as_deref())));
    text
}
