//! Four-bar linkages: the position, velocity and limits of a textbook's crank-rocker, Freudenstein's equation,
//! and how much further a blade goes with a longer crank.

use groundside_engine::machines::{FourBar, FourBarError};
use groundside_engine::quantity::{Angle, Length};

use super::printed;
use crate::ledger::{Known, Ledger};

crate::checks![
    position_of_the_textbook_linkage,
    velocity_of_the_textbook_linkage,
    limits_of_the_textbook_linkage,
    rocker_over_a_turn_of_the_textbook_linkage,
    freudensteins_equation_over_a_turn,
    a_double_crank_is_no_wiper,
    a_longer_crank_moves_the_tip,
];

const NORTON: &str = "recomputed from Freudenstein's equation for crank 40, coupler 120, rocker 80, ground 100; the example, \
                      from memory, Norton, Design of Machinery";

/// A linkage: crank, coupler, rocker, ground.
fn four_bar([a, b, c, d]: [f64; 4]) -> FourBar {
    let metres = Length::from_metres;
    FourBar {
        crank: metres(a),
        coupler: metres(b),
        rocker: metres(c),
        frame: metres(d),
    }
}

const TEXTBOOK: [f64; 4] = [40.0, 120.0, 80.0, 100.0];

/// Degrees of coupler and rocker at a crank angle in degrees.
fn angles(lengths: [f64; 4], crank_deg: f64) -> (f64, f64) {
    let [a, _, _, d] = lengths;
    let crank = Angle::from_degrees(crank_deg);
    let pose = four_bar(lengths).pose(crank);
    let (sin, cos) = crank.radians().sin_cos();
    let coupler = (pose.pin_y - a * sin).atan2(d + pose.pin_x - a * cos);
    (coupler.to_degrees(), pose.rocker_angle().degrees())
}

fn position_of_the_textbook_linkage(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NORTON);
    // The open assembly; the crossed one (coupler -60.978, rocker -98.005 degrees) is not modelled.
    let (coupler, rocker) = angles(TEXTBOOK, 40.0);
    ledger.near("coupler, deg", coupler, 20.298, printed(3));
    ledger.near("rocker, deg", rocker, 57.325, printed(3));
    ledger.near(
        "transmission angle, deg",
        rocker - coupler,
        37.027,
        printed(3),
    );
}

fn velocity_of_the_textbook_linkage(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NORTON);
    let ratio = four_bar(TEXTBOOK).pose(Angle::from_degrees(40.0)).ratio;
    ledger.near("rocker to crank", ratio, 0.27992, printed(5));
    ledger.near("rocker, rad/s at 25", 25.0 * ratio, 6.998, printed(3));
    // The coupler's speed is no part of the engine's pose; its angle a hundredth of a degree on either side is.
    let (before, after) = (angles(TEXTBOOK, 39.99).0, angles(TEXTBOOK, 40.01).0);
    ledger.near(
        "coupler, rad/s at 25",
        25.0 * (after - before) / 0.02,
        -4.121,
        printed(3),
    );
}

fn limits_of_the_textbook_linkage(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NORTON);
    let linkage = four_bar(TEXTBOOK);
    let (out, back) = (linkage.extended_dead_centre(), linkage.folded_dead_centre());
    ledger.near("dead centre, deg", out.degrees(), 24.147, printed(3));
    ledger.near(
        "other dead centre, deg",
        back.degrees(),
        231.318,
        printed(3),
    );
    for (what, dead, rocker) in [("least", out, 54.900), ("most", back, 128.682)] {
        let pose = linkage.pose(dead);
        let what = format_args!("rocker at its {what}, deg");
        ledger.near(what, pose.rocker_angle().degrees(), rocker, printed(3));
        ledger.near("ratio at a dead centre", pose.ratio, 0.0, 1e-9);
    }
    ledger.near("swing, deg", linkage.sweep().degrees(), 73.782, printed(3));
    let there = back.degrees() - out.degrees();
    ledger.near("time ratio", there / (360.0 - there), 1.3556, printed(4));
    let least = linkage.transmission_angle_min().degrees();
    ledger.near("least transmission angle, deg", least, 26.384, printed(3));
    // With the crank in line with the ground the other way it is 86.417.
    let (coupler, rocker) = angles(TEXTBOOK, 180.0);
    ledger.near(
        "transmission angle at 180, deg",
        rocker - coupler,
        86.417,
        printed(3),
    );
    // 40 + 120 < 80 + 100: a crank-rocker.
    ledger.holds("it turns round", linkage.check().is_ok());
}

fn rocker_over_a_turn_of_the_textbook_linkage(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NORTON);
    let rocker = [
        62.720, 58.877, 80.257, 103.697, 121.189, 128.564, 123.860, 101.925,
    ];
    for (step, expected) in (0_u8..).zip(rocker) {
        let crank = f64::from(step) * 45.0;
        let what = format_args!("rocker at {crank}, deg");
        ledger.near(what, angles(TEXTBOOK, crank).1, expected, printed(3));
    }
}

fn freudensteins_equation_over_a_turn(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "Freudenstein 1955: K1 cos t4 - K2 cos t2 + K3 = cos(t2 - t4)",
    );
    // Any crank shorter than the other three by what makes it turn round.
    let proportions = (0.05..1.0_f64, 0.2..1.0_f64, 0.2..1.0_f64, 0.0..360.0_f64);
    ledger.for_all(256, &proportions, |&(share, b, c, degrees), ledger| {
        let d = 0.6;
        // Grashof: the crank may be as long as lets it pass both lines of the ground.
        let longest = (d + c - b).min(d + b - c).min(b + c - d);
        let a = 0.95 * share * longest;
        if a <= 0.0 {
            return;
        }
        let linkage = four_bar([a, b, c, d]);
        let locks = matches!(linkage.check(), Err(FourBarError::Locks));
        ledger.holds("it turns round", !locks);
        let (k1, k2) = (d / a, d / c);
        let k3 = (a * a - b * b + c * c + d * d) / (2.0 * a * c);
        let t2 = Angle::from_degrees(degrees).radians();
        let t4 = linkage
            .pose(Angle::from_degrees(degrees))
            .rocker_angle()
            .radians();
        let left = k1 * t4.cos() - k2 * t2.cos() + k3;
        // Where the links come into line the angle is known to the root of a rounding error; seen through the
        // equation that root is squared again.
        let size = k1 + k2 + k3.abs() + 1.0;
        ledger.near("both sides", left, (t2 - t4).cos(), 1e-13 * size);
    });
}

fn a_double_crank_is_no_wiper(ledger: &mut Ledger) {
    ledger.source(
        Known::Quoted,
        "Waldron and Kinzel, Kinematics, Dynamics, and Design of Machinery, example 7.1: ground 1, crank 2, coupler 3.5, \
         rocker 4",
    );
    // 1 + 4 < 2 + 3.5, but the ground is the shortest: both turn round, so it is refused.
    let check = four_bar([2.0, 3.5, 4.0, 1.0]).check();
    ledger.holds(
        "a double crank is refused",
        check == Err(FourBarError::Locks),
    );
    // On another link's ground the same four make a crank-rocker.
    let check = four_bar([1.0, 3.5, 4.0, 2.0]).check();
    ledger.holds("a crank-rocker is not", check != Err(FourBarError::Locks));
}

fn a_longer_crank_moves_the_tip(ledger: &mut Ledger) {
    ledger.source(
        Known::Practice,
        "a crank longer by a tenth, some 6 mm, lets the tip go about 100 mm further at the park end",
    );
    // A linkage with a sweep of 106 degrees, tips at 650 mm. The end that moves is the one with crank and
    // coupler stretched out.
    let lengths = |crank: f64| [crank, 300.0, 84.0, 300.0];
    let end = |crank: f64| {
        let linkage = four_bar(lengths(crank));
        linkage.pose(linkage.extended_dead_centre()).rocker_angle()
    };
    let further = (end(67.0) - end(73.3)).abs().radians() * 650.0;
    ledger.between("mm further", further, 70.0, 130.0);
}
