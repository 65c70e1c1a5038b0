//! Files as an author reads of them: every table and every key, in the form of `scenarios/README.md`.

use super::super::{COMPONENTS_MAX, FORMAT, TEXT_CHARS_MAX};
use super::{
    FileKind, Holds, Key, LINE_CHARS_MAX, Limits, MINUTES_MAX, Naming, Needed, PART_CHARS_MAX,
    Table, Tables, common, repair, tables,
};

/// Every table and key of a kind of file, in Markdown.
#[must_use]
pub fn guide(file: FileKind) -> String {
    let mut text = String::new();
    let mut told_in_common = false;
    for table in tables(file.table()) {
        // Told with what components have in common.
        if table.name == repair::TABLE.name {
            continue;
        }
        if !table.common.is_empty() && !told_in_common {
            told_in_common = true;
            text.push_str(&of_table(&common::TABLE));
            text.push_str(&of_table(&repair::TABLE));
        }
        text.push_str(&of_table(table));
    }
    text
}

fn of_table(table: &Table) -> String {
    let head = match table.head.split_once(" with ") {
        Some((head, mark)) => format!("`{head}` with {mark}"),
        None if table.head.starts_with('[') => format!("`{}`", table.head),
        None => {
            let mut letters = table.head.chars();
            let first = letters.next().map(|letter| letter.to_ascii_uppercase());
            first.into_iter().chain(letters).collect()
        }
    };
    let mut text = format!("### {head}\n\n{}\n", table.says);
    if !table.terminals.is_empty() {
        text.push_str(&format!("\nTerminals: {}.\n", table.terminals));
        let repairs: Vec<String> = table.repairs.iter().map(|way| format!("`{way}`")).collect();
        let repairs = match repairs.as_slice() {
            [] => "none needed".to_owned(),
            repairs => repairs.join(", "),
        };
        text.push_str(&format!("Repairs: {repairs}.\n"));
    }
    if table.least > 0 {
        text.push_str(&format!("At least {} of these keys.\n", table.least));
    }
    if table.keys.is_empty() {
        text.push_str("\nNo keys of its own.\n\n");
        return text;
    }
    text.push_str("\n| key | what it is | unit | range | left out | meaning | source |\n");
    text.push_str("|---|---|---|---|---|---|---|\n");
    let (kinds, plain): (Vec<&Key>, Vec<&Key>) = table.keys.iter().partition(|key| is_kind(key));
    for key in plain {
        text.push_str(&row(key));
    }
    if !kinds.is_empty() {
        let kinds: Vec<String> = kinds.into_iter().map(of_kind).collect();
        text.push_str(&format!(
            "\nAnd a table for each component under its kind, {COMPONENTS_MAX} at most, by ids that are unique over all \
             kinds: {}.\n",
            kinds.join(", ")
        ));
    }
    text.push('\n');
    text
}

/// Whether what stands under a key are components.
fn is_kind(key: &Key) -> bool {
    key.holds.tables().iter().any(|of| !of.common.is_empty())
}

/// A kind, and how many a vehicle has of it where that is laid down.
fn of_kind(key: &Key) -> String {
    match &key.holds {
        Holds::Tables(Tables {
            least: 1, most: 1, ..
        }) => format!("`{}` (one)", key.name),
        Holds::Tables(Tables { most: 1, .. }) => format!("`{}` (one at most)", key.name),
        _ => format!("`{}`", key.name),
    }
}

fn row(key: &Key) -> String {
    let needed = match key.needed {
        Needed::Always => "needed".to_owned(),
        Needed::LeftOut(then) => then.to_owned(),
        Needed::Where(so) => format!("only where {so}"),
    };
    let cells = [
        format!("`{}`", key.name),
        what(&key.holds),
        key.unit().unwrap_or("").to_owned(),
        range(&key.holds).unwrap_or_default(),
        needed,
        key.says.to_owned(),
        key.source.to_owned(),
    ];
    format!("| {} |\n", cells.join(" | "))
}

/// What a value is, in a word or two.
fn what(holds: &Holds) -> String {
    match holds {
        Holds::Format | Holds::Whole { .. } => "whole number".to_owned(),
        Holds::Number(_) => "number".to_owned(),
        Holds::Minutes { .. } => "number, to the hundredth".to_owned(),
        Holds::Boolean => "`true` or `false`".to_owned(),
        Holds::Line => "text on one line".to_owned(),
        Holds::Text => "text".to_owned(),
        Holds::Name => "name".to_owned(),
        Holds::Colour => "colour".to_owned(),
        Holds::OneOf(words) => quoted(words),
        Holds::Own(what) => (*what).to_owned(),
        Holds::Point => "point".to_owned(),
        Holds::Selector => "region, component or `component.mode`".to_owned(),
        Holds::Component(None) => "component's id".to_owned(),
        Holds::Component(Some(kind)) => format!("id of a {kind}"),
        Holds::Place => "place's id".to_owned(),
        Holds::Cover => "cover's id".to_owned(),
        Holds::Names { .. } => "list of different names".to_owned(),
        Holds::List { of, .. } => format!("list, each {}", what(of)),
        Holds::Table(of) => format!("table `{}`", of.head),
        Holds::Tables(Tables { of, named, .. }) => {
            let head = of.first().map_or("", |of| of.head);
            let head = head.split(" with ").next().unwrap_or(head);
            match named {
                Naming::OneOf(words) => format!("tables `{head}`, NAME one of {}", quoted(words)),
                Naming::Any | Naming::Part => format!("tables `{head}`"),
            }
        }
        Holds::Repeated { of, .. } => format!("tables `{}`", of.head),
    }
}

fn quoted(words: &[&str]) -> String {
    let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    words.join(", ")
}

/// What a value lies within; `None` where that goes without saying.
pub(super) fn range(holds: &Holds) -> Option<String> {
    let entries = |least: usize, most: usize| {
        if least == most {
            format!("{most} of them")
        } else {
            format!("{least} to {most} of them")
        }
    };
    Some(match holds {
        Holds::Format => FORMAT.to_string(),
        Holds::Number(limits) => limits.to_string(),
        Holds::Minutes { least } => Limits::from(*least, MINUTES_MAX).to_string(),
        Holds::Whole { least, most } => format!("from {least} to {most}"),
        Holds::Line => format!("to {LINE_CHARS_MAX} characters"),
        Holds::Text => format!("to {TEXT_CHARS_MAX} characters"),
        Holds::Names { least, most, chars } => {
            format!("{}, to {chars} characters each", entries(*least, *most))
        }
        Holds::List { least, most, .. } => entries(*least, *most),
        Holds::Repeated { most, .. } => entries(0, *most),
        Holds::Tables(Tables {
            named: Naming::Part,
            least,
            most,
            ..
        }) => {
            format!(
                "{}, names to {PART_CHARS_MAX} characters",
                entries(*least, *most)
            )
        }
        Holds::Tables(Tables { least, most, .. }) => entries(*least, *most),
        _ => return None,
    })
}
