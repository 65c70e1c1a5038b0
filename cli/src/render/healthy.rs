//! What a sound vehicle reads, found by letting one run: speeds, currents, voltages, the winding.

use std::sync::Arc;

use groundside_engine::machines::{meets_eu_rule, meets_us_rule};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Kind, Point, Vehicle};
use groundside_engine::world::{
    Action, Conditions, Measurement, Observation, Quantity, Sense, World,
};

use super::data::table;
use super::in_place::ARMS_OFF;
use crate::style::{Page, Tone, listed};

/// A sound vehicle at rest, everything off.
pub(super) fn standing(vehicle: &Arc<Vehicle>, glass: Glass) -> Option<World> {
    let conditions = Conditions {
        glass,
        rain: false,
        helper: false,
    };
    World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions).ok()
}

/// A sound vehicle with the key on and the wiper switch at a position.
fn running(vehicle: &Arc<Vehicle>, glass: Glass, position: usize) -> Option<World> {
    let mut world = standing(vehicle, glass)?;
    let (key, wiper) = (vehicle.control("key")?, vehicle.control("wiper")?);
    let on = vehicle.component(key).positions().len().checked_sub(1)?;
    for (component, position) in [(key, on), (wiper, position)] {
        let action = Action::Control {
            component,
            position,
            at_mid_glass: false,
            by_helper: false,
        };
        seen(&mut world, &action)?;
    }
    Some(world)
}

/// What a sound vehicle shows to an action, without any error of reading.
pub(super) fn seen(
    world: &mut World,
    action: &Action,
) -> Option<Vec<(Quantity, [f64; 3], Observation)>> {
    let permitted = world.permit(action).ok()?;
    let outcome = world.carry_out(&permitted).ok()?;
    let observables = outcome.observables.into_iter();
    Some(
        observables
            .map(|seen| {
                (
                    seen.quantity,
                    [seen.value, seen.min, seen.max],
                    seen.observe(groundside_engine::world::Errors::NONE),
                )
            })
            .collect(),
    )
}

pub(super) fn value(world: &mut World, action: &Action) -> Option<[f64; 3]> {
    seen(world, action)?.first().map(|(_, values, _)| *values)
}

/// The running positions of the wiper switch.
fn positions(vehicle: &Vehicle) -> Vec<(usize, String)> {
    let wiper = vehicle
        .control("wiper")
        .map(|id| vehicle.component(id).positions());
    let names = wiper.unwrap_or_default().into_iter().enumerate();
    names
        .map(|(position, name)| (position, name.to_owned()))
        .collect()
}

/// The chapter on speeds.
pub(super) fn speeds(vehicle: &Arc<Vehicle>) -> Page {
    let mut rows = vec![
        ["", "glass", "cycles a minute", "ammeter"]
            .map(str::to_owned)
            .to_vec(),
    ];
    let mut on_wet_glass = Vec::new();
    for (position, name) in positions(vehicle).into_iter().skip(1) {
        for glass in [Glass::Wet, Glass::Dry] {
            let Some(mut world) = running(vehicle, glass, position) else {
                continue;
            };
            let cycles = value(&mut world, &Action::Sense(Sense::Count));
            let amperes = value(&mut world, &Action::Sense(Sense::Ammeter));
            on_wet_glass.extend(
                cycles
                    .filter(|_| glass == Glass::Wet)
                    .map(|[value, ..]| value),
            );
            let show = |values: Option<[f64; 3]>, unit: &str| {
                values.map_or_else(
                    || "none".to_owned(),
                    |[value, ..]| format!("{value:.1}{unit}"),
                )
            };
            rows.push(vec![
                name.clone(),
                glass.word().to_owned(),
                show(cycles, ""),
                show(amperes, " A"),
            ]);
        }
    }
    let mut page = table(&rows);
    if on_wet_glass.len() > 1 {
        page.hanging(Tone::Quiet, format!("  {}", rules_met(&on_wet_glass)), "  ");
    }
    page
}

/// Which rules on wiping frequencies a sound vehicle's paces on wet glass meet.
fn rules_met(cycles: &[f64]) -> String {
    let rules = [
        (meets_us_rule(cycles), "the US (49 CFR 571.104)"),
        (meets_eu_rule(cycles), "the EU (Reg. 1008/2010)"),
    ];
    let met: Vec<&str> = rules
        .iter()
        .filter(|(met, _)| *met)
        .map(|(_, rule)| *rule)
        .collect();
    if met.is_empty() {
        "Wet, these paces meet neither the US nor the EU rule on frequencies.".to_owned()
    } else {
        format!(
            "Wet, these paces meet the rule on frequencies of {}.",
            listed(&met, "and of")
        )
    }
}

pub(super) fn motor_of(vehicle: &Vehicle) -> Option<ComponentId> {
    vehicle
        .ids()
        .find(|&id| matches!(vehicle.component(id).kind, Kind::Motor(_)))
}

pub(super) const fn point_of(component: ComponentId, terminal: usize) -> Point {
    Point {
        component,
        terminal,
    }
}

/// How many positions of the switch find room beside each other.
const SPEEDS_ABREAST: usize = 4;

/// Volts at the motor's terminals in some positions of the wiper switch.
fn volts_at(
    vehicle: &Arc<Vehicle>,
    glass: Glass,
    (motor, ground): (ComponentId, Point),
    shown: &[(usize, String)],
    arms_off: &mut bool,
) -> Page {
    // Beside the columns of more speeds there is less room.
    let first = match shown.len() {
        ..=3 => "volts over battery neg, plug on",
        _ => "volts, plug on",
    };
    let mut head = vec![first.to_owned()];
    let mut rows: Vec<Vec<String>> = (0..vehicle.component(motor).terminals.len())
        .map(|terminal| vec![vehicle.point_name(point_of(motor, terminal))])
        .collect();
    for (position, name) in shown {
        head.push(format!("wiper {name}"));
        let Some(world) = running(vehicle, glass, *position) else {
            continue;
        };
        for (terminal, row) in rows.iter_mut().enumerate() {
            let mut world = world.clone();
            let action = Action::Measure {
                what: Measurement::Volts,
                red: point_of(motor, terminal),
                black: ground,
            };
            row.push(value(&mut world, &action).map_or_else(|| "none".to_owned(), swing));
            *arms_off |= world.bench().arms_off(vehicle);
        }
    }
    rows.insert(0, head);
    table(&rows)
}

/// The chapter on voltages.
pub(super) fn voltages(vehicle: &Arc<Vehicle>, glass: Glass) -> Page {
    let Some((motor, ground)) = motor_of(vehicle).zip(battery_neg(vehicle)) else {
        return Page::of(Tone::Plain, "  No motor.");
    };
    // At intervals all hangs on the moment.
    let interval = vehicle.roles().and_then(|roles| roles.interval);
    let shown: Vec<_> = positions(vehicle)
        .into_iter()
        .filter(|(position, _)| Some(*position) != interval)
        .collect();
    let mut page = Page::default();
    let mut arms_off = false;
    for some in shown.chunks(SPEEDS_ABREAST) {
        let table = volts_at(vehicle, glass, (motor, ground), some, &mut arms_off);
        page.0.extend(table.0);
    }
    let (load, swings) = match arms_off {
        true => (ARMS_OFF.to_owned(), "motor"),
        false => (format!("{} glass", glass.word()), "blades"),
    };
    page.hanging(
        Tone::Quiet,
        format!("  Key on, {load}; a range where it swings with the {swings}."),
        "  ",
    );
    page
}

fn swing([mean, min, max]: [f64; 3]) -> String {
    if max - min > 0.05 {
        format!("{min:.2} to {max:.2}")
    } else {
        format!("{mean:.2}")
    }
}

pub(super) fn battery_neg(vehicle: &Vehicle) -> Option<Point> {
    vehicle
        .points()
        .find(|&point| vehicle.node(point).index() == 0)
}

/// The chapter on winding.
pub(super) fn winding(vehicle: &Arc<Vehicle>) -> Page {
    let none = || Page::of(Tone::Plain, "  No motor.");
    let Some(motor) = motor_of(vehicle) else {
        return none();
    };
    let conditions = Conditions {
        glass: Glass::Wet,
        rain: false,
        helper: false,
    };
    let Ok(mut world) = World::new(Arc::clone(vehicle), Arc::clone(vehicle), conditions) else {
        return none();
    };
    for plug in vehicle.plugs_of(motor) {
        let _ = seen(&mut world, &Action::Unplug(plug));
    }
    let count = vehicle.component(motor).terminals.len();
    let mut rows = Vec::new();
    for red in 0..count {
        for black in red + 1..count {
            let [red, black] = [red, black].map(|terminal| point_of(motor, terminal));
            let action = Action::Measure {
                what: Measurement::Ohms,
                red,
                black,
            };
            let shown = seen(&mut world, &action).and_then(|seen| seen.into_iter().next());
            let text = match shown {
                Some((
                    _,
                    _,
                    Observation::Reading {
                        shown: Some([mean, ..]),
                        unit,
                        ..
                    },
                )) => {
                    format!("{mean} {unit}")
                }
                _ => "open".to_owned(),
            };
            let name = |point| vehicle.point_name(point);
            rows.push(vec![format!("{} to {}", name(red), name(black)), text]);
        }
    }
    let mut page = table(&rows);
    page.add(
        Tone::Quiet,
        "  At rest and parked, plug off, as the meter shows it, its leads included.",
    );
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rules_that_paces_meet_are_named() {
        let both = rules_met(&[46.3, 67.9]);
        assert!(both.contains("US") && both.contains("EU") && !both.contains("neither"));
        let us = rules_met(&[58.0, 75.0]);
        assert!(us.contains("US") && !us.contains("EU"), "{us}");
        assert!(rules_met(&[40.0, 50.0]).contains("neither"));
    }

    /// Volts at the plug of the saloon are read with the arms off, which is another load than the paces were told at.
    #[test]
    fn the_book_says_whether_its_volts_are_with_the_arms_on() {
        for (id, told) in [
            ("van-case-ground", "Key on, wet glass; a range"),
            (
                "sedan-reversing",
                "Key on, the arms off, as they have to be",
            ),
        ] {
            let vehicle = Arc::new(crate::files::vehicle(id).unwrap().vehicle);
            let page = voltages(&vehicle, Glass::Wet).text();
            let joined = page.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(joined.contains(told), "{id}: {page}");
        }
    }
}
