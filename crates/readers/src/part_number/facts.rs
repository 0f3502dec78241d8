//! What a part number tells, collected, and the ranks that follow from it.

use super::PartReading;
use crate::label::speed;
use crate::maker;
use domain::quantity::{DieDensity, Voltage};
use domain::reading::{Clocks, Form, Maker, MakerId};
use domain::{Capacity, DataRate, Generation, Kind, Module, ModuleReading};

/// A note on numbers that end within the speed, as the SPD of DDR3 has room for 18 characters.
pub const CUT_SHORT: &str = "the number is cut short before or within its speed";

/// The kind and what comes with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Type {
    pub kind: Kind,
    pub form: Form,
    /// Where the kind tells them.
    pub ecc_bits: Option<u8>,
}

impl Type {
    pub const fn new(kind: Kind, form: Form, ecc_bits: Option<u8>) -> Self {
        Self { kind, form, ecc_bits }
    }
}

/// The dies of a package.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Package {
    Mono,
    /// Two or more dies, each a package rank.
    Loads,
    /// A 3DS stack of so many.
    Stack(u8),
    Untold,
}

/// A speed code: rate, grade letter and whether it is one of 3DS parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Speed {
    pub mts: u32,
    pub grade: &'static str,
    pub stacked: bool,
    /// Where the code tells CL-nRCD-nRP itself.
    pub clocks: Option<(u16, u16)>,
}

impl Speed {
    pub const fn flat(mts: u32, grade: &'static str) -> Self {
        Self { mts, grade, stacked: false, clocks: None }
    }
    pub const fn stacked(mts: u32, grade: &'static str) -> Self {
        Self { mts, grade, stacked: true, clocks: None }
    }
    pub const fn clocks(mts: u32, grade: &'static str, stacked: bool, cas: u16, rest: u16) -> Self {
        Self { mts, grade, stacked, clocks: Some((cas, rest)) }
    }
    fn of(self, generation: Generation) -> Option<Clocks> {
        match self.clocks {
            Some((cas, rest)) => Some(Clocks { cas, rcd: rest, rp: rest }),
            None => speed::clocks(generation, DataRate::from_mts(self.mts), self.grade, self.stacked),
        }
    }
}

/// What a number tells.
#[derive(Debug, Clone)]
pub struct Facts {
    pub maker: MakerId,
    pub scheme: &'static str,
    pub generation: Generation,
    pub module: Option<Type>,
    pub mib: Option<u64>,
    pub width: Option<u8>,
    pub die_gbit: Option<u32>,
    pub package: Package,
    pub speed: Option<Speed>,
    pub millivolts: Option<u32>,
    pub notes: Vec<String>,
}

impl Facts {
    pub fn new(maker: MakerId, scheme: &'static str, generation: Generation) -> Self {
        Self {
            maker,
            scheme,
            generation,
            module: None,
            mib: None,
            width: None,
            die_gbit: None,
            package: Package::Untold,
            speed: None,
            millivolts: None,
            notes: Vec::new(),
        }
    }

    /// Ranks that the controller sees with dies of so many Gbit: capacity / (64 / width × die / 8).
    pub fn ranks(&self, gbit: u32) -> Option<u8> {
        let mbit = self.mib?.checked_mul(8)?;
        let rank = u64::from(64 / self.width?.max(1)) * u64::from(gbit) * 1024;
        (rank > 0 && mbit % rank == 0).then(|| u8::try_from(mbit / rank).ok()).flatten().filter(|r| *r > 0)
    }

    /// Package ranks, stack height, dual die.
    fn organisation(&self) -> (Option<u8>, Option<u8>, Option<bool>) {
        let ranks = self.die_gbit.and_then(|gbit| self.ranks(gbit));
        match self.package {
            Package::Mono => (ranks, Some(1), Some(false)),
            Package::Loads => (ranks, Some(1), Some(true)),
            Package::Stack(high) => {
                let whole = ranks.filter(|r| r.is_multiple_of(high.max(1)));
                (whole.map(|r| r / high.max(1)), Some(high), Some(false))
            }
            Package::Untold => (None, None, None),
        }
    }

    /// The reading, and what is left open.
    pub fn finish(self, text: &str) -> PartReading {
        let (package_ranks, stack_height, dual_die) = self.organisation();
        let stacked = stack_height.is_some_and(|h| h > 1);
        let kind = self.module.map(|m| match m.kind {
            Kind::Rdimm if stacked => Kind::Rdimm3ds,
            Kind::Lrdimm if stacked => Kind::Lrdimm3ds,
            kind => kind,
        });
        let clocks = self.speed.and_then(|s| s.of(self.generation));
        let fixed = (self.generation != Generation::Ddr3).then(|| Module::standard_voltage(self.generation));
        let reading = ModuleReading {
            generation: Some(self.generation),
            kind,
            form: self.module.map(|m| m.form),
            capacity: self.mib.map(Capacity::from_mib),
            package_ranks,
            stack_height,
            dual_die,
            device_width: self.width,
            ecc_bits: self.module.and_then(|m| m.ecc_bits),
            die_density: self.die_gbit.map(DieDensity::from_gbit),
            rate: self.speed.map(|s| DataRate::from_mts(s.mts)),
            clocks,
            grade: self.speed.map(|s| s.grade.to_string()).filter(|g| !g.is_empty()),
            voltage: self.millivolts.map(Voltage::from_millivolts).or(fixed),
            maker: Some(self.maker()),
            part_number: Some(text.into()),
            ..ModuleReading::default()
        };
        let open = [
            (reading.kind.is_none(), "module kind"),
            (reading.capacity.is_none(), "capacity"),
            (reading.device_width.is_none(), "device width"),
            (reading.package_ranks.is_none(), "ranks and stacking"),
            (reading.ecc_bits.is_none(), "ECC bits"),
            (reading.rate.is_none(), "data rate"),
            (reading.clocks.is_none(), "CAS latency"),
            (reading.voltage.is_none(), "voltage"),
            (true, "raw card and SPD revision"),
            (reading.kind != Some(Kind::Udimm), "register"),
            (true, "serial number and date"),
        ];
        let untold = open.iter().filter(|(is, _)| *is).map(|(_, what)| *what).collect();
        PartReading { reading, scheme: self.scheme, untold, notes: self.notes }
    }

    fn maker(&self) -> Maker {
        maker::by_id(self.maker)
    }
}
