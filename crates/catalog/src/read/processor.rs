//! Processor files into processor families.

use super::amounts;
use crate::decode::At;
use crate::error::Fault;
use crate::reading::{Citing, Reading};
use crate::shape::Figure;
use crate::shape::processor::{Bandwidth, Numa, ProcessorFile, RankFactor, RateRow, Sets};
use domain::processor::{BandwidthModel, IdleLatency, InterleaveSets, NumaMode, ProcessorId, RateLimit};
use domain::source::Cited;
use domain::{Capacity, Processor};

/// A processor file's values, checked against each other.
pub(crate) fn processor(
    reading: &mut Reading,
    citing: &Citing<'_>,
    id: &str,
    file: &ProcessorFile,
) -> Option<Processor> {
    let controllers = reading.ranged(&file.controllers, "the number of controllers", 1, 16);
    let channels = reading.ranged(&file.channels, "the number of channels of a controller", 1, 16);
    let dpc = reading.ranged(&file.modules_per_channel, "the number of modules in a channel", 1, 4);
    let (controllers, channels_each, dpc_most) = (controllers?, channels?, dpc?);
    let all = controllers.checked_mul(channels_each).filter(|n| *n <= 32);
    let Some(all) = all else {
        let fault = Fault::contradiction(file.channels.span, "more than 32 channels in all");
        reading.report(fault.hint("`channels` counts those of one controller"));
        return None;
    };
    let rates = rates(reading, citing, &file.rate, dpc_most);
    if rates.is_empty() && reading.is_clean() {
        let fault = Fault::contradiction(file.rate.span, "no data rates");
        reading.report(fault.hint("add a [[rate]] for each kind and number of modules in a channel"));
    }
    Some(Processor {
        id: ProcessorId(id.to_string()),
        about: file.about.value.clone(),
        generation: file.generation.value.value(),
        controllers,
        channels_per_controller: channels_each,
        dpc_most,
        rates,
        capacity_limit: capacity_limit(reading, citing, file),
        sets: sets(reading, citing, &file.sets, all),
        bandwidth: bandwidth(reading, citing, &file.bandwidth)?,
        numa: file.numa.iter().filter_map(|n| numa(reading, citing, n, all)).collect(),
        latency: latency(reading, citing, file),
    })
}

fn capacity_limit(reading: &mut Reading, citing: &Citing<'_>, file: &ProcessorFile) -> Option<Cited<Capacity>> {
    let limit = file.capacity_limit.as_ref()?;
    let most = amounts::capacity(reading, &limit.most)?;
    Some(citing.cited(reading, most, limit.most.span, limit.source.as_ref(), limit.mark))
}

fn latency(reading: &mut Reading, citing: &Citing<'_>, file: &ProcessorFile) -> Option<Cited<IdleLatency>> {
    let l = file.latency.as_ref()?;
    let value = IdleLatency { local_ns: l.local_ns.value, remote_ns: l.remote_ns };
    Some(citing.cited(reading, value, l.local_ns.span, l.source.as_ref(), l.mark))
}

/// Rows of data rates, one limit for each kind and number of modules.
pub(crate) fn rates(reading: &mut Reading, citing: &Citing<'_>, rows: &[RateRow], dpc_most: u8) -> Vec<RateLimit> {
    let mut limits = Vec::new();
    for row in rows {
        let ranks = row.ranks.as_ref().map(|ranks| match ranks[..] {
            [least, most] if 1 <= least && least <= most && most <= 8 => Some((least, most)),
            _ => {
                let fault = Fault::contradiction(ranks.span, "`ranks` is not a least and a most package rank");
                reading.report(fault.hint("write the least and the most, from 1 to 8, such as [1, 2]"));
                None
            }
        });
        let Some(most) = amounts::rate(reading, &row.most) else {
            continue;
        };
        let (source, mark) = citing.cite(reading, row.most.span, row.source.as_ref(), row.mark);
        for dpc in &row.modules_per_channel.0 {
            let at = At { value: *dpc, span: row.modules_per_channel.span };
            let Some(dpc) = reading.ranged(&at, "the number of modules in a channel", 1, dpc_most) else {
                continue;
            };
            for kind in &row.kinds {
                let (kind, source) = (kind.value(), source.clone());
                limits.push(RateLimit { kind, dpc, ranks: ranks.flatten(), most, source, mark });
            }
        }
    }
    limits
}

fn sets(reading: &mut Reading, citing: &Citing<'_>, file: &Sets, channels: u8) -> InterleaveSets {
    for size in &file.sizes.value {
        let at = At { value: *size, span: file.sizes.span };
        reading.ranged(&at, "the size of a set", 1, channels);
    }
    if !file.sizes.contains(&1) {
        let fault = Fault::contradiction(file.sizes.span, "the set size 1 is missing");
        reading.report(fault.hint("add 1: a channel alone is always a set"));
    }
    for set in &file.listed {
        channel_numbers(reading, set, channels);
        if !file.sizes.iter().any(|s| usize::from(*s) == set.len()) {
            let text = format!("a set of {} channels, but `sizes` has no {0}", set.len());
            reading.report(
                Fault::contradiction(set.span, text)
                    .see(file.sizes.span, "the sizes")
                    .hint("add the size, or take the set away"),
            );
        }
    }
    let (source, mark) = citing.cite(reading, file.sizes.span, file.source.as_ref(), file.mark);
    let listed = file.listed.iter().map(|s| s.value.clone()).collect();
    InterleaveSets { sizes: file.sizes.value.clone(), listed, source, mark }
}

/// Channel numbers within a processor or socket: known ones, each once.
pub(crate) fn channel_numbers(reading: &mut Reading, list: &At<Vec<u8>>, channels: u8) -> bool {
    for (i, number) in list.iter().enumerate() {
        if *number >= channels {
            let text = format!("there is no channel {number}: {channels} channels count from 0");
            reading.report(
                Fault::contradiction(list.span, text)
                    .hint("channel number = controller × channels of a controller + channel"),
            );
            return false;
        }
        if list[..i].contains(number) {
            reading.report(
                Fault::contradiction(list.span, format!("channel {number} stands twice"))
                    .hint("name each channel once"),
            );
            return false;
        }
    }
    if list.is_empty() {
        reading.report(
            Fault::contradiction(list.span, "a group of no channels").hint("name its channels, or take it away"),
        );
    }
    !list.is_empty()
}

fn bandwidth(reading: &mut Reading, citing: &Citing<'_>, file: &Bandwidth) -> Option<BandwidthModel> {
    let mut rank_factors = Vec::new();
    let mut last: Option<u8> = None;
    for row in &file.ranks.value {
        let RankFactor { least, factor, source, mark } = row;
        let value = reading.ranged(factor, "a factor", 0.01, 2.0)?;
        if last.is_some_and(|l| l >= least.value) {
            let fault = Fault::contradiction(least.span, "the rows of `ranks` do not ascend");
            reading.report(fault.hint("order them by `least`, each higher than the one before"));
        }
        last = Some(least.value);
        rank_factors.push((least.value, citing.cited(reading, value, factor.span, source.as_ref(), *mark)));
    }
    if rank_factors.is_empty() {
        let fault = Fault::contradiction(file.ranks.span, "no factors by rank");
        reading.report(fault.hint("write { least = 1, factor = 1.0 } where ranks make no difference"));
    }
    let mut figure = |f: &Figure, what: &str, least: f64, most: f64| -> Option<Cited<f64>> {
        let value = reading.ranged(&f.value, what, least, most)?;
        Some(citing.cited(reading, value, f.value.span, f.source.as_ref(), f.mark))
    };
    let saturation = file.saturation.as_ref().and_then(|f| figure(f, "the saturation", 0.1, 100_000.0));
    let second_module = file.second_module.as_ref().and_then(|f| figure(f, "a factor", 0.01, 2.0));
    let sustained = figure(&file.sustained, "the sustained share", 0.01, 1.0)?;
    Some(BandwidthModel { saturation, rank_factors, second_module, sustained })
}

fn numa(reading: &mut Reading, citing: &Citing<'_>, file: &Numa, channels: u8) -> Option<NumaMode> {
    let name = reading.name(&file.name, "the name of a NUMA mode")?;
    let mut seen: Vec<u8> = Vec::new();
    for node in &file.nodes.value {
        if !channel_numbers(reading, node, channels) {
            return None;
        }
        if let Some(again) = node.iter().find(|n| seen.contains(n)) {
            let fault = Fault::contradiction(node.span, format!("channel {again} is in two nodes"));
            reading.report(fault.hint("each channel belongs to one node"));
        }
        seen.extend(&node.value);
    }
    if seen.len() < usize::from(channels) {
        let text = format!("the nodes hold {} of the processor's {channels} channels", seen.len());
        reading.report(Fault::contradiction(file.nodes.span, text).hint("put every channel into one node"));
    }
    let (source, mark) = citing.cite(reading, file.name.span, file.source.as_ref(), file.mark);
    Some(NumaMode {
        name,
        nodes: file.nodes.iter().map(|n| n.value.clone()).collect(),
        equal_within_node: file.equal_within_node,
        equal_nodes: file.equal_nodes,
        source,
        mark,
    })
}
