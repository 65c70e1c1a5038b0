//! A battery's posts and clamps, ends of a loom, positions cut short, and hand-overs read in part.

use super::*;

#[test]
fn posts_and_clamps_are_named_in_any_order() {
    check(&[
        ("wiggle battery positive post", "wiggle battery"),
        ("wiggle positive battery clamp", "wiggle battery"),
        ("wiggle the negative clamp of the battery", "wiggle battery"),
        ("shake battery terminals", "wiggle battery"),
        ("look battery posts", "look-at battery"),
        ("look at the positive battery terminal", "look-at battery"),
        ("feel battery clamps", "feel battery"),
        ("tighten battery posts", "repair battery mend"),
        ("tighten the positive battery clamp", "repair battery mend"),
        ("nip up the battery terminals", "repair battery mend"),
        ("clean positive battery post", "repair battery mend"),
        ("clean battery posts", "repair battery mend"),
        ("clean the negative post", "repair battery mend"),
        ("repair battery clamps", "repair battery mend"),
        ("replace battery", "repair battery replace"),
        ("charge battery", "repair battery charge"),
        ("disconnect battery negative", "unplug battery-strap"),
        (
            "take the negative battery clamp off",
            "unplug battery-strap",
        ),
        ("undo the battery negative terminal", "unplug battery-strap"),
        ("reconnect negative battery terminal", "plug battery-strap"),
        (
            "volts positive battery post",
            "volts battery.pos-post battery.neg",
        ),
        (
            "volts battery positive clamp",
            "volts battery.pos battery.neg",
        ),
        (
            "drop battery positive pole positive battery clamp",
            "volts battery.pos-post battery.pos",
        ),
        (
            "hand over correction battery clamps",
            "hand-over none none battery",
        ),
    ]);
    check_questions(
        "van",
        &[
            (
                "disconnect positive battery clamp",
                "by its ground side first",
                "unplug battery-strap",
            ),
            ("wiggle the clamp", "There is no component `clamp`", ""),
            (
                "clean ground connection",
                "`ground connection` could be motor-strap, cowl-ground",
                "repair motor-strap",
            ),
        ],
    );
}

#[test]
fn a_loom_without_its_plug_is_asked_back_by_its_ends() {
    check_questions(
        "van",
        &[
            (
                "volts loom 53",
                "A probe goes on an end of motor-53: wiper-switch 53 or motor-plug 53.",
                "volts motor-plug 53",
            ),
            (
                "volts harness 53b",
                "wiper-switch 53b or motor-plug 53b",
                "volts wiper-switch 53b",
            ),
            (
                "volts loom",
                "A loom is probed at its plugs, a pin at a time:",
                "volts motor-plug 53",
            ),
            ("volts loom 99", "There is no `loom` to probe.", ""),
        ],
    );
    check_questions(
        "hatch",
        &[(
            "volts loom 87a",
            "`loom 87a` at which end:",
            "volts k2-socket 87a",
        )],
    );
    check(&[("volts loom motor 53", "volts motor-plug.53 battery.neg")]);
}

#[test]
fn a_position_may_be_cut_and_one_that_is_not_here_is_said_not_to_be() {
    check_on(
        "hatch",
        &[
            ("int", "set wiper-switch interval"),
            ("inter", "set wiper-switch interval"),
            ("interm", "set wiper-switch interval"),
        ],
    );
    check(&[("hig", "set wiper-switch high")]);
    check_questions(
        "van",
        &[
            (
                "int",
                "The wiper has no position `int`; it has off, low or high.",
                "wiper low",
            ),
            (
                "intermittent",
                "The wiper has no position `intermittent`; it has off, low or high.",
                "wiper high",
            ),
            ("med", "The wiper has no position `med`", "wiper low"),
        ],
    );
}

/// What is understood of a hand-over stands, and each part that is not says why, with that part alone to type again.
#[test]
fn a_hand_over_is_read_in_part() {
    with(|language| {
        let half = |line: &str| language.half_read(line);
        let line = "hand over complaint no-low cause flux capacitor open correction motor plug note all of it";
        let read = half(line).unwrap();
        let words = Action::HandOver(read.write_up.clone()).words(language.vehicle);
        assert_eq!(words, "hand-over no-low none motor-plug all of it");
        let [unread] = read.unread.as_slice() else {
            panic!("{:?}", read.unread);
        };
        assert_eq!(
            (unread.part, unread.words.as_str()),
            ("cause", "flux capacitor open")
        );
        assert!(unread.problem.message.contains("`flux`"));

        let read =
            half("key on; hand over complaint banana; cause motor plug 53; correction motor plug");
        let read = read.unwrap();
        let parts: Vec<&str> = read.unread.iter().map(|unread| unread.part).collect();
        assert_eq!(parts, ["complaint", "cause"]);
        for unread in &read.unread {
            let offers = &unread.problem.suggestions;
            assert!(!offers.is_empty(), "{unread:?}");
            let begin = format!("hand over {} ", unread.part);
            for offer in offers {
                assert!(offer.starts_with(&begin), "{offer}");
                assert!(language.read(offer, None).is_ok(), "{offer}");
            }
        }
        let read = half("hand over complaint slow cause cause").unwrap();
        let parts: Vec<&str> = read.unread.iter().map(|unread| unread.part).collect();
        assert_eq!(parts, ["cause"]);
        for whole in [
            "hand over",
            "hand over complaint slow cause left pivot stiff",
            "hand over whatever",
            "volts banana",
            "",
        ] {
            assert_eq!(half(whole), None, "{whole}");
        }
    });
    check(&[(
        "hand over complaint slow because left pivot stiff",
        "hand-over slow left-pivot.stiff none",
    )]);
}

/// What apprentices typed after the help page.
#[test]
fn more_workshop_words_are_understood() {
    check(&[
        ("lift the bonnet", "remove bonnet-lid"),
        ("lift left arm", "move left-arm"),
        (
            "volts earth at the cowl",
            "volts cowl-ground.stud battery.neg",
        ),
        ("look ground at cowl", "look-at cowl-ground"),
        ("current draw motor 31", "clamp motor-strap"),
        ("unbolt the crank nut", "loosen crank-nut"),
    ]);
    check_on(
        "hatch",
        &[
            ("squirt the washer", "set washer-switch on"),
            ("open the fuse box", "remove box-lid"),
            ("go to the fuse box", "go relay-box"),
            ("unplug k1 relay", "unplug k1-socket"),
        ],
    );
    check_questions(
        "hatch",
        &[
            (
                "unplug the relay",
                "`the relay` could be k1-socket or k2-socket.",
                "unplug k1-socket",
            ),
            (
                "pull the fuse",
                "wiper-fuse has no plug of its own",
                "look wiper-fuse",
            ),
        ],
    );
    check_questions(
        "van",
        &[
            (
                "pull the fuse",
                "what protects is fusible-link and wiper-breaker",
                "look wiper-breaker",
            ),
            (
                "disconnect linkage",
                "There is no nut or link `linkage`; there is crank-nut and connecting-link.",
                "disconnect connecting-link",
            ),
            (
                "reset the breaker",
                "close by themselves as they cool",
                "look the breaker",
            ),
            (
                "check the linkage",
                "Say how to check linkage: `look linkage`.",
                "look linkage",
            ),
        ],
    );
}

#[test]
fn hints_and_suspicions_are_asked_for_in_several_ways() {
    check(&[
        ("hint where", "hint where"),
        ("tip which", "hint which"),
        ("why", "hint why"),
        ("coach", "coach"),
        ("coach me", "coach"),
        ("suspect wiring 60 motor 30", "suspect wiring=60 motor=30"),
        (
            "suspect motor 30% and the wiring 60 %",
            "suspect wiring=60 motor=30",
        ),
        ("odds switch 100", "suspect switch=100"),
        (
            "suspect motor low brush worn",
            "conclude motor.low-brush-worn",
        ),
    ]);
}
