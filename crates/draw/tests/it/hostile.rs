//! Names that try to break out: escaped in the SVG, harmless on a terminal, cut where they are too long.

use crate::boards;
use draw::text::{self, TextStyle};
use draw::{MapInput, slot_map, svg};
use std::collections::BTreeSet;

pub const HOSTILE: [&str; 9] = [
    "</text><script>alert(1)</script>",
    "\" onload=\"x",
    "a&b<c>'d",
    "\u{1b}]0;title\u{7}\u{1b}[31m",
    "\u{202e}reversed\u{202c}",
    "\u{0}\u{1}\u{ffff}",
    "\u{8a18}\u{61b6}\u{9ad4}\u{8a18}\u{61b6}\u{9ad4}\u{8a18}\u{61b6}",
    "an endless label that no slot on any board would ever be wide enough to show in full",
    "",
];

pub fn hostile() -> draw::Drawing {
    let mut board = boards::board("<b>&\u{1b}[2J", &["<west>", "\u{9b}31m"], &[&[2, 2, 2]]);
    for (slot, name) in board.slots.iter_mut().zip(HOSTILE) {
        slot.label = name.to_string();
    }
    let build = boards::build(board);
    let findings = boards::findings(&build);
    slot_map(&MapInput { id_prefix: "x\" onload=\"y", ..MapInput::new(&build, &findings) })
}

#[test]
fn the_svg_stays_well_formed_and_holds_no_foreign_element() {
    let svg = svg::render(&hostile());
    let document = roxmltree::Document::parse(&svg).expect("well-formed");
    let known = ["svg", "title", "desc", "style", "defs", "pattern", "path", "rect", "g", "text", "circle"];
    let mut ids = BTreeSet::new();
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        assert!(known.contains(&node.tag_name().name()), "{}", node.tag_name().name());
        assert!(node.attributes().all(|a| !a.name().starts_with("on")), "{node:?}");
        if let Some(id) = node.attribute("id") {
            assert!(ids.insert(id.to_string()), "{id} twice");
        }
    }
    let root = document.root_element();
    assert_eq!(root.attribute("role"), Some("img"));
    for attribute in ["aria-labelledby", "aria-describedby"] {
        assert!(root.attribute(attribute).is_some_and(|id| ids.contains(id)), "{attribute}");
    }
    assert!(!svg.contains("href") && !svg.contains("@import") && !svg.contains("http://fonts"));
}

#[test]
fn the_terminal_gets_no_control_but_ours() {
    let drawing = hostile();
    for wide in [1, 10, 80, 200] {
        let map = text::render(&drawing, &TextStyle { columns: wide, colour: false, unicode: true });
        assert!(map.chars().all(|c| c == '\n' || !c.is_control()), "{map:?}");
        assert!(!map.contains('\u{202e}'));
    }
}

#[test]
fn a_label_that_was_cut_is_told_in_full() {
    let drawing = hostile();
    let map = text::render(&drawing, &TextStyle { columns: 100, ..TextStyle::default() });
    let told = map.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("stands for an endless label that no slot on any board would ever be wide enough"), "{map}");
}
