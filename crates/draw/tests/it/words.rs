//! Words: every label and content is in the SVG and in the text, and what is drawn fits its slot.

use crate::boards;
use draw::measure::{columns, width};
use draw::text::{self, TextStyle};
use draw::{ItemKind, MapInput, PartOrigin, Shape, slot_map, svg};

/// Every piece of extra data on every filled slot.
fn with_all(check: impl Fn(&str, &draw::Drawing)) {
    for board in boards::shapes() {
        let title = board.title.clone();
        let build = boards::build(board);
        let mut number = 0;
        let install: Vec<Option<u16>> = build
            .slots
            .iter()
            .map(|m| {
                m.as_ref().map(|_| {
                    number += 1;
                    number
                })
            })
            .collect();
        let regions: Vec<Option<u8>> = build.slots.iter().map(|m| m.as_ref().map(|_| 2)).collect();
        let origins = vec![Some(PartOrigin::Moved); build.slots.len()];
        let findings = boards::findings(&build);
        let input =
            MapInput { install: &install, regions: &regions, origins: &origins, ..MapInput::new(&build, &findings) };
        check(&title, &slot_map(&input));
    }
}

#[test]
fn every_label_and_content_is_in_the_svg() {
    with_all(|title, drawing| {
        let svg = svg::render(drawing);
        let document = roxmltree::Document::parse(&svg).expect("well-formed");
        for (view, _) in drawing.blocks.iter().flat_map(|b| b.slots()) {
            let id = format!("map-slot-{}", view.slot.0);
            let group = document.descendants().find(|n| n.attribute("id") == Some(&id)).expect(&id);
            let name = group.children().find(|n| n.has_tag_name("title")).and_then(|n| n.text()).unwrap_or_default();
            assert!(name.contains(&view.label), "{title}: {name}");
            let drawn: Vec<&str> =
                group.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect();
            let all = drawn.concat();
            assert!(all.contains(&view.label), "{title}: {} in {all}", view.label);
            assert!(all.contains(&view.content) && all.contains(&view.organisation), "{title}: {all}");
            assert_eq!(all.contains("moved"), view.origin.is_some(), "{title}: {all}");
            if let Some(number) = view.install {
                assert!(drawn.contains(&number.to_string().as_str()), "{title}: {all}");
            }
        }
    });
}

#[test]
fn every_label_and_content_is_in_the_text_at_any_width() {
    with_all(|title, drawing| {
        for (wide, unicode) in [(80, true), (80, false), (120, true), (160, true), (24, true), (1, false)] {
            let style = TextStyle { columns: wide, colour: false, unicode };
            let map = text::render(drawing, &style);
            for (view, _) in drawing.blocks.iter().flat_map(|b| b.slots()) {
                for piece in view.label.split_inclusive('-').chain([view.content.as_str(), view.organisation.as_str()])
                {
                    assert!(map.contains(piece), "{title} at {wide}: {piece} is not in\n{map}");
                }
            }
            assert!(unicode || map.is_ascii(), "{title}:\n{map}");
            if wide >= 80 {
                let long = map.lines().find(|l| columns(l) > wide);
                assert_eq!(long, None, "{title} at {wide}");
            }
        }
    });
}

#[test]
fn words_stay_inside_their_slot() {
    with_all(|title, drawing| {
        for (view, rect) in drawing.blocks.iter().flat_map(|b| b.slots()) {
            let of_slot = |kind: &ItemKind| matches!(kind, ItemKind::Slot(slot, _) if *slot == view.slot);
            let item = drawing.items.iter().find(|i| of_slot(&i.kind)).expect("its item");
            for shape in &item.shapes {
                let Shape::Words(words) = shape else { continue };
                assert!(words.size >= 12.0);
                let long = width(&words.text, words.size, words.bold);
                let (least, most, from) = if words.turned {
                    (rect.y, rect.bottom(), words.y - long)
                } else {
                    let anchor = match words.anchor {
                        draw::Anchor::Start => 0.0,
                        draw::Anchor::Middle => long / 2.0,
                        draw::Anchor::End => long,
                    };
                    (rect.x, rect.right(), words.x - anchor)
                };
                assert!(from >= least && from + long <= most, "{title}: `{}` runs out of {}", words.text, view.label);
            }
        }
    });
}

#[test]
fn the_legend_lists_what_occurs_and_nothing_else() {
    let build = boards::build(boards::board("Plain", &["main"], &[&[1, 1]]));
    let drawing = slot_map(&MapInput::new(&build, &[]));
    let words: Vec<&str> = drawing.legend.iter().map(|e| e.words.as_str()).collect();
    assert_eq!(words, ["filled, nothing to say"]);
    let findings = boards::findings(&build);
    let drawing = slot_map(&MapInput::new(&build, &findings));
    for entry in &drawing.legend {
        assert!(svg::render(&drawing).contains(&svg::escape(&entry.words)));
        assert!(text::render(&drawing, &TextStyle::default()).contains(&entry.words));
    }
    assert!(drawing.legend.iter().any(|e| e.words.starts_with("wrong")));
    assert!(!drawing.legend.iter().any(|e| e.words.starts_with("unproven")));
}
