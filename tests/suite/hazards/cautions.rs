//! That each caution comes before its act and no other, and counts only when one goes on; that advice counts
//! nothing.

use std::collections::BTreeSet;
use std::fs;

use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, Advice, Hazard};
use groundside_tests::person::Person;
use groundside_tests::{actions, faulty, vehicle};
use serde_json::Value;

use super::{APART, KEY, commands, ran, row_of, squeezed};

/// Hazards, what is done beforehand, and acts that raise just these.
type Case = (
    &'static [Hazard],
    &'static [&'static str],
    &'static [&'static str],
);

/// The acts of each hazard, one for each command in its row: places where hands are put, points by the wiring.
const CASES: &[Case] = &[
    (
        &[Hazard::HandsInLiveLinkage],
        &[KEY],
        &[
            "move left-arm",
            "loosen crank-nut",
            "feel left-pivot",
            "wiggle motor",
            "tug motor.31",
            "repair left-pivot free",
        ],
    ),
    // Done up after a key off, so that the nut is off and the motor has run to park.
    (
        &[Hazard::HandsInLiveLinkage],
        &["loosen crank-nut", KEY],
        &["tighten crank-nut"],
    ),
    (
        &[Hazard::HandsAtRunningEngine],
        &[KEY, "set alternator on"],
        &[
            "feel battery",
            "wiggle battery-strap",
            "tug battery.pos",
            "repair front-ground mend",
        ],
    ),
    // A battery comes off to be replaced or to have its posts cleaned.
    (
        &[
            Hazard::HandsAtRunningEngine,
            Hazard::BatteryOffWhileCharging,
        ],
        &[KEY, "set alternator on"],
        &["repair battery replace", "repair battery-strap mend"],
    ),
    (
        &[Hazard::BatteryUnderLoad],
        &[KEY, "set wiper-switch low"],
        &["repair battery mend"],
    ),
    // What can be put in there carries current while the engine runs.
    (
        &[Hazard::HandsAtRunningEngine, Hazard::RepairUnderSupply],
        &[KEY, "set alternator on"],
        &["substitute fusible-link"],
    ),
    (
        &[Hazard::HandsAtRunningEngine, Hazard::RepairUnderSupply],
        &["substitute fusible-link", KEY, "set alternator on"],
        &["swap-back fusible-link"],
    ),
    (
        &[Hazard::OhmsOnLiveCircuit],
        &[KEY],
        &[
            "ohms wiper-switch.15 battery.neg",
            "continuity wiper-switch.15 battery.neg",
            "diode wiper-switch.15 battery.neg",
        ],
    ),
    (
        &[Hazard::AmmeterAcrossSupply],
        &[],
        &["amps battery.pos battery.neg"],
    ),
    (
        &[Hazard::ConnectorUnderSupply],
        &[KEY],
        &["unplug motor-plug"],
    ),
    (
        &[Hazard::ConnectorUnderSupply],
        &[APART, KEY],
        &["plug motor-plug"],
    ),
    (
        &[Hazard::BatteryOffWhileCharging],
        &[KEY, "set alternator on"],
        &["unplug battery-strap"],
    ),
    (
        &[Hazard::BatteryUnderLoad],
        &[KEY, "set wiper-switch low"],
        &["unplug battery-strap"],
    ),
    (
        &[Hazard::BatteryUnderLoad],
        &["unplug battery-strap", KEY, "set wiper-switch low"],
        &["plug battery-strap"],
    ),
    (
        &[Hazard::RepairUnderSupply],
        &[KEY],
        &["repair wiper-breaker replace", "substitute wiper-breaker"],
    ),
    (
        &[Hazard::RepairUnderSupply],
        &["substitute wiper-breaker", KEY],
        &["swap-back wiper-breaker"],
    ),
    (
        &[Hazard::LiveEndFirst],
        &[APART],
        &["jumper battery.pos motor.53"],
    ),
    (
        &[Hazard::JumperOntoGround],
        &[],
        &["jumper motor.31 battery.pos"],
    ),
    // A lead that carries nothing with the key off.
    (
        &[Hazard::JumperOntoGround],
        &["jumper battery.neg wiper-switch.15"],
        &["set ignition-switch on", "helper set ignition-switch on"],
    ),
    (
        &[Hazard::BatteryUnderLoad, Hazard::JumperOntoGround],
        &["unplug battery-strap", "jumper motor.31 battery.pos"],
        &["plug battery-strap"],
    ),
    (
        &[Hazard::JumperOntoPark],
        &[APART],
        &["jumper motor.53e battery.pos"],
    ),
    (
        &[Hazard::JumperOntoPark],
        &[APART, "jumper motor.53e wiper-switch.15"],
        &["set ignition-switch on", "helper set ignition-switch on"],
    ),
    (
        &[Hazard::BatteryUnderLoad, Hazard::JumperOntoPark],
        &[
            APART,
            "unplug battery-strap",
            "jumper motor.53e battery.pos",
        ],
        &["plug battery-strap"],
    ),
    (
        &[Hazard::UnprotectedMotor],
        &[APART, "jumper motor.53 battery.pos"],
        &["wait 120", "battery-test", "remove switch-panel"],
    ),
    (
        &[Hazard::ProbeInContact],
        &[APART, "volts motor-plug.53 battery.neg"],
        &[
            "volts motor-plug.53 battery.neg",
            "ohms motor-plug.53 motor-plug.53b",
            "continuity motor-plug.53 motor-plug.53b",
            "diode motor-plug.53 motor-plug.53b",
            "amps motor-plug.53 motor.53",
            "lamp motor-plug.53 battery.neg",
            "load motor-plug.53 battery.neg",
            "clip motor-plug.53 battery.neg",
        ],
    ),
    (
        &[Hazard::RefitOutOfPark],
        &[
            KEY,
            "set wiper-switch low",
            "set ignition-switch off",
            "loosen crank-nut",
        ],
        &["tighten crank-nut"],
    ),
];

/// The command of an act, as the language has it.
fn verb(words: &str) -> String {
    match words.split(' ').next().unwrap() {
        "wet-glass" => "wet".to_owned(),
        verb => verb.replace('-', " "),
    }
}

#[test]
fn each_act_raises_its_hazard_alone_and_going_on_counts() {
    let mut raised = BTreeSet::new();
    for (hazards, before, acts) in CASES {
        let mut person = Person::new();
        person.does_all(before);
        for words in *acts {
            assert_eq!(
                person.cautions(words),
                *hazards,
                "`{words}` after {before:?}"
            );
            assert_eq!(person.clone().does(words).hazards, *hazards, "`{words}`");
            raised.extend(hazards.iter().map(|&hazard| (hazard, verb(words))));
        }
    }
    // Every command in a row is among them; `drop` is volts with both points named.
    for hazard in Hazard::ALL {
        let mut listed = commands(&row_of(hazard.word()));
        listed.remove("drop");
        let of_it = raised.iter().filter(|(other, _)| *other == hazard);
        let of_it: BTreeSet<String> = of_it.map(|(_, verb)| verb.clone()).collect();
        assert!(!of_it.is_empty(), "{hazard:?}");
        if !listed.is_empty() {
            assert_eq!(of_it, listed, "{hazard:?}");
        }
    }
}

/// Off the battery or back on, the strap sparks by what is on, whatever that is: no other strap is cautioned so, and this
/// one not with everything off.
#[test]
fn the_battery_strap_is_cautioned_by_what_is_on() {
    let (off, on) = ("unplug battery-strap", "plug battery-strap");
    for (set, expected) in [
        (&[][..], &[][..]),
        (&[KEY], &[]),
        (&["set wiper-switch low"], &[]),
        (&[KEY, "set wiper-switch low"], &[Hazard::BatteryUnderLoad]),
        (&[KEY, "set blower on"], &[Hazard::BatteryUnderLoad]),
        (
            &[
                "jumper wiper-breaker.out battery.pos",
                "set wiper-switch low",
            ],
            &[Hazard::BatteryUnderLoad],
        ),
        (
            &[KEY, "set wiper-switch low", "set ignition-switch off"],
            &[],
        ),
    ] {
        let mut person = Person::new();
        person.does_all(set);
        assert_eq!(person.cautions(off), expected, "off after {set:?}");
        person.does(off);
        assert_eq!(person.cautions(on), expected, "on after {set:?}");
    }
    let mut person = Person::new();
    person.does_all(&[KEY, "set wiper-switch low", "set alternator on"]);
    assert_eq!(person.cautions(off), [Hazard::BatteryOffWhileCharging]);
    let other = person.cautions("unplug motor-strap");
    assert!(!other.contains(&Hazard::BatteryOffWhileCharging));
    assert!(!other.contains(&Hazard::BatteryUnderLoad));
    // Back on with the engine running, it closes the alternator onto the battery.
    person.does(off);
    assert_eq!(person.cautions(on), [Hazard::BatteryUnderLoad]);
}

/// A terminal within a plug is pulled at by its insulated wire: with supply on it nothing is cautioned.
#[test]
fn a_tug_within_a_plug_is_not_cautioned() {
    let mut person = Person::new();
    person.does_all(&[KEY, "set wiper-switch low"]);
    assert_eq!(person.cautions("tug motor-plug.53"), []);
    assert_eq!(
        person.cautions("tug motor.31"),
        [Hazard::HandsInLiveLinkage]
    );
}

/// What a motor feeds by turns as it runs is as live as what the battery feeds: the park return while the cam is out.
#[test]
fn ohms_are_cautioned_where_the_running_motor_feeds() {
    let mut person = Person::new();
    let park_return = "ohms motor.53e battery.neg";
    person.does(KEY);
    assert_eq!(person.cautions(park_return), []);
    person.does("set wiper-switch low");
    assert_eq!(person.cautions(park_return), [Hazard::OhmsOnLiveCircuit]);
    person.does("set wiper-switch off");
    assert_eq!(person.cautions(park_return), []);
    // A motor that is apart feeds nothing, nor does one that runs make its ground live.
    person.does_all(&["set wiper-switch low"]);
    assert_eq!(person.cautions("ohms motor.31 battery.neg"), []);
    person.does("unplug motor-plug");
    assert_eq!(person.cautions("ohms motor.53e battery.neg"), []);
}

/// Where a sound motor stands hangs on what feeds it, be it the switch or leads, and one that nothing feeds stays.
#[test]
fn a_crank_is_cautioned_by_where_a_sound_motor_has_run() {
    let tighten = "tighten crank-nut";
    let low = "set wiper-switch low";
    let off = "set ignition-switch off";
    for (done, expected) in [
        // Its plug apart, the switch moves no motor.
        (&[APART, KEY, low, off][..], &[][..]),
        (&["unplug battery-strap", KEY, low, off], &[]),
        (&[KEY, low, off], &[Hazard::RefitOutOfPark]),
        (&[KEY, low, "set wiper-switch off", off], &[]),
        // On leads it leaves its park, and runs home on others.
        (
            &[APART, "jumper motor.53 battery.pos", "remove-jumper"],
            &[Hazard::RefitOutOfPark],
        ),
        (
            &[
                APART,
                "jumper motor.53 battery.pos",
                "remove-jumper",
                "jumper motor.53e motor.53",
                "jumper motor.53a battery.pos",
                "remove-jumper",
                "remove-jumper",
            ],
            &[],
        ),
    ] {
        let mut person = Person::new();
        person.does_all(done);
        person.does("loosen crank-nut");
        assert_eq!(person.cautions(tighten), expected, "{done:?}");
    }
}

/// Random acts of a person, each with what is set, opened and put on by those before it.
#[test]
fn no_command_outside_a_row_raises_its_hazard() {
    let sound = vehicle();
    let listed = Hazard::ALL.map(|hazard| commands(&row_of(hazard.word())));
    let mut choice = Stream::new(Seed(11), Purpose::FaultChoice);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of what 32 bits hold"
    )]
    let mut any = || (choice.unit() * f64::from(u32::MAX)) as u32;
    for _ in 0..6 {
        let mut bench = Person::new().world.bench().clone();
        for _ in 0..60 {
            let action = actions::action(&sound, any(), any());
            let Ok(permitted) = bench.permit(&action, &sound, true) else {
                continue;
            };
            for hazard in permitted.hazards() {
                let place = Hazard::ALL
                    .iter()
                    .position(|other| other == hazard)
                    .unwrap();
                let verb = verb(&action.words(&sound));
                let known = &listed[place];
                assert!(
                    known.is_empty() || known.contains(&verb),
                    "{hazard:?} before `{verb}`"
                );
            }
            if !matches!(action, Action::HandOver(_) | Action::GiveUp) {
                bench = bench.after(&permitted, &sound);
            }
        }
    }
}

/// The objects that an attempt prints to typed lines, and the lines of its record.
fn attempt(typed: &str) -> (Vec<Value>, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.jsonl");
    let name = path.to_str().unwrap();
    let output = ran(
        &[
            "practice",
            "rain-on-the-quay",
            "--fault",
            "left-pivot.stiff:6",
            "--format",
            "json",
            "--record",
            name,
        ],
        typed,
    );
    let objects = output
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let record = fs::read_to_string(&path).unwrap();
    (objects, record.lines().map(str::to_owned).collect())
}

#[test]
fn a_caution_is_shown_before_the_act_and_stepping_back_costs_nothing() {
    for hazard in Hazard::ALL {
        let alone = |case: &&Case| case.0 == [hazard];
        let (_, before, acts) = CASES.iter().find(alone).unwrap();
        let typed: String = before.iter().map(|words| format!("{words}\n")).collect();
        let (_, whole) = attempt(&format!("{typed}pause\n"));
        let (objects, record) = attempt(&format!("{typed}{}\nn\npause\n", acts[0]));
        // Not a line more in the record, so nothing was done, no minute charged and nothing counted.
        assert_eq!(record, whole, "{hazard:?}");
        let [.., asked, stepped_back] = objects.as_slice() else {
            panic!("{hazard:?}: {objects:?}");
        };
        let (asked, back) = match stepped_back["refused"].as_str() {
            Some("stepped back") => (asked, stepped_back),
            // The pause has a line of its own.
            _ => (&objects[objects.len() - 3], asked),
        };
        assert_eq!(back["refused"], "stepped back", "{hazard:?}: {objects:?}");
        assert_eq!(back["minutes"], 0.0, "{hazard:?}");
        let shown = squeezed(asked["text"].as_str().unwrap());
        for other in Hazard::ALL {
            let row = row_of(other.word());
            let caution = row["text"].as_str().unwrap();
            assert_eq!(
                shown.contains(caution),
                other == hazard,
                "{hazard:?}: {shown}"
            );
        }
        assert!(
            shown.starts_with("CAUTION") && shown.ends_with("(y/n)"),
            "{shown}"
        );
        let (_, record) = attempt(&format!("{typed}{}\ny\npause\n", acts[0]));
        assert_eq!(record.len(), whole.len() + 1, "{hazard:?}");
    }
}

/// What is measured or looked at where crank and links move is told of while they can, and only then.
#[test]
fn work_beside_a_linkage_that_has_supply_is_told_of() {
    let sound: &Vehicle = &vehicle();
    let advice = |person: &Person, words: &str| {
        let action = Action::from_words(words, sound).unwrap();
        person.world.permit(&action).unwrap().advice()
    };
    let beside = [
        "volts motor.53 battery.neg",
        "look linkage",
        "clip motor.53 battery.neg",
        "remove dash-panel",
        "wiggle motor-strap",
        "tug motor-plug.53",
    ];
    let mut person = Person::new();
    for words in beside {
        assert_eq!(advice(&person, words), None, "{words}");
    }
    person.does_all(&["set ignition-switch on", "set wiper-switch low"]);
    let row = row_of(Advice::BesideLinkage.word());
    for words in beside {
        let told = advice(&person, words);
        assert_eq!(told, Some(Advice::BesideLinkage), "{words}");
        assert!(commands(&row).contains(&verb(words)), "{words}");
    }
    // Where nothing moves there is nothing to bear in mind.
    for words in ["volts battery.pos battery.neg", "listen", "look blades"] {
        assert_eq!(advice(&person, words), None, "{words}");
    }
}

/// A caution comes of what was set and opened: with any fault in the vehicle it is the same.
#[test]
fn cautions_are_the_same_whatever_is_wrong() {
    for fault in [
        "motor-strap.open",
        "wiper-breaker.open",
        "left-pivot.seized",
    ] {
        let of = |changed| Person::of(changed, vehicle());
        for (hazards, before, acts) in CASES {
            let mut person = of(faulty(fault));
            person.does_all(before);
            for words in *acts {
                assert_eq!(person.cautions(words), *hazards, "`{words}` with {fault}");
            }
        }
    }
}

#[test]
fn advice_comes_with_its_commands_and_counts_nothing() {
    let sound: &Vehicle = &vehicle();
    for (advice, words) in [
        (Advice::JumperLead, "jumper motor.53 battery.pos"),
        (Advice::BatteryGas, "battery-test"),
        (Advice::LiftedArm, "move left-arm"),
        (Advice::HandOnMovingArm, "assist left-arm"),
        (Advice::StalledMotor, "hold left-arm"),
        (Advice::HotMotor, "feel motor"),
        (
            Advice::AmmeterBesideCircuit,
            "amps battery.pos fusible-link.in",
        ),
        (Advice::HotLamp, "load motor-plug.53 battery.neg"),
        (Advice::ColdGlass, "wet-glass"),
    ] {
        let row = row_of(advice.word());
        assert!(commands(&row).contains(&verb(words)), "{advice:?}");
        let mut person = Person::new();
        person.does(APART);
        let action = Action::from_words(words, sound).unwrap();
        let permitted = person.world.permit(&action).unwrap();
        assert_eq!(permitted.advice(), Some(advice));
        assert_eq!(person.does(words).hazards, []);
    }
}
