//! Operating points over the whole space against ngspice: every potential, every branch current and the
//! torque of the winding, on the decks that `netlist` prints.
//!
//! A sample is kept as a table (`tests/reference/operating-points.txt`), so that the comparison is made
//! where ngspice is not installed as well. Where it is, it is asked afresh.

use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

use groundside::netlist;
use groundside_engine::vehicle::{Emf, Vehicle};
use groundside_engine::world::OperatingPoint;

use super::{Answers, answers, at_once, installed, version};
use crate::fleet::{folder, vehicles};
use crate::ledger::{Known, Ledger, Scope};
use crate::space::{Asked, adrift, points};

crate::checks![
    the_engine_agrees_with_the_kept_answers_of_ngspice,
    the_engine_agrees_with_ngspice_over_the_space,
];

/// How far a potential may be off, volts. Both programs keep milliohms apart from insulation, and agree a
/// thousand times closer than this but for a part that hangs on a film of oxide and on little else: 1.1e-9 V in one of 59
/// million.
const VOLTS_APART: f64 = 3e-9;
/// How far a part that floats on insulation may be off as a whole, volts. ngspice loses digits there (1e-4 V
/// seen), because the sum of its current laws over such a part leaves 1e-10 of ones that cancel; exact
/// rational arithmetic on one of its decks gave the engine's potentials to the last digits. The laws hold
/// these potentials closer, against dense elimination in numbers of twice the length.
const FLOATING_APART: f64 = 3e-3;
/// How far a current may be off, amperes: the potentials' rounding over the smallest joint, half a milliohm.
const AMPERES_APART: f64 = 1e-9;
/// Points solved and asked about at a time.
const AT_A_TIME: usize = 256;
/// Half a unit of the last decimal in the table.
const TABLE_ROUNDING: f64 = 0.5e-10;

/// A point with the engine's answer.
struct Solved {
    asked: Asked,
    point: OperatingPoint,
}

/// What ngspice answers to a point, in the order of nodes and of branches.
#[derive(Debug, PartialEq)]
struct Judged {
    volts: Vec<f64>,
    amperes: Vec<f64>,
}

/// The sample that is kept, solved.
fn sample(ledger: &mut Ledger) -> Vec<Solved> {
    let points = vehicles()
        .into_iter()
        .flat_map(|vehicle| points(&vehicle, Scope::Sample));
    solve(points.collect(), ledger)
}

fn solve(points: Vec<Asked>, ledger: &mut Ledger) -> Vec<Solved> {
    let mut list = Vec::new();
    for asked in points {
        match asked.solve() {
            Ok(point) => list.push(Solved { asked, point }),
            Err(error) => ledger.fail(format_args!("{}: {error}", asked.label)),
        }
    }
    list
}

impl Solved {
    fn deck(&self) -> String {
        let Asked {
            vehicle,
            fault,
            query,
            ..
        } = &self.asked;
        netlist::deck(vehicle, Some(fault.as_str()), query, &self.point)
    }

    /// The engine's potentials of all nodes but the reference, and its currents of all branches, as far as
    /// a deck prints them: of every branch that is more than a leak.
    fn engine(&self) -> Judged {
        let response = &self.point.response;
        let count = self.asked.vehicle.node_names.len();
        let mut volts = vec![f64::NAN; count];
        let mut amperes = Vec::new();
        for (index, element) in response.elements().iter().enumerate() {
            for node in [element.p, element.n] {
                volts[node.index()] = response.potential_at(node, self.point.speed).volts();
            }
            if element.resistance.ohms() < netlist::SERIES_OHM_MAX {
                amperes.push(response.current_at(index, self.point.speed).amperes());
            }
        }
        Judged {
            volts: volts.split_off(1),
            amperes,
        }
    }

    /// What ngspice answered, in the same order; names of what is missing when something is.
    fn judged(&self, answers: &Answers) -> Result<Judged, String> {
        let take = |name: String| answers.get(&name).copied().ok_or(name);
        let nodes = 1..self.asked.vehicle.node_names.len();
        let elements = self.point.response.elements().iter().enumerate();
        let series =
            elements.filter(|(_, element)| element.resistance.ohms() < netlist::SERIES_OHM_MAX);
        Ok(Judged {
            volts: nodes
                .map(|node| take(node.to_string()))
                .collect::<Result<_, _>>()?,
            amperes: series
                .map(|(index, _)| take(format!("v{}#branch", index + 1)))
                .collect::<Result<_, _>>()?,
        })
    }

    fn compare(&self, judged: &Judged, rounding: f64, ledger: &mut Ledger) {
        let engine = self.engine();
        let label = &self.asked.label;
        let counts = (engine.volts.len(), engine.amperes.len());
        if counts != (judged.volts.len(), judged.amperes.len()) {
            ledger.fail(format_args!(
                "{label}: the answers are not for this circuit"
            ));
            return;
        }
        self.compare_volts(&engine, judged, rounding, ledger);
        for (place, (ours, theirs)) in engine.amperes.iter().zip(&judged.amperes).enumerate() {
            let what = format_args!("A of branch {place} in {label}");
            ledger.near(what, *ours, *theirs, AMPERES_APART + rounding);
        }
        self.compare_torque(judged, rounding, ledger);
    }

    /// What hangs together is compared part by part: within a part, every potential over that of its
    /// first node; and the part as a whole over the reference.
    fn compare_volts(&self, engine: &Judged, judged: &Judged, rounding: f64, ledger: &mut Ledger) {
        let label = &self.asked.label;
        let names = &self.asked.vehicle.node_names;
        let parts = islands(&self.point, self.asked.vehicle.node_names.len());
        let at = |of: &Judged, node: usize| if node == 0 { 0.0 } else { of.volts[node - 1] };
        for node in 1..names.len() {
            let first = parts[node];
            let over = |of: &Judged| at(of, node) - at(of, first);
            let what = format_args!("V {} over {} in {label}", names[node], names[first]);
            ledger.near(
                what,
                over(engine),
                over(judged),
                VOLTS_APART + 2.0 * rounding,
            );
            if first == node {
                let what = format_args!("V of the floating part of {} in {label}", names[node]);
                let bound = FLOATING_APART + adrift(&self.point);
                ledger.near(what, at(engine, node), at(judged, node), bound);
            }
        }
    }

    /// Torque is the sum over the armature's arcs of EMF constant times current.
    fn compare_torque(&self, judged: &Judged, rounding: f64, ledger: &mut Ledger) {
        let elements = self.point.response.elements().iter();
        let series = elements.filter(|element| element.resistance.ohms() < netlist::SERIES_OHM_MAX);
        let mut torque = 0.0;
        for (element, amperes) in series.zip(&judged.amperes) {
            if let Emf::PerSpeed(constant) = element.emf {
                torque += constant.volt_seconds() * amperes;
            }
        }
        let ours = self
            .point
            .response
            .torque_at(self.point.speed)
            .newton_metres();
        let what = format_args!("N.m in {}", self.asked.label);
        ledger.near(what, ours, torque, AMPERES_APART + rounding);
    }
}

/// The first node of the part of a circuit that each node belongs to: joined by anything under a megohm.
pub(super) fn islands(point: &OperatingPoint, nodes: usize) -> Vec<usize> {
    let mut first: Vec<usize> = (0..nodes).collect();
    let mut moved = true;
    while moved {
        moved = false;
        for element in point.response.elements() {
            let (p, n) = (element.p.index(), element.n.index());
            if element.resistance.ohms() < netlist::SERIES_OHM_MAX && first[p] != first[n] {
                let low = first[p].min(first[n]);
                (first[p], first[n]) = (low, low);
                moved = true;
            }
        }
    }
    first
}

fn the_engine_agrees_with_ngspice_over_the_space(ledger: &mut Ledger) {
    if !installed() {
        return ledger.skip("ngspice is not installed");
    }
    ledger.source(
        Known::Computed,
        "ngspice, on the decks that `netlist` prints",
    );
    let scope = ledger.scope();
    let all = vehicles();
    let judged = at_once(&all, |vehicle| over_the_space_of(vehicle, scope));
    let mut points = 0;
    for (of_vehicle, judged) in judged {
        points += of_vehicle;
        ledger.add(judged);
    }
    if scope == Scope::Full {
        ledger.holds("20,000 points and more", points >= 20_000);
    }
}

/// How many operating points of a vehicle there are at a scope, and their comparisons: some at a time, as there are
/// many.
fn over_the_space_of(vehicle: &Arc<Vehicle>, scope: Scope) -> (usize, Ledger) {
    let mut ledger = Ledger::of(scope);
    let points = points(vehicle, scope);
    for some in points.chunks(AT_A_TIME) {
        let list = solve(some.to_vec(), &mut ledger);
        match ask(&list) {
            Ok(answers) => compare(&list, &answers, &mut ledger),
            Err(error) => ledger.fail(format_args!("ngspice: {error}")),
        }
    }
    (points.len(), ledger)
}

fn compare(list: &[Solved], answers: &[Answers], ledger: &mut Ledger) {
    ledger.holds("an answer for every point", answers.len() == list.len());
    for (solved, answers) in list.iter().zip(answers) {
        match solved.judged(answers) {
            Ok(judged) => solved.compare(&judged, 0.0, ledger),
            Err(missing) => {
                let label = &solved.asked.label;
                ledger.fail(format_args!("{label}: ngspice gave no `{missing}`"));
            }
        }
    }
}

fn ask(list: &[Solved]) -> io::Result<Vec<Answers>> {
    let decks: Vec<String> = list.iter().map(Solved::deck).collect();
    answers(&decks)
}

fn table_path() -> PathBuf {
    folder("tests/reference").join("operating-points.txt")
}

fn the_engine_agrees_with_the_kept_answers_of_ngspice(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "answers of ngspice kept in tests/reference/operating-points.txt",
    );
    let list = sample(ledger);
    let text = match fs::read_to_string(table_path()) {
        Ok(text) => text,
        Err(error) => return ledger.fail(format_args!("{}: {error}", table_path().display())),
    };
    let kept = parse(&text);
    let labels = list.iter().map(|solved| solved.asked.label.as_str());
    if !labels.eq(kept.iter().map(|(label, _)| *label)) {
        return ledger.fail(
            "the table is for other points than there are now: `truth --write-tables` makes it anew",
        );
    }
    for (solved, (_, judged)) in list.iter().zip(&kept) {
        solved.compare(judged, TABLE_ROUNDING, ledger);
    }
}

/// Points of the table with their answers.
fn parse(text: &str) -> Vec<(&str, Judged)> {
    let numbers = |line: Option<&str>| -> Vec<f64> {
        let words = line.unwrap_or("").split_whitespace();
        words.map(|word| word.parse().unwrap_or(f64::NAN)).collect()
    };
    let points = text.split("\n@ ").skip(1);
    points
        .map(|point| {
            let mut lines = point.lines();
            let label = lines.next().unwrap_or("");
            let volts = numbers(lines.next());
            let amperes = numbers(lines.next());
            (label, Judged { volts, amperes })
        })
        .collect()
}

/// Asks ngspice for the sample and keeps its answers.
///
/// # Errors
/// When ngspice cannot be run, leaves something unanswered, or the file cannot be written.
pub fn write_table() -> io::Result<()> {
    let mut ledger = Ledger::default();
    let list = sample(&mut ledger);
    if let Some(complaint) = ledger.complaint() {
        return Err(io::Error::other(complaint));
    }
    let version = version().ok_or_else(|| io::Error::other("ngspice is not installed"))?;
    let mut text = format!(
        "# Operating points by {version}, made by `cargo run --release -p groundside-tests --bin truth -- --write-tables`.\n\
         # After each point: potentials in volts of the vehicle's nodes but the reference; currents in amperes of\n\
         # its branches under a megohm.\n"
    );
    for (solved, answers) in list.iter().zip(ask(&list)?) {
        let judged = solved.judged(&answers).map_err(io::Error::other)?;
        // Writing into a String cannot fail.
        let _ = writeln!(
            text,
            "\n@ {}\n{}\n{}",
            solved.asked.label,
            decimals(&judged.volts),
            decimals(&judged.amperes)
        );
    }
    fs::write(table_path(), text)
}

/// Ten decimals, without the zeros that say nothing.
fn decimals(values: &[f64]) -> String {
    let short = |value: &f64| {
        let text = format!("{value:.10}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" {
            "0".to_owned()
        } else {
            text.to_owned()
        }
    };
    values.iter().map(short).collect::<Vec<_>>().join(" ")
}
