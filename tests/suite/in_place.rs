//! Testing the motor in place: with its plug off, fused leads at its own terminals, the battery's end last. A good
//! motor shows the figures of a healthy one whatever is wrong before its plug; a bad one misses one of them at least
//! by more than the noise of reading.

use std::ffi::OsString;
use std::io::Cursor;
use std::sync::Arc;

use groundside::{Exit, Host, Io, run};
use groundside_engine::vehicle::{Region, Vehicle};
use groundside_engine::world::{Hazard, Observable, Quantity};
use groundside_tests::fleet::{Variant, variants};
use groundside_tests::person::Person;
use groundside_tests::{faulty, near, vehicle};

/// Standard deviations of reading and of sound motors among themselves from which a figure is off: one good motor in
/// some four hundred is that far off in a figure by chance.
const OFF: f64 = 3.0;

/// A person at a vehicle whose motor's plug is off.
fn at(of: &Arc<Vehicle>, before: &[&str]) -> Person {
    let mut person = Person::of(Arc::clone(of), vehicle());
    person.does("unplug motor-plug");
    person.does_all(before);
    person
}

/// Puts a lead on, and holds it to be put on safely.
fn lead(person: &mut Person, ends: &str) {
    let words = format!("jumper {ends}");
    assert_eq!(person.cautions(&words), [], "{words}");
    person.does(&words);
}

/// Something read, by name.
type Figure = (&'static str, Observable);

/// What a motor shows that is fed at one terminal: current by clamp, with its least and most, and cycles counted.
fn fed(person: &mut Person, terminal: &'static str) -> Vec<Figure> {
    lead(person, &format!("motor.{terminal} battery.pos"));
    let amps = person.observes("clamp motor-strap", Quantity::Current);
    let of = |value: f64| Observable {
        value,
        min: value,
        max: value,
        ..amps.clone()
    };
    let (least, most) = (of(amps.min), of(amps.max));
    let cycles = person.observes("count", Quantity::CyclesPerMinute);
    vec![
        ("amps", amps),
        ("least amps", least),
        ("most amps", most),
        ("cycles", cycles),
    ]
}

/// How a motor comes home that is fed at 53a with 53e joined to 53. It starts out on the glass, where a lead at 53
/// that is taken off again leaves it: once more where that happens to be near home.
fn parked(of: &Arc<Vehicle>) -> Vec<Figure> {
    let mut person = at(of, &[]);
    for _ in 0..8 {
        lead(&mut person, "motor.53 battery.pos");
        person.does("remove-jumper");
        let seen = person.clone().does("look blades").observables;
        let rest = seen.iter().find(|seen| seen.quantity == Quantity::Rest);
        if rest.is_some_and(|rest| rest.value > 300.0) {
            break;
        }
        person.does("wait 1");
    }
    lead(&mut person, "motor.53e motor.53");
    lead(&mut person, "motor.53a battery.pos");
    let seen = person.does("look blades").observables;
    let of = |wanted| seen.iter().find(|seen| seen.quantity == wanted).cloned();
    let pace = of(Quantity::Pace).unwrap();
    // Blades that move on have no rest.
    let rest = of(Quantity::Rest).map(|rest| ("rest", rest));
    [Some(("pace once home", pace)), rest]
        .into_iter()
        .flatten()
        .collect()
}

fn figures(of: &Arc<Vehicle>) -> Vec<Figure> {
    let mut all = fed(&mut at(of, &[]), "53");
    all.extend(fed(&mut at(of, &[]), "53b"));
    all.extend(parked(of));
    all
}

/// The figure that is furthest off, and by how many standard deviations.
fn worst(healthy: &[Figure], found: &[Figure]) -> (&'static str, f64) {
    let pairs = healthy.iter().zip(found);
    let off = pairs.map(|((what, healthy), (_, found))| {
        let spread = healthy.quantity.tolerance(healthy.value);
        (*what, healthy.apart(found, spread))
    });
    off.fold(
        ("nothing", 0.0),
        |worst, one| {
            if one.1 > worst.1 { one } else { worst }
        },
    )
}

/// The faults of a vehicle, at three severities each, of components that are wanted.
fn faults(wanted: impl Fn(&str, Region) -> bool) -> Vec<Variant> {
    let sound = vehicle();
    let all = variants(&sound).into_iter();
    let of_it = all.filter(|variant| {
        variant.fault.is_some_and(|fault| {
            let part = sound.component(fault.component);
            wanted(part.id.as_str(), part.region)
        })
    });
    of_it.collect()
}

#[test]
fn a_healthy_motor_by_hand() {
    // At 53: battery, lead and strap 0.015 + 0.02 + 0.004, limiter and brushes 0.26, ring 0.6: 0.899 ohm. With the torque
    // of sound_low_by_hand in `families.rs`, 2.26 to 2.35 A; the pace is (12.6 - 0.899 i) / 0.0355 / 2 pi = 47.0 to 47.4.
    let low = fed(&mut at(&vehicle(), &[]), "53");
    near("amps at 53", low[0].1.value, 2.30, 0.06);
    near("cycles at 53", low[3].1.value, 47.2, 0.3);
    let high = fed(&mut at(&vehicle(), &[]), "53b");
    assert!(high[3].1.value > 1.4 * low[3].1.value, "{high:?}");
    assert!(high[0].1.value > 1.3 * low[0].1.value, "{high:?}");
    let home = parked(&vehicle());
    near("stands once home", home[0].1.value, 0.0, 0.0);
    near("at its rest, mm", home[1].1.value, 0.0, 20.0);
}

/// Grounds and the battery are part of the test, the linkage hangs on the motor, and a short at the plug's motor side
/// is at the motor's own terminal: these come below.
fn before_the_plug(part: &str, region: Region) -> bool {
    let with_it = [
        "battery",
        "motor-strap",
        "cowl-ground",
        "front-ground",
        "battery-strap",
        "motor-plug",
    ];
    matches!(region, Region::Supply | Region::Switch | Region::Wiring) && !with_it.contains(&part)
}

#[test]
fn a_good_motor_passes_whatever_is_wrong_before_its_plug() {
    let healthy = figures(&vehicle());
    let faults = faults(before_the_plug);
    assert!(faults.len() > 100);
    for variant in faults {
        let found = figures(&variant.vehicle);
        assert_eq!(found.len(), healthy.len(), "{}", variant.name);
        let (what, off) = worst(&healthy, &found);
        assert!(off < 1.0, "{}: {what} is {off:.1} sd off", variant.name);
    }
}

#[test]
fn every_motor_fault_is_caught_by_one_of_the_tests() {
    let healthy = figures(&vehicle());
    let faults = faults(|_, region| region == Region::Motor);
    assert!(faults.len() > 20);
    let mut missed = Vec::new();
    for variant in faults {
        let found = figures(&variant.vehicle);
        let (what, off) = worst(&healthy, &found);
        if off < OFF {
            missed.push(format!("{}: {what} {off:.1}", variant.name));
        }
    }
    assert_eq!(missed, Vec::<String>::new());
}

#[test]
fn a_bad_ground_passes_once_a_lead_goes_round_it() {
    // The clamp then reads a part of the current only, so the pace tells.
    let ground = "jumper motor.31 battery.neg";
    for fault in [
        "motor-strap.open",
        "motor-strap.high-resistance:1",
        "cowl-ground.high-resistance:1",
        "battery-strap.open",
    ] {
        for (terminal, place) in [("53", 3), ("53b", 7)] {
            let cycles = |of: &Arc<Vehicle>, before: &[&str]| {
                let all = fed(&mut at(of, before), terminal);
                all[3].1.clone()
            };
            let healthy = figures(&vehicle())[place].1.clone();
            let apart = |found: &Observable| {
                healthy.apart(found, healthy.quantity.tolerance(healthy.value))
            };
            let bad = apart(&cycles(&faulty(fault), &[]));
            assert!(bad > OFF, "{fault} at {terminal}: {bad}");
            let good = apart(&cycles(&faulty(fault), &[ground]));
            assert!(good < 1.0, "{fault} at {terminal} with a lead: {good}");
        }
    }
}

#[test]
fn what_hangs_on_the_motor_passes_with_the_crank_off() {
    let alone = ["loosen crank-nut"];
    let amps = |of: &Arc<Vehicle>| fed(&mut at(of, &alone), "53")[0].1.clone();
    let healthy = amps(&vehicle());
    for variant in faults(|_, region| region == Region::Linkage) {
        let off = healthy.apart(&amps(&variant.vehicle), healthy.quantity.tolerance(0.6));
        assert!(off < 1.0, "{}: {off}", variant.name);
    }
    // With it on, a stiff pivot is more current in a motor that is sound.
    let low = figures(&vehicle())[0].1.clone();
    let stiff = fed(&mut at(&faulty("left-pivot.stiff:4"), &[]), "53")[0]
        .1
        .clone();
    assert!(low.apart(&stiff, low.quantity.tolerance(low.value)) > OFF);
}

#[test]
fn a_short_in_the_plug_is_at_the_motors_terminal_and_blows_the_lead() {
    for pin in ["53", "53b", "53a"] {
        let fault = format!("motor-plug.{pin}-short-to-ground");
        let mut person = at(&faulty(&fault), &[]);
        let words = format!("jumper motor.{pin} battery.pos");
        // The caution is by the diagram, which knows of no short.
        let cautions: &[Hazard] = &[];
        assert_eq!(person.cautions(&words), cautions);
        let outcome = person.does(&words);
        let seen = outcome.observables.iter();
        let fuse = seen.filter(|seen| seen.quantity == Quantity::LeadFuse);
        let fuse: Vec<bool> = fuse.map(|seen| seen.value > 0.5).collect();
        assert_eq!(fuse, [true], "{fault}");
    }
}

#[test]
fn the_book_gives_leads_and_figures() {
    let mut output = Vec::new();
    let exit = run(
        ["groundside", "practice", "--seed", "7"].map(OsString::from),
        &mut Io {
            input: Box::new(Cursor::new(b"data in-place tests\npause\n".to_vec())),
            output: Box::new(&mut output),
            errors: Box::new(std::io::sink()),
            host: Host::default(),
        },
    );
    assert_eq!(exit, Exit::Done);
    let text = String::from_utf8(output).unwrap();
    let (_, page) = text.split_once("> data in-place tests\n").unwrap();
    let rows: Vec<&str> = page.lines().map(str::trim).collect();
    let row = |start: &str| {
        let found = rows.iter().find(|row| row.starts_with(start));
        found.unwrap_or_else(|| panic!("no `{start}` in {page}"))
    };
    for (name, leads, terminal) in [
        ("low", "motor 53 to battery pos", "53"),
        ("high", "motor 53b to battery pos", "53b"),
    ] {
        let row = row(name);
        assert!(row.contains(leads), "{row}");
        let found = fed(&mut at(&vehicle(), &[]), terminal);
        let (amps, cycles) = (found[0].1.value, found[3].1.value);
        let figures = format!("{amps:.1} A, {cycles:.1} /min");
        assert!(row.contains(&figures), "{figures}: {row}");
    }
    assert!(row("park").contains("motor 53e to motor 53"), "{page}");
    assert!(
        row("motor 53a to battery pos").contains("at their rest"),
        "{page}"
    );
    insta::assert_snapshot!(page);
}
