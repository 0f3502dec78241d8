//! What is this? From bytes or text alone to the reader that can read it; never fails, never panics.

/// What something was taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    Label,
    /// The 2-D code of a label: `(L)…(S)…(P)…(M)…`.
    Code,
    PartNumber,
    /// SPD contents as bytes.
    Spd,
    /// SPD contents, or an SMBIOS table, as hexadecimal text.
    Hex,
    Smbios,
    /// UEFI error records.
    Cper,
    /// A management controller's event log: raw IPMI records.
    Sel,
    /// JSON of a Redfish service.
    Redfish,
    /// Our own document of a machine.
    Snapshot,
    /// Numbered parts of that document, as its codes hold them.
    Parts,
    /// A table of modules with a header line.
    Csv,
    /// Several labels, codes or part numbers, one a line.
    Lines,
    Empty,
    Unknown,
}

/// Fewest bytes that hexadecimal text must hold to be taken for contents; below, it may be a serial or a part number.
const HEX_LEAST: usize = 64;

/// Looks at the bytes of a file or of standard input.
pub fn bytes(bytes: &[u8]) -> What {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return What::Empty;
    }
    if readers::cper::recognises(bytes) {
        return What::Cper;
    }
    if readers::sel::recognises(bytes) {
        return What::Sel;
    }
    if spd(bytes) {
        return What::Spd;
    }
    match text_of(bytes) {
        Some(read) => text(&read),
        None if readers::smbios::recognises(bytes) && !of_another_memory(bytes) => What::Smbios,
        None if SIZES.contains(&bytes.len()) => What::Spd,
        None => What::Unknown,
    }
}

/// Bytes that SPD memories of DDR3, DDR4 and DDR5 hold, and those of a dump cut at a section.
const SIZES: [usize; 7] = [128, 176, 256, 384, 512, 1024, 2048];

/// Do the bytes look like SPD contents, or like those of a memory that is erased?
fn spd(bytes: &[u8]) -> bool {
    let Some(first) = bytes.first() else { return false };
    if SIZES.contains(&bytes.len()) && bytes.iter().all(|b| b == first) && (*first == 0 || *first == 0xFF) {
        return true;
    }
    // Revision 1.x in byte 1 and the DRAM type in byte 2 (JESD21-C Annexes K and L, JESD400-5); a dump may be cut anywhere.
    let revised = matches!(bytes.get(1), Some(0x10..=0x1F)) && bytes.len() >= HEX_LEAST;
    let typed = matches!(bytes.get(2), Some(0x0B | 0x0C | 0x12)) && (revised || bytes.len() >= 128);
    let hub = bytes.starts_with(&[0x51, 0x18]) && bytes.len() >= 128;
    let text = bytes.iter().take(128).all(|b| b.is_ascii_graphic() || b.is_ascii_whitespace());
    !text && (typed || hub) && readers_take(bytes, hub)
}

/// A table of SMBIOS structures may have a DRAM type's figure in its third byte too; then the usual size decides, or
/// whether it lists anything of a machine's memory.
fn readers_take(bytes: &[u8], hub: bool) -> bool {
    let table = || readers::smbios::read(bytes).is_ok_and(|read| !read.slots.is_empty());
    SIZES.contains(&bytes.len()) || hub || !table()
}

/// Contents of a DDR2 module, say, begin as a structure of 8 bytes would: of the size of contents, and no table that
/// tells of a machine's processors or memory.
fn of_another_memory(bytes: &[u8]) -> bool {
    let told = |s: domain::Snapshot| !s.slots.is_empty() || !s.processors.is_empty() || !s.arrays.is_empty();
    SIZES.contains(&bytes.len()) && !readers::smbios::read(bytes).is_ok_and(told)
}

/// The text that bytes are: UTF-8, or UTF-16 with its mark in front, without control characters.
pub fn text_of(bytes: &[u8]) -> Option<String> {
    let wide = |turn: fn([u8; 2]) -> u16, rest: &[u8]| {
        let units: Vec<u16> = rest.chunks_exact(2).map(|p| turn([p[0], p[1]])).collect();
        String::from_utf16(&units).ok()
    };
    let text = match bytes {
        [0xFF, 0xFE, rest @ ..] => wide(u16::from_le_bytes, rest)?,
        [0xFE, 0xFF, rest @ ..] => wide(u16::from_be_bytes, rest)?,
        [0xEF, 0xBB, 0xBF, rest @ ..] | rest => std::str::from_utf8(rest).ok()?.to_string(),
    };
    let odd = |c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t' | '\u{1d}' | '\u{1e}' | '\u{4}');
    (!text.contains(odd)).then_some(text)
}

/// Why bytes are no text, and where.
pub fn why_no_text(bytes: &[u8]) -> String {
    let good = std::str::from_utf8(bytes).map_or_else(
        |e| e.valid_up_to(),
        |text| text.find(|c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t')).unwrap_or(text.len()),
    );
    let before = bytes.get(..good).unwrap_or_default();
    let line = before.iter().filter(|b| **b == b'\n').count() + 1;
    let column = before.rsplit(|b| *b == b'\n').next().map_or(0, |l| String::from_utf8_lossy(l).chars().count()) + 1;
    let byte = bytes.get(good).copied().unwrap_or_default();
    format!("line {line}, column {column} holds the byte {byte:#04x}, which is no text in UTF-8")
}

/// Looks at a text.
pub fn text(text: &str) -> What {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return What::Empty;
    }
    if trimmed.starts_with(['{', '[']) {
        return if trimmed.contains("\"slotwright-snapshot\"") { What::Snapshot } else { What::Redfish };
    }
    if readers::snapshot::parts::recognises(trimmed) {
        return What::Parts;
    }
    if hex_bytes(trimmed).is_some_and(|b| b.len() >= HEX_LEAST) {
        return What::Hex;
    }
    let mut lines = trimmed.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#'));
    let (Some(first), more) = (lines.next(), lines.next().is_some()) else { return What::Empty };
    if super::read::csv_header(first) {
        return What::Csv;
    }
    if more && !one_label(trimmed) { What::Lines } else { line(trimmed) }
}

/// A label may be printed on two or three lines; it names its generation once.
fn one_label(text: &str) -> bool {
    text.lines().count() <= 3 && text.to_uppercase().matches("PC").count() == 1 && readers::label::read(text).is_ok()
}

/// Looks at one line.
pub fn line(text: &str) -> What {
    let upper = text.trim().to_uppercase();
    let keyed = ["(L)", "(S)", "(P)", "(M)"].iter().any(|key| upper.contains(key));
    if keyed {
        return What::Code;
    }
    // A part number may hold what a misread label could begin with.
    let first = text.split_whitespace().next().unwrap_or_default();
    if readers::part_number::read(first).is_ok() {
        return What::PartNumber;
    }
    match readers::label::read(text) {
        Ok(_) => return What::Label,
        Err(error) if error.nearest().is_some() || looks_like_label(&upper) => return What::Label,
        Err(_) => {}
    }
    let of_numbers = |c: char| c.is_ascii_alphanumeric() || "-_./+#".contains(c);
    let one_word = !upper.is_empty() && upper.chars().all(of_numbers);
    let both = upper.chars().any(|c| c.is_ascii_digit()) && upper.chars().any(|c| c.is_ascii_alphabetic());
    if one_word && both { What::PartNumber } else { What::Unknown }
}

/// Does it hold a label's generation, or its capacity and ranks, however misspelt the rest is?
fn looks_like_label(upper: &str) -> bool {
    let generation = ["PC3", "PC4", "PC5"].iter().any(|g| upper.contains(g));
    let rank = upper.as_bytes().windows(3).any(|w| w[0] == b'R' && w[1] == b'X' && w[2].is_ascii_digit());
    generation || (rank && upper.contains("GB"))
}

/// The bytes that hexadecimal text holds, in whatever layout.
pub fn hex_bytes(text: &str) -> Option<Vec<u8>> {
    readers::spd::text::bytes(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const LABEL: &str = "64GB 2Rx4 PC4-2933Y-RB2-12";

    #[test]
    fn a_byte_that_is_no_text_is_told_with_its_place() {
        let latin = b"label,note\n64GB,caf\xe9\n";
        assert_eq!(super::text_of(latin), None);
        assert_eq!(super::why_no_text(latin), "line 2, column 9 holds the byte 0xe9, which is no text in UTF-8");
        assert!(super::why_no_text(b"a\0b").starts_with("line 1, column 2 holds the byte 0x00"));
    }

    #[test]
    fn each_sort_is_known_by_its_look() {
        assert_eq!(text(LABEL), What::Label);
        assert_eq!(text("646B 2Rx4 PC4-2933Y-RB2-12"), What::Label);
        assert_eq!(text("64GB 2Rx4\nPC4-2933Y-RB2-12"), What::Label);
        assert_eq!(text("(S)80CE022307444448EC(P)M321R4GA3BB6-CQKET"), What::Code);
        assert_eq!(text("M393A4K40CB2-CTD"), What::PartNumber);
        assert_eq!(text(&format!("{LABEL}\n{LABEL}\n")), What::Lines);
        assert_eq!(text("label;serial\nx;y"), What::Csv);
        assert_eq!(text("{\"slotwright-snapshot\": 1}"), What::Snapshot);
        assert_eq!(text("a note\nsnapshot1:1/2:0123ABCD:01AB:\nABCD"), What::Parts);
        assert_eq!(text("{\"@odata.id\": \"/redfish/v1\"}"), What::Redfish);
        assert_eq!(text(&"23 11 0C 01 ".repeat(32)), What::Hex);
        assert_eq!(text("hello world"), What::Unknown);
        assert_eq!(bytes(b" \n"), What::Empty);
        assert_eq!(bytes(&[0xFF; 512]), What::Spd);
        assert_eq!(bytes(b"\x00\x01binary"), What::Unknown);
    }

    #[test]
    fn contents_and_tables_are_told_apart_by_their_first_bytes() {
        let mut contents = vec![0u8; 512];
        contents[..4].copy_from_slice(&[0x23, 0x12, 0x0C, 0x01]);
        assert_eq!(bytes(&contents), What::Spd);
        // DSP0134: type, length, handle, two zeros behind the strings; type 127 ends the table.
        let table = [127, 4, 0xFF, 0xFE, 0, 0];
        assert_eq!(bytes(&table), What::Smbios);
        // IPMI 2.0, table 32-1: system event record, event message format 04h, memory sensor.
        let event = [1, 0, 2, 0, 0, 0, 0x60, 0x20, 0, 4, 0x0C, 0x53, 0x6F, 0x30, 0xFF, 3];
        assert_eq!(bytes(&event), What::Sel);
        let record = [&b"CPER\x00\x01\xFF\xFF\xFF\xFF"[..], &[0; 118]].concat();
        assert_eq!(bytes(&record), What::Cper);
    }

    #[test]
    fn contents_that_are_cut_short_are_no_table() {
        // The first bytes of a DDR4 module happen to be a structure of 17 bytes.
        let mut contents = vec![0u8; 512];
        contents[..4].copy_from_slice(&[0x23, 0x11, 0x0C, 0x01]);
        for length in [64, 67, 200, 300, 500] {
            assert_eq!(bytes(&contents[..length]), What::Spd, "{length} bytes");
        }
    }

    #[test]
    fn contents_of_an_older_generation_are_no_table() {
        // DDR2: 128 bytes used, 256 in all, DRAM type 08.
        let mut contents = vec![0u8; 256];
        contents[..8].copy_from_slice(&[0x80, 0x08, 0x08, 0x0E, 0x0A, 0x60, 0x48, 0x00]);
        assert_eq!(bytes(&contents), What::Spd);
    }

    #[test]
    fn lines_of_another_sort_are_no_part_numbers() {
        assert_eq!(line("root:x:0:0:root:/root:/bin/bash2"), What::Unknown);
        assert_eq!(line("647647-071"), What::Unknown);
        assert_eq!(line("HP647647-071-HYE"), What::PartNumber);
    }

    #[test]
    fn text_may_be_utf_16() {
        let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(LABEL.encode_utf16().flat_map(u16::to_le_bytes)).collect();
        assert_eq!(text_of(&wide).as_deref(), Some(LABEL));
        assert_eq!(bytes(&wide), What::Label);
    }

    proptest! {
        #[test]
        fn any_bytes_and_any_text_are_survived(raw in proptest::collection::vec(any::<u8>(), 0..1500), words in ".{0,300}") {
            let what = bytes(&raw);
            prop_assert_eq!(what == What::Empty, raw.iter().all(u8::is_ascii_whitespace));
            text(&words);
            prop_assert_eq!(line(&words), line(words.trim()));
        }

        #[test]
        fn a_changed_label_is_survived(at in 0usize..26, letter in any::<char>()) {
            let changed: String = LABEL.chars().enumerate().map(|(i, c)| if i == at { letter } else { c }).collect();
            // A line that begins with # is a comment, and a text of comments alone is empty.
            prop_assert_eq!(bytes(changed.as_bytes()) == What::Empty, changed.starts_with('#'));
        }
    }
}
