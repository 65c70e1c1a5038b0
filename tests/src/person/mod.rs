//! What a person at a vehicle sees, hears, feels, reads and is charged, worked out by hand from the figures in the
//! shipped vehicle's file: currents by Ohm's law, angles by the law of cosines, heat by the law of the breaker,
//! minutes by adding up.
//!
//! A person here acts on the world itself, so that what is compared is the value before instrument and senses add
//! their errors; displays are looked at apart.

pub mod instruments;
pub mod rules;
pub mod senses;

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{
    Action, Conditions, Hazard, Observable, Outcome, Permitted, Quantity, World,
};

use crate::{faulty, vehicle};

/// Open-circuit volts of the battery.
const BATTERY_V: f64 = 12.6;

/// A person at the shipped vehicle, blades parked, everything off, wet glass.
#[derive(Clone)]
struct Person {
    world: World,
}

impl Person {
    /// At a sound vehicle.
    fn new() -> Self {
        Self::at(vehicle())
    }

    /// At one with a fault, as `component.mode:severity`.
    fn with(fault: &str) -> Self {
        Self::at(faulty(fault))
    }

    fn at(changed: Arc<Vehicle>) -> Self {
        let conditions = Conditions {
            glass: Glass::Wet,
            helper: true,
        };
        let mut world = World::new(changed, vehicle(), conditions).unwrap();
        world.arrive().unwrap();
        Self { world }
    }

    fn permit(&self, words: &str) -> Permitted {
        let action = Action::from_words(words, self.world.vehicle()).unwrap();
        self.world.permit(&action).unwrap()
    }

    /// Does something, in strict words.
    fn does(&mut self, words: &str) -> Outcome {
        let permitted = self.permit(words);
        self.world.carry_out(&permitted).unwrap()
    }

    /// Does several things, one after the other.
    fn does_all(&mut self, list: &[&str]) {
        for words in list {
            self.does(words);
        }
    }

    /// What is observed of a quantity when something is done, last of all.
    fn observes(&mut self, words: &str, quantity: Quantity) -> Observable {
        let mut observables = self.does(words).observables.into_iter().rev();
        let found = observables.find(|seen| seen.quantity == quantity);
        found.unwrap_or_else(|| panic!("`{words}` tells no {quantity:?}"))
    }

    /// Its mean, in its unit.
    fn finds(&mut self, words: &str, quantity: Quantity) -> f64 {
        self.observes(words, quantity).value
    }

    /// The cautions that come before something is done.
    fn cautions(&self, words: &str) -> Vec<Hazard> {
        self.permit(words).hazards().to_vec()
    }
}
