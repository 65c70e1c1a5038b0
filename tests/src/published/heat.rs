//! Breakers as a thermal replica: how long until they trip from cold and from warm, how they cycle. Through the law
//! of the bimetal, and through a vehicle that stands stalled behind its breaker.

use std::sync::Arc;

use groundside_engine::machines::Bimetal;
use groundside_engine::quantity::{Current, Interval, Resistance};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Kind, Vehicle};

use super::machine::Machine;
use super::printed;
use crate::ledger::{Known, Ledger};
use crate::{Rig, Wiper, fleet, path_of};

crate::checks![
    trip_times_by_the_law,
    trip_times_of_a_stalled_vehicle,
    a_hot_trip_of_a_stalled_vehicle,
    a_breaker_that_cycles,
    room_for_a_start,
    limits_of_vehicle_breakers,
];

const REPLICA: &str = "recomputed from t = tau ln((I^2 - Ip^2) / (I^2 - (k Ib)^2)), IEC 60255-8 as quoted in relay manuals";

/// I over I_trip, and the time to trip from cold over the time constant.
const COLD: [(f64, f64); 8] = [
    (1.05, 2.3755),
    (1.1, 1.7513),
    (1.35, 0.7956),
    (1.5, 0.5878),
    (2.0, 0.2877),
    (3.0, 0.1178),
    (4.0, 0.0645),
    (6.0, 0.0282),
];

const TRIP_A: f64 = 10.0;
/// Time constant in the vehicle, seconds: long, so that a click met to two milliseconds is met to the
/// printed digits.
const TAU_S: f64 = 100.0;
const RECLOSE: f64 = 0.6;
/// A click is found to two milliseconds at most.
const CLICK: f64 = 2e-3 / TAU_S;

const LAW: Bimetal = Bimetal {
    ultimate: Current::from_amperes(TRIP_A),
    time_constant: Interval::from_seconds(TAU_S),
};

/// Time over the time constant until the heat comes to `level` from `heat`.
fn time(level: f64, heat: f64, amps: f64) -> f64 {
    let time = LAW.time_to(level, heat, Current::from_amperes(amps));
    time.map_or(f64::NAN, Interval::seconds) / TAU_S
}

fn trip_times_by_the_law(ledger: &mut Ledger) {
    ledger.source(Known::Computed, REPLICA);
    for (ratio, expected) in COLD {
        let found = time(1.0, 0.0, ratio * TRIP_A);
        ledger.near(
            format_args!("cold, at {ratio}"),
            found,
            expected,
            printed(4),
        );
    }
    // 90 % of the trip current carried before: the heat it leads to is 0.81 (theta goes with I^2).
    let before = LAW.final_heat(Current::from_amperes(0.9 * TRIP_A));
    ledger.near("heat at 90 %", before, 0.81, 1e-12);
    ledger.near(
        "hot, at 2",
        time(1.0, before, 2.0 * TRIP_A),
        0.0614,
        printed(4),
    );
    let first = time(1.0, 0.0, 2.0 * TRIP_A);
    let open = time(RECLOSE, 1.0, 0.0);
    let again = time(1.0, RECLOSE, 2.0 * TRIP_A);
    ledger.near("first", first, 0.2877, printed(4));
    ledger.near("open", open, 0.5108, printed(4));
    ledger.near("again", again, 0.1252, printed(4));
    let share = 100.0 * again / (again + open);
    ledger.near("share of time on, %", share, 19.68, printed(2));
}

/// A vehicle that cannot turn, with these amperes through its breaker in LOW and in HIGH.
fn stalled(low_amps: f64, high_amps: f64) -> Rig {
    let machine = Machine::new(12.0, 0.0).with_k(1e-6).with_load(1.0);
    let mut vehicle = Vehicle::clone(&machine.vehicle());
    for (brush, amps) in [
        ("motor low-brush", low_amps),
        ("motor high-brush", high_amps),
    ] {
        let (motor, path) = path_of(&vehicle, brush);
        let ohms = Resistance::from_ohms(12.0 / amps);
        vehicle.components[motor.index()].paths[path].resistance = ohms;
    }
    for component in &mut vehicle.components {
        if let Kind::Breaker(data) = &mut component.kind {
            data.ultimate = Current::from_amperes(TRIP_A);
            data.time_constant = Interval::from_seconds(TAU_S);
            data.reclose = Some(RECLOSE);
        }
    }
    Rig::new(&Arc::new(vehicle), Glass::Wet)
}

/// Time over the time constant until the breaker opens or closes.
fn click(rig: &mut Rig) -> f64 {
    rig.seconds_to_click(10.0 * TAU_S).unwrap_or(f64::NAN) / TAU_S
}

fn trip_times_of_a_stalled_vehicle(ledger: &mut Ledger) {
    ledger.source(Known::Computed, REPLICA);
    for (ratio, expected) in COLD {
        for wiper in [Wiper::Low, Wiper::High] {
            let mut rig = stalled(ratio * TRIP_A, ratio * TRIP_A);
            rig.set(wiper);
            let what = format_args!("cold, at {ratio}, {wiper:?}");
            ledger.near(what, click(&mut rig), expected, printed(4) + CLICK);
        }
    }
    let mut rig = stalled(0.99 * TRIP_A, TRIP_A);
    rig.set(Wiper::Low);
    ledger.holds("99 % is carried for ever", click(&mut rig).is_nan());
}

fn a_hot_trip_of_a_stalled_vehicle(ledger: &mut Ledger) {
    ledger.source(Known::Computed, REPLICA);
    let mut rig = stalled(0.9 * TRIP_A, 2.0 * TRIP_A);
    rig.set(Wiper::Low);
    let before = rig.run(30.0 * TAU_S);
    ledger.near("clicks at 90 %", f64::from(before.clicks), 0.0, 0.0);
    rig.set(Wiper::High);
    ledger.near("hot, at 2", click(&mut rig), 0.0614, printed(4) + CLICK);
}

fn a_breaker_that_cycles(ledger: &mut Ledger) {
    ledger.source(Known::Computed, REPLICA);
    ledger.source(
        Known::Quoted,
        "SAE J553-2022, type 1: resets by itself and cycles while the fault lasts",
    );
    let mut rig = stalled(2.0 * TRIP_A, TRIP_A);
    rig.set(Wiper::Low);
    ledger.near("first", click(&mut rig), 0.2877, printed(4) + CLICK);
    for cycle in 1..=3 {
        let (open, again) = (click(&mut rig), click(&mut rig));
        ledger.near(
            format_args!("open, cycle {cycle}"),
            open,
            0.5108,
            printed(4) + CLICK,
        );
        ledger.near(
            format_args!("again, cycle {cycle}"),
            again,
            0.1252,
            printed(4) + CLICK,
        );
        // Two milliseconds of 12.5 s.
        let share = 100.0 * again / (again + open);
        ledger.near("share of time on, %", share, 19.68, printed(2) + 0.01);
    }
}

fn room_for_a_start(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "recomputed from the reset time tau ln((k Ib)^2 / ((k Ib)^2 - I^2)) of relay manuals",
    );
    // Read as the time without current until there is room for the heat of I below the trip.
    for ratio in [0.3_f64, 0.6, 0.9] {
        let x = ratio * ratio;
        let found = time(1.0 - x, 1.0, 0.0);
        ledger.near(
            format_args!("room for {ratio}"),
            found,
            -(1.0 - x).ln(),
            1e-12,
        );
    }
}

fn limits_of_vehicle_breakers(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "SAE J553: 135 % opens within 60 min; 200 % within about 60 s, usually after 4 s or more",
    );
    for vehicle in fleet::vehicles() {
        for component in &vehicle.components {
            let Kind::Breaker(data) = component.kind else {
                continue;
            };
            let law = Bimetal {
                ultimate: data.ultimate,
                time_constant: data.time_constant,
            };
            let seconds = |ratio: f64| {
                let time = law.time_to(1.0, 0.0, data.ultimate * ratio);
                time.map_or(f64::INFINITY, Interval::seconds)
            };
            let what = format_args!("{} of {} at", component.id, vehicle.id);
            ledger.near(format_args!("{what} 135 %, s"), seconds(1.35), 0.0, 3600.0);
            ledger.between(format_args!("{what} 200 %, s"), seconds(2.0), 4.0, 60.0);
            ledger.holds("100 % is carried", seconds(1.0).is_infinite());
            ledger.holds("it resets by itself", data.reclose.is_some());
        }
    }
}
