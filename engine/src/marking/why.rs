//! What the last check said of each repair that was possible: what it would have read there, and whether that goes with
//! what was read.

use super::belief::{Belief, by_class};
use super::case::Case;
use super::hypothesis::Cure;
use super::information::Prediction;
use super::reference::{in_words, without_error};
use crate::attempt::Event;
use crate::math;
use crate::world::{Action, Observable, Observation};

/// Most repairs that are told of that are still possible, and most that the check spoke against.
const POSSIBLE_MAX: usize = 4;
const AGAINST_MAX: usize = 3;
/// Belief below which a repair is not told of.
const WORTH_TELLING: f64 = 0.01;
/// How likely a reading is for a repair, beside the repair that it is likeliest for, to go with it, and to be at odds with it.
const GOES_WITH: f64 = 0.4;
const AT_ODDS: f64 = 0.1;

/// What was read by a check, with what was known before it and after it.
#[derive(Clone, Debug)]
pub(super) struct Read {
    observations: Vec<Observation>,
    predictions: Vec<Prediction>,
    before: Vec<f64>,
    /// Belief in each class after it.
    after: Vec<f64>,
    classes: Vec<usize>,
}

impl Read {
    pub(super) fn of(
        case: &Case,
        event: &Event,
        predictions: Vec<Prediction>,
        [before, after]: [&Belief; 2],
    ) -> Self {
        Self {
            observations: event.observations.clone(),
            predictions,
            before: before.probabilities().to_vec(),
            after: case.class_beliefs(after),
            classes: case.classes.clone(),
        }
    }
}

impl Read {
    /// Of what a hypothesis shows, with what gives way holding or in a bout, that which goes better with what was read; only
    /// what was read as well.
    fn likelier(&self, of: &Prediction) -> Vec<Observable> {
        let was_read = |shown: &&Observable| self.observations.iter().any(|read| shown.is_of(read));
        let read_of = |shown: &[Observable]| -> Vec<Observable> {
            shown.iter().filter(was_read).cloned().collect()
        };
        let log_likelihood = |shown: &Observable| -> f64 {
            let tolerance = shown.quantity.tolerance(shown.value);
            let of_it = self.observations.iter().filter(|read| shown.is_of(read));
            of_it
                .map(|read| shown.log_likelihood(read, tolerance))
                .sum()
        };
        let holds = read_of(&of.seen);
        let Some(bout) = &of.bout else {
            return holds;
        };
        let parted = read_of(&bout.seen);
        let likelihood = |shown: &[Observable]| shown.iter().map(log_likelihood).sum::<f64>();
        match likelihood(&parted) > likelihood(&holds) {
            true => parted,
            false => holds,
        }
    }
}

/// How a reading goes with a repair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// It is as likely for it as for any.
    Goes,
    /// It is less likely.
    Hardly,
    /// It is at odds with it.
    AtOdds,
}

/// What a check said of one repair.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// The repair in strict words.
    pub repair: String,
    /// What the check would likeliest have read if that repair is needed, without error, in words; empty where it would have
    /// read nothing.
    pub would_read: String,
    /// How what was read goes with it.
    pub fit: Fit,
    /// Whether it is still possible.
    pub possible: bool,
}

/// What a check said of the repairs that were possible before it, in the order of what was believed of them after it, and what
/// it read in words; `now` is what is believed by now.
pub(super) fn said(case: &Case, read: &Read, now: &Belief) -> (String, Vec<Said>) {
    let before = by_class(&read.before, &read.classes, case.class_count());
    let (after, now) = (&read.after, case.class_beliefs(now));
    let told: Vec<usize> = (0..case.cures.len())
        .filter(|&class| before[class].max(after[class]) >= WORTH_TELLING)
        .collect();
    let likelihood = |class: usize| after[class] / before[class].max(f64::MIN_POSITIVE);
    let most = told.iter().map(|&class| likelihood(class));
    let most = most.fold(f64::MIN_POSITIVE, f64::max);
    let of = |class: usize| {
        let Cure { component, way } = case.cures[class];
        let members = (0..read.predictions.len()).filter(|&index| read.classes[index] == class);
        // The likeliest before: what is likeliest after is likeliest because it would have read what was read.
        let typical = math::first_of_most(members, |&index| read.before[index]);
        let shown = typical.map_or_else(Vec::new, |index| read.likelier(&read.predictions[index]));
        let beside = likelihood(class) / most;
        Said {
            repair: Action::Repair { component, way }.words(&case.assignment.sound),
            would_read: in_words(&without_error(&shown)),
            fit: match beside {
                _ if beside >= GOES_WITH => Fit::Goes,
                _ if beside >= AT_ODDS => Fit::Hardly,
                _ => Fit::AtOdds,
            },
            possible: now[class] >= WORTH_TELLING,
        }
    };
    let mut order = told;
    order.sort_by(|a, b| after[*b].total_cmp(&after[*a]));
    let (mut possible, mut against): (Vec<usize>, Vec<usize>) = order
        .into_iter()
        .partition(|&class| now[class] >= WORTH_TELLING);
    possible.truncate(POSSIBLE_MAX);
    against.sort_by(|a, b| before[*b].total_cmp(&before[*a]));
    against.truncate(AGAINST_MAX);
    let all = possible.into_iter().chain(against).map(of).collect();
    (in_words(&read.observations), all)
}
