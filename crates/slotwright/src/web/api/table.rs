//! Every address of the API, once: the router and the document are both made of this.

use super::answer::Written;
use super::call::Call;
use super::parameter::{Kind, MOST, Parameter, SKIP, WORDS};
use super::problem::Problem;
use super::{allocations, orders, quotes, stock};
use crate::verbs::shop::token::Scope;
use schemars::{Schema, SchemaGenerator};

/// What all addresses begin with.
pub const ROOT: &str = "/api/v1";
/// The document, which no token is needed for.
pub const DOCUMENT: &str = "/api/v1/openapi.json";

/// How an address is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    Get,
    Post,
}

/// An address with what it takes and gives.
#[derive(Debug, Clone, Copy)]
pub struct Route {
    pub way: Way,
    /// After the root; one part in braces at most.
    pub path: &'static str,
    pub scope: Scope,
    /// Its name in the document.
    pub name: &'static str,
    pub says: &'static str,
    pub parameters: &'static [Parameter],
    /// The schema of the body, where it takes one.
    pub body: Option<fn(&mut SchemaGenerator) -> Schema>,
    pub answer: fn(&mut SchemaGenerator) -> Schema,
    /// Does it make something new?
    pub makes: bool,
    /// Does it hold against a version that the caller looked at?
    pub versioned: bool,
    pub run: fn(&Call) -> Result<Written, Problem>,
}

impl Route {
    /// Does its answer tell the version of what it shows?
    pub fn tagged(&self) -> bool {
        self.versioned || ["showItem", "showOrder", "newOrder", "pickModules", "orderQuote"].contains(&self.name)
    }
    /// Does it search for plans, which keeps a core busy?
    pub fn searches(&self) -> bool {
        ["planOrder", "chooseBuild", "reserveModules", "newQuote", "orderQuote", "propose"].contains(&self.name)
    }
    /// What is answered where all is well.
    pub const fn status(&self) -> u16 {
        if self.makes { 201 } else { 200 }
    }
    /// What else may be answered, from low to high.
    pub fn refusals(&self) -> Vec<u16> {
        let mut all = vec![400, 401, 403, 500, 503];
        if let Some(body) = self.body.map(|_| [408, 409, 413, 415, 422]) {
            all.extend(body);
        } else if self.path.ends_with("/plans") {
            all.push(422);
        }
        if self.path.contains('{') || self.path.ends_with("/newest") || self.body.is_some() {
            all.push(404);
        }
        if self.versioned {
            all.push(412);
        }
        all.sort_unstable();
        all
    }
    /// The whole path.
    pub fn full(&self) -> String {
        format!("{ROOT}{}", self.path)
    }
    /// The name of the part in braces.
    pub fn part(&self) -> Option<&'static str> {
        self.path.split_once('{').and_then(|(_, rest)| rest.split_once('}')).map(|(name, _)| name)
    }
}

/// A way that only reads: its work gives the view whose schema stands in the document.
macro_rules! reads {
    ($path:literal, $scope:ident, $name:literal, $says:literal, $parameters:expr, $work:path => $view:ty) => {
        Route {
            way: Way::Get,
            path: $path,
            scope: Scope::$scope,
            name: $name,
            says: $says,
            parameters: $parameters,
            body: None,
            answer: |schemas| schemas.subschema_for::<$view>(),
            makes: false,
            versioned: false,
            run: |call| {
                let made: super::answer::Made<$view> = $work(call)?;
                Written::new(&made)
            },
        }
    };
}

/// A way that changes: its work takes the body and gives the view whose schemas stand in the document.
macro_rules! changes {
    ($path:literal, $scope:ident, $name:literal, $says:literal, $makes:literal, $versioned:literal, $work:path: $body:ty => $view:ty) => {
        Route {
            way: Way::Post,
            path: $path,
            scope: Scope::$scope,
            name: $name,
            says: $says,
            parameters: &[],
            body: Some(|schemas| schemas.subschema_for::<$body>()),
            answer: |schemas| schemas.subschema_for::<$view>(),
            makes: $makes,
            versioned: $versioned,
            run: |call| {
                let body: $body = call.body()?;
                let made: super::answer::Made<$view> = $work(call, &body)?;
                Written::new(&made)
            },
        }
    };
}

const STATES: Parameter = Parameter {
    name: "state",
    says: "Only those in this state.",
    kind: Kind::Word(&["on the shelf", "held back", "shipped", "sent back", "scrapped", "missing"]),
};
const MODEL: Parameter =
    Parameter { name: "model", says: "Only those of this model.", kind: Kind::Number(1, i64::MAX, None) };
const BIN: Parameter = Parameter { name: "bin", says: "Only those in this bin.", kind: Kind::Text };
const STAGE: Parameter = Parameter {
    name: "stage",
    says: "Only those at this stage, closed ones too.",
    kind: Kind::Word(&["asked", "chosen", "reserved", "picked", "built", "verified", "shipped", "cancelled"]),
};
const CLOSED: Parameter = Parameter { name: "closed", says: "Shipped and cancelled ones too.", kind: Kind::Flag };
const QUOTE_STATE: Parameter = Parameter {
    name: "state",
    says: "Only those whose newest version is in this state.",
    kind: Kind::Word(&["open", "ordered", "withdrawn"]),
};
const VERSION: Parameter = Parameter {
    name: "version",
    says: "This version; the newest where it is left out.",
    kind: Kind::Number(1, u32::MAX as i64, None),
};

use crate::verbs::plan::PlansView;
use crate::verbs::shop::allocate::AllocationView;
use crate::verbs::shop::intake::ScreenedView;
use crate::verbs::shop::order::{OrderCloselyView, OrderListView, OrderView};
use crate::verbs::shop::order_at::{PickedView, SwappedView};
use crate::verbs::shop::quote::{QuoteCloselyView, QuoteListView, QuoteView};
use crate::verbs::shop::stock::{ItemCloselyView, ItemListView, ItemView, ShelfView};

/// All of them.
#[rustfmt::skip]
pub const ALL: &[Route] = &[
    reads!("/stock/models", StockRead, "listModels", "What the shelf holds, by model and condition.",
        &[WORDS, STATES, BIN, MOST, SKIP], stock::models => ShelfView),
    reads!("/stock/items", StockRead, "listItems", "Single items and lots, the newest first.",
        &[WORDS, STATES, MODEL, BIN, MOST, SKIP], stock::items => ItemListView),
    changes!("/stock/items", StockWrite, "takeIn", "Takes a list of modules in, each screened: all of them or none.",
        true, false, stock::take_in: stock::IntakeBody => ScreenedView),
    reads!("/stock/items/{item}", StockRead, "showItem", "One item with its history.", &[], stock::one => ItemCloselyView),
    changes!("/stock/items/{item}/move", StockWrite, "moveItem", "Moves an item to a bin.",
        false, true, stock::shift: stock::MoveBody => ItemView),
    changes!("/stock/items/{item}/mark", StockWrite, "markItem", "Holds an item back, puts it on the shelf, or scraps it.",
        false, true, stock::mark: stock::MarkBody => ItemView),

    reads!("/orders", OrdersRead, "listOrders", "Orders, those that go first on top.",
        &[WORDS, STAGE, CLOSED, MOST, SKIP], orders::list => OrderListView),
    changes!("/orders", OrdersWrite, "newOrder", "Writes down what a customer asks for.",
        true, false, orders::new: orders::OrderBody => OrderView),
    reads!("/orders/{order}", OrdersRead, "showOrder", "One order: its steps and its modules.",
        &[], orders::one => OrderCloselyView),
    reads!("/orders/{order}/plans", OrdersRead, "planOrder", "Plans for an order from what is free on the shelf.",
        &[], orders::plans => PlansView),
    changes!("/orders/{order}/choose", OrdersWrite, "chooseBuild",
        "Chooses one of these plans; an earlier choice and what was promised for it go.",
        false, true, orders::choose: orders::ChooseBody => OrderView),
    changes!("/orders/{order}/reserve", OrdersWrite, "reserveModules",
        "Promises exact modules: matched sets first, then the oldest stock.",
        false, true, orders::reserve: orders::ReserveBody => OrderView),
    changes!("/orders/{order}/pick", OrdersWrite, "pickModules",
        "Marks modules as picked; when the last one is picked, so is the order.",
        false, false, orders::pick: orders::PickBody => PickedView),
    changes!("/orders/{order}/swap", OrdersWrite, "swapModule", "Puts another module in the place of one at the bench.",
        false, false, orders::swap: orders::SwapBody => SwappedView),
    changes!("/orders/{order}/step", OrdersWrite, "stampStep",
        "Stamps the next step; or goes back from verified to built.",
        false, true, orders::step: orders::StepBody => OrderView),
    changes!("/orders/{order}/cancel", OrdersWrite, "cancelOrder", "Cancels an order; all that it holds is released.",
        false, true, orders::cancel: orders::CancelBody => OrderView),

    reads!("/quotes", QuotesRead, "listQuotes", "Quotes by their newest version, the newest on top.",
        &[WORDS, QUOTE_STATE, MOST, SKIP], quotes::list => QuoteListView),
    changes!("/quotes", QuotesWrite, "newQuote", "Plans a need, prices it, and writes the quote down.",
        true, false, quotes::new: quotes::QuoteBody => QuoteView),
    reads!("/quotes/{quote}", QuotesRead, "showQuote", "One quote with its paper and its versions.",
        &[VERSION], quotes::one => QuoteCloselyView),
    changes!("/quotes/{quote}/withdraw", QuotesWrite, "withdrawQuote", "Takes an open quote back.",
        false, false, quotes::withdraw: quotes::WithdrawBody => QuoteView),
    // It makes an order too, but who may quote is trusted with what a quote becomes.
    changes!("/quotes/{quote}/order", QuotesWrite, "orderQuote",
        "Turns a quote into an order; prices and stock are looked at again first.",
        true, false, quotes::order: quotes::QuoteOrderBody => OrderView),

    changes!("/allocations", AllocateWrite, "propose", "Works out who gets what, over all open orders at once.",
        true, false, allocations::propose: allocations::ProposeBody => AllocationView),
    reads!("/allocations/newest", AllocateRead, "showNewestAllocation", "The newest proposal.",
        &[], allocations::newest => AllocationView),
    reads!("/allocations/{allocation}", AllocateRead, "showAllocation", "One proposal.",
        &[], allocations::one => AllocationView),
    changes!("/allocations/{allocation}/accept", AllocateWrite, "acceptAllocation",
        "Chooses the builds and promises the modules of a proposal: all of what is named, or none.",
        false, false, allocations::accept: allocations::AcceptBody => AllocationView),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn what_is_told_of_some_addresses_is_told_of_ones_that_are_there() {
        assert_eq!(ALL.iter().filter(|r| r.searches()).count(), 6);
        assert_eq!(ALL.iter().filter(|r| r.tagged() && !r.versioned).count(), 5);
    }

    #[test]
    fn each_address_and_name_stands_once_and_scopes_read_or_write() {
        let ways: BTreeSet<_> = ALL.iter().map(|r| (r.way, r.path)).collect();
        let names: BTreeSet<_> = ALL.iter().map(|r| r.name).collect();
        assert_eq!((ways.len(), names.len()), (ALL.len(), ALL.len()));
        for route in ALL {
            let word = if route.way == Way::Get { ":read" } else { ":write" };
            assert!(route.scope.word().ends_with(word), "{}", route.path);
            assert!(route.path.matches('{').count() <= 1 && !route.versioned | route.body.is_some(), "{}", route.path);
        }
        let used: BTreeSet<_> = ALL.iter().map(|r| r.scope).collect();
        assert_eq!(used.len(), Scope::ALL.len(), "a scope that nothing asks for");
    }
}
