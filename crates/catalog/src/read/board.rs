//! Board files into boards: sockets and slots here, rulings and charts in the files beside.

use super::{amounts, chart, layout, mode, processor, ruling};
use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::reading::{Citing, Reading};
use crate::shape::board::{BoardFile, SocketTable};
use crate::shape::words::EccWord;
use crate::text::{self, Span};
use domain::board::{Board, Layout, LocalSlot, Slot, SlotAddress, SlotIndex, Socket};
use domain::processor::ProcessorId;
use domain::quantity::Minutes;
use domain::{Mode, Processor, SourceId};
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// Most sockets of a board, controllers of a socket and channels of a controller.
const MOST: usize = 16;
/// Most slots of a channel.
const MOST_POSITIONS: usize = 4;

/// Slots by their labels in small letters, with where each label stands.
pub(crate) struct Labels {
    by_label: HashMap<String, (SlotIndex, Span)>,
    in_order: Vec<String>,
}

impl Labels {
    /// The slot with a label, or a fault with the nearest label.
    pub fn find(&self, reading: &mut Reading, label: &At<String>) -> Option<SlotIndex> {
        let found = self.by_label.get(&label.trim().to_ascii_lowercase()).map(|(index, _)| *index);
        if found.is_none() {
            reading.unknown(label, "slot", self.in_order.iter().map(String::as_str));
        }
        found
    }
}

/// A board file's values, checked against each other and the processors that it takes.
pub(crate) fn board(
    reading: &mut Reading,
    citing: &Citing<'_>,
    id: &str,
    file: &BoardFile,
    known: &BTreeMap<String, Arc<Processor>>,
) -> Option<Board> {
    let title = reading.name(&file.title, "the title");
    let (sockets, slots, labels) = sockets(reading, &file.socket)?;
    let mut board = Board {
        id: id.to_string(),
        title: title?,
        about: file.about.value.trim().to_string(),
        generation: file.generation.value.value(),
        sockets,
        slots,
        processors: Vec::new(),
        kinds: file.kinds.iter().map(|k| k.value()).collect(),
        ecc_required: file.ecc.is_none_or(EccWord::value),
        rates: processor::rates(reading, citing, &file.rate, MOST_POSITIONS as u8),
        limits: ruling::limits(reading, citing, &file.limits),
        channel_ranks: ruling::channel_ranks(reading, citing, &file.channel_ranks),
        firmware: ruling::firmware(reading, citing, &file.firmware.need, known),
        firmware_order: file.firmware.order.map_or_else(Default::default, |o| o.value()),
        training: training(reading, file),
        charts: Vec::new(),
        mixing: ruling::mixing(reading, citing, &file.mixing),
        modes: Vec::new(),
        blanks: ruling::blanks(reading, citing, &file.rulings.blanks),
        first_slot_first: ruling::first_slot_first(reading, citing, &file.rulings.first_slot_first),
        layout: Layout::default(),
        source: SourceId::new(file.source.trim()),
    };
    citing.cite(reading, file.source.span, None, None);
    if board.kinds.is_empty() {
        reading.report(
            Fault::contradiction(file.kinds.span, "the board takes no kind of module")
                .hint("name at least one, such as \"RDIMM\""),
        );
    }
    board.processors = processors(reading, file, &board, known);
    extras(reading, file, &labels, &mut board);
    board.modes = mode::modes(reading, citing, &file.mode, &board, known);
    board.charts = chart::charts(reading, citing, &file.chart, &board, &labels);
    board.layout = layout::layout(reading, &file.layout, &board, &labels);
    Some(board)
}

fn training(reading: &mut Reading, file: &BoardFile) -> Option<Minutes> {
    let minutes = file.training_minutes.as_ref()?;
    reading.ranged(minutes, "the minutes of memory training", 0, 600).map(Minutes::new)
}

/// Reports a list that is empty or longer than any board has.
fn counted<T>(reading: &mut Reading, list: &At<Vec<T>>, what: &str, most: usize) -> Option<()> {
    let count = list.value.len();
    if (1..=most).contains(&count) {
        return Some(());
    }
    let (least, most) = ("1".to_string(), most.to_string());
    let hint = format!("give {least} to {most} of them");
    let problem = Problem::Range { what: what.to_string(), least, most, found: count.to_string() };
    reading.report(Fault::new(list.span, problem).hint(hint));
    None
}

fn sockets(reading: &mut Reading, file: &At<Vec<SocketTable>>) -> Option<(Vec<Socket>, Vec<Slot>, Labels)> {
    counted(reading, file, "the number of sockets", MOST)?;
    let mut labels = Labels { by_label: HashMap::new(), in_order: Vec::new() };
    let (mut sockets, mut slots): (Vec<Socket>, Vec<Slot>) = (Vec::new(), Vec::new());
    for (number, table) in file.iter().enumerate() {
        let name = reading.name(&table.name, "the name of a socket")?;
        if let Some(first) = sockets.iter().position(|s| s.name.eq_ignore_ascii_case(&name)) {
            reading.twice("socket", &name, file[first].name.span, table.name.span);
        }
        counted(reading, &table.controllers, "the number of controllers of a socket", MOST)?;
        let mut controllers = Vec::new();
        for (c, controller) in table.controllers.iter().enumerate() {
            counted(reading, controller, "the number of channels of a controller", MOST)?;
            let mut channels = Vec::new();
            for (h, channel) in controller.iter().enumerate() {
                counted(reading, channel, "the number of slots of a channel", MOST_POSITIONS)?;
                let mut indices = Vec::new();
                for (p, label) in channel.iter().enumerate() {
                    // All counts are at most 16, so the narrowing keeps every value.
                    let address =
                        SlotAddress { socket: number as u8, controller: c as u8, channel: h as u8, position: p as u8 };
                    indices.push(add_slot(reading, &mut labels, &mut slots, label, address)?);
                }
                channels.push(indices);
            }
            controllers.push(channels);
        }
        sockets.push(Socket { name, controllers });
    }
    Some((sockets, slots, labels))
}

fn add_slot(
    reading: &mut Reading,
    labels: &mut Labels,
    slots: &mut Vec<Slot>,
    label: &At<String>,
    address: SlotAddress,
) -> Option<SlotIndex> {
    let text = reading.name(label, "the label of a slot")?;
    if text.starts_with('#') {
        let fault = Fault::contradiction(label.span, "a slot label can't start with `#`");
        reading.report(fault.hint("`#name` stands for a socket on the drawing"));
    }
    // 16 × 16 × 16 × 4 slots at most, which is below 65536.
    let index = SlotIndex(slots.len() as u16);
    match labels.by_label.get(&text.to_ascii_lowercase()) {
        Some((_, first)) => reading.twice("slot", &text, *first, label.span),
        None => {
            labels.by_label.insert(text.to_ascii_lowercase(), (index, label.span));
            labels.in_order.push(text.clone());
        }
    }
    slots.push(Slot { label: text, address, tab: None, height_most: None, under_heat_sink: false });
    Some(index)
}

fn extras(reading: &mut Reading, file: &BoardFile, labels: &Labels, board: &mut Board) {
    let mut done: Vec<(SlotIndex, Span)> = Vec::new();
    for (label, extra) in &file.slot.0 {
        let Some(index) = labels.find(reading, label) else {
            continue;
        };
        if let Some((_, first)) = done.iter().find(|(i, _)| *i == index) {
            reading.twice("slot", label, *first, label.span);
        }
        done.push((index, label.span));
        let slot = &mut board.slots[index.at()];
        slot.tab.clone_from(&extra.tab);
        slot.under_heat_sink = extra.under_heat_sink;
        slot.height_most = extra.height_mm.as_ref().and_then(|h| amounts::height(reading, h));
    }
}

/// The processors that the board takes: each known, of its generation and of its sockets' shape.
fn processors(
    reading: &mut Reading,
    file: &BoardFile,
    board: &Board,
    known: &BTreeMap<String, Arc<Processor>>,
) -> Vec<ProcessorId> {
    let mut ids: Vec<ProcessorId> = Vec::new();
    if file.processors.is_empty() {
        let fault = Fault::contradiction(file.processors.span, "the board takes no processor");
        reading.report(fault.hint("name the processor families that it takes"));
    }
    for (i, name) in file.processors.iter().enumerate() {
        let Some(processor) = known.get(name.trim()) else {
            reading.unknown(name, "processor", known.keys().map(String::as_str));
            continue;
        };
        if ids.contains(&processor.id) {
            let first = file.processors.iter().take(i).find(|n| n.trim() == name.trim()).map_or(name.span, |n| n.span);
            reading.twice("processor", name, first, name.span);
            continue;
        }
        if processor.generation != board.generation {
            let text =
                format!("{} is for {}, but the board is for {}", processor.id, processor.generation, board.generation);
            let fault = Fault::contradiction(name.span, text).see(file.generation.span, "the board's generation");
            reading.report(fault.hint("name processors of the board's generation"));
        } else {
            shape(reading, file, board, name, processor);
        }
        ids.push(processor.id.clone());
    }
    ids
}

fn shape(reading: &mut Reading, file: &BoardFile, board: &Board, name: &At<String>, processor: &Processor) {
    for (socket, table) in board.sockets.iter().zip(&file.socket.value) {
        let has: Vec<usize> = socket.controllers.iter().map(Vec::len).collect();
        let channels = usize::from(processor.channels_per_controller);
        if has.len() != usize::from(processor.controllers) || has.iter().any(|n| *n != channels) {
            let counts: Vec<String> = has.iter().map(usize::to_string).collect();
            let controllers = text::count(usize::from(processor.controllers), "controller");
            let text = format!(
                "{} has {controllers} of {}, but socket `{}` has {} of {}",
                processor.id,
                text::count(channels, "channel"),
                socket.name,
                has.len(),
                counts.join(" and "),
            );
            let fault = Fault::contradiction(name.span, text).see(table.controllers.span, "the socket's channels");
            reading.report(
                fault.hint("lay the socket's channels out as the processor has them, or name another processor"),
            );
            return;
        }
        let deepest = socket.channels().map(|(_, _, slots)| slots.len()).max().unwrap_or(0);
        if deepest > usize::from(processor.dpc_most) {
            let text = format!(
                "{} takes {} in a channel, but socket `{}` has a channel of {deepest} slots",
                processor.id,
                text::count(usize::from(processor.dpc_most), "module"),
                socket.name
            );
            let fault = Fault::contradiction(name.span, text).see(table.controllers.span, "the socket's channels");
            reading.report(fault.hint("take the surplus slots away, or name another processor"));
            return;
        }
    }
}

/// The sockets that hold a slot of this address each; all of the board's, or a fault.
pub(crate) fn in_every_socket(reading: &mut Reading, board: &Board, label: &At<String>, local: LocalSlot) -> bool {
    let lacking = (0..board.sockets.len()).find(|s| board.slot_in(*s as u8, local).is_none());
    if let Some(socket) = lacking {
        let text = format!("socket `{}` has no slot at the place of `{}`", board.sockets[socket].name, label.trim());
        reading.report(
            Fault::contradiction(label.span, text).hint("give each socket a chart of its own: socket = \"name\""),
        );
    }
    lacking.is_none()
}

/// A mode that the board offers, or a fault.
pub(crate) fn offered(reading: &mut Reading, board: &Board, name: &At<String>) -> Option<Mode> {
    let names = board.mode_names();
    let found = names.iter().find(|m| m.0 == name.trim()).cloned();
    if found.is_none() {
        reading.unknown(name, "RAS mode", names.iter().map(|m| m.0.as_str()));
    }
    found
}
