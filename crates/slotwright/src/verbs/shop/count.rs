//! `stock count`: what was found in a bin against what the store says is there.

use super::act::read_bin;
use super::intake::serial_of;
use super::stock::ItemView;
use crate::failure::Failure;
use domain::item::{Item, ItemId, ItemState, Who};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use store::{Counted, Store};

/// A bin, counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CountView {
    pub bin: String,
    /// Modules with serials that should be here.
    pub expected: usize,
    /// Of these, found.
    pub found: usize,
    /// Not found; accepting marks them as missing.
    pub missing: Vec<ItemView>,
    /// Not found and promised to an order; accepting leaves them as they are.
    pub missing_promised: Vec<ItemView>,
    /// Found here, and in another bin by the store; accepting moves them here.
    pub elsewhere: Vec<ItemView>,
    /// Found here, and missing by the store; accepting puts them back on the shelf.
    pub back: Vec<ItemView>,
    /// Found here, and shipped, sent back or scrapped by the store: somebody has to look.
    pub gone: Vec<ItemView>,
    /// Serials that several modules bear: somebody has to look.
    pub unclear: Vec<String>,
    /// Serials that the store does not know.
    pub unknown: Vec<String>,
    /// Serials that were seen more than once.
    pub repeated: Vec<String>,
    /// Modules here without serials, which this does not count.
    pub without_serial: u32,
    /// The number of the stock-take, where it was accepted.
    pub accepted: Option<i64>,
}

impl CountView {
    /// Is something otherwise than the store says?
    pub fn differs(&self) -> bool {
        !(self.missing.is_empty()
            && self.missing_promised.is_empty()
            && self.elsewhere.is_empty()
            && self.back.is_empty()
            && self.gone.is_empty()
            && self.unclear.is_empty()
            && self.unknown.is_empty()
            && self.repeated.is_empty())
    }
}

/// Compares the serials that were seen in a bin, one a line, with the store; accepts what was found if asked to. That none was
/// seen is taken for a mistake, unless the bin is said to be `empty`.
///
/// # Errors
/// No bin, no serial, or the store was changed meanwhile.
pub fn count(
    store: &Store,
    bin: &str,
    seen: &str,
    (empty, accept): (bool, bool),
    who: &Who,
) -> Result<CountView, Failure> {
    let bin = read_bin(bin)?;
    let seen = seen_times(seen);
    if seen.is_empty() != empty {
        let (why, hint) = if empty {
            ("the bin is said to be empty, and serials are given", "leave out one of the two")
        } else {
            ("no serial was seen", "give the serials that lie in the bin, one a line; --empty says that none does")
        };
        return Err(Failure::Shop { why: why.to_string(), hint: hint.to_string() });
    }
    let here = store.in_bin(&bin)?;
    let mut view = CountView {
        expected: here.iter().filter(|i| i.serial.is_some()).count(),
        found: 0,
        missing: Vec::new(),
        missing_promised: Vec::new(),
        elsewhere: Vec::new(),
        back: Vec::new(),
        gone: Vec::new(),
        unclear: Vec::new(),
        unknown: Vec::new(),
        repeated: Vec::new(),
        without_serial: here.iter().filter(|i| i.serial.is_none()).map(|i| i.quantity).sum(),
        accepted: None,
        bin,
    };
    let mut counted = Counted { bin: view.bin.clone(), ..Counted::default() };
    let settled = settle(store, &here, &seen, &mut view, &mut counted)?;
    for item in here.iter().filter(|i| i.serial.is_some() && !settled.contains(&i.id)) {
        if item.reserved > 0 {
            view.missing_promised.push(ItemView::new(item));
        } else {
            counted.missing.push((item.id, item.version));
            view.missing.push(ItemView::new(item));
        }
    }
    if accept {
        counted.result = serde_json::to_string(&view)?;
        view.accepted = Some(store.accept_count(&counted, who)?);
    }
    Ok(view)
}

/// Each serial that was seen, and how often, in the order in which they came; notes are left out.
fn seen_times(text: &str) -> Vec<(String, usize)> {
    let mut times: Vec<(String, usize)> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for serial in text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#')).map(serial_of) {
        match places.get(&serial) {
            Some(place) => times[*place].1 += 1,
            None => {
                places.insert(serial.clone(), times.len());
                times.push((serial, 1));
            }
        }
    }
    times
}

/// Says of each serial what it is; the items of this bin about which nothing is left to say.
fn settle(
    store: &Store,
    here: &[Item],
    seen: &[(String, usize)],
    view: &mut CountView,
    counted: &mut Counted,
) -> Result<BTreeSet<ItemId>, Failure> {
    let mut settled = BTreeSet::new();
    for (serial, times) in seen {
        let bears = |i: &&Item| i.serial.as_deref().is_some_and(|s| s.eq_ignore_ascii_case(serial));
        let ours: Vec<&Item> = here.iter().filter(bears).collect();
        if *times > ours.len().max(1) {
            view.repeated.push(serial.clone());
        }
        if !ours.is_empty() {
            settled.extend(ours.iter().map(|i| i.id));
            // Makers may share a serial: which of these was seen, fewer scans than modules don't say.
            if *times < ours.len() {
                view.unclear.push(serial.clone());
            } else {
                view.found += ours.len();
            }
            continue;
        }
        let serial = serial.clone();
        let known = store.items_by_serial(&serial)?;
        match known.as_slice() {
            [] => view.unknown.push(serial),
            [item] => match item.state {
                ItemState::Shelf | ItemState::HeldBack => {
                    counted.here.push((item.id, item.version));
                    view.elsewhere.push(ItemView::new(item));
                }
                ItemState::Missing => {
                    counted.back.push((item.id, item.version));
                    view.back.push(ItemView::new(item));
                }
                ItemState::Shipped | ItemState::SentBack | ItemState::Scrapped => {
                    view.gone.push(ItemView::new(item));
                }
            },
            _ => view.unclear.push(serial),
        }
    }
    Ok(settled)
}
