//! Lines in, strict words out; refusals with their wording; completion; word soup.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

mod completion;
mod lines;
mod refusals;
mod soup;
mod wordings;

use super::*;
use groundside_engine::file::{read_scenario, read_vehicle};

/// The shipped van and a scenario of it.
fn with<T>(test: impl FnOnce(&Language<'_>) -> T) -> T {
    let vehicle = include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../scenarios/van-case-ground.toml"
    ));
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
    with(|language| {
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
