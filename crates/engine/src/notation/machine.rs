//! The machine of an example before anything is said of it: an even board and a plausible processor family.

use super::EXAMPLE_SOURCE;
use domain::board::{Board, BoardLimits, FirmwareOrder, Layout, Mixing, Slot, SlotAddress, SlotIndex, Socket};
use domain::processor::{BandwidthModel, InterleaveSets, Processor, ProcessorId};
use domain::{Capacity, Cited, Generation, Kind, Mark, SourceId};

pub(super) fn cited<T>(value: T) -> Cited<T> {
    Cited::new(value, SourceId::new(EXAMPLE_SOURCE), Mark::Invented)
}

/// A plausible family of that shape: every kind runs at the full rate at every number of modules a channel.
pub(super) fn generic_processor(generation: Generation, controllers: u8, channels: u8, positions: u8) -> Processor {
    let all = controllers * channels;
    let sizes = (1..=all).rev().filter(|n| *n == all || *n == channels || *n == 1 || n % 2 == 0).collect();
    let (source, mark) = (SourceId::new(EXAMPLE_SOURCE), Mark::Invented);
    Processor {
        id: ProcessorId(String::new()),
        about: "A family made up for an example".to_string(),
        generation,
        controllers,
        channels_per_controller: channels,
        dpc_most: positions,
        rates: Vec::new(),
        capacity_limit: None::<Cited<Capacity>>,
        sets: InterleaveSets { sizes, listed: Vec::new(), source, mark },
        bandwidth: BandwidthModel {
            saturation: None,
            rank_factors: Vec::new(),
            second_module: None,
            sustained: cited(0.8),
        },
        numa: Vec::new(),
        latency: None,
    }
}

pub(super) fn empty_board(generation: Generation, sockets: u8, controllers: u8, channels: u8, positions: u8) -> Board {
    let (slots, sockets) = slots_and_sockets(sockets, controllers, channels, positions);
    Board {
        id: EXAMPLE_SOURCE.to_string(),
        title: "Example".to_string(),
        about: "A board made up for an example".to_string(),
        generation,
        sockets,
        slots,
        processors: Vec::new(),
        kinds: Kind::ALL.iter().map(|(k, _)| *k).collect(),
        ecc_required: false,
        rates: Vec::new(),
        limits: BoardLimits::default(),
        channel_ranks: Vec::new(),
        firmware: Vec::new(),
        firmware_order: FirmwareOrder::Dotted,
        training: None,
        charts: Vec::new(),
        mixing: Mixing::default(),
        modes: Vec::new(),
        blanks: None,
        first_slot_first: None,
        layout: Layout::default(),
        source: SourceId::new(EXAMPLE_SOURCE),
    }
}

/// Slots in order of address, and the sockets that they belong to.
fn slots_and_sockets(sockets: u8, controllers: u8, channels: u8, positions: u8) -> (Vec<Slot>, Vec<Socket>) {
    let mut slots = Vec::new();
    let mut place = |socket: u8, controller: u8, channel: u8, position: u8| {
        let letter = char::from(b'a' + controller * channels + channel);
        slots.push(Slot {
            label: format!("{socket}{letter}{}", position + 1),
            address: SlotAddress { socket, controller, channel, position },
            tab: None,
            height_most: None,
            under_heat_sink: false,
        });
        SlotIndex(slots.len() as u16 - 1)
    };
    let mut all = Vec::new();
    for s in 0..sockets {
        let controller = |c| (0..channels).map(|h| (0..positions).map(|p| place(s, c, h, p)).collect()).collect();
        all.push(Socket { name: s.to_string(), controllers: (0..controllers).map(controller).collect() });
    }
    (slots, all)
}
