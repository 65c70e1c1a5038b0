//! Magnitudes of wiper motors, blades and gears, from memory and practice: wide bounds on the sound vehicles, so that
//! a vehicle of another order of size is noticed; and which way a third brush goes.

use std::sync::Arc;

use groundside_engine::quantity::{Angle, Force, Length, Torque};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Emf, Fault, Kind, PivotLoad, Vehicle};
use groundside_engine::world::{Followed, OperatingPoint, Shaft};

use super::frequencies::two_speed_vehicles;
use crate::ledger::{Known, Ledger};
use crate::{Operation, Rig, Wiper, drive_train, fleet, operating_point};

crate::checks![
    currents_light_wet_dry_and_stalled,
    a_stall_pops_the_breaker,
    a_dead_short_pops_the_breaker_in_seconds,
    the_third_brush_is_the_fast_one,
    torque_at_the_crank_and_ratio,
    rubber_on_glass,
    torque_of_an_arm,
];

/// The first component of a kind.
fn first(vehicle: &Vehicle, is: impl Fn(&Kind) -> bool) -> ComponentId {
    let found = vehicle.ids().find(|&id| is(&vehicle.component(id).kind));
    found.expect("a wiper has it")
}

fn breaker(vehicle: &Vehicle) -> ComponentId {
    first(vehicle, |kind| matches!(kind, Kind::Breaker(_)))
}

/// How many batteries of 12 V are in series: the current of the same power at 12 V is that many times higher.
fn dozens(vehicle: &Vehicle) -> f64 {
    let battery = first(vehicle, |kind| matches!(kind, Kind::Battery(_)));
    match vehicle.component(battery).paths[0].emf {
        Emf::Constant(volts) => (volts.volts() / 12.0).round(),
        _ => f64::NAN,
    }
}

/// A vehicle with a pivot that will not move, blades on the glass.
fn stalled(vehicle: &Vehicle) -> Rig {
    let mut changed = vehicle.clone();
    let pivot = first(vehicle, |kind| matches!(kind, Kind::Pivot { .. }));
    changed.components[pivot.index()].kind = Kind::Pivot {
        friction: Torque::from_newton_metres(1e6),
    };
    let mut rig = Rig::new(&Arc::new(changed), Glass::Wet);
    rig.trial.set_crank(Angle::from_degrees(100.0));
    rig
}

/// Mean amperes through the breaker, as at 12 V.
fn amps(mut rig: Rig, wiper: Wiper, settle: f64, seconds: f64) -> f64 {
    rig.set(wiper);
    rig.run(settle);
    let supply = Followed::Current(breaker(&rig.vehicle), 0);
    let mean = rig.watch(seconds, &[supply]).followed[0].mean;
    mean * dozens(&rig.vehicle)
}

fn currents_light_wet_dry_and_stalled(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "a 12 V motor: 1 to 2 A light, 2 to 4 A wet, 4 to 7 A dry, 15 to 30 A stalled; upper ends, and their order",
    );
    ledger.source(
        Known::Quoted,
        "an equipment supplier's list: a heavy 12 V motor about 5 A, below 6 A by a general specification",
    );
    for vehicle in two_speed_vehicles() {
        for wiper in [Wiper::Low, Wiper::High] {
            let mut light = Rig::new(&vehicle, Glass::Wet);
            let nut = first(&vehicle, |kind| matches!(kind, Kind::CrankNut { .. }));
            light.trial.undo(nut);
            let found = [
                ("light", amps(light, wiper, 10.0, 30.0), 2.0),
                (
                    "wet",
                    amps(Rig::new(&vehicle, Glass::Wet), wiper, 10.0, 30.0),
                    4.0,
                ),
                (
                    "dry",
                    amps(Rig::new(&vehicle, Glass::Dry), wiper, 10.0, 30.0),
                    7.0,
                ),
                ("stalled", amps(stalled(&vehicle), wiper, 0.1, 0.5), 30.0),
            ];
            for (what, found, most) in found {
                let what = format_args!("{what}, {} in {wiper:?}, A", vehicle.id);
                ledger.between(what, found, 0.1, most);
            }
            let rising = found.windows(2).all(|pair| pair[0].1 < pair[1].1);
            ledger.holds("light, wet, dry, stalled rise", rising);
        }
    }
}

fn a_stall_pops_the_breaker(ledger: &mut Ledger) {
    ledger.source(
        Known::Practice,
        "a stalled motor draws more than normal, 10 to 15 A, and pops the breaker in 15 to 20 s; held to 10 to 25 s",
    );
    for vehicle in two_speed_vehicles() {
        let current = amps(stalled(&vehicle), Wiper::Low, 0.1, 0.5);
        ledger.between(format_args!("{}, A", vehicle.id), current, 10.0, 15.0);
        let seconds = |wiper: Wiper| {
            let mut rig = stalled(&vehicle);
            rig.set(wiper);
            rig.seconds_to_click(120.0).unwrap_or(f64::INFINITY)
        };
        let low = seconds(Wiper::Low);
        ledger.between(format_args!("{} in LOW, s", vehicle.id), low, 10.0, 25.0);
        ledger.between(
            format_args!("{} in HIGH, s", vehicle.id),
            seconds(Wiper::High),
            3.0,
            25.0,
        );
    }
}

fn a_dead_short_pops_the_breaker_in_seconds(ledger: &mut Ledger) {
    ledger.source(
        Known::Practice,
        "a dead short pins the ammeter and pops the breaker within seconds",
    );
    for vehicle in two_speed_vehicles() {
        let mut shorts = 0;
        for (component, mode, data) in vehicle.faults() {
            let short = data.name.as_str().contains("short-to-ground");
            let Some(law) = data.severity.filter(|_| short) else {
                continue;
            };
            let fault = Fault {
                component,
                mode,
                severity: Some(law.min),
            };
            let mut rig = Rig::new(&Arc::new(vehicle.inject(&fault)), Glass::Wet);
            rig.set(Wiper::Low);
            let supply = Followed::Current(breaker(&rig.vehicle), 0);
            let most = rig.clone().watch(0.01, &[supply]).followed[0].max * dozens(&vehicle);
            // A short before the breaker, or on a wire that is not fed in LOW, is none of its business.
            if most < 30.0 {
                continue;
            }
            shorts += 1;
            let seconds = rig.seconds_to_click(60.0).unwrap_or(f64::INFINITY);
            let what = format_args!("{}, s", vehicle.fault_name(&fault));
            ledger.near(what, seconds, 0.0, 5.0);
        }
        // A fuse protects the wires of the others.
        let fused = vehicle
            .components
            .iter()
            .any(|part| matches!(part.kind, Kind::Fuse { .. }));
        ledger.holds("some wire is behind the breaker", shorts > 0 || fused);
    }
}

fn the_third_brush_is_the_fast_one(ledger: &mut Ledger) {
    // Kershaw (Automotive Electrical and Electronic Systems, 5th ed., p. 311) has motors whose fast brush is opposite
    // the common one and whose slow one is displaced, with a series resistor in some. Denton is followed: fewer
    // windings between the brushes need more speed for the same EMF, by the physics of the ring and of the text.
    ledger.source(
        Known::Read,
        "Denton, Automobile Mechanical and Electrical Systems, p. 306: the third brush, nearer the earth brush, is fast",
    );
    for vehicle in two_speed_vehicles() {
        let motor = first(&vehicle, |kind| matches!(kind, Kind::Motor(_)));
        let motor = vehicle.component(motor);
        if motor.path("arc-high-common").is_none() {
            ledger.not_covered(format_args!("{}: its motor has no third brush", vehicle.id));
            continue;
        }
        let share = |name: &str| match motor.path(name).map(|path| path.emf) {
            Some(Emf::PerSpeed(constant)) => constant.volt_seconds(),
            _ => f64::NAN,
        };
        let nearer = share("arc-high-common") < share("arc-low-common");
        ledger.holds(format_args!("{}: it is nearer", vehicle.id), nearer);
        let pace = |wiper: Wiper| {
            let mut rig = Rig::new(&vehicle, Glass::Wet);
            rig.set(wiper);
            rig.run(10.0);
            rig.trial.shaft_speed().radians_per_second()
        };
        let faster = pace(Wiper::High) > 1.2 * pace(Wiper::Low);
        ledger.holds(format_args!("{}: it is faster", vehicle.id), faster);
    }
}

/// A vehicle's operating point on wet glass in LOW, at a crank angle in degrees.
fn in_low(vehicle: &Arc<Vehicle>, shaft: Shaft, crank_deg: f64) -> OperatingPoint {
    let operation = Operation {
        wiper: Wiper::Low,
        crank_deg: Some(crank_deg),
        shaft,
        meters: Vec::new(),
    };
    operating_point(vehicle, &operation)
}

fn torque_at_the_crank_and_ratio(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "15 to 45 N.m at the crank when stalled, 40 to 70 turns of the worm for one of the wheel; the torque held to \
         half and twice",
    );
    for vehicle in fleet::vehicles() {
        let drive = drive_train(&vehicle);
        let held = in_low(&vehicle, Shaft::Held, 100.0)
            .response
            .torque()
            .at_rest;
        let free = held - drive.motor.coulomb.newton_metres();
        let crank = free * drive.gear.ratio * drive.gear.efficiency;
        ledger.between(format_args!("{}, N.m", vehicle.id), crank, 7.5, 90.0);
        ledger.between(
            format_args!("{}, ratio", vehicle.id),
            drive.gear.ratio,
            40.0,
            70.0,
        );
    }
}

fn rubber_on_glass(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "tribology literature: 0.8 to 1.5 dry, 0.1 to 0.7 wet, lower the faster and the wetter",
    );
    let [dry, wet, streaming] = [Glass::Dry, Glass::Wet, Glass::Streaming].map(Glass::friction);
    ledger.between("dry", dry, 0.8, 1.5);
    ledger.between("wet", wet, 0.1, 0.7);
    ledger.between("streaming", streaming, 0.1, wet);
    ledger.source(
        Known::Read,
        "Applied Mechanics and Materials 658 (2014), p. 335: friction rises with load, dry more than wet",
    );
    ledger.holds("dry over wet over streaming", dry > wet && wet > streaming);
    ledger.source(
        Known::Quoted,
        "Annals of the Oradea University, a wiper's mechanism: 8.7 N of friction at the joint of a dry blade",
    );
    ledger.source(
        Known::Memory,
        "a blade presses with 10 to 20 N for each metre; its length taken as twice from its middle to its tip",
    );
    for vehicle in fleet::vehicles() {
        // A blade counts once, at the pivot that carries its arm.
        for load in carrying(&vehicle) {
            let blade = &vehicle.component(load.arm).id;
            let force = load.data.force.newtons();
            // Another blade on another car: within half and twice.
            ledger.between(format_args!("{blade}, N dry"), force * dry, 4.35, 17.4);
            let length = 2.0 * (load.data.tip - load.data.radius).metres();
            ledger.between(format_args!("{blade}, N/m"), force / length, 10.0, 25.0);
        }
    }
}

/// The pivots that carry an arm.
fn carrying(vehicle: &Vehicle) -> Vec<PivotLoad> {
    let mut pivots = drive_train(vehicle).pivots;
    pivots.retain(|load| !load.guides);
    pivots
}

/// The torque that all pivots oppose, newton metres: what the motor gives at its balance speed, less its own
/// friction, through gear and linkage.
fn at_pivots(vehicle: &Arc<Vehicle>, crank_deg: f64) -> f64 {
    let drive = drive_train(vehicle);
    let point = in_low(vehicle, Shaft::Running, crank_deg);
    let speed = point.speed.radians_per_second();
    let own = drive.motor.coulomb.newton_metres() + drive.motor.viscous_nms * speed;
    let crank = (point.response.torque_at(point.speed).newton_metres() - own)
        * drive.gear.ratio
        * drive.gear.efficiency;
    let pose = drive.linkage.pose(Angle::from_degrees(crank_deg));
    crank / pose.ratio.abs()
}

fn torque_of_an_arm(ledger: &mut Ledger) {
    ledger.source(
        Known::Quoted,
        "a physics exercise: 50 N on the glass, friction 0.8, 0.45 m from the pivot: 40 N, 18 N.m",
    );
    // The same 40 N on this glass, on one arm alone; torque of the crank = torque of the rocker x the ratio of speeds.
    for vehicle in fleet::vehicles() {
        let mut changed = Vehicle::clone(&vehicle);
        let mut one = true;
        for component in &mut changed.components {
            match &mut component.kind {
                Kind::Arm { data, .. } => {
                    let newtons = if std::mem::take(&mut one) {
                        50.0 * 0.8
                    } else {
                        0.0
                    };
                    data.force = Force::from_newtons(newtons / Glass::Wet.friction());
                    data.radius = Length::from_metres(0.45);
                }
                Kind::Pivot { friction } => *friction = Torque::ZERO,
                _ => {}
            }
        }
        // Near the dead centre, where the motor can still turn such an arm.
        let home = drive_train(&vehicle)
            .linkage
            .extended_dead_centre()
            .degrees();
        let found = at_pivots(&Arc::new(changed), home + 20.0);
        ledger.near(format_args!("{}, N.m", vehicle.id), found, 18.0, 1e-6);
    }
    ledger.source(
        Known::Memory,
        "1 to 3 N.m for an arm on wet glass; the 4 to 10 on dry are not reached by a blade of 15 N/m and a friction of 1",
    );
    for vehicle in fleet::vehicles() {
        let arms = carrying(&vehicle);
        let count = arms.iter().map(|_| 1.0).sum::<f64>();
        let wet = at_pivots(&vehicle, 100.0) / count;
        ledger.between(
            format_args!("{}, N.m an arm, wet", vehicle.id),
            wet,
            1.0,
            3.0,
        );
    }
}
