//! Which path is answered by which page.

use super::app::App;
use super::asked::{Answer, Asked};
use super::layout;
use super::server::Handler;
use super::{build, diagnose, enter, home, need, plans, reference, sheets};
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
    ("/reference", reference::page),
];

/// No such page.
pub fn nothing(_: &App, asked: &Asked) -> Answer {
    layout::plain(StatusCode::NOT_FOUND, &format!("There is no page {}.", asked.path), "follow the links above")
}
