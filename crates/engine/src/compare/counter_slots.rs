//! Which slot an error counter of the kernel belongs to: by its label, else by the numbers that the driver gives it.

use super::Expected;
use super::pairing::plain;
use domain::Snapshot;
use domain::snapshot::{ErrorController, ErrorModule};
use std::collections::{BTreeMap, BTreeSet};

/// The expected slot of a counter: by the label, else by socket, controller, channel and slot.
pub fn slot(expected: &Expected, seen: &Snapshot, all: &[ErrorController], module: &ErrorModule) -> Option<usize> {
    let label = module.label.as_deref().unwrap_or("").trim();
    by_name(expected, seen, label).or_else(|| by_number(expected, all, module, label))
}

/// Firmware-first drivers name a module by its bank and device locator.
fn by_name(expected: &Expected, seen: &Snapshot, label: &str) -> Option<usize> {
    let wanted = plain(label);
    if wanted.is_empty() {
        return None;
    }
    let full = |s: &super::ExpectedSlot| plain(&format!("{} {}", s.bank.as_deref().unwrap_or(""), s.name));
    let one = |holds: &dyn Fn(&super::ExpectedSlot) -> bool| {
        let mut found = expected.slots.iter().enumerate().filter(|(_, s)| holds(s)).map(|(i, _)| i);
        found.next().filter(|_| found.next().is_none())
    };
    let reported = seen
        .slots
        .iter()
        .find(|s| plain(&format!("{} {}", s.bank.as_deref().unwrap_or(""), s.name)) == wanted)
        .map(|s| plain(&s.name));
    one(&|s| plain(&s.name) == wanted)
        .or_else(|| one(&|s| full(s) == wanted))
        .or_else(|| reported.and_then(|name| one(&|s| plain(&s.name) == name)))
}

/// `CPU_SrcID#0_MC#1_Chan#2_DIMM#0` and its like: number after each word.
fn by_number(expected: &Expected, all: &[ErrorController], module: &ErrorModule, label: &str) -> Option<usize> {
    let named = numbers(label);
    let layer = |name: &str| module.location.iter().find(|(l, _)| l == name).map(|(_, n)| *n);
    let get = |names: &[&str]| names.iter().find_map(|n| named.get(*n).copied());
    let socket = get(&["srcid"])?;
    let channel = get(&["chan", "channel"]).or_else(|| layer("channel"))?;
    let position = get(&["dimm"]).or_else(|| layer("slot"))?;
    let memory_controller = get(&["mc", "ha"]);
    let lowest = lowest_channel(all);
    let wanted = (socket, memory_controller.unwrap_or(0), channel.checked_sub(lowest)?, position);
    let found = expected.slots.iter().position(|s| place(s) == Some(wanted));
    found.or_else(|| {
        // Counted over the whole socket where the plan knows no controllers.
        let flat = (wanted.0, 0, wanted.1 * per_controller(expected, all, wanted.0)? + wanted.2, wanted.3);
        expected.slots.iter().position(|s| s.at.is_some_and(|a| a.controller.is_none()) && place(s) == Some(flat))
    })
}

type Number = (u32, u32, u32, u32);

fn place(slot: &super::ExpectedSlot) -> Option<Number> {
    let at = slot.at?;
    Some((at.socket.into(), at.controller.unwrap_or(0).into(), at.channel.into(), at.position?.into()))
}

/// One family's driver counts channels from 1.
fn lowest_channel(all: &[ErrorController]) -> u32 {
    let channels = all.iter().flat_map(|c| &c.modules).filter_map(|m| {
        let named = numbers(m.label.as_deref().unwrap_or(""));
        named.get("chan").or_else(|| named.get("channel")).copied()
    });
    let seen: BTreeSet<u32> = channels.collect();
    // Channels 1, 2 and 3 and never 0: a family of three channels whose driver starts at 1.
    u32::from(seen.first() == Some(&1) && seen.contains(&3) && seen.last() == Some(&3))
}

fn per_controller(expected: &Expected, all: &[ErrorController], socket: u32) -> Option<u32> {
    let controllers: BTreeSet<u32> = all
        .iter()
        .flat_map(|c| &c.modules)
        .map(|m| numbers(m.label.as_deref().unwrap_or("")))
        .filter(|n| n.get("srcid") == Some(&socket))
        .filter_map(|n| n.get("mc").or_else(|| n.get("ha")).copied())
        .collect();
    let channels: BTreeSet<u8> = expected
        .slots
        .iter()
        .filter_map(|s| s.at)
        .filter(|a| u32::from(a.socket) == socket)
        .map(|a| a.channel)
        .collect();
    let count = controllers.last()? + 1;
    let channels = channels.len() as u32;
    channels.is_multiple_of(count).then_some(channels / count)
}

/// The numbers of `word#number` pairs, words in lower case.
fn numbers(label: &str) -> BTreeMap<String, u32> {
    let mut out = BTreeMap::new();
    for piece in label.split(['_', ' ', '/']) {
        if let Some((word, number)) = piece.split_once('#')
            && let Ok(number) = number.trim().parse()
        {
            out.insert(word.trim().to_lowercase(), number);
        }
    }
    out
}
