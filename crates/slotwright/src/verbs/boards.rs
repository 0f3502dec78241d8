//! `boards`: the boards that there are, one board with its slots, and the slots for so many modules.

use super::board_facts::{self, ChartView, FirmwareView, LimitView, ModeView, RateLimitView};
use crate::failure::Failure;
use catalog::{Folder, Input, Library};
use domain::board::{Board, CountVerdict};
use domain::processor::Processor;
use domain::{Catalog, Mode, SlotIndex};
use engine::order::{self, Basis};
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;

/// All boards.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BoardListView {
    pub boards: Vec<BoardLine>,
}

/// One board in the list.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BoardLine {
    pub id: String,
    pub title: String,
    pub about: String,
    pub generation: String,
    pub sockets: usize,
    pub slots: usize,
    pub kinds: Vec<String>,
    pub processors: Vec<String>,
    pub modes: Vec<String>,
}

/// One board with its slots in filling order, or only those that a count fills.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BoardView {
    pub id: String,
    pub title: String,
    pub about: String,
    pub generation: String,
    pub sockets: Vec<String>,
    /// The family that orders and limits are worked out for.
    pub processor: Option<String>,
    pub processors: Vec<String>,
    pub kinds: Vec<String>,
    pub ecc_required: bool,
    /// The mode that orders and counts are for.
    pub mode: String,
    pub modes: Vec<ModeView>,
    pub limits: Vec<LimitView>,
    pub rate_limits: Vec<RateLimitView>,
    pub charts: Vec<ChartView>,
    pub firmware: Vec<FirmwareView>,
    pub training_minutes: Option<u32>,
    /// Modules per processor that were asked for.
    pub count_per_processor: Option<u16>,
    /// Modules in the whole machine at that count.
    pub modules_in_all: Option<usize>,
    /// What the fill rests on, where a count was asked for.
    pub basis: Option<BasisView>,
    /// All slots, or those that the count fills, first to be filled first.
    pub slots: Vec<OrderedSlotView>,
    pub source: String,
}

/// What a fill rests on.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BasisView {
    /// `chart`, `general` or `mode`.
    pub kind: String,
    /// `supported`, `not-advised` or `not-supported`; a general order is always `supported`.
    pub verdict: String,
    pub why: Option<String>,
    pub source: Option<String>,
    pub mark: Option<String>,
    /// Would another fill do as well, so that only a chart could decide?
    pub tied: bool,
}

/// A slot in filling order.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OrderedSlotView {
    pub label: String,
    pub socket: u8,
    pub controller: u8,
    /// Within its controller.
    pub channel: u8,
    /// 0 is farthest from the processor.
    pub position: u8,
    /// 1 is filled first.
    pub order: usize,
    /// First, second or third slot of its channel.
    pub mark: String,
    /// The colour of its tabs, where the board marks slots so.
    pub tab: Option<String>,
}

/// What is asked of one board.
#[derive(Debug, Clone, Default)]
pub struct Question {
    /// Modules per processor.
    pub count: Option<u16>,
    pub mode: Option<String>,
    pub processor: Option<String>,
    /// Package ranks of the modules, where the board's charts differ by them.
    pub ranks: Option<u8>,
}

/// A board's answer: plain data and what to draw.
#[derive(Debug)]
pub struct BoardAnswer {
    pub view: BoardView,
    pub build: domain::Build,
    /// The slots of the view, first to be filled first.
    pub order: Vec<SlotIndex>,
}

impl BoardView {
    /// Was a count asked for that the board does not take?
    pub fn is_refused(&self) -> bool {
        self.basis.as_ref().is_some_and(BasisView::is_refused)
    }
}

/// All boards of the catalogue.
pub fn list(catalog: &Catalog) -> BoardListView {
    let boards = catalog.boards.values();
    BoardListView {
        boards: boards
            .map(|b| BoardLine {
                id: b.id.clone(),
                title: b.title.clone(),
                about: b.about.clone(),
                generation: b.generation.to_string(),
                sockets: b.sockets.len(),
                slots: b.slots.len(),
                kinds: b.kinds.iter().map(ToString::to_string).collect(),
                processors: b.processors.iter().map(ToString::to_string).collect(),
                modes: b.mode_names().iter().map(ToString::to_string).collect(),
            })
            .collect(),
    }
}

/// A shipped board by name, or a board file by path.
///
/// # Errors
/// There is no such board, or its file is wrong.
pub fn find(library: &Library, name: &str) -> Result<Arc<Board>, Failure> {
    let boards = &library.catalog().boards;
    if let Some(board) = boards.get(name) {
        return Ok(Arc::clone(board));
    }
    if name.ends_with(".toml") {
        let files = Folder::default();
        return Ok(library.board(&Input::file(&files, Path::new(name))?)?);
    }
    Err(Failure::NoBoard { name: name.to_string(), near: super::nearest(name, boards.keys().map(String::as_str)) })
}

/// One board; with a count, the slots that it fills.
///
/// # Errors
/// A mode or processor that the board does not take, or a count that its slots do not hold.
pub fn one(catalog: &Catalog, board: &Arc<Board>, question: &Question) -> Result<BoardAnswer, Failure> {
    let mode = mode_of(board, question.mode.as_deref())?;
    let processor = processor_of(catalog, board, question.processor.as_deref())?;
    let processors = vec![processor.clone(); board.sockets.len()];
    let build = domain::Build::empty(Arc::clone(board), processors.clone(), mode.clone());
    let (slots, basis) = match question.count {
        None => (order::install_order(board, &processors, &mode), None),
        Some(count) => counted(board, processor.as_deref(), &mode, count, question.ranks)?,
    };
    let view = board_view(board, processor.as_deref(), &mode, question.count, &slots, basis);
    Ok(BoardAnswer { view, build, order: slots })
}

fn mode_of(board: &Board, name: Option<&str>) -> Result<Mode, Failure> {
    let Some(name) = name else {
        return Ok(Mode::independent());
    };
    let wanted = Mode(name.trim().to_string());
    let offered = board.mode_names();
    if offered.contains(&wanted) {
        return Ok(wanted);
    }
    Err(Failure::NotOffered {
        what: "mode",
        name: name.to_string(),
        board: board.id.clone(),
        offered: offered.iter().map(ToString::to_string).collect(),
    })
}

fn processor_of(catalog: &Catalog, board: &Board, name: Option<&str>) -> Result<Option<Arc<Processor>>, Failure> {
    let Some(name) = name else {
        let first = board.processors.first();
        return Ok(first.and_then(|id| catalog.processors.get(&id.0).cloned()));
    };
    let taken = board.processors.iter().any(|p| p.0 == name);
    match catalog.processors.get(name) {
        Some(processor) if taken => Ok(Some(Arc::clone(processor))),
        _ => Err(Failure::NotOffered {
            what: "processor",
            name: name.to_string(),
            board: board.id.clone(),
            offered: board.processors.iter().map(ToString::to_string).collect(),
        }),
    }
}

/// The slots for a count on every socket: step 1 of each, then step 2 of each …
fn counted(
    board: &Board,
    processor: Option<&Processor>,
    mode: &Mode,
    count: u16,
    ranks: Option<u8>,
) -> Result<(Vec<SlotIndex>, Option<BasisView>), Failure> {
    let mut steps: Vec<Vec<SlotIndex>> = Vec::new();
    let mut basis: Option<BasisView> = None;
    for socket in 0..board.sockets.len() as u8 {
        let most = board.sockets[usize::from(socket)].slots().count();
        if count == 0 || usize::from(count) > most {
            return Err(Failure::Count { count, board: board.id.clone(), most });
        }
        let fill = processor.and_then(|p| order::fill(board, p, mode, socket, count, ranks));
        let found = BasisView::of_count(board, mode, count, fill.as_ref());
        // The least favourable word of any socket holds for the machine.
        if basis.as_ref().is_none_or(|b| found.weight() > b.weight()) {
            basis = Some(found);
        }
        let slots = fill.iter().flat_map(|f| f.slots.iter());
        steps.push(slots.filter_map(|l| board.slot_in(socket, *l)).collect());
    }
    if basis.as_ref().is_some_and(BasisView::is_refused) {
        steps.clear();
    }
    let longest = steps.iter().map(Vec::len).max().unwrap_or(0);
    let slots = (0..longest).flat_map(|i| steps.iter().filter_map(move |s| s.get(i).copied())).collect();
    Ok((slots, basis))
}

impl BasisView {
    /// What a count rests on: the mode's own counts come before any chart.
    fn of_count(board: &Board, mode: &Mode, count: u16, fill: Option<&order::Fill>) -> Self {
        let rule = board.mode(mode).filter(|r| !r.counts.is_empty() && !r.counts.contains(&count));
        if let Some(rule) = rule {
            let counts: Vec<String> = rule.counts.iter().map(u16::to_string).collect();
            return Self {
                kind: "mode".to_string(),
                verdict: verdict_word(CountVerdict::NotSupported).to_string(),
                why: Some(format!("mode {mode} works with {} modules per processor", counts.join(" or "))),
                source: Some(rule.source.to_string()),
                mark: Some(rule.mark.words().to_string()),
                tied: false,
            };
        }
        match fill {
            Some(fill) => Self::new(&fill.basis),
            None => Self {
                kind: "mode".to_string(),
                verdict: verdict_word(CountVerdict::NotSupported).to_string(),
                why: Some(format!("no fill of {count} meets what mode {mode} demands")),
                source: None,
                mark: None,
                tied: false,
            },
        }
    }
    /// Is the count not supported?
    pub fn is_refused(&self) -> bool {
        self.verdict == verdict_word(CountVerdict::NotSupported)
    }
    fn new(basis: &Basis) -> Self {
        match basis {
            Basis::Chart { verdict, why, source, mark } => Self {
                kind: "chart".to_string(),
                verdict: verdict_word(*verdict).to_string(),
                why: why.clone(),
                source: Some(source.to_string()),
                mark: Some(mark.words().to_string()),
                tied: false,
            },
            Basis::General { tied } => Self {
                kind: "general".to_string(),
                verdict: verdict_word(CountVerdict::Supported).to_string(),
                why: None,
                source: None,
                mark: Some(domain::Mark::Practice.words().to_string()),
                tied: *tied,
            },
        }
    }
    fn weight(&self) -> (u8, bool) {
        let verdict = match self.verdict.as_str() {
            "not-supported" => 2,
            "not-advised" => 1,
            _ => 0,
        };
        (verdict, self.tied)
    }
}

fn verdict_word(verdict: CountVerdict) -> &'static str {
    match verdict {
        CountVerdict::Supported => "supported",
        CountVerdict::NotAdvised => "not-advised",
        CountVerdict::NotSupported => "not-supported",
    }
}

fn board_view(
    board: &Board,
    processor: Option<&Processor>,
    mode: &Mode,
    count: Option<u16>,
    slots: &[SlotIndex],
    basis: Option<BasisView>,
) -> BoardView {
    BoardView {
        id: board.id.clone(),
        title: board.title.clone(),
        about: board.about.clone(),
        generation: board.generation.to_string(),
        sockets: board.sockets.iter().map(|s| s.name.clone()).collect(),
        processor: processor.map(|p| p.id.to_string()),
        processors: board.processors.iter().map(ToString::to_string).collect(),
        kinds: board.kinds.iter().map(ToString::to_string).collect(),
        ecc_required: board.ecc_required,
        mode: mode.to_string(),
        modes: board_facts::modes(board),
        limits: board_facts::limits(board, processor),
        rate_limits: board_facts::rate_limits(board, processor),
        charts: board_facts::charts(board),
        firmware: board_facts::firmware(board),
        training_minutes: board.training.map(|m| m.get()),
        count_per_processor: count,
        modules_in_all: count.map(|_| slots.len()),
        basis,
        slots: slots.iter().enumerate().map(|(i, s)| OrderedSlotView::new(board, *s, i + 1)).collect(),
        source: board.source.to_string(),
    }
}

impl OrderedSlotView {
    fn new(board: &Board, index: SlotIndex, order: usize) -> Self {
        let slot = board.slot(index);
        Self {
            label: slot.label.clone(),
            socket: slot.address.socket,
            controller: slot.address.controller,
            channel: slot.address.channel,
            position: slot.address.position,
            order,
            mark: match slot.address.position {
                0 => "first".to_string(),
                1 => "second".to_string(),
                2 => "third".to_string(),
                more => format!("{}th", more + 1),
            },
            tab: slot.tab.clone(),
        }
    }
}
