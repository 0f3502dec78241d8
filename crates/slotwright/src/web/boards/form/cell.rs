//! Fields of the form as they stand for one text: where each leads to, what it shows, and what it puts back.

use super::parts::{BREAKING, Bare, Line, PARTS, Rows, Sort, What};
use catalog::{Held, Sheet};

/// A field with its place in the text.
#[derive(Debug, Clone)]
pub struct Cell {
    pub name: String,
    pub path: Vec<String>,
    pub line: Line,
}

/// A list of tables of the text: the path that leads to it.
#[derive(Debug, Clone)]
pub struct List {
    pub path: Vec<String>,
    pub rows: &'static Rows,
}

/// Steps as a path has them.
pub fn steps(path: &[String]) -> Vec<&str> {
    path.iter().map(String::as_str).collect()
}

/// A path with more steps.
pub fn below(path: &[String], more: &[&str]) -> Vec<String> {
    path.iter().cloned().chain(more.iter().map(ToString::to_string)).collect()
}

impl Cell {
    pub fn new(at: &[String], line: Line) -> Self {
        let path = below(at, line.key);
        Self { name: path.join("."), path, line }
    }
    /// What the text has there, as its field shows it.
    pub fn shown(&self, sheet: &Sheet) -> String {
        let path = self.place(sheet);
        let Some(held) = sheet.get(&steps(&path)) else { return String::new() };
        match self.line.sort {
            Sort::Lanes | Sort::Rows | Sort::Groups => held.lines(),
            _ => held.words(),
        }
    }
    /// Where its value stands: of a table that a bare value could stand for, the key that says the same.
    fn place(&self, sheet: &Sheet) -> Vec<String> {
        match self.line.bare {
            Bare::Is(key) if !key.is_empty() && sheet.is_table(&steps(&self.path)) => below(&self.path, &[key]),
            _ => self.path.clone(),
        }
    }
    /// Puts words in its place. False where the text has no place for them.
    pub fn put(&self, sheet: &mut Sheet, words: &str) -> bool {
        let held = held(words, self.line.sort);
        if let (Bare::Beside(key), Some((_, table)), true) = (self.line.bare, self.path.split_last(), held.is_some())
            && !sheet.widen(&steps(table), key)
        {
            return false;
        }
        let path = self.place(sheet);
        sheet.put(&steps(&path), held.as_ref())
    }
}

/// A value with what breaking it does: its own field, and four beside it.
pub fn ruling(at: &[String], key: &'static str, line: Line) -> (Cell, Vec<Cell>) {
    let main = Cell::new(at, Line { bare: Bare::Is(key), ..line });
    let beside = BREAKING.iter().map(|l| Cell::new(&main.path, Line { bare: Bare::Beside(key), ..*l }));
    let beside = beside.collect();
    (main, beside)
}

/// Each controller's channels of a socket, a line each, and before them its name.
pub fn socket(sheet: &Sheet, at: usize) -> Vec<Cell> {
    let path = below(&[], &["socket", &at.to_string()]);
    let one = |key, sort, label, hint| Line { key, sort, label, hint, bare: Bare::Never };
    let controllers = sheet.count(&steps(&below(&path, &["controllers"]))).max(1);
    let lanes = (0..controllers).map(|c| {
        let at = below(&path, &["controllers", &c.to_string()]);
        Cell::new(&at, one(&[], Sort::Lanes, "Channels", ""))
    });
    [Cell::new(&path, one(&["name"], Sort::Words, "Name", "as charts and builds call it"))]
        .into_iter()
        .chain(lanes)
        .collect()
}

/// What is special about each slot, by its label: of every slot that the text names; of a variant without sockets of its own
/// also those of its `base`.
pub fn slots(sheet: &Sheet, base: &[String]) -> Vec<(String, [Cell; 3])> {
    let one = |key, sort, label| Line { key, sort, label, hint: "", bare: Bare::Never };
    let lines = [
        one(&["tab"], Sort::Words, "Colour of its tabs"),
        one(&["height_mm"], Sort::Number, "Tallest module, mm"),
        one(&["under_heat_sink"], Sort::Flag, "Under a heat sink"),
    ];
    let slots = sheet.sockets().into_iter().flat_map(|s| s.controllers.into_iter().flatten().flatten());
    let mut labels: Vec<String> = slots.map(|s| s.label).collect();
    if labels.is_empty() {
        labels.extend_from_slice(base);
    }
    let others: Vec<String> = sheet.keys(&["slot"]).into_iter().filter(|l| !labels.contains(l)).collect();
    labels.extend(others);
    let cells = |(at, label): (usize, String)| {
        let path = below(&[], &["slot", &label]);
        // A label may hold any character: its number stands in the name of the field.
        let cells = lines.map(|l| Cell { name: format!("slot.{at}.{}", l.key[0]), ..Cell::new(&path, l) });
        (label, cells)
    };
    labels.into_iter().enumerate().map(cells).collect()
}

/// The fields of a row: those shown at once, and those asked less often.
pub fn row(path: &[String], rows: &Rows) -> (Vec<Cell>, Vec<Cell>) {
    let cells = |lines: &[Line]| lines.iter().map(|l| Cell::new(path, *l)).collect();
    (cells(rows.lines), cells(rows.more))
}

/// Every list of tables, those within others too.
pub fn lists(sheet: &Sheet) -> Vec<List> {
    let mut all = Vec::new();
    for (at, what) in PARTS.iter().flat_map(|p| p.blocks) {
        let What::Rows(rows) = what else { continue };
        let list = List { path: below(&[], at), rows };
        if let Some((key, inner)) = rows.inner {
            let count = sheet.count(&steps(&list.path));
            all.extend((0..count).map(|n| List { path: below(&list.path, &[&n.to_string(), key]), rows: inner }));
        }
        all.push(list);
    }
    all
}

/// Every field that a text's form has; `base` as of [`slots`].
pub fn every(sheet: &Sheet, base: &[String]) -> Vec<Cell> {
    let mut all = Vec::new();
    for (at, what) in PARTS.iter().flat_map(|p| p.blocks) {
        let at = below(&[], at);
        match what {
            What::Keys(lines) => all.extend(lines.iter().map(|l| Cell::new(&at, *l))),
            What::Rulings(key, lines) => all.extend(lines.iter().flat_map(|l| {
                let (main, beside) = ruling(&at, key, *l);
                [main].into_iter().chain(beside)
            })),
            What::Sockets => all.extend((0..sheet.count(&["socket"])).flat_map(|s| socket(sheet, s))),
            What::Slots => all.extend(slots(sheet, base).into_iter().flat_map(|(_, cells)| cells)),
            What::Rows(_) => {}
        }
    }
    for list in lists(sheet) {
        for at in 0..sheet.count(&steps(&list.path)) {
            let (cells, more) = row(&below(&list.path, &[&at.to_string()]), list.rows);
            all.extend(cells.into_iter().chain(more));
        }
    }
    all
}

/// Words of a field as the text has them; nothing where the field is empty.
fn held(words: &str, sort: Sort) -> Option<Held> {
    let number = |words: &str| {
        let plain =
            words.parse::<i64>().is_ok() || words.parse::<f64>().is_ok_and(|n| n.is_finite() && words.contains('.'));
        // What is no number is kept as it was typed: the reader says what is wrong with it.
        if plain { Held::Number(words.to_string()) } else { Held::Words(words.to_string()) }
    };
    let word = |w: &str| Held::Words(w.to_string());
    let items = |words: &str, one: &dyn Fn(&str) -> Held| {
        Held::List(words.split([',', '\n']).map(str::trim).filter(|w| !w.is_empty()).map(one).collect())
    };
    let lanes =
        |one: &dyn Fn(&str) -> Held| Held::List(words.lines().filter(|l| !l.trim().is_empty()).map(one).collect());
    if words.trim().is_empty() {
        return None;
    }
    Some(match sort {
        Sort::Words | Sort::Long | Sort::Choice(_) => word(words),
        Sort::Number => number(words),
        Sort::Flag if ["true", "false"].contains(&words) => Held::Number(words.to_string()),
        Sort::Flag => word(words),
        Sort::WordList | Sort::SlotList => items(words, &word),
        Sort::NumberList => items(words, &number),
        Sort::Lanes => lanes(&|l| items(l, &word)),
        Sort::Groups => lanes(&|l| items(l, &number)),
        Sort::Rows => lanes(&|l| Held::List(l.split(',').map(|w| word(w.trim())).collect())),
    })
}
