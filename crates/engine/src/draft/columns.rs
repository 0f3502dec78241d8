//! The names of all slots side by side: one column for each letter or number that tells slots apart.

use super::pieces::{Kind, Piece, pieces};
use std::collections::{BTreeMap, BTreeSet};

/// Where a column was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum From {
    /// The slot's own name.
    Name,
    /// The bank locator.
    Bank,
    /// Numbers that the report gives for the place.
    Location,
}

/// What the word before a letter or number says that it counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    Socket,
    /// Socket, memory controller, part of a processor or channel: only the count tells which.
    Node,
    Controller,
    Channel,
    /// A module's place: on its channel, in its socket or in the machine.
    Module,
    /// A running number without meaning.
    Bank,
    /// No word, or one that says nothing.
    Unsaid,
}

/// One letter or number of each slot's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    pub from: From,
    pub label: String,
    pub role: Role,
    pub kind: Kind,
    /// Slot by slot, the rank of its token among those of the column: letters and numbers are never computed with,
    /// because `I`, `O` and channels that are not wired are left out.
    pub ranks: Vec<Option<usize>>,
    /// The tokens by rank.
    pub tokens: Vec<String>,
}

impl Column {
    /// Does every slot have a token here?
    pub fn is_whole(&self) -> bool {
        !self.ranks.is_empty() && self.ranks.iter().all(Option::is_some)
    }
    /// Different tokens.
    pub fn count(&self) -> usize {
        self.tokens.len()
    }
    /// Do slots of one group differ in it?
    pub fn varies_within(&self, groups: &[Option<usize>]) -> bool {
        let mut seen: BTreeMap<usize, usize> = BTreeMap::new();
        let pairs = groups.iter().zip(&self.ranks).filter_map(|(g, r)| Some(((*g)?, (*r)?)));
        for (group, rank) in pairs {
            if *seen.entry(group).or_insert(rank) != rank {
                return true;
            }
        }
        false
    }
    /// The word for it in a sentence.
    pub fn words(&self) -> String {
        let what = match self.kind {
            Kind::Letter => "letter",
            Kind::Number => "number",
            Kind::Word => "word",
        };
        let place = match self.from {
            From::Name => "of the name",
            From::Bank => "of the bank locator",
            From::Location => "of the place that the report states",
        };
        if self.label.is_empty() {
            format!("the {what} {place}")
        } else {
            format!("the {what} after {} {place}", self.label)
        }
    }
}

fn role(label: &str, kind: Kind) -> Role {
    match label {
        "CPU" | "PROC" | "PROCESSOR" | "SOCKET" | "SKT" | "SRCID" | "P" | "S" => Role::Socket,
        "NODE" | "N" => Role::Node,
        "MC" | "IMC" | "HA" | "CONTROLLER" => Role::Controller,
        "CHANNEL" | "CHAN" | "CH" => Role::Channel,
        "C" if kind == Kind::Number => Role::Channel,
        "DIMM" | "DIM" | "SODIMM" | "SLOT" | "MODULE" | "D" => Role::Module,
        "BANK" => Role::Bank,
        _ => Role::Unsaid,
    }
}

/// The columns of these texts, in the order in which they stand in them.
pub fn columns(from: From, texts: &[&str]) -> Vec<Column> {
    let mut lists: Vec<Vec<Piece>> = texts.iter().map(|t| pieces(t)).collect();
    take_constant_letters_as_words(&mut lists);
    if from == From::Name {
        split_digits(&mut lists);
    }
    let mut order: Vec<(String, Kind, usize)> = Vec::new();
    let mut cells: BTreeMap<(String, Kind, usize), Vec<Option<String>>> = BTreeMap::new();
    for (slot, list) in lists.iter().enumerate() {
        for (key, piece) in keyed(list) {
            if !cells.contains_key(&key) {
                order.push(key.clone());
            }
            let cell = cells.entry(key).or_insert_with(|| vec![None; texts.len()]);
            if let Some(cell) = cell.get_mut(slot) {
                *cell = Some(piece.text.clone());
            }
        }
    }
    let made = order.into_iter().filter_map(|key| cells.remove(&key).map(|cells| column(from, key.0, key.1, &cells)));
    made.collect()
}

/// A column of tokens.
pub fn column(from: From, label: String, kind: Kind, cells: &[Option<String>]) -> Column {
    let sorted: BTreeSet<(u64, usize, &str)> = cells.iter().flatten().map(|t| sort_key(t)).collect();
    let tokens: Vec<String> = sorted.iter().map(|k| k.2.to_string()).collect();
    let rank = |text: &Option<String>| text.as_ref().and_then(|t| tokens.iter().position(|k| k == t));
    let ranks = cells.iter().map(rank).collect();
    let role = role(&label, kind);
    Column { from, label, role, kind, ranks, tokens }
}

fn sort_key(text: &str) -> (u64, usize, &str) {
    (text.parse().unwrap_or(0), text.trim_start_matches('0').len(), text)
}

/// Pieces are the same where they have the same word, kind and number of like ones before them.
fn keyed(list: &[Piece]) -> Vec<((String, Kind, usize), &Piece)> {
    let mut seen: BTreeMap<(&str, Kind), usize> = BTreeMap::new();
    let mut keyed = Vec::new();
    for piece in list {
        let count = seen.entry((&piece.label, piece.kind)).or_insert(0);
        keyed.push(((piece.label.clone(), piece.kind, *count), piece));
        *count += 1;
    }
    keyed
}

/// A letter that is the same in all names and has a number right behind it says what that number counts: `P1`, `C0D1`.
fn take_constant_letters_as_words(lists: &mut [Vec<Piece>]) {
    let mut seen: BTreeMap<(String, Kind, usize), BTreeSet<String>> = BTreeMap::new();
    for list in lists.iter() {
        for (key, piece) in keyed(list) {
            seen.entry(key).or_default().insert(piece.text.clone());
        }
    }
    let constant: BTreeSet<(String, Kind, usize)> =
        seen.into_iter().filter(|(key, texts)| key.1 == Kind::Letter && texts.len() == 1).map(|(key, _)| key).collect();
    for list in lists.iter_mut() {
        let keys: Vec<bool> = keyed(list).iter().map(|(key, _)| constant.contains(key)).collect();
        let mut kept: Vec<Piece> = Vec::new();
        for (i, piece) in list.iter().enumerate() {
            let mut piece = piece.clone();
            let before = i.checked_sub(1);
            let named = before.is_some_and(|b| keys.get(b).copied().unwrap_or(false));
            let counted = piece.kind == Kind::Number && piece.glued && piece.label.is_empty() && named;
            if counted && let Some(letter) = kept.pop() {
                piece.label = letter.text;
            }
            kept.push(piece);
        }
        *list = kept;
    }
}

/// Words for the digits of a number that is really several: `DIMM012`.
const DIGITS: [&str; 3] = ["first digit", "second digit", "third digit"];

/// Numbers of one width that leave gaps and end in 0 to 3 are digits side by side, not running numbers.
fn split_digits(lists: &mut [Vec<Piece>]) {
    let numbers: Option<Vec<&Piece>> = lists.iter().map(|l| l.iter().find(|p| p.kind == Kind::Number)).collect();
    let Some(numbers) = numbers else { return };
    let width = numbers.first().map_or(0, |p| p.text.len());
    let values: BTreeSet<u64> = numbers.iter().filter_map(|p| p.text.parse().ok()).collect();
    let (Some(least), Some(most)) = (values.first(), values.last()) else { return };
    let dense = most - least < values.len() as u64;
    let alike =
        numbers.iter().all(|p| p.text.len() == width && matches!(p.label.as_str(), "" | "DIMM" | "DIM" | "SLOT"));
    let ends = numbers.iter().all(|p| p.text.ends_with(['0', '1', '2', '3']));
    let zero = numbers.iter().any(|p| p.text.starts_with('0')) || width == 3;
    if !(2..=3).contains(&width) || dense || !alike || !ends || !zero || values.len() != lists.len() {
        return;
    }
    for list in lists.iter_mut() {
        let Some(at) = list.iter().position(|p| p.kind == Kind::Number) else { continue };
        let Some(whole) = list.get(at).cloned() else { continue };
        let digit = |(label, text): (&&str, char)| Piece {
            label: label.to_string(),
            kind: Kind::Number,
            text: text.to_string(),
            glued: false,
        };
        let skip = DIGITS.len() - width;
        let digits: Vec<Piece> = DIGITS.iter().skip(skip).zip(whole.text.chars()).map(digit).collect();
        list.splice(at..=at, digits);
    }
}

impl Column {
    /// Is it one of several digits written side by side, and which: 0 for the socket's, 1 the channel's, 2 the place's?
    pub fn digit(&self) -> Option<usize> {
        DIGITS.iter().position(|d| *d == self.label)
    }
}
