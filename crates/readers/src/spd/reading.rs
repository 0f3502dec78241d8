//! Contents as a reading of the domain, which every other reader gives too.

use super::organisation::Organised;
use super::sections::{Module3, Module4, Module5, Sections};
use super::timing::Times;
use super::{Spd, card, grade, kind, label, maker, organisation, timing};
use domain::quantity::{DieDensity, Height, Voltage};
use domain::reading::{Checksum, Clocks, Form, Maker};
use domain::{Capacity, DataRate, Kind, ModuleReading};

impl Spd {
    /// How the DRAM is organised; `None` where the contents end before it.
    pub fn organised(&self) -> Option<Organised> {
        organisation::organised(self)
    }
    /// The times at the module's bus; `None` where the contents end before them.
    pub fn times(&self) -> Option<Times> {
        timing::module_times(self)
    }
    /// The module's type by its standard's name: `RDIMM`, `CUDIMM`, `72-bit SO-UDIMM`.
    pub fn type_name(&self) -> Option<&'static str> {
        self.sections.type_name()
    }
    /// The kind of module; any hybrid is non-volatile.
    pub fn kind(&self) -> Option<Kind> {
        let stacked = self.organised().is_some_and(|o| o.stack > 1);
        kind::kind(self.sections.outline().layout, stacked, self.sections.hybrid())
    }
    /// Rate and clocks at it.
    pub fn rate(&self) -> Option<(DataRate, Option<Clocks>)> {
        let times = self.times()?;
        let (rate, tck) = times.standard()?;
        Some((rate, times.clocks_at(tck)))
    }
    /// The speed grade, or the nearest one.
    pub fn grade(&self) -> Option<grade::Grade> {
        let (rate, clocks) = self.rate()?;
        let stacked = self.organised().is_some_and(|o| o.stack > 1);
        grade::grade(self.generation(), rate, clocks?, stacked)
    }
    /// Whole capacity in one figure.
    pub fn capacity(&self) -> Option<Capacity> {
        self.organised()?.capacity
    }

    /// The supply voltage that the module is made for: the lowest at which it works.
    fn voltage(&self) -> Option<Voltage> {
        let millivolts = match &self.sections {
            Sections::Ddr3 { base, .. } if self.reaches(7) => match (base.volts_1250, base.volts_1350, base.not_1500) {
                (1, _, _) => 1250,
                (_, 1, _) => 1350,
                (_, _, 0) => 1500,
                _ => return None,
            },
            Sections::Ddr4 { base, .. } if self.reaches(12) && base.volts_1200 == 1 => 1200,
            Sections::Ddr5 { base, .. } if self.reaches(19) && (base.vdd, base.vddq) == (0, 0) => 1100,
            _ => return None,
        };
        Some(Voltage::from_millivolts(millivolts))
    }
    /// The greatest height in mm: the standard stores whole millimetres, rounded up.
    fn height(&self) -> Option<Height> {
        let (above, at) = match &self.sections {
            Sections::Ddr3 { outline, .. } => (outline.height, 60),
            Sections::Ddr4 { outline, .. } => (outline.height, 128),
            Sections::Ddr5 { common, .. } => (common.height, 230),
        };
        (self.reaches(at + 1) && above > 0).then(|| Height::from_mm(f64::from(above) + 15.0))
    }
    fn thermal_sensor(&self) -> Option<bool> {
        let (flag, at) = match &self.sections {
            Sections::Ddr3 { base, .. } => (base.sensor, 32),
            Sections::Ddr4 { base, .. } => (base.sensor, 14),
            Sections::Ddr5 { common, .. } => (common.sensor0 | common.sensor1, 212),
        };
        self.reaches(at + 1).then_some(flag == 1)
    }
    /// Rows of DRAM and the register's maker.
    fn rows_and_register(&self) -> (Option<u8>, Option<Maker>) {
        let rows = |code: u8| [None, Some(1), Some(2), Some(4)].get(usize::from(code)).copied().flatten();
        let (at, code, register) = match &self.sections {
            Sections::Ddr3 { module: Module3::Registered(r), .. } => (67, r.dram_rows, r.register_maker),
            Sections::Ddr3 { module: Module3::LoadReduced(r), .. } => (67, r.dram_rows, r.register_maker),
            Sections::Ddr4 { module: Module4::Registered(r) | Module4::LoadReduced(r, _), .. } => {
                (135, r.dram_rows, r.register_maker)
            }
            Sections::Ddr5 { common, module: Module5::Registered(driver, _), .. } => {
                (242, common.dram_rows, driver.maker)
            }
            Sections::Ddr5 { common, .. } => (234, common.dram_rows, 0),
            _ => return (None, None),
        };
        if self.reaches(at) { (rows(code), maker::maker(register)) } else { (None, None) }
    }

    /// What the contents say of the module, with checksums and whatever is odd.
    pub fn reading(&self) -> ModuleReading {
        let mut reading = ModuleReading { generation: Some(self.generation()), ..ModuleReading::default() };
        self.put_kind(&mut reading);
        self.put_organisation(&mut reading);
        self.put_timings(&mut reading);
        reading.voltage = self.voltage();
        reading.height = self.height();
        reading.thermal_sensor = self.thermal_sensor();
        (reading.dram_rows, reading.register_maker) = self.rows_and_register();
        self.put_card(&mut reading);
        self.put_made(&mut reading);
        reading.label = label::label(self);
        reading.checksums =
            self.checksums().map(|(sum, stored, computed)| Checksum { name: sum.name, stored, computed }).collect();
        reading.oddities = self.oddities();
        reading
    }

    fn put_kind(&self, reading: &mut ModuleReading) {
        reading.kind = self.kind();
        reading.form = self.sections.outline().form;
        if reading.form == Some(Form::SolderedDown) {
            reading.kind = None;
        }
    }
    fn put_organisation(&self, reading: &mut ModuleReading) {
        let Some(organised) = self.organised() else { return };
        reading.capacity = organised.capacity;
        reading.package_ranks = Some(organised.package_ranks);
        reading.stack_height = Some(organised.stack);
        reading.dual_die = organised.dies.map(|d| d > 1);
        reading.device_width = organised.width;
        reading.ecc_bits = organised.ecc_bits;
        let gbit = organised.die_mbit.filter(|m| m.is_multiple_of(1024)).map(|m| m / 1024);
        reading.die_density = gbit.map(DieDensity::from_gbit);
    }
    fn put_timings(&self, reading: &mut ModuleReading) {
        let Some(times) = self.times() else { return };
        if let Some((rate, tck)) = times.standard() {
            reading.rate = Some(rate);
            reading.clocks = times.clocks_at(tck);
        }
        reading.rates = times.supported();
        if reading.kind == Some(Kind::Mrdimm) {
            // The bus of such a module runs at its own rates only, of which the contents name the fastest.
            reading.rates.truncate(1);
        }
        reading.grade =
            self.grade().filter(|_| self.generation() != domain::Generation::Ddr3).map(|g| g.name.to_string());
    }
    fn put_card(&self, reading: &mut ModuleReading) {
        let at = match &self.sections {
            Sections::Ddr3 { .. } => 63,
            Sections::Ddr4 { .. } => 131,
            Sections::Ddr5 { .. } => 234,
        };
        if self.reaches(at) {
            reading.raw_card = card::raw_card(&self.sections);
            reading.spd_revision = Some(label::revision(self));
            reading.temperature_range = label::temperature(&self.sections).map(str::to_string);
        }
    }
    fn put_made(&self, reading: &mut ModuleReading) {
        let Some(made) = self.manufacturing() else { return };
        reading.maker = maker::maker(made.maker);
        reading.dram_maker = maker::maker(made.dram_maker);
        reading.part_number = made.part_number().map(Into::into);
        reading.serial = (!made.serial_blank()).then(|| format!("{:08X}", made.serial)).map(Into::into);
        reading.made = made.made();
        reading.location = reading.maker.is_some().then_some(made.location);
    }
}
