//! `plan-schema`: a JSON Schema that editors can use, true of the plans that ship and of invented ones.

use crate::contract::{PLANS, shipped};
use crate::shell::Folder;
use serde_json::{Map, Value};
use station::fields::FIELDS;
use station::sample;

fn schema() -> Value {
    let ran = Folder::new("schema").run(&["plan-schema"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    serde_json::from_str(&ran.out).expect("JSON")
}

/// What of a value breaks the schema: the few keywords that ours uses, after JSON Schema 2020-12, validation.
///
/// A keyword that is not known here is an error, so that the check cannot pass by looking away.
fn breaches(schema: &Value, value: &Value, at: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut breach = |what: String| found.push(format!("{at}: {what}"));
    let rules = schema.as_object().expect("a schema is an object");
    for (keyword, rule) in rules {
        match (keyword.as_str(), value) {
            ("$schema" | "title" | "description" | "examples" | "properties", _) => {}
            ("type", _) => {
                let types = rule.as_array().cloned().unwrap_or_else(|| vec![rule.clone()]);
                if !types.iter().any(|kind| is_of(kind.as_str().expect("a type has a name"), value)) {
                    breach(format!("{value} is no {rule}"));
                }
            }
            ("enum", _) => {
                if !rule.as_array().expect("a list").contains(value) {
                    breach(format!("{value} is none of {rule}"));
                }
            }
            ("minimum", Value::Number(number)) if number.as_f64() < rule.as_f64() => {
                breach(format!("{value} below {rule}"));
            }
            ("maximum", Value::Number(number)) if number.as_f64() > rule.as_f64() => {
                breach(format!("{value} above {rule}"));
            }
            ("minimum" | "maximum", _) => {}
            ("pattern", Value::String(text)) if !matches(rule.as_str().expect("a text"), text) => {
                breach(format!("{text} is not like {rule}"));
            }
            ("pattern", _) => {}
            ("additionalProperties", Value::Object(members)) => {
                let known = rules.get("properties").and_then(Value::as_object).cloned().unwrap_or_default();
                for (key, inner) in members.iter().filter(|(key, _)| !known.contains_key(*key)) {
                    match rule {
                        Value::Bool(false) => breach(format!("`{key}` is unknown")),
                        rule => {
                            breaches(rule, inner, &format!("{at}.{key}")).into_iter().for_each(&mut breach);
                        }
                    }
                }
            }
            ("additionalProperties", _) => {}
            ("anyOf", _) => {
                let ways = rule.as_array().expect("a list");
                if ways.iter().all(|way| !breaches(way, value, at).is_empty()) {
                    breach(format!("{value} is like none of {rule}"));
                }
            }
            ("items", Value::Array(items)) => {
                items.iter().flat_map(|item| breaches(rule, item, at)).for_each(&mut breach);
            }
            ("minItems", Value::Array(items)) if (items.len() as u64) < rule.as_u64().expect("a count") => {
                breach(format!("{value} has fewer than {rule} items"));
            }
            ("maxItems", Value::Array(items)) if (items.len() as u64) > rule.as_u64().expect("a count") => {
                breach(format!("{value} has more than {rule} items"));
            }
            ("items" | "minItems" | "maxItems", _) => {}
            (keyword, _) => panic!("{at}: the check does not know the keyword `{keyword}`"),
        }
    }
    if let (Some(properties), Value::Object(members)) =
        (rules.get("properties").and_then(Value::as_object), value)
    {
        for (key, inner) in members {
            if let Some(schema) = properties.get(key) {
                found.extend(breaches(schema, inner, &format!("{at}.{key}")));
            }
        }
    }
    found
}

fn is_of(kind: &str, value: &Value) -> bool {
    match kind {
        "object" => value.is_object(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "array" => value.is_array(),
        "number" => value.is_number(),
        // A number without a fraction is an integer, however it is written.
        "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
        other => panic!("no type `{other}`"),
    }
}

/// The two patterns of the schema, by hand.
fn matches(pattern: &str, text: &str) -> bool {
    let digits = |text: &str, most: usize| {
        (1..=most).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit())
    };
    match pattern {
        "^(any|(IO|io)?[0-9]{1,2})$" => {
            let number = text.strip_prefix("IO").or(text.strip_prefix("io")).unwrap_or(text);
            text == "any" || digits(number, 2)
        }
        "^[0-9]{1,5} ?[x×] ?[0-9]{1,5}$" => {
            let Some((width, height)) = text.split_once(['x', '×']) else { return false };
            digits(width.strip_suffix(' ').unwrap_or(width), 5)
                && digits(height.strip_prefix(' ').unwrap_or(height), 5)
        }
        other => panic!("the check does not know the pattern {other}"),
    }
}

fn as_json(text: &str) -> Value {
    Value::Object(toml::from_str::<Map<String, Value>>(text).expect("TOML"))
}

#[test]
fn every_field_is_in_the_schema_with_its_help_and_nothing_else_is() {
    let schema = schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    let mut count = 0;
    for field in FIELDS {
        let found = &schema["properties"][field.part()]["properties"][field.key()];
        let told = found["description"].as_str().unwrap_or_else(|| panic!("{} is missing", field.path));
        assert!(told.starts_with(field.help) && told.contains(field.source), "{told}");
        count += 1;
    }
    let parts = schema["properties"].as_object().expect("parts").values();
    let keys = parts.filter_map(|part| part["properties"].as_object()).flat_map(Map::keys);
    assert_eq!(keys.filter(|key| !["sheet", "boundary"].contains(&key.as_str())).count(), count);
}

#[test]
fn plans_that_ship_and_invented_ones_conform() {
    let schema = schema();
    let shipped = PLANS.map(|plan| std::fs::read_to_string(shipped(plan)).expect("ships"));
    for text in shipped.into_iter().chain((0..100).map(sample::plan)) {
        let breaches = breaches(&schema, &as_json(&text), "plan");
        assert!(breaches.is_empty(), "{}\n{text}", breaches.join("\n"));
    }
}

#[test]
fn the_schema_refuses_what_the_reader_refuses_where_a_schema_can() {
    let schema = schema();
    for text in [
        "[camera]\nhight = \"1 m\"",
        "[camera]\nquality = 99",
        "[camera]\nquality = \"12\"",
        "[camera]\nsize = \"800by600\"",
        "[camera]\nformat = \"jpg\"",
        "[cable]\nrun = 18",
        "[net]\ntls = \"true\"",
        "[pins]\nplate = \"left\"",
        "[pins]\nplate = { iz = \"plate\" }",
        "[pins]\nplate = 64",
        "lens = \"wide\"",
        "nme = \"x\"",
    ] {
        assert!(!breaches(&schema, &as_json(text), "plan").is_empty(), "{text}");
    }
}
