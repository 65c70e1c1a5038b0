//! Currents as they are read. The low-amps clamp on every shipped vehicle: an even ripple from a sound motor, and the
//! shape that a dead coil leaves, the same in every window. The dash ammeter, once its needle has come to rest.

use std::collections::BTreeSet;
use std::sync::Arc;

use groundside_engine::vehicle::{Roles, Vehicle};
use groundside_engine::world::{Errors, Observation, Quantity};
use groundside_tests::person::Person;
use groundside_tests::{has_wound_field, near, roles, shipped, with_fault};

/// The vehicles, each with a wire that carries the motor's current in LOW, one that does in HIGH, and one on the
/// ground's side, where the current may go the other way.
const FLEET: [(&str, [&str; 3]); 5] = [
    ("van-case-ground", ["motor-53", "motor-53b", "motor-strap"]),
    ("sedan-reversing", ["motor-53", "motor-53b", "motor-31b"]),
    ("hatch-relay", ["motor-53", "motor-53b", "motor-31"]),
    ("bus-compound", ["lead-d1", "lead-d1", "motor-strap"]),
    (
        "bus-compound-rheostat",
        ["lead-d1", "lead-d1", "motor-strap"],
    ),
];

/// Windows in each position, so many seconds apart.
const WINDOWS: usize = 4;

/// The words for the shape of the current in a wire, in some windows of a position.
fn told(
    vehicle: &Arc<Vehicle>,
    sound: &Arc<Vehicle>,
    position: usize,
    wire: &str,
) -> BTreeSet<&'static str> {
    let Roles {
        key, key_on, wiper, ..
    } = roles(sound);
    let set = |id, position: usize| {
        let part = sound.component(id);
        format!("set {} {}", part.id, part.positions()[position])
    };
    let mut person = Person::of(Arc::clone(vehicle), Arc::clone(sound));
    person.does_all(&[&set(key, key_on), &set(wiper, position)]);
    let words = (0..WINDOWS).map(|_| {
        let seen = person.observes(&format!("trace {wire}"), Quantity::Dips);
        match seen.observe(Errors::NONE) {
            Observation::Perception { word, .. } => word,
            Observation::Reading { .. } => "",
        }
    });
    words.collect()
}

/// What is told of a current: of a motor with a wound field, or that the third brush feeds, or neither.
fn expected(fault: Option<&str>, wound: bool, third: bool) -> &'static str {
    match (fault, wound, third) {
        (Some("motor.coil-open"), true, _) => "two peaks each turn",
        (Some("motor.coil-open"), false, false) => "several peaks each turn",
        (
            Some("motor.coil-open" | "motor.coil-shorted:0.3" | "motor.coil-shorted:1"),
            false,
            true,
        ) => "one dip each turn",
        (Some("motor.coil-shorted:0.3" | "motor.coil-shorted:1"), _, _) => "two dips each turn",
        _ => "an even ripple",
    }
}

#[test]
fn a_sound_motor_ripples_evenly_and_a_dead_coil_shows_alike_in_every_window() {
    for (id, [low, high, ground]) in FLEET {
        let sound = shipped(id);
        let speeds = roles(&sound).speeds;
        let (wound, last) = (has_wound_field(&sound), speeds[speeds.len() - 1]);
        for fault in [
            None,
            Some("left-pivot.stiff:4"),
            Some("motor.coil-open"),
            Some("motor.coil-shorted:0.3"),
            Some("motor.coil-shorted:1"),
        ] {
            let vehicle =
                fault.map_or_else(|| Arc::clone(&sound), |fault| with_fault(&sound, fault));
            for &position in &speeds {
                let third = !wound && position == last;
                for wire in [if third { high } else { low }, ground] {
                    let found = told(&vehicle, &sound, position, wire);
                    let expected = BTreeSet::from([expected(fault, wound, third)]);
                    assert_eq!(found, expected, "{id}, {fault:?}, {position}, {wire}");
                }
            }
        }
    }
}

/// What the needle of a dash ammeter shows just after something was switched, and after it was left to run.
#[test]
fn a_dash_ammeter_is_read_when_its_needle_has_come_to_rest() {
    let read = |before: &[&str]| {
        let mut person = Person::new();
        person.does_all(before);
        let at_once = person.observes("ammeter", Quantity::Discharge);
        person.does("wait 60");
        (at_once, person.observes("ammeter", Quantity::Discharge))
    };
    let key = "set ignition-switch on";
    for position in ["low", "high"] {
        let (at_once, later) = read(&[key, &format!("set wiper-switch {position}")]);
        near("mean", at_once.value, later.value, 0.02);
        for seen in [&at_once, &later] {
            // No inrush of 12.6 V over an ohm or less is left in it, and what swings with the wipers is under a mark.
            assert!(seen.max - seen.min < 2.0, "{position}: {seen:?}");
        }
    }
    // A motor that its breaker lets go and cuts off makes the needle swing, from nothing up to what it draws.
    let mut person = Person::with("left-pivot.seized");
    person.does_all(&[key, "set wiper-switch low", "wait 60"]);
    let swings = (0..4).map(|_| person.observes("ammeter", Quantity::Discharge));
    let (least, most) = swings.fold((f64::INFINITY, 0.0_f64), |(least, most), seen| {
        (least.min(seen.min), most.max(seen.max))
    });
    assert!(least < 1.0 && most > 10.0, "{least} to {most} A");
}
