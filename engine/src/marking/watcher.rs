//! What the readings of an attempt say of its vehicle, without what they were worth or cost.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::MarkingError;
use super::belief::Belief;
use super::case::Case;
use super::fault_dictionary::FaultDictionary;
use super::moments::Moment;
use super::reference::first_bench;
use super::weights::REDUNDANT_BITS;
use crate::attempt::{Attempt, Event};
use crate::math;
use crate::world::{Action, Bench};

/// What was read in which state.
#[derive(Clone, Default)]
pub(super) struct Seen(BTreeSet<String>);

impl Seen {
    /// Whether each reading of an event is news: the same one of the same check in the same state is not.
    pub(super) fn fresh(&mut self, event: &Event) -> Vec<bool> {
        let checks = event.keys.iter().zip(&event.observations);
        checks
            .map(|(key, seen)| self.0.insert(format!("{key}|{seen:?}")))
            .collect()
    }
}

/// The belief beside an attempt.
pub(crate) struct Watcher {
    case: Case,
    belief: Belief,
    bench: Bench,
    seen: Seen,
}

/// What is believed of a vehicle, beside what is so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Believed {
    /// Belief in the likeliest repair, 0 to 1.
    pub likeliest: f64,
    /// Whether it is the one that is needed.
    pub right: bool,
    /// Belief in the repair that is needed, 0 to 1.
    pub needed: f64,
}

impl Watcher {
    /// That of an attempt of a dictionary, at a moment that it has in common with others.
    pub(crate) fn of(
        dictionary: &FaultDictionary,
        attempt: &Attempt,
        moment: &Arc<Moment>,
    ) -> Result<Self, MarkingError> {
        let mut case = Case::by(dictionary, attempt)?;
        case.moment = Arc::clone(moment);
        Ok(Self {
            belief: case.start.clone(),
            bench: first_bench(&case)?,
            seen: Seen::default(),
            case,
        })
    }

    /// The moment that it has come to.
    pub(crate) fn moment(&self) -> Arc<Moment> {
        Arc::clone(&self.case.moment)
    }

    /// The checks of the vehicle's list that tell something now, each with its bits.
    pub(crate) fn telling(&self) -> Result<Vec<(usize, f64)>, MarkingError> {
        let offers = self.case.offers(&self.belief, &self.bench)?;
        let telling = offers
            .iter()
            .map(|offer| (offer.index, offer.worth[0].bits));
        Ok(telling
            .filter(|(_, bits)| *bits >= REDUNDANT_BITS)
            .collect())
    }

    /// The actions that make a check of the vehicle's list from where things stand.
    pub(crate) fn steps(&self, index: usize) -> Vec<Action> {
        self.case.steps(index, &self.bench)
    }

    /// Takes in what was done next.
    pub(crate) fn take(&mut self, event: &Event) -> Result<(), MarkingError> {
        let assignment = &self.case.assignment;
        let helper = assignment.scenario.helper;
        let permitted = self.bench.permit(&event.action, &assignment.sound, helper);
        // An event of the attempt was permitted, so this one is.
        if let Ok(permitted) = permitted {
            let predictions = self.case.act(&permitted, &self.belief)?;
            if !event.observations.is_empty() {
                let fresh = self.seen.fresh(event);
                let read = &event.observations;
                self.case
                    .learn(&mut self.belief, &predictions, read, &fresh)?;
            }
        }
        self.bench = event.bench.clone();
        Ok(())
    }

    /// What is believed now.
    pub(crate) fn believed(&self) -> Believed {
        let beliefs = self.case.class_beliefs(&self.belief);
        let true_cures = self.case.true_cures();
        let needed = |class: &usize| {
            let cure = self.case.cures.get(*class);
            cure.is_some_and(|cure| true_cures.contains(cure))
        };
        let likeliest = math::first_of_most(0..beliefs.len(), |class| beliefs[*class]);
        Believed {
            likeliest: likeliest.map_or(0.0, |class| beliefs[class].clamp(0.0, 1.0)),
            right: likeliest.is_some_and(|class| needed(&class)),
            needed: (0..beliefs.len())
                .filter(needed)
                .map(|class| beliefs[class])
                .fold(0.0, |sum, belief| sum + belief),
        }
    }
}
