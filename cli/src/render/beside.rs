//! What is told beside what was observed where the observation alone would mislead: nothing that could take notice, blades
//! that hardly move, parts that show to a hand and not to an eye.

use groundside_engine::attempt::Event;
use groundside_engine::vehicle::{ComponentId, Kind, Vehicle};
use groundside_engine::world::{Action, Observation, Quantity, Sense};

/// The level of a perception, if it is one of this quantity.
pub(super) fn level_of(seen: &Observation, wanted: Quantity) -> Option<usize> {
    match seen {
        Observation::Perception {
            quantity, level, ..
        } if *quantity == wanted => Some(*level),
        _ => None,
    }
}

/// What things are set to where that alone makes an observation what it is.
pub(super) fn as_things_are_set(
    parts: &mut Vec<String>,
    told: &[&Observation],
    event: &Event,
    vehicle: &Vehicle,
) {
    nothing_on(parts, told, event, vehicle);
    without_key(parts, told, event, vehicle);
}

/// Where a consumer is dead and has to be, as the key stands: that it is.
fn without_key(parts: &mut [String], told: &[&Observation], event: &Event, vehicle: &Vehicle) {
    let Action::Sense(Sense::Try(consumer)) = event.action else {
        return;
    };
    let dead = told
        .iter()
        .any(|seen| level_of(seen, Quantity::Strength) == Some(0));
    let Some(roles) = vehicle.roles().filter(|_| dead) else {
        return;
    };
    if !event.bench.waits_for_key(consumer, vehicle) {
        return;
    }
    let key = vehicle.component(roles.key).positions()[event.bench.positions[roles.key.index()]];
    let stands = match key {
        "off" => "off".to_owned(),
        position => format!("at {position}"),
    };
    if let Some(part) = parts.iter_mut().find(|part| part.ends_with(": dead")) {
        part.push_str(&format!(", as all on that feed is with the key {stands}"));
    }
}

/// Where something was shaken and the motor took no notice: whether it could have taken any, as things are set.
fn nothing_on(parts: &mut Vec<String>, told: &[&Observation], event: &Event, vehicle: &Vehicle) {
    let shaken = matches!(event.action, Action::Wiggle(_) | Action::Tug(_));
    let quiet = told
        .iter()
        .any(|seen| level_of(seen, Quantity::Falters) == Some(0));
    let Some(roles) = vehicle.roles().filter(|_| shaken && quiet) else {
        return;
    };
    let bench = &event.bench;
    if !bench.jumpers.is_empty() {
        return;
    }
    let key_off = bench.positions[roles.key.index()] != roles.key_on;
    let switched_off = bench.positions[roles.wiper.index()] == roles.off;
    let clipped = bench.clip.is_some();
    let notice = "the motor takes no notice";
    parts.retain(|part| !(key_off && clipped && part == notice));
    let instead = match (key_off, switched_off) {
        (true, _) => {
            "the key is off and no meter is clipped, so there is nothing that could take notice"
        }
        (false, true) => "the motor takes no notice, but the wiper is switched off",
        (false, false) => notice,
    };
    if let Some(part) = parts.iter_mut().find(|part| *part == notice) {
        instead.clone_into(part);
    }
}

/// Whether this is the pace of blades that hardly move but stop and go again: `still` would deny that.
pub(super) fn stops_and_goes(one: &Observation, seen: &[&Observation]) -> bool {
    let again = |seen: &&Observation| matches!(seen, Observation::Perception { quantity: Quantity::Evenness, word, .. } if word.starts_with("they stop and go"));
    level_of(one, Quantity::Pace) == Some(0) && seen.iter().any(again)
}

/// How a part is checked that an eye finds nothing on, whatever is wrong with it.
pub(super) fn elsewhere(part: ComponentId, vehicle: &Vehicle) -> String {
    let component = vehicle.component(part);
    let id = &component.id;
    match component.kind {
        Kind::CrankNut { .. } => format!(
            "; a spanner tells whether it is tight (`tighten {id}`), `look linkage` what follows the gear"
        ),
        Kind::Pivot { .. } => {
            let arm = vehicle.find(&id.as_str().replace("pivot", "arm"));
            let arm = arm.filter(|&arm| matches!(vehicle.component(arm).kind, Kind::Arm { .. }));
            let arm = arm.map_or_else(
                || "move the arm on it".to_owned(),
                |arm| format!("`move {}`", vehicle.component(arm).id),
            );
            format!("; stiffness and play are for the hand: {arm}")
        }
        Kind::Gear(_) => "; `look linkage` tells what turns".to_owned(),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::vehicle;

    fn seen(quantity: Quantity, level: usize, word: &'static str) -> Observation {
        Observation::Perception {
            quantity,
            subject: "blades".to_owned(),
            level,
            word,
        }
    }

    #[test]
    fn blades_that_stop_and_go_are_not_still() {
        let still = seen(Quantity::Pace, 0, "still");
        let slow = seen(Quantity::Pace, 2, "slow");
        let go = seen(Quantity::Evenness, 5, "they stop and go again");
        assert!(stops_and_goes(&still, &[&still, &go]));
        assert!(!stops_and_goes(&still, &[&still]));
        assert!(!stops_and_goes(&slow, &[&slow, &go]));
    }

    #[test]
    fn what_an_eye_cannot_tell_is_for_another_check() {
        let van = vehicle("van-case-ground").unwrap().vehicle;
        for (id, told) in [
            (
                "left-pivot",
                "; stiffness and play are for the hand: `move left-arm`",
            ),
            ("motor", ""),
        ] {
            assert_eq!(elsewhere(van.find(id).unwrap(), &van), told, "{id}");
        }
    }
}
