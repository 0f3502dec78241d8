//! How sheets break over pages: no page holds a last step or the lines to sign on alone.

use draw::sheet::{Block, Column, Mark, Paper, Sheet, Step, Table, pages};

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
