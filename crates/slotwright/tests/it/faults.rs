//! Faulty and hostile files: each is told with its place and exits with 2, none panics.

use crate::program::Place;

const BOARD: &str = "board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\", \"ddr4-6ch-2933\"]\n";

/// What is wrong in a build file, and a word that its report must say.
const BUILDS: [(&str, &str); 12] = [
    ("", "board"),
    ("board = ", "build.toml:1"),
    ("board = 7", "board"),
    ("board = \"dunlin-2s\"\nprocessors = []", "dunlin-2s6"),
    ("board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\"]", "processors"),
    ("board = \"dunlin-2s6\"\nprocessors = [\"ddr4-6ch-2933\", \"ddr4-6ch-2934\"]", "ddr4-6ch-2933"),
    ("BOARD[slots]\n\"west-1-outr\" = \"64GB 2Rx4 PC4-2933Y-R\"", "west-1-outer"),
    ("BOARD[slots]\n\"west-1-outer\" = \"64GB 2Rx4\"", "64GB 2Rx4"),
    ("BOARD[slots]\n\"west-1-outer\" = \"64GB 2Rx4 PC4-2933Y-S\"", "column"),
    ("BOARD[slots]\n\"west-1-outer\" = 64", "west-1-outer"),
    ("BOARDcolour = \"red\"", "colour"),
    ("BOARDmode = \"miror\"", "mirror"),
];

/// The same for need files.
const NEEDS: [(&str, &str); 9] = [
    ("BOARDcapacity = { least = \"-4 GiB\" }", "-4 GiB"),
    ("BOARDcapacity = { least = \"700\" }", "GiB"),
    ("BOARDcapacity = { least = \"2 TiB\", most = \"1 TiB\" }", "1 TiB"),
    ("BOARDbudget = \"lots\"", "lots"),
    ("BOARDbudget = \"4000\"", "EUR"),
    ("BOARDmachines = 0", "machines"),
    ("BOARDrate = { least = 5 }", "5"),
    ("BOARDmodules = \"not-there.toml\"", "not-there.toml"),
    ("BOARD[installed]\n\"west-9-outer\" = \"64GB 2Rx4 PC4-2933Y-R\"", "west-9-outer"),
];

#[test]
fn faulty_files_are_told_with_what_to_do() {
    for (verb, name, table) in [("check", "build.toml", &BUILDS[..]), ("plan", "need.toml", &NEEDS[..])] {
        for (text, word) in table {
            let place = Place::new();
            place.write(name, text.replace("BOARD", BOARD));
            let told = place.run(&[verb, name]);
            assert_eq!(told.code, Some(2), "{text}\n{}{}", told.out, told.err);
            assert!(told.err.contains(word), "{text}\ndoes not say {word}:\n{}", told.err);
            assert!(told.err.contains("error"), "{}", told.err);
            assert_eq!(told.out, "");
        }
    }
}

#[test]
fn hostile_bytes_never_panic() {
    let deep = "a = ".to_string() + &"[".repeat(50_000);
    let nested = (0..5_000).map(|i| format!("[a{i}.b.c.d.e]\n")).collect::<String>();
    let long = format!("{BOARD}[slots]\n\"west-1-outer\" = \"{}\"\n", "6".repeat(1 << 20));
    let texts: Vec<Vec<u8>> = vec![
        b"\xff\xfe\x00".to_vec(),
        b"board = \"\x1b[31m\"".to_vec(),
        vec![0; 4096],
        "board = \"../../../../etc/passwd\"\nprocessors = []".into(),
        "board = \"build.toml\"\nprocessors = []\ninherit = \"build.toml\"".into(),
        "board = \"\u{202e}6s2-nilnud\"\nprocessors = []".into(),
        "board = '''\n\n\n'''\nprocessors = [[[[]]]]".into(),
        format!("{BOARD}[slots]\n\"west-1-outer\" = \"99999999999999999999GB 2Rx4 PC4-2933Y-R\"").into(),
        format!("{BOARD}[slots]\n\"west-1-outer\" = \"\u{1F4A5}\u{0301}\"").into(),
        format!("{BOARD}[slots]\n\"\" = \"\"").into(),
        deep.into(),
        nested.into(),
        long.into(),
        vec![b'#'; 5 << 20],
    ];
    for text in texts {
        let place = Place::new();
        place.write("build.toml", &text);
        for verb in ["check", "plan"] {
            let told = place.run(&[verb, "build.toml"]);
            let start = String::from_utf8_lossy(&text[..text.len().min(60)]).into_owned();
            assert_eq!(told.code, Some(2), "{verb} {start:?}: {}", told.err);
            assert!(!told.err.contains('\x1b'), "{start:?}");
        }
    }
}
