//! Which socket each slot belongs to: what the names state, else what counts, nodes, arrays and letters agree on.

use super::columns::{Column, From, Role};
use super::facts::Facts;
use super::pieces::Kind;
use std::collections::{BTreeMap, BTreeSet};

/// How well a parting into sockets is founded, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ground {
    /// One sign that may mean something else.
    Hint,
    /// Signs that go together, none of which states it.
    Inferred,
    /// Independent signs agree, or the report states it.
    Stated,
}

/// A parting of the slots into sockets.
#[derive(Debug, Clone)]
pub struct Parting {
    /// By slot, from 0.
    pub of: Vec<Option<usize>>,
    pub ground: Ground,
    /// What it rests on, in words.
    pub by: String,
    /// What else agrees.
    pub agree: Vec<String>,
    /// What contradicts it.
    pub against: Vec<String>,
    /// It takes the name's letter to be the socket.
    pub by_letter: bool,
}

/// One way to part them.
struct Sign {
    of: Vec<Option<usize>>,
    by: String,
    stated: bool,
    /// A count of nodes, or of letters that is exactly sockets times channels.
    strong: bool,
    by_letter: bool,
}

impl Sign {
    fn new(of: Vec<Option<usize>>, by: String, stated: bool) -> Self {
        Self { of, by, stated, strong: false, by_letter: false }
    }
}

/// The best parting, or none where nothing tells.
pub fn part(facts: &Facts<'_>) -> Option<Parting> {
    let signs = signs(facts);
    let whole = |s: &&Sign| s.of.iter().all(Option::is_some);
    let best = signs.iter().filter(whole).find(|s| s.stated).or_else(|| signs.iter().find(whole))?;
    let (mut agree, mut against) = (Vec::new(), Vec::new());
    let mut strong = best.strong;
    for other in signs.iter().filter(|s| !std::ptr::eq(*s, best)) {
        if agrees(&best.of, &other.of) {
            strong |= other.strong;
            agree.push(other.by.clone());
        } else if other.stated {
            against.push(other.by.clone());
        }
    }
    let ground = if best.stated || (strong && !agree.is_empty()) {
        Ground::Stated
    } else if agree.is_empty() && !best.by_letter && !best.strong {
        Ground::Hint
    } else {
        Ground::Inferred
    };
    Some(Parting { of: best.of.clone(), ground, by: best.by.clone(), agree, against, by_letter: best.by_letter })
}

/// The same parting up to names, where both say something.
fn agrees(one: &[Option<usize>], other: &[Option<usize>]) -> bool {
    let (mut there, mut back) = (BTreeMap::new(), BTreeMap::new());
    let pairs = one.iter().zip(other).filter_map(|(a, b)| Some(((*a)?, (*b)?)));
    let mut some = false;
    for (a, b) in pairs {
        some = true;
        if *there.entry(a).or_insert(b) != b || *back.entry(b).or_insert(a) != a {
            return false;
        }
    }
    some
}

/// All signs, the most telling first.
fn signs(facts: &Facts<'_>) -> Vec<Sign> {
    let mut signs = Vec::new();
    let slots = facts.len();
    if facts.sockets == 1 {
        signs.push(Sign::new(vec![Some(0); slots], "the machine has one socket".to_string(), true));
    }
    signs.extend(by_processor_name(facts));
    for from in [From::Name, From::Location, From::Bank] {
        let stated = facts.of(from).filter(|c| c.role == Role::Socket || c.digit() == Some(0));
        signs.extend(stated.filter_map(|c| by_column(facts, c)));
    }
    if facts.links.iter().any(Option::is_some) {
        signs.push(Sign::new(facts.links.clone(), "the report links slots to processors".to_string(), true));
    }
    signs.extend(facts.columns.iter().filter(|c| c.role == Role::Node).filter_map(|c| by_nodes(facts, c)));
    signs.extend(by_arrays(facts));
    signs.extend(facts.of(From::Name).filter_map(|c| by_boards(facts, c)));
    signs.extend(by_letters(facts));
    signs
}

/// Slots whose name begins with a processor's name.
fn by_processor_name(facts: &Facts<'_>) -> Option<Sign> {
    let names: BTreeSet<&str> = facts.socket_names.iter().map(String::as_str).collect();
    if facts.sockets < 2 || names.len() != facts.sockets || names.iter().any(|n| n.is_empty()) {
        return None;
    }
    let begins = |text: &str, name: &str| {
        let rest = text.trim().strip_prefix(name);
        rest.is_some_and(|r| !r.starts_with(|c: char| c.is_ascii_digit()))
    };
    let longest = |text: &str| {
        let fits = facts.socket_names.iter().enumerate().filter(|(_, n)| begins(text, n));
        fits.max_by_key(|(_, n)| n.len()).map(|(i, _)| i)
    };
    let of: Vec<Option<usize>> = facts.slots.iter().map(|s| longest(&s.name)).collect();
    let parts: BTreeSet<usize> = of.iter().flatten().copied().collect();
    (parts.len() > 1 && of.iter().all(Option::is_some))
        .then(|| Sign::new(of, "the names begin with the names of the processors".to_string(), true))
}

/// A column that says so: `CPU1`, `P2`, `SOCKET 0`.
fn by_column(facts: &Facts<'_>, column: &Column) -> Option<Sign> {
    let count = column.count();
    if count == 0 || (facts.sockets > 0 && count > facts.sockets) || (facts.sockets == 0 && count > 16) {
        return None;
    }
    // `S` may be a slot as well; fewer names than processors may restart on each board.
    let stated =
        column.label != "S" && (count == facts.sockets || (column.digit().is_none() && count == facts.present));
    let of = if count == facts.sockets { column.ranks.clone() } else { among_processors(facts, column) };
    Some(Sign::new(of, format!("{} names the socket", column.words()), stated))
}

/// Fewer names than sockets: the number's rank among those of the processors' names, where they are all found there.
fn among_processors(facts: &Facts<'_>, column: &Column) -> Vec<Option<usize>> {
    let last = |name: &String| {
        let digits: String = name.chars().rev().take_while(char::is_ascii_digit).collect();
        digits.chars().rev().collect::<String>().parse::<u64>().ok()
    };
    let numbers: Option<BTreeSet<u64>> = facts.socket_names.iter().map(last).collect();
    let numbers: Vec<u64> = numbers.into_iter().flatten().collect();
    let ranked: Option<Vec<usize>> =
        column.tokens.iter().map(|t| t.parse().ok().and_then(|n: u64| numbers.iter().position(|m| *m == n))).collect();
    match ranked {
        Some(places) if numbers.len() == facts.sockets => {
            column.ranks.iter().map(|r| r.and_then(|r| places.get(r).copied())).collect()
        }
        _ => column.ranks.clone(),
    }
}

/// Groups of equal size, so many in a row to a socket.
fn chunks(ranks: &[Option<usize>], count: usize, sockets: usize) -> Option<Vec<Option<usize>>> {
    if sockets < 2 || count < sockets || !count.is_multiple_of(sockets) {
        return None;
    }
    let size = count / sockets;
    Some(ranks.iter().map(|r| r.map(|r| r / size)).collect())
}

fn even(of: &[Option<usize>]) -> bool {
    let mut sizes: BTreeMap<usize, usize> = BTreeMap::new();
    of.iter().flatten().for_each(|s| *sizes.entry(*s).or_default() += 1);
    let mut sizes = sizes.into_values();
    sizes.next().is_some_and(|first| sizes.all(|s| s == first))
}

fn by_nodes(facts: &Facts<'_>, column: &Column) -> Option<Sign> {
    let of = chunks(&column.ranks, column.count(), facts.sockets)?;
    let each = column.count() / facts.sockets;
    if column.is_whole() && each > 1 && !even(&of) {
        return None;
    }
    let by = if each == 1 {
        format!("there are as many nodes as sockets ({})", column.count())
    } else {
        format!("there are {each} nodes for each socket")
    };
    Some(Sign { strong: column.is_whole(), ..Sign::new(of, by, false) })
}

/// A memory board for each socket.
fn by_boards(facts: &Facts<'_>, column: &Column) -> Option<Sign> {
    let board = matches!(column.label.as_str(), "BOARD" | "CARD" | "RISER") && column.is_whole();
    let by = || format!("{} counts as many boards as there are sockets ({})", column.words(), column.count());
    (board && facts.sockets > 1 && column.count() == facts.sockets && even(&column.ranks))
        .then(|| Sign::new(column.ranks.clone(), by(), false))
}

fn by_arrays(facts: &Facts<'_>) -> Option<Sign> {
    let of = chunks(&facts.arrays, facts.array_count, facts.sockets)?;
    if facts.array_count != facts.sockets && !even(&of) {
        return None;
    }
    let by = format!("{} memory arrays (type 16) over {} sockets", facts.array_count, facts.sockets);
    Some(Sign::new(of, by, false))
}

/// The name's letter, where it stands beside a number: the socket, or channels counted over all sockets.
fn by_letters(facts: &Facts<'_>) -> Vec<Sign> {
    let mut signs = Vec::new();
    let loose = |c: &&Column| matches!(c.role, Role::Module | Role::Unsaid | Role::Channel) && c.count() > 1;
    let columns: Vec<&Column> = facts.of(From::Name).filter(loose).collect();
    let [one, rest @ ..] = columns.as_slice() else { return signs };
    let letter =
        if one.kind == Kind::Letter { Some(*one) } else { rest.iter().copied().find(|c| c.kind == Kind::Letter) };
    let number = columns.iter().find(|c| c.kind == Kind::Number);
    let (Some(letter), 1..=2) = (letter, columns.len()) else { return signs };
    let (letters, numbers) = (letter.count(), number.map_or(1, |n| n.count()));
    let channel = letter.role == Role::Channel;
    if !letter.is_whole() {
        return signs;
    }
    let reach = facts.channels.unwrap_or(1);
    if !channel && letters == facts.sockets && letters > 1 && (numbers > 3 || (numbers > 1 && numbers >= reach)) {
        let by = format!("{letters} letters for {} sockets, numbers to {numbers}", facts.sockets);
        signs.push(Sign { by_letter: true, ..Sign::new(letter.ranks.clone(), by, false) });
    }
    let each = letters.checked_div(facts.sockets).unwrap_or(0);
    let Some(of) = chunks(&letter.ranks, letters, facts.sockets).filter(|_| each >= 2) else { return signs };
    let as_channels = numbers <= 4 && facts.channels.is_none_or(|c| each <= c);
    let exact = facts.channels == Some(each);
    if as_channels && (exact || even(&of)) {
        let by = format!("{letters} letters over {} sockets, {each} each", facts.sockets);
        signs.push(Sign::new(of, exactly(by, exact), false));
    } else if numbers > 4 {
        let by = format!("{letters} letters over {} sockets, {each} groups each", facts.sockets);
        signs.push(Sign::new(of, by, false));
    }
    signs
}

fn exactly(by: String, exact: bool) -> String {
    if exact { format!("{by}, as many as the processor has channels") } else { by }
}
