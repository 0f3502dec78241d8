//! A build laid out by socket and channel: what every rule and computation reads.

use domain::board::{Board, SlotIndex};
use domain::fit;
use domain::module::Module;
use domain::processor::Processor;
use domain::{Build, Capacity};

/// One channel with what sits in it.
#[derive(Debug, Clone)]
pub struct ChannelScene<'a> {
    pub socket: u8,
    pub controller: u8,
    /// Number within its controller.
    pub channel: u8,
    /// Number within its socket, counted over controllers.
    pub number: u8,
    /// Its slots, position 0 (farthest from the processor) first.
    pub slots: &'a [SlotIndex],
    /// What sits in them, in the same order; non-volatile modules too.
    pub modules: Vec<(SlotIndex, &'a Module)>,
}

impl ChannelScene<'_> {
    /// The DRAM modules, position 0 first.
    pub fn dram(&self) -> impl Iterator<Item = (SlotIndex, &Module)> {
        self.modules.iter().filter(|(_, m)| m.kind != domain::Kind::Nonvolatile).map(|(i, m)| (*i, *m))
    }
    /// Capacity of its DRAM.
    pub fn capacity(&self) -> Capacity {
        self.dram().map(|(_, m)| m.capacity).sum()
    }
    /// Modules in it, of any kind: what loads the bus.
    pub fn count(&self) -> u8 {
        self.modules.len() as u8
    }
    /// Package ranks (chip selects) in it.
    pub fn package_ranks(&self) -> u16 {
        self.modules.iter().map(|(_, m)| u16::from(m.organisation.package_ranks)).sum()
    }
    /// Logical ranks of its DRAM.
    pub fn logical_ranks(&self) -> u16 {
        self.dram().map(|(_, m)| u16::from(m.organisation.logical_ranks())).sum()
    }
    /// Electrical loads on it.
    pub fn loads(&self) -> u16 {
        self.modules.iter().map(|(_, m)| u16::from(fit::loads(m))).sum()
    }
}

/// One socket with its channels.
#[derive(Debug, Clone)]
pub struct SocketScene<'a> {
    pub index: u8,
    pub processor: Option<&'a Processor>,
    /// All channels in order of number, filled or not.
    pub channels: Vec<ChannelScene<'a>>,
}

impl<'a> SocketScene<'a> {
    /// Everything that sits in its slots.
    pub fn modules(&self) -> impl Iterator<Item = (SlotIndex, &'a Module)> + '_ {
        self.channels.iter().flat_map(|c| c.modules.iter().copied())
    }
    /// Its DRAM modules.
    pub fn dram(&self) -> impl Iterator<Item = (SlotIndex, &'a Module)> + '_ {
        self.modules().filter(|(_, m)| m.kind != domain::Kind::Nonvolatile)
    }
    /// Modules in it, of any kind.
    pub fn count(&self) -> u16 {
        self.channels.iter().map(|c| u16::from(c.count())).sum()
    }
    /// Capacity of its DRAM.
    pub fn capacity(&self) -> Capacity {
        self.channels.iter().map(ChannelScene::capacity).sum()
    }
}

/// A build laid out.
#[derive(Debug, Clone)]
pub struct Scene<'a> {
    pub build: &'a Build,
    pub board: &'a Board,
    pub sockets: Vec<SocketScene<'a>>,
}

impl<'a> Scene<'a> {
    /// Lays a build out.
    pub fn new(build: &'a Build) -> Self {
        let board: &Board = &build.board;
        let sockets = board
            .sockets
            .iter()
            .enumerate()
            .map(|(s, socket)| SocketScene {
                index: s as u8,
                processor: build.processors.get(s).and_then(|p| p.as_deref()),
                channels: socket
                    .channels()
                    .enumerate()
                    .map(|(number, (controller, channel, slots))| ChannelScene {
                        socket: s as u8,
                        controller,
                        channel,
                        number: number as u8,
                        slots,
                        modules: slots
                            .iter()
                            .filter_map(|i| build.slots.get(i.at())?.as_deref().map(|m| (*i, m)))
                            .collect(),
                    })
                    .collect(),
            })
            .collect();
        Self { build, board, sockets }
    }
    /// Everything that sits in a slot of any socket.
    pub fn modules(&self) -> impl Iterator<Item = (SlotIndex, &'a Module)> + '_ {
        self.sockets.iter().flat_map(SocketScene::modules)
    }
    /// All DRAM modules.
    pub fn dram(&self) -> impl Iterator<Item = (SlotIndex, &'a Module)> + '_ {
        self.sockets.iter().flat_map(SocketScene::dram)
    }
    /// All channels of all sockets.
    pub fn channels(&self) -> impl Iterator<Item = &ChannelScene<'a>> + '_ {
        self.sockets.iter().flat_map(|s| s.channels.iter())
    }
    /// The label of a slot.
    pub fn label(&self, index: SlotIndex) -> &'a str {
        &self.board.slot(index).label
    }
    /// The labels of slots, joined for a sentence.
    pub fn labels(&self, slots: &[SlotIndex]) -> String {
        slots.iter().map(|s| self.label(*s)).collect::<Vec<_>>().join(", ")
    }
}
