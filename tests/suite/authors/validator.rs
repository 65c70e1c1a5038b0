//! JSON Schema (draft-07), as far as the schemas of this project use it. A keyword that is not known here fails.

use serde_json::{Map, Value};

use super::pattern::matches;

/// A file's value as JSON has it; what JSON has no number for is `null`, which no schema here takes.
pub(super) fn of_toml(value: &toml::Value) -> Value {
    match value {
        toml::Value::String(text) => Value::from(text.as_str()),
        toml::Value::Integer(number) => Value::from(*number),
        toml::Value::Float(number) => Value::from(*number),
        toml::Value::Boolean(so) => Value::from(*so),
        toml::Value::Datetime(_) => Value::Null,
        toml::Value::Array(list) => Value::Array(list.iter().map(of_toml).collect()),
        toml::Value::Table(table) => {
            let entries = table
                .iter()
                .map(|(key, value)| (key.clone(), of_toml(value)));
            Value::Object(entries.collect::<Map<_, _>>())
        }
    }
}

/// What is wrong with a value, by the whole of a schema.
pub(super) fn faults(schema: &Value, value: &Value) -> Vec<String> {
    let mut told = Vec::new();
    check(schema, schema, value, "", &mut told);
    told
}

fn check(root: &Value, schema: &Value, value: &Value, at: &str, told: &mut Vec<String>) {
    for (keyword, bound) in schema.as_object().unwrap() {
        let holds = match keyword.as_str() {
            "$schema" | "title" | "description" | "definitions" => true,
            "$ref" => {
                let name = bound
                    .as_str()
                    .unwrap()
                    .strip_prefix("#/definitions/")
                    .unwrap();
                check(root, &root["definitions"][name], value, at, told);
                true
            }
            "allOf" => {
                for part in bound.as_array().unwrap() {
                    check(root, part, value, at, told);
                }
                true
            }
            "oneOf" => {
                let fits = |part: &&Value| {
                    let mut within = Vec::new();
                    check(root, part, value, at, &mut within);
                    within.is_empty()
                };
                bound.as_array().unwrap().iter().filter(fits).count() == 1
            }
            "type" => match bound.as_str().unwrap() {
                "object" => value.is_object(),
                "array" => value.is_array(),
                "string" => value.is_string(),
                "boolean" => value.is_boolean(),
                "number" => value.is_number(),
                "integer" => value.is_i64(),
                other => panic!("type `{other}` is not known here"),
            },
            "enum" => bound.as_array().unwrap().contains(value),
            "minimum" => value
                .as_f64()
                .is_none_or(|value| value >= bound.as_f64().unwrap()),
            "exclusiveMinimum" => value
                .as_f64()
                .is_none_or(|value| value > bound.as_f64().unwrap()),
            "maximum" => value
                .as_f64()
                .is_none_or(|value| value <= bound.as_f64().unwrap()),
            "pattern" => value
                .as_str()
                .is_none_or(|text| matches(bound.as_str().unwrap(), text)),
            "minLength" => value
                .as_str()
                .is_none_or(|text| text.chars().count() >= count(bound)),
            "maxLength" => value
                .as_str()
                .is_none_or(|text| text.chars().count() <= count(bound)),
            "minItems" => value
                .as_array()
                .is_none_or(|list| list.len() >= count(bound)),
            "maxItems" => value
                .as_array()
                .is_none_or(|list| list.len() <= count(bound)),
            "minProperties" => value
                .as_object()
                .is_none_or(|table| table.len() >= count(bound)),
            "maxProperties" => value
                .as_object()
                .is_none_or(|table| table.len() <= count(bound)),
            "uniqueItems" => value.as_array().is_none_or(|list| {
                list.iter()
                    .enumerate()
                    .all(|(place, item)| !list[..place].contains(item))
            }),
            "required" => value.as_object().is_none_or(|table| {
                let keys = bound.as_array().unwrap();
                keys.iter()
                    .all(|key| table.contains_key(key.as_str().unwrap()))
            }),
            "items" => {
                for item in value.as_array().into_iter().flatten() {
                    check(root, bound, item, at, told);
                }
                true
            }
            "propertyNames" => {
                for name in value.as_object().into_iter().flat_map(Map::keys) {
                    check(root, bound, &Value::from(name.as_str()), at, told);
                }
                true
            }
            "properties" | "additionalProperties" => {
                let declared = schema.get("properties").and_then(Value::as_object);
                let mut all = true;
                for (key, value) in value.as_object().into_iter().flatten() {
                    let at = format!("{at}.{key}");
                    let own = declared.and_then(|declared| declared.get(key));
                    match (keyword.as_str(), own) {
                        ("properties", Some(own)) => check(root, own, value, &at, told),
                        ("additionalProperties", None) if bound == &Value::Bool(false) => {
                            all = false
                        }
                        ("additionalProperties", None) => check(root, bound, value, &at, told),
                        _ => {}
                    }
                }
                all
            }
            other => panic!("keyword `{other}` is not known here"),
        };
        if !holds {
            told.push(format!("{at}: {keyword}"));
        }
    }
}

fn count(bound: &Value) -> usize {
    usize::try_from(bound.as_u64().unwrap()).unwrap()
}
