//! Files as a JSON Schema (draft-07), which editors with a language server for TOML check and complete files by.
//!
//! A schema knows single values and which keys there are. It does not know what a name refers to, nor whether a circuit
//! or a linkage can be: for that there are findings.

use serde_json::{Map, Value, json};

use super::super::{FORMAT, TEXT_CHARS_MAX};
use super::guide::range;
use super::{
    COLOURS, FileKind, Holds, Key, LINE_CHARS_MAX, Limits, MINUTES_MAX, NAME_CHARS_MAX, Naming,
    Needed, PART_CHARS_MAX, Table, Tables, tables,
};

/// A name, as [`crate::ident::Name`] has it, but for its length.
const NAME: &str = "[a-z0-9]+(-[a-z0-9]+)*";

/// The schema of a kind of file, or of a file that is of either kind.
#[must_use]
pub fn schema(file: Option<FileKind>) -> Value {
    let (title, files) = match file {
        Some(FileKind::Vehicle) => ("Groundside vehicle", vec![FileKind::Vehicle]),
        Some(FileKind::Scenario) => ("Groundside scenario", vec![FileKind::Scenario]),
        None => (
            "Groundside vehicle or scenario",
            vec![FileKind::Vehicle, FileKind::Scenario],
        ),
    };
    let definitions: Map<String, Value> = files
        .iter()
        .flat_map(|file| tables(file.table()))
        .map(|table| (table.name.to_owned(), of_table(table)))
        .collect();
    let whole: Vec<Value> = files.iter().map(|file| reference(file.table())).collect();
    // What is wrong is told more plainly where there is no other that it could be.
    let as_one_of = if whole.len() == 1 { "allOf" } else { "oneOf" };
    json!({
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": title,
        "definitions": definitions,
        as_one_of: whole,
    })
}

fn reference(table: &Table) -> Value {
    json!({ "$ref": format!("#/definitions/{}", table.name) })
}

fn of_table(table: &Table) -> Value {
    let properties: Map<String, Value> = table
        .all()
        .map(|key| (key.name.to_owned(), of_key(key)))
        .collect();
    let required: Vec<&str> = table
        .all()
        .filter(|key| key.needed == Needed::Always)
        .map(|key| key.name)
        .collect();
    let mut schema = json!({
        "type": "object",
        "description": table.says,
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        schema["required"] = json!(required);
    }
    if table.least > 0 {
        schema["minProperties"] = json!(table.least);
    }
    schema
}

fn of_key(key: &Key) -> Value {
    let mut schema = match of_value(&key.holds) {
        // What stands beside a reference counts for nothing, in this draft.
        reference if reference.get("$ref").is_some() => json!({ "allOf": [reference] }),
        schema => schema,
    };
    schema["description"] = json!(described(key));
    schema
}

/// What an editor shows of a key.
fn described(key: &Key) -> String {
    let mut text = key.says.to_owned();
    if let Some(unit) = key.unit() {
        text.push_str(&format!(" Unit: {unit}."));
    }
    if let Some(range) = range(&key.holds) {
        text.push_str(&format!(" Range: {range}."));
    }
    match key.needed {
        Needed::Always => {}
        Needed::LeftOut(then) => text.push_str(&format!(" Left out: {then}.")),
        Needed::Where(so) => text.push_str(&format!(" Only where {so}.")),
    }
    text.push_str(&format!(" Source: {}.", key.source));
    text
}

fn of_value(holds: &Holds) -> Value {
    match holds {
        Holds::Format => json!({ "type": "integer", "enum": [FORMAT] }),
        Holds::Number(limits) => of_number(*limits),
        Holds::Minutes { least } => of_number(Limits::from(*least, MINUTES_MAX)),
        Holds::Whole { least, most } => {
            json!({ "type": "integer", "minimum": least, "maximum": most })
        }
        Holds::Boolean => json!({ "type": "boolean" }),
        Holds::Line => of_text(LINE_CHARS_MAX),
        Holds::Text => of_text(TEXT_CHARS_MAX),
        Holds::Name | Holds::Own(_) | Holds::Component(_) | Holds::Place | Holds::Cover => {
            of_name(NAME_CHARS_MAX)
        }
        Holds::Colour => json!({ "type": "string", "pattern": colour(), "minLength": 2 }),
        Holds::OneOf(words) => json!({ "type": "string", "enum": words }),
        Holds::Point => {
            json!({ "type": "string", "pattern": format!("^\\s*{NAME}[ .]{NAME}\\s*$") })
        }
        Holds::Selector => {
            json!({ "type": "string", "pattern": format!("^\\s*{NAME}(\\.{NAME})?\\s*$") })
        }
        Holds::Names { least, most, chars } => {
            let mut schema = of_list(&of_name(*chars), *least, *most);
            schema["uniqueItems"] = json!(true);
            schema
        }
        Holds::List { of, least, most } => of_list(&of_value(of), *least, *most),
        Holds::Repeated { of, most } => of_list(&reference(of), 0, *most),
        Holds::Table(of) => reference(of),
        Holds::Tables(tables) => of_tables(tables),
    }
}

fn of_number(limits: Limits) -> Value {
    let least = if limits.min_excluded {
        "exclusiveMinimum"
    } else {
        "minimum"
    };
    json!({ "type": "number", least: limits.min, "maximum": limits.max })
}

/// Something besides blanks; those around it are dropped by the reader.
fn of_text(most: usize) -> Value {
    json!({ "type": "string", "pattern": "\\S", "maxLength": most })
}

fn of_name(most: usize) -> Value {
    json!({ "type": "string", "pattern": format!("^{NAME}$"), "maxLength": most })
}

fn of_list(items: &Value, least: usize, most: usize) -> Value {
    json!({ "type": "array", "items": items, "minItems": least, "maxItems": most })
}

fn of_tables(tables: &Tables) -> Value {
    let within = match tables.of {
        [only] => reference(only),
        several => json!({ "oneOf": several.iter().map(|of| reference(of)).collect::<Vec<_>>() }),
    };
    let mut schema = json!({
        "type": "object",
        "minProperties": tables.least,
        "maxProperties": tables.most,
    });
    match tables.named {
        Naming::OneOf(names) => {
            let named = names
                .iter()
                .map(|name| ((*name).to_owned(), within.clone()));
            schema["properties"] = Value::Object(named.collect());
            schema["additionalProperties"] = json!(false);
        }
        Naming::Any | Naming::Part => {
            let most = match tables.named {
                Naming::Part => PART_CHARS_MAX,
                _ => NAME_CHARS_MAX,
            };
            let name = json!({ "pattern": format!("^{NAME}$"), "maxLength": most });
            schema["propertyNames"] = name;
            schema["additionalProperties"] = within;
        }
    }
    schema
}

/// Codes in their order, each once, green and yellow not both; or the protective conductor's.
fn colour() -> String {
    let code = |code: &&str| match *code {
        "YE" => "(YE|GN)?".to_owned(),
        "GN" => String::new(),
        code => format!("({code})?"),
    };
    let codes: String = COLOURS.iter().map(code).collect();
    format!("^\\s*({codes}|GNYE)\\s*$")
}
