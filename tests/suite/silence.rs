//! The law of silence: what is permitted, what it costs and where it takes the person is the same
//! whatever is wrong with the vehicle. And records: they replay to the byte, and show every change.

use std::sync::Arc;

use groundside_engine::attempt::{
    Assignment, Attempt, Header, ReplayError, digest, parse, record_lines, replay,
};
use groundside_engine::file::{read_scenario, read_vehicle};
use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::{ComponentId, CoverId, Kind, PlaceId, Point, Vehicle};
use groundside_engine::world::{Action, Measurement, Sense, Verdict, WriteUp};
use proptest::prelude::*;

const VEHICLE: &str = include_str!("../../scenarios/van-case-ground.toml");
const SCENARIO: &str = include_str!("../../scenarios/rain-on-the-quay.toml");

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
    let chosen = fault.map(|fault| sound.parse_fault(fault).unwrap());
    Attempt::start(Assignment {
        sound,
        scenario,
        seed: Seed(seed),
        chosen,
    })
    .unwrap()
}

/// An action made of two random numbers: any verb on anything.
fn action(vehicle: &Vehicle, verb: u32, what: u32) -> Action {
    let what = what as usize;
    let ids: Vec<ComponentId> = vehicle.ids().collect();
    let id = ids[what % ids.len()];
    let points: Vec<Point> = vehicle.points().collect();
    let (red, black) = (
        points[what % points.len()],
        points[(what / 7) % points.len()],
    );
    let controls: Vec<ComponentId> = vehicle.controls().map(|(id, _)| id).collect();
    let control = controls[what % controls.len()];
    let position = (what / 3) % vehicle.component(control).positions().len();
    let nuts: Vec<ComponentId> = vehicle
        .ids()
        .filter(|&id| {
            matches!(
                vehicle.component(id).kind,
                Kind::CrankNut { .. } | Kind::ConnectingLink
            )
        })
        .collect();
    let go = place(vehicle, what % vehicle.layout.places.len());
    let cover = cover(vehicle, what % vehicle.layout.covers.len());
    match verb % 27 {
        0 => Action::Go(go),
        1 => Action::Remove(cover),
        2 => Action::Fit(cover),
        3..=6 => Action::Control {
            component: control,
            position,
            at_mid_glass: what.is_multiple_of(5),
            by_helper: what.is_multiple_of(2),
        },
        7 => Action::Measure {
            what: Measurement::Volts,
            red,
            black,
        },
        8 => Action::Measure {
            what: Measurement::Ohms,
            red,
            black,
        },
        9 => Action::Clamp(id),
        10 => Action::Clip { red, black },
        11 => Action::Unclip,
        12 => Action::Unplug(id),
        13 => Action::Plug(id),
        14 => Action::Sense(
            [
                Sense::LookBlades,
                Sense::Listen,
                Sense::Ammeter,
                Sense::Count,
                Sense::Feel(id),
            ][what % 5],
        ),
        15 => Action::Loosen(nuts[what % nuts.len()]),
        16 => Action::Tighten(nuts[what % nuts.len()]),
        17 => Action::Wait {
            seconds: u32::try_from(what % 90).unwrap(),
        },
        18 => Action::MoveArm(id),
        19 => Action::Assist(id),
        20 | 21 => Action::Repair {
            component: id,
            way: what % 2,
        },
        22 => Action::WetGlass,
        23 => Action::Sense(Sense::LookLinkage),
        24 => Action::Note("as before".to_owned()),
        25 => {
            let faults = vehicle.faults();
            let (component, mode, _) = &faults[what % faults.len()];
            Action::Conclude(Verdict {
                component: *component,
                mode: *mode,
            })
        }
        _ => Action::Sense(Sense::Try(id)),
    }
}

fn place(vehicle: &Vehicle, index: usize) -> PlaceId {
    match Action::from_words(&format!("go {}", vehicle.layout.places[index].id), vehicle).unwrap() {
        Action::Go(place) => place,
        other => panic!("{other:?}"),
    }
}

fn cover(vehicle: &Vehicle, index: usize) -> CoverId {
    match Action::from_words(
        &format!("remove {}", vehicle.layout.covers[index].id),
        vehicle,
    )
    .unwrap()
    {
        Action::Remove(cover) => cover,
        other => panic!("{other:?}"),
    }
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

/// The digest of a thousand readings and more. It may change only together with the readings version,
/// in a commit of its own; the same digest must come out of debug and release builds and of every
/// platform.
#[test]
fn golden_digest_of_readings() {
    let (sound, scenario) = shipped();
    let mut all = String::new();
    let mut readings = 0;
    for seed in 0..20 {
        let assignment = Assignment {
            sound: Arc::clone(&sound),
            scenario: Arc::clone(&scenario),
            seed: Seed(seed),
            chosen: None,
        };
        let mut attempt = Attempt::start(assignment).unwrap();
        let mut stream = Stream::keyed(Seed(seed), Purpose::ReadingError, "golden");
        for _ in 0..110 {
            let mut number = || {
                let share = stream.unit();
                // A whole number below four thousand million, by halving.
                (0..32)
                    .rev()
                    .fold((0_u32, share), |(n, left), bit| {
                        let half = 0.5_f64;
                        if left >= half {
                            (n | 1 << bit, (left - half) * 2.0)
                        } else {
                            (n, left * 2.0)
                        }
                    })
                    .0
            };
            let action = action(&sound, number(), number());
            if let Ok(event) = attempt.act(&action) {
                readings += event.observations.len();
            }
        }
        let header = Header::of(attempt.assignment(), &digest(VEHICLE), &digest(SCENARIO));
        // Without the header: files may be reworded without a reading changing.
        all.extend(
            record_lines(&attempt, &header)
                .unwrap()
                .iter()
                .skip(1)
                .map(|line| line.rsplit_once(",\"chain\"").unwrap().0.to_owned()),
        );
    }
    assert!(readings > 1000, "{readings}");
    insta::assert_snapshot!(digest(&all));
}
