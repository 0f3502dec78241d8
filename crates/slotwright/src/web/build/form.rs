//! Fields ↔ build file, line by line as the need's form does it.

use crate::failure::Failure;
use crate::verbs::check::{self, Checked};
use crate::verbs::plan::BuildView;
use crate::web::need::Wrong;
use crate::web::need::toml_text as text;
use crate::web::query::Query;
use catalog::{Input, Library};

/// What begins the field of a slot.
pub const SLOT: &str = "s.";
/// The other fields.
const FIELDS: [&str; 6] = ["board", "processors", "mode", "numa", "firmware", "blanks"];

/// A build as its form holds it.
#[derive(Debug, Clone)]
pub struct Form {
    pub query: Query,
}

impl Form {
    /// The form's part of a query.
    pub fn new(query: &Query) -> Self {
        let own = |name: &str| FIELDS.contains(&name) || name.starts_with(SLOT);
        let pairs = query.pairs().filter(|(name, _)| own(name));
        Self { query: Query::of(pairs.map(|(n, v)| (n.to_string(), v.to_string())).collect()) }
    }
    /// The form of a build that was worked out.
    pub fn of(build: &BuildView) -> Self {
        let mut query = Query::default();
        query.push("board", &build.board);
        for processor in &build.processors {
            query.push("processors", processor.as_deref().unwrap_or("none"));
        }
        if build.mode != "independent" {
            query.push("mode", &build.mode);
        }
        for (name, value) in [("numa", &build.numa), ("firmware", &build.firmware)] {
            if let Some(value) = value {
                query.push(name, value);
            }
        }
        for (slot, module) in &build.slots {
            query.push(&format!("{SLOT}{slot}"), module);
        }
        Self { query }
    }
    /// Does a query speak of a build rather than of a need?
    pub fn is_meant(query: &Query) -> bool {
        query.pairs().any(|(name, _)| name.starts_with(SLOT))
    }
    /// What is in a slot's field.
    pub fn slot(&self, label: &str) -> &str {
        self.query.get(&format!("{SLOT}{label}"))
    }
    /// The build as a file, and the field of each of its lines.
    fn write(&self) -> (String, Vec<String>) {
        let query = &self.query;
        let mut lines = vec![
            ("board".to_string(), format!("board = {}", text(query.get("board")))),
            (
                "processors".to_string(),
                format!("processors = [{}]", query.all("processors").map(text).collect::<Vec<_>>().join(", ")),
            ),
        ];
        for key in ["mode", "numa", "firmware"] {
            if let Some(value) = query.some(key) {
                lines.push((key.to_string(), format!("{key} = {}", text(value))));
            }
        }
        if query.holds("blanks", "yes") {
            lines.push(("blanks".to_string(), "blanks = true".to_string()));
        }
        lines.push((String::new(), "[slots]".to_string()));
        for (name, value) in query.pairs().filter(|(_, v)| !v.trim().is_empty()) {
            if let Some(slot) = name.strip_prefix(SLOT) {
                lines.push((name.to_string(), format!("{} = {}", text(slot), text(value))));
            }
        }
        let (fields, lines): (Vec<String>, Vec<String>) = lines.into_iter().unzip();
        (format!("{}\n", lines.join("\n")), fields)
    }
    /// The build as a file.
    pub fn text(&self) -> String {
        self.write().0
    }
    /// The judged build.
    ///
    /// # Errors
    /// What is wrong, field by field.
    pub fn check(&self, library: &Library) -> Result<Checked, Wrong> {
        let (text, fields) = self.write();
        let failure = match check::check_text(library, &Input::text("build.toml", text)) {
            Ok(checked) => return Ok(checked),
            Err(failure) => failure,
        };
        let mut wrong = Wrong::default();
        match &failure {
            Failure::File(error) => {
                for report in error.reports() {
                    let line = report.place.as_ref().and_then(|p| p.line.checked_sub(1));
                    let field = line.and_then(|at| fields.get(at)).map_or("", String::as_str);
                    wrong.add(field, format!("{}: {}", report.problem, report.hint));
                }
            }
            other => wrong.add("", format!("{other}: {}", other.hint())),
        }
        Err(wrong)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verbs::plan;
    use crate::world;

    #[test]
    fn a_planned_build_comes_back_through_its_address() {
        let library = world::shipped().unwrap();
        let need = crate::web::need::Form::new(&crate::web::need::Form::example()).read(&library).unwrap();
        for plan in plan::plan(&need, false).plans {
            let form = Form::of(&BuildView::new(&plan.build));
            let back = Form::new(&Query::parse(&form.query.text()));
            let checked = back.check(&library).unwrap();
            assert_eq!(BuildView::new(&checked.build), BuildView::new(&plan.build));
        }
    }

    #[test]
    fn a_fault_finds_its_slot() {
        let library = world::shipped().unwrap();
        let base = "board=dunlin-2s6&processors=ddr4-6ch-2933&processors=none";
        let wrong = |more: &str| Form::new(&Query::parse(&format!("{base}{more}"))).check(&library).unwrap_err();
        assert!(wrong("&s.west-1-outer=soup").of("s.west-1-outer").next().is_some());
        assert!(wrong("&s.nowhere=32GB+2Rx4+PC4-2933Y-R").of("s.nowhere").next().is_some());
        assert!(wrong("&mode=loud").of("mode").next().is_some());
        assert!(Form::new(&Query::parse(base)).check(&library).is_ok(), "an empty machine is a build too");
    }
}
