//! Writes SMBIOS tables (DSP0134 3.7): from records with the fields of the standard, or from a snapshot. Machines of
//! the captures are kept as such records, and tests build tables from them.

use super::records;
use domain::Snapshot;
use serde::Deserialize;

/// A table's structures, each field as the standard numbers it. Absent fields have the value that means unknown.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Table {
    /// Types 0 to 2 as type and the strings at 4 and 5.
    pub names: Vec<Names>,
    pub processors: Vec<Processor>,
    pub arrays: Vec<Array>,
    pub devices: Vec<Device>,
    /// Type 19.
    pub mapped_arrays: Vec<Mapped>,
    /// Type 20.
    pub mapped_devices: Vec<Mapped>,
}

/// Firmware (type 0: maker and version), system (1) or board (2: maker and product).
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Names {
    pub kind: u8,
    pub handle: u16,
    pub maker: Option<String>,
    pub name: Option<String>,
}

/// Type 4.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Processor {
    pub handle: u16,
    pub socket: Option<String>,
    pub version: Option<String>,
    pub status: u8,
    pub cores: u16,
    pub cores_enabled: u16,
    pub threads: u16,
}

/// Type 16.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Array {
    pub handle: u16,
    pub used: u8,
    pub correction: u8,
    /// In MiB; 0 is unknown.
    pub maximum_mib: u64,
    pub devices: u16,
}

impl Default for Array {
    fn default() -> Self {
        Self { handle: 0, used: 3, correction: 2, maximum_mib: 0, devices: 0 }
    }
}

/// Type 17.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Device {
    pub handle: u16,
    /// Of the formatted part; what lies past it is not written.
    pub length: u8,
    pub array: u16,
    pub total_width: u16,
    pub data_width: u16,
    pub size: u16,
    pub extended_size: u32,
    pub form: u8,
    pub set: u8,
    pub locator: Option<String>,
    pub bank: Option<String>,
    pub kind: u8,
    pub detail: u16,
    /// In MT/s; past 16 bits the extended field is used.
    pub speed: u32,
    pub configured: u32,
    pub maker: Option<String>,
    pub serial: Option<String>,
    pub asset: Option<String>,
    pub part: Option<String>,
    pub attributes: u8,
    /// Least, most and configured, in mV.
    pub voltages: (u16, u16, u16),
    pub technology: u8,
    pub firmware: Option<String>,
    /// As the SPD has it, low byte first; 0 is unknown.
    pub maker_id: u16,
    /// In bytes; `None` is unknown.
    pub volatile: Option<u64>,
    pub nonvolatile: u64,
}

impl Default for Device {
    fn default() -> Self {
        Self {
            handle: 0,
            length: 92,
            array: 0xFFFE,
            total_width: 0xFFFF,
            data_width: 0xFFFF,
            size: 0,
            extended_size: 0,
            form: 2,
            set: 0,
            locator: None,
            bank: None,
            kind: 2,
            detail: 0,
            speed: 0,
            configured: 0,
            maker: None,
            serial: None,
            asset: None,
            part: None,
            attributes: 0,
            voltages: (0, 0, 0),
            technology: 2,
            firmware: None,
            maker_id: 0,
            volatile: None,
            nonvolatile: 0,
        }
    }
}

/// Types 19 and 20.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Mapped {
    pub handle: u16,
    /// First and last byte.
    pub first: u64,
    pub last: u64,
    /// The array (type 19) or the device (20).
    pub of: u16,
    /// The type 19 structure of a type 20.
    pub within: u16,
    /// Type 19: partition width. Type 20: row position, interleave position, interleaved depth.
    pub width: u8,
    pub row: u8,
    pub position: u8,
    pub depth: u8,
}

impl Default for Mapped {
    fn default() -> Self {
        Self {
            handle: 0,
            first: 0,
            last: 0,
            of: 0xFFFF,
            within: 0xFFFF,
            width: 1,
            row: 0xFF,
            position: 0xFF,
            depth: 0xFF,
        }
    }
}

/// A table that says what the snapshot says of names, processors, arrays, slots and ranges. What SMBIOS has no field for is left out.
pub fn write(snapshot: &Snapshot) -> Vec<u8> {
    records::of(snapshot).bytes()
}

impl Table {
    /// The table in bytes, with the structure that ends it.
    pub fn bytes(&self) -> Vec<u8> {
        let mut out = Vec::new();
        self.names.iter().for_each(|n| n.write(&mut out));
        self.processors.iter().for_each(|p| p.write(&mut out));
        self.arrays.iter().for_each(|a| a.write(&mut out));
        self.devices.iter().for_each(|d| d.write(&mut out));
        self.mapped_arrays.iter().for_each(|m| m.write(19, &mut out));
        self.mapped_devices.iter().for_each(|m| m.write(20, &mut out));
        Sheet::new(127, 0xFEFF).end(&mut out);
        out
    }
}

/// A structure in the making.
struct Sheet {
    body: Vec<u8>,
    strings: Vec<u8>,
    count: u8,
}

impl Sheet {
    fn new(kind: u8, handle: u16) -> Self {
        let [low, high] = handle.to_le_bytes();
        Self { body: vec![kind, 0, low, high], strings: Vec::new(), count: 0 }
    }
    fn byte(&mut self, value: u8) -> &mut Self {
        self.body.push(value);
        self
    }
    fn bytes(&mut self, values: &[u8]) -> &mut Self {
        self.body.extend_from_slice(values);
        self
    }
    fn words(&mut self, values: &[u16]) -> &mut Self {
        values.iter().for_each(|v| self.body.extend_from_slice(&v.to_le_bytes()));
        self
    }
    fn doubles(&mut self, values: &[u32]) -> &mut Self {
        values.iter().for_each(|v| self.body.extend_from_slice(&v.to_le_bytes()));
        self
    }
    fn quads(&mut self, values: &[u64]) -> &mut Self {
        values.iter().for_each(|v| self.body.extend_from_slice(&v.to_le_bytes()));
        self
    }
    /// Puts a string into the list and its number into the fields; characters outside Latin-1 become `?`.
    fn string(&mut self, text: Option<&str>) -> &mut Self {
        let number = self.listed(text);
        self.byte(number)
    }
    fn listed(&mut self, text: Option<&str>) -> u8 {
        let Some(text) = text.filter(|t| !t.is_empty()) else { return 0 };
        let Some(next) = self.count.checked_add(1) else { return 0 };
        let latin = |c: char| u8::try_from(u32::from(c)).ok().filter(|b| *b != 0).unwrap_or(b'?');
        self.strings.extend(text.chars().map(latin));
        self.strings.push(0);
        self.count = next;
        next
    }
    fn end(&mut self, out: &mut Vec<u8>) {
        let length = u8::try_from(self.body.len()).unwrap_or(u8::MAX);
        self.body.truncate(usize::from(length));
        if let Some(place) = self.body.get_mut(1) {
            *place = length;
        }
        out.extend_from_slice(&self.body);
        out.extend_from_slice(if self.strings.is_empty() { &[0] } else { &self.strings });
        out.push(0);
    }
}

fn few(number: u16) -> u8 {
    u8::try_from(number).unwrap_or(u8::MAX)
}

impl Names {
    fn write(&self, out: &mut Vec<u8>) {
        let mut sheet = Sheet::new(self.kind, self.handle);
        sheet.string(self.maker.as_deref()).string(self.name.as_deref());
        sheet.bytes(&[0; 12]).end(out);
    }
}

impl Processor {
    fn write(&self, out: &mut Vec<u8>) {
        let mut s = Sheet::new(4, self.handle);
        s.string(self.socket.as_deref()).bytes(&[3, 2, 0]).quads(&[0]).string(self.version.as_deref());
        s.byte(0).words(&[0; 3]).bytes(&[self.status, 2]).words(&[0xFFFF; 3]).bytes(&[0; 3]);
        s.bytes(&[few(self.cores), few(self.cores_enabled), few(self.threads)]).words(&[0, 2]);
        s.words(&[self.cores, self.cores_enabled, self.threads]).end(out);
    }
}

impl Array {
    fn write(&self, out: &mut Vec<u8>) {
        // KiB in 31 bits; past that the field says: see the extended one.
        let short = self.maximum_mib.checked_mul(1024).filter(|kib| (1..1 << 31).contains(kib));
        let short = short.and_then(|kib| u32::try_from(kib).ok()).unwrap_or(0x8000_0000);
        let mut s = Sheet::new(16, self.handle);
        s.bytes(&[3, self.used, self.correction]).doubles(&[short]).words(&[0xFFFE, self.devices]);
        s.quads(&[self.maximum_mib << 20]).end(out);
    }
}

impl Device {
    fn write(&self, out: &mut Vec<u8>) {
        let short = |speed: u32| u16::try_from(speed).ok().filter(|s| *s != u16::MAX).unwrap_or(u16::MAX);
        let long = |speed: u32| if short(speed) == u16::MAX { speed } else { 0 };
        let mut s = Sheet::new(17, self.handle);
        s.words(&[self.array, 0xFFFE, self.total_width, self.data_width, self.size]).bytes(&[self.form, self.set]);
        s.string(self.locator.as_deref()).string(self.bank.as_deref()).byte(self.kind);
        s.words(&[self.detail, short(self.speed)]).string(self.maker.as_deref()).string(self.serial.as_deref());
        s.string(self.asset.as_deref()).string(self.part.as_deref()).byte(self.attributes);
        s.doubles(&[self.extended_size]).words(&[short(self.configured)]);
        s.words(&[self.voltages.0, self.voltages.1, self.voltages.2]).byte(self.technology).words(&[0]);
        s.string(self.firmware.as_deref()).words(&[self.maker_id, 0, 0, 0]);
        s.quads(&[self.nonvolatile, self.volatile.unwrap_or(u64::MAX), 0, 0])
            .doubles(&[long(self.speed), long(self.configured)]);
        s.body.truncate(usize::from(self.length.max(4)));
        s.end(out);
    }
}

impl Mapped {
    fn write(&self, kind: u8, out: &mut Vec<u8>) {
        let wide = self.last >> 10 > 0xFFFF_FFFE;
        let kib = |bytes: u64| u32::try_from(bytes >> 10).ok().filter(|_| !wide).unwrap_or(u32::MAX);
        let long = if wide { [self.first, self.last] } else { [0, 0] };
        let mut s = Sheet::new(kind, self.handle);
        s.doubles(&[kib(self.first), kib(self.last)]).words(&[self.of]);
        if kind == 19 {
            s.byte(self.width);
        } else {
            s.words(&[self.within]).bytes(&[self.row, self.position, self.depth]);
        }
        s.quads(&long).end(out);
    }
}
