//! What an apprentice typed who knew the front page only: what is understood, what is asked back, and that no suggestion
//! is a word of another meaning.

use super::*;

#[test]
fn workshop_words_are_understood() {
    check(&[
        ("have a gander at the motor plug", "look-at motor-plug"),
        ("take a look at the motor plug", "look-at motor-plug"),
        ("nip up the nut", "tighten crank-nut"),
        ("nip the crank nut up", "tighten crank-nut"),
        ("pop the dash panel off", "remove dash-panel"),
        ("park them", "set wiper-switch off"),
        ("flick the wipers to fast", "set wiper-switch high"),
        (
            "bypass the breaker",
            "jumper wiper-breaker.out wiper-breaker.in",
        ),
        (
            "jumper across wiper breaker",
            "jumper wiper-breaker.out wiper-breaker.in",
        ),
        ("known good breaker", "substitute wiper-breaker"),
        ("battery off", "unplug battery-strap"),
        ("battery back on", "plug battery-strap"),
        ("clip volts motor 53e", "clip motor.53e battery.neg"),
        ("unhook connecting link", "loosen connecting-link"),
        ("unclip motor plug", "unplug motor-plug"),
        ("start it", "set alternator on"),
        (
            "is there power at motor plug 53a",
            "volts motor-plug.53a battery.neg",
        ),
        (
            "vd wiper breaker",
            "volts wiper-breaker.in wiper-breaker.out",
        ),
        ("they're dead", "note they're dead"),
        ("look crank nut", "look-at crank-nut"),
        ("look left pivot", "look-at left-pivot"),
        ("look connecting link", "look-at connecting-link"),
        ("look linkage", "look linkage"),
        ("hold the left arm", "hold left-arm"),
        ("block the left blade", "hold left-arm"),
        ("conclude right pivot worn", "conclude right-pivot.loose"),
        ("how am i marked", "[data marking]"),
        ("how is it marked?", "[data marking]"),
        ("what's the fuse size", "[data protection]"),
        ("hazards", "[Hazards]"),
        ("list hazards", "[Hazards]"),
        ("help hazards", "[Hazards]"),
        (
            "hand over cause left pivot stiff correction new left pivot fitted",
            "hand-over none left-pivot.stiff left-pivot",
        ),
        (
            "hand over cause left pivot stiff correction left pivot replace",
            "hand-over none left-pivot.stiff left-pivot",
        ),
        (
            "hand over correction motor brushes",
            "hand-over none none motor",
        ),
    ]);
}

#[test]
fn the_ground_in_the_dash_is_a_stud_on_every_vehicle() {
    for (vehicle, stud) in [
        ("van", "dash"),
        ("sedan", "dash"),
        ("bus", "cab"),
        ("hatch", "dash"),
    ] {
        let expected = format!("volts {stud}-ground.stud battery.neg");
        check_on(
            vehicle,
            &[
                ("volts dash ground", &expected),
                ("volts dash earth", &expected),
            ],
        );
    }
    check_on(
        "hatch",
        &[("wipers intermittent", "set wiper-switch interval")],
    );
}

#[test]
fn what_is_not_told_is_asked_back() {
    check_questions(
        "van",
        &[
            (
                "nothing wrong",
                "No fault found; what was it instead:",
                "conclude windscreen iced",
            ),
            (
                "conclude nothing wrong",
                "No fault found; what was it instead:",
                "conclude windscreen iced",
            ),
            ("rev the engine", "one speed here", "engine on"),
            (
                "shake the linkage",
                "No wires end on linkage",
                "move left-arm",
            ),
            (
                "put 12 volts on 53",
                "fed by fused leads",
                "jumper motor 53 battery pos",
            ),
            (
                "run motor off battery",
                "fed by fused leads",
                "data in-place tests",
            ),
            (
                "bench test motor",
                "proven where it is",
                "data in-place tests",
            ),
            ("lower the left arm", "let down again", "move left-arm"),
            ("look for green crust", "Look where?", "look motor-plug"),
            ("is there power at 53a", "`53a` of what", ""),
            (
                "short wiper breaker",
                "What bridges a part is a fused lead",
                "jumper wiper-breaker out wiper-breaker in",
            ),
            (
                "short the switch",
                "A lead across which way",
                "jumper wiper-switch 53 wiper-switch 15",
            ),
            (
                "check fuse",
                "what protects is fusible-link",
                "look wiper-breaker",
            ),
            ("lower the arm", "let down again", "move left-arm"),
            ("n", "Nothing was asked", ""),
            ("no", "Nothing was asked", ""),
            ("stop it", "What is to be worked", "wiper off"),
            (
                "pull wiper switch",
                "wiper-switch has no plug of its own",
                "substitute wiper-switch",
            ),
            ("check earth", "motor-strap", "look motor-strap"),
            ("clean ground", "motor-strap", "repair motor-strap"),
            ("score", "`data marking` tells how", "data marking"),
        ],
    );
}

/// Ground or earth, rusty, corroded or bad: which one it is is asked, whatever words it is told in.
#[test]
fn any_ground_that_is_bad_is_asked_about_alike() {
    let said = [
        "rusty ground",
        "corroded earth",
        "bad ground",
        "corroded ground",
        "bad earth",
    ];
    for said in said {
        let conclude = format!("conclude {said}");
        let repair = "conclude cowl-ground high-resistance";
        let strap = "conclude motor-strap high-resistance";
        let asked = format!("`{said}` could be");
        check_questions(
            "van",
            &[
                (said, &asked, repair),
                (&conclude, &asked, repair),
                (&conclude, &asked, strap),
            ],
        );
    }
    check(&[
        (
            "conclude corroded cowl earth",
            "conclude cowl-ground.high-resistance",
        ),
        (
            "conclude park contact ground open",
            "conclude park-contact.ground-open",
        ),
    ]);
}

#[test]
fn what_is_measured_is_told_before_or_behind_how() {
    check(&[
        ("measure motor plug 53 drop", "volts motor-plug.53 motor.53"),
        ("motor plug 53 drop", "volts motor-plug.53 motor.53"),
    ]);
    check_questions(
        "van",
        &[
            (
                "measure",
                "Say what to measure and where",
                "drop battery neg motor 31",
            ),
            (
                "measure",
                "`volts motor 53 to ground`",
                "ohms motor 53 motor 31",
            ),
            (
                "check",
                "Say what to check and where",
                "volts motor 53 to ground",
            ),
            (
                "drop motor",
                "A drop is between two points; of the wires on motor",
                "",
            ),
            ("measure the drop on the motor", "of the wires on motor", ""),
            ("measure ground drop", "`ground` could be", ""),
        ],
    );
    on("van", |language| {
        let problem = language.read("drop motor", None).unwrap_err();
        assert!(!problem.suggestions.is_empty(), "{problem:?}");
    });
}

#[test]
fn the_lever_is_the_wiper_switch_and_its_positions_may_be_counted() {
    check(&[
        ("lever to 1", "set wiper-switch low"),
        ("lever to 2", "set wiper-switch high"),
        ("lever to 0", "set wiper-switch off"),
        ("stalk down to low", "set wiper-switch low"),
        ("wiper 2", "set wiper-switch high"),
        ("key 2", "set ignition-switch on"),
        ("lever off", "set wiper-switch off"),
    ]);
    check_on(
        "rheostat",
        &[
            ("lever to 1", "set wiper-switch low"),
            ("lever to 2", "set wiper-switch two"),
            ("wiper 5", "set wiper-switch high"),
        ],
    );
    // A stalk with an interval is not numbered alike everywhere.
    check_questions(
        "hatch",
        &[("lever to 1", "has no position `1`", "wiper low")],
    );
}

#[test]
fn water_and_washers_are_told_what_there_is() {
    let poured = "The can is poured over the glass";
    check_questions(
        "van",
        &[
            ("pour water on the motor plug", poured, "wet glass"),
            ("spray the motor plug", poured, "wet glass"),
            ("wash off", "There is no washer to work here", "wet glass"),
        ],
    );
    check_on(
        "hatch",
        &[
            ("wash", "set washer-switch on"),
            ("wash off", "set washer-switch off"),
            ("wash the screen", "set washer-switch on"),
        ],
    );
    check(&[("pour water on the glass", "wet-glass")]);
    check_questions("hatch", &[("wash horn", "Nothing follows `wash`", "")]);
}

#[test]
fn a_fuse_that_is_not_there_is_answered_by_what_protects() {
    let asked = "what protects is fusible-link";
    check_questions(
        "van",
        &[
            (
                "conclude the fuse",
                asked,
                "conclude the wiper-breaker weak",
            ),
            ("conclude blown fuse", asked, "conclude fusible-link open"),
            ("look fuse", asked, "look wiper-breaker"),
            ("replace the fuse", asked, "replace the wiper-breaker"),
            ("fuse", asked, "look wiper-breaker"),
        ],
    );
}

#[test]
fn of_several_switches_the_one_with_two_ends_is_not_meant_for_that() {
    let asked = "A lead across which way of `switch`";
    let offered = "jumper ignition-switch 15 ignition-switch 30";
    check_questions("hatch", &[("short the switch", asked, offered)]);
}

#[test]
fn corrections_are_read_in_free_words() {
    with(|language| {
        let id = |text: &str| {
            let id = language.read_correction(text);
            id.map(|id| language.vehicle.component(id).id.to_string())
        };
        for (text, expected) in [
            ("motor strap", "motor-strap"),
            ("cleaned the motor strap", "motor-strap"),
            ("new left pivot fitted", "left-pivot"),
            ("put in a new right pivot", "right-pivot"),
            ("new brushes fitted", "motor"),
            ("motor brushes", "motor"),
            ("left pivot replace", "left-pivot"),
            ("replace the left pivot", "left-pivot"),
            ("repair motor plug", "motor-plug"),
            ("free left pivot", "left-pivot"),
        ] {
            assert_eq!(id(text).as_deref(), Ok(expected), "{text}");
        }
        for (text, asked, offered) in [
            (
                "new pivot fitted",
                "left-pivot or right-pivot",
                "new left-pivot fitted",
            ),
            (
                "cleaned the earth",
                "motor-strap",
                "cleaned the cowl-ground",
            ),
        ] {
            let problem = id(text).unwrap_err();
            assert!(problem.message.contains(asked), "{text}: {problem:?}");
            let offers = &problem.suggestions;
            assert!(offers.iter().any(|offer| offer == offered), "{offers:?}");
        }
    });
}

/// Words that are simply other words get no other verb for an answer.
#[test]
fn no_suggestion_is_a_word_of_another_meaning() {
    with(|language| {
        for (line, never) in [
            ("rev it up", "rep"),
            ("block the drain", "lock"),
            ("park brake", "part"),
            ("bleed it", "feel"),
            ("weld it", "wet"),
            ("paint it", "point"),
            ("lock it", "look"),
            ("cut it", "count"),
        ] {
            if let Err(problem) = language.read(line, None) {
                let first = |text: &String| text.split(' ').next().map(str::to_owned);
                let firsts: Vec<String> = problem.suggestions.iter().filter_map(first).collect();
                assert!(!firsts.contains(&never.to_owned()), "{line}: {problem:?}");
            }
        }
        // What was mistyped is still put right.
        for (line, meant) in [
            ("volst motor 53", "volts motor 53"),
            ("lok linkage", "look linkage"),
            ("wiper lwo", "wiper low"),
        ] {
            let problem = language.read(line, None).unwrap_err();
            assert!(
                problem.suggestions.iter().any(|offer| offer == meant),
                "{line}: {problem:?}"
            );
        }
    });
}
