//! The speed of a running vehicle against ngspice: there, the mechanics are part of the circuit, and its
//! operating point is where the winding's torque meets friction and load at the crank angle asked for.
//!
//! Once the sign of motion is known the equation is linear, so the two should agree to rounding. The sign is
//! that of ngspice's own torque with the shaft held; where that torque does not exceed what friction and
//! load can oppose, the engine must say that the vehicle stays at rest.

use std::{io, thread};

use groundside_engine::machines::Eccentric;
use groundside_engine::quantity::Angle;
use groundside_engine::vehicle::{Gate, Kind};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft, WorldError};

use super::analogue::{Mechanics, Standing, Turn};
use super::kept::{Table, digest};
use super::sweep::islands;
use super::{Answers, answers, at_once, installed};
use crate::coverage::known;
use crate::has_wound_field;
use crate::ledger::{Known, Ledger, Scope};
use crate::space::{Asked, points};

crate::checks![
    speeds_agree_with_the_kept_answers_of_ngspice,
    speeds_agree_with_ngspice,
];

/// How far a speed may be off, as a share: rounding, in the difference of torques that nearly cancel.
const SPEED_SHARE: f64 = 1e-10;
/// The same with a wound field, where flux hangs on current and the answer is sought: ngspice stops at 1e-9.
const SOUGHT_SHARE: f64 = 2e-8;
/// Speeds, rad/s, from which the answer is sought in turn.
const SOUGHT_FROM: [f64; 10] = [
    100.0, 200.0, 10.0, 50.0, 150.0, 300.0, 500.0, 1000.0, 30.0, 1.0,
];
/// How far the torque of a held shaft may be off, newton metres.
const TORQUE_APART: f64 = 1e-10;
/// How far a potential may be off, volts; see `sweep` for parts that float on insulation.
const VOLTS_APART: f64 = 2e-5;

/// What ngspice says of a point.
#[derive(Clone, Debug, PartialEq)]
struct Judged {
    /// Torque of the winding with the shaft held, newton metres.
    held: f64,
    /// What friction and load can oppose to it, newton metres.
    breakaway: f64,
    /// Where the torque exceeds that: the speed, rad/s, and potentials in volts by node from 1.
    running: Option<(f64, Vec<f64>)>,
}

impl Judged {
    /// Whether a speed was found, one that turns the way the held shaft is pulled. (Friction which opposes that way
    /// can hold a wound field's motor at a speed the other way round as well.)
    fn runs_as_pulled(&self) -> bool {
        let speed = self.running.as_ref().map(|(speed, _)| *speed);
        speed.is_some_and(|speed| speed * self.held > 0.0)
    }
}

/// The points of all vehicles that are asked with the shaft free to run.
fn asked(scope: Scope, ledger: &mut Ledger) -> Vec<Asked> {
    let (from, count) = match scope {
        Scope::Sample => (Scope::Sweep, 100),
        Scope::Sweep => (Scope::Sweep, 1500),
        Scope::Full => (Scope::Full, usize::MAX),
    };
    let mut list = Vec::new();
    for vehicle in known(ledger) {
        let mut points = points(&vehicle, from);
        points.retain(|asked| {
            asked.query.shaft == Shaft::Running && key_is_on(asked) && !on_edge(asked)
        });
        let apart = points.len().div_ceil(count);
        list.extend(points.into_iter().step_by(apart));
    }
    list
}

/// Whether the crank stands on the very edge of the park cam, where rounding decides.
fn on_edge(asked: &Asked) -> bool {
    let mechanics = Mechanics::of(&asked.vehicle, asked.query.glass);
    let crank = asked.query.crank.map(Angle::radians);
    mechanics
        .zip(crank)
        .is_some_and(|(mechanics, crank)| mechanics.on_edge(crank))
}

/// Without the key little turns.
fn key_is_on(asked: &Asked) -> bool {
    let on = asked.vehicle.roles().map(|roles| (roles.key, roles.key_on));
    on.is_none_or(|on| asked.query.positions.contains(&on))
}

/// Where relays, interval units and diodes stand: the one thing that is taken from the engine.
fn pulled(asked: &Asked) -> Option<Vec<bool>> {
    let switches = |gate: &Gate| matches!(gate, Gate::Relay { .. } | Gate::Forward);
    let parts = asked.vehicle.components.iter();
    let mut paths = parts.flat_map(|part| &part.paths);
    if !paths.any(|path| switches(&path.gate)) {
        return Some(vec![false; asked.vehicle.components.len()]);
    }
    let point = OperatingPoint::of(&asked.vehicle, &asked.query).ok()?;
    Some(point.setting.pulled)
}

fn standing(asked: &Asked) -> Option<Standing<'_>> {
    let vehicle = asked.vehicle.as_ref();
    let query = &asked.query;
    let mut positions = vec![0; vehicle.components.len()];
    for (id, position) in &query.positions {
        positions[id.index()] = *position;
    }
    let parked = Mechanics::of(vehicle, query.glass)?.parked();
    Some(Standing {
        vehicle,
        positions,
        open: query
            .unplugged
            .iter()
            .chain(&query.tripped)
            .copied()
            .collect(),
        pulled: pulled(asked)?,
        parted: query.parted.clone(),
        crank: query.crank.map_or(parked, Angle::radians),
        shaft: query.shaft_angle.map_or(0.0, Angle::radians),
        glass: query.glass,
        instruments: query.instruments.clone(),
    })
}

fn deck(asked: &Asked, turn: Turn) -> io::Result<String> {
    let deck = standing(asked).and_then(|standing| standing.deck(turn));
    deck.ok_or_else(|| io::Error::other(format!("{}: no deck", asked.label)))
}

/// ngspice's answers to points, in their order, each processor with its share of them.
fn ask(list: &[Asked]) -> io::Result<Vec<Judged>> {
    let processors = thread::available_parallelism()?.get();
    let share = list.len().div_ceil(processors).max(1);
    let answers = at_once(list.chunks(share), ask_in_turn).into_iter();
    Ok(answers.collect::<io::Result<Vec<_>>>()?.concat())
}

fn ask_in_turn(list: &[Asked]) -> io::Result<Vec<Judged>> {
    let mut all = Vec::with_capacity(list.len());
    for some in list.chunks(512) {
        let held = some.iter().map(|asked| deck(asked, Turn::Held));
        let held = answers(&held.collect::<io::Result<Vec<_>>>()?)?;
        let mut judged = some
            .iter()
            .zip(&held)
            .map(|(asked, answers)| at_rest(asked, answers))
            .collect::<io::Result<Vec<_>>>()?;
        let turning = some.iter().zip(&mut judged);
        let mut turning: Vec<(&Asked, &mut Judged)> = turning
            .filter(|(_, judged)| judged.held.abs() > judged.breakaway)
            .collect();
        for from in SOUGHT_FROM {
            let decks = turning
                .iter()
                .map(|(asked, judged)| deck(asked, Turn::From(from * judged.held.signum())));
            let found = answers(&decks.collect::<io::Result<Vec<_>>>()?)?;
            for ((asked, judged), answers) in turning.iter_mut().zip(&found) {
                judged.running = running(asked, answers).ok();
            }
            turning.retain(|(_, judged)| !judged.runs_as_pulled());
        }
        // One that is pulled forward, and no more once its eccentric has turned in and the cam lets go of the park contact,
        // comes to rest there.
        for (_, judged) in turning
            .iter_mut()
            .filter(|(asked, judged)| lets_go(asked, judged))
        {
            judged.running = None;
        }
        turning.retain(|(asked, judged)| !lets_go(asked, judged));
        if let Some((asked, _)) = turning.first() {
            let label = &asked.label;
            return Err(io::Error::other(format!("{label}: ngspice found no speed")));
        }
        all.extend(judged);
    }
    Ok(all)
}

/// Whether a shaft is pulled the way that turns an eccentric in.
fn lets_go(asked: &Asked, judged: &Judged) -> bool {
    let mut parts = asked.vehicle.components.iter();
    let free = |data: &Eccentric| data.stuck.is_none();
    judged.held > 0.0 && parts.any(|part| matches!(&part.kind, Kind::Eccentric(data) if free(data)))
}

fn number(asked: &Asked, answers: &Answers, name: &str) -> io::Result<f64> {
    let answer = answers.get(name).copied();
    answer.ok_or_else(|| io::Error::other(format!("{}: ngspice gave no `{name}`", asked.label)))
}

fn at_rest(asked: &Asked, answers: &Answers) -> io::Result<Judged> {
    Ok(Judged {
        held: number(asked, answers, "vhold#branch")?,
        breakaway: number(asked, answers, "breakaway")?,
        running: None,
    })
}

fn running(asked: &Asked, answers: &Answers) -> io::Result<(f64, Vec<f64>)> {
    let nodes = 1..asked.vehicle.node_names.len();
    let volts = nodes.map(|node| number(asked, answers, &node.to_string()));
    Ok((
        number(asked, answers, "speed")?,
        volts.collect::<io::Result<_>>()?,
    ))
}

/// Torque of the winding with the shaft held: where flux hangs on current, or the cam works by how an eccentric stands,
/// that is another circuit than the running one.
fn held(asked: &Asked, running: &OperatingPoint) -> Result<f64, WorldError> {
    let mut parts = asked.vehicle.components.iter();
    let reverses = parts.any(|part| matches!(part.kind, Kind::Eccentric(_)));
    if !has_wound_field(&asked.vehicle) && !reverses {
        return Ok(running.response.torque().at_rest);
    }
    let query = PointQuery {
        shaft: Shaft::Held,
        ..asked.query.clone()
    };
    let point = OperatingPoint::of(&asked.vehicle, &query)?;
    Ok(point.response.torque().at_rest)
}

fn compare(asked: &Asked, judged: &Judged, rounding: f64, ledger: &mut Ledger) {
    let label = &asked.label;
    let point: OperatingPoint = match asked.solve() {
        Ok(point) => point,
        Err(error) => return ledger.fail(format_args!("{label}: {error}")),
    };
    let at_rest = match held(asked, &point) {
        Ok(at_rest) => at_rest,
        Err(error) => return ledger.fail(format_args!("{label}: {error}")),
    };
    ledger.near(
        format_args!("N.m held, {label}"),
        at_rest,
        judged.held,
        TORQUE_APART + rounding * judged.held.abs(),
    );
    let ours = point.speed.radians_per_second();
    let Some((speed, volts)) = &judged.running else {
        ledger.holds(format_args!("stays at rest, {label}"), ours == 0.0);
        return;
    };
    let share = if has_wound_field(&asked.vehicle) {
        SOUGHT_SHARE
    } else {
        SPEED_SHARE
    };
    let sum = judged.held.abs() / (judged.held.abs() - judged.breakaway);
    ledger.near(
        format_args!("rad/s, {label}"),
        ours,
        *speed,
        (share + rounding) * sum * speed.abs(),
    );
    // Each part that hangs together is compared over its first node. Where one stands as a whole that hangs on insulation
    // alone is held by `sweep`: here ngspice seeks, and stops as soon as what drives the shaft stands.
    let names = &asked.vehicle.node_names;
    let first = islands(&point, names.len());
    let mut ours_by_node = vec![f64::NAN; names.len()];
    let theirs = |node: usize| if node == 0 { 0.0 } else { volts[node - 1] };
    for element in point.response.elements() {
        for node in [element.p, element.n] {
            ours_by_node[node.index()] = point.response.potential_at(node, point.speed).volts();
        }
    }
    // Kept answers are of the speed alone.
    for node in 1..=volts.len() {
        let from = first[node];
        ledger.near(
            format_args!("V {} over {}, {label}", names[node], names[from]),
            ours_by_node[node] - ours_by_node[from],
            theirs(node) - theirs(from),
            VOLTS_APART,
        );
    }
}

fn speeds_agree_with_ngspice(ledger: &mut Ledger) {
    if !installed() {
        return ledger.skip("ngspice is not installed");
    }
    ledger.source(Known::Computed, "ngspice, mechanics as part of the circuit");
    let list = asked(ledger.scope(), ledger);
    let answers = match ask(&list) {
        Ok(answers) => answers,
        Err(error) => return ledger.fail(format_args!("ngspice: {error}")),
    };
    hold_all(&list, &answers, 0.0, ledger);
}

fn hold_all(list: &[Asked], answers: &[Judged], rounding: f64, ledger: &mut Ledger) {
    ledger.holds("an answer for every point", answers.len() == list.len());
    let turning = answers
        .iter()
        .filter(|judged| judged.running.is_some())
        .count();
    ledger.holds("a third of the points turn", 3 * turning > answers.len());
    for (asked, judged) in list.iter().zip(answers) {
        compare(asked, judged, rounding, ledger);
    }
}

/// The kept answers.
const TABLE: Table = Table {
    file: "speeds.txt",
    head: "Speeds of running vehicles",
    columns: "the point, then: torque with the shaft held and torque that friction and load can oppose to it, N m; \
              where it turns, the speed, rad/s",
};
/// Half a unit of the last digit in the table, as a share.
const TABLE_ROUNDING: f64 = 1e-12;

/// What the table has to be about: the deck of a point.
fn about(asked: &Asked) -> io::Result<u64> {
    Ok(digest(&deck(asked, Turn::From(1.0))?))
}

fn speeds_agree_with_the_kept_answers_of_ngspice(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "answers of ngspice kept in tests/reference/speeds.txt",
    );
    let list = asked(Scope::Sample, ledger);
    let entries = list
        .iter()
        .map(|asked| Ok((asked.label.clone(), about(asked)?)));
    let kept = entries
        .collect::<io::Result<Vec<_>>>()
        .and_then(|entries| TABLE.read(&entries));
    match kept {
        Ok(kept) => {
            let judged: Vec<Judged> = kept.iter().filter_map(|rows| from_row(rows)).collect();
            hold_all(&list, &judged, TABLE_ROUNDING, ledger);
        }
        Err(error) => ledger.fail(error),
    }
}

fn from_row(rows: &[Vec<f64>]) -> Option<Judged> {
    let [row] = rows else { return None };
    let (held, breakaway, speed) = match row.as_slice() {
        [held, breakaway] => (*held, *breakaway, None),
        [held, breakaway, speed] => (*held, *breakaway, Some(*speed)),
        _ => return None,
    };
    Some(Judged {
        held,
        breakaway,
        running: speed.map(|speed| (speed, Vec::new())),
    })
}

/// Asks ngspice for the sample and keeps its answers.
///
/// # Errors
/// When ngspice cannot be run, leaves something unanswered, or the file cannot be written.
pub fn write_table() -> io::Result<()> {
    let list = asked(Scope::Sample, &mut Ledger::default());
    let mut entries = Vec::with_capacity(list.len());
    for (asked, judged) in list.iter().zip(ask(&list)?) {
        let mut row = format!("{:.12e} {:.12e}", judged.held, judged.breakaway);
        if let Some((speed, _)) = judged.running {
            row.push_str(&format!(" {speed:.12e}"));
        }
        entries.push((asked.label.clone(), about(asked)?, row));
    }
    TABLE.write(&entries)
}
