//! Conditions that bring a complaint and are no faults: flat battery, ice, dry glass, wrong blades. They are values
//! like everything else, explained to the customer rather than repaired, and drawn where the weather brings them.

use std::collections::BTreeSet;
use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::file::read_scenario;
use groundside_engine::marking::{Debrief, VerdictLevel, debrief};
use groundside_engine::random::Seed;
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::Region;
use groundside_engine::world::{Action, Observation};
use groundside_tests::{Wiper, faulty, minute, vehicle};

const FROST: &str = include_str!("../../scenarios/frost-on-the-slip.toml");
const RAIN: &str = include_str!("../../scenarios/rain-on-the-quay.toml");

fn attempt(scenario: &str, seed: u64, fault: Option<&str>) -> Attempt {
    let sound = vehicle();
    let chosen = fault.map(|fault| sound.parse_faults(fault).unwrap());
    Attempt::start(Assignment {
        sound,
        scenario: Arc::new(read_scenario(scenario).unwrap()),
        seed: Seed(seed),
        chosen,
    })
    .unwrap()
}

fn act(attempt: &mut Attempt, words: &[&str]) -> Vec<Observation> {
    let mut seen = Vec::new();
    for words in words {
        let action = Action::from_words(words, &attempt.assignment().sound).unwrap();
        seen = attempt.act(&action).unwrap().observations.clone();
    }
    seen
}

fn word(seen: &[Observation]) -> &'static str {
    match seen {
        [Observation::Perception { word, .. }, ..] => word,
        other => panic!("{other:?}"),
    }
}

fn marked(fault: &str, words: &[&str]) -> Debrief {
    let mut attempt = attempt(FROST, 3, Some(fault));
    act(&mut attempt, words);
    debrief(&attempt).unwrap()
}

#[test]
fn a_flat_battery_wipes_as_slowly_as_its_volts_say() {
    // Design figures: 11.0 and 10.0 V behind 0.04 ohm, cycles a minute in LOW and HIGH.
    for (share, expected) in [("0.873", [39.0, 57.0]), ("0.7937", [34.0, 50.0])] {
        for (wiper, expected) in [Wiper::Low, Wiper::High].into_iter().zip(expected) {
            let flat = faulty(&format!("battery.flat:{share}"));
            let (pace, _, _) = minute(&flat, Glass::Wet, wiper, &[]);
            assert!((pace - expected).abs() < 1.0, "{share} {wiper:?}: {pace}");
        }
    }
}

#[test]
fn a_hand_tells_ice_from_dry_glass_and_a_blade_that_presses_from_one_that_does_not() {
    let felt = |fault: &str, part: &str| {
        word(&act(
            &mut attempt(FROST, 3, Some(fault)),
            &[&format!("feel {part}")],
        ))
    };
    assert_eq!(felt("windscreen.iced:3", "windscreen"), "iced");
    let mut seen = attempt(FROST, 3, Some("windscreen.iced:3"));
    assert_eq!(word(&act(&mut seen, &["look-at windscreen"])), "iced");
    assert_eq!(felt("windscreen.dry:1.3", "windscreen"), "dry");
    assert_eq!(felt("left-arm.wrong-blade:4", "windscreen"), "wet");
    assert_eq!(felt("left-arm.wrong-blade:4", "left-arm"), "presses hard");
    assert_eq!(
        felt("left-arm.wrong-blade:4", "right-arm"),
        "lies on the glass as it should"
    );
}

#[test]
fn the_can_wets_dry_glass_for_a_while_and_helps_nothing_against_ice() {
    let pace = |fault: &str, wet: bool| {
        let mut attempt = attempt(FROST, 3, Some(fault));
        if wet {
            act(&mut attempt, &["wet-glass"]);
        }
        act(
            &mut attempt,
            &[
                "helper set ignition-switch on",
                "helper set wiper-switch low",
                "wait 5",
            ],
        );
        match act(&mut attempt, &["count"]).first() {
            Some(Observation::Reading {
                shown: Some([mean, ..]),
                ..
            }) => mean.value(),
            other => panic!("{other:?}"),
        }
    };
    assert!(pace("windscreen.dry:1.3", true) > pace("windscreen.dry:1.3", false) + 5.0);
    let iced = |wet| pace("windscreen.iced:1.3", wet);
    assert!((iced(true) - iced(false)).abs() < 1.5);
}

/// Water on ice freezes: the ice is still there when it is looked at again.
#[test]
fn water_on_ice_freezes_and_the_ice_stays() {
    let mut iced = attempt(FROST, 3, Some("windscreen.iced:3"));
    assert!(word(&act(&mut iced, &["wet-glass"])).starts_with("iced, and the water freezes"));
    assert!(word(&act(&mut iced, &["look-at windscreen"])).starts_with("iced"));
    let mut dry = attempt(FROST, 3, Some("windscreen.dry:1.3"));
    assert_eq!(word(&act(&mut dry, &["wet-glass"])), "wet");
}

#[test]
fn explaining_settles_a_condition_and_leaves_it_as_it_is() {
    let debrief = marked(
        "battery.flat:0.8",
        &[
            "conclude battery.flat",
            "repair battery explain",
            "hand-over slow battery.flat battery",
        ],
    );
    assert!(debrief.cured);
    assert_eq!(debrief.level, VerdictLevel::Exact);
    assert_eq!(debrief.region, Region::NoFault);
    assert!(debrief.needless_repairs.is_empty());
    assert!(debrief.write_up.is_empty(), "{:?}", debrief.write_up);

    let mut attempt = attempt(FROST, 3, Some("battery.flat:0.8"));
    let volts =
        |attempt: &mut Attempt| format!("{:?}", act(attempt, &["volts battery.pos battery.neg"]));
    let before = volts(&mut attempt);
    act(&mut attempt, &["repair battery explain"]);
    assert_eq!(volts(&mut attempt)[..30], before[..30]);
}

#[test]
#[ignore = "takes long: .ci/slow runs it"]
fn what_takes_a_condition_away_counts_as_put_right_and_another_explanation_does_not() {
    let cases = [
        ("battery.flat:0.8", "repair battery charge", true),
        ("windscreen.iced:5", "repair windscreen clear", true),
        ("windscreen.iced:5", "repair windscreen explain", true),
        ("windscreen.dry:1.4", "repair windscreen clear", false),
        ("left-arm.wrong-blade:5", "repair right-arm explain", false),
        ("left-pivot.stiff:6", "repair windscreen explain", false),
    ];
    for (fault, repair, cured) in cases {
        let debrief = marked(fault, &[repair, "hand-over none none none"]);
        assert_eq!(debrief.cured, cured, "{fault}, {repair}");
    }
}

#[test]
fn a_fault_where_there_is_none_is_wrong_and_another_condition_is_near() {
    let level = |verdict: &str| {
        marked(
            "battery.flat:0.8",
            &[&format!("hand-over none {verdict} none")],
        )
        .level
    };
    assert_eq!(
        level("ignition-switch.30-15-high-resistance"),
        VerdictLevel::Wrong
    );
    assert_eq!(level("left-arm.wrong-blade"), VerdictLevel::RightRegion);
}

#[test]
fn explaining_needs_no_way_and_no_key_off() {
    let mut attempt = attempt(FROST, 3, Some("left-arm.wrong-blade:5"));
    act(&mut attempt, &["set ignition-switch on"]);
    act(&mut attempt, &["repair left-arm explain"]);
    let event = attempt.events().last().unwrap();
    assert!(event.hazards.is_empty());
    assert_eq!(event.cost.total().to_string(), "2.0");
}

#[test]
fn the_frosty_morning_brings_conditions_and_faults_and_the_rain_neither_ice_nor_dry_glass() {
    let mut conditions = BTreeSet::new();
    let mut faults = 0;
    for seed in 0..20 {
        let mut attempt = attempt(FROST, seed, None);
        attempt.act(&Action::GiveUp).unwrap();
        let fault = attempt.revealed().unwrap().faults.main;
        let sound = &attempt.assignment().sound;
        if sound.mode(&fault).is_condition() {
            conditions.insert(sound.fault_name(&groundside_engine::vehicle::Fault {
                severity: None,
                ..fault
            }));
        } else {
            faults += 1;
        }
    }
    assert!(
        conditions.len() >= 4 && faults >= 10,
        "{conditions:?} {faults}"
    );

    let rain = read_scenario(RAIN).unwrap();
    let modes = vehicle().faults();
    let brought = modes.iter().filter(|(_, _, mode)| rain.can_bring(mode));
    assert_eq!(brought.count(), modes.len() - 2);
}
