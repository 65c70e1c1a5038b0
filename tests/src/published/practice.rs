//! What the trade expects of a sound circuit: drops along wires and contacts while it works, contacts and brushes
//! by their resistance, and wires that the breaker protects. One-sided, on the sound vehicles.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{
    Component, ComponentId, Kind, Path, SeverityUnit, TRACK, Vehicle,
};
use groundside_engine::world::Followed;

use super::frequencies::two_speed_vehicles;
use crate::ledger::{Known, Ledger};
use crate::{Rig, Wiper, fleet, node};

crate::checks![
    drops_of_a_sound_circuit,
    feed_and_ground_side_of_a_sound_circuit,
    resistances_of_sound_contacts,
    resistances_of_bad_contacts,
    brushes,
    wires_behind_a_breaker,
];

/// Mean current of every path of every component over a minute, wet glass, in a running position.
fn currents(vehicle: &Arc<Vehicle>, wiper: Wiper) -> Vec<(ComponentId, usize, f64)> {
    let mut rig = Rig::new(vehicle, Glass::Wet);
    rig.set(wiper);
    rig.run(10.0);
    let paths: Vec<(ComponentId, usize)> = vehicle
        .ids()
        .flat_map(|id| (0..vehicle.component(id).paths.len()).map(move |path| (id, path)))
        .collect();
    let follow: Vec<Followed> = paths
        .iter()
        .map(|&(id, path)| Followed::Current(id, path))
        .collect();
    let stretch = rig.watch(60.0, &follow);
    let means = stretch.followed.iter().map(|extent| extent.mean);
    paths
        .into_iter()
        .zip(means)
        .map(|((id, path), amps)| (id, path, amps))
        .collect()
}

/// Volts that a component may drop, and what it is, by common practice.
const fn allowed(component: &Component) -> Option<(&'static str, f64)> {
    match component.kind {
        Kind::Wire { .. } | Kind::Strap(_) => Some(("a wire", 0.2)),
        Kind::Connector { .. } | Kind::GroundPoint => Some(("a connection", 0.1)),
        Kind::Switch { .. } | Kind::Breaker(_) | Kind::ParkContact(_) => Some(("a contact", 0.2)),
        _ => None,
    }
}

fn drops_of_a_sound_circuit(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "shop practice: at most 0.1 V on a clean connection, 0.2 V along a wire, 0.2 to 0.3 V on a contact",
    );
    for vehicle in two_speed_vehicles() {
        for wiper in [Wiper::Low, Wiper::High] {
            let mut carrying = 0;
            for (id, path, amps) in currents(&vehicle, wiper) {
                let component = vehicle.component(id);
                let Some((kind, most)) = allowed(component) else {
                    continue;
                };
                let ohms = component.paths[path].resistance.ohms();
                // What is there to drop volts is no contact: the track of a rheostat.
                if ohms > 1.0 {
                    continue;
                }
                let drop = (amps * ohms).abs();
                carrying += u32::from(amps.abs() > 1.0);
                let what =
                    format_args!("{kind}, {} of {}, V in {wiper:?}", component.id, vehicle.id);
                ledger.near(what, drop, 0.0, most);
            }
            ledger.holds("ten parts carry the current", carrying >= 10);
        }
    }
}

fn feed_and_ground_side_of_a_sound_circuit(ledger: &mut Ledger) {
    ledger.source(
        Known::Memory,
        "shop practice: at most 0.1 V on the ground side, 0.5 V on the whole feed side of a 12 V consumer",
    );
    ledger.source(
        Known::Memory,
        "FAA, AC 43.13-1B, table 11-6: 0.5 V in continuous use on a 14 V feeder",
    );
    for vehicle in two_speed_vehicles() {
        let motor = vehicle
            .components
            .iter()
            .find(|component| matches!(component.kind, Kind::Motor(_)));
        let motor = motor.expect("a wiper has a motor");
        if crate::has_wound_field(&vehicle) {
            // Its speeds have no feed of their own.
            continue;
        }
        for (wiper, terminal) in [(Wiper::Low, "53"), (Wiper::High, "53b")] {
            let at = |name: &str| node(&vehicle, &format!("{} {name}", motor.id));
            let (plus, minus) = (node(&vehicle, "battery pos"), node(&vehicle, "battery neg"));
            let mut rig = Rig::new(&vehicle, Glass::Wet);
            rig.set(wiper);
            rig.run(10.0);
            // Where the switch grounds the common brush, that side has a contact more.
            let switched = vehicle
                .points()
                .any(|point| vehicle.point_name(point).ends_with(" 31b"));
            let feed = Followed::Voltage(plus, at(terminal));
            let ground = Followed::Voltage(at("31"), minus);
            let stretch = rig.watch(60.0, &[feed, ground]);
            let [feed, ground] = [0, 1].map(|n: usize| stretch.followed[n].mean);
            let what = format_args!("of {} in {wiper:?}", vehicle.id);
            ledger.near(format_args!("V on the feed side {what}"), feed, 0.0, 0.5);
            let most = if switched { 0.3 } else { 0.1 };
            ledger.between(
                format_args!("V on the ground side {what}"),
                ground,
                0.0,
                most,
            );
            ledger.holds("current flows", feed > 0.05);
        }
    }
}

fn resistances_of_sound_contacts(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Electronics 9 (2020) 2079, introduction: a healthy contact has microhms to a few milliohms",
    );
    ledger.source(
        Known::Quoted,
        "MIL-DTL-26482: contacts of size 14 below 20 milliohms",
    );
    ledger.source(
        Known::Memory,
        "FAA, AC 43.13-1B, ch. 11: at most 0.005 ohm on a bonding joint",
    );
    for vehicle in fleet::vehicles() {
        for component in &vehicle.components {
            // A pin within the military limit; a switch, with its rivets and springs, within the same.
            let most = match component.kind {
                Kind::Connector { .. } | Kind::Switch { .. } => 20e-3,
                Kind::GroundPoint => 5e-3,
                _ => continue,
            };
            // The track of a rheostat is no contact.
            let of_track = |path: &&Path| path.name.as_str().starts_with(TRACK);
            let contacts = component.paths.iter().filter(|path| !of_track(path));
            for path in contacts {
                let what = format_args!("{} {} of {}, ohm", component.id, path.name, vehicle.id);
                ledger.between(what, path.resistance.ohms(), 1e-6, most);
            }
        }
    }
}

fn resistances_of_bad_contacts(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Electronics 9 (2020) 2079, introduction: a worn or corroded contact has up to ohms or more",
    );
    ledger.source(
        Known::Memory,
        "engineering estimate: corrosion 0.02 to 5 ohm, nearly open above 50",
    );
    for vehicle in fleet::vehicles() {
        let laws = vehicle.faults().into_iter().filter_map(|(id, _, mode)| {
            let name = mode.name.as_str();
            // What is in a coil is no contact, and neither is a resistor's step.
            let contact = !name.starts_with("coil") && !name.contains("step");
            let named = name.contains("high-resistance") && contact;
            let law = mode.severity.filter(|law| law.unit == SeverityUnit::Ohm)?;
            named.then_some((id, law))
        });
        for (id, law) in laws {
            let id = &vehicle.component(id).id;
            ledger.holds(
                format_args!("{id}: within 0.02 and 50 ohm"),
                law.min >= 0.02 && law.max <= 50.0,
            );
            ledger.between(format_args!("{id}: median, ohm"), law.median(), 0.2, 5.0);
            ledger.holds(
                format_args!("{id}: ohms among them"),
                law.quantile(0.9) > 2.0,
            );
        }
    }
}

fn brushes(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "Hawkins Electrical Guide, vol. 2: carbon brushes lose 1.6 to 2.0 V, both together",
    );
    ledger.source(
        Known::Quoted,
        "a brush maker's note: body, tamped joint and lead of a brush 4.7 milliohms",
    );
    // A low-voltage motor's metal-graphite brushes lose less (0.2 to 0.6 V, from memory): below carbon is asked. The
    // engine has a resistance for each brush rather than a drop.
    for vehicle in two_speed_vehicles() {
        for wiper in [Wiper::Low, Wiper::High] {
            let mut lost = 0.0;
            for (id, path, amps) in currents(&vehicle, wiper) {
                let path = &vehicle.component(id).paths[path];
                if path.name.as_str().ends_with("-brush") {
                    lost += (amps * path.resistance.ohms()).abs();
                    let milliohms = path.resistance.ohms() * 1e3;
                    ledger.holds(
                        format_args!("{} is above its lead", path.name),
                        milliohms >= 4.7,
                    );
                }
            }
            let what = format_args!("V on brushes of {} in {wiper:?}", vehicle.id);
            ledger.between(what, lost, 0.02, 2.0);
        }
    }
}

/// Aircraft gauges with the largest breaker that protects them, amperes, and what they carry for ever in a bundle.
const GAUGES: [(i32, f64, f64); 7] = [
    (22, 5.0, 3.0),
    (20, 7.5, 4.0),
    (18, 10.0, 6.0),
    (16, 15.0, 7.0),
    (14, 20.0, 10.0),
    (12, 30.0, 13.0),
    (10, 40.0, 17.0),
];

/// The row of the thickest gauge that is no thicker than a wire.
fn gauge(mm2: f64) -> Option<(f64, f64)> {
    let section = |gauge: i32| {
        let diameter = 0.127 * 92_f64.powf(f64::from(36 - gauge) / 39.0);
        std::f64::consts::PI * diameter * diameter / 4.0
    };
    let thinner = GAUGES.iter().rev().find(|row| section(row.0) <= mm2);
    thinner.map(|&(_, breaker, bundle)| (breaker, bundle))
}

fn wires_behind_a_breaker(ledger: &mut Ledger) {
    ledger.source(
        Known::Read,
        "FAA, AC 43.13-1B, para 11-48 and table 11-3: the breaker opens before the wire can smoke",
    );
    ledger.source(
        Known::Read,
        "FAA, AC 43.13-1B, table 11-9: amperes in bundles, 105 degC",
    );
    for vehicle in two_speed_vehicles() {
        for wiper in [Wiper::Low, Wiper::High] {
            let currents = currents(&vehicle, wiper);
            let breaker = currents.iter().find_map(|&(id, _, amps)| {
                let Kind::Breaker(data) = vehicle.component(id).kind else {
                    return None;
                };
                Some((data.ultimate.amperes(), amps))
            });
            let Some((ultimate, through)) = breaker else {
                continue;
            };
            let mut checked = 0;
            for &(id, _, amps) in &currents {
                let component = vehicle.component(id);
                let Kind::Wire { data, .. } = &component.kind else {
                    continue;
                };
                if amps.abs() < 0.9 * through {
                    continue;
                }
                checked += 1;
                let (breaker, bundle) =
                    gauge(data.section.square_millimetres()).unwrap_or((0.0, 0.0));
                let what = format_args!("{} of {}", component.id, vehicle.id);
                ledger.between(
                    format_args!("breaker before {what}, A"),
                    ultimate,
                    0.0,
                    breaker,
                );
                ledger.near(format_args!("in {what}, A"), amps.abs(), 0.0, bundle);
            }
            ledger.holds("three wires on the way", checked >= 3);
        }
    }
}
