//! The design figures of the shipped vehicle: paces, currents, voltages, trips and stops that must come
//! out of circuit and machine. A design figure was computed apart from the engine, by another program
//! with other steps, and is given to two digits; no publication stands behind it. What can be worked out
//! by hand is, beside the figure.
//!
//! Tolerances, where no other is stated: a pace half a cycle a minute or 2 %, a current or a voltage 3 %,
//! which is the rounding of a figure of two digits. Near a stall, where a tenth of an ohm more stops the
//! motor, paces are held to two to three and a half cycles a minute and the case to 4.5 %.

use std::sync::Arc;

use groundside_engine::machines::meets_us_rule;
use groundside_engine::quantity::{Angle, Interval, Resistance, Voltage};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, Conditions, Observable, Quantity, Trial, World};
use groundside_tests::{Rig, Wiper, drive_train, faulty, minute, near, vehicle, with_battery};

const NEGATIVE: &str = "battery neg";

/// A pace of the figures.
#[track_caller]
fn pace(what: &str, found: f64, expected: f64) {
    near(what, found, expected, 0.5_f64.max(0.02 * expected));
}

/// A current or voltage of the figures, given to two digits.
#[track_caller]
fn amount(what: &str, found: f64, expected: f64) {
    near(what, found, expected, 0.03 * expected);
}

/// Pace and supply current of a vehicle in LOW and in HIGH.
fn low_high(vehicle: &Arc<Vehicle>, glass: Glass) -> [(f64, f64); 2] {
    [Wiper::Low, Wiper::High].map(|wiper| {
        let (pace, amps, _) = minute(vehicle, glass, wiper, &[]);
        (pace, amps)
    })
}

#[track_caller]
fn paces(what: &str, vehicle: &Arc<Vehicle>, glass: Glass, expected: [f64; 2]) {
    for ((found, _), expected) in low_high(vehicle, glass).into_iter().zip(expected) {
        pace(what, found, expected);
    }
}

#[test]
fn sound_wipers_on_wet_and_dry_glass() {
    // Design figures: 46.3 and 67.9 a minute at 2.3 and 3.5 A, dry 38.2 and 54.8 at 4.1 and 6.2 A.
    for (glass, expected) in [
        (Glass::Wet, [(46.3, 2.3), (67.9, 3.5)]),
        (Glass::Dry, [(38.2, 4.1), (54.8, 6.2)]),
    ] {
        let found = low_high(&vehicle(), glass);
        for ((found_pace, found_amps), (expected_pace, expected_amps)) in
            found.into_iter().zip(expected)
        {
            // These are given to three digits and met to 0.3.
            near(glass.word(), found_pace, expected_pace, 0.3);
            amount(glass.word(), found_amps, expected_amps);
        }
    }
    // With the engine running, 14 V: 52.6 and 77.2.
    for ((found, _), expected) in low_high(&with_battery(14.0, 0.015), Glass::Wet)
        .into_iter()
        .zip([52.6, 77.2])
    {
        near("14 V", found, expected, 0.3);
    }
}

#[test]
fn sound_wipers_satisfy_the_us_rule_even_on_dry_glass() {
    // Design figure; the rules themselves are for wet glass, and are held there against the published ones.
    let [(low, _), (high, _)] = low_high(&vehicle(), Glass::Dry);
    assert!(meets_us_rule(&[low, high]), "dry: {low}, {high}");
}

#[test]
fn with_the_crank_nut_undone_the_motor_runs_light() {
    // Design figures: 54.8 and 81.6 turns of the wheel a minute, 0.4 and 0.6 A. By hand for LOW: the
    // current carries Coulomb friction 0.010 N.m and viscous 1e-5 x 344 rad/s, so i = 0.01344 / 0.0355 =
    // 0.379 A; resistance from battery to case and back 0.984 ohm, so speed = (12.6 - 0.373) / 0.0355 = 344.4
    // rad/s, 54.8 turns a minute through 60:1.
    for (wiper, turns, amps) in [(Wiper::Low, 54.8, 0.379), (Wiper::High, 81.6, 0.64)] {
        let mut rig = Rig::new(&vehicle(), Glass::Wet);
        rig.undo("crank-nut");
        rig.set(wiper);
        rig.run(5.0);
        let supply = rig.amps("wiper-breaker");
        let stretch = rig.watch(10.0, &[supply]);
        near(
            "wheel",
            rig.trial.shaft_speed().revolutions_per_minute() / 60.0,
            turns,
            0.1,
        );
        near("amps", stretch.followed[0].mean, amps, 0.005);
        assert!(
            stretch.crank_turns.abs() < 1e-12,
            "the crank does not follow"
        );
    }
}

#[test]
fn stall_currents_and_the_breaker_that_cycles() {
    // Design figures: 12.8 and 17.6 A; trips after 15.7 s in LOW, then 13.8 s open and 7.4 s closed; 7.2 s in
    // HIGH. By hand: LOW 12.6 V / 0.984 ohm = 12.805 A, HIGH 12.6 / 0.71733 = 17.565 A (ring 0.6 and 0.5333
    // ohm between the brushes). Thermal replica (IEC 60255-8), tau 27 s, ultimate 8.5 A, x = (i/8.5)^2:
    // trip tau ln(x/(x-1)), open tau ln(1/0.6) = 13.79 s, closed tau ln((x-0.6)/(x-1)).
    for (wiper, amps) in [
        (Wiper::Low, 12.6 / 0.984),
        (Wiper::High, 12.6 / (0.184 + 1.6 / 3.0)),
    ] {
        let mut rig = Rig::new(&faulty("left-pivot.seized"), Glass::Wet);
        rig.trial.set_crank(Angle::from_degrees(100.0));
        rig.set(wiper);
        let supply = rig.amps("wiper-breaker");
        let stalled = rig.clone().watch(0.5, &[supply]).followed[0];
        // Open contacts leak a billionth of an ampere beside it.
        near("stall", stalled.mean, amps, 1e-6);
        let x = (amps / 8.5_f64).powi(2);
        for expected in [x / (x - 1.0), 1.0 / 0.6, (x - 0.6) / (x - 1.0)] {
            let found = rig.seconds_to_click(60.0).unwrap();
            near("click", found, 27.0 * expected.ln(), 2e-3);
        }
    }
    let trip =
        |amps: f64| 27.0 * ((amps / 8.5_f64).powi(2) / ((amps / 8.5_f64).powi(2) - 1.0)).ln();
    near("LOW as designed", trip(12.6 / 0.984), 15.7, 0.05);
    near("HIGH as designed", trip(17.565), 7.2, 0.05);
}

/// Copper that warms lets less current through: a stalled motor pops its breaker later than a cold one's figures say, still
/// within some 15 to 20 s, and with nothing to open the circuit it burns within minutes. [common practice, no published
/// source]
#[test]
fn a_stalled_motor_draws_less_as_it_warms_and_burns_within_minutes_if_nothing_opens() {
    let seized = faulty("left-pivot.seized");
    let mut trial = Trial::new(&seized, Glass::Wet).unwrap();
    let roles = seized.roles().unwrap();
    trial.set(roles.key, roles.key_on);
    trial.set(roles.wiper, Wiper::Low.on(&roles));
    let mut tenths = 0_u32;
    while trial.run(Interval::from_seconds(0.1), &[]).unwrap().clicks == 0 {
        tenths += 1;
        assert!(tenths < 250, "no click in 25 s");
    }
    // 15.7 s with cold copper; a second or so of it goes by before the blades come to a stop.
    assert!((165..230).contains(&tenths), "{tenths} tenths of a second");
}

#[test]
fn a_weak_breaker_trips_only_in_high_on_dry_glass() {
    // Design figure: ultimate 6 A trips in HIGH on dry glass after about 55 s, nowhere else. The mean of 6.25 A
    // is so near to 6 A that 1 % of current is 10 % of time; 54.3 s is held to 3 s.
    let weak = faulty("wiper-breaker.weak:6");
    for (glass, wiper, trips) in [
        (Glass::Wet, Wiper::Low, false),
        (Glass::Wet, Wiper::High, false),
        (Glass::Dry, Wiper::Low, false),
        (Glass::Dry, Wiper::High, true),
    ] {
        let mut rig = Rig::new(&weak, glass);
        rig.set(wiper);
        match rig.seconds_to_click(600.0) {
            None => assert!(!trips, "{} {wiper:?} should trip", glass.word()),
            Some(seconds) => {
                assert!(trips, "{} {wiper:?} trips after {seconds}", glass.word());
                near("trip", seconds, 55.0, 3.0);
            }
        }
    }
}

#[test]
fn a_dead_short_trips_the_breaker_in_a_moment() {
    // Design figures: 34 to 100 A, 0.2 to 1.8 s. By hand: battery 0.015, feed 0.060, switch 0.01, wire 0.03 and
    // the short's own s ohm, the strap 0.002 from body to battery; tau ln(x/(x-1)) as above. The motor adds its
    // own two to nine amperes at the start, so the time is a little shorter: up to 10 %.
    for (short, figure) in [(0.01, 0.2), (0.25, 1.8)] {
        // 0.25 ohm is more than the shorts that are drawn have, so the wire's value is set directly.
        let mut vehicle = Vehicle::clone(&faulty("motor-53.short-to-ground:0.01"));
        let wire = vehicle.find("motor-53").unwrap();
        vehicle.components[wire.index()].paths[0].to_body = Some(Resistance::from_ohms(short));
        let mut rig = Rig::new(&Arc::new(vehicle), Glass::Wet);
        rig.set(Wiper::Low);
        let seconds = rig.seconds_to_click(20.0).unwrap();
        let amps = 12.6 / (0.015 + 0.060 + 0.01 + 0.03 + 0.002 + short);
        assert!((34.0..=102.0).contains(&amps), "{amps}");
        let x = (amps / 8.5_f64).powi(2);
        let alone = 27.0 * (x / (x - 1.0)).ln();
        assert!(
            seconds < alone && seconds > 0.85 * alone,
            "{short} ohm: {seconds} where {alone} is the short's own"
        );
        // The figures are the ends of a range, met to a sixth.
        near("as designed", seconds, figure, figure / 6.0);
    }
}

#[test]
fn resistance_in_the_motor_ground() {
    // Design figures: LOW, HIGH and case volts in LOW. Near the stall (2 ohm in HIGH, 3 in LOW) they were
    // computed with 15 and 8 a minute, the engine gives 13.6 and 9.2: as the next test says, the figures
    // themselves do not agree there.
    for (ohms, low, high, case) in [
        (0.2, 44.0, 63.0, 0.47),
        (0.5, 41.0, 56.0, 1.2),
        (1.0, 36.0, 44.0, 2.3),
        (2.0, 25.0, 15.0, 4.8),
        (3.0, 8.0, 0.0, 8.2),
        (5.0, 0.0, 0.0, 10.5),
    ] {
        let vehicle = faulty(&format!("motor-strap.high-resistance:{ohms}"));
        let (in_low, _, seen) = minute(&vehicle, Glass::Wet, Wiper::Low, &[("motor 31", NEGATIVE)]);
        let (in_high, _, _) = minute(&vehicle, Glass::Wet, Wiper::High, &[]);
        let tolerance = |pace: f64| if ohms < 2.0 || pace == 0.0 { 0.7 } else { 2.0 };
        near(&format!("{ohms} ohm, LOW"), in_low, low, tolerance(low));
        near(&format!("{ohms} ohm, HIGH"), in_high, high, tolerance(high));
        near(
            &format!("{ohms} ohm, case"),
            seen[0].mean,
            case,
            0.045 * case,
        );
    }
    // Under load only: parked, the case is at ground.
    let mut rig = Rig::new(&faulty("motor-strap.high-resistance:1"), Glass::Wet);
    let case = rig.volts("motor 31", NEGATIVE);
    assert!(rig.watch(5.0, &[case]).followed[0].max < 1e-6);
}

#[test]
fn resistance_in_the_feed_gives_the_same_paces_and_another_voltage() {
    // Design figures: 41, 36, 25 and 56, 44, 11 a minute; 53 at 11.2, 10.0, 7.6 V in LOW. A series circuit does
    // not know where its resistance is, so the paces are those of the same ohms in the ground, to the last
    // digits; that the figures give 15 there and 11 here for 2 ohm in HIGH says how exact they are at a stall.
    for (ohms, paces, terminal) in [
        (0.5, [41.0, 56.0], 11.2),
        (1.0, [36.0, 44.0], 10.0),
        (2.0, [25.0, 11.0], 7.6),
    ] {
        let feed = faulty(&format!("breaker-switch.high-resistance:{ohms}"));
        let ground = faulty(&format!("motor-strap.high-resistance:{ohms}"));
        for (wiper, expected) in [Wiper::Low, Wiper::High].into_iter().zip(paces) {
            let points = [("motor 31", NEGATIVE), ("motor 53", NEGATIVE)];
            let (found, _, seen) = minute(&feed, Glass::Wet, wiper, &points);
            near("pace", found, expected, if ohms < 2.0 { 0.7 } else { 3.5 });
            near(
                "as in the ground",
                found,
                minute(&ground, Glass::Wet, wiper, &[]).0,
                1e-6,
            );
            assert!(
                seen[0].max < 0.02,
                "the case stays at ground: {:?}",
                seen[0]
            );
            if wiper == Wiper::Low {
                amount("53", seen[1].mean, terminal);
            }
        }
    }
}

#[test]
fn resistance_at_the_low_brush_leaves_high_untouched() {
    // Design figures: +2 and +5 ohm give 25 and 0 in LOW, 68 in HIGH, 53 at 12.3 V.
    let (sound, _, _) = minute(&vehicle(), Glass::Wet, Wiper::High, &[]);
    for (ohms, low) in [(2.0, 25.0), (5.0, 0.0)] {
        let worn = faulty(&format!("motor.low-brush-worn:{ohms}"));
        let (in_low, _, seen) = minute(&worn, Glass::Wet, Wiper::Low, &[("motor 53", NEGATIVE)]);
        let (in_high, _, _) = minute(&worn, Glass::Wet, Wiper::High, &[]);
        near("LOW", in_low, low, 0.7);
        near("HIGH", in_high, sound, 1e-6);
        near("53", seen[0].mean, 12.3, 0.05);
    }
}

#[test]
fn one_stiff_pivot() {
    // Design figures for a friction of 3, 6 and 9 N.m in all, 0.15 of them sound: paces before any trip, amperes
    // in LOW, and how soon HIGH trips: never, 44 s, 14 s.
    for (friction, low, high, amps, trip) in [
        (3.0, 38.0, 55.0, 4.1, None),
        (6.0, 30.0, 41.0, 6.1, Some(44.0)),
        (9.0, 19.0, 22.0, 8.4, Some(14.0)),
    ] {
        let stiff = faulty(&format!("left-pivot.stiff:{}", friction - 0.15));
        let ten_seconds = |wiper: Wiper| {
            let mut rig = Rig::new(&stiff, Glass::Wet);
            rig.set(wiper);
            rig.run(1.0);
            let supply = rig.amps("wiper-breaker");
            let stretch = rig.watch(10.0, &[supply]);
            assert_eq!(stretch.clicks, 0);
            (stretch.crank_turns * 6.0, stretch.followed[0].mean)
        };
        let (in_low, low_amps) = ten_seconds(Wiper::Low);
        // Ten seconds hold three to nine turns, and a part of one more: 1 a minute.
        near("LOW", in_low, low, 1.0);
        near("HIGH", ten_seconds(Wiper::High).0, high, 1.2);
        amount("amps", low_amps, amps);
        let mut rig = Rig::new(&stiff, Glass::Wet);
        rig.set(Wiper::High);
        let found = rig.seconds_to_click(300.0);
        assert_eq!(found.is_some(), trip.is_some(), "{friction} N.m: {found:?}");
        if let (Some(found), Some(expected)) = (found, trip) {
            near("trip", found, expected, 1.0);
        }
    }
}

#[test]
fn a_stiff_pivot_of_nine_newton_metres_stalls_on_dry_glass() {
    // Design figure. It creeps over the first rise of the load within its first half turn and stands at the next.
    let mut rig = Rig::new(&faulty("left-pivot.stiff:8.85"), Glass::Dry);
    rig.set(Wiper::Low);
    let trip = rig.seconds_to_click(60.0).unwrap();
    assert!(trip < 20.0, "{trip}");
}

#[test]
fn weak_magnets_run_faster_on_wet_glass() {
    // Design figures at 0.8 of the EMF constant: 55 and 80 on wet glass at 2.9 A, 42 and 59 on dry at 5.2 A.
    let weak = faulty("motor.magnets-weak:0.8");
    for (glass, expected, amps) in [
        (Glass::Wet, [55.0, 80.0], 2.9),
        (Glass::Dry, [42.0, 59.0], 5.2),
    ] {
        let [low, high] = low_high(&weak, glass);
        pace("LOW", low.0, expected[0]);
        pace("HIGH", high.0, expected[1]);
        amount("LOW amps", low.1, amps);
    }
    let [(sound, _), _] = low_high(&vehicle(), Glass::Wet);
    assert!(low_high(&weak, Glass::Wet)[0].0 > sound + 5.0);
}

#[test]
fn a_flat_battery_slows_both_speeds() {
    // Design figures at 0.04 ohm: 11.8, 11.0 and 10.0 V give 42, 39, 34 and 62, 57, 50.
    for (volts, expected) in [
        (11.8, [42.0, 62.0]),
        (11.0, [39.0, 57.0]),
        (10.0, [34.0, 50.0]),
    ] {
        paces(
            &format!("{volts} V"),
            &with_battery(volts, 0.04),
            Glass::Wet,
            expected,
        );
    }
}

#[test]
fn the_undriven_brush_is_a_generator() {
    // Design figures: in LOW 53b reads about 7.9 V; in HIGH 53 reads about 16.7 V, above the battery.
    for (wiper, brush, volts) in [
        (Wiper::Low, "motor 53b", 7.9),
        (Wiper::High, "motor 53", 16.7),
    ] {
        let (_, _, seen) = minute(&vehicle(), Glass::Wet, wiper, &[(brush, NEGATIVE)]);
        near(brush, seen[0].mean, volts, 0.1);
    }
}

/// Does actions given in strict words, one after another, and returns what the last one showed, exact.
fn act(vehicle: &Arc<Vehicle>, words: &[&str]) -> Vec<Observable> {
    act_on(Glass::Wet, vehicle, words)
}

fn act_on(glass: Glass, vehicle: &Arc<Vehicle>, words: &[&str]) -> Vec<Observable> {
    let conditions = Conditions {
        glass,
        rain: false,
        helper: true,
    };
    let mut world = World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions).unwrap();
    let mut seen = Vec::new();
    for words in words {
        let action = Action::from_words(words, vehicle).unwrap();
        let permitted = world.permit(&action).unwrap();
        seen = world.carry_out(&permitted).unwrap().observables;
    }
    seen
}

#[test]
fn resistances_of_the_armature_at_rest() {
    // Design figures: 0.86, 0.59, 0.59 ohm, leads apart. By hand: the ring of 2.4 ohm is 0.4, 0.8 and 1.2
    // between its brushes, brushes 0.03 each, the limiter 0.2 at 53:
    //   53 to 31:  0.2 + 0.03 + 1.2 || 1.2 + 0.03 = 0.86;  53b to 31: 0.03 + 0.8 || 1.6 + 0.03 = 0.59333
    //   53 to 53b: 0.2 + 0.03 + 0.4 || 2.0 + 0.03 = 0.59333
    // The meter adds its leads, 0.2 ohm, and with the key off a nanoampere leaks through it from the battery,
    // a millionth of its own current.
    for (red, black, ohms) in [
        ("53", "31", 0.86),
        ("53b", "31", 0.06 + 1.6 / 3.0),
        ("53", "53b", 0.26 + 1.0 / 3.0),
    ] {
        let reading = format!("ohms motor.{red} motor.{black}");
        let seen = act(&vehicle(), &["unplug motor-plug", &reading]);
        near(&reading, seen[0].value - 0.2, ohms, 1e-6);
    }
}

#[test]
fn with_the_motor_ground_open_everything_is_at_supply_and_nothing_runs() {
    let points = [
        ("motor 31", NEGATIVE),
        ("motor 53", NEGATIVE),
        ("motor 53b", NEGATIVE),
    ];
    for wiper in [Wiper::Low, Wiper::High] {
        let (pace, amps, seen) = minute(&faulty("motor-strap.open"), Glass::Wet, wiper, &points);
        assert!(pace == 0.0 && amps.abs() < 1e-8, "{pace}, {amps}");
        for seen in seen {
            near("at supply", seen.mean, 12.6, 1e-6);
        }
    }
}

#[test]
fn sweep_and_dead_centre_of_the_linkage() {
    // By hand with the law of cosines in the triangle of frame 0.31, rocker 0.0816, and crank with coupler in line:
    //   stretched, 0.367: cos B = (0.31^2 + 0.0816^2 - 0.367^2) / (2 x 0.31 x 0.0816) = -0.631136, B = 129.134 deg
    //   folded,    0.233: cos B = (0.31^2 + 0.0816^2 - 0.233^2) / (2 x 0.31 x 0.0816) =  0.958048, B =  16.655 deg
    // so the rocker sweeps 112.48 degrees, and the crank stands at the stretched dead centre at
    //   cos A = (0.31^2 + 0.367^2 - 0.0816^2) / (2 x 0.31 x 0.367) = 0.985016, A = 9.93 deg (design figure 9.9).
    // Least transmission angle, crank on the frame line, 0.377 from crank pin to pivot:
    //   cos M = (0.3^2 + 0.0816^2 - 0.377^2) / (2 x 0.3 x 0.0816) = -0.928726, M = 180 - 21.76 deg.
    let linkage = drive_train(&vehicle()).linkage;
    let [crank, coupler, rocker, frame] = [
        linkage.crank,
        linkage.coupler,
        linkage.rocker,
        linkage.frame,
    ]
    .map(|length| length.metres());
    // The angle between two sides of a triangle, degrees.
    let between = |a: f64, b: f64, opposite: f64| {
        ((a * a + b * b - opposite * opposite) / (2.0 * a * b))
            .acos()
            .to_degrees()
    };
    let sweep = between(frame, rocker, coupler + crank) - between(frame, rocker, coupler - crank);
    near("sweep", linkage.sweep().degrees(), sweep, 1e-9);
    near("sweep, as designed", sweep, 112.4, 0.1);
    let dead_centre = between(frame, coupler + crank, rocker);
    near(
        "dead centre",
        linkage.extended_dead_centre().degrees(),
        dead_centre,
        1e-9,
    );
    near("dead centre, as designed", dead_centre, 9.9, 0.05);
    let transmission = 180.0 - between(coupler, rocker, frame + crank);
    near(
        "transmission",
        linkage.transmission_angle_min().degrees(),
        transmission,
        1e-9,
    );
    near("transmission, as designed", transmission, 22.0, 1.0);
    // And by stepping round: the rocker's extremes over a turn in hundredths of a degree.
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for hundredth in 0..36_000_u32 {
        let angle = Angle::from_degrees(f64::from(hundredth) * 0.01);
        let angle = linkage.pose(angle).rocker_angle().degrees();
        least = least.min(angle);
        most = most.max(angle);
    }
    near("sweep, stepped", most - least, sweep, 1e-4);
}

#[test]
fn the_resistance_budget_of_the_circuit() {
    // Design figures: battery 0.015; battery to wiper switch 0.060; switch contact, wire and pin to the motor 0.045;
    // case to battery 0.004. Wires are copper, 1/58 ohm mm2/m at 20 degC (IACS; NBS Handbook 100).
    let vehicle = vehicle();
    let sum = |paths: &[&str]| {
        paths.iter().fold(Resistance::ZERO, |sum, name| {
            let (component, place) = groundside_tests::path_of(&vehicle, name);
            sum + vehicle.component(component).paths[place].resistance
        })
    };
    let feed = sum(&[
        "battery-link",
        "fusible-link",
        "link-bulkhead",
        "bulkhead 30",
        "bulkhead-ammeter",
        "ammeter",
        "ammeter-ignition",
        "ignition-switch 30-15",
        "ignition-breaker",
        "wiper-breaker",
        "breaker-switch",
    ]);
    let loom = sum(&["wiper-switch low", "motor-53", "motor-plug 53"]);
    let ground = sum(&[
        "motor-strap",
        "cowl-ground",
        "front-ground",
        "battery-strap",
    ]);
    let battery = sum(&["battery pos", "battery cells", "battery neg"]);
    near("battery", battery.ohms(), 0.015, 1e-12);
    near("feed", feed.ohms(), 0.060, 1e-9);
    near("loom", loom.ohms(), 0.045, 1e-9);
    near("ground", ground.ohms(), 0.004, 1e-9);
    let (battery, path) = groundside_tests::path_of(&vehicle, "battery cells");
    let emf = vehicle.component(battery).paths[path].emf;
    assert_eq!(
        emf,
        groundside_engine::vehicle::Emf::Constant(Voltage::from_volts(12.6))
    );
}

#[test]
fn wetted_glass_dries_while_one_waits() {
    // A breaker of 6 A carries HIGH on wet glass (3.5 A) for ever and trips on dry glass (6.2 A) within a minute;
    // glass that was wetted is dry again after three minutes, in the middle of one long wait.
    let weak = faulty("wiper-breaker.weak:6");
    let least = |wait: &str| {
        let words = [
            "clip motor.53b battery.neg",
            "set ignition-switch on",
            "wet-glass",
            "helper set wiper-switch high",
            wait,
        ];
        let seen = act_on(Glass::Dry, &weak, &words);
        let volts = |seen: &&Observable| seen.quantity == Quantity::Voltage;
        seen.iter().find(volts).unwrap().min
    };
    let (wet, dried) = (least("wait 100"), least("wait 400"));
    assert!(wet > 10.0 && dried < 6.0, "{wet} V, then {dried} V");
}
