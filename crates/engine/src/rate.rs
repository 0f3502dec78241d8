//! The data rate as a chain of limits: module bin → processor → board → slowest module present.

use crate::scene::{ChannelScene, Scene};
use domain::board::Board;
use domain::processor::{Processor, RateLimit};
use domain::source::Mark;
use domain::{DataRate, Kind, Module, SourceId};

/// What sets a link of the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LinkKind {
    /// What the fastest module present is rated for.
    ModuleBin,
    /// The processor, for this kind, these ranks and so many modules a channel.
    Processor,
    /// The board, where it lowers the processor's figure.
    Board,
    /// The module with the lowest bin: all channels run at one rate.
    SlowestModule,
}

impl LinkKind {
    /// Its words.
    pub fn words(self) -> &'static str {
        match self {
            Self::ModuleBin => "module bin",
            Self::Processor => "processor",
            Self::Board => "board",
            Self::SlowestModule => "slowest module",
        }
    }
}

/// One limit of the chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RateLink {
    pub kind: LinkKind,
    pub most: DataRate,
    /// What it depends on, in words: `RDIMM, 2 ranks, 2 modules a channel on west channel 0`.
    pub because: String,
    /// Is the rate this low because of this link?
    pub binds: bool,
    /// What would lift it.
    pub lift: String,
    pub source: Option<(SourceId, Mark)>,
}

/// The chain and the rate that comes out of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RateChain {
    pub links: Vec<RateLink>,
    pub rate: DataRate,
}

/// The rate that processor and board allow a module with `dpc` in its channel; `None` where the processor takes none.
pub fn module_limit(processor: &Processor, board: &Board, module: &Module, dpc: u8) -> Option<DataRate> {
    let ranks = module.organisation.package_ranks;
    let processor = processor.rate_limit(module.kind, ranks, dpc)?.most;
    let board = board.rate_limit(module.kind, ranks, dpc).map_or(processor, |b| b.most);
    Some(processor.min(board))
}

/// The rate of one channel on its own: limits and bins of all its modules; `None` where it is empty or has no rate.
pub fn channel_rate(processor: &Processor, board: &Board, channel: &ChannelScene) -> Option<DataRate> {
    let dpc = channel.count();
    let mut rate: Option<DataRate> = None;
    for (_, module) in channel.dram() {
        let own = module_limit(processor, board, module, dpc)?.min(module.rate);
        rate = Some(rate.map_or(own, |r| r.min(own)));
    }
    rate
}

/// The rate that all channels run at: the lowest found; `None` where nothing runs.
pub fn machine_rate(scene: &Scene) -> Option<DataRate> {
    scene
        .sockets
        .iter()
        .filter_map(|s| s.processor.map(|p| (p, s)))
        .flat_map(|(p, s)| s.channels.iter().filter_map(move |c| channel_rate(p, scene.board, c)))
        .min()
}

struct Tightest {
    most: DataRate,
    because: String,
    source: Option<(SourceId, Mark)>,
    kind: Kind,
    /// Would a channel with one module of this sort run faster?
    faster_alone: bool,
}

fn keep_lower(slot: &mut Option<Tightest>, next: Tightest) {
    if slot.as_ref().is_none_or(|t| next.most < t.most) {
        *slot = Some(next);
    }
}

/// The whole chain, link by link; `None` where no channel has a rate.
pub fn chain(scene: &Scene) -> Option<RateChain> {
    let mut fastest: Option<(DataRate, String)> = None;
    let mut slowest: Option<(DataRate, String)> = None;
    let (mut processor_link, mut board_link) = (None, None);
    for socket in &scene.sockets {
        let Some(processor) = socket.processor else {
            continue;
        };
        for channel in &socket.channels {
            let dpc = channel.count();
            for (slot, module) in channel.dram() {
                let ranks = module.organisation.package_ranks;
                let Some(limit) = processor.rate_limit(module.kind, ranks, dpc) else {
                    continue;
                };
                let bin = || (module.rate, format!("{} in {}", module.short(), scene.label(slot)));
                if fastest.as_ref().is_none_or(|(r, _)| module.rate > *r) {
                    fastest = Some(bin());
                }
                if slowest.as_ref().is_none_or(|(r, _)| module.rate < *r) {
                    slowest = Some(bin());
                }
                let tightest = |l: &RateLimit, alone: Option<&RateLimit>| Tightest {
                    most: l.most,
                    because: format!(
                        "{}, {ranks} rank{}, {dpc} module{} a channel ({})",
                        module.kind,
                        if ranks == 1 { "" } else { "s" },
                        if dpc == 1 { "" } else { "s" },
                        scene.label(slot)
                    ),
                    source: Some((l.source.clone(), l.mark)),
                    kind: module.kind,
                    faster_alone: dpc > 1 && alone.is_none_or(|a| a.most > l.most),
                };
                keep_lower(&mut processor_link, tightest(limit, processor.rate_limit(module.kind, ranks, 1)));
                if let Some(own) = scene.board.rate_limit(module.kind, ranks, dpc) {
                    keep_lower(&mut board_link, tightest(own, scene.board.rate_limit(module.kind, ranks, 1)));
                }
            }
        }
    }
    let rate = machine_rate(scene)?;
    let mut links = Vec::new();
    let fastest = fastest?;
    links.push(RateLink {
        kind: LinkKind::ModuleBin,
        most: fastest.0,
        because: fastest.1,
        binds: fastest.0 == rate,
        lift: "modules of a faster bin".to_string(),
        source: None,
    });
    if let Some(t) = processor_link {
        links.push(limit_link(LinkKind::Processor, &t, rate, "a faster processor family"));
    }
    if let Some(t) = board_link {
        links.push(limit_link(LinkKind::Board, &t, rate, "another board"));
    }
    if let Some((most, because)) = slowest.filter(|s| s.0 < fastest.0) {
        links.push(RateLink {
            kind: LinkKind::SlowestModule,
            most,
            because,
            binds: most == rate,
            lift: "leave out the slower modules".to_string(),
            source: None,
        });
    }
    Some(RateChain { links, rate })
}

fn limit_link(kind: LinkKind, tightest: &Tightest, rate: DataRate, other: &str) -> RateLink {
    let lift = if tightest.faster_alone {
        format!("fewer, larger {} modules, one a channel, or {other}", tightest.kind)
    } else {
        other.to_string()
    };
    RateLink {
        kind,
        most: tightest.most,
        because: tightest.because.clone(),
        binds: tightest.most == rate,
        lift,
        source: tightest.source.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation;

    #[test]
    fn one_module_a_channel_is_advised_only_where_it_is_faster() {
        let lift = |processor: &str, kind: LinkKind| {
            let text = format!(
                "machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots\nprocessor 2933 {processor}\n\
                 fill 0*1 0*2 32GB 2Rx4 RDIMM 3200\n"
            );
            let example = notation::parse(&text).unwrap();
            let chain = chain(&Scene::new(&example.build)).unwrap();
            chain.links.iter().find(|l| l.kind == kind).map(|l| l.lift.clone()).unwrap()
        };
        assert_eq!(lift("", LinkKind::Processor), "a faster processor family");
        assert!(lift("second 2666", LinkKind::Processor).starts_with("fewer, larger RDIMM modules, one a channel"));
    }
}
