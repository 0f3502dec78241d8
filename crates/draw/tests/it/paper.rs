//! How sheets break over pages: no page holds a last step or the lines to sign on alone.

use crate::boards;
use draw::sheet::{Block, Column, Mark, Paper, Sheet, Step, Table, pages, printed_width};
use draw::{Drawing, MapInput, slot_map};

fn sheet(blocks: Vec<Block>) -> Sheet {
    let language = "en".to_string();
    Sheet { title: "Papers".into(), aside: Vec::new(), from: Vec::new(), foot: "foot".into(), language, blocks }
}

/// The texts of every page, without its foot.
fn texts(blocks: Vec<Block>) -> Vec<Vec<String>> {
    let words = |mark: &Mark| match mark {
        Mark::Text { text, .. } => Some(text.clone()),
        Mark::Path { .. } => None,
    };
    let pages = pages(&sheet(blocks), Paper::A4);
    let inside = |t: &String| t != "foot" && !t.starts_with("page ");
    pages.iter().map(|p| p.marks.iter().filter_map(words).filter(inside).collect()).collect()
}

#[test]
fn signatures_have_rows_above_them_and_every_row_stands_once() {
    for count in 1..90 {
        let table = Table {
            columns: vec![Column::text("slot", 1.0), Column::text("module", 3.0)],
            rows: (0..count).map(|n| vec![format!("slot {n}"), "empty".to_string()]).collect(),
            totals: Vec::new(),
            ticks: true,
        };
        let signed = vec!["Built by, date".to_string(), "Checked by, date".to_string()];
        let pages = texts(vec![Block::Table(table), Block::Signatures(signed)]);
        let rows: Vec<_> = pages.iter().flatten().filter(|t| t.starts_with("slot ")).collect();
        assert_eq!(rows.len(), count, "{count} rows");
        let last = pages.last().expect("a page");
        assert!(last.iter().any(|t| t.starts_with("slot ")), "{count} rows: {last:?}");
        assert!(last.iter().any(|t| t == "Checked by, date"), "{count} rows: {last:?}");
    }
}

#[test]
fn the_last_step_never_stands_alone_on_its_page() {
    for count in 2..90 {
        let steps = (0..count).map(|n| Step { act: format!("step {n}"), detail: "how".into() }).collect();
        let pages = texts(vec![Block::Steps(steps)]);
        let on = |page: &Vec<String>| page.iter().filter(|t| t.starts_with("step ")).count();
        assert_eq!(pages.iter().map(on).sum::<usize>(), count);
        assert!(pages.last().is_some_and(|p| on(p) >= 2), "{count} steps: {pages:?}");
    }
}

/// A map that is wider than it is high.
fn wide_map() -> Drawing {
    let build = boards::build(boards::board("Wide", &["west", "east"], &[&[2, 2, 2], &[2, 2, 2]]));
    slot_map(&MapInput::new(&build, &boards::findings(&build)))
}

/// Short steps stand in columns below a map that lies; every one once, none over the edge, none on another.
#[test]
fn steps_below_a_map_stand_in_columns_within_the_page() {
    for count in 1..120 {
        let steps: Vec<Step> =
            (0..count).map(|n| Step { act: format!("west-{n}: 32GB 2Rx4 PC4-2933Y"), detail: "how".into() }).collect();
        let map = Block::MapPage(Box::new(wide_map()));
        let pages = pages(&sheet(vec![Block::Text("before".into()), map, Block::Steps(steps)]), Paper::A4);
        assert!(pages[1].width > pages[1].height && pages[0].width < pages[0].height);
        let mut all = Vec::new();
        for page in &pages {
            let mut places: Vec<(i64, i64)> = Vec::new();
            for mark in &page.marks {
                let Mark::Text { x, y, text, size, .. } = mark else { continue };
                if !text.starts_with("west-") || !text.contains("PC4") {
                    continue;
                }
                assert!(x + printed_width(text, *size) <= page.width, "{count} steps: {text} runs over the edge");
                assert!(*y < page.height - 40.0, "{count} steps: {text} stands in the foot");
                places.push((*x as i64, *y as i64));
                all.push(text.clone());
            }
            let here = places.len();
            let columns: std::collections::BTreeSet<i64> = places.iter().map(|(x, _)| *x).collect();
            // Few stand below each other; many beside each other, where so many are on this page.
            assert_eq!(columns.len() > 1, count >= 8 && here > 1, "{count} steps, {here} here: {columns:?}");
            places.sort_unstable();
            places.dedup();
            assert_eq!(places.len(), here, "{count} steps: two on one place");
        }
        assert_eq!(all.len(), count);
    }
}
