//! The guide's examples are read as they stand, each step of the board by itself.

use crate::world::Memory;
use catalog::{Input, Library, Unread};
use domain::Module;
use std::path::Path;

/// The blocks of the guide: path and text, in order.
fn blocks() -> Vec<(String, String)> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/guide/files.md");
    let guide = std::fs::read_to_string(path).expect("the guide is there");
    let mut blocks = Vec::new();
    for part in guide.split("<!-- ").skip(1) {
        let (name, rest) = part.split_once(" -->\n```toml\n").expect("a block follows its name");
        let (text, _) = rest.split_once("```").expect("a block ends");
        blocks.push((name.to_string(), text.to_string()));
    }
    assert_eq!(guide.matches("```toml").count(), blocks.len(), "a block without a name is not read");
    blocks
}

/// All files of the guide; blocks of one name are one file.
fn files() -> Memory {
    let mut files = Memory::default();
    for (name, text) in blocks() {
        files.0.entry(name.into()).or_default().extend_from_slice(format!("{text}\n").as_bytes());
    }
    files
}

/// Any label is a module of the catalogue with that label or, at a die revision of its own, like the first.
fn label(text: &str) -> Result<Module, Unread> {
    let library = shipped();
    let like = library.catalog().modules.values().find(|m| text.starts_with(&m.label));
    let unread = Unread { message: format!("`{text}` is no label"), hint: "copy it from the module".into() };
    like.map(|m| Module::clone(m)).ok_or(unread)
}

fn shipped() -> Library {
    Library::shipped().unwrap_or_else(|e| panic!("{}", e.render(false)))
}

#[test]
fn needs_builds_and_stock_of_the_guide_are_read() {
    let (files, library) = (files(), shipped());
    let input = |name: &str| Input::file(&files, Path::new(name)).unwrap_or_else(|e| panic!("{e}"));
    for name in ["need.toml", "upgrade.toml", "part.toml"] {
        let need = library.need(&input(name), &label).unwrap_or_else(|e| panic!("{}", e.render(false)));
        assert!(!need.lots.is_empty(), "{name}");
    }
    for name in ["build.toml", "own/first.build.toml"] {
        let build = library.build(&input(name), &label).unwrap_or_else(|e| panic!("{}", e.render(false)));
        assert_eq!(build.filled().count(), 2, "{name}");
    }
    let lots = library.stock(&input("stock.toml"), &label).unwrap_or_else(|e| panic!("{}", e.render(false)));
    assert_eq!(lots.len(), 2);
}

#[test]
fn the_board_of_the_guide_is_whole_after_every_step_from_the_second() {
    let library = shipped();
    let steps: Vec<String> = blocks().into_iter().filter(|(n, _)| n == "own/snipe-1s6.toml").map(|(_, t)| t).collect();
    assert_eq!(steps.len(), 12);
    for upto in 2..=steps.len() {
        let text = steps[..upto].join("\n");
        let board = library.board(&Input::text("snipe-1s6.toml", text));
        let board = board.unwrap_or_else(|e| panic!("after step {upto}: {}", e.render(false)));
        assert_eq!(board.slots.len(), 10);
    }
    let files = files();
    let low = library.board(&Input::file(&files, Path::new("own/snipe-low.toml")).expect("there"));
    let low = low.unwrap_or_else(|e| panic!("{}", e.render(false)));
    assert_eq!(low.limits.height.as_ref().map(|h| h.value.mm()), Some(18.75));
    assert_eq!(low.charts.len(), 2);
}

#[test]
fn the_data_files_of_the_guide_are_read() {
    let mut data = Memory::default();
    for (path, bytes) in files().0 {
        if let Ok(inside) = path.strip_prefix("data") {
            data.0.insert(inside.to_path_buf(), bytes);
        }
    }
    assert_eq!(data.0.len(), 3);
    let library = shipped().with(&data).unwrap_or_else(|e| panic!("{}", e.render(false)));
    assert!(library.catalog().processors.contains_key("ddr4-2ch-3000"));
    assert!(library.catalog().modules.contains_key("ddr4-rdimm-64-2rx4-2933-tall"));
    assert!(library.catalog().sources.contains_key("channel-handbook"));
}

#[test]
fn the_fault_that_the_guide_shows_is_drawn_so() {
    let files = files();
    let own = |name: &str| files.text(&format!("own/{name}"));
    let broken = own("first.build.toml").replace("mid-1-far", "mid-1-fra");
    let files = Memory::default().with("first.build.toml", broken).with("snipe-1s6.toml", own("snipe-1s6.toml"));
    let input = Input::file(&files, Path::new("first.build.toml")).expect("there");
    let error = shipped().build(&input, &label).expect_err("there is no such slot");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/guide/files.md");
    let guide = std::fs::read_to_string(path).expect("the guide is there");
    assert!(guide.contains(&error.render(false)), "{}", error.render(false));
}
