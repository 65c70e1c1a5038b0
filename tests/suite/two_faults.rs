//! Two faults at once: drawn by seed, put right one after the other, marked by both.

use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt, Header, draw};
use groundside_engine::file::read_scenario;
use groundside_engine::marking::{Debrief, VerdictLevel, debrief};
use groundside_engine::random::Seed;
use groundside_engine::scenario::Scenario;
use groundside_engine::world::Action;
use groundside_tests::vehicle;

const RAIN: &str = include_str!("../../scenarios/rain-on-the-quay.toml");
const PAIR: &str = "motor-strap.high-resistance:2+left-pivot.stiff:8";

fn two() -> Scenario {
    let text = RAIN.replacen("helper = true", "faults = 2\nhelper = true", 1);
    read_scenario(&text).unwrap()
}

fn attempt(chosen: &str) -> Attempt {
    let sound = vehicle();
    let chosen = Some(sound.parse_faults(chosen).unwrap());
    Attempt::start(Assignment {
        sound,
        scenario: Arc::new(two()),
        seed: Seed(5),
        chosen,
    })
    .unwrap()
}

fn marked(words: &[&str]) -> Debrief {
    let mut attempt = attempt(PAIR);
    for words in words {
        let action = Action::from_words(words, &attempt.assignment().sound).unwrap();
        attempt.act(&action).unwrap();
    }
    debrief(&attempt).unwrap()
}

#[test]
fn two_are_drawn_by_seed_of_different_parts_and_each_brings_a_complaint() {
    let (sound, scenario) = (vehicle(), two());
    let one = read_scenario(RAIN).unwrap();
    let mut seconds = std::collections::BTreeSet::new();
    for seed in (0..8).map(Seed) {
        let drawn = draw(&sound, &scenario, seed).unwrap();
        assert_eq!(drawn, draw(&sound, &scenario, seed).unwrap());
        let main = drawn.faults.main;
        // The first is that of a scenario with one.
        assert_eq!(main, draw(&sound, &one, seed).unwrap().faults.main);
        let second = drawn.faults.second.unwrap();
        assert!(!sound.put_right_together(main.component, second.component));
        assert!(scenario.complaint(drawn.symptom).is_some());
        assert!(groundside_engine::attempt::draw_chosen(&sound, &one, seed, second).is_ok());
        seconds.insert(sound.faults_name(&second.into()));
    }
    assert!(seconds.len() >= 6, "{seconds:?}");
}

#[test]
fn one_put_right_is_not_enough_and_both_are() {
    let strap = "repair motor-strap mend";
    let pivot = "repair left-pivot free";
    let end = "hand-over slow none none";
    let (first, second) = (marked(&[strap, end]), marked(&[pivot, end]));
    assert!(!first.cured && !second.cured);
    assert!(first.needless_repairs.is_empty() && second.needless_repairs.is_empty());
    let both = marked(&[strap, "repair ammeter replace", pivot, end]);
    assert!(both.cured);
    assert_eq!(both.needless_repairs.len(), 1);
    // Both labours and both rounds of seeing to it: 10 + 15 + 2 x 4.
    assert!(both.par.as_minutes() > 33.0, "{}", both.par);
}

#[test]
#[ignore = "takes long: .ci/slow runs it"]
fn the_last_verdicts_on_two_parts_stand() {
    let of = |verdicts: &[&str]| {
        let mut words: Vec<String> = verdicts.iter().map(|v| format!("conclude {v}")).collect();
        words.push("hand-over none none none".to_owned());
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let debrief = marked(&words);
        (debrief.level, debrief.second.unwrap().level)
    };
    let (strap, pivot) = ("motor-strap.high-resistance", "left-pivot.stiff");
    let exact = VerdictLevel::Exact;
    assert_eq!(of(&[strap, pivot]), (exact, exact));
    assert_eq!(of(&["motor-strap.open", pivot, strap]), (exact, exact));
    assert_eq!(of(&[strap]), (exact, VerdictLevel::Wrong));
    // Only two stand, whatever else was said before.
    assert_eq!(of(&[pivot, "ammeter.open", strap]).1, VerdictLevel::Wrong);
}

#[test]
fn chosen_faults_are_named_in_the_header_and_read_back() {
    let attempt = attempt(PAIR);
    let header = Header::of(attempt.assignment(), "", "");
    assert_eq!(header.fault.as_deref(), Some(PAIR));
    let sound = vehicle();
    for (text, why) in [
        (
            "motor.magnets-weak+worm-gear.stripped",
            "put right together",
        ),
        ("motor-strap.open+", "is not COMPONENT.MODE"),
        (
            "motor-strap.open+left-pivot.stiff+ammeter.open",
            "no failure mode",
        ),
    ] {
        let error = sound.parse_faults(text).unwrap_err().to_string();
        assert!(error.contains(why), "{error}");
    }
}
