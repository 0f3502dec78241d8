//! Boards: sockets, controllers, channels and slots, and what the board's maker says may sit in them.

use crate::build::Mode;
use crate::finding::{Outcome, Severity};
use crate::module::{Generation, Kind};
use crate::processor::{ProcessorId, RateLimit};
use crate::quantity::{Capacity, DieDensity, Height, Minutes, Watts};
use crate::source::{Mark, SourceId};
use std::fmt;

/// The place of a slot in the board's slot list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SlotIndex(pub u16);

impl SlotIndex {
    /// As an index into the board's slot list.
    pub fn at(self) -> usize {
        usize::from(self.0)
    }
}

/// Where a slot is: channel numbers start at 0 within their controller; position 0 is farthest from the processor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SlotAddress {
    pub socket: u8,
    pub controller: u8,
    pub channel: u8,
    pub position: u8,
}

impl fmt::Display for SlotAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}.{}.{}.{}", self.socket, self.controller, self.channel, self.position))
    }
}

/// A slot's address within its socket, the same for every socket of one shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LocalSlot {
    pub controller: u8,
    pub channel: u8,
    pub position: u8,
}

impl SlotAddress {
    /// The address within its socket.
    pub fn local(self) -> LocalSlot {
        LocalSlot { controller: self.controller, channel: self.channel, position: self.position }
    }
}

/// One module slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slot {
    /// What is printed beside it.
    pub label: String,
    pub address: SlotAddress,
    /// The colour of its tabs in words, where the board marks slots so.
    pub tab: Option<String>,
    /// The tallest module that fits, where less than the board's limit.
    pub height_most: Option<Height>,
    /// Does a heat sink reach over it?
    pub under_heat_sink: bool,
}

/// One processor socket: controllers → channels → slots, position 0 first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Socket {
    pub name: String,
    pub controllers: Vec<Vec<Vec<SlotIndex>>>,
}

impl Socket {
    /// All its slots, in board order.
    pub fn slots(&self) -> impl Iterator<Item = SlotIndex> + '_ {
        self.controllers.iter().flatten().flatten().copied()
    }
    /// Its channels: (controller, channel within it, slots).
    pub fn channels(&self) -> impl Iterator<Item = (u8, u8, &[SlotIndex])> + '_ {
        self.controllers.iter().enumerate().flat_map(|(c, channels)| {
            channels.iter().enumerate().map(move |(h, slots)| (c as u8, h as u8, slots.as_slice()))
        })
    }
}

/// What the board's maker rules, what breaking it does, and where that is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ruling<T> {
    pub value: T,
    pub severity: Severity,
    pub outcome: Outcome,
    pub source: SourceId,
    pub mark: Mark,
}

/// Limits of capacity, power and height.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BoardLimits {
    pub module: Option<Ruling<Capacity>>,
    pub processor: Option<Ruling<Capacity>>,
    pub system: Option<Ruling<Capacity>>,
    pub slot_watts: Option<Ruling<Watts>>,
    pub memory_watts: Option<Ruling<Watts>>,
    /// Tallest module.
    pub height: Option<Ruling<Height>>,
    /// Tallest module under a heat sink's overhang.
    pub height_under_heat_sink: Option<Ruling<Height>>,
}

/// The most that one channel takes of one kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChannelRankLimit {
    pub kind: Kind,
    /// Package ranks (chip selects) in a channel.
    pub package_ranks: Option<u8>,
    /// Logical ranks in a channel.
    pub logical_ranks: Option<u8>,
    /// Electrical loads in a channel: a rank of an unbuffered or registered module is one, a buffered module or a
    /// 3DS package rank is one however high its stack.
    pub loads: Option<u8>,
    pub severity: Severity,
    pub outcome: Outcome,
    pub source: SourceId,
    pub mark: Mark,
}

/// Which firmware level something needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FirmwareNeed {
    pub reason: FirmwareReason,
    pub least: String,
    pub source: SourceId,
    pub mark: Mark,
}

/// What needs a firmware level.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FirmwareReason {
    Processor(ProcessorId),
    /// Dies of this density or more.
    Density(DieDensity),
    Kind(Kind),
}

/// How a board's firmware levels compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FirmwareOrder {
    /// Numbers between dots, dashes or spaces, left to right (`2.9` before `2.10`), letters after numbers.
    #[default]
    Dotted,
    /// As text, letter by letter (`BW07` before `BX01`).
    Text,
}

/// What may be mixed. `None`: the board says nothing of it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Mixing {
    /// May x4 and x8 devices share the machine?
    pub widths: Option<Ruling<bool>>,
    /// Different capacities in the machine, at most.
    pub capacities: Option<Ruling<u8>>,
    /// Different capacities in a channel, at most.
    pub capacities_in_channel: Option<Ruling<u8>>,
    /// Different rank counts in a channel, at most.
    pub rank_counts_in_channel: Option<Ruling<u8>>,
    /// May modules of different rank counts share the machine? (1R with 2R in different channels is such a mix.)
    pub rank_counts: Option<Ruling<bool>>,
    /// Package rank counts that may share the machine all the same once every slot of its processors is filled; empty
    /// for none.
    pub rank_counts_once_full: Vec<u8>,
    /// May quad-rank (4 package ranks or more) modules share a channel with others?
    pub quad_rank: Option<Ruling<bool>>,
    /// May die densities be mixed?
    pub densities: Option<Ruling<bool>>,
    /// May 3DS stack heights be mixed?
    pub stacks: Option<Ruling<bool>>,
    /// May rate bins be mixed?
    pub rates: Option<Ruling<bool>>,
    /// May modules with different ECC bits be mixed (DDR5 x72 with x80)?
    pub ecc_bits: Option<Ruling<bool>>,
    /// Capacities that tolerate no other beside them.
    pub alone: Vec<Ruling<Capacity>>,
    /// Groups of kinds that may share the machine; kinds in no common group never do.
    pub kinds_together: Vec<Vec<Kind>>,
}

/// What a chart says of a count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountVerdict {
    Supported,
    /// Runs, but the maker advises against it.
    NotAdvised,
    NotSupported,
}

/// One row of a chart: so many modules per processor, in these slots.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChartRow {
    pub count: u16,
    /// The slots; empty where the count is not supported.
    pub slots: Vec<LocalSlot>,
    pub verdict: CountVerdict,
    /// The maker's reason, where it gives one.
    pub why: Option<String>,
}

/// A population chart of one mode.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    pub mode: Mode,
    /// The socket that it is for; `None` for every socket of the board.
    pub socket: Option<u8>,
    /// Only for modules with so many package ranks; `None` for any.
    pub ranks: Option<u8>,
    /// Slots in filling order, where the maker gives an order; counts without a row fill its first slots.
    pub order: Vec<LocalSlot>,
    pub rows: Vec<ChartRow>,
    /// Are counts without a row unsupported?
    pub closed: bool,
    pub severity: Severity,
    pub outcome: Outcome,
    pub source: SourceId,
    pub mark: Mark,
}

/// What a RAS mode leaves of the capacity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Usable {
    All,
    /// Mirrored: half.
    Half,
    /// A part is mirrored: this share of the whole, in hundredths, is lost.
    LessShare(u8),
    /// So many ranks of each channel are spare: those with the most capacity.
    LessRanks(u8),
}

/// A RAS mode that the board offers, with what it demands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ModeRule {
    pub mode: Mode,
    pub usable: Usable,
    /// Modules per processor that it works with; empty for any.
    pub counts: Vec<u16>,
    /// Groups of channels, by channel number within the socket, that must be filled alike, slot by slot
    /// (mirrored pairs); a group that is empty throughout is fine.
    pub alike: Vec<Vec<u8>>,
    /// Fewest logical ranks in each filled channel.
    pub ranks_least: Option<u8>,
    /// Only modules with devices of this width.
    pub width: Option<u8>,
    /// Only modules with so many ECC bits per channel (DDR4) or sub-channel (DDR5: a module of nine x4 devices has 4).
    pub ecc_bits: Option<u8>,
    /// Must all modules of a processor be alike?
    pub identical: bool,
    /// The NUMA modes that it can't be used with.
    pub not_with_numa: Vec<String>,
    pub source: SourceId,
    pub mark: Mark,
}

/// How the board lies: rows from back to front, each from left to right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RowItem {
    Slot(SlotIndex),
    Socket(u8),
    /// A gap the width of a slot.
    Gap,
}

/// The drawing of a board, seen from above as the technician stands before its front.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Layout {
    /// Rows from the back of the chassis (top of the drawing) to its front (bottom). Empty: drawn by address.
    pub rows: Vec<Vec<RowItem>>,
    /// Does air move from front to back? (If not, from back to front.)
    pub air_front_to_back: bool,
}

/// A board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Board {
    pub id: String,
    pub title: String,
    /// One or two sentences on what it is.
    pub about: String,
    pub generation: Generation,
    pub sockets: Vec<Socket>,
    /// All slots; a [`SlotIndex`] is a place in this list.
    pub slots: Vec<Slot>,
    pub processors: Vec<ProcessorId>,
    pub kinds: Vec<Kind>,
    /// Must every module have ECC bits?
    pub ecc_required: bool,
    /// Rates where the board lowers the processor's.
    pub rates: Vec<RateLimit>,
    pub limits: BoardLimits,
    pub channel_ranks: Vec<ChannelRankLimit>,
    pub firmware: Vec<FirmwareNeed>,
    pub firmware_order: FirmwareOrder,
    /// Memory training at first start.
    pub training: Option<Minutes>,
    pub charts: Vec<Chart>,
    pub mixing: Mixing,
    pub modes: Vec<ModeRule>,
    /// Does the maker ask for blanks in empty slots?
    pub blanks: Option<Ruling<bool>>,
    /// Must a later slot of a channel stay empty while an earlier one is? `None`: common practice, it must.
    pub first_slot_first: Option<Ruling<bool>>,
    pub layout: Layout,
    /// Where the board's figures come from, unless one says otherwise.
    pub source: SourceId,
}

impl Board {
    /// The slot at an index.
    pub fn slot(&self, index: SlotIndex) -> &Slot {
        &self.slots[index.at()]
    }
    /// The slot with a label; case does not matter.
    pub fn slot_by_label(&self, label: &str) -> Option<SlotIndex> {
        let wanted = label.trim();
        self.slots.iter().position(|s| s.label.eq_ignore_ascii_case(wanted)).map(|i| SlotIndex(i as u16))
    }
    /// The slot at an address.
    pub fn slot_at(&self, address: SlotAddress) -> Option<SlotIndex> {
        self.slots.iter().position(|s| s.address == address).map(|i| SlotIndex(i as u16))
    }
    /// All slots with their indices.
    pub fn indexed(&self) -> impl Iterator<Item = (SlotIndex, &Slot)> {
        self.slots.iter().enumerate().map(|(i, s)| (SlotIndex(i as u16), s))
    }
    /// The board's own rate limit, where it lowers the processor's.
    pub fn rate_limit(&self, kind: Kind, package_ranks: u8, dpc: u8) -> Option<&RateLimit> {
        self.rates.iter().filter(|r| r.applies(kind, package_ranks, dpc)).min_by_key(|r| r.most)
    }
    /// The rule of a mode; `None` where the board does not offer it (`independent` is always offered).
    pub fn mode(&self, mode: &Mode) -> Option<&ModeRule> {
        self.modes.iter().find(|m| m.mode == *mode)
    }
    /// Modes that the board offers, `independent` first.
    pub fn mode_names(&self) -> Vec<Mode> {
        let mut names = vec![Mode::independent()];
        names.extend(self.modes.iter().map(|m| m.mode.clone()).filter(|m| !m.is_independent()));
        names
    }
    /// A slot of a socket by its address within it.
    pub fn slot_in(&self, socket: u8, local: LocalSlot) -> Option<SlotIndex> {
        self.slot_at(SlotAddress {
            socket,
            controller: local.controller,
            channel: local.channel,
            position: local.position,
        })
    }
}
