//! The reference: the rule 'most bits a minute' on this very vehicle, with readings without error.
//!
//! It stops checking when the likeliest repair is proven, or when no check is worth its minutes, and
//! then orders repairs by belief over cost. Its minutes are the par, its checks the proving route that a
//! debrief shows.

use super::MarkingError;
use super::belief::Belief;
use super::case::{Case, Offer, repair_minutes};
use super::debrief::RouteStep;
use super::dictionary::{Candidate, Entry};
use super::hypothesis::Cure;
use super::weights::PROVEN;
use crate::attempt::Assignment;
use crate::quantity::Minutes;
use crate::world::{Bench, Errors, Observation, World};

/// Bits below which the rule makes no check while others tell more.
const WORTH_PROVING: f64 = 0.25;
/// Bits below which the rule makes no check.
const WORTH_MAKING: f64 = 0.05;
/// Most checks of a route.
const STEPS_MAX: usize = 15;

/// What the reference did.
#[derive(Clone, Debug)]
pub(super) struct Reference {
    pub(super) route: Vec<RouteStep>,
    /// Minutes of checks and of repairs that were not needed.
    pub(super) avoidable: f64,
}

/// Runs the reference on the vehicle of the case. Its par stops where no check is worth its minutes any
/// more; the route goes on from there until the fault is proven. Of two faults it finds one, and then begins
/// again on the vehicle that has only the other left.
pub(super) fn reference(case: &Case<'_>) -> Result<Reference, MarkingError> {
    let mut bench = first_bench(case)?;
    let mut cures = case.true_cures();
    let mut all = search(case, &case.true_entry, &cures, &mut bench)?;
    if let Some(second) = case.truth.faults.second {
        let main = case.truth.faults.main;
        let left = if all.found == cures[1] { main } else { second };
        cures.retain(|cure| *cure != all.found);
        let entry = Entry::of(case.assignment, Some(left.into()), case.truth.shaft)?;
        let more = search(case, &entry, &cures, &mut bench)?;
        all.reference.route.extend(more.reference.route);
        all.reference.avoidable += more.reference.avoidable;
    }
    Ok(all.reference)
}

/// What a search came to, and the repair it ended with.
struct Search {
    reference: Reference,
    found: Cure,
}

/// Searches a vehicle that shows `entry` until one of some repairs is found.
fn search(
    case: &Case<'_>,
    entry: &Entry,
    cures: &[Cure],
    bench: &mut Bench,
) -> Result<Search, MarkingError> {
    let Assignment {
        sound, scenario, ..
    } = case.assignment;
    let mut belief = case.start.clone();
    let mut used: Vec<usize> = Vec::new();
    let mut route = Vec::new();
    let mut checks = 0.0;
    let mut avoidable = None;
    for _ in 0..STEPS_MAX {
        let Some(Next { offer, worth_it }) = next_check(case, &belief, bench, &used)? else {
            break;
        };
        if !worth_it {
            avoidable.get_or_insert_with(|| checks + needless(case, &belief, cures).0);
        }
        used.push(offer.index);
        let candidate = &case.candidates[offer.index];
        let here = without_error(entry, candidate);
        let fresh = vec![true; here.len()];
        belief.update(&case.log_likelihoods(case.predictions(offer.index), &here, &fresh));
        let minutes = Minutes::from_hundredths(offer.hundredths);
        checks += minutes.as_minutes();
        if let Some((_, after)) = candidate.cost(sound, bench, scenario.helper) {
            *bench = after;
        }
        route.push(RouteStep {
            check: candidate.words(sound),
            minutes,
            here: in_words(&here),
            sound: in_words(&without_error(&case.sound_entry, candidate)),
            suspects: suspects(case, &belief),
        });
    }
    let (needless, found) = needless(case, &belief, cures);
    let avoidable = avoidable.unwrap_or(checks + needless);
    Ok(Search {
        reference: Reference { route, avoidable },
        found,
    })
}

/// What a check reads on a vehicle, without error.
fn without_error(entry: &Entry, candidate: &Candidate) -> Vec<Observation> {
    entry
        .predict(candidate)
        .iter()
        .map(|observable| observable.observe(Errors::NONE))
        .collect()
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

/// A check of the rule, and whether any check is worth its minutes.
struct Next {
    offer: Offer,
    worth_it: bool,
}

/// The next check of the rule, or `None` when the likeliest repair is proven or nothing tells any more.
fn next_check(
    case: &Case<'_>,
    belief: &Belief,
    bench: &Bench,
    used: &[usize],
) -> Result<Option<Next>, MarkingError> {
    let beliefs = case.class_beliefs(belief);
    if beliefs[..case.cures.len()].iter().any(|p| *p >= PROVEN) {
        return Ok(None);
    }
    let telling = |least: f64| -> Result<Vec<Offer>, MarkingError> {
        let offers = case.offers(belief, bench)?.into_iter();
        let unused = offers.filter(|offer| !used.contains(&offer.index));
        Ok(unused.filter(|offer| offer.worth[0].bits > least).collect())
    };
    // Trifles only when nothing else is left: a string of them proves nothing to a person.
    let mut offers = telling(WORTH_PROVING)?;
    if offers.is_empty() {
        offers = telling(WORTH_MAKING)?;
    }
    // A check that takes longer than the needless repairs it saves is not worth it.
    let worth_it = offers.iter().any(|offer| offer.net(0) > 0.0);
    Ok(Offer::best(&offers).map(|&offer| Next { offer, worth_it }))
}

/// Expected order of repairs by belief over cost, until one that cures: minutes of those before it, and which
/// it is.
fn needless(case: &Case<'_>, belief: &Belief, cures: &[Cure]) -> (f64, Cure) {
    let beliefs = case.class_beliefs(belief);
    let mut order: Vec<usize> = (0..case.cures.len())
        .filter(|&class| beliefs[class] > 1e-4)
        .collect();
    let rank = |class: usize| beliefs[class] / repair_minutes(case.assignment, case.cures[class]);
    order.sort_by(|a, b| rank(*b).total_cmp(&rank(*a)));
    let mut minutes = 0.0;
    for class in order {
        let cure = case.cures[class];
        if cures.contains(&cure) {
            return (minutes, cure);
        }
        minutes += repair_minutes(case.assignment, cure);
    }
    (minutes, cures[0])
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
