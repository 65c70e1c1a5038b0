//! Wiping frequencies: what the rules ask, what the vehicles do, and that blades go home by themselves.

use std::sync::Arc;

use groundside_engine::machines::{meets_eu_rule, meets_us_rule};
use groundside_engine::quantity::{AngularVelocity, Voltage};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Emf, Kind, Vehicle};

use crate::ledger::{Known, Ledger};
use crate::naive::mechanics::Mechanics;
use crate::{Rig, Wiper, drive_train, fleet, roles};

crate::checks![
    both_rules_on_ready_cases,
    both_rules_at_their_limits,
    vehicles_meet_both_rules_on_wet_glass,
    a_cycle_is_a_turn_of_the_crank,
    blades_go_home_by_themselves,
];

const US: &str =
    "49 CFR 571.104 S4.1.1 (the 20 and the 15 of S4.1.1.3 from memory and a text that quotes it)";
const EU: &str = "Regulation (EU) 1008/2010, Annex III, 1.1.5; 78/318/EEC, Annex I, 5.1.3";

fn both_rules_on_ready_cases(ledger: &mut Ledger) {
    ledger.source(Known::Quoted, US);
    ledger.source(Known::Read, EU);
    // Low and high, whether the American and the European rule is met.
    for (low, high, us, eu) in [
        (30.0, 45.0, true, true),
        (40.0, 50.0, false, false),
        (12.0, 45.0, false, true),
        (58.0, 75.0, true, false),
        (28.0, 44.0, false, false),
        (20.0, 45.0, true, true),
    ] {
        for settings in [[low, high], [high, low]] {
            let what = format_args!("{low} and {high}");
            ledger.holds(format_args!("US, {what}"), meets_us_rule(&settings) == us);
            ledger.holds(format_args!("EU, {what}"), meets_eu_rule(&settings) == eu);
        }
    }
}

fn both_rules_at_their_limits(ledger: &mut Ledger) {
    ledger.source(Known::Quoted, US);
    ledger.source(Known::Read, EU);
    // Each limit belongs to what is allowed, and a thousandth beyond it is not.
    for (settings, us, eu) in [
        ([19.999, 45.0], false, true),
        ([10.0, 45.0], false, true),
        ([9.999, 45.0], false, false),
        ([55.0, 70.0], true, true),
        ([55.001, 71.0], true, false),
        ([30.0, 44.999], false, false),
        ([30.001, 45.0], false, false),
    ] {
        ledger.holds(
            format_args!("US, {settings:?}"),
            meets_us_rule(&settings) == us,
        );
        ledger.holds(
            format_args!("EU, {settings:?}"),
            meets_eu_rule(&settings) == eu,
        );
    }
}

/// A vehicle with every 12 V of its battery at another open-circuit voltage.
fn on_battery(vehicle: &Vehicle, volts: f64) -> Arc<Vehicle> {
    let mut changed = vehicle.clone();
    for component in &mut changed.components {
        if matches!(component.kind, Kind::Battery(_))
            && let Emf::Constant(emf) = &mut component.paths[0].emf
        {
            let dozens = (emf.volts() / 12.0).round();
            *emf = Voltage::from_volts(volts * dozens);
        }
    }
    Arc::new(changed)
}

/// The vehicles with a LOW and a HIGH, and perhaps more between them.
pub(super) fn two_speed_vehicles() -> Vec<Arc<Vehicle>> {
    let mut vehicles = fleet::vehicles();
    vehicles.retain(|vehicle| {
        let roles = vehicle.roles();
        roles.is_some_and(|roles| roles.speeds.len() > 1)
    });
    vehicles
}

fn vehicles_meet_both_rules_on_wet_glass(ledger: &mut Ledger) {
    ledger.source(Known::Quoted, US);
    ledger.source(Known::Read, EU);
    for vehicle in two_speed_vehicles() {
        for volts in [12.6, 14.0] {
            let vehicle = on_battery(&vehicle, volts);
            let roles = roles(&vehicle);
            let pace = |&speed: &usize| {
                let mut rig = Rig::new(&vehicle, Glass::Wet);
                rig.trial.set(roles.wiper, speed);
                rig.run(10.0);
                rig.run(60.0).crank_turns
            };
            let paces: Vec<f64> = roles.speeds.iter().map(pace).collect();
            let what = format_args!("{} at {volts} V: {paces:?}", vehicle.id);
            ledger.holds(format_args!("US, {what}"), meets_us_rule(&paces));
            ledger.holds(format_args!("EU, {what}"), meets_eu_rule(&paces));
        }
    }
}

fn a_cycle_is_a_turn_of_the_crank(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "78/318/EEC, Annex I, 5.1.3.1: a forward and a return stroke",
    );
    ledger.source(
        Known::Computed,
        "45 and 65 turns a minute in radians a second",
    );
    for (radians_per_s, per_minute) in [(4.712, 45.0), (6.807, 65.0)] {
        let speed = AngularVelocity::from_radians_per_second(radians_per_s);
        let found = speed.revolutions_per_minute();
        // Half of 0.001 rad/s is 0.005 a minute.
        ledger.near(
            format_args!("{radians_per_s} rad/s"),
            found,
            per_minute,
            0.005,
        );
    }
    // A turn of the crank takes the blade out and home: away from its rest in between, back at the end.
    for vehicle in fleet::vehicles() {
        let mut rig = Rig::new(&vehicle, Glass::Wet);
        rig.set(Wiper::Low);
        let (mut turned, mut farthest) = (0.0, 0.0_f64);
        for _ in 0..5000 {
            if turned >= 1.0 {
                break;
            }
            turned += rig.run(2e-3).crank_turns;
            farthest = farthest.max(rig.trial.off_rest_mm().abs());
        }
        ledger.holds("away from rest in between", farthest > 300.0);
        // A step of two milliseconds is half a degree of crank, where the blade hardly moves.
        ledger.near(
            format_args!("mm from rest after a turn, {}", vehicle.id),
            rig.trial.off_rest_mm().abs(),
            below_the_wipe_mm(&vehicle),
            2.0,
        );
    }
}

/// How far from the wipe blades rest that park below it: the crank stands where they rest, with its eccentric in.
fn below_the_wipe_mm(vehicle: &Vehicle) -> f64 {
    let mechanics = Mechanics::of(vehicle).unwrap();
    let rest = mechanics.parked();
    let rocker = mechanics.rocker_turns((rest, std::f64::consts::PI), (rest, 0.0));
    1e3 * rocker.abs() * drive_train(vehicle).pivots[0].data.tip.metres()
}

fn blades_go_home_by_themselves(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "78/318/EEC, Annex I, 5.1.6: blades go back to their rest after switching off",
    );
    for vehicle in fleet::vehicles() {
        for wiper in [Wiper::Low, Wiper::High] {
            let mut rig = Rig::new(&vehicle, Glass::Wet);
            rig.set(wiper);
            rig.run(5.0);
            for moment in 0..8 {
                rig.run(0.17);
                let mut off = rig.clone();
                off.set(Wiper::Off);
                off.run(6.0);
                let what = format_args!("{}, OFF from {wiper:?}, moment {moment}", vehicle.id);
                let still = off.run(4.0).crank_turns == 0.0;
                ledger.holds(format_args!("{what}: still"), still);
                ledger.holds(
                    format_args!("{what}: in the park window"),
                    off.trial.cam_inside(),
                );
                // The window lets the tip rest up to 59 mm off; judgement, the rule names no distance.
                let off_rest = off.trial.off_rest_mm();
                ledger.near(format_args!("{what}: mm off"), off_rest, 0.0, 60.0);
            }
        }
    }
}
