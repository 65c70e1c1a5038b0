//! Decks of the same circuit that a person wrote from the wiring and the data of parts, so that no code of
//! this project stands between the vehicle file and ngspice; and what the program itself prints.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

use groundside::{Host, Io};
use groundside_engine::quantity::AngularVelocity;
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Response, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft};
use serde_json::Value;

use super::{Answers, answers, installed, version};
use crate::fleet::folder;
use crate::ledger::{Known, Ledger};
use crate::{Operation, Wiper, component, faulty, operating_point, potentials, vehicle};

crate::checks![
    kept_answers_to_decks_written_by_hand,
    decks_written_by_hand,
    what_the_program_prints,
];

/// How far a potential may be off, volts. ngspice gives these plain decks, in which milliohms stand beside
/// 10 gigaohms on the diagonal, to some 2e-10.
const VOLTS_APART: f64 = 1e-9;

/// A deck, what its nodes are called here, and the engine's answer.
struct ByHand {
    name: &'static str,
    deck: String,
    /// Names of points, by node of the deck.
    nodes: Vec<(String, String)>,
    engine: BTreeMap<String, f64>,
}

fn decks() -> Vec<ByHand> {
    let held = |wiper, meters| Operation {
        wiper,
        crank_deg: Some(100.0),
        shaft: Shaft::Held,
        meters,
    };
    let meter = vec![("motor 53", "battery neg")];
    let solved = |vehicle: &Arc<Vehicle>, operation| operating_point(vehicle, &operation).response;
    let (sound, grounded) = (vehicle(), faulty("motor-strap.high-resistance:1"));
    let worn = faulty("motor-53a.short-to-ground:0.05");
    [
        (
            "hand-low-running",
            solved(&sound, held(Wiper::Low, Vec::new())),
            290.0,
        ),
        (
            "hand-ground-1-ohm",
            solved(&grounded, held(Wiper::Low, Vec::new())),
            224.0,
        ),
        (
            "hand-high-held-meter",
            solved(&sound, held(Wiper::High, meter)),
            0.0,
        ),
        ("hand-strap-off-consumers", strap_off(&worn), 0.0),
    ]
    .into_iter()
    .map(|(name, response, speed)| {
        let path = folder("tests/reference").join(format!("{name}.cir"));
        let deck = fs::read_to_string(path).expect("decks written by hand are kept");
        let nodes = deck.lines().filter_map(|line| {
            let (node, name) = line.strip_prefix("*@ ")?.split_once(' ')?;
            Some((node.to_owned(), name.to_owned()))
        });
        let speed = AngularVelocity::from_radians_per_second(speed);
        ByHand {
            name,
            nodes: nodes.collect(),
            engine: potentials(&sound, &response, speed),
            deck,
        }
    })
    .collect()
}

/// LOW with the shaft held at park, every consumer on and the motor's strap off its stud.
fn strap_off(vehicle: &Arc<Vehicle>) -> Arc<Response> {
    let positions = [
        ("key", 2),
        ("wiper", 1),
        ("horn", 1),
        ("blower", 1),
        ("radio", 1),
    ];
    let query = PointQuery {
        positions: positions
            .map(|(word, position)| (vehicle.control(word).expect("a control"), position))
            .into(),
        unplugged: vec![component(vehicle, "motor-strap")],
        tripped: Vec::new(),
        parted: Vec::new(),
        crank: None,
        shaft_angle: None,
        shaft: Shaft::Held,
        glass: Glass::Wet,
        instruments: Vec::new(),
    };
    let point = OperatingPoint::of(vehicle, &query).expect("it has a solution");
    point.response
}

impl ByHand {
    fn compare(&self, answers: &Answers, ledger: &mut Ledger) {
        // The whole way of the current: a deck that names less compares too little.
        ledger.holds(
            format_args!("{} names 28 nodes", self.name),
            self.nodes.len() >= 28,
        );
        for (node, point) in &self.nodes {
            let what = format_args!("V {point} in {}", self.name);
            let ours = self.engine.get(point).copied().unwrap_or(f64::NAN);
            let theirs = answers.get(node).copied().unwrap_or(f64::NAN);
            ledger.near(what, ours, theirs, VOLTS_APART);
        }
    }
}

fn decks_written_by_hand(ledger: &mut Ledger) {
    if !installed() {
        return ledger.skip("ngspice is not installed");
    }
    ledger.source(
        Known::Computed,
        "ngspice, on decks written by hand from the wiring",
    );
    match ask() {
        Ok(answers) => {
            for (deck, answers) in decks().iter().zip(&answers) {
                deck.compare(answers, ledger);
            }
        }
        Err(error) => ledger.fail(format_args!("ngspice: {error}")),
    }
}

fn ask() -> io::Result<Vec<Answers>> {
    let decks: Vec<String> = decks().into_iter().map(|deck| deck.deck).collect();
    answers(&decks)
}

fn table_path() -> PathBuf {
    folder("tests/reference").join("hand-decks.csv")
}

fn kept_answers_to_decks_written_by_hand(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "answers of ngspice kept in tests/reference/hand-decks.csv",
    );
    let text = match fs::read_to_string(table_path()) {
        Ok(text) => text,
        Err(error) => return ledger.fail(format_args!("{}: {error}", table_path().display())),
    };
    for deck in decks() {
        let answers = text.lines().filter_map(|line| {
            let (node, volts) = line
                .strip_prefix(deck.name)?
                .strip_prefix(',')?
                .split_once(',')?;
            Some((node.to_owned(), volts.parse().ok()?))
        });
        deck.compare(&answers.collect(), ledger);
    }
}

/// Asks ngspice for these decks and keeps its answers.
///
/// # Errors
/// When ngspice cannot be run or the file cannot be written.
pub fn write_table() -> io::Result<()> {
    let version = version().ok_or_else(|| io::Error::other("ngspice is not installed"))?;
    let mut text = format!("# Node potentials in volts by {version}: `ngspice -b DECK.cir`.\n");
    text.push_str("deck,node,volts\n");
    for (deck, answers) in decks().iter().zip(ask()?) {
        for (node, _) in &deck.nodes {
            let volts = answers.get(node);
            let volts = volts.ok_or_else(|| io::Error::other(format!("no answer for {node}")))?;
            // Writing into a String cannot fail.
            let _ = writeln!(text, "{},{node},{volts:.15e}", deck.name);
        }
    }
    fs::write(table_path(), text)
}

/// Runs the program and returns what it printed.
fn groundside(arguments: &[&str]) -> Result<String, String> {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let mut io = Io {
        input: Box::new(io::empty()),
        output: Box::new(&mut output),
        errors: Box::new(&mut errors),
        host: Host::default(),
    };
    let command = ["groundside"].iter().chain(arguments);
    let exit = groundside::run(command.map(Into::into), &mut io);
    drop(io);
    if exit.code() == 0 {
        String::from_utf8(output).map_err(|error| error.to_string())
    } else {
        Err(String::from_utf8_lossy(&errors).into_owned())
    }
}

/// A user's way: `netlist` into ngspice, and `solve` beside it.
fn what_the_program_prints(ledger: &mut Ledger) {
    if !installed() {
        return ledger.skip("ngspice is not installed");
    }
    ledger.source(
        Known::Computed,
        "ngspice, on what `groundside netlist` prints",
    );
    for rest in [
        "--key on --wiper low --crank 100 --volts motor.53 battery.neg",
        "--key on --wiper high --held --fault motor-strap.open --volts motor.31 body.metal",
        "--key on --wiper off --crank 60 --unplug motor-plug --volts motor-plug.53a battery.neg",
        "--key on --wiper low --trip wiper-breaker --set blower=on",
        "--key on --wiper low --fault motor.low-brush-intermittent:0.4 --shaft 30",
    ] {
        if let Err(why) = printed(rest, ledger) {
            ledger.fail(format_args!("{rest}: {why}"));
        }
    }
}

fn printed(rest: &str, ledger: &mut Ledger) -> Result<(), String> {
    let ask = |command: &str, more: &[&str]| {
        let mut line = vec![command, "van-case-ground"];
        line.extend(rest.split_whitespace());
        line.extend(more);
        groundside(&line)
    };
    let deck = ask("netlist", &[])?;
    let solved = ask("solve", &["--format", "json"])?;
    let solved: Value = serde_json::from_str(&solved).map_err(|error| error.to_string())?;
    let nodes = solved["nodes"].as_array().ok_or("no nodes")?;
    let volts = |name: &str| {
        let node = nodes.iter().find(|node| node["node"] == name)?;
        node["volts"].as_f64()
    };
    let answers = answers(std::slice::from_ref(&deck)).map_err(|error| error.to_string())?;
    let mut compared = 0;
    for line in deck.lines() {
        let node = line
            .strip_prefix("* node ")
            .and_then(|line| line.split_once(": "));
        let Some((number, name)) = node.filter(|(number, _)| *number != "0") else {
            continue;
        };
        let ours = volts(name).unwrap_or(f64::NAN);
        let theirs = answers[0].get(number).copied().unwrap_or(f64::NAN);
        ledger.near(format_args!("V {name}, {rest}"), ours, theirs, VOLTS_APART);
        compared += 1;
    }
    ledger.holds("every node is compared", compared + 1 == nodes.len());
    Ok(())
}
