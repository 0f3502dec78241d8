//! One dump in every layout that is read, and what is told of it.

use super::*;

/// The first 64 bytes of contents, made up: a DDR4 type byte, then a pattern with every kind of character.
fn sample() -> Vec<u8> {
    let mut bytes: Vec<u8> = (0..64u32).map(|i| (i * 37 + 11) as u8).collect();
    bytes[..4].copy_from_slice(&[0x23, 0x11, 0x0C, 0x01]);
    bytes[20..28].copy_from_slice(b"ab cd ef");
    bytes
}

fn ascii(row: &[u8]) -> String {
    row.iter().map(|b| if (0x20..0x7F).contains(b) { char::from(*b) } else { '.' }).collect()
}

fn hex(row: &[u8], between: &str) -> String {
    row.iter().map(|b| format!("{b:02x}")).collect::<Vec<_>>().join(between)
}

/// Every row of 16 by a format.
fn rows(bytes: &[u8], row: impl Fn(usize, &[u8]) -> String) -> String {
    bytes.chunks(16).enumerate().map(|(i, r)| row(i * 16, r) + "\n").collect()
}

fn words(row: &[u8], size: usize, turned: bool) -> String {
    let word = |w: &[u8]| {
        let mut w = w.to_vec();
        if turned {
            w.reverse();
        }
        hex(&w, "")
    };
    row.chunks(size).map(word).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_layout_gives_the_same_bytes() {
    let bytes = sample();
    let header = "     0  1  2  3  4  5  6  7  8  9  a  b  c  d  e  f    0123456789abcdef\n";
    let mut turned_rows: Vec<String> =
        rows(&bytes, |at, r| format!("{at:04x}: {}", hex(r, " "))).lines().map(str::to_string).collect();
    turned_rows.reverse();
    let layouts = [
        ("bytes", rows(&bytes, |_, r| hex(r, " "))),
        ("capitals", rows(&bytes, |_, r| hex(r, " ").to_uppercase())),
        ("one line", hex(&bytes, " ")),
        ("no spaces", hex(&bytes, "")),
        ("rows without spaces", rows(&bytes, |_, r| hex(r, ""))),
        ("a byte a line", hex(&bytes, "\n")),
        ("short addresses", rows(&bytes, |at, r| format!("{at:02x}: {}    {}", hex(r, " "), ascii(r)))),
        (
            "with a header",
            header.to_string() + &rows(&bytes, |at, r| format!("{at:02x}: {}    {}", hex(r, " "), ascii(r))),
        ),
        ("four digits", rows(&bytes, |at, r| format!("{at:04X}: {}", hex(r, " ")))),
        ("marked addresses", rows(&bytes, |at, r| format!("0x{at:02x}: {}", hex(r, " ")))),
        (
            "eight digits",
            rows(&bytes, |at, r| format!("{at:08x}  {}  {}  |{}|", hex(&r[..8], " "), hex(&r[8..], " "), ascii(r))),
        ),
        ("two digits, no colon", rows(&bytes, |at, r| format!("{at:02x} {}", hex(r, " ")))),
        ("decimal addresses", rows(&bytes, |at, r| format!("{at}: {}", hex(r, " ")))),
        ("words and text", rows(&bytes, |at, r| format!("{at:08x}: {}  {}", words(r, 2, false), ascii(r)))),
        ("turned words", rows(&bytes, |at, r| format!("{at:07x} {}", words(r, 2, true))) + "0000040\n"),
        ("octal addresses", rows(&bytes, |at, r| format!("{at:07o} {}", hex(r, " "))) + "0000100\n"),
        (
            "octal addresses, turned words",
            rows(&bytes, |at, r| format!("{at:07o} {}", words(r, 2, true))) + "0000100\n",
        ),
        ("long words", rows(&bytes, |at, r| format!("{at:08x}: {}", words(r, 4, false)))),
        (
            "array",
            format!(
                "static const u8 spd[64] = {{\n{}}};\n",
                rows(&bytes, |at, r| { format!("\t/* {at:#04x} */ 0x{}, // row {at}", hex(r, ", 0x")) })
            ),
        ),
        ("list", format!("[0x{}]", hex(&bytes, ", 0x"))),
        ("escapes", format!("\"\\x{}\"", hex(&bytes, "\\x"))),
        ("colons", hex(&bytes, ":")),
        ("out of order", turned_rows.join("\n")),
        ("offset and value", bytes.iter().enumerate().map(|(i, b)| format!("0x{i:02X} 0x{b:02X}\n")).collect()),
        ("decimal offset", bytes.iter().enumerate().map(|(i, b)| format!("{i},{b:02x}\n")).collect()),
        (
            "offset, value, meaning",
            bytes.iter().enumerate().map(|(i, b)| format!("Byte {i}  {b:02X}h  added bytes\n")).collect(),
        ),
        ("offset and colon", bytes.iter().enumerate().map(|(i, b)| format!("{i:03}: {b:02x}\n")).collect()),
        ("decimal bytes", format!("[{}]", bytes.iter().map(u8::to_string).collect::<Vec<_>>().join(", "))),
        (
            "comments",
            format!("# a module\n; of mine\n// read today\n\n{}", rows(&bytes, |_, r| hex(r, " ") + " # row")),
        ),
        ("memory", rows(&bytes, |at, r| format!("{:08x}: {}", 0x2000_1000 + at, hex(r, " ")))),
    ];
    for (name, text) in layouts {
        assert_eq!(super::bytes(&text).map(|b| hex(&b, " ")), Ok(hex(&bytes, " ")), "{name}:\n{text}");
    }
}

#[test]
fn squeezed_rows_and_pages_are_laid_out_again() {
    let squeezed = "00000000  23 11 0c 01 00 00 00 00  00 00 00 00 00 00 00 00  |#...............|\n\
        00000010  00 00 00 00 00 00 00 00  00 00 00 00 00 00 00 00  |................|\n*\n\
        00000040  ff ff ff ff ff ff ff ff  ff ff ff ff ff ff ff ff  |................|\n*\n00000060\n";
    let read = read(squeezed).expect("bytes");
    assert_eq!((read.bytes.len(), read.bytes[0x3F], read.bytes[0x40], read.bytes[0x5F]), (96, 0, 0xFF, 0xFF));
    assert!(read.notes.is_empty(), "{:?}", read.notes);
    let page = |fill: u8| {
        (0..256usize).step_by(16).map(|at| format!("{at:02x}: {}\n", hex(&[fill; 16], " "))).collect::<String>()
    };
    let pages = bytes(&(page(0x23) + "second page\n" + &page(0x42))).expect("bytes");
    assert_eq!((pages.len(), pages[255], pages[256]), (512, 0x23, 0x42));
}

#[test]
fn records_are_read_and_checked() {
    let record = ":0400000023110C01BB\n:00000001FF\n";
    assert_eq!(bytes(record), Ok(vec![0x23, 0x11, 0x0C, 0x01]));
    let broken = read(":0400000023110C01BC\n").expect_err("a wrong checksum");
    assert!(matches!(&broken, TextError::Record { line: 1, .. }), "{broken}");
    assert!(!broken.hint().is_empty());
    let open = read(":0400000023110C01BB\n").expect("bytes");
    assert_eq!(open.notes.len(), 1);
}

#[test]
fn what_is_guessed_or_missing_is_told() {
    let note = |text: &str| read(text).expect("bytes").notes.join("; ");
    assert!(note("2342 4210 1122 3344").contains("not certain"));
    assert!(note("1123 010c 8421 0008").contains("turned"));
    assert!(note("00: 23 11 0c 01\n10: 23 11 0c 01").contains("not told"));
    assert!(note("00: 23 XX 0c 01\n04: 23 11 0c 01").contains("could not be read"));
    assert!(note("# a dump\n00: 23 -- 0c 01\n04: 23 11 0c 01").contains("offset 1 (line 2)"));
    assert!(note("00: 23 11\n04: 23 11 0c 01").contains("behind those of line 1 are not told"));
    assert!(note("23 11 0c 01 zzz 04 05\n23 11 0c 01").contains("line 1: read up to `zzz`"));
    assert!(note("23 11 0c 01 04 zz\n23 11 0c 01").contains("line 1: `zz` is no byte in hexadecimal; offset 5"));
    let odd = read("# a dump\n00: 23 1G 0c 01\n04: 23 11 0c 01").expect("bytes");
    assert_eq!(odd.bytes, [0x23, 0, 0x0C, 1, 0x23, 0x11, 0x0C, 1]);
    assert_eq!(odd.notes, ["line 2: `1G` is no byte in hexadecimal; offset 1 stands as 00"]);
    assert!(note("00: 23 11\n02: 01 02\n02: 03 04").contains("told twice"));
    assert!(note("a module of mine\n23 11 0c 01").contains("passed over"));
}

#[test]
fn what_holds_no_bytes_says_so() {
    assert_eq!(read(" \n"), Err(TextError::Empty));
    assert!(matches!(read("no such thing"), Err(TextError::NoBytes { line: 1, .. })));
    assert!(matches!(read("00000000: 23\n00100000: 11"), Err(TextError::TooFar { line: 2, .. })));
    assert!(matches!(read(&"0".repeat(LONGEST + 2)), Err(TextError::TooLong { .. })));
}

#[test]
fn an_empty_row_at_the_end_of_all_addresses_is_passed_over() {
    let read = read("00: 23 11\n00: 0c 01\n00: 08 00\nffffffffffffffff:\n02: 11 22").expect("bytes");
    assert_eq!(read.bytes.get(..2), Some(&[0x23, 0x11][..]));
}
