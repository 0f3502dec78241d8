//! The notation of march tests → elements. Accepted: braces or none; `;` or `,` or blanks between elements; the order as
//! `⇕ ⇑ ⇓`, `↕ ↑ ↓`, `b u d`, `any up down` or `<> ^ v`; `Del` for a pause; `r0,w1` or `r0 w1` inside round brackets.

use super::{Element, March, Op, Order};

/// Most operations a cell; the longest published ones have some 50.
const MOST: usize = 1000;

/// Why a text is no march test. Columns count characters from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MarchError {
    #[error("column {column}: `{found}` is no part of a march test")]
    Sign { column: usize, found: String },
    #[error("column {column}: `{found}` is no operation")]
    Operation { column: usize, found: String },
    #[error("column {column}: the sweep has no operation")]
    EmptySweep { column: usize },
    #[error("column {column}: the bracket that opens here is never closed")]
    Open { column: usize },
    #[error("there is no sweep in it")]
    Empty,
    #[error("column {column}: reads {read}, but {}", before(.written))]
    Contradiction { column: usize, read: u8, written: Option<u8> },
    #[error("it has more than {MOST} operations a cell")]
    Long,
}

fn before(written: &Option<u8>) -> String {
    match written {
        Some(value) => format!("the cells hold {value} there"),
        None => "nothing was written before".to_string(),
    }
}

impl MarchError {
    /// What to do next, in one clause.
    pub fn hint(&self) -> String {
        match self {
            Self::Sign { .. } | Self::Empty => {
                "write it as {b(w0); u(r0,w1); d(r1,w0)} (b either order, u up, d down, Del a pause), or name one that is known, \
                 such as March C-"
                    .to_string()
            }
            Self::Operation { .. } => "operations are r0, r1, w0 and w1".to_string(),
            Self::EmptySweep { .. } => "put operations between the brackets, such as (r0,w1)".to_string(),
            Self::Open { .. } => "close it behind the last operation".to_string(),
            Self::Contradiction { .. } => "good memory would fail such a test: correct the value".to_string(),
            Self::Long => format!("shorten it to {MOST} operations"),
        }
    }
}

/// Words and signs for orders, the longest first where one begins another.
const ORDERS: [(&str, Order); 14] = [
    ("⇕", Order::Either),
    ("↕", Order::Either),
    ("<>", Order::Either),
    ("any", Order::Either),
    ("b", Order::Either),
    ("⇑", Order::Up),
    ("↑", Order::Up),
    ("up", Order::Up),
    ("u", Order::Up),
    ("^", Order::Up),
    ("⇓", Order::Down),
    ("↓", Order::Down),
    ("down", Order::Down),
    ("v", Order::Down),
];

struct Walk<'a> {
    text: &'a str,
    at: usize,
}

impl Walk<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or_default()
    }
    fn column(&self) -> usize {
        self.text.get(..self.at).map_or(0, |t| t.chars().count()) + 1
    }
    fn skip(&mut self, signs: &[char]) {
        let gone =
            self.rest().len() - self.rest().trim_start_matches(|c: char| c.is_whitespace() || signs.contains(&c)).len();
        self.at += gone;
    }
    /// Takes a word where it stands next, in any case.
    fn take(&mut self, word: &str) -> bool {
        let there = self.rest().get(..word.len()).is_some_and(|t| t.eq_ignore_ascii_case(word));
        self.at += if there { word.len() } else { 0 };
        there
    }
    fn next(&self) -> String {
        self.rest()
            .split(|c: char| c.is_whitespace() || ";,(){}".contains(c))
            .next()
            .filter(|w| !w.is_empty())
            .map_or_else(|| self.rest().chars().take(1).collect(), |w| w.chars().take(12).collect())
    }
}

/// Reads a march test.
pub fn parse(text: &str) -> Result<March, MarchError> {
    let mut walk = Walk { text, at: 0 };
    let mut elements = Vec::new();
    let mut held: Option<bool> = None;
    let mut count = 0;
    loop {
        walk.skip(&['{', '}', ';', ',']);
        if walk.rest().is_empty() {
            break;
        }
        if walk.take("del") {
            elements.push(Element::Pause);
            continue;
        }
        let order = order(&mut walk)?;
        let ops = operations(&mut walk, &mut held)?;
        count += ops.len();
        if count > MOST {
            return Err(MarchError::Long);
        }
        elements.push(Element::Sweep { order, ops });
    }
    if count == 0 { Err(MarchError::Empty) } else { Ok(March { elements }) }
}

fn order(walk: &mut Walk<'_>) -> Result<Order, MarchError> {
    // `d` alone is down, but `del` is not; the caller has looked for it.
    let found = ORDERS.iter().find(|(word, _)| walk.take(word)).map(|(_, order)| *order);
    let found = found.or_else(|| walk.take("d").then_some(Order::Down));
    walk.skip(&[]);
    match found {
        Some(order) if walk.rest().starts_with('(') => Ok(order),
        _ => Err(MarchError::Sign { column: walk.column(), found: walk.next() }),
    }
}

fn operations(walk: &mut Walk<'_>, held: &mut Option<bool>) -> Result<Vec<Op>, MarchError> {
    let open = walk.column();
    walk.take("(");
    let mut ops = Vec::new();
    loop {
        walk.skip(&[',', ';']);
        let column = walk.column();
        if walk.take(")") {
            break;
        }
        if walk.rest().is_empty() {
            return Err(MarchError::Open { column: open });
        }
        let known =
            [("r0", Op::Read(false)), ("r1", Op::Read(true)), ("w0", Op::Write(false)), ("w1", Op::Write(true))];
        match known.into_iter().find(|(word, _)| walk.take(word)).map(|(_, op)| op) {
            Some(Op::Read(value)) if *held != Some(value) => {
                let written = held.map(u8::from);
                return Err(MarchError::Contradiction { column, read: u8::from(value), written });
            }
            Some(op) => {
                if let Op::Write(value) = op {
                    *held = Some(value);
                }
                ops.push(op);
            }
            None => return Err(MarchError::Operation { column, found: walk.next() }),
        }
    }
    if ops.is_empty() { Err(MarchError::EmptySweep { column: open }) } else { Ok(ops) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn all_forms_of_the_notation_are_one_test() {
        let whole = March::parse("{⇕(w0); ⇑(r0,w1); ⇓(r1,w0)}").unwrap();
        for same in [
            "{b(w0);u(r0,w1);d(r1,w0)}",
            "b(w0) u(r0 w1) d(r1 w0)",
            "any(W0), up(R0, W1), down(R1, W0)",
            "<>(w0); ^(r0,w1); v(r1,w0)",
            "↕(w0) ↑(r0,w1) ↓(r1,w0)",
        ] {
            assert_eq!(March::parse(same).as_ref(), Ok(&whole), "{same}");
        }
        assert_eq!(whole.to_string(), "{⇕(w0); ⇑(r0,w1); ⇓(r1,w0)}");
        assert_eq!(whole.ascii(), "{b(w0); u(r0,w1); d(r1,w0)}");
        assert_eq!(whole.operations(), 5);
        let paused = March::parse("{b(w0); Del; d(r0)}").unwrap();
        assert_eq!(paused.elements()[1], Element::Pause);
    }

    #[test]
    fn faults_are_told_with_their_column() {
        let told = |text: &str| March::parse(text).unwrap_err().to_string();
        assert_eq!(told("b(w0); u(r1)"), "column 10: reads 1, but the cells hold 0 there");
        assert_eq!(told("u(r0)"), "column 3: reads 0, but nothing was written before");
        assert_eq!(told("b(w0); x(r0)"), "column 8: `x` is no part of a march test");
        assert_eq!(told("b(w2)"), "column 3: `w2` is no operation");
        assert_eq!(told("b()"), "column 2: the sweep has no operation");
        assert_eq!(told("b(w0"), "column 2: the bracket that opens here is never closed");
        assert_eq!(told("Del"), "there is no sweep in it");
    }

    proptest! {
        #[test]
        fn any_text_is_survived_and_what_reads_is_written_back(text in "[bud⇑⇓⇕(){};, rw01Delv^<>]{0,40}") {
            if let Ok(march) = March::parse(&text) {
                prop_assert_eq!(March::parse(&march.to_string()), Ok(march.clone()));
                prop_assert_eq!(March::parse(&march.ascii()), Ok(march));
            }
        }
        #[test]
        fn any_signs_are_survived(text in ".{0,60}") {
            let _ = March::parse(&text).map_err(|e| (e.to_string(), e.hint()));
        }
    }
}
