//! Small random boards, modules and needs, made from a seed so that a failure can be replayed.

use domain::board::*;
use domain::finding::{Outcome, Severity};
use domain::module::{Generation, Kind, ModuleId, Organisation};
use domain::need::{CapacityWish, Keep};
use domain::processor::*;
use domain::quantity::{DieDensity, Height, Watts};
use domain::source::{Cited, Mark, SourceId};
use domain::stock::{Condition, Lot};
use domain::{
    Bandwidth, Board, Capacity, Currency, DataRate, Mode, Module, Money, Need, Processor, SlotAddress, SlotIndex,
};
use std::sync::Arc;

/// A small generator (SplitMix64, public domain constants of Steele, Lea and Flood, 2014).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        // Neighbouring seeds must not give the same stream, one step on.
        let mut start = Self(seed);
        Self(start.next() ^ 0x5DEE_CE66_D1CE_4E5B)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }
    pub fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
    pub fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len() as u64) as usize].clone()
    }
}

fn source() -> SourceId {
    SourceId::new("demo")
}

fn ruling<T>(dice: &mut Dice, value: T) -> Ruling<T> {
    let severity = if dice.chance(75) { Severity::Wrong } else { Severity::Unsupported };
    Ruling { value, severity, outcome: Outcome::Stops, source: source(), mark: Mark::Invented }
}

fn cited<T>(value: T) -> Cited<T> {
    Cited::new(value, source(), Mark::Invented)
}

pub fn maybe<T>(dice: &mut Dice, percent: u64, value: T) -> Option<Ruling<T>> {
    dice.chance(percent).then(|| ruling(dice, value))
}

const KINDS: [Kind; 3] = [Kind::Rdimm, Kind::Lrdimm, Kind::Rdimm3ds];

fn processor(dice: &mut Dice, controllers: u8, channels: u8, deepest: u8) -> Processor {
    let mut rates = Vec::new();
    for kind in KINDS {
        for dpc in 1..=deepest {
            let most = 3200 - 267 * dice.below(3) as u32 * u32::from(dpc - 1);
            let ranks = dice.chance(30).then_some((1, 2));
            let limit = |most, ranks| RateLimit {
                kind,
                dpc,
                ranks,
                most: DataRate::from_mts(most),
                source: source(),
                mark: Mark::Invented,
            };
            rates.push(limit(most, ranks));
            if ranks.is_some() && dice.chance(70) {
                rates.push(limit(most - 267, Some((4, 8))));
            }
        }
    }
    let all = controllers * channels;
    let mut sizes: Vec<u8> = (1..=all).filter(|s| *s == 1 || *s == all || dice.chance(60)).collect();
    sizes.reverse();
    let listed = if all == 4 && controllers == 2 && dice.chance(40) {
        vec![vec![0, 1, 2, 3], vec![0, 2], vec![1, 3], vec![0, 1], vec![2, 3]]
    } else {
        Vec::new()
    };
    let numa = vec![NumaMode {
        name: "halves".into(),
        nodes: (0..controllers).map(|c| (0..channels).map(|h| c * channels + h).collect()).collect(),
        equal_within_node: dice.chance(60),
        equal_nodes: dice.chance(60),
        source: source(),
        mark: Mark::Invented,
    }];
    Processor {
        id: ProcessorId("test-family".into()),
        about: String::new(),
        generation: Generation::Ddr4,
        controllers,
        channels_per_controller: channels,
        dpc_most: if dice.chance(85) { deepest } else { deepest.saturating_sub(1).max(1) },
        rates,
        capacity_limit: dice.chance(30).then(|| cited(Capacity::from_gib(dice.pick(&[32, 64, 96])))),
        sets: InterleaveSets { sizes, listed, source: source(), mark: Mark::Invented },
        bandwidth: BandwidthModel {
            saturation: dice.chance(60).then(|| cited(48.0)),
            rank_factors: if dice.chance(80) {
                vec![(1, cited(0.9)), (2, cited(0.97)), (4, cited(1.0))]
            } else {
                Vec::new()
            },
            second_module: dice.chance(30).then(|| cited(0.94)),
            sustained: cited(0.8),
        },
        numa,
        latency: None,
    }
}

fn shape(dice: &mut Dice) -> (u8, u8, u8) {
    loop {
        let (sockets, controllers, channels) =
            (1 + dice.below(2) as u8, 1 + dice.below(2) as u8, 1 + dice.below(3) as u8);
        if sockets * controllers * channels <= 6 {
            return (sockets, controllers, channels);
        }
    }
}

/// A board of at most `slots_most` slots, and its processor.
fn board(dice: &mut Dice, slots_most: usize) -> (Board, Processor) {
    let (sockets, controllers, channels) = shape(dice);
    let mut slots = Vec::new();
    let mut tree = Vec::new();
    let total = usize::from(sockets * controllers * channels);
    let mut spare = slots_most - total.min(slots_most);
    for s in 0..sockets {
        let mut own = Vec::new();
        for c in 0..controllers {
            let mut row = Vec::new();
            for h in 0..channels {
                let more = (dice.below(3) as usize).min(spare);
                spare -= more;
                let column: Vec<SlotIndex> = (0..=more as u8)
                    .map(|position| {
                        let address = SlotAddress { socket: s, controller: c, channel: h, position };
                        slots.push(Slot {
                            label: format!("slot-{address}"),
                            address,
                            tab: None,
                            height_most: dice.chance(5).then(|| Height::from_mm(20.0)),
                            under_heat_sink: dice.chance(5),
                        });
                        SlotIndex(slots.len() as u16 - 1)
                    })
                    .collect();
                row.push(column);
            }
            own.push(row);
        }
        tree.push(Socket { name: format!("socket-{s}"), controllers: own });
    }
    let family = processor(dice, controllers, channels, 3);
    let (charts, modes) = (charts(dice), modes(dice, controllers * channels));
    let board = Board {
        id: "random".into(),
        title: "random".into(),
        about: String::new(),
        generation: Generation::Ddr4,
        sockets: tree,
        slots,
        processors: vec![family.id.clone()],
        kinds: KINDS.to_vec(),
        ecc_required: dice.chance(50),
        rates: Vec::new(),
        limits: limits(dice),
        channel_ranks: channel_ranks(dice),
        firmware: Vec::new(),
        firmware_order: FirmwareOrder::Dotted,
        training: None,
        charts,
        mixing: mixing(dice),
        modes,
        blanks: None,
        first_slot_first: maybe(dice, 15, false),
        layout: Layout::default(),
        source: source(),
    };
    (board, family)
}

fn limits(dice: &mut Dice) -> BoardLimits {
    BoardLimits {
        module: maybe(dice, 15, Capacity::from_gib(32)),
        processor: maybe(dice, 15, Capacity::from_gib(64)),
        system: maybe(dice, 15, Capacity::from_gib(96)),
        slot_watts: maybe(dice, 10, Watts::from_watts(5.0)),
        memory_watts: maybe(dice, 15, Watts::from_watts(18.0)),
        height: None,
        height_under_heat_sink: maybe(dice, 30, Height::from_mm(20.0)),
    }
}

fn channel_ranks(dice: &mut Dice) -> Vec<ChannelRankLimit> {
    let kind = dice.pick(&KINDS);
    let limit = ChannelRankLimit {
        kind,
        package_ranks: dice.chance(50).then_some(4),
        logical_ranks: dice.chance(50).then_some(4),
        loads: dice.chance(50).then_some(3),
        severity: Severity::Wrong,
        outcome: Outcome::Stops,
        source: source(),
        mark: Mark::Invented,
    };
    if dice.chance(40) { vec![limit] } else { Vec::new() }
}

fn mixing(dice: &mut Dice) -> Mixing {
    let most = 1 + dice.below(2) as u8;
    Mixing {
        widths: maybe(dice, 25, false),
        capacities: maybe(dice, 30, most),
        capacities_in_channel: maybe(dice, 20, 1),
        rank_counts_in_channel: maybe(dice, 20, 1),
        rank_counts: maybe(dice, 10, false),
        rank_counts_once_full: if dice.chance(30) { vec![1, 2] } else { Vec::new() },
        quad_rank: maybe(dice, 20, false),
        densities: maybe(dice, 15, false),
        stacks: maybe(dice, 20, false),
        rates: maybe(dice, 15, false),
        ecc_bits: None,
        alone: if dice.chance(10) { vec![ruling(dice, Capacity::from_gib(32))] } else { Vec::new() },
        kinds_together: if dice.chance(20) { vec![KINDS.to_vec()] } else { Vec::new() },
    }
}

fn charts(dice: &mut Dice) -> Vec<Chart> {
    if !dice.chance(25) {
        return Vec::new();
    }
    let count = 1 + dice.below(3) as u16;
    vec![Chart {
        mode: Mode::independent(),
        socket: None,
        ranks: dice.chance(20).then_some(1),
        order: Vec::new(),
        rows: vec![ChartRow { count, slots: Vec::new(), verdict: CountVerdict::NotSupported, why: None }],
        closed: false,
        severity: if dice.chance(70) { Severity::Wrong } else { Severity::Unsupported },
        outcome: Outcome::Stops,
        source: source(),
        mark: Mark::Invented,
    }]
}

fn modes(dice: &mut Dice, channels: u8) -> Vec<ModeRule> {
    let rule = |name: &str, usable| ModeRule {
        mode: Mode(name.into()),
        usable,
        counts: Vec::new(),
        alike: Vec::new(),
        ranks_least: None,
        width: None,
        ecc_bits: None,
        identical: false,
        not_with_numa: Vec::new(),
        source: source(),
        mark: Mark::Invented,
    };
    let mut mirror = rule("mirror", Usable::Half);
    mirror.alike = if channels >= 2 { vec![vec![0, 1]] } else { Vec::new() };
    mirror.identical = dice.chance(30);
    let mut spare = rule("spare-rank", Usable::LessRanks(1));
    spare.ranks_least = Some(2);
    spare.width = dice.chance(20).then_some(4);
    let mut part = rule("partial-mirror", Usable::LessShare(25));
    part.counts = if dice.chance(50) { vec![2, 4] } else { Vec::new() };
    vec![mirror, spare, part]
}

pub fn module(dice: &mut Dice, n: usize) -> Module {
    let kind = if dice.chance(70) { Kind::Rdimm } else { dice.pick(&KINDS) };
    let ranks = dice.pick(&[1, 2, 2, 4]);
    let gib = dice.pick(&[8u64, 16, 16, 32, 32, 64]);
    Module {
        id: ModuleId(format!("module-{n}")),
        label: format!("module-{n}"),
        generation: if dice.chance(97) { Generation::Ddr4 } else { Generation::Ddr5 },
        kind,
        capacity: Capacity::from_gib(gib),
        organisation: Organisation {
            package_ranks: ranks,
            width: dice.pick(&[4, 4, 8]),
            stack: if kind.is_3ds() { dice.pick(&[2, 4]) } else { 1 },
            dual_die: false,
        },
        ecc_bits: Some(if dice.chance(95) { 8 } else { 0 }),
        rate: DataRate::from_mts(dice.pick(&[2400, 2933, 3200])),
        cas_latency: None,
        die_density: Some(DieDensity::from_gbit(dice.pick(&[8, 16]))),
        voltage: Module::standard_voltage(Generation::Ddr4),
        watts: Some(Watts::from_watts(dice.pick(&[3.0, 4.0, 6.0]))),
        height: Some(Height::from_mm(dice.pick(&[18.75, 31.25, 31.25]))),
        part_number: None,
        maker: None,
        prices: Vec::new(),
    }
}

/// A need on a board of at most `slots_most` slots with up to `kinds_most` kinds of module.
pub fn need(seed: u64, slots_most: usize, kinds_most: u64) -> Need {
    let mut dice = Dice::new(seed);
    let dice = &mut dice;
    let (board, family) = board(dice, slots_most);
    let board = Arc::new(board);
    let family = Arc::new(family);
    let mut processors: Vec<Option<Arc<Processor>>> = board.sockets.iter().map(|_| Some(family.clone())).collect();
    if processors.len() > 1 && dice.chance(15) {
        let socket = dice.below(2) as usize;
        processors[socket] = None;
    }
    let currency = Currency::parse("EUR").expect("a code");
    let kinds: Vec<Arc<Module>> = (0..1 + dice.below(kinds_most) as usize).map(|n| Arc::new(module(dice, n))).collect();
    let machines = if dice.chance(20) { 2 } else { 1 };
    let mut installed = Vec::new();
    let mut loose = Vec::new();
    if dice.chance(35) {
        for (slot, _) in board.indexed() {
            if dice.chance(35) {
                installed.push((slot, dice.pick(&kinds)));
            }
        }
        if dice.chance(20) {
            loose.push(dice.pick(&kinds));
        }
    }
    let lots = kinds
        .iter()
        .filter_map(|m| {
            let minor = (m.capacity.gib() as i64) * (80 + dice.below(60) as i64) + 5 * dice.below(4) as i64;
            let count = dice.chance(40).then(|| dice.below(7) as u32);
            dice.chance(92).then(|| Lot {
                module: m.clone(),
                condition: if dice.chance(50) { Condition::Used } else { Condition::New },
                each: Money::from_minor(minor, currency),
                count,
                bin: None,
            })
        })
        .collect();
    let gib = Capacity::from_gib;
    Need {
        mode: Mode(
            dice.pick(&["independent", "independent", "independent", "mirror", "spare-rank", "partial-mirror"]).into(),
        ),
        numa: dice.chance(12).then(|| "halves".to_string()),
        firmware: None,
        capacity: CapacityWish {
            least: dice.chance(30).then(|| gib(16 * dice.below(5))),
            most: dice.chance(30).then(|| gib(32 + 16 * dice.below(8))),
            about: None,
        },
        budget: dice.chance(25).then(|| Money::from_minor(2_000 + dice.below(20_000) as i64, currency)),
        bandwidth_least: dice.chance(10).then(|| Bandwidth::from_gbs(10.0)),
        rate_least: dice.chance(10).then(|| DataRate::from_mts(2666)),
        free_slots: if dice.chance(15) { 1 } else { 0 },
        machines,
        installed,
        loose,
        keep: if dice.chance(50) { Keep::All } else { Keep::Any },
        lots,
        processors,
        board,
    }
}
