//! An armature with a broken or a shorted coil, worked out by hand on the shipped vehicle's figures: 12.6 V behind
//! 0.124 ohm; low brush 0.03 with a limiter of 0.2, common brush 0.03; a ring of 2.4 ohm in twelve coils; 0.0355 V s
//! between low and common brush.

use groundside_engine::quantity::Angle;
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft, Trial};

use crate::ledger::{Known, Ledger};
use crate::{Rig, Wiper, component, faulty, vehicle};

crate::checks![
    a_broken_coil_opens_half_the_ring,
    a_shorted_coil_at_no_load,
    a_shorted_coil_warms_the_motor,
];

/// Volts and ohms of the circuit outside the ring, in LOW.
const VOLTS: f64 = 12.6;
const OUTSIDE_OHM: f64 = 0.124 + 0.2 + 0.03 + 0.03;
const RING_OHM: f64 = 2.4;
const K: f64 = 0.0355;
/// Other consumers' leaks, and what else the shipped circuit has beside the loop.
const SHARE: f64 = 2e-4;

/// Torque of the held shaft in LOW at an angle of it, newton metres.
fn held(vehicle: &std::sync::Arc<Vehicle>, shaft_deg: f64) -> f64 {
    let on = |word: &str, position| (vehicle.control(word).unwrap(), position);
    let key = vehicle.control("key").unwrap();
    let last = vehicle.component(key).positions().len() - 1;
    let query = PointQuery {
        positions: vec![(key, last), on("wiper", 1)],
        unplugged: Vec::new(),
        tripped: Vec::new(),
        crank: Some(Angle::from_degrees(90.0)),
        shaft_angle: Some(Angle::from_degrees(shaft_deg)),
        shaft: Shaft::Held,
        glass: Glass::Wet,
        instruments: Vec::new(),
        parted: Vec::new(),
    };
    let point = OperatingPoint::of(vehicle, &query).unwrap();
    point.response.torque().at_rest
}

fn a_broken_coil_opens_half_the_ring(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "two halves of a ring in parallel, and one by itself; torque is K for each ampere in each half",
    );
    let stall = |ring_ohm: f64| K * VOLTS / (OUTSIDE_OHM + ring_ohm);
    let (whole, half) = (stall(RING_OHM / 4.0), stall(RING_OHM / 2.0));
    let broken = faulty("motor.coil-open");
    ledger.near_share("sound, N.m", held(&vehicle(), 0.0), whole, SHARE);
    // Under the low, the high and the common brush the coil is bridged; between them a half of the ring is open.
    for (degrees, expected) in [
        (0.0, whole),
        (60.0, whole),
        (180.0, whole),
        (30.0, half),
        (120.0, half),
        (270.0, half),
    ] {
        let what = format_args!("coil at {degrees} degrees, N.m");
        ledger.near_share(what, held(&broken, degrees), expected, SHARE);
    }
}

/// Speed and current of LOW with the linkage off: `V = R i + k w` and `k i = 0.01 + b w`.
fn no_load(shorted: f64) -> (f64, f64) {
    let left = 1.0 - shorted / 12.0;
    let (ohms, k) = (OUTSIDE_OHM + RING_OHM / 4.0 * left, K * left);
    // A coil has a sixth of K and a twelfth of the ring.
    let (coil, coil_ohm) = (K / 6.0, RING_OHM / 12.0);
    let brakes = 1e-5 + shorted * coil * coil / coil_ohm;
    let speed = (VOLTS * k / ohms - 0.01) / (k * k / ohms + brakes);
    (speed, (VOLTS - k * speed) / ohms)
}

fn a_shorted_coil_at_no_load(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "a machine with a constant field, less a twelfth of its turns, braked by the current in them",
    );
    for (fault, shorted) in [(None, 0.0), (Some("0.3"), 0.3), (Some("1"), 1.0)] {
        let vehicle = fault.map_or_else(vehicle, |share| {
            faulty(&format!("motor.coil-shorted:{share}"))
        });
        let mut rig = Rig::new(&vehicle, Glass::Wet);
        rig.undo("crank-nut");
        rig.set(Wiper::Low);
        rig.run(5.0);
        let follow = rig.amps("motor low-brush");
        let amps = rig.watch(2.0, &[follow]).followed[0].mean;
        let (speed, expected) = no_load(shorted);
        let found = rig.trial.shaft_speed().radians_per_second();
        ledger.near_share(
            format_args!("rad/s, {shorted} of a coil"),
            found,
            speed,
            SHARE,
        );
        ledger.near_share(
            format_args!("A, {shorted} of a coil"),
            amps,
            expected,
            10.0 * SHARE,
        );
    }
}

fn a_shorted_coil_warms_the_motor(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "power in is power out: into copper, through 1.45 W/K to the iron, 1 W/K to the case, 1.1 W/K to the air (judgement)",
    );
    let vehicle = faulty("motor.coil-shorted:1");
    let motor = component(&vehicle, "motor");
    let mut rig = Rig::new(&vehicle, Glass::Wet);
    rig.undo("crank-nut");
    rig.set(Wiper::Low);
    // Ten time constants of the case; the ohms are those of cold copper.
    rig.run(5000.0);
    let (speed, amps) = no_load(1.0);
    let (coil, coil_ohm) = (K / 6.0, RING_OHM / 12.0);
    let circulating = coil * coil * speed * speed / coil_ohm;
    let watts = circulating + amps * amps * RING_OHM / 4.0 * (11.0 / 12.0);
    let trial: &Trial = &rig.trial;
    let (copper, iron) = trial.winding_temperature(motor).unwrap();
    let inner = watts / 1.1 + watts;
    ledger.near_share("iron, K over the air", iron - 20.0, inner, 2e-3);
    let expected = inner + watts / 1.45;
    ledger.near_share("copper, K over the air", copper - 20.0, expected, 2e-3);
}
