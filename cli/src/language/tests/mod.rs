//! Lines in, strict words out; refusals with their wording; completion; word soup.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

mod apprentice;
mod completion;
mod fleet;
mod joints;
mod lines;
mod newcomers;
mod questions;
mod refusals;
mod soup;
mod wordings;
mod workshop;

use super::*;
use groundside_engine::file::{read_scenario, read_vehicle};

/// The shipped vehicles, the van first.
const FLEET: [(&str, &str); 5] = [
    (
        "van",
        include_str!(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../scenarios/van-case-ground.toml"
        )),
    ),
    (
        "sedan",
        include_str!(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../scenarios/sedan-reversing.toml"
        )),
    ),
    (
        "bus",
        include_str!(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../scenarios/bus-compound.toml"
        )),
    ),
    (
        "rheostat",
        include_str!(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../scenarios/bus-compound-rheostat.toml"
        )),
    ),
    (
        "hatch",
        include_str!(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/../scenarios/hatch-relay.toml"
        )),
    ),
];

/// The shipped van and a scenario of it.
fn with<T>(test: impl FnOnce(&Language<'_>) -> T) -> T {
    on("van", test)
}

/// A shipped vehicle and a scenario that any of them reads lines in.
fn on<T>(name: &str, test: impl FnOnce(&Language<'_>) -> T) -> T {
    let (_, vehicle) = FLEET.iter().find(|(known, _)| *known == name).unwrap();
    let scenario = include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../scenarios/stiff-morning.toml"
    ));
    let (vehicle, _) = read_vehicle(vehicle).unwrap();
    let scenario = read_scenario(scenario).unwrap();
    test(&Language::new(&vehicle, &scenario))
}

/// What a line means, in strict words.
fn meaning(language: &Language<'_>, line: &str) -> Result<String, Problem> {
    let commands = language.read(line, None)?;
    let words = |command: &Command| match command {
        Command::Act(action) => action.words(language.vehicle),
        Command::Paper(Paper::Help(verb)) => {
            format!("[help {}]", verb.map_or("", |verb| verb.word))
        }
        Command::Paper(Paper::Data(topic)) => {
            format!("[data {}]", topic.clone().unwrap_or_default())
        }
        Command::Paper(paper) => format!("[{paper:?}]"),
        Command::Only(only) => format!("[only {only:?}]"),
    };
    Ok(commands.iter().map(words).collect::<Vec<_>>().join(" | "))
}

fn check(cases: &[(&str, &str)]) {
    check_on("van", cases);
}

fn check_on(vehicle: &str, cases: &[(&str, &str)]) {
    on(vehicle, |language| {
        let mut wrong = Vec::new();
        for (line, expected) in cases {
            let got = meaning(language, line);
            if got.as_deref() != Ok(*expected) {
                wrong.push(format!("`{line}`\n  expected {expected}\n  got {got:?}"));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    });
}

/// Lines that are asked about, each with some of the question, and with a suggestion when there has to be one.
fn check_questions(vehicle: &str, cases: &[(&str, &str, &str)]) {
    on(vehicle, |language| {
        let mut wrong = Vec::new();
        for (line, asked, suggested) in cases {
            let read = language.read(line, None);
            let fits = read.as_ref().is_err_and(|problem| {
                let offers = &problem.suggestions;
                let offered = offers.iter().any(|offer| offer == suggested);
                problem.message.contains(asked) && (suggested.is_empty() || offered)
            });
            if !fits {
                wrong.push(format!(
                    "`{line}`\n  expected {asked} {suggested}\n  got {read:?}"
                ));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    });
}

/// Column and message of each refusal.
fn check_refusals(cases: &[(&str, usize, &str)]) {
    with(|language| {
        let mut wrong = Vec::new();
        for (line, column, message) in cases {
            match language.read(line, None) {
                Err(problem) if problem.message == *message && problem.column == *column => {}
                other => wrong.push(format!(
                    "`{line}`\n  expected {column} {message}\n  got {other:?}"
                )),
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    });
}
