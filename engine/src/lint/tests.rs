//! Mistakes that only a run shows, made in the shipped files one by one.

use super::*;
use crate::file::read_scenario;

const VAN: &str = include_str!("../../../scenarios/van-case-ground.toml");
const HATCH: &str = include_str!("../../../scenarios/hatch-relay.toml");
const QUAY: &str = include_str!("../../../scenarios/rain-on-the-quay.toml");
const SHIPPED: [&str; 5] = [
    VAN,
    HATCH,
    include_str!("../../../scenarios/sedan-reversing.toml"),
    include_str!("../../../scenarios/bus-compound.toml"),
    include_str!("../../../scenarios/bus-compound-rheostat.toml"),
];

/// A text with one place changed.
fn edited(text: &str, from: &str, to: &str) -> String {
    assert_eq!(text.matches(from).count(), 1, "{from}");
    text.replace(from, to)
}

/// That a text has exactly one finding: at the line that begins so, with these words in it.
fn one(findings: &[Finding], text: &str, line: &str, told: &str) {
    let all: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert_eq!(all.len(), 1, "{told}: {all:#?}");
    assert!(all[0].contains(told), "{}", all[0]);
    let at = text.lines().position(|other| other.starts_with(line));
    assert_eq!(Some(findings[0].line), at.map(|at| at + 1), "{}", all[0]);
}

#[test]
fn the_shipped_vehicles_are_without_a_finding() {
    for text in SHIPPED {
        let (vehicle, findings) = lint_vehicle(text);
        let id = vehicle.map(|vehicle| vehicle.id.clone());
        assert_eq!(findings, [], "{id:?}");
    }
}

#[test]
fn each_mistake_that_a_run_shows_is_one_finding_with_its_place() {
    // A shipped vehicle, what is changed, into what, where it is told, and how.
    for (text, from, to, line, told) in [
        (
            VAN,
            "[connector.motor-plug]",
            "[wire.second-53b]\nplace = \"cab\"\nfrom = \"wiper-switch 53b\"\nto = \"motor-plug 53b\"\nlength_m = 1\n\
             section_mm2 = 1\ncolour = \"YE\"\nrepairs = { mend = { minutes = 15, price = 0 } }\n\n[connector.motor-plug]",
            "[connector.motor-plug]",
            "warning [shared-terminal]: motor-plug 53b takes one wire and has motor-53b, second-53b; join",
        ),
        (
            VAN,
            "ultimate_a = 8.5 ",
            "ultimate_a = 3 ",
            "[breaker.wiper-breaker]",
            "error [opens-itself]: wiper-breaker trips with nothing wrong, after",
        ),
        (
            VAN,
            "ultimate_a = 60 ",
            "ultimate_a = 12 ",
            "[fusible-link.fusible-link]",
            "the wipers at `off`, all consumers on; a higher `ultimate_a`",
        ),
        (
            HATCH,
            "rating_a = 15 ",
            "rating_a = 2 ",
            "[fuse.wiper-fuse]",
            "error [opens-itself]: wiper-fuse blows with nothing wrong",
        ),
        (
            VAN,
            "low = { between = [\"15\", \"53\"], closed_in = [\"low\"], resistance_ohm = 0.01 }",
            "low = { between = [\"15\", \"53\"], closed_in = [\"low\"], resistance_ohm = 50 }",
            "[switch.wiper-switch]",
            "error [does-not-wipe]: with nothing wrong the blades do not wipe in every position: low 0.0, high",
        ),
        (
            VAN,
            "centre_deg = 17 ",
            "centre_deg = 120 ",
            "[switch.wiper-switch]",
            "error [does-not-park]: with nothing wrong the blades stop up to",
        ),
        (
            HATCH,
            "works_from_v = 6 ",
            "works_from_v = 50 ",
            "[switch.wiper-switch]",
            "error [does-not-wipe]: with nothing wrong the blades do not wipe at `interval`",
        ),
        (
            HATCH,
            "3.5 A\nrated_v = 12",
            "3.5 A\nrated_v = 60",
            "[pump.",
            "error [not-sound]: with nothing wrong a driver would complain of `no-wash`",
        ),
        (
            VAN,
            "third_brush_deg = 60 ",
            "third_brush_deg = 15 ",
            "[motor.motor]",
            "error [wiping-frequency]: on wet glass the blades wipe at low",
        ),
        (
            VAN,
            "ratio = 60 ",
            "ratio = 42 ",
            "[motor.motor]",
            "warning [wiping-frequency]: on wet glass the blades wipe at low",
        ),
    ] {
        let text = edited(text, from, to);
        one(&lint_vehicle(&text).1, &text, line, told);
    }
}

#[test]
fn a_vehicle_of_one_speed_is_told_of_the_law_and_no_more() {
    let text = edited(
        VAN,
        "positions = [\"off\", \"low\", \"high\"]",
        "positions = [\"off\", \"low\"]",
    );
    let high =
        "high = { between = [\"15\", \"53b\"], closed_in = [\"high\"], resistance_ohm = 0.01 }\n";
    let text = edited(&text, high, "");
    let text = edited(
        &text,
        "[\"off\", \"low\", \"high\"], resistance_ohm",
        "[\"off\", \"low\"], resistance_ohm",
    );
    let findings = lint_vehicle(&text).1;
    one(
        &findings,
        &text,
        "[motor.motor]",
        "warning [wiping-frequency]: on wet glass the blades wipe at low",
    );
    assert!(findings[0].message.contains("571.104 or Regulation"));
}

#[test]
fn what_hangs_in_the_air_is_told_with_what_is_missing() {
    let strap = "from = \"front-ground stud\"\nto = \"battery neg\"";
    let text = edited(
        VAN,
        strap,
        "from = \"front-ground stud\"\nto = \"body metal\"",
    );
    let findings = lint_vehicle(&text).1;
    assert!(
        findings
            .iter()
            .any(|finding| finding.code == Code::MissingGround),
        "{findings:?}"
    );
    let island = "\n[consumer.bell]\nplace = \"cab\"\ncontrol = \"bell\"\nresistance_ohm = 9\nrated_v = 12\n\
                  \n[wire.bell-loop]\nplace = \"cab\"\nfrom = \"bell feed\"\nto = \"bell ground\"\nlength_m = 1\n\
                  section_mm2 = 1\ncolour = \"BK\"\nsupply_side = false\n\
                  repairs = { mend = { minutes = 15, price = 0 } }\n";
    let text = edited(
        VAN,
        "\n[[book]]\ntopic = \"before",
        &format!("{island}\n[[book]]\ntopic = \"before"),
    );
    let findings = lint_vehicle(&text).1;
    assert!(findings.len() == 2, "{findings:?}");
    assert!(
        findings
            .iter()
            .all(|finding| finding.code == Code::FloatingNode)
    );
    assert!(
        findings[0]
            .to_string()
            .contains("in any position; a wire from it"),
        "{}",
        findings[0]
    );
}

/// What would take too long is said to be left out. Each end of a splice is a node.
#[test]
fn a_pool_too_large_to_try_is_said_to_be_so() {
    let ends: Vec<String> = (0..60).map(|n| format!("\"e{n}\"")).collect();
    let repairs = "repairs = { mend = { minutes = 15, price = 0 } }";
    let comb = |n: usize| {
        format!(
            "\n[splice.comb-{n}]\nplace = \"cab\"\nends = [{}]\nresistance_ohm = 0.001\n{repairs}\n\n[wire.to-{n}]\n\
             place = \"cab\"\nfrom = \"ammeter out\"\nto = \"comb-{n} e0\"\nlength_m = 1\nsection_mm2 = 1\n\
             colour = \"BK\"\n{repairs}\n",
            ends.join(", ")
        )
    };
    let combs: String = (0..4).map(comb).collect();
    let text = format!("{VAN}{combs}");
    let (vehicle, findings) = lint_vehicle(&text);
    let told = |findings: &[Finding]| -> Vec<String> {
        let of_it = findings.iter().filter(|it| it.code == Code::NotChecked);
        of_it.map(ToString::to_string).collect()
    };
    assert_eq!(told(&findings), Vec::<String>::new());
    let scenario = read_scenario(QUAY).unwrap();
    let tried = told(&lint_scenario(&scenario, QUAY, &vehicle.unwrap()));
    assert_eq!(tried.len(), 1, "{tried:?}");
    let why = "what the pool brings is not tried: ";
    assert!(
        tried[0].contains(why) && tried[0].contains("would take too long"),
        "{tried:?}"
    );
}

#[test]
fn a_switch_with_too_many_positions_is_said_to_be_left_out() {
    let more: Vec<String> = (0..14).map(|n| format!("\"p{n}\"")).collect();
    let positions = "positions = [\"off\", \"low\", \"high\"]";
    let many = format!(
        "positions = [\"off\", {}, \"low\", \"high\"]",
        more.join(", ")
    );
    let text = edited(VAN, positions, &many);
    one(
        &lint_vehicle(&text).1,
        &text,
        "[switch.wiper-switch]",
        "warning [not-checked]: the vehicle is not run: wiper-switch has 17 positions, more than 16",
    );
}

/// The quay with a pool, and its complaints, all of them or those that begin with a word.
fn quay(pool: &str, complaints: &[&str]) -> String {
    let text = edited(
        QUAY,
        "helper = true",
        &format!("pool = {pool}\nhelper = true"),
    );
    let (head, lines) = text.split_once("[complaints]\n").unwrap();
    let kept = |line: &&str| complaints.iter().any(|word| line.starts_with(word));
    let lines: Vec<&str> = lines.lines().filter(kept).collect();
    format!("{head}[complaints]\n{}\n", lines.join("\n"))
}

fn of_the_van(text: &str) -> Vec<Finding> {
    let vehicle = Arc::new(read_vehicle(VAN).unwrap().0);
    lint_scenario(&read_scenario(text).unwrap(), text, &vehicle)
}

#[test]
fn a_pool_is_held_to_its_complaints() {
    let pins = "[\"motor-plug.53-open\", \"motor-plug.53b-open\"]";
    assert_eq!(of_the_van(&quay(pins, &["no-low", "no-high"])), []);
    // Pool, complaints, where it is told, and how.
    for (pool, complaints, line, told) in [
        (
            pins,
            ["no-low", "no-high", "streaks"].as_slice(),
            "streaks",
            "warning [idle-complaint]: nothing in the pool was found to bring `streaks`; leave",
        ),
        (
            pins,
            &["streaks"],
            "pool",
            "error [idle-pool]: nothing in the pool brings one of the scenario's complaints; it brings no-low, no-high:",
        ),
        (
            pins,
            &["no-low"],
            "pool",
            "warning [idle-pool]: nothing that this selects brings one of the scenario's complaints; it brings no-high:",
        ),
        (
            "[\"radio-ground\"]",
            &["no-low"],
            "pool",
            "error [idle-pool]: nothing in the pool brings one of the scenario's complaints; a pool with faults",
        ),
        (
            "[\"motor-plug.53-open\", \"radio-ground.open\", \"radio-ground.high-resistance\"]",
            &["no-low"],
            "pool",
            "warning [latent-mode]: modes of radio-ground that no driver notices, and that are never drawn: open, high-resistance; name",
        ),
    ] {
        let text = quay(pool, complaints);
        one(&of_the_van(&text), &text, line, told);
    }
}

#[test]
fn two_faults_at_once_want_two_parts() {
    let text = quay(
        "[\"motor-plug.53-open\", \"motor-plug.53b-open\"]",
        &["no-low", "no-high"],
    );
    let text = edited(&text, "helper = true", "faults = 2\nhelper = true");
    let told = "error [idle-pool]: the pool of scenario `rain-on-the-quay` has no second fault";
    one(&of_the_van(&text), &text, "faults", told);
    // Both together bring what neither does alone.
    let text = quay(
        "[\"motor-53.open\", \"motor-53b.open\"]",
        &["no-low", "no-high", "dead"],
    );
    let text = edited(&text, "helper = true", "faults = 2\nhelper = true");
    assert_eq!(of_the_van(&text), []);
}

#[test]
fn a_scenario_for_a_vehicle_without_wipers_cannot_be_played() {
    let bare = "format = 1\n[vehicle]\nid = \"van-case-ground\"\ntitle = \"cart\"\nage_years = 9\nambient_degc = 20\n\
                [place.cab]\n[charges]\nwalk_min = 0\ncontrol_min = 1\nhelper_min = 1\nsense_min = 1\ncount_min = 1\n\
                wet_glass_min = 1\nmeter_out_min = 1\nreading_min = 1\nplug_min = 1\narm_min = 1\nnut_off_min = 1\n\
                nut_on_min = 1\njumper_min = 1\nbattery_test_min = 1\n[battery.battery]\nplace = \"cab\"\n\
                open_circuit_v = 12\ninternal_resistance_ohm = 0.01\nrepairs = { explain = { minutes = 2, price = 0 }, \
                charge = { minutes = 3, price = 0 }, mend = { minutes = 3, price = 0 }, replace = { minutes = 3, price = 1 } }\n\
                [body.body]\nplace = \"cab\"\n[ground-point.ground]\nplace = \"cab\"\nresistance_ohm = 0.001\n\
                repairs = { mend = { minutes = 3, price = 0 } }\n[strap.strap]\nplace = \"cab\"\nfrom = \"ground stud\"\n\
                to = \"battery neg\"\nlength_m = 1\nsection_mm2 = 25\nrepairs = { mend = { minutes = 3, price = 0 } }\n";
    let (vehicle, findings) = lint_vehicle(bare);
    let codes: Vec<Code> = findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::UnconnectedTerminal], "{findings:?}");
    let findings = lint_scenario(&read_scenario(QUAY).unwrap(), QUAY, &vehicle.unwrap());
    let told = "error [cannot-run]: the scenario cannot be played: vehicle `van-case-ground` has no wipers to work";
    one(&findings, QUAY, "vehicle", told);
}
