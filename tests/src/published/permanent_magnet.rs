//! Worked examples of machines with a constant field: EMF, torque, start, stall, plugging, braking, and how
//! long a start takes. Solved as vehicles (`machine`).
//!
//! Tolerance: half a unit of the last printed digit.

use std::f64::consts::E;
use std::sync::Arc;

use groundside_engine::quantity::{Interval, Resistance};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Kind, Vehicle};
use groundside_engine::world::{Shaft, Trial};

use super::machine::{Machine, in_rev_per_min, ohms_where, rev_per_min, rev_per_s};
use super::printed;
use crate::ledger::{Known, Ledger};
use crate::{Operation, Wiper, operating_point, path_of, potentials};

crate::checks![
    emf_and_torque_of_a_separately_excited_machine,
    emf_and_torque_from_flux_and_conductors,
    starting_and_running_currents,
    a_machine_with_a_fixed_brush_drop,
    the_reference_machine,
    how_long_the_reference_machine_takes_to_start,
    plugging,
    dynamic_braking,
    one_more_resistance_in_the_loop_of_a_wiper_motor,
];

fn emf_and_torque_of_a_separately_excited_machine(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 21 example 16",
    );
    let speed = rev_per_s(15.0);
    let running = Machine::new(350.0, 0.5).taking(60.0, speed).solve();
    ledger.near("EMF, V", running.emf(speed), 320.0, 1e-4);
    // The companion to the book prints 203.72 N.m.
    ledger.near("torque, N.m", running.torque(speed), 203.72, printed(2));
}

fn emf_and_torque_from_flux_and_conductors(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 21 example 17",
    );
    // A lap winding has as many parallel paths as poles, so E = flux x conductors x revolutions a second.
    let constant = 20e-3 * 500.0 / std::f64::consts::TAU;
    let running = Machine::new(250.0, 1.0).with_k(constant).solve();
    let speed = running.speed_at(40.0);
    ledger.near("rev/s", in_rev_per_min(speed) / 60.0, 21.0, 1e-5);
    ledger.near("EMF, V", running.emf(speed), 210.0, 1e-4);
    ledger.near("torque, N.m", running.torque(speed), 63.66, printed(2));
}

fn starting_and_running_currents(ledger: &mut Ledger) {
    ledger.source(
        Known::Quoted,
        "a physics textbook, problem: 120 V, 0.720 ohm, 7.00 A",
    );
    let machine = Machine::new(120.0, 0.72).taking(7.0, 100.0);
    ledger.near("EMF, V", machine.solve().emf(100.0), 115.0, printed(0));
    ledger.near("EMF, V", machine.solve().emf(100.0), 114.96, printed(2));
    let start = |series: f64| machine.with_series(series).solve().armature().at_rest;
    ledger.near("start, A", start(0.0), 167.0, printed(0));
    let limiter = ohms_where(100.0, -15.0, |series| -start(series));
    ledger.near("for 15.0 A at the start, ohm", limiter, 7.28, printed(2));

    ledger.source(
        Known::Quoted,
        "College Physics, a toy motor: 6.00 V, EMF 4.50 V, 3.00 A",
    );
    // 4.50 V as 0.045 V s at 100 rad/s; the current falls as the resistance rises.
    let amps = |ohms: f64| Machine::new(6.0, ohms).with_k(0.045).solve().armature();
    let armature = ohms_where(10.0, -3.0, |ohms| -amps(ohms).at(100.0));
    ledger.near("armature, ohm", armature, 0.500, printed(3));
    ledger.near("start, A", amps(armature).at_rest, 12.0, printed(1));

    ledger.source(
        Known::Quoted,
        "a physics textbook, problem: 115 V, 6.5 A running, 21.5 A at start",
    );
    let start = |ohms: f64| -Machine::new(115.0, ohms).solve().armature().at_rest;
    let machine = Machine::new(115.0, ohms_where(100.0, -21.5, start)).taking(6.5, 100.0);
    ledger.near("EMF, V", machine.solve().emf(100.0), 80.2, printed(1));

    ledger.source(
        Known::Computed,
        "recomputed from E = V - I R; the example, from memory, OpenStax College Physics 23.6",
    );
    let running = Machine::new(48.0, 0.4).with_k(0.4).solve();
    let start = running.armature().at_rest;
    ledger.near("start, A", start, 120.0, 1e-3);
    ledger.near("heat at the start, kW", running.heat(0.0) / 1e3, 5.76, 1e-4);
    ledger.near(
        "running at 40.0 V, A",
        running.armature().at(100.0),
        20.0,
        1e-4,
    );
    ledger.near("heat running, W", running.heat(100.0), 160.0, 1e-3);
}

fn a_machine_with_a_fixed_brush_drop(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "an open companion of worked textbook examples (FOSSEE 1892), example 4.4",
    );
    let machine = Machine::new(48.0, 0.15).with_series(0.15).with_k(0.12);
    // The no-load speed is the ideal one, without the drop of the brushes.
    let ideal = in_rev_per_min(machine.solve().speed_at(0.0));
    ledger.near("no load, rev/min", ideal, 3820.0, 0.5);
    let held = Machine {
        brushes: 2.0,
        ..machine
    }
    .solve();
    ledger.near("start, A", held.armature().at_rest, 153.3, printed(1));
    ledger.near("start, N.m", held.torque(0.0), 18.4, printed(1));
}

/// The Modelica library's permanent-magnet machine with its default data.
fn reference() -> Machine {
    Machine {
        inertia: 0.15,
        ..Machine::new(100.0, 0.05).taking(100.0, rev_per_min(1425.0))
    }
}

const MODELICA: &str = "Modelica Standard Library, Electrical.Machines, DC machines, default data";

fn the_reference_machine(ledger: &mut Ledger) {
    ledger.source(Known::Read, MODELICA);
    let (machine, rated) = (reference(), rev_per_min(1425.0));
    let running = machine.solve();
    ledger.near("mV s", machine.k * 1e3, 636.62, printed(2));
    ledger.near("EMF, V", running.emf(rated), 95.0, 1e-4);
    ledger.near("torque, N.m", running.torque(rated), 63.66, printed(2));
    ledger.near(
        "no load, rev/min",
        in_rev_per_min(machine.speed()),
        1500.0,
        1e-3,
    );
    ledger.near("stall, A", running.armature().at_rest, 2000.0, 0.01);
    // The torque of the rated point as a load brings it back to the rated speed and current.
    let loaded = machine.with_load(running.torque(rated));
    ledger.near(
        "loaded, rev/min",
        in_rev_per_min(loaded.speed()),
        1425.0,
        1e-3,
    );
    ledger.near("loaded, A", loaded.amps(), 100.0, 1e-3);
    // Electrically excited: the same with a field that takes 1 A, counted or not.
    let excited = machine.with_shunt(100.0).solve();
    let power = excited.shaft_power(rated);
    let with_field = power / (100.0 * excited.line().at(rated));
    let without = power / (100.0 * excited.armature().at(rated));
    ledger.near(
        "efficiency with the field, %",
        100.0 * with_field,
        94.06,
        printed(2),
    );
    ledger.near(
        "efficiency without it, %",
        100.0 * without,
        95.0,
        printed(1),
    );
    // Series, its field 0.01 ohm (from memory): the EMF at 100 A and 1410 rev/min.
    let rated = rev_per_min(1410.0);
    let series = Machine::new(100.0, 0.05).with_series(0.01);
    let series = series.taking(100.0, rated).solve();
    ledger.near("series, EMF, V", series.emf(rated), 94.0, 1e-4);
    ledger.near(
        "series, torque, N.m",
        series.torque(rated),
        63.66,
        printed(2),
    );
}

fn how_long_the_reference_machine_takes_to_start(ledger: &mut Ledger) {
    ledger.source(Known::Read, MODELICA);
    // Winding inductance is left out of the engine, so this is the mechanical time constant J R / k^2.
    for (inertia, milliseconds) in [(0.15, 18.51), (0.30, 37.01)] {
        let machine = Machine {
            inertia,
            ..reference()
        };
        let final_speed = machine.speed();
        let vehicle = machine.vehicle();
        let mut trial = Trial::new(&vehicle, Glass::Wet).unwrap();
        // The printed time is of a machine that does not warm.
        trial.hold_values();
        trial.set(vehicle.control("key").unwrap(), 2);
        trial.set(vehicle.control("wiper").unwrap(), 1);
        // At the printed time the speed has come to 1 - 1/e of the final one; and from there to twice as long.
        let mut left = 1.0;
        for turn in 1..=2 {
            let span = Interval::from_seconds(milliseconds * 1e-3);
            trial.run(span, &[]).unwrap();
            left /= E;
            let speed = trial.shaft_speed().radians_per_second() / final_speed;
            let constant = -milliseconds * f64::from(turn) / (1.0 - speed).ln();
            let what = format_args!("time constant of {inertia} kg m2 by turn {turn}, ms");
            ledger.near(what, constant, milliseconds, printed(2));
            ledger.near("share of the speed still to come", 1.0 - speed, left, 1e-3);
        }
    }
}

/// The machine of the plugging example, and the speed at which it is plugged.
fn plugged() -> (Machine, f64) {
    let machine = Machine::new(220.0, 0.05).taking(100.0, rev_per_min(970.0));
    (machine, rev_per_min(1000.0))
}

fn plugging(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "a text on electric drives, example 5.8, by its open companion (FOSSEE 3731)",
    );
    let (machine, speed) = plugged();
    let reversed = Machine {
        volts: -220.0,
        ..machine
    };
    let amps = |series: f64| reversed.with_series(series).solve().armature();
    // The resistance printed in the book is wrong, as its companion says; the companion's is 2.158 ohm.
    let series = ohms_where(100.0, -200.0, |series| amps(series).at(speed));
    ledger.near("for 200 A, ohm", series, 2.158, printed(3));
    let plugged = reversed.with_series(series).solve();
    ledger.near("EMF, V", plugged.emf(speed), 221.65, printed(2));
    ledger.near("torque, N.m", -plugged.torque(speed), 423.3, printed(1));
    ledger.near("at rest, A", -plugged.armature().at_rest, 99.6, printed(1));
    ledger.near("at rest, N.m", -plugged.torque(0.0), 210.9, printed(1));
}

fn dynamic_braking(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "recomputed from E = k w and T = k I for the machine of the plugging example",
    );
    let (machine, speed) = plugged();
    let shorted = Machine {
        volts: 0.0,
        ..machine
    };
    let amps = |series: f64| shorted.with_series(series).solve().armature();
    let series = ohms_where(100.0, -200.0, |series| amps(series).at(speed));
    ledger.near("for 200 A, ohm", series, 1.058, printed(3));
    let braked = shorted.with_series(series).solve();
    ledger.near("torque, N.m", -braked.torque(speed), 423.3, printed(1));
    let half = 0.5 * speed;
    ledger.near("at half speed, A", -braked.armature().at(half), 100.0, 1e-3);
    ledger.near(
        "at half speed, N.m",
        -braked.torque(half),
        211.7,
        printed(1),
    );
}

/// Friction of the wiper motor of the next check, newton metres, and what grows of it with each radian a second.
const FRICTION: (f64, f64) = (0.062, 0.000_183);
/// Its supply, volts; its EMF constant, volt seconds, and ohms of its winding between the brushes of LOW and of HIGH; ohms of
/// the way to its terminal and of its ground.
const LOOP_V: f64 = 12.6;
const LOW_BRUSHES: (f64, f64) = (0.0366, 0.9);
const HIGH_BRUSHES: (f64, f64) = (0.0268, 0.5);
const LOOP_OHMS: [f64; 2] = [0.156, 0.010];

/// Speed, current, and volts at its terminal and at its case, with so much more at the pin or in the ground.
fn looped((k, winding): (f64, f64), pin: f64, ground: f64) -> [f64; 4] {
    let [feed, strap] = LOOP_OHMS;
    let machine = Machine::new(LOOP_V, winding)
        .with_k(k)
        .with_load(FRICTION.0);
    let mut vehicle = Vehicle::clone(&machine.vehicle());
    for (name, ohms) in [("motor-53", feed + pin), ("motor-strap", strap + ground)] {
        let (component, path) = path_of(&vehicle, name);
        vehicle.components[component.index()].paths[path].resistance = Resistance::from_ohms(ohms);
    }
    for component in &mut vehicle.components {
        if let Kind::Motor(data) = &mut component.kind {
            data.viscous_nms = FRICTION.1;
        }
    }
    let vehicle = Arc::new(vehicle);
    let operation = Operation {
        wiper: Wiper::Low,
        crank_deg: None,
        shaft: Shaft::Running,
        meters: Vec::new(),
    };
    let point = operating_point(&vehicle, &operation);
    let volts = potentials(&vehicle, &point.response, point.speed);
    let (component, path) = path_of(&vehicle, "motor common-brush");
    let brush = point.response.element_of(component, path).unwrap();
    let speed = point.speed.radians_per_second();
    let ground = volts["battery neg"];
    [
        speed,
        point.response.current(brush).at(speed),
        volts["motor 53"] - ground,
        volts["motor 31"] - ground,
    ]
}

fn one_more_resistance_in_the_loop_of_a_wiper_motor(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "w = (k V / R - T) / (k^2 / R + b) and I = (T + b w) / k, own numbers",
    );
    // What is added in the feed and in the ground gives the same speed and current: one voltage tells them apart.
    let (low, high) = (LOW_BRUSHES, HIGH_BRUSHES);
    for (place, brushes, [pin, ground], [speed, amps, terminal, case]) in [
        ("sound", low, [0.0, 0.0], [257.43, 2.981, 12.135, 0.030]),
        ("pin", low, [0.8, 0.0], [205.51, 2.7215, 9.998, 0.027]),
        ("ground", low, [0.0, 0.8], [205.51, 2.7215, 12.175, 2.204]),
        ("at HIGH", high, [0.0, 0.0], [352.79, 4.722, 11.863, 0.047]),
    ] {
        let found = looped(brushes, pin, ground);
        let ((k, winding), [feed, strap]) = (brushes, LOOP_OHMS);
        let ohms = winding + feed + strap + pin + ground;
        let (friction, viscous) = FRICTION;
        let closed = (k * LOOP_V / ohms - friction) / (k * k / ohms + viscous);
        ledger.near(format_args!("{place}, rad/s"), found[0], closed, 1e-4);
        ledger.near(
            format_args!("{place}, rad/s, own numbers"),
            found[0],
            speed,
            printed(2),
        );
        ledger.near(format_args!("{place}, A"), found[1], amps, printed(3));
        ledger.near(
            format_args!("{place}, V at the terminal"),
            found[2],
            terminal,
            printed(3),
        );
        ledger.near(
            format_args!("{place}, V at the case"),
            found[3],
            case,
            printed(3),
        );
    }
}
