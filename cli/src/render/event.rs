//! What was done and what it gave, in at most four lines: what was measured, where, in which state.

use groundside_engine::attempt::Event;
use groundside_engine::quantity::Minutes;
use groundside_engine::vehicle::{Kind, Point, Vehicle};
use groundside_engine::world::{Action, Bench, Observation, Quantity, Shown};

use super::aside::{
    HURT, blown_again, clipped_beside, is_as_it_should_be, is_hurt, nothing_unusual, of_pivots,
    of_several_leads, with_arms_off,
};
use super::beside::{as_things_are_set, stops_and_goes};
use super::done::done;
use super::{amps, trace};
use crate::style::{Page, Tone, listed, named, sentence};

/// The reply to an action; `before` is the bench as it was.
pub(crate) fn reply(event: &Event, before: &Bench, vehicle: &Vehicle) -> Page {
    let mut page = Page::default();
    let (told, clipped) = split_clipped(event);
    let mut blades = None;
    for seen in told {
        if let Observation::Perception {
            quantity: Quantity::Blades,
            word,
            ..
        } = seen
        {
            blades = Some(*word);
        }
    }
    let told: Vec<&Observation> = told
        .iter()
        .filter(|seen| quantity(seen) != Quantity::Blades)
        .filter(|seen| !is_no_change(seen))
        .collect();
    let mut parts = observations(&told, event, vehicle);
    as_things_are_set(&mut parts, &told, event, vehicle);
    parts.extend(blown_again(&told, &event.action));
    parts.extend(clipped_beside(&told, event));
    with_arms_off(&mut parts, event, vehicle);
    let plain = nothing_unusual(&told, &event.action, vehicle);
    // A caught hand or a blown fuse is told with what was done, not in its place.
    let beside = |seen: &&Observation| match quantity(seen) {
        Quantity::Caught | Quantity::MotorChange | Quantity::NewFuse => true,
        Quantity::RelayClicks => matches!(event.action, Action::Control { .. }),
        Quantity::LeadFuse => !matches!(event.action, Action::Jumper { .. } | Action::NewFuse),
        _ => false,
    };
    if plain.is_none() && told.iter().all(beside) {
        let done = match (&event.action, before.jumpers.last()) {
            (Action::RemoveJumper { .. }, Some(ends)) => {
                format!("The jumper {} is off.", between(*ends, vehicle))
            }
            _ => done(&event.action, vehicle),
        };
        page.add(Tone::Plain, done);
    }
    parts.extend(plain);
    let hurt = is_hurt(&told);
    if !parts.is_empty() {
        page.add(Tone::Strong, sentence(&parts.join("; ")) + ".");
    }
    if hurt {
        page.add(Tone::Caution, HURT);
    }
    if let Some(clipped) = clipped {
        page.add(
            Tone::Strong,
            format!("Clipped: {}.", observation(clipped, event, vehicle)),
        );
    }
    if !matches!(event.action, Action::Note(_) | Action::Conclude(_)) {
        page.hanging(Tone::Quiet, state_line(event, vehicle, blades), "  ");
    }
    page.extend(trace::chart(&told));
    page
}

/// Whether a motor took no notice of a lead, which is not told.
fn is_no_change(seen: &Observation) -> bool {
    matches!(
        seen,
        Observation::Perception {
            quantity: Quantity::MotorChange,
            level: 1,
            ..
        }
    )
}

/// `motor 53 to battery pos`.
fn between(ends: (Point, Point), vehicle: &Vehicle) -> String {
    let names = [ends.0, ends.1].map(|point| vehicle.point_name(point));
    names.join(" to ")
}

/// The observations of an action, and apart from them what the clipped voltmeter saw, which comes last.
fn split_clipped(event: &Event) -> (&[Observation], Option<&Observation>) {
    match event.observations.split_last() {
        Some((last, rest)) if event.bench.clip.is_some() && quantity(last) == Quantity::Voltage => {
            (rest, Some(last))
        }
        _ => (&event.observations, None),
    }
}

pub(super) const fn quantity(seen: &Observation) -> Quantity {
    match seen {
        Observation::Reading { quantity, .. } | Observation::Perception { quantity, .. } => {
            *quantity
        }
    }
}

fn subject(seen: &Observation) -> &str {
    match seen {
        Observation::Reading { subject, .. } | Observation::Perception { subject, .. } => subject,
    }
}

/// The reply to an action that ends the attempt: what is still apart unless that was told already.
pub(crate) fn ended(event: &Event, vehicle: &Vehicle, told_apart: bool) -> Page {
    let mut page = Page::default();
    if matches!(event.action, Action::HandOver(_))
        && !told_apart
        && let Some(left) = left_apart(&event.bench, vehicle)
    {
        page.add(Tone::Caution, left);
    }
    let minutes = event.cost.total();
    if minutes > Minutes::ZERO {
        let text = format!("What was off or borrowed goes back first: {minutes} min.");
        page.add(Tone::Plain, text);
    }
    page.add(Tone::Plain, done(&event.action, vehicle));
    page
}

/// That something is still apart, undone or off; `None` when nothing is.
pub(crate) fn left_apart(bench: &Bench, vehicle: &Vehicle) -> Option<String> {
    let left = what_is_left(bench, vehicle)?;
    Some(format!("Still apart or off: {left}."))
}

/// What is still apart, undone or off, which is the person's own doing; `None` when nothing is.
pub(super) fn what_is_left(bench: &Bench, vehicle: &Vehicle) -> Option<String> {
    let mut parts = Vec::new();
    let apart = apart(bench, vehicle);
    if !apart.is_empty() {
        parts.push(apart);
    }
    let off: Vec<&str> = (vehicle.layout.covers.iter().zip(&bench.covers_off))
        .filter(|(_, off)| **off)
        .map(|(cover, _)| named(&cover.title))
        .collect();
    if !off.is_empty() {
        parts.push(format!("{} off", listed(&off, "and")));
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// Observations in words, without full stops: one piece each, but one for all that is heard.
pub(crate) fn observations(seen: &[&Observation], event: &Event, vehicle: &Vehicle) -> Vec<String> {
    let mut parts: Vec<String> = of_several_leads(seen, &event.action).into_iter().collect();
    let leads_told = !parts.is_empty();
    let mut listened = false;
    for one in seen {
        if is_as_it_should_be(one, seen) || (leads_told && quantity(one) == Quantity::LeadFuse) {
            continue;
        }
        if !matches!(
            quantity(one),
            Quantity::Pitch
                | Quantity::Hum
                | Quantity::Clicks
                | Quantity::Knock
                | Quantity::Flap
                | Quantity::Sag
        ) {
            let told = observation(one, event, vehicle);
            // Continuity gives a beep and ohms of the same two points, which are named once.
            let named = format!("{}: ", subject(one));
            let again = quantity(one) == Quantity::Resistance
                && parts
                    .last()
                    .is_some_and(|last: &String| last.starts_with(&named));
            parts.push(match told.strip_prefix(&named) {
                _ if stops_and_goes(one, seen) => "blades: hardly moving".to_owned(),
                Some(rest) if again => rest.to_owned(),
                _ => told,
            });
        } else if !listened {
            listened = true;
            parts.push(heard(seen));
        }
    }
    parts
}

/// What is heard of motor and breaker, as one sentence.
fn heard(seen: &[&Observation]) -> String {
    let level = |wanted: Quantity| {
        seen.iter().find_map(|one| match one {
            Observation::Perception {
                quantity,
                level,
                word,
                ..
            } if *quantity == wanted && *level > 0 => Some(*word),
            _ => None,
        })
    };
    let sinks = level(Quantity::Sag);
    let motor = match (level(Quantity::Pitch), level(Quantity::Hum)) {
        (Some(note), None) if sinks.is_some() => {
            let note = note.replacen("a steady note", "a note", 1);
            Some(format!(
                "{note} from the motor, {}",
                sinks.unwrap_or_default()
            ))
        }
        (Some(note), None) => Some(format!("{note} from the motor")),
        (Some(note), Some(_)) => Some(format!("{note} from the motor, and a hum when it stands")),
        (None, Some(_)) => Some("the motor hums but does not turn".to_owned()),
        (None, None) => None,
    };
    let told = match (motor, level(Quantity::Clicks)) {
        (Some(motor), Some(clicks)) => format!("{motor}; {clicks}"),
        (Some(motor), None) => motor,
        (None, Some(clicks)) => format!("{clicks}, no motor is heard"),
        (None, None) => "nothing is heard".to_owned(),
    };
    let besides = [level(Quantity::Knock), level(Quantity::Flap)];
    besides
        .into_iter()
        .flatten()
        .fold(told, |told, more| format!("{told}; {more}"))
}

/// An observation in words, without a full stop.
fn observation(seen: &Observation, event: &Event, vehicle: &Vehicle) -> String {
    match seen {
        Observation::Reading {
            quantity,
            subject,
            unit,
            shown,
            resolution,
            samples,
        } if !samples.is_empty() => {
            let told = reading(
                (*quantity, subject, unit),
                *shown,
                *resolution,
                event,
                vehicle,
            );
            told.replacen("clamp on", "low-amps clamp on", 1)
        }
        Observation::Reading {
            quantity,
            subject,
            unit,
            shown,
            resolution,
            ..
        } => reading(
            (*quantity, subject, unit),
            *shown,
            *resolution,
            event,
            vehicle,
        ),
        Observation::Perception {
            quantity,
            subject,
            word,
            ..
        } if *quantity == Quantity::LeadFuse
            && *word != "is whole"
            && matches!(event.action, Action::NewFuse) =>
        {
            format!("the new fuse of the {subject} blew again at once")
        }
        Observation::Perception {
            quantity,
            subject,
            word,
            ..
        } => perception(*quantity, subject, word),
    }
}

fn reading(
    (quantity, subject, unit): (Quantity, &str, &str),
    shown: Option<[Shown; 3]>,
    resolution: f64,
    event: &Event,
    vehicle: &Vehicle,
) -> String {
    let Some([mean, min, max]) = shown else {
        return match quantity {
            Quantity::DiodeVoltage => format!("{subject}, diode range: open"),
            Quantity::OpensAfter => "nothing opens within a minute".to_owned(),
            _ => format!("{subject}: overrange, more than the meter can show"),
        };
    };
    let swings = max.value() - min.value() > 1.5 * resolution;
    let swing = if swings {
        format!(" ({min} to {max})")
    } else {
        String::new()
    };
    match quantity {
        Quantity::Discharge => {
            let told = amps::either_way([mean, min, max], unit, swings);
            format!("dash ammeter: {told}")
        }
        Quantity::CyclesPerMinute => {
            let seconds = (event.cost.work.as_minutes() * 60.0).min(60.0);
            format!("{mean} cycles a minute{swing}, counted for {seconds:.0} s")
        }
        Quantity::Current => {
            let of_battery = amps::at_battery(subject, [mean, min, max], vehicle);
            let told = of_battery.map_or_else(
                || {
                    let arrow = amps::arrow(subject, vehicle).unwrap_or_default();
                    format!(", arrow towards {arrow}: {mean} {unit}{swing}")
                },
                |seen| format!(": {}", amps::either_way(seen, unit, swings)),
            );
            format!("clamp on {subject}{told}")
        }
        Quantity::SeriesCurrent => format!("{subject}, through the meter: {mean} {unit}{swing}"),
        Quantity::DiodeVoltage => format!("{subject}, diode range: {mean} {unit}{swing}"),
        Quantity::OpensAfter => format!("the first click after {mean} {unit}"),
        Quantity::Ripple => format!("{mean} {unit} peak to peak over two turns of the shaft"),
        _ => format!("{subject}: {mean} {unit}{swing}"),
    }
}

fn perception(quantity: Quantity, subject: &str, word: &str) -> String {
    match quantity {
        Quantity::Pace => format!("blades: {word}"),
        Quantity::Wipes => format!("the blades {word}"),
        Quantity::Rating => format!("{subject} is marked {word}"),
        Quantity::Blades => format!("blades {word}"),
        Quantity::Temperature => format!("{subject} feels {word}"),
        Quantity::Smell => format!("smell at {subject}: {word}"),
        Quantity::Warmth => format!("{subject} feels {word}"),
        Quantity::ArmTorque => format!("{subject} {word}"),
        Quantity::Strength
        | Quantity::Continuity
        | Quantity::Crust
        | Quantity::Chafe
        | Quantity::Told
        | Quantity::When => format!("{subject}: {word}"),
        Quantity::OffMark => format!("the crank {word}"),
        Quantity::Turned
        | Quantity::ArmOffMark
        | Quantity::Grip
        | Quantity::Melted
        | Quantity::Play
        | Quantity::Bent
        | Quantity::Adrift => {
            format!("{subject} {word}")
        }
        Quantity::Stay => format!("of the arms {word}"),
        Quantity::Brightness => format!("the lamp from {subject} {word}"),
        Quantity::Caught => format!("{subject}: {word}"),
        Quantity::NewFuse => format!("the new {subject} {word}"),
        Quantity::MeterFuse | Quantity::LeadFuse => format!("the fuse of the {subject} {word}"),
        Quantity::Rubber => format!("the rubber of {subject} {word}"),
        Quantity::BladeForce => format!("{subject}: the blade {word}"),
        Quantity::Glass => format!("the glass is {word}"),
        Quantity::Follows => format!("at the gear: {word}"),
        _ => word.to_owned(),
    }
}

/// Place, controls, what is apart, blades; minutes.
fn state_line(event: &Event, vehicle: &Vehicle, blades: Option<&str>) -> String {
    let place = &vehicle.layout.places[event.place.index()].title;
    let mut parts = vec![place.clone(), set(&event.bench, vehicle)];
    let apart = apart(&event.bench, vehicle);
    if !apart.is_empty() {
        parts.push(apart);
    }
    if let Some(blades) = blades {
        let told = format!("blades {blades}");
        parts.push(match event.bench.arms_off(vehicle) {
            true => of_pivots(&told),
            false => told,
        });
    }
    format!(
        "{}. {} min, {} so far",
        parts.join("; "),
        event.cost.total(),
        event.clock
    )
}

/// The controls and where they stand: switches always, consumers when they are on.
pub(crate) fn set(bench: &Bench, vehicle: &Vehicle) -> String {
    let controls: Vec<String> = vehicle
        .controls()
        .filter(|(id, component)| {
            matches!(component.kind, Kind::Switch { .. }) || bench.positions[id.index()] != 0
        })
        .map(|(id, component)| {
            let word = component.control.as_ref().map_or("", |word| word.as_str());
            let position = component.positions()[bench.positions[id.index()]];
            if matches!(component.kind, Kind::Alternator(_)) && bench.stalled {
                return format!("{word} not running");
            }
            format!("{word} {position}")
        })
        .collect();
    controls.join(", ")
}

/// What is unplugged and undone.
pub(crate) fn apart(bench: &Bench, vehicle: &Vehicle) -> String {
    let named = |flags: &[bool], state: &str| -> Vec<String> {
        vehicle
            .ids()
            .filter(|id| flags[id.index()])
            .map(|id| format!("{} {state}", vehicle.component(id).id))
            .collect()
    };
    let mut parts = named(&bench.unplugged, "unplugged");
    parts.extend(named(&bench.undone, "undone"));
    parts.extend(named(&bench.substituted, "swapped for a good one"));
    for &(first, second) in &bench.jumpers {
        parts.push(format!("jumper {}", between((first, second), vehicle)));
    }
    parts.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_heard_is_one_sentence() {
        let seen = |quantity, level, word| Observation::Perception {
            quantity,
            subject: "motor".to_owned(),
            level,
            word,
        };
        let heard = |pitch: Option<&'static str>, hums: bool, clicks: bool| {
            let all = [
                seen(
                    Quantity::Pitch,
                    usize::from(pitch.is_some()),
                    pitch.unwrap_or("no motor is heard"),
                ),
                seen(Quantity::Hum, usize::from(hums), "the motor hums"),
                seen(Quantity::Clicks, usize::from(clicks), "the breaker clicks"),
            ];
            sentence(&heard(&all.iter().collect::<Vec<_>>())) + "."
        };
        for (pitch, hums, clicks, expected) in [
            (None, false, false, "Nothing is heard."),
            (None, true, false, "The motor hums but does not turn."),
            (
                None,
                true,
                true,
                "The motor hums but does not turn; the breaker clicks.",
            ),
            (None, false, true, "The breaker clicks, no motor is heard."),
            (
                Some("a steady note"),
                false,
                false,
                "A steady note from the motor.",
            ),
            (
                Some("a low, labouring note"),
                true,
                true,
                "A low, labouring note from the motor, and a hum when it stands; the breaker clicks.",
            ),
        ] {
            assert_eq!(heard(pitch, hums, clicks), expected);
        }
    }
}
