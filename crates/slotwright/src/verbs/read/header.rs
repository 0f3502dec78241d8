//! The header line of a list: which column is what, however it is called.

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// The tray's or shelf's own name of the module.
    Place,
    Label,
    Code,
    PartNumber,
    Maker,
    Serial,
    Made,
    Capacity,
    Spd,
    Quantity,
}

impl Column {
    /// All, with what people write at the head of each: capitals, blanks and signs do not count.
    const ALL: [(Self, &'static str, &'static [&'static str]); 10] = [
        (Self::Place, "place", &["place", "slot", "position", "bay", "tray", "nr", "no", "id", "item", "name"]),
        (Self::Label, "label", &["label", "jedeclabel", "modulelabel", "description", "desc", "module", "type"]),
        (Self::Code, "code", &["code", "2dcode", "datamatrix", "matrixcode", "barcode", "qr", "qrcode", "scan"]),
        (
            Self::PartNumber,
            "part_number",
            &["partnumber", "partno", "part", "pn", "mpn", "modulepartnumber", "manufacturerpartnumber", "partnr"],
        ),
        (Self::Maker, "maker", &["maker", "manufacturer", "vendor", "brand", "mfr", "mfg"]),
        (Self::Serial, "serial", &["serial", "serialnumber", "serialno", "sn", "serialnr"]),
        (Self::Made, "made", &["made", "date", "datecode", "manufactured", "productiondate"]),
        (Self::Capacity, "capacity", &["capacity", "size", "gb", "capacitygb", "sizegb"]),
        (Self::Spd, "spd", &["spd", "spdfile", "spdhex", "dump", "dumpfile", "file", "path", "hex", "eeprom", "bytes"]),
        (Self::Quantity, "quantity", &["quantity", "qty", "count", "pieces", "pcs", "amount", "number"]),
    ];
    /// As it is called in messages and in what is written.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(c, ..)| *c == self).map_or("", |(_, name, _)| name)
    }
    /// What a head means.
    pub fn of(head: &str) -> Option<Self> {
        let plain: String = head.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
        Self::ALL.iter().find(|(_, _, heads)| heads.contains(&plain.as_str())).map(|(c, ..)| *c)
    }
    /// Does it tell what a module is?
    fn tells(self) -> bool {
        matches!(self, Self::Label | Self::Code | Self::PartNumber | Self::Spd)
    }
    /// All names, for a message.
    pub fn names() -> String {
        Self::ALL.iter().map(|(_, name, _)| *name).collect::<Vec<_>>().join(", ")
    }
}

/// What parts the cells: the sign that the line has most of, of comma, semicolon and tab.
pub fn delimiter(line: &str) -> u8 {
    let count = |sign: u8| line.bytes().filter(|b| *b == sign).count();
    [b',', b';', b'\t'].into_iter().max_by_key(|sign| (count(*sign), *sign == b',')).unwrap_or(b',')
}

/// Is this line the head of a list of modules?
pub fn is_header(line: &str) -> bool {
    let sign = char::from(delimiter(line));
    let cells: Vec<&str> = line.split(sign).map(|c| c.trim().trim_matches('"')).collect();
    let known: Vec<Column> = cells.iter().filter_map(|c| Column::of(c)).collect();
    known.iter().any(|c| c.tells()) && known.len() * 2 >= cells.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_are_known_by_many_names_and_a_label_is_no_head() {
        assert!(is_header("Label,Part Number,Serial No.,SPD file,Qty"));
        assert!(is_header("\"S/N\";\"P/N\""));
        assert!(is_header("part-number\tserial"));
        assert!(!is_header("64GB 2Rx4 PC4-2933Y-RB2-12"));
        assert!(!is_header("serial,quantity"));
        assert!(!is_header("M393A4K40CB2-CTD,12345678"));
        assert_eq!(Column::of("2-D code"), Some(Column::Code));
    }
}
