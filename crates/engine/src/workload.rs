//! Watts of a build at work: what its devices draw at standby, what the traffic adds, refresh, register and supply loss.

use crate::currents::{Currents, typical};
use crate::scene::Scene;
use domain::{Bandwidth, DataRate, Generation, Kind, Module, SlotIndex, Watts};

/// Bytes of one access.
const LINE: f64 = 64.0;
/// Energy at the pins for one bit read, pJ, DDR4 at 3200: the note's 11.73 mW a data pin (second hand).
pub const PIN_READ: f64 = 3.67;
/// The same for one written: 4.15 mW.
pub const PIN_WRITE: f64 = 1.30;
/// Watts of a register (common practice, no source), of DDR5's register (from memory, 1 to 2).
const REGISTER: f64 = 0.8;
const REGISTER_DDR5: f64 = 1.5;
/// Share that DDR5's supply on the module passes on (from memory, 0.85 to 0.92).
const SUPPLY: f64 = 0.88;

/// What the machine does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Workload {
    /// Share of each channel's peak that is in use, 0 to 1.
    pub used: f64,
    /// Share of it that is reads, 0 to 1.
    pub reads: f64,
    /// Share of accesses that find their row open, 0 to 1.
    pub hits: f64,
    /// The devices are above 85 °C.
    pub hot: bool,
}

/// Watts of one module by what draws them, all of them taken from its slot.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Draw {
    pub standby: Watts,
    pub activate: Watts,
    pub transfer: Watts,
    pub refresh: Watts,
    pub register: Watts,
    /// Lost in the supply on the module.
    pub supply: Watts,
}

impl Draw {
    /// All of it.
    pub fn total(self) -> Watts {
        [self.standby, self.activate, self.transfer, self.refresh, self.register, self.supply].into_iter().sum()
    }
}

/// Devices of one package rank, and logical ranks. Bits beside the data where nothing tells: 8.
pub fn devices(module: &Module) -> (u32, u32) {
    let wide = u32::from(module.ecc_bits.unwrap_or(8));
    // DDR5 has its ECC bits on both sub-channels.
    let extra = if module.generation == Generation::Ddr5 { wide * 2 } else { wide };
    let per_rank = (64 + extra) / u32::from(module.organisation.width.max(1));
    (per_rank, u32::from(module.organisation.logical_ranks().max(1)))
}

/// Watts of a module on a channel at this rate, through which so much goes.
pub fn module(module: &Module, rate: DataRate, through: Bandwidth, work: Workload) -> Draw {
    let (currents, _) = typical(module.generation);
    let (per_rank, ranks) = devices(module);
    let mw = |milliwatts: f64| Watts::from_watts(milliwatts / 1000.0);
    let devices = f64::from(per_rank);
    // One rank has banks open, the others wait precharged (common practice, no source).
    let idle = f64::from(ranks.saturating_sub(1));
    let busy = work.used > 0.0;
    let standby =
        if busy { currents.open() + idle * currents.precharged() } else { (idle + 1.0) * currents.precharged() };
    let refresh = f64::from(ranks) * currents.refresh(work.hot);
    let per_second = through.gbs() * 1e9 / LINE;
    let activate = per_second * (1.0 - work.hits) * currents.activate_energy() * 1e-12 * 1000.0;
    let transfer = transfer(&currents, rate, through, work);
    let register = match (module.kind, module.generation) {
        (Kind::Udimm, _) => 0.0,
        (_, Generation::Ddr5) => REGISTER_DDR5,
        _ => REGISTER,
    };
    let mut draw = Draw {
        standby: mw(devices * standby),
        activate: mw(devices * activate),
        transfer: mw(devices * transfer) + mw(pins(through, work)),
        refresh: mw(devices * refresh),
        register: Watts::from_watts(register),
        supply: Watts::default(),
    };
    if module.generation == Generation::Ddr5 {
        draw.supply = Watts::from_watts(draw.total().watts() * (1.0 / SUPPLY - 1.0));
    }
    draw
}

/// mW of one device for moving data inside: its share of time at the bus, reading and writing.
fn transfer(currents: &Currents, rate: DataRate, through: Bandwidth, work: Workload) -> f64 {
    let peak = Bandwidth::peak(rate, 1).gbs();
    let share = if peak > 0.0 { (through.gbs() / peak).min(1.0) } else { 0.0 };
    share * (work.reads * currents.read() + (1.0 - work.reads) * currents.write())
}

/// mW at the data pins.
fn pins(through: Bandwidth, work: Workload) -> f64 {
    let bits = through.gbs() * 1e9 * 8.0;
    bits * (work.reads * PIN_READ + (1.0 - work.reads) * PIN_WRITE) * 1e-12 * 1000.0
}

/// Each filled slot of a build with what goes through it and what it draws, DRAM only: a channel's traffic is spread over its
/// modules by their capacity.
pub fn machine(scene: &Scene<'_>, rate: DataRate, work: Workload) -> Vec<(SlotIndex, Bandwidth, Draw)> {
    let peak = Bandwidth::peak(rate, 1).gbs() * work.used;
    let mut all = Vec::new();
    for channel in scene.sockets.iter().flat_map(|s| &s.channels) {
        let whole = channel.capacity().gib();
        for (slot, own) in channel.dram() {
            let part = if whole > 0.0 { own.capacity.gib() / whole } else { 0.0 };
            let through = Bandwidth::from_gbs(peak * part);
            all.push((slot, through, module(own, rate, through, work)));
        }
    }
    all
}
