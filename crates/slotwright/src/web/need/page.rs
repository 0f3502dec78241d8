//! The page of the need's form.

use super::form::{Form, Wrong};
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::Field;
use crate::web::layout::Page;
use crate::web::machine;
use domain::{Board, Catalog};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// The form; without a board only the choice of one.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let data = app.data();
    let form = Form::new(&asked.query);
    answer(data.library.catalog(), &form, &Wrong::default())
}

/// The form with what is wrong in it.
pub fn answer(catalog: &Catalog, form: &Form, wrong: &Wrong) -> Answer {
    let page = Page::new("What the customer needs", "/need", body(catalog, form, wrong));
    let way = vec![("/need", form.query.text())];
    let page = page.way(way).command("slotwright plan need.toml");
    if wrong.any() { page.refused() } else { page.answer() }
}

fn body(catalog: &Catalog, form: &Form, wrong: &Wrong) -> Markup {
    let query = &form.query;
    let named = query.get("board");
    let board = catalog.boards.get(named);
    let boards: Vec<(String, String)> =
        catalog.boards.values().map(|b| (b.id.clone(), format!("{}: {}", b.id, b.title))).collect();
    let field = Field {
        name: "board",
        label: "Board",
        value: named,
        hint: "not here? write it from its manual on the boards page",
        wrong: wrong.of("board").collect(),
        required: true,
        ..Field::default()
    };
    html! {
        @if wrong.any() {
            p.verdict.is-wrong role="alert" { strong { (wrong.count()) } " to mend before this can be planned; each is told beside its field." }
            @for words in wrong.of("") { p.wrong { (words) } }
        }
        form.need method="get" action="/plans" data-follow="board" {
            fieldset.board {
                legend { "Machine" }
                (field.choice(&boards))
                button.lesser formaction="/need" { @if board.is_some() { "Take this board" } @else { "Go on with this board" } }
                @if let Some(board) = board { (machine::fields(catalog, board, &form.query, wrong)) }
            }
            @if let Some(board) = board {
                (memory(form, wrong))
                (wishes(form, wrong))
                (sources(catalog, board, form, wrong))
                (present(form, wrong))
                div.acts {
                    button { "Plan it" }
                    a.button.lesser href="/need" { "Start again" }
                }
            }
        }
    }
}

fn field<'a>(form: &'a Form, wrong: &'a Wrong, name: &'a str, label: &'a str, hint: &'a str) -> Field<'a> {
    Field { name, label, hint, value: form.query.get(name), wrong: wrong.of(name).collect(), ..Field::default() }
}

fn memory(form: &Form, wrong: &Wrong) -> Markup {
    html! {
        fieldset {
            legend { "How much memory, usable" }
            p.hint { "GB means GiB here, as the trade writes it; TB means 1024 GiB." }
            div.row {
                (field(form, wrong, "about", "About", "such as 750 GB: the nearest even fills on both sides; not beside the next two").line())
                (field(form, wrong, "least", "At least", "such as 700 GB").line())
                (field(form, wrong, "most", "At most", "such as 1 TB").line())
            }
            @for words in wrong.of("capacity") { p.wrong { (words) } }
        }
    }
}

fn wishes(form: &Form, wrong: &Wrong) -> Markup {
    html! {
        fieldset {
            legend { "Wishes and limits" }
            div.row {
                (field(form, wrong, "budget", "Budget, for all machines", "such as 2500 EUR").line())
                (field(form, wrong, "bandwidth", "Bandwidth at least", "such as 150 GB/s").line())
                (field(form, wrong, "rate", "Data rate at least, in MT/s", "such as 2933").line())
                (field(form, wrong, "free_slots", "Slots to leave free", "for later").line())
                (field(form, wrong, "machines", "Machines alike", "1 if left empty").line())
            }
        }
    }
}

fn sources(catalog: &Catalog, board: &Board, form: &Form, wrong: &Wrong) -> Markup {
    let fits =
        || catalog.modules.values().filter(|m| m.generation == board.generation && board.kinds.contains(&m.kind));
    let same = |words: String| (words.clone(), words);
    let kinds: Vec<_> = fits().map(|m| m.kind).collect::<BTreeSet<_>>().iter().map(|k| same(k.to_string())).collect();
    let sizes: Vec<_> =
        fits().map(|m| m.capacity).collect::<BTreeSet<_>>().iter().map(|c| same(c.to_string())).collect();
    let rates: Vec<_> = fits()
        .map(|m| m.rate.mts())
        .collect::<BTreeSet<_>>()
        .iter()
        .map(|r| (r.to_string(), format!("{r} MT/s")))
        .collect();
    let conditions = [same("new".to_string()), same("used".to_string())];
    let ticks = |name: &'static str, label: &'static str, options: &[(String, String)]| {
        field(form, wrong, name, label, "").ticks(options, &|v| form.query.holds(name, v))
    };
    let stock = Field {
        value: form.query.raw("stock"),
        ..field(form, wrong, "stock", "Or out of this stock (TOML)", STOCK_HINT)
    };
    html! {
        fieldset {
            legend { "Modules to choose from" }
            p.hint { "Nothing ticked in a row: any. All of the catalogue that the board takes is searched." }
            (ticks("kinds", "Kinds", &kinds))
            (ticks("capacities", "Sizes", &sizes))
            (ticks("rates", "Data rates printed on them", &rates))
            (ticks("conditions", "Condition", &conditions))
            details open[form.query.some("stock").is_some()] {
                summary { "Out of a stock of your own" }
                (stock.lines(8))
            }
        }
    }
}

const STOCK_HINT: &str =
    "lots as in a stock file: [[lot]], module = \"32GB 2Rx4 PC4-2933Y-R\", each = \"41.50 EUR\", count = 30";

fn present(form: &Form, wrong: &Wrong) -> Markup {
    let installed = Field {
        value: form.query.raw("installed"),
        ..field(form, wrong, "installed", "In its slots", "one a line: west-1-outer = 32GB 2Rx4 PC4-2933Y-R")
    };
    let loose = Field {
        value: form.query.raw("loose"),
        ..field(form, wrong, "loose", "Loose, coming with it", "one module a line")
    };
    let keep =
        [("yes".to_string(), "they stay in the machine".to_string()), ("no".to_string(), "they may go".to_string())];
    let open = ["installed", "loose"].iter().any(|n| form.query.some(n).is_some());
    html! {
        fieldset {
            legend { "Modules that it has already" }
            details open[open] {
                summary { "An upgrade" }
                (installed.lines(6))
                (loose.lines(3))
                (field(form, wrong, "keep", "What may become of them", "").choice(&keep))
            }
        }
    }
}
