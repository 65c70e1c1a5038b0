//! What can hurt: that each hazard and each piece of advice has its row in `list hazards`, that its caution comes
//! before the act and counts only when one goes on, and that going on does in the model what the row says.

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs;
use std::io::Cursor;

use groundside::{Exit, Host, Io, run};
use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, Advice, Gravity, Hazard, Quantity};
use groundside_tests::person::Person;
use groundside_tests::{actions, component, faulty, near, vehicle};
use serde_json::Value;

/// Runs the program on arguments and typed lines.
fn ran(arguments: &[&str], typed: &str) -> String {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let arguments = std::iter::once("groundside").chain(arguments.iter().copied());
    let exit = run(
        arguments.map(OsString::from),
        &mut Io {
            input: Box::new(Cursor::new(typed.as_bytes().to_vec())),
            output: Box::new(&mut output),
            errors: Box::new(&mut errors),
            host: Host::default(),
        },
    );
    assert_eq!(exit, Exit::Done, "{}", String::from_utf8(errors).unwrap());
    String::from_utf8(output).unwrap()
}

/// The rows of the list, by word.
fn rows() -> Vec<Value> {
    let text = ran(&["list", "hazards", "--format", "json"], "");
    let rows: Value = serde_json::from_str(&text).unwrap();
    rows.as_array().unwrap().clone()
}

fn row_of(word: &str) -> Value {
    let found = rows().into_iter().find(|row| row["word"] == word);
    found.unwrap_or_else(|| panic!("no row for {word}"))
}

fn commands(row: &Value) -> BTreeSet<String> {
    let list = row["commands"].as_array().unwrap().iter();
    list.map(|word| word.as_str().unwrap().to_owned()).collect()
}

/// Text without its line breaks.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_hazard_and_all_advice_have_a_row() {
    let rows = rows();
    let text = ran(&["list", "hazards"], "");
    let hazards = Hazard::ALL.map(|hazard| {
        let gravity = match hazard.gravity() {
            Gravity::Minor => "minor",
            Gravity::Major => "major",
        };
        (hazard.word(), gravity)
    });
    let advice = Advice::ALL.map(|advice| (advice.word(), "advice"));
    let expected: Vec<(&str, &str)> = hazards.into_iter().chain(advice).collect();
    let found = rows.iter().map(|row| {
        (
            row["word"].as_str().unwrap(),
            row["gravity"].as_str().unwrap(),
        )
    });
    assert_eq!(found.collect::<Vec<_>>(), expected);
    for (row, (word, gravity)) in rows.iter().zip(expected) {
        assert!(text.contains(&format!("{word}, {gravity}\n")), "{word}");
        for key in ["text", "when", "going_on"] {
            let said = row[key].as_str().unwrap();
            assert!(squeezed(&text).contains(said), "{word}: {key}");
        }
    }
    insta::assert_snapshot!("list_hazards", text);
    insta::assert_snapshot!(
        "list_hazards_json",
        ran(&["list", "hazards", "--format", "json"], "")
    );
}

/// Hazards, what is done beforehand, and acts that raise just these.
type Case = (
    &'static [Hazard],
    &'static [&'static str],
    &'static [&'static str],
);

const KEY: &str = "set ignition-switch on";
const APART: &str = "unplug motor-plug";

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
            "repair battery-strap mend",
        ],
    ),
    // What can be put in there carries current while the engine runs.
    (
        &[Hazard::HandsAtRunningEngine, Hazard::RepairUnderSupply],
        &[KEY, "set alternator on"],
        &["substitute fusible-link"],
    ),
    (
        &[Hazard::HandsAtRunningEngine, Hazard::RepairUnderSupply],
        &[
            "unplug battery-strap",
            "substitute fusible-link",
            KEY,
            "set alternator on",
        ],
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
    (
        &[Hazard::JumperOntoPark],
        &[APART],
        &["jumper motor.53e battery.pos"],
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
    words.split(' ').next().unwrap().replace('-', " ")
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

// What going on does, by figures.

/// Fails unless the fuse of a lead has blown, or is whole.
#[track_caller]
fn lead_fuse(person: &mut Person, words: &str, blown: bool) {
    let found = person.finds(words, Quantity::LeadFuse);
    near(words, found, f64::from(u8::from(blown)), 0.0);
}

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
fn a_motor_on_a_lead_that_stalls_burns_and_one_on_its_breaker_does_not() {
    // Held by a seized pivot it takes 12.6 V over battery, lead, winding and strap, 0.015 + 0.02 + 0.86 + 0.004 =
    // 0.899 ohm: 14.0 A, under what the lead's 15 A fuse carries for ever. On the switch the breaker of 8.5 A opens.
    let seized = || Person::with("left-pivot.seized");
    let lead = [APART, "jumper motor.53 battery.pos"];
    let mut person = seized();
    person.does_all(&lead);
    assert_eq!(person.cautions("wait 120"), [Hazard::UnprotectedMotor]);
    let amps = person.finds("clamp motor-strap", Quantity::Current);
    near("after a minute or so", amps, 12.6 / 0.899, 0.05);
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
        assert!(said.starts_with("Nothing that is read"), "{said}");
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
        (Advice::HotMotor, "feel motor"),
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
