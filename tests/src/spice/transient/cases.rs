//! The runs that are made of every vehicle, and the engine's traces of them.

use std::io;
use std::sync::Arc;

use groundside_engine::quantity::{Angle, EmfConstant, Interval, Resistance, Torque};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Emf, Gate, Kind, Node, ShaftArc, Vehicle};
use groundside_engine::world::{Followed, Trial};

use super::super::analogue::{Phase, Run};
use crate::ledger::Scope;
use crate::roles;

/// A run of a vehicle.
#[derive(Clone)]
pub(super) struct Case {
    /// What it does, or with what.
    pub(super) what: &'static str,
    pub(super) vehicle: Arc<Vehicle>,
    pub(super) glass: Glass,
    /// Row from which the wiper switch stands at a position, the first from 0.
    pub(super) phases: Vec<(u32, usize)>,
    pub(super) row_s: f64,
    pub(super) rows: u32,
    pub(super) inductance: f64,
    /// How far speed, angle and current may be off anywhere, as a share of the largest of the trace.
    pub(super) share: f64,
}

/// One row of a trace.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Row {
    /// Shaft speed at its end, rad/s.
    pub(super) speed: f64,
    /// Angle the crank has turned since the start, rad.
    pub(super) turned: f64,
    /// Mean supply current over it, A.
    pub(super) amperes: f64,
    /// Whether the park contact or a relay's moved in it; the engine alone says so.
    pub(super) contact_moved: bool,
}

/// What a run comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Trace {
    pub(super) rows: Vec<Row>,
    /// Times at which breakers opened or closed, seconds.
    pub(super) clicks: Vec<f64>,
}

impl Trace {
    /// The change of the speed over each row, rad/s, or over the next where that is more.
    pub(super) fn braked(&self) -> impl Iterator<Item = f64> {
        let before = std::iter::once(0.0).chain(self.rows.iter().map(|row| row.speed));
        let rows = self.rows.iter().zip(before);
        let changes: Vec<f64> = rows
            .map(|(row, before)| (row.speed - before).abs())
            .collect();
        let next = changes.clone().into_iter().skip(1).chain([0.0]);
        changes
            .into_iter()
            .zip(next)
            .map(|(this, next)| this.max(next))
    }
}

/// Seconds of a row where things happen fast.
const FAST_S: f64 = 0.01;
/// How far speed, angle and current may be off. The engine's steps of 4 ms, with the load at their middle, make
/// up to 6e-4; with steps of 0.5 ms it comes within 1e-4 of ngspice.
const SHARE: f64 = 1e-3;
/// The same where moments drift apart and then show all at once: a pivot so stiff that the motor nearly stands
/// in each cycle (0.3 % after 13 s), and a brush that lifts a hundred times a second.
const LOOSE_SHARE: f64 = 5e-3;

/// A vehicle with other values.
fn changed(vehicle: &Arc<Vehicle>, change: impl FnOnce(&mut Vehicle)) -> Arc<Vehicle> {
    let mut changed = Vehicle::clone(vehicle);
    change(&mut changed);
    Arc::new(changed)
}

fn stiff_pivot(vehicle: &mut Vehicle, newton_metres: f64) {
    let pivot = vehicle
        .components
        .iter_mut()
        .find_map(|component| match &mut component.kind {
            Kind::Pivot { friction } => Some(friction),
            _ => None,
        });
    if let Some(friction) = pivot {
        *friction = Torque::from_newton_metres(newton_metres);
    }
}

fn weak_magnets(vehicle: &mut Vehicle, share: f64) {
    let paths = vehicle.components.iter_mut().flat_map(|c| &mut c.paths);
    for path in paths {
        if let Emf::PerSpeed(constant) = &mut path.emf {
            *constant = EmfConstant::from_volt_seconds(constant.volt_seconds() * share);
        }
    }
}

/// Adds to the first strap or wire that is tied to the motor and cannot short to ground: its ground.
fn poor_ground(vehicle: &mut Vehicle, ohms: f64) {
    let at_motor = |node: Node| {
        let motors = vehicle
            .components
            .iter()
            .filter(|c| matches!(c.kind, Kind::Motor(_)));
        motors
            .flat_map(|motor| &motor.terminals)
            .any(|terminal| terminal.node == node)
    };
    let grounds = vehicle.components.iter().position(|component| {
        let bare = match &component.kind {
            Kind::Strap(_) => true,
            Kind::Wire { supply_side, .. } => !supply_side,
            _ => false,
        };
        bare && component
            .paths
            .iter()
            .any(|path| at_motor(path.p) || at_motor(path.n))
    });
    if let Some(place) = grounds {
        let path = &mut vehicle.components[place].paths[0];
        path.resistance = path.resistance + Resistance::from_ohms(ohms);
    }
}

/// Lets the first brush lift over a part of each turn.
fn lifting_brush(vehicle: &mut Vehicle, degrees: f64) {
    let mut paths = vehicle.components.iter_mut().flat_map(|c| &mut c.paths);
    if let Some(path) = paths.find(|path| path.name.as_str().ends_with("-brush")) {
        let from = Angle::from_degrees(20.0);
        let to = Angle::from_degrees(20.0 + degrees);
        path.gate = Gate::ShaftOutside(ShaftArc { from, to });
    }
}

fn stripped_gear(vehicle: &mut Vehicle) {
    for component in &mut vehicle.components {
        if let Kind::Gear(data) = &mut component.kind {
            data.stripped = true;
        }
    }
}

fn loose_crank(vehicle: &mut Vehicle, newton_metres: f64) {
    for component in &mut vehicle.components {
        if let Kind::CrankNut { slip } = &mut component.kind {
            *slip = Some(Torque::from_newton_metres(newton_metres));
        }
    }
}

/// The runs of a vehicle.
pub(super) fn cases(vehicle: &Arc<Vehicle>, scope: Scope) -> Vec<Case> {
    let roles = roles(vehicle);
    let speeds = &roles.speeds;
    let (Some(&first), Some(&last)) = (speeds.first(), speeds.last()) else {
        return Vec::new();
    };
    let on = || speeds.iter().copied();
    let mut list: Vec<Case> = on().flat_map(|on| spinning_up(vehicle, on)).collect();
    list.extend(on().flat_map(|on| parking(vehicle, on, roles.off, scope)));
    list.extend(on().flat_map(|on| faulty(vehicle, on)));
    list.extend(near_the_limit(vehicle, first, last));
    list
}

fn spinning_up(vehicle: &Arc<Vehicle>, on: usize) -> [Case; 2] {
    [Glass::Wet, Glass::Dry].map(|glass| Case {
        glass,
        ..Case::of("spins up", vehicle, on, 150)
    })
}

/// OFF at moments over more than a cycle of the fastest, every fourth on dry glass.
fn parking(vehicle: &Arc<Vehicle>, on: usize, rest: usize, scope: Scope) -> Vec<Case> {
    let (apart, count) = match scope {
        Scope::Sample => (29, 4),
        Scope::Sweep => (5, 26),
        Scope::Full => (1, 130),
    };
    let case = |moment: u32| {
        let off = 100 + moment * apart;
        Case {
            glass: if moment % 4 == 3 {
                Glass::Dry
            } else {
                Glass::Wet
            },
            phases: vec![(0, on), (off, rest)],
            ..Case::of("parks", vehicle, on, off + 200)
        }
    };
    (0..count).map(case).collect()
}

/// With what changes torque, load or current.
fn faulty(vehicle: &Arc<Vehicle>, on: usize) -> [Case; 6] {
    let with =
        |what, change: &dyn Fn(&mut Vehicle)| Case::of(what, &changed(vehicle, change), on, 80);
    [
        Case {
            row_s: 0.1,
            rows: 600,
            ..with("stalls and cycles", &|v| stiff_pivot(v, 1000.0))
        },
        with("with weak magnets", &|v| weak_magnets(v, 0.8)),
        with("with 1 ohm in its ground", &|v| poor_ground(v, 1.0)),
        with("with 2 ohm in its ground", &|v| poor_ground(v, 2.0)),
        with("with its gear stripped", &stripped_gear),
        with("with a crank that slips", &|v| loose_crank(v, 2.0)),
    ]
}

/// A pivot so stiff that the breaker trips late, and a brush that lifts soon after the shaft has set off.
fn near_the_limit(vehicle: &Arc<Vehicle>, first: usize, last: usize) -> [Case; 2] {
    let stiff = changed(vehicle, |v| stiff_pivot(v, 9.0));
    let lifting = changed(vehicle, |v| lifting_brush(v, 40.0));
    [
        Case {
            row_s: 0.05,
            share: LOOSE_SHARE,
            ..Case::of("with a stiff pivot", &stiff, last, 300)
        },
        Case {
            phases: vec![(0, last), (30, first)],
            share: LOOSE_SHARE,
            ..Case::of("with a lifting brush", &lifting, last, 80)
        },
    ]
}

impl Case {
    /// A run on wet glass from rest with the switch at one position.
    pub(super) fn of(what: &'static str, vehicle: &Arc<Vehicle>, on: usize, rows: u32) -> Self {
        Self {
            what,
            vehicle: Arc::clone(vehicle),
            glass: Glass::Wet,
            phases: vec![(0, on)],
            row_s: FAST_S,
            rows,
            inductance: 0.0,
            share: SHARE,
        }
    }

    /// Words that name it among all others.
    pub(super) fn name(&self) -> String {
        let vehicle = &self.vehicle;
        let mut name = format!("{} {} {}", vehicle.id, self.what, self.glass.word());
        let positions = vehicle.component(roles(vehicle).wiper).positions();
        for &(row, position) in &self.phases {
            let at = f64::from(row) * self.row_s;
            name.push_str(&format!(" {} at {at:.2}", positions[position]));
        }
        name
    }

    /// The deck that writes its answer to a file.
    pub(super) fn deck(&self, file: &str) -> io::Result<String> {
        let deck = self.run().deck(file);
        deck.ok_or_else(|| io::Error::other(format!("{}: no deck", self.name())))
    }

    fn run(&self) -> Run<'_> {
        let roles = roles(&self.vehicle);
        let phase = |&(row, position): &(u32, usize)| {
            let mut positions = vec![0; self.vehicle.components.len()];
            positions[roles.key.index()] = roles.key_on;
            positions[roles.wiper.index()] = position;
            Phase {
                from: f64::from(row) * self.row_s,
                positions,
            }
        };
        Run {
            vehicle: &self.vehicle,
            glass: self.glass,
            phases: self.phases.iter().map(phase).collect(),
            inductance: self.inductance,
            row_s: self.row_s,
            rows: self.rows,
            step_s: if self.row_s > 0.05 { 5e-3 } else { 5e-4 },
        }
    }

    /// The engine's trace.
    pub(super) fn engine(&self) -> Option<Trace> {
        let run = self.run();
        let battery = self
            .vehicle
            .ids()
            .find(|&id| matches!(self.vehicle.component(id).kind, Kind::Battery(_)))?;
        let mut trial = Trial::new(&self.vehicle, self.glass).ok()?;
        // The decks know of no warmth and no charge.
        trial.hold_values();
        let mut trace = Trace::default();
        let mut turned = 0.0;
        for row in 0..self.rows {
            if let Some(place) = self.phases.iter().position(|(from, _)| *from == row) {
                for id in self.vehicle.ids() {
                    trial.set(id, run.phases[place].positions[id.index()]);
                }
            }
            let before = trial.clone();
            let follow = [Followed::Current(battery, 0)];
            let stretch = trial
                .run(Interval::from_seconds(self.row_s), &follow)
                .ok()?;
            if stretch.clicks > 0 {
                let since = click_within(&before, self.row_s)?;
                trace.clicks.push(f64::from(row) * self.row_s + since);
            }
            turned += nearest_turn((trial.crank() - before.crank()).radians());
            trace.rows.push(Row {
                speed: trial.shaft_speed().radians_per_second(),
                turned,
                amperes: -stretch.followed[0].mean,
                contact_moved: trial.cam_inside() != before.cam_inside()
                    || stretch.relay_clicks > 0,
            });
        }
        Some(trace)
    }
}

/// An angle in radians within half a turn: in a row the crank turns less than that, either way.
fn nearest_turn(angle: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    angle - turn * (angle / turn).round()
}

/// Time, within a span, at which a breaker clicks; `None` when it does so more than once.
fn click_within(before: &Trial, span: f64) -> Option<f64> {
    let clicks = |seconds: f64| {
        let mut trial = before.clone();
        let span = Interval::from_seconds(seconds);
        trial.run(span, &[]).ok().map(|stretch| stretch.clicks)
    };
    if clicks(span)? != 1 {
        return None;
    }
    let (mut low, mut high) = (0.0, span);
    while high - low > 1e-6 {
        let middle = 0.5 * (low + high);
        if clicks(middle)? > 0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(0.5 * (low + high))
}
