//! Where a data line of a module meets its slot: the contact on the edge, counted as the standard counts and as one sees it.
//! DDR4 only: the edge of DDR5 is another, and no drawing of it was at hand.

use domain::Length;
use std::fmt;

/// The edge of a module: contacts on both faces at an even pitch, but for the notch. The face with contact 1 is the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Edge {
    /// Of the module, along the edge.
    pub length: Length,
    pub height: Length,
    /// From one contact's middle to the next.
    pub pitch: Length,
    /// Contacts of one face to the left of the notch, seen from the front with the edge down, and to its right.
    pub left: u32,
    pub right: u32,
    /// Pitches from the last contact before the notch to the first behind it.
    pub notch: u32,
}

/// DDR4 modules of 288 contacts (JEDEC MO-309; `edge-ddr4` in the register: length, height and number of contacts seen in a
/// data sheet, pitch, groups and notch from memory).
pub const DDR4: Edge = Edge {
    length: Length::from_hundredths(13_335),
    height: Length::from_hundredths(3_125),
    pitch: Length::from_hundredths(85),
    left: 77,
    right: 67,
    notch: 7,
};

impl Edge {
    /// Contacts of one face.
    pub const fn a_face(&self) -> u32 {
        self.left + self.right
    }
    /// Contacts of both faces.
    pub const fn contacts(&self) -> u32 {
        2 * self.a_face()
    }
    /// From the middle of the first contact to that of the last one left of the notch.
    pub fn left_span(&self) -> Length {
        self.at(self.left)
    }
    /// From the middle of the first contact right of the notch to that of the last.
    pub fn right_span(&self) -> Length {
        self.pitch * (self.right - 1)
    }
    /// Across the notch, from contact to contact.
    pub fn gap(&self) -> Length {
        self.pitch * self.notch
    }
    /// From the middle of a face's first contact to its `nth`, which counts from 1 and is held to those that there are.
    pub fn at(&self, nth: u32) -> Length {
        let nth = nth.clamp(1, self.a_face());
        let past = if nth > self.left { self.notch - 1 } else { 0 };
        self.pitch * (nth - 1 + past)
    }
    /// The contact of this number, 1 to [`Edge::contacts`].
    pub fn contact(&self, number: u32) -> Option<Contact> {
        if !(1..=self.contacts()).contains(&number) {
            return None;
        }
        let front = number <= self.a_face();
        let nth = if front { number } else { number - self.a_face() };
        let right = nth > self.left;
        let from_notch = if right { nth - self.left } else { self.left - nth + 1 };
        Some(Contact { number, front, at: self.at(nth), right, from_notch })
    }
}

/// One contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Contact {
    /// As the standard counts: the front from 1, then the back.
    pub number: u32,
    pub front: bool,
    /// From the first contact of its face, middle to middle.
    pub at: Length,
    /// Right of the notch as the front is seen with the edge down?
    pub right: bool,
    /// Counted from the notch, which the first is beside.
    pub from_notch: u32,
}

impl fmt::Display for Contact {
    /// `contact 240 (back, number 19 from the notch on the shorter side)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let face = if self.front { "front" } else { "back" };
        // The groups differ in length, so that the side is told from either face.
        let side = if self.right { "shorter" } else { "longer" };
        write!(f, "contact {} ({face}, number {} from the notch on the {side} side)", self.number, self.from_notch)
    }
}

/// Data and check lines of a module with ECC: bits 64 to 71 are the check bits 0 to 7.
pub const LINES: u32 = 72;

/// The first front contact of each byte's data lines, check bits last (JESD21-C, 288-pin DDR4 modules; from memory).
const LANES: [u32; 9] = [3, 14, 25, 36, 95, 106, 117, 128, 47];
/// How far from it each bit of the byte is; on the back it is the odd ones, 145 further.
const IN_LANE: [u32; 8] = [2, 2, 9, 9, 0, 0, 7, 7];

/// The contact of a DDR4 module's data line: 0 to 63 are the data, 64 to 71 the check bits.
pub fn data_line(bit: u32) -> Option<Contact> {
    let first = LANES.get((bit / 8) as usize)?;
    let back = if bit % 2 == 1 { DDR4.a_face() + 1 } else { 0 };
    DDR4.contact(first + IN_LANE[(bit % 8) as usize] + back)
}

/// The name of a data line: `DQ37`, `CB2`.
pub fn name(bit: u32) -> String {
    if bit < 64 { format!("DQ{bit}") } else { format!("CB{}", bit - 64) }
}

/// The contacts of a byte's lines, first and last of the front and of the back.
pub fn lane(bit: u32) -> Option<[(Contact, Contact); 2]> {
    let lines: Vec<Contact> = (bit / 8 * 8..bit / 8 * 8 + 8).filter_map(data_line).collect();
    let ends = |front: bool| {
        let face = || lines.iter().filter(|c| c.front == front).copied();
        Some((face().min_by_key(|c| c.number)?, face().max_by_key(|c| c.number)?))
    };
    Some([ends(true)?, ends(false)?])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_line_has_a_contact_of_its_own_and_every_byte_its_own_stretch() {
        let all: BTreeSet<u32> = (0..LINES).filter_map(data_line).map(|c| c.number).collect();
        assert_eq!(all.len(), LINES as usize);
        assert!(data_line(LINES).is_none() && lane(LINES).is_none());
        let mut stretches: Vec<(u32, u32)> = (0..LINES)
            .step_by(8)
            .flat_map(|bit| lane(bit).unwrap())
            .map(|(first, last)| (first.number, last.number))
            .collect();
        stretches.sort_unstable();
        assert!(stretches.windows(2).all(|w| w[0].1 < w[1].0), "{stretches:?}");
    }

    #[test]
    fn contacts_are_counted_from_the_notch() {
        let last_left = DDR4.contact(77).unwrap();
        let first_right = DDR4.contact(78).unwrap();
        assert_eq!((last_left.from_notch, last_left.right), (1, false));
        assert_eq!((first_right.from_notch, first_right.right), (1, true));
        assert_eq!(first_right.at, last_left.at + DDR4.gap());
        // The back lies behind the front: contact 145 behind contact 1.
        assert_eq!(DDR4.contact(145).unwrap().at, DDR4.contact(1).unwrap().at);
        assert_eq!(DDR4.contact(0), None);
        assert_eq!(DDR4.contact(289), None);
    }
}
