//! What going on does, by figures.

use std::sync::Arc;

use groundside_engine::world::{Hazard, Quantity};
use groundside_tests::person::Person;
use groundside_tests::{component, near, shipped, vehicle};

use super::{APART, KEY, lead_fuse, ran, row_of, squeezed};

#[test]
fn ohms_on_a_live_circuit_are_nonsense() {
    // The meter's volt against 12.6 V through 1000.2 ohm: (1 - 12.6) / 1000.2 = -11.598 mA, and it shows
    // 12.6 / -0.011598 + 0.2 = -1086.2 ohm, where 0.06 ohm is.
    let mut person = Person::new();
    let nonsense = "ohms wiper-switch.15 battery.neg";
    person.does(KEY);
    near(
        "live",
        person.finds(nonsense, Quantity::Resistance),
        -1086.2,
        0.2,
    );
    let beep = nonsense.replace("ohms", "continuity");
    let shown = person.finds(&beep, Quantity::Continuity);
    assert!(shown > 30.0, "no beep");
    let diode = person.finds(&nonsense.replace("ohms", "diode"), Quantity::DiodeVoltage);
    near("diode range", diode, 12.6, 0.01);
    // With the key off and the strap off nothing drives the meter but itself. Between the switch's 15 and the link
    // there are then 0.0505 ohm of wires, breaker and key left, and the leads' 0.2.
    let mut person = Person::new();
    person.does("unplug battery-strap");
    let told = person.finds(
        "ohms wiper-switch.15 wiper-breaker.in",
        Quantity::Resistance,
    );
    near("strap off", told, 0.2 + 0.02 + 0.003, 1e-3);
}

#[test]
fn an_ammeter_across_a_supply_loses_its_fuse_and_reads_nothing_from_then_on() {
    let series = "amps motor-plug.53 motor.53";
    let running = || {
        let mut person = Person::new();
        person.does_all(&[APART, KEY, "set wiper-switch low"]);
        person
    };
    let mut sound = running();
    let amps = sound.finds(series, Quantity::SeriesCurrent);
    assert!((2.0..3.0).contains(&amps), "{amps} A in LOW");
    near("fuse", sound.finds(series, Quantity::MeterFuse), 0.0, 0.0);
    let mut person = running();
    let across = "amps battery.pos battery.neg";
    let outcome = person.does(across);
    let seen = |quantity| {
        let found = outcome
            .observables
            .iter()
            .find(|seen| seen.quantity == quantity);
        found.unwrap().value
    };
    near("across", seen(Quantity::SeriesCurrent), 0.0, 0.0);
    near("fuse", seen(Quantity::MeterFuse), 1.0, 0.0);
    near(
        "in series",
        person.finds(series, Quantity::SeriesCurrent),
        0.0,
        1e-6,
    );
    let pitch = person.finds("listen", Quantity::Pitch);
    near("the motor stands", pitch, 0.0, 0.0);
    person.does("new-fuse");
    let amps = person.finds(series, Quantity::SeriesCurrent);
    assert!((2.0..3.0).contains(&amps), "{amps} A with a new fuse");
}

#[test]
fn a_plug_worked_under_supply_has_burnt_pins() {
    // Two arcs, one as it parts and one as it closes: 0.005 ohm has become 0.045.
    let drop = "volts motor-plug.53 motor.53";
    let pin = |person: &mut Person| {
        let volts = person.finds(drop, Quantity::Voltage);
        volts / person.finds("clamp motor-53", Quantity::Current)
    };
    let live = [KEY, "set wiper-switch low"];
    let mut person = Person::new();
    person.does_all(&live);
    near("sound", pin(&mut person), 0.005, 0.0002);
    person.does_all(&[APART, "plug motor-plug", "wait 5"]);
    near("burnt", pin(&mut person), 0.045, 0.002);
    // The pins that carried nothing are as they were.
    let plug = component(&vehicle(), "motor-plug");
    let ohms = |person: &Person| {
        let paths = &person.world.vehicle().component(plug).paths;
        let all = paths.iter().map(|path| path.resistance.ohms());
        all.collect::<Vec<_>>()
    };
    for ohms in &ohms(&person)[1..] {
        near("another pin", *ohms, 0.005, 0.0);
    }
    person.does("repair motor-plug mend");
    near("mended", pin(&mut person), 0.005, 0.0002);
    // With the key off nothing arcs.
    let mut person = Person::new();
    person.does_all(&[APART, "plug motor-plug"]);
    for ohms in ohms(&person) {
        near("a pin without current", ohms, 0.005, 0.0);
    }
}

#[test]
fn a_battery_taken_off_while_it_is_charged_costs_the_alternator() {
    let start = [KEY, "set alternator on"];
    let strap = ["unplug battery-strap", "plug battery-strap"];
    let at_posts = "volts battery.pos battery.neg";
    let charged = |person: &mut Person| person.finds(at_posts, Quantity::Voltage);
    // Rested, 12.6 V behind some tens of milliohms take tens of amperes of an alternator at 14.2 V at first, more than 6 A.
    let mut person = Person::new();
    person.does_all(&start);
    let amps = person
        .clone()
        .finds("clamp battery-strap", Quantity::Current);
    assert!(amps.abs() > 6.0, "{amps} A");
    person.does_all(&strap);
    let volts = charged(&mut person);
    assert!(volts < 13.3, "{volts} V with the engine running");
    // With its surface charge gone the battery alone holds the posts up.
    person.does("set ignition-switch off");
    person.does_all(&["wait 1200"; 3]);
    person.does_all(&start);
    let volts = charged(&mut person);
    assert!(volts < 12.61, "{volts} V with the engine started anew");
    person.does_all(&["set ignition-switch off", "repair alternator replace"]);
    person.does_all(&start);
    person.does("wait 1800");
    let volts = charged(&mut person);
    assert!(volts > 13.9, "{volts} V with another alternator");
    // Charged it takes little, and its loss is survived: the caution is there all the same.
    let amps = person.finds("clamp battery-strap", Quantity::Current);
    assert!(amps.abs() < 6.0, "{amps} A after half an hour");
    assert_eq!(person.cautions(strap[0]), [Hazard::BatteryOffWhileCharging]);
    person.does_all(&strap);
    let volts = charged(&mut person);
    assert!(volts > 13.9, "{volts} V");
    // With the engine off nothing happens to it.
    let mut person = Person::new();
    person.does_all(&strap);
    person.does_all(&start);
    person.does("wait 600");
    let volts = charged(&mut person);
    assert!(volts > 13.9, "{volts} V");
}

#[test]
fn a_live_end_first_arcs_and_the_lead_carries_nothing() {
    let mut person = Person::new();
    person.does(APART);
    let mut wrong = person.clone();
    lead_fuse(&mut wrong, "jumper battery.pos motor.53", true);
    near("stands", wrong.finds("listen", Quantity::Pitch), 0.0, 0.0);
    let volts = wrong.finds("volts motor.53 battery.neg", Quantity::Voltage);
    near("at the motor", volts, 0.0, 1e-3);
    // The same lead the right way round, and the same lead with a new fuse.
    lead_fuse(&mut person, "jumper motor.53 battery.pos", false);
    assert!(person.finds("listen", Quantity::Pitch) > 200.0);
    lead_fuse(&mut wrong, "new-fuse", false);
    assert!(wrong.finds("listen", Quantity::Pitch) > 200.0);
    // The caution is by the diagram. An end that is dead in fact does not arc.
    let mut dead = Person::with("fusible-link.open");
    dead.does_all(&[APART, KEY]);
    let words = "jumper wiper-switch.15 motor.53";
    assert_eq!(dead.cautions(words), [Hazard::LiveEndFirst]);
    lead_fuse(&mut dead, words, false);
}

#[test]
fn a_lead_from_supply_to_ground_blows_and_blows_again() {
    let mut person = Person::new();
    lead_fuse(&mut person, "jumper motor.31 battery.pos", true);
    let over = person.finds("volts battery.pos motor.31", Quantity::Voltage);
    near("over the open lead", over, 12.6, 0.01);
    lead_fuse(&mut person, "new-fuse", true);
}

#[test]
fn a_lead_onto_the_park_contact_blows_at_park_and_only_there() {
    let onto = "jumper motor.53e battery.pos";
    let mut parked = Person::new();
    parked.does(APART);
    lead_fuse(&mut parked, onto, true);
    // Out of park the contact is on 53a, which hangs on nothing: the fuse holds until the motor comes home.
    let mut person = Person::new();
    person.does_all(&[KEY, "set wiper-switch low"]);
    person.does("set ignition-switch off at-mid-glass");
    person.does(APART);
    assert_eq!(person.cautions(onto), [Hazard::JumperOntoPark]);
    lead_fuse(&mut person, onto, false);
    let outcome = person.does("jumper motor.53 battery.pos");
    let blown = outcome.observables.iter();
    let blown = blown.filter(|seen| seen.quantity == Quantity::LeadFuse);
    let blown: Vec<bool> = blown.map(|seen| seen.value > 0.5).collect();
    assert_eq!(blown, [true, false], "the first lead's and the second's");
}

#[test]
fn hands_in_a_linkage_that_moves_are_caught() {
    let caught = |before: &[&str], words: &str| {
        let mut person = Person::new();
        person.does_all(before);
        person.finds(words, Quantity::Caught)
    };
    let low = "set wiper-switch low";
    let feel = "feel left-pivot";
    near("running", caught(&[KEY, low], feel), 1.0, 0.0);
    near("standing", caught(&[KEY], feel), 0.0, 0.0);
    // As the caution says: a breaker that has opened lets the blades stand, and closes again by itself.
    let mut person = Person::with("wiper-breaker.weak:1.2");
    person.does_all(&[KEY, low, "go under-dash", "remove dash-panel"]);
    let stands = (0..120).find(|_| {
        let seen = person.clone().does("look blades").observables;
        person.does("wait 1");
        seen.iter().any(|seen| seen.quantity == Quantity::Rest)
    });
    assert!(stands.is_some(), "the breaker opens");
    near("they stood", person.finds(feel, Quantity::Caught), 1.0, 0.0);
    // With the plug off nothing can start, and nothing is told.
    let mut person = Person::new();
    person.does_all(&[APART, KEY, low]);
    let seen = person.does(feel).observables;
    assert!(seen.iter().all(|seen| seen.quantity != Quantity::Caught));
}

#[test]
fn an_arm_that_sweeps_tells_no_hand_of_its_play() {
    let moved = |before: &[&str]| {
        let mut person = Person::new();
        person.does_all(before);
        assert_eq!(
            person.cautions("move left-arm"),
            [Hazard::HandsInLiveLinkage]
        );
        person.finds("move left-arm", Quantity::ArmTorque)
    };
    let (standing, sweeping) = (moved(&[KEY]), moved(&[KEY, "set wiper-switch low"]));
    near("standing, held by the gear", standing, 1000.0, 0.0);
    near("sweeping", sweeping, 10_000.0, 0.0);
}

#[test]
fn a_caught_hand_is_told_with_what_to_do_now() {
    let typed = |lines: &str| {
        let arguments = [
            "practice",
            "rain-on-the-quay",
            "--fault",
            "left-pivot.stiff:6",
        ];
        squeezed(&ran(&arguments, lines))
    };
    let hurt = typed("key on\nwiper low\nmove left arm\ny\npause\n");
    for part in [
        "You are hurt",
        "key off",
        "first-aider",
        "instructor",
        "workshop writes down",
    ] {
        assert!(hurt.contains(part), "{part}: {hurt}");
    }
    assert!(!typed("key on\nmove left arm\ny\npause\n").contains("You are hurt"));
}

#[test]
fn a_fuse_that_blows_at_once_again_says_so_and_points_to_a_short() {
    let arguments = [
        "practice",
        "rain-on-the-quay",
        "--fault",
        "left-pivot.stiff:6",
    ];
    let lines = "jumper motor 31 to battery pos\ny\nnew fuse\nremove jumper\nnew fuse\npause\n";
    let told = squeezed(&ran(&arguments, lines));
    assert!(told.contains("blew again at once"), "{told}");
    assert!(told.contains("a fuse that blows twice"), "{told}");
    assert!(told.contains("New fuses are in."), "{told}");
}

#[test]
fn a_motor_on_a_lead_that_stalls_burns_and_one_on_its_breaker_does_not() {
    // Held by a seized pivot it takes 12.6 V over battery, lead, brushes and limiter, winding and strap, 0.015 + 0.02 +
    // 0.26 + 0.6 + 0.004 = 0.899 ohm: 14.0 A cold, under what the lead's 15 A fuse carries for ever, and less as the 0.6
    // ohm of copper warm. On the switch the breaker of 8.5 A opens.
    let seized = || Person::with("left-pivot.seized");
    let lead = [APART, "jumper motor.53 battery.pos"];
    let mut person = seized();
    person.does_all(&lead);
    assert_eq!(person.cautions("wait 120"), [Hazard::UnprotectedMotor]);
    let amps = person.finds("clamp motor-strap", Quantity::Current);
    let motor = person.world.vehicle().find("motor").unwrap();
    let (copper, _) = person.world.winding_temperature(motor).unwrap();
    let ohms = 0.299 + 0.6 * (1.0 + 0.00393 * (copper - 20.0));
    assert!((120.0..199.0).contains(&copper), "{copper} degrees");
    near("after a minute or so", amps, 12.6 / ohms, 0.1);
    let minutes = (1..=20).find(|_| {
        person.does("wait 60");
        person.clone().finds("smell motor", Quantity::Smell) >= 200.0
    });
    assert!(minutes.is_some_and(|minutes| minutes > 1), "{minutes:?}");
    // What is left of it, once the pivot is free: more current, fewer cycles than a sound one on the same lead.
    let figures = |mut person: Person| {
        person.does_all(&["repair left-pivot replace", "wait 30"]);
        let amps = person.finds("clamp motor-strap", Quantity::Current);
        (amps, person.finds("count", Quantity::CyclesPerMinute))
    };
    let (sound, burnt) = (
        {
            let mut sound = Person::new();
            sound.does_all(&lead);
            figures(sound)
        },
        figures(person),
    );
    assert!(burnt.0 > 1.5 * sound.0, "{burnt:?} A, sound {sound:?}");
    assert!(burnt.1 < 0.97 * sound.1, "{burnt:?} /min, sound {sound:?}");
    let mut person = seized();
    person.does_all(&[KEY, "set wiper-switch low"]);
    person.does("clip wiper-breaker.in wiper-breaker.out");
    let over = person.observes("wait 1200", Quantity::Voltage);
    let opens_and_closes = over.min < 0.5 && over.max > 12.0;
    assert!(opens_and_closes, "over the breaker: {over:?}");
    let smells = person.finds("smell motor", Quantity::Smell);
    assert!(smells < 200.0, "{smells} degrees");
}

#[test]
fn the_third_probe_in_an_open_contact_spreads_it() {
    let probe = "volts motor-plug.53 battery.neg";
    // Volts over the pin while the motor runs for a minute, least and most, and what was probed before.
    let over_pin = |probes: usize| {
        let mut person = Person::new();
        person.does(APART);
        for n in 0..probes {
            let expected = [Hazard::ProbeInContact];
            assert_eq!(person.cautions(probe), expected[..n.min(1)], "probe {n}");
            person.does(probe);
        }
        assert_eq!(person.cautions("volts motor-plug.53b battery.neg"), []);
        person.does_all(&["plug motor-plug", KEY, "set wiper-switch low"]);
        person.does("clip motor-plug.53 motor.53");
        let seen = person.observes("wait 60", Quantity::Voltage);
        person.does_all(&["set ignition-switch off", "repair motor-plug mend"]);
        person.does_all(&[KEY, "wait 10"]);
        let mended = person.observes("wait 60", Quantity::Voltage);
        assert!(mended.max < 0.1, "{mended:?}");
        (seen.min, seen.max)
    };
    // 5 milliohm hold at most the 13.8 A of a start.
    for probes in [0, 2] {
        let (least, most) = over_pin(probes);
        assert!(
            least >= 0.0 && most < 0.07,
            "{probes} probes: {least} to {most} V"
        );
    }
    // Parted it stands against the EMF of the motor, or all of the supply once that has stopped.
    let (least, most) = over_pin(3);
    assert!(least.abs() < 0.07 && most > 1.0, "{least} to {most} V");
    // From behind, with the plug mated, nothing is spread.
    let mut person = Person::new();
    person.does_all(&[probe; 4]);
    assert!(person.world.bench().probed.is_empty());
}

#[test]
fn a_crank_refitted_out_of_park_leaves_the_wipe_out_of_place() {
    let rest = |refit: &[&str]| {
        let mut person = Person::new();
        person.does_all(refit);
        person.does_all(&[
            KEY,
            "set wiper-switch low",
            "wait 10",
            "set wiper-switch off",
            "wait 10",
        ]);
        person.finds("look blades", Quantity::Rest)
    };
    let sound = rest(&[]);
    assert!(sound < 20.0, "{sound} mm");
    let in_park = rest(&["loosen crank-nut", "tighten crank-nut"]);
    near("refitted in park", in_park, sound, 2.0);
    let out_of_park = rest(&[
        KEY,
        "set wiper-switch low",
        "set ignition-switch off at-mid-glass",
        "loosen crank-nut",
        "tighten crank-nut",
    ]);
    assert!(out_of_park > 90.0, "{out_of_park} mm off its rest");
}

/// What the model leaves at counting: readings are those of the same act in safety.
#[test]
fn what_is_not_modelled_is_listed_as_that() {
    let key = [KEY].as_slice();
    for (hazard, before, safe, act) in [
        (
            Hazard::HandsAtRunningEngine,
            &[KEY, "set alternator on"][..],
            key,
            "feel battery-strap",
        ),
        (
            Hazard::RepairUnderSupply,
            key,
            &[],
            "repair wiper-breaker replace",
        ),
    ] {
        let row = row_of(hazard.word());
        let said = row["going_on"].as_str().unwrap();
        assert!(said.starts_with("No effect in the model"), "{said}");
        let told = |before: &[&str]| {
            let mut person = Person::new();
            person.does_all(before);
            let outcome = person.does(act).observables;
            let what = outcome.into_iter().map(|seen| seen.quantity);
            (what.collect::<Vec<_>>(), person.world.vehicle().clone())
        };
        assert_eq!(told(before), told(safe), "{hazard:?}");
    }
}

/// The arms of the saloon come off with the screen below the windscreen: hands are at them meanwhile.
#[test]
fn arms_that_sweep_are_not_taken_off_without_a_caution() {
    let sound = shipped("sedan-reversing");
    let running = ["set ignition-switch on", "set wiper-switch low"];
    for (deeds, sweeps) in [(&running[..], true), (&[], false)] {
        let mut person = Person::of(Arc::clone(&sound), Arc::clone(&sound));
        person.does_all(deeds);
        for words in ["remove cowl-screen", "volts motor.53 battery.neg"] {
            let cautions = person.cautions(words);
            assert_eq!(
                cautions.contains(&Hazard::HandsInLiveLinkage),
                sweeps,
                "{words}"
            );
            let seen = person.clone().does(words).observables;
            let caught = seen
                .iter()
                .any(|seen| seen.quantity == Quantity::Caught && seen.value > 0.5);
            assert_eq!(caught, sweeps, "{words}");
        }
    }
}
