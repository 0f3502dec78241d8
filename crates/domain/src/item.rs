//! Modules that a shop has: single ones with their serials, and lots without.

use crate::day::{Day, Stamp};
use crate::module::{Generation, Kind, Module};
use crate::money::Money;
use crate::quantity::{Capacity, DataRate};
use crate::stock::Condition;
use std::fmt;

/// Makes an enum whose values are stored and shown as words.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$each:meta])* $value:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$each])* $value),+ }

        impl $name {
            /// All, in their order.
            pub const ALL: &[Self] = &[$(Self::$value),+];
            /// Its word.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$value => $word),+ }
            }
            /// Reads the word in any case.
            pub fn parse(text: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|v| v.word().eq_ignore_ascii_case(text.trim()))
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }
    };
}
pub(crate) use words;

/// Makes the number by which a store knows something.
macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub i64);

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }
    };
}
pub(crate) use id;

id!(/// A module or a lot in the store.
    ItemId);
id!(/// A model in the store.
    ModelId);
id!(/// A purchase in the store.
    BatchId);

words! {
    /// Where an item is in its life.
    ItemState {
        /// Can be sold.
        Shelf = "on the shelf",
        /// Set aside until somebody decides.
        HeldBack = "held back",
        /// Left the shop in a machine.
        Shipped = "shipped",
        /// Went back to its supplier.
        SentBack = "sent back",
        Scrapped = "scrapped",
        /// Not found when the stock was taken.
        Missing = "missing",
    }
}

words! {
    /// What intake screening said of an item.
    Screened {
        Not = "not screened",
        Clean = "clean",
        /// Signs that somebody should look at.
        Look = "look at it",
        Reject = "reject",
    }
}

/// Who did something, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who {
    pub name: String,
    pub at: Stamp,
}

/// Modules of one label, part number and die: what a search and a shelf tell apart.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Model {
    /// The JEDEC module label.
    pub label: String,
    pub part_number: Option<String>,
    pub maker: Option<String>,
    /// Die maker, density or revision as far as known; modules of one die match.
    pub die: Option<String>,
    pub generation: Generation,
    pub kind: Kind,
    pub capacity: Capacity,
    /// As written on a label, such as `2Rx4`.
    pub organisation: String,
    pub rate: DataRate,
}

impl Model {
    /// The model of a module that was read; `die` where it is known.
    pub fn of(module: &Module, die: Option<String>) -> Self {
        Self {
            label: module.label.clone(),
            part_number: module.part_number.clone(),
            maker: module.maker.clone(),
            die: die.or_else(|| module.die_density.map(|d| d.to_string())),
            generation: module.generation,
            kind: module.kind,
            capacity: module.capacity,
            organisation: module.organisation.to_string(),
            rate: module.rate,
        }
    }
}
impl fmt::Display for Model {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.label)?;
        self.part_number.as_ref().map_or(Ok(()), |p| write!(f, ", {p}"))
    }
}

/// An item before it is taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewItem {
    pub model: Model,
    /// `None` for a lot, or where the module bears none.
    pub serial: Option<String>,
    pub condition: Condition,
    /// 1 where there is a serial.
    pub quantity: u32,
    pub batch: Option<BatchId>,
    /// The shelf, drawer or tray; empty where it has none yet.
    pub bin: String,
    pub cost: Money,
    pub screened: Screened,
    /// What screening said, in words.
    pub screening_note: String,
    /// Year and week.
    pub made: Option<(u16, u8)>,
    pub received: Day,
    pub note: String,
}

/// An item of the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    pub id: ItemId,
    pub model_id: ModelId,
    pub model: Model,
    pub serial: Option<String>,
    pub condition: Condition,
    pub state: ItemState,
    pub quantity: u32,
    /// Of these, how many are promised to orders.
    pub reserved: u32,
    pub batch: Option<BatchId>,
    pub bin: String,
    pub cost: Money,
    pub screened: Screened,
    pub screening_note: String,
    pub made: Option<(u16, u8)>,
    pub received: Day,
    pub note: String,
    /// Counts changes; a change says which one it saw.
    pub version: i64,
}

impl Item {
    /// How many can still be promised.
    pub fn free(&self) -> u32 {
        if self.state == ItemState::Shelf { self.quantity.saturating_sub(self.reserved) } else { 0 }
    }
}

/// A model with what there is of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shelf {
    pub model_id: ModelId,
    pub model: Model,
    pub condition: Condition,
    /// On the shelf and not promised.
    pub free: u32,
    pub reserved: u32,
    pub held_back: u32,
    /// Of what is free, the cheapest and the dearest; `None` where nothing is free.
    pub cost: Option<(Money, Money)>,
}

/// All that is in stock of a generation, kind and condition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Worth {
    pub generation: Generation,
    pub kind: Kind,
    pub condition: Condition,
    pub state: ItemState,
    pub modules: u64,
    /// What they cost together.
    pub cost: Money,
}

/// What items are searched by. Every word must be found; nothing written finds all.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Search {
    /// Words: parts of a label or part number, a maker, a bin, a batch's reference, or how a serial begins or ends.
    pub words: String,
    pub state: Option<ItemState>,
    pub model: Option<ModelId>,
    pub bin: Option<String>,
    pub batch: Option<BatchId>,
    /// Leaves out so many.
    pub skip: u32,
    /// At most so many, 1 to 1000.
    pub most: u32,
}

/// Items that can be promised, all alike in what a plan tells apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreeLot {
    pub label: String,
    pub condition: Condition,
    pub each: Money,
    pub count: u32,
    /// A bin that holds some of them.
    pub bin: String,
}

/// One item that can be promised, as allocation needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreeItem {
    pub id: ItemId,
    pub label: String,
    pub condition: Condition,
    pub part_number: String,
    /// Maker and die, as far as known.
    pub die: String,
    pub cost: Money,
    pub received: Day,
    pub count: u32,
}

/// What an event was about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    Item(i64),
    Order(i64),
    Quote(i64),
    Batch(i64),
    Supplier(i64),
    Allocation(i64),
    StockTake(i64),
    Token(i64),
    PriceList(i64),
    /// By the day from which it holds.
    Margin(i64),
    /// The shop's settings.
    Settings(i64),
}

impl Subject {
    /// Its word and number.
    pub const fn parts(self) -> (&'static str, i64) {
        match self {
            Self::Item(n) => ("item", n),
            Self::Order(n) => ("order", n),
            Self::Quote(n) => ("quote", n),
            Self::Batch(n) => ("batch", n),
            Self::Supplier(n) => ("supplier", n),
            Self::Allocation(n) => ("allocation", n),
            Self::StockTake(n) => ("stock-take", n),
            Self::Token(n) => ("token", n),
            Self::PriceList(n) => ("price list", n),
            Self::Margin(n) => ("margin", n),
            Self::Settings(n) => ("settings", n),
        }
    }
    /// From its word and number.
    pub fn of(word: &str, number: i64) -> Option<Self> {
        let make = match word {
            "item" => Self::Item,
            "order" => Self::Order,
            "quote" => Self::Quote,
            "batch" => Self::Batch,
            "supplier" => Self::Supplier,
            "allocation" => Self::Allocation,
            "stock-take" => Self::StockTake,
            "token" => Self::Token,
            "price list" => Self::PriceList,
            "margin" => Self::Margin,
            "settings" => Self::Settings,
            _ => return None,
        };
        Some(make(number))
    }
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    pub who: Who,
    pub subject: Subject,
    /// In a few words: `taken in`, `moved`, `reserved`.
    pub act: String,
    pub detail: String,
}
