//! `says` and `chart` lines of the notation: what the maker of an example's board rules.

use super::words::Words;
use super::{EXAMPLE_SOURCE, NotationError, local_slot};
use domain::board::{
    Board, ChannelRankLimit, Chart, ChartRow, CountVerdict, FirmwareNeed, FirmwareOrder, FirmwareReason, ModeRule,
    Ruling, Usable,
};
use domain::processor::{ProcessorId, RateLimit};
use domain::quantity::DieDensity;
use domain::{Height, Kind, Mark, Mode, Outcome, Severity, SourceId, Watts};

const SWITCHES: &str = "kinds, processors, ecc, together, mixing, at-most, alone, channel, limit, overhang, height, rate, firmware, \
                        firmware-order, first-slot-first, blanks or mode";

fn source() -> SourceId {
    SourceId::new(EXAMPLE_SOURCE)
}

/// Severity and outcome, where they follow; else *wrong* and what a machine then does.
fn weight(words: &mut Words) -> (Severity, Outcome) {
    let severity = words.peek().and_then(Severity::parse);
    if severity.is_some() {
        words.skip();
    }
    let severity = severity.unwrap_or(Severity::Wrong);
    let outcome = words.peek().and_then(outcome);
    if outcome.is_some() {
        words.skip();
    }
    let usual = if severity == Severity::Wrong { Outcome::Stops } else { Outcome::Unknown };
    (severity, outcome.unwrap_or(usual))
}

fn outcome(word: &str) -> Option<Outcome> {
    Some(match word {
        "stops" => Outcome::Stops,
        "disables-module" => Outcome::DisablesModule,
        "disables-channel" => Outcome::DisablesChannel,
        "disables-socket" => Outcome::DisablesSocket,
        "disables-mode" => Outcome::DisablesMode,
        "loses-bandwidth" => Outcome::LosesBandwidth,
        "waits-for-key" => Outcome::WaitsForKey,
        "nothing-seen" => Outcome::NothingSeen,
        "unknown" => Outcome::Unknown,
        _ => return None,
    })
}

fn ruling<T>(value: T, words: &mut Words) -> Ruling<T> {
    let (severity, outcome) = weight(words);
    Ruling { value, severity, outcome, source: source(), mark: Mark::Invented }
}

/// One `says` line.
pub(super) fn says(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    let switch = words.next(SWITCHES)?;
    match switch {
        "kinds" => board.kinds = words.kinds()?,
        "processors" => {
            board.processors.clear();
            while let Some(id) = words.peek() {
                words.skip();
                board.processors.push(ProcessorId(id.to_string()));
            }
        }
        "ecc" => {
            words.keyword("required")?;
            board.ecc_required = true;
        }
        "together" => {
            let kinds = words.kinds()?;
            board.mixing.kinds_together.push(kinds);
        }
        "mixing" => mixing(board, words)?,
        "at-most" => at_most(board, words)?,
        "alone" => {
            let capacity = words.capacity()?;
            board.mixing.alone.push(ruling(capacity, words));
        }
        "channel" => channel(board, words)?,
        "limit" => limit(board, words)?,
        "overhang" => {
            for slot in words.slots(board)? {
                board.slots[slot.at()].under_heat_sink = true;
            }
        }
        "height" => {
            let slots = words.slots(board)?;
            let height = Height::from_mm(words.measure("mm", "a height in mm")?);
            for slot in slots {
                board.slots[slot.at()].height_most = Some(height);
            }
        }
        "rate" => rate(board, words)?,
        "firmware" => firmware(board, words)?,
        "firmware-order" => {
            words.keyword("text")?;
            board.firmware_order = FirmwareOrder::Text;
        }
        "first-slot-first" => {
            let value = yes(words)?;
            board.first_slot_first = Some(ruling(value, words));
        }
        "blanks" => board.blanks = Some(ruling(true, words)),
        "mode" => mode(board, words)?,
        _ => return Err(words.wrong(switch, SWITCHES)),
    }
    Ok(())
}

fn yes(words: &mut Words) -> Result<bool, NotationError> {
    match words.next("`yes` or `no`")? {
        "yes" => Ok(true),
        "no" => Ok(false),
        word => Err(words.wrong(word, "`yes` or `no`")),
    }
}

/// `mixing widths never unsupported`, `mixing widths freely`, `mixing rank-counts once-full 1 2`
fn mixing(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    const WHAT: &str = "widths, quad-rank, densities, stacks, rates, ecc-bits or rank-counts";
    let what = words.next(WHAT)?;
    if what == "rank-counts" && words.peek() == Some("once-full") {
        words.skip();
        while words.peek().is_some() {
            board.mixing.rank_counts_once_full.push(words.number("a number of ranks")?);
        }
        return Ok(());
    }
    let allowed = match words.next("`never` or `freely`")? {
        "never" => false,
        "freely" => true,
        word => return Err(words.wrong(word, "`never` or `freely`")),
    };
    let mixing = &mut board.mixing;
    let switch = match what {
        "widths" => &mut mixing.widths,
        "quad-rank" => &mut mixing.quad_rank,
        "densities" => &mut mixing.densities,
        "stacks" => &mut mixing.stacks,
        "rates" => &mut mixing.rates,
        "ecc-bits" => &mut mixing.ecc_bits,
        "rank-counts" => &mut mixing.rank_counts,
        _ => return Err(words.wrong(what, WHAT)),
    };
    *switch = Some(ruling(allowed, words));
    Ok(())
}

/// `at-most 2 capacities`, `at-most 1 rank-counts-in-channel`
fn at_most(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    const WHAT: &str = "capacities, capacities-in-channel or rank-counts-in-channel";
    let most = words.number("a number")?;
    let what = words.next(WHAT)?;
    let mixing = &mut board.mixing;
    let switch = match what {
        "capacities" => &mut mixing.capacities,
        "capacities-in-channel" => &mut mixing.capacities_in_channel,
        "rank-counts-in-channel" => &mut mixing.rank_counts_in_channel,
        _ => return Err(words.wrong(what, WHAT)),
    };
    *switch = Some(ruling(most, words));
    Ok(())
}

/// `channel RDIMM package-ranks 8 loads 4`
fn channel(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    let kinds = words.kinds()?;
    let (mut package_ranks, mut logical_ranks, mut loads) = (None, None, None);
    while let Some(word) = words.peek() {
        let limit = match word {
            "package-ranks" => &mut package_ranks,
            "logical-ranks" => &mut logical_ranks,
            "loads" => &mut loads,
            _ => break,
        };
        words.skip();
        *limit = Some(words.number("a number")?);
    }
    let (severity, outcome) = weight(words);
    board.channel_ranks.extend(kinds.into_iter().map(|kind| ChannelRankLimit {
        kind,
        package_ranks,
        logical_ranks,
        loads,
        severity,
        outcome,
        source: source(),
        mark: Mark::Invented,
    }));
    Ok(())
}

/// `limit module 128GB`, `limit slot-watts 10W unsupported`, `limit height 31.25mm`
fn limit(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    const WHAT: &str = "module, processor, system, slot-watts, memory-watts, height or overhang-height";
    let what = words.next(WHAT)?;
    let limits = &mut board.limits;
    match what {
        "module" | "processor" | "system" => {
            let capacity = words.capacity()?;
            let limit = Some(ruling(capacity, words));
            match what {
                "module" => limits.module = limit,
                "processor" => limits.processor = limit,
                _ => limits.system = limit,
            }
        }
        "slot-watts" | "memory-watts" => {
            let watts = Watts::from_watts(words.measure("W", "a power in W")?);
            let limit = Some(ruling(watts, words));
            *(if what == "slot-watts" { &mut limits.slot_watts } else { &mut limits.memory_watts }) = limit;
        }
        "height" | "overhang-height" => {
            let height = Height::from_mm(words.measure("mm", "a height in mm")?);
            let limit = Some(ruling(height, words));
            *(if what == "height" { &mut limits.height } else { &mut limits.height_under_heat_sink }) = limit;
        }
        _ => return Err(words.wrong(what, WHAT)),
    }
    Ok(())
}

/// `rate RDIMM 2 2666`: so many modules a channel run at this rate at most.
fn rate(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    for kind in words.kinds()? {
        let dpc = words.number("modules a channel")?;
        let word = words.next("a rate")?;
        let most = words.rate(word)?;
        board.rates.push(RateLimit { kind, dpc, ranks: None, most, source: source(), mark: Mark::Invented });
    }
    Ok(())
}

/// `firmware 2.10 for 16Gbit`, `for LRDIMM`, `for ddr4-6ch-2933`
fn firmware(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    let least = words.next("a firmware level")?.to_string();
    words.keyword("for")?;
    let what = words.next("a die density, a kind or a processor")?;
    let density = what.strip_suffix("Gbit").and_then(|g| g.parse().ok()).map(DieDensity::from_gbit);
    let reason = match (density, Kind::parse(what)) {
        (Some(density), _) => FirmwareReason::Density(density),
        (None, Some(kind)) => FirmwareReason::Kind(kind),
        (None, None) => FirmwareReason::Processor(ProcessorId(what.to_string())),
    };
    board.firmware.push(FirmwareNeed { reason, least, source: source(), mark: Mark::Invented });
    Ok(())
}

/// `mode mirror counts 6 12 alike ab de ranks 2 width 4 ecc-bits 8 identical not-with-numa halves`
fn mode(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    const DEMANDS: &str = "counts, alike, ranks, width, ecc-bits, identical or not-with-numa";
    const WORDS: [&str; 7] = ["counts", "alike", "ranks", "width", "ecc-bits", "identical", "not-with-numa"];
    let mut rule = ModeRule {
        mode: Mode(words.next("a mode")?.to_string()),
        usable: Usable::All,
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
    while let Some(word) = words.peek() {
        words.skip();
        match word {
            "counts" => {
                while words.peek().is_some_and(|w| w.bytes().all(|b| b.is_ascii_digit())) {
                    rule.counts.push(words.number("a count")?);
                }
            }
            "alike" => {
                while let Some(letters) = words.peek().filter(|w| !WORDS.contains(w)) {
                    words.skip();
                    rule.alike.push(words.channels(letters)?);
                }
            }
            "ranks" => rule.ranks_least = Some(words.number("a number of ranks")?),
            "width" => rule.width = Some(words.number("a device width")?),
            "ecc-bits" => rule.ecc_bits = Some(words.number("a number of ECC bits")?),
            "identical" => rule.identical = true,
            "not-with-numa" => rule.not_with_numa.push(words.next("a NUMA mode")?.to_string()),
            _ => return Err(words.wrong(word, DEMANDS)),
        }
    }
    board.modes.push(rule);
    Ok(())
}

/// `chart 4: a1 b1 d1 e1`, `chart 5: not-supported`, `chart 3: a1 b1 c1 not-advised`, `chart order a1 d1`, `chart
/// closed`, `chart breaking-it unsupported`, `chart for mirror` (opens another chart), `chart ranks 1`
pub(super) fn chart(board: &mut Board, words: &mut Words) -> Result<(), NotationError> {
    const WHAT: &str = "a count with a colon, order, closed, breaking-it, ranks or for";
    let what = words.next(WHAT)?;
    if what == "for" || board.charts.is_empty() {
        let mode = if what == "for" { Mode(words.next("a mode")?.to_string()) } else { Mode::independent() };
        board.charts.push(empty_chart(mode));
    }
    let mut listed = Vec::new();
    while let Some(slot) = words.peek().and_then(|w| local_slot(board, w)) {
        words.skip();
        listed.push(slot);
    }
    let Some(chart) = board.charts.last_mut() else {
        return Ok(());
    };
    match what {
        "for" => {}
        "order" => chart.order = listed,
        "closed" => chart.closed = true,
        "breaking-it" => (chart.severity, chart.outcome) = weight(words),
        "ranks" => chart.ranks = Some(words.number("package ranks")?),
        count => {
            let number = count.strip_suffix(':').and_then(|n| n.parse().ok());
            let count = number.ok_or_else(|| words.wrong(count, WHAT))?;
            let verdict = match words.peek() {
                Some("not-advised") => CountVerdict::NotAdvised,
                Some("not-supported") => CountVerdict::NotSupported,
                _ => CountVerdict::Supported,
            };
            if verdict != CountVerdict::Supported {
                words.skip();
            }
            chart.rows.push(ChartRow { count, slots: listed, verdict, why: None });
        }
    }
    Ok(())
}

fn empty_chart(mode: Mode) -> Chart {
    Chart {
        mode,
        socket: None,
        ranks: None,
        order: Vec::new(),
        rows: Vec::new(),
        closed: false,
        severity: Severity::Unsupported,
        outcome: Outcome::Unknown,
        source: source(),
        mark: Mark::Invented,
    }
}
