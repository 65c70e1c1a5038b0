//! The shipped files; mistakes made in them ([`mistakes`]); arbitrary damage to them ([`damage`]); what is declared of
//! them ([`declared`]).

mod damage;
pub(super) mod declared;
mod mistakes;

use super::{Finding, check_scenario, read_scenario, read_vehicle};
use crate::scenario::Scenario;
use crate::vehicle::{Circuit, Emf, Gate, Kind, Node, Setting, Vehicle};

const VAN: &str = include_str!("../../../../scenarios/van-case-ground.toml");
const SCENARIOS: [&str; 4] = [
    include_str!("../../../../scenarios/rain-on-the-quay.toml"),
    include_str!("../../../../scenarios/last-boat-out.toml"),
    include_str!("../../../../scenarios/stiff-morning.toml"),
    include_str!("../../../../scenarios/frost-on-the-slip.toml"),
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

/// Reads a scenario that has no mistakes in itself.
fn scenario(text: &str) -> Scenario {
    read_scenario(text).unwrap_or_else(|findings| panic!("{}", listed(&findings)))
}

fn listed(findings: &[Finding]) -> String {
    findings
        .iter()
        .map(|finding| format!("{finding}\n"))
        .collect()
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
        (
            &[("battery", "pos"), ("battery", "cells"), ("battery", "neg")],
            0.015,
        ),
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
fn a_pin_that_says_nothing_of_its_resistance_is_a_clean_one() {
    let said = VAN
        .lines()
        .find(|line| line.starts_with("pin_resistance_ohm"));
    let silent = VAN.replacen(said.unwrap_or_default(), "", 1);
    let changed = match read_vehicle(&silent) {
        Ok((changed, _warnings)) => changed,
        Err(findings) => panic!("{}", listed(&findings)),
    };
    // MIL-DTL-26482 (quoted by others): contacts of size 14 below 20 milliohms.
    let pin = ohms(&changed, &[("bulkhead", "30")]);
    assert!(pin > 0.0 && pin < 0.02, "{pin}");
    let as_shipped = ohms(&van(), &[("bulkhead", "30")]);
    assert!((pin - as_shipped).abs() > 1e-6, "the file still says it");
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
        Some((at("battery pos-post"), at("battery neg-post")))
    );
    assert_eq!(
        path("battery", "neg"),
        Some((Some(Node::REFERENCE), at("battery neg-post")))
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
        let findings = check_scenario(&scenario(text), text, &van);
        assert!(findings.is_empty(), "{}", listed(&findings));
    }
}

/// Current of the supply with the motor held, at a position of the wiper switch: design figures of this
/// vehicle, from its resistances in series and parallel.
#[test]
fn the_shipped_motor_draws_its_stall_current() {
    let van = van();
    let at = |id: &str| van.find(id).map(|id| id.index()).unwrap_or_default();
    for (position, expected) in [(1, 12.8), (2, 17.6)] {
        let mut setting = Setting::at_rest(&van);
        setting.positions[at("ignition-switch")] = 2;
        setting.positions[at("wiper-switch")] = position;
        let response = Circuit::new(&van, &setting, &[])
            .response()
            .unwrap_or_else(|error| panic!("{error}"));
        let shunt = van
            .find("ammeter")
            .and_then(|id| response.element_of(id, 0));
        let amperes = shunt.map(|shunt| response.current(shunt).at_rest);
        assert!(
            amperes.is_some_and(|amperes| (amperes - expected).abs() < 0.05),
            "{position}: {amperes:?}"
        );
    }
}
