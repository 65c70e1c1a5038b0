//! What no compiler checks: layers, module headers, names in the documents, references, sizes.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use groundside_engine::file::{check_scenario, read_scenario, read_vehicle};
use groundside_tests::fleet::vehicles;

/// The engine's modules, lowest first: each imports only those before it.
const LAYERS: [&str; 16] = [
    "quantity",
    "math",
    "random",
    "ident",
    "decisions",
    "statistics",
    "network",
    "machines",
    "vehicle",
    "scenario",
    "file",
    "world",
    "attempt",
    "marking",
    "learners",
    "lint",
];

/// Longest source file.
const LINES_MAX: usize = 600;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap()
        .to_path_buf()
}

fn sources(folder: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let name = path
                    .strip_prefix(root())
                    .unwrap()
                    .to_str()
                    .unwrap()
                    .to_owned();
                found.push((name, fs::read_to_string(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

/// Breaches of the layering in one source file: `crate::` paths to a module that is not below its own.
fn breaches(module: &str, source: &str) -> Vec<String> {
    let own = LAYERS.iter().position(|layer| *layer == module);
    let Some(own) = own else {
        return vec![format!("`{module}` is in no layer")];
    };
    let words = source.split("crate::").skip(1);
    words
        .map(|rest| {
            rest.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_'))
                .next()
                .unwrap_or("")
        })
        .filter_map(|used| {
            LAYERS
                .iter()
                .position(|layer| *layer == used)
                .map(|place| (used, place))
        })
        .filter(|(_, place)| *place > own)
        .map(|(used, _)| format!("`{module}` uses `{used}`"))
        .collect()
}

#[test]
fn layers_import_downwards_only() {
    let mut all = Vec::new();
    for (name, source) in sources("engine/src") {
        let module = name.strip_prefix("engine/src/").unwrap();
        let module = module.split('/').next().unwrap().trim_end_matches(".rs");
        if module != "lib" {
            assert!(
                !source.contains("crate::{"),
                "{name}: one path a line, or layers cannot be read"
            );
            all.extend(
                breaches(module, &source)
                    .into_iter()
                    .map(|breach| format!("{name}: {breach}")),
            );
        }
    }
    assert_eq!(all, Vec::<String>::new());
}

#[test]
fn a_breach_of_the_layers_is_seen() {
    assert_eq!(
        breaches("network", "use crate::world::World;"),
        ["`network` uses `world`"]
    );
    assert_eq!(
        breaches("world", "use crate::network::Network;"),
        Vec::<String>::new()
    );
}

#[test]
fn the_engine_neither_prints_nor_reads_a_clock_nor_touches_files() {
    for (name, source) in sources("engine/src") {
        for banned in [
            "println!",
            "eprintln!",
            "std::fs",
            "std::io",
            "std::time",
            "std::env",
            "SystemTime",
            "Instant::",
        ] {
            assert!(!source.contains(banned), "{name} has {banned}");
        }
    }
}

#[test]
fn fault_text_stays_out_of_world_and_rendering() {
    // Modes whose names are more than a word of every day.
    let modes: BTreeSet<String> = vehicles()
        .iter()
        .flat_map(|vehicle| vehicle.faults())
        .map(|(.., mode)| mode.name.to_string())
        .filter(|name| name.contains('-'))
        .collect();
    assert!(modes.len() > 100, "{}", modes.len());
    for folder in ["engine/src/world", "cli/src/render"] {
        for (name, source) in sources(folder) {
            // A verdict is what a learner says, a list of faults is asked for; neither is keyed text.
            let spared = ["action.rs", "list.rs", "debrief.rs", "testing.rs"]
                .iter()
                .any(|file| name.ends_with(file));
            let keyed = [
                "high-resistance",
                "low-brush",
                "stuck-on-feed",
                "stripped\"",
                "seized\"",
                "inject(",
            ];
            // A test beside the code may put a fault in.
            let code = source.split("\nmod tests {").next().unwrap();
            assert!(!code.contains("#[test]"), "{name} has tests elsewhere");
            for word in keyed {
                assert!(spared || !code.contains(word), "{name} has {word}");
            }
            for mode in &modes {
                let quoted = format!("\"{mode}\"");
                assert!(spared || !code.contains(&quoted), "{name} has {quoted}");
            }
        }
    }
}

#[test]
fn every_source_file_begins_by_saying_what_it_is() {
    for folder in [
        "engine/src",
        "cli/src",
        "cli/tests",
        "tests/src",
        "tests/suite",
    ] {
        for (name, source) in sources(folder) {
            assert!(source.starts_with("//!"), "{name} has no header");
        }
    }
}

#[test]
fn source_files_are_short() {
    for folder in ["engine/src", "cli/src", "tests"] {
        for (name, source) in sources(folder) {
            let lines = source.lines().count();
            assert!(lines <= LINES_MAX, "{name} has {lines} lines");
        }
    }
}

#[test]
fn the_top_level_holds_what_it_should() {
    let expected: BTreeSet<String> = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "engine",
        "scenarios",
        "cli",
        "tests",
    ]
    .map(str::to_owned)
    .into();
    let found: BTreeSet<String> = fs::read_dir(root())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_str().unwrap().to_owned())
        .filter(|name| !name.starts_with('.') && name != "target")
        .collect();
    assert_eq!(found, expected);
}

#[test]
fn paths_named_in_the_documents_exist() {
    for document in [
        "README.md",
        "DEVELOPERS.md",
        "engine/REFERENCES.md",
        "scenarios/README.md",
    ] {
        let text = fs::read_to_string(root().join(document)).unwrap();
        for word in text.split('`').skip(1).step_by(2) {
            let path_like = ["engine/", "cli/", "tests/", "scenarios/", ".ci/"]
                .iter()
                .any(|top| word.starts_with(top));
            if path_like && !word.contains(['*', '<', ' ', '{']) {
                assert!(
                    root().join(word).exists(),
                    "{document} names `{word}`, which does not exist"
                );
            }
        }
    }
}

#[test]
fn references_are_cited_and_citations_are_listed() {
    let listed = fs::read_to_string(root().join("engine/REFERENCES.md")).unwrap();
    let keys: BTreeSet<&str> = listed
        .lines()
        .filter_map(|line| line.strip_prefix("- [")?.split(']').next())
        .collect();
    let source: String = sources("engine/src")
        .into_iter()
        .map(|(_, source)| source)
        .collect();
    for key in &keys {
        assert!(
            source.contains(&format!("[{key}]")),
            "{key} is listed and never cited"
        );
    }
    for cited in source
        .split('[')
        .skip(1)
        .filter_map(|rest| rest.split(']').next())
    {
        let year = cited.rsplit(' ').next().unwrap_or("");
        let is_standard = ["ISO ", "IEC ", "DIN ", "SAE ", "IEEE "]
            .iter()
            .any(|body| cited.starts_with(body));
        let looks_cited = is_standard
            || cited.contains(' ') && year.len() == 4 && year.bytes().all(|b| b.is_ascii_digit());
        assert!(
            !looks_cited || keys.contains(cited),
            "[{cited}] is cited and not listed"
        );
    }
}

/// The names that a list `ALL` in a source file has, with the enum that it is of.
fn listed(source: &str) -> Vec<(&str, usize)> {
    let lists = source.match_indices("const ALL: [Self; ");
    lists
        .map(|(at, head)| {
            let of = source[..at].rsplit("\nimpl ").next().unwrap();
            let count = source[at + head.len()..].split(']').next().unwrap();
            let name = of.split([' ', '{']).next().unwrap();
            (name, count.parse().unwrap())
        })
        .collect()
}

#[test]
fn lists_of_all_of_an_enum_hold_all_of_it() {
    let mut seen = 0;
    for folder in ["engine/src", "cli/src"] {
        for (file, source) in sources(folder) {
            for (name, count) in listed(&source) {
                let head = format!("enum {name} {{\n");
                let body = source.split(&head).nth(1).unwrap();
                let body = body.split("\n}").next().unwrap();
                let is_one = |line: &&str| {
                    let line = line.strip_prefix("    ");
                    line.is_some_and(|line| line.starts_with(char::is_uppercase))
                };
                let variants = body.lines().filter(is_one).count();
                assert_eq!(count, variants, "{name} in {file}");
                seen += 1;
            }
        }
    }
    assert!(seen >= 8, "{seen}");
}

#[test]
fn scales_in_words_have_a_word_on_either_side_of_every_cut() {
    let source = fs::read_to_string(root().join("engine/src/world/scales.rs")).unwrap();
    let mut seen = 0;
    for scale in source.split("Words = Words {").skip(1) {
        let inside = |key: &str| {
            let rest = scale.split(key).nth(1).unwrap();
            rest.split("],").next().unwrap().trim_start_matches("&[")
        };
        let cuts: Vec<f64> = inside("cuts: ")
            .split(',')
            .filter_map(|cut| cut.trim().trim_end_matches(']').parse().ok())
            .collect();
        let words = inside("words: ").matches('"').count() / 2;
        assert!(cuts.is_sorted(), "{cuts:?}");
        assert_eq!(words, cuts.len() + 1, "{cuts:?}");
        seen += 1;
    }
    assert!(seen > 20, "{seen}");
}

#[test]
fn mutations_find_their_place() {
    let list: toml::Table =
        toml::from_str(&fs::read_to_string(root().join("tests/mutations.toml")).unwrap()).unwrap();
    for mutation in list["mutation"].as_array().unwrap() {
        let text = |key: &str| mutation[key].as_str().unwrap();
        let source = fs::read_to_string(root().join(text("file"))).unwrap_or_default();
        let places = source.matches(text("find")).count();
        assert_eq!(places, 1, "{} in {}", text("name"), text("file"));
    }
}

#[test]
fn shipped_files_are_without_findings() {
    let text = |name: &str| fs::read_to_string(root().join("scenarios").join(name)).unwrap();
    let mut scenarios = 0;
    for entry in fs::read_dir(root().join("scenarios")).unwrap() {
        let name = entry.unwrap().file_name().to_str().unwrap().to_owned();
        let source = text(&name);
        if name.ends_with(".toml") && source.contains("[scenario]") {
            let scenario = read_scenario(&source).unwrap();
            let of = text(&format!("{}.toml", scenario.vehicle));
            let (vehicle, warnings) = read_vehicle(&of).unwrap();
            assert_eq!(warnings, [], "{}", scenario.vehicle);
            assert_eq!(check_scenario(&scenario, &source, &vehicle), [], "{name}");
            scenarios += 1;
        }
    }
    assert!(scenarios >= 3);
}
