//! Laws of single machines on random proportions: links keep their lengths, a linkage neither makes nor loses
//! power, a worm is never helped by its load, heat forgets how its time was cut up, a ring is the sum of its arcs.

use groundside_engine::machines::{Bimetal, FourBar, RingWinding, Worm};
use groundside_engine::quantity::{
    Angle, Current, EmfConstant, Interval, Length, Resistance, Torque,
};
use proptest::prelude::*;

use super::{CASES, ROUNDING};
use crate::ledger::{Known, Ledger};

crate::checks![
    links_keep_their_lengths,
    a_linkage_neither_makes_nor_loses_power,
    dead_centres_are_where_the_rocker_turns_back,
    a_worm_is_never_helped_by_its_load,
    heat_forgets_how_its_time_was_cut_up,
    a_trip_comes_when_the_heat_is_there,
    a_ring_is_the_sum_of_its_arcs,
];

/// Crank-rockers that turn all the way round, of metres: a random fourth link between the limits that the other
/// three set (Grashof 1883), with the transmission angle that the engine asks for.
fn four_bars() -> impl Strategy<Value = FourBar> {
    let proportions = (0.02..0.2_f64, 1.2..8.0_f64, 1.2..8.0_f64, 0.0..1.0_f64);
    let of = |(crank, coupler, rocker, place): (f64, f64, f64, f64)| {
        let (coupler, rocker) = (crank * coupler, crank * rocker);
        // frame > coupler + crank - rocker, and |frame - rocker| < coupler - crank.
        let low = (coupler + crank - rocker)
            .max(rocker - (coupler - crank))
            .max(crank);
        let high = rocker + (coupler - crank);
        let metres = Length::from_metres;
        FourBar {
            crank: metres(crank),
            coupler: metres(coupler),
            rocker: metres(rocker),
            frame: metres(low + place * (high - low)),
        }
    };
    let turns = |four_bar: &FourBar| four_bar.check().is_ok();
    proportions
        .prop_map(of)
        .prop_filter("the crank turns all the way round", turns)
}

/// Pin of the crank and pin of the rocker, from the crank's centre.
fn pins(four_bar: &FourBar, crank: f64) -> ((f64, f64), (f64, f64)) {
    let throw = four_bar.crank.metres();
    let pose = four_bar.pose(Angle::from_radians(crank));
    (
        (throw * crank.cos(), throw * crank.sin()),
        (pose.pin_x + four_bar.frame.metres(), pose.pin_y),
    )
}

fn links_keep_their_lengths(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "the loop of a linkage closes");
    let cases = (four_bars(), -10.0..10.0_f64);
    ledger.for_all(CASES, &cases, |(four_bar, crank), ledger| {
        let ((ax, ay), (bx, by)) = pins(four_bar, *crank);
        let frame = four_bar.frame.metres();
        // Lengths of decimetres, squared and rooted: rounding of some 1e-16 each.
        let coupler = (bx - ax).hypot(by - ay);
        ledger.near("coupler", coupler, four_bar.coupler.metres(), 1e-13);
        let rocker = (bx - frame).hypot(by);
        ledger.near("rocker", rocker, four_bar.rocker.metres(), 1e-13);
        // The assembly that is modelled: the rocker's pin left of the line from crank pin to pivot, all along.
        let side = (frame - ax) * (by - ay) + ay * (bx - ax);
        ledger.holds("one assembly", side > 0.0);
    });
}

fn a_linkage_neither_makes_nor_loses_power(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "virtual work: torques stand to each other as the angles turned",
    );
    let cases = (four_bars(), 0.0..std::f64::consts::TAU);
    ledger.for_all(CASES, &cases, |(four_bar, crank), ledger| {
        let h = 1e-4;
        let angle = |crank: f64| {
            let (_, (x, y)) = pins(four_bar, crank);
            y.atan2(x - four_bar.frame.metres())
        };
        // Differences over h and over h/2, put together so that their errors of second order cancel.
        let slope = |h: f64| {
            let turned = angle(crank + h) - angle(crank - h);
            let turn = std::f64::consts::TAU;
            (turned - turn * (turned / turn).round()) / (2.0 * h)
        };
        let expected = (4.0 * slope(h / 2.0) - slope(h)) / 3.0;
        let ratio = four_bar.pose(Angle::from_radians(*crank)).ratio;
        // Rounding of positions, over the step and the sine of the transmission angle; and what the step leaves of
        // the fifth derivative.
        ledger.near("rocker speed over crank speed", ratio, expected, 1e-9);
    });
}

fn dead_centres_are_where_the_rocker_turns_back(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "crank and coupler in line");
    ledger.for_all(CASES, &four_bars(), |four_bar, ledger| {
        let mut ends = [0.0; 2];
        let centres = [
            four_bar.extended_dead_centre(),
            four_bar.folded_dead_centre(),
        ];
        for (end, centre) in ends.iter_mut().zip(centres) {
            let pose = four_bar.pose(centre);
            ledger.near("ratio at a dead centre", pose.ratio, 0.0, 1e-12);
            *end = pose.pin_y.atan2(pose.pin_x);
        }
        // Everywhere else the rocker stands between, and the whole way is the sweep.
        let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        ledger.near("sweep", four_bar.sweep().radians(), high - low, 1e-12);
        for step in 0..72_u32 {
            let (_, (x, y)) = pins(four_bar, f64::from(step) * 5_f64.to_radians());
            let angle = y.atan2(x - four_bar.frame.metres());
            let between = angle > low - 1e-9 && angle < high + 1e-9;
            ledger.holds("the rocker stands between its ends", between);
        }
    });
}

fn a_worm_is_never_helped_by_its_load(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "a self-locking gear dissipates");
    let cases = (10.0..120.0_f64, 0.05..=0.5_f64, -200.0..200.0_f64);
    ledger.for_all(CASES, &cases, |(ratio, efficiency, load), ledger| {
        let worm = Worm {
            ratio: *ratio,
            efficiency: *efficiency,
        };
        let shaft = worm
            .shaft_load(Torque::from_newton_metres(*load))
            .newton_metres();
        ledger.holds("friction opposes", shaft >= 0.0);
        // Energy of a turn of the wheel: what the shaft gives is what the load takes, and loss that is never less
        // than nothing; with the worm driving, the load gets the efficiency's share.
        let given = shaft * ratio;
        ledger.holds("nothing is gained", given >= *load * (1.0 - ROUNDING));
        if *load > 0.0 {
            ledger.near_share("efficiency", load / given, *efficiency, 1e-12);
        }
        let opposite = worm.shaft_load(Torque::from_newton_metres(-load.abs()));
        let against = worm.shaft_load(Torque::from_newton_metres(load.abs()));
        ledger.holds(
            "a load from behind costs less than one ahead",
            opposite <= against,
        );
    });
}

fn bimetals() -> impl Strategy<Value = Bimetal> {
    (0.5..60.0_f64, 1.0..100.0_f64).prop_map(|(amperes, seconds)| Bimetal {
        ultimate: Current::from_amperes(amperes),
        time_constant: Interval::from_seconds(seconds),
    })
}

fn heat_forgets_how_its_time_was_cut_up(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "solutions of a first-order equation: after a, then after b, is after a + b",
    );
    let spans = (0.0..200.0_f64, 0.0..200.0_f64);
    let cases = (bimetals(), 0.0..2.0_f64, -40.0..40.0_f64, spans);
    ledger.for_all(CASES, &cases, |(law, heat, amperes, (a, b)), ledger| {
        let current = Current::from_amperes(*amperes);
        let after = |heat, seconds: f64| law.after(heat, current, Interval::from_seconds(seconds));
        let (twice, once) = (after(after(*heat, *a), *b), after(*heat, a + b));
        let size = heat + law.final_heat(current);
        ledger.near("after a and b", twice, once, 1e-14 * size);
        ledger.near("after no time", after(*heat, 0.0), *heat, 1e-15 * size);
        // Small spans obey the equation itself.
        let h = 1e-6 * law.time_constant.seconds();
        let slope = (after(*heat, h) - heat) / 1e-6;
        let expected = (amperes / law.ultimate.amperes()).powi(2) - heat;
        ledger.near(
            "tau dx/dt",
            slope,
            expected,
            1e-6 * expected.abs() + 1e-9 * size,
        );
    });
}

fn a_trip_comes_when_the_heat_is_there(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "a function and its inverse");
    let cases = (bimetals(), 0.0..1.5_f64, 0.0..200.0_f64, 0.05..1.5_f64);
    ledger.for_all(CASES, &cases, |(law, heat, amperes, level), ledger| {
        let current = Current::from_amperes(*amperes);
        let goal = law.final_heat(current);
        match law.time_to(*level, *heat, current) {
            Some(time) => {
                let reached = law.after(*heat, current, time);
                ledger.near(
                    "heat at the time told",
                    reached,
                    *level,
                    1e-12 * (goal + 2.0),
                );
            }
            None => {
                // Never: the level does not lie between where it is and where it goes.
                let between =
                    (*level > *heat && *level < goal) || (*level < *heat && *level > goal);
                ledger.holds("told never, and it never comes", !between);
            }
        }
    });
}

fn a_ring_is_the_sum_of_its_arcs(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "a ring is closed, and its field is too");
    let cases = (0.01..10.0_f64, 0.001..0.5_f64, 1.0..179.0_f64);
    ledger.for_all(CASES, &cases, |(ohms, constant, degrees), ledger| {
        let winding = RingWinding {
            ring: Resistance::from_ohms(*ohms),
            emf: EmfConstant::from_volt_seconds(*constant),
            third_brush: Angle::from_degrees(*degrees),
        };
        let [low_high, high_common, far] = winding.arcs();
        let sum = low_high.resistance + high_common.resistance + far.resistance;
        ledger.near_share("the ring", sum.ohms(), *ohms, 1e-15);
        let half = (low_high.resistance + high_common.resistance).ohms();
        ledger.near_share("half the ring", half, far.resistance.ohms(), 1e-15);
        let near = (low_high.emf + high_common.emf).volt_seconds();
        ledger.near_share("EMF on both sides", near, far.emf.volt_seconds(), 1e-15);
        ledger.near_share("EMF", far.emf.volt_seconds(), *constant, 1e-15);
        // A uniform field: EMF and resistance both go by the angle.
        let shares = [
            low_high.resistance.ohms() / (ohms / 2.0),
            low_high.emf.volt_seconds() / constant,
        ];
        for share in shares {
            ledger.near("share of the third brush", share, degrees / 180.0, 1e-14);
        }
    });
}
