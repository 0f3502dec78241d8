//! A two-dimensional code as SVG: dark on white in every theme, since scanners expect it so.

use super::escape;
use crate::code::{Code, QUIET, Spare};
use crate::palette::LIGHT;
use std::fmt::Write;

/// A code as SVG, one unit a square, with its clear space; nothing where the text is too long for one.
pub fn code(text: &str, spare: Spare) -> Option<String> {
    let code = Code::new(text, spare)?;
    let mut path = String::new();
    for run in code.runs() {
        let _ = write!(path, "M{} {}h{}v1h-{}z", run.left + QUIET, run.top + QUIET, run.length, run.length);
    }
    let side = code.width() + 2 * QUIET;
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"code\" viewBox=\"0 0 {side} {side}\" width=\"{0}\" height=\"{0}\" \
         shape-rendering=\"crispEdges\" role=\"img\" aria-label=\"code for scanners: {1}\">\
         <rect width=\"{side}\" height=\"{side}\" fill=\"#FFFFFF\"/><path fill=\"{2}\" d=\"{path}\"/></svg>",
        side * 3,
        escape(text),
        LIGHT.ink.hex(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_drawn_square_by_square_and_names_its_text() {
        let svg = code("S/N <1> & \"2\"", Spare::Paper).unwrap();
        let document = roxmltree::Document::parse(&svg).unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("aria-label"), Some("code for scanners: S/N <1> & \"2\""));
        let path = root.children().find(|n| n.has_tag_name("path")).and_then(|n| n.attribute("d")).unwrap();
        // The finder pattern at the upper left: seven dark squares in a row (ISO/IEC 18004, 6.3.3).
        assert!(path.starts_with("M4 4h7v1h-7z"), "{path}");
        assert_eq!(code(&"x".repeat(9000), Spare::Paper), None);
    }
}
