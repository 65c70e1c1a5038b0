//! An operating point as a SPICE deck in primitives, so that anyone can check the engine against a
//! general circuit simulator.
//!
//! A branch below [`SERIES_OHM_MAX`] is a voltage source (the battery's EMF, the armature's k times
//! omega, or nothing but a current sensor) in series with a current-controlled voltage source whose
//! transresistance is the branch's resistance: `v = e + R i` with the current as an unknown of its own.
//! A plain resistor there would put its conductance on the diagonal beside that of
//! insulation, and in double precision nothing would be left of the latter: tried with ngspice 39 and 10 Gohm, nodes
//! that float on insulation were then off by up to 1 mV, and with this form by less than 1e-12 V. Where
//! a whole part of the vehicle floats (no link, no strap) that takes a strict choice of pivots as well
//! (`pivrel`): with the usual one such a part was off by up to 0.8 mV as a whole, with it by some 1e-6 V.

use std::fmt::Write as _;

use groundside_engine::vehicle::{Element, Emf, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery};

use super::point::{element_name, setting};
use crate::style::neutral;

/// Resistance from which on a branch is a plain resistor: leaks, open contacts and meters.
pub const SERIES_OHM_MAX: f64 = 1e6;

/// What every deck says of itself.
const PREFACE: &str = "\
* Node 0 is battery neg. Run: ngspice -b deck.cir
* A branch is a V source (EMF, or 0 V to sense the current) in series with an
* H source of the branch's resistance; open contacts, leaks and meters are R.
* Written as R, milliohms would swamp 1 Tohm leaks on the matrix diagonal and
* nodes that float on insulation would be wrong in the second digit.
";

/// What every deck ends with.
const ENDING: &str = "\
.options pivrel=0.9 pivtol=1e-30 gmin=1e-30 reltol=1e-9 vntol=1e-12 abstol=1e-15
.op
.control
set numdgt=15
set width=80
op
print all
.endc
.end
";

/// The deck of an operating point; `fault` is what was put into the vehicle, if anything.
///
/// Nodes keep their numbers, and branch `k` of the solution, counted from 1, is `Vk` with `Hk` or `Rk`.
#[must_use]
pub fn deck(
    vehicle: &Vehicle,
    fault: Option<&str>,
    query: &PointQuery,
    solved: &OperatingPoint,
) -> String {
    let omega = solved.speed.radians_per_second();
    let mut deck = format!("* {}: {}\n", vehicle.id, setting(vehicle, query, solved));
    deck.push_str(&format!("* fault: {}\n", neutral(fault.unwrap_or("none"))));
    deck.push_str(&format!("* shaft: omega = {omega:e} rad/s\n"));
    deck.push_str(PREFACE);
    for (index, name) in vehicle.node_names.iter().enumerate() {
        deck.push_str(&format!("* node {index}: {}\n", neutral(name)));
    }
    for (index, element) in solved.response.elements().iter().enumerate() {
        // Writing into a String cannot fail.
        let _ = branch(&mut deck, index + 1, element, omega, vehicle);
    }
    deck.push_str(ENDING);
    deck
}

fn branch(
    deck: &mut String,
    number: usize,
    element: &Element,
    omega: f64,
    vehicle: &Vehicle,
) -> std::fmt::Result {
    let (p, n, ohms) = (
        element.p.index(),
        element.n.index(),
        element.resistance.ohms(),
    );
    let name = neutral(&element_name(element, vehicle));
    let emf = match element.emf {
        Emf::None => {
            writeln!(deck, "* {name}")?;
            0.0
        }
        Emf::Constant(emf) => {
            writeln!(deck, "* {name}: EMF")?;
            emf.volts()
        }
        Emf::PerSpeed(constant) => {
            let k = constant.volt_seconds();
            writeln!(deck, "* {name}: EMF = k omega, k = {k:e} V s/rad")?;
            k * omega
        }
    };
    let plain = ohms >= SERIES_OHM_MAX;
    match (plain, emf == 0.0) {
        (true, true) => writeln!(deck, "R{number} {p} {n} {ohms:e}"),
        (true, false) => writeln!(
            deck,
            "V{number} {p} x{number} {emf:e}\nR{number} x{number} {n} {ohms:e}"
        ),
        (false, _) => writeln!(
            deck,
            "V{number} {p} x{number} {emf:e}\nH{number} x{number} {n} V{number} {ohms:e}"
        ),
    }
}
