//! Every fault of the shipped vehicle is told by some check at the bench, and the ones that the trade has a check
//! for are told by that check. At the middle of each severity: `study observability` goes through three.

use std::sync::Arc;

use groundside_engine::attempt::Assignment;
use groundside_engine::file::read_scenario;
use groundside_engine::marking::observability;
use groundside_engine::random::Seed;
use groundside_tests::actions::SCENARIO;
use groundside_tests::vehicle;

#[test]
fn every_fault_is_told_by_some_check() {
    let assignment = Assignment {
        sound: vehicle(),
        scenario: Arc::new(read_scenario(SCENARIO).unwrap()),
        seed: Seed(1),
        chosen: None,
    };
    let table = observability(&assignment, &[0.5]).unwrap();
    // Welded, it shows only when something else overloads the circuit: `modes.rs` keeps the reasons.
    assert_eq!(table.latent(), ["wiper-breaker.welded"]);
    assert!(table.groups() >= 35, "{} groups", table.groups());
    assert_eq!(table.faults.len(), vehicle().faults().len());
    let told = |fault: &str, by: &str| {
        let mut rows = table.faults.iter().filter(|row| row.stem == fault);
        let row = rows.next().expect("the vehicle has this fault");
        let mut checks = row.told_by.iter().map(|(check, _)| &table.checks[*check]);
        checks.any(|check| check.starts_with(by))
    };
    for (fault, by) in [
        ("left-arm.splines-stripped", "move left-arm"),
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
    ] {
        assert!(told(fault, by), "{fault} is not told by `{by}`");
    }
    // And what has no part in a check is not told by it.
    assert!(!told("radio-ground.open", "lamp motor.53"));
    assert!(!told("left-pivot.stiff", "battery-test"));
}
