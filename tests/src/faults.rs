//! What each fault does to the values of a vehicle, said a second time by the words of its name: one thing changes,
//! by as much as the severity says, and nothing else; its proper repairs take it back, and others do not.

use std::sync::Arc;

use groundside_engine::ident::Name;
use groundside_engine::machines::Stuck;
use groundside_engine::quantity::{Angle, Current, Interval, Length, Resistance, Torque};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{
    Component, Emf, Fault, Field, Gate, Kind, Loose, Path, ShaftArc, Surface, Vehicle,
};
use groundside_engine::world::{Action, Conditions, World};

use crate::fleet::{Variant, loose_variants, variants, vehicles};
use crate::ledger::{Known, Ledger};

crate::checks![
    a_fault_changes_one_thing_by_its_severity,
    repairs_cure_what_they_are_for,
    complaints_in_a_hundred_are_at_most_a_hundred,
];

/// What an open is in the vehicle format.
const OPEN: Resistance = Resistance::from_ohms(1e12);
/// Least friction of a pivot that is seized, newton metres: beyond what a wiper motor stalls at, 30 to 40 N.m at
/// the crank (common practice).
const SEIZED_LEAST_NM: f64 = 50.0;
/// And of a bearing that is seized, at the shaft: through 60 to 1 and a worm of efficiency 0.5, well over 1 N.m.
const SEIZED_SHAFT_LEAST_NM: f64 = 3.0;

/// Ratings of blade fuses, amperes [ISO 8820-3].
const RATINGS_A: [f64; 11] = [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];

/// All vehicles with a fault in them, and the sound ones.
fn faulty() -> Vec<(Arc<Vehicle>, Variant, Fault)> {
    let of = |sound: Arc<Vehicle>| {
        let with_fault = |variant: Variant| {
            let fault = variant.fault?;
            Some((Arc::clone(&sound), variant, fault))
        };
        let now_and_then = loose_variants(&sound);
        let list = variants(&sound).into_iter().chain(now_and_then);
        let list = list.filter_map(with_fault);
        list.collect::<Vec<_>>()
    };
    vehicles().into_iter().flat_map(of).collect()
}

/// Whether it is a pivot.
const fn pivots(kind: &Kind) -> bool {
    matches!(kind, Kind::Pivot { .. })
}

/// The path of a part with this name.
fn named<'c>(part: &'c mut Component, name: &str) -> Option<&'c mut Path> {
    part.paths
        .iter_mut()
        .find(|path| path.name.as_str() == name)
}

/// The path that a mode's name begins with; the only one where it begins with none.
fn path<'c>(part: &'c mut Component, mode: &str, ending: &str) -> Option<&'c mut Path> {
    match mode.strip_suffix(ending)? {
        "" => part.paths.first_mut(),
        name => named(part, name.strip_suffix('-')?),
    }
}

/// What a path gives way to by the words at the end of a mode, and how many characters they are.
fn loose(mode: &str, severity: f64) -> Option<(Loose, usize)> {
    let shaken = |millimetres: f64| Loose::Shaken {
        share: severity,
        play: Length::from_metres(millimetres / 1000.0),
    };
    let warm = Loose::Warm {
        after: Interval::from_seconds(60.0 * severity),
    };
    let wet = Loose::Wet {
        leak: Resistance::from_ohms(severity),
    };
    // A terminal gives by its length, a wire by its insulation, a screw by its slack.
    let all = [
        ("-loose", "loose", shaken(15.0)),
        ("loose", "loose", shaken(2.0)),
        ("broken-inside", "broken-inside", shaken(6.0)),
        ("-opens-warm", "opens-warm", warm),
        ("-leaks-wet", "leaks-wet", wet),
    ];
    let found = all.into_iter().find(|(ending, ..)| mode.ends_with(ending));
    found.map(|(_, words, loose)| (loose, words.len()))
}

/// What a fault leaves to be seen.
fn mark(part: &mut Component, mode: &str) {
    match part.kind {
        Kind::Connector { .. } | Kind::GroundPoint | Kind::Strap(_) | Kind::Battery(_)
            if mode.ends_with("high-resistance") || mode.ends_with("-oxide-film") =>
        {
            part.signs.crust = part.signs.crust.max(0.6);
        }
        Kind::Strap(_) if mode == "open" => part.signs.chafe = 0.6,
        Kind::Wire { .. } if mode == "short-to-ground" => part.signs.chafe = 0.6,
        Kind::Connector { .. } if mode.ends_with("-bridged") => part.signs.chafe = 0.6,
        Kind::Wire { .. } if mode == "chafed" => part.signs.chafe = 0.9,
        _ => {}
    }
}

/// Puts a fault into a part by the words of its mode; `None` for words that are not known here.
fn put(part: &mut Component, mode: &str, severity: f64) -> Option<()> {
    mark(part, mode);
    let ohms = Resistance::from_ohms(severity);
    match &mut part.kind {
        // A clamp has a screw's slack.
        Kind::Battery(_) if mode.ends_with("-loose") => {
            path(part, mode, "loose")?.loose = Some(Loose::Shaken {
                share: severity,
                play: Length::from_metres(0.002),
            });
        }
        Kind::Battery(_) if mode == "sulphated" => {
            let cells = part.paths.first_mut()?;
            cells.resistance = cells.resistance + ohms;
        }
        Kind::Wire { .. } if mode == "chafed" => {
            part.paths.first_mut()?.loose = Some(Loose::Wet { leak: ohms });
        }
        Kind::GroundPoint if mode == "paint-under" => {
            let screw = part.paths.first_mut()?;
            screw.resistance = screw.resistance + ohms;
        }
        Kind::Connector { .. } if mode.ends_with("-pushed-out") => {
            let pin = path(part, mode, "pushed-out")?;
            pin.resistance = OPEN;
            pin.loose = Some(Loose::Shaken {
                share: 0.3,
                play: Length::from_metres(15.0 / 1000.0),
            });
        }
        Kind::Connector { .. } if mode.ends_with("-bridged") => {
            let pins = mode.strip_suffix("bridged")?;
            let pairs = part.paths.windows(2);
            let mut pairs =
                pairs.filter(|pair| format!("{}-{}-", pair[0].name, pair[1].name) == pins);
            let (p, n) = pairs.next().map(|pair| (pair[0].p, pair[1].p))?;
            let mut bridge = part.paths.first()?.clone();
            (bridge.p, bridge.n, bridge.gate) = (p, n, Gate::Always);
            bridge.name = Name::new("bridge").ok()?;
            bridge.resistance = Resistance::from_ohms(0.05);
            part.paths.push(bridge);
        }
        Kind::Relay(data) if mode == "coil-shorted" => {
            data.pull_in = data.pull_in / (1.0 - severity);
            data.drop_out = data.drop_out / (1.0 - severity);
            let coil = named(part, "coil")?;
            coil.resistance = coil.resistance * (1.0 - severity);
        }
        Kind::Relay(data) if mode == "wrong-relay" => {
            data.pull_in = data.pull_in * 0.5;
            data.drop_out = data.drop_out * 0.5;
            let coil = named(part, "coil")?;
            coil.resistance = coil.resistance * 4.0;
        }
        Kind::Pump(data) if mode == "seized" => {
            data.seized = true;
            let winding = part.paths.first_mut()?;
            winding.resistance = winding.resistance * 0.35;
        }
        Kind::Switch { .. } if mode.ends_with("-intermittent") => {
            path(part, mode, "intermittent")?.loose = Some(Loose::Shaken {
                share: severity,
                play: Length::from_metres(1.0 / 1000.0),
            });
        }
        Kind::Motor(_) if mode == "wrong-motor" => {
            for path in &mut part.paths {
                if let Emf::PerSpeed(constant) = &mut path.emf {
                    *constant = *constant * severity;
                    path.resistance = path.resistance * (severity * severity);
                }
            }
        }
        Kind::ParkContact(data) if mode == "cam-shifted" => {
            data.centre = data.centre + Angle::from_degrees(severity);
        }
        Kind::Gear(_) if mode == "play" => part.wear.play = Angle::from_degrees(severity),
        Kind::Pivot { .. } if mode == "loose" => part.wear.play = Angle::from_degrees(severity),
        Kind::Arm { .. } if mode == "splines-stripped" => {
            part.wear.slips_at = Some(Torque::from_newton_metres(severity));
        }
        Kind::Arm { .. } if mode == "rubber-torn" => part.wear.torn = severity,
        Kind::Arm { data, .. } if mode == "spring-tired" => data.force = data.force * severity,
        Kind::Arm { .. } | Kind::CrankNut { .. } if mode == "off-its-mark" => {
            part.wear.astray = Angle::from_degrees(severity);
        }
        Kind::ConnectingLink if mode == "bent" => {
            part.wear.astray = Angle::from_degrees(severity);
        }
        Kind::Linkage(_) if mode == "link-off" => part.wear.off = true,
        Kind::ConnectingLink if mode == "off" => part.wear.off = true,
        Kind::Breaker(data) if mode == "welded" => data.ultimate = Current::from_amperes(1e5),
        Kind::Breaker(data) if mode == "weak" => data.ultimate = Current::from_amperes(severity),
        Kind::Fuse(_) if mode == "blown" => part.paths.first_mut()?.resistance = OPEN,
        Kind::Fuse(data) if mode.starts_with("too-") => {
            // The nearest of the ratings there are, and 15 % more for ever.
            let rating = RATINGS_A.into_iter().min_by(|one, other| {
                let off = |rating: &f64| (rating - severity).abs();
                off(one).total_cmp(&off(other))
            });
            data.ultimate = Current::from_amperes(rating? * 1.15);
        }
        Kind::Relay(_) if mode == "87-welded" => {
            named(part, "87")?.gate = Gate::Always;
            let other = named(part, "87a")?;
            (other.gate, other.resistance) = (Gate::Always, OPEN);
        }
        Kind::IntervalUnit(data) if mode.starts_with("timer-") => {
            let times = |span: Interval| Interval::from_seconds(span.seconds() * severity);
            (data.pulse, data.pause) = (times(data.pulse), times(data.pause));
        }
        Kind::Diode if mode == "shorted" => {
            let path = part.paths.first_mut()?;
            (path.gate, path.emf) = (Gate::Always, Emf::None);
            path.resistance = Resistance::from_ohms(0.02);
        }
        Kind::Diode if mode == "wrong-way-round" => {
            let path = part.paths.first_mut()?;
            (path.p, path.n) = (path.n, path.p);
        }
        Kind::Hose { flow } => *flow = if mode == "leaks" { severity } else { 0.0 },
        Kind::Gear(data) if mode == "stripped" => data.stripped = true,
        Kind::Eccentric(data) if mode == "stuck-in" => data.stuck = Some(Stuck::In),
        Kind::Eccentric(data) if mode == "stuck-out" => data.stuck = Some(Stuck::Out),
        Kind::CrankNut { slip } if mode == "loose" => {
            *slip = Some(Torque::from_newton_metres(severity));
        }
        Kind::Battery(_) if mode == "flat" => {
            let cells = part.paths.first_mut()?;
            if let Emf::Constant(volts) = &mut cells.emf {
                *volts = *volts * severity;
            }
            // 1.7 times at 0.93, 3.5 times at 0.75.
            cells.resistance = cells.resistance * (1.0 + 10.0 * (1.0 - severity));
        }
        Kind::Windscreen(surface) if mode == "iced" => {
            *surface = Surface::Iced { friction: severity };
        }
        Kind::Windscreen(surface) if mode == "dry" => {
            *surface = Surface::Dry { friction: severity };
        }
        Kind::Arm { data, .. } if mode == "wrong-blade" => data.force = data.force * severity,
        Kind::Pivot { friction } if mode == "stiff" => {
            *friction = *friction + Torque::from_newton_metres(severity);
        }
        Kind::Motor(_) if mode == "magnets-weak" => {
            for path in &mut part.paths {
                if let Emf::PerSpeed(constant) = &mut path.emf {
                    *constant = *constant * severity;
                }
            }
        }
        Kind::Motor(data) if mode == "bearing-dry" => {
            data.coulomb = data.coulomb + Torque::from_newton_metres(severity);
        }
        Kind::Motor(data) if mode.ends_with("-field-shorted") => {
            let Field::Wound(field) = &mut data.field else {
                return None;
            };
            let turns = match mode {
                "series-field-shorted" => &mut field.series_turns,
                _ => &mut field.shunt_turns,
            };
            *turns *= 1.0 - severity;
            let winding = path(part, mode, "shorted")?;
            winding.resistance = winding.resistance * (1.0 - severity);
        }
        Kind::Connector { .. } if mode.ends_with("-crossed") => {
            let pins = mode.strip_suffix("-crossed")?;
            let place = |pin: &str| part.paths.iter().position(|path| path.name.as_str() == pin);
            let cuts = pins.match_indices('-').map(|(at, _)| pins.split_at(at));
            let mut pairs = cuts
                .filter_map(|(one, other)| Some((place(one)?, place(other.strip_prefix('-')?)?)));
            let (one, other) = pairs.next()?;
            let far = part.paths[one].n;
            part.paths[one].n = part.paths[other].n;
            part.paths[other].n = far;
        }
        Kind::ParkContact(_) if mode == "stuck-on-feed" => {
            if let Some(ground) = named(part, "ground") {
                ground.resistance = OPEN;
            }
            named(part, "feed")?.gate = Gate::Always;
        }
        _ => {
            if let Some(loose) = loose(mode, severity) {
                let ending = mode.len() - loose.1;
                path(part, mode, &mode[ending..])?.loose = Some(loose.0);
            } else if let Some(path) = path(part, mode, "open") {
                path.resistance = OPEN;
            } else if let Some(path) = path(part, mode, "high-resistance") {
                path.resistance = path.resistance + ohms;
            } else if let Some(path) = path(part, mode, "oxide-film") {
                path.resistance = path.resistance + ohms;
            } else if let Some(path) = path(part, mode, "dead") {
                path.resistance = OPEN;
            } else if let Some(path) = path(part, mode, "worn") {
                path.resistance = path.resistance + ohms;
            } else if let Some(path) = path(part, mode, "short-to-ground") {
                path.to_body = Some(ohms);
            } else if let Some(path) = path(part, mode, "intermittent") {
                let (from, to) = (
                    Angle::ZERO,
                    Angle::from_radians(severity * std::f64::consts::TAU),
                );
                path.gate = Gate::ShaftOutside(ShaftArc { from, to });
            } else {
                path(part, mode, "stuck-closed")?.gate = Gate::Always;
            }
        }
    }
    Some(())
}

/// A motor with a coil that is broken or shorted as it was found, if that is the fault and every figure that it
/// changes is what it should be, to rounding.
fn coil(
    sound: &Vehicle,
    variant: &Variant,
    fault: &Fault,
    ledger: &mut Ledger,
) -> Option<Component> {
    let mode = sound.mode(fault).name;
    let place = fault.component.index();
    let mut part = sound.components[place].clone();
    let found = &variant.vehicle.components[place];
    let (Kind::Motor(data), Kind::Motor(after)) = (&mut part.kind, &found.kind) else {
        return None;
    };
    let what = |quantity: &str| format!("{quantity} of {}", variant.name);
    match (mode.as_str(), fault.severity) {
        ("coil-open", None) => {
            // Of a coil's part of the turn a brush bridges 0.9, half of it on either side.
            let half = 0.45 * 360.0 / f64::from(data.coils);
            let third = data.third_brush.map_or(180.0, Angle::degrees);
            let mut arcs = vec![(0.0, third), (third, 180.0), (180.0, 360.0)];
            arcs.retain(|(from, to)| from < to);
            let arcs_of = |path: &&mut Path| path.emf != Emf::None;
            let paths = part.paths.iter_mut().zip(&found.paths);
            for ((path, found), (from, to)) in paths.filter(|(path, _)| arcs_of(path)).zip(arcs) {
                let Gate::ShaftOutside(arc) = found.gate else {
                    ledger.fail(what("no gate"));
                    continue;
                };
                ledger.near(what("from"), arc.from.degrees(), from + half, 1e-9);
                ledger.near(what("to"), arc.to.degrees(), to - half, 1e-9);
                path.gate = found.gate.clone();
            }
        }
        ("coil-shorted", Some(share)) => {
            let turns = share / f64::from(data.coils);
            let (mut around, mut ring) = (0.0, 0.0);
            for (path, found) in part.paths.iter_mut().zip(&found.paths) {
                let (Emf::PerSpeed(was), Emf::PerSpeed(is)) = (path.emf, found.emf) else {
                    continue;
                };
                let (was, is) = (was.volt_seconds(), is.volt_seconds());
                let (ohms, left) = (path.resistance.ohms(), found.resistance.ohms());
                ledger.near(what("V s"), is, was * (1.0 - turns), 1e-12);
                ledger.near(what("ohm"), left, ohms * (1.0 - turns), 1e-12);
                (around, ring) = (around + was, ring + ohms);
                (path.emf, path.resistance) = (found.emf, found.resistance);
            }
            // The turns that are shorted: the square of their EMF for 1 rad/s, over their resistance.
            let drag = turns * around * around / ring;
            ledger.near(what("N.m.s"), after.shorted_nms, drag, 1e-12);
            ledger.near(what("share"), after.shorted, share, 1e-15);
            (data.shorted, data.shorted_nms) = (after.shorted, after.shorted_nms);
        }
        _ => return None,
    }
    Some(part)
}

fn a_fault_changes_one_thing_by_its_severity(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "the words of the fault's name");
    for (sound, variant, fault) in faulty() {
        let mode = sound.mode(&fault).name;
        let place = fault.component.index();
        let mut expected = Vehicle::clone(&sound);
        if let Some(part) = coil(&sound, &variant, &fault, ledger) {
            expected.components[place] = part;
        } else if mode.as_str() == "bearing-seized" {
            let found = &variant.vehicle.components[place];
            if let (Kind::Motor(data), Kind::Motor(after)) =
                (&mut expected.components[place].kind, &found.kind)
            {
                let what = format_args!("N.m of {}", variant.name);
                let added = (after.coulomb - data.coulomb).newton_metres();
                ledger.between(what, added, SEIZED_SHAFT_LEAST_NM, 1e2);
                data.coulomb = after.coulomb;
            }
        } else if mode.as_str() == "seized" && pivots(&sound.component(fault.component).kind) {
            let found = &variant.vehicle.components[place];
            if let Kind::Pivot { friction } = found.kind {
                let what = format_args!("N.m of {}", variant.name);
                ledger.between(what, friction.newton_metres(), SEIZED_LEAST_NM, 1e3);
            }
            expected.components[place].kind = found.kind.clone();
        } else {
            let severity = fault.severity.unwrap_or(f64::NAN);
            let known = put(&mut expected.components[place], mode.as_str(), severity);
            ledger.holds(format_args!("{} is known", variant.name), known.is_some());
        }
        ledger.holds(
            format_args!("{} does what its name says", variant.name),
            *variant.vehicle == expected,
        );
    }
}

/// A vehicle after the repair of a part by this name; `None` when there is no such repair.
fn repaired(
    (sound, variant): (&Arc<Vehicle>, &Variant),
    part: usize,
    name: &str,
) -> Option<Vehicle> {
    let component = sound.ids().nth(part)?;
    let repairs = &sound.component(component).repairs;
    let way = repairs
        .iter()
        .position(|repair| repair.name.as_str() == name)?;
    let conditions = Conditions {
        glass: Glass::Wet,
        rain: false,
        helper: false,
    };
    let (vehicle, sound) = (Arc::clone(&variant.vehicle), Arc::clone(sound));
    let mut world = World::new(vehicle, sound, conditions).unwrap();
    let action = Action::Repair { component, way };
    let permitted = world.permit(&action).unwrap();
    world.carry_out(&permitted).unwrap();
    Some(world.vehicle().clone())
}

fn repairs_cure_what_they_are_for(ledger: &mut Ledger) {
    ledger.source(Known::Computed, "what is put right is as it was");
    for (sound, variant, fault) in faulty() {
        let part = sound.component(fault.component);
        let cures = sound.mode(&fault).cures;
        for repair in &part.repairs {
            let after = repaired(
                (&sound, &variant),
                fault.component.index(),
                repair.name.as_str(),
            );
            let what = format_args!("{}, {}: cured or not", variant.name, repair.name);
            let cured = after.is_some_and(|after| after == *sound);
            // What is explained stays as it is.
            let cures = repair.name.as_str() != "explain" && cures.contains(&repair.name);
            ledger.holds(what, cured == cures);
        }
        // What it is built into brings it along.
        if let Some(whole) = part.part_of {
            let after = repaired((&sound, &variant), whole.index(), "replace");
            let what = format_args!("{}: comes new with what it is built into", variant.name);
            ledger.holds(what, after.is_some_and(|after| after == *sound));
        }
    }
}

fn complaints_in_a_hundred_are_at_most_a_hundred(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "weights are complaints in a hundred, shared out within a group",
    );
    for sound in vehicles() {
        for age in [0, 5, 12, 30] {
            let vehicle = Vehicle {
                age_years: age,
                ..Vehicle::clone(&sound)
            };
            let weights = vehicle.prior_weights();
            ledger.holds("every fault can come", weights.iter().all(|&w| w > 0.0));
            let what = format_args!("complaints in a hundred, {} at {age} years", sound.id);
            ledger.between(what, weights.iter().sum(), 50.0, 100.0);
        }
    }
}
