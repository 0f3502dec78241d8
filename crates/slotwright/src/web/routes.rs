//! Which path is answered by which page.

use super::app::App;
use super::asked::{Answer, Asked};
use super::layout;
use super::server::Handler;
use super::{
    allocate, boards, build, compare, diagnose, enter, home, modules, need, orders, plans, quotes, read, received,
    reference, rules, sheets, stock, suppliers,
};
use axum::http::StatusCode;

/// Every page.
pub const ALL: &[(&str, Handler)] = &[
    ("/", home::page),
    ("/enter", enter::page),
    ("/need", need::page),
    ("/plans", plans::list::page),
    ("/plan", plans::one::page),
    ("/side-by-side", plans::beside::page),
    ("/build", build::page),
    ("/sheets", sheets::page),
    ("/sheet/{kind}", sheets::paper),
    ("/diagnose", diagnose::page),
    ("/boards", boards::list::page),
    ("/boards/new", boards::edit::new),
    ("/boards/draft", boards::draft::page),
    ("/boards/{id}/edit", boards::edit::edit),
    ("/boards/{id}", boards::one::page),
    ("/compare", compare::page),
    ("/modules", modules::page),
    ("/machines", received::page),
    ("/machine/{number}", received::one),
    ("/read", read::page),
    ("/stock", stock::list::page),
    ("/stock/intake", stock::intake::page),
    ("/stock/item/{id}", stock::item::page),
    ("/stock/item/{id}/evidence", stock::evidence::page),
    ("/suppliers", suppliers::page),
    ("/orders", orders::list::page),
    ("/orders/new", orders::new::page),
    ("/order/{number}", orders::one::page),
    ("/quotes", quotes::list::page),
    ("/quotes/new", quotes::new::page),
    ("/quotes/prices", quotes::prices::page),
    ("/quote/{number}", quotes::one::page),
    ("/allocate", allocate::page),
    ("/rules", rules::list),
    ("/rules/{name}", rules::one),
    ("/reference", reference::page),
];

/// No such page.
pub fn nothing(_: &App, asked: &Asked) -> Answer {
    layout::plain(StatusCode::NOT_FOUND, &format!("There is no page {}.", asked.path), "follow the links above")
}
