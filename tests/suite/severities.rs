//! A fault of any severity that a mode has gives sensible readings and words, with no file edited: at both ends of the
//! range and in the middle, of every kind of failure of every vehicle; and what is beyond an end is refused with the
//! range.

use std::collections::BTreeSet;
use std::sync::Arc;

use groundside_engine::vehicle::{Fault, Vehicle};
use groundside_engine::world::{Errors, Observable, Observation, Quantity, Scale};
use groundside_tests::fleet::vehicles;
use groundside_tests::person::Person;

/// Modes that differ in more than the pin or contact that they are of, by the end of their name, with the ends and the
/// middle of their range.
fn at_ends(sound: &Vehicle) -> Vec<Fault> {
    let mut seen = BTreeSet::new();
    let mut list = Vec::new();
    for (component, mode, data) in sound.faults() {
        let Some(law) = data.severity else { continue };
        let part = sound.component(component);
        let kind = format!("{:?}", part.kind);
        let kind = kind.split(['(', ' ']).next().unwrap_or_default().to_owned();
        let end = data.name.as_str().rsplit('-').next().unwrap_or_default();
        if seen.insert((kind, end.to_owned(), law.min.to_bits(), law.max.to_bits())) {
            let severities = [law.min, law.median(), law.max];
            list.extend(severities.map(|severity| Fault {
                component,
                mode,
                severity: Some(severity),
            }));
        }
    }
    list
}

/// Why what is observed makes no sense; `None` where it does.
fn nonsense(seen: &Observable) -> Option<String> {
    let values = [seen.value, seen.min, seen.max];
    let infinite_ohms = seen.quantity == Quantity::Resistance;
    if values
        .iter()
        .any(|value| value.is_nan() || (value.is_infinite() && !infinite_ohms))
    {
        return Some(format!(
            "{:?} of {}: {values:?}",
            seen.quantity, seen.subject
        ));
    }
    match seen.observe(Errors::NONE) {
        Observation::Perception { word: "", .. } => Some(format!("{:?}: no word", seen.quantity)),
        Observation::Reading { shown: None, .. } => {
            let over = [
                Quantity::Resistance,
                Quantity::DiodeVoltage,
                Quantity::OpensAfter,
            ];
            let of_display = matches!(seen.scale, Scale::Display(_));
            (!over.contains(&seen.quantity) || !of_display).then(|| {
                format!(
                    "{:?} of {}: {values:?} overrange",
                    seen.quantity, seen.subject
                )
            })
        }
        _ => None,
    }
}

#[test]
fn every_severity_from_end_to_end_gives_sensible_readings() {
    for sound in vehicles() {
        let roles = sound.roles().unwrap();
        let key = sound.component(roles.key);
        let wiper = sound.component(roles.wiper);
        let mut wrong = Vec::new();
        for fault in at_ends(&sound) {
            let name = sound.fault_name(&fault);
            assert_eq!(sound.parse_fault(&name), Ok(fault), "{name}");
            let faulty = Arc::new(sound.inject(&fault));
            let mut person = Person::of(faulty, Arc::clone(&sound));
            let id = &sound.component(fault.component).id;
            person.does(&format!("look-at {id}"));
            person.does(&format!("set {} {}", key.id, key.positions()[roles.key_on]));
            for &position in roles.speeds.iter().chain([&roles.off]) {
                person.does(&format!("set {} {}", wiper.id, wiper.positions()[position]));
                for words in ["look blades", "listen", "count"] {
                    let seen = person.does(words).observables;
                    let why = seen.iter().find_map(nonsense);
                    wrong.extend(why.map(|why| format!("{name}, {words}: {why}")));
                }
            }
        }
        assert_eq!(wrong, Vec::<String>::new(), "{}", sound.id);
    }
}

#[test]
fn what_is_beyond_an_end_is_refused_with_the_range() {
    for sound in vehicles() {
        for fault in at_ends(&sound) {
            let law = sound.mode(&fault).severity.unwrap();
            let name = sound.fault_name(&fault);
            let stem = name.split(':').next().unwrap();
            for beyond in [0.99 * law.min, 1.01 * law.max] {
                let told = sound.parse_fault(&format!("{stem}:{beyond}")).unwrap_err();
                let told = told.to_string();
                let range = format!("from {} to {}", law.min, law.max);
                assert!(told.contains(&range), "{stem}:{beyond}: {told}");
            }
        }
    }
}
