//! Bandwidth with honest bounds: one figure where one set serves all, else a serial and a concurrent bound.
//!
//! b(w) = w / (1 + w / k), the bandwidth of a set of w channels, with k from the family's data; a factor by ranks and
//! modules a channel. Serial: one region at a time (capacity-weighted harmonic mean). Concurrent: all regions busy,
//! the fullest channel the limit. Sockets add up, each working on its own memory.

use crate::interleave::{CHANNELS_MOST, SetTable};
use crate::scene::{Scene, SocketScene};
use domain::processor::{BandwidthModel, Processor};
use domain::source::Mark;
use domain::{Bandwidth, DataRate};

/// Serial and concurrent bound agree where they differ by no more than this share.
const AGREE: f64 = 0.01;

/// The figures of one socket. Shares are of all its channels filled alike at the build's rate.
#[derive(Debug, Clone, PartialEq)]
pub struct SocketBandwidth {
    pub socket: u8,
    pub serial: f64,
    pub concurrent: f64,
    pub slowest_region: f64,
    pub fastest_region: f64,
    pub regions: u32,
    /// Peak of the channels that hold memory.
    pub peak: Bandwidth,
    /// What all its channels filled alike reach at the build's rate.
    pub full: Bandwidth,
    /// What all its channels filled alike reach at the processor's best rate.
    pub best: Bandwidth,
    /// The serial bound.
    pub estimate: Bandwidth,
    /// Was the model held against a published table for this family?
    pub checked_family: bool,
}

/// The figures of the machine.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineBandwidth {
    pub sockets: Vec<SocketBandwidth>,
    pub peak: Bandwidth,
    /// What all channels filled alike reach at this rate.
    pub full: Bandwidth,
    /// What these processors reach at their best.
    pub best: Bandwidth,
    /// The serial bound: what the planner compares.
    pub serial: Bandwidth,
    pub concurrent: Bandwidth,
    /// The slowest region's bandwidth, and the fastest one's, taken over sockets as shares of `full`.
    pub slowest_region: f64,
    pub fastest_region: f64,
    /// One figure, or only a range?
    pub single: bool,
    /// Single-region estimate of a family whose model was held against a published table.
    pub verified: bool,
}

impl MachineBandwidth {
    /// The lower and upper bound.
    pub fn range(&self) -> (Bandwidth, Bandwidth) {
        (self.serial.min(self.concurrent), self.serial.max(self.concurrent))
    }
    /// A bandwidth as a share of all channels filled alike at this rate.
    pub fn share_of_full(&self, bandwidth: Bandwidth) -> f64 {
        ratio(bandwidth, self.full)
    }
    /// A bandwidth as a share of the best these processors can reach.
    pub fn share_of_best(&self, bandwidth: Bandwidth) -> f64 {
        ratio(bandwidth, self.best)
    }
}

fn ratio(a: Bandwidth, b: Bandwidth) -> f64 {
    if b.mbs() == 0 { 0.0 } else { a.mbs() as f64 / b.mbs() as f64 }
}

/// b(w) over b(all): a set's bandwidth as a share of all channels in one set. Widths may be fractional.
pub fn width_share(model: &BandwidthModel, width: f64, all: f64) -> f64 {
    match &model.saturation {
        Some(k) => width * (1.0 + all / k.value) / (all * (1.0 + width / k.value)),
        None => width / all,
    }
}

/// The factor of one channel by its ranks and modules.
pub fn channel_factor(model: &BandwidthModel, logical_ranks: u16, count: u8) -> f64 {
    let ranks = model
        .rank_factors
        .iter()
        .rev()
        .find(|(least, _)| u16::from(*least) <= logical_ranks)
        .or(model.rank_factors.first())
        .map_or(1.0, |(_, f)| f.value);
    let second = match &model.second_module {
        Some(factor) if count >= 2 => factor.value,
        _ => 1.0,
    };
    ranks * second
}

/// Bounds of a fill, as shares of all channels filled alike.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bounds {
    pub serial: f64,
    pub concurrent: f64,
    pub slowest: f64,
    pub fastest: f64,
    pub regions: u32,
}

/// Bounds from each channel's capacity (MiB) and factor.
pub fn bounds(table: &SetTable, model: &BandwidthModel, capacities: &[u64], factors: &[f64]) -> Bounds {
    let all = table.channels() as f64;
    let total: u64 = capacities.iter().sum();
    let fullest = capacities.iter().copied().max().unwrap_or(0);
    if total == 0 {
        return Bounds::default();
    }
    let (mut time, mut spread) = (0.0f64, 0.0f64);
    let (mut slowest, mut fastest) = (f64::INFINITY, 0.0f64);
    let mut regions = 0;
    table.peel(capacities, factors, |layer| {
        let mut factor = f64::INFINITY;
        let mut bits = layer.members;
        while bits != 0 {
            let c = bits.trailing_zeros() as usize;
            bits &= bits - 1;
            factor = factor.min(factors[c]);
        }
        let capacity = (layer.each_mib * u64::from(layer.width)) as f64;
        let share = width_share(model, f64::from(layer.width), all) * factor;
        time += capacity / share;
        spread += capacity / factor;
        slowest = slowest.min(share);
        fastest = fastest.max(share);
        regions += 1;
    });
    let total = total as f64;
    let concurrent = width_share(model, total / fullest as f64, all) * total / spread;
    Bounds { serial: total / time, concurrent, slowest, fastest, regions }
}

fn peak_of(rate: DataRate, processor: &Processor) -> f64 {
    Bandwidth::peak(rate, u32::from(processor.channels())).mbs() as f64
}

/// A share of a processor's full fill at a rate, in GB/s as a tuned streaming program sees it.
pub fn sustained(processor: &Processor, rate: DataRate, share: f64) -> Bandwidth {
    Bandwidth::from_mbs((peak_of(rate, processor) * processor.bandwidth.sustained.value * share).round() as u64)
}

/// The figures of one socket at a rate; `None` where it has no processor.
pub fn socket(scene: &SocketScene, rate: DataRate) -> Option<SocketBandwidth> {
    let processor = scene.processor?;
    let table = SetTable::new(processor);
    let mut capacities = [0u64; CHANNELS_MOST];
    let mut factors = [1.0f64; CHANNELS_MOST];
    let n = scene.channels.len().min(CHANNELS_MOST);
    for (i, channel) in scene.channels.iter().take(n).enumerate() {
        capacities[i] = channel.capacity().mib();
        factors[i] = channel_factor(&processor.bandwidth, channel.logical_ranks(), channel.count());
    }
    let bounds = bounds(&table, &processor.bandwidth, &capacities[..n], &factors[..n]);
    let filled = capacities[..n].iter().filter(|c| **c > 0).count() as u32;
    let best_rate = processor.best_rate().unwrap_or(rate);
    Some(SocketBandwidth {
        socket: scene.index,
        serial: bounds.serial,
        concurrent: bounds.concurrent,
        slowest_region: bounds.slowest,
        fastest_region: bounds.fastest,
        regions: bounds.regions,
        peak: Bandwidth::peak(rate, filled),
        full: sustained(processor, rate, 1.0),
        best: sustained(processor, best_rate, 1.0),
        estimate: sustained(processor, rate, bounds.serial),
        checked_family: processor
            .bandwidth
            .saturation
            .as_ref()
            .is_some_and(|k| matches!(k.mark, Mark::Seen | Mark::Derived)),
    })
}

/// The figures of the machine at its rate.
pub fn machine(scene: &Scene, rate: DataRate) -> MachineBandwidth {
    let sockets: Vec<SocketBandwidth> = scene.sockets.iter().filter_map(|s| socket(s, rate)).collect();
    let sum = |f: fn(&SocketBandwidth) -> Bandwidth| sockets.iter().map(f).sum::<Bandwidth>();
    let full = sum(|s| s.full);
    let concurrent = sockets
        .iter()
        .map(|s| Bandwidth::from_mbs((s.full.mbs() as f64 * s.concurrent).round() as u64))
        .sum::<Bandwidth>();
    let filled = || sockets.iter().filter(|s| s.regions > 0);
    let single = sockets.iter().all(|s| (s.serial - s.concurrent).abs() <= AGREE * s.serial.max(s.concurrent));
    MachineBandwidth {
        peak: sum(|s| s.peak),
        full,
        best: sum(|s| s.best),
        serial: sum(|s| s.estimate),
        concurrent,
        slowest_region: filled().map(|s| s.slowest_region).reduce(f64::min).unwrap_or(0.0),
        fastest_region: filled().map(|s| s.fastest_region).fold(0.0, f64::max),
        single,
        verified: single && filled().all(|s| s.regions == 1 && s.checked_family),
        sockets,
    }
}
