//! What stands around a symptom on this very board and in this build: neighbours, modules known to be good, free slots.

use super::symptom::Symptom;
use crate::judge;
use domain::board::{SlotAddress, SlotIndex};
use domain::fault::Sign;
use domain::quantity::Minutes;
use domain::{Build, Generation, Kind, Severity};

/// What can be used for tests.
#[derive(Debug, Clone)]
pub struct Around<'a> {
    pub build: &'a Build,
    pub symptom: &'a Symptom,
    /// The first slot that shows it.
    pub suspect: SlotIndex,
    /// Another filled slot of its channel that does not show it.
    pub neighbour: Option<SlotIndex>,
    /// A filled slot of another channel that does not show it, whose module may sit in the suspect's place.
    pub good: Option<SlotIndex>,
    /// An empty slot of the suspect's channel that the rules let its module sit in.
    pub free: Option<SlotIndex>,
    /// Two slots of another channel's modules, for a whole channel: the first slots of the channel to exchange with.
    pub twin_channel: Vec<SlotIndex>,
    /// Sockets that hold the same processor as the suspect's.
    pub twin_sockets: Vec<u8>,
    pub socket: u8,
    /// One start of the machine, with its training.
    pub start: Minutes,
    /// Is that the board's own figure?
    pub start_told: bool,
    /// Filled slots.
    pub modules: usize,
    /// Does a module keep its contents without power?
    pub nonvolatile: bool,
}

/// Minutes of a start where the board does not tell it; no source.
fn start_of(generation: Generation) -> Minutes {
    Minutes::new(if generation == Generation::Ddr5 { 10 } else { 4 })
}

impl<'a> Around<'a> {
    /// Looks around. `None` where no slot shows it.
    pub fn look(build: &'a Build, symptom: &'a Symptom) -> Option<Self> {
        let suspect = *symptom.slots.first()?;
        let board = &build.board;
        let at = board.slots.get(suspect.at())?.address;
        let shows = |s: &SlotIndex| symptom.slots.contains(s);
        let volatile = |s: &SlotIndex| build.slots.get(s.at()).and_then(Option::as_ref).is_some_and(|m| is_dram(m));
        let filled: Vec<SlotIndex> = build.filled().map(|(s, _)| s).filter(volatile).collect();
        let grave = wrongs(build);
        let may = |a: SlotIndex, b: SlotIndex| wrongs(&exchanged(build, a, b)) <= grave;
        let same_channel = |s: &SlotIndex| channel(board.slot(*s).address) == channel(at);
        let mut others: Vec<SlotIndex> = filled.iter().copied().filter(|s| !shows(s) && !same_channel(s)).collect();
        let module = |s: SlotIndex| build.slots[s.at()].as_ref().map(|m| &m.id);
        // The same module first, then the same processor, then the same place in the channel.
        others.sort_by_key(|s| {
            let a = board.slot(*s).address;
            (module(*s) != module(suspect), a.socket != at.socket, a.position != at.position, *s)
        });
        let good = others.iter().copied().find(|s| may(suspect, *s));
        let neighbour =
            filled.iter().copied().find(|s| same_channel(s) && *s != suspect && !shows(s) && may(suspect, *s));
        let free = board
            .indexed()
            .map(|(i, _)| i)
            .filter(|i| same_channel(i) && build.slots[i.at()].is_none() && !build.reserved.contains(i))
            .find(|i| may(suspect, *i));
        let processor = build.processor(at.socket).map(|p| &p.id);
        let twins = (0..board.sockets.len() as u8).filter(|s| *s != at.socket);
        Some(Self {
            build,
            symptom,
            suspect,
            neighbour,
            good,
            free,
            twin_channel: twin_channel(build, symptom, &others),
            twin_sockets: twins.filter(|s| build.processor(*s).map(|p| &p.id) == processor).collect(),
            socket: at.socket,
            start: board.training.unwrap_or_else(|| start_of(board.generation)),
            start_told: board.training.is_some(),
            modules: build.filled().count(),
            nonvolatile: build.filled().any(|(_, m)| !is_dram(m)),
        })
    }
    /// The label of a slot.
    pub fn label(&self, slot: SlotIndex) -> &str {
        &self.build.board.slot(slot).label
    }
    /// The labels of slots in a sentence.
    pub fn labels(&self, slots: &[SlotIndex]) -> String {
        slots.iter().map(|s| self.label(*s)).collect::<Vec<_>>().join(", ")
    }
    /// The name of a socket.
    pub fn socket_name(&self, socket: u8) -> &str {
        self.build.board.sockets.get(usize::from(socket)).map_or("", |s| &s.name)
    }
    /// Where it shows, for a sentence.
    pub fn place(&self) -> String {
        match self.symptom.sign {
            Sign::NoBoot | Sign::Slow => "the machine".to_string(),
            Sign::MissingProcessor => format!("the memory of socket {}", self.socket_name(self.socket)),
            Sign::MissingChannel => format!("the channel of {}", self.labels(&self.symptom.slots)),
            _ => self.labels(&self.symptom.slots),
        }
    }
}

fn is_dram(module: &domain::Module) -> bool {
    module.kind != Kind::Nonvolatile
}

fn channel(address: SlotAddress) -> (u8, u8, u8) {
    (address.socket, address.controller, address.channel)
}

/// Things that are wrong with a build by the rules.
fn wrongs(build: &Build) -> usize {
    judge::judge(build).findings.iter().filter(|f| f.severity == Severity::Wrong).count()
}

/// The build with the contents of two slots exchanged.
fn exchanged(build: &Build, a: SlotIndex, b: SlotIndex) -> Build {
    let mut build = build.clone();
    build.slots.swap(a.at(), b.at());
    build
}

/// The modules of another channel that is filled slot by slot as the suspect's; empty where there is none.
fn twin_channel(build: &Build, symptom: &Symptom, others: &[SlotIndex]) -> Vec<SlotIndex> {
    let board = &build.board;
    let positions = |slots: &[SlotIndex]| slots.iter().map(|s| board.slot(*s).address.position).collect::<Vec<_>>();
    let wanted = positions(&symptom.slots);
    let first = |s: &&SlotIndex| Some(&board.slot(**s).address.position) == wanted.first();
    let whole = |s: &SlotIndex| -> Vec<SlotIndex> {
        let own = channel(board.slot(*s).address);
        build.filled().map(|(i, _)| i).filter(|i| channel(board.slot(*i).address) == own).collect()
    };
    others.iter().filter(first).map(whole).find(|slots| positions(slots) == wanted).unwrap_or_default()
}
