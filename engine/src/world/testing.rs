//! What the tests of this layer start from.

use std::sync::Arc;

use super::{Action, Conditions, Observable, World};
use crate::file::read_vehicle;
use crate::scenario::Glass;

/// The van with a fault, on wet glass, everything off. Marked as a test by itself too, for whoever reads this file alone.
#[cfg(test)]
pub(super) fn van(fault: Option<&str>) -> World {
    standing(
        include_str!("../../../scenarios/van-case-ground.toml"),
        fault,
    )
}

/// The same of a vehicle's text.
#[cfg(test)]
pub(super) fn standing(text: &str, fault: Option<&str>) -> World {
    let sound = Arc::new(read_vehicle(text).unwrap().0);
    let fault = fault.map(|name| sound.parse_fault(name).unwrap());
    let vehicle = fault.map_or_else(
        || Arc::clone(&sound),
        |fault| Arc::new(sound.inject(&fault)),
    );
    let conditions = Conditions {
        glass: Glass::Wet,
        rain: false,
        helper: false,
    };
    World::new(vehicle, sound, conditions).unwrap()
}

/// What is observed, in truth, of something done in strict words.
#[cfg(test)]
pub(super) fn act(world: &mut World, words: &str) -> Vec<Observable> {
    let action = Action::from_words(words, &world.sound).unwrap();
    let permitted = world.permit(&action).unwrap();
    world.carry_out(&permitted).unwrap().observables
}
