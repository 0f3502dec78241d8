//! Tests of the notation: what it reads, which line an error names, and that no text makes it panic.

use super::*;
use domain::Severity;
use domain::board::SlotAddress;

const MACHINE: &str = "machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots\n";

fn filled(fill: &str) -> Vec<String> {
    let build = parse(&format!("{MACHINE}{fill}")).unwrap().build;
    build.filled().map(|(slot, _)| build.board.slot(slot).label.clone()).collect()
}

#[test]
fn slots_are_named_by_socket_channel_and_position_and_a_star_is_every_one() {
    assert_eq!(filled("fill 0a1 1f2 32GB 2Rx4 RDIMM"), ["0a1", "1f2"]);
    assert_eq!(filled("fill 1*1 32GB 2Rx4 RDIMM"), ["1a1", "1b1", "1c1", "1d1", "1e1", "1f1"]);
    assert_eq!(filled("fill *c* 32GB 2Rx4 RDIMM"), ["0c1", "0c2", "1c1", "1c2"]);
    let board = parse(MACHINE).unwrap().build.board;
    let address = board.slot(board.slot_by_label("1e2").unwrap()).address;
    assert_eq!(address, SlotAddress { socket: 1, controller: 1, channel: 1, position: 1 });
}

#[test]
fn a_module_has_what_its_words_say_and_the_machines_defaults() {
    let text = format!("{MACHINE}processor 2933\nfill 0a1 128GB 2S4Rx4 RDIMM-3DS 16Gbit 12.5W 31.25mm\n");
    let build = parse(&text).unwrap().build;
    let module = build.slots[0].as_ref().unwrap();
    assert_eq!(module.short(), "128 GiB 2S4Rx4 RDIMM-3DS 2933");
    assert_eq!(module.organisation.logical_ranks(), 8);
    assert_eq!(module.watts, Some(domain::Watts::from_milliwatts(12_500)));
    assert_eq!(module.voltage.millivolts(), 1200);
    assert_eq!(module.ecc_bits, Some(8));
    let limit = build.processor(0).unwrap().rate_limit(Kind::Rdimm3ds, 2, 2).unwrap();
    assert_eq!(limit.most, DataRate::from_mts(2933));
}

#[test]
fn a_family_of_six_channels_makes_no_set_of_five() {
    let build = parse(MACHINE).unwrap().build;
    assert_eq!(build.processor(0).unwrap().sets.sizes, [6, 4, 3, 2, 1]);
}

#[test]
fn places_are_written_as_they_are_read() {
    for place in ["machine", "socket 1", "channel 1d", "0a1, 1f2"] {
        let example = parse(&format!("{MACHINE}-> note some-rule at {place}\n")).unwrap();
        assert_eq!(write_place(&example.build.board, &example.told[0].place), place);
        assert_eq!((example.told[0].severity, example.clean), (Severity::Note, false));
    }
    assert!(parse(&format!("{MACHINE}-> clean")).unwrap().clean);
}

#[test]
fn errors_name_the_line_and_say_what_to_write() {
    for (text, said) in [
        ("fill 0a1 32GB 2Rx4 RDIMM", "line 1: no `machine` line comes before this"),
        ("# nothing\n", "line 1: no `machine` line comes before this"),
        ("machine DDR4 9 sockets", "line 1: `9` where 1 to 8 sockets should be"),
        ("machine DDR4 1 socket x 12 controllers x 8 channels x 1 slot", "line 1: `96` where at most"),
        ("MACHINE\nfill 0g1 32GB 2Rx4 RDIMM", "line 3: the machine has no slot `0g1`"),
        ("MACHINE\nfill 0a1 32 2Rx4 RDIMM", "line 3: `32` has no unit"),
        ("MACHINE\nfill 0a1 32GB 2Rx5 RDIMM", "line 3: `2Rx5` where an organisation"),
        ("MACHINE\nmode", "line 3: the line ends where a mode should be"),
        ("MACHINE\nmode mirror now", "line 3: nothing should follow here, but `now` does"),
        ("MACHINE\nsocket 2 empty", "line 3: `2` where a socket of the machine should be"),
    ] {
        let error = parse(&text.replace("MACHINE", MACHINE)).unwrap_err();
        assert!(error.to_string().starts_with(said), "{error}");
        assert!(!error.hint().is_empty());
    }
}

#[test]
fn no_mangled_example_makes_it_panic() {
    // Every example of every rule, with each word in turn dropped, doubled or replaced.
    let mut read = 0;
    for block in crate::rules::ALL.iter().flat_map(|r| blocks(r.explain)) {
        let words: Vec<&str> = block.split_inclusive([' ', '\n']).collect();
        for i in 0..words.len() {
            for instead in ["", "*** ", "999999999999999999999 ", "\u{e4}\u{1f980} ", "0a1 0a1 ", "-1 ", "\n"] {
                let text: String = words.iter().enumerate().map(|(j, w)| if i == j { instead } else { w }).collect();
                read += usize::from(parse(&text).is_ok());
            }
        }
    }
    assert!(read > 0);
}
