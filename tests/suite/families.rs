//! For each family of faults the two or three readings that prove it, through an attempt as a learner makes
//! them, against a calculation by hand that is written beside it.
//!
//! The same data serve all. Battery 12.6 V, 0.015 ohm; feed to the wiper switch 0.060; from there to the motor
//! 0.045; limiter and low brush 0.23; ring between low and common brush 1.2 || 1.2 = 0.6; common brush 0.03;
//! case to battery 0.004: together R = 0.984 ohm in LOW. EMF constant k = 0.0355 V s. Friction at a pivot on wet
//! glass: 7 N x 0.42 m x 0.5 + 0.15 = 1.62 N.m, two of them. The rocker sweeps 112.48 degrees = 1.9631 rad there and
//! back in a turn of the crank, so the mean of rocker over crank speed is 2 x 1.9631 / 2 pi = 0.6249; the worm
//! (60:1, efficiency 0.5) turns a crank torque to a thirtieth; the shaft adds 0.010 N.m and 1e-5 N.m s.
//!
//! A current that swings over a wipe: at constant speed its mean would be the mean torque over k. The motor is
//! slower under load, so in time the mean is higher; by how much, quasi-static and with the load as a sine, is
//! R var(i) / (E - R i), with var(i) = 0.0947 A^2 for the half waves of a sine of amplitude A = pi/2 x mean.
//! The true mean lies between the two (the inertia of the shaft evens the speed out).
//!
//! A reading is held to twice the meter's accuracy (volts 0.5 % + 2 counts, ohms 0.9 % + 2 counts, clamp 2 % +
//! 2 counts of 0.1 A), each accuracy being two standard deviations of its error.

use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::file::read_scenario;
use groundside_engine::random::Seed;
use groundside_engine::scenario::Glass;
use groundside_engine::world::{Action, Observation};
use groundside_tests::{Rig, Wiper, faulty, vehicle};

const SCENARIO: &str = include_str!("../../scenarios/rain-on-the-quay.toml");

/// Resistance from battery to battery in LOW, ohm.
const LOOP: f64 = 0.984;
/// Supply side up to the motor's terminal 53, ohm.
const FEED: f64 = 0.015 + 0.060 + 0.045;

/// What a display showed.
#[derive(Clone, Copy, Debug)]
struct Reading {
    mean: f64,
    min: f64,
    max: f64,
    /// Twice the meter's accuracy at the largest of them.
    error: f64,
}

/// An attempt on a fault, key on.
struct Bay(Attempt);

impl Bay {
    fn new(fault: &str) -> Self {
        let sound = vehicle();
        let chosen = Some(sound.parse_faults(fault).unwrap());
        let scenario = Arc::new(read_scenario(SCENARIO).unwrap());
        let assignment = Assignment {
            sound,
            scenario,
            seed: Seed(7),
            chosen,
        };
        let mut bay = Self(Attempt::start(assignment).unwrap());
        bay.act("set ignition-switch on");
        bay
    }

    fn act(&mut self, words: &str) -> Vec<Observation> {
        let action = Action::from_words(words, &self.0.assignment().sound).unwrap();
        self.0.act(&action).unwrap().observations.clone()
    }

    /// The first display of what an action gives.
    fn read(&mut self, words: &str) -> Reading {
        let (unit, shown, resolution) = self
            .act(words)
            .into_iter()
            .find_map(|seen| match seen {
                Observation::Reading {
                    unit,
                    shown,
                    resolution,
                    ..
                } => Some((unit, shown?, resolution)),
                Observation::Perception { .. } => None,
            })
            .unwrap_or_else(|| panic!("`{words}` shows no number"));
        let [mean, min, max] = shown.map(|shown| shown.value());
        let share = match unit {
            "V" => 0.005,
            "ohm" => 0.009,
            "A" => 0.02,
            other => panic!("`{words}` shows {other}"),
        };
        let error = 2.0 * (share * max.abs().max(min.abs()) + 2.0 * resolution);
        Reading {
            mean,
            min,
            max,
            error,
        }
    }

    /// Volts of a point over the battery's negative post.
    fn volts(&mut self, point: &str) -> Reading {
        self.read(&format!("volts {point} battery.neg"))
    }

    /// Words of what an action lets one perceive.
    fn perceive(&mut self, words: &str) -> Vec<&'static str> {
        let word = |seen| match seen {
            Observation::Perception { word, .. } => Some(word),
            Observation::Reading { .. } => None,
        };
        self.act(words).into_iter().filter_map(word).collect()
    }
}

#[track_caller]
fn shows(what: &str, found: f64, expected: f64, error: f64) {
    between(what, found, expected, expected, error);
}

/// Fails unless `found` is between two values, within an error.
#[track_caller]
fn between(what: &str, found: f64, least: f64, most: f64, error: f64) {
    assert!(
        (least - error..=most + error).contains(&found),
        "{what}: {found} where {least} to {most} +/- {error} is expected"
    );
}

/// Mean current in LOW by hand, amperes, as explained above: at constant speed, and quasi-static. `pivots` is the
/// friction of both pivots in N.m, `added` a resistance in the loop.
fn by_hand(pivots: f64, added: f64) -> (f64, f64) {
    let swinging = pivots * 0.6249 / 30.0 / 0.0355;
    let ohms = LOOP + added;
    // Viscous friction from the speed at a first guess of the current.
    let speed = (12.6 - ohms * (swinging + 0.35)) / 0.0355;
    let steady = (0.010 + 1e-5 * speed) / 0.0355;
    let mean = swinging + steady;
    let amplitude = swinging * std::f64::consts::FRAC_PI_2;
    let variance = 0.0947 * amplitude * amplitude;
    (mean, mean + ohms * variance / (12.6 - ohms * mean))
}

#[test]
fn sound_low_by_hand() {
    // 3.24 N.m x 0.6249 / 30 = 0.06749 N.m; + 0.010 + 0.0029; / 0.0355 = 2.26 A, quasi-static 2.35 A.
    let (least, most) = by_hand(3.24, 0.0);
    shows("at constant speed", least, 2.26, 0.01);
    shows("quasi-static", most, 2.35, 0.01);
}

#[test]
fn breaker_open_has_supply_before_it_and_none_behind() {
    // No current flows, so nothing drops before the break: 12.60 V. Behind it the motor (0.9 ohm) ties the feed to
    // ground against 1 Tohm of the open breaker: 12.6 x 0.9 / 1e12 = 1e-11 V. Over it all 12.60 V; current 0.
    let mut bay = Bay::new("wiper-breaker.open");
    bay.act("set wiper-switch low");
    let [before, behind] = ["wiper-breaker.in", "wiper-breaker.out"].map(|point| bay.volts(point));
    shows("before", before.mean, 12.6, before.error);
    shows("behind", behind.mean, 0.0, behind.error);
    assert!(behind.error < 0.001, "on the smallest range");
    let over = bay.read("volts wiper-breaker.in wiper-breaker.out");
    shows("over", over.mean, 12.6, over.error);
    let amps = bay.read("clamp breaker-switch");
    shows("amps", amps.mean, 0.0, amps.error);
}

#[test]
fn breaker_weak_opens_and_closes_on_a_sound_current() {
    // Ultimate 2 A against 2.3 A in LOW. Closed it drops 0.02 ohm x 1 to 3 A = 0.02 to 0.06 V; open all 12.6 V.
    // In five minutes it does both: it is open for 27 s x ln(1/0.6) = 13.8 s each time, whatever the current. What
    // heats it is the mean square: at constant speed and without a swing 2.265^2 = 5.1 A^2, x = 1.28, a cold trip after
    // 27 s x ln(1.28/0.28) = 40.8 s; quasi-static 2.345^2 + 0.0947 x (pi/2 x 1.90)^2 = 6.3 A^2, x = 1.59, 26.9 s.
    let mut bay = Bay::new("wiper-breaker.weak:2");
    bay.act("set wiper-switch low");
    bay.act("clip wiper-breaker.in wiper-breaker.out");
    let over = bay.read("wait 300");
    between("closed", over.min, 0.0, 0.06, over.error);
    shows("open", over.max, 12.6, over.error);
    bay.act("unclip");
    let heard = bay.perceive("listen");
    assert!(
        heard
            .iter()
            .any(|word| word.contains("motor") || word.contains("note")),
        "{heard:?}"
    );
    let mut rig = Rig::new(&faulty("wiper-breaker.weak:2"), Glass::Wet);
    rig.set(Wiper::Low);
    let trip = rig.seconds_to_click(100.0).unwrap();
    between("trips", trip, 26.9, 40.8, 0.1);
    shows(
        "open for",
        rig.seconds_to_click(100.0).unwrap(),
        13.79,
        0.01,
    );
}

#[test]
fn motor_ground_of_one_ohm_shows_at_the_case_under_load_alone() {
    // Current in LOW by hand 2.25 to 2.45 A; the case stands at 1.004 ohm x i = 2.26 to 2.46 V, nearly all of
    // it over the strap (1.0005 ohm), the rest of the way under 0.01 V. 53 is sound: 12.6 - 0.12 i = 12.32 V. From the
    // same reading the pace: k omega = 12.6 - 1.984 i, in cycles a minute omega / 2 pi (60:1 and 60 s cancel).
    let mut bay = Bay::new("motor-strap.high-resistance:1");
    bay.act("set wiper-switch low");
    let (least, most) = by_hand(3.24, 1.0);
    shows("hand", least, 2.25, 0.01);
    shows("hand", most, 2.45, 0.01);
    let case = bay.volts("motor.31");
    between("case", case.mean, 1.004 * least, 1.004 * most, case.error);
    let strap = bay.read("volts motor.31 cowl-ground.stud");
    between(
        "strap",
        strap.mean,
        1.0005 * least,
        1.0005 * most,
        strap.error,
    );
    let stud = bay.volts("cowl-ground.stud");
    between("stud", stud.mean, 0.0, 0.01, stud.error);
    let supply = bay.volts("motor.53");
    between(
        "53",
        supply.mean,
        12.6 - FEED * most,
        12.6 - FEED * least,
        supply.error,
    );
    let amps = case.mean / 1.004;
    let pace = (12.6 - (LOOP + 1.0) * amps) / 0.0355 / std::f64::consts::TAU;
    let counted = bay.act("count");
    let Some(Observation::Reading {
        shown: Some([counted, ..]),
        ..
    }) = counted.first()
    else {
        panic!("{counted:?}");
    };
    // Whole cycles in a minute, and the case's error of 1 % is one cycle.
    shows("cycles a minute", counted.value(), pace, 2.0);
    bay.act("set wiper-switch off");
    bay.act("wait 10");
    let parked = bay.volts("motor.31");
    shows("case at rest", parked.mean, 0.0, parked.error);
    assert!(parked.error < 0.001);
}

#[test]
fn low_brush_of_five_ohm_has_its_volts_and_does_not_turn() {
    // It stalls: i = 12.6 / 5.984 = 2.106 A turns out 0.0748 N.m, and the load's peak is some 0.0679 x pi/2 + 0.01 =
    // 0.117. The motor's terminals have 12.6 - 0.12 x 2.106 = 12.35 V and 0.004 x 2.106 = 0.0084 V: supply and ground
    // are sound, and a sound motor would take 12.3 / 0.86 = 14 A held like this. At rest, unplugged, leads 0.2 ohm:
    // 53 to 31 5.86 + 0.2 ohm, 53b to 31 0.593 + 0.2, 53 to 53b 5.593 + 0.2: the low brush is in both that are high.
    let mut bay = Bay::new("motor.low-brush-worn:5");
    bay.act("set wiper-switch low");
    bay.act("wait 5");
    let amps = 12.6 / (LOOP + 5.0);
    let supply = bay.volts("motor.53");
    shows("53", supply.mean, 12.6 - FEED * amps, supply.error);
    let case = bay.volts("motor.31");
    shows("31", case.mean, 0.004 * amps, case.error);
    let clamp = bay.read("clamp motor-53");
    shows("amps", clamp.mean, amps, clamp.error);
    bay.act("set ignition-switch off");
    bay.act("unplug motor-plug");
    for (points, ohms) in [
        ("motor.53 motor.31", 0.2 + 5.0 + 0.23 + 0.6 + 0.03),
        ("motor.53b motor.31", 0.2 + 0.03 + 0.8 * 1.6 / 2.4 + 0.03),
        (
            "motor.53 motor.53b",
            0.2 + 5.0 + 0.23 + 0.4 * 2.0 / 2.4 + 0.03,
        ),
    ] {
        let reading = bay.read(&format!("ohms {points}"));
        shows(points, reading.mean, ohms, reading.error);
    }
}

#[test]
fn stiff_pivot_draws_more_than_twice_the_current_through_a_sound_circuit() {
    // 6 N.m more at one pivot: 9.24 N.m x 0.6249 / 30 = 0.1925 N.m; + 0.010 + 0.002; / 0.0355 = 5.76 A, quasi-static
    // 6.7 A, where sound is 2.3. Both sides of the motor are sound at that current: 53 at 12.6 - 0.12 i = 11.8 to
    // 11.9 V, the case at 0.004 i = 0.025 V. Linkage parted, the left arm needs 6.15 N.m (stiff from 1.5), the right
    // one 0.15 (free below 0.7).
    let mut bay = Bay::new("left-pivot.stiff:6");
    bay.act("set wiper-switch low");
    let (least, most) = by_hand(3.24 + 6.0, 0.0);
    shows("hand", least, 5.76, 0.02);
    shows("hand", most, 6.7, 0.05);
    let clamp = bay.read("clamp motor-53");
    between("amps", clamp.mean, least, most, clamp.error);
    let supply = bay.volts("motor.53");
    between(
        "53",
        supply.mean,
        12.6 - FEED * most,
        12.6 - FEED * least,
        supply.error,
    );
    let case = bay.volts("motor.31");
    between("case", case.mean, 0.004 * least, 0.004 * most, case.error);
    bay.act("set ignition-switch off");
    bay.act("loosen crank-nut");
    bay.act("loosen connecting-link");
    let stiff = ["is stiff", "has no play to speak of"];
    assert_eq!(bay.perceive("move left-arm"), stiff);
    let free = ["swings freely", "has no play to speak of"];
    assert_eq!(bay.perceive("move right-arm"), free);
}

#[test]
fn park_contact_stuck_on_the_feed_never_lets_53e_down() {
    // In LOW the switch leaves 53e alone, so it shows the contact: on 53a, no current flows in either, it is at the
    // switch's supply, 12.6 - 0.075 i = 12.42 to 12.43 V in the mean, and with i from 0.9 to some 3.3 A never under
    // 12.35. Sound it falls to the case, 0.004 x i < 0.02 V, once in each of the three wipes of the window.
    let mut bay = Bay::new("park-contact.stuck-on-feed");
    bay.act("set wiper-switch low");
    let (least, most) = by_hand(3.24, 0.0);
    let stuck = bay.volts("motor.53e");
    between(
        "mean",
        stuck.mean,
        12.6 - 0.075 * most,
        12.6 - 0.075 * least,
        stuck.error,
    );
    between("least", stuck.min, 12.6 - 0.075 * 3.3, 12.6, stuck.error);
    // Another fault of the contact, the feed side open: never up. 10 Mohm of the meter hold it against twice 1 Tohm
    // of open contacts: 2 x 12.4 x 1e7 / 1e12 = 0.00025 V at most, and in the dwell it is on the
    // case, 0.004 x 3.3 A; 53a beside it has its 12.4 V.
    let mut bay = Bay::new("park-contact.feed-open");
    bay.act("set wiper-switch low");
    let down = bay.volts("motor.53e");
    between("floating", down.min, 0.0, 0.000_25, 1e-4);
    between("on the case", down.max, 0.0, 0.004 * 3.3, down.error);
    let feed = bay.volts("motor.53a");
    between(
        "53a",
        feed.mean,
        12.6 - 0.075 * most,
        12.6 - 0.075 * least,
        feed.error,
    );
}

#[test]
fn park_contact_open_to_ground_leaves_the_motor_a_generator_in_the_dwell() {
    // Sound, OFF ends with 53e and 53 on the case, 0 V, and the motor stands. With the ground side open the motor runs
    // on at LOW's pace; within the window nothing holds 53e but the motor itself, which no current loads: k omega.
    // It enters at LOW's light-load speed of the dead centre, (12.6 - 0.984 x 1 A) / k = 327 rad/s, and coasts
    // through 28 degrees of crank = 29.3 rad of shaft. Friction there is 0.010 and, with the load's share near the
    // dead centre about 0.3 of its peak 0.107, 0.03 more: 900 rad/s^2, so it leaves at sqrt(327^2 - 2 x 900 x 29.3)
    // = 232 rad/s: 53e falls to 8.2 V and no further. Half of that would be a brake.
    let mut bay = Bay::new("park-contact.ground-open");
    bay.act("set wiper-switch low");
    bay.act("wait 5");
    bay.act("set wiper-switch off");
    assert!(
        bay.perceive("look blades")
            .iter()
            .any(|word| word.contains("pace"))
    );
    let running = bay.volts("motor.53e");
    between("least", running.min, 7.4, 9.0, running.error);
    between("most", running.max, 12.3, 12.6, running.error);
}
