//! Drawing the hidden fault by seed, among those that bring a complaint the scenario knows.

use std::fmt;
use std::sync::Arc;

use crate::network::SolveError;
use crate::quantity::Angle;
use crate::random::{Purpose, Seed, Stream};
use crate::scenario::{Scenario, Selector, Symptom};
use crate::vehicle::{ComponentId, Fault, Faults, Mode, ModeId, Vehicle};
use crate::world::{Chance, Conditions, Signature, World, WorldError, noticed};

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
    pub faults: Faults,
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
    /// No second fault brought one beside the first.
    #[error(
        "the pool of scenario `{0}` has no second fault that brings a complaint beside the first"
    )]
    NoSecond(String),
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
        rain: scenario.rain,
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

/// A vehicle with a fault in it, or two, as it comes into the workshop.
///
/// # Errors
/// [`WorldError`] when it cannot be run.
pub fn world_of(
    sound: &Arc<Vehicle>,
    faults: impl Into<Faults>,
    shaft: Angle,
    scenario: &Scenario,
    chance: Chance,
) -> Result<World, WorldError> {
    let mut world = World::new(
        Arc::new(sound.inject_all(&faults.into())),
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
/// while the driver would have nothing to say of it. A second fault, where the scenario asks for it, is drawn
/// on from there: of another part, one to complain of by itself, and both together too.
///
/// # Errors
/// [`DrawError`] when the pool has nothing that brings a complaint of the scenario.
pub fn draw(sound: &Arc<Vehicle>, scenario: &Scenario, seed: Seed) -> Result<Draw, DrawError> {
    let driver = Driver::of(sound, scenario, seed)?;
    let mut lots = Lots::of(sound, scenario, seed);
    let (main, symptom) = (0..DRAWS_MAX)
        .find_map(|_| lots.next(|fault| driver.tells(fault)).transpose())
        .unwrap_or_else(|| Err(DrawError::NoComplaint(scenario.id.to_string())))?;
    let mut draw = Draw {
        faults: main.into(),
        symptom,
        shaft: driver.shaft,
    };
    if scenario.faults > 1 {
        let beside = |fault: Fault| -> Result<Option<Symptom>, DrawError> {
            let taken = sound.put_right_together(main.component, fault.component);
            if taken || driver.tells(fault)?.is_none() {
                return Ok(None);
            }
            driver.tells(Faults {
                main,
                second: Some(fault),
            })
        };
        let (second, symptom) = (0..DRAWS_MAX)
            .find_map(|_| lots.next(beside).transpose())
            .unwrap_or_else(|| Err(DrawError::NoSecond(scenario.id.to_string())))?;
        draw.faults.second = Some(second);
        draw.symptom = symptom;
    }
    Ok(draw)
}

/// Takes chosen faults instead of drawing.
///
/// # Errors
/// [`DrawError::NotTold`] when the scenario has no words for what they bring.
pub fn draw_chosen(
    sound: &Arc<Vehicle>,
    scenario: &Scenario,
    seed: Seed,
    faults: impl Into<Faults>,
) -> Result<Draw, DrawError> {
    let driver = Driver::of(sound, scenario, seed)?;
    let faults = faults.into();
    let brought = driver.notices(faults)?;
    match brought.filter(|&symptom| scenario.complaint(symptom).is_some()) {
        Some(symptom) => Ok(Draw {
            faults,
            symptom,
            shaft: driver.shaft,
        }),
        None => Err(DrawError::NotTold {
            fault: sound.faults_name(&faults),
            brings: brought.map_or("no complaint", Symptom::word).to_owned(),
            scenario: scenario.id.to_string(),
        }),
    }
}

/// Who drives the vehicle in, and knows how a sound one wipes.
pub(crate) struct Driver<'a> {
    sound: &'a Arc<Vehicle>,
    scenario: &'a Scenario,
    shaft: Angle,
    healthy: Signature,
    chance: Chance,
}

impl<'a> Driver<'a> {
    /// The driver of one draw.
    pub(crate) fn of(
        sound: &'a Arc<Vehicle>,
        scenario: &'a Scenario,
        seed: Seed,
    ) -> Result<Self, DrawError> {
        workable(sound)?;
        Ok(Self {
            sound,
            scenario,
            shaft: shaft_of(seed),
            healthy: sound_signature(sound, scenario)?,
            chance: Chance::of_the_truth(seed),
        })
    }

    /// What the driver notices.
    pub(crate) fn notices(&self, faults: impl Into<Faults>) -> Result<Option<Symptom>, DrawError> {
        let world = world_of(self.sound, faults, self.shaft, self.scenario, self.chance)?;
        Ok(noticed(world, &self.healthy)?)
    }

    /// What the driver notices and the scenario has words for.
    fn tells(&self, faults: impl Into<Faults>) -> Result<Option<Symptom>, DrawError> {
        let noticed = self.notices(faults)?;
        Ok(noticed.filter(|&symptom| self.scenario.complaint(symptom).is_some()))
    }
}

/// The faults of a pool with their weights, and the streams they are drawn from.
struct Lots<'a> {
    scenario: &'a Scenario,
    faults: Vec<(ComponentId, ModeId, Mode)>,
    weights: Vec<f64>,
    choice: Stream,
    severities: Stream,
}

impl<'a> Lots<'a> {
    fn of(sound: &Vehicle, scenario: &'a Scenario, seed: Seed) -> Self {
        let faults = sound.faults();
        let allowed = |component, mode: &Mode| {
            scenario.can_bring(mode) && in_pool(&scenario.pool, sound, component, mode)
        };
        let weights = faults
            .iter()
            .zip(sound.prior_weights())
            .map(|((component, _, mode), weight)| {
                if allowed(*component, mode) {
                    weight
                } else {
                    0.0
                }
            })
            .collect();
        Self {
            scenario,
            faults,
            weights,
            choice: Stream::new(seed, Purpose::FaultChoice),
            severities: Stream::new(seed, Purpose::Severity),
        }
    }

    /// Draws one; `None` when it does not do, which is when `brings` gives nothing for it.
    fn next(
        &mut self,
        brings: impl Fn(Fault) -> Result<Option<Symptom>, DrawError>,
    ) -> Result<Option<(Fault, Symptom)>, DrawError> {
        let place = self
            .choice
            .pick(&self.weights)
            .ok_or_else(|| DrawError::EmptyPool(self.scenario.id.to_string()))?;
        let (component, mode, data) = &self.faults[place];
        let severity = data.severity.map(|law| law.draw(&mut self.severities));
        let fault = Fault {
            component: *component,
            mode: *mode,
            severity,
        };
        Ok(brings(fault)?.map(|symptom| (fault, symptom)))
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
