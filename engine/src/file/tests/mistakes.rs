//! Mistakes made in the shipped files, one by one and together.

use super::{SCENARIOS, VAN, listed, scenario, van};
use crate::file::{
    Code, FILE_BYTES_MAX, Finding, Severity, check_scenario, read_scenario, read_vehicle,
};

/// The shipped vehicle with every `from` replaced by `to`.
fn edited(from: &str, to: &str) -> String {
    assert!(VAN.contains(from), "the shipped vehicle has no `{from}`");
    VAN.replace(from, to)
}

fn findings_of(text: &str) -> Vec<Finding> {
    match read_vehicle(text) {
        Ok((_, warnings)) => warnings,
        Err(findings) => findings,
    }
}

/// Line of the first place in `text` where `piece` stands.
fn line_of(text: &str, piece: &str) -> usize {
    let before = text.split(piece).next().unwrap_or_default();
    before.matches('\n').count() + 1
}

#[test]
fn each_mistake_is_one_finding_with_its_place() {
    // What is replaced in the shipped vehicle, by what, the piece whose line is meant, the code, and a
    // part of what is said.
    let cases = [
        (
            "ring_resistance_ohm",
            "ring_resistence_ohm",
            "[motor.motor]",
            Code::MissingKey,
            "needs `ring_resistance_ohm`",
        ),
        (
            "\n[charges]",
            "\n[chargse]",
            "\n[charges]",
            Code::MissingKey,
            "needs `charges`",
        ),
        (
            "from = \"motor 31\"",
            "from = \"motor 13\"",
            "from = \"motor 13\"",
            Code::DanglingWire,
            "no `13`",
        ),
        (
            "to = \"horn feed\"",
            "to = \"hron feed\"",
            "to = \"hron",
            Code::DanglingWire,
            "did you mean `horn`?",
        ),
        (
            "to = \"horn feed\"",
            "to = \"horn\"",
            "to = \"horn\"",
            Code::DanglingWire,
            "names no terminal",
        ),
        (
            "resistance_ohm = 3 ",
            "resistance_ohm = -3 ",
            "resistance_ohm = -3",
            Code::OutOfRange,
            "`resistance_ohm` is -3 here; it must be from 1e-6 to 1e6",
        ),
        (
            "resistance_ohm = 3 ",
            "resistance_ohm = nan ",
            "resistance_ohm = nan",
            Code::NotFinite,
            "is `nan` here",
        ),
        (
            "resistance_ohm = 3 ",
            "resistance_ohm = 1e999 ",
            "resistance_ohm = 1e999",
            Code::NotFinite,
            "is `1e999` here",
        ),
        (
            "resistance_ohm = 3 ",
            "resistance_ohm = \"3\" ",
            "resistance_ohm = \"3\"",
            Code::WrongType,
            "is a text here; it must be a number",
        ),
        (
            "[consumer.horn]",
            "[consumer.battery]",
            "[consumer.battery]",
            Code::DuplicateId,
            "unique over all kinds",
        ),
        (
            "[consumer.horn]",
            "[consumer.Horn]",
            "[consumer.Horn]",
            Code::BadName,
            "`Horn` cannot name a consumer",
        ),
        (
            "colour = \"BKVT\"",
            "colour = \"VTBK\"",
            "colour = \"VTBK\"",
            Code::BadColour,
            "in this order: BK BN",
        ),
        (
            "colour = \"BKVT\"",
            "colour = \"BKé\"",
            "colour = \"BKé\"",
            Code::BadColour,
            "`BKé`",
        ),
        (
            "rocker_m = 0.0816",
            "rocker_m = 0.02",
            "[linkage.linkage]",
            Code::BadLinkage,
            "locks",
        ),
        (
            "rocker_m = 0.0816",
            "rocker_m = 0.0802",
            "[linkage.linkage]",
            Code::BadLinkage,
            "transmission angle",
        ),
        (
            "title = \"radio\"",
            "title = \"\\u001b[2Jradio\"",
            "title = \"\\u001b",
            Code::ControlCharacter,
            "U+001B",
        ),
        (
            "title = \"radio\"",
            "title = \"\\u202eradio\"",
            "title = \"\\u202e",
            Code::ControlCharacter,
            "U+202E",
        ),
        (
            "title = \"radio\"",
            "title = \" \"",
            "title = \" \"",
            Code::EmptyText,
            "is empty",
        ),
        (
            "format = 1",
            "format = 2",
            "format = 2",
            Code::UnsupportedFormat,
            "reads format 1",
        ),
        (
            "title = \"cab\"",
            "title = cab",
            "title = cab",
            Code::Syntax,
            "",
        ),
        (
            "walk_min = 0.5",
            "walk_min = 0.123",
            "walk_min",
            Code::OutOfRange,
            "more than two decimals",
        ),
        (
            "to = \"battery neg\"",
            "to = \"body metal\"",
            "[body.body]",
            Code::MissingGround,
            "no path to the battery's negative post",
        ),
        (
            "[switch.wiper-switch.contacts]",
            "[switch.wiper-switch.contact]",
            "[switch.wiper-switch]",
            Code::MissingKey,
            "needs `contacts`",
        ),
        (
            "closed_in = [\"low\"]",
            "closed_in = [\"lo\"]",
            "closed_in = [\"lo\"]",
            Code::UnknownWord,
            "did you mean `low`?",
        ),
        (
            "pivot = \"left-pivot\"",
            "pivot = \"left-arm\"",
            "pivot = \"left-arm\"",
            Code::WrongKind,
            "no pivot",
        ),
        (
            "pivot = \"left-pivot\"",
            "pivot = \"right-pivot\"",
            "[linkage.linkage]",
            Code::BadDrive,
            "exactly one arm",
        ),
        (
            "mates = \"motor\"",
            "mates = \"horn\"",
            "mates = \"horn\"",
            Code::UnknownTerminal,
            "no terminal for pin `53`",
        ),
        (
            "part_of = \"motor\"",
            "part_of = \"moter\"",
            "part_of",
            Code::UnknownComponent,
            "did you mean `motor`?",
        ),
        (
            "cover = \"bonnet-lid\"\nopen",
            "cover = \"bonnet\"\nopen",
            "cover = \"bonnet\"\nopen",
            Code::UnknownWord,
            "did you mean `bonnet-lid`?",
        ),
        (
            ", brushes = {",
            ", brush = {",
            "[motor.motor]",
            Code::MissingKey,
            "needs `repairs.brushes`",
        ),
        (
            "control = \"radio\"",
            "control = \"horn\"",
            "[consumer.radio]",
            Code::DuplicateId,
            "worked by `horn`",
        ),
        (
            "[\"53a\", \"53e\"]\nring",
            "[\"53a\", \"53e\", \"57\"]\nring",
            "[motor.motor]",
            Code::UnconnectedTerminal,
            "motor 57",
        ),
        (
            "control = \"wiper\"",
            "control = \"wipers\"",
            "[motor.motor]",
            Code::BadDrive,
            "worked by `wiper`",
        ),
        (
            "[body.body]",
            "[bdoy.body]",
            "[vehicle]",
            Code::MissingGround,
            "no body",
        ),
    ];
    for (from, to, place, code, says) in cases {
        let text = edited(from, to);
        let findings = findings_of(&text);
        // A replaced header has moved no lines, so the original still tells which line it was.
        let line = if text.contains(place) {
            line_of(&text, place)
        } else {
            line_of(VAN, place)
        };
        let line = if place == "\n[charges]" { 1 } else { line };
        let hit = findings.iter().any(|finding| {
            finding.code == code && finding.line == line && finding.to_string().contains(says)
        });
        assert!(
            hit,
            "`{to}`: wanted line {line} {code} `{says}`, got\n{}",
            listed(&findings)
        );
    }
}

#[test]
fn unknown_words_come_with_the_nearest_known_one() {
    let findings = findings_of(&edited("ring_resistance_ohm", "ring_resistence_ohm"));
    assert!(listed(&findings).contains("[unknown-key]: `ring_resistence_ohm` is not a key of motor motor; did you mean `ring_resistance_ohm`?"));
    let findings = findings_of(&edited("[breaker.wiper-breaker]", "[braker.wiper-breaker]"));
    assert!(
        listed(&findings).contains(
            "[unknown-kind]: `braker` is not a kind of component; did you mean `breaker`?"
        )
    );
}

#[test]
fn a_value_mistake_makes_no_further_findings() {
    for (from, to) in [
        ("resistance_ohm = 3 ", "resistance_ohm = nan "),
        ("rocker_m = 0.0816", "rocker_m = 0.02"),
        ("to = \"horn feed\"", "to = \"hron feed\""),
        ("to = \"battery neg\"", "to = \"body metal\""),
        ("format = 1", "format = 2"),
    ] {
        let errors: Vec<Finding> = findings_of(&edited(from, to))
            .into_iter()
            .filter(|finding| finding.severity == Severity::Error)
            .collect();
        assert_eq!(errors.len(), 1, "`{to}`:\n{}", listed(&errors));
    }
}

#[test]
fn all_mistakes_are_told_at_once_in_the_order_of_the_file() {
    let text = edited("age_years = 12", "age_years = -1")
        .replace("colour = \"RD\"", "colour = \"red\"")
        .replace("efficiency = 0.5", "efficiency = 0.9")
        .replace("format = 1", "format = 1\ncolour = 3");
    let findings = findings_of(&text);
    let codes: Vec<Code> = findings.iter().map(|finding| finding.code).collect();
    let reds = [Code::BadColour; 4];
    let expected = [
        &[Code::UnknownKey, Code::OutOfRange][..],
        &reds,
        &[Code::OutOfRange],
    ]
    .concat();
    assert_eq!(codes, expected, "{}", listed(&findings));
}

#[test]
fn a_bad_id_hides_no_other_mistake() {
    let text =
        edited("id = \"van-case-ground\"", "id = \"Van\"").replace(", brushes = {", ", brush = {");
    let codes: Vec<Code> = findings_of(&text)
        .iter()
        .map(|finding| finding.code)
        .collect();
    assert_eq!(codes, [Code::BadName, Code::MissingKey, Code::UnknownWord]);
}

#[test]
fn a_vehicle_without_a_battery_is_told_so_once() {
    let text = edited("[battery.battery]", "[consumer.battery]");
    let missing = findings_of(&text)
        .iter()
        .filter(|finding| finding.code == Code::MissingGround)
        .count();
    assert_eq!(missing, 1);
    assert!(
        findings_of(&text)
            .iter()
            .all(|finding| finding.code != Code::FloatingNode)
    );
}

#[test]
fn a_table_given_twice_is_a_duplicate_not_a_riddle() {
    let findings = findings_of(&format!("{VAN}\n[wire.motor-53]\nlength_m = 3\n"));
    assert_eq!(findings[0].code, Code::DuplicateId, "{}", listed(&findings));
    assert!(
        findings[0].message.contains("`motor-53`"),
        "{}",
        findings[0]
    );
}

#[test]
fn sizes_are_bounded() {
    let long = "x".repeat(FILE_BYTES_MAX + 1);
    assert_eq!(findings_of(&long)[0].code, Code::TooLarge);
    let wires: String = (0..600).map(|index| format!("[wire.w{index}]\n")).collect();
    let findings = findings_of(&format!("format = 1\n{wires}"));
    assert!(
        findings
            .iter()
            .any(|finding| finding.code == Code::TooLarge)
            && findings.len() <= 400
    );
    let pins: Vec<String> = (0..60).map(|pin| format!("\"{pin}\"")).collect();
    let plug = |index: usize| {
        format!(
            "[connector.c{index}]\npins = [{}]\nfaces = [\"a\", \"b\"]\n",
            pins.join(", ")
        )
    };
    let plugs: String = (0..4).map(plug).collect();
    let findings = findings_of(&format!("{VAN}\n{plugs}"));
    assert!(
        listed(&findings).contains("nodes; at most 400 are read"),
        "{}",
        listed(&findings)
    );
    let text = edited(
        "title = \"radio\"",
        &format!("title = \"{}\"", "r".repeat(101)),
    );
    assert_eq!(findings_of(&text)[0].code, Code::TextTooLong);
}

#[test]
fn names_leave_room_for_the_failure_modes_made_of_them() {
    // 21 characters and `-short-to-ground` would still fit; the limit is for every kind alike.
    let text = edited("\"h\"", "\"a-pin-with-a-very-long-name\"");
    assert!(
        findings_of(&text)
            .iter()
            .any(|finding| finding.code == Code::BadName)
    );
}

#[test]
fn scenario_mistakes_have_their_places() {
    let text = SCENARIOS[1]
        .replace("glass = \"wet\"", "glass = \"wett\"")
        .replace("helper = true", "helper = \"yes\"")
        .replace("no-low =", "no-lwo =")
        .replace("pool = [\"motor\"", "pool = [\"Motor!\"");
    let findings = read_scenario(&text).err().unwrap_or_default();
    let codes: Vec<Code> = findings.iter().map(|finding| finding.code).collect();
    assert_eq!(
        codes,
        [
            Code::UnknownWord,
            Code::BadName,
            Code::WrongType,
            Code::UnknownKey
        ],
        "{}",
        listed(&findings)
    );
    assert_eq!(findings[3].line, line_of(&text, "no-lwo"));
    assert!(
        findings[3]
            .help
            .as_deref()
            .is_some_and(|help| help.contains("no-low"))
    );
}

#[test]
fn rain_leaves_no_glass_dry() {
    let of = |glass: &str| {
        let text = SCENARIOS[1].replace("glass = \"wet\"", glass);
        let findings = read_scenario(&text).err().unwrap_or_default();
        findings
            .iter()
            .map(|finding| finding.code)
            .collect::<Vec<_>>()
    };
    assert_eq!(of("glass = \"dry\"\nrain = true"), [Code::OutOfRange]);
    assert_eq!(of("glass = \"wet\"\nrain = \"yes\""), [Code::WrongType]);
    assert_eq!(of("glass = \"streaming\"\nrain = true"), []);
    assert_eq!(of("glass = \"dry\"\nrain = false"), []);
}

/// 0.5 min to the bonnet and 10 of labour are the least that the strap takes; a fault of the motor takes most.
#[test]
fn minutes_that_hold_no_repair_are_found() {
    let van = van();
    let of = |pool: &str, minutes: &str| {
        let text = SCENARIOS[1]
            .replace("pool = [\"motor\", \"wiring\"]", pool)
            .replace("allowance_min = 60", &format!("allowance_min = {minutes}"));
        let findings = check_scenario(&scenario(&text), &text, &van);
        let lines: Vec<usize> = findings.iter().map(|finding| finding.line).collect();
        let place = line_of(&text, "allowance_min");
        assert!(lines.iter().all(|line| *line == place), "{lines:?}");
        (listed(&findings), findings)
    };
    assert_eq!(of("pool = [\"motor-strap\"]", "60").1, []);
    let (said, findings) = of("pool = [\"motor-strap\"]", "8");
    assert_eq!(findings.len(), 1, "{said}");
    assert_eq!(
        (findings[0].code, findings[0].severity),
        (Code::TooFewMinutes, Severity::Warning)
    );
    assert!(said.contains("the way to motor-strap."), "{said}");
    // What is no fault is explained on the spot.
    assert_eq!(of("pool = [\"no-fault\"]", "1").1, []);
}

#[test]
fn a_pool_that_selects_nothing_is_found() {
    let van = van();
    let pool =
        "pool = [\"motor\", \"horn\", \"hron\", \"motor.low-brush-wron\", \"motor-53.open\"]";
    let text = SCENARIOS[1].replace("pool = [\"motor\", \"wiring\"]", pool);
    let findings = check_scenario(&scenario(&text), &text, &van);
    let said = listed(&findings);
    assert_eq!(findings.len(), 3, "{said}");
    assert!(
        said.contains("`horn` is a component that does not fail"),
        "{said}"
    );
    assert!(
        said.contains("no component `hron`; did you mean `horn`?"),
        "{said}"
    );
    assert!(
        said.contains("no failure mode `low-brush-wron`; did you mean `low-brush-worn`?"),
        "{said}"
    );
    assert!(
        findings
            .iter()
            .all(|finding| finding.line == line_of(&text, pool)),
        "{said}"
    );
    let other = text.replace("vehicle = \"van-case-ground\"", "vehicle = \"bus\"");
    let scenario = scenario(&other);
    assert_eq!(
        check_scenario(&scenario, &other, &van)[0].code,
        Code::WrongVehicle
    );
}
