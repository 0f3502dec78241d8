//! Orders: what a customer gets, from the asking to the shipping.

use crate::day::{Day, Stamp};
use crate::item::{Item, ItemId, Who, id, words};
use crate::money::Money;

id!(/// An order in the store.
    OrderId);
id!(/// One version of a quote in the store.
    QuoteId);
id!(/// A module's place in an order, in the store.
    ReservationId);

words! {
    /// How far an order is.
    Stage {
        /// The need is known.
        Asked = "asked",
        /// A build is chosen.
        Chosen = "chosen",
        /// Every module of it is promised.
        Reserved = "reserved",
        Picked = "picked",
        Built = "built",
        /// The machine saw what was planned.
        Verified = "verified",
        Shipped = "shipped",
        Cancelled = "cancelled",
    }
}

impl Stage {
    /// May an order go from here to there? One step on, back to the choice while nothing is built, or cancelled until shipped.
    pub fn leads_to(self, next: Self) -> bool {
        let step = |s: Self| Self::ALL.iter().position(|x| *x == s).unwrap_or(usize::MAX);
        match (self, next) {
            (Self::Shipped | Self::Cancelled, _) => false,
            (_, Self::Cancelled) => true,
            // Another build may be chosen, and what was promised let go, until the bench has begun.
            (Self::Chosen | Self::Reserved, Self::Chosen | Self::Asked) => true,
            // What does not pass goes back to the bench.
            (Self::Verified, Self::Built) => true,
            _ => step(next) == step(self) + 1,
        }
    }
    /// Is there still something to do?
    pub const fn is_open(self) -> bool {
        !matches!(self, Self::Shipped | Self::Cancelled)
    }
}

/// An order before it is written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewOrder {
    pub customer: String,
    /// 0 goes first, 9 last.
    pub priority: u8,
    pub machines: u32,
    pub due: Option<Day>,
    /// The need file's text.
    pub need: String,
    pub quote: Option<QuoteId>,
}

/// What a chosen build comes to, for all machines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Priced {
    /// Before tax.
    pub price: Money,
    /// What the modules cost the shop, in the same currency; `None` where the price is just that, or was quoted.
    pub cost: Option<Money>,
}

/// An order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    pub id: OrderId,
    /// Such as `O-00042`.
    pub number: String,
    pub customer: String,
    pub priority: u8,
    pub machines: u32,
    pub due: Option<Day>,
    pub need: String,
    pub stage: Stage,
    /// The chosen build, a document of the app.
    pub build: Option<String>,
    /// For all machines.
    pub price: Option<Money>,
    /// What its modules cost the shop, where the price is something else.
    pub cost: Option<Money>,
    /// Is the price what the customer was quoted, before tax?
    pub quoted: bool,
    pub quote: Option<QuoteId>,
    pub version: i64,
    pub created: Stamp,
}

/// A step that an order took.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamped {
    pub stage: Stage,
    pub who: Who,
    pub note: String,
}

words! {
    /// What became of a promise.
    Promise {
        Held = "held",
        Picked = "picked",
        BuiltIn = "built in",
        /// Let go before it was built in.
        Released = "released",
        /// Taken out again at the bench.
        TakenOut = "taken out",
    }
}

impl Promise {
    /// Does it still bind its module?
    pub const fn binds(self) -> bool {
        matches!(self, Self::Held | Self::Picked | Self::BuiltIn)
    }
}

/// A module that an order asks for: one item for one slot of one machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claim {
    pub item: ItemId,
    /// From 1.
    pub machine: u32,
    pub slot: String,
}

/// A module that is promised to an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reservation {
    pub id: ReservationId,
    pub order: OrderId,
    pub item: Item,
    pub machine: u32,
    pub slot: String,
    pub promise: Promise,
    pub who: Who,
}

#[cfg(test)]
mod tests {
    use super::Stage::*;
    use super::*;

    #[test]
    fn stages_follow_one_another_and_end() {
        for pair in [Asked, Chosen, Reserved, Picked, Built, Verified, Shipped].windows(2) {
            assert!(pair[0].leads_to(pair[1]), "{pair:?}");
        }
        assert!(!Asked.leads_to(Reserved) && !Picked.leads_to(Chosen) && !Built.leads_to(Shipped));
        assert!(Reserved.leads_to(Chosen) && Verified.leads_to(Built) && Verified.leads_to(Cancelled));
        for stage in Stage::ALL {
            assert!(!Shipped.leads_to(*stage) && !Cancelled.leads_to(*stage));
            assert_eq!(Stage::parse(stage.word()), Some(*stage));
        }
    }
}
