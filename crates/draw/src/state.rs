//! The state of every slot and socket: what the map shows of it, in words, before anything has a place.

use crate::input::{MapInput, PartOrigin};
use crate::measure::printable;
use crate::palette::Tone;
use domain::{Place, Severity, SlotAddress, SlotIndex};

/// What a slot shows at first sight; one table gives its edge, mark, letter and words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SlotState {
    Wrong,
    Unsupported,
    Slower,
    Unproven,
    Note,
    Filled,
    Empty,
    /// No processor, or held for other work.
    Unusable,
}

/// The shape at the corner of a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarkShape {
    /// Filled, with a cross.
    Square,
    /// Filled, with a bar.
    Hexagon,
    /// Filled.
    Triangle,
    /// Outlined, with a question mark.
    Diamond,
    /// Outlined, with an i.
    Circle,
}

impl SlotState {
    /// All, worst first.
    pub const ALL: [Self; 8] = [
        Self::Wrong,
        Self::Unsupported,
        Self::Slower,
        Self::Unproven,
        Self::Note,
        Self::Filled,
        Self::Empty,
        Self::Unusable,
    ];
    /// The state that a finding gives.
    pub fn of(severity: Severity) -> Self {
        match severity {
            Severity::Wrong => Self::Wrong,
            Severity::Unsupported => Self::Unsupported,
            Severity::Slower => Self::Slower,
            Severity::Unproven => Self::Unproven,
            Severity::Note => Self::Note,
        }
    }
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Wrong => "wrong",
            Self::Unsupported => "unsupported",
            Self::Slower => "slower",
            Self::Unproven => "unproven",
            Self::Note => "note",
            Self::Filled => "filled",
            Self::Empty => "empty",
            Self::Unusable => "not usable",
        }
    }
    /// What it means, for the legend.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Wrong => "wrong: does not train, or a part is disabled",
            Self::Unsupported => "unsupported: the maker does not stand behind it",
            Self::Slower => "slower than these parts could run",
            Self::Unproven => "unproven: no source either way",
            Self::Note => "note: worth knowing",
            Self::Filled => "filled, nothing to say",
            Self::Empty => "empty",
            Self::Unusable => "not usable: no processor, or held",
        }
    }
    /// The letter beside the mark.
    pub fn letter(self) -> Option<char> {
        match self {
            Self::Wrong => Some('W'),
            Self::Unsupported => Some('X'),
            Self::Slower => Some('S'),
            Self::Unproven => Some('U'),
            Self::Note => Some('N'),
            Self::Filled | Self::Empty | Self::Unusable => None,
        }
    }
    /// The shape of its mark.
    pub fn mark(self) -> Option<MarkShape> {
        match self {
            Self::Wrong => Some(MarkShape::Square),
            Self::Unsupported => Some(MarkShape::Hexagon),
            Self::Slower => Some(MarkShape::Triangle),
            Self::Unproven => Some(MarkShape::Diamond),
            Self::Note => Some(MarkShape::Circle),
            Self::Filled | Self::Empty | Self::Unusable => None,
        }
    }
    /// Its colour.
    pub fn tone(self) -> Tone {
        match self {
            Self::Wrong => Tone::Wrong,
            Self::Unsupported => Tone::Unsupported,
            Self::Slower => Tone::Slower,
            Self::Note => Tone::Note,
            Self::Filled => Tone::Ok,
            Self::Unproven | Self::Empty | Self::Unusable => Tone::Empty,
        }
    }
}

/// What the map shows of a slot.
#[derive(Debug, Clone, PartialEq)]
pub struct SlotView {
    pub slot: SlotIndex,
    /// As printed on the board, unprintable characters replaced.
    pub label: String,
    pub address: SlotAddress,
    pub state: SlotState,
    /// Is the slot hatched: no processor, or held for other work?
    pub hatched: bool,
    /// `64 GiB`, `empty`, `no CPU` or `held`.
    pub content: String,
    /// `2Rx4`; empty where nothing sits there.
    pub organisation: String,
    pub install: Option<u16>,
    pub region: Option<u8>,
    pub origin: Option<PartOrigin>,
    /// All that the slot shows, in one sentence.
    pub name: String,
}

/// What the map shows of a socket.
#[derive(Debug, Clone, PartialEq)]
pub struct SocketView {
    pub socket: u8,
    pub name: String,
    /// The processor's id, or `no processor`.
    pub processor: String,
    pub hatched: bool,
    /// Of findings that are about the whole socket.
    pub state: SlotState,
    pub sentence: String,
}

/// All slots and sockets, and what was found of the whole machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Views {
    pub slots: Vec<SlotView>,
    pub sockets: Vec<SocketView>,
    pub machine: Vec<(SlotState, String)>,
}

/// Works out every view.
pub fn views(input: &MapInput<'_>) -> Views {
    let found = Found::new(input);
    let board = &input.build.board;
    let slots = board.indexed().map(|(slot, _)| slot_view(input, slot, &found.slots[slot.at()])).collect();
    let sockets = (0..board.sockets.len()).map(|at| socket_view(input, at, &found.sockets[at])).collect();
    let mut machine: Vec<_> =
        found.machine.iter().map(|(s, rule)| (SlotState::of(*s), format!("{}: {rule}", s.word()))).collect();
    machine.sort();
    machine.dedup();
    Views { slots, sockets, machine }
}

type Rules = Vec<(Severity, &'static str)>;

/// Findings by where they are drawn.
struct Found {
    slots: Vec<Rules>,
    sockets: Vec<Rules>,
    machine: Rules,
}

impl Found {
    fn new(input: &MapInput<'_>) -> Self {
        let board = &input.build.board;
        let mut found = Self {
            slots: vec![Rules::new(); board.slots.len()],
            sockets: vec![Rules::new(); board.sockets.len()],
            machine: Rules::new(),
        };
        for finding in input.findings {
            let rule = (finding.severity, finding.rule);
            match &finding.place {
                Place::Machine => found.machine.push(rule),
                Place::Socket(socket) => {
                    if let Some(rules) = found.sockets.get_mut(usize::from(*socket)) {
                        rules.push(rule);
                    }
                }
                Place::Channel { socket, controller, channel } => {
                    for slot in channel_slots(input, *socket, *controller, *channel) {
                        found.slots[slot.at()].push(rule);
                    }
                }
                Place::Slots(slots) => {
                    for slot in slots {
                        if let Some(rules) = found.slots.get_mut(slot.at()) {
                            rules.push(rule);
                        }
                    }
                }
            }
        }
        for rules in found.slots.iter_mut().chain(&mut found.sockets) {
            rules.sort_unstable();
            rules.dedup();
        }
        found
    }
}

/// The slots that a channel's finding is drawn on: those that are filled, or all where none is.
fn channel_slots(input: &MapInput<'_>, socket: u8, controller: u8, channel: u8) -> Vec<SlotIndex> {
    let all: Vec<SlotIndex> = input
        .build
        .board
        .indexed()
        .filter(|(_, s)| (s.address.socket, s.address.controller, s.address.channel) == (socket, controller, channel))
        .map(|(slot, _)| slot)
        .collect();
    let filled: Vec<SlotIndex> =
        all.iter().copied().filter(|s| input.build.slots.get(s.at()).is_some_and(Option::is_some)).collect();
    if filled.is_empty() { all } else { filled }
}

fn slot_view(input: &MapInput<'_>, slot: SlotIndex, rules: &Rules) -> SlotView {
    let build = input.build;
    let this = build.board.slot(slot);
    let module = build.slots.get(slot.at()).and_then(Option::as_ref);
    let held = build.reserved.contains(&slot);
    let orphaned = build.processor(this.address.socket).is_none();
    let (content, organisation, long) = match module {
        Some(m) => (m.capacity.to_string(), m.organisation.to_string(), m.short()),
        None if orphaned => ("no CPU".into(), String::new(), "not usable: no processor".into()),
        None if held => ("held".into(), String::new(), "held for other work".into()),
        None => ("empty".to_string(), String::new(), "empty".to_string()),
    };
    let plain = match (module.is_some(), held || orphaned) {
        (true, _) => SlotState::Filled,
        (false, true) => SlotState::Unusable,
        (false, false) => SlotState::Empty,
    };
    let state = rules.first().map_or(plain, |(severity, _)| SlotState::of(*severity));
    let label = printable(&this.label);
    let socket = build.board.sockets.get(usize::from(this.address.socket)).map_or("", |s| s.name.as_str());
    let mut name = format!("socket {}, slot {label}, {long}", printable(socket));
    for (severity, rule) in rules {
        name.push_str(&format!(", {severity}: {rule}"));
    }
    let (install, region, origin) = (input.install_of(slot), input.region_of(slot), input.origin_of(slot));
    let origin = origin.filter(|_| module.is_some());
    if let Some(origin) = origin {
        name.push_str(&format!(", {}", origin.word()));
    }
    if let Some(install) = install {
        name.push_str(&format!(", fitted as number {install}"));
    }
    if let Some(region) = region {
        name.push_str(&format!(", interleave region {region}"));
    }
    SlotView {
        slot,
        label,
        address: this.address,
        state,
        hatched: held || orphaned,
        content,
        organisation,
        install,
        region,
        origin,
        name,
    }
}

fn socket_view(input: &MapInput<'_>, at: usize, rules: &Rules) -> SocketView {
    let socket = &input.build.board.sockets[at];
    let number = u8::try_from(at).unwrap_or(u8::MAX);
    let processor = input.build.processor(number).map(|p| printable(&p.id.0));
    let name = printable(&socket.name);
    let mut sentence = format!("socket {name}, {}", processor.as_deref().unwrap_or("no processor"));
    for (severity, rule) in rules {
        sentence.push_str(&format!(", {severity}: {rule}"));
    }
    SocketView {
        socket: number,
        name,
        hatched: processor.is_none(),
        state: rules.first().map_or(SlotState::Filled, |(severity, _)| SlotState::of(*severity)),
        processor: processor.unwrap_or_else(|| "no processor".into()),
        sentence,
    }
}
