//! What people typed who had never seen the program: what names a thing is read as that, the rest is answered with what
//! can be typed.

use super::*;

/// What kind of part it is tells no failure of it.
#[test]
fn the_noun_of_a_part_is_no_failure_of_it() {
    check_questions(
        "hatch",
        &[
            (
                "conclude k2 relay",
                "Which failure of k2-relay: coil-open",
                "conclude k2-relay wrong-relay",
            ),
            ("conclude relay k2", "Which failure of k2-relay", ""),
            (
                "conclude relay",
                "`relay` could be k1-relay or k2-relay.",
                "conclude k1-relay 87-welded",
            ),
            ("hand over cause k2 relay", "Which failure of k2-relay", ""),
            (
                "conclude k2 relay coil",
                "`k2 relay coil` could be k2-relay coil-open",
                "",
            ),
            (
                "conclude wiper breaker",
                "`wiper breaker` is no part by that name; of its kind there is cut-out.",
                "conclude cut-out open",
            ),
        ],
    );
    check_questions(
        "van",
        &[
            ("conclude wiper motor", "Which failure of motor:", ""),
            (
                "conclude left wiper blade",
                "Which failure of left-arm: wrong-blade",
                "conclude left-arm rubber-torn",
            ),
            ("conclude right rubber", "Which failure of right-arm", ""),
            (
                "conclude blade",
                "`blade` could be left-arm or right-arm.",
                "conclude left-arm wrong-blade",
            ),
            (
                "conclude motor gear",
                "of its kind there is worm-gear.",
                "conclude worm-gear stripped",
            ),
        ],
    );
    check_on(
        "hatch",
        &[
            ("conclude wrong relay k2", "conclude k2-relay.wrong-relay"),
            ("conclude k2 relay wrong", "conclude k2-relay.wrong-relay"),
            ("conclude wrong motor", "conclude motor.wrong-motor"),
            ("conclude wrong left blade", "conclude left-arm.wrong-blade"),
            (
                "conclude rubber torn right",
                "conclude right-arm.rubber-torn",
            ),
        ],
    );
}

/// A relay is called by what it switches, and is no wire for the same.
#[test]
fn a_relay_is_named_by_what_it_switches() {
    check_on(
        "hatch",
        &[
            ("replace the high speed relay", "repair k2-relay replace"),
            ("substitute the high speed relay", "substitute k2-relay"),
            ("unplug the high speed relay", "unplug k2-socket"),
            ("feel the park relay", "feel k1-relay"),
            ("replace the high speed brush", "repair motor brushes"),
            (
                "conclude high speed brush worn",
                "conclude motor.high-brush-worn",
            ),
            ("repair high speed wire", "repair motor-53b mend"),
        ],
    );
    check_questions(
        "hatch",
        &[
            (
                "replace the low speed relay",
                "of its kind there is k1-relay and k2-relay.",
                "replace the k1-relay",
            ),
            (
                "conclude high speed relay open",
                "could be k2-relay coil-open, k2-relay 87-open",
                "conclude k2-relay 87-open",
            ),
        ],
    );
    for vehicle in ["van", "sedan", "bus"] {
        check_questions(
            vehicle,
            &[
                (
                    "replace the high speed relay",
                    "There is no relay on this vehicle.",
                    "",
                ),
                (
                    "conclude high speed relay open",
                    "There is no relay on this vehicle.",
                    "",
                ),
                (
                    "put a new relay in",
                    "There is no relay on this vehicle.",
                    "",
                ),
            ],
        );
    }
}

#[test]
fn new_parts_are_put_in_and_good_ones_swapped_for() {
    check(&[
        ("put a new motor in", "repair motor replace"),
        ("put in a new wiper switch", "repair wiper-switch replace"),
        ("install a new left pivot", "repair left-pivot replace"),
        ("put in new brushes", "repair motor brushes"),
        (
            "swap the wiper breaker with a good one",
            "substitute wiper-breaker",
        ),
        (
            "swap breaker with a known good part",
            "substitute wiper-breaker",
        ),
        ("fit new wiper rubber right", "repair right-arm replace"),
        ("fit new right wiper rubber", "repair right-arm replace"),
        ("put new rubber on the right", "repair right-arm replace"),
    ]);
    check_on(
        "hatch",
        &[
            ("put a new k2 relay in", "repair k2-relay replace"),
            ("swap relay k2 with a good one", "substitute k2-relay"),
            ("swap relay k2 for a good one", "substitute k2-relay"),
            ("put a good k2 relay in", "substitute k2-relay"),
        ],
    );
    check_questions(
        "hatch",
        &[
            (
                "put a new relay in",
                "`relay` could be k1-relay or k2-relay.",
                "repair k2-relay",
            ),
            // One for the other is no known good one.
            (
                "swap k1 relay with k2",
                "There is no part to swap `k1 relay with k2`",
                "",
            ),
            ("swap k1 relay for k2 relay", "There is no part to swap", ""),
        ],
    );
    check_questions(
        "van",
        &[
            (
                "order a new wiper switch",
                "Nothing has to be ordered here",
                "repair wiper-switch replace",
            ),
            (
                "get me a new motor",
                "a part comes with its repair",
                "repair motor replace",
            ),
            (
                "buy a fuse",
                "Nothing has to be ordered",
                "data repairs and prices",
            ),
            (
                "new wiper blades",
                "of its kind there is left-arm and right-arm.",
                "new left-arm",
            ),
        ],
    );
}

#[test]
fn all_that_is_apart_is_put_together_at_a_word() {
    check(&[
        ("close everything", "[only Together(Some(Fit))]"),
        ("fit all covers", "[only Together(Some(Fit))]"),
        ("put all the panels back on", "[only Together(Some(Fit))]"),
        ("close it all up", "[only Together(Some(Fit))]"),
        ("put everything back", "[only Together(None)]"),
        ("put it all back together", "[only Together(None)]"),
        ("reassemble", "[only Together(None)]"),
        ("button it up", "[only Together(None)]"),
        ("plug everything back in", "[only Together(Some(Plug))]"),
        ("do all nuts up", "[only Together(Some(Tighten))]"),
        ("close up the bonnet", "fit bonnet-lid"),
        ("put the bonnet back on", "fit bonnet-lid"),
        ("put the motor plug back on", "plug motor-plug"),
    ]);
    check_questions(
        "van",
        &[
            ("close it", "There is no cover `it`", "close bonnet-lid"),
            (
                "put the wipers back on",
                "On is low or high with the wiper.",
                "wiper low",
            ),
        ],
    );
    check_on("bus", &[("put the battery back on", "plug battery-strap")]);
}

#[test]
fn what_is_no_action_is_answered_with_what_there_is() {
    check_questions(
        "van",
        &[
            (
                "mark the arms",
                "Nothing is marked here.",
                "tighten crank nut",
            ),
            ("mark", "The mark comes with the hand-over", "data marking"),
            (
                "put the arms back on",
                "The arms stay on here",
                "move left-arm",
            ),
            (
                "take the left arm off",
                "The arms stay on here",
                "repair left-arm replace",
            ),
            (
                "does it park?",
                "what is checked: `wiper off; look`.",
                "wiper off; look",
            ),
            (
                "do the wipers run",
                "`wiper low; look` or `wiper high; look`",
                "wiper high; look",
            ),
            (
                "does it wipe in low",
                "what is checked: `wiper low; look`.",
                "wiper low; look",
            ),
            (
                "is the motor hot",
                "what is checked: `feel motor`.",
                "feel motor",
            ),
            (
                "does the horn work",
                "what is checked: `try horn`.",
                "try horn",
            ),
            ("does it hum", "what is checked: `listen`.", "listen"),
            ("are the blades stiff", "`move left arm`", "move right arm"),
            (
                "tug the motor strap",
                "One end of motor-strap is pulled at",
                "tug motor 31",
            ),
            (
                "pull motor strap",
                "`unplug motor-strap`",
                "wiggle motor-strap",
            ),
        ],
    );
    check_questions(
        "hatch",
        &[(
            "tug the motor strap",
            "`motor strap` is no part by that name; of its kind there is battery-strap.",
            "wiggle battery-strap",
        )],
    );
}

#[test]
fn what_is_told_the_other_way_round_is_read() {
    check(&[
        ("give the plug at the motor a wiggle", "wiggle motor-plug"),
        ("please give motor plug a good shake", "wiggle motor-plug"),
        ("give the left arm a push", "assist left-arm"),
        ("give motor 53 a tug", "tug motor.53"),
        ("unplug the plug on the motor", "unplug motor-plug"),
        ("give up", "give-up"),
        (
            "conclude bad earth at motor",
            "conclude motor-strap.high-resistance",
        ),
        (
            "conclude bad ground at the cowl",
            "conclude cowl-ground.high-resistance",
        ),
        (
            "jumper battery pos at motor 53",
            "jumper battery.pos motor.53",
        ),
        (
            "hand over cause bad earth at the motor",
            "hand-over none motor-strap.high-resistance none",
        ),
    ]);
    check_on(
        "hatch",
        &[
            (
                "conclude bad earth at motor",
                "conclude motor-31.high-resistance",
            ),
            ("conclude motor ground open", "conclude motor-31.open"),
        ],
    );
    check_questions(
        "van",
        &[
            ("give it a go", "`give` is not a command here", "give up"),
            (
                "give the motor a tap",
                "Nothing here answers to a tap",
                "wiggle the motor",
            ),
            ("give me a hint", "A hint needs more", "hint where"),
        ],
    );
}

#[test]
fn blades_are_watched_and_places_gone_to_by_common_words() {
    check(&[("watch them", "look blades"), ("watch it", "look blades")]);
    for vehicle in ["van", "sedan", "bus", "rheostat", "hatch"] {
        check_on(
            vehicle,
            &[
                ("go outside", "go windscreen"),
                ("get out", "go windscreen"),
                ("step out", "go windscreen"),
            ],
        );
    }
    check_questions("van", &[("look at it", "There is no component `it`", "")]);
}

/// The position first, and the check in it.
#[test]
fn a_check_may_be_told_with_its_position() {
    check(&[
        ("read the ammeter at low", "set wiper-switch low | ammeter"),
        (
            "ammeter with the wiper on high",
            "set wiper-switch high | ammeter",
        ),
        ("listen in high", "set wiper-switch high | listen"),
        ("watch them at low", "set wiper-switch low | look blades"),
        (
            "count in low; look",
            "set wiper-switch low | count | look blades",
        ),
    ]);
    check_questions(
        "van",
        &[
            (
                "volts motor 53 at low",
                "the lever by yourself or by the helper: `wiper low; volts motor 53`",
                "helper wiper low; volts motor 53",
            ),
            (
                "read the ammeter at lunch",
                "Nothing follows `ammeter`",
                "read the ammeter",
            ),
        ],
    );
}

/// Where a ground point has the name of a battery's post, undoing and doing up are asked about; a plug it is not.
#[test]
fn a_ground_point_beside_the_battery_is_no_post() {
    for vehicle in ["bus", "rheostat"] {
        check_questions(
            vehicle,
            &[
                (
                    "loosen battery ground",
                    "`battery ground` could be the ground point",
                    "unplug battery-strap",
                ),
                (
                    "undo the battery earth",
                    "could be the ground point",
                    "repair battery-ground",
                ),
                (
                    "tighten battery ground",
                    "could be the ground point",
                    "repair battery mend",
                ),
                (
                    "tighten battery earth connection",
                    "could be the ground point",
                    "repair battery-ground",
                ),
            ],
        );
        check_on(
            vehicle,
            &[
                ("unplug battery ground", "unplug battery-strap"),
                ("repair battery earth", "repair battery-ground mend"),
                ("loosen battery ground clamp", "unplug battery-strap"),
                ("tighten battery clamps", "repair battery mend"),
                (
                    "tighten the negative battery terminal",
                    "repair battery mend",
                ),
            ],
        );
    }
    check(&[("loosen battery ground", "unplug battery-strap")]);
}
