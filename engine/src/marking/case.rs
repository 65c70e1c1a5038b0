//! The hypotheses of one attempt, each with a vehicle of its own, and the belief in them.

use std::sync::{Arc, OnceLock};

use super::MarkingError;
use super::before::worth_listing;
use super::belief::{Belief, by_class};
use super::benches::{Benches, Listed};
use super::complaint::DRIVER_RIGHT;
use super::debrief::VerdictLevel;
use super::dictionary::{Candidate, candidates};
use super::drivers::Drivers;
use super::entry::{Entry, HypothesisEntry};
use super::fault_dictionary::FaultDictionary;
use super::hypothesis::{Cure, Hypothesis, NONE_OF_THESE, cure_of, hypotheses};
use super::information::{Classes, Doubt, Prediction, Worth};
use super::likelihood::with_spreads;
use super::moments::Moment;
use super::offers::{Offer, opened};
use super::outcomes::Outcomes;
use super::parallel;
use super::running::{Run, ShownBy};
use super::weights::{COARSE, PROVEN, REDUNDANT_BITS, VERIFY_MIN};
use crate::attempt::{Assignment, Attempt, Draw, world_of};
use crate::math;
use crate::vehicle::{Component, ComponentId, Fault, Region, Vehicle};
use crate::world::{Action, Bench, Chance, Signature, World};

/// Hypotheses less likely than this are not run: together they are less than a lapse.
pub(super) const NOT_RUN: f64 = 2e-5;
/// How much coarser than the instrument allows a person reads, in the two models of reading: fine and coarse.
pub(super) const MODELS: [f64; 2] = [1.0, COARSE];
/// The hypotheses of a draw and the belief in them. 'None of these' is the last of each list.
#[derive(Clone)]
pub(super) struct Case {
    pub(super) assignment: Assignment,
    pub(super) truth: Draw,
    pub(super) list: Vec<Hypothesis>,
    pub(super) cures: Vec<Cure>,
    /// Class of each hypothesis; the last class is 'none of these', the one before it 'cured'.
    pub(super) classes: Vec<usize>,
    /// Minutes of the repair of each class; none for the last two.
    repair_minutes: Vec<Option<f64>>,
    pub(super) candidates: Arc<[Candidate]>,
    /// Their vehicles, run along.
    pub(super) moment: Arc<Moment>,
    /// Whether each is run along: not those that the complaint leaves too little of.
    pub(super) running: Vec<bool>,
    /// Whether each of those waits: nothing but the floor is left of it, so nobody asks what it shows.
    pub(super) waits: Vec<bool>,
    /// The true vehicle, run along: what was still sound when it was repaired.
    pub(super) true_run: World,
    /// Predictions of each candidate by hypothesis.
    predictions: Arc<Vec<Vec<Prediction>>>,
    /// Outcomes of each candidate under the fine and the coarse model of reading.
    outcomes: Arc<[Vec<Outcomes>; 2]>,
    pub(super) benches: Arc<Benches>,
    /// The belief before the first action, with the complaint taken in.
    pub(super) start: Belief,
    /// What the true vehicle shows, from when it is first asked for on, and what a sound one does.
    true_entry: Arc<OnceLock<Entry>>,
    pub(super) sound_entry: Arc<Entry>,
    pub(super) sound_signature: Signature,
    /// The link that has melted for the fault, if one has.
    pub(super) melted: Option<ComponentId>,
}

/// What is known before the true vehicle is looked at: the hypotheses and their repairs, what they show, the belief by the
/// complaint, and what a sound vehicle shows.
type Known = ((Vec<Hypothesis>, Vec<Cure>), Tables, Belief, Arc<Entry>);

impl Case {
    /// Sets up the hypotheses of an attempt, each to be run along with it, and takes in the complaint.
    pub(super) fn open(attempt: &Attempt, drivers: &Drivers) -> Result<Self, MarkingError> {
        let assignment = attempt.assignment();
        let truth = attempt.truth();
        let Assignment {
            sound, scenario, ..
        } = assignment;
        let hypotheses = hypotheses(sound, scenario);
        let (list, _) = &hypotheses;
        let chance = Chance::supposed(assignment.seed);
        let start = start(list, drivers, truth);
        let checks = candidates(sound);
        let likely = are_run(list, &start).into_iter().zip(list);
        let likely = likely
            .map(|(is_run, hypothesis)| is_run.then_some(hypothesis.fault))
            .collect();
        let runs = parallel::each(likely, |fault| -> Result<_, MarkingError> {
            let Some(fault) = fault else {
                return Ok((None, Vec::new()));
            };
            let world = world_of(sound, fault, truth.shaft, scenario, chance)?;
            let shown = HypothesisEntry::of(&world)?.predict_all(&checks);
            Ok((Some(Run::of(world)), shown))
        })?;
        let (runs, shown) = runs.into_iter().unzip();
        let tables = tables(sound, list, checks, shown)?;
        let sound_entry = Arc::new(Entry::of(assignment, None, truth.shaft)?);
        let known = (hypotheses, tables, start, sound_entry);
        Self::of(attempt, drivers, known, Moment::first(runs))
    }

    /// The same where the fault dictionary tells what hypotheses show.
    pub(super) fn by(
        dictionary: &FaultDictionary,
        attempt: &Attempt,
    ) -> Result<Self, MarkingError> {
        let Assignment {
            sound, scenario, ..
        } = attempt.assignment();
        let hypotheses = hypotheses(sound, scenario);
        let start = start(&hypotheses.0, &dictionary.drivers, attempt.truth());
        let tables = dictionary.tables.clone();
        let sound_entry = Arc::clone(&dictionary.sound_entry);
        let known = (hypotheses, tables, start, sound_entry);
        let moment = Arc::clone(&dictionary.moment);
        Self::of(attempt, &dictionary.drivers, known, moment)
    }

    fn of(
        attempt: &Attempt,
        drivers: &Drivers,
        ((list, cures), tables, start, sound_entry): Known,
        moment: Arc<Moment>,
    ) -> Result<Self, MarkingError> {
        let assignment = attempt.assignment();
        let truth = attempt.truth();
        let true_run = world_of(
            &assignment.sound,
            truth.faults,
            truth.shaft,
            &assignment.scenario,
            Chance::of_the_truth(assignment.seed),
        )?;
        let repair_minutes = cures
            .iter()
            .map(|cure| Some(repair_minutes(assignment, *cure)));
        Ok(Self {
            classes: list
                .iter()
                .map(|hypothesis| hypothesis.class)
                .chain([cures.len() + 1])
                .collect(),
            repair_minutes: repair_minutes.chain([None, None]).collect(),
            candidates: tables.checks,
            predictions: tables.predictions,
            outcomes: tables.outcomes,
            benches: tables.benches,
            true_entry: Arc::default(),
            sound_entry,
            assignment: assignment.clone(),
            truth: truth.clone(),
            running: are_run(&list, &start),
            waits: vec![false; list.len()],
            list,
            cures,
            moment,
            start,
            sound_signature: drivers.sound_signature.clone(),
            melted: true_run.melted(),
            true_run,
        })
    }

    /// What the true vehicle shows.
    pub(super) fn true_entry(&self) -> Result<&Entry, MarkingError> {
        if let Some(known) = self.true_entry.get() {
            return Ok(known);
        }
        let Draw { faults, shaft, .. } = self.truth;
        let entry = Entry::of(&self.assignment, Some(faults), shaft)?;
        Ok(self.true_entry.get_or_init(|| entry))
    }

    /// The actions that make a listed check from a bench.
    pub(super) fn steps(&self, index: usize, bench: &Bench) -> Vec<Action> {
        let Assignment {
            sound, scenario, ..
        } = &self.assignment;
        self.candidates[index].steps(sound, bench, scenario.helper)
    }

    /// Number of classes: the cures, 'cured', and 'none of these'.
    pub(super) const fn class_count(&self) -> usize {
        self.cures.len() + 2
    }

    /// Whether a component that is about to be repaired is not as it came in, and was sound then: what came of
    /// the work itself, as a link that has melted since.
    pub(super) fn is_consequence(&self, component: ComponentId) -> bool {
        let sound = &self.assignment.sound;
        let came_in = sound.inject_all(&self.truth.faults);
        let was_sound = came_in.component(component) == sound.component(component)
            && self.melted != Some(component);
        let is_as_it_was =
            self.true_run.vehicle().component(component) == came_in.component(component);
        was_sound && (self.true_run.has_melted(component) || !is_as_it_was)
    }

    /// Minutes of going to what is repaired and taking its cover off, by class; none for the last two.
    pub(super) fn access(&self, bench: &Bench) -> Vec<f64> {
        self.listed().access(bench)
    }

    /// The vehicle with its listed checks and repairs.
    pub(super) fn listed(&self) -> Listed<'_> {
        Listed {
            sound: &self.assignment.sound,
            helper: self.assignment.scenario.helper,
            candidates: &self.candidates,
            cures: &self.cures,
        }
    }

    /// Minutes to be expected from a bench on of the repair that is needed, which nobody can avoid.
    pub(super) fn needed(&self, belief: &Belief, bench: &Bench) -> f64 {
        let beliefs = self.class_beliefs(belief);
        let access = self.access(bench);
        let minutes =
            |class: usize| self.repair_minutes[class].map_or(0.0, |own| own + access[class]);
        let beliefs = beliefs.iter().enumerate();
        beliefs.map(|(class, p)| p * minutes(class)).sum()
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
        if sound.is_in(fault.component, component) {
            VerdictLevel::Exact.kinship()
        } else if part.region_of(&sound.mode(&fault))
            == region_of_repair(sound.component(component))
        {
            VerdictLevel::RightRegion.kinship()
        } else {
            VerdictLevel::Wrong.kinship()
        }
    }

    /// What predictions are worth under each reading model: fine and coarse.
    pub(super) fn worth(&self, predictions: &[Prediction], belief: &Belief) -> [Worth; 2] {
        let doubt = self.doubt(belief);
        MODELS.map(|model| doubt.worth(&Outcomes::of(predictions, doubt.live(), model)))
    }

    pub(super) fn doubt(&self, belief: &Belief) -> Doubt {
        Doubt::of(belief.probabilities(), self.classes_of(&self.classes))
    }

    /// Classes of hypotheses with the minutes of their repairs.
    pub(super) fn classes_of<'a>(&'a self, of: &'a [usize]) -> Classes<'a> {
        Classes {
            of,
            repair_minutes: &self.repair_minutes,
        }
    }

    /// Outcomes of each candidate under a model of reading, by its place among [`MODELS`].
    pub(super) fn outcomes(&self, model: usize) -> &[Outcomes] {
        &self.outcomes[model]
    }

    /// The candidates that tell anything from a bench, in the order of the list.
    pub(super) fn offers(
        &self,
        belief: &Belief,
        bench: &Bench,
    ) -> Result<Vec<Offer>, MarkingError> {
        let doubt = self.doubt(belief);
        if doubt.bits() < REDUNDANT_BITS {
            return Ok(Vec::new());
        }
        let listed = self.listed();
        let here = self.benches.at(self.benches.place(listed, bench));
        let beliefs = self.class_beliefs(belief);
        let offer = |index: usize| {
            let [fine, coarse] = &*self.outcomes;
            let worth = doubt.worth_from(REDUNDANT_BITS, &fine[index])?;
            let (hundredths, after) = self.benches.way(listed, &here, index)?;
            let after = self.benches.at(after);
            Some(Offer {
                index,
                worth: [worth, doubt.worth(&coarse[index])],
                hundredths,
                opens: opened(&beliefs, &here.access, &after.access),
            })
        };
        let all = parallel::each((0..self.candidates.len()).collect(), |index| {
            Ok::<_, MarkingError>(offer(index))
        })?;
        Ok(all.into_iter().flatten().collect())
    }

    /// Minutes of access to the needed repair that going from one bench to another has done already.
    pub(super) fn opened(&self, belief: &Belief, from: &Bench, to: &Bench) -> f64 {
        let beliefs = self.class_beliefs(belief);
        opened(&beliefs, &self.access(from), &self.access(to))
    }

    /// Predictions of a candidate, by hypothesis.
    pub(super) fn predictions(&self, candidate: usize) -> &[Prediction] {
        &self.predictions[candidate]
    }

    /// The likeliest fault of a class.
    pub(super) fn likeliest_of(&self, class: usize, belief: &Belief) -> Option<Fault> {
        let of_class = (0..self.list.len()).filter(|&index| self.classes[index] == class);
        let likeliest = math::first_of_most(of_class, |&index| belief.probabilities()[index]);
        likeliest.map(|index| self.list[index].fault)
    }

    /// Whether one repair is as good as sure.
    pub(super) fn is_proven(&self, belief: &Belief) -> bool {
        let beliefs = self.class_beliefs(belief);
        beliefs[..self.cures.len()].iter().any(|p| *p >= PROVEN)
    }

    /// Belief in each class.
    pub(super) fn class_beliefs(&self, belief: &Belief) -> Vec<f64> {
        by_class(belief.probabilities(), &self.classes, self.class_count())
    }
}

/// What the listed checks show: predictions by check and hypothesis, and the outcomes of each check under the fine and
/// the coarse model of reading.
#[derive(Clone)]
pub(super) struct Tables {
    checks: Arc<[Candidate]>,
    predictions: Arc<Vec<Vec<Prediction>>>,
    outcomes: Arc<[Vec<Outcomes>; 2]>,
    /// What the checks take, as far as somebody has looked ahead.
    benches: Arc<Benches>,
}

/// The tables of what each hypothesis shows in each check; nothing of those that are not run.
pub(super) fn tables(
    sound: &Vehicle,
    list: &[Hypothesis],
    checks: Vec<Candidate>,
    shown: Vec<Vec<ShownBy>>,
) -> Result<Tables, MarkingError> {
    let (checks, shown) = worth_listing(sound, list, checks, shown);
    let mut shown: Vec<_> = shown.into_iter().map(Vec::into_iter).collect();
    let by_check: Vec<Vec<Option<ShownBy>>> = checks
        .iter()
        .map(|_| shown.iter_mut().map(Iterator::next).collect())
        .collect();
    let everything: Vec<usize> = (0..=list.len()).collect();
    let predicted = parallel::each(by_check, |shown| {
        let predictions = with_spreads(list, shown);
        let [fine, coarse] = MODELS.map(|of| Outcomes::of(&predictions, &everything, of));
        Ok::<_, MarkingError>((predictions, (fine, coarse)))
    })?;
    let (predictions, (fine, coarse)) = predicted.into_iter().unzip();
    Ok(Tables {
        checks: checks.into(),
        predictions: Arc::new(predictions),
        outcomes: Arc::new([fine, coarse]),
        benches: Arc::default(),
    })
}

/// Whether each hypothesis is likely enough after the complaint to be run along, or one beside it in severity: what lies
/// between them is told by both.
fn are_run(list: &[Hypothesis], start: &Belief) -> Vec<bool> {
    let likely = |index: usize| start.probabilities()[index] > NOT_RUN;
    let is_run = |(index, of): (usize, &Hypothesis)| {
        let mut beside = of.beside(index).into_iter().flatten();
        likely(index) || beside.any(likely)
    };
    list.iter().enumerate().map(is_run).collect()
}

/// The belief by the complaint alone.
fn start(list: &[Hypothesis], drivers: &Drivers, truth: &Draw) -> Belief {
    let priors = list.iter().map(|hypothesis| hypothesis.prior);
    let mut start = Belief::new(priors.chain([NONE_OF_THESE]).collect());
    let none = math::log((1.0 - DRIVER_RIGHT) / 2.0);
    let told: Vec<f64> = drivers
        .log_likelihoods(truth.symptom)
        .chain([none])
        .collect();
    start.update(&told);
    start
}

/// The replacement of a link or fuse that has melted.
pub(super) fn replacement(vehicle: &Vehicle, link: ComponentId) -> Cure {
    let repairs = &vehicle.component(link).repairs;
    let way = repairs
        .iter()
        .position(|repair| repair.name.as_str() == "replace");
    Cure {
        component: link,
        way: way.unwrap_or(0),
    }
}

/// Minutes of a repair: labour, its price at the shop rate, and operating everything afterwards.
pub(super) fn repair_minutes(assignment: &Assignment, cure: Cure) -> f64 {
    let repair = &assignment.sound.component(cure.component).repairs[cure.way];
    repair.labour.as_minutes()
        + f64::from(repair.price) / assignment.scenario.shop_rate
        + VERIFY_MIN
}

/// Where a repair of a component says that the fault is: what has no failures but conditions is no fault.
fn region_of_repair(component: &Component) -> Region {
    let mode = component.modes().into_iter().next();
    mode.map_or(component.region, |mode| component.region_of(&mode))
}
