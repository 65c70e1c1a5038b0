//! Every vehicle has enough that can go wrong in each part of its system, and checks that tell it apart.

use groundside_engine::attempt::{sound_signature, world_of};
use groundside_engine::file::read_scenario;
use groundside_engine::quantity::Angle;
use groundside_engine::random::Seed;
use groundside_engine::scenario::Symptom;
use groundside_engine::vehicle::{Component, ComponentId, Exposure, Kind, Path, Region, Vehicle};
use groundside_engine::world::{Action, Chance, Quantity, Signature, symptom};
use groundside_tests::actions::SCENARIO;
use groundside_tests::fleet::vehicles;
use groundside_tests::person::Person;
use groundside_tests::{near, vehicle};

/// Groups of faults that a course of instruction goes through, with how many of each a vehicle has at least.
const LEAST: [(&str, usize); 6] = [
    ("supply and protection", 6),
    ("switch", 6),
    ("ground side", 5),
    ("motor", 12),
    ("park", 4),
    ("linkage and blades", 8),
];

/// Components whose other end is on the body or a ground point.
fn on_ground(vehicle: &Vehicle, kind: &Kind, paths: &[Path]) -> bool {
    let studs: Vec<_> = vehicle
        .components
        .iter()
        .filter(|part| matches!(part.kind, Kind::GroundPoint))
        .flat_map(|part| part.terminals.iter().map(|terminal| terminal.node))
        .collect();
    let at_stud = paths
        .iter()
        .any(|path| studs.contains(&path.p) || studs.contains(&path.n));
    matches!(kind, Kind::GroundPoint | Kind::Strap(_))
        || (matches!(kind, Kind::Wire { .. }) && at_stud)
}

#[test]
fn every_vehicle_has_enough_faults_of_each_part_of_its_system() {
    for vehicle in vehicles() {
        let mut counts = [0; 6];
        for (id, _, mode) in vehicle.faults() {
            let part = vehicle.component(id);
            let group = match (&part.kind, vehicle.component(id).region) {
                (Kind::ParkContact(_) | Kind::Eccentric(_), _) => 4,
                (Kind::Arm { .. }, _) | (_, Region::Linkage) => 5,
                _ if on_ground(&vehicle, &part.kind, &part.paths) => 2,
                (_, Region::Supply) if !mode.is_condition() => 0,
                (_, Region::Switch) => 1,
                (_, Region::Motor) => 3,
                _ => continue,
            };
            counts[group] += 1;
        }
        for ((what, least), count) in LEAST.iter().zip(counts) {
            assert!(count >= *least, "{}: {count} of {what}", vehicle.id);
        }
    }
}

/// Figures of one quantity that an action observes on the van with a fault, key on and wipers in LOW, or parked where
/// an arm is moved.
fn figure(fault: &str, words: &str, quantity: Quantity) -> Vec<f64> {
    let sound = vehicle();
    let chosen = sound.parse_faults(fault).unwrap();
    let scenario = read_scenario(SCENARIO).unwrap();
    let chance = Chance::supposed(Seed(1));
    let mut world = world_of(&sound, chosen, Angle::ZERO, &scenario, chance).unwrap();
    let mut figures = Vec::new();
    // An arm that is swept is no arm to feel anything of.
    let running = ["set ignition-switch on", "set wiper-switch low"];
    let running = running.into_iter().filter(|_| !words.starts_with("move"));
    for line in running.chain([words]) {
        let action = Action::from_words(line, &sound).unwrap();
        let permitted = world.permit(&action).unwrap();
        let seen = world.carry_out(&permitted).unwrap().observables;
        let wanted = seen.iter().filter(|seen| seen.quantity == quantity);
        figures = wanted.map(|seen| seen.value).collect();
    }
    figures
}

#[test]
fn worn_and_misfitted_parts_come_to_what_a_hand_sum_says() {
    // Two degrees at a pivot are 0.65 m x 0.0349 = 22.7 mm at the tip, and knock as two degrees. [geometry]
    let at_tip = 0.65e3 * 2.0_f64.to_radians();
    near(
        "tip",
        figure("left-pivot.loose:2", "move left-arm", Quantity::Play)[0],
        at_tip,
        1e-6,
    );
    near(
        "other tip",
        figure("left-pivot.loose:2", "move right-arm", Quantity::Play)[0],
        0.0,
        1e-9,
    );
    near(
        "knock",
        figure("left-pivot.loose:2", "listen", Quantity::Knock)[0],
        2.0,
        1e-9,
    );
    near(
        "sound",
        figure("motor-53b.open", "listen", Quantity::Knock)[0],
        0.0,
        1e-9,
    );
    // Five degrees at the wheel, over 112 of sweep for half a turn of it, are some 3.1 at an arm.
    near(
        "teeth",
        figure("worm-gear.play:5", "listen", Quantity::Knock)[0],
        5.0 * 112.0 / 180.0,
        0.02,
    );
    // Serrations that carry 0.3 N m give under a hand at that, though the worm holds.
    near(
        "arm",
        figure(
            "left-arm.splines-stripped:0.3",
            "move left-arm",
            Quantity::ArmTorque,
        )[0],
        0.3,
        1e-9,
    );
    for fault in ["left-arm.splines-stripped:0.3", "connecting-link.off"] {
        near(
            fault,
            figure(fault, "look blades", Quantity::Stay)[0],
            1.0,
            1e-9,
        );
    }
    near(
        "both",
        figure("motor-53b.open", "look blades", Quantity::Stay)[0],
        0.0,
        1e-9,
    );
}

#[test]
fn a_crusted_post_shows_between_the_post_and_its_clamp() {
    let across = "volts battery.pos-post battery.pos";
    for (fault, ohms) in [
        ("battery.pos-high-resistance:0.2", 0.2001),
        ("battery.neg-high-resistance:0.2", 0.0001),
    ] {
        let amps = figure(fault, "clamp battery-link", Quantity::Current)[0];
        assert!(amps > 2.0, "{amps}");
        let volts = figure(fault, across, Quantity::Voltage)[0];
        near(fault, volts, amps * ohms, 0.01 * amps * ohms);
    }
}

#[test]
fn the_driver_tells_of_what_is_worn_or_was_fitted_wrong() {
    let sound = vehicle();
    let scenario = read_scenario(SCENARIO).unwrap();
    let healthy = sound_signature(&sound, &scenario).unwrap();
    for (fault, expected) in [
        ("left-arm.off-its-mark:20", Some(Symptom::DoesNotPark)),
        ("connecting-link.bent:15", Some(Symptom::DoesNotPark)),
        ("crank-nut.off-its-mark:90", Some(Symptom::DoesNotPark)),
        ("park-contact.cam-shifted:90", Some(Symptom::DoesNotPark)),
        ("linkage.link-off", Some(Symptom::BladesStill)),
        ("connecting-link.off", Some(Symptom::OneBladeStill)),
        (
            "right-arm.splines-stripped:0.3",
            Some(Symptom::OneBladeStill),
        ),
        ("right-arm.spring-tired:0.2", Some(Symptom::Streaks)),
        ("left-arm.rubber-torn:0.3", Some(Symptom::Streaks)),
        ("worm-gear.play:8", Some(Symptom::Knocks)),
        ("motor.wrong-motor:2", Some(Symptom::Slow)),
        ("motor-plug.53-pushed-out", Some(Symptom::NoLow)),
        ("motor-53.chafed:1", Some(Symptom::CutsOut)),
        ("wiper-breaker.welded", None),
    ] {
        let chosen = sound.parse_faults(fault).unwrap();
        let chance = Chance::supposed(Seed(1));
        let world = world_of(&sound, chosen, Angle::ZERO, &scenario, chance).unwrap();
        let told = symptom(&Signature::of(world).unwrap(), &healthy);
        assert_eq!(told, expected, "{fault}");
    }
}

#[test]
fn place_and_history_of_a_component_weigh_its_faults() {
    let sound = Vehicle::clone(&vehicle());
    let weight_of = |vehicle: &Vehicle, name: &str| {
        let fault = vehicle.parse_fault(name).unwrap();
        let mut faults = vehicle.faults().into_iter().zip(vehicle.prior_weights());
        let same = |(id, mode): (ComponentId, &str)| {
            id == fault.component && *mode == *vehicle.mode(&fault).name.as_str()
        };
        faults
            .find(|((id, _, mode), _)| same((*id, mode.name.as_str())))
            .unwrap()
            .1
    };
    let changed = |change: fn(&mut Component)| {
        let mut other = sound.clone();
        let plug = other.find("motor-plug").unwrap();
        change(&mut other.components[plug.index()]);
        other
    };
    let open = |vehicle: &Vehicle| {
        weight_of(vehicle, "motor-plug.53-open") / weight_of(vehicle, "bulkhead.30-open")
    };
    let dry = changed(|plug| plug.exposure = Exposure::Inside);
    let wet = changed(|plug| plug.exposure = Exposure::Wet);
    near("wet to dry", open(&wet) / open(&dry), 5.0, 1e-9);
    let crossed = |vehicle: &Vehicle| {
        weight_of(vehicle, "motor-plug.53-53b-crossed")
            / weight_of(vehicle, "bulkhead.30-h-crossed")
    };
    let never = changed(|plug| plug.worked_on = false);
    let before = changed(|plug| plug.worked_on = true);
    near("worked on", crossed(&before) / crossed(&never), 5.0, 1e-9);
}

/// 12.6 V through 5 kilohm: into a meter of 10 megohm all but 6 mV, into a cold lamp of 3 W next to nothing.
#[test]
fn a_film_on_a_contact_shows_a_meter_full_volts_and_leaves_a_lamp_dark() {
    let mut person = Person::with("bulkhead.30-oxide-film:5000");
    let key = "set ignition-switch on";
    person.does(key);
    let at = "wiper-switch.15 battery.neg";
    near(
        "meter",
        person.finds(&format!("volts {at}"), Quantity::Voltage),
        12.59,
        0.02,
    );
    let lamp = person.finds(&format!("lamp {at}"), Quantity::Brightness);
    assert!(lamp < 0.02, "{lamp}");
    person.does("set wiper-switch low");
    assert!(person.finds("listen", Quantity::Pitch) < 1e-9);
    assert!(person.finds(&format!("volts {at}"), Quantity::Voltage) < 0.1);
    person.does_all(&["repair bulkhead mend", "wait 5"]);
    assert!(person.finds("listen", Quantity::Pitch) > 200.0);
}
