//! The law of silence: what is permitted, what it costs and where it takes the person is the same
//! whatever is wrong with the vehicle. And records: they replay to the byte, and show every change.

use std::sync::Arc;

use groundside_engine::attempt::{
    Assignment, Attempt, Header, ReplayError, digest, parse, record_lines, replay,
};
use groundside_engine::file::{read_scenario, read_vehicle};
use groundside_engine::random::Seed;
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, WriteUp};
use groundside_tests::VEHICLE;
use groundside_tests::actions::{SCENARIO, action};
use proptest::prelude::*;

/// Faults as unlike each other as the vehicle has.
const FAULTS: [&str; 6] = [
    "wiper-breaker.open",
    "motor-strap.high-resistance:2",
    "motor.low-brush-open",
    "left-pivot.seized",
    "park-contact.stuck-on-feed",
    "worm-gear.stripped",
];

fn shipped() -> (Arc<Vehicle>, Arc<Scenario>) {
    (
        Arc::new(read_vehicle(VEHICLE).unwrap().0),
        Arc::new(read_scenario(SCENARIO).unwrap()),
    )
}

fn attempt(seed: u64, fault: Option<&str>) -> Attempt {
    let (sound, scenario) = shipped();
    let chosen = fault.map(|fault| sound.parse_faults(fault).unwrap());
    Attempt::start(Assignment {
        sound,
        scenario,
        seed: Seed(seed),
        chosen,
    })
    .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn permission_cost_and_place_are_the_same_under_every_fault(
        steps in prop::collection::vec((any::<u32>(), any::<u32>()), 1..40)
    ) {
        let mut attempts: Vec<Attempt> = FAULTS.iter().map(|fault| attempt(7, Some(fault))).collect();
        let (sound, _) = shipped();
        for (verb, what) in steps {
            let action = action(&sound, verb, what);
            let permitted: Vec<_> = attempts.iter().map(|attempt| attempt.permit(&action)).collect();
            for other in &permitted[1..] {
                prop_assert_eq!(other, &permitted[0]);
            }
            let before = attempts[0].clock();
            for (attempt, permitted) in attempts.iter_mut().zip(permitted) {
                if let Ok(permitted) = permitted {
                    let event = attempt.carry_out(&permitted).unwrap();
                    for seen in &event.observations {
                        prop_assert!(!format!("{seen:?}").contains("NaN"), "{:?}", seen);
                    }
                }
            }
            prop_assert!(attempts[0].clock() >= before);
            for other in &attempts[1..] {
                prop_assert_eq!(other.bench(), attempts[0].bench());
                prop_assert_eq!(other.clock(), attempts[0].clock());
            }
        }
    }

    #[test]
    fn every_action_reads_back_from_its_words(verb in any::<u32>(), what in any::<u32>()) {
        let (sound, _) = shipped();
        let action = action(&sound, verb, what);
        // A repair that the component does not have is refused, and has no words.
        let has_words = match &action {
            Action::Repair { component, way } => *way < sound.component(*component).repairs.len(),
            _ => true,
        };
        prop_assume!(has_words);
        let words = action.words(&sound);
        prop_assert_eq!(Action::from_words(&words, &sound), Ok(action), "{}", words);
    }

    #[test]
    fn no_words_panic(words in "[a-z0-9. -]{0,60}") {
        let (sound, _) = shipped();
        let _ = Action::from_words(&words, &sound);
    }
}

fn played() -> (Attempt, Header) {
    let mut attempt = attempt(7, None);
    for words in [
        "set ignition-switch on",
        "set wiper-switch low",
        "look blades",
        "ammeter",
        "volts motor.53 battery.neg",
        "ohms motor.53 motor.31",
        "count",
        "note the crane can be seen again",
        "conclude wiper-breaker.open",
    ] {
        let action = Action::from_words(words, &attempt.assignment().sound).unwrap();
        attempt.act(&action).unwrap();
    }
    attempt.act(&Action::HandOver(WriteUp::default())).unwrap();
    let header = Header::of(attempt.assignment(), &digest(VEHICLE), &digest(SCENARIO));
    (attempt, header)
}

fn text(attempt: &Attempt, header: &Header) -> String {
    let lines = record_lines(attempt, header).unwrap();
    lines.iter().map(|line| format!("{line}\n")).collect()
}

#[test]
fn a_record_replays_to_the_byte() {
    let (attempt, header) = played();
    let record = text(&attempt, &header);
    let parsed = parse(&record).unwrap();
    let again = replay(&parsed, attempt.assignment().clone(), &header).unwrap();
    assert_eq!(again.difference, None);
    assert_eq!(text(&again.attempt, &header), record);
}

#[test]
fn a_record_saved_with_carriage_returns_is_the_same_record() {
    let (attempt, header) = played();
    let record = text(&attempt, &header);
    let saved = parse(&record.replace('\n', "\r\n")).unwrap();
    assert_eq!(saved.lines, parse(&record).unwrap().lines);
    let again = replay(&saved, attempt.assignment().clone(), &header).unwrap();
    assert_eq!(again.difference, None);
}

#[test]
fn a_change_of_any_byte_of_a_record_is_found() {
    let (attempt, header) = played();
    let record = text(&attempt, &header);
    for place in 0..record.len() {
        let mut bytes = record.clone().into_bytes();
        bytes[place] = if bytes[place] == b'5' { b'6' } else { b'5' };
        let changed = String::from_utf8(bytes).unwrap();
        match parse(&changed) {
            Err(error) => assert!(
                error.to_string().starts_with("line "),
                "byte {place}: {error}"
            ),
            // The last line end can only be lost as in a crash, and that is told.
            Ok(parsed) => assert!(parsed.torn, "byte {place} changed and not found"),
        }
    }
}

#[test]
fn a_forged_reading_with_a_fitting_chain_is_found_by_replay() {
    let (attempt, header) = played();
    let record = text(&attempt, &header);
    // Rebuild the whole chain after changing a reading, as a forger would.
    let mut chain = String::new();
    let forged: String = record
        .lines()
        .map(|line| {
            let (body, _) = line.rsplit_once(",\"chain\"").unwrap();
            let body = format!("{body}}}").replace("\"action\":\"count\"", "\"action\":\"listen\"");
            chain = digest(&format!("{chain}{body}"));
            format!(
                "{},\"chain\":\"{chain}\"}}\n",
                body.strip_suffix('}').unwrap()
            )
        })
        .collect();
    let parsed = parse(&forged).unwrap();
    let again = replay(&parsed, attempt.assignment().clone(), &header).unwrap();
    assert_eq!(again.difference.map(|difference| difference.line), Some(8));
}

#[test]
fn a_record_cut_at_any_byte_gives_what_was_whole_or_says_so() {
    let (attempt, header) = played();
    let record = text(&attempt, &header);
    let header_length = record.find('\n').unwrap() + 1;
    for cut in 0..record.len() {
        match parse(&record[..cut]) {
            Ok(parsed) => {
                assert!(cut >= header_length);
                assert_eq!(
                    parsed.actions.len() + 1,
                    record[..cut].matches('\n').count()
                );
                assert_eq!(parsed.torn, !record[..cut].ends_with('\n'));
            }
            Err(error) => assert!(cut < header_length, "cut {cut}: {error}"),
        }
    }
}

#[test]
fn a_record_that_names_what_the_vehicle_has_not_says_the_line() {
    let (attempt, header) = played();
    let mut parsed = parse(&text(&attempt, &header)).unwrap();
    parsed.actions[2] = "volts motor.99 battery.neg".to_owned();
    let error = replay(&parsed, attempt.assignment().clone(), &header).unwrap_err();
    assert!(
        matches!(error, ReplayError::Action { line: 4, .. }),
        "{error}"
    );
}
