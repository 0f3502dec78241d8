//! The two bytes in which contents store a maker by JEDEC JEP106, with their parity: any two bytes come back as they were,
//! so nothing is refused here as `crate::maker` refuses what can be no id.

use crate::maker::parity_holds;
use domain::reading::{Maker, MakerId};

/// An id as SPD contents store it: the count of continuation codes, then the id, each with odd parity in bit 7.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stored {
    pub id: MakerId,
    /// Does the parity of each byte hold?
    pub parity: bool,
}

/// Takes an id apart; `None` where nothing is stored (00 00, FF FF).
pub fn stored(bytes: u16) -> Option<Stored> {
    if matches!(bytes, 0 | 0xFFFF) {
        return None;
    }
    let [count, id] = bytes.to_be_bytes();
    let parity = parity_holds(count) && parity_holds(id);
    Some(Stored { id: MakerId { continuations: count & 0x7F, id: id & 0x7F }, parity })
}

/// Puts an id into the two bytes of SPD contents.
pub fn store(id: MakerId) -> u16 {
    let odd = |byte: u8| if parity_holds(byte) { byte } else { byte | 0x80 };
    u16::from_be_bytes([odd(id.continuations & 0x7F), odd(id.id & 0x7F)])
}

/// Maker and id as a reading has them.
pub fn maker(bytes: u16) -> Option<Maker> {
    Some(crate::maker::by_id(stored(bytes)?.id))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_of_known_modules_have_their_names() {
        let known = [
            (0x80CE, "Samsung"),
            (0x80AD, "SK Hynix"),
            (0x802C, "Micron Technology"),
            (0x0198, "Kingston"),
            (0x8632, "Montage Technology Group"),
        ];
        for (bytes, called) in known {
            let stored = stored(bytes).expect("an id");
            assert!(stored.parity, "{bytes:04X}");
            assert_eq!(maker(bytes).and_then(|m| m.name).as_deref(), Some(called), "{bytes:04X}");
            assert_eq!(store(stored.id), bytes);
        }
        // Ids whose parity is right on modules that were read: register makers, module makers far down the list.
        for bytes in [0x80B3, 0x04B3, 0x869D, 0x04EF, 0x8A91, 0x8ABA] {
            assert_eq!(stored(bytes).map(|s| (s.parity, store(s.id))), Some((true, bytes)), "{bytes:04X}");
        }
    }

    #[test]
    fn parity_is_checked_and_blanks_are_no_maker() {
        assert_eq!(stored(0x00CE).map(|s| s.parity), Some(false));
        assert_eq!(stored(0x804E).map(|s| s.parity), Some(false));
        assert_eq!((stored(0), stored(0xFFFF)), (None, None));
    }
}
