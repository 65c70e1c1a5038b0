//! What is done by rule: minutes charged, cautions, how a fault is drawn, what a mark is made of.

use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt, draw, draw_chosen};
use groundside_engine::file::read_scenario;
use groundside_engine::marking::weights;
use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::scenario::{Scenario, Selector};
use groundside_engine::vehicle::{ComponentId, Fault, Mode, Region, Vehicle};
use groundside_engine::world::{Action, Hazard};

use super::Person;
use crate::actions::SCENARIO;
use crate::fleet::scenario_texts;
use crate::ledger::{Known, Ledger, Scope};
use crate::vehicle;

crate::checks![
    minutes_of_a_whole_route,
    cautions_by_the_wiring,
    faults_are_drawn_from_the_pool,
    age_counts_in_brackets,
    shares_of_the_mark,
];

/// A route through the vehicle, with hundredths of a minute added up by hand: way 50, bonnet 50, dash panel off 300
/// and on 200, switch panel 500, meter out 150, reading 80, control 10, helper 20, senses 40, count 100, plug 50, arm
/// 30, nut off 400 and on 500, wetting 50.
const ROUTE: &[(&str, u32)] = &[
    ("set ignition-switch on", 10),
    ("set wiper-switch low", 10),
    ("look blades", 40),
    ("listen", 40),
    ("ammeter", 40),
    ("try horn", 40),
    // Way, panel, meter, reading; the black lead is on the battery's post and stays there.
    ("volts motor.53 battery.neg", 50 + 300 + 150 + 80),
    ("volts motor.31 battery.neg", 80),
    ("clamp motor-strap", 80),
    ("volts battery.pos battery.neg", 50 + 50 + 80),
    ("count", 100),
    // 61 s are 101.67 hundredths, 1 s is 1.67: rounded up.
    ("wait 61", 102),
    ("wait 1", 2),
    ("helper set wiper-switch high", 20),
    ("set wiper-switch off", 50 + 10),
    ("set ignition-switch off", 10),
    ("unplug motor-plug", 50 + 50),
    ("ohms motor.53 motor.31", 80),
    ("plug motor-plug", 50),
    ("loosen crank-nut", 400),
    ("tighten crank-nut", 500),
    ("move left-arm", 50 + 30),
    ("wet-glass", 50),
    ("fit dash-panel", 50 + 200),
    ("go cab", 50),
    ("remove switch-panel", 500),
    // The panel is on again.
    ("repair motor-strap mend", 50 + 300 + 1000),
    ("note nothing of this costs", 0),
];

fn attempt() -> Attempt {
    let sound = vehicle();
    let scenario = read_scenario(SCENARIO).unwrap();
    let chosen = Some(sound.parse_faults("motor-strap.open").unwrap());
    Attempt::start(Assignment {
        sound,
        scenario: Arc::new(scenario),
        seed: Seed(1),
        chosen,
    })
    .unwrap()
}

fn minutes_of_a_whole_route(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "the vehicle file's minutes, added up");
    let mut attempt = attempt();
    let sound = vehicle();
    let mut clock = 0;
    for (words, expected) in ROUTE {
        let action = Action::from_words(words, &sound).unwrap();
        attempt.act(&action).unwrap();
        let taken = attempt.clock().hundredths() - clock;
        clock = attempt.clock().hundredths();
        let what = format_args!("`{words}`, hundredths of a minute");
        ledger.near(what, f64::from(taken), f64::from(*expected), 0.0);
        let world = attempt.bench().now.micros();
        // A hundredth of a minute is 0.6 s.
        let what = format_args!("time in the world after `{words}`, microseconds");
        ledger.holds(what, world == u64::from(clock) * 600_000);
    }
    for refused in ["go under-dash", "plug motor-plug", "clamp motor", "unclip"] {
        let action = Action::from_words(refused, &sound).unwrap();
        ledger.holds(refused, attempt.act(&action).is_err());
        let gone = attempt.clock().hundredths() - clock;
        ledger.near("what is refused costs", f64::from(gone), 0.0, 0.0);
    }
}

fn cautions_by_the_wiring(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "the wiring: 30 hangs on the battery, 15 and 53a on the key at on; the motor on its plug; all on one strap",
    );
    let mut holds = |before: &[&str], words: &str, expected: &[Hazard]| {
        let mut person = Person::new();
        person.does_all(before);
        let found = person.cautions(words);
        let what = format_args!("cautions before `{words}` after {before:?}: {found:?}");
        ledger.holds(what, found == expected);
    };
    let ohms = [Hazard::OhmsOnLiveCircuit];
    let plug = [Hazard::ConnectorUnderSupply];
    let hands = [Hazard::HandsInLiveLinkage];
    // With the key off 30 is live and 15 is not; red and black lead count alike.
    holds(&[], "ohms ignition-switch.30 battery.neg", &ohms);
    holds(&[], "ohms battery.neg ignition-switch.30", &ohms);
    holds(&[], "ohms wiper-switch.15 battery.neg", &[]);
    // What hangs on nothing has no supply: the other lead has.
    let apart = ["unplug motor-plug"];
    holds(&apart, "ohms ignition-switch.30 motor-plug.53", &ohms);
    holds(&apart, "ohms motor-plug.53 ignition-switch.30", &ohms);
    holds(
        &["set ignition-switch acc"],
        "ohms wiper-switch.15 battery.neg",
        &[],
    );
    holds(
        &["set ignition-switch on"],
        "ohms wiper-switch.15 battery.neg",
        &ohms,
    );
    holds(
        &["set ignition-switch on"],
        "volts wiper-switch.15 battery.neg",
        &[],
    );
    // The bulkhead's pin of 30 is live for ever, the motor plug's of 53a with the key at on.
    holds(&[], "unplug bulkhead", &plug);
    holds(&[], "unplug motor-plug", &[]);
    holds(&["set ignition-switch on"], "unplug motor-plug", &plug);
    holds(
        &["set ignition-switch on", "unplug motor-plug"],
        "plug motor-plug",
        &plug,
    );
    // The strap comes off whatever is on, and with it off nothing returns to the battery.
    holds(&["set ignition-switch on"], "unplug battery-strap", &[]);
    let strap = "unplug battery-strap";
    holds(&[strap], "unplug bulkhead", &[]);
    holds(&[strap], "ohms ignition-switch.30 dash-ground.stud", &[]);
    // Except across the battery itself.
    holds(&[strap], "ohms battery.pos battery.neg", &ohms);
    // A motor that hangs on all but its strap is live to the strap's end, whose lug is too stout to be burnt by it.
    let motor_strap = [
        "set ignition-switch on",
        "set wiper-switch low",
        "unplug motor-strap",
    ];
    holds(&motor_strap[..2], "unplug motor-strap", &[]);
    holds(&motor_strap, "plug motor-strap", &[]);
    // The battery has supply of its own, and is charged as it stands.
    holds(&[], "repair battery charge", &[]);
    holds(&["set ignition-switch on", strap], "move left-arm", &[]);
    // Hands at the linkage: the motor can start as long as anything of it is live.
    for words in ["move left-arm", "loosen crank-nut", "feel left-pivot"] {
        holds(&[], words, &[]);
        holds(&["set ignition-switch acc"], words, &[]);
        holds(&["set ignition-switch on"], words, &hands);
        holds(&["set ignition-switch on", "unplug motor-plug"], words, &[]);
    }
    holds(&["set ignition-switch on"], "feel wiper-breaker", &[]);
    let repair = [Hazard::RepairUnderSupply];
    holds(
        &["set ignition-switch on"],
        "repair wiper-breaker replace",
        &repair,
    );
    holds(&[], "repair wiper-breaker replace", &[]);
}

/// Names of what is no fault.
const CONDITIONS: [&str; 4] = ["flat", "iced", "dry", "wrong-blade"];

/// Whether a pool names a fault: by the region of its component, the component, or the fault itself. What is
/// no fault is a region of its own, and needs its weather; a pool that names nothing names all but that.
fn named(scenario: &Scenario, vehicle: &Vehicle, component: ComponentId, mode: &Mode) -> bool {
    let part = vehicle.component(component);
    let name = mode.name.as_str();
    let condition = CONDITIONS.contains(&name);
    if ["iced", "dry"].contains(&name) && !scenario.windscreen.contains(&mode.name) {
        return false;
    }
    let by = |selector: &Selector| match selector {
        Selector::Region(Region::NoFault) => condition,
        Selector::Region(region) => part.region == *region && !condition,
        Selector::Component(id) => part.id == *id,
        Selector::Mode(id, name) => part.id == *id && mode.name == *name,
    };
    (scenario.pool.is_empty() && !condition) || scenario.pool.iter().any(by)
}

fn faults_are_drawn_from_the_pool(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "faults come from one stream and severities from another, whatever the other gives",
    );
    let seeds = match ledger.scope() {
        Scope::Sample => 6,
        Scope::Sweep => 60,
        Scope::Full => 1000,
    };
    let sound = vehicle();
    let faults = sound.faults();
    for text in scenario_texts() {
        let scenario = read_scenario(&text).unwrap();
        let weights: Vec<f64> = faults
            .iter()
            .zip(sound.prior_weights())
            .map(|((component, _, mode), weight)| {
                f64::from(u8::from(named(&scenario, &sound, *component, mode))) * weight
            })
            .collect();
        for seed in (0..seeds).map(Seed) {
            let drawn = draw(&sound, &scenario, seed).unwrap().faults.main;
            let what = format_args!("{}, seed {}", scenario.id, seed.0);
            let place = faults.iter().position(|(component, mode, _)| {
                (*component, *mode) == (drawn.component, drawn.mode)
            });
            let weight = place.map_or(0.0, |place| weights[place]);
            ledger.holds(format_args!("{what}: in its pool"), weight > 0.0);
            // One after the other, until the driver has something to say.
            let mut choice = Stream::new(seed, Purpose::FaultChoice);
            let mut severities = Stream::new(seed, Purpose::Severity);
            let expected = std::iter::repeat_with(|| {
                let (component, mode, data) = &faults[choice.pick(&weights).unwrap()];
                Fault {
                    component: *component,
                    mode: *mode,
                    severity: data.severity.map(|law| law.draw(&mut severities)),
                }
            })
            .take(400)
            .find(|fault| draw_chosen(&sound, &scenario, seed, *fault).is_ok());
            ledger.holds(
                format_args!("{what}: the first that tells"),
                expected == Some(drawn),
            );
        }
    }
}

fn age_counts_in_brackets(ledger: &mut Ledger) {
    ledger.source(
        Known::Practice,
        "new to 2 years, to 7, to 15, older: what fails changes with age",
    );
    let weights = |age_years| {
        let aged = Vehicle {
            age_years,
            ..Vehicle::clone(&vehicle())
        };
        aged.prior_weights()
    };
    for (one, other, alike) in [
        (0, 2, true),
        (2, 3, false),
        (3, 7, true),
        (7, 8, false),
        (8, 15, true),
        (15, 16, false),
        (16, 60, true),
    ] {
        let what = format_args!("{one} and {other} years have the same faults: {alike}");
        ledger.holds(what, (weights(one) == weights(other)) == alike);
    }
}

fn shares_of_the_mark(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "shares of a whole sum to one");
    let shares = [weights::TIME, weights::ORDER, weights::CORRECTNESS];
    ledger.near("shares of the total", shares.iter().sum(), 1.0, 1e-12);
    ledger.near(
        "the best total",
        100.0 * shares.iter().sum::<f64>(),
        100.0,
        1e-9,
    );
    ledger.holds(
        "no share is negative",
        shares.iter().all(|&share| share > 0.0),
    );
    let limits = weights::BANDS.map(|(limit, _)| limit);
    ledger.holds(
        "bands are in order",
        limits.is_sorted_by(|one, other| one > other),
    );
    ledger.near(
        "the last band reaches down to",
        limits[limits.len() - 1],
        0.0,
        0.0,
    );
}
