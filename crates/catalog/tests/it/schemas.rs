//! The published schemas are those of the shapes; `UPDATE=1` rewrites them.

use std::fs;
use std::path::Path;

#[test]
fn the_published_schemas_are_fresh() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/schemas");
    let update = std::env::var_os("UPDATE").is_some();
    for (name, text) in catalog::schemas() {
        let path = folder.join(format!("{name}.json"));
        if update {
            fs::create_dir_all(&folder).expect("the folder can be made");
            fs::write(&path, &text).expect("the schema can be written");
        }
        let published = fs::read_to_string(&path).unwrap_or_default();
        assert!(published == text, "docs/schemas/{name}.json is stale: run the tests with UPDATE=1");
    }
}

#[test]
fn a_board_that_inherits_need_not_repeat_its_base() {
    let schemas = catalog::schemas();
    let board = &schemas.iter().find(|(name, _)| *name == "board").expect("a schema of boards").1;
    let json: serde_json::Value = serde_json::from_str(board).expect("JSON");
    assert_eq!(json["anyOf"][0]["required"], serde_json::json!(["format", "inherit"]));
    assert_eq!(json["additionalProperties"], serde_json::json!(false));
    assert!(
        json["properties"]["generation"].to_string().contains("GenerationWord"),
        "{}",
        json["properties"]["generation"]
    );
}
