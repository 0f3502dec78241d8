//! A sheet as a page to print: the same blocks, in the same order, as its PDF.

use crate::web::layout::sentence;
use draw::code::Spare;
use draw::sheet::{Block, Sheet, Table};
use maud::{Markup, PreEscaped, html};

/// The sheet.
pub fn sheet(sheet: &Sheet) -> Markup {
    let mut map = 0;
    html! {
        article.sheet {
            header {
                @if !sheet.from.is_empty() { address { @for (at, line) in sheet.from.iter().enumerate() { @if at > 0 { br; } (line) } } }
                p.aside { @for (at, line) in sheet.aside.iter().enumerate() { @if at > 0 { br; } (line) } }
            }
            @for part in &sheet.blocks { (block(part, &mut map)) }
            p.foot { (sheet.foot) }
        }
    }
}

fn block(block: &Block, map: &mut usize) -> Markup {
    match block {
        Block::Heading(words) => html! { h2 { (words) } },
        Block::Text(words) => html! { p { (words) } },
        Block::Small(words) => html! { p.small { (words) } },
        Block::Cautions(lines) => html! {
            aside.cautions aria-label="Cautions" { ul { @for line in lines { li { span aria-hidden="true" { "⚠ " } (line) } } } }
        },
        Block::Facts(rows) => html! { dl.facts { @for (key, value) in rows { dt { (key) } dd { (value) } } } },
        Block::Table(rows) => table(rows),
        Block::Steps(steps) => html! {
            ol.ticked { @for step in steps { li {
                label { input type="checkbox"; span { strong { (step.act) } @if !step.detail.is_empty() { br; span.small { (sentence(&step.detail)) } } } }
            } } }
        },
        Block::Map(drawing) | Block::MapPage(drawing) => {
            *map += 1;
            html! { div.map tabindex="0" role="group" aria-label="Slot map" { (PreEscaped(draw::svg::embedded(drawing, &|_| None))) } }
        }
        Block::Signatures(lines) => html! { div.signatures { @for line in lines { p { span.line {} (line) } } } },
        Block::Blank(lines) => html! { div.blank aria-hidden="true" { @for _ in 0..*lines { span.line {} } } },
        Block::Stickers(all) => html! {
            ul.stickers { @for sticker in all { li {
                @if let Some(code) = draw::svg::code(&sticker.code, Spare::Paper) { span.code { (PreEscaped(code)) } }
                div { @for (at, line) in sticker.lines.iter().enumerate() { @if at == 0 { strong { (line) } } @else { span { (line) } } } }
            } } }
        },
        Block::Break => html! { hr.break; },
    }
}

fn table(table: &Table) -> Markup {
    let right = |at: usize| table.columns.get(at).is_some_and(|c| c.right);
    // A row may be shorter than the head: what is written by hand goes into the cells that are left.
    let row = |cells: &[String]| {
        let all = cells.len().max(table.columns.len());
        html! { @for at in 0..all { td.number[right(at)] { @if let Some(cell) = cells.get(at) { (cell) } } } }
    };
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table {
            thead { tr {
                @if table.ticks { th scope="col" { span.unseen { "Done" } } }
                @for column in &table.columns { th.number[column.right] scope="col" { (column.title) } }
            } }
            tbody { @for cells in &table.rows { tr {
                @if table.ticks { td { label.tick { input type="checkbox" aria-label={ "Done: " (cells.join(", ")) }; } } }
                (row(cells))
            } } }
            @if !table.totals.is_empty() {
                tfoot { @for cells in &table.totals { tr { @if table.ticks { td {} } (row(cells)) } } }
            }
        } }
    }
}
