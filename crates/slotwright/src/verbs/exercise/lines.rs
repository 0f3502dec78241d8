//! Wrong bits that share a data line or a byte: where its contacts sit on the module's edge.

use super::view::ErrorView;
use domain::{Generation, Snapshot};
use engine::contacts::{self, Contact};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;

/// Wrong words at least, so that a line is spoken of and not a cell (common practice, no source).
const WORDS: usize = 4;

/// What the wrong bits of all wrong words have in common.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LinesView {
    /// The data lines, such as `DQ37`, where the board takes them straight through.
    pub lines: Vec<String>,
    /// Words at different addresses that were wrong in them, and in no other.
    pub words: usize,
    /// The contacts of these lines; of DDR4 modules only.
    pub contacts: Vec<ContactView>,
    /// The contacts of the whole byte, first and last, on the front and on the back.
    pub byte_front: [u32; 2],
    pub byte_back: [u32; 2],
    /// In sentences.
    pub words_of_it: Vec<String>,
}

/// A contact of the edge.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ContactView {
    pub line: String,
    /// As the standard counts, 1 to 288.
    pub number: u32,
    /// `front`, which has contact 1, or `back`.
    pub face: String,
    /// In mm, from the first contact of its face, middle to middle.
    pub from_first_mm: f64,
    /// Counted from the notch.
    pub from_notch: u32,
    /// `longer` or `shorter`: the side of the notch.
    pub side: String,
}

impl ContactView {
    fn new(line: String, at: Contact) -> Self {
        Self {
            line,
            number: at.number,
            face: if at.front { "front" } else { "back" }.to_string(),
            from_first_mm: at.at.mm(),
            from_notch: at.from_notch,
            side: if at.right { "shorter" } else { "longer" }.to_string(),
        }
    }
}

/// What they share, where all are wrong within one byte of a bus of DDR4 modules.
pub fn shared(found: &[ErrorView], machine: &Snapshot) -> Option<LinesView> {
    let modules = || machine.slots.iter().filter_map(|s| s.module.as_ref());
    if !modules().any(|_| true) || modules().any(|m| m.reading.generation != Some(Generation::Ddr4)) {
        return None;
    }
    let words: BTreeSet<u64> = found.iter().map(|f| f.address).collect();
    let bits: BTreeSet<u32> = found.iter().flat_map(|f| f.bits.iter().copied()).collect();
    let byte = bits.first()? / 8;
    if words.len() < WORDS || bits.iter().any(|b| b / 8 != byte) {
        return None;
    }
    let [front, back] = contacts::lane(byte * 8)?;
    let lines: Vec<String> = bits.iter().map(|b| contacts::name(*b)).collect();
    let at: Vec<Contact> = bits.iter().filter_map(|b| contacts::data_line(*b)).collect();
    let names = lines.join(", ");
    let places: Vec<String> = at.iter().map(ToString::to_string).collect();
    let words_of_it = vec![
        format!(
            "all {} wrong words that were kept are wrong in {names} only: one device of a rank, or a line between it and the processor",
            words.len()
        ),
        format!(
            "before the module is given up look at {}, on its edge and in the slot, and at the byte's others: {} to {} on \
             the front, {} to {} on the back; clean, no scratch, no bent spring",
            places.join(", "),
            front.0.number,
            front.1.number,
            back.0.number,
            back.1.number
        ),
        "boards may exchange the lines of a byte among each other, seldom bytes; the contacts are those of JEDEC's DDR4 \
         modules, from memory"
            .to_string(),
    ];
    Some(LinesView {
        contacts: lines.iter().cloned().zip(at).map(|(line, at)| ContactView::new(line, at)).collect(),
        lines,
        words: words.len(),
        byte_front: [front.0.number, front.1.number],
        byte_back: [back.0.number, back.1.number],
        words_of_it,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn machine(kind: &str) -> Snapshot {
        super::super::machine(&format!(
            r#"{{"slotwright-snapshot": 1, "origins": ["smbios"],
                "slots": [{{"origin": "smbios", "handle": "0x1100", "name": "west-1", "state": "filled",
                           "module": {{"generation": "{kind}"}}}}]}}"#
        ))
    }

    fn wrong(address: u64, bits: &[u32]) -> ErrorView {
        ErrorView { address, bits: bits.to_vec(), ..ErrorView::default() }
    }

    #[test]
    fn errors_of_one_line_lead_to_its_contact() {
        let found: Vec<ErrorView> = (0..4).map(|n| wrong(n * 8, &[37])).collect();
        let lines = shared(&found, &machine("DDR4")).unwrap();
        assert_eq!((lines.lines.as_slice(), lines.words), (["DQ37".to_string()].as_slice(), 4));
        let at = &lines.contacts[0];
        assert_eq!((at.number, at.face.as_str(), at.from_notch, at.side.as_str()), (240, "back", 19, "shorter"));
        // 95 pitches lie before it, and six more at the notch.
        assert!((at.from_first_mm - 85.85).abs() < 1e-9, "{}", at.from_first_mm);
        assert_eq!((lines.byte_front, lines.byte_back), ([95, 104], [240, 249]));
        assert!(lines.words_of_it[1].contains("contact 240 (back, number 19 from the notch on the shorter side)"));
    }

    #[test]
    fn few_words_several_bytes_and_other_modules_lead_nowhere() {
        let same: Vec<ErrorView> = (0..9).map(|_| wrong(8, &[37])).collect();
        assert_eq!(shared(&same, &machine("DDR4")), None, "one word, nine times");
        let many: Vec<ErrorView> = (0..9).map(|n| wrong(n * 8, &[37, 3])).collect();
        assert_eq!(shared(&many, &machine("DDR4")), None, "two bytes");
        let one: Vec<ErrorView> = (0..9).map(|n| wrong(n * 8, &[37])).collect();
        assert_eq!(shared(&one, &machine("DDR5")), None, "another edge");
        assert_eq!(shared(&[], &machine("DDR4")), None);
    }
}
