//! Charts: one point, equal points, thousands of points, hostile names; links, figures and labels.

use crate::hostile::HOSTILE;
use crate::page::assert_harmless;
use draw::chart::{Chart, Point, Shape, svg};
use roxmltree::{Document, Node};

const SHAPES: [Shape; 3] = [Shape::Circle, Shape::Square, Shape::Triangle];

fn chart(points: Vec<Point>) -> Chart {
    Chart {
        title: "Price over capacity".into(),
        description: "Plans worth having.".into(),
        x_title: "usable capacity, GiB".into(),
        y_title: "price, EUR".into(),
        points,
        legend: SHAPES.iter().map(|s| (*s, format!("{s:?}"))).collect(),
        id_prefix: "front".into(),
    }
}

fn point(x: f64, y: f64, number: Option<usize>) -> Point {
    let label = number.map(|n| n.to_string()).unwrap_or_default();
    Point {
        x,
        y,
        size: 0.5,
        shape: SHAPES[x as usize % 3],
        name: format!("plan {label} of {x} GiB"),
        href: Some(format!("/plan?x={x}&y={y}")),
        chosen: number.is_some(),
        label,
    }
}

fn elements<'a>(document: &'a Document<'a>, name: &'static str) -> Vec<Node<'a, 'a>> {
    document.descendants().filter(|n| n.has_tag_name(name)).collect()
}

#[test]
fn chosen_points_are_labelled_links_in_their_order_and_the_others_are_for_the_mouse() {
    let points = vec![point(512.0, 900.0, Some(2)), point(256.0, 400.0, None), point(128.0, 300.0, Some(1))];
    let text = svg(&chart(points));
    let document = Document::parse(&text).expect("well-formed");
    assert_harmless(&document);
    assert_eq!(document.root_element().attribute("role"), Some("group"));
    let tabbed: Vec<_> = elements(&document, "a").into_iter().filter(|a| a.attribute("tabindex").is_none()).collect();
    let names: Vec<_> = tabbed.iter().filter_map(|a| a.attribute("aria-label")).collect();
    assert_eq!(names, ["plan 1 of 128 GiB", "plan 2 of 512 GiB"]);
    assert_eq!(elements(&document, "a").len(), 3);
    let words: Vec<_> = elements(&document, "text").iter().filter_map(Node::text).collect();
    for expected in ["Price over capacity", "usable capacity, GiB", "price, EUR", "1", "2", "500", "900", "Circle"] {
        assert!(words.contains(&expected), "{expected} is not in {words:?}");
    }
}

/// Where the small and the large points lie.
fn places(document: &Document<'_>) -> Vec<(f64, f64)> {
    let reach = elements(document, "circle").into_iter().filter(|c| c.attribute("class") == Some("reach"));
    reach
        .map(|c| {
            let read = |a: &str| c.attribute(a).unwrap_or_default().parse::<f64>().expect("a number");
            (read("cx"), read("cy"))
        })
        .collect()
}

#[test]
fn more_capacity_lies_to_the_right_and_a_higher_price_above() {
    let points = vec![point(100.0, 50.0, Some(1)), point(200.0, 80.0, Some(2)), point(200.0, 50.0, Some(3))];
    let text = svg(&chart(points));
    let at = places(&Document::parse(&text).expect("well-formed"));
    assert!(at[1].0 > at[0].0 && at[1].1 < at[0].1, "{at:?}");
    assert!(at[2].0 == at[1].0 && at[2].1 == at[0].1, "{at:?}");
}

#[test]
fn one_point_equal_points_and_none_are_drawn() {
    for points in [
        vec![],
        vec![point(64.0, 100.0, Some(1))],
        vec![point(64.0, 100.0, None); 3],
        vec![point(0.0, 0.0, Some(1)); 8],
    ] {
        let count = points.iter().filter(|p| p.chosen).count();
        let text = svg(&chart(points));
        let document = Document::parse(&text).expect("well-formed");
        assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
        let at = places(&document);
        assert_eq!(at.len(), count);
        assert!(at.iter().all(|(x, y)| (20.0..720.0).contains(x) && (40.0..370.0).contains(y)), "{at:?}");
    }
}

#[test]
fn four_thousand_points_are_thinned_and_told() {
    let mut points: Vec<Point> = (0..4000).map(|i| point(f64::from(i), f64::from(i * 37 % 4000), None)).collect();
    points.extend((0..9).map(|n| point(f64::from(n) * 400.0, 100.0, Some(n as usize + 1))));
    let text = svg(&chart(points));
    let document = Document::parse(&text).expect("well-formed");
    let links = elements(&document, "a");
    assert!((200..=609).contains(&links.len()), "{}", links.len());
    assert_eq!(places(&document).len(), 9, "chosen points are never thinned");
    let description = elements(&document, "desc")[0].text().unwrap_or_default().to_string();
    assert!(description.contains(&format!("Of 4009 points {} are drawn", links.len())), "{description}");
}

#[test]
fn hostile_words_and_values_stay_words() {
    let mut points: Vec<Point> = HOSTILE
        .iter()
        .zip(1..)
        .map(|(name, n)| Point {
            name: name.to_string(),
            label: name.to_string(),
            href: Some(format!("/plan?q={name}")),
            ..point(f64::from(n), 1.0, Some(n as usize))
        })
        .collect();
    points.push(Point { size: f64::NAN, ..point(1.0, 2.0, None) });
    points.push(point(f64::NAN, 2.0, None));
    points.push(point(3.0, f64::INFINITY, Some(7)));
    let mut hostile = chart(points);
    hostile.title = HOSTILE[0].into();
    hostile.description = HOSTILE[1].into();
    hostile.y_title = HOSTILE[7].repeat(5);
    hostile.legend = HOSTILE.iter().map(|h| (Shape::Square, h.to_string())).collect();
    hostile.id_prefix = "x\" onload=\"y".into();
    let text = svg(&hostile);
    assert_harmless(&Document::parse(&text).expect("well-formed"));
    assert!(!text.contains("NaN") && !text.contains("inf\"") && !text.contains('\u{202e}'));
    assert!(text.contains("2 without a figure for both axes left out."));
}

#[test]
fn labels_of_chosen_points_do_not_overlap() {
    let points = (1..=9).map(|n| point(100.0 + n as f64, 100.0 + n as f64 / 3.0, Some(n))).collect();
    let mut crowded = chart(points);
    crowded.points.push(point(9000.0, 9000.0, None));
    let text = svg(&crowded);
    let document = Document::parse(&text).expect("well-formed");
    let groups = document.descendants().filter(|n| n.attribute("class") == Some("chosen"));
    let plates: Vec<[f64; 4]> = groups
        .filter_map(|g| g.children().find(|n| n.attribute("class") == Some("page")))
        .map(|n| ["x", "y", "width", "height"].map(|a| n.attribute(a).unwrap_or_default().parse().expect("a number")))
        .collect();
    assert_eq!(plates.len(), 9);
    for (at, a) in plates.iter().enumerate() {
        for b in &plates[at + 1..] {
            let apart = a[0] + a[2] <= b[0] + 0.2
                || b[0] + b[2] <= a[0] + 0.2
                || a[1] + a[3] <= b[1] + 0.2
                || b[1] + b[3] <= a[1] + 0.2;
            assert!(apart, "{a:?} and {b:?}");
        }
    }
}
