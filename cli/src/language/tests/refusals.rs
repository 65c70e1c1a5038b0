//! How lines that mean nothing, or too much, are refused.

use super::*;

#[test]
fn points_that_are_none_are_asked_about() {
    check_refusals(&[
        ("volts", 6, "`volts` needs more: `volts POINT [POINT]`."),
        (
            "volts motor",
            7,
            "Which terminal of motor: 53, 53b, 31, 53a or 53e?",
        ),
        (
            "volts motor 54",
            13,
            "There is no terminal `54` on motor; it has 53, 53b, 31, 53a or 53e.",
        ),
        (
            "volts 53",
            7,
            "`53` of what: wiper-switch 53, motor-plug 53 or motor 53?",
        ),
        (
            "volts motr 53",
            7,
            "There is no `motr` to probe; did you mean motor or motor-plug?",
        ),
        (
            "volts wiper 53",
            7,
            "`wiper 53` could be wiper-switch 53 or motor 53.",
        ),
        (
            "volts left pivot",
            7,
            "There is nothing to probe on left-pivot.",
        ),
        (
            "volts motor-strap",
            7,
            "A probe goes on an end of motor-strap: motor 31 or cowl-ground stud.",
        ),
        (
            "drop motor 53",
            14,
            "A drop is between two points; `volts motor 53` is against battery neg.",
        ),
        (
            "volts motor 53 motor 31 body",
            25,
            "Two points are all there is room for, and `body` is more.",
        ),
        (
            "volts switch 15",
            7,
            "`switch 15` could be ignition-switch 15 or wiper-switch 15.",
        ),
        (
            "v bat pos 53b",
            11,
            "`53b` of what: wiper-switch 53b, motor-plug 53b or motor 53b?",
        ),
    ]);
}

#[test]
fn wires_that_are_none_are_asked_about() {
    check_refusals(&[
        (
            "clamp motor",
            7,
            "There is no wire `motor`; did you mean motor-53, motor-53a or motor-53b?",
        ),
        (
            "clamp horn",
            7,
            "There is no wire `horn`; did you mean bulkhead-horn or horn-ground?",
        ),
        ("clamp body", 7, "No wire ends at `body`."),
        (
            "clamp motr-53",
            7,
            "There is no wire `motr-53`; did you mean motor-53, motor-53a or motor-53b?",
        ),
        (
            "clamp motor strap cowl ground",
            7,
            "There is no wire `motor strap cowl ground`; did you mean motor-strap?",
        ),
    ]);
}

#[test]
fn controls_take_one_of_their_positions() {
    check_refusals(&[
        ("key", 4, "The key goes to off, acc or on."),
        ("wiper on", 9, "On is low or high with the wiper."),
        (
            "wiper lwo",
            7,
            "The wiper has no position `lwo`; it has off, low or high.",
        ),
        (
            "on",
            1,
            "`on` could be key on, engine on, horn on, blower on or radio on.",
        ),
        (
            "key on off",
            8,
            "The key stands in one position at a time: off, acc or on.",
        ),
        (
            "helper",
            7,
            "The helper works a control: `helper wiper off`; for help type `help`.",
        ),
        (
            "helper volts motor 53",
            8,
            "The helper only works controls, as in `helper wiper low`; `volts motor 53` is for yourself.",
        ),
        (
            "set",
            4,
            "`set` needs more: `set CONTROL POSITION [at mid-glass]`.",
        ),
        (
            "key on; wiper lwo",
            15,
            "The wiper has no position `lwo`; it has off, low or high.",
        ),
        (
            "blower off on",
            12,
            "The blower stands in one position at a time: off or on.",
        ),
    ]);
}

#[test]
fn verdicts_name_a_failure_of_a_component() {
    check_refusals(&[
        (
            "con",
            4,
            "`conclude` needs more: `conclude COMPONENT FAILURE`.",
        ),
        (
            "conclude motor",
            15,
            "Which failure of motor: low-brush-worn, low-brush-intermittent, low-brush-open, high-brush-worn, high-brush-intermittent, high-brush-open, common-brush-worn, common-brush-intermittent, common-brush-open, magnets-weak, coil-open, coil-shorted and 3 more?",
        ),
        (
            "conclude motor banana",
            16,
            "No failure of motor is `banana`; there is low-brush-worn, low-brush-intermittent, low-brush-open, high-brush-worn, high-brush-intermittent, high-brush-open, common-brush-worn, common-brush-intermittent, common-brush-open, magnets-weak, coil-open, coil-shorted and 3 more.",
        ),
        (
            "conclude motor plug 53",
            10,
            "`motor plug 53` could be motor-plug 53-open, motor-plug 53-high-resistance, motor-plug 53-short-to-ground, motor-plug 53-loose, motor-plug 53-opens-warm, motor-plug 53-leaks-wet, motor-plug 53-pushed-out, motor-plug 53-53b-crossed, motor-plug 53-53a-crossed, motor-plug 53-53e-crossed or motor-plug 53-53b-bridged.",
        ),
        (
            "conclude no fault found",
            24,
            "No fault found; what was it instead: battery flat, left-arm wrong-blade, right-arm wrong-blade, windscreen iced or windscreen dry?",
        ),
        (
            "conclude wrong blades",
            10,
            "`wrong blades` could be left-arm wrong-blade or right-arm wrong-blade.",
        ),
        (
            "conclude left pivot banana",
            21,
            "No failure of left-pivot is `banana`; there is stiff, seized and loose.",
        ),
        (
            "conclude left pivot",
            20,
            "Which failure of left-pivot: stiff, seized or loose?",
        ),
        (
            "conclude left",
            10,
            "`left` could be left-pivot or left-arm.",
        ),
        (
            "conclude battery",
            17,
            "Which failure of battery: sulphated, pos-open, pos-high-resistance, pos-loose, neg-open, neg-high-resistance, neg-loose or flat?",
        ),
        (
            "conclude linkage",
            10,
            "What of linkage and what it runs in: crank-nut loose, crank-nut off-its-mark, linkage link-off, connecting-link \
             off, connecting-link bent, left-pivot stiff, left-pivot seized, left-pivot loose, right-pivot stiff, \
             right-pivot seized or right-pivot loose?",
        ),
        (
            "conclude banana",
            10,
            "There is no component `banana` on this vehicle.",
        ),
        (
            "conclude ground open",
            10,
            "`ground open` could be motor-strap open, cowl-ground open, front-ground open, battery-strap open or \
             dash-ground open.",
        ),
        (
            "conclude moter worn",
            10,
            "There is no component `moter`; did you mean motor, motor-53 or motor-53a?",
        ),
    ]);
}

#[test]
fn repairs_say_how_where_there_are_several_ways() {
    check_refusals(&[
        (
            "repair pivot",
            8,
            "`pivot` could be left-pivot or right-pivot.",
        ),
        (
            "repair motor",
            13,
            "Say how: repair motor replace or repair motor brushes.",
        ),
        (
            "repair motor mend",
            14,
            "motor is not put right by `mend`: repair motor replace or repair motor brushes.",
        ),
        ("repair horn", 8, "There is nothing to put right on horn."),
        ("repair body", 8, "There is nothing to put right on body."),
        (
            "repair bananas",
            8,
            "There is no component `bananas` on this vehicle.",
        ),
        (
            "repair link",
            8,
            "`link` could be fusible-link, linkage or connecting-link.",
        ),
        (
            "replace crank nut",
            18,
            "crank-nut is not put right by `replace`: repair crank-nut tighten.",
        ),
        (
            "mend motor",
            11,
            "motor is not put right by `mend`: repair motor replace or repair motor brushes.",
        ),
    ]);
}

#[test]
fn waits_are_whole_seconds_within_bounds() {
    check_refusals(&[
        ("wait", 5, "`wait` needs more: `wait TIME`."),
        (
            "wait -5",
            6,
            "A wait is a number of seconds or minutes: `wait 20 s`, `wait 2 min`.",
        ),
        ("wait 0", 6, "A wait is at least one second."),
        ("wait 2 h", 6, "A wait is at most 1800 s (30 min)."),
        (
            "wait 99999999999 s",
            6,
            "A wait is at most 1800 s (30 min).",
        ),
        ("wait 1.5 s", 6, "A wait is a whole number of seconds."),
        (
            "wait 20 cycles",
            9,
            "A wait is a number of seconds or minutes: `wait 20 s`, `wait 2 min`.",
        ),
        (
            "wait 10-20",
            9,
            "A wait is a number of seconds or minutes: `wait 20 s`, `wait 2 min`.",
        ),
    ]);
}

#[test]
fn hand_overs_tell_their_parts() {
    check_refusals(&[
        (
            "hand over motor",
            11,
            "A hand-over is told as `complaint ...`, `cause ...`, `correction ...`, `note ...`.",
        ),
        ("hand over cause", 16, "Nothing is told of the cause."),
        (
            "hand over complaint banana cause motor low brush worn",
            21,
            "`banana` is no symptom; there is dead, blades-still, no-low, no-high, no-medium, cuts-out, now-and-then, runs-on, does-not-park, slow, too-fast, no-interval and 4 more.",
        ),
    ]);
}

#[test]
fn things_are_taken_off_where_they_come_off() {
    check_refusals(&[
        (
            "go moon",
            4,
            "There is no place `moon`; there is cab, bonnet, windscreen and under-dash.",
        ),
        ("go ca", 4, "There is no place `ca`; did you mean cab?"),
        (
            "open motor",
            6,
            "There is no cover `motor`; there is bonnet-lid, dash-panel and switch-panel.",
        ),
        (
            "open panel",
            6,
            "`panel` could be dash-panel or switch-panel.",
        ),
        (
            "unplug horn",
            8,
            "There is no connector `horn`; there is bulkhead, motor-plug, motor-strap and battery-strap.",
        ),
        (
            "loosen left pivot",
            8,
            "There is no nut or link `left pivot`; there is crank-nut and connecting-link.",
        ),
        ("move arm", 6, "`arm` could be left-arm or right-arm."),
        (
            "remove fuse",
            8,
            "There is no fuse of that name here; what protects is fusible-link and wiper-breaker.",
        ),
    ]);
}

#[test]
fn everything_else_is_told_plainly() {
    check_refusals(&[
        (
            "vlots motor 53",
            1,
            "`vlots` is no command here; did you mean volts?",
        ),
        (
            "motor 53",
            1,
            "Say what to do with motor 53, as in `volts motor 53`.",
        ),
        ("motor", 1, "Say what to do with motor, as in `feel motor`."),
        (
            "ground",
            1,
            "Say what to do with battery neg, as in `volts battery neg`.",
        ),
        (
            "look carburettor",
            6,
            "There is no component `carburettor` on this vehicle.",
        ),
        (
            "count 53",
            7,
            "Nothing follows `count`, so `53` is too much.",
        ),
        (
            "listen carefully",
            8,
            "Nothing follows `listen`, so `carefully` is too much.",
        ),
        (
            "wiggle loom",
            8,
            "Of the wiring, one plug, one part or one wire at a time: bulkhead or motor-plug?",
        ),
        ("hel", 1, "`hel` could be short for helper or help."),
        (
            "help banana",
            6,
            "There is no help on `banana`; `help` alone shows the commands.",
        ),
        (
            "help left arm",
            6,
            "Helping an arm along is `assist left-arm`.",
        ),
        ("again", 1, "There is no line yet to do again."),
        ("note", 5, "`note` needs more: `note TEXT`."),
        ("please", 7, "Say what to do; `help` shows the commands."),
        ("xyzzy", 1, "`xyzzy` is no command here; `help` shows them."),
        ("feel", 5, "`feel` needs more: `feel COMPONENT`."),
        ("unc", 1, "`unc` could be short for unclip or uncover."),
    ]);
}

#[test]
fn suggestions_are_commands_that_read() {
    with(|language| {
        for (line, suggestions) in [
            ("vlots motor 53", vec!["volts motor 53"]),
            (
                "volts motr 53",
                vec!["volts motor 53", "volts motor-plug 53"],
            ),
            ("volts motor plgu 53", vec!["volts motor plug 53"]),
            (
                "volts wiper 53",
                vec!["volts wiper-switch 53", "volts motor 53"],
            ),
            ("key", vec!["key off", "key acc", "key on"]),
            (
                "look; wiper lwo",
                vec!["wiper low", "wiper off", "wiper high"],
            ),
            (
                "con left pivot siezed",
                vec![
                    "con left pivot seized",
                    "con left-pivot stiff",
                    "con left-pivot seized",
                    "con left-pivot loose",
                ],
            ),
            (
                "repair pivot",
                vec![
                    "repair left-pivot free",
                    "repair left-pivot replace",
                    "repair right-pivot free",
                    "repair right-pivot replace",
                ],
            ),
            (
                "repair link",
                vec![
                    "repair fusible-link",
                    "repair linkage",
                    "repair connecting-link",
                ],
            ),
            (
                "go moon",
                vec!["go cab", "go bonnet", "go windscreen", "go under-dash"],
            ),
            (
                "drop motor 53",
                vec!["volts motor 53", "drop wiper-switch 53 motor-plug 53"],
            ),
            (
                "remove fuse",
                vec!["data protection", "look fusible-link", "look wiper-breaker"],
            ),
        ] {
            let problem = language.read(line, None).unwrap_err();
            assert_eq!(problem.suggestions, suggestions, "{line}");
        }
    });
}

#[test]
fn what_is_too_long_is_refused() {
    with(|language| {
        let line = "x".repeat(LINE_MAX + 1);
        let problem = language.read(&line, None).unwrap_err();
        assert_eq!(
            (problem.column, problem.message.as_str()),
            (2001, "A line has at most 2000 characters.")
        );
        let note = format!("note {}", "ö".repeat(501));
        let problem = language.read(&note, None).unwrap_err();
        assert_eq!(
            (problem.column, problem.message.as_str()),
            (6, "A text has at most 500 characters.")
        );
        assert!(
            language
                .read(&format!("note {}", "ö".repeat(500)), None)
                .is_ok()
        );
        let many = "l;".repeat(COMMANDS_MAX);
        assert_eq!(
            language.read(&many, None).map(|commands| commands.len()),
            Ok(COMMANDS_MAX)
        );
        let problem = language.read(&format!("{many}l"), None).unwrap_err();
        assert_eq!(problem.message, "A line has at most 40 commands.");
        assert!(language.read("!!;!!", Some(&many)).is_err());
        assert!(language.read("again", Some("look; again")).is_err());
    });
}

#[test]
fn a_common_word_is_never_taken_for_a_verb() {
    check_refusals(&[
        (
            "list",
            1,
            "`list` is not a command here; there is listen, readings and help.",
        ),
        (
            "key on; give",
            9,
            "`give` is not a command here; there is give up.",
        ),
        (
            "hand",
            1,
            "`hand` is not a command here; there is hand over.",
        ),
    ]);
    with(|language| {
        let offered = |line: &str| language.read(line, None).unwrap_err().suggestions;
        assert_eq!(offered("list"), ["listen", "readings", "help"]);
        assert_eq!(offered("list faults"), ["listen", "readings", "help"]);
        assert_eq!(offered("fee motor"), ["feel motor"]);
        for (word, _) in words::COMMON_WORDS {
            assert!(language.read(word, None).is_err(), "{word}");
        }
    });
}

#[test]
fn short_words_with_letters_swapped_are_put_right() {
    with(|language| {
        for (line, wanted) in [
            ("kye on", "key on"),
            ("try hron", "try horn"),
            ("wiper lwo", "wiper low"),
        ] {
            let offered = language.read(line, None).unwrap_err().suggestions;
            assert!(offered.iter().all(|offer| offer != "bye on"));
            let found = offered.iter().any(|offer| offer == wanted);
            assert!(found, "{line}: {offered:?}");
        }
    });
}
