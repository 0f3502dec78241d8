//! What is printed keeps to the columns that there are.

use crate::program::Place;

fn widest(place: &Place, columns: usize, args: &[&str]) -> (usize, String) {
    let out = place.command(args).env("COLUMNS", columns.to_string()).output().unwrap();
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(text.lines().count() > 10, "{args:?}: {text}");
    let widest = text.lines().max_by_key(|line| line.chars().count()).unwrap_or_default();
    (widest.chars().count(), widest.to_string())
}

#[test]
fn text_tables_and_drawings_keep_to_a_usual_terminal() {
    let place = Place::new();
    for name in ["need-750.toml", "upgrade.toml", "stock.toml", "build-24x64.toml"] {
        place.example(name);
    }
    let asked: [&[&str]; 7] = [
        &["plan", "need-750.toml", "--pick", "5"],
        &["plan", "upgrade.toml", "--pick", "1"],
        &["check", "build-24x64.toml"],
        &["boards"],
        &["boards", "dunlin-2s6"],
        &["boards", "turnstone-4s6", "--count", "4"],
        &["explain"],
    ];
    for args in asked {
        let (widest, line) = widest(&place, 80, args);
        assert!(widest <= 80, "{args:?}: {widest} columns: {line}");
    }
}

#[test]
fn plans_fold_where_their_table_has_no_room() {
    let place = Place::new();
    place.example("need-750.toml");
    let told = |columns: &str| {
        let out = place.command(&["plan", "need-750.toml"]).env("COLUMNS", columns).output().unwrap();
        String::from_utf8(out.stdout).unwrap()
    };
    let narrow = told("60");
    assert!(narrow.contains("\n  plan 1: ") && !narrow.contains("slowest region  free"), "{narrow}");
    // A command is not broken, so that it can be copied whole.
    let lines = narrow.lines().filter(|l| !l.contains(": slotwright "));
    assert!(lines.clone().all(|l| l.chars().count() <= 60), "{narrow}");
    assert!(told("200").contains("slowest region  free"));
}
