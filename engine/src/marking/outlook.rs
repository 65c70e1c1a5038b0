//! What is to be expected where a decision is made, and what the decision comes to beside that: `V_ref` and `Q` of the
//! roll-out, under two models of reading.
//!
//! A decision loses `Q - V_ref` where that is more than nothing, under the model that takes it better: a person may read
//! coarser than the instrument allows. Where it is less, the decision was better than the rule, which costs nothing.

use std::cell::OnceCell;

use super::belief::Belief;
use super::benches::FromBenches;
use super::case::{Case, MODELS};
use super::information::{Doubt, Prediction};
use super::offers::Offer;
use super::outcomes::Outcomes;
use super::prospect::{Prospect, Step};
use super::rollout::{CLOSED, Open, Own, RollOut, Start};
use super::weights::REDUNDANT_BITS;
use crate::world::Bench;

/// Hypotheses below this probability are left out of a look-ahead, as long as they are together less likely than what it is
/// closed at.
const OVERLOOKED: f64 = 1e-4;
/// Chance of an outcome beside that of the likeliest one below which a look-ahead leaves it out.
const LEAST_SHARE: f64 = 0.02;
/// The models of reading, by their places among them.
const FINE: usize = 0;
const COARSE: usize = 1;

/// What a decision comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Price {
    /// Avoidable minutes to be expected with it, `Q`, less those of the rule, `V_ref`, by the fine model.
    pub(super) beyond: f64,
    /// Minutes that it loses beside the rule: the fewer of both models.
    pub(super) regret: f64,
}

/// A check that was made, and where it led.
#[derive(Clone, Copy)]
pub(super) struct Made<'a> {
    pub(super) own: &'a Offer,
    /// What each hypothesis shows of it.
    pub(super) predictions: &'a [Prediction],
    /// Its place in the case's list, if it is made as one of them.
    pub(super) listed: Option<usize>,
    pub(super) after: &'a Bench,
}

/// The look ahead from a belief and a bench.
pub(super) struct Outlook {
    narrowed: Narrowed,
    fine: Rule,
}

/// What the rule comes to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rule {
    /// Avoidable minutes to be expected: `V_ref`.
    pub(super) value: f64,
    /// The check that is best begun with, if one may be worth it, and what that comes to.
    first: Option<(Open, f64)>,
}

impl Rule {
    /// Whether it checks before it orders repairs.
    pub(super) fn checks_first(&self) -> bool {
        self.first.is_some_and(|(_, minutes)| minutes <= self.value)
    }
}

impl Outlook {
    /// That of a belief and a bench, with what the rule comes to if that is known; checks that are left out tell nothing any
    /// more.
    pub(super) fn of(
        case: &Case,
        belief: &Belief,
        (bench, known): (&Bench, Option<Rule>),
        left_out: &[usize],
    ) -> Self {
        let narrowed = Narrowed::of(case, (belief, bench), left_out);
        Self {
            fine: known.unwrap_or_else(|| narrowed.rule(case)),
            narrowed,
        }
    }

    /// What the rule comes to.
    pub(super) const fn rule(&self) -> Rule {
        self.fine
    }

    /// What a check comes to. It never loses more than its own minutes: the rule can still be followed afterwards.
    pub(super) fn of_check(&self, case: &Case, made: Made<'_>) -> Price {
        let minutes = made.own.minutes();
        if made.own.worth[FINE].bits < REDUNDANT_BITS {
            return Price {
                beyond: minutes,
                regret: minutes,
            };
        }
        self.price(case, |narrowed, rule, model| {
            let own = narrowed.check(case, made, (rule, MODELS[model]));
            (own - rule.value).min(minutes)
        })
    }

    /// What a repair comes to that takes so many minutes, with the way there, where it does not cure, and so many beyond a
    /// cheaper one where it does: it cures some of the hypotheses.
    pub(super) fn of_repair(
        &self,
        case: &Case,
        (minutes, cures): (f64, impl Fn(usize) -> bool),
        dearer: f64,
        after: &Bench,
    ) -> Price {
        self.price(case, |narrowed, rule, _| {
            let own = narrowed.repair(case, after, (minutes, &cures));
            own + dearer - rule.value
        })
    }

    /// `beyond` is asked what a decision comes to beyond the rule by a model of reading.
    fn price(&self, case: &Case, beyond: impl Fn(&Narrowed, Rule, usize) -> f64) -> Price {
        let fine = beyond(&self.narrowed, self.fine, FINE);
        let mut regret = fine.max(0.0);
        // What loses nothing to the finest reader loses nothing.
        if regret > 0.0 {
            let coarse = self.narrowed.read_by(case, COARSE);
            let rule = coarse.rule(case);
            regret = regret.min(beyond(&coarse, rule, COARSE).max(0.0));
        }
        Price {
            beyond: fine,
            regret,
        }
    }
}

/// What is in doubt at a belief, with the hypotheses that are not negligible alone and the checks that may tell something
/// of them from a bench.
struct Narrowed {
    bench: Bench,
    /// Places of the hypotheses in the case's list, and their classes.
    live: Vec<usize>,
    classes: Vec<usize>,
    doubt: Doubt,
    /// Places of the checks in the case's list, and what may come of each.
    checks: Vec<usize>,
    outcomes: Vec<Outcomes>,
    /// What is to be seen from where the decision is made, once somebody has looked.
    start: OnceCell<Start>,
}

impl Narrowed {
    /// That of a belief by the fine model; checks that are left out tell nothing any more.
    fn of(case: &Case, (belief, bench): (&Belief, &Bench), left_out: &[usize]) -> Self {
        let probabilities = belief.probabilities();
        let live = seen_ahead(probabilities);
        let classes: Vec<usize> = live.iter().map(|&index| case.classes[index]).collect();
        let masses = live.iter().map(|&index| probabilities[index]);
        let doubt = Doubt::among(masses.enumerate(), case.classes_of(&classes));
        let new = (0..case.candidates.len()).filter(|check| !left_out.contains(check));
        let (checks, outcomes) = telling(case, FINE, &live, new);
        Self {
            bench: bench.clone(),
            live,
            classes,
            doubt,
            checks,
            outcomes,
            start: OnceCell::new(),
        }
    }

    /// The same by another model of reading.
    fn read_by(&self, case: &Case, model: usize) -> Self {
        let checks = self.checks.iter().copied();
        let (checks, outcomes) = telling(case, model, &self.live, checks);
        Self {
            bench: self.bench.clone(),
            live: self.live.clone(),
            classes: self.classes.clone(),
            doubt: self.doubt.clone(),
            checks,
            outcomes,
            start: OnceCell::new(),
        }
    }

    fn rule(&self, case: &Case) -> Rule {
        let rule = |rolled: &mut RollOut<'_, FromBenches<'_>>, (doubt, stand): (&Doubt, usize)| {
            let start = self.start.get_or_init(|| rolled.start(doubt, stand));
            rolled.rule(doubt, stand, start)
        };
        let (value, first) = self.rolled(case, &self.bench, rule);
        Rule { value, first }
    }

    /// Looks ahead from a bench.
    fn rolled<T>(
        &self,
        case: &Case,
        bench: &Bench,
        look: impl FnOnce(&mut RollOut<'_, FromBenches<'_>>, (&Doubt, usize)) -> T,
    ) -> T {
        let mut ways = FromBenches::of(case.listed(), &self.checks, &case.benches);
        let stand = ways.place(bench);
        let classes = case.classes_of(&self.classes);
        let mut rolled = RollOut::new(classes, &self.outcomes, ways);
        look(&mut rolled, (&self.doubt, stand))
    }

    /// `Q` of a check that was made. Between what it shows now and what the table says of the vehicle as it comes in, a
    /// learner need not see a difference: the less counts.
    fn check(&self, case: &Case, made: Made<'_>, (rule, coarseness): (Rule, f64)) -> f64 {
        let minutes = made.own.minutes();
        let listed = made.listed.and_then(|listed| {
            let mut checks = self.checks.iter();
            checks.position(|check| *check == listed)
        });
        let by_rule = rule.first.filter(|(open, _)| listed == Some(open.check));
        if let Some((open, comes_to)) = by_rule {
            return comes_to - open.minutes + minutes;
        }
        let now = Outcomes::of(made.predictions, &self.live, coarseness);
        let now = now.among(&self.live, LEAST_SHARE);
        self.rolled(case, &self.bench, |rolled, (doubt, stand)| {
            let start = self.start.get_or_init(|| rolled.start(doubt, stand));
            let after = rolled.ways().place(made.after);
            let mut of = |outcomes: &Outcomes| {
                let own = Own {
                    outcomes,
                    minutes,
                    after,
                    listed,
                };
                rolled.of_own(doubt, start, own)
            };
            let as_it_came = listed.map(|check| of(&self.outcomes[check]));
            match as_it_came {
                Some(minutes) if minutes <= rule.value => minutes,
                Some(minutes) => minutes.min(of(&now)),
                None => of(&now),
            }
        })
    }

    /// `Q` of a repair, with the bench after it.
    fn repair(
        &self,
        case: &Case,
        after: &Bench,
        (minutes, cures): (f64, impl Fn(usize) -> bool),
    ) -> f64 {
        let uncured = |place: usize| !cures(self.live[place]);
        let classes = case.classes_of(&self.classes);
        let Some((chance, rest)) = self.doubt.left(uncured, classes) else {
            return 0.0;
        };
        let then = self.rolled(case, after, |rolled, (_, stand)| {
            let start = rolled.start(&rest, stand);
            rolled.rule(&rest, stand, &start).0
        });
        chance * (minutes + then)
    }
}

/// The hypotheses that a look-ahead does not leave out.
fn seen_ahead(probabilities: &[f64]) -> Vec<usize> {
    let all = 0..probabilities.len();
    let (mut live, mut unlikely): (Vec<usize>, Vec<usize>) =
        all.partition(|&index| probabilities[index] > OVERLOOKED);
    unlikely.sort_by(|&a, &b| probabilities[a].total_cmp(&probabilities[b]));
    let mut together = 0.0;
    let left_out = unlikely.iter().take_while(|&&index| {
        together += probabilities[index];
        together < CLOSED
    });
    let left_out = left_out.count();
    live.extend_from_slice(&unlikely[left_out..]);
    live.sort_unstable();
    live
}

/// Of some checks those that may tell something of some hypotheses by a model of reading, with what may come of each.
fn telling(
    case: &Case,
    model: usize,
    live: &[usize],
    checks: impl Iterator<Item = usize>,
) -> (Vec<usize>, Vec<Outcomes>) {
    let may_tell = |check: usize| {
        let outcomes = case.outcomes(model)[check].among(live, LEAST_SHARE);
        (outcomes.count() > 1).then_some((check, outcomes))
    };
    checks.filter_map(may_tell).unzip()
}

impl Case {
    /// What to do next comes to from a bench, by the rule 'most bits a minute' rolled out over the fine outcomes.
    pub(super) fn prospect(&self, belief: &Belief, bench: &Bench, left_out: &[usize]) -> Prospect {
        let narrowed = Narrowed::of(self, (belief, bench), left_out);
        let mut prospect = narrowed.rolled(self, bench, |rolled, (doubt, stand)| {
            rolled.prospect(doubt, stand)
        });
        for (step, _) in &mut prospect.steps {
            if let Step::Check(place) = step {
                *place = narrowed.checks[*place];
            }
        }
        prospect
    }
}
