//! Which tokens of the rows are addresses and which are bytes, told by whether the addresses grow as the bytes do.

use super::row::{Row, Token};

/// Rows whose addresses are known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Laid<'a> {
    pub lines: Vec<Line<'a>>,
    pub notes: Vec<String>,
}

/// A line of data.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line<'a> {
    /// From 1.
    pub number: usize,
    pub address: Option<u64>,
    pub data: Vec<Token<'a>>,
    pub star: bool,
}

/// Fewest rows that make a table of offset and value.
const TABLE_LEAST: usize = 8;

/// Lines that are named where their reading stopped.
const STOPS: usize = 4;

/// Decides on addresses.
pub fn lay_out(mut rows: Vec<Row<'_>>) -> Laid<'_> {
    let mut notes = Vec::new();
    drop_header(&mut rows);
    let prose = rows.iter().filter(|r| r.prose).count();
    for (line, text) in rows.iter().filter_map(|r| Some((r.line, r.stopped?))).take(STOPS) {
        notes.push(format!(
            "line {line}: read up to `{text}`, which is no byte; if bytes stand there, those behind move up"
        ));
    }
    rows.retain(|r| !r.prose);
    let filled = rows.iter().filter(|r| !r.tokens.is_empty()).count();
    let with_colon = rows.iter().filter(|r| r.address.is_some() && !r.tokens.is_empty()).count();
    let mut passed = prose;
    let lines = if with_colon * 2 >= filled && with_colon > 0 {
        passed += rows.iter().filter(|r| r.address.is_none() && !r.star).count();
        let rows: Vec<_> = rows.into_iter().filter(|r| r.address.is_some() || r.star).collect();
        let pairs: Vec<_> = rows.iter().map(|r| (r.address, cut(&r.tokens), r)).collect();
        let (_, radix) = better(&pairs, |_| true);
        if radix != 16 {
            notes.push(format!("the addresses count in {}", if radix == 8 { "octal" } else { "decimal" }));
        }
        pairs.iter().map(|(a, data, r)| line(r, a.and_then(|a| value(a, radix)), data.to_vec())).collect()
    } else {
        without_colons(&rows, &mut notes)
    };
    if passed > 0 {
        let lines = if passed == 1 { "line holds" } else { "lines hold" };
        notes.push(format!("{passed} {lines} no bytes, passed over"));
    }
    Laid { lines, notes }
}

fn line<'a>(row: &Row<'a>, address: Option<u64>, data: Vec<Token<'a>>) -> Line<'a> {
    Line { number: row.line, address, data, star: row.star }
}

fn value(token: Token<'_>, radix: u32) -> Option<u64> {
    u64::from_str_radix(token.digits, if token.marked { 16 } else { radix }).ok()
}

/// Takes off a first row that numbers the columns: 0 1 2 3 ...
fn drop_header(rows: &mut Vec<Row<'_>>) {
    let first = rows.iter().position(|r| !r.prose).filter(|at| rows.len() > at + 1);
    let Some(at) = first else { return };
    let numbers = rows.get(at).filter(|r| r.address.is_none() && r.tokens.len() >= 8);
    let counts = |r: &Row<'_>| r.tokens.iter().take(8).enumerate().all(|(i, t)| value(*t, 16) == Some(i as u64));
    if numbers.is_some_and(counts) {
        rows.remove(at);
    }
}

/// Bytes that a token stands for.
fn width(token: &Token<'_>) -> usize {
    token.digits.len().div_ceil(2).max(1)
}

/// Leaves off the text column: whatever stands behind a gap after 16 bytes, unless 16 more bytes do.
fn cut<'a, 'b>(tokens: &'b [Token<'a>]) -> &'b [Token<'a>] {
    let mut bytes = 0;
    for (at, token) in tokens.iter().enumerate() {
        let (front, behind) = tokens.split_at(at);
        let more: usize = behind.iter().map(width).sum();
        if token.gap && bytes == 16 && more != 16 {
            return front;
        }
        bytes += width(token);
    }
    tokens
}

type Addressed<'a, 'b> = (Option<Token<'a>>, &'b [Token<'a>], &'b Row<'a>);

/// How many rows are followed, in the order of addresses, by one that starts where they end.
fn fit(rows: &[Addressed<'_, '_>], radix: u32, length: impl Fn(u64) -> bool) -> usize {
    let mut spans: Vec<(u64, u64)> = rows
        .iter()
        .filter(|(_, data, _)| !data.is_empty())
        .filter_map(|(a, data, _)| Some((value((*a)?, radix)?, data.iter().map(width).sum::<usize>() as u64)))
        .collect();
    spans.sort_unstable();
    spans.dedup_by_key(|(a, _)| *a);
    spans.windows(2).filter(|w| matches!(w, [(a, n), (b, _)] if length(*n) && a.checked_add(*n) == Some(*b))).count()
}

/// Without a colon a first byte could grow by chance as an address does; rows of addresses have such lengths.
fn usual(length: u64) -> bool {
    length.is_power_of_two() || length == 10
}

/// The best fit of hexadecimal, decimal and octal addresses, and its radix; the first of these where they are alike.
fn better(rows: &[Addressed<'_, '_>], length: fn(u64) -> bool) -> (usize, u32) {
    let fits = [8, 10, 16].map(|radix| (fit(rows, radix, length), radix));
    fits.into_iter().max().unwrap_or((0, 16))
}

/// Rows whose addresses, if any, have no colon.
fn without_colons<'a>(rows: &[Row<'a>], notes: &mut Vec<String>) -> Vec<Line<'a>> {
    let filled: Vec<&Row<'a>> = rows.iter().filter(|r| r.tokens.len() >= 2).collect();
    let addressed: Vec<Addressed<'a, '_>> = filled
        .iter()
        .filter_map(|r| r.tokens.split_first().map(|(first, data)| (Some(*first), cut(data), *r)))
        .collect();
    let (fits, radix) = better(&addressed, usual);
    // A row behind a squeezed one does not start where the last one ends.
    let stars = rows.iter().filter(|r| r.star).count();
    if filled.len() >= 2 && fits > 0 && (fits + stars) * 5 >= (filled.len() - 1) * 3 {
        return rows.iter().map(|r| by_first(r, radix, usize::MAX)).collect();
    }
    // A table with a meaning behind each value: only the offset has to grow by one.
    let narrow: Vec<Addressed<'a, '_>> =
        filled.iter().filter_map(|r| Some((r.tokens.first().copied(), r.tokens.get(1..2)?, *r))).collect();
    let (fits, radix) = better(&narrow, usual);
    if filled.len() >= TABLE_LEAST && fits * 10 >= (filled.len() - 1) * 9 {
        return rows.iter().map(|r| by_first(r, radix, 1)).collect();
    }
    if let [only] = filled.as_slice()
        && let Some((first, data)) = only.tokens.split_first()
        && first.digits.len() >= 3
        && data.iter().all(|t| t.digits.len() == 2)
    {
        notes.push(format!("`{}` in front of the bytes was taken for an address", first.digits));
        return rows.iter().map(|r| by_first(r, 16, usize::MAX)).collect();
    }
    rows.iter().map(|r| line(r, None, cut(&r.tokens).to_vec())).collect()
}

/// A row whose first token is its address.
fn by_first<'a>(row: &Row<'a>, radix: u32, most: usize) -> Line<'a> {
    match row.tokens.split_first() {
        Some((first, data)) => {
            let data = cut(data).iter().take(most).copied().collect();
            line(row, value(*first, radix), data)
        }
        None => line(row, None, Vec::new()),
    }
}
