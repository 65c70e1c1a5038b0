//! The reference: the rule 'most bits a minute' on this very vehicle, with readings without error.
//!
//! It stops checking when the likeliest repair is proven, or when no check is worth its minutes, and
//! then orders repairs by belief over cost. Its minutes are the par, its checks the proving route that a
//! debrief shows.

use super::MarkingError;
use super::belief::Belief;
use super::case::{Case, Offer};
use super::debrief::RouteStep;
use super::hypothesis::cure_of;
use super::lines::repair_minutes;
use super::weights::PROVEN;
use crate::quantity::Minutes;
use crate::world::{Bench, Observation, World};

/// Most checks of a route.
const STEPS_MAX: usize = 15;

/// What the reference did.
#[derive(Clone, Debug)]
pub(super) struct Reference {
    pub(super) route: Vec<RouteStep>,
    /// Minutes of checks and of repairs that were not needed.
    pub(super) avoidable: f64,
}

/// Runs the reference on the vehicle of the case.
pub(super) fn reference(case: &Case<'_>) -> Result<Reference, MarkingError> {
    let mut belief = case.start.clone();
    let mut bench = first_bench(case)?;
    let mut used: Vec<usize> = Vec::new();
    let mut reference = Reference {
        route: Vec::new(),
        avoidable: 0.0,
    };
    for _ in 0..STEPS_MAX {
        let Some(offer) = next_check(case, &belief, &bench, &used)? else {
            break;
        };
        used.push(offer.index);
        let candidate = &case.candidates[offer.index];
        let seen: Vec<Observation> = case
            .true_entry
            .predict(candidate)
            .iter()
            .map(|observable| observable.observe(0.0))
            .collect();
        let sound: Vec<Observation> = case
            .sound_entry
            .predict(candidate)
            .iter()
            .map(|observable| observable.observe(0.0))
            .collect();
        belief.update(&case.log_likelihoods(
            case.predictions(offer.index),
            &seen,
            &vec![true; seen.len()],
        ));
        let minutes = Minutes::from_hundredths(offer.hundredths);
        reference.avoidable += minutes.as_minutes();
        if let Some((_, after)) = candidate.cost(
            &case.assignment.sound,
            &bench,
            case.assignment.scenario.helper,
        ) {
            bench = after;
        }
        reference.route.push(RouteStep {
            check: candidate.words(&case.assignment.sound),
            minutes,
            here: in_words(&seen),
            sound: in_words(&sound),
            suspects: suspects(case, &belief),
        });
    }
    reference.avoidable += needless(case, &belief);
    Ok(reference)
}

/// The bench that an attempt begins with.
pub(super) fn first_bench(case: &Case<'_>) -> Result<Bench, MarkingError> {
    let sound = &case.assignment.sound;
    let conditions = crate::attempt::conditions(&case.assignment.scenario);
    Ok(World::new(sound.clone(), sound.clone(), conditions)?
        .bench()
        .clone())
}

/// Cures still to be reckoned with: those believed at over one in a hundred.
pub(super) fn suspects(case: &Case<'_>, belief: &Belief) -> usize {
    case.class_beliefs(belief)[..case.cures.len()]
        .iter()
        .filter(|p| **p > 0.01)
        .count()
}

/// The next check of the rule, or `None` when it is time to repair.
fn next_check(
    case: &Case<'_>,
    belief: &Belief,
    bench: &Bench,
    used: &[usize],
) -> Result<Option<Offer>, MarkingError> {
    let beliefs = case.class_beliefs(belief);
    let (top, p) = top(&beliefs[..case.cures.len()]);
    if p >= PROVEN {
        return Ok(None);
    }
    let offers = case.offers(belief, bench)?;
    let best = offers
        .into_iter()
        .filter(|offer| !used.contains(&offer.index) && offer.bits[0] > 0.05)
        .reduce(|best, offer| {
            if offer.rate(0) > best.rate(0) {
                offer
            } else {
                best
            }
        });
    // A check that takes longer than what a wrong order would be expected to cost is not worth it.
    let at_stake = (1.0 - p) * repair_minutes(case, case.cures[top]);
    Ok(best.filter(|offer| f64::from(offer.hundredths) / 100.0 < at_stake))
}

/// Expected order of repairs by belief over cost, until the one that cures: minutes of those before it.
fn needless(case: &Case<'_>, belief: &Belief) -> f64 {
    let beliefs = case.class_beliefs(belief);
    let mut order: Vec<usize> = (0..case.cures.len())
        .filter(|&class| beliefs[class] > 1e-4)
        .collect();
    let rank = |class: usize| beliefs[class] / repair_minutes(case, case.cures[class]);
    order.sort_by(|a, b| rank(*b).total_cmp(&rank(*a)));
    let fault = &case.truth.fault;
    let cure = cure_of(&case.assignment.sound, fault.component, fault.mode);
    order
        .into_iter()
        .map(|class| case.cures[class])
        .take_while(|candidate| *candidate != cure)
        .map(|wrong| repair_minutes(case, wrong))
        .sum()
}

/// The largest of some beliefs and where it is.
fn top(beliefs: &[f64]) -> (usize, f64) {
    beliefs.iter().copied().enumerate().fold(
        (0, 0.0),
        |best, next| if next.1 > best.1 { next } else { best },
    )
}

/// Observations in a few words.
fn in_words(seen: &[Observation]) -> String {
    let words: Vec<String> = seen
        .iter()
        .map(|observation| match observation {
            Observation::Reading {
                unit,
                shown: Some([mean, ..]),
                ..
            } => format!("{mean} {unit}"),
            Observation::Reading {
                unit, shown: None, ..
            } => format!("over range {unit}"),
            Observation::Perception { word, .. } => (*word).to_owned(),
        })
        .collect();
    words.join(", ")
}
