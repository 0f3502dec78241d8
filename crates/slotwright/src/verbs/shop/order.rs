//! `order`: from the asking to the shipping.

use super::chosen::ChosenBuild;
use super::stock::EventView;
use super::{calendar, exchanges, offer};
use crate::failure::Failure;
use crate::verbs::modules::MoneyView;
use crate::verbs::plan::{self, Searched};
use crate::world::Data;
use catalog::Input;
use domain::item::{ItemId, Screened, Subject, Who};
use domain::order::{Order, Reservation, Stage, Stamped};
use domain::{Day, Need};
use schemars::JsonSchema;
use serde::Serialize;
use store::{OrderFilter, Store};

const COST: &str = "cost of its modules";
const QUOTED: &str = "quoted net price";
const SOLD: &str = "net price by the shop's prices";

/// An order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct OrderView {
    pub number: String,
    pub customer: String,
    /// 0 goes first, 9 last.
    pub priority: u8,
    pub machines: u32,
    /// `2026-11-25`; null where none was named.
    pub due: Option<String>,
    /// `asked`, `chosen`, `reserved`, `picked`, `built`, `verified`, `shipped` or `cancelled`.
    pub stage: String,
    /// The chosen build.
    pub build: Option<ChosenBuild>,
    /// For all machines.
    pub price: Option<MoneyView>,
    /// What that is: `quoted net price`, `net price by the shop's prices`, or `cost of its modules` where the shop has set no prices,
    /// margins or settings; null where there is no price.
    pub price_is: Option<String>,
    /// What the modules cost the shop, for all machines; null where it is not known.
    pub cost: Option<MoneyView>,
    /// What the shelf lacks of the chosen build; empty where it lacks nothing, or where modules are promised or nobody looked.
    pub lacks: Vec<String>,
    pub created: String,
    /// Counts changes.
    pub version: i64,
    /// What comes next, as a sentence.
    pub next: String,
    /// That as a command line, after the program's name; null where nothing comes next.
    pub next_command: Option<String>,
}

/// An order closely.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct OrderCloselyView {
    #[serde(flatten)]
    pub order: OrderView,
    /// The quote that it was made from.
    pub quote: Option<String>,
    /// Which version of that quote.
    pub quote_version: Option<u32>,
    /// The need file's text.
    pub need: String,
    pub steps: Vec<StepView>,
    /// Everything that was done to it, the steps among it, the oldest first.
    pub history: Vec<EventView>,
    /// Modules that are or were promised to it.
    pub modules: Vec<PromiseView>,
    /// Slots that hold another sort than the chosen build has there, as sentences.
    pub exchanged: Vec<String>,
}

/// A step of an order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StepView {
    pub stage: String,
    pub at: String,
    pub who: String,
    pub note: String,
}

/// A module that is or was promised.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PromiseView {
    /// From 1.
    pub machine: u32,
    pub slot: String,
    pub item: i64,
    pub serial: Option<String>,
    pub module: String,
    pub part_number: Option<String>,
    pub bin: String,
    /// What screening saw of a module that somebody should look at.
    pub look: Option<String>,
    /// `held`, `picked`, `built in`, `released` or `taken out`.
    pub state: String,
}

/// Orders.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct OrderListView {
    pub orders: Vec<OrderView>,
    /// How many there are in all.
    pub found: u64,
}

impl OrderView {
    /// As the store has it.
    ///
    /// # Errors
    /// Its build was written by another program.
    pub fn new(order: &Order) -> Result<Self, Failure> {
        Ok(Self {
            number: order.number.clone(),
            customer: order.customer.clone(),
            priority: order.priority,
            machines: order.machines,
            due: order.due.map(calendar::day),
            stage: order.stage.to_string(),
            build: order.build.as_deref().map(ChosenBuild::read).transpose()?,
            price: order.price.map(MoneyView::new),
            price_is: order.price.map(|_| price_is(order).to_string()),
            cost: order.cost.or(order.price.filter(|_| !order.quoted)).map(MoneyView::new),
            lacks: Vec::new(),
            created: calendar::moment(order.created),
            version: order.version,
            next: next(order.stage).to_string(),
            next_command: next_command(order.stage, &order.number),
        })
    }
}

impl OrderView {
    /// As the store has it; of one whose modules are not promised yet also what the shelf lacks.
    ///
    /// # Errors
    /// Its build was written by another program, or the store's.
    pub fn looked(data: &Data, store: &Store, order: &Order) -> Result<Self, Failure> {
        let mut view = Self::new(order)?;
        if let (Stage::Chosen, Some(build)) = (order.stage, &view.build) {
            view.lacks = offer::lacks(&offer::lots(data, store)?, build, order.machines);
        }
        if !view.lacks.is_empty() {
            view.next =
                "let an allocation weigh all orders and say what to buy, or choose a build from the shelf".to_string();
            view.next_command = Some("allocate propose".to_string());
        }
        Ok(view)
    }
}

fn price_is(order: &Order) -> &'static str {
    match (order.quoted, order.cost) {
        (true, _) => QUOTED,
        (false, Some(_)) => SOLD,
        (false, None) => COST,
    }
}

fn next(stage: Stage) -> &'static str {
    match stage {
        Stage::Asked => "choose a build, or let an allocation choose for all open orders",
        Stage::Chosen => "reserve its modules",
        Stage::Reserved => "pick its modules",
        Stage::Picked => "build it: power off and unplug, wear an ESD strap, follow the bench sheet",
        Stage::Built => "verify that the machine sees what was planned, with a snapshot and a comparison",
        Stage::Verified => "ship it",
        Stage::Shipped | Stage::Cancelled => "nothing: it is closed",
    }
}

fn next_command(stage: Stage, number: &str) -> Option<String> {
    Some(match stage {
        Stage::Asked => format!("order plans {number}"),
        Stage::Chosen => format!("order reserve {number}"),
        Stage::Reserved => format!("order pick {number} SERIAL"),
        Stage::Picked => format!("order step {number} built"),
        Stage::Built => format!("order step {number} verified"),
        Stage::Verified => format!("order step {number} shipped"),
        Stage::Shipped | Stage::Cancelled => return None,
    })
}

/// Writes an order down.
///
/// # Errors
/// The need is wrong, or the store's.
pub fn new(data: &Data, store: &Store, asked: &Asked<'_>, who: &Who) -> Result<OrderView, Failure> {
    let need = plan::read_text(&data.library, &Input::text("need", asked.need))?;
    to_come(asked.due, who)?;
    let new = domain::order::NewOrder {
        customer: asked.customer.to_string(),
        priority: asked.priority,
        machines: need.machines,
        due: asked.due,
        need: asked.need.to_string(),
        quote: None,
    };
    OrderView::new(&store.new_order(&new, who)?)
}

/// A day on which an order is wanted lies ahead; another one was mistyped.
///
/// # Errors
/// It is past.
pub fn to_come(due: Option<Day>, who: &Who) -> Result<(), Failure> {
    match due.filter(|due| *due < who.at.day()) {
        Some(past) => Err(Failure::Shop {
            why: format!("{} is past, so nothing can be ready by then", calendar::day(past)),
            hint: "name today or a later day".to_string(),
        }),
        None => Ok(()),
    }
}

/// What a new order is made of.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The need file's text; a board that it names must be one that this program or the shop's folder has.
    pub need: &'a str,
    pub customer: &'a str,
    pub priority: u8,
    pub due: Option<Day>,
}

/// Orders.
///
/// # Errors
/// The store's.
pub fn list(store: &Store, filter: &OrderFilter) -> Result<OrderListView, Failure> {
    let page = store.orders(filter)?;
    Ok(OrderListView { orders: page.list.iter().map(OrderView::new).collect::<Result<_, _>>()?, found: page.found })
}

/// One order closely.
///
/// # Errors
/// There is none of that number.
pub fn closely(data: &Data, store: &Store, number: &str) -> Result<OrderCloselyView, Failure> {
    let order = store.order_by_number(number)?;
    let step = |s: &Stamped| StepView {
        stage: s.stage.to_string(),
        at: calendar::moment(s.who.at),
        who: s.who.name.clone(),
        note: s.note.clone(),
    };
    let quote = order.quote.map(|id| store.quote_by_id(id)).transpose()?;
    let promised = store.reservations(order.id)?;
    let chosen = order.build.as_deref().map(ChosenBuild::read).transpose()?;
    let exchanged = chosen.map_or_else(Vec::new, |chosen| exchanges::of(data, &chosen, &promised));
    Ok(OrderCloselyView {
        exchanged: exchanged.iter().map(exchanges::Exchange::words).collect(),
        quote_version: quote.as_ref().map(|q| q.version),
        quote: quote.map(|q| q.number),
        history: store.history(Subject::Order(order.id.0))?.iter().map(EventView::new).collect(),
        need: order.need.clone(),
        steps: store.steps(order.id)?.iter().map(step).collect(),
        modules: promised.iter().map(promise).collect(),
        order: OrderView::looked(data, store, &order)?,
    })
}

/// As the store has it.
pub fn promise(promise: &Reservation) -> PromiseView {
    PromiseView {
        machine: promise.machine,
        slot: promise.slot.clone(),
        item: promise.item.id.0,
        serial: promise.item.serial.clone(),
        module: promise.item.model.label.clone(),
        part_number: promise.item.model.part_number.clone(),
        bin: promise.item.bin.clone(),
        look: (promise.item.screened == Screened::Look).then(|| promise.item.screening_note.clone()),
        state: promise.promise.to_string(),
    }
}

/// The order's need, to be met from the shelf.
///
/// # Errors
/// The need names what is not known any more, or the store's.
pub fn need_from_shelf(data: &Data, store: &Store, order: &Order) -> Result<Need, Failure> {
    let mut need = plan::read_text(&data.library, &Input::text("need", order.need.as_str()))?;
    need.lots = offer::within(data, &need, offer::lots(data, store)?);
    Ok(need)
}

/// The need of the order of that number, to be met from the shelf.
///
/// # Errors
/// As [`need_from_shelf`], and there is no such order.
pub fn need(data: &Data, store: &Store, number: &str) -> Result<Need, Failure> {
    need_from_shelf(data, store, &store.order_by_number(number)?)
}

/// Plans for an order from what is free on the shelf.
///
/// # Errors
/// As [`need_from_shelf`].
pub fn plans(data: &Data, store: &Store, number: &str) -> Result<Searched, Failure> {
    Ok(Searched::new(need(data, store, number)?))
}

/// Finds an item by its serial or its number.
///
/// # Errors
/// There is none, or more than one bears that serial.
pub fn item(store: &Store, name: &str) -> Result<ItemId, Failure> {
    let name = name.trim();
    let mut by_serial = store.items_by_serial(name)?;
    let kept = super::intake::serial_of(name);
    if by_serial.is_empty() && !kept.eq_ignore_ascii_case(name) {
        by_serial = store.items_by_serial(&kept)?;
    }
    match by_serial.as_slice() {
        [one] => return Ok(one.id),
        [] => {}
        many => {
            let ids: Vec<String> = many.iter().map(|i| i.id.to_string()).collect();
            return Err(Failure::Shop {
                why: format!("{} items bear the serial `{name}`", many.len()),
                hint: format!("name one by its number: {}", ids.join(", ")),
            });
        }
    }
    let number = name.parse().map_err(|_| Failure::Shop {
        why: format!("there is no item with the serial `{name}`"),
        hint: "check the label; `slotwright stock list` finds serials by how they end".to_string(),
    })?;
    Ok(store.item(ItemId(number))?.id)
}
