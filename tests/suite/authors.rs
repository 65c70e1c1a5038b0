//! What authors go by: the schemas and the guide that are kept in `scenarios/` are those of the engine's declarations, and
//! shipped files are valid by them.
//!
//! `KEEP_AUTHORS=1 cargo test -p groundside-tests --test suite authors` writes schemas and guide anew.

use std::fs;
use std::path::{Path, PathBuf};

use groundside_engine::file::{FileKind, guide, read_scenario, read_vehicle, schema};
use serde_json::Value;

mod pattern;
mod validator;

use validator::{faults, of_toml};

const KINDS: [(FileKind, &str); 2] = [
    (FileKind::Vehicle, "vehicle"),
    (FileKind::Scenario, "scenario"),
];

fn folder() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().unwrap().join("scenarios")
}

/// Holds a kept text to what it should be, or writes it.
fn keep(path: &Path, current: &str) {
    if std::env::var_os("KEEP_AUTHORS").is_some() {
        fs::write(path, current).unwrap();
    }
    let kept = fs::read_to_string(path).unwrap_or_default();
    assert!(
        kept == current,
        "{} is not current; KEEP_AUTHORS=1 cargo test -p groundside-tests --test suite authors writes it anew",
        path.display()
    );
}

#[test]
fn kept_schemas_are_those_of_the_declarations() {
    for (kind, word) in KINDS {
        let current = format!("{:#}\n", schema(Some(kind)));
        keep(&folder().join(format!("{word}.schema.json")), &current);
    }
}

#[test]
fn the_reference_in_the_guide_is_that_of_the_declarations() {
    let path = folder().join("README.md");
    let mut text = fs::read_to_string(&path).unwrap();
    for (kind, word) in KINDS {
        let marks = ["begin", "end"].map(|end| format!("<!-- {end} reference: {word} -->\n"));
        let [begin, end] = &marks;
        let (before, rest) = text.split_once(begin).unwrap();
        let (_, after) = rest.split_once(end).unwrap();
        text = format!("{before}{begin}\n{}{end}{after}", guide(kind));
    }
    keep(&path, &text);
}

/// The shipped files of a kind, by name.
fn shipped(kind: FileKind) -> Vec<(String, String)> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        if path
            .extension()
            .is_some_and(|extension| extension == "toml")
        {
            let text = fs::read_to_string(&path).unwrap();
            let is = if text.contains("\n[scenario]") {
                FileKind::Scenario
            } else {
                FileKind::Vehicle
            };
            if is == kind {
                files.push((path.display().to_string(), text));
            }
        }
    }
    files.sort();
    files
}

fn told(schema: &Value, text: &str) -> Vec<String> {
    let table: toml::Table = toml::from_str(text).unwrap();
    faults(schema, &of_toml(&toml::Value::Table(table)))
}

#[test]
fn every_shipped_file_is_valid_by_its_schema_and_by_that_of_both_and_names_it() {
    let either = schema(None);
    for (kind, word) in KINDS {
        let other = KINDS
            .into_iter()
            .find(|(other, _)| *other != kind)
            .unwrap()
            .0;
        let files = shipped(kind);
        assert!(files.len() >= 5, "{word}: {}", files.len());
        for (name, text) in files {
            assert_eq!(
                told(&schema(Some(kind)), &text),
                Vec::<String>::new(),
                "{name}"
            );
            assert_eq!(told(&either, &text), Vec::<String>::new(), "{name}");
            assert_ne!(
                told(&schema(Some(other)), &text),
                Vec::<String>::new(),
                "{name}"
            );
            let first = format!("#:schema ./{word}.schema.json\n");
            assert!(
                text.starts_with(&first),
                "{name} does not begin with {first}"
            );
        }
    }
}

/// Mistakes of each sort that a schema can see.
#[test]
fn wrong_files_are_not_valid() {
    let vehicle = fs::read_to_string(folder().join("van-case-ground.toml")).unwrap();
    let scenario = fs::read_to_string(folder().join("stiff-morning.toml")).unwrap();
    let cases = [
        (FileKind::Vehicle, "format = 1", "format = 2"),
        (
            FileKind::Vehicle,
            "ring_resistance_ohm",
            "ring_resistence_ohm",
        ),
        (
            FileKind::Vehicle,
            "resistance_ohm = 3 ",
            "resistance_ohm = -3 ",
        ),
        (
            FileKind::Vehicle,
            "resistance_ohm = 3 ",
            "resistance_ohm = \"3\" ",
        ),
        (
            FileKind::Vehicle,
            "resistance_ohm = 3 ",
            "resistance_ohm = 1e7 ",
        ),
        (FileKind::Vehicle, "efficiency = 0.5", "efficiency = 0"),
        (FileKind::Vehicle, "age_years = 12", "age_years = 12.5"),
        (FileKind::Vehicle, "colour = \"BKVT\"", "colour = \"VTBK\""),
        (FileKind::Vehicle, "colour = \"BKVT\"", "colour = \"YEGN\""),
        (FileKind::Vehicle, "from = \"motor 31\"", "from = \"motor\""),
        (FileKind::Vehicle, "[consumer.horn]", "[consumer.Horn]"),
        (FileKind::Vehicle, "[consumer.horn]", "[consume.horn]"),
        (FileKind::Vehicle, "[body.body]", "[pivot.body]"),
        (FileKind::Vehicle, "\n[charges]", "\n[chargse]"),
        (
            FileKind::Vehicle,
            "[switch.wiper-switch.contacts]",
            "[switch.wiper-switch.contact]",
        ),
        (
            FileKind::Vehicle,
            "mates = \"motor\"",
            "mates = \"motor\"\nfaces = [\"a\", \"b\"]",
        ),
        (FileKind::Vehicle, "mates = \"motor\"", "mates = 7"),
        (FileKind::Vehicle, ", brushes = {", ", brush = {"),
        (
            FileKind::Vehicle,
            "[\"53a\", \"53e\"]\nring",
            "[\"53a\", \"53a\"]\nring",
        ),
        (
            FileKind::Vehicle,
            "region = \"supply\"",
            "region = \"no-fault\"",
        ),
        (FileKind::Vehicle, "title = \"radio\"", "title = \" \""),
        (FileKind::Scenario, "glass = \"wet\"", "glass = \"wett\""),
        (
            FileKind::Scenario,
            "glass = \"wet\"",
            "glass = \"wet\"\nfaults = 3",
        ),
        (FileKind::Scenario, "helper = true", "helper = \"yes\""),
        (FileKind::Scenario, "helper = true\n", ""),
        (
            FileKind::Scenario,
            "pool = [\"linkage\"]",
            "pool = [\"linkage!\"]",
        ),
        (
            FileKind::Scenario,
            "pool = [\"linkage\"]",
            "pool = \"linkage\"",
        ),
        (FileKind::Scenario, "shop_rate = 1.0", "shop_rate = 0"),
        (FileKind::Scenario, "\ndead = ", "\ndaed = "),
    ];
    for (kind, from, to) in cases {
        let text = match kind {
            FileKind::Vehicle => &vehicle,
            FileKind::Scenario => &scenario,
        };
        assert!(text.contains(from), "no `{from}`");
        let wrong = text.replace(from, to);
        assert_ne!(
            told(&schema(Some(kind)), &wrong),
            Vec::<String>::new(),
            "{to}"
        );
    }
}

/// A file that the reader takes is never refused by the schema: every value of a vehicle and a scenario in turn is replaced.
#[test]
fn a_schema_refuses_nothing_that_is_read() {
    let values = [
        "-1",
        "0",
        "0.5",
        "1",
        "7",
        "20.25",
        "1e9",
        "true",
        "[]",
        "\"\"",
        "\" x\"",
        "\"x y\"",
        "\"motor.31 \"",
        "\"BKVT\"",
        "\"a-1\"",
        "[\"a\", \"b\"]",
        "{ a = 1 }",
    ];
    let (mut refused, mut taken) = (0, 0);
    for (kind, name, every) in [
        (FileKind::Vehicle, "van-case-ground", 29),
        (FileKind::Scenario, "stiff-morning", 1),
    ] {
        let schema = schema(Some(kind));
        let text = fs::read_to_string(folder().join(format!("{name}.toml"))).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let keyed = lines
            .iter()
            .enumerate()
            .filter_map(|(at, line)| Some((at, line.split_once(" = ")?.0)));
        let edits =
            keyed.flat_map(|(at, key)| values.map(|value| (at, format!("{key} = {value}"))));
        for (at, edit) in edits.step_by(every) {
            let mut changed = lines.clone();
            changed[at] = &edit;
            let changed = changed.join("\n");
            let read = match kind {
                FileKind::Vehicle => read_vehicle(&changed).is_ok(),
                FileKind::Scenario => read_scenario(&changed).is_ok(),
            };
            let Ok(table) = toml::from_str::<toml::Table>(&changed) else {
                continue;
            };
            let told = faults(&schema, &of_toml(&toml::Value::Table(table)));
            refused += usize::from(!told.is_empty());
            taken += usize::from(read);
            assert!(
                !read || told.is_empty(),
                "{edit} is read and not valid: {told:?}"
            );
        }
    }
    assert!(
        refused > 300 && taken > 30,
        "{refused} refused, {taken} taken"
    );
}
