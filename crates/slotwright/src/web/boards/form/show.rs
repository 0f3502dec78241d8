//! The form of a board's text as the page has it.

use super::cell::{Cell, below, row, ruling, slots, socket, steps};
use super::faults::Placed;
use super::parts::{Line, PARTS, Part, Rows, Sort, What};
use crate::web::field::Field;
use crate::web::judged;
use catalog::Sheet;
use maud::{Markup, html};

/// What the form is made of.
pub struct Form<'a> {
    pub sheet: &'a Sheet,
    pub placed: Placed<'a>,
    /// The slots of the board that this one inherits.
    pub base: &'a [String],
    /// What a field shows.
    pub value: &'a dyn Fn(&Cell) -> String,
    /// What is wrong with a field besides its text.
    pub wrong: &'a dyn Fn(&str) -> Vec<&'a str>,
    /// Where the form is sent.
    pub action: &'a str,
    /// The part that was worked in.
    pub open: Option<&'a str>,
    /// The field to go on in.
    pub focus: Option<&'a str>,
}

/// The part that a list of the text stands in.
pub fn part_of(list: &[String]) -> Option<&'static str> {
    let holds = |part: &&Part| part.blocks.iter().any(|(at, _)| list.starts_with(&below(&[], at)) && !at.is_empty());
    PARTS.iter().find(holds).map(|p| p.id)
}

/// The part of that name.
pub fn part_named(id: &str) -> Option<&'static str> {
    PARTS.iter().find(|p| p.id == id).map(|p| p.id)
}

const FLAG: &[(&str, &str)] = &[("true", "yes"), ("false", "no")];

impl Form<'_> {
    /// All parts, with what stands before those that follow the slots.
    pub fn parts(&self, laying: &Markup) -> Markup {
        html! {
            @for part in &PARTS { (self.part(part, laying)) }
        }
    }
    fn part(&self, part: &Part, laying: &Markup) -> Markup {
        let id = format!("part-{}", part.id);
        let bodies: Vec<Markup> = part.blocks.iter().map(|(at, what)| self.block(at, *what)).collect();
        let faults: usize = match part.blocks {
            [([], What::Keys(lines))] => lines.iter().map(|l| self.faulty(&Cell::new(&[], *l))).sum(),
            blocks => blocks.iter().take(1).map(|(at, _)| self.placed.within(at.first().unwrap_or(&""))).sum(),
        };
        let open = faults > 0 || self.open == Some(part.id) || matches!(part.id, "head" | "sockets");
        html! {
            details.part id=(id) open[open] {
                summary id={ (id) "-title" } {
                    (part.title) " "
                    span.hint { (self.given(part)) }
                    @if faults > 0 { " " (judged::mark("wrong")) " " (faults) " to mend" }
                }
                @if !part.hint.is_empty() { p.hint { (part.hint) } }
                @for body in &bodies { (body) }
                @if part.id == "sockets" { (laying) }
                div.acts { button.lesser name="act" value={ "look:" (part.id) } formaction={ (self.action) "#" (id) } { "Check" span.unseen { " after " (part.title) } } }
            }
        }
    }
    fn faulty(&self, cell: &Cell) -> usize {
        self.placed.at(&cell.name).len() + (self.wrong)(&cell.name).len()
    }
    /// In short, what a part holds.
    fn given(&self, part: &Part) -> String {
        let mut counts: Vec<String> = Vec::new();
        for (at, what) in part.blocks {
            let count = self.sheet.count(at);
            match what {
                What::Sockets if count > 0 => {
                    counts.push(if count == 1 { "1 socket".to_string() } else { format!("{count} sockets") })
                }
                What::Rows(_) if count > 0 => counts.push(format!("{count} rows").replace("1 rows", "1 row")),
                What::Slots if self.sheet.is_table(at) => counts.push("given".to_string()),
                What::Keys(_) | What::Rulings(..) if !at.is_empty() && self.sheet.is_table(at) && counts.is_empty() => {
                    counts.push("given".to_string());
                }
                _ => {}
            }
        }
        if counts.is_empty() && part.id != "head" { "nothing said".to_string() } else { counts.join(", ") }
    }
    fn block(&self, at: &[&str], what: What) -> Markup {
        let path = below(&[], at);
        match what {
            What::Keys(lines) => self.keys(&path, lines),
            What::Rulings(key, lines) => html! { @for line in lines { (self.ruling(&path, key, *line)) } },
            What::Rows(rows) => self.rows(&path, rows),
            What::Sockets => html! { @for at in 0..self.sheet.count(&["socket"]) { (self.socket(at)) } },
            What::Slots => self.slots(),
        }
    }
    fn keys(&self, at: &[String], lines: &[Line]) -> Markup {
        html! { div.row { @for line in lines { (self.cell(&Cell::new(at, *line), line.label)) } } }
    }
    fn cells(&self, cells: &[Cell], of: &str) -> Markup {
        html! { div.row { @for cell in cells { (self.named(cell, cell.line.label, of)) } } }
    }
    fn ruling(&self, at: &[String], key: &'static str, line: Line) -> Markup {
        let (main, beside) = ruling(at, key, line);
        html! {
            div.row.ruling {
                (self.cell(&main, line.label))
                (self.more(&main.name, &beside, "What breaking it does", &format!(": {}", line.label)))
            }
        }
    }
    /// Fields that are asked less often, open where one of them holds something wrong.
    fn more(&self, name: &str, cells: &[Cell], title: &str, of: &str) -> Markup {
        let faults: usize = cells.iter().map(|c| self.faulty(c)).sum();
        let said: Vec<String> = cells.iter().map(|c| (self.value)(c)).filter(|v| !v.is_empty()).collect();
        html! {
            details.more id={ "more-" (name) } open[faults > 0] {
                summary id={ "more-" (name) "-title" } { (title) span.unseen { (of) } @if !said.is_empty() { " " span.hint { (said.join(", ")) } } }
                (self.cells(cells, of))
            }
        }
    }
    fn faults(&self, path: &[String]) -> Markup {
        let all = self.placed.at(&path.join("."));
        html! { @if !all.is_empty() { div.wrong { @for words in all { (crate::web::field::fault(words)) } } } }
    }
    fn rows(&self, path: &[String], rows: &'static Rows) -> Markup {
        let count = self.sheet.count(&steps(path));
        let row = |at: usize| below(path, &[&at.to_string()]);
        html! {
            (self.faults(path))
            @if rows.more.is_empty() && count > 0 { (self.table(path, rows, count)) }
            @else if rows.inner.is_some() { @for at in 0..count { (self.folded(&row(at), at, rows)) } }
            @else { @for at in 0..count {
                fieldset.entry { legend { (rows.one) " " (at + 1) } (self.row(&row(at), at, rows)) }
            } }
            div.acts { (self.button(&format!("add:{}", path.join(".")), path, &format!("Add a {}", rows.one.to_lowercase()), "")) }
        }
    }
    fn row(&self, path: &[String], at: usize, rows: &'static Rows) -> Markup {
        let (cells, more) = row(path, rows);
        let of = format!(", {} {}", rows.one.to_lowercase(), at + 1);
        html! {
            (self.faults(path))
            (self.cells(&cells, &of))
            @if !more.is_empty() { (self.more(&path.join("."), &more, "More", &of)) }
            @if let Some((key, inner)) = rows.inner { (self.rows(&below(path, &[key]), inner)) }
            div.acts { (self.button(&format!("cut:{}", path.join(".")), path, &format!("Take this {} out", rows.one.to_lowercase()), &of)) }
        }
    }
    /// A row that holds a list of its own folds.
    fn folded(&self, path: &[String], at: usize, rows: &'static Rows) -> Markup {
        let name = path.join(".");
        let said: Vec<String> =
            rows.lines.iter().take(3).map(|l| (self.value)(&Cell::new(path, *l))).filter(|v| !v.is_empty()).collect();
        let faults = self.placed.within(&name);
        let inner = rows.inner.map_or(0, |(key, _)| self.sheet.count(&steps(&below(path, &[key]))));
        let focus = self.focus.is_some_and(|f| f.starts_with(&format!("{name}.")));
        html! {
            details.entry id={ "row-" (name) } open[faults > 0 || focus] {
                summary id={ "row-" (name) "-title" } {
                    (rows.one) " " (at + 1) " "
                    span.hint { (said.join(", ")) @if !said.is_empty() { ", " } (inner) @if inner == 1 { " row" } @else { " rows" } }
                    @if faults > 0 { " " (judged::mark("wrong")) " " (faults) " to mend" }
                }
                (self.row(path, at, rows))
            }
        }
    }
    fn table(&self, path: &[String], rows: &'static Rows, count: usize) -> Markup {
        let of = path.iter().nth_back(1).and_then(|n| n.parse::<usize>().ok()).map_or(0, |n| n + 1);
        html! {
            div.wide tabindex="0" role="group" aria-label={ "Rows of chart " (of) } { table.fills {
                thead { tr { @for line in rows.lines { th scope="col" { (line.label) } } td { span.unseen { "Act" } } } }
                tbody { @for at in 0..count {
                    @let here = below(path, &[&at.to_string()]);
                    @let words = format!(", row {} of chart {of}", at + 1);
                    tr id={ "row-" (here.join(".")) } {
                        @for (n, cell) in row(&here, rows).0.iter().enumerate() {
                            td { @if n == 0 { (self.faults(&here)) } (self.bare(cell, &format!("{}{words}", cell.line.label))) }
                        }
                        td { (self.button(&format!("cut:{}", here.join(".")), path, "Take out", &words)) }
                    }
                } }
            } }
        }
    }
    fn button(&self, act: &str, list: &[String], words: &str, of: &str) -> Markup {
        let part = part_of(list).unwrap_or("head");
        html! { button.lesser name="act" value=(act) formaction={ (self.action) "#part-" (part) } { (words) span.unseen { (of) } } }
    }
    fn socket(&self, at: usize) -> Markup {
        let path = below(&[], &["socket", &at.to_string()]);
        html! {
            fieldset.entry {
                legend { "Socket " (at) }
                (self.faults(&path))
                div.row { @for (n, cell) in socket(self.sheet, at).iter().enumerate() {
                    @if n == 0 { (self.named(cell, "Name", &format!(", socket {at}"))) }
                    @else { (self.named(cell, &format!("Channels of controller {}", n - 1), &format!(", socket {at}"))) }
                } }
            }
        }
    }
    fn slots(&self) -> Markup {
        let all = slots(self.sheet, self.base);
        html! {
            @if all.is_empty() { p.hint { "There are no slots yet." } }
            @else {
                div.wide tabindex="0" role="group" aria-label="Single slots" { table.slots {
                    thead { tr { th scope="col" { "Slot" } th scope="col" { "Colour of its tabs" } th scope="col" { "Tallest module, mm" } th scope="col" { "Under a heat sink" } } }
                    tbody { @for (label, cells) in &all {
                        tr id=(judged::anchor(label)) { th scope="row" { (label) } @for cell in cells { td { (self.bare(cell, &format!("{} of {label}", cell.line.label))) } } }
                    } }
                } }
            }
        }
    }
    fn named(&self, cell: &Cell, label: &str, of: &str) -> Markup {
        self.field(cell, |field| Field { label, of, ..field })
    }
    fn cell(&self, cell: &Cell, label: &str) -> Markup {
        self.named(cell, label, "")
    }
    /// A field in a table: its label is read aloud only.
    fn bare(&self, cell: &Cell, label: &str) -> Markup {
        self.field(cell, |field| Field { label, unseen: true, hint: "", ..field })
    }
    fn field<'f>(&'f self, cell: &'f Cell, named: impl FnOnce(Field<'f>) -> Field<'f>) -> Markup {
        let value = (self.value)(cell);
        let mut wrong = self.placed.at(&cell.name);
        wrong.extend((self.wrong)(&cell.name));
        let focus = self.focus == Some(cell.name.as_str());
        let broad = matches!(cell.line.sort, Sort::Long | Sort::Lanes | Sort::Rows | Sort::SlotList | Sort::WordList);
        let field = Field { name: &cell.name, hint: cell.line.hint, wrong, focus, broad, ..Field::default() };
        let field = named(field);
        let field = Field { value: &value, ..field };
        let options = |all: &[(&str, &str)]| -> Vec<(String, String)> {
            [("", "–")].iter().chain(all).map(|(v, w)| (v.to_string(), w.to_string())).collect()
        };
        match cell.line.sort {
            Sort::Choice(all) => field.choice(&options(all)),
            Sort::Flag => field.choice(&options(FLAG)),
            Sort::Long => field.lines(2),
            Sort::SlotList => field.lines(value.len().div_ceil(WIDE).clamp(1, 8)),
            Sort::Lanes | Sort::Rows | Sort::Groups => field.lines(value.lines().count().clamp(2, 16)),
            _ => field.line(),
        }
    }
}

/// Characters of a line of slots, as wide as its field mostly is.
const WIDE: usize = 22;
