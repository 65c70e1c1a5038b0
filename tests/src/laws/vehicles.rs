//! Laws of circuits with a motor in them, on random variants, settings and speeds of every vehicle: currents into
//! a node, conservation of energy, and what a growing resistance does.
//!
//! **What a growing resistance does.** The rest of a linear circuit, seen from the ends of one path, is an EMF `v`
//! behind a resistance `r` (Thevenin). With the path's own resistance `x` its current is `v / (r + x)` and its drop
//! `v x / (r + x)`: as `x` grows the one never grows, the other never falls, and neither turns round; every other
//! voltage is affine in that current and so goes one way. That holds with any number of sources, and with a motor
//! held still or held at a speed. With a motor that runs against friction, which is a resistance that only takes
//! (and a gyrator between, which takes and gives nothing), the relation of voltage and current at the path's
//! ends stays monotone, as at any port of monotone resistances (Minty 1960), so current and drop do as above.
//! Where a single EMF feeds everything through the path (a *trunk*), all other voltages shrink by one factor with
//! the motor held; and the speed of a running motor never rises, being affine in the voltage behind the trunk and
//! nothing without it.

use std::sync::Arc;

use groundside_engine::quantity::{AngularVelocity, Resistance};
use groundside_engine::vehicle::{ComponentId, Emf, OPEN, Response, Vehicle};
use groundside_engine::world::{OperatingPoint, Shaft};
use proptest::prelude::*;
use proptest::sample::Index;

use super::ROUNDING;
use super::drawn::{Drawn, drawn, fleet};
use crate::has_wound_field;
use crate::ledger::{Known, Ledger};
use crate::space::adrift;

crate::checks![
    what_the_sources_give_is_heat_and_shaft_power,
    currents_into_each_node_of_a_vehicle_sum_to_nothing,
    more_resistance_never_raises_the_current_or_lowers_the_drop,
    more_resistance_moves_every_voltage_one_way,
    more_resistance_in_the_trunk_weakens_all_behind_it,
];

/// Random operating points of a sample.
const POINTS: u32 = 128;

/// Shaft speeds that a motor may be driven at, rad/s.
fn speeds() -> impl Strategy<Value = f64> {
    prop_oneof![1 => Just(0.0), 4 => -600.0..600.0_f64]
}

fn what_the_sources_give_is_heat_and_shaft_power(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "conservation of energy; k is one number for EMF and torque",
    );
    let fleet = fleet();
    ledger.for_all(POINTS, &(drawn(), speeds()), |(drawn, speed), ledger| {
        let response = drawn.solve(&drawn.of(&fleet).vehicle, Shaft::Held).response;
        let omega = AngularVelocity::from_radians_per_second(*speed);
        let (mut given, mut heat, mut into_emfs) = (0.0, 0.0, 0.0);
        // The power that sources would turn to heat with their ends joined: the scale of rounding.
        let mut short_circuit = 0.0;
        for (index, element) in response.elements().iter().enumerate() {
            let amperes = response.current_at(index, omega).amperes();
            heat += amperes * amperes * element.resistance.ohms();
            let volts = match element.emf {
                Emf::None => continue,
                Emf::Constant(emf) => {
                    given -= emf.volts() * amperes;
                    emf.volts()
                }
                Emf::PerSpeed(constant) => {
                    let volts = constant.volt_seconds() * speed;
                    into_emfs += volts * amperes;
                    volts
                }
            };
            short_circuit += volts * volts / element.resistance.ohms();
        }
        let shaft = response.torque_at(omega).newton_metres() * speed;
        let bound = ROUNDING * (heat + given.abs() + shaft.abs() + short_circuit);
        let fault = &drawn.of(&fleet).name;
        let what = format_args!("{fault}: given, less heat and shaft power");
        ledger.near(what, given, heat + shaft, bound);
        let what = format_args!("{fault}: power into EMFs, and shaft power");
        ledger.near(what, into_emfs, shaft, bound);
    });
}

fn currents_into_each_node_of_a_vehicle_sum_to_nothing(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "Kirchhoff 1845, the current law");
    let fleet = fleet();
    ledger.for_all(POINTS, &(drawn(), speeds()), |(drawn, speed), ledger| {
        let vehicle = &drawn.of(&fleet).vehicle;
        let response = drawn.solve(vehicle, Shaft::Held).response;
        let omega = AngularVelocity::from_radians_per_second(*speed);
        let mut sums = vec![0.0; vehicle.node_names.len()];
        let mut sizes = vec![0.0; vehicle.node_names.len()];
        let mut injected = 0.0;
        for (index, element) in response.elements().iter().enumerate() {
            let amperes = response.current_at(index, omega).amperes();
            let emf = match element.emf {
                Emf::None => 0.0,
                Emf::Constant(emf) => emf.volts(),
                Emf::PerSpeed(constant) => constant.volt_seconds() * speed,
            };
            let volts = |node| response.potential_at(node, omega).volts().abs();
            let size =
                (volts(element.p) + volts(element.n) + emf.abs()) / element.resistance.ohms();
            injected += emf.abs() / element.resistance.ohms();
            sums[element.p.index()] += amperes;
            sums[element.n.index()] -= amperes;
            sizes[element.p.index()] += size;
            sizes[element.n.index()] += size;
        }
        for (node, (sum, size)) in sums.iter().zip(sizes).enumerate() {
            let what = format_args!("current into {}", vehicle.node_names[node]);
            ledger.near(what, *sum, 0.0, ROUNDING * (size + injected));
        }
    });
}

/// A vehicle in which one path has so many ohms more.
fn with_more(
    vehicle: &Vehicle,
    (component, path): (ComponentId, usize),
    ohms: f64,
) -> Arc<Vehicle> {
    let mut changed = vehicle.clone();
    let path = &mut changed.components[component.index()].paths[path];
    path.resistance = path.resistance + Resistance::from_ohms(ohms);
    Arc::new(changed)
}

/// Ohms added step by step, from a tenth of a milliohm to more than insulation.
fn growing() -> impl Iterator<Item = f64> {
    let steps = (0..30_i32).map(|step| 1e-4 * 3.0_f64.powi(step));
    std::iter::once(0.0).chain(steps)
}

/// A path that conducts at this point, chosen by `index`.
fn a_path(point: &OperatingPoint, index: &Index) -> (ComponentId, usize) {
    let elements = point.response.elements();
    let conducts = |ohms: f64| ohms < OPEN.ohms();
    let paths: Vec<(ComponentId, usize)> = elements
        .iter()
        .filter(|element| !element.leak && conducts(element.resistance.ohms()))
        .filter_map(|element| element.origin)
        .collect();
    *index.get(&paths)
}

/// Current of a path and the drop over its resistance, at the point's own speed.
fn current_and_drop(point: &OperatingPoint, path: (ComponentId, usize)) -> (f64, f64) {
    let response = &point.response;
    let index = response.element_of(path.0, path.1).unwrap();
    let amperes = response.current_at(index, point.speed).amperes();
    (
        amperes,
        amperes * response.elements()[index].resistance.ohms(),
    )
}

fn more_resistance_never_raises_the_current_or_lowers_the_drop(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Thevenin's theorem; monotone networks, Minty 1960",
    );
    let fleet = fleet();
    let cases = (drawn(), any::<Index>(), any::<bool>());
    ledger.for_all(POINTS / 2, &cases, |(drawn, index, running), ledger| {
        let variant = drawn.of(&fleet);
        // Where a field is wound, more resistance in it is less flux, and a motor that runs takes more current.
        let shaft = if *running && !has_wound_field(&variant.vehicle) {
            Shaft::Running
        } else {
            Shaft::Held
        };
        let sound = drawn.solve(&variant.vehicle, shaft);
        let path = a_path(&sound, index);
        let mut last: Option<(f64, f64)> = None;
        for ohms in growing() {
            let point = drawn.solve(&with_more(&variant.vehicle, path, ohms), shaft);
            let stands = |point: &OperatingPoint| point.speed.radians_per_second() == 0.0;
            if point.setting.pulled != sound.setting.pulled || stands(&point) != stands(&sound) {
                // A relay has dropped out, or a motor that stalled turns where a battery is charged less.
                break;
            }
            let (amperes, drop) = current_and_drop(&point, path);
            if let Some((amperes_before, drop_before)) = last {
                // Rounding of a current that is the difference of potentials of some volts, its own and those of
                // neighbours of a hundredth of an ohm.
                let slack = |ohms: f64| 1e-12 + 1e-13 / ohms.max(1e-3);
                let grows = amperes.abs() > amperes_before.abs() * (1.0 + 1e-9) + slack(ohms);
                let rounded = 1e-11 + slack(ohms) * ohms;
                let falls = drop.abs() < drop_before.abs() * (1.0 - 1e-9) - rounded;
                let turns = amperes * amperes_before < -slack(ohms);
                let what = format_args!(
                    "{}, {:?}, {ohms:e} ohm more: {amperes:e} A after {amperes_before:e}, {drop:e} V after {drop_before:e}",
                    variant.name, path
                );
                ledger.holds(what, !grows && !falls && !turns);
            }
            last = Some((amperes, drop));
        }
    });
}

/// Potentials of all nodes with the shaft held, volts.
fn held_volts(response: &Response, vehicle: &Vehicle) -> Vec<f64> {
    let mut volts = vec![0.0; vehicle.node_names.len()];
    for element in response.elements() {
        for node in [element.p, element.n] {
            volts[node.index()] = response.potential(node).at_rest;
        }
    }
    volts
}

fn more_resistance_moves_every_voltage_one_way(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "Thevenin's theorem, and linearity");
    let fleet = fleet();
    ledger.for_all(
        POINTS / 2,
        &(drawn(), any::<Index>()),
        |(drawn, index), ledger| {
            let vehicle = &drawn.of(&fleet).vehicle;
            let point = drawn.solve(vehicle, Shaft::Held);
            let rounding = adrift(&point);
            let path = a_path(&point, index);
            let rows: Vec<Vec<f64>> = growing()
                .map(|ohms| {
                    let changed = with_more(vehicle, path, ohms);
                    (drawn.solve(&changed, Shaft::Held), changed)
                })
                // Until it lets a relay drop out.
                .take_while(|(more, _)| more.setting.pulled == point.setting.pulled)
                .map(|(more, changed)| held_volts(&more.response, &changed))
                .collect();
            if rows.is_empty() {
                return;
            }
            for (node, name) in vehicle.node_names.iter().enumerate() {
                let whole = rows[rows.len() - 1][node] - rows[0][node];
                for pair in rows.windows(2) {
                    let step = pair[1][node] - pair[0][node];
                    let back = step * whole.signum() < -1e-12 - rounding;
                    ledger.holds(format_args!("{name} moves one way: {step:e}"), !back);
                }
            }
        },
    );
}

/// Whether all current of the only EMF that stands still goes through the path.
fn is_trunk(point: &OperatingPoint, path: (ComponentId, usize)) -> bool {
    let response = &point.response;
    let constant = |emf: &Emf| matches!(emf, Emf::Constant(emf) if emf.volts() != 0.0);
    let mut sources = response
        .elements()
        .iter()
        .enumerate()
        .filter(|(_, element)| constant(&element.emf) && element.resistance.ohms() < 1e6);
    let (Some((source, _)), None) = (sources.next(), sources.next()) else {
        return false;
    };
    let own = response.element_of(path.0, path.1).unwrap();
    let (given, carried) = (
        response.current(source).at_rest,
        response.current(own).at_rest,
    );
    given.abs() > 1e-3 && (given.abs() - carried.abs()).abs() < 1e-7 * given.abs()
}

fn more_resistance_in_the_trunk_weakens_all_behind_it(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "Thevenin's theorem, with a single source");
    let fleet = fleet();
    let tried = std::cell::Cell::new(0_u32);
    let of_the_trunk = |drawn: &Drawn, index: &Index, ledger: &mut Ledger| {
        let vehicle = &drawn.of(&fleet).vehicle;
        let point = drawn.solve(vehicle, Shaft::Held);
        let path = a_path(&point, index);
        if !is_trunk(&point, path) {
            return;
        }
        tried.set(tried.get() + 1);
        let index = point.response.element_of(path.0, path.1).unwrap();
        let before = point.response.current(index).at_rest;
        let mut speed_before = f64::INFINITY;
        for ohms in growing().take_while(|&ohms| ohms < 1e3) {
            let changed = with_more(vehicle, path, ohms);
            let more = drawn.solve(&changed, Shaft::Held);
            if more.setting.pulled != point.setting.pulled {
                // A relay has dropped out.
                break;
            }
            let held = more.response;
            let share = held.current(index).at_rest / before;
            // What the trunk carries, every other branch carries its share of.
            for (place, element) in point.response.elements().iter().enumerate() {
                if element.resistance.ohms() < 1e3 {
                    let (found, expected) = (
                        held.current(place).at_rest,
                        share * point.response.current(place).at_rest,
                    );
                    // Leaks past the trunk of some nanoamperes, and rounding over milliohms.
                    let bound = 1e-7 * expected.abs() + 1e-7;
                    ledger.near("a branch's share of the trunk", found, expected, bound);
                }
            }
            let running = drawn.solve(&changed, Shaft::Running).speed;
            let speed = running.radians_per_second().abs();
            let what = format_args!("{speed} rad/s after {speed_before}, {ohms:e} ohm more");
            ledger.holds(what, speed <= speed_before + 1e-6);
            speed_before = speed;
        }
    };
    ledger.for_all(
        2 * POINTS,
        &(drawn(), any::<Index>()),
        |(drawn, index), ledger| {
            ledger.holds("the trunk has been sought", true);
            of_the_trunk(drawn, index, ledger);
        },
    );
    // With the engine running there are two sources and no trunk.
    ledger.holds("some paths are trunks", tried.get() >= POINTS / 32);
}
