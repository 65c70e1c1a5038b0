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

/// A person at a vehicle, blades parked, everything off, wet glass.
#[derive(Clone, Debug)]
pub struct Person {
    /// The vehicle and the person's bench.
    pub world: World,
}

impl Default for Person {
    fn default() -> Self {
        Self::new()
    }
}

impl Person {
    /// At the shipped vehicle, sound.
    #[must_use]
    pub fn new() -> Self {
        Self::at(vehicle())
    }

    /// At one with a fault, as `component.mode:severity`.
    #[must_use]
    pub fn with(fault: &str) -> Self {
        Self::at(faulty(fault))
    }

    fn at(changed: Arc<Vehicle>) -> Self {
        Self::of(changed, vehicle())
    }

    /// At any vehicle, and what it is when sound.
    #[must_use]
    pub fn of(changed: Arc<Vehicle>, sound: Arc<Vehicle>) -> Self {
        let conditions = Conditions {
            glass: Glass::Wet,
            rain: false,
            helper: true,
        };
        let mut world = World::new(changed, sound, conditions).unwrap();
        world.arrive().unwrap();
        Self { world }
    }

    /// Whether something can be done, in strict words, and at what cost.
    #[must_use]
    pub fn permit(&self, words: &str) -> Permitted {
        let action = Action::from_words(words, self.world.vehicle()).unwrap();
        self.world.permit(&action).unwrap()
    }

    /// Does something, in strict words.
    pub fn does(&mut self, words: &str) -> Outcome {
        let permitted = self.permit(words);
        self.world.carry_out(&permitted).unwrap()
    }

    /// Does several things, one after the other.
    pub fn does_all(&mut self, list: &[&str]) {
        for words in list {
            self.does(words);
        }
    }

    /// What is observed of a quantity when something is done, last of all.
    pub fn observes(&mut self, words: &str, quantity: Quantity) -> Observable {
        let mut observables = self.does(words).observables.into_iter().rev();
        let found = observables.find(|seen| seen.quantity == quantity);
        found.unwrap_or_else(|| panic!("`{words}` tells no {quantity:?}"))
    }

    /// Its mean, in its unit.
    pub fn finds(&mut self, words: &str, quantity: Quantity) -> f64 {
        self.observes(words, quantity).value
    }

    /// The cautions that come before something is done.
    #[must_use]
    pub fn cautions(&self, words: &str) -> Vec<Hazard> {
        self.permit(words).hazards().to_vec()
    }
}
