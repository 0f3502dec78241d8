//! Texts that firmware writes where it knows nothing.

/// Words that stand for "nothing known", in small letters without blanks around them (seen in published tables).
const WORDS: &[&str] = &[
    "",
    "unknown",
    "undefined",
    "memundefined",
    "not specified",
    "not defined",
    "not available",
    "not support",
    "not supported",
    "not provided",
    "not present",
    "not installed",
    "not applicable",
    "no dimm",
    "nodimm",
    "none",
    "n/a",
    "na",
    "null",
    "empty",
    "[empty]",
    "<empty>",
    "<bad index>",
    "<out of spec>",
    "invalid",
    "default string",
    "to be filled by o.e.m.",
    "to be filled by o.e.m",
    "tbd",
    "no module installed",
    "other",
    "module part number",
    "module manufacturer",
    "manufacturer",
    "partnumber",
    "part number",
    "serialnumber",
    "serial number",
    "ooooooooo",
];
/// Field names that firmware writes with the slot's number or name in place of a value: `Manufacturer03`,
/// `Dimm3_Manufacturer`, `PartNum0`, `SerNum12`, `Array1_PartNumber0`.
const FIELDS: &[&str] = &[
    "manufacturer",
    "partnum",
    "partnumber",
    "part_number",
    "sernum",
    "serialnum",
    "serialnumber",
    "serial_number",
    "modulepartnumber",
];

/// Lengths of the words, a bit each, to tell most texts apart at once.
const LENGTHS: u64 = {
    let (mut lengths, mut i) = (0, 0);
    while i < WORDS.len() {
        lengths |= 1 << WORDS[i].len();
        i += 1;
    }
    lengths
};

/// Does this text, without blanks around it, stand for nothing?
pub(super) fn is(trimmed: &str) -> bool {
    /// The longest text in the lists, and room for a slot's name.
    const LONGEST: usize = 48;
    let bytes = trimmed.as_bytes();
    let (Some(first), Some(last)) = (bytes.first(), bytes.last()) else { return true };
    if bytes.len() > LONGEST {
        return false;
    }
    if first == last && bytes.iter().all(|b| b == first) {
        let one_sign = !first.is_ascii_alphanumeric() || (bytes.len() > 1 && b"0FfXx".contains(first));
        if one_sign {
            return true;
        }
    }
    // Every field's name ends in a figure, `r`, `m` or `g`.
    let lower = first.to_ascii_lowercase();
    let listed = LENGTHS >> bytes.len() & 1 != 0
        && WORDS
            .iter()
            .any(|w| w.len() == bytes.len() && w.as_bytes().first() == Some(&lower) && w.eq_ignore_ascii_case(trimmed));
    listed || (matches!(last, b'0'..=b'9' | b'r' | b'R' | b'm' | b'M' | b'g' | b'G') && is_field(trimmed))
}

fn is_field(text: &str) -> bool {
    let without_suffix = cut(text, "_Name_String").or_else(|| cut(text, "_String")).unwrap_or(text);
    let stem = without_suffix.trim_end_matches(|c: char| c.is_ascii_digit());
    if !matches!(stem.as_bytes().last(), Some(b'r' | b'R' | b'm' | b'M')) {
        return false;
    }
    FIELDS.iter().any(|field| {
        let Some(head) = cut(stem, field) else { return false };
        // Either the field's name alone, or a slot's name, an underline and the field.
        (head.is_empty() && stem.len() < text.len()) || head.ends_with('_')
    })
}

/// The text without `tail` at its end, in any case.
fn cut<'a>(text: &'a str, tail: &str) -> Option<&'a str> {
    let at = text.len().checked_sub(tail.len())?;
    let (head, end) = (text.get(..at)?, text.get(at..)?);
    end.eq_ignore_ascii_case(tail).then_some(head)
}

#[cfg(test)]
mod tests {
    use super::is;

    #[test]
    fn what_firmware_writes_for_nothing_is_known() {
        for text in [
            "",
            "UNKNOWN",
            "NO DIMM",
            "[Empty]",
            "Manufacturer03",
            "Dimm3_Manufacturer",
            "DimmB2_Manufacturer",
            "ChannelA_Dimm2_Manufacturer",
            "Dimm3_Manufacturer_Name_String",
            "Array1_PartNumber0",
            "SerNum12",
            "FFFFFFFFFFFF",
            "000000000000",
            "----",
            "Undefined",
            "NOT SUPPORT",
        ] {
            assert!(is(text), "{text}");
        }
    }

    #[test]
    fn makers_parts_and_serials_are_kept() {
        for text in
            ["Samsung", "Micron Technology", "M393A2G40DB0-CPB", "00CE00B300CE", "12345678", "9", "Hynix Semiconducto"]
        {
            assert!(!is(text), "{text}");
        }
    }
}
