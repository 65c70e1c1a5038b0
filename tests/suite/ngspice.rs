//! The circuit against a general circuit simulator, ngspice: at operating points sound and faulty, held
//! and running, with and without meter, on the decks that `netlist` prints, and on decks of the same
//! circuit written by hand from the wiring.
//!
//! A table of its answers is kept (`reference/operating-points.csv`, made by `reference/make-table.sh`);
//! where ngspice is installed it is asked as well. Every node must agree within 1 microvolt or a
//! millionth, whichever is more. In fact they agree within 1e-13 V on printed decks
//! (both keep milliohms apart from insulation) and within 2e-10 V on the plain ones written by hand, so a
//! billionth of a volt is asked on top.

use std::collections::BTreeMap;
use std::process::Command;

use groundside::{Host, Io};
use groundside_engine::quantity::AngularVelocity;
use groundside_engine::world::Shaft;
use groundside_tests::{Operation, Wiper, faulty, operating_point, potentials, vehicle};
use serde_json::Value;

const POINTS: &str = include_str!("../reference/operating-points.txt");
const TABLE: &str = include_str!("../reference/operating-points.csv");

/// Potentials in volts by name of node.
type Potentials = BTreeMap<String, f64>;

/// An operating point as the engine has it.
struct Case {
    name: String,
    /// The deck for ngspice.
    deck: String,
    /// What the deck's nodes are called here, by their name in the deck.
    nodes: BTreeMap<String, String>,
    /// The engine's answer, by its own names.
    engine: Potentials,
}

/// Runs the program and returns what it printed.
fn groundside(arguments: &[&str]) -> String {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let mut io = Io {
        input: Box::new(std::io::empty()),
        output: Box::new(&mut output),
        errors: Box::new(&mut errors),
        host: Host::default(),
    };
    let command = ["groundside"].iter().chain(arguments);
    let exit = groundside::run(command.map(Into::into), &mut io);
    drop(io);
    let errors = String::from_utf8_lossy(&errors);
    assert_eq!(exit.code(), 0, "{arguments:?}: {errors}");
    String::from_utf8(output).unwrap()
}

/// The operating points of the list, solved and netted by the program.
fn listed() -> Vec<Case> {
    let lines = POINTS.lines().filter(|line| !line.starts_with('#'));
    let case = |line: &str| {
        let mut words = line.split_whitespace();
        let name = words.next().unwrap().to_owned();
        let arguments: Vec<&str> = words.collect();
        let ask = |command: &str, more: &[&str]| {
            let mut line = vec![command, "van-case-ground"];
            line.extend(&arguments);
            line.extend(more);
            groundside(&line)
        };
        let deck = ask("netlist", &[]);
        let solved: Value = serde_json::from_str(&ask("solve", &["--format", "json"])).unwrap();
        let engine = solved["nodes"].as_array().unwrap().iter().map(|node| {
            let name = node["node"].as_str().unwrap().to_owned();
            (name, node["volts"].as_f64().unwrap())
        });
        let nodes = deck.lines().filter_map(|line| {
            let (number, name) = line.strip_prefix("* node ")?.split_once(": ")?;
            (number != "0").then(|| (number.to_owned(), name.to_owned()))
        });
        Case {
            name,
            nodes: nodes.collect(),
            engine: engine.collect(),
            deck,
        }
    };
    lines.map(case).collect()
}

/// The decks written by hand, and the engine's answer at the speed that each states.
fn by_hand() -> Vec<Case> {
    let held = |wiper, meters| Operation {
        wiper,
        crank_deg: Some(100.0),
        shaft: Shaft::Held,
        meters,
    };
    let meter = vec![("motor 53", "battery neg")];
    [
        (
            "hand-low-running",
            include_str!("../reference/hand-low-running.cir"),
            vehicle(),
            held(Wiper::Low, Vec::new()),
            290.0,
        ),
        (
            "hand-ground-1-ohm",
            include_str!("../reference/hand-ground-1-ohm.cir"),
            faulty("motor-strap.high-resistance:1"),
            held(Wiper::Low, Vec::new()),
            224.0,
        ),
        (
            "hand-high-held-meter",
            include_str!("../reference/hand-high-held-meter.cir"),
            vehicle(),
            held(Wiper::High, meter),
            0.0,
        ),
    ]
    .into_iter()
    .map(|(name, deck, vehicle, operation, speed)| {
        let response = operating_point(&vehicle, &operation).response;
        let speed = AngularVelocity::from_radians_per_second(speed);
        let nodes = deck.lines().filter_map(|line| {
            let (node, name) = line.strip_prefix("*@ ")?.split_once(' ')?;
            Some((node.to_owned(), name.to_owned()))
        });
        Case {
            name: name.to_owned(),
            deck: deck.to_owned(),
            nodes: nodes.collect(),
            engine: potentials(&vehicle, &response, speed),
        }
    })
    .collect()
}

/// Holds the engine's answer against ngspice's, node by node.
fn compare(case: &Case, ngspice: &Potentials) {
    for (node, name) in &case.nodes {
        let engine = case.engine.get(name);
        let engine =
            *engine.unwrap_or_else(|| panic!("{}: the engine has no node `{name}`", case.name));
        let theirs = ngspice.get(node);
        let theirs =
            *theirs.unwrap_or_else(|| panic!("{}: ngspice has no node `{node}`", case.name));
        let apart = (engine - theirs).abs();
        assert!(
            apart <= 1e-6_f64.max(1e-6 * theirs.abs()),
            "{}, {name}: engine {engine} V, ngspice {theirs} V",
            case.name
        );
        // Both keep so many digits that a billionth of a volt already tells of an error.
        assert!(apart <= 1e-9, "{}, {name}: {apart:e} V apart", case.name);
    }
}

/// ngspice's answers that are kept, by deck.
fn table() -> BTreeMap<String, Potentials> {
    let mut table: BTreeMap<String, Potentials> = BTreeMap::new();
    for line in TABLE.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let [deck, node, volts] = line.split(',').collect::<Vec<_>>().try_into().unwrap();
        let deck = table.entry(deck.to_owned()).or_default();
        deck.insert(node.to_owned(), volts.parse().unwrap());
    }
    table
}

/// ngspice's answers to a deck: the lines `node = volts` or `v(node) = volts` of what it prints.
fn ask_ngspice(deck: &str) -> Potentials {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("deck.cir");
    std::fs::write(&path, deck).unwrap();
    let output = Command::new("ngspice")
        .arg("-b")
        .arg(&path)
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&output.stdout);
    let answer = |line: &str| {
        let (name, volts) = line.split_once(" = ")?;
        let name = name.trim();
        let inner = name
            .strip_prefix("v(")
            .and_then(|name| name.strip_suffix(')'));
        Some((inner.unwrap_or(name).to_owned(), volts.trim().parse().ok()?))
    };
    text.lines().filter_map(answer).collect()
}

#[test]
fn the_engine_agrees_with_the_kept_answers_of_ngspice() {
    let table = table();
    let cases: Vec<Case> = listed().into_iter().chain(by_hand()).collect();
    assert!(cases.len() >= 13);
    for case in &cases {
        let kept = table.get(&case.name);
        let kept = kept.unwrap_or_else(|| {
            panic!(
                "no `{}` in the table: make-table.sh makes it anew",
                case.name
            )
        });
        compare(case, kept);
    }
    assert_eq!(
        table.len(),
        cases.len(),
        "the table holds what is no longer asked"
    );
}

#[test]
fn the_engine_agrees_with_ngspice_where_it_is_installed() {
    if Command::new("ngspice").arg("--version").output().is_err() {
        // Its kept answers stand for it.
        return;
    }
    for case in listed().into_iter().chain(by_hand()) {
        compare(&case, &ask_ngspice(&case.deck));
    }
}

#[test]
fn decks_written_by_hand_name_the_whole_way_of_the_current() {
    for case in by_hand() {
        assert!(
            case.nodes.len() >= 28,
            "{}: {}",
            case.name,
            case.nodes.len()
        );
    }
}
