//! Lists that are taken in: what a row says beside what its module is.

use super::act::read_bin;
use super::calendar;
use super::intake::{self, Row, RowFault, ScreenedView, Terms, Wrong, read_batch, read_condition, read_cost, short};
use crate::failure::Failure;
use crate::verbs::read::{self, Column, ReadView};
use crate::verbs::sent::Sent;
use crate::world::Data;
use domain::item::Who;
use std::collections::BTreeMap;
use std::path::Path;
use store::Store;

/// What a column says of an item and not of its module.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Extra {
    Condition,
    Bin,
    Cost,
    Supplier,
    Batch,
    Die,
    Received,
    Note,
}

/// Each with what people write at its head: capitals, blanks and signs do not count.
const EXTRAS: [(Extra, &[&str]); 8] = [
    (Extra::Condition, &["condition", "newused"]),
    (Extra::Bin, &["bin", "shelf", "drawer", "location", "storage"]),
    (Extra::Cost, &["cost", "price", "each", "unitcost", "unitprice", "costeach"]),
    (Extra::Supplier, &["supplier", "seller", "boughtfrom"]),
    (Extra::Batch, &["batch", "lot", "invoice", "delivery", "reference", "batchreference"]),
    (Extra::Die, &["die", "dies"]),
    (Extra::Received, &["received", "receivedon", "takenin"]),
    (Extra::Note, &["note", "notes", "remark", "remarks", "comment"]),
];

impl Extra {
    fn of(head: &str) -> Option<Self> {
        let plain: String = head.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
        EXTRAS.iter().find(|(_, heads)| heads.contains(&plain.as_str())).map(|(extra, _)| *extra)
    }
}

/// Takes in a list that was sent; dumps that it names were sent with it.
///
/// # Errors
/// [`Failure::Intake`] with every row that can't be taken in.
pub fn list_sent(
    data: &Data,
    store: &Store,
    text: &str,
    sent: &[Sent<'_>],
    terms: &Terms,
    who: &Who,
) -> Result<ScreenedView, Failure> {
    listed(data, store, read::intake::list(text, sent, &intake::question()), text, terms, who)
}

/// Takes in a list; dumps that it names lie in the folder.
///
/// # Errors
/// As [`list_sent`].
pub fn list_in(
    data: &Data,
    store: &Store,
    text: &str,
    folder: &Path,
    terms: &Terms,
    who: &Who,
) -> Result<ScreenedView, Failure> {
    listed(data, store, read::intake::list_in(text, folder, &intake::question()), text, terms, who)
}

fn listed(
    data: &Data,
    store: &Store,
    view: ReadView,
    text: &str,
    terms: &Terms,
    who: &Who,
) -> Result<ScreenedView, Failure> {
    let read = extras(text, terms);
    let mut faults = intake::unread(&view, text);
    faults.extend(read.faults);
    let row = |from: &str| {
        let line = read::intake::line_of(from)?;
        let (terms, text) = read.rows.get(&line)?.clone();
        Some(Row { line: Some(line), text, terms })
    };
    let mut view = intake::take(data, store, &view, &row, terms, faults, who)?;
    view.passed_over = read.passed_over;
    Ok(view)
}

/// What a list says beside its modules.
#[derive(Debug, Default)]
struct Extras {
    rows: BTreeMap<usize, (Terms, String)>,
    faults: Vec<RowFault>,
    /// Heads that nothing reads.
    passed_over: Vec<String>,
}

/// The same lines as the module reader has: comments before the header are skipped, the header is the first row.
fn extras(text: &str, terms: &Terms) -> Extras {
    let (skipped, rest) = read::skip_comments(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(read::delimiter(rest.lines().next().unwrap_or_default()))
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(rest.as_bytes());
    let mut found = Extras::default();
    let Ok(heads) = reader.headers().cloned() else { return found };
    let known: Vec<Option<Extra>> = heads.iter().map(Extra::of).collect();
    let unread = heads.iter().filter(|h| !h.is_empty() && Extra::of(h).is_none() && Column::of(h).is_none());
    found.passed_over = unread.map(short).collect();
    // What can't be read as a row at all is told by the module reader.
    for row in reader.records().flatten().filter(|r| r.iter().any(|c| !c.is_empty())) {
        let line = row.position().map_or(0, |p| usize::try_from(p.line()).unwrap_or(usize::MAX)) + skipped;
        let mut own = terms.clone();
        let mut bought = [None, None];
        for (column, (extra, cell)) in known.iter().zip(&row).enumerate() {
            let Some(extra) = extra.filter(|_| !cell.is_empty()) else { continue };
            if let Err((why, hint)) = keep(&mut own, &mut bought, extra, cell) {
                found.faults.push(RowFault {
                    line: Some(line),
                    column: Some(column + 1),
                    text: short(cell),
                    why,
                    hint,
                });
            }
        }
        match bought {
            [None, None] => {}
            [Some(supplier), Some(reference)] => own.batch = Some((supplier, reference)),
            [supplier, reference] => {
                // One of the two may stand for all rows.
                let (s, r) = own.batch.take().unzip();
                own.batch = supplier.or(s).zip(reference.or(r));
                if own.batch.is_none() {
                    let why = "of supplier and batch one is missing".to_string();
                    let hint = "fill both columns, or write SUPPLIER/REFERENCE as the batch".to_string();
                    let text = short(&row.iter().collect::<Vec<_>>().join(","));
                    found.faults.push(RowFault { line: Some(line), column: None, text, why, hint });
                }
            }
        }
        found.rows.insert(line, (own, row.iter().collect::<Vec<_>>().join(",")));
    }
    found
}

fn keep(own: &mut Terms, bought: &mut [Option<String>; 2], extra: Extra, cell: &str) -> Result<(), Wrong> {
    match extra {
        Extra::Condition => own.condition = read_condition(cell)?,
        Extra::Bin => own.bin = read_bin(cell).map_err(|e| (e.to_string(), e.hint()))?,
        Extra::Cost => own.cost = Some(read_cost(cell)?),
        Extra::Supplier => bought[0] = Some(cell.to_string()),
        Extra::Batch => match read_batch(cell) {
            Ok((supplier, reference)) if bought[0].is_none() => *bought = [Some(supplier), Some(reference)],
            _ => bought[1] = Some(cell.to_string()),
        },
        Extra::Die => own.die = Some(cell.to_string()),
        Extra::Received => own.today = calendar::read_day(cell).map_err(|e| (e.to_string(), e.hint()))?,
        Extra::Note => own.note = cell.to_string(),
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::{Condition, Day};
    use proptest::prelude::*;

    fn terms() -> Terms {
        Terms::read("", "", "40 EUR", "", "", Day::from_days(20_000)).unwrap()
    }

    #[test]
    fn a_row_overrides_what_holds_for_all_and_every_bad_cell_is_told() {
        let text = "# a comment\nlabel;cost;bin;colour;condition;supplier;batch\nx;42 EUR;a 3;red;mint;;\ny;;b2;;new;Whimbrel;7\nz;;;;;;7\n";
        let found = extras(text, &terms());
        assert_eq!(found.passed_over, ["colour"]);
        let told: Vec<_> = found.faults.iter().map(|f| (f.line, f.column, f.text.as_str())).collect();
        assert_eq!(told, [(Some(3), Some(3), "a 3"), (Some(3), Some(5), "mint"), (Some(5), None, "z,,,,,,7")]);
        let (second, _) = &found.rows[&4];
        assert_eq!((second.condition, second.bin.as_str(), second.cost), (Condition::New, "B2", terms().cost));
        assert_eq!(second.batch, Some(("Whimbrel".to_string(), "7".to_string())));
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_panic(text in "(label|cost|bin|batch|supplier|,|;|\"|\n|\r\n|#|x|42 EUR|é){0,40}") {
            let found = extras(&text, &terms());
            prop_assert!(found.rows.len() <= text.lines().count());
        }
    }
}
