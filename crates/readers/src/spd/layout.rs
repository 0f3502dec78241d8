//! Where a field lies in the contents, and the macro that makes a section of fields: one table, read and written.

/// Bytes of the largest contents that the standards lay out (JESD400-5: 1024).
pub const SIZE: usize = 1024;

/// Contents, with zeros where fewer bytes were read.
pub type Contents = [u8; SIZE];

/// Where a field lies: bits `low..low + width` of `bytes` bytes, with more significant bits elsewhere for some.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// The first byte.
    pub at: usize,
    pub bytes: usize,
    /// Is the first byte the most significant one, as in maker ids and serial numbers?
    pub big_end_first: bool,
    pub low: u32,
    pub width: u32,
    /// Byte, lowest bit and width of the more significant bits, where they lie apart.
    pub above: Option<(usize, u32, u32)>,
}

impl Place {
    const fn new(at: usize, bytes: usize, low: u32, width: u32) -> Self {
        Self { at, bytes, big_end_first: false, low, width, above: None }
    }
    /// One past the last byte that it takes.
    pub const fn end(&self) -> usize {
        let end = self.at + self.bytes;
        match self.above {
            Some((at, _, _)) if at + 1 > end => at + 1,
            _ => end,
        }
    }
    #[inline(always)]
    fn get(&self, from: &Contents) -> u64 {
        let mut value = 0u64;
        for i in 0..self.bytes {
            let byte = u64::from(from[self.at + i]);
            value |= byte << (8 * if self.big_end_first { self.bytes - 1 - i } else { i });
        }
        value = (value >> self.low) & ones(self.width);
        if let Some((at, low, width)) = self.above {
            value |= ((u64::from(from[at]) >> low) & ones(width)) << self.width;
        }
        value
    }
    #[inline(always)]
    fn set(&self, value: u64, to: &mut Contents) {
        let (mask, bits) = (ones(self.width) << self.low, (value & ones(self.width)) << self.low);
        for i in 0..self.bytes {
            let shift = 8 * if self.big_end_first { self.bytes - 1 - i } else { i };
            let byte = &mut to[self.at + i];
            *byte = *byte & !((mask >> shift) as u8) | (bits >> shift) as u8;
        }
        if let Some((at, low, width)) = self.above {
            let (mask, bits) = (ones(width) << low, ((value >> self.width) & ones(width)) << low);
            to[at] = to[at] & !(mask as u8) | bits as u8;
        }
    }
}

const fn ones(width: u32) -> u64 {
    if width >= 64 { u64::MAX } else { (1 << width) - 1 }
}

/// A whole byte.
pub const fn byte(at: usize) -> Place {
    Place::new(at, 1, 0, 8)
}
/// Bits `high` down to `low` of a byte.
pub const fn bits(at: usize, high: u32, low: u32) -> Place {
    Place::new(at, 1, low, high - low + 1)
}
/// One bit of a byte.
pub const fn bit(at: usize, low: u32) -> Place {
    Place::new(at, 1, low, 1)
}
/// So many bytes, least significant first.
pub const fn little(at: usize, bytes: usize) -> Place {
    Place::new(at, bytes, 0, 8 * bytes as u32)
}
/// So many bytes, most significant first.
pub const fn big(at: usize, bytes: usize) -> Place {
    Place { big_end_first: true, ..little(at, bytes) }
}
/// A byte, with four more significant bits from bit `low` of another.
pub const fn with_nibble(at: usize, above: usize, low: u32) -> Place {
    Place { above: Some((above, low, 4)), ..byte(at) }
}
/// Some bits of a byte, with more significant bits `high` down to `low` of another.
pub const fn with_bits(place: Place, above: usize, high: u32, low: u32) -> Place {
    Place { above: Some((above, low, high - low + 1)), ..place }
}

/// A type that a field can have.
pub trait Stored: Copy {
    fn read(place: Place, from: &Contents) -> Self;
    fn write(self, place: Place, to: &mut Contents);
    /// As a number; `None` for a run of bytes.
    fn number(self) -> Option<u64>;
}

macro_rules! stored_numbers {
    ($($ty:ty),*) => { $(
        impl Stored for $ty {
            #[inline(always)]
            fn read(place: Place, from: &Contents) -> Self {
                place.get(from) as $ty
            }
            #[inline(always)]
            fn write(self, place: Place, to: &mut Contents) {
                place.set(u64::from(self), to);
            }
            fn number(self) -> Option<u64> {
                Some(u64::from(self))
            }
        }
    )* };
}
stored_numbers!(u8, u16, u32, u64);

impl<const N: usize> Stored for [u8; N] {
    #[inline(always)]
    fn read(place: Place, from: &Contents) -> Self {
        std::array::from_fn(|i| from[place.at + i])
    }
    #[inline(always)]
    fn write(self, place: Place, to: &mut Contents) {
        to[place.at..place.at + N].copy_from_slice(&self);
    }
    fn number(self) -> Option<u64> {
        None
    }
}

/// What the number of a field means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Means {
    /// A number as it stands, a code whose meaning is worked out with other fields, or a run of bytes.
    Plain,
    /// A number of units: `ps`, `x 125 ps`.
    Of(&'static str),
    /// Yes or no.
    Flag,
    /// A code with its words.
    Codes(&'static [(u64, &'static str)]),
    /// A JEP106 id, continuation count first.
    Maker,
    /// Two decimal digits, a nibble each.
    Bcd,
}

/// A field: its name in code, what it is in words, where it lies and what its number means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Field {
    pub name: &'static str,
    pub words: &'static str,
    pub place: Place,
    pub means: Means,
}

/// Makes a section: a struct of numbers as stored, its table, and reading and writing by that table.
macro_rules! section {
    ($(#[$doc:meta])* $name:ident { $($field:ident : $ty:ty = $place:expr, $words:literal, $means:expr;)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
        pub struct $name { $(#[doc = $words] pub $field: $ty,)* }

        impl $name {
            /// The fields in the order of their bytes.
            pub const FIELDS: &'static [$crate::spd::layout::Field] = &[$($crate::spd::layout::Field {
                name: stringify!($field), words: $words, place: $place, means: $means,
            }),*];
            #[inline]
            pub(in crate::spd) fn read(from: &$crate::spd::layout::Contents) -> Self {
                Self { $($field: {
                    const PLACE: $crate::spd::layout::Place = $place;
                    <$ty as $crate::spd::layout::Stored>::read(PLACE, from)
                },)* }
            }
            #[inline]
            pub(in crate::spd) fn write(&self, to: &mut $crate::spd::layout::Contents) {
                $({
                    const PLACE: $crate::spd::layout::Place = $place;
                    $crate::spd::layout::Stored::write(self.$field, PLACE, to);
                })*
            }
            /// Takes the fields' bits out of the contents, so that what is left is in no field.
            #[inline]
            pub(in crate::spd) fn clear(to: &mut $crate::spd::layout::Contents) {
                Self::default().write(to);
            }
            /// The fields' numbers in the order of [`Self::FIELDS`]; `None` for a run of bytes.
            pub fn numbers(&self) -> Vec<Option<u64>> {
                vec![$($crate::spd::layout::Stored::number(self.$field)),*]
            }
        }
    };
}
pub(super) use section;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_reads_what_was_written_and_touches_nothing_else() {
        let places = [
            (byte(7), 0xA5),
            (bits(4, 6, 4), 5),
            (little(24, 5), 0x12_3456_789A),
            (big(320, 2), 0x80CE),
            (with_nibble(29, 27, 4), 0x9AB),
            (with_bits(bits(130, 6, 5), 128, 7, 5), 0b1_1011),
        ];
        for (place, value) in places {
            for filled in [0u8, 0xFF] {
                let mut contents = [filled; SIZE];
                place.set(value, &mut contents);
                assert_eq!(place.get(&contents), value, "{place:?}");
                place.set(if filled == 0 { 0 } else { u64::MAX }, &mut contents);
                assert_eq!(contents, [filled; SIZE], "{place:?}");
            }
        }
    }

    #[test]
    fn byte_order_is_as_told() {
        let mut contents = [0; SIZE];
        (contents[20], contents[21]) = (0xA0, 0x01);
        assert_eq!((little(20, 2).get(&contents), big(20, 2).get(&contents)), (416, 0xA001));
        assert_eq!((little(20, 2).end(), with_nibble(22, 27, 0).end()), (22, 28));
    }
}
