//! Odd bytes: empty, huge, binary, cut and changed files give faults, never a panic, and in good time.

use crate::world::{Memory, label};
use catalog::{CatalogError, Input, LONGEST, Library, Problem};
use proptest::prelude::*;
use std::path::Path;
use std::time::{Duration, Instant};

fn build(library: &Library, bytes: impl Into<Vec<u8>>) -> CatalogError {
    let started = Instant::now();
    let error = library.build(&Input::text("odd.toml", bytes), &label).expect_err("an odd file");
    assert!(error.render(true).contains("odd.toml"), "{error}");
    assert!(!error.hint().is_empty() && !error.to_string().contains('\n'), "{error}");
    assert!(started.elapsed() < Duration::from_secs(20), "slow: {:?}", started.elapsed());
    error
}

fn first(error: &CatalogError) -> (Problem, usize, usize) {
    let report = error.reports().swap_remove(0);
    let place = report.place.expect("a place");
    (report.problem, place.line, place.column)
}

#[test]
fn bytes_that_are_no_text_are_told_at_their_place() {
    let library = Memory::good().library();
    let error = build(&library, b"board = \"base\"\nprocessors = [\"\xff\"]".as_slice());
    assert_eq!(first(&error), (Problem::NotText { byte: 0xff }, 2, 16));
    let error = build(&library, b"board = \"base\0\"".as_slice());
    assert_eq!(first(&error).1, 1);
    assert!(error.hint().contains("control character"), "{}", error.render(false));
}

#[test]
fn an_empty_file_lacks_its_first_key() {
    let library = Memory::good().library();
    for text in ["", "\n\n", "# nothing\n", "\u{feff}"] {
        let (problem, ..) = first(&build(&library, text));
        assert_eq!(problem, Problem::MissingKey { key: "board".into() });
    }
}

#[test]
fn windows_line_ends_and_a_byte_order_mark_are_read() {
    let files = Memory::good();
    let text = format!("\u{feff}{}", files.text("build.toml").replace('\n', "\r\n"));
    assert!(files.library().build(&Input::text("build.toml", text.clone()), &label).is_ok());
    let error = build(&files.library(), text.replace("w4a", "w4z"));
    assert_eq!((first(&error).1, first(&error).2), (9, 1));
}

#[test]
fn files_that_are_too_long_too_deep_or_too_wide_end_soon() {
    let library = Memory::good().library();
    let error = build(&library, vec![b'#'; LONGEST + 1]);
    assert_eq!(first(&error).0, Problem::TooLong { most: LONGEST });
    build(&library, "a.".repeat(LONGEST / 8) + "a = 1");
    build(&library, format!("board = {}", "[".repeat(LONGEST / 4)));
    build(&library, format!("board = {}", "{a=".repeat(LONGEST / 12)));
    build(&library, format!("board = \"{}\"", "é".repeat(LONGEST / 2 - 20)));
    let lines: String = (0..20_000).map(|i| format!("k{i} = 1\n")).collect();
    build(&library, format!("board = \"base\"\nprocessors = []\n[slots]\n{lines}"));
}

#[test]
fn many_faults_are_told_together_and_drawn_up_to_twenty() {
    let library = Memory::good().library();
    let head = "board = \"base\"\nprocessors = [\"three-by-two\", \"none\"]\n[slots]\n";
    let lines: String = (0..30).map(|i| format!("nowhere-{i} = \"r64\"\n")).collect();
    let error = build(&library, format!("{head}{lines}"));
    assert_eq!(error.reports().len(), 30);
    assert!(error.render(false).ends_with("and 10 more"), "{}", error.render(false));
    assert!(error.to_string().ends_with("(and 29 more)"), "{error}");
}

#[test]
fn a_circle_of_boards_and_a_long_chain_end() {
    let mut files = Memory::good();
    let own = |base: &str| format!("format = 1\ninherit = \"{base}\"\nsource = \"x\"\n");
    files = files.with("own.toml", own("second.toml")).with("second.toml", own("own.toml"));
    let error = files.read("own.toml").expect_err("a circle");
    let chain = "own.toml → second.toml → own.toml".to_string();
    assert_eq!(first(&error), (Problem::Cycle { chain }, 2, 11));
    for n in 0..40 {
        files = files.with(&format!("c{n}.toml"), own(&format!("c{}.toml", n + 1)));
    }
    let error = files.with("own.toml", own("c0.toml")).read("own.toml").expect_err("a long chain");
    assert!(matches!(first(&error).0, Problem::Deep { .. }), "{error}");
}

#[test]
fn names_from_a_file_reach_a_terminal_without_control_characters() {
    let library = Memory::good().library();
    let error = build(&library, "board = \"\\u001b[31mred\\u202e\"\nprocessors = []");
    let shown = error.to_string();
    assert!(shown.contains("\\u{1b}[31mred\\u{202e}"), "{shown}");
    assert!(!error.render(false).contains('\u{1b}'), "{}", error.render(false));
}

/// A good file with a stretch taken out, put elsewhere, or replaced by odd text.
fn changed() -> impl Strategy<Value = (String, Vec<u8>)> {
    let files: Vec<(String, Vec<u8>)> =
        Memory::good().0.into_iter().map(|(path, bytes)| (path.display().to_string(), bytes)).collect();
    let pieces = prop_oneof![
        Just(Vec::new()),
        proptest::collection::vec(any::<u8>(), 0..4),
        proptest::sample::select(vec![
            "\"",
            "[",
            "]",
            "{",
            "}",
            "=",
            "\n",
            "\n\n[slots]\n",
            "-1",
            "1e999",
            "99999999999999999999",
            "\"\"",
            "[[rate]]",
            "inherit = \"base\"\n",
            "= 0",
            "= 255",
            "= 65535",
            "= []",
            "= {}",
            ", ",
            "true",
            "1979-05-27",
            "\u{202e}",
            "#",
        ])
        .prop_map(|s| s.as_bytes().to_vec()),
    ];
    (proptest::sample::select(files), any::<prop::sample::Index>(), 0..40usize, pieces).prop_map(
        |((name, bytes), at, gone, piece)| {
            let start = at.index(bytes.len() + 1);
            let end = (start + gone).min(bytes.len());
            let new = [&bytes[..start], &piece, &bytes[end..]].concat();
            (name, new)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]
    #[test]
    fn changed_files_never_panic_and_each_fault_can_be_drawn((name, bytes) in changed()) {
        let files = Memory::good().with(&name, bytes.clone());
        if let Err(error) = files.read(&name) {
            prop_assert!(!error.render(true).is_empty() && !error.hint().is_empty());
            for report in error.reports() {
                prop_assert!(!report.hint.starts_with("see the guide"), "{}", error.render(false));
                prop_assert!(!report.problem.to_string().contains("as a whole"), "{}", error.render(false));
                let place = report.place.expect("every fault of a file in memory has a place");
                let lines = String::from_utf8_lossy(&files.0[Path::new(&place.file)]).matches('\n').count() + 1;
                prop_assert!(place.line <= lines, "{place} in {lines} lines");
            }
        }
    }
}
