//! JSON Schemas of the files, for editors that check while one types.

use crate::shape::board::BoardFile;
use crate::shape::names::NamesFile;
use crate::shape::outcomes::OutcomesFile;
use crate::shape::processor::{ModulesFile, ProcessorFile};
use crate::shape::shop::ShopFile;
use crate::shape::task::{BuildFile, NeedFile, StockFile};
use schemars::{JsonSchema, Schema, schema_for};

/// The schema of each file format: its name and the JSON text.
pub fn schemas() -> Vec<(&'static str, String)> {
    vec![
        ("board", text(inheriting(schema_for!(BoardFile)))),
        ("build", schema::<BuildFile>()),
        ("modules", schema::<ModulesFile>()),
        ("need", schema::<NeedFile>()),
        ("outcomes", schema::<OutcomesFile>()),
        ("processor", schema::<ProcessorFile>()),
        ("processor-names", schema::<NamesFile>()),
        ("shop", schema::<ShopFile>()),
        ("stock", schema::<StockFile>()),
    ]
}

fn schema<T: JsonSchema>() -> String {
    text(schema_for!(T))
}

/// A board that inherits must only say its format; one that does not must say all that has no default.
fn inheriting(mut schema: Schema) -> Schema {
    if let Some(required) = schema.remove("required") {
        let whole = schemars::json_schema!({ "required": required });
        let part = schemars::json_schema!({ "required": ["format", "inherit"] });
        schema.insert("anyOf".into(), vec![part.to_value(), whole.to_value()].into());
    }
    schema
}

fn text(schema: Schema) -> String {
    let value = schema.to_value();
    format!("{value:#}\n")
}
