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

/// Does this text, without blanks around it, stand for nothing?
pub(super) fn is(trimmed: &str) -> bool {
    /// The longest text in the lists, and room for a slot's name.
    const LONGEST: usize = 48;
    if trimmed.len() > LONGEST {
        return false;
    }
    let Some(first) = trimmed.bytes().next() else { return true };
    if trimmed.bytes().all(|b| b == first)
        && (!first.is_ascii_alphanumeric() || (trimmed.len() > 1 && b"0FfXx".contains(&first)))
    {
        return true;
    }
    let matches = |word: &&str| word.len() == trimmed.len() && word.eq_ignore_ascii_case(trimmed);
    WORDS.iter().any(|w| matches(&w)) || is_field(trimmed)
}

fn is_field(text: &str) -> bool {
    let without_suffix = cut(text, "_Name_String").or_else(|| cut(text, "_String")).unwrap_or(text);
    let stem = without_suffix.trim_end_matches(|c: char| c.is_ascii_digit());
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
