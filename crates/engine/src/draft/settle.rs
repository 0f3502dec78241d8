//! From weighed readings to an answer: how sure it is, slot by slot, and what a person has to confirm.

use super::columns::{Column, From, Role};
use super::facts::Facts;
use super::pieces::Kind;
use super::places::{Lane, lanes};
use super::readings::{Basis, Reading};
use super::running::by_socket;
use super::sockets::{Ground, Parting};
use super::weigh::{CLEAR, letter_before_number};
use super::{Confidence, Draft, DraftSlot, Question};
use domain::Attach;
use std::collections::{BTreeMap, BTreeSet};

/// Slots of which nothing is known.
pub fn nothing(facts: &Facts<'_>, question: Question) -> Draft {
    with_sockets(facts, None, question)
}

/// Slots of which at most the socket is known.
pub fn with_sockets(facts: &Facts<'_>, parting: Option<&Parting>, question: Question) -> Draft {
    let socket_of = |i: usize| parting.and_then(|p| p.of.get(i).copied().flatten());
    let slot = |(i, seen): (usize, &&domain::snapshot::SeenSlot)| DraftSlot {
        handle: seen.handle.clone().into(),
        label: label(seen),
        socket: socket_of(i),
        channel: None,
        position: None,
        confidence: Confidence::Unsure,
        evidence: parting.map(|p| format!("socket: {}", p.by)).into_iter().collect(),
    };
    let mut questions = vec![question];
    questions.extend(parting.and_then(socket_question));
    Draft {
        confidence: Confidence::Unsure,
        sockets: sockets(facts, parting),
        channels_per_socket: None,
        slots: facts.slots.iter().enumerate().map(slot).collect(),
        others: facts.others.clone(),
        processor: facts.model.clone(),
        questions,
    }
}

/// The answer that the best of these readings gives; they are not empty.
pub fn settle(facts: &Facts<'_>, parting: &Parting, readings: &[Reading]) -> Option<Draft> {
    let (best, others) = chosen(parting, readings)?;
    let mut questions = Vec::new();
    let (confidence, odd) = confidence(facts, parting, best, &others, &mut questions);
    questions.extend(socket_question(parting).filter(|_| confidence != Confidence::Sure));
    let lanes = lanes(facts, parting, best);
    let mut slots: Vec<DraftSlot> = facts
        .slots
        .iter()
        .map(|seen| DraftSlot {
            handle: seen.handle.clone().into(),
            label: label(seen),
            socket: None,
            channel: None,
            position: None,
            confidence,
            evidence: Vec::new(),
        })
        .collect();
    for lane in &lanes {
        place(lane, &mut slots, confidence);
    }
    for (i, slot) in slots.iter_mut().enumerate() {
        slot.evidence = evidence(parting, best);
        if odd.contains(&i) {
            slot.confidence = slot.confidence.min(Confidence::Likely);
        }
    }
    questions.extend(place_questions(&lanes, &slots));
    let whole = slots.iter().map(|s| s.confidence).min().unwrap_or(Confidence::Unsure);
    Some(Draft {
        confidence: whole,
        sockets: sockets(facts, Some(parting)),
        channels_per_socket: best.widths(parting).into_iter().max(),
        slots,
        others: facts.others.clone(),
        processor: facts.model.clone(),
        questions,
    })
}

/// The best reading and the others. Where the bank locator only slips in a few slots, the names are right (seen in the field).
fn chosen<'r>(parting: &Parting, readings: &'r [Reading]) -> Option<(&'r Reading, Vec<&'r Reading>)> {
    let first = readings.first()?;
    let named = readings.iter().skip(1).find(|r| r.basis == Basis::Shape && r.from == From::Name);
    let best = match named {
        Some(named) if first.from == From::Bank && slips(parting, first, named).len() * 4 <= parting.of.len() => named,
        _ => first,
    };
    Some((best, readings.iter().filter(|r| !std::ptr::eq(*r, best)).collect()))
}

/// Slots that two readings put together with others.
fn slips(parting: &Parting, one: &Reading, other: &Reading) -> BTreeSet<usize> {
    let (one, other) = (one.groups(parting), other.groups(parting));
    let mut pairs: BTreeMap<usize, BTreeMap<usize, Vec<usize>>> = BTreeMap::new();
    for (slot, (a, b)) in one.iter().zip(&other).enumerate() {
        if let (Some(a), Some(b)) = (a, b) {
            pairs.entry(*a).or_default().entry(*b).or_default().push(slot);
        }
    }
    let mut odd = BTreeSet::new();
    let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
    for (group, parts) in &pairs {
        let main = parts.iter().max_by_key(|(_, slots)| slots.len()).map(|(b, _)| *b);
        for (b, slots) in parts {
            let clash = taken.insert(*b, *group).is_some();
            if main != Some(*b) || clash {
                odd.extend(slots);
            }
        }
    }
    odd
}

/// How sure the best reading is, and the slots of which it is less sure.
fn confidence(
    facts: &Facts<'_>,
    parting: &Parting,
    best: &Reading,
    others: &[&Reading],
    questions: &mut Vec<Question>,
) -> (Confidence, BTreeSet<usize>) {
    let fits = |r: &Reading| facts.channels.is_some_and(|c| r.widths(parting).iter().all(|w| *w == c));
    let over = facts.channels.is_some_and(|c| best.widths(parting).iter().any(|w| *w > c));
    let mut odd = BTreeSet::new();
    let mut rival = None;
    for other in others {
        let slipped = slips(parting, best, other);
        if other.basis == Basis::Word && slipped.len() * 4 <= facts.len() {
            odd.extend(&slipped);
            questions.push(Question {
                text: format!("the bank locator contradicts the name of {} slots: is the name right?", slipped.len()),
                readings: vec![best.by.clone(), other.by.clone()],
                slots: labels(facts, &slipped),
            });
        } else if rival.is_none() && stands(best, other, fits(best), fits(other)) {
            rival = Some(*other);
        }
    }
    let torn = best.doubts.iter().any(|d| d.contains("lie in two"));
    let sockets_stated = parting.ground == Ground::Stated && parting.against.is_empty();
    let plain = sockets_stated
        && !torn
        && !over
        && unexplained(facts, parting, best).is_none()
        && facts.attach == Attach::Direct;
    let mut confidence = match best.basis {
        Basis::Word if plain && rival.is_none() => Confidence::Sure,
        // `A1` with the letter as the place is against all habit, however well the counts fit.
        Basis::Shape if plain && rival.is_none() && fits(best) && !letter_as_place(facts, best) => Confidence::Sure,
        _ => Confidence::Likely,
    };
    if let Some(column) = unexplained(facts, parting, best) {
        questions.push(Question::plain(format!("what does {} say? It is not accounted for", column.words())));
        if best.basis == Basis::Counting {
            confidence = Confidence::Unsure;
        }
    }
    if let Some(rival) = rival {
        let lead = best.score - rival.score;
        if lead < CLEAR && best.basis == Basis::Counting {
            confidence = Confidence::Unsure;
        }
        questions.push(Question {
            text: "two readings of the names are left: which is right?".to_string(),
            readings: vec![best.by.clone(), rival.by.clone()],
            slots: Vec::new(),
        });
    }
    if best.basis == Basis::Counting && uneven(facts, parting) || parting.ground == Ground::Hint {
        confidence = Confidence::Unsure;
    }
    if confidence != Confidence::Sure && rival.is_none() {
        let doubts = if best.doubts.is_empty() { String::new() } else { format!(" ({})", best.doubts.join("; ")) };
        questions.push(Question::plain(format!("is this right: {}{doubts}?", best.by)));
    }
    (confidence, odd)
}

/// Does it take the number of `A1` for the channel?
fn letter_as_place(facts: &Facts<'_>, best: &Reading) -> bool {
    matches!(best.used.as_slice(), [.., channel, place] if channel > place) && letter_before_number(facts, best)
}

/// Does a socket have slots that do not come out even over its channels?
fn uneven(facts: &Facts<'_>, parting: &Parting) -> bool {
    let Some(channels) = facts.channels else { return true };
    by_socket(parting).values().any(|slots| slots.len() > channels && !slots.len().is_multiple_of(channels))
}

/// Can the other reading be right as well?
fn stands(best: &Reading, other: &Reading, best_fits: bool, other_fits: bool) -> bool {
    if best.basis == Basis::Word && other.basis < Basis::Word {
        return other_fits && !best_fits && other.basis == Basis::Shape;
    }
    if best.basis == Basis::Shape && other.basis == Basis::Counting {
        return false;
    }
    other_fits || !best_fits
}

/// A column of the names that differs within a socket and that the reading leaves over.
fn unexplained<'f>(facts: &'f Facts<'_>, parting: &Parting, best: &Reading) -> Option<&'f Column> {
    let groups = best.groups(parting);
    let places: BTreeSet<usize> = best.used.iter().copied().collect();
    let odd = |c: &Column| {
        if c.kind == Kind::Word {
            return c.count() > 1;
        }
        if !c.varies_within(&parting.of) || matches!(c.role, Role::Socket | Role::Bank | Role::Node) {
            return false;
        }
        let mut by_group: BTreeMap<usize, usize> = BTreeMap::new();
        let mut by_place: BTreeMap<usize, usize> = BTreeMap::new();
        let mut values = BTreeSet::new();
        let (mut of_group, mut of_place, mut serial) = (true, true, true);
        for (slot, rank) in c.ranks.iter().enumerate() {
            let (Some(rank), Some(group)) = (rank, groups.get(slot).copied().flatten()) else { continue };
            let socket = parting.of.get(slot).copied().flatten();
            of_group &= *by_group.entry(group).or_insert(*rank) == *rank;
            if let Some(place) = best.position.get(slot).copied().flatten() {
                of_place &= *by_place.entry(place).or_insert(*rank) == *rank;
            }
            serial &= values.insert((socket, *rank));
        }
        !(of_group || of_place || serial)
    };
    let read = |c: &Column| c.from == From::Name || (c.from == From::Bank && c.kind == Kind::Word);
    let left = facts.columns.iter().enumerate().filter(|(at, c)| read(c) && !places.contains(at));
    left.map(|(_, c)| c).find(|c| odd(c))
}

fn place(lane: &Lane, slots: &mut [DraftSlot], confidence: Confidence) {
    for (position, at) in lane.slots.iter().enumerate() {
        let Some(slot) = slots.get_mut(*at) else { continue };
        slot.socket = Some(lane.socket);
        slot.channel = Some(lane.channel);
        slot.position = lane.known.then_some(position);
        if lane.backwards || lane.taken || !lane.known {
            slot.confidence = confidence.min(Confidence::Likely);
        }
    }
}

fn place_questions(lanes: &[Lane], slots: &[DraftSlot]) -> Vec<Question> {
    let named = |pick: fn(&Lane) -> bool| -> Vec<String> {
        let of = lanes.iter().filter(|l| pick(l)).flat_map(|l| &l.slots);
        of.filter_map(|s| slots.get(*s)).map(|s| s.label.clone()).collect()
    };
    let backwards = named(|l| l.backwards);
    let taken = named(|l| l.taken);
    let open = named(|l| !l.known);
    let mut questions = Vec::new();
    if !backwards.is_empty() {
        questions.push(Question {
            text: "a later slot of the channel holds a module while an earlier one is empty: which is filled first?"
                .to_string(),
            readings: vec!["in the order of the names".to_string(), "the filled ones first".to_string()],
            slots: backwards,
        });
    }
    if !taken.is_empty() {
        questions.push(Question {
            text: "the slot of a channel to fill first was taken from what is filled: is it right?".to_string(),
            readings: Vec::new(),
            slots: taken,
        });
    }
    if !open.is_empty() {
        questions.push(Question {
            text: "which slot of the channel is filled first? Nothing in the report tells".to_string(),
            readings: vec!["the lowest number first".to_string(), "the highest number first".to_string()],
            slots: open,
        });
    }
    questions
}

fn evidence(parting: &Parting, best: &Reading) -> Vec<String> {
    let mut lines = vec![format!("socket: {}", parting.by)];
    lines.extend(parting.agree.iter().map(|a| format!("socket, too: {a}")));
    lines.push(best.by.clone());
    lines.extend(best.reasons.iter().cloned());
    lines
}

fn socket_question(parting: &Parting) -> Option<Question> {
    if parting.against.is_empty() && parting.ground == Ground::Stated {
        return None;
    }
    let mut readings = vec![parting.by.clone()];
    readings.extend(parting.against.iter().cloned());
    let text = if parting.against.is_empty() {
        "no name states the socket: is it right?"
    } else {
        "two signs part the slots into sockets in different ways: which is right?"
    };
    Some(Question { text: text.to_string(), readings, slots: Vec::new() })
}

fn labels(facts: &Facts<'_>, slots: &BTreeSet<usize>) -> Vec<String> {
    slots.iter().filter_map(|s| facts.slots.get(*s)).map(|s| label(s)).collect()
}

fn sockets(facts: &Facts<'_>, parting: Option<&Parting>) -> Option<usize> {
    let parts = parting.and_then(|p| p.of.iter().flatten().max().map(|m| m + 1));
    let count = facts.sockets.max(parts.unwrap_or(0));
    (count > 0).then_some(count)
}

fn label(seen: &domain::snapshot::SeenSlot) -> String {
    seen.name.split_whitespace().collect::<Vec<_>>().join(" ")
}
