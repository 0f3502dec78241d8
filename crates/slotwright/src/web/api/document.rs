//! The table of addresses as an OpenAPI 3.1 document.

use super::parameter::Parameter;
use super::problem::Problem;
use super::table::{ALL, DOCUMENT, Route, Trait, Way};
use crate::verbs::shop::token::Scope;
use axum::http::StatusCode;
use schemars::SchemaGenerator;
use schemars::generate::{Contract, SchemaSettings};
use serde_json::{Map, Value, json};

const SAYS: &str = "Stock, orders, quotes and allocations of one shop. Every call but the one for this document shows \
    `Authorization: Bearer TOKEN`, also on loopback; `slotwright store token new` makes tokens. Cookies are not looked at. \
    A body is JSON of 16 MiB at most; a list has 1000 entries at most in one answer. What is changed stands in the history \
    under the token's name.";

/// The document.
pub fn document() -> Value {
    let (mut taken, mut given) = (generator(Contract::Deserialize), generator(Contract::Serialize));
    let problem = given.subschema_for::<Problem>();
    let mut paths = Map::new();
    paths.insert(DOCUMENT.to_string(), json!({ "get": own() }));
    for route in ALL {
        let ways = paths.entry(route.full()).or_insert_with(|| json!({}));
        let way = match route.way {
            Way::Get => "get",
            Way::Post => "post",
        };
        ways[way] = operation(route, &mut taken, &mut given);
    }
    let mut schemas = given.take_definitions(true);
    schemas.extend(taken.take_definitions(true));
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Slotwright: the shop's API",
            "version": env!("CARGO_PKG_VERSION"),
            "description": SAYS,
            "license": { "name": "Apache-2.0 or MIT", "identifier": "Apache-2.0 OR MIT" }
        },
        "servers": [{ "url": "/" }],
        "tags": tags(),
        "paths": paths,
        "components": {
            "schemas": schemas,
            "responses": {
                "Problem": {
                    "description": "A problem document (RFC 9457) that says what is wrong, and what to do next.",
                    "content": { "application/problem+json": { "schema": problem } }
                }
            },
            "securitySchemes": {
                "token": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": format!("A token of the store, with scopes: {}.", Scope::ALL.map(Scope::word).join(", "))
                }
            }
        }
    })
}

fn generator(contract: Contract) -> SchemaGenerator {
    SchemaSettings::draft2020_12()
        .with(|s| {
            s.contract = contract;
            s.definitions_path = "/components/schemas".into();
            s.meta_schema = None;
        })
        .into_generator()
}

fn tags() -> Value {
    json!([
        { "name": "stock", "description": "What the shop has." },
        { "name": "orders", "description": "What it owes." },
        { "name": "quotes", "description": "What it offered." },
        { "name": "suppliers", "description": "What it bought, and what of that failed." },
        { "name": "allocations", "description": "Who gets what." }
    ])
}

/// The document's own address.
fn own() -> Value {
    json!({
        "operationId": "showDocument",
        "summary": "This document.",
        "security": [],
        "responses": {
            "200": { "description": "OK", "content": { "application/json": { "schema": { "type": "object" } } } }
        }
    })
}

fn operation(route: &Route, taken: &mut SchemaGenerator, given: &mut SchemaGenerator) -> Value {
    let mut responses = Map::new();
    let mut well = json!({
        "description": reason(route.status()),
        "content": { "application/json": { "schema": (route.answer)(given) } }
    });
    if route.tagged() {
        well["headers"] =
            json!({ "ETag": { "description": "The version, in quotes.", "schema": { "type": "string" } } });
    }
    responses.insert(route.status().to_string(), well);
    for status in route.refusals() {
        responses.insert(status.to_string(), json!({ "$ref": "#/components/responses/Problem" }));
    }
    let mut parameters: Vec<Value> = route.part().map(part).into_iter().collect();
    parameters.extend(route.parameters.iter().map(Parameter::document));
    if route.is(Trait::Versioned) {
        parameters.push(json!({
            "name": "If-Match", "in": "header",
            "description": "The version that was looked at, in quotes, as `ETag` gave it; instead of `version` in the body.",
            "schema": { "type": "string", "pattern": "^\"[0-9]{1,18}\"$" }
        }));
    }
    let mut made = json!({
        "operationId": route.name,
        "summary": route.says,
        "tags": [route.path.split('/').nth(1).unwrap_or_default()],
        "security": [{ "token": route.scopes.iter().map(|s| s.word()).collect::<Vec<_>>() }],
        "parameters": parameters,
        "responses": responses
    });
    if let Some(body) = route.body {
        made["requestBody"] = json!({ "required": true, "content": { "application/json": { "schema": body(taken) } } });
    }
    made
}

fn part(name: &str) -> Value {
    let (says, schema) = match name {
        "order" => ("The order's number, such as `O-00001` or `1`.", json!({ "type": "string", "minLength": 1 })),
        "quote" => ("The quote's number, such as `Q-00001` or `1`.", json!({ "type": "string", "minLength": 1 })),
        _ => ("Its number.", json!({ "type": "integer", "minimum": 1 })),
    };
    json!({ "name": name, "in": "path", "required": true, "description": says, "schema": schema })
}

fn reason(status: u16) -> &'static str {
    StatusCode::from_u16(status).ok().and_then(|s| s.canonical_reason()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn the_published_document_is_fresh() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/openapi.json");
        let made = serde_json::to_string_pretty(&document()).unwrap() + "\n";
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(&path, &made).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(kept == made, "{} is stale: run the tests once with UPDATE=1", path.display());
    }

    #[test]
    fn what_is_taken_and_what_is_given_share_no_name_and_every_reference_is_there() {
        let (mut taken, mut given) = (generator(Contract::Deserialize), generator(Contract::Serialize));
        given.subschema_for::<Problem>();
        for route in ALL {
            (route.answer)(&mut given);
            route.body.map(|body| body(&mut taken));
        }
        let (given, taken) = (given.take_definitions(true), taken.take_definitions(true));
        let both: Vec<&String> = taken.keys().filter(|name| given.contains_key(*name)).collect();
        assert!(both.is_empty(), "{both:?}");
        let (document, text) = (document(), document().to_string());
        let references: Vec<&str> = text.split("\"$ref\":\"#").skip(1).filter_map(|t| t.split('"').next()).collect();
        assert!(references.len() > ALL.len());
        for reference in references {
            assert!(document.pointer(reference).is_some(), "{reference}");
        }
    }
}
