//! Runs chosen by hand: spinning up, braking into park at all moments of a wipe, stalling and tripping, creeping
//! near a stall, and whatever else changes how the shaft turns. What is chosen hangs on the vehicle's kinds alone,
//! so every vehicle is run.

use std::sync::Arc;

use groundside_engine::quantity::{Angle, Current, Resistance, Torque};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Emf, Gate, Kind, Roles, ShaftArc, Vehicle};

use super::friction;
use super::machine::Naive;
use super::mechanics::Mechanics;
use super::pair::{Deed, Held, Run};
use super::supply;
use crate::coverage::known;
use crate::ledger::{Known, Ledger, Scope};

crate::checks![
    spinning_up,
    braking_into_park,
    stalling_and_tripping,
    creeping_near_a_stall,
    a_brush_that_lifts,
    gears_nuts_and_links,
    weak_parts,
    added_up_or_solved_as_a_whole,
];

/// What all these are held against.
pub(super) const NAIVE: &str =
    "a second implementation: dense elimination, explicit Euler, the law of cosines";

/// A vehicle, and what is worked on it.
#[derive(Clone)]
struct Bench {
    vehicle: Arc<Vehicle>,
    roles: Roles,
}

impl Bench {
    /// All vehicles that the naive one can be.
    fn all(ledger: &mut Ledger) -> Vec<Self> {
        let bench = |vehicle: Arc<Vehicle>| {
            let roles = vehicle.roles()?;
            Some(Self { vehicle, roles })
        };
        let known = known(ledger);
        known.into_iter().filter_map(bench).collect()
    }

    fn changed(&self, change: impl FnOnce(&mut Vehicle)) -> Self {
        let mut vehicle = Vehicle::clone(&self.vehicle);
        change(&mut vehicle);
        Self {
            vehicle: Arc::new(vehicle),
            ..self.clone()
        }
    }

    /// Running positions of the wiper switch: the speeds, and the interval where there is one.
    fn running(&self) -> Vec<usize> {
        let speeds = self.roles.speeds.iter().copied();
        speeds.chain(self.roles.interval).collect()
    }

    /// Those a sample makes do with: the fastest alone.
    fn some_running(&self, ledger: &Ledger) -> Vec<usize> {
        match ledger.scope() {
            Scope::Sample => vec![self.fastest()],
            Scope::Sweep | Scope::Full => self.running(),
        }
    }

    /// The fastest of them.
    fn fastest(&self) -> usize {
        self.roles.speeds.last().copied().unwrap()
    }

    fn on(&self, position: usize) -> Vec<Deed> {
        vec![
            Deed::Set(self.roles.key, self.roles.key_on),
            Deed::Set(self.roles.wiper, position),
        ]
    }

    fn off(&self) -> Deed {
        Deed::Set(self.roles.wiper, self.roles.off)
    }

    fn run(&self, what: &str, glass: Glass, deeds: Vec<Deed>) -> Run {
        Run {
            what: format!("{}, {what}, {}", self.vehicle.id, glass.word()),
            vehicle: Arc::clone(&self.vehicle),
            glass,
            deeds,
            follow: supply(&self.vehicle),
        }
    }

    fn hold(&self, ledger: &mut Ledger, what: &str, glass: Glass, deeds: Vec<Deed>) {
        let held = self.run(what, glass, deeds).hold(ledger);
        ledger.holds(format_args!("{what}: settles"), held == Held::Yes);
    }
}

/// Rows of a hundredth of a second.
pub(super) fn closely(seconds: u32) -> Deed {
    Deed::Wait {
        rows: 100 * seconds,
        row_s: 0.01,
    }
}

/// Rows that are longer.
fn coarsely(rows: u32, row_s: f64) -> Deed {
    Deed::Wait { rows, row_s }
}

/// Steps, seconds, of a naive vehicle that only looks for the ohms with which another creeps.
const SEARCH_STEP_S: f64 = 1e-3;

const GLASSES: [Glass; 3] = [Glass::Wet, Glass::Dry, Glass::Streaming];

fn first_pivot(vehicle: &mut Vehicle, add_nm: f64) {
    let pivot = vehicle
        .components
        .iter_mut()
        .find_map(|part| match &mut part.kind {
            Kind::Pivot { friction } => Some(friction),
            _ => None,
        });
    if let Some(friction) = pivot {
        *friction = *friction + Torque::from_newton_metres(add_nm);
    }
}

fn spinning_up(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    for bench in Bench::all(ledger) {
        for position in bench.running() {
            for glass in GLASSES {
                let mut deeds = bench.on(position);
                deeds.push(closely(4));
                bench.hold(ledger, &format!("on at {position}"), glass, deeds);
            }
        }
    }
}

fn braking_into_park(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    // OFF at moments of a wipe, among them some inside the window.
    let moments = match ledger.scope() {
        Scope::Sample => 7,
        Scope::Sweep => 28,
        Scope::Full => 140,
    };
    let (mut runs, mut unsettled) = (0, 0);
    for bench in Bench::all(ledger) {
        for position in bench.running() {
            for moment in 0..moments {
                let rows = 100 + 140 * moment / moments;
                let mut deeds = bench.on(position);
                deeds.push(coarsely(rows, 0.01));
                deeds.extend([bench.off(), closely(3)]);
                let what = format!("off from {position} after {rows} rows");
                let held = bench.run(&what, Glass::Wet, deeds).hold(ledger);
                runs += 1;
                unsettled += u32::from(held == Held::Unsettled);
            }
        }
    }
    // Among many moments there is one at which a contact is just about to move.
    let told = format_args!("{unsettled} of {runs} moments hang on a hair");
    ledger.holds(told, 100 * unsettled <= runs);
}

fn stalling_and_tripping(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    for bench in Bench::all(ledger) {
        let seized = bench.changed(|vehicle| first_pivot(vehicle, 60.0));
        let mechanics = Mechanics::of(&bench.vehicle).unwrap();
        let middle = mechanics.wipe_begins() + 0.5 * std::f64::consts::PI;
        for position in bench.running() {
            // From mid-glass, followed through more than a cycle of the breaker.
            let mut deeds = vec![Deed::TurnCrank(middle)];
            deeds.extend(bench.on(position));
            deeds.push(coarsely(600, 0.1));
            seized.hold(
                ledger,
                &format!("seized, on at {position}"),
                Glass::Wet,
                deeds,
            );
        }
        // A stiff pivot that lets it turn: the current swings over the wipe, and the heat with it.
        let stiff = bench.changed(|vehicle| first_pivot(vehicle, 9.0));
        let mut deeds = stiff.on(stiff.fastest());
        deeds.push(coarsely(250, 0.1));
        stiff.hold(ledger, "stiff, last position", Glass::Wet, deeds);
    }
}

fn creeping_near_a_stall(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    // Ohms in the battery until the last position only creeps over its heaviest load, where small errors last
    // longest: the naive vehicle finds how many by itself.
    for bench in Bench::all(ledger) {
        let weak = |ohms: f64| bench.changed(|vehicle| add_to_battery(vehicle, ohms));
        let turns_in_ten = |bench: &Bench| {
            let mut naive =
                Naive::new(&bench.vehicle, friction(&bench.vehicle, Glass::Wet)).unwrap();
            naive.step = SEARCH_STEP_S;
            for deed in bench.on(bench.fastest()) {
                super::pair::do_to(&mut naive, &bench.vehicle, &deed);
            }
            naive.run(10.0, &[]);
            naive.turned / std::f64::consts::TAU
        };
        // Creeping is a turn in five seconds and less.
        let creeps = (1..200_u32)
            .map(|tenths| weak(f64::from(tenths) * 0.1))
            .find(|weak| turns_in_ten(weak) < 2.5)
            .unwrap();
        let mut deeds = creeps.on(creeps.fastest());
        deeds.push(coarsely(250, 0.1));
        creeps.hold(ledger, "creeping", Glass::Wet, deeds);
    }
}

fn add_to_battery(vehicle: &mut Vehicle, ohms: f64) {
    let paths = vehicle
        .components
        .iter_mut()
        .flat_map(|part| &mut part.paths);
    for path in paths.filter(|path| matches!(path.emf, Emf::Constant(_))) {
        path.resistance = path.resistance + Resistance::from_ohms(ohms);
    }
}

fn a_brush_that_lifts(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    for bench in Bench::all(ledger) {
        let brushes: Vec<(usize, usize)> = brushes(&bench.vehicle);
        for (component, path) in brushes {
            // A motor with two brushes alone stops and goes with a brush that is off for so long.
            let long = (!crate::has_wound_field(&bench.vehicle)).then_some(120.0);
            for degrees in std::iter::once(40.0).chain(long) {
                let worn = bench.changed(|vehicle| {
                    let (from, to) = (Angle::ZERO, Angle::from_degrees(degrees));
                    vehicle.components[component].paths[path].gate =
                        Gate::ShaftOutside(ShaftArc { from, to });
                });
                for position in bench.some_running(ledger) {
                    let mut deeds = vec![Deed::TurnShaft(4.0)];
                    deeds.extend(worn.on(position));
                    deeds.push(closely(3));
                    let what = format!("brush {path} lifts over {degrees} deg, on at {position}");
                    worn.hold(ledger, &what, Glass::Wet, deeds);
                }
            }
        }
    }
}

/// Resistances of the motor without an EMF.
fn brushes(vehicle: &Vehicle) -> Vec<(usize, usize)> {
    let parts = vehicle.components.iter().enumerate();
    let motors = parts.filter(|(_, part)| matches!(part.kind, Kind::Motor(_)));
    motors
        .flat_map(|(place, part)| {
            let paths = part.paths.iter().enumerate();
            paths
                .filter(|(_, path)| path.emf == Emf::None)
                .map(move |(path, _)| (place, path))
        })
        .collect()
}

fn gears_nuts_and_links(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    for bench in Bench::all(ledger) {
        let stripped = bench.changed(|vehicle| {
            for part in &mut vehicle.components {
                if let Kind::Gear(data) = &mut part.kind {
                    data.stripped = true;
                }
            }
        });
        let slipping = |torque: f64| {
            bench.changed(|vehicle| {
                for part in &mut vehicle.components {
                    if let Kind::CrankNut { slip } = &mut part.kind {
                        *slip = Some(Torque::from_newton_metres(torque));
                    }
                }
            })
        };
        let undo = |wanted: fn(&Kind) -> bool| {
            let found = bench
                .vehicle
                .ids()
                .find(|&id| wanted(&bench.vehicle.component(id).kind));
            found.map(Deed::Undo)
        };
        let nut = undo(|kind| matches!(kind, Kind::CrankNut { .. }));
        let link = undo(|kind| matches!(kind, Kind::ConnectingLink));
        let cases = [
            ("stripped", stripped, None),
            ("slipping at 0.5 N.m", slipping(0.5), None),
            ("slipping at 2 N.m", slipping(2.0), None),
            ("slipping at 5 N.m", slipping(5.0), None),
            ("crank off", bench.clone(), nut),
            ("link off", bench.clone(), link),
        ];
        for (what, bench, undo) in cases {
            for position in bench.some_running(ledger) {
                let mut deeds = bench.on(position);
                deeds.extend(undo.clone());
                deeds.extend([closely(3), bench.off(), closely(3)]);
                bench.hold(ledger, &format!("{what}, {position}"), Glass::Wet, deeds);
            }
        }
    }
}

fn weak_parts(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    for bench in Bench::all(ledger) {
        let magnets = bench.changed(|vehicle| {
            for path in vehicle
                .components
                .iter_mut()
                .flat_map(|part| &mut part.paths)
            {
                if let Emf::PerSpeed(constant) = &mut path.emf {
                    *constant = *constant * 0.6;
                }
            }
        });
        let breaker = bench.changed(|vehicle| {
            for part in &mut vehicle.components {
                if let Kind::Breaker(data) = &mut part.kind {
                    data.ultimate = Current::from_amperes(1.5);
                }
            }
        });
        for position in bench.some_running(ledger) {
            let mut deeds = magnets.on(position);
            deeds.extend([closely(4), magnets.off(), closely(3)]);
            magnets.hold(
                ledger,
                &format!("weak magnets, {position}"),
                Glass::Wet,
                deeds,
            );
            // It trips while the motor runs, cools, closes, and so on.
            let mut deeds = breaker.on(position);
            deeds.push(coarsely(600, 0.1));
            breaker.hold(
                ledger,
                &format!("weak breaker, {position}"),
                Glass::Wet,
                deeds,
            );
        }
    }
}

fn added_up_or_solved_as_a_whole(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "the naive vehicle's own circuit, solved afresh for all EMFs at once",
    );
    for bench in Bench::all(ledger) {
        for position in bench.running() {
            let mut naive =
                Naive::new(&bench.vehicle, friction(&bench.vehicle, Glass::Wet)).unwrap();
            for deed in bench.on(position).iter().chain([&closely(1)]) {
                super::pair::do_to(&mut naive, &bench.vehicle, deed);
            }
            for moment in 0..20_u32 {
                naive.run(0.037, &[]);
                let what = format_args!("{}, position {position}, {moment}", bench.vehicle.id);
                ledger.near(what, naive.adding_up_is_off_by(), 0.0, 1e-12);
            }
        }
    }
}
