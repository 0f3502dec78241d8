//! Drawings in a page: no style of their own, slots as links with names, the map in small.

use crate::{boards, hostile};
use draw::{Drawing, MapInput, slot_map, svg};
use roxmltree::{Document, Node};
use std::collections::BTreeSet;

fn elements<'a>(document: &'a Document<'a>) -> impl Iterator<Item = Node<'a, 'a>> {
    document.descendants().filter(Node::is_element)
}

/// What a strict policy on content refuses, and what no drawing holds.
pub fn assert_harmless(document: &Document<'_>) {
    let known = ["svg", "title", "desc", "defs", "pattern", "path", "rect", "g", "text", "circle", "a"];
    let mut ids = BTreeSet::new();
    for node in elements(document) {
        assert!(known.contains(&node.tag_name().name()), "{}", node.tag_name().name());
        for attribute in node.attributes() {
            assert!(attribute.name() != "style" && !attribute.name().starts_with("on"), "{node:?}");
        }
        if let Some(id) = node.attribute("id") {
            assert!(ids.insert(id.to_string()), "{id} twice");
        }
    }
}

fn drawings() -> Vec<Drawing> {
    let mut all: Vec<Drawing> = boards::shapes()
        .into_iter()
        .map(|board| {
            let build = boards::build(board);
            slot_map(&MapInput::new(&build, &boards::findings(&build)))
        })
        .collect();
    all.push(hostile::hostile());
    all
}

#[test]
fn every_slot_of_an_embedded_map_is_a_link_named_by_its_sentence() {
    for drawing in drawings() {
        let link = |slot: domain::SlotIndex| Some(format!("/x?a=1&slot={}\"><script>", slot.0));
        let map = svg::embedded(&drawing, &link);
        let document = Document::parse(&map).expect("well-formed");
        assert_harmless(&document);
        assert_eq!(document.root_element().attribute("role"), Some("group"));
        let links: Vec<_> = elements(&document).filter(|n| n.has_tag_name("a")).collect();
        let slots: Vec<_> = drawing.blocks.iter().flat_map(|b| b.slots()).map(|(view, _)| view).collect();
        assert_eq!(links.len(), slots.len(), "{}", drawing.title);
        for (link, view) in links.iter().zip(&slots) {
            assert_eq!(link.attribute("href"), Some(format!("/x?a=1&slot={}\"><script>", view.slot.0).as_str()));
            assert_eq!(link.attribute("data-slot"), Some(view.label.as_str()));
            assert_eq!(link.attribute("aria-label"), Some(view.name.as_str()));
            let group = link.prev_sibling_element().expect("the slot lies below its link");
            assert_eq!(group.attribute("id"), Some(format!("{}-slot-{}", drawing.id_prefix, view.slot.0).as_str()));
            assert_eq!(group.attribute("aria-hidden"), Some("true"), "its words are not read twice");
            assert!(link.descendants().all(|n| !n.has_tag_name("text")), "a link's words are its name");
        }
    }
}

#[test]
fn only_slots_with_an_address_are_links_and_a_map_without_is_a_picture() {
    let build = boards::build(boards::board("Some", &["main"], &[&[2, 2]]));
    let drawing = slot_map(&MapInput::new(&build, &[]));
    let some = svg::embedded(&drawing, &|slot| (slot.0 == 1).then(|| "#one".to_string()));
    let document = Document::parse(&some).expect("well-formed");
    assert_eq!(elements(&document).filter(|n| n.has_tag_name("a")).count(), 1);
    assert_eq!(elements(&document).filter(|n| n.has_attribute("data-slot")).count(), 4);
    let none = svg::embedded(&drawing, &|_| None);
    assert!(none.contains("role=\"img\"") && !none.contains("<a "));
    let alone = svg::render(&drawing);
    let without = alone.replace(&format!("<style>\n{}</style>\n", svg::stylesheet()), "");
    assert!(
        alone.len() > without.len() && !without.contains("data-slot"),
        "the picture that stands alone has its style"
    );
}

#[test]
fn a_small_map_holds_every_slot_inside_240_px_and_no_small_print() {
    for drawing in drawings() {
        let map = svg::small(&drawing);
        let document = Document::parse(&map).expect("well-formed");
        assert_harmless(&document);
        assert!(elements(&document).all(|n| !n.has_attribute("id")), "many maps fit one page");
        let slots: Vec<_> = elements(&document).filter(|n| n.has_attribute("data-state")).collect();
        assert_eq!(slots.len(), drawing.blocks.iter().flat_map(|b| b.slots()).count(), "{}", drawing.title);
        let high: f64 = document.root_element().attribute("height").unwrap_or_default().parse().expect("a number");
        assert!((20.0..=210.0).contains(&high), "{high}");
        let mut boxes = Vec::new();
        for slot in &slots {
            let rect = slot.children().find(|n| n.has_tag_name("rect")).expect("a box");
            let [x, y, w, h] =
                ["x", "y", "width", "height"].map(|a| rect.attribute(a).unwrap_or_default().parse::<f64>());
            let (x, y, w, h) = (x.expect("x"), y.expect("y"), w.expect("w"), h.expect("h"));
            assert!(x >= 0.0 && x + w <= 240.0 && y >= 0.0 && y + h <= high, "{}: {x} {y} {w} {h}", drawing.title);
            assert!(boxes.iter().all(|(a, b, c, d)| x >= a + c || *a >= x + w || y >= b + d || *b >= y + h), "overlap");
            boxes.push((x, y, w, h));
        }
        for text in elements(&document).filter(|n| n.has_tag_name("text")) {
            let size: f64 = text.attribute("font-size").unwrap_or_default().parse().expect("a number");
            assert!(size >= 9.0);
            assert!(text.text().is_some_and(|t| t.chars().all(|c| c.is_ascii_digit() || c == '.')), "figures only");
        }
    }
}

#[test]
fn small_maps_tell_states_apart_without_colour() {
    let drawing = &drawings()[0];
    let map = svg::small(drawing);
    let document = Document::parse(&map).expect("well-formed");
    let mut looks = std::collections::BTreeMap::new();
    for slot in elements(&document).filter(|n| n.has_attribute("data-state")) {
        let state = slot.attribute("data-state").unwrap_or_default();
        // What is left without colour: which elements there are, their dashes and widths of lines, fill or none.
        let look: Vec<String> = slot
            .descendants()
            .filter(|n| n.is_element() && !n.has_tag_name("text"))
            .map(|n| format!("{} {:?} {:?}", n.tag_name().name(), n.attribute("stroke-dasharray"), n.attribute("d")))
            .collect();
        looks.entry(state.to_string()).or_insert(look);
    }
    assert!(looks.len() >= 3, "{:?}", looks.keys());
    for (a, first) in &looks {
        for (b, second) in &looks {
            assert!(a == b || first != second, "{a} and {b} look alike");
        }
    }
}
