//! Meters on a circuit: how they load it, what a shunt or a series resistance makes of a movement, and what a
//! voltmeter and a test lamp show behind a bad joint; what the engine's own meter is held to.

use std::sync::Arc;

use groundside_engine::math::bisect_rising;
use groundside_engine::quantity::{Current, Resistance, Voltage};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Point, Vehicle};
use groundside_engine::world::{
    Action, Conditions, Measurement, Observable, Scale, VOLTMETER, World,
};

use super::bench::{Bench, GROUND};
use super::lamp::bulb;
use super::printed;
use crate::fleet;
use crate::ledger::{Known, Ledger};

crate::checks![
    a_voltmeter_loads_a_divider,
    a_voltmeter_takes_its_own_current,
    an_ammeter_lowers_the_current,
    a_shunt_and_a_series_resistance,
    ghost_voltages,
    the_meter_at_hand,
];

fn a_voltmeter_loads_a_divider(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 10 example 5",
    );
    let over = |meter_ohm: f64| {
        let bench = Bench::of(&[
            ("A", "B", 60e3),
            ("B", GROUND, 40e3),
            ("B", GROUND, meter_ohm),
        ]);
        let solved = bench.with_volts("A", GROUND, 100.0).solve();
        solved.volts("B", GROUND)
    };
    // 100 V full scale at 1.6 kohm a volt.
    ledger.near("V shown", over(160e3), 34.78, printed(2));
    ledger.near("V without the meter", over(1e15), 40.0, 1e-6);
    // The engine's voltmeter on the same divider: 24 kohm seen by 10 Mohm.
    ledger.source(Known::Computed, "the divider, with 10 Mohm across it");
    let shown = over(VOLTMETER.ohms());
    ledger.near("V on 10 Mohm", shown, 40.0 / 1.0024, 1e-9);
}

fn a_voltmeter_takes_its_own_current(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Helfrick and Cooper, Modern Electronic Instrumentation and Measurement Techniques, example 1-7",
    );
    // 5 mA from 100 V through the unknown and a meter of 150 V at 1 kohm a volt.
    let volts_at_5_milliamps = |ohms: f64| {
        let bench = Bench::of(&[("A", GROUND, ohms), ("A", GROUND, 150e3)]);
        bench
            .with_amps(GROUND, "A", 5e-3)
            .solve()
            .volts("A", GROUND)
    };
    let truth = bisect_rising(1.0, 1e6, 100.0, volts_at_5_milliamps);
    ledger.near("true, kohm", truth / 1e3, 23.08, printed(2));
    let apparent = 100.0 / 5e-3;
    ledger.near(
        "error, %",
        100.0 * (1.0 - apparent / truth),
        13.33,
        printed(2),
    );
}

fn an_ammeter_lowers_the_current(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 10 example 4",
    );
    let through = |meter_ohm: f64| {
        let mut bench = Bench::of(&[("A", "B", 500.0)]);
        let meter = bench.ohms("B", GROUND, meter_ohm);
        let solved = bench.with_volts("A", GROUND, 10.0).solve();
        let amps = solved.amps(meter);
        [
            amps,
            amps * solved.volts("B", GROUND),
            amps * solved.volts("A", "B"),
        ]
    };
    let [amps, meter_watts, load_watts] = through(50.0);
    ledger.near("mA with the meter", amps * 1e3, 18.18, printed(2));
    ledger.near("mA without", through(1e-9)[0] * 1e3, 20.0, 1e-6);
    // The book squares the rounded current: 0.02 % of 18.18 mA twice.
    ledger.near("mW in the meter", meter_watts * 1e3, 16.53, printed(2));
    ledger.near("mW in the load", load_watts * 1e3, 165.3, printed(1));
}

fn a_shunt_and_a_series_resistance(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 10 examples 1 and 2",
    );
    // 25 ohm that deflects fully at 40 mA, with 50 A through it and its shunt.
    let movement = |shunt: f64| {
        let mut bench = Bench::of(&[("A", GROUND, shunt)]);
        let movement = bench.ohms("A", GROUND, 25.0);
        bench.with_amps(GROUND, "A", 50.0).solve().amps(movement)
    };
    let shunt = bisect_rising(1e-6, 1.0, 40e-3, movement);
    ledger.near("shunt, mohm", shunt * 1e3, 20.02, printed(2));
    // 10 ohm that deflects fully at 8 mA, on 100 V.
    let volts_at_full_scale = |series: f64| {
        let bench = Bench::of(&[("A", "B", series), ("B", GROUND, 10.0)]);
        bench
            .with_amps(GROUND, "A", 8e-3)
            .solve()
            .volts("A", GROUND)
    };
    let series = bisect_rising(1.0, 1e6, 100.0, volts_at_full_scale);
    ledger.near("series, kohm", series / 1e3, 12.49, printed(2));
}

fn ghost_voltages(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "recomputed from Ohm's law and from I = 0.25 A (V / 12 V)^0.55, 12.6 V behind a bad joint",
    );
    // Ohms of the joint, volts on the meter alone, decimals, volts across the lamp and amperes in it. In the last
    // row the lamp's law gives 4.15 ohm, so a filament must be allowed that is so cold: a fifteenth of hot.
    for (joint, meter, decimals, lamp, lamp_amps) in [
        (0.5, 12.600, 3, (12.472, 3), (0.2554, 4)),
        (5.0, 12.600, 3, (11.386, 3), (0.2429, 4)),
        (100.0, 12.5999, 4, (2.366, 3), (0.1023, 4)),
        (1000.0, 12.5987, 4, (0.0521, 4), (0.01255, 5)),
    ] {
        let bench = Bench::of(&[("A", "B", joint), ("B", GROUND, VOLTMETER.ohms())]);
        let solved = bench.with_volts("A", GROUND, 12.6).solve();
        let what = format_args!("V on a meter behind {joint} ohm");
        ledger.near(what, solved.volts("B", GROUND), meter, printed(decimals));
        let filament = bulb(12.0, 0.25, 1.0 / 15.0);
        let across = filament.behind(Voltage::from_volts(12.6), Resistance::from_ohms(joint));
        let what = format_args!("V across a lamp behind {joint} ohm");
        ledger.near(what, across.volts(), lamp.0, printed(lamp.1));
        let amps = filament.current(across).amperes();
        let what = format_args!("A in a lamp behind {joint} ohm");
        ledger.near(what, amps, lamp_amps.0, printed(lamp_amps.1));
    }
    // A lamp of 10 Mohm that has not begun to warm is a meter.
    let nothing = bulb(13.0, 13.0 / VOLTMETER.ohms(), 1.0);
    let across = nothing.behind(Voltage::from_volts(12.6), Resistance::from_ohms(1000.0));
    ledger.near(
        "V on a lamp of 10 Mohm",
        across.volts(),
        12.5987,
        printed(4),
    );
    let amps = nothing.current(across);
    ledger.holds("it draws a microampere", amps < Current::from_amperes(2e-6));
}

/// What a sound vehicle at rest shows to the meter.
fn measured(vehicle: &Arc<Vehicle>, what: Measurement, red: Point, black: Point) -> Observable {
    let conditions = Conditions {
        glass: Glass::Dry,
        rain: false,
        helper: false,
    };
    let mut world = World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions).unwrap();
    let action = Action::Measure { what, red, black };
    let permitted = world.permit(&action).unwrap();
    world
        .carry_out(&permitted)
        .unwrap()
        .observables
        .swap_remove(0)
}

fn the_meter_at_hand(ledger: &mut Ledger) {
    ledger.source(
        Known::Quoted,
        "data sheet of a bench meter: 10 Mohm +/- 2 %",
    );
    ledger.near_share("ohms of the voltmeter", VOLTMETER.ohms(), 10e6, 0.02);
    for vehicle in fleet::vehicles() {
        let strap = vehicle.components.iter().find(|component| {
            component.is_conductor() && component.paths[0].resistance.ohms() < 2e-3
        });
        let path = &strap.expect("a vehicle has a strap").paths[0];
        let ends = [path.p, path.n].map(|node| vehicle.point_at(node).unwrap());
        ledger.source(Known::Quoted, "a meter's manual: test leads 0.1 to 0.2 ohm");
        let ohms = measured(&vehicle, Measurement::Ohms, ends[0], ends[1]);
        // And the milliohm between them.
        ledger.between("ohms of a strap", ohms.value, 0.1, 0.2 + 2e-3);
        ledger.source(
            Known::Memory,
            "handheld meters: 0.5 % + 2 counts on volts, 0.9 % + 2 on ohms; held to twice and half",
        );
        let volts = measured(&vehicle, Measurement::Volts, ends[0], ends[1]);
        for (observable, share) in [(volts, 0.005), (ohms, 0.009)] {
            let Scale::Display(display) = observable.scale else {
                ledger.fail("a meter has a display");
                continue;
            };
            let what = format_args!("share of error in {}", display.unit);
            ledger.between(what, display.share, 0.5 * share, 2.0 * share);
            let what = format_args!("counts of error in {}", display.unit);
            ledger.between(what, display.counts, 1.0, 4.0);
        }
    }
}
