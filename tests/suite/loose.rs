//! Contacts that give way now and then, by figures: how often, when, and that chance is replayed exactly.

use std::collections::BTreeMap;
use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt, sound_signature, world_of};
use groundside_engine::file::{read_scenario, read_vehicle};
use groundside_engine::marking::{Debrief, debrief};
use groundside_engine::quantity::{Angle, Interval};
use groundside_engine::random::Seed;
use groundside_engine::scenario::{Glass, Symptom};
use groundside_engine::vehicle::{Fault, Vehicle};
use groundside_engine::world::{Action, Chance, Signature, Trial, symptom};

fn van() -> Vehicle {
    read_vehicle(include_str!("../../scenarios/van-case-ground.toml"))
        .unwrap()
        .0
}

/// The van with a fault, wipers in a position.
fn wiping(fault: &str, position: usize, glass: Glass) -> Trial {
    let sound = van();
    let faulty = Arc::new(sound.inject(&sound.parse_fault(fault).unwrap()));
    let mut trial = Trial::new(&faulty, glass).unwrap();
    trial.set(faulty.control("key").unwrap(), 2);
    trial.set(faulty.control("wiper").unwrap(), position);
    trial
}

fn turns(trial: &mut Trial, seconds: f64) -> f64 {
    let span = Interval::from_seconds(seconds);
    trial.run(span, &[]).unwrap().crank_turns
}

#[test]
fn a_loose_pin_stops_the_motor_for_its_share_of_the_time() {
    let hours = 10.0 * 3600.0;
    let sound = turns(
        &mut wiping("motor-plug.53b-loose:0.3", 1, Glass::Wet),
        hours,
    );
    let loose = turns(&mut wiping("motor-plug.53-loose:0.3", 1, Glass::Wet), hours);
    // Ten hours hold 720 bouts and good spells of 15 s and 35 s: the share's standard deviation is .01.
    let share = 1.0 - loose / sound;
    assert!((share - 0.3).abs() < 0.03, "{share}");
}

#[test]
fn moments_are_met_exactly_and_copies_go_the_same_way() {
    let whole = turns(
        &mut wiping("motor-plug.53-loose:0.2", 1, Glass::Wet),
        1800.0,
    );
    let mut pieces = wiping("motor-plug.53-loose:0.2", 1, Glass::Wet);
    let mut sum = (0..600).map(|_| turns(&mut pieces, 3.0)).sum::<f64>();
    assert!((whole - sum).abs() < 1e-6 * whole, "{whole} {sum}");
    let mut copy = pieces.clone();
    sum = turns(&mut pieces, 900.0);
    assert_eq!(sum.to_bits(), turns(&mut copy, 900.0).to_bits());
}

#[test]
fn a_pin_that_opens_when_warm_lets_go_after_its_minutes_and_holds_again_when_cool() {
    let mut trial = wiping("motor-plug.53-opens-warm:3", 1, Glass::Wet);
    assert!(turns(&mut trial, 179.9) > 100.0 && trial.shaft_speed().radians_per_second() > 0.0);
    turns(&mut trial, 1.0);
    assert!(turns(&mut trial, 60.0) < 1e-9);
    // It cools to .7 of that warmth in 300 s times ln(1 / .7), 107 s, less 61.
    assert!(turns(&mut trial, 60.0) > 5.0);
}

#[test]
fn a_pin_that_leaks_when_wet_trips_the_breaker_in_the_rain_alone() {
    let clicks = |glass| {
        let mut trial = wiping("motor-plug.53a-leaks-wet:0.8", 1, glass);
        trial
            .run(Interval::from_seconds(200.0), &[])
            .unwrap()
            .clicks
    };
    assert_eq!(clicks(Glass::Wet), 0);
    assert!(clicks(Glass::Streaming) > 1);
}

#[test]
fn whatever_gives_way_on_the_way_to_the_motor_brings_a_complaint() {
    let sound = Arc::new(van());
    let text = include_str!("../../scenarios/rain-on-the-quay.toml");
    let scenario = read_scenario(text).unwrap();
    let healthy = sound_signature(&sound, &scenario).unwrap();
    let mut told: BTreeMap<String, u32> = BTreeMap::new();
    for (component, mode, data) in sound.faults() {
        let severity = data.severity.map(|law| law.median());
        let fault = Fault {
            component,
            mode,
            severity,
        };
        if sound.inject(&fault).loose_paths().next().is_none() {
            continue;
        }
        let chance = Chance::of_the_truth(Seed(1));
        let world = world_of(&sound, fault, Angle::from_degrees(40.0), &scenario, chance).unwrap();
        let brought = symptom(&Signature::of(world).unwrap(), &healthy);
        let word = brought.map_or("none", Symptom::word);
        *told.entry(word.to_owned()).or_default() += 1;
    }
    // What is off the way to the motor, or leaks less than its breaker minds, brings none.
    assert!(told["now-and-then"] >= 12 && told["none"] <= 18, "{told:?}");
}

/// The van with a fault, played in strict words.
fn played(fault: &str, words: &[&str]) -> Debrief {
    let sound = Arc::new(van());
    let chosen = Some(sound.parse_faults(fault).unwrap());
    let text = include_str!("../../scenarios/rain-on-the-quay.toml");
    let mut attempt = Attempt::start(Assignment {
        sound,
        scenario: Arc::new(read_scenario(text).unwrap()),
        seed: Seed(7),
        chosen,
    })
    .unwrap();
    for words in words {
        let action = Action::from_words(words, &attempt.assignment().sound).unwrap();
        attempt.act(&action).unwrap();
    }
    debrief(&attempt).unwrap()
}

#[test]
#[ignore = "takes long: .ci/slow runs it"]
fn the_belief_keeps_an_intermittent_in_sight_and_finds_it_by_hand() {
    let fault = "motor-plug.53-loose:0.2";
    let on = ["set ignition-switch on", "set wiper-switch low"];
    let with = |more: &[&str]| {
        let words: Vec<&str> = on.iter().chain(more).chain(&["give-up"]).copied().collect();
        played(fault, &words)
    };
    // Looks alone, whatever they find, neither kill it nor tell it from its neighbours.
    let looked = with(&["look blades", "listen", "look blades", "listen", "ammeter"]);
    let found = with(&["look blades", "wiggle motor-plug", "tug motor-plug.53"]);
    assert!(looked.belief_in_truth > 0.01, "{:?}", looked.suspects);
    assert!(found.belief_in_truth > 0.9, "{:?}", found.suspects);
}

#[test]
#[ignore = "takes long: .ci/slow runs it"]
fn half_an_hour_without_a_bout_clears_what_the_motor_runs_by() {
    // LOW does not go by 53b: the longer it runs there without a bout, the less is anything else loose.
    let watched = |wait: &str| {
        let words = [
            "set ignition-switch on",
            "set wiper-switch low",
            "clip motor.53 battery.neg",
            wait,
            "give-up",
        ];
        played("motor-plug.53b-loose:0.2", &words).belief_in_truth
    };
    let (short, long) = (watched("wait 10"), watched("wait 1800"));
    assert!(long > 1.5 * short, "{short} {long}");
}
