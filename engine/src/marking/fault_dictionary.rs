//! The fault dictionary of a vehicle in a scenario: what every hypothesis shows in every listed check, worked out once
//! for all draws.

use std::fmt;
use std::sync::Arc;

use super::MarkingError;
use super::case::{Tables, tables};
use super::dictionary::candidates;
use super::drivers::Drivers;
use super::entry::{Entry, HypothesisEntry};
use super::moments::Moment;
use super::parallel;
use super::running::Run;
use crate::attempt::{Assignment, Attempt, DrawError, world_of};
use crate::quantity::Angle;
use crate::random::Seed;
use crate::vehicle::Faults;
use crate::world::Chance;

/// Where the shaft stands before the last use, in the dictionary and in all draws that it is used for.
const SHAFT: Angle = Angle::ZERO;

/// What every hypothesis of a vehicle in a scenario shows in every listed check as it comes in, and each one's vehicle.
/// Whoever marks attempts on many draws of one scenario works it out once. For that, the shaft stands alike in all of
/// these draws, where the seed would have it elsewhere in each.
#[derive(Clone)]
pub struct FaultDictionary {
    pub(super) drivers: Drivers,
    pub(super) tables: Tables,
    pub(super) moment: Arc<Moment>,
    pub(super) sound_entry: Arc<Entry>,
}

impl fmt::Debug for FaultDictionary {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("FaultDictionary").finish_non_exhaustive()
    }
}

impl FaultDictionary {
    /// That of the vehicle and the scenario of some drivers.
    ///
    /// # Errors
    /// [`MarkingError::World`] when a vehicle cannot be run.
    pub fn of(drivers: Drivers) -> Result<Self, MarkingError> {
        let assignment = drivers.assignment(Seed(0));
        let Assignment {
            sound, scenario, ..
        } = &assignment;
        let (list, _) = super::hypothesis::hypotheses(sound, scenario);
        let checks = candidates(sound);
        let chance = Chance::supposed(Seed(0));
        let faults = list.iter().map(|hypothesis| hypothesis.fault).collect();
        let told = parallel::each(faults, |fault| -> Result<_, MarkingError> {
            let world = world_of(sound, fault, SHAFT, scenario, chance)?;
            let shown = HypothesisEntry::of(&world)?.predict_all(&checks);
            Ok((Some(Run::of(world)), shown))
        })?;
        let (runs, shown) = told.into_iter().unzip();
        Ok(Self {
            tables: tables(sound, &list, checks, shown)?,
            sound_entry: Arc::new(Entry::of(&assignment, None, SHAFT)?),
            moment: Moment::first(runs),
            drivers,
        })
    }

    /// An attempt on a draw that the dictionary can mark.
    ///
    /// # Errors
    /// [`DrawError`] when the scenario has nothing to draw.
    pub fn start(&self, seed: Seed) -> Result<Attempt, DrawError> {
        Attempt::start_standing(self.drivers.assignment(seed), SHAFT)
    }

    /// An attempt on the draw of a seed with what is wrong chosen, which the dictionary can mark.
    pub(crate) fn start_on(&self, seed: Seed, faults: Faults) -> Result<Attempt, DrawError> {
        let assignment = Assignment {
            chosen: Some(faults),
            ..self.assignment(seed)
        };
        Attempt::start_standing(assignment, SHAFT)
    }

    /// What is assigned with a seed.
    pub(crate) fn assignment(&self, seed: Seed) -> Assignment {
        self.drivers.assignment(seed)
    }

    /// The moment before the first action, for attempts that are to have their moments in common.
    pub(crate) fn moment_in_common(&self) -> Arc<Moment> {
        self.moment.in_common()
    }

    /// Whether an attempt is on a draw that it can mark.
    pub(super) fn knows(&self, attempt: &Attempt) -> bool {
        self.drivers.are_of(attempt.assignment()) && attempt.truth().shaft == SHAFT
    }
}
