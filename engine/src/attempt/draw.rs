//! Drawing the hidden fault by seed, among those that bring a complaint the scenario knows.

use std::fmt;
use std::sync::Arc;

use crate::network::SolveError;
use crate::quantity::Angle;
use crate::random::{Purpose, Seed, Stream};
use crate::scenario::{Scenario, Selector, Symptom};
use crate::vehicle::{ComponentId, Fault, Mode, Vehicle};
use crate::world::{Chance, Conditions, Signature, World, WorldError, symptom};

/// Draws tried before a scenario is said to have no fault that brings its complaints.
const DRAWS_MAX: usize = 400;

/// A value that neither prints nor compares: the learner's program holds it, the learner does not.
#[derive(Clone)]
pub struct Hidden<T>(T);

impl<T> Hidden<T> {
    /// Hides a value.
    pub const fn new(value: T) -> Self {
        Self(value)
    }

    /// Shows it, which the engine does only when the attempt is over.
    pub(crate) const fn reveal(&self) -> &T {
        &self.0
    }
}

impl<T> fmt::Debug for Hidden<T> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("hidden")
    }
}

/// What an attempt is about: what is wrong, and how the vehicle came in.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// What is wrong.
    pub fault: Fault,
    /// What the driver noticed.
    pub symptom: Symptom,
    /// Where the shaft stood before the last use.
    pub shaft: Angle,
}

/// Why nothing could be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DrawError {
    /// The pool selects no fault of the vehicle.
    #[error("the fault pool of scenario `{0}` selects no fault of its vehicle")]
    EmptyPool(String),
    /// No draw brought a complaint that the scenario knows.
    #[error("no fault in the pool of scenario `{0}` brings one of its complaints")]
    NoComplaint(String),
    /// The chosen fault brings no complaint that the scenario knows.
    #[error("`{fault}` brings {brings}, and scenario `{scenario}` has no words for that")]
    NotTold {
        /// The fault.
        fault: String,
        /// What it brings.
        brings: String,
        /// The scenario.
        scenario: String,
    },
    /// The vehicle has no wipers that a driver could work.
    #[error("vehicle `{0}` has no wipers to work: it needs a motor and controls `key` and `wiper`")]
    NothingToWork(String),
    /// The vehicle cannot be run.
    #[error(transparent)]
    World(#[from] WorldError),
}

impl From<SolveError> for DrawError {
    fn from(error: SolveError) -> Self {
        Self::World(WorldError::Solve(error))
    }
}

/// The conditions a scenario sets.
#[must_use]
pub const fn conditions(scenario: &Scenario) -> Conditions {
    Conditions {
        glass: scenario.glass,
        helper: scenario.helper,
    }
}

/// Whether a pool lets a fault in; an empty pool lets all in that are faults, and what is none only comes
/// where it is asked for.
#[must_use]
pub fn in_pool(pool: &[Selector], vehicle: &Vehicle, component: ComponentId, mode: &Mode) -> bool {
    let component = vehicle.component(component);
    (pool.is_empty() && !mode.is_condition())
        || pool
            .iter()
            .any(|selector| selector.selects(component, mode))
}

/// A vehicle with a fault in it, as it comes into the workshop.
///
/// # Errors
/// [`WorldError`] when it cannot be run.
pub fn world_of(
    sound: &Arc<Vehicle>,
    fault: &Fault,
    shaft: Angle,
    scenario: &Scenario,
    chance: Chance,
) -> Result<World, WorldError> {
    let mut world = World::new(
        Arc::new(sound.inject(fault)),
        Arc::clone(sound),
        conditions(scenario),
    )?;
    world.set_chance(chance);
    world.set_shaft(shaft);
    world.arrive()?;
    Ok(world)
}

/// What a sound vehicle does under a scenario's conditions.
///
/// # Errors
/// [`WorldError`] when it cannot be run.
pub fn sound_signature(sound: &Arc<Vehicle>, scenario: &Scenario) -> Result<Signature, WorldError> {
    let world = World::new(Arc::clone(sound), Arc::clone(sound), conditions(scenario))?;
    Ok(Signature::of(world)?)
}

/// Draws what is wrong: fault by the vehicle's prior weights within the pool, severity by its law, again
/// while the driver would have nothing to say of it.
///
/// # Errors
/// [`DrawError`] when the pool has nothing that brings a complaint of the scenario.
pub fn draw(sound: &Arc<Vehicle>, scenario: &Scenario, seed: Seed) -> Result<Draw, DrawError> {
    let faults = sound.faults();
    let prior = sound.prior_weights();
    let allowed = |component, mode: &Mode| {
        scenario.can_bring(mode) && in_pool(&scenario.pool, sound, component, mode)
    };
    let weights: Vec<f64> = faults
        .iter()
        .zip(prior)
        .map(|((component, _, mode), weight)| {
            if allowed(*component, mode) {
                weight
            } else {
                0.0
            }
        })
        .collect();
    workable(sound)?;
    let shaft = shaft_of(seed);
    let healthy = sound_signature(sound, scenario)?;
    let chance = Chance::of_the_truth(seed);
    let mut choice = Stream::new(seed, Purpose::FaultChoice);
    let mut severities = Stream::new(seed, Purpose::Severity);
    for _ in 0..DRAWS_MAX {
        let place = choice
            .pick(&weights)
            .ok_or_else(|| DrawError::EmptyPool(scenario.id.to_string()))?;
        let (component, mode, data) = &faults[place];
        let severity = data.severity.map(|law| law.draw(&mut severities));
        let fault = Fault {
            component: *component,
            mode: *mode,
            severity,
        };
        let brought = symptom(
            &Signature::of(world_of(sound, &fault, shaft, scenario, chance)?)?,
            &healthy,
        );
        if let Some(symptom) = brought.filter(|&symptom| scenario.complaint(symptom).is_some()) {
            return Ok(Draw {
                fault,
                symptom,
                shaft,
            });
        }
    }
    Err(DrawError::NoComplaint(scenario.id.to_string()))
}

/// Takes a chosen fault instead of drawing one.
///
/// # Errors
/// [`DrawError::NotTold`] when the scenario has no words for what it brings.
pub fn draw_chosen(
    sound: &Arc<Vehicle>,
    scenario: &Scenario,
    seed: Seed,
    fault: Fault,
) -> Result<Draw, DrawError> {
    workable(sound)?;
    let shaft = shaft_of(seed);
    let healthy = sound_signature(sound, scenario)?;
    let chance = Chance::of_the_truth(seed);
    let brought = symptom(
        &Signature::of(world_of(sound, &fault, shaft, scenario, chance)?)?,
        &healthy,
    );
    match brought.filter(|&symptom| scenario.complaint(symptom).is_some()) {
        Some(symptom) => Ok(Draw {
            fault,
            symptom,
            shaft,
        }),
        None => Err(DrawError::NotTold {
            fault: sound.fault_name(&fault),
            brings: brought.map_or("no complaint", Symptom::word).to_owned(),
            scenario: scenario.id.to_string(),
        }),
    }
}

/// Whether a driver has something to work and to see.
fn workable(sound: &Vehicle) -> Result<(), DrawError> {
    let controls = sound.control("key").is_some() && sound.control("wiper").is_some();
    let moves = sound.drive_train().map_err(WorldError::from)?.is_some();
    if controls && moves {
        Ok(())
    } else {
        Err(DrawError::NothingToWork(sound.id.to_string()))
    }
}

fn shaft_of(seed: Seed) -> Angle {
    Angle::from_radians(Stream::new(seed, Purpose::InitialAngle).unit() * std::f64::consts::TAU)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shaft_stands_anywhere_in_its_turn() {
        let mut quarters = [0_u32; 4];
        for seed in 0..4000 {
            let share = shaft_of(Seed(seed)).radians() / std::f64::consts::TAU;
            let quarter = [0.25, 0.5, 0.75, 1.0].iter().position(|end| share < *end);
            quarters[quarter.unwrap()] += 1;
        }
        // A quarter of them each, within five standard deviations.
        assert!(
            quarters.iter().all(|count| (860..1140).contains(count)),
            "{quarters:?}"
        );
    }

    #[test]
    fn what_is_hidden_does_not_print() {
        assert_eq!(format!("{:?}", Hidden::new(42)), "hidden");
    }
}
