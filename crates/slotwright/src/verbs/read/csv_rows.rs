//! A list of modules as CSV: a row becomes what it says of one module, a bad row a note with line and column.

use super::super::recognise::{self, What};
use super::beside::Beside;
use super::header::{self, Column};
use super::sources::{self, Told, Why};
use super::view::{InputView, NoteView, UnreadView};
use super::{Content, Heap, Piece};
use domain::reading::{Made, Maker};
use domain::{Capacity, ModuleReading};
use engine::screen::{Evidence, Given};

/// Largest quantity of one row; above, a price or a serial stands in the wrong column.
const QUANTITY_MOST: u32 = 100_000;

/// A cell that can't be read.
struct Bad {
    column: Column,
    why: String,
    hint: String,
}

type Heads = Vec<Option<Column>>;

impl Heap {
    /// Reads every row that can be read.
    pub(super) fn list(&mut self, name: &str, text: &str, beside: Beside<'_>) {
        self.many = true;
        let text = skip_comments(text);
        let first = text.1.lines().next().unwrap_or_default();
        let mut rows = csv::ReaderBuilder::new()
            .delimiter(header::delimiter(first))
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.1.as_bytes());
        let heads: Heads = match rows.headers() {
            Ok(heads) => heads.iter().map(Column::of).collect(),
            Err(e) => return self.refuse(UnreadView::new(name, None, e.to_string(), "write a header line")),
        };
        if !heads.iter().any(Option::is_some) {
            let hint = format!("name at least one of these in the first line: {}", Column::names());
            return self.refuse(UnreadView::new(name, Some(0), "its first line names no column that is known", &hint));
        }
        for (i, row) in rows.records().enumerate() {
            let at = |row: Option<u64>| row.map_or(i + 2, |l| usize::try_from(l).unwrap_or(usize::MAX)) + text.0;
            match row {
                Ok(row) if row.iter().all(str::is_empty) => {}
                Ok(row) => {
                    let place = format!("{name}:{}", at(row.position().map(csv::Position::line)));
                    self.row(&place, &heads, &row, beside);
                }
                Err(e) => {
                    let place = format!("{name}:{}", at(e.position().map(csv::Position::line)));
                    let hint = "check the quotes and the encoding of this line";
                    self.refuse(UnreadView::new(&place, None, e.to_string(), hint).met());
                }
            }
        }
    }

    fn row(&mut self, place: &str, heads: &Heads, row: &csv::StringRecord, beside: Beside<'_>) {
        let cell = |column: Column| {
            let cells = heads.iter().zip(row).filter(|(head, _)| **head == Some(column)).map(|(_, c)| c.trim());
            cells.into_iter().find(|c| !c.is_empty())
        };
        let mut bad = Vec::new();
        let mut told = Told::default();
        let mut keep = |column: Column, read: Result<Told, Why>| match read {
            Ok(more) => {
                told.given.extend(more.given);
                told.notes.extend(more.notes);
            }
            Err(Why { why, hint, .. }) => bad.push(Bad { column, why, hint }),
        };
        if let Some(text) = cell(Column::Label) {
            keep(Column::Label, sources::label(text));
        }
        if let Some(text) = cell(Column::Code) {
            keep(Column::Code, sources::code(text));
        }
        if let Some(text) = cell(Column::Spd) {
            self.taken.insert(beside.mark(text));
            keep(Column::Spd, spd(text, beside));
        }
        let (written, mut wrong) = written(&cell);
        bad.append(&mut wrong);
        told.given.extend(written.map(|reading| Given { from: Evidence::List, reading }));
        let more = sources::from_part_number(&told.given);
        told.given.extend(more.into_iter().filter(|g| !told.given.contains(g)).collect::<Vec<_>>());
        let quantity = quantity(cell(Column::Quantity)).unwrap_or_else(|why| {
            bad.push(why);
            1
        });
        for Bad { column, why, hint } in bad {
            let number = heads.iter().position(|h| *h == Some(column)).map_or(0, |i| i + 1);
            let why = format!("column {number} (`{}`): {why}", column.name());
            self.refuse(UnreadView::new(place, None, why, &hint).met());
        }
        if told.given.is_empty() {
            if !self.unread.iter().any(|u| u.from == place) {
                let hint = "give a label, a part number or a dump in each row";
                self.refuse(UnreadView::new(place, None, "the row tells of no module", hint).met());
            }
            return;
        }
        let name = cell(Column::Place).map_or_else(|| place.to_string(), |p| format!("{place} ({p})"));
        let input = if told.given.iter().any(|g| g.from == Evidence::Spd) {
            "spd"
        } else if told.given.iter().any(|g| matches!(g.from, Evidence::Label | Evidence::Code)) {
            "label"
        } else {
            "part-number"
        };
        let notes = told.notes.into_iter().map(NoteView::words).collect();
        self.pieces.push(Piece::new(InputView::new(input, &name), Content::Module(told.given, quantity), notes));
    }
}

/// Lines of comment before the header, and the text from the header on.
pub fn skip_comments(text: &str) -> (usize, &str) {
    let (mut skipped, mut rest) = (0, text);
    while rest.starts_with('#') || rest.starts_with('\n') || rest.starts_with("\r\n") {
        let end = rest.find('\n').map_or(rest.len(), |at| at + 1);
        rest = &rest[end..];
        skipped += 1;
    }
    (skipped, rest)
}

/// A dump: the path of a file beside the list, or the bytes as hexadecimal text.
fn spd(text: &str, beside: Beside<'_>) -> Result<Told, Why> {
    if let Some(bytes) = beside.bytes(text) {
        let bytes = bytes.map_err(|e| Why {
            offset: None,
            why: format!("`{text}`: {e}"),
            hint: "check that you may read it".to_string(),
        })?;
        return match recognise::text_of(&bytes) {
            Some(text) if recognise::bytes(&bytes) != What::Spd => sources::spd_text(&text),
            _ => sources::spd(&bytes),
        };
    }
    match recognise::hex_bytes(text) {
        Some(_) => sources::spd_text(text),
        None => Err(Why {
            offset: None,
            why: format!("there is no file `{text}` beside the list, and it is no hexadecimal text"),
            hint: "give paths from the list's own folder".to_string(),
        }),
    }
}

/// What somebody wrote down by hand.
fn written<'c>(cell: &impl Fn(Column) -> Option<&'c str>) -> (Option<ModuleReading>, Vec<Bad>) {
    let mut bad = Vec::new();
    let mut reading = ModuleReading {
        part_number: cell(Column::PartNumber).map(Into::into),
        serial: cell(Column::Serial).map(Into::into),
        maker: cell(Column::Maker).map(|name| Maker { name: Some(name.into()), id: None }),
        ..ModuleReading::default()
    };
    if let Some(text) = cell(Column::Capacity) {
        let with_unit = if text.chars().all(|c| c.is_ascii_digit()) { format!("{text} GB") } else { text.to_string() };
        match Capacity::parse(&with_unit) {
            Ok(capacity) => reading.capacity = Some(capacity),
            Err(e) => bad.push(Bad { column: Column::Capacity, why: e.to_string(), hint: e.hint() }),
        }
    }
    if let Some(text) = cell(Column::Made) {
        match made(text) {
            Some(made) => reading.made = Some(made),
            None => bad.push(Bad {
                column: Column::Made,
                why: format!("`{text}` is no year and week"),
                hint: "write 2021-12, 2021W12 or 2112: the year, then the week".to_string(),
            }),
        }
    }
    ((reading != ModuleReading::default()).then_some(reading), bad)
}

/// `2021-12`, `2021W12`, `2112`: year and week, as labels and lists print them.
fn made(text: &str) -> Option<Made> {
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    let other = text.chars().filter(|c| !c.is_ascii_digit()).all(|c| matches!(c, '-' | ' ' | '/' | '.' | 'W' | 'w'));
    let (year, week) = match digits.len() {
        6 => (digits[..4].parse().ok()?, digits[4..].parse().ok()?),
        4 => (2000 + digits[..2].parse::<u16>().ok()?, digits[2..].parse().ok()?),
        _ => return None,
    };
    other.then_some(Made { year, week })
}

fn quantity(text: Option<&str>) -> Result<u32, Bad> {
    let Some(text) = text else { return Ok(1) };
    let number = text.trim_end_matches(['x', 'X', '×']).trim();
    match number.parse::<u32>() {
        Ok(n) if (1..=QUANTITY_MOST).contains(&n) => Ok(n),
        _ => Err(Bad {
            column: Column::Quantity,
            why: format!("`{text}` is no quantity; one module is counted"),
            hint: format!("write a whole number from 1 to {QUANTITY_MOST}"),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_year_and_week_in_three_forms() {
        for text in ["2021-12", "2021W12", "2112", "21/12"] {
            assert_eq!(made(text), Some(Made { year: 2021, week: 12 }), "{text}");
        }
        assert_eq!(made("March 2021"), None);
        assert_eq!(made("2021-03-01"), None);
    }

    #[test]
    fn a_quantity_is_a_whole_number() {
        assert_eq!(quantity(None).ok(), Some(1));
        assert_eq!(quantity(Some("12x")).ok(), Some(12));
        for text in ["0", "-3", "1.5", "many", "12345678"] {
            assert!(quantity(Some(text)).is_err(), "{text}");
        }
    }
}
