//! Marking: what a learner's own readings said, and how well each action was chosen.
//!
//! It is the attempt's fold again, in parallel: one world for each hypothesis ([`hypothesis`]), the
//! learner's actions in all of them, and the likelihood of what was actually read ([`belief`]). What
//! another check would have told comes from a dictionary of predictions ([`dictionary`],
//! [`information`]). The belief and the worth of a check never see the truth: it enters in the
//! kinship of the verdict, in whether the vehicle was put right, in whether what was repaired had been sound until the work
//! itself spoilt it, and in the route and the par, which are of this very vehicle.
//!
//! First version: prices are minutes and bits one step ahead, the reference is the rule 'most bits a minute' on this very
//! vehicle, and candidates are priced with what is apart put together again first. Weights and bands stand in [`weights`].

mod arithmetic;
mod before;
mod belief;
mod benches;
mod beside;
mod bouts;
mod case;
mod complaint;
mod costly;
mod debrief;
mod dictionary;
mod drivers;
mod entry;
mod fault_dictionary;
mod follower;
mod hypothesis;
mod information;
mod likelihood;
mod lines;
mod mind;
mod moments;
mod observability;
mod offers;
#[cfg(test)]
mod optimum;
mod outcomes;
mod outlook;
pub(crate) mod parallel;
mod probing;
mod prospect;
mod reference;
mod rollout;
mod running;
mod runs;
mod score;
mod sound;
mod suspicion;
mod watcher;
pub mod weights;
mod why;

pub use debrief::{
    Balance, Better, CheckLine, Costly, Debrief, Hands, RouteEnd, RouteStep, Score, Second,
    Suspect, Swap, Swapped, Trial, VerdictLevel,
};

pub use drivers::Drivers;
pub use fault_dictionary::FaultDictionary;
pub use follower::{Because, Follower, Told};
pub(crate) use mind::{Promising, Remedy, Telling};
pub use suspicion::Stated;
pub use watcher::Believed;
pub(crate) use watcher::Watcher;
pub use why::{Fit, Said};

pub use observability::{
    FaultRow, Observability, SEVERITIES, observability, observability_telling,
};

use std::fmt;

use crate::attempt::{Assignment, Attempt};
use crate::network::SolveError;
use crate::vehicle::DriveTrainError;
use crate::world::WorldError;

/// Why an attempt cannot be marked.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MarkingError {
    /// It is not over yet.
    #[error("the attempt is not over; hand over or give up first")]
    NotOver,
    /// The drivers are those of another vehicle or scenario.
    #[error("the drivers asked are those of another vehicle or scenario than the attempt is on")]
    OtherDrivers,
    /// It is one on another draw.
    #[error("the attempt is on another vehicle, scenario or seed than these marks are for")]
    OtherDraw,
    /// A vehicle with one of the hypotheses cannot be run.
    #[error(transparent)]
    World(#[from] WorldError),
}

impl From<SolveError> for MarkingError {
    fn from(error: SolveError) -> Self {
        Self::World(error.into())
    }
}

impl From<DriveTrainError> for MarkingError {
    fn from(error: DriveTrainError) -> Self {
        Self::World(error.into())
    }
}

/// How far a piece of work that takes seconds is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Steps done.
    pub done: usize,
    /// All steps.
    pub of: usize,
}

/// Marks an attempt that is over, and says what there is to say of it.
///
/// # Errors
/// [`MarkingError`] when it is not over, or a vehicle cannot be run.
pub fn debrief(attempt: &Attempt) -> Result<Debrief, MarkingError> {
    debrief_telling(attempt, &mut |_| {})
}

/// The same, telling how many of the attempt's actions are marked: none at the beginning, and after each.
///
/// # Errors
/// Those of [`debrief`].
pub fn debrief_telling(
    attempt: &Attempt,
    tell: &mut dyn FnMut(Progress),
) -> Result<Debrief, MarkingError> {
    if !attempt.is_over() {
        return Err(MarkingError::NotOver);
    }
    tell(Progress {
        done: 0,
        of: attempt.events().len(),
    });
    let mut follower = Follower::of(attempt)?;
    follower.follow(attempt, tell)?;
    follower.debrief(attempt)
}

/// What the marking of every attempt on one draw begins with: all that its hypotheses would show, and the
/// reference. With the drivers it takes about half of the time of a debrief.
#[derive(Clone)]
pub struct Marker {
    case: case::Case,
    reference: reference::Reference,
}

impl fmt::Debug for Marker {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // It knows what is wrong.
        f.debug_struct("Marker").finish_non_exhaustive()
    }
}

impl Marker {
    /// That of the draw of an attempt, which need not be over.
    ///
    /// # Errors
    /// [`MarkingError::World`] when a vehicle cannot be run.
    pub fn of(attempt: &Attempt) -> Result<Self, MarkingError> {
        let Assignment {
            sound, scenario, ..
        } = attempt.assignment();
        Self::with(&Drivers::of(sound, scenario)?, attempt)
    }

    /// The same, where its drivers have been asked already.
    ///
    /// # Errors
    /// [`MarkingError::OtherDrivers`], and [`MarkingError::World`] when a vehicle cannot be run.
    pub fn with(drivers: &Drivers, attempt: &Attempt) -> Result<Self, MarkingError> {
        if !drivers.are_of(attempt.assignment()) {
            return Err(MarkingError::OtherDrivers);
        }
        let case = case::Case::open(attempt, drivers)?;
        let reference = reference::reference(&case)?;
        Ok(Self { case, reference })
    }

    /// The same by a fault dictionary, which is quicker by far; see [`FaultDictionary`] for what it leaves out.
    ///
    /// # Errors
    /// [`MarkingError::OtherDraw`] for an attempt that the dictionary did not start, and [`MarkingError::World`] when a
    /// vehicle cannot be run.
    pub fn by(dictionary: &FaultDictionary, attempt: &Attempt) -> Result<Self, MarkingError> {
        if !dictionary.knows(attempt) {
            return Err(MarkingError::OtherDraw);
        }
        let case = case::Case::by(dictionary, attempt)?;
        let reference = reference::reference(&case)?;
        Ok(Self { case, reference })
    }

    /// Marks an attempt as [`debrief`] does.
    ///
    /// # Errors
    /// Those of [`debrief`], and [`MarkingError::OtherDraw`].
    pub fn debrief(&self, attempt: &Attempt) -> Result<Debrief, MarkingError> {
        self.follower()?.debrief(attempt)
    }

    /// What follows an attempt on the draw from its first action on.
    ///
    /// # Errors
    /// [`MarkingError::World`] when a vehicle cannot be run.
    pub fn follower(&self) -> Result<Follower, MarkingError> {
        Follower::from(self.clone())
    }
}
