//! What learners held to be unfair or could not follow in a mark: first looks, what was named as better, what is done by
//! the way, what sees to a vehicle that is right.

use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::file::{read_scenario, read_vehicle};
use groundside_engine::marking::{CheckLine, Debrief};
use groundside_engine::random::Seed;
use groundside_engine::world::Action;

use crate::marked::marked;

/// Plays strict words on a van, or on a hatchback with relays, with a chosen fault, gives up unless it was handed over, and
/// marks.
fn played(vehicle: &str, seed: u64, fault: Option<&str>, words: &[&str]) -> Debrief {
    let (vehicle, scenario) = match vehicle {
        "van" => (
            include_str!("../../scenarios/van-case-ground.toml"),
            include_str!("../../scenarios/rain-on-the-quay.toml"),
        ),
        _ => (
            include_str!("../../scenarios/hatch-relay.toml"),
            include_str!("../../scenarios/drizzle-on-the-mole.toml"),
        ),
    };
    let sound = Arc::new(read_vehicle(vehicle).unwrap().0);
    let chosen = fault.map(|fault| sound.parse_faults(fault).unwrap());
    let scenario = Arc::new(read_scenario(scenario).unwrap());
    let mut attempt = Attempt::start(Assignment {
        sound,
        scenario,
        seed: Seed(seed),
        chosen,
    })
    .unwrap();
    let over = words
        .last()
        .is_some_and(|last| last.starts_with("hand-over"));
    for words in words.iter().chain((!over).then_some(&"give-up")) {
        let action = Action::from_words(words, &attempt.assignment().sound).unwrap();
        attempt.act(&action).unwrap();
    }
    marked(&attempt)
}

fn lines<'d>(debrief: &'d Debrief, action: &str) -> Vec<&'d CheckLine> {
    let lines = debrief.lines.iter();
    lines.filter(|line| line.action == action).collect()
}

#[test]
fn a_first_look_with_the_key_off_costs_nothing_and_a_second_one_does() {
    let debrief = played(
        "van",
        7,
        None,
        &["look blades", "listen", "look blades", "ask", "ask"],
    );
    let looks = lines(&debrief, "look blades");
    assert!(looks[0].lost.as_minutes() < 1e-9, "{:?}", looks[0]);
    assert!(looks[1].lost.as_minutes() > 0.3, "{:?}", looks[1]);
}

/// What was taken off goes back on, whether the learner says so or leaves it to the hand-over: as many minutes, the same
/// mark, and neither is luck.
#[test]
fn a_vehicle_is_not_handed_over_with_its_covers_off() {
    let work = [
        "set ignition-switch on",
        "set wiper-switch low",
        "look blades",
        "set ignition-switch off",
        "remove dash-panel",
    ];
    let ends = "hand-over dead motor-plug.53-open motor-plug";
    let left = played("van", 7, None, &[&work[..], &[ends]].concat());
    let fitted = played(
        "van",
        7,
        None,
        &[&work[..], &["fit dash-panel", ends]].concat(),
    );
    assert_eq!(left.minutes, fitted.minutes);
    let of = |debrief: &Debrief| debrief.score.unwrap().total;
    assert!((of(&left) - of(&fitted)).abs() < 1e-9);
    let handed = lines(&left, ends)[0];
    let fit = lines(&fitted, "fit dash-panel")[0];
    assert!(handed.minutes == fit.minutes && fit.minutes.as_minutes() > 1.0);
    assert!((left.balance.luck - fitted.balance.luck).abs() < 1e-9);
}

/// A whole motor cures its park contact as well, for its price.
#[test]
fn a_dearer_repair_that_cures_too_loses_what_it_costs_beyond() {
    let checks = [
        "set ignition-switch on",
        "set wiper-switch high",
        "look blades",
        "set wiper-switch off",
        "look blades",
        "volts motor.53e battery.neg",
        "volts motor-plug.53e battery.neg",
        "helper set ignition-switch off",
    ];
    let fault = Some("park-contact.feed-open");
    let lost = |repair: &str| {
        let debrief = played("van", 8, fault, &[&checks[..], &[repair]].concat());
        let line = lines(&debrief, repair)[0].clone();
        assert!(line.repair_chance.unwrap() > 0.5, "{line:?}");
        line.lost.as_minutes()
    };
    let [contact, motor] = ["repair park-contact replace", "repair motor replace"].map(lost);
    assert!(motor > contact + 20.0, "{motor} {contact}");
}

/// What is borrowed goes back, and that is charged with borrowing it: leaving it to the hand-over gains nothing.
#[test]
fn a_known_good_part_is_not_handed_over() {
    let work = ["set ignition-switch off", "substitute wiper-breaker"];
    let ends = "hand-over slow left-pivot.stiff left-pivot";
    let left = played("van", 7, None, &[&work[..], &[ends]].concat());
    let back = played(
        "van",
        7,
        None,
        &[&work[..], &["swap-back wiper-breaker", ends]].concat(),
    );
    assert_eq!(left.minutes, back.minutes);
    let of = |debrief: &Debrief| (debrief.score.unwrap().total, debrief.lost);
    assert_eq!(of(&left), of(&back));
}

/// What a debrief holds up as the better check loses nothing when it is made next.
#[test]
fn what_was_named_as_better_loses_nothing_when_it_is_made_next() {
    // Seed 7 brings a stiff pivot: the ammeter at high tells most a minute, though the pivot felt would save more.
    let first = [
        "set ignition-switch on",
        "set wiper-switch low",
        "look blades",
        "set wiper-switch high",
        "look blades",
        "listen",
    ];
    let debrief = played("van", 7, None, &first);
    let poor = lines(&debrief, "listen")[0];
    let better = poor.better.as_ref().unwrap();
    assert_eq!(better.check, "ammeter with the wiper switch at high");
    assert!(better.first.is_empty(), "{better:?}");
    let debrief = played("van", 7, None, &[&first[..], &["ammeter"]].concat());
    let done = lines(&debrief, "ammeter")[0];
    assert!(done.lost.as_minutes() < 1e-9, "{done:?}");
    assert!(
        done.better.is_none() && done.efficiency == Some(1.0),
        "{done:?}"
    );
}

#[test]
fn a_pull_that_can_show_nothing_confirms_nothing() {
    let proven = [
        "set ignition-switch on",
        "set wiper-switch low",
        "look blades",
        "set wiper-switch high",
        "look blades",
        "set wiper-switch low",
        "volts motor-plug.53 battery.neg",
        "volts motor.53 battery.neg",
        "helper set ignition-switch off",
        "tug motor-plug.53b",
        "helper set ignition-switch on",
        "volts motor-plug.53 motor.53",
    ];
    let debrief = played("van", 7, Some("motor-plug.53-open"), &proven);
    let pull = lines(&debrief, "tug motor-plug.53b")[0];
    assert!(
        pull.let_pass > 0.0 && pull.lost.as_minutes() < 1e-9,
        "{pull:?}"
    );
    assert!(!pull.confirms && !pull.proves, "{pull:?}");
    let drop = lines(&debrief, "volts motor-plug.53 motor.53")[0];
    assert!(drop.confirms && drop.proves, "{drop:?}");
}

/// On a vehicle with relays every move of the wiper switch is heard, and a loose nut is put right as it is tried.
#[test]
fn a_control_set_for_the_next_check_is_none_and_a_nut_that_was_loose_is_seen_to() {
    let words = [
        "set ignition-switch on",
        "set wiper-switch low",
        "look blades",
        "listen",
        "set wiper-switch high",
        "look blades",
        "set ignition-switch off",
        "remove cowl-screen",
        "helper set ignition-switch on",
        "look-at crank-nut",
        "helper set ignition-switch off",
        "tighten crank-nut",
        "set ignition-switch on",
        "set wiper-switch low",
        "look blades",
        "set wiper-switch off",
        "look blades",
        "set wiper-switch high",
        "look blades",
        "set wiper-switch off",
        "look blades",
    ];
    let debrief = played("hatch", 7, Some("crank-nut.loose:0.6"), &words);
    let of_a_control = |line: &&CheckLine| line.action.contains("set ");
    for line in debrief.lines.iter().filter(of_a_control) {
        assert!(!line.is_check && line.efficiency.is_none(), "{line:?}");
        assert!(line.lost.as_minutes() < 1e-9, "{line:?}");
    }
    let tightened = debrief
        .lines
        .iter()
        .position(|line| line.action == "tighten crank-nut");
    let after = &debrief.lines[tightened.unwrap() + 1..];
    let looks: Vec<&CheckLine> = after.iter().filter(|line| line.is_check).collect();
    assert_eq!(looks.len(), 4);
    // Parking from each speed as well, though the second time they lie where they lay before.
    for look in looks {
        assert!(look.verifies && look.lost.as_minutes() < 1e-9, "{look:?}");
        assert!(look.efficiency.is_none(), "{look:?}");
    }
}
