//! The shipped files, mistakes made in them, and arbitrary damage to them.

use super::{Code, Finding, Severity, check_scenario, read_scenario, read_vehicle};
use crate::vehicle::{Emf, Gate, Kind, Node, Vehicle};
use proptest::prelude::*;

const VAN: &str = include_str!("../../../scenarios/van-case-ground.toml");
const SCENARIOS: [&str; 3] = [
    include_str!("../../../scenarios/rain-on-the-quay.toml"),
    include_str!("../../../scenarios/last-boat-out.toml"),
    include_str!("../../../scenarios/stiff-morning.toml"),
];

fn van() -> Vehicle {
    match read_vehicle(VAN) {
        Ok((vehicle, warnings)) => {
            assert!(warnings.is_empty(), "{}", listed(&warnings));
            vehicle
        }
        Err(findings) => panic!("{}", listed(&findings)),
    }
}

fn listed(findings: &[Finding]) -> String {
    findings
        .iter()
        .map(|finding| format!("{finding}\n"))
        .collect()
}

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
fn the_shipped_vehicle_reads_without_a_finding() {
    let van = van();
    assert_eq!(van.id.as_str(), "van-case-ground");
    assert_eq!(van.node_names[0], "battery neg");
    assert_eq!(
        van.point_at(van.body)
            .map(|point| van.point_name(point))
            .as_deref(),
        Some("body metal")
    );
    assert_eq!(van.layout.places[0].id.as_str(), "cab");
    assert!(matches!(van.drive_train(), Ok(Some(drive)) if drive.pivots.len() == 2));
    let ids: Vec<&str> = van
        .components
        .iter()
        .map(|component| component.id.as_str())
        .take(4)
        .collect();
    assert_eq!(
        ids,
        ["battery", "battery-link", "fusible-link", "link-bulkhead"]
    );
}

/// Sum of the resistances of named paths.
fn ohms(van: &Vehicle, paths: &[(&str, &str)]) -> f64 {
    let one = |&(id, path): &(&str, &str)| {
        let component = van.find(id).map(|id| van.component(id));
        let found = component.and_then(|component| component.path(path));
        found.map_or(f64::NAN, |path| path.resistance.ohms())
    };
    paths.iter().map(one).sum()
}

#[test]
fn the_shipped_vehicle_keeps_to_the_resistance_budget() {
    let van = van();
    let feed = [
        ("battery-link", "conductor"),
        ("fusible-link", "link"),
        ("link-bulkhead", "conductor"),
        ("bulkhead", "30"),
        ("bulkhead-ammeter", "conductor"),
        ("ammeter", "shunt"),
        ("ammeter-ignition", "conductor"),
        ("ignition-switch", "30-15"),
        ("ignition-breaker", "conductor"),
        ("wiper-breaker", "contact"),
        ("breaker-switch", "conductor"),
    ];
    let ground = [
        ("motor-strap", "conductor"),
        ("cowl-ground", "joint"),
        ("front-ground", "joint"),
        ("battery-strap", "conductor"),
    ];
    let low = [
        ("wiper-switch", "low"),
        ("motor-53", "conductor"),
        ("motor-plug", "53"),
    ];
    let high = [
        ("wiper-switch", "high"),
        ("motor-53b", "conductor"),
        ("motor-plug", "53b"),
    ];
    let budget: [(&[(&str, &str)], f64); 5] = [
        (&[("battery", "cells")], 0.015),
        (&feed, 0.06),
        (&low, 0.045),
        (&high, 0.045),
        (&ground, 0.004),
    ];
    for (paths, expected) in budget {
        let sum = ohms(&van, paths);
        assert!(
            (sum - expected).abs() < 1e-4,
            "{paths:?}: {sum}, not {expected}"
        );
    }
}

#[test]
fn the_paths_of_a_budget_line_follow_each_other() {
    let van = van();
    let at = |point: &str| {
        let (id, terminal) = point.split_once(' ').unwrap_or_default();
        let id = van
            .find(id)
            .filter(|&id| van.component(id).terminal(terminal).is_some());
        id.and_then(|id| {
            van.component(id)
                .terminals
                .iter()
                .find(|t| t.name.as_str() == terminal)
        })
        .map(|t| t.node)
    };
    let path = |id: &str, path: &str| {
        van.find(id)
            .and_then(|id| van.component(id).path(path))
            .map(|path| (Some(path.p), Some(path.n)))
    };
    assert_eq!(
        path("battery", "cells"),
        Some((at("battery pos"), Some(Node::REFERENCE)))
    );
    assert_eq!(
        path("motor-plug", "53e"),
        Some((at("motor-plug 53e"), at("motor 53e")))
    );
    assert_eq!(
        path("bulkhead", "h"),
        Some((at("bulkhead h-engine"), at("bulkhead h-cab")))
    );
    assert_eq!(
        path("cowl-ground", "joint"),
        Some((at("cowl-ground stud"), at("body metal")))
    );
    assert_eq!(
        path("park-contact", "feed"),
        Some((at("motor 53a"), at("motor 53e")))
    );
    assert_eq!(
        path("park-contact", "ground"),
        Some((at("motor 53e"), at("motor 31")))
    );
}

#[test]
fn gates_and_sources_are_those_of_the_kinds() {
    let van = van();
    let gate = |id: &str, name: &str| {
        let component = van.find(id).map(|id| van.component(id));
        component
            .and_then(|component| component.path(name))
            .map(|path| path.gate.clone())
    };
    assert_eq!(
        gate("ignition-switch", "30-75"),
        Some(Gate::Position(vec![1, 2]))
    );
    assert_eq!(
        gate("wiper-switch", "feed"),
        Some(Gate::Always),
        "closed in all positions"
    );
    assert_eq!(gate("wiper-switch", "park"), Some(Gate::Position(vec![0])));
    assert_eq!(gate("wiper-breaker", "contact"), Some(Gate::Untripped));
    assert_eq!(gate("motor-plug", "53"), Some(Gate::Mated));
    assert_eq!(gate("horn", "load"), Some(Gate::Position(vec![1])));
    assert_eq!(
        gate("park-contact", "feed"),
        Some(Gate::Cam { inside: false })
    );
    let motor = van
        .components
        .iter()
        .find(|component| matches!(component.kind, Kind::Motor(_)));
    let arcs = motor.map(|motor| {
        motor
            .paths
            .iter()
            .filter(|path| matches!(path.emf, Emf::PerSpeed(_)))
            .count()
    });
    assert_eq!(arcs, Some(3));
}

#[test]
fn every_shipped_scenario_fits_its_vehicle() {
    let van = van();
    for text in SCENARIOS {
        match read_scenario(text) {
            Ok(scenario) => {
                let findings = check_scenario(&scenario, text, &van);
                assert!(findings.is_empty(), "{}", listed(&findings));
            }
            Err(findings) => panic!("{}", listed(&findings)),
        }
    }
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
            "`resistance_ohm` is -3 here; it must be above 0 and at most 1e6",
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
            "rocker_m = 0.0813",
            "rocker_m = 0.02",
            "[linkage.linkage]",
            Code::BadLinkage,
            "locks",
        ),
        (
            "rocker_m = 0.0813",
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
        ("rocker_m = 0.0813", "rocker_m = 0.02"),
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
    let long = "x".repeat(super::FILE_BYTES_MAX + 1);
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
    let findings = read_scenario(&text).expect_err("the scenario has four mistakes");
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
fn a_pool_that_selects_nothing_is_found() {
    let van = van();
    let pool =
        "pool = [\"motor\", \"horn\", \"hron\", \"motor.low-brush-wron\", \"motor-53.open\"]";
    let text = SCENARIOS[1].replace("pool = [\"motor\", \"wiring\"]", pool);
    let scenario = read_scenario(&text).expect("the pool is well formed");
    let findings = check_scenario(&scenario, &text, &van);
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
    let scenario = read_scenario(&other).expect("only the vehicle differs");
    assert_eq!(
        check_scenario(&scenario, &other, &van)[0].code,
        Code::WrongVehicle
    );
}

/// A text with pieces cut out, doubled, or replaced, at places given as shares of its length.
fn damaged(text: &str, edits: &[(f64, usize, String)]) -> String {
    let mut text = text.to_owned();
    for (share, count, put) in edits {
        let places: Vec<usize> = text.char_indices().map(|(place, _)| place).collect();
        let place = |index: usize| places.get(index).copied().unwrap_or(text.len());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a short text"
        )]
        let start = (share * places.len() as f64) as usize;
        let (start, end) = (place(start), place(start + count));
        text.replace_range(start..end, put);
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_damaged_file_never_panics(
        edits in prop::collection::vec((0.0..1.0, 0_usize..40, "[\\PC\n\u{1b}]{0,6}|= |\\[|\\]|\"|-|nan|[a-z]\\."), 1..4),
        kept in 0.5..1.2,
    ) {
        let text = damaged(VAN, &edits);
        let text = damaged(&text, &[(kept, usize::MAX / 2, String::new())]);
        if let Err(findings) = read_vehicle(&text) {
            prop_assert!(findings.iter().any(|finding| finding.severity == Severity::Error));
            for finding in findings {
                prop_assert!(text.get(finding.span.clone()).is_some() && finding.line >= 1 && finding.column >= 1);
                prop_assert!(!finding.to_string().chars().any(char::is_control), "{:?}", finding);
            }
        }
        let _ = read_scenario(&damaged(SCENARIOS[0], &edits));
    }

    #[test]
    fn arbitrary_text_never_panics(text in "(format = 1\n)?[\\PC\n]{0,200}") {
        prop_assert!(read_vehicle(&text).is_err());
        prop_assert!(read_scenario(&text).is_err());
    }

    #[test]
    fn a_value_put_in_place_of_another_never_panics(
        line in 0_usize..700,
        value in "-?[0-9]{1,20}|1e-?[0-9]{1,3}|-?inf|nan|\"[a-z0-9 .-]{0,9}\"|\\[\\]|\\{ a = 1 \\}|true|1979-05-27",
    ) {
        let lines: Vec<&str> = VAN.lines().collect();
        let edit = |(number, text): (usize, &&str)| match text.split_once(" = ") {
            Some((key, _)) if number == line % lines.len() => format!("{key} = {value}\n"),
            _ => format!("{text}\n"),
        };
        let text: String = lines.iter().enumerate().map(edit).collect();
        if let Ok((vehicle, _)) = read_vehicle(&text) {
            // Whatever is accepted can be solved.
            let setting = crate::vehicle::Setting::at_rest(&vehicle);
            prop_assert!(crate::vehicle::Circuit::new(&vehicle, &setting, &[]).response().is_ok());
            prop_assert!(vehicle.drive_train().is_ok());
        }
    }
}
