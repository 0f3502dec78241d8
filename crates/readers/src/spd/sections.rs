//! Which sections contents have, by generation and module type.

use super::kind::{self, Layout, Outline};
use super::layout::{Contents, Field};
use super::{ddr3, ddr4, ddr5};
use domain::Generation;

/// The sections of contents.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sections {
    Ddr3 { base: ddr3::Base, outline: ddr3::Outline, module: Module3, made: ddr3::Made },
    Ddr4 { base: ddr4::Base, outline: ddr4::Outline, module: Module4, hybrid: Option<ddr4::Hybrid>, made: ddr4::Made },
    Ddr5 { base: ddr5::Base, common: ddr5::Module, module: Module5, made: ddr5::Made },
}

/// The section of a DDR3 module type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Module3 {
    Unbuffered(ddr3::Unbuffered),
    Registered(ddr3::Registered),
    LoadReduced(ddr3::LoadReduced),
    Other,
}

/// The section of a DDR4 module type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Module4 {
    Unbuffered(ddr4::Unbuffered),
    Registered(ddr4::Registered),
    LoadReduced(ddr4::Registered, ddr4::Buffers),
    Other,
}

/// The section of a DDR5 module type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Module5 {
    /// With a clock driver on the types that have one.
    Unbuffered(ddr5::Driver),
    /// Registered, load-reduced or multiplexed-rank.
    Registered(ddr5::Driver, ddr5::Buffers),
    /// Of a differential module the memory buffer is told.
    Other(ddr5::Driver),
}

/// Calls one act on every section there is.
macro_rules! each {
    ($sections:expr, $section:ident => $act:expr) => {
        match $sections {
            Sections::Ddr3 { base, outline, module, made } => {
                {
                    let $section = base;
                    $act
                }
                {
                    let $section = outline;
                    $act
                }
                match module {
                    Module3::Unbuffered($section) => $act,
                    Module3::Registered($section) => $act,
                    Module3::LoadReduced($section) => $act,
                    Module3::Other => {}
                }
                {
                    let $section = made;
                    $act
                }
            }
            Sections::Ddr4 { base, outline, module, hybrid, made } => {
                {
                    let $section = base;
                    $act
                }
                {
                    let $section = outline;
                    $act
                }
                match module {
                    Module4::Unbuffered($section) => $act,
                    Module4::Registered($section) => $act,
                    Module4::LoadReduced(register, buffers) => {
                        {
                            let $section = register;
                            $act
                        }
                        {
                            let $section = buffers;
                            $act
                        }
                    }
                    Module4::Other => {}
                }
                if let Some($section) = hybrid {
                    $act
                }
                {
                    let $section = made;
                    $act
                }
            }
            Sections::Ddr5 { base, common, module, made } => {
                {
                    let $section = base;
                    $act
                }
                {
                    let $section = common;
                    $act
                }
                match module {
                    Module5::Unbuffered($section) | Module5::Other($section) => $act,
                    Module5::Registered(driver, buffers) => {
                        {
                            let $section = driver;
                            $act
                        }
                        {
                            let $section = buffers;
                            $act
                        }
                    }
                }
                {
                    let $section = made;
                    $act
                }
            }
        }
    };
}

/// Gives the fields and numbers of a section, whichever it is.
trait Listed {
    fn listed(&self) -> Vec<(&'static Field, Option<u64>)>;
    fn clear_in(&self, contents: &mut Contents);
}
macro_rules! listed {
    ($($section:ty),*) => { $(impl Listed for $section {
        fn listed(&self) -> Vec<(&'static Field, Option<u64>)> {
            Self::FIELDS.iter().zip(self.numbers()).collect()
        }
        #[inline]
        fn clear_in(&self, contents: &mut Contents) {
            Self::clear(contents);
        }
    })* };
}
listed!(
    ddr3::Base,
    ddr3::Outline,
    ddr3::Unbuffered,
    ddr3::Registered,
    ddr3::LoadReduced,
    ddr3::Made,
    ddr4::Base,
    ddr4::Outline,
    ddr4::Unbuffered,
    ddr4::Registered,
    ddr4::Buffers,
    ddr4::Hybrid,
    ddr4::Made,
    ddr5::Base,
    ddr5::Module,
    ddr5::Driver,
    ddr5::Buffers,
    ddr5::Made
);

impl Sections {
    pub(super) fn read(generation: Generation, from: &Contents) -> Self {
        match generation {
            Generation::Ddr3 => {
                let base = ddr3::Base::read(from);
                let module = match outline3(&base).layout {
                    Layout::Unbuffered => Module3::Unbuffered(ddr3::Unbuffered::read(from)),
                    Layout::Registered => Module3::Registered(ddr3::Registered::read(from)),
                    Layout::LoadReduced => Module3::LoadReduced(ddr3::LoadReduced::read(from)),
                    Layout::Multiplexed | Layout::Other => Module3::Other,
                };
                Self::Ddr3 { base, outline: ddr3::Outline::read(from), module, made: ddr3::Made::read(from) }
            }
            Generation::Ddr4 => {
                let base = ddr4::Base::read(from);
                let module = match outline4(&base).layout {
                    Layout::Unbuffered => Module4::Unbuffered(ddr4::Unbuffered::read(from)),
                    Layout::Registered => Module4::Registered(ddr4::Registered::read(from)),
                    Layout::LoadReduced => {
                        Module4::LoadReduced(ddr4::Registered::read(from), ddr4::Buffers::read(from))
                    }
                    Layout::Multiplexed | Layout::Other => Module4::Other,
                };
                let hybrid = (base.hybrid == 1).then(|| ddr4::Hybrid::read(from));
                let outline = ddr4::Outline::read(from);
                Self::Ddr4 { base, outline, module, hybrid, made: ddr4::Made::read(from) }
            }
            Generation::Ddr5 => {
                let base = ddr5::Base::read(from);
                let driver = ddr5::Driver::read(from);
                let module = match outline5(&base).layout {
                    Layout::Unbuffered => Module5::Unbuffered(driver),
                    Layout::Registered | Layout::LoadReduced | Layout::Multiplexed => {
                        Module5::Registered(driver, ddr5::Buffers::read(from))
                    }
                    Layout::Other => Module5::Other(driver),
                };
                Self::Ddr5 { base, common: ddr5::Module::read(from), module, made: ddr5::Made::read(from) }
            }
        }
    }
    pub(super) fn write(&self, to: &mut Contents) {
        each!(self, section => section.write(to));
    }
    /// Takes the bits of all fields out.
    pub(super) fn clear(&self, contents: &mut Contents) {
        each!(self, section => section.clear_in(contents));
    }
    /// Every field with its number, in the order of sections; `None` for a run of bytes.
    pub fn fields(&self) -> Vec<(&'static Field, Option<u64>)> {
        let mut all = Vec::new();
        each!(self, section => all.extend(section.listed()));
        all
    }
    /// Which generation these are.
    pub fn generation(&self) -> Generation {
        match self {
            Self::Ddr3 { .. } => Generation::Ddr3,
            Self::Ddr4 { .. } => Generation::Ddr4,
            Self::Ddr5 { .. } => Generation::Ddr5,
        }
    }
    /// The name of the module type; `None` for a code that the standard does not have.
    pub fn type_name(&self) -> Option<&'static str> {
        match self {
            Self::Ddr3 { base, .. } => kind::word(kind::DDR3_TYPES, base.module_type),
            Self::Ddr4 { base, .. } => kind::word(kind::DDR4_TYPES, base.module_type),
            Self::Ddr5 { base, .. } => kind::word(kind::DDR5_TYPES, base.module_type),
        }
    }
    /// What the module type says.
    pub fn outline(&self) -> Outline {
        kind::outline(self.type_name())
    }
    /// Is it a hybrid module, DRAM with something non-volatile?
    pub fn hybrid(&self) -> bool {
        match self {
            Self::Ddr3 { .. } => false,
            Self::Ddr4 { base, .. } => base.hybrid == 1,
            Self::Ddr5 { base, .. } => base.hybrid == 1,
        }
    }
    /// The checksum stored at this offset.
    pub(super) fn checksum(&self, at: usize) -> u16 {
        match self {
            Self::Ddr3 { base, .. } => base.crc,
            Self::Ddr4 { base, outline, .. } => {
                if at == 254 {
                    outline.crc
                } else {
                    base.crc
                }
            }
            Self::Ddr5 { base, .. } => base.crc,
        }
    }
    pub(super) fn set_checksum(&mut self, at: usize, value: u16) {
        match self {
            Self::Ddr3 { base, .. } => base.crc = value,
            Self::Ddr4 { outline, .. } if at == 254 => outline.crc = value,
            Self::Ddr4 { base, .. } => base.crc = value,
            Self::Ddr5 { base, .. } => base.crc = value,
        }
    }
    /// Ranges that makers and users fill as they like, or that are not laid out here.
    pub(super) fn open(&self) -> &'static [(usize, usize)] {
        match self {
            Self::Ddr3 { .. } => ddr3::OPEN,
            Self::Ddr4 { hybrid: Some(_), .. } => ddr4::OPEN_HYBRID,
            Self::Ddr4 { .. } => ddr4::OPEN,
            Self::Ddr5 { base, .. } if base.hybrid == 1 => ddr5::OPEN_OTHER,
            Self::Ddr5 { module: Module5::Other(_), .. } => ddr5::OPEN_OTHER,
            Self::Ddr5 { .. } => ddr5::OPEN,
        }
    }
}

fn outline3(base: &ddr3::Base) -> Outline {
    kind::outline(kind::word(kind::DDR3_TYPES, base.module_type))
}
fn outline4(base: &ddr4::Base) -> Outline {
    kind::outline(kind::word(kind::DDR4_TYPES, base.module_type))
}
fn outline5(base: &ddr5::Base) -> Outline {
    kind::outline(kind::word(kind::DDR5_TYPES, base.module_type))
}
