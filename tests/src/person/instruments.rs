//! Meter, clamp, dash ammeter and watch: what a display can show at all, a meter that is off again after a reading,
//! and the resistance that a meter sees between any two points.

use std::sync::Arc;

use groundside_engine::vehicle::{Circuit, Element, Node, Setting, Vehicle};
use groundside_engine::world::{Errors, Observable, Observation, Quantity};

use super::Person;
use crate::fleet::{variants, vehicles};
use crate::ledger::{Known, Ledger, Scope};
use crate::naive::gauss::{Double, Number as _, gauss};
use crate::space::Choice;

crate::checks![
    what_displays_show,
    errors_that_a_statement_allows,
    a_meter_is_off_again_after_its_reading,
    resistance_between_any_two_points,
];

/// What a display shows of a value; nothing beyond its last range.
fn shown(seen: &Observable, value: f64, errors: Errors) -> Option<(String, f64)> {
    let seen = Observable {
        value,
        min: value,
        max: value,
        ..seen.clone()
    };
    match seen.observe(errors) {
        Observation::Reading {
            shown, resolution, ..
        } => shown.map(|[mean, _, _]| (mean.to_string(), resolution)),
        Observation::Perception { .. } => None,
    }
}

/// One observable of each instrument.
fn instruments() -> [Observable; 5] {
    let mut person = Person::new();
    person.does_all(&["set ignition-switch on", "set wiper-switch low"]);
    [
        person.observes("volts battery.pos battery.neg", Quantity::Voltage),
        person.observes("clamp motor-strap", Quantity::Current),
        person.observes("ammeter", Quantity::Discharge),
        person.observes("count", Quantity::CyclesPerMinute),
        Person::new().observes("ohms motor.53 motor.31", Quantity::Resistance),
    ]
}

/// An instrument, a value, and what it shows: digits and one count.
type Case<'a> = (&'a Observable, f64, Option<(&'a str, f64)>);

fn what_displays_show(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "handheld meters of 4000 counts: each range ends at 4, counts of its fourth digit",
    );
    ledger.source(
        Known::Practice,
        "a clamp reads tenths of an ampere, a dash ammeter is marked in twos, whole cycles are counted",
    );
    let [volts, clamp, dash, count, ohms] = instruments();
    let cases: &[Case<'_>] = &[
        (&volts, 0.123_44, Some(("0.1234", 1e-4))),
        (&volts, -1.234_4, Some(("-1.234", 1e-3))),
        (&volts, 4.004, Some(("4.00", 1e-2))),
        (&volts, 12.6, Some(("12.60", 1e-2))),
        (&volts, 39.994, Some(("39.99", 1e-2))),
        (&volts, 40.04, Some(("40.0", 1e-1))),
        (&volts, 401.0, None),
        (&ohms, 0.4, Some(("0.4", 0.1))),
        (&ohms, 399.94, Some(("399.9", 0.1))),
        (&ohms, 400.4, Some(("400", 1.0))),
        (&ohms, 4004.0, Some(("4000", 10.0))),
        (&ohms, 40_040.0, Some(("40000", 100.0))),
        (&ohms, 400_400.0, Some(("400000", 1e3))),
        (&ohms, 4_004_000.0, Some(("4000000", 1e4))),
        (&ohms, 41e6, None),
        (&clamp, 3.16, Some(("3.2", 0.1))),
        (&clamp, 0.04, Some(("0.0", 0.1))),
        (&clamp, 123.46, Some(("123.5", 0.1))),
        (&dash, 6.9, Some(("6", 2.0))),
        (&dash, 7.2, Some(("8", 2.0))),
        (&dash, 59.0, Some(("60", 2.0))),
        (&count, 44.6, Some(("45", 1.0))),
        (&count, 0.4, Some(("0", 1.0))),
    ];
    for (instrument, value, expected) in cases {
        let found = shown(instrument, *value, Errors::NONE);
        let expected = expected.map(|(text, count)| (text.to_owned(), count));
        let what = format_args!("{:?} of {value}: {found:?}", instrument.quantity);
        ledger.holds(what, found == expected);
    }
}

fn errors_that_a_statement_allows(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "handheld meters: V 0.5 % + 2, ohm 0.9 % + 2, clamps 2 % + 2; half of the statement is a standard deviation",
    );
    let [volts, clamp, dash, count, ohms] = instruments();
    // A value that has its gain wrong by the whole share, and one that is off by all its counts.
    for (instrument, value, by_share, by_counts) in [
        (&volts, 10.0, "10.05", "10.02"),
        (&volts, 2.0, "2.010", "2.002"),
        (&ohms, 100.0, "100.9", "100.2"),
        (&clamp, 10.0, "10.2", "10.2"),
        // A twentieth of 40, and half a mark of two: 39.2 shows as 40, 41.2 as 42.
        (&dash, 39.2, "42", "40"),
        (&count, 45.0, "45", "46"),
    ] {
        let (gain, own) = (
            Errors {
                instrument: 2.0,
                own: 0.0,
            },
            Errors {
                instrument: 0.0,
                own: 2.0,
            },
        );
        for (errors, expected) in [(gain, by_share), (own, by_counts)] {
            let found = shown(instrument, value, errors);
            let what = format_args!(
                "{:?} of {value}, {errors:?}: {found:?}",
                instrument.quantity
            );
            ledger.holds(
                what,
                found.as_ref().is_some_and(|(text, _)| text == expected),
            );
        }
    }
}

/// The wire of 53b with its plug off and the switch at OFF hangs on nothing.
fn a_meter_is_off_again_after_its_reading(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "what no source is on has no voltage: the ohmmeter's volt is gone with the ohmmeter",
    );
    let pair = "motor-plug.53b battery.neg";
    let floating = || {
        let mut person = Person::new();
        person.does("unplug motor-plug");
        person
    };
    let mut fresh = floating();
    let alone = fresh.finds(&format!("volts {pair}"), Quantity::Voltage);
    ledger.near("volts on a wire that hangs on nothing", alone, 0.0, 0.05);
    let mut person = floating();
    person.does(&format!("ohms {pair}"));
    let after = person.finds(&format!("volts {pair}"), Quantity::Voltage);
    ledger.near("the same after ohms", after, alone, 1e-9);
    // A voltmeter left on goes on seeing whatever else is left on.
    let mut person = floating();
    person.does(&format!("clip {pair}"));
    let during = person.finds(&format!("ohms {pair}"), Quantity::Voltage);
    ledger.holds("while ohms are read it sees the ohmmeter", during > 0.1);
    for later in ["listen", "wait 10"] {
        let after = person.finds(later, Quantity::Voltage);
        let what = format_args!("a clipped voltmeter after ohms, `{later}`");
        ledger.near(what, after, alone, 1e-9);
    }
    person.does("unclip");
    let seen = person.does("wait 10").observables;
    ledger.holds("taken off it shows nothing", seen.is_empty());
}

/// Conductances between all nodes but the reference, with a current in at one and out at the other to the right.
fn rows(elements: &[Element], nodes: usize, (red, black): (Node, Node)) -> Vec<Vec<Double>> {
    let mut rows = vec![vec![Double::from(0.0); nodes]; nodes - 1];
    let mut add = |row: Node, column: usize, value: Double| {
        if let Some(row) = row.index().checked_sub(1) {
            let entry = &mut rows[row][column];
            *entry = entry.plus(value);
        }
    };
    let none = Double::from(0.0);
    for element in elements {
        let siemens = Double::from(1.0).over(Double::from(element.resistance.ohms()));
        for (one, other) in [(element.p, element.n), (element.n, element.p)] {
            for (column, value) in [(one, siemens), (other, none.minus(siemens))] {
                if let Some(column) = column.index().checked_sub(1) {
                    add(one, column, value);
                }
            }
        }
    }
    add(red, nodes - 1, Double::from(1.0));
    add(black, nodes - 1, Double::from(-1.0));
    rows
}

fn resistance_between_any_two_points(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Thevenin: an ampere in at one node and out at the other, dense elimination in 32 digits",
    );
    let fleet: Vec<Arc<Vehicle>> = vehicles()
        .iter()
        .flat_map(|sound| variants(sound).into_iter().map(|variant| variant.vehicle))
        .collect();
    let cases = match ledger.scope() {
        Scope::Sample => 12,
        Scope::Sweep => 60,
        Scope::Full => 600,
    };
    let mut choice = Choice::of("resistance between two points");
    for number in 0..cases {
        let vehicle = &fleet[choice.index(fleet.len())];
        let mut setting = Setting::at_rest(vehicle);
        for (id, control) in vehicle.controls() {
            setting.positions[id.index()] = choice.index(control.positions().len());
        }
        let points: Vec<_> = vehicle.points().collect();
        let mut node = || vehicle.node(choice.one_of(&points));
        let (red, black) = (node(), node());
        let circuit = Circuit::new(vehicle, &setting, &[]);
        let rows = rows(circuit.elements(), vehicle.node_names.len(), (red, black));
        let solution = gauss(rows).swap_remove(0);
        let at = |node: Node| {
            node.index()
                .checked_sub(1)
                .map_or(0.0, |place| solution[place])
        };
        let expected = at(red) - at(black);
        let found = circuit.seen_by_meter().unwrap().between(red, black).ohms();
        let what = format_args!("case {number}: {red:?} to {black:?}, ohms");
        // A pair that floats together on ten gigohms loses what a double of that size cannot hold.
        ledger.near(what, found, expected, 1e-9 * expected.abs() + 1e-5);
    }
}
