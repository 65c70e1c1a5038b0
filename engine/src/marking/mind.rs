//! What a simulated learner has in mind: the belief of the marking by its own readings, and what can be done next. It
//! sees no more than a learner does.

use std::sync::Arc;

use super::MarkingError;
use super::case::repair_minutes;
use super::follower::Follower;
use super::hypothesis::Cure;
use super::lines::Walk;
use super::moments::Moment;
use super::offers::Offer;
use super::prospect::Step;
use super::weights::REDUNDANT_BITS;
use crate::vehicle::Fault;
use crate::world::{Action, Sense};

/// A check that tells something.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Telling {
    /// Its place in the list of the vehicle's checks.
    pub(crate) index: usize,
    /// Bits about which repair is needed.
    pub(crate) bits: f64,
    /// Its own minutes, without access that the needed repair wants anyway.
    pub(crate) minutes: f64,
    /// Minutes of needless repairs that it is expected to save beyond its own.
    pub(crate) net: f64,
}

/// A repair that may be the one.
#[derive(Clone, Debug)]
pub(crate) struct Remedy {
    /// The repair.
    pub(crate) action: Action,
    /// The likeliest fault that it puts right.
    pub(crate) fault: Fault,
    /// How likely it is to be the one.
    pub(crate) belief: f64,
    /// Its minutes, parts at the shop's rate and seeing to it among them.
    pub(crate) minutes: f64,
}

/// What is expected to take least.
#[derive(Clone, Debug)]
pub(crate) enum Promising {
    /// A check, by its place in the list of the vehicle's checks.
    Check(usize),
    /// A repair.
    Repair(Remedy),
}

impl Follower {
    /// The same, beginning at a moment that it has in common with others.
    pub(crate) fn at(mut self, moment: &Arc<Moment>) -> Self {
        self.case.moment = Arc::clone(moment);
        self
    }

    /// The moment that it has come to.
    pub(crate) fn moment(&self) -> Arc<Moment> {
        Arc::clone(&self.case.moment)
    }

    /// What is expected to take least if the rule 'most bits a minute' goes on after it; none where there is nothing to do.
    /// Checks that were made or are `refused` are left out.
    pub(crate) fn expected_least(&self, refused: &[usize]) -> Option<Promising> {
        let Walk {
            belief,
            bench,
            made,
            ..
        } = &self.walk;
        let left_out: Vec<usize> = made.iter().chain(refused).copied().collect();
        let prospect = self.case.prospect(belief, bench, &left_out);
        Some(match prospect.best()?.0 {
            Step::Check(index) => Promising::Check(index),
            Step::Repair(class) => Promising::Repair(self.remedy(class)?),
        })
    }

    /// The checks that tell something now and have not been made, in the order of the vehicle's list.
    pub(crate) fn telling(&mut self) -> Result<Vec<Telling>, MarkingError> {
        let bench = self.walk.bench.clone();
        let offers = self.walk.offers(&self.case, &bench)?;
        let telling = |offer: &Offer| Telling {
            index: offer.index,
            bits: offer.worth[0].bits,
            minutes: offer.minutes(),
            net: offer.net(0),
        };
        let new = |offer: &Offer| {
            offer.worth[0].bits >= REDUNDANT_BITS && !self.walk.made.contains(&offer.index)
        };
        Ok(offers
            .iter()
            .filter(|offer| new(offer))
            .map(telling)
            .collect())
    }

    /// The actions that make a check of the vehicle's list from where things stand.
    pub(crate) fn steps(&self, index: usize) -> Vec<Action> {
        self.case.steps(index, &self.walk.bench)
    }

    /// The checks of the vehicle's list in which blades are looked at with the key on, OFF last.
    pub(crate) fn looks(&self) -> Vec<usize> {
        let look = Action::Sense(Sense::LookBlades);
        let candidates = self.case.candidates.iter().enumerate();
        let mut looks: Vec<(usize, usize)> = candidates
            .filter(|(_, candidate)| candidate.before.is_none() && candidate.check == look)
            .filter_map(|(index, candidate)| Some((candidate.wiper?, index)))
            .collect();
        // OFF is the first of the switch's positions, and shows parking only after a run.
        looks.sort_by_key(|(position, _)| (*position == 0, *position));
        looks.into_iter().map(|(_, index)| index).collect()
    }

    /// Repairs that may be the one, the likeliest first.
    pub(crate) fn remedies(&self) -> Vec<Remedy> {
        let classes = 0..self.case.cures.len();
        let mut remedies: Vec<Remedy> = classes.filter_map(|class| self.remedy(class)).collect();
        remedies.sort_by(|a, b| b.belief.total_cmp(&a.belief));
        remedies
    }

    /// The repair of a class; none of a class that has none, or that nothing belongs to any more.
    fn remedy(&self, class: usize) -> Option<Remedy> {
        let (case, belief) = (&self.case, &self.walk.belief);
        let Cure { component, way } = *case.cures.get(class)?;
        Some(Remedy {
            action: Action::Repair { component, way },
            fault: case.likeliest_of(class, belief)?,
            belief: case.class_beliefs(belief)[class],
            minutes: repair_minutes(&case.assignment, case.cures[class]),
        })
    }

    /// How sure it is that a repair that was made has put the vehicle right.
    pub(crate) fn cured(&self) -> f64 {
        let case = &self.case;
        case.class_beliefs(&self.walk.belief)[case.cures.len()]
    }
}
