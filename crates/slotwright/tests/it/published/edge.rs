//! Replays the geometry of a DDR4 module's edge, and where its data lines meet the slot.

use super::files;
use engine::contacts::{DDR4, LINES, data_line, name};
use toml::Table;

#[test]
fn the_edge_of_a_ddr4_module_is_as_told() {
    let all = files("edge.toml");
    assert_eq!(all[0].0, "edge-ddr4");
    let printed: Table = all[0].1.parse().unwrap();
    let told = |key: &str| printed[key].as_float().unwrap();
    let near = |ours: domain::Length, key: &str| {
        assert!((ours.mm() - told(key)).abs() <= told("tolerance"), "{key}: {ours} against {}", told(key));
    };
    near(DDR4.length, "length_mm");
    near(DDR4.height, "height_mm");
    near(DDR4.pitch, "pitch_mm");
    near(DDR4.left_span(), "left_span_mm");
    near(DDR4.right_span(), "right_span_mm");
    near(DDR4.gap(), "gap_mm");
    near(DDR4.contact(DDR4.a_face()).unwrap().at, "first_to_last_mm");
    let counted = |key: &str| printed[key].as_integer().unwrap();
    assert_eq!(i64::from(DDR4.contacts()), counted("contacts"));
    assert_eq!(i64::from(DDR4.a_face()), counted("contacts_a_face"));
    assert_eq!((i64::from(DDR4.left), i64::from(DDR4.right)), (counted("left_contacts"), counted("right_contacts")));
}

#[test]
fn data_lines_have_the_contacts_that_are_told() {
    let printed: Table = files("edge.toml")[0].1.parse().unwrap();
    for (line, contact) in printed["lines"]["contacts"].as_table().unwrap() {
        let bit = (0..LINES).find(|bit| name(*bit) == *line).unwrap_or_else(|| panic!("no line {line}"));
        assert_eq!(data_line(bit).map(|c| i64::from(c.number)), contact.as_integer(), "{line}");
    }
}
