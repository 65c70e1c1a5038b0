//! What melts and burns for what a person does: a new fuse or link put onto a short, a motor left to stall on a lead.

use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::file::read_scenario;
use groundside_engine::marking::{Debrief, debrief};
use groundside_engine::random::Seed;
use groundside_engine::world::{Action, Quantity};
use groundside_tests::person::Person;
use groundside_tests::{component, near, shipped, vehicle, with_fault};

use super::{KEY, ran, squeezed};

const SHORT: &str = "link-bulkhead.short-to-ground:0.05";
const NEW_LINK: &str = "repair fusible-link replace";

/// What is marked of the van with a fault after some actions and the hand-over.
fn marked(fault: &str, words: &[&str]) -> Debrief {
    let sound = vehicle();
    let text = include_str!("../../../scenarios/rain-on-the-quay.toml");
    let chosen = Some(sound.parse_faults(fault).unwrap());
    let mut attempt = Attempt::start(Assignment {
        sound,
        scenario: Arc::new(read_scenario(text).unwrap()),
        seed: Seed(5),
        chosen,
    })
    .unwrap();
    for words in words.iter().chain(&["hand-over none none none"]) {
        let action = Action::from_words(words, &attempt.assignment().sound).unwrap();
        attempt.act(&action).unwrap();
    }
    debrief(&attempt).unwrap()
}

/// Some 12.6 V / 0.08 ohm are 160 A: a link that carries 60 for ever melts within 40 s x ln(1 / (1 - (60/160)^2)) = 6 s.
#[test]
fn a_new_link_on_a_short_melts_as_it_is_watched_and_another_is_needed() {
    let mut person = Person::with(SHORT);
    let link = component(&vehicle(), "fusible-link");
    assert!(person.world.has_melted(link), "it came in with it melted");
    near(
        "onto the short",
        person.finds(NEW_LINK, Quantity::NewFuse),
        1.0,
        0.0,
    );
    assert!(person.world.has_melted(link));
    let dead = person.finds("volts fusible-link.out battery.neg", Quantity::Voltage);
    near("behind it", dead, 0.0, 1e-3);
    // The short put right does not mend the link.
    person.does("repair link-bulkhead mend");
    assert!(person.world.has_melted(link));
    near(
        "for good",
        person.finds(NEW_LINK, Quantity::NewFuse),
        0.0,
        0.0,
    );
    person.does_all(&[KEY, "set wiper-switch low"]);
    assert!(person.finds("count", Quantity::CyclesPerMinute) > 40.0);
    assert!(!person.world.has_melted(link));
}

#[test]
#[ignore = "takes long: .ci/slow runs it"]
fn a_short_that_is_mended_behind_a_melted_link_is_half_the_work() {
    let short = "repair link-bulkhead mend";
    assert!(!marked(SHORT, &[short]).cured);
    let whole = marked(SHORT, &[short, NEW_LINK]);
    assert!(whole.cured && whole.needless_repairs.is_empty());
    // A link put onto the short is lost, and so are its minutes.
    let twice = marked(SHORT, &[NEW_LINK, short, NEW_LINK]);
    assert!(twice.cured);
    assert!(
        twice.lost.as_minutes() > whole.lost.as_minutes() + 1.0,
        "{} {}",
        twice.lost,
        whole.lost
    );
}

#[test]
fn a_blade_fuse_that_blows_as_it_goes_in_is_told_at_once() {
    let sound = shipped("hatch-relay");
    let fault = "fuse-switch.short-to-ground:0.05";
    let fitted = |before: &[&str]| {
        let mut person = Person::of(with_fault(&sound, fault), Arc::clone(&sound));
        person.does_all(before);
        person.finds("repair wiper-fuse replace", Quantity::NewFuse)
    };
    near("key on", fitted(&[KEY]), 1.0, 0.0);
    near("key off", fitted(&[]), 0.0, 0.0);
    // On screen, with what it points to; one that holds is a repair like any other.
    let typed = |lines: &str| {
        let arguments = ["practice", "drizzle-on-the-mole", "--fault", fault];
        squeezed(&ran(&arguments, lines))
    };
    let told = typed("key on\nreplace fuse\ny\npause\n");
    for part in [
        "The new wiper-fuse has blown already",
        "points to a short: key off",
    ] {
        assert!(told.contains(part), "{part}: {told}");
    }
    let told = typed("replace fuse\npause\n");
    assert!(told.contains("replaced."), "{told}");
    assert!(!told.contains("new wiper-fuse"), "{told}");
}

/// A motor that burns on a lead is the person's own doing: it has to be replaced, and that is no needless repair.
#[test]
#[ignore = "takes long: .ci/slow runs it"]
fn a_motor_burnt_on_a_lead_is_told_apart_from_the_fault() {
    let mut words = vec!["unplug motor-plug", "jumper motor.53 battery.pos"];
    words.extend(["wait 1800"; 2]);
    words.extend([
        "remove-jumper",
        "plug motor-plug",
        "repair left-pivot replace",
    ]);
    let fault = "left-pivot.seized";
    let left = marked(fault, &words);
    words.push("repair motor replace");
    let replaced = marked(fault, &words);
    let motor = component(&vehicle(), "motor");
    assert_eq!(replaced.consequences, [motor]);
    assert!(replaced.needless_repairs.is_empty());
    assert!(left.consequences.is_empty());
}
