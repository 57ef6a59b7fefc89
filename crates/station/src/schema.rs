//! The plan's JSON Schema, made from the field table, so that editors complete and check a plan.

use crate::fields::{FIELDS, Field, Kind, PARTS};
use crate::sheets::KINDS;
use serde_json::{Map, Value, json};

/// The schema, draft 2020-12, as a JSON value.
pub fn plan_schema() -> Value {
    let mut properties = Map::new();
    properties.insert("name".into(), json!({"type": "string", "description": "what the station is called"}));
    properties.insert(
        "revision".into(),
        json!({"type": "string", "description": "letter or word of this state of the plan"}),
    );
    for &(part, help) in PARTS {
        let mut keys = Map::new();
        if let Some(kind) = KINDS.iter().find(|kind| kind.part == part) {
            let note = format!("name of a {} sheet; doorwright sheets list shows them", kind.name);
            keys.insert("sheet".into(), json!({"type": "string", "description": note}));
        }
        for field in FIELDS.iter().filter(|field| field.part() == part) {
            keys.insert(field.key().into(), field_schema(field));
        }
        if part == "ground" {
            keys.insert("boundary".into(), boundary_schema());
        }
        properties.insert(
            part.into(),
            json!({"type": "object", "description": help.trim(), "additionalProperties": false, "properties": keys}),
        );
    }
    properties.insert(
        "pins".into(),
        json!({
            "type": "object",
            "description": "what needs a pin: each key a demand sheet, or a name of your own with `is`",
            "additionalProperties": {"anyOf": [
                {"type": "string", "pattern": "^(any|(IO|io)?[0-9]{1,2})$"},
                {"type": "integer", "minimum": 0, "maximum": 63},
                {"type": "object", "additionalProperties": false, "properties": {
                    "is": {"type": "string"},
                    "pin": {"type": ["string", "integer"]}
                }}
            ]}
        }),
    );
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Doorwright plan",
        "type": "object",
        "additionalProperties": false,
        "properties": properties
    })
}

fn boundary_schema() -> Value {
    let corner = json!({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2});
    let polygon = json!({"type": "array", "items": corner, "minItems": 3});
    json!({
        "description": "own ground: corners [x, y] in metres, x to the caller's right, y out of the wall; or a list of such polygons",
        "anyOf": [polygon, {"type": "array", "items": polygon, "minItems": 1}]
    })
}

fn field_schema(field: &Field) -> Value {
    let mut description = format!("{}; assumed: {} ({})", field.help, shown(field.assumed), field.source);
    let mut schema = match field.kind {
        Kind::Number { unit: "1", low, high } => {
            json!({"type": ["string", "number"], "minimum": low, "maximum": high})
        }
        Kind::Number { unit, low, high } => {
            description = format!("{description}; {}", crate::values::limits(low, high, unit));
            json!({"type": "string", "examples": [shown(field.assumed)]})
        }
        Kind::Count { low, high } => json!({"type": "integer", "minimum": low, "maximum": high}),
        Kind::YesNo => json!({"type": "boolean"}),
        Kind::Choice { names } => json!({"enum": names}),
        Kind::Size => json!({"type": "string", "pattern": "^[0-9]{1,5} ?[x×] ?[0-9]{1,5}$"}),
    };
    schema["description"] = description.into();
    schema
}

fn shown(assumed: &str) -> &str {
    if assumed.is_empty() { "nothing" } else { assumed }
}
