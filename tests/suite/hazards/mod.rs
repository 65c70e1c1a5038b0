//! What can hurt: that each hazard and each piece of advice has its row in `list hazards`; what each file of this
//! folder shares.

mod cautions;
mod consequences;
mod fuses;
mod leads;

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::io::Cursor;

use groundside::{Exit, Host, Io, run};
use groundside_engine::world::{Advice, Gravity, Hazard, Quantity};
use groundside_tests::near;
use groundside_tests::person::Person;
use serde_json::Value;

const KEY: &str = "set ignition-switch on";
const APART: &str = "unplug motor-plug";

/// Runs the program on arguments and typed lines.
fn ran(arguments: &[&str], typed: &str) -> String {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let arguments = std::iter::once("groundside").chain(arguments.iter().copied());
    let exit = run(
        arguments.map(OsString::from),
        &mut Io {
            input: Box::new(Cursor::new(typed.as_bytes().to_vec())),
            output: Box::new(&mut output),
            errors: Box::new(&mut errors),
            host: Host::default(),
        },
    );
    assert_eq!(exit, Exit::Done, "{}", String::from_utf8(errors).unwrap());
    String::from_utf8(output).unwrap()
}

/// The rows of the list, by word.
fn rows() -> Vec<Value> {
    let text = ran(&["list", "hazards", "--format", "json"], "");
    let rows: Value = serde_json::from_str(&text).unwrap();
    rows.as_array().unwrap().clone()
}

fn row_of(word: &str) -> Value {
    let found = rows().into_iter().find(|row| row["word"] == word);
    found.unwrap_or_else(|| panic!("no row for {word}"))
}

fn commands(row: &Value) -> BTreeSet<String> {
    let list = row["commands"].as_array().unwrap().iter();
    list.map(|word| word.as_str().unwrap().to_owned()).collect()
}

/// Text without its line breaks.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Fails unless the fuse of a lead has blown, or is whole.
#[track_caller]
fn lead_fuse(person: &mut Person, words: &str, blown: bool) {
    let found = person.finds(words, Quantity::LeadFuse);
    near(words, found, f64::from(u8::from(blown)), 0.0);
}

/// A hazard has an effect that is held by figures in this folder, or its row says that it has none.
#[test]
fn a_row_says_where_going_on_has_no_effect() {
    let without = rows().into_iter().filter(|row| {
        let does = row["going_on"].as_str().unwrap();
        row["gravity"] != "advice" && does.starts_with("No effect in the model")
    });
    let words: Vec<String> = without
        .map(|row| row["word"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(
        words,
        [
            "hands-at-running-engine",
            "battery-under-load",
            "repair-under-supply"
        ]
    );
}

#[test]
fn every_hazard_and_all_advice_have_a_row() {
    let rows = rows();
    let text = ran(&["list", "hazards"], "");
    let hazards = Hazard::ALL.map(|hazard| {
        let gravity = match hazard.gravity() {
            Gravity::Minor => "minor",
            Gravity::Major => "major",
        };
        (hazard.word(), gravity)
    });
    let advice = Advice::ALL.map(|advice| (advice.word(), "advice"));
    let expected: Vec<(&str, &str)> = hazards.into_iter().chain(advice).collect();
    let found = rows.iter().map(|row| {
        (
            row["word"].as_str().unwrap(),
            row["gravity"].as_str().unwrap(),
        )
    });
    assert_eq!(found.collect::<Vec<_>>(), expected);
    for (row, (word, gravity)) in rows.iter().zip(expected) {
        assert!(text.contains(&format!("{word}, {gravity}\n")), "{word}");
        for key in ["text", "when", "going_on"] {
            let said = row[key].as_str().unwrap();
            assert!(squeezed(&text).contains(said), "{word}: {key}");
        }
    }
    insta::assert_snapshot!("list_hazards", text);
    insta::assert_snapshot!(
        "list_hazards_json",
        ran(&["list", "hazards", "--format", "json"], "")
    );
}
