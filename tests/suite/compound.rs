//! The bus with a compound motor, its speed set by steps of a resistor or by a rheostat: its design figures, and what
//! must come out of it by itself when something is wrong. What a design figure is, `figures` says.

use std::sync::Arc;

use groundside_engine::quantity::Angle;
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Field, Kind, Vehicle};
use groundside_tests::{Rig, added, component, near, on_battery, path_of, shipped, with_fault};

/// Positions of the stepped switch.
const OFF: usize = 0;
const LOW: usize = 1;
const MED: usize = 2;
const HIGH: usize = 3;
const SPEEDS: [usize; 3] = [LOW, MED, HIGH];

fn bus() -> Arc<Vehicle> {
    shipped("bus-compound")
}

fn faulty(fault: &str) -> Arc<Vehicle> {
    with_fault(&bus(), fault)
}

fn set(rig: &mut Rig, position: usize) {
    let wiper = rig.vehicle.control("wiper").unwrap();
    rig.trial.set(wiper, position);
}

/// A vehicle that has run in a position for some seconds.
fn running(vehicle: &Arc<Vehicle>, glass: Glass, position: usize, seconds: f64) -> Rig {
    let mut rig = Rig::new(vehicle, glass);
    set(&mut rig, position);
    rig.run(seconds);
    rig
}

/// Turns of the crank in a minute, backward being negative, and mean supply amperes.
fn minute(vehicle: &Arc<Vehicle>, glass: Glass, position: usize) -> (f64, f64) {
    let mut rig = running(vehicle, glass, position, 10.0);
    let supply = rig.amps("wiper-breaker");
    let stretch = rig.watch(60.0, &[supply]);
    (stretch.crank_turns, stretch.followed[0].mean)
}

fn paces(vehicle: &Arc<Vehicle>, glass: Glass) -> [f64; 3] {
    SPEEDS.map(|position| minute(vehicle, glass, position).0)
}

#[track_caller]
fn paces_are(what: &str, vehicle: &Arc<Vehicle>, glass: Glass, expected: [f64; 3]) {
    for (found, expected) in paces(vehicle, glass).into_iter().zip(expected) {
        near(what, found, expected, 0.6);
    }
}

/// After OFF: what the shaft does in the end, turns of the crank from OFF on, amperes in the fourth second, and
/// seconds until the breaker trips, within twenty.
struct AfterOff {
    turns: f64,
    amperes: f64,
    stands: bool,
    trips: Option<f64>,
}

fn after_off(vehicle: &Arc<Vehicle>, glass: Glass, (position, seconds): (usize, f64)) -> AfterOff {
    let mut rig = running(vehicle, glass, position, seconds);
    set(&mut rig, OFF);
    let supply = rig.amps("wiper-breaker");
    let mut later = rig.clone();
    let turns = later.run(3.0).crank_turns;
    let stretch = later.watch(1.0, &[supply]);
    AfterOff {
        turns: turns + stretch.crank_turns,
        amperes: stretch.followed[0].mean,
        stands: stretch.crank_turns == 0.0,
        trips: rig.seconds_to_click(20.0),
    }
}

#[test]
fn speeds_and_currents() {
    // Design figures at 12.6 V, to three and two digits.
    for (glass, expected) in [
        (Glass::Wet, [(39.0, 3.0), (50.4, 2.8), (66.9, 3.3)]),
        (Glass::Dry, [(34.8, 4.0), (42.2, 4.1), (50.3, 4.8)]),
    ] {
        for (position, (cycles, amps)) in SPEEDS.into_iter().zip(expected) {
            let (found, drawn) = minute(&bus(), glass, position);
            let what = format!("{} {position}", glass.word());
            near(&format!("{what}, cycles"), found, cycles, 0.3);
            near(&format!("{what}, A"), drawn, amps, 0.06);
        }
    }
    let charged = on_battery(&bus(), 14.0, 0.015);
    paces_are("14 V", &charged, Glass::Wet, [42.2, 54.9, 74.7]);
}

#[test]
fn a_rheostat_goes_from_low_to_high_by_stops() {
    // None of its 52 ohm in the first position and all of it in the last, so these are the stepped switch's.
    let bus = shipped("bus-compound-rheostat");
    let found: Vec<f64> = (1..=5)
        .map(|position| minute(&bus, Glass::Wet, position).0)
        .collect();
    near("LOW", found[0], 39.0, 0.3);
    near("HIGH", found[4], 66.9, 0.3);
    assert!(found.windows(2).all(|pair| pair[0] < pair[1]), "{found:?}");
    // Open track: beyond the break the shunt has no current, and it races; short of it all is well.
    let open = with_fault(&bus, "wiper-switch.track-2-open");
    near("before", minute(&open, Glass::Wet, 2).0, found[1], 1e-9);
    for position in 3..=5 {
        near("beyond", minute(&open, Glass::Wet, position).0, 77.0, 0.6);
    }
    // A dead spot is one position's alone.
    let dead = with_fault(&bus, "wiper-switch.stop-three-dead");
    near("on it", minute(&dead, Glass::Wet, 3).0, 77.0, 0.6);
    for position in [2, 4] {
        let sound = found[position - 1];
        near(
            "beside it",
            minute(&dead, Glass::Wet, position).0,
            sound,
            1e-9,
        );
    }
    // A worn slider adds to every position, most of all to LOW: 10 ohm there are MED's 9.5.
    let worn = with_fault(&bus, "wiper-switch.slider-worn:10");
    near("worn, LOW", minute(&worn, Glass::Wet, 1).0, 51.0, 0.6);
    near("worn, HIGH", minute(&worn, Glass::Wet, 5).0, 68.0, 1.0);
}

#[test]
fn with_the_crank_nut_undone_it_runs_light_and_does_not_run_away() {
    // Design figures: 44, 63 and 102 turns of the wheel a minute at 1.8, 1.2 and 1.4 A; with the shunt open 136 at
    // 2.1 A, held by friction alone. By hand for LOW: shunt 12.5 V / 8.56 ohm = 1.45 A, 16.7 At; 0.3 A of armature and
    // 0.7 that stay: 17.7, a flux of 0.525 and 0.0441 V s; 12.25 V over that are 278 rad/s, 44 turns a minute.
    let light = |vehicle: &Arc<Vehicle>, position: usize| {
        let mut rig = Rig::new(vehicle, Glass::Wet);
        rig.undo("crank-nut");
        set(&mut rig, position);
        rig.run(5.0);
        let supply = rig.amps("wiper-breaker");
        let amps = rig.watch(5.0, &[supply]).followed[0].mean;
        (
            rig.trial.shaft_speed().revolutions_per_minute() / 60.0,
            amps,
        )
    };
    for (position, turns, amps) in [(LOW, 44.0, 1.8), (MED, 63.0, 1.2), (HIGH, 102.0, 1.4)] {
        let (found, drawn) = light(&bus(), position);
        near("turns", found, turns, 0.6);
        near("A", drawn, amps, 0.06);
    }
    for position in SPEEDS {
        let (found, drawn) = light(&faulty("motor.shunt-field-open"), position);
        near("shunt open, turns", found, 136.0, 1.0);
        near("shunt open, A", drawn, 2.1, 0.05);
    }
}

#[test]
fn a_stalled_motor_pops_its_breaker() {
    // Design figures: 14.8 A and 10.8 s in LOW, 13.8 A and 13.0 s in HIGH. By hand for LOW: the armature's 12.6 V /
    // 0.927 ohm are 13.6 A, the shunt's 1.35 A on top of them, less what both drop together.
    let seized = faulty("left-pivot.seized");
    for (position, amps, seconds) in [(LOW, 14.8, 10.8), (HIGH, 13.8, 13.0)] {
        let mut rig = Rig::new(&seized, Glass::Wet);
        rig.trial.set_crank(Angle::from_degrees(100.0));
        set(&mut rig, position);
        let supply = rig.amps("wiper-breaker");
        let stalled = rig.clone().watch(0.5, &[supply]).followed[0].mean;
        near("A", stalled, amps, 0.06);
        near("s", rig.seconds_to_click(60.0).unwrap(), seconds, 0.1);
    }
}

#[test]
fn it_reverses_into_a_depressed_park() {
    // Design figures: OFF from anywhere, at any speed, on any glass, it stops within -10 to +9 degrees of the dead
    // centre with the eccentric out; at OFF 25 to 31 A for some hundredths of a second (32 on streaming glass). The
    // breaker does not notice.
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for glass in [Glass::Wet, Glass::Dry, Glass::Streaming] {
        for position in SPEEDS {
            for moment in 0..16 {
                let mut rig = running(&bus(), glass, position, 10.0 + 0.1 * f64::from(moment));
                set(&mut rig, OFF);
                let supply = rig.amps("wiper-breaker");
                let surge = rig.clone().watch(0.3, &[supply]).followed[0].max;
                if glass == Glass::Wet {
                    (least, most) = (least.min(surge), most.max(surge));
                }
                let after = rig.watch(0.15, &[]);
                assert_eq!(after.clicks, 0);
                let calm = rig.clone().watch(0.05, &[supply]).followed[0].max;
                assert!(calm < 9.0, "{calm} A a sixth of a second after OFF");
                rig.run(6.0);
                assert!(rig.run(10.0).crank_turns == 0.0, "it stops");
                let past = rig.past_dead_centre();
                assert!((-11.0..=9.5).contains(&past), "{}: {past}", glass.word());
                assert!(rig.trial.eccentric_out().degrees() > 140.0);
                assert!(rig.trial.cam_inside() && rig.trial.off_rest_mm() < 16.0);
            }
        }
    }
    near("least surge", least, 25.0, 1.0);
    near("largest surge", most, 31.0, 1.0);
}

#[test]
fn the_blades_rest_below_the_wipe() {
    // Design figure: 61 mm at the tip where it stops at the dead centre. Rocker angles by hand, by the law of cosines
    // at the stretched-out dead centre, with the throw of 67 mm and with twice the eccentric's 3.15 mm more.
    let rocker = |crank: f64| {
        let (reach, rocker, frame) = (0.30 + crank, 0.095_f64, 0.31_f64);
        ((rocker * rocker + frame * frame - reach * reach) / (2.0 * rocker * frame)).acos()
    };
    near(
        "mm below",
        650.0 * (rocker(0.0733) - rocker(0.067)),
        61.0,
        1.0,
    );
    let drive = bus().drive_train().unwrap().unwrap();
    let wipe = drive.linkage.pose(drive.linkage.extended_dead_centre());
    let rest = drive.pose(drive.park(), drive.parked());
    let below = (wipe.rocker_angle() - rest.rocker_angle()).radians().abs();
    near("engine, mm below", 650.0 * below, 61.0, 1.0);
}

#[test]
fn with_the_shunt_open_it_is_fast_at_every_setting_and_does_not_park() {
    // Design figures: 77 cycles a minute wet and 54 dry at every setting; at OFF it runs on forward, slows down, stalls
    // at 19 A and pops the breaker.
    let open = faulty("motor.shunt-field-open");
    paces_are("wet", &open, Glass::Wet, [77.0; 3]);
    paces_are("dry", &open, Glass::Dry, [54.0; 3]);
    for start in [(LOW, 10.0), (LOW, 10.7), (HIGH, 10.0)] {
        let after = after_off(&open, Glass::Wet, start);
        assert!(after.turns > 0.1, "it runs on forward: {}", after.turns);
        near("A", after.amperes, 18.5, 1.0);
        assert!(after.trips.is_some());
    }
}

#[test]
fn with_the_ground_of_e2_open_it_is_fast_but_parks() {
    // Design figure: as with the shunt open in LOW, MED and HIGH; at OFF the field comes through the tie.
    let open = faulty("wiper-switch.e2-ground-open");
    paces_are("wet", &open, Glass::Wet, [77.0; 3]);
    for start in [(LOW, 10.0), (HIGH, 10.4)] {
        let mut rig = running(&open, Glass::Wet, start.0, start.1);
        set(&mut rig, OFF);
        rig.run(8.0);
        assert!(rig.trial.eccentric_out().degrees() > 140.0 && rig.trial.cam_inside());
        assert!(rig.run(10.0).crank_turns == 0.0);
    }
}

#[test]
fn with_series_or_case_open_nothing_runs_but_the_shunt_draws() {
    // Design figure: the ammeter shows the shunt's 1.4 A in LOW. By hand 12.6 V over 8.5 ohm of winding and 0.19 around
    // it; in HIGH 52 ohm more.
    for fault in ["motor.series-field-open", "motor-strap.open"] {
        let (turns, amps) = minute(&faulty(fault), Glass::Wet, LOW);
        assert!(turns == 0.0);
        near(fault, amps, 12.6 / 8.69, 0.01);
        let (_, amps) = minute(&faulty(fault), Glass::Wet, HIGH);
        near(fault, amps, 12.6 / 60.7, 0.01);
    }
}

#[test]
fn with_the_feed_of_53a_open_it_stops_where_it_is() {
    for fault in [
        "loom-53a.open",
        "wiper-switch.feed-open",
        "park-contact.feed-open",
    ] {
        let after = after_off(&faulty(fault), Glass::Wet, (HIGH, 10.0));
        assert!(after.stands && after.turns < 0.4 && after.trips.is_none());
        near(fault, after.amperes, 0.0, 1e-6);
    }
}

#[test]
fn without_a_field_in_park_it_stalls_and_pops_the_breaker() {
    // Design figure: tie of D1 to E2 or ground of E1 open, or the series field open at OFF: it does not reverse, but
    // stalls short of park at 19 A and pops the breaker in about 6 s.
    for fault in ["wiper-switch.tie-open", "wiper-switch.e1-ground-open"] {
        for start in [(LOW, 10.0), (LOW, 10.7), (HIGH, 10.3)] {
            let after = after_off(&faulty(fault), Glass::Wet, start);
            assert!(after.turns > 0.1, "{fault}: {}", after.turns);
            assert!(after.stands, "{fault}");
            near(fault, after.amperes, 18.9, 0.1);
            near(fault, after.trips.unwrap(), 6.5, 1.0);
        }
    }
    let open = faulty("motor.series-field-open");
    let mut rig = Rig::new(&open, Glass::Wet);
    rig.trial.set_crank(Angle::from_degrees(100.0));
    let supply = rig.amps("wiper-breaker");
    let stalled = rig.watch(1.0, &[supply]).followed[0].mean;
    near("series open, A", stalled, 18.9, 0.1);
    near(
        "series open, s",
        rig.seconds_to_click(20.0).unwrap(),
        6.0,
        1.0,
    );
}

#[test]
fn crossed_shunt_leads_run_low_backward_and_race() {
    // Design figure: E1 and E2 crossed by a repair: LOW runs backward, the other settings race at high current.
    let crossed = faulty("motor-connector.e1-e2-crossed");
    let (turns, _) = minute(&crossed, Glass::Wet, LOW);
    // The crank turns backward: by the sign of the shaft.
    let rig = running(&crossed, Glass::Wet, LOW, 10.0);
    assert!(rig.trial.shaft_speed().radians_per_second() < 0.0);
    near("LOW", turns.abs(), 41.7, 2.0);
    for position in [MED, HIGH] {
        let rig = running(&crossed, Glass::Wet, position, 3.0);
        let supply = rig.amps("wiper-breaker");
        let amps = rig.clone().watch(3.0, &[supply]).followed[0].mean;
        assert!(amps > 5.0, "{position}: {amps}");
        let speed = rig.trial.shaft_speed().radians_per_second();
        assert!(speed > 400.0, "{position}: {speed}");
    }
    assert_eq!(
        faulty("motor-connector.d1-53a-crossed").faults().len(),
        bus().faults().len()
    );
}

#[test]
fn resistance_in_the_ground_of_the_case() {
    // Design figures, wet: LOW 36, 34, 28 and HIGH 57, 46, 24 cycles a minute.
    for (ohms, low, high) in [(0.5, 36.0, 57.0), (1.0, 34.0, 46.0), (2.0, 28.0, 24.0)] {
        let resisting = added(&bus(), "motor-strap", ohms);
        near("LOW", minute(&resisting, Glass::Wet, LOW).0, low, 0.6);
        near("HIGH", minute(&resisting, Glass::Wet, HIGH).0, high, 0.6);
    }
}

#[test]
fn a_warm_shunt_is_weaker() {
    // Design figure: windings of 1.25 times the resistance raise LOW from 39 to 42 cycles a minute. Copper is so at
    // 84 degrees.
    let mut warm = Vehicle::clone(&bus());
    let (motor, shunt) = path_of(&warm, "motor shunt-field");
    let path = &mut warm.components[motor.index()].paths[shunt];
    path.resistance = path.resistance * 1.25;
    near("LOW", minute(&Arc::new(warm), Glass::Wet, LOW).0, 42.0, 0.6);
}

#[test]
fn shorted_turns_of_a_field_weaken_it() {
    // A shunt of half its turns has half the ohms, twice the amperes and the same ampere turns while the supply stands:
    // LOW goes as it went, but draws twice the shunt's current more.
    let half = faulty("motor.shunt-field-shorted:0.5");
    let ((sound, drawn), (pace, more)) = (
        minute(&bus(), Glass::Wet, LOW),
        minute(&half, Glass::Wet, LOW),
    );
    near("LOW", pace, sound, 1.5);
    near("A more", more - drawn, 1.45, 0.15);
    // In HIGH the resistor holds the current down, and half the turns are half the field.
    let (high, faster) = (
        minute(&bus(), Glass::Wet, HIGH).0,
        minute(&half, Glass::Wet, HIGH).0,
    );
    assert!(faster > high + 2.0, "{high} and {faster}");
    // Half a series field: a lighter machine, faster under load.
    let series = faulty("motor.series-field-shorted:0.5");
    assert!(minute(&series, Glass::Wet, HIGH).0 > high + 5.0);
}

#[test]
fn a_dry_bearing_slows_it_with_the_linkage_off_too() {
    let dry = faulty("motor.bearing-dry:0.06");
    let (pace, amps) = minute(&dry, Glass::Wet, LOW);
    assert!(pace < 36.0 && amps > 3.5, "{pace}, {amps}");
    let mut rig = Rig::new(&dry, Glass::Wet);
    rig.undo("crank-nut");
    set(&mut rig, LOW);
    rig.run(5.0);
    let supply = rig.amps("wiper-breaker");
    // Alone it has friction seven times its own to turn: 0.069 N.m over 0.045 V s and the shunt's 1.45 A.
    near("A", rig.watch(1.0, &[supply]).followed[0].mean, 3.0, 0.15);
    let seized = faulty("motor.bearing-seized");
    assert!(running(&seized, Glass::Wet, LOW, 1.0).run(1.0).crank_turns == 0.0);
}

#[test]
fn steps_four_times_shorter_come_out_alike() {
    // Where OFF comes at the same moment of a wipe, the stop does not hang on how time was cut up before it.
    let stop = |cuts: u32| {
        let mut rig = running(&bus(), Glass::Wet, HIGH, 10.0);
        set(&mut rig, OFF);
        for _ in 0..cuts {
            rig.run(3.0 / f64::from(cuts));
        }
        rig.past_dead_centre()
    };
    let (whole, cut) = (stop(1), stop(3000));
    near("stop, degrees", whole, cut, 0.02);
}

#[test]
fn the_field_of_the_file_is_the_field_of_the_vehicle() {
    let bus = bus();
    let Kind::Motor(data) = bus.component(component(&bus, "motor")).kind else {
        panic!("a motor");
    };
    let Field::Wound(field) = data.field else {
        panic!("a wound field");
    };
    near("flux at 16 At", field.flux(16.0), 0.5, 1e-12);
    assert!(data.third_brush.is_none());
}
