//! A small text notation for example builds: the rules' examples are written in it, tests play them, the app draws them.

mod machine;
mod says;
#[cfg(test)]
mod tests;
mod told;
mod words;

use domain::board::{Board, LocalSlot, SlotIndex};
use domain::processor::{NumaMode, Processor, ProcessorId, RateLimit};
use domain::quantity::QuantityError;
use domain::{Build, DataRate, Generation, Kind, Mark, Mode, SourceId};
use machine::{cited, empty_board, generic_processor};
use std::sync::Arc;
use told::told_line;
pub use told::{ToldFinding, blocks, write_place};
use words::Words;

/// The source id that figures of examples carry.
pub const EXAMPLE_SOURCE: &str = "example";

/// An example: a build, and what the text says a rule finds in it.
#[derive(Debug, Clone)]
pub struct Example {
    pub build: Build,
    /// The findings told by `->` lines, in the order written.
    pub told: Vec<ToldFinding>,
    /// Did the text say `-> clean`?
    pub clean: bool,
}

/// Why a text is not an example.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotationError {
    /// Nothing says what machine it is.
    #[error("line {line}: no `machine` line comes before this")]
    NoMachine { line: usize },
    /// A word that does not belong there.
    #[error("line {line}: `{found}` where {expected} should be")]
    Word { line: usize, found: String, expected: &'static str },
    /// The line ends too early.
    #[error("line {line}: the line ends where {expected} should be")]
    Missing { line: usize, expected: &'static str },
    /// The line goes on after its end.
    #[error("line {line}: nothing should follow here, but `{found}` does")]
    Extra { line: usize, found: String },
    /// No slot of that machine has that name.
    #[error("line {line}: the machine has no slot `{name}`")]
    NoSlot { line: usize, name: String },
    /// A quantity that can't be read.
    #[error("line {line}: {cause}")]
    Quantity { line: usize, cause: QuantityError },
}

impl NotationError {
    /// What the writer can do next, in one clause.
    pub fn hint(&self) -> String {
        match self {
            Self::NoMachine { .. } => {
                "begin with `machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots`".to_string()
            }
            Self::Word { expected, .. } | Self::Missing { expected, .. } => {
                format!("write {expected}")
            }
            Self::Extra { .. } => "end the line there, or put `#` before a comment".to_string(),
            Self::NoSlot { .. } => "name the socket by digit, the channel by letter, the position by digit: `0a1` is \
                                    the farthest slot of the first channel"
                .to_string(),
            Self::Quantity { cause, .. } => cause.hint(),
        }
    }
}

/// What has been read so far.
struct Draft {
    board: Board,
    processor: Processor,
    /// Modules a channel that its slots allow.
    positions: u8,
    rate: DataRate,
    second: Option<Option<DataRate>>,
    kinds: Vec<Kind>,
    /// One a socket: is it empty, or of another family?
    empty: Vec<bool>,
    other: Vec<bool>,
    mode: Mode,
    numa: Option<String>,
    firmware: Option<String>,
    blanks: Option<bool>,
    reserved: Vec<SlotIndex>,
    slots: Vec<Option<Arc<domain::Module>>>,
}

/// Reads an example. `#` opens a comment; empty lines count for nothing.
///
/// ```text
/// machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
/// processor 2933 limit 1TiB second 2666   # all optional; also: second none, most 1, kinds RDIMM LRDIMM
/// processor numa halves abc def equal-within equal-nodes
/// socket 1 empty                          # or: socket 1 other (another family)
/// says mixing widths never unsupported    # what the board's maker says; severity and outcome may follow
/// chart 4: a1 b1 d1 e1                    # a row of the population chart
/// mode mirror
/// fill 0a1 0b1 64GB 2Rx4 RDIMM 2933       # socket, channel letter, position; position 1 is farthest; * is every one
/// -> wrong mixed-module-kinds at 0a1, 0b1 # what the rule finds; or: -> clean
/// ```
///
/// # Errors
/// The first line that can't be read, with its number.
pub fn parse(text: &str) -> Result<Example, NotationError> {
    let mut draft: Option<Draft> = None;
    let mut told = Vec::new();
    let mut clean = false;
    let mut last = 0;
    for (number, line) in text.lines().enumerate() {
        let mut words = Words::of(number + 1, line);
        last = number + 1;
        let Some(first) = words.peek() else { continue };
        if first == "machine" {
            words.skip();
            draft = Some(Draft::machine(&mut words)?);
        } else {
            let draft = draft.as_mut().ok_or(NotationError::NoMachine { line: last })?;
            if first == "->" {
                words.skip();
                match told_line(&mut words, &draft.board)? {
                    Some(finding) => told.push(finding),
                    None => clean = true,
                }
            } else {
                draft.line(&mut words)?;
            }
        }
        words.end()?;
    }
    let draft = draft.ok_or(NotationError::NoMachine { line: last.max(1) })?;
    Ok(Example { build: draft.finish(), told, clean })
}

impl Draft {
    /// `DDR4 2 sockets x 2 controllers x 3 channels x 2 slots`
    fn machine(words: &mut Words) -> Result<Self, NotationError> {
        let name = words.next("a DDR generation")?;
        let generation = Generation::parse(name).ok_or_else(|| words.wrong(name, "DDR3, DDR4 or DDR5"))?;
        let sockets = words.count(8, &["sockets", "socket"], "1 to 8 sockets")?;
        words.keyword("x")?;
        let controllers = words.count(12, &["controllers", "controller"], "1 to 12 controllers")?;
        words.keyword("x")?;
        let channels = words.count(8, &["channels", "channel"], "1 to 8 channels of a controller")?;
        words.keyword("x")?;
        let positions = words.count(3, &["slots", "slot"], "1 to 3 slots of a channel")?;
        if controllers * channels > 26 {
            return Err(words.wrong(&(controllers * channels).to_string(), "at most 26 channels of a socket"));
        }
        let rate = DataRate::from_mts(match generation {
            Generation::Ddr3 => 1866,
            Generation::Ddr4 => 3200,
            Generation::Ddr5 => 4800,
        });
        let board = empty_board(generation, sockets, controllers, channels, positions);
        Ok(Self {
            slots: vec![None; board.slots.len()],
            processor: generic_processor(generation, controllers, channels, positions),
            board,
            positions,
            rate,
            second: None,
            kinds: Kind::ALL.iter().map(|(k, _)| *k).collect(),
            empty: vec![false; usize::from(sockets)],
            other: vec![false; usize::from(sockets)],
            mode: Mode::independent(),
            numa: None,
            firmware: None,
            blanks: None,
            reserved: Vec::new(),
        })
    }

    fn line(&mut self, words: &mut Words) -> Result<(), NotationError> {
        const LINES: &str =
            "machine, processor, socket, says, chart, mode, numa, firmware, blanks, reserve, fill or ->";
        let first = words.next(LINES)?;
        match first {
            "processor" => self.processor_line(words)?,
            "socket" => {
                let socket: usize = words.number("a socket number")?;
                let what = words.next("`empty` or `other`")?;
                let list = match what {
                    "empty" => &mut self.empty,
                    "other" => &mut self.other,
                    _ => return Err(words.wrong(what, "`empty` or `other`")),
                };
                let number = socket.to_string();
                *list.get_mut(socket).ok_or_else(|| words.wrong(&number, "a socket of the machine"))? = true;
            }
            "says" => says::says(&mut self.board, words)?,
            "chart" => says::chart(&mut self.board, words)?,
            "mode" => self.mode = Mode(words.next("a mode")?.to_string()),
            "numa" => self.numa = Some(words.next("a NUMA mode")?.to_string()),
            "firmware" => self.firmware = Some(words.next("a firmware level")?.to_string()),
            "blanks" => {
                self.blanks = Some(match words.next("`yes` or `no`")? {
                    "yes" => true,
                    "no" => false,
                    word => return Err(words.wrong(word, "`yes` or `no`")),
                });
            }
            "reserve" => {
                let slots = words.slots(&self.board)?;
                self.reserved.extend(slots);
            }
            "fill" => {
                let slots = words.slots(&self.board)?;
                let module = Arc::new(words.module(self.board.generation, self.rate)?);
                for slot in slots {
                    self.slots[slot.at()] = Some(Arc::clone(&module));
                }
            }
            _ => return Err(words.wrong(first, LINES)),
        }
        Ok(())
    }

    fn processor_line(&mut self, words: &mut Words) -> Result<(), NotationError> {
        const OPTIONS: &str = "a rate, a generation, or one of: limit, second, most, kinds, numa";
        while let Some(word) = words.peek() {
            words.skip();
            match word {
                "limit" => self.processor.capacity_limit = Some(cited(words.capacity()?)),
                "most" => self.processor.dpc_most = words.number("modules a channel")?,
                "second" => {
                    let rate = words.next("a rate or `none`")?;
                    self.second = Some(if rate == "none" { None } else { Some(words.rate(rate)?) });
                }
                "kinds" => self.kinds = words.kinds()?,
                "numa" => {
                    let mode = numa_mode(words)?;
                    self.processor.numa.push(mode);
                }
                other if Generation::parse(other).is_some() => {
                    self.processor.generation = Generation::parse(other).unwrap_or(self.board.generation);
                }
                rate if rate.starts_with(|c: char| c.is_ascii_digit()) => self.rate = words.rate(rate)?,
                _ => return Err(words.wrong(word, OPTIONS)),
            }
        }
        Ok(())
    }

    fn finish(mut self) -> Build {
        let rates = &mut self.processor.rates;
        for kind in self.kinds {
            for dpc in 1..=self.positions {
                let most = if dpc == 1 { Some(self.rate) } else { self.second.unwrap_or(Some(self.rate)) };
                if let Some(most) = most {
                    let source = SourceId::new(EXAMPLE_SOURCE);
                    rates.push(RateLimit { kind, dpc, ranks: None, most, source, mark: Mark::Invented });
                }
            }
        }
        let channels = self.processor.channels();
        let generation = self.processor.generation.name().to_lowercase();
        self.processor.id = ProcessorId(format!("{generation}-{channels}ch-{}", self.rate.mts()));
        let mut second_family = self.processor.clone();
        second_family.id = ProcessorId(format!("{}-other", self.processor.id));
        if self.board.processors.is_empty() {
            self.board.processors = vec![self.processor.id.clone(), second_family.id.clone()];
        }
        let (usual, other) = (Arc::new(self.processor), Arc::new(second_family));
        let processors = (self.empty.iter().zip(&self.other))
            .map(|(empty, is_other)| (!empty).then(|| Arc::clone(if *is_other { &other } else { &usual })))
            .collect();
        let mut build = Build::empty(Arc::new(self.board), processors, self.mode);
        build.numa = self.numa;
        build.firmware = self.firmware;
        build.blanks = self.blanks;
        build.reserved = self.reserved;
        build.slots = self.slots;
        build
    }
}

/// `halves abc def equal-within equal-nodes`
fn numa_mode(words: &mut Words) -> Result<NumaMode, NotationError> {
    let (source, mark) = (SourceId::new(EXAMPLE_SOURCE), Mark::Invented);
    let name = words.next("the NUMA mode's name")?.to_string();
    let mut mode = NumaMode { name, nodes: Vec::new(), equal_within_node: false, equal_nodes: false, source, mark };
    while let Some(word) = words.peek() {
        words.skip();
        match word {
            "equal-within" => mode.equal_within_node = true,
            "equal-nodes" => mode.equal_nodes = true,
            letters => mode.nodes.push(words.channels(letters)?),
        }
    }
    Ok(mode)
}

/// The address of `a1` within a socket of the board.
fn local_slot(board: &Board, name: &str) -> Option<LocalSlot> {
    let slot = board.slot_by_label(&format!("0{name}"))?;
    Some(board.slot(slot).address.local())
}
