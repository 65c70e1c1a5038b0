//! Leads, meters and nuts: what is said where a lead carries nothing, where the circuit is closed beside a meter,
//! and what a spanner does to a nut that nobody undid.

use std::sync::Arc;

use groundside_engine::world::{Action, Advice, Hazard, Quantity, Refusal};
use groundside_tests::person::Person;
use groundside_tests::{near, shipped, vehicle};

use super::{APART, KEY, lead_fuse};

/// The advice with an act.
fn advice(person: &Person, words: &str) -> Option<Advice> {
    let action = Action::from_words(words, &vehicle()).unwrap();
    person.world.permit(&action).unwrap().advice()
}

fn refused(person: &Person, words: &str) -> Option<Refusal> {
    let action = Action::from_words(words, &vehicle()).unwrap();
    person.world.permit(&action).err()
}

#[test]
fn a_blown_lead_feeds_no_motor_and_a_new_fuse_does_again() {
    let mut person = Person::new();
    person.does(APART);
    lead_fuse(&mut person, "jumper battery.pos motor.53", true);
    assert_eq!(person.cautions("feel left-pivot"), []);
    assert_eq!(person.cautions("wait 600"), []);
    person.does("new-fuse");
    assert_eq!(
        person.cautions("feel left-pivot"),
        [Hazard::HandsInLiveLinkage]
    );
    assert_eq!(person.cautions("wait 600"), [Hazard::UnprotectedMotor]);
    // What is whole keeps its caution whatever else has blown.
    person.does("remove-jumper");
    person.does("jumper motor.53 battery.pos");
    lead_fuse(&mut person, "jumper motor.31 battery.pos", true);
    assert_eq!(person.cautions("wait 600"), [Hazard::UnprotectedMotor]);
}

#[test]
fn minutes_on_leads_add_up_until_they_are_cautioned_or_the_leads_are_off() {
    let mut person = Person::new();
    person.does(APART);
    person.does("jumper motor.53 battery.pos");
    person.does("wait 60");
    assert_eq!(person.cautions("wait 55"), []);
    assert_eq!(person.cautions("wait 60"), [Hazard::UnprotectedMotor]);
    // What the caution asks for is not cautioned.
    assert_eq!(person.cautions("remove-jumper"), []);
    person.does("wait 60");
    // Cautioned once, the minutes begin anew.
    assert_eq!(person.cautions("wait 60"), []);
    person.does("wait 60");
    person.does("remove-jumper");
    person.does("jumper motor.53 battery.pos");
    assert_eq!(person.cautions("wait 60"), []);
}

#[test]
fn a_lead_that_is_live_through_a_winding_keeps_its_fuse() {
    // 12.6 V behind winding and brushes of 0.86 ohm drive less than a 15 A fuse carries, whatever the bare end touches.
    let mut person = Person::with("motor-strap.open");
    person.does(APART);
    person.does("jumper motor.53 battery.pos");
    lead_fuse(&mut person, "jumper motor.31 front-ground.stud", false);
}

#[test]
fn a_cut_out_in_the_motor_protects_it_from_leads() {
    let hatch = shipped("hatch-relay");
    let mut person = Person::of(Arc::clone(&hatch), hatch);
    person.does("unplug motor-plug");
    person.does("jumper motor.31 front-ground.stud");
    person.does("jumper motor.53 battery.pos");
    assert_eq!(person.cautions("wait 600"), []);
}

#[test]
fn two_leads_on_the_same_two_points_are_refused() {
    let mut person = Person::new();
    person.does("jumper motor.53 motor.53b");
    for words in ["jumper motor.53 motor.53b", "jumper motor.53b motor.53"] {
        assert_eq!(
            refused(&person, words),
            Some(Refusal::JumperThere),
            "{words}"
        );
    }
    assert_eq!(refused(&person, "jumper motor.53 motor.53e"), None);
}

#[test]
fn an_ammeter_beside_a_closed_circuit_is_told_of() {
    let besides = Some(Advice::AmmeterBesideCircuit);
    let mut person = Person::new();
    person.does_all(&[KEY, "set wiper-switch low"]);
    assert_eq!(advice(&person, "amps motor-plug.53 motor.53"), besides);
    assert_eq!(
        advice(&person, "amps wiper-switch.15 wiper-switch.53"),
        besides
    );
    // Across a supply it is a caution, and opened it is right.
    assert_eq!(
        person.cautions("amps battery.pos battery.neg"),
        [Hazard::AmmeterAcrossSupply]
    );
    assert_eq!(advice(&person, "amps battery.pos battery.neg"), None);
    person.does_all(&["set wiper-switch off", "wait 10", "set ignition-switch off"]);
    person.does_all(&[APART, KEY, "set wiper-switch low"]);
    assert_eq!(advice(&person, "amps motor-plug.53 motor.53"), None);
}

#[test]
fn a_lead_tells_whether_it_started_or_stopped_the_motor() {
    let mut person = Person::new();
    person.does(APART);
    let mut change = |words: &str| person.finds(words, Quantity::MotorChange);
    near("on", change("jumper motor.53 battery.pos"), 1.0, 0.0);
    near("beside it", change("jumper motor.53b motor.53e"), 0.0, 0.0);
    near("beside it, off", change("remove-jumper"), 0.0, 0.0);
    near("off", change("remove-jumper"), -1.0, 0.0);
}

#[test]
fn a_lead_comes_off_with_the_blades_at_mid_glass() {
    let middle = |words: &str| {
        let mut person = Person::new();
        person.does_all(&[APART, "jumper motor.53 battery.pos", "wait 7"]);
        person.does(words);
        // The crank's angle past the start of the wipe; a quarter turn is the middle of it.
        let drive = vehicle().drive_train().unwrap().unwrap();
        let past = person.world.crank().radians()
            - drive.linkage.extended_dead_centre().radians()
            - std::f64::consts::FRAC_PI_2;
        past.sin().abs().max(-past.cos())
    };
    // The motor coasts on a little.
    assert!(middle("remove-jumper at-mid-glass") < 0.6);
}

#[test]
fn a_spanner_does_a_loose_nut_up_and_leaves_a_tight_one_as_it_is() {
    let wipes = |mut person: Person| {
        person.does_all(&[KEY, "set wiper-switch low"]);
        person.finds("count", Quantity::CyclesPerMinute)
    };
    let mut loose = Person::with("crank-nut.loose:0.1");
    near("loose", wipes(loose.clone()), 0.0, 0.5);
    let turned = |person: &mut Person| person.finds("tighten crank-nut", Quantity::Turned);
    near("it turns", turned(&mut loose), 1.0, 1e-9);
    let sound = wipes(Person::new());
    near("done up", wipes(loose), sound, 0.5);
    // A crank that was refitted out of park stays there when its nut is tightened once more.
    let mut refitted = Person::new();
    refitted.does_all(&[
        KEY,
        "set wiper-switch low",
        "wait 7",
        "set ignition-switch off",
        "loosen crank-nut",
        "tighten crank-nut",
    ]);
    let crank = refitted.world.crank().radians();
    assert_eq!(refitted.cautions("tighten crank-nut"), []);
    near("it holds", turned(&mut refitted), 0.0, 1e-9);
    near("crank", refitted.world.crank().radians(), crank, 1e-9);
    assert_eq!(
        refused(&refitted, "tighten connecting-link"),
        Some(Refusal::AlreadyTight)
    );
}

/// A fuse that has blown is told of as it does, and when fuses are seen to again, not with every command.
#[test]
fn a_blown_fuse_of_a_lead_is_told_of_once() {
    let told = |person: &mut Person, words: &str| {
        let seen = person.does(words).observables;
        let fuses = seen
            .iter()
            .filter(|seen| seen.quantity == Quantity::LeadFuse);
        fuses.map(|seen| seen.value > 0.5).collect::<Vec<_>>()
    };
    let mut person = Person::new();
    person.does(APART);
    assert_eq!(told(&mut person, "jumper motor.31 battery.pos"), [true]);
    assert!(told(&mut person, "look blades").is_empty());
    assert!(told(&mut person, "volts motor.53 battery.neg").is_empty());
    // Another lead is put on, and all of them are looked at.
    let second = told(&mut person, "jumper motor.53b motor.53");
    assert_eq!(second, [true, false]);
    assert!(told(&mut person, "listen").is_empty());
    assert_eq!(told(&mut person, "new-fuse"), [true, false]);
    // One that blows while something else is done is told of with that.
    let mut person = Person::new();
    let lead = told(&mut person, "jumper wiper-breaker.in battery.neg");
    assert_eq!(lead, [false]);
    assert_eq!(told(&mut person, KEY), [true]);
    assert!(told(&mut person, "set ignition-switch off").is_empty());
}

/// A lamp between supply and a motor's brush is a resistance in its feed, and what it drops the motor does not get.
#[test]
fn a_lamp_that_feeds_a_motor_is_told_of() {
    let change = |words: &str, before: &[&str]| {
        let mut person = Person::new();
        person.does_all(before);
        person.finds(words, Quantity::MotorChange)
    };
    let fed = "load motor.53 battery.pos";
    near("its plug apart it feeds", change(fed, &[APART]), 1.0, 0.0);
    // One whose blades are stiff takes them a bit of the way and stalls before the lamp is read.
    let mut stiff = Person::with("left-pivot.stiff:6");
    stiff.does(APART);
    near(
        "as it stalls",
        stiff.finds(fed, Quantity::MotorChange),
        1.0,
        0.0,
    );
    // A test lamp's fraction of an ampere turns nothing, nor is a motor started that runs, or is shorted at its park.
    for (words, before) in [
        ("lamp motor.53 battery.pos", &[APART][..]),
        (fed, &[KEY, "set wiper-switch low"]),
        (fed, &[]),
        ("load battery.pos motor.31", &[]),
    ] {
        near(words, change(words, before), 0.0, 0.0);
    }
}
