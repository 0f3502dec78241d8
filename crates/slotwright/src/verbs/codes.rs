//! A snapshot as 2-D codes, for machines from which nothing else gets out.

use domain::Snapshot;
use draw::code::{Code, Spare, letters};
use readers::snapshot::parts;

/// No larger code than this (117 squares wide): cameras of phones and hand scanners read these still (common practice).
const LARGEST: i16 = 25;

/// A snapshot's codes.
#[derive(Debug)]
pub struct Codes {
    /// What tells them from those of another snapshot, eight hexadecimal digits.
    pub set: String,
    /// Text and squares, in order.
    pub parts: Vec<(String, Code)>,
}

/// Makes codes that are, with their clear space, at most `side` squares wide where that leaves room for a part at all.
pub fn codes(snapshot: &Snapshot, side: usize) -> Codes {
    let cut = parts::split(snapshot, letters(side, LARGEST, Spare::Screen));
    let code = |text: String| Code::new(&text, Spare::Screen).map(|code| (text, code));
    Codes { set: format!("{:08X}", cut.set), parts: cut.parts.into_iter().filter_map(code).collect() }
}

/// The files of codes: a name and its SVG each.
pub fn files(snapshot: &Snapshot) -> Vec<(String, String)> {
    let codes = codes(snapshot, usize::MAX);
    let count = codes.parts.len();
    let digits = count.to_string().len();
    let one = |(at, (text, _)): (usize, &(String, Code))| {
        let name = format!("snapshot-{}-{:0digits$}-of-{count}.svg", codes.set, at + 1);
        Some((name, draw::svg::code(text, Spare::Screen)?))
    };
    codes.parts.iter().enumerate().filter_map(one).collect()
}
