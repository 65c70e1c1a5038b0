//! Every key that is declared is read, and every key that is read is declared ([`super::super::keys`]).

use std::cell::RefCell;

use super::{SCENARIOS, VAN, listed};
use crate::file::keys::{self, FileKind, Key, Needed, Table};
use crate::file::kind::KindWord;
use crate::file::{Code, Severity, electrical, read_scenario, read_vehicle, switching};
use crate::vehicle::{Field, Kind};

thread_local! {
    /// Names of tables that have been read to their end, of which [`super::super::section::Section::close`] has held that all declared
    /// keys were asked for.
    static CLOSED: RefCell<Vec<&'static str>> = const { RefCell::new(Vec::new()) };
}

/// Notes a table that has been read to its end.
pub(in crate::file) fn closed(table: &'static Table) {
    CLOSED.with_borrow_mut(|closed| {
        if !closed.contains(&table.name) {
            closed.push(table.name);
        }
    });
}

const VEHICLES: [&str; 5] = [
    VAN,
    include_str!("../../../../scenarios/hatch-relay.toml"),
    include_str!("../../../../scenarios/bus-compound.toml"),
    include_str!("../../../../scenarios/bus-compound-rheostat.toml"),
    include_str!("../../../../scenarios/sedan-reversing.toml"),
];

/// Reading the shipped files comes by every table that is declared; that each then asks for all its keys and for no other
/// is asserted where they are read.
#[test]
fn every_declared_table_is_read_whole() {
    for text in VEHICLES {
        let (_, findings) =
            read_vehicle(text).unwrap_or_else(|findings| panic!("{}", listed(&findings)));
        assert!(
            findings
                .iter()
                .all(|finding| finding.severity == Severity::Warning)
        );
    }
    for text in SCENARIOS {
        assert!(read_scenario(text).is_ok());
    }
    let closed = CLOSED.with_borrow(Clone::clone);
    let mut unread = Vec::new();
    for file in [FileKind::Vehicle, FileKind::Scenario] {
        for table in keys::tables(file.table()) {
            if !closed.contains(&table.name) {
                unread.push(table.name);
            }
        }
    }
    assert_eq!(unread, Vec::<&str>::new(), "no shipped file has these");
}

/// A file with a key of the table under a header set to a value, or without it.
fn with(text: &str, head: &str, key: &str, value: Option<&str>) -> String {
    let (before, after) = text.split_once(&format!("\n{head}\n")).unwrap();
    let (own, rest) = after.split_once("\n[").unwrap();
    let is_it = |line: &&str| line.split(" = ").next() == Some(key);
    let kept: String = own
        .lines()
        .filter(|line| !is_it(line))
        .map(|line| format!("{line}\n"))
        .collect();
    let set = value.map_or(String::new(), |value| format!("{key} = {value}\n"));
    format!("{before}\n{head}\n{set}{kept}\n[{rest}")
}

/// What a key is said to stand for when it is left out is what is read then.
#[test]
fn keys_that_are_left_out_stand_for_what_is_declared() {
    let of_vehicle = [
        (VAN, "[wire.motor-53]", &keys::wire::SUPPLY_SIDE, "true"),
        (VAN, "[motor.motor]", &keys::motor::INSULATED, "false"),
        (VAN, "[motor.motor]", &keys::motor::COILS, "12"),
        (
            VAN,
            "[connector.bulkhead]",
            &keys::connector_in_loom::PIN_RESISTANCE_OHM,
            "0.005",
        ),
        (VAN, "[cover.bonnet-lid]", &keys::cover::TAKES_ARMS, "false"),
        (VAN, "[connector.bulkhead]", &keys::common::CRUST, "0"),
        (
            VAN,
            "[connector.bulkhead]",
            &keys::common::EXPOSURE,
            "\"covered\"",
        ),
        (
            VAN,
            "[connector.bulkhead]",
            &keys::common::WORKED_ON,
            "false",
        ),
        (
            VAN,
            "[connector.bulkhead]",
            &keys::common::TITLE,
            "\"bulkhead\"",
        ),
        (
            VAN,
            "[connector.bulkhead]",
            &keys::common::REGION,
            "\"wiring\"",
        ),
    ];
    for (text, head, key, value) in of_vehicle {
        let [said, unsaid] = [Some(value), None].map(|value| {
            let (vehicle, _) = read_vehicle(&with(text, head, key.name, value)).unwrap();
            vehicle
        });
        assert_eq!(said, unsaid, "{}", key.name);
        says(key, value);
    }
    let of_scenario = [
        (&keys::scenario_table::RAIN, "false"),
        (&keys::scenario_table::FAULTS, "1"),
    ];
    for (key, value) in of_scenario {
        let [said, unsaid] = [Some(value), None]
            .map(|value| super::scenario(&with(SCENARIOS[0], "[scenario]", key.name, value)));
        assert_eq!(said, unsaid, "{}", key.name);
        says(key, value);
    }
}

/// The declaration's words name the value, where it is not what words alone can say.
fn says(key: &Key, value: &str) {
    let Needed::LeftOut(words) = key.needed else {
        panic!("{} is not left out", key.name);
    };
    let value = value.trim_matches('"');
    let in_words = ["its id", "that of its kind"]
        .iter()
        .any(|said| words.starts_with(said));
    assert!(in_words || words.contains(value), "{}: {words}", key.name);
}

#[test]
fn a_key_that_makes_it_another_table_is_offered() {
    let text = VAN.replace("mates = \"motor\"", "mate = \"motor\"");
    let findings = read_vehicle(&text).unwrap_err();
    assert!(
        listed(&findings).contains("did you mean `mates`?"),
        "{}",
        listed(&findings)
    );
}

#[test]
fn what_a_mistake_leaves_unread_is_no_unknown_key() {
    let rheostat = VEHICLES[3];
    let at = rheostat
        .find("\nrheostat")
        .or_else(|| rheostat.find(".rheostat]"));
    assert!(at.is_some(), "the rheostat is elsewhere");
    let text = rheostat.replace("positions = [\"off\"", "positions = [\"Off\"");
    let findings = read_vehicle(&text).unwrap_err();
    assert!(findings.iter().any(|finding| finding.code == Code::BadName));
    assert!(
        findings
            .iter()
            .all(|finding| finding.code != Code::UnknownKey),
        "{}",
        listed(&findings)
    );
}

/// The terminals and repairs that the guide names are those that shipped components have and need.
#[test]
fn terminals_and_repairs_are_those_of_the_kinds() {
    for text in VEHICLES {
        let (vehicle, _) = read_vehicle(text).unwrap();
        for component in &vehicle.components {
            let kind = text.lines().find_map(|line| {
                let path = line.strip_prefix('[')?.split(']').next()?;
                let (kind, id) = path.split_once('.')?;
                let kind = KindWord::ALL
                    .into_iter()
                    .find(|known| known.word() == kind)?;
                (id == component.id.as_str()).then_some(kind)
            });
            let tables = kind.unwrap().tables();
            let fits = |table: &&&Table| {
                let built_in = component.terminals.is_empty();
                let mark = table.marked_by.map(|mark| mark.name);
                match (&component.kind, mark) {
                    (Kind::Motor(data), Some(_)) => matches!(data.field, Field::Wound(_)),
                    (Kind::Connector { mates }, Some(_)) => mates.is_some(),
                    (_, Some(_)) => built_in,
                    _ => true,
                }
            };
            let table = tables.iter().find(fits).unwrap();
            let listed = ["as `", "`PIN-", "its pins", "those of"]
                .iter()
                .any(|own| table.terminals.starts_with(own));
            for terminal in component.terminals.iter().filter(|_| !listed) {
                let named = table.terminals.contains(&format!("`{}`", terminal.name));
                let extra = table.terminals.contains("extra") && terminal.name.as_str().len() == 3;
                assert!(named || extra, "{} {}", component.id, terminal.name);
            }
            for cure in component.modes().iter().flat_map(|mode| &mode.cures) {
                assert!(
                    table.repairs.contains(&cure.as_str()),
                    "{} {cure}",
                    component.id
                );
            }
            for repair in table.repairs {
                let cures = component
                    .modes()
                    .iter()
                    .any(|mode| mode.cures.iter().any(|cure| cure.as_str() == *repair));
                assert!(cures, "nothing of {} is cured by {repair}", component.id);
            }
        }
    }
}

/// Figures that stand in the words of a declaration are those of the code.
#[test]
fn figures_in_words_are_those_of_the_code() {
    let mut cases: Vec<(&str, String)> = keys::GLASSES
        .map(|glass| {
            (
                keys::scenario_table::GLASS.says,
                format!("{:.1} on `{}`", glass.friction(), glass.word()),
            )
        })
        .into();
    let battery = keys::battery::INTERNAL_RESISTANCE_OHM.says;
    cases.push((battery, format!("{} ohm", electrical::CLAMP_OHM)));
    let diode = format!(
        "{} V and {} ohm",
        switching::FORWARD_V,
        switching::FORWARD_OHM
    );
    cases.push((keys::diode::TABLE.says, diode));
    let Needed::LeftOut(pin) = keys::connector_in_loom::PIN_RESISTANCE_OHM.needed else {
        panic!("a pin's resistance may be left out");
    };
    cases.push((pin, format!("{} ohm", electrical::PIN_OHM)));
    let percent = 100.0 * crate::machines::COPPER_COEFFICIENT;
    cases.push((keys::header::AMBIENT_DEGC.says, format!("{percent} %")));
    for (words, figure) in cases {
        assert!(words.contains(&figure), "{figure}: {words}");
    }
}
