//! Every address of the API, once: the router and the document are both made of this.

use super::answer::Written;
use super::call::Call;
use super::parameter::{Kind, MOST, Parameter, SKIP, WORDS};
use super::problem::Problem;
use super::{allocations, attachments, orders, quotes, stock, suppliers};
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
    /// All of them are needed.
    pub scopes: &'static [Scope],
    /// Its name in the document.
    pub name: &'static str,
    pub says: &'static str,
    pub parameters: &'static [Parameter],
    /// The schema of the body, where it takes one.
    pub body: Option<fn(&mut SchemaGenerator) -> Schema>,
    pub answer: fn(&mut SchemaGenerator) -> Schema,
    pub traits: &'static [Trait],
    pub run: fn(&Call) -> Result<Written, Problem>,
}

/// What else is to be said of an address.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trait {
    /// It makes something new.
    Makes,
    /// It holds against a version that the caller looked at, and tells the one after.
    Versioned,
    /// It tells the version of what it shows.
    Tagged,
    /// It searches for plans, which keeps a core busy.
    Searches,
}

impl Route {
    /// Is that said of it?
    pub fn is(&self, what: Trait) -> bool {
        self.traits.contains(&what)
    }
    /// Does its answer tell the version of what it shows?
    pub fn tagged(&self) -> bool {
        self.is(Versioned) || self.is(Tagged)
    }
    /// What is answered where all is well.
    pub fn status(&self) -> u16 {
        if self.is(Makes) { 201 } else { 200 }
    }
    /// What else may be answered, from low to high.
    pub fn refusals(&self) -> Vec<u16> {
        let mut all = vec![400, 401, 403, 500, 503];
        if let Some(body) = self.body.map(|_| [408, 409, 413, 415, 422]) {
            all.extend(body);
        } else if self.is(Searches) || self.path.ends_with("/attachment") {
            all.push(422);
        }
        if self.path.contains('{') || self.path.ends_with("/newest") || self.body.is_some() {
            all.push(404);
        }
        if self.is(Versioned) {
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
    ($path:literal, $scope:ident, $name:literal, $says:literal, [$($trait:ident),*], $parameters:expr, $work:path => $view:ty) => {
        Route {
            way: Way::Get,
            path: $path,
            scopes: &[Scope::$scope],
            name: $name,
            says: $says,
            parameters: $parameters,
            body: None,
            answer: |schemas| schemas.subschema_for::<$view>(),
            traits: &[$(Trait::$trait),*],
            run: |call| {
                let made: super::answer::Made<$view> = $work(call)?;
                Written::new(&made)
            },
        }
    };
}

/// A way that changes: its work takes the body and gives the view whose schemas stand in the document.
macro_rules! changes {
    ($path:literal, $($scope:ident)|+, $name:literal, $says:literal, [$($trait:ident),*], $work:path: $body:ty => $view:ty) => {
        Route {
            way: Way::Post,
            path: $path,
            scopes: &[$(Scope::$scope),+],
            name: $name,
            says: $says,
            parameters: &[],
            body: Some(|schemas| schemas.subschema_for::<$body>()),
            answer: |schemas| schemas.subschema_for::<$view>(),
            traits: &[$(Trait::$trait),*],
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
const CLOSED_FAILURES: Parameter =
    Parameter { name: "closed", says: "Those with nothing left to do too.", kind: Kind::Flag };
const BY: Parameter = Parameter {
    name: "by",
    says: "What they are counted by; the supplier where it is left out.",
    kind: Kind::Word(&["supplier", "batch", "model"]),
};
const SUPPLIER: Parameter = Parameter { name: "supplier", says: "Only what was bought of this one.", kind: Kind::Text };
const NAMED: Parameter = Parameter {
    name: "named",
    says: "The SHA-256, its first six digits or more, or the file's name; needed where more than one is attached.",
    kind: Kind::Text,
};
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

use super::attachments::ContentView;
use crate::verbs::plan::PlansView;
use crate::verbs::shop::accept::AcceptedView;
use crate::verbs::shop::allocate::AllocationView;
use crate::verbs::shop::evidence::{AttachmentListView, AttachmentView};
use crate::verbs::shop::intake::ScreenedView;
use crate::verbs::shop::order::{OrderCloselyView, OrderListView, OrderView};
use crate::verbs::shop::order_acts::{PickedView, SwappedView};
use crate::verbs::shop::quote::{QuoteCloselyView, QuoteListView, QuoteView};
use crate::verbs::shop::quote_make::QuoteMadeView;
use crate::verbs::shop::stock::{ItemCloselyView, ItemListView, ItemView, ShelfView};
use crate::verbs::shop::supplier::{BatchListView, BatchView, FailureListView, FailureView, RatesView};
use Trait::{Makes, Searches, Tagged, Versioned};

/// All of them.
#[rustfmt::skip]
pub const ALL: &[Route] = &[
    reads!("/stock/models", StockRead, "listModels", "What the shelf holds, by model and condition.", [],
        &[WORDS, STATES, BIN, MOST, SKIP], stock::models => ShelfView),
    reads!("/stock/items", StockRead, "listItems", "Single items and lots, the newest first.", [],
        &[WORDS, STATES, MODEL, BIN, MOST, SKIP], stock::items => ItemListView),
    changes!("/stock/items", StockWrite, "takeIn", "Takes a list of modules in, each screened: all of them or none.",
        [Makes], stock::take_in: stock::IntakeBody => ScreenedView),
    reads!("/stock/items/{item}", StockRead, "showItem", "One item with its history.", [Tagged],
        &[], stock::one => ItemCloselyView),
    changes!("/stock/items/{item}/move", StockWrite, "moveItem", "Moves an item to a bin.",
        [Versioned], stock::shift: stock::MoveBody => ItemView),
    changes!("/stock/items/{item}/mark", StockWrite, "markItem", "Holds an item back, puts it on the shelf, scraps it, or says that it is missing.",
        [Versioned], stock::mark: stock::MarkBody => ItemView),
    changes!("/stock/items/{item}/correct", StockWrite, "correctItem", "Mends what was written wrong of an item; its history keeps both.",
        [Versioned], stock::correct: stock::CorrectBody => ItemView),
    changes!("/stock/items/{item}/fail", StockWrite, "reportFailure",
        "Writes down that a module failed and holds it back; one of a lot becomes an item of its own.",
        [Makes], suppliers::fail: suppliers::FailBody => FailureView),
    reads!("/stock/items/{item}/attachments", StockRead, "listItemAttachments", "What is attached to an item.", [],
        &[], attachments::of_item => AttachmentListView),
    changes!("/stock/items/{item}/attachments", StockWrite, "attachToItem", "Keeps a photo, log, snapshot or record with an item.",
        [Makes], attachments::to_item: attachments::AttachBody => AttachmentView),
    reads!("/stock/items/{item}/attachment", StockRead, "getItemAttachment", "What is attached to an item under a sum or a name.", [],
        &[NAMED], attachments::get_of_item => ContentView),

    reads!("/orders", OrdersRead, "listOrders", "Orders, those that go first on top.", [],
        &[WORDS, STAGE, CLOSED, MOST, SKIP], orders::list => OrderListView),
    changes!("/orders", OrdersWrite, "newOrder", "Writes down what a customer asks for.",
        [Makes, Tagged], orders::new: orders::OrderBody => OrderView),
    reads!("/orders/{order}", OrdersRead, "showOrder", "One order: its steps, its history and its modules.", [Tagged],
        &[], orders::one => OrderCloselyView),
    changes!("/orders/{order}/change", OrdersWrite, "changeOrder", "Changes the priority or the day by which it is wanted.",
        [Versioned], orders::change: orders::ChangeBody => OrderView),
    reads!("/orders/{order}/plans", OrdersRead, "planOrder", "Plans for an order from what is free on the shelf.", [Searches],
        &[], orders::plans => PlansView),
    changes!("/orders/{order}/choose", OrdersWrite, "chooseBuild",
        "Chooses one of these plans; an earlier choice and what was promised for it go.",
        [Versioned, Searches], orders::choose: orders::ChooseBody => OrderView),
    changes!("/orders/{order}/reserve", OrdersWrite, "reserveModules",
        "Promises exact modules: matched sets first, then the oldest stock.",
        [Versioned, Searches], orders::reserve: orders::ReserveBody => OrderView),
    changes!("/orders/{order}/pick", OrdersWrite, "pickModules",
        "Marks modules as picked; when the last one is picked, so is the order.",
        [Versioned], orders::pick: orders::PickBody => PickedView),
    changes!("/orders/{order}/swap", OrdersWrite, "swapModule", "Puts another module in the place of one at the bench.",
        [Versioned], orders::swap: orders::SwapBody => SwappedView),
    changes!("/orders/{order}/step", OrdersWrite, "stampStep",
        "Stamps the next step; or goes back from verified to built.",
        [Versioned], orders::step: orders::StepBody => OrderView),
    changes!("/orders/{order}/cancel", OrdersWrite, "cancelOrder", "Cancels an order; all that it holds is released.",
        [Versioned], orders::cancel: orders::CancelBody => OrderView),
    reads!("/orders/{order}/attachments", OrdersRead, "listOrderAttachments", "What is attached to an order.", [],
        &[], attachments::of_order => AttachmentListView),
    changes!("/orders/{order}/attachments", OrdersWrite, "attachToOrder", "Keeps a photo, log, snapshot or record with an order.",
        [Makes], attachments::to_order: attachments::AttachBody => AttachmentView),
    reads!("/orders/{order}/attachment", OrdersRead, "getOrderAttachment", "What is attached to an order under a sum or a name.", [],
        &[NAMED], attachments::get_of_order => ContentView),

    reads!("/quotes", QuotesRead, "listQuotes", "Quotes by their newest version, the newest on top.", [],
        &[WORDS, QUOTE_STATE, MOST, SKIP], quotes::list => QuoteListView),
    changes!("/quotes", QuotesWrite, "newQuote", "Plans a need, prices it, and writes the quote down.",
        [Makes, Searches], quotes::new: quotes::QuoteBody => QuoteMadeView),
    reads!("/quotes/{quote}", QuotesRead, "showQuote", "One quote with its paper, its versions and its order.", [],
        &[VERSION], quotes::one => QuoteCloselyView),
    changes!("/quotes/{quote}/revise", QuotesWrite, "reviseQuote",
        "Plans and prices anew, and writes the next version; the one before is superseded.",
        [Makes, Searches], quotes::revise: quotes::ReviseBody => QuoteMadeView),
    changes!("/quotes/{quote}/withdraw", QuotesWrite, "withdrawQuote", "Takes an open quote back.",
        [], quotes::withdraw: quotes::WithdrawBody => QuoteView),
    changes!("/quotes/{quote}/order", QuotesWrite | OrdersWrite, "orderQuote",
        "Turns a quote into an order; prices and stock are looked at again first.",
        [Makes, Tagged, Searches], quotes::order: quotes::QuoteOrderBody => OrderView),

    reads!("/suppliers/failures", StockRead, "listFailures", "Modules that failed, the newest first.", [],
        &[CLOSED_FAILURES, MOST, SKIP], suppliers::failures => FailureListView),
    reads!("/suppliers/rates", StockRead, "listRates", "How often modules failed, the most failures first.", [],
        &[BY], suppliers::rates => RatesView),
    reads!("/suppliers/batches", StockRead, "listBatches", "What was bought, delivery by delivery.", [],
        &[SUPPLIER], suppliers::batches => BatchListView),
    changes!("/suppliers/batches/{batch}/warranty", StockWrite, "setWarranty", "Says until when a delivery can go back.",
        [], suppliers::warranty: suppliers::WarrantyBody => BatchView),
    changes!("/suppliers/returns", StockWrite, "sendBack", "Sends failed modules back to their supplier: all of them or none.",
        [Makes], suppliers::send: suppliers::SendBody => FailureListView),
    changes!("/suppliers/failures/{failure}/close", StockWrite, "closeFailure", "Says what became of a failure.",
        [], suppliers::close: suppliers::CloseBody => FailureView),

    changes!("/allocations", AllocateWrite, "propose", "Works out who gets what, over all open orders at once.",
        [Makes, Searches], allocations::propose: allocations::ProposeBody => AllocationView),
    reads!("/allocations/newest", AllocateRead, "showNewestAllocation", "The newest proposal.", [],
        &[], allocations::newest => AllocationView),
    reads!("/allocations/{allocation}", AllocateRead, "showAllocation", "One proposal.", [],
        &[], allocations::one => AllocationView),
    changes!("/allocations/{allocation}/accept", AllocateWrite, "acceptAllocation",
        "Chooses the builds and promises the modules of a proposal: all of what is named, or none.",
        [], allocations::accept: allocations::AcceptBody => AcceptedView),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_address_and_name_stands_once_and_scopes_read_or_write() {
        let ways: BTreeSet<_> = ALL.iter().map(|r| (r.way, r.path)).collect();
        let names: BTreeSet<_> = ALL.iter().map(|r| r.name).collect();
        assert_eq!((ways.len(), names.len()), (ALL.len(), ALL.len()));
        for route in ALL {
            let word = if route.way == Way::Get { ":read" } else { ":write" };
            assert!(
                !route.scopes.is_empty() && route.scopes.iter().all(|s| s.word().ends_with(word)),
                "{}",
                route.path
            );
            assert!(route.path.matches('{').count() <= 1, "{}", route.path);
            let changes = route.body.is_some();
            assert!(changes || !route.is(Versioned) && !route.is(Makes), "{}", route.path);
            assert!(!(route.is(Versioned) && route.is(Tagged)), "{}: one says the other", route.path);
        }
        let used: BTreeSet<_> = ALL.iter().flat_map(|r| r.scopes.iter().copied()).collect();
        assert_eq!(used.len(), Scope::ALL.len(), "a scope that nothing asks for");
    }
}
