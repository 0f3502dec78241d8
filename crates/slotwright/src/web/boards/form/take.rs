//! What a person changed in the form, put into the text; rows added and taken out.

use super::cell::{Cell, List, below, every, lists, steps};
use super::parts::Sort;
use crate::web::query::Query;
use catalog::{Held, Sheet};
use std::collections::BTreeMap;

/// The field that carries the text which the form was made of, so that what a person changed in the form is told from
/// what was changed in the text.
pub const WAS: &str = "was";

/// Puts what a person changed in the form into the text; names the fields that could not be put there, with why.
pub fn take(sheet: &mut Sheet, fields: &Query, base: &[String]) -> Vec<(String, &'static str)> {
    let Some(was) = Sheet::read(&fields.raw(WAS).replace("\r\n", "\n")) else { return Vec::new() };
    let sent: BTreeMap<&str, &str> = fields.pairs().collect();
    let counts = |sheet: &Sheet| -> Vec<(Vec<String>, usize)> {
        lists(sheet).into_iter().map(|l| (l.path.clone(), sheet.count(&steps(&l.path)))).collect()
    };
    let (before, now) = (counts(&was), counts(sheet));
    let moved = |path: &[String]| before.iter().any(|list| path.starts_with(&list.0) && !now.contains(list));
    let mut refused = Vec::new();
    for cell in every(&was, base) {
        let Some(words) = sent.get(cell.name.as_str()) else { continue };
        let words = plain(words, cell.line.sort);
        if words == plain(&cell.shown(&was), cell.line.sort) {
            continue;
        }
        if moved(&cell.path) {
            refused.push((cell.name, "rows were added or taken out in the text meanwhile: type it once more"));
        } else if !cell.put(sheet, &words) {
            refused.push((cell.name, "this can't be put into the text as it stands: change it there"));
        }
    }
    refused
}

/// As a browser sends it: fields of one line lose line ends, all lose the space around.
fn plain(words: &str, sort: Sort) -> String {
    let words = words.replace("\r\n", "\n");
    match sort {
        Sort::Long | Sort::SlotList => words.trim().to_string(),
        Sort::Lanes | Sort::Rows | Sort::Groups => {
            words.lines().map(str::trim).filter(|l| !l.is_empty()).collect::<Vec<_>>().join("\n")
        }
        _ => words.replace('\n', "").trim().to_string(),
    }
}

/// A row to add or to take out, as a button asks for it: `add:rate`, `cut:chart.0.fill.2`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RowAct {
    Add(Vec<String>),
    Cut(Vec<String>, usize),
}

impl RowAct {
    /// Reads what a button says; only lists that the form shows are named so.
    pub fn read(words: &str, sheet: &Sheet) -> Option<Self> {
        let known = |path: &str| lists(sheet).into_iter().map(|l| l.path).find(|p| p.join(".") == path);
        if let Some(path) = words.strip_prefix("add:") {
            return known(path).map(Self::Add);
        }
        let (path, place) = words.strip_prefix("cut:")?.rsplit_once('.')?;
        Some(Self::Cut(known(path)?, place.parse().ok()?))
    }
    /// The list that it is about.
    pub fn list(&self) -> &[String] {
        match self {
            Self::Add(path) | Self::Cut(path, _) => path,
        }
    }
    /// Does it. False where the text has no place for it.
    pub fn act(&self, sheet: &mut Sheet) -> bool {
        match self {
            Self::Add(path) => {
                let begun = begun(sheet, path);
                sheet.add(&steps(path), &begun)
            }
            Self::Cut(path, place) => sheet.remove(&steps(path), *place),
        }
    }
    /// The first field of a row that was added.
    pub fn focus(&self, sheet: &Sheet) -> Option<String> {
        let Self::Add(path) = self else { return None };
        let List { path, rows } = lists(sheet).into_iter().find(|l| l.path == *path)?;
        let last = sheet.count(&steps(&path)).checked_sub(1)?;
        rows.lines.first().map(|line| Cell::new(&below(&path, &[&last.to_string()]), *line).name)
    }
}

/// What a new row begins with: what the board says already, and of a chart the row before with one more to name.
fn begun(sheet: &Sheet, list: &[String]) -> Vec<(&'static str, Held)> {
    let kinds = sheet.get(&["kinds"]).map(|k| ("kinds", k));
    match list.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["rate" | "channel_ranks"] => kinds.into_iter().collect(),
        ["chart", _, "fill"] => {
            let last = sheet.count(&steps(list)).checked_sub(1).map(|n| below(list, &[&n.to_string()]));
            let of = |key: &str| last.as_ref().and_then(|row| sheet.get(&steps(&below(row, &[key]))));
            let count = of("count").and_then(|c| c.words().parse::<u32>().ok()).unwrap_or(0);
            let mut row = vec![("count", Held::Number(count.saturating_add(1).to_string()))];
            row.extend(of("slots").map(|slots| ("slots", slots)));
            row
        }
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world;
    use proptest::prelude::*;

    const TEXT: &str = "format = 1\ntitle = \"A\"\nkinds = [\"RDIMM\"] # so\n\n[limits]\nmodule = \"64 GiB\"\n\n[[rate]]\nkinds = [\"RDIMM\"]\nmodules_per_channel = [2]\nmost = 2400\n\n[[mode]]\nname = \"mirror\"\nusable = \"half\"\nalike = [[0, 1]]\n";

    fn sent(sheet: &Sheet, changes: &[(&str, &str)]) -> Query {
        let mut query = Query::default();
        query.push(WAS, sheet.text());
        for cell in every(sheet, &[]) {
            query.push(&cell.name, cell.shown(sheet));
        }
        changes.iter().fold(query, |query, (name, value)| query.with(name, value))
    }

    fn taken(sheet: &mut Sheet, changes: &[(&str, &str)]) -> String {
        let query = sent(sheet, changes);
        assert!(take(sheet, &query, &[]).is_empty());
        sheet.text().to_string()
    }

    #[test]
    fn what_is_not_changed_leaves_every_board_alone() {
        let library = world::shipped().unwrap();
        let mut cells = 0;
        for id in library.catalog().boards.keys() {
            let text = library.board_text(id).unwrap();
            let mut sheet = Sheet::read(&text).unwrap();
            assert_eq!(taken(&mut sheet, &[]), text, "{id}");
            cells += every(&sheet, &[]).len();
        }
        assert!(cells > 3000, "{cells}");
    }

    /// What a field shows, typed into it anew, says the same.
    #[test]
    fn what_a_field_shows_is_what_it_puts() {
        let library = world::shipped().unwrap();
        let mut put = 0;
        for id in ["plover-1s2", "whimbrel-2s8-ddr5", "dunlin-2s6"] {
            let text = library.board_text(id).unwrap();
            let sheet = Sheet::read(&text).unwrap();
            let whole = toml::from_str::<toml::Table>(&text).unwrap();
            for cell in every(&sheet, &[]).iter().filter(|c| !c.shown(&sheet).is_empty()).step_by(5) {
                let shown = cell.shown(&sheet);
                let mut other = sheet.clone();
                assert!(cell.put(&mut other, &shown), "{}", cell.name);
                assert_eq!(toml::from_str::<toml::Table>(other.text()).unwrap(), whole, "{}", cell.name);
                put += 1;
                if cell.name.contains(".controllers.") {
                    continue; // where one of several goes, the next takes its number
                }
                // Emptied it is gone, and filled again it is back.
                assert!(cell.put(&mut other, "") && cell.shown(&other).is_empty(), "{}", cell.name);
                assert!(cell.put(&mut other, &shown) && cell.shown(&other) == shown, "{}: {}", cell.name, other.text());
            }
        }
        assert!(put > 100, "{put}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Whatever is typed into whichever field: the text is TOML still, and what was typed is in it or refused.
        #[test]
        fn any_words_in_any_field_leave_a_text(at in 0usize..60, words in "[ -~\u{a0}-\u{2100}\n]{1,24}") {
            let mut sheet = Sheet::read(TEXT).unwrap();
            let cells = every(&sheet, &[]);
            let cell = &cells[at % cells.len()];
            let query = sent(&sheet, &[(&cell.name, &words)]);
            let refused = take(&mut sheet, &query, &[]);
            prop_assert!(toml::from_str::<toml::Table>(sheet.text()).is_ok(), "{}", sheet.text());
            let is = plain(&words, cell.line.sort);
            let single = matches!(cell.line.sort, Sort::Words | Sort::Choice(_) | Sort::Flag | Sort::Number);
            if refused.is_empty() && single {
                prop_assert_eq!(plain(&cell.shown(&sheet), cell.line.sort), is);
            }
        }
    }

    #[test]
    fn every_key_of_a_board_has_its_field() {
        let library = world::shipped().unwrap();
        let sheet = Sheet::read(&library.board_text("dunlin-2s6").unwrap()).unwrap();
        let shown: Vec<(String, String)> =
            every(&sheet, &[]).iter().map(|c| (c.name.clone(), c.shown(&sheet))).collect();
        let of = |name: &str| shown.iter().find(|(n, _)| n == name).map_or("no field", |(_, v)| v.as_str());
        assert_eq!(of("socket.1.controllers.1").lines().next(), Some("east-4-outer, east-4-inner"));
        assert_eq!(of("slot.0.tab"), "white");
        assert_eq!(of("firmware.need.2.die_gbit"), "16");
        assert_eq!(of("mixing.widths"), "false");
        assert_eq!(of("mixing.widths.outcome"), "disables-mode");
        assert_eq!(of("mixing.alone.0.capacity"), "128 GiB");
        assert_eq!(of("mode.0.usable"), "half");
        assert_eq!(of("mode.1.usable.less_percent"), "25");
        assert_eq!(of("mode.0.alike"), "0, 1, 2, 3, 4, 5");
        assert_eq!(of("chart.0.fill.3.slots"), "west-1-outer, west-2-outer, west-4-outer, west-5-outer");
        assert_eq!(of("rulings.blanks.severity"), "note");
        assert!(of("layout.rows").starts_with("west-3-outer, west-3-inner"));
        let variant = Sheet::read(&library.board_text("stilt-2s6-compact-tall-sink").unwrap()).unwrap();
        let cell =
            every(&variant, &[]).into_iter().find(|c| c.path == ["slot", "west-4-inner", "under_heat_sink"]).unwrap();
        assert_eq!(cell.shown(&variant), "true");
    }

    /// A variant names no slots of its own: those of its base have their fields all the same.
    #[test]
    fn the_slots_of_a_base_are_said_more_of_in_its_variant() {
        let text = "format = 1\ninherit = \"plover-1s2\"\ntitle = \"A\"\n";
        let base = ["main-1-outer", "main-1-inner", "main-2-outer", "main-2-inner"].map(String::from);
        let mut sheet = Sheet::read(text).unwrap();
        let query = sent(&sheet, &[("slot.2.tab", "blue"), ("slot.3.height_mm", "18.75")]);
        assert_eq!(take(&mut sheet, &query, &base), []);
        assert_eq!(
            sheet.text(),
            format!("{text}\n[slot]\nmain-2-outer = {{ tab = \"blue\" }}\nmain-2-inner = {{ height_mm = 18.75 }}\n")
        );
    }

    #[test]
    fn form_and_text_are_joined_field_by_field() {
        let before = Sheet::read(TEXT).unwrap();
        // Meanwhile the title was changed in the text, and the kinds, a limit and a mode in the form.
        let mut sheet = Sheet::read(&TEXT.replace("\"A\"", "\"B\"")).unwrap();
        let changes = [
            ("kinds", "RDIMM, LRDIMM"),
            ("limits.height_mm", "tall"),
            ("limits.module.severity", "wrong"),
            ("mode.0.usable.less_ranks", "1"),
            ("mode.0.alike", "0, 3\r\n1, 4\r\n"),
            ("mixing.quad_rank", "false"),
            ("layout.rows", "a, , b\n#w"),
        ];
        let query = sent(&before, &changes);
        assert_eq!(take(&mut sheet, &query, &[]), []);
        let text = sheet.text();
        for words in [
            "title = \"B\"\nkinds = [\"RDIMM\", \"LRDIMM\"] # so\n",
            "height_mm = \"tall\"",
            "module = { most = \"64 GiB\", severity = \"wrong\" }",
            "usable = { less_ranks = 1 }\nalike = [[0, 3], [1, 4]]",
            "[mixing]\nquad_rank = false\n",
            "[layout]\nrows = [[\"a\", \"\", \"b\"], [\"#w\"]]\n",
        ] {
            assert!(text.contains(words), "no {words} in {text}");
        }
    }

    #[test]
    fn a_row_of_the_form_never_changes_another_of_the_text() {
        let before = Sheet::read(TEXT).unwrap();
        let mut sheet = Sheet::read(&format!("{TEXT}\n[[rate]]\nmost = 1\n")).unwrap();
        let text = sheet.text().to_string();
        let query = sent(&before, &[("rate.0.most", "2133")]);
        assert_eq!(take(&mut sheet, &query, &[]).first().map(|(name, _)| name.as_str()), Some("rate.0.most"));
        assert_eq!(sheet.text(), text);
    }

    #[test]
    fn rows_are_added_and_taken_out() {
        let mut sheet = Sheet::read(TEXT).unwrap();
        let act = |words: &str, sheet: &mut Sheet| {
            let act = RowAct::read(words, sheet).unwrap();
            assert!(act.act(sheet), "{words}");
            act.focus(sheet)
        };
        assert_eq!(act("add:chart", &mut sheet).as_deref(), Some("chart.0.mode"));
        act("add:chart.0.fill", &mut sheet);
        taken(&mut sheet, &[("chart.0.fill.0.slots", "a")]);
        assert_eq!(act("add:chart.0.fill", &mut sheet).as_deref(), Some("chart.0.fill.1.count"));
        assert!(sheet.text().ends_with("[[chart]]\n\n[[chart.fill]]\ncount = 1\nslots = [\"a\"]\n\n[[chart.fill]]\ncount = 2\nslots = [\"a\"]\n"), "{}", sheet.text());
        act("cut:rate.0", &mut sheet);
        act("cut:chart.0.fill.0", &mut sheet);
        assert_eq!((sheet.count(&["rate"]), sheet.count(&["chart", "0", "fill"])), (0, 1));
        act("cut:chart.0", &mut sheet);
        act("cut:mode.0", &mut sheet);
        assert_eq!(
            sheet.text(),
            "format = 1\ntitle = \"A\"\nkinds = [\"RDIMM\"] # so\n\n[limits]\nmodule = \"64 GiB\"\n"
        );
        for words in ["add:", "add:title", "add:socket", "cut:rate", "cut:chart.9.fill.0", "cut:rate.x", "soup"] {
            assert_eq!(RowAct::read(words, &sheet), None, "{words}");
        }
        assert!(!RowAct::Cut(vec!["rate".into()], 9).act(&mut sheet));
    }
}
