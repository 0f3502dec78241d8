//! Hand-made boards, builds and findings of several shapes.

use domain::board::{Layout, LocalSlot, RowItem, Socket};
use domain::build::{Build, Mode};
use domain::finding::{Finding, Outcome, Place, Severity};
use domain::module::{Generation, Kind, Module, ModuleId, Organisation};
use domain::processor::{BandwidthModel, InterleaveSets, Processor, ProcessorId};
use domain::source::{Cited, Mark, SourceId};
use domain::{Board, Capacity, DataRate, Slot, SlotAddress, SlotIndex};
use std::sync::Arc;

const POSITIONS: [&str; 3] = ["outer", "middle", "inner"];

/// The name of a slot in our scheme: `west-2-outer`, or `west-2` where the channel has one slot.
fn label(socket: &str, channel: usize, position: usize, slots: usize) -> String {
    match (slots, position) {
        (1, _) => format!("{socket}-{channel}"),
        (2, 1) => format!("{socket}-{channel}-inner"),
        (_, p) => format!("{socket}-{channel}-{}", POSITIONS[p]),
    }
}

/// A board: for each socket its controllers, each a list of slots a channel. Drawn by address.
pub fn board(title: &str, names: &[&str], controllers: &[&[usize]]) -> Board {
    let mut slots = Vec::new();
    let mut sockets = Vec::new();
    for (s, name) in names.iter().enumerate() {
        let mut number = 0;
        let mut shape = Vec::new();
        for (c, channels) in controllers.iter().enumerate() {
            let mut controller = Vec::new();
            for (h, deep) in channels.iter().enumerate() {
                number += 1;
                let channel = (0..*deep).map(|p| {
                    slots.push(Slot {
                        label: label(name, number, p, *deep),
                        address: SlotAddress {
                            socket: s as u8,
                            controller: c as u8,
                            channel: h as u8,
                            position: p as u8,
                        },
                        tab: None,
                        height_most: None,
                        under_heat_sink: false,
                    });
                    SlotIndex((slots.len() - 1) as u16)
                });
                controller.push(channel.collect());
            }
            shape.push(controller);
        }
        sockets.push(Socket { name: (*name).to_string(), controllers: shape });
    }
    Board {
        id: title.to_lowercase(),
        title: title.to_string(),
        about: String::new(),
        generation: Generation::Ddr4,
        sockets,
        slots,
        processors: Vec::new(),
        kinds: vec![Kind::Rdimm],
        ecc_required: true,
        rates: Vec::new(),
        limits: Default::default(),
        channel_ranks: Vec::new(),
        firmware: Vec::new(),
        firmware_order: Default::default(),
        training: None,
        charts: Vec::new(),
        mixing: Default::default(),
        modes: Vec::new(),
        blanks: None,
        first_slot_first: None,
        layout: Layout::default(),
        source: SourceId::new("made-up"),
    }
}

/// Lays every socket between the two halves of its channels, the first slots outside; `apart`: each in a row.
pub fn laid(mut board: Board, apart: bool) -> Board {
    let mut rows: Vec<Vec<RowItem>> = Vec::new();
    for (number, socket) in board.sockets.iter().enumerate() {
        let channels: Vec<Vec<SlotIndex>> = socket.channels().map(|(_, _, s)| s.to_vec()).collect();
        let half = channels.len() / 2;
        let left = channels[..half].iter().rev().flatten().copied().map(RowItem::Slot);
        let right = channels[half..].iter().flat_map(|c| c.iter().rev().copied()).map(RowItem::Slot);
        let row = left.chain([RowItem::Socket(number as u8)]).chain(right);
        match rows.last_mut() {
            Some(last) if !apart => {
                last.push(RowItem::Gap);
                last.extend(row);
            }
            _ => rows.push(row.collect()),
        }
    }
    board.layout = Layout { rows, air_front_to_back: true };
    board
}

/// A processor that no map looks into.
pub fn processor() -> Arc<Processor> {
    let source = SourceId::new("made-up");
    Arc::new(Processor {
        id: ProcessorId("ddr4-6ch-2933".into()),
        about: String::new(),
        generation: Generation::Ddr4,
        controllers: 2,
        channels_per_controller: 3,
        dpc_most: 2,
        rates: Vec::new(),
        capacity_limit: None,
        sets: InterleaveSets { sizes: vec![1], listed: Vec::new(), source: source.clone(), mark: Mark::Invented },
        bandwidth: BandwidthModel {
            saturation: None,
            rank_factors: Vec::new(),
            second_module: None,
            sustained: Cited::new(0.8, source, Mark::Invented),
        },
        numa: Vec::new(),
        latency: None,
    })
}

/// A module.
pub fn module(gib: u64, ranks: u8, stack: u8) -> Arc<Module> {
    Arc::new(Module {
        id: ModuleId(format!("m{gib}")),
        label: String::new(),
        generation: Generation::Ddr4,
        kind: if stack > 1 { Kind::Rdimm3ds } else { Kind::Rdimm },
        capacity: Capacity::from_gib(gib),
        organisation: Organisation { package_ranks: ranks, width: 4, stack, dual_die: false },
        ecc_bits: Some(8),
        rate: DataRate::from_mts(2933),
        cas_latency: Some(21),
        die_density: None,
        voltage: Module::standard_voltage(Generation::Ddr4),
        watts: None,
        height: None,
        part_number: None,
        maker: None,
        prices: Vec::new(),
    })
}

/// A build of a board: every first slot filled, and every fourth of the others; the last of several sockets is empty.
pub fn build(board: Board) -> Build {
    let many = board.sockets.len();
    let processors = (0..many).map(|s| (s == 0 || s + 1 < many || many == 2).then(processor)).collect();
    let mut build = Build::empty(Arc::new(board), processors, Mode::independent());
    let board = Arc::clone(&build.board);
    for (index, slot) in board.indexed() {
        if build.processor(slot.address.socket).is_none() {
            continue;
        }
        build.slots[index.at()] = match (slot.address.position, index.0 % 4) {
            (0, 2) => Some(module(128, 2, 4)),
            (0, _) => Some(module(64, 2, 1)),
            (_, 3) => Some(module(32, 1, 1)),
            _ => None,
        };
    }
    if let Some(last) = build.slots.iter().rposition(Option::is_none) {
        build.reserved.push(SlotIndex(last as u16));
    }
    build
}

/// One finding of every severity, and one each of a channel, a socket and the machine.
pub fn findings(build: &Build) -> Vec<Finding> {
    let finding = |rule: &'static str, severity: Severity, place: Place| Finding {
        rule,
        severity,
        outcome: Outcome::Unknown,
        place,
        evidence: String::new(),
        advice: String::new(),
    };
    let filled: Vec<SlotIndex> = build.filled().map(|(slot, _)| slot).collect();
    let names = ["ranks-beyond-limit", "stacks-mixed", "slower-bin", "no-chart", "rated-above"];
    let mut findings: Vec<Finding> = Severity::ALL
        .iter()
        .zip(names)
        .zip(&filled)
        .map(|(((severity, _), rule), slot)| finding(rule, *severity, Place::Slots(vec![*slot])))
        .collect();
    let last = build.board.slots[build.board.slots.len() - 1].address;
    let LocalSlot { controller, channel, .. } = last.local();
    findings.push(finding("empty-channel", Severity::Slower, Place::Channel { socket: 0, controller, channel }));
    findings.push(finding("counts-unequal", Severity::Note, Place::Socket(0)));
    findings.push(finding("capacities-many", Severity::Slower, Place::Machine));
    findings
}

/// Boards of several shapes.
pub fn shapes() -> Vec<Board> {
    vec![
        board("Three deep", &["main"], &[&[3, 3, 3, 3]]),
        board("Two by two by three", &["west", "east"], &[&[2, 2, 2], &[2, 2, 2]]),
        board("Irregular", &["main"], &[&[2, 1, 1]]),
        board("Four sockets", &["north", "east", "south", "west"], &[&[2, 2, 2], &[2, 2, 2]]),
        board("Forty-eight", &["rear", "front"], &[&[2; 12]]),
        laid(board("Dunlin laid out", &["west", "east"], &[&[2, 2, 2], &[2, 2, 2]]), false),
        laid(board("Godwit laid out", &["rear", "front"], &[&[2; 12]]), true),
        laid(board("Plain", &["main"], &[&[1, 1, 1, 1]]), true),
        laid(board("Four laid out", &["north", "east", "south", "west"], &[&[2, 2, 2], &[2, 2, 2]]), true),
    ]
}
