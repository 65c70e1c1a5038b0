//! What the listed checks take from one bench after another, each worked out once.

use std::sync::PoisonError;

use super::belief::Belief;
use super::case::Case;
use super::dictionary::{Candidate, reach_minutes};
use super::hypothesis::Cure;
use super::information::Doubt;
use super::outcomes::Outcomes;
use super::rollout::{Prospect, RollOut, Step, Ways};
use crate::quantity::SimTime;
use crate::vehicle::Vehicle;
use crate::world::Bench;

/// Chance of an outcome beside that of the likeliest one below which a look-ahead leaves it out.
const LEAST_SHARE: f64 = 0.02;

/// A vehicle with its listed checks and repairs, as far as what they take hangs on it.
#[derive(Clone, Copy)]
pub(super) struct Listed<'a> {
    pub(super) sound: &'a Vehicle,
    pub(super) helper: bool,
    pub(super) candidates: &'a [Candidate],
    pub(super) cures: &'a [Cure],
}

impl Listed<'_> {
    /// Minutes of going to what is repaired and taking its cover off, by class; none for the last two.
    pub(super) fn access(&self, bench: &Bench) -> Vec<f64> {
        let of = |cure: &Cure| match self.sound.explains(cure.component, cure.way) {
            true => 0.0,
            false => reach_minutes(cure.component, self.sound, bench),
        };
        self.cures.iter().map(of).chain([0.0, 0.0]).collect()
    }
}

/// A check from a bench: hundredths of minutes, and the place of the bench after it; none where it cannot be made.
type Way = Option<(u32, usize)>;

/// A bench, as far as what checks take hangs on it.
#[derive(Clone, Debug)]
struct Known {
    bench: Bench,
    /// Minutes of access to the repair of each class.
    access: Vec<f64>,
    /// What each check takes from it, as far as it was asked for.
    ways: Vec<Option<Way>>,
}

/// The benches that were come to so far. They serve any number of decisions on one vehicle.
#[derive(Clone, Debug, Default)]
pub(super) struct Benches {
    known: Vec<Known>,
}

impl Benches {
    /// The place of a bench among those that are known.
    pub(super) fn place(&mut self, listed: Listed<'_>, bench: &Bench) -> usize {
        let bench = as_far_as_it_matters(bench);
        let known = self.known.iter().position(|known| known.bench == bench);
        known.unwrap_or_else(|| {
            self.known.push(Known {
                access: listed.access(&bench),
                ways: vec![None; listed.candidates.len()],
                bench,
            });
            self.known.len() - 1
        })
    }
}

/// A bench without what no check's minutes hang on: the time, what was probed and what was repaired.
fn as_far_as_it_matters(bench: &Bench) -> Bench {
    Bench {
        probed: Vec::new(),
        repairs: Vec::new(),
        wet_until: SimTime::START,
        soaked_until: SimTime::START,
        now: SimTime::START,
        ..bench.clone()
    }
}

/// What is in doubt at a belief, with the hypotheses that are not negligible alone and the checks that may tell something
/// of them.
struct Narrowed {
    /// Classes of these hypotheses.
    classes: Vec<usize>,
    doubt: Doubt,
    /// Places of the checks in the case's list, and what may come of each.
    checks: Vec<usize>,
    outcomes: Vec<Outcomes>,
}

impl Narrowed {
    /// That of a belief; checks that are left out tell nothing any more.
    fn of(case: &Case, belief: &Belief, left_out: &[usize]) -> Self {
        let whole = case.doubt(belief);
        let live = whole.live();
        let classes: Vec<usize> = live.iter().map(|&index| case.classes[index]).collect();
        let masses = live.iter().map(|&index| belief.probabilities()[index]);
        let doubt = Doubt::among(masses.enumerate(), case.classes_of(&classes));
        let may_tell = |check: usize| {
            let outcomes = case.outcomes()[check].among(live, LEAST_SHARE);
            (outcomes.count() > 1).then_some((check, outcomes))
        };
        let new = (0..case.candidates.len()).filter(|check| !left_out.contains(check));
        let (checks, outcomes) = new.filter_map(may_tell).unzip();
        Self {
            classes,
            doubt,
            checks,
            outcomes,
        }
    }
}

impl Case {
    /// What to do next comes to from a bench, by the rule 'most bits a minute' rolled out over the fine outcomes.
    pub(super) fn prospect(&self, belief: &Belief, bench: &Bench, left_out: &[usize]) -> Prospect {
        let narrowed = Narrowed::of(self, belief, left_out);
        let mut benches = self.benches.lock().unwrap_or_else(PoisonError::into_inner);
        let stand = benches.place(self.listed(), bench);
        let ways = FromBenches {
            listed: self.listed(),
            checks: &narrowed.checks,
            benches: &mut benches,
        };
        let used = vec![false; narrowed.checks.len()];
        let classes = self.classes_of(&narrowed.classes);
        let mut rolled = RollOut::new(classes, &narrowed.outcomes, ways, used);
        let mut prospect = rolled.prospect(&narrowed.doubt, stand);
        for (step, _) in &mut prospect.steps {
            if let Step::Check(place) = step {
                *place = narrowed.checks[*place];
            }
        }
        prospect
    }
}

/// Some of the listed checks, from the benches that are known.
pub(super) struct FromBenches<'a> {
    pub(super) listed: Listed<'a>,
    /// Places of the checks in the list.
    pub(super) checks: &'a [usize],
    pub(super) benches: &'a mut Benches,
}

impl Ways for FromBenches<'_> {
    fn to(&mut self, check: usize, from: usize) -> Way {
        let index = self.checks[check];
        if let Some(known) = self.benches.known[from].ways[index] {
            return known;
        }
        let Listed { sound, helper, .. } = self.listed;
        let candidate = &self.listed.candidates[index];
        let made = candidate.cost(sound, &self.benches.known[from].bench, helper);
        let way =
            made.map(|(hundredths, after)| (hundredths, self.benches.place(self.listed, &after)));
        self.benches.known[from].ways[index] = Some(way);
        way
    }

    fn access(&self, class: usize, from: usize) -> f64 {
        self.benches.known[from].access[class]
    }
}
