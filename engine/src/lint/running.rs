//! A sound vehicle, run: whether it keeps its protection closed, wipes, parks, and does so as often as the law asks.
//!
//! One mistake gives one finding: what opens its own protection is not blamed for blades that stand for it, nor blades
//! that stand for their frequency.

use std::sync::Arc;

use crate::file::{Code, Places};
use crate::machines::{meets_eu_rule, meets_us_rule};
use crate::quantity::Interval;
use crate::scenario::{Glass, Symptom};
use crate::vehicle::{Component, ComponentId, Kind, Roles, Vehicle};
use crate::world::{Conditions, Signature, Trial, World, WorldError, symptom};

/// Seconds for which the wipers are left in each position with everything on (judgement: time constants of
/// protections are of half a minute).
const LOADED_S: f64 = 300.0;
/// Seconds from one look at the protections to the next, once one of them is known to open: less than any of them needs to
/// close again.
const LOOK_S: f64 = 2.0;
/// Most positions of a wiper switch that are run: each is run for as long as that twice over, and then as a driver would.
const POSITIONS_MAX: usize = 16;

/// Runs the vehicle and reports what a sound one does not do.
pub(super) fn check(vehicle: &Arc<Vehicle>, places: &Places<'_>) {
    let Some(roles) = vehicle.roles() else {
        return;
    };
    let switch = vehicle.component(roles.wiper);
    let positions = switch.positions().len();
    if positions > POSITIONS_MAX {
        let message = format!(
            "the vehicle is not run: {} has {positions} positions, more than {POSITIONS_MAX}",
            switch.id
        );
        let help = "play it in every position instead".to_owned();
        let span = places.component(switch.id.as_str());
        places
            .findings
            .warning(Code::NotChecked, span, message, Some(help));
        return;
    }
    let outcome = opens_itself(vehicle, &roles, places).and_then(|opens| match opens {
        true => Ok(()),
        false => wipes_and_parks(vehicle, &roles, places),
    });
    if let Err(error) = outcome {
        cannot_run(&error, places);
    }
}

/// Reports that a vehicle cannot be run.
pub(super) fn cannot_run(error: &WorldError, places: &Places<'_>) {
    let message = format!("the vehicle cannot be run: {error}");
    let span = places.table("vehicle");
    places.findings.error(Code::CannotRun, span, message, None);
}

/// Everything that opens by its own heat.
fn protections(vehicle: &Vehicle) -> Vec<ComponentId> {
    let opens = |id: &ComponentId| {
        matches!(
            vehicle.component(*id).kind,
            Kind::Breaker(_) | Kind::Fuse(_) | Kind::FusibleLink(_)
        )
    };
    vehicle.ids().filter(opens).collect()
}

/// A vehicle with its key on, a position of its wiper switch and all consumers on, the engine running or not.
fn loaded(
    vehicle: &Arc<Vehicle>,
    roles: &Roles,
    position: usize,
    engine: bool,
) -> Result<Trial, WorldError> {
    let mut trial = Trial::new(vehicle, Glass::Wet)?;
    trial.set(roles.key, roles.key_on);
    trial.set(roles.wiper, position);
    for (id, part) in vehicle.controls() {
        match part.kind {
            Kind::Consumer(_) => trial.set(id, 1),
            Kind::Alternator(_) => trial.set(id, usize::from(engine)),
            _ => {}
        }
    }
    Ok(trial)
}

/// Whether a protection opens with nothing wrong; each is reported once, with the first case of it.
fn opens_itself(
    vehicle: &Arc<Vehicle>,
    roles: &Roles,
    places: &Places<'_>,
) -> Result<bool, WorldError> {
    let mut left = protections(vehicle);
    let all = left.len();
    let engines: &[bool] = match vehicle.engines().next() {
        Some(_) => &[false, true],
        None => &[false],
    };
    let words = vehicle.component(roles.wiper).positions();
    for (position, word) in words.iter().enumerate() {
        for &engine in engines {
            let mut trial = loaded(vehicle, roles, position, engine)?;
            let whole = trial.run(Interval::from_seconds(LOADED_S), &[])?;
            // What closes again may be closed at the end; what melts does so without a click.
            if whole.clicks == 0 && !left.iter().any(|&id| trial.is_tripped(id)) {
                continue;
            }
            let mut trial = loaded(vehicle, roles, position, engine)?;
            let mut seconds = 0.0;
            while seconds < LOADED_S && !left.is_empty() {
                trial.run(Interval::from_seconds(LOOK_S), &[])?;
                seconds += LOOK_S;
                left.retain(|&id| {
                    let opened = trial.is_tripped(id);
                    if opened {
                        let with = if engine { ", the engine running" } else { "" };
                        let case = format!(
                            "after {seconds} s with the key on, the wipers at `{word}`, all consumers on{with}"
                        );
                        report_opened(vehicle, id, &case, places);
                    }
                    !opened
                });
            }
        }
    }
    Ok(left.len() < all)
}

fn report_opened(vehicle: &Vehicle, id: ComponentId, case: &str, places: &Places<'_>) {
    let part = vehicle.component(id);
    let (does, help) = match part.kind {
        Kind::Fuse(_) => ("blows", "a higher `rating_a`, or less on it"),
        Kind::FusibleLink(_) => ("melts", "a higher `ultimate_a`, or less on it"),
        _ => ("trips", "a higher `ultimate_a`, or less on it"),
    };
    let message = format!("{} {does} with nothing wrong, {case}", part.id);
    let span = places.component(part.id.as_str());
    let help = Some(help.to_owned());
    places
        .findings
        .error(Code::OpensItself, span, message, help);
}

/// Whether a sound vehicle is one that nobody complains of, and wipes as often as the law asks.
fn wipes_and_parks(
    vehicle: &Arc<Vehicle>,
    roles: &Roles,
    places: &Places<'_>,
) -> Result<(), WorldError> {
    if vehicle.drive_train()?.is_none() {
        return Ok(());
    }
    let conditions = Conditions {
        glass: Glass::Wet,
        rain: false,
        helper: false,
    };
    let world = World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions)?;
    let shown = Signature::of(world)?;
    if let Some(symptom) = symptom(&shown, &shown) {
        let is_pump = |part: &&Component| matches!(part.kind, Kind::Pump(_));
        let at = match symptom {
            Symptom::NoWash => vehicle.components.iter().find(is_pump),
            _ => None,
        };
        let at = at.unwrap_or_else(|| vehicle.component(roles.wiper));
        let span = places.component(at.id.as_str());
        let (code, message, help) = complaint(symptom, &shown, vehicle, roles);
        let help = Some(help.to_owned());
        places.findings.error(code, span, message, help);
        return Ok(());
    }
    if shown.at_intervals.is_some_and(|pace| pace <= 0.0) {
        let message = "with nothing wrong the blades do not wipe at `interval`";
        let span = places.component(vehicle.component(roles.wiper).id.as_str());
        let help = "what the unit needs to work, and what its output drives".to_owned();
        let help = Some(help);
        places
            .findings
            .error(Code::DoesNotWipe, span, message, help);
        return Ok(());
    }
    frequencies(&shown, vehicle, roles, places);
    Ok(())
}

/// What is said of a sound vehicle that a driver would complain of.
fn complaint(
    symptom: Symptom,
    shown: &Signature,
    vehicle: &Vehicle,
    roles: &Roles,
) -> (Code, String, &'static str) {
    let paces = paces(shown, vehicle, roles);
    match symptom {
        Symptom::Dead
        | Symptom::BladesStill
        | Symptom::NoLow
        | Symptom::NoHigh
        | Symptom::NoMedium
        | Symptom::OneBladeStill => (
            Code::DoesNotWipe,
            format!("with nothing wrong the blades do not wipe in every position: {paces}"),
            "`solve` shows where the current goes in a position, and `--crank` where the motor is held",
        ),
        Symptom::RunsOn | Symptom::DoesNotPark => (
            Code::DoesNotPark,
            format!(
                "with nothing wrong the blades {} after OFF",
                match symptom {
                    Symptom::RunsOn => "go on".to_owned(),
                    _ => format!("stop up to {:.0} mm from their rest", shown.off_rest_mm),
                }
            ),
            "`centre_deg` and `half_width_deg` of the park contact, and what brakes the motor there",
        ),
        other => (
            Code::NotSound,
            format!(
                "with nothing wrong a driver would complain of `{}`",
                other.word()
            ),
            "what a sound vehicle does is what its faults are told by",
        ),
    }
}

/// Each speed with its pace: `low 42.1, high 61.0 a minute`.
fn paces(shown: &Signature, vehicle: &Vehicle, roles: &Roles) -> String {
    let words = vehicle.component(roles.wiper).positions();
    let one = |(position, pace): (&usize, f64)| {
        let word = words.get(*position).copied().unwrap_or_default();
        format!("{word} {pace:.1}")
    };
    let paces = shown.speeds.iter().map(|speed| speed.pace);
    let all: Vec<String> = roles.speeds.iter().zip(paces).map(one).collect();
    format!("{} cycles a minute", all.join(", "))
}

/// Whether the paces on wet glass are those that the law asks for. A vehicle of one speed is older than these rules, so
/// its author is told and no more.
fn frequencies(shown: &Signature, vehicle: &Vehicle, roles: &Roles, places: &Places<'_>) {
    let per_minute: Vec<f64> = shown.speeds.iter().map(|speed| speed.pace).collect();
    let rules = [
        (meets_us_rule(&per_minute), "49 CFR 571.104"),
        (meets_eu_rule(&per_minute), "Regulation (EU) 1008/2010"),
    ];
    let failed: Vec<&str> = rules
        .iter()
        .filter(|(met, _)| !met)
        .map(|(_, rule)| *rule)
        .collect();
    if failed.is_empty() {
        return;
    }
    let message = format!(
        "on wet glass the blades wipe at {}, which is not what {} asks for",
        paces(shown, vehicle, roles),
        failed.join(" or ")
    );
    let help = "at least 45 a minute at the fastest, and a slower one 15 or more below it, of 20 (United States) or of 10 \
                to 55 (European Union)";
    let motor = vehicle
        .components
        .iter()
        .find(|part| matches!(part.kind, Kind::Motor(_)));
    let span = motor.map_or(0..0, |motor| places.component(motor.id.as_str()));
    let help = Some(help.to_owned());
    if failed.len() == rules.len() && per_minute.len() > 1 {
        places
            .findings
            .error(Code::WipingFrequency, span, message, help);
    } else {
        places
            .findings
            .warning(Code::WipingFrequency, span, message, help);
    }
}
