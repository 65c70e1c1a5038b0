//! The hypotheses of one attempt, each with a vehicle of its own, and the belief in them.

use super::MarkingError;
use super::belief::{Belief, by_class};
use super::debrief::VerdictLevel;
use super::dictionary::{Candidate, Entry, HypothesisEntry, Met, candidates};
use super::hypothesis::{Cure, Hypothesis, NONE_OF_THESE, cure_of, hypotheses};
use super::information::{Bout, Classes, Prediction, Worth, needless_minutes, worth};
use super::parallel;
use super::weights::{COARSE, REDUNDANT_BITS, VERIFY_MIN};
use crate::attempt::{Assignment, Attempt, Draw, sound_signature, world_of};
use crate::math;
use crate::scenario::Symptom;
use crate::vehicle::{Component, ComponentId, Region};
use crate::world::{
    Action, Bench, Chance, Errors, Observable, Observation, Permitted, Quantity, Sense, Signature,
    World, symptom,
};

/// Probability that a driver reports the symptom the vehicle has, rather than one of the others.
const DRIVER_RIGHT: f64 = 0.9;
/// Probability of a complaint about a vehicle that has none.
const COMPLAINT_OF_NOTHING: f64 = 0.002;
/// Hypotheses less likely than this after the complaint are not run: together they are less than a lapse.
const NOT_RUN: f64 = 2e-5;

/// Share of each neighbouring cell's likelihood in a cell's own.
const NEIGHBOUR: f64 = 0.1;
/// Share of bouts that begin or end in the window of a reading, which then lies anywhere (judgement).
const BETWEEN: f64 = 0.2;
/// Farthest that blades are from their rest where a bout stops them, millimetres at the tip (judgement).
const ANYWHERE_MM: f64 = 700.0;
/// Logarithmic penalty of a reading where a vehicle would have given none.
const NOTHING_THERE: f64 = 6.0;

/// A hypothesis that is run along.
struct Run {
    /// With what parts in bouts held closed.
    world: World,
    /// The share of running time for which something is parted, if anything is.
    share: Option<f64>,
}

/// What one vehicle shows of a check: with loose contacts closed, and in a bout.
type ShownBy = (Vec<Observable>, Option<Met>);

/// One attempt's hypotheses and the belief in them. 'None of these' is the last of each list.
pub(super) struct Case<'a> {
    pub(super) assignment: &'a Assignment,
    pub(super) truth: &'a Draw,
    pub(super) list: Vec<Hypothesis>,
    pub(super) cures: Vec<Cure>,
    /// Class of each hypothesis; the last class is 'none of these', the one before it 'cured'.
    pub(super) classes: Vec<usize>,
    /// Minutes of the repair of each class; none for the last two.
    repair_minutes: Vec<Option<f64>>,
    pub(super) candidates: Vec<Candidate>,
    runs: Vec<Option<Run>>,
    /// Predictions of each candidate by hypothesis.
    predictions: Vec<Vec<Prediction>>,
    /// The belief before the first action, with the complaint taken in.
    pub(super) start: Belief,
    /// What the true vehicle and a sound one show.
    pub(super) true_entry: Entry,
    pub(super) sound_entry: Entry,
    pub(super) sound_signature: Signature,
    /// The link that has melted for the fault, if one has.
    pub(super) melted: Option<ComponentId>,
}

impl<'a> Case<'a> {
    /// Sets up the hypotheses of an attempt and takes in the complaint.
    pub(super) fn open(attempt: &'a Attempt) -> Result<Self, MarkingError> {
        let assignment = attempt.assignment();
        let truth = attempt.truth();
        let Assignment {
            sound, scenario, ..
        } = assignment;
        let (list, cures) = hypotheses(sound, scenario);
        let chance = Chance::supposed(assignment.seed);
        let sound_signature = sound_signature(sound, scenario)?;
        let faults = list.iter().map(|hypothesis| hypothesis.fault).collect();
        let come_in = parallel::each(faults, |fault| -> Result<_, MarkingError> {
            let world = world_of(sound, fault, truth.shaft, scenario, chance)?;
            let shown = symptom(&Signature::of(world.clone())?, &sound_signature);
            Ok((world, shown))
        })?;

        let mut prior: Vec<f64> = list.iter().map(|hypothesis| hypothesis.prior).collect();
        prior.push(NONE_OF_THESE);
        let told: Vec<f64> = come_in
            .iter()
            .map(|(_, shown)| math::log(complaint_likelihood(*shown, truth.symptom)))
            .chain([math::log((1.0 - DRIVER_RIGHT) / 2.0)])
            .collect();
        let mut start = Belief::new(prior);
        start.update(&told);

        let worlds: Vec<Option<World>> = come_in
            .into_iter()
            .zip(start.probabilities())
            .map(|((world, _), p)| (*p > NOT_RUN).then_some(world))
            .collect();
        let candidates = candidates(sound);
        let runs = parallel::each(worlds, |run| -> Result<_, MarkingError> {
            let Some(world) = run else {
                return Ok((None, Vec::new()));
            };
            let shown = HypothesisEntry::of(&world)?.predict_all(&candidates);
            let run = Run {
                share: world.parted_share(),
                world: world.held(false),
            };
            Ok((Some(run), shown))
        })?;
        let (runs, shown): (Vec<_>, Vec<Vec<ShownBy>>) = runs.into_iter().unzip();
        let mut case = Self {
            classes: list
                .iter()
                .map(|hypothesis| hypothesis.class)
                .chain([cures.len() + 1])
                .collect(),
            repair_minutes: cures
                .iter()
                .map(|cure| Some(repair_minutes(assignment, *cure)))
                .chain([None, None])
                .collect(),
            candidates,
            predictions: Vec::new(),
            true_entry: Entry::of(assignment, Some(truth.faults), truth.shaft)?,
            sound_entry: Entry::of(assignment, None, truth.shaft)?,
            assignment,
            truth,
            list,
            cures,
            runs,
            start,
            sound_signature,
            melted: world_of(sound, truth.faults, truth.shaft, scenario, chance)?.melted(),
        };
        let mut shown: Vec<_> = shown.into_iter().map(Vec::into_iter).collect();
        let by_candidate: Vec<Vec<Option<ShownBy>>> = (0..case.candidates.len())
            .map(|_| shown.iter_mut().map(Iterator::next).collect())
            .collect();
        case.predictions = parallel::each(by_candidate, |shown| {
            Ok::<_, MarkingError>(case.with_spreads(shown))
        })?;
        Ok(case)
    }

    /// Number of classes: the cures, 'cured', and 'none of these'.
    pub(super) const fn class_count(&self) -> usize {
        self.cures.len() + 2
    }

    /// Adds to what each hypothesis shows the spread of its severity's cell: the difference of its
    /// neighbours' predictions, as a uniform distribution. 'None of these' and what is not run show
    /// nothing.
    fn with_spreads(&self, shown: Vec<Option<ShownBy>>) -> Vec<Prediction> {
        let value = |index: usize, of: &Observable| {
            let (seen, _) = shown[index].as_ref()?;
            let same = seen
                .iter()
                .find(|other| other.quantity == of.quantity && other.subject == of.subject);
            same.map(|other| other.value)
        };
        let mut predictions: Vec<Prediction> = (0..self.list.len())
            .map(|index| {
                let Hypothesis { cell, cells, .. } = self.list[index];
                let (seen, met) = shown[index].clone().unwrap_or_default();
                let spread = |of: &Observable| {
                    let low = if cell > 0 { index - 1 } else { index };
                    let high = if cell + 1 < cells { index + 1 } else { index };
                    let (Some(a), Some(b)) = (value(low, of), value(high, of)) else {
                        return of.quantity.tolerance(of.value);
                    };
                    let width = if high > low {
                        (b - a).abs() / f64::from(u8::from(high > index) + u8::from(low < index))
                    } else {
                        0.0
                    };
                    let cell = width / math::sqrt(12.0);
                    math::sqrt(math::square(cell) + math::square(of.quantity.tolerance(of.value)))
                };
                let spreads = seen.iter().map(spread).collect();
                Prediction {
                    seen,
                    spreads,
                    bout: met.map(bout),
                }
            })
            .collect();
        predictions.push(Prediction {
            seen: Vec::new(),
            spreads: Vec::new(),
            bout: None,
        });
        predictions
    }

    /// Carries an action out on every hypothesis's vehicle; what each shows.
    pub(super) fn act(&mut self, permitted: &Permitted) -> Result<Vec<Prediction>, MarkingError> {
        let runs: Vec<Option<Run>> = std::mem::take(&mut self.runs);
        let done = parallel::each(runs, |run| -> Result<_, MarkingError> {
            let Some(mut run) = run else {
                return Ok((None, None));
            };
            let in_a_bout = run.share.map(|_| run.world.clone().held(true));
            let outcome = run.world.carry_out(permitted)?;
            let met = match (in_a_bout, run.share) {
                (Some(mut world), Some(share)) => {
                    let mut seen = world.carry_out(permitted)?.observables;
                    run.world.tell_of_faltering(&world, &mut seen);
                    let chance = run.world.chance_of_a_bout(share, permitted.action());
                    Some(Met { chance, seen })
                }
                _ => None,
            };
            Ok((Some(run), Some((outcome.observables, met))))
        })?;
        let (runs, shown): (Vec<_>, Vec<_>) = done.into_iter().unzip();
        self.runs = runs;
        Ok(self.with_spreads(shown))
    }

    /// Takes repairs into account: where they put the fault right, or explained what is none, the class is
    /// 'cured' from then on, or the replacement of a link that had melted for it.
    pub(super) fn note_cures(&mut self) {
        let sound = &self.assignment.sound;
        for (index, hypothesis) in self.list.iter().enumerate() {
            let Some(run) = &self.runs[index] else {
                continue;
            };
            let component = hypothesis.fault.component;
            let put_right = run.world.vehicle().component(component) == sound.component(component);
            let condition = sound.mode(&hypothesis.fault).is_condition();
            if !(put_right || condition && run.world.explained(component)) {
                continue;
            }
            let link = run.world.melted().map(|link| Cure {
                component: link,
                way: 0,
            });
            let left = link.and_then(|link| self.cures.iter().position(|cure| *cure == link));
            self.classes[index] = left.unwrap_or(self.cures.len());
        }
    }

    /// The proper repairs of what is wrong.
    pub(super) fn true_cures(&self) -> Vec<Cure> {
        let sound = &self.assignment.sound;
        let faults = self.truth.faults.iter();
        faults
            .map(|fault| cure_of(sound, fault.component, fault.mode))
            .collect()
    }

    /// Kinship of a repair of `component` with the fault of a hypothesis.
    pub(super) fn kinship(&self, index: usize, component: ComponentId) -> f64 {
        let sound = &self.assignment.sound;
        let fault = self.list[index].fault;
        let part = sound.component(fault.component);
        if fault.component == component || part.part_of == Some(component) {
            VerdictLevel::Exact.kinship()
        } else if part.region_of(&sound.mode(&fault))
            == region_of_repair(sound.component(component))
        {
            VerdictLevel::RightRegion.kinship()
        } else {
            VerdictLevel::Wrong.kinship()
        }
    }

    /// Whether a hypothesis is likely enough after the complaint to be run along.
    pub(super) fn is_run(&self, index: usize) -> bool {
        self.runs[index].is_some()
    }

    /// For each hypothesis that is run: its prior, and whether operating each position of the wiper
    /// switch would show by eye that it is not sound.
    pub(super) fn shown_by_position(&self) -> Vec<(f64, Vec<bool>)> {
        let looks: Vec<usize> = (0..self.candidates.len())
            .filter(|&index| self.candidates[index].check == Action::Sense(Sense::LookBlades))
            .collect();
        let mut list = Vec::new();
        for (index, hypothesis) in self
            .list
            .iter()
            .enumerate()
            .filter(|(index, _)| self.is_run(*index))
        {
            let shows: Vec<bool> = looks
                .iter()
                .map(|&look| {
                    let sound = self.sound_entry.predict(&self.candidates[look]);
                    let seen = &self.predictions[look][index].seen;
                    let words = |seen: &[Observable]| -> Vec<Observation> {
                        seen.iter()
                            .map(|observable| observable.observe(Errors::NONE))
                            .collect()
                    };
                    words(&sound) != words(seen)
                })
                .collect();
            if shows.contains(&true) {
                list.push((hypothesis.prior, shows));
            }
        }
        list
    }

    /// Logarithm of the likelihood of what was read, by hypothesis; `fresh` says which observations are
    /// not mere repeats of an earlier check in the same state.
    ///
    /// A severity somewhere in its cell may already behave like the neighbouring cell, beyond a stall or
    /// a trip where no interpolation holds: the neighbours' likelihoods are mixed in.
    pub(super) fn log_likelihoods(
        &self,
        predictions: &[Prediction],
        read: &[Observation],
        fresh: &[bool],
    ) -> Vec<f64> {
        let own: Vec<f64> = (0..predictions.len())
            .map(|index| self.own_log_likelihood(predictions, index, read, fresh))
            .collect();
        (0..own.len())
            .map(|index| {
                let Some(Hypothesis { cell, cells, .. }) = self.list.get(index) else {
                    return own[index];
                };
                let low = if *cell > 0 {
                    own[index - 1]
                } else {
                    own[index]
                };
                let high = if cell + 1 < *cells {
                    own[index + 1]
                } else {
                    own[index]
                };
                let best = own[index].max(low).max(high);
                let mixed = (1.0 - 2.0 * NEIGHBOUR) * math::exp(own[index] - best)
                    + NEIGHBOUR * (math::exp(low - best) + math::exp(high - best));
                best + math::log(mixed)
            })
            .collect()
    }

    /// Of what is a mere repeat, nothing is learnt but that a loose contact stands as it stood.
    fn own_log_likelihood(
        &self,
        predictions: &[Prediction],
        index: usize,
        read: &[Observation],
        fresh: &[bool],
    ) -> f64 {
        let Prediction {
            seen,
            spreads,
            bout,
        } = &predictions[index];
        // What is not run has nothing to say; what is run and shows nothing there is at odds with it.
        let unexplained = if index == self.list.len() || self.runs[index].is_none() {
            0.0
        } else {
            -NOTHING_THERE
        };
        let sum = |seen: &[Observable], spreads: &[f64], wanted: bool| -> f64 {
            let chosen = read.iter().zip(fresh).filter(|(_, is)| **is == wanted);
            chosen
                .map(|(read, _)| {
                    let expected = seen.iter().zip(spreads).find(|(of, _)| of.is_of(read));
                    expected.map_or(read.log_chance() + unexplained, |(of, spread)| {
                        of.log_likelihood(read, *spread)
                    })
                })
                .sum()
        };
        let own = sum(seen, spreads, true);
        let Some(bout) = bout else { return own };
        let parted = sum(&bout.seen, &bout.spreads, true);
        let repeat = (
            sum(seen, spreads, false),
            sum(&bout.seen, &bout.spreads, false),
        );
        let news = read.iter().zip(fresh).filter(|(_, fresh)| **fresh);
        let between = news.map(|(read, _)| between(seen, &bout.seen, read)).sum();
        let likelier = repeat.0.max(repeat.1);
        mixed(
            bout.chance,
            own + repeat.0 - likelier,
            parted + repeat.1 - likelier,
            between,
        )
    }

    /// What predictions are worth under each reading model: fine and coarse.
    pub(super) fn worth(&self, predictions: &[Prediction], belief: &Belief) -> [Worth; 2] {
        let classes = Classes {
            of: &self.classes,
            repair_minutes: &self.repair_minutes,
        };
        [1.0, COARSE]
            .map(|coarseness| worth(predictions, belief.probabilities(), classes, coarseness))
    }

    /// The candidates that tell anything from a bench, in the order of the list.
    pub(super) fn offers(
        &self,
        belief: &Belief,
        bench: &Bench,
    ) -> Result<Vec<Offer>, MarkingError> {
        let Assignment {
            sound, scenario, ..
        } = self.assignment;
        let all = parallel::each((0..self.candidates.len()).collect(), |index: usize| {
            let cost = self.candidates[index].cost(sound, bench, scenario.helper);
            let worth = self.worth(&self.predictions[index], belief);
            Ok::<_, MarkingError>(cost.map(|(hundredths, _)| Offer {
                index,
                worth,
                hundredths,
            }))
        })?;
        Ok(all
            .into_iter()
            .flatten()
            .filter(|offer| offer.worth[0].bits >= REDUNDANT_BITS)
            .collect())
    }

    /// Expected minutes of needless repairs if repairs were ordered now.
    pub(super) fn needless_now(&self, belief: &Belief) -> f64 {
        needless_minutes(&self.class_beliefs(belief), &self.repair_minutes)
    }

    /// Predictions of a candidate, by hypothesis.
    pub(super) fn predictions(&self, candidate: usize) -> &[Prediction] {
        &self.predictions[candidate]
    }

    /// Belief in each class.
    pub(super) fn class_beliefs(&self, belief: &Belief) -> Vec<f64> {
        by_class(belief.probabilities(), &self.classes, self.class_count())
    }
}

/// A check that could be made next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Offer {
    pub(super) index: usize,
    /// What it is worth under the fine and the coarse reading model.
    pub(super) worth: [Worth; 2],
    pub(super) hundredths: u32,
}

impl Offer {
    /// Its minutes.
    pub(super) fn minutes(&self) -> f64 {
        f64::from(self.hundredths.max(1)) / 100.0
    }

    /// Bits a minute under a reading model.
    pub(super) fn rate(&self, model: usize) -> f64 {
        self.worth[model].bits / self.minutes()
    }

    /// Minutes of needless repairs it is expected to save beyond its own minutes.
    pub(super) fn net(&self, model: usize) -> f64 {
        self.worth[model].minutes - self.minutes()
    }

    /// The offer with the most bits a minute.
    pub(super) fn best<'a>(offers: impl IntoIterator<Item = &'a Self>) -> Option<&'a Self> {
        offers.into_iter().reduce(|best, offer| {
            if offer.rate(0) > best.rate(0) {
                offer
            } else {
                best
            }
        })
    }
}

/// Minutes of a repair: labour, its price at the shop rate, and operating everything afterwards.
pub(super) fn repair_minutes(assignment: &Assignment, cure: Cure) -> f64 {
    let repair = &assignment.sound.component(cure.component).repairs[cure.way];
    repair.labour.as_minutes()
        + f64::from(repair.price) / assignment.scenario.shop_rate
        + VERIFY_MIN
}

/// A bout's prediction without a spread of severities. Blades that it stops stand anywhere.
fn bout(mut met: Met) -> Bout {
    for rest in &mut met.seen {
        if rest.quantity == Quantity::Rest {
            (rest.min, rest.max) = (0.0, ANYWHERE_MM);
            rest.value = 0.5 * ANYWHERE_MM;
        }
    }
    let tolerance = |of: &Observable| of.quantity.tolerance(of.value);
    Bout {
        chance: met.chance,
        spreads: met.seen.iter().map(tolerance).collect(),
        seen: met.seen,
    }
}

/// Logarithm of the likelihood of what is read while a contact closes and parts: its mean lies anywhere
/// between those of the two, and it swings from the one to the other. What the contact has no part in is read
/// as ever.
fn between(closed: &[Observable], parted: &[Observable], read: &Observation) -> f64 {
    let of = |list: &[Observable]| list.iter().find(|seen| seen.is_of(read)).cloned();
    let (Some(closed), Some(parted)) = (of(closed), of(parted)) else {
        return read.log_chance();
    };
    let apart = parted.value - closed.value;
    let both = Observable {
        value: 0.5 * (closed.value + parted.value),
        min: closed.min.min(parted.min),
        max: closed.max.max(parted.max),
        ..closed
    };
    let tolerance = both.quantity.tolerance(both.value);
    let spread = math::sqrt(math::square(apart) / 12.0 + math::square(tolerance));
    both.log_likelihood(read, spread)
}

/// Logarithm of the likelihood of a reading that meets a contact parted with a chance: from those of the
/// reading with it closed and parted, and of one between them, for bouts that begin or end meanwhile.
fn mixed(chance: f64, closed: f64, parted: f64, between: f64) -> f64 {
    let terms = [
        (1.0 - chance, closed),
        (chance * (1.0 - BETWEEN), parted),
        (chance * BETWEEN, between),
    ];
    let best = closed.max(parted).max(between);
    let sum: f64 = terms
        .iter()
        .map(|(weight, log)| weight * math::exp(log - best))
        .sum();
    best + math::log(sum)
}

/// Where a repair of a component says that the fault is: what has no failures but conditions is no fault.
fn region_of_repair(component: &Component) -> Region {
    let mode = component.modes().into_iter().next();
    mode.map_or(component.region, |mode| component.region_of(&mode))
}

fn complaint_likelihood(shown: Option<Symptom>, told: Symptom) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "nine symptoms")]
    let others = (Symptom::ALL.len() - 1) as f64;
    match shown {
        None => COMPLAINT_OF_NOTHING,
        Some(shown) if shown == told => DRIVER_RIGHT,
        Some(_) => (1.0 - DRIVER_RIGHT) / others,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn good_trials_wear_an_intermittent_fault_down_but_do_not_kill_it() {
        // p = .5, shown in three trials of ten, five trials that are good: .4118 .3289 .2554 .1936 .1439
        // by p(1-g) / (p(1-g) + 1 - p). A good trial is as likely under the other hypothesis as when the
        // contact is closed, and hardly possible when it is parted.
        let mut p = 0.5;
        for expected in [0.4118, 0.3289, 0.2554, 0.1936, 0.1439] {
            let good = math::exp(mixed(0.3, 0.0, -30.0, -30.0));
            p = p * good / (p * good + 1.0 - p);
            assert!((p - expected).abs() < 5e-5, "{p} {expected}");
        }
    }

    #[test]
    fn a_bout_met_speaks_for_it_and_one_that_ends_meanwhile_is_no_surprise() {
        let shown = mixed(0.3, -30.0, 0.0, -3.0);
        assert!((shown - math::log(0.3 * (0.8 + 0.2 * math::exp(-3.0)))).abs() < 1e-9);
        assert!(mixed(0.3, -30.0, -30.0, -3.0) > -6.0);
    }
}
