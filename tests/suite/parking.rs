//! The design figures of parking: where the blades come to rest, sound and with each fault of the park
//! contact. What a design figure is, `figures` says.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::Vehicle;
use groundside_tests::{Rig, Wiper, drive_train, faulty, minute, near, vehicle};

/// Where a vehicle comes to rest when it is switched off at a hundred and more moments of one wipe: degrees past
/// the dead centre and millimetres at the tip, for those switched off outside the park window and within it.
struct Stops {
    /// Degrees from the moment of OFF to the window's edge, degrees past dead centre, millimetres.
    outside: Vec<(f64, f64, f64)>,
    inside: Vec<(f64, f64)>,
}

fn stops(glass: Glass, wiper: Wiper) -> Stops {
    let mut rig = Rig::new(&vehicle(), glass);
    rig.set(wiper);
    rig.run(10.0);
    let mut stops = Stops {
        outside: Vec::new(),
        inside: Vec::new(),
    };
    for _ in 0..140 {
        rig.run(0.01);
        let mut off = rig.clone();
        off.set(Wiper::Off);
        off.run(4.0);
        assert!(off.run(4.0).crank_turns == 0.0, "it stops");
        let (past, tip) = (off.past_dead_centre(), off.trial.off_rest_mm());
        if rig.trial.cam_inside() {
            stops.inside.push((past, tip));
        } else {
            stops.outside.push((to_window(&rig), past, tip));
        }
    }
    stops
}

#[test]
fn a_sound_motor_brakes_to_a_stop_at_the_dead_centre() {
    // Design figures: from LOW 0..3 degrees past the dead centre, to 19 if OFF came inside the window; from HIGH
    // 0..2, blades up to 50 mm off. OFF feeds the low brush, so HIGH has slowed to LOW's speed within three of the
    // speed's time constants (35 ms each; 45 degrees of crank) and then stops as LOW does; later OFFs enter
    // the window faster and stop up to 4.6 degrees past, 3 mm at the tip. Inside the window it stops wherever that
    // is before the far edge, 17 + 14 - 9.86 = 21.14 degrees past the dead centre, 59 mm at the tip; beyond the
    // edge the feed takes it round again. (The figures' 19 and 50 are the largest of fewer moments.)
    for wiper in [Wiper::Low, Wiper::High] {
        let stops = stops(Glass::Wet, wiper);
        assert!(stops.outside.len() > 100 && stops.inside.len() > 3);
        for (to_window, past, tip) in stops.outside {
            let limit = if wiper == Wiper::Low {
                3.0
            } else if to_window > 45.0 {
                2.0
            } else {
                5.0
            };
            assert!(
                (0.0..=limit).contains(&past),
                "{wiper:?}: {past} degrees, OFF {to_window} before"
            );
            assert!(tip < 4.0, "{tip} mm");
        }
        for (past, tip) in stops.inside {
            assert!(
                (0.0..21.15).contains(&past) && tip < 60.0,
                "{wiper:?}: {past} degrees, {tip} mm"
            );
        }
    }
}

/// For OFFs outside the window at moments of one wipe: degrees to the window, crank degrees that a faulty vehicle
/// goes on, and whether it stands at the end.
fn after_off(fault: &str, glass: Glass, wiper: Wiper) -> Vec<(f64, f64, bool)> {
    let mut rig = Rig::new(&faulty(fault), glass);
    rig.set(wiper);
    rig.run(10.0);
    let mut list = Vec::new();
    for _ in 0..70 {
        rig.run(0.02);
        if !rig.trial.cam_inside() {
            let mut off = rig.clone();
            off.set(Wiper::Off);
            let gone = off.run(20.0).crank_turns * 360.0;
            list.push((to_window(&rig), gone, off.run(5.0).crank_turns == 0.0));
        }
    }
    assert!(list.len() > 30);
    list
}

/// Degrees that the crank has to go to the park window.
fn to_window(rig: &Rig) -> f64 {
    let cam = drive_train(&rig.vehicle).cam;
    (cam.centre - cam.half_width - rig.trial.crank())
        .degrees()
        .rem_euclid(360.0)
}

#[test]
fn with_the_brake_path_open_wet_wipers_never_stop() {
    // Design figure: it coasts through the dwell and the feed takes over. The same with the contact stuck on feed.
    for fault in ["park-contact.ground-open", "park-contact.stuck-on-feed"] {
        for wiper in [Wiper::Low, Wiper::High] {
            let still = after_off(fault, Glass::Wet, wiper)
                .iter()
                .filter(|(.., still)| *still)
                .count();
            assert_eq!(still, 0, "{fault}, {wiper:?}");
        }
    }
}

#[test]
fn a_contact_stuck_on_feed_shows_at_53e() {
    // Design figures: 53e in LOW, sound 0 to 12.6 V over a wipe, stuck up all the time. By hand: up it is at the
    // switch's supply, 12.6 - 0.075 ohm x 2.3 A = 12.43 V (no current in 53a), between 12.53 and 12.37 as the
    // current goes from 0.9 to 3.1 A; down it is at the case, 4 mohm x 0.9 A = 4 mV.
    let swing = |vehicle: &Arc<Vehicle>| {
        minute(
            vehicle,
            Glass::Wet,
            Wiper::Low,
            &[("motor 53e", "battery neg")],
        )
        .2[0]
    };
    let sound = swing(&vehicle());
    assert!(sound.min < 0.01, "{sound:?}");
    near("sound, up", sound.max, 12.53, 0.01);
    let stuck = swing(&faulty("park-contact.stuck-on-feed"));
    near("stuck, least", stuck.min, 12.6 - 0.075 * 3.1, 0.01);
    near("stuck, most", stuck.max, 12.53, 0.01);
}

#[test]
fn with_the_feed_side_open_it_stops_wherever_it_is() {
    // Design figures: 20 to 70 degrees on, further on streaming glass from HIGH. What comes to the window (from
    // 17 - 14 degrees on) is braked there and goes less far, so only OFFs more than 45 degrees before it are held
    // to the least; LOW under its heaviest load, at mid-glass, gives 14 of the figure's 20.
    for (wiper, least, most) in [(Wiper::Low, 13.0, 46.0), (Wiper::High, 30.0, 72.0)] {
        for (to_window, gone, still) in after_off("park-contact.feed-open", Glass::Wet, wiper) {
            assert!(still && gone < most, "{wiper:?}: {gone} degrees on");
            assert!(
                to_window < 45.0 || gone > least,
                "{wiper:?}: {gone} degrees on"
            );
        }
    }
    let furthest = |glass, wiper| {
        let all = after_off("park-contact.feed-open", glass, wiper);
        all.iter().map(|(_, gone, _)| *gone).fold(0.0, f64::max)
    };
    near("furthest", furthest(Glass::Wet, Wiper::High), 70.0, 2.0);
    assert!(furthest(Glass::Streaming, Wiper::High) > 90.0);
}
