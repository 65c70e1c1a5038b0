//! The reference: the rule 'most bits a minute' on this very vehicle, by readings without error; what it shows of them
//! has the errors that the learner's own would have had.
//!
//! It stops checking when the likeliest repair is proven, or when no check is worth its minutes, and
//! then orders repairs by belief over cost. Its minutes are the par, its checks the proving route that a
//! debrief shows.

use super::MarkingError;
use super::belief::Belief;
use super::case::{Case, repair_minutes};
use super::debrief::{RouteEnd, RouteStep, Trial};
use super::entry::{Entry, HypothesisEntry};
use super::hypothesis::Cure;
use super::offers::Offer;
use super::outlook::{Outlook, Rule};
use super::weights::PROVEN;
use crate::attempt::{Assignment, read_in, world_of};
use crate::quantity::Minutes;
use crate::world::{Action, Bench, Chance, Errors, Observable, Observation, Quantity, World};

/// Bits below which the rule makes no check while others tell more.
const WORTH_PROVING: f64 = 0.25;
/// Bits below which the rule makes no check.
const WORTH_MAKING: f64 = 0.05;
/// Most checks of a route.
const STEPS_MAX: usize = 15;
/// Belief from which a repair is named among those to try.
const WORTH_TRYING: f64 = 0.01;

/// What the reference did.
#[derive(Clone, Debug)]
pub(super) struct Reference {
    pub(super) route: Vec<RouteStep>,
    pub(super) ends: Vec<RouteEnd>,
    /// Minutes of checks and of repairs that were not needed.
    pub(super) avoidable: f64,
    /// The same, as it was to be expected by the complaint alone.
    pub(super) expected: f64,
    /// What could be checked at the very beginning, and what the rule came to there.
    pub(super) first: (Vec<Offer>, Rule),
    /// Minutes of going to what was repaired and opening it, from where the attempt began.
    pub(super) access: f64,
}

impl Reference {
    /// Avoidable minutes that nobody is asked to do better than: a short road on this very vehicle is as much
    /// luck as a long one.
    pub(super) const fn par(&self) -> f64 {
        self.avoidable.max(self.expected)
    }
}

/// Runs the reference on the vehicle of the case. Its par stops where no check is worth its minutes any
/// more; the route goes on from there until the fault is proven. Of two faults it finds one, and then begins
/// again on the vehicle that has only the other left.
pub(super) fn reference(case: &Case) -> Result<Reference, MarkingError> {
    let mut bench = first_bench(case)?;
    let access_of = |bench: &Bench, cure: Cure| {
        let class = case.cures.iter().position(|known| *known == cure);
        class.map_or(0.0, |class| case.access(bench)[class])
    };
    let mut cures = case.true_cures();
    let begins = bench.clone();
    let shown = |entry: &Entry, index: usize| entry.predict(&case.candidates[index]);
    let true_entry = case.true_entry()?;
    let begin = case.offers(&case.start, &bench)?;
    let rule = Outlook::of(case, &case.start, (&bench, None), &[]).rule();
    let mut all = Reference {
        route: Vec::new(),
        ends: Vec::new(),
        avoidable: 0.0,
        expected: rule.value,
        first: (begin.clone(), rule),
        access: 0.0,
    };
    // Hands that part a loose contact show that on the true vehicle, as they do on those that are thought of.
    let Assignment {
        sound,
        scenario,
        seed,
        ..
    } = &case.assignment;
    let chance = Chance::supposed(*seed);
    let true_world = world_of(sound, case.truth.faults, case.truth.shaft, scenario, chance)?;
    // Only what can be parted is run again, closed and parted.
    let can_part = true_world.parted_share().is_some();
    let at_hand = can_part.then(|| HypothesisEntry::of(&true_world));
    let at_hand = at_hand.transpose()?;
    // Bouts that come by chance in one check and not in the next are no road to go by.
    let first = |index: usize| match at_hand.as_ref() {
        Some(entry) => entry.typically(&case.candidates[index]),
        None => shown(true_entry, index),
    };
    let found = search(case, &first, &cures, (&mut bench, Some(&begin)), &mut all)?;
    all.access += access_of(&begins, found);
    if let Some(second) = case.truth.faults.second {
        let main = case.truth.faults.main;
        let left = if found == cures[1] { main } else { second };
        cures.retain(|cure| *cure != found);
        let entry = Entry::of(&case.assignment, Some(left.into()), case.truth.shaft)?;
        let begins = bench.clone();
        let then = |index| shown(&entry, index);
        let found = search(case, &then, &cures, (&mut bench, None), &mut all)?;
        all.access += access_of(&begins, found);
        all.expected *= 2.0;
    }
    Ok(all)
}

/// Searches a vehicle on which each check reads what `shown` says, until one of some repairs is found, which
/// it returns, and adds to what the reference did. `first` is what could be checked at the bench it begins with.
fn search(
    case: &Case,
    shown: &dyn Fn(usize) -> Vec<Observable>,
    cures: &[Cure],
    (bench, mut first): (&mut Bench, Option<&[Offer]>),
    told: &mut Reference,
) -> Result<Cure, MarkingError> {
    let Assignment {
        sound,
        scenario,
        seed,
        ..
    } = &case.assignment;
    let mut belief = case.start.clone();
    let mut used: Vec<usize> = Vec::new();
    let begins = bench.clone();
    let mut checks = 0.0;
    // The reference stops where no check is worth its minutes; what a route goes on with is proof.
    let mut stops: Option<(f64, Cure)> = None;
    for _ in 0..STEPS_MAX {
        let Some(Next { offer, worth_it }) = next_check(case, &belief, bench, &used, first.take())?
        else {
            break;
        };
        if !worth_it && stops.is_none() {
            let (needless, found) = needless(case, &belief, cures);
            stops = Some((
                checks - opened(case, found, &begins, bench) + needless,
                found,
            ));
        }
        used.push(offer.index);
        let candidate = &case.candidates[offer.index];
        let seen = shown(offer.index);
        let here = without_error(&seen);
        let fresh = vec![true; here.len()];
        let predictions = case.predictions(offer.index);
        belief.learn(&case.log_likelihoods(&belief, predictions, &here, &fresh));
        let minutes = Minutes::from_hundredths(offer.hundredths);
        checks += minutes.as_minutes();
        if let Some((_, after)) = candidate.cost(sound, bench, scenario.helper) {
            *bench = after;
        }
        // Shown as the learner would have read it, by the same eye and meter, on both vehicles.
        let read = |seen: &[Observable]| {
            let read = |of: &Observable| read_in(*seed, of, &candidate.check, bench);
            in_words(&seen.iter().map(read).collect::<Vec<_>>())
        };
        let before = told.route.last().map_or(Minutes::ZERO, |step| step.so_far);
        told.route.push(RouteStep {
            check: candidate.words(sound),
            minutes,
            so_far: before.plus(minutes),
            here: read(&seen),
            sound: read(&case.sound_entry.predict(candidate)),
            suspects: suspects(case, &belief),
            likeliest: in_order(case, &belief, bench).into_iter().next(),
        });
    }
    let (avoidable, found) = stops.unwrap_or_else(|| {
        let (needless, found) = needless(case, &belief, cures);
        (
            checks - opened(case, found, &begins, bench) + needless,
            found,
        )
    });
    told.avoidable += avoidable.max(0.0);
    told.ends
        .push(route_end(case, &belief, bench, cures, told.route.len()));
    Ok(found)
}

/// What a route ends with: the right repair proven, or what is tried until it is reached.
fn route_end(
    case: &Case,
    belief: &Belief,
    bench: &Bench,
    cures: &[Cure],
    after: usize,
) -> RouteEnd {
    let sound = &case.assignment.sound;
    let words = |cure: &Cure| {
        let Cure { component, way } = *cure;
        Action::Repair { component, way }.words(sound)
    };
    let right: Vec<String> = cures.iter().map(words).collect();
    let is_right = |repair: &Trial| right.contains(&repair.repair);
    let mut repairs = in_order(case, belief, bench);
    let first = repairs.first();
    let proven = first.is_some_and(|first| first.belief >= PROVEN && is_right(first));
    // What would be tried before the right one, and that.
    let last = repairs.iter().position(is_right).unwrap_or(0);
    let worth_trying = |repair: &&Trial| repair.belief >= WORTH_TRYING;
    let likely = repairs.iter().filter(worth_trying).count();
    repairs.truncate(if proven { 1 } else { likely.max(last + 1) });
    RouteEnd {
        after,
        proven,
        repairs,
    }
}

/// Minutes of access to a repair that are done on the way from one bench to another: it wants them anyway.
fn opened(case: &Case, cure: Cure, from: &Bench, to: &Bench) -> f64 {
    let class = case.cures.iter().position(|known| *known == cure);
    class.map_or(0.0, |class| {
        case.access(from)[class] - case.access(to)[class]
    })
}

/// Repairs by belief, the likeliest first.
pub(super) fn in_order(case: &Case, belief: &Belief, bench: &Bench) -> Vec<Trial> {
    let sound = &case.assignment.sound;
    let (beliefs, access) = (case.class_beliefs(belief), case.access(bench));
    let mut order: Vec<usize> = (0..case.cures.len()).collect();
    order.sort_by(|a, b| beliefs[*b].total_cmp(&beliefs[*a]));
    let of = |class: usize| {
        let Cure { component, way } = case.cures[class];
        let labour = sound.component(component).repairs[way].labour.as_minutes();
        Trial {
            repair: Action::Repair { component, way }.words(sound),
            belief: beliefs[class],
            minutes: Minutes::nearest(labour + access[class]),
        }
    };
    order.into_iter().map(of).collect()
}

/// What is read of observables, without error.
pub(super) fn without_error(seen: &[Observable]) -> Vec<Observation> {
    seen.iter()
        .map(|observable| observable.observe(Errors::NONE))
        .collect()
}

/// The bench that an attempt begins with.
pub(super) fn first_bench(case: &Case) -> Result<Bench, MarkingError> {
    bench_of(&case.assignment)
}

/// The bench that attempts on an assignment begin with.
pub(super) fn bench_of(assignment: &Assignment) -> Result<Bench, MarkingError> {
    let sound = &assignment.sound;
    let conditions = crate::attempt::conditions(&assignment.scenario);
    Ok(World::new(sound.clone(), sound.clone(), conditions)?
        .bench()
        .clone())
}

/// Cures still to be reckoned with: those believed at over one in a hundred.
pub(super) fn suspects(case: &Case, belief: &Belief) -> usize {
    case.class_beliefs(belief)[..case.cures.len()]
        .iter()
        .filter(|p| **p > 0.01)
        .count()
}

/// A check of the rule, and whether any check is worth its minutes.
pub(super) struct Next {
    pub(super) offer: Offer,
    worth_it: bool,
}

/// The next check of the rule, or `None` when the likeliest repair is proven or nothing tells any more.
pub(super) fn next_check(
    case: &Case,
    belief: &Belief,
    bench: &Bench,
    used: &[usize],
    first: Option<&[Offer]>,
) -> Result<Option<Next>, MarkingError> {
    if case.is_proven(belief) {
        return Ok(None);
    }
    let mut offers = match first {
        Some(first) => first.to_vec(),
        None => case.offers(belief, bench)?,
    };
    offers.retain(|offer| !used.contains(&offer.index) && offer.worth[0].bits > WORTH_MAKING);
    // Trifles only when nothing else is left: a string of them proves nothing to a person.
    if offers
        .iter()
        .any(|offer| offer.worth[0].bits > WORTH_PROVING)
    {
        offers.retain(|offer| offer.worth[0].bits > WORTH_PROVING);
    }
    // A check that takes longer than the needless repairs it saves is not worth it.
    let worth_it = offers.iter().any(|offer| offer.net(0) > 0.0);
    Ok(Offer::best(&offers).map(|&offer| Next { offer, worth_it }))
}

/// Expected order of repairs by belief over cost, until one that cures: minutes of those before it, and which
/// it is. What is not worth trying is not tried: a rule at a loss is no measure of anybody's minutes.
fn needless(case: &Case, belief: &Belief, cures: &[Cure]) -> (f64, Cure) {
    let beliefs = case.class_beliefs(belief);
    let mut order: Vec<usize> = (0..case.cures.len())
        .filter(|&class| beliefs[class] >= WORTH_TRYING)
        .collect();
    let rank = |class: usize| beliefs[class] / repair_minutes(&case.assignment, case.cures[class]);
    order.sort_by(|a, b| rank(*b).total_cmp(&rank(*a)));
    let mut minutes = 0.0;
    for class in order {
        let cure = case.cures[class];
        if cures.contains(&cure) {
            return (minutes, cure);
        }
        minutes += repair_minutes(&case.assignment, cure);
    }
    (minutes, cures[0])
}

/// Observations in a few words.
pub(super) fn in_words(seen: &[Observation]) -> String {
    let heard = |wanted: Quantity, one: &Observation| matches!(one, Observation::Perception { quantity, level, .. } if *quantity == wanted && *level > 0);
    // A motor that hums is heard: that none runs is said by the hum.
    let hums = seen.iter().any(|one| heard(Quantity::Hum, one));
    let runs = seen.iter().any(|one| heard(Quantity::Pitch, one));
    let pitch = |one: &Observation| one.what().0 == Quantity::Pitch;
    // Of links or arms that are alike it is said once.
    let mut said: Vec<(Quantity, &'static str)> = Vec::new();
    let mut is_new = |one: &Observation| match one {
        Observation::Perception { quantity, word, .. } => {
            let known = said.contains(&(*quantity, *word));
            said.push((*quantity, *word));
            !known
        }
        Observation::Reading { .. } => true,
    };
    let words: Vec<String> = seen
        .iter()
        .filter(|one| !(hums && !runs && pitch(one)) && is_new(one))
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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::attempt::Attempt;
    use crate::file::{read_scenario, read_vehicle};
    use crate::marking::debrief;
    use crate::random::Seed;
    use crate::world::Shown;

    #[test]
    fn a_motor_that_hums_is_not_said_not_to_be_heard() {
        let heard = |quantity, level, word| Observation::Perception {
            quantity,
            subject: String::new(),
            level,
            word,
        };
        let silent = heard(Quantity::Pitch, 0, "no motor is heard");
        let hums = heard(Quantity::Hum, 1, "the motor hums");
        let told = in_words(&[silent.clone(), hums.clone()]);
        assert_eq!(told, "the motor hums");
        let quiet = heard(Quantity::Hum, 0, "no hum");
        assert_eq!(in_words(&[silent, quiet]), "no motor is heard, no hum");
        // At a stop and go both are heard.
        let note = heard(Quantity::Pitch, 2, "a steady note");
        assert_eq!(in_words(&[note, hums]), "a steady note, the motor hums");
    }

    #[test]
    fn what_is_alike_of_several_parts_is_said_once() {
        let link = |level, word| Observation::Perception {
            quantity: Quantity::Adrift,
            subject: format!("link {level}"),
            level,
            word,
        };
        let (on, off) = (link(0, "is on its pins"), link(1, "has come off its pin"));
        assert_eq!(in_words(&[on.clone(), on.clone()]), "is on its pins");
        let one = in_words(&[on.clone(), off, on]);
        assert_eq!(one, "is on its pins, has come off its pin");
        // A reading that comes twice, as at rest and under load, is two readings.
        let shown = Shown {
            counts: 125,
            exponent: -1,
        };
        let volts = Observation::Reading {
            quantity: Quantity::Voltage,
            subject: String::new(),
            unit: "V",
            shown: Some([shown; 3]),
            resolution: 0.1,
            samples: Vec::new(),
        };
        let twice = in_words(&[volts.clone(), volts]);
        assert_eq!(twice.matches("12.5").count(), 2, "{twice}");
    }

    /// Dry glass in HIGH: the pace is near a cut of its words, and so is how evenly the blades go.
    #[test]
    fn a_learner_who_goes_the_route_reads_what_it_shows() {
        let vehicle = include_str!("../../../scenarios/van-case-ground.toml");
        let scenario = include_str!("../../../scenarios/dust-from-the-wharf.toml");
        let assignment = Assignment {
            sound: Arc::new(read_vehicle(vehicle).unwrap().0),
            scenario: Arc::new(read_scenario(scenario).unwrap()),
            seed: Seed(4),
            chosen: None,
        };
        let begun = || Attempt::start(assignment.clone()).unwrap();
        let mut over = begun();
        over.act(&Action::GiveUp).unwrap();
        let route = debrief(&over).unwrap().route;
        let mut learner = begun();
        let mut does = |words: &str| {
            let action = Action::from_words(words, &assignment.sound).unwrap();
            learner.act(&action).unwrap().observations.clone()
        };
        does("set ignition-switch on");
        let mut compared = 0;
        for step in route {
            let Some((check, position)) = step.check.split_once(" with the wiper switch at ")
            else {
                break;
            };
            if !(check.starts_with("look blades") || check.starts_with("listen")) {
                break;
            }
            does(&format!("set wiper-switch {position}"));
            assert_eq!(in_words(&does(check)), step.here, "{}", step.check);
            compared += 1;
        }
        assert!(compared >= 3, "{compared}");
    }
}
