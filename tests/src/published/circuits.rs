//! Worked circuits of the textbooks, on the engine's network: bridges, nodes, Thévenin, superposition, and drops
//! along wires.
//!
//! Tolerance: half a unit of the last printed digit. Where the book's answer is a whole number that comes out
//! exactly, rounding only.

use groundside_engine::math::bisect_rising;

use super::bench::{Bench, GROUND};
use super::printed;
use crate::ledger::{Known, Ledger};

crate::checks![
    an_unbalanced_bridge,
    a_balanced_bridge,
    a_bridge_with_a_galvanometer,
    the_unknown_arm_of_a_bridge,
    two_batteries_on_one_resistor,
    two_batteries_one_after_the_other,
    two_batteries_as_one_source,
    dividers_as_one_source,
    a_ladder_by_nodes,
    currents_at_junctions,
    drops_along_aircraft_wires,
];

/// A whole number of the book, which the network gives to rounding.
const EXACT: f64 = 1e-9;

fn an_unbalanced_bridge(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 13 example 4",
    );
    let mut bench = Bench::default();
    let arms = [
        ("A", "B", 2.0, 5.0),
        ("A", "D", 14.0, 3.0),
        ("B", GROUND, 11.0, 4.0),
        ("D", GROUND, 3.0, 4.0),
        ("B", "D", 32.0, 1.0),
    ];
    let branches = arms.map(|(p, n, ohms, _)| bench.ohms(p, n, ohms));
    let solved = bench.with_volts("A", GROUND, 54.0).solve();
    ledger.near("V of B", solved.volts("B", GROUND), 44.0, EXACT);
    ledger.near("V of D", solved.volts("D", GROUND), 12.0, EXACT);
    for ((p, n, _, amps), branch) in arms.into_iter().zip(branches) {
        ledger.near(
            format_args!("A in {p}{n}"),
            solved.amps(branch),
            amps,
            EXACT,
        );
    }
    let total = solved.amps(branches[0]) + solved.amps(branches[1]);
    ledger.near("A in all", total, 8.0, EXACT);
}

fn a_balanced_bridge(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Robertson, Fundamental Electrical and Electronic Principles, example 2.12",
    );
    let mut bench = Bench::of(&[
        ("A", "B", 6.0),
        ("A", "D", 3.0),
        ("B", GROUND, 4.0),
        ("D", GROUND, 2.0),
    ]);
    // No current at any detector, so any will do.
    let detector = bench.ohms("B", "D", 5.0);
    let solved = bench.with_volts("A", GROUND, 10.0).solve();
    ledger.near("A in the detector", solved.amps(detector), 0.0, EXACT);
}

/// The bridge of the galvanometer's example: its arms.
const ARMS: [(&str, &str, f64); 4] = [
    ("A", "B", 200.0),
    ("B", GROUND, 100.0),
    ("A", "D", 2005.0),
    ("D", GROUND, 1000.0),
];

fn a_bridge_with_a_galvanometer(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Helfrick and Cooper, Modern Electronic Instrumentation and Measurement Techniques, example 5-1",
    );
    let open = Bench::of(&ARMS).with_volts("A", GROUND, 5.0).solve();
    let millivolts = open.volts("B", "D") * 1e3;
    ledger.near("open, mV", millivolts, 2.773, printed(3));
    // The resistance that the meter sees: a forced ampere, the source a short.
    let seen = Bench::of(&ARMS)
        .with_volts("A", GROUND, 0.0)
        .with_amps("D", "B", 1.0)
        .solve();
    ledger.near("seen, ohm", seen.volts("B", "D"), 733.9, printed(1));
    let mut bench = Bench::of(&ARMS);
    let meter = bench.ohms("B", "D", 100.0);
    let microamps = bench.with_volts("A", GROUND, 5.0).solve().amps(meter) * 1e6;
    ledger.near("meter, uA", microamps, 3.326, printed(3));
    // 10 mm for each microampere; the book multiplies the rounded current.
    ledger.near("deflection, mm", microamps * 10.0, 33.26, printed(2));
}

fn the_unknown_arm_of_a_bridge(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 10 example 17",
    );
    // Balanced when the unknown is to R3 400 as R2 100 is to R4 10: the voltage at the detector rises with it.
    let at_detector = |ohms: f64| {
        let arms = [
            ("A", "B", ohms),
            ("B", GROUND, 400.0),
            ("A", "D", 100.0),
            ("D", GROUND, 10.0),
        ];
        let solved = Bench::of(&arms).with_volts("A", GROUND, 10.0).solve();
        solved.volts("D", "B")
    };
    let unknown = bisect_rising(1.0, 1e5, 0.0, at_detector);
    ledger.near("unknown arm, ohm", unknown, 4000.0, 1e-6);
}

/// The two batteries of Bird's chapter on Kirchhoff, superposition and Thévenin: currents delivered by the
/// first and the second, current in the load, volts over it.
fn two_batteries(first: f64, second: f64, load_ohm: f64) -> [f64; 4] {
    let mut bench = Bench::default();
    let first = bench.cell("A", GROUND, first, 2.0);
    let second = bench.cell("A", GROUND, second, 1.0);
    let load = bench.ohms("A", GROUND, load_ohm);
    let solved = bench.solve();
    let delivered = [first, second].map(|cell| -solved.amps(cell));
    [
        delivered[0],
        delivered[1],
        solved.amps(load),
        solved.volts("A", GROUND),
    ]
}

fn two_batteries_on_one_resistor(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 13 example 2",
    );
    let [first, second, load, volts] = two_batteries(4.0, 2.0, 4.0);
    for (what, found, expected) in [
        ("A of the first", first, 0.857),
        ("A of the second", second, -0.286),
        ("A of the load", load, 0.571),
        ("V over the load", volts, 2.286),
        ("W in the load", load * volts, 1.306),
    ] {
        ledger.near(what, found, expected, printed(3));
    }
}

fn two_batteries_one_after_the_other(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 13 example 5",
    );
    let together = two_batteries(4.0, 2.0, 4.0);
    let (first, second) = (two_batteries(4.0, 0.0, 4.0), two_batteries(0.0, 2.0, 4.0));
    for ((one, other), both) in first.into_iter().zip(second).zip(together) {
        ledger.near("the sum of both alone", one + other, both, 1e-14);
    }
    ledger.near("A of the load", first[2] + second[2], 0.571, printed(3));
}

fn two_batteries_as_one_source(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 13 example 9",
    );
    // Open and short, as near as a resistance comes to them; then that one source on the load.
    let emf = two_batteries(4.0, 2.0, 1e15)[3];
    let ohms = emf / two_batteries(4.0, 2.0, 1e-12)[2];
    let mut bench = Bench::default();
    bench.cell("A", GROUND, emf, ohms);
    let load = bench.ohms("A", GROUND, 4.0);
    let amps = bench.solve().amps(load);
    ledger.near("A of the load", amps, 0.571, printed(3));
}

fn dividers_as_one_source(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 13 examples 7, 8, 10",
    );
    let divider = |load: f64| {
        let mut bench = Bench::of(&[("A", "B", 2.0), ("B", GROUND, 8.0), ("B", "C", 5.0)]);
        let load = bench.ohms("C", GROUND, load);
        let solved = bench.with_volts("A", GROUND, 10.0).solve();
        (solved.volts("C", GROUND), solved.amps(load))
    };
    let open = divider(1e15).0;
    ledger.near("example 7, open V", open, 8.0, EXACT);
    ledger.near("example 7, seen ohm", open / divider(1e-12).1, 6.6, EXACT);
    ledger.near("example 7, A", divider(10.0).1, 0.482, printed(3));

    let mut bench = Bench::of(&[("A", "B", 1.0), ("B", "C", 5.0), ("C", GROUND, 4.0)]);
    let across = bench.ohms("C", GROUND, 0.8);
    let solved = bench.with_volts("A", GROUND, 12.0).solve();
    ledger.near("example 8, A", solved.amps(across), 1.5, EXACT);

    // 20 ohm straight across the source change nothing.
    for across_source in [20.0, 1e15] {
        let mut bench = Bench::of(&[
            ("A", GROUND, across_source),
            ("A", "B", 5.0),
            ("B", GROUND, 10.0),
            ("B", "C", 5.0 / 3.0),
        ]);
        let load = bench.ohms("C", GROUND, 3.0);
        let amps = bench.with_volts("A", GROUND, 24.0).solve().amps(load);
        ledger.near("example 10, A", amps, 2.0, EXACT);
    }
}

fn a_ladder_by_nodes(ledger: &mut Ledger) {
    ledger.source(
        Known::Quoted,
        "a circuits textbook, nodal analysis, problem P3.4",
    );
    let mut bench = Bench::of(&[("A", "B", 1.0), ("B", GROUND, 1.0)]);
    let between = bench.ohms("B", "C", 1.0);
    let ends = [1.0, 1.0].map(|ohms| bench.ohms("C", GROUND, ohms));
    let solved = bench.with_volts("A", GROUND, 16.0).solve();
    ledger.near("V of the first", solved.volts("B", GROUND), 6.0, EXACT);
    ledger.near("V of the second", solved.volts("C", GROUND), 2.0, EXACT);
    for end in ends {
        ledger.near("A at the end", solved.amps(end), 2.0, EXACT);
    }
    ledger.near("A between", solved.amps(between), 4.0, EXACT);
}

fn currents_at_junctions(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Bird, Electrical Circuit Theory and Technology, ch. 13 example 1",
    );
    // The printed currents are forced, those that are asked for flow through an ohm each; the junctions are as
    // the book's sums have them. (The second part of the example needs its figure, which was not at hand.)
    let mut bench = Bench::default();
    let asked = [
        ("B", "D", 30.0),
        ("C", GROUND, 35.0),
        ("D", "E", -90.0),
        (GROUND, "E", 105.0),
        ("F", GROUND, 80.0),
    ];
    let branches = asked.map(|(from, to, _)| bench.ohms(from, to, 1.0));
    let solved = bench
        .with_amps(GROUND, "B", 50.0)
        .with_amps("B", "C", 20.0)
        .with_amps("E", "C", 15.0)
        .with_amps("D", "F", 120.0)
        .with_amps("F", GROUND, 40.0)
        .solve();
    for ((from, to, amps), branch) in asked.into_iter().zip(branches) {
        let what = format_args!("A from {from} to {to}");
        // A forced current of 1e14 V behind 1e12 ohm keeps ten digits.
        ledger.near(what, solved.amps(branch), amps, 1e-7);
    }
}

fn drops_along_aircraft_wires(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "FAA, AC 43.13-1B, Acceptable Methods, Techniques and Practices, tables 11-7 and 11-8",
    );
    // 20 A in every row: gauge, feet, ohms a foot, volts, decimals. The table prints 0.366 V for 19.5 ft of
    // gauge 10, which is not what its own numbers give (0.491), and 3.60 for gauge 12 where they give 3.555:
    // the first is left out, the second held to what a reader of a chart with steps of 0.05 V can tell.
    for (gauge, feet, ohms_a_foot, volts, within) in [
        (6, 107.0, 0.00044, 0.942, printed(3)),
        (4, 90.0, 0.00028, 0.504, printed(3)),
        (12, 88.0, 0.00202, 3.60, 0.05),
        (14, 100.0, 0.00306, 6.12, printed(2)),
        (10, 39.0, 0.00126, 0.98, printed(2)),
        (10, 156.0, 0.00126, 3.93, printed(2)),
        (10, 273.0, 0.00126, 6.88, printed(2)),
    ] {
        let solved = Bench::of(&[("load", GROUND, 0.5), ("feed", "load", ohms_a_foot * feet)])
            .with_amps(GROUND, "feed", 20.0)
            .solve();
        let what = format_args!("V along {feet} ft of gauge {gauge}");
        ledger.near(what, solved.volts("feed", "load"), volts, within);
    }
}
