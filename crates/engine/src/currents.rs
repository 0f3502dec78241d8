//! Power of DRAM devices from the currents of their data sheet: the published method of a memory maker's technical notes
//! (`power-from-currents` in the register; DDR3 TN-41-01, DDR4 TN-40-07).

use domain::Generation;

/// Currents of one device in mA, voltages in V, times in ns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Currents {
    pub vdd: f64,
    /// Word-line supply; 0 where the generation has none.
    pub vpp: f64,
    /// One activate and precharge after another.
    pub idd0: f64,
    /// Power-down, all banks precharged.
    pub idd2p: f64,
    /// Standby, all banks precharged.
    pub idd2n: f64,
    /// Power-down with a bank open.
    pub idd3p: f64,
    /// Standby with a bank open.
    pub idd3n: f64,
    /// Reading, writing without a break.
    pub idd4r: f64,
    pub idd4w: f64,
    /// Refreshing without a break.
    pub idd5: f64,
    /// Word-line current while activating.
    pub ipp0: f64,
    pub tras: f64,
    pub trc: f64,
    pub trfc: f64,
    /// Time between refreshes up to 85 °C.
    pub trefi: f64,
}

impl Currents {
    /// Standby with all banks precharged, mW.
    pub fn precharged(&self) -> f64 {
        self.idd2n * self.vdd
    }
    /// Standby with a bank open, mW.
    pub fn open(&self) -> f64 {
        self.idd3n * self.vdd
    }
    /// Power-down with all banks precharged and with a bank open, mW.
    pub fn power_down(&self) -> (f64, f64) {
        (self.idd2p * self.vdd, self.idd3p * self.vdd)
    }
    /// Current of an activate and precharge beyond standby, mA over one tRC.
    fn activating(&self) -> f64 {
        self.idd0 - (self.idd3n * self.tras + self.idd2n * (self.trc - self.tras)) / self.trc
    }
    /// Activating without a break, beyond standby, mW of the core supply.
    pub fn activate(&self) -> f64 {
        self.activating() * self.vdd
    }
    /// Energy of one activate and precharge, pJ, word-line supply included.
    pub fn activate_energy(&self) -> f64 {
        (self.activate() + self.ipp0 * self.vpp) * self.trc
    }
    /// Reading without a break, beyond standby, mW.
    pub fn read(&self) -> f64 {
        (self.idd4r - self.idd3n) * self.vdd
    }
    /// Writing without a break, beyond standby, mW.
    pub fn write(&self) -> f64 {
        (self.idd4w - self.idd3n) * self.vdd
    }
    /// Refresh, mW; twice as often where `hot` (above 85 °C).
    pub fn refresh(&self, hot: bool) -> f64 {
        (self.idd5 - self.idd3n) * self.vdd * self.refresh_share(hot)
    }
    /// Share of time in which a rank refreshes and serves nothing.
    pub fn refresh_share(&self, hot: bool) -> f64 {
        self.trfc / self.interval(hot)
    }
    /// Time between refreshes, ns; half above 85 °C (JESD79-4, JESD79-5, from memory).
    pub fn interval(&self, hot: bool) -> f64 {
        if hot { self.trefi / 2.0 } else { self.trefi }
    }
}

/// Typical currents of one device, and where they are from. One set a generation: die revisions differ by about a quarter.
pub fn typical(generation: Generation) -> (Currents, &'static str) {
    match generation {
        // 2 Gbit x8 at 1600.
        Generation::Ddr3 => (DDR3, "power-from-currents, an example of its DDR3 note (seen)"),
        // 8 Gbit x8 at 3200.
        Generation::Ddr4 => (DDR4, "power-from-currents, representative currents of an open script (derived)"),
        // 16 Gbit x8 at 4800.
        Generation::Ddr5 => (DDR5, "from memory, not looked up; no published set was found"),
    }
}

const DDR3: Currents = Currents {
    vdd: 1.5,
    vpp: 0.0,
    idd0: 95.0,
    idd2p: 35.0,
    idd2n: 42.0,
    idd3p: 40.0,
    idd3n: 45.0,
    idd4r: 180.0,
    idd4w: 185.0,
    idd5: 215.0,
    ipp0: 0.0,
    tras: 35.0,
    trc: 47.5,
    trfc: 160.0,
    trefi: 7800.0,
};

// IDD2P and IDD3P are from memory; no figure that is shown rests on them.
const DDR4: Currents = Currents {
    vdd: 1.2,
    vpp: 2.5,
    idd0: 65.0,
    idd2p: 25.0,
    idd2n: 34.0,
    idd3p: 39.0,
    idd3n: 52.0,
    idd4r: 200.0,
    idd4w: 160.0,
    idd5: 175.0,
    ipp0: 3.0,
    tras: 32.0,
    trc: 45.75,
    trfc: 350.0,
    trefi: 7800.0,
};

const DDR5: Currents = Currents {
    vdd: 1.1,
    vpp: 1.8,
    idd0: 60.0,
    idd2p: 43.0,
    idd2n: 50.0,
    idd3p: 46.0,
    idd3n: 55.0,
    idd4r: 145.0,
    idd4w: 145.0,
    idd5: 277.0,
    ipp0: 3.0,
    tras: 32.0,
    trc: 48.0,
    trfc: 295.0,
    trefi: 3900.0,
};
