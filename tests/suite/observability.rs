//! Every fault of the shipped vehicles is told by some check at the bench, and the ones that the trade has a check
//! for are told by that check. At the middle of each severity: `study observability` goes through three.

use std::sync::{Arc, Mutex};

use groundside_engine::attempt::Assignment;
use groundside_engine::file::read_scenario;
use groundside_engine::marking::{Observability, Progress, observability_telling};
use groundside_engine::random::Seed;
use groundside_engine::vehicle::Vehicle;
use groundside_tests::actions::SCENARIO;
use groundside_tests::{shipped, vehicle};

/// Faults that no check here tells, and why.
const LATENT: [(&str, &str); 0] = [];

/// What `study observability` finds of a vehicle; it has enough groups, and nothing latent without a reason.
fn told(vehicle: Arc<Vehicle>) -> Observability {
    let id = vehicle.id.clone();
    let assignment = Assignment {
        sound: vehicle,
        scenario: Arc::new(read_scenario(SCENARIO).unwrap()),
        seed: Seed(1),
        chosen: None,
    };
    let done = Mutex::new(Vec::new());
    let tell = |Progress { done: n, of }| done.lock().unwrap().push((n, of));
    let table = observability_telling(&assignment, &[0.5], &tell).unwrap();
    // Told from the beginning on and after each fault, in whatever order the threads come.
    let mut told = done.into_inner().unwrap();
    told.sort_unstable();
    let of = table.faults.len();
    assert!(told.into_iter().eq((0..=of).map(|n| (n, of))), "{id}");
    let groups = table.groups();
    assert!(groups >= 35, "{id}: {groups} groups");
    let mut latent = table.latent();
    latent.retain(|fault| !LATENT.iter().any(|(name, _)| name == fault));
    assert_eq!(latent, Vec::<&str>::new(), "{id}");
    table
}

#[test]
#[ignore = "takes a minute: .ci/slow runs it, as for the others"]
fn no_fault_of_the_saloon_is_latent_without_a_reason() {
    told(shipped("sedan-reversing"));
}

#[test]
#[ignore = "takes a minute"]
fn no_fault_of_the_hatchback_is_latent_without_a_reason() {
    let table = told(shipped("hatch-relay"));
    tells(
        &table,
        &[
            ("cut-out.welded", "hold left-arm"),
            ("k1-diode.open", "diode"),
        ],
    );
}

#[test]
#[ignore = "takes a minute"]
fn no_fault_of_the_bus_is_latent_without_a_reason() {
    told(shipped("bus-compound"));
}

#[test]
#[ignore = "takes a minute"]
fn no_fault_of_the_bus_with_a_rheostat_is_latent_without_a_reason() {
    told(shipped("bus-compound-rheostat"));
}

/// Whether some check that begins with these words tells a fault.
fn is_told(table: &Observability, fault: &str, by: &str) -> bool {
    let mut rows = table.faults.iter().filter(|row| row.stem == fault);
    let row = rows.next().unwrap();
    let mut checks = row.told_by.iter().map(|(check, _)| &table.checks[*check]);
    checks.any(|check| check.starts_with(by))
}

fn tells(table: &Observability, by: &[(&str, &str)]) {
    for (fault, by) in by {
        assert!(is_told(table, fault, by), "{fault} is not told by `{by}`");
    }
}

#[test]
#[ignore = "takes a minute: .ci/slow runs it, as for the vehicles above"]
fn every_fault_of_the_van_is_told_by_some_check() {
    let table = told(vehicle());
    assert_eq!(table.faults.len(), vehicle().faults().len());
    let by = [
        ("wiper-breaker.welded", "hold left-arm"),
        ("left-arm.splines-stripped", "move left-arm"),
        ("left-arm.rubber-torn", "look-at left-arm"),
        ("connecting-link.off", "look blades"),
        ("worm-gear.play", "listen"),
        ("left-arm.off-its-mark", "look blades"),
        ("motor-plug.53-pushed-out", "tug motor-plug.53"),
        ("motor.wrong-motor", "count"),
        ("battery.sulphated", "battery-test"),
        ("motor.coil-open", "trace motor-strap"),
        ("motor.coil-shorted", "trace motor-strap"),
        ("motor-plug.53-loose", "tug motor-plug.53"),
        ("motor-53.broken-inside", "tug"),
        ("wiper-switch.feed-high-resistance", "load motor.53a"),
        ("motor-strap.high-resistance", "volts motor.31"),
        ("battery.flat", "battery-test"),
        ("left-pivot.stiff", "count"),
        ("left-arm.wrong-blade", "feel left-arm"),
        ("ignition-switch.30-15-stuck-closed", "look blades after"),
        ("alternator-ammeter.high-resistance", "volts alternator.pos"),
        ("park-contact.ground-open", "look blades after unplug"),
        ("motor-plug.53-leaks-wet", "ammeter after"),
        ("motor-53.open", "lamp motor.53"),
    ];
    tells(&table, &by);
    // And what has no part in a check is not told by it.
    assert!(!is_told(&table, "radio-ground.open", "lamp motor.53"));
    assert!(!is_told(&table, "left-pivot.stiff", "battery-test"));
}
