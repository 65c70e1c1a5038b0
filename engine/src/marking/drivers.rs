//! What the drivers of a vehicle would tell: one for each hypothesis.

use std::fmt;
use std::sync::Arc;

use super::MarkingError;
use super::complaint::likelihood;
use super::hypothesis::{Hypothesis, hypotheses};
use super::parallel;
use crate::attempt::{Assignment, sound_signature, world_of};
use crate::math;
use crate::quantity::Angle;
use crate::random::Seed;
use crate::scenario::{Scenario, Symptom};
use crate::vehicle::Vehicle;
use crate::world::{Chance, Signature, noticed};

/// What is told of each hypothesis of a vehicle in a scenario. A driver tells of weeks, so neither where the shaft stood at
/// the last stop nor the moments of one drive have a part in it: it is the same for every draw, and those who mark
/// many attempts work it out once.
#[derive(Clone)]
pub struct Drivers {
    sound: Arc<Vehicle>,
    scenario: Arc<Scenario>,
    pub(super) sound_signature: Signature,
    told: Vec<Option<Symptom>>,
}

impl fmt::Debug for Drivers {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Drivers").finish_non_exhaustive()
    }
}

impl Drivers {
    /// Those of a sound vehicle in a scenario.
    ///
    /// # Errors
    /// [`MarkingError::World`] when a vehicle cannot be run.
    pub fn of(sound: &Arc<Vehicle>, scenario: &Arc<Scenario>) -> Result<Self, MarkingError> {
        let (list, _) = hypotheses(sound, scenario);
        let sound_signature = sound_signature(sound, scenario)?;
        let chance = Chance::supposed(Seed(0));
        let told = by_cells(&list, |index| {
            let fault = list[index].fault;
            let world = world_of(sound, fault, Angle::ZERO, scenario, chance)?;
            Ok(noticed(world, &sound_signature)?)
        })?;
        Ok(Self {
            sound: Arc::clone(sound),
            scenario: Arc::clone(scenario),
            sound_signature,
            told,
        })
    }

    /// A draw of their vehicle in their scenario.
    pub(super) fn assignment(&self, seed: Seed) -> Assignment {
        Assignment {
            sound: Arc::clone(&self.sound),
            scenario: Arc::clone(&self.scenario),
            seed,
            chosen: None,
        }
    }

    /// Whether they drive the vehicle of an assignment, in its scenario.
    pub(super) fn are_of(&self, assignment: &Assignment) -> bool {
        self.sound == assignment.sound && self.scenario == assignment.scenario
    }

    /// Logarithm of the likelihood of a complaint under each hypothesis.
    pub(super) fn log_likelihoods(&self, complaint: Symptom) -> impl Iterator<Item = f64> {
        let of = move |told: &Option<Symptom>| math::log(likelihood(*told, complaint));
        self.told.iter().map(of)
    }
}

/// What is told by hypothesis. Between two severities of a fault that bring the same complaint, and with one
/// between them that does so too, all others do: these are not driven.
fn by_cells(
    list: &[Hypothesis],
    drive: impl Fn(usize) -> Result<Option<Symptom>, MarkingError> + Sync,
) -> Result<Vec<Option<Symptom>>, MarkingError> {
    let outer = |index: &usize| {
        let Hypothesis { cell, cells, .. } = list[*index];
        cell == 0 || cell + 1 == cells || cell == cells / 2
    };
    let mut told = vec![None; list.len()];
    let drive_all = |wanted: Vec<usize>, told: &mut Vec<Option<Symptom>>| {
        let driven = parallel::each(wanted.clone(), &drive)?;
        for (index, symptom) in wanted.into_iter().zip(driven) {
            told[index] = symptom;
        }
        Ok::<_, MarkingError>(())
    };
    drive_all((0..list.len()).filter(outer).collect(), &mut told)?;
    let mut wanted = Vec::new();
    for index in (0..list.len()).filter(|index| !outer(index)) {
        let Hypothesis { cell, cells, .. } = list[index];
        let first = index - cell;
        let (middle, last) = (first + cells / 2, first + cells - 1);
        let [low, high] = if index < middle {
            [first, middle]
        } else {
            [middle, last]
        };
        if told[low] == told[high] {
            told[index] = told[low];
        } else {
            wanted.push(index);
        }
    }
    drive_all(wanted, &mut told)?;
    Ok(told)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::marking::belief::POINTS;
    use crate::vehicle::{ComponentId, Fault, ModeId};
    use std::sync::Mutex;

    /// One fault in nine cells, of which the last two bring another complaint.
    #[test]
    fn cells_between_two_that_bring_the_same_complaint_are_not_driven() {
        let cells = |cell| Hypothesis {
            fault: Fault {
                component: ComponentId(0),
                mode: ModeId(0),
                severity: None,
            },
            cell,
            cells: 9,
            points: [0.0; POINTS],
            prior: 0.1,
            class: 0,
        };
        let list: Vec<Hypothesis> = (0..9).map(cells).collect();
        let driven = Mutex::new(Vec::new());
        let told = by_cells(&list, |index| {
            driven.lock().unwrap().push(index);
            Ok(Some(if index < 7 {
                Symptom::Slow
            } else {
                Symptom::Dead
            }))
        })
        .unwrap();
        assert_eq!(told[..7], [Some(Symptom::Slow); 7]);
        assert_eq!(told[7..], [Some(Symptom::Dead); 2]);
        let mut driven = driven.into_inner().unwrap();
        driven.sort_unstable();
        assert_eq!(driven, [0, 4, 5, 6, 7, 8]);
    }
}
