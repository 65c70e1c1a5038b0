//! The saloon with a switch-grounded motor that reverses into a depressed park: its design figures, and what must
//! come out of it by itself when something is wrong. What a design figure is, `figures` says.

use std::sync::Arc;

use groundside_engine::quantity::Angle;
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Kind, Node, Vehicle};
use groundside_engine::world::Quantity;
use groundside_tests::person::Person;
use groundside_tests::{
    Rig, Wiper, added, component, drive_train, minute, near, node, on_battery, path_of, shipped,
    with_fault,
};

fn saloon() -> Arc<Vehicle> {
    shipped("sedan-reversing")
}

fn pace(vehicle: &Arc<Vehicle>, wiper: Wiper) -> f64 {
    minute(vehicle, Glass::Wet, wiper, &[]).0
}

/// Runs in a position for some seconds, then OFF until it has stopped, or for 20 s.
fn parked(vehicle: &Arc<Vehicle>, glass: Glass, wiper: Wiper, seconds: f64) -> Rig {
    let mut rig = Rig::new(vehicle, glass);
    rig.set(wiper);
    rig.run(seconds);
    rig.set(Wiper::Off);
    rig.run(20.0);
    rig
}

/// With two wires put into each other's places of the motor plug.
fn crossed(first: &str, second: &str) -> Arc<Vehicle> {
    let mut changed = Vehicle::clone(&saloon());
    let at = |vehicle: &Vehicle, wire: &str| path_of(vehicle, wire);
    let (one, other) = (at(&changed, first), at(&changed, second));
    let end = |vehicle: &Vehicle, (id, path): (_, usize)| -> Node {
        let part: groundside_engine::vehicle::ComponentId = id;
        vehicle.components[part.index()].paths[path].n
    };
    let (end_one, end_other) = (end(&changed, one), end(&changed, other));
    changed.components[one.0.index()].paths[one.1].n = end_other;
    changed.components[other.0.index()].paths[other.1].n = end_one;
    Arc::new(changed)
}

/// The arms come off with the cowl screen, and so does what drags on the motor: it goes as with blades that press on
/// nothing.
#[test]
fn with_its_arms_off_no_blade_drags_on_the_motor() {
    let running = |vehicle: Arc<Vehicle>, first: &str| {
        let mut person = Person::of(vehicle, saloon());
        person.does_all(&[first, "set ignition-switch on", "set wiper-switch high"]);
        let cycles = person.finds("count", Quantity::CyclesPerMinute);
        (
            cycles,
            person.finds("clamp battery-strap", Quantity::Current).abs(),
        )
    };
    let mut light = Vehicle::clone(&saloon());
    for part in &mut light.components {
        if let Kind::Arm { data, .. } = &mut part.kind {
            data.force = data.force * 0.0;
        }
    }
    let off = running(saloon(), "remove cowl-screen");
    let lifted = running(Arc::new(light), "wait 1");
    let on = running(saloon(), "wait 1");
    near("cycles", off.0, lifted.0, 0.1);
    near("A", off.1, lifted.1, 0.02);
    assert!(off.0 > on.0 + 5.0 && off.1 < on.1 - 0.3, "{off:?} {on:?}");
}

#[test]
fn speeds_and_currents() {
    // Design figures, wet and dry glass at 12.6 V, and wet at 14 V.
    for (glass, wiper, cycles, amps) in [
        (Glass::Wet, Wiper::Low, 46.4, 2.2),
        (Glass::Wet, Wiper::High, 67.7, 3.3),
        (Glass::Dry, Wiper::Low, 38.3, 4.0),
        (Glass::Dry, Wiper::High, 54.4, 6.0),
    ] {
        let (pace, current, _) = minute(&saloon(), glass, wiper, &[]);
        near(&format!("{glass:?} {wiper:?}, cycles"), pace, cycles, 0.4);
        near(&format!("{glass:?} {wiper:?}, A"), current, amps, 0.1);
    }
    let charged = on_battery(&saloon(), 14.0, 0.015);
    near("LOW at 14 V", pace(&charged, Wiper::Low), 52.6, 0.4);
    near("HIGH at 14 V", pace(&charged, Wiper::High), 77.1, 0.5);
}

#[test]
fn a_stalled_motor_pops_its_breaker() {
    // Design figures: 12.3 A and 17.6 s in LOW, 16.6 A and 8.2 s in HIGH, from cold and in the middle of a wipe.
    // (In the park window the case's ground helps the switch's: 12.6 A, a second sooner.)
    let seized = with_fault(&saloon(), "left-pivot.seized");
    for (wiper, amps, seconds) in [(Wiper::Low, 12.3, 17.6), (Wiper::High, 16.6, 8.2)] {
        let mut rig = Rig::new(&seized, Glass::Wet);
        rig.trial.set_crank(Angle::from_degrees(100.0));
        rig.set(wiper);
        let current = rig.amps("wiper-breaker");
        let stalled = rig.clone().watch(1.0, &[current]).followed[0].mean;
        near(&format!("{wiper:?}, A"), stalled, amps, 0.2);
        let trips = rig.seconds_to_click(60.0).unwrap();
        near(&format!("{wiper:?}, s"), trips, seconds, 0.4);
    }
}

#[test]
fn it_reverses_into_a_depressed_park() {
    // Design figures: from LOW and HIGH, -2..+1 degrees from the dead centre, 96 to 98 mm below the wipe, OFF
    // anywhere in a wipe.
    let below_mm = {
        let drive = saloon().drive_train().unwrap().unwrap();
        let wipe = drive.linkage.pose(drive.linkage.extended_dead_centre());
        let rest = drive.pose(drive.park(), drive.parked());
        (wipe.rocker_angle() - rest.rocker_angle()).radians().abs() * 650.0
    };
    near("rest below the wipe, mm", below_mm, 98.0, 1.5);
    for wiper in [Wiper::Low, Wiper::High] {
        for moment in 0..14 {
            let rig = parked(&saloon(), Glass::Wet, wiper, 10.0 + 0.1 * f64::from(moment));
            let past = rig.past_dead_centre();
            assert!((-3.0..=1.5).contains(&past), "{wiper:?}, {moment}: {past}");
            near("out", rig.trial.eccentric_out().degrees(), 180.0, 1.0);
            assert!(rig.trial.off_rest_mm() < 2.0 && rig.trial.cam_inside());
            assert!(rig.clone().run(10.0).crank_turns == 0.0);
        }
    }
    // Running again, the first half turn puts it back, and the blades never go beyond the outer end.
    let mut rig = parked(&saloon(), Glass::Wet, Wiper::Low, 10.0);
    rig.set(Wiper::Low);
    rig.run(2.0);
    near("in", rig.trial.eccentric_out().degrees(), 0.0, 1e-9);
}

#[test]
fn plugging_at_off_draws_a_surge() {
    // Design figure: 23 to 28 A for an instant as the switch reverses a running motor.
    let mut surges = Vec::new();
    for moment in 0..20 {
        let mut rig = Rig::new(&saloon(), Glass::Wet);
        rig.set(if moment % 2 == 0 {
            Wiper::Low
        } else {
            Wiper::High
        });
        rig.run(10.0 + 0.07 * f64::from(moment));
        if !rig.trial.cam_inside() {
            rig.set(Wiper::Off);
            let current = rig.amps("wiper-breaker");
            surges.push(rig.watch(0.05, &[current]).followed[0].max);
        }
    }
    let most = surges.iter().copied().fold(0.0, f64::max);
    let least = surges.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(
        (20.0..29.0).contains(&least) && (22.0..29.0).contains(&most),
        "{least}..{most}"
    );
}

#[test]
fn the_switchs_ground_open_lurches_once_and_is_dead() {
    let open = with_fault(&saloon(), "switch-ground.open");
    for wiper in [Wiper::Low, Wiper::High] {
        let mut rig = Rig::new(&open, Glass::Wet);
        rig.set(wiper);
        let lurch = rig.run(10.0).crank_turns * 360.0;
        // The park contact still grounds 31b until the crank has left its window: some 30 degrees.
        assert!((14.0..45.0).contains(&lurch), "{wiper:?}: {lurch}");
        assert!(rig.run(10.0).crank_turns == 0.0);
        rig.set(Wiper::Off);
        assert!(rig.run(10.0).crank_turns == 0.0, "it does not go home");
        rig.set(wiper);
        assert!(
            rig.run(10.0).crank_turns == 0.0,
            "a second try does nothing"
        );
    }
}

#[test]
fn resistance_in_the_switchs_ground() {
    // Design figures: 0.5, 1 and 2 ohm: LOW 41, 36, 25; HIGH 57, 45, 0; 31b at 1.2, 2.3, 4.7 V in LOW.
    for (ohms, low, high, volts) in [
        (0.5, 41.0, 57.0, 1.2),
        (1.0, 36.0, 45.0, 2.3),
        (2.0, 25.0, 0.0, 4.7),
    ] {
        let bad = added(&saloon(), "switch-ground", ohms);
        let at = [("motor 31b", "battery neg")];
        let (pace_low, _, seen) = minute(&bad, Glass::Wet, Wiper::Low, &at);
        near(&format!("{ohms} ohm, LOW"), pace_low, low, 1.0);
        near(
            &format!("{ohms} ohm, HIGH"),
            pace(&bad, Wiper::High),
            high,
            1.0,
        );
        near(&format!("{ohms} ohm, 31b"), seen[0].mean, volts, 0.15);
    }
}

#[test]
fn the_cases_ground_open_costs_the_brake_alone() {
    let open = with_fault(&saloon(), "motor-strap.open");
    near(
        "LOW",
        pace(&open, Wiper::Low),
        pace(&saloon(), Wiper::Low),
        0.05,
    );
    near(
        "HIGH",
        pace(&open, Wiper::High),
        pace(&saloon(), Wiper::High),
        0.05,
    );
    let mut rig = parked(&open, Glass::Wet, Wiper::Low, 10.0);
    assert!(rig.run(10.0).crank_turns > 2.0, "wet, it goes on and on");
}

#[test]
fn a_park_feed_that_is_live_while_running_is_a_dead_short() {
    // 53a fed in LOW or HIGH meets 31b, which the switch grounds, through the park contact.
    let live = with_fault(&saloon(), "wiper-switch.park-feed-stuck-closed");
    for wiper in [Wiper::Low, Wiper::High] {
        let mut rig = Rig::new(&live, Glass::Wet);
        rig.set(wiper);
        // Parked, the contact stands on the case; the short begins as the cam leaves its window.
        let trips = rig.seconds_to_click(10.0).unwrap();
        assert!(trips < 2.0, "{wiper:?}: {trips} s");
        let mut rig = parked(&saloon(), Glass::Wet, wiper, 10.0);
        rig.set(wiper);
        rig.run(0.7);
        assert!(!rig.trial.cam_inside());
    }
    let shorted = Rig::new(&live, Glass::Wet);
    let breaker = component(&shorted.vehicle, "wiper-breaker");
    assert!(!shorted.trial.is_tripped(breaker));
}

#[test]
fn wires_crossed_at_the_motor_plug() {
    // 53 and 53b: the speeds are swapped. 53 and 31b: dead short at park, where OFF grounds the fed contact's pair.
    let swapped = crossed("motor-53", "motor-53b");
    near(
        "LOW",
        pace(&swapped, Wiper::Low),
        pace(&saloon(), Wiper::High),
        1.5,
    );
    near(
        "HIGH",
        pace(&swapped, Wiper::High),
        pace(&saloon(), Wiper::Low),
        1.5,
    );
    let shorted = crossed("motor-53", "motor-31b");
    let mut rig = Rig::new(&shorted, Glass::Wet);
    rig.set(Wiper::Low);
    assert!(rig.seconds_to_click(5.0).unwrap() < 1.0);
}

#[test]
fn a_stuck_eccentric() {
    // In: the cam never works the contact, so at OFF the motor runs backward for good; running is sound.
    let within = with_fault(&saloon(), "eccentric.stuck-in");
    near(
        "LOW",
        pace(&within, Wiper::Low),
        pace(&saloon(), Wiper::Low),
        0.05,
    );
    let mut rig = parked(&within, Glass::Wet, Wiper::Low, 10.0);
    assert!(rig.run(10.0).crank_turns > 5.0, "it runs on");
    // Out: it parks, and wipes too wide, at the outer end as well.
    let out = with_fault(&saloon(), "eccentric.stuck-out");
    let mut rig = parked(&out, Glass::Wet, Wiper::Low, 10.0);
    assert!(rig.run(10.0).crank_turns == 0.0);
    let drive = saloon().drive_train().unwrap().unwrap();
    let long = drive
        .linkage
        .with_more_throw(drive.eccentric.unwrap().adds_most());
    assert!(long.sweep().degrees() - drive.linkage.sweep().degrees() > 8.0);
}

#[test]
fn what_is_live_where() {
    // 53a is dead in LOW and HIGH, live at OFF; 31b is live through a parked motor's brushes only off the case.
    let at = |wiper: Wiper, name: &str| {
        let mut rig = Rig::new(&saloon(), Glass::Wet);
        rig.set(wiper);
        rig.run(10.0);
        let volts = rig.volts(name, "battery neg");
        rig.watch(10.0, &[volts]).followed[0].mean
    };
    assert!(at(Wiper::Low, "motor 53a").abs() < 1.0 && at(Wiper::High, "motor 53a").abs() < 1.5);
    near("53a at OFF", at(Wiper::Off, "motor 53a"), 12.6, 0.05);
    near("31b at rest", at(Wiper::Off, "motor 31b"), 0.0, 0.01);
    assert!(node(&saloon(), "motor 31") != node(&saloon(), "motor 31b"));
}

#[test]
fn an_eccentric_goes_with_the_crank_alone() {
    // With the nut off the motor turns by itself, and leaves crank and eccentric where they are.
    let mut rig = parked(&saloon(), Glass::Wet, Wiper::Low, 10.0);
    rig.undo("crank-nut");
    for wiper in [Wiper::Low, Wiper::Off, Wiper::High, Wiper::Off] {
        rig.set(wiper);
        assert!(rig.run(3.3).crank_turns == 0.0);
        near("out", rig.trial.eccentric_out().degrees(), 180.0, 1.0);
    }
    // Undone as it is all but in, it stays that far out too.
    let mut rig = parked(&saloon(), Glass::Wet, Wiper::Low, 10.0);
    rig.set(Wiper::Low);
    let out = |rig: &Rig| rig.trial.eccentric_out().degrees();
    for _ in 0..2000 {
        if out(&rig) < 0.8 {
            break;
        }
        rig.run(0.001);
    }
    let left = out(&rig);
    assert!((0.05..0.8).contains(&left), "{left}");
    rig.undo("crank-nut");
    rig.run(2.0);
    near("all but in", out(&rig), left, 1e-9);
}

#[test]
fn a_stuck_eccentric_stays_where_the_crank_is_put() {
    let at_park = drive_train(&saloon()).park().degrees();
    for (fault, degrees) in [("eccentric.stuck-in", 0.0), ("eccentric.stuck-out", 180.0)] {
        let mut rig = Rig::new(&with_fault(&saloon(), fault), Glass::Wet);
        for crank in [at_park, 100.0] {
            rig.trial.set_crank(Angle::from_degrees(crank));
            near(fault, rig.trial.eccentric_out().degrees(), degrees, 1e-9);
        }
    }
}
