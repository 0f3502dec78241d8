//! Every fault of a family in the small memory.

use super::memory::CELLS;
use super::{Act, Family, Fault, Linked, While};

const BITS: [bool; 2] = [false, true];

/// Ordered pairs of two different cells.
fn pairs() -> impl Iterator<Item = (usize, usize)> {
    (0..CELLS).flat_map(|a| (0..CELLS).filter(move |v| *v != a).map(move |v| (a, v)))
}

/// Each of two bits with each of two bits.
fn two_bits() -> impl Iterator<Item = (bool, bool)> {
    BITS.into_iter().flat_map(|a| BITS.into_iter().map(move |b| (a, b)))
}

fn single(make: impl Fn(usize, bool, While) -> Fault) -> Vec<Fault> {
    (0..CELLS).flat_map(|c| BITS.map(|v| make(c, v, None))).collect()
}

/// The same while another cell holds a value.
fn conditioned(make: impl Fn(usize, bool, While) -> Fault) -> Vec<Fault> {
    pairs()
        .flat_map(|(a, v)| two_bits().map(move |(s, x)| (a, v, s, x)))
        .map(|(a, v, s, x)| make(v, x, Some((a, s))))
        .collect()
}

fn read(wrong: bool, flips: bool) -> impl Fn(usize, bool, While) -> Fault {
    move |cell, value, when| Fault::Read { cell, value, wrong, flips, when }
}

/// Every fault of a family. Addresses that reach nothing stand once for each other cell, so that the three ways in which an
/// address fails weigh alike.
pub fn instances(family: Family) -> Vec<Fault> {
    let transition = |cell, to, when| Fault::Transition { cell, to, when };
    let write = |cell, value, when| Fault::WriteDisturb { cell, value, when };
    match family {
        Family::StuckAt => single(|cell, at, _| Fault::StuckAt { cell, at }),
        Family::Transition => single(transition),
        Family::WriteDisturb => single(write),
        Family::ReadDestructive => single(read(true, true)),
        Family::DeceptiveReadDestructive => single(read(false, true)),
        Family::IncorrectRead => single(read(true, false)),
        Family::CouplingTransition => conditioned(transition),
        Family::CouplingWriteDisturb => conditioned(write),
        Family::CouplingReadDestructive => conditioned(read(true, true)),
        Family::CouplingDeceptive => conditioned(read(false, true)),
        Family::CouplingIncorrectRead => conditioned(read(true, false)),
        Family::CouplingInversion => {
            pairs().flat_map(|(aggressor, victim)| BITS.map(|to| Fault::Inversion { aggressor, victim, to })).collect()
        }
        Family::CouplingIdempotent => {
            coupled(|aggressor, victim, to, sets| Fault::Idempotent { aggressor, victim, to, sets })
        }
        Family::CouplingState => {
            coupled(|aggressor, victim, holds, sets| Fault::State { aggressor, victim, holds, sets })
        }
        Family::CouplingDisturb => disturbs(),
        Family::AddressDecoder => addresses(),
    }
}

fn coupled(make: impl Fn(usize, usize, bool, bool) -> Fault) -> Vec<Fault> {
    pairs().flat_map(|(a, v)| two_bits().map(move |(x, y)| (a, v, x, y))).map(|(a, v, x, y)| make(a, v, x, y)).collect()
}

fn disturbs() -> Vec<Fault> {
    let acts: Vec<Act> = BITS.map(Act::Read).into_iter().chain(two_bits().map(|(f, t)| Act::Write(f, t))).collect();
    let mut all = Vec::new();
    for (aggressor, victim) in pairs() {
        for act in &acts {
            all.extend(BITS.map(|value| Fault::Disturb { aggressor, victim, act: *act, value }));
        }
    }
    all
}

fn addresses() -> Vec<Fault> {
    let mut all = Vec::new();
    for (cell, other) in pairs() {
        all.push(Fault::Elsewhere { cell, other });
        all.extend(BITS.map(|or| Fault::Both { cell, other, or }));
        all.extend(BITS.map(|reads| Fault::Nowhere { cell, reads }));
    }
    all
}

/// Every linked pair of a sort.
pub fn linked(sort: Linked) -> Vec<[Fault; 2]> {
    let mut all = Vec::new();
    for (aggressor, victim) in pairs() {
        match sort {
            Linked::IdempotentTwo | Linked::InversionTwo => {
                for second in (0..CELLS).filter(|s| *s != aggressor && *s != victim) {
                    all.extend(two_bits().filter_map(|(x, y)| two(sort, aggressor, second, victim, x, y)));
                }
            }
            Linked::IdempotentSame => all.extend(
                BITS.map(|sets| [true, false].map(|to| Fault::Idempotent { aggressor, victim, to, sets: sets == to })),
            ),
            Linked::TransitionInversion => all.extend(two_bits().map(|(stays, to)| {
                [Fault::Transition { cell: victim, to: stays, when: None }, Fault::Inversion { aggressor, victim, to }]
            })),
            Linked::TransitionIdempotent => {
                for (stays, to) in two_bits() {
                    all.extend(BITS.map(|sets| {
                        let stays = Fault::Transition { cell: victim, to: stays, when: None };
                        [stays, Fault::Idempotent { aggressor, victim, to, sets }]
                    }));
                }
            }
        }
    }
    all
}

/// Two aggressors of one victim. Two inversions are the same in either order, so only one order stands.
fn two(sort: Linked, first: usize, second: usize, victim: usize, x: bool, y: bool) -> Option<[Fault; 2]> {
    if sort == Linked::IdempotentTwo {
        return Some([
            Fault::Idempotent { aggressor: first, victim, to: x, sets: false },
            Fault::Idempotent { aggressor: second, victim, to: y, sets: true },
        ]);
    }
    (first < second).then_some([
        Fault::Inversion { aggressor: first, victim, to: x },
        Fault::Inversion { aggressor: second, victim, to: y },
    ])
}
