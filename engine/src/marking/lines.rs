//! The learner's actions, one after the other, each priced by what was known when it was chosen.
//!
//! What prepares a check (going, opening, setting a control) is charged to the check it prepares, and
//! alternatives are priced from where the preparation began.

use std::collections::BTreeSet;

use super::MarkingError;
use super::belief::{Belief, entropy};
use super::case::{Case, Offer, repair_minutes};
use super::debrief::{Better, CheckLine};
use super::dictionary::burden;
use super::hypothesis::Cure;
use super::information::{Prediction, Worth};
use super::reference::{first_bench, suspects};
use super::weights::{
    CONFIRM_FREE_MIN, FOUNDED_MIN, PROVEN, REDUNDANT_BITS, TRIFLE_MIN, VERIFY_FREE_MIN, VERIFY_MIN,
};
use crate::attempt::{Attempt, Event};
use crate::quantity::Minutes;
use crate::world::{Action, Bench, Permitted, Sense};

/// How much more a minute another check must tell to be named.
const MUCH_BETTER: f64 = 1.5;
/// Bits below which a check is not worth naming as the better one.
const WORTH_NAMING: f64 = 0.1;

/// Every line of an attempt, and what they add up to.
pub(super) struct Lines {
    pub(super) lines: Vec<CheckLine>,
    /// The belief at the end.
    pub(super) belief: Belief,
    /// How well founded each repair was, 0 to 1.
    pub(super) foundations: Vec<f64>,
    /// Minutes lost by decisions.
    pub(super) lost: f64,
}

/// Prices every action of an attempt.
pub(super) fn lines(case: &mut Case<'_>, attempt: &Attempt) -> Result<Lines, MarkingError> {
    let bench = first_bench(case)?;
    let mut walk = Walk {
        belief: case.start.clone(),
        from: bench.clone(),
        bench,
        preparing: 0.0,
        seen: BTreeSet::new(),
        verify_left: None,
        confirm_left: CONFIRM_FREE_MIN,
        tried: BTreeSet::new(),
        foundations: Vec::new(),
        lost: 0.0,
    };
    let mut lines = Vec::with_capacity(attempt.events().len());
    for event in attempt.events() {
        lines.push(walk.line(case, event)?);
    }
    // Preparing for nothing is lost, beyond what verifying and tidying up may take.
    walk.lost += (walk.preparing - walk.verify_left.unwrap_or(VERIFY_MIN)).max(0.0);
    Ok(Lines {
        lines,
        belief: walk.belief,
        foundations: walk.foundations,
        lost: walk.lost,
    })
}

/// Where the pricing stands.
struct Walk {
    belief: Belief,
    /// The bench when the present preparation began.
    from: Bench,
    /// The bench before the next action.
    bench: Bench,
    /// Minutes of preparation since then.
    preparing: f64,
    /// Checks made, by what was read in which state.
    seen: BTreeSet<String>,
    /// Minutes of verification left since the last repair.
    verify_left: Option<f64>,
    /// Positions of the wiper switch in which the blades have been looked at.
    tried: BTreeSet<usize>,
    /// Minutes of confirming left.
    confirm_left: f64,
    foundations: Vec<f64>,
    lost: f64,
}

impl Walk {
    fn line(&mut self, case: &mut Case<'_>, event: &Event) -> Result<CheckLine, MarkingError> {
        let minutes = event.cost.total();
        let before = suspects(case, &self.belief);
        let mut line = CheckLine {
            n: event.n,
            action: event.action.words(&case.assignment.sound),
            minutes,
            is_check: event.action.is_check() && !event.observations.is_empty(),
            confirms: false,
            verifies: false,
            is_repair: matches!(event.action, Action::Repair { .. }),
            expected_bits: 0.0,
            bits: 0.0,
            suspects: [before, before],
            lost: Minutes::ZERO,
            efficiency: None,
            better: None,
            repair_chance: None,
            hazards: event.hazards.clone(),
        };
        let helper = case.assignment.scenario.helper;
        let permitted = self
            .bench
            .permit(&event.action, &case.assignment.sound, helper);
        // An event of the attempt was permitted, so this one is; a refusal here would price nothing.
        if let Ok(permitted) = permitted {
            let sound = &case.assignment.sound;
            self.preparing += burden(&event.action, minutes, sound).as_minutes();
            if line.is_repair {
                self.repair(case, event, &permitted, &mut line)?;
            } else {
                let predictions = case.act(&permitted)?;
                self.tightened(case, event);
                if !event.observations.is_empty() {
                    self.check(case, event, &predictions, &mut line)?;
                }
            }
        }
        self.bench = event.bench.clone();
        if line.is_check || line.is_repair {
            self.from = event.bench.clone();
            self.preparing = 0.0;
        }
        line.suspects[1] = suspects(case, &self.belief);
        Ok(line)
    }

    /// A crank nut done up is a loose nut put right, though it was undone to feel the arms: it counts as
    /// a repair when that is what it was believed to be.
    fn tightened(&mut self, case: &mut Case<'_>, event: &Event) {
        if !matches!(event.action, Action::Tighten(_)) {
            return;
        }
        let before = case.classes.clone();
        case.note_cures();
        let chance = chance_of_change(&before, &case.classes, self.belief.probabilities());
        if chance >= 0.5 {
            self.foundations
                .push(if chance >= PROVEN { 1.0 } else { chance });
            self.verify_left = Some(VERIFY_FREE_MIN);
        }
    }

    fn check(
        &mut self,
        case: &Case<'_>,
        event: &Event,
        predictions: &[Prediction],
        line: &mut CheckLine,
    ) -> Result<(), MarkingError> {
        // The same reading of the same check in the same state is a repeat; another one is news.
        let checks = event.keys.iter().zip(&event.observations);
        let fresh: Vec<bool> = checks
            .map(|(key, seen)| self.seen.insert(format!("{key}|{seen:?}")))
            .collect();
        let repeat = !fresh.contains(&true);
        let worth = if repeat {
            [Worth::default(); 2]
        } else {
            case.worth(predictions, &self.belief)
        };
        // What is seen by the way, as on a clipped meter while a control is worked, is a check when it can
        // tell something; else it belongs to the work that goes on.
        if !event.action.is_check() && worth[0].bits < REDUNDANT_BITS {
            let likelihoods = case.log_likelihoods(predictions, &event.observations, &fresh);
            self.belief.update(&likelihoods);
            return Ok(());
        }
        line.is_check = true;
        let own = Offer {
            index: usize::MAX,
            worth,
            hundredths: Minutes::nearest(self.preparing).hundredths(),
        };
        let entropy_before = entropy(&case.class_beliefs(&self.belief));
        let likelihoods = case.log_likelihoods(predictions, &event.observations, &fresh);
        let before = self.belief.clone();
        self.belief.update(&likelihoods);
        line.expected_bits = worth[0].bits;
        line.bits = entropy_before - entropy(&case.class_beliefs(&self.belief));

        // What verifies a repair is no decision about the fault.
        if let Some(left) = &mut self.verify_left
            && *left >= self.preparing
        {
            *left -= self.preparing;
            line.verifies = true;
            return Ok(());
        }
        // Trying every position once and looking is what a complaint begins with.
        if self.tries_a_position(case, event) {
            line.efficiency = (worth[0].bits >= REDUNDANT_BITS).then_some(1.0);
            return Ok(());
        }
        // Nor is a little proof of what is already sure.
        let proven = case.class_beliefs(&before)[..case.cures.len()]
            .iter()
            .any(|p| *p >= PROVEN);
        if proven && !repeat && self.confirm_left >= self.preparing {
            self.confirm_left -= self.preparing;
            line.confirms = true;
            return Ok(());
        }
        let offers = case.offers(&before, &self.from)?;
        let lost = lost(&own, &offers);
        let sound = lost <= TRIFLE_MIN && worth[0].bits >= REDUNDANT_BITS;
        self.lost += lost;
        line.lost = Minutes::nearest(lost);
        line.efficiency = Some(if sound {
            1.0
        } else {
            efficiency(&own, &offers)
        });
        line.better = better(case, &own, &offers, &event.action);
        Ok(())
    }

    /// Whether an action is the first look at the blades in a position of the wiper switch.
    fn tries_a_position(&mut self, case: &Case<'_>, event: &Event) -> bool {
        let Some(roles) = case.assignment.sound.roles() else {
            return false;
        };
        let positions = &event.bench.positions;
        let key_on = positions[roles.key.index()] == roles.key_on;
        let looks = key_on && event.action == Action::Sense(Sense::LookBlades);
        looks && self.tried.insert(positions[roles.wiper.index()])
    }

    fn repair(
        &mut self,
        case: &mut Case<'_>,
        event: &Event,
        permitted: &Permitted,
        line: &mut CheckLine,
    ) -> Result<(), MarkingError> {
        let Action::Repair { component, way } = event.action else {
            return Ok(());
        };
        let offers = case.offers(&self.belief, &self.from)?;
        let best_order = case.needless_now(&self.belief);
        let classes_before = case.classes.clone();
        case.act(permitted)?;
        case.note_cures();
        let probabilities = self.belief.probabilities();
        let chance = chance_of_change(&classes_before, &case.classes, probabilities);
        // This repair first and the best order after it, beside the best order from the start; and
        // beside the check that would have saved most.
        let left_over = case.needless_now(&self.belief) * (1.0 - chance);
        let this_first =
            (1.0 - chance) * repair_minutes(case.assignment, Cure { component, way }) + left_over;
        let by_check = offers
            .iter()
            .map(|offer| offer.net(0).min(offer.net(1)))
            .fold(0.0, f64::max);
        let lost = (this_first - best_order).max(0.0) + by_check;
        let kinship: f64 = (0..case.list.len())
            .map(|index| probabilities[index] * case.kinship(index, component))
            .sum();
        let founded = lost <= FOUNDED_MIN || chance >= PROVEN;
        self.foundations
            .push(if founded { 1.0 } else { kinship.max(chance) });
        self.lost += lost;
        line.lost = Minutes::nearest(lost);
        line.efficiency = Some(if lost <= TRIFLE_MIN { 1.0 } else { chance });
        line.repair_chance = Some(chance);
        if !founded {
            let worth_it = offers.iter().filter(|offer| offer.net(0) > 0.0);
            line.better = Offer::best(worth_it).map(|offer| named(case, offer));
        }
        self.verify_left = Some(VERIFY_FREE_MIN);
        Ok(())
    }
}

/// Belief in the hypotheses whose class changed.
fn chance_of_change(before: &[usize], after: &[usize], probabilities: &[f64]) -> f64 {
    let changed = before
        .iter()
        .zip(after)
        .map(|(before, after)| before != after);
    probabilities
        .iter()
        .zip(changed)
        .filter(|(_, changed)| *changed)
        .map(|(p, _)| p)
        .sum()
}

/// Minutes lost by a check beside the best that could have been done: never more than its own, since
/// the best can still be done afterwards. The smaller loss of the two reading models.
fn lost(own: &Offer, offers: &[Offer]) -> f64 {
    let under = |model: usize| {
        // To check nothing more and order repairs has a net of zero.
        let best = offers
            .iter()
            .map(|offer| offer.net(model))
            .fold(0.0, f64::max);
        (best - own.net(model)).clamp(0.0, own.minutes())
    };
    under(0).min(under(1))
}

/// Bits a minute of a check beside the best of those that tell enough to be worth naming; the larger of
/// the two reading models.
fn efficiency(own: &Offer, offers: &[Offer]) -> f64 {
    if own.worth[0].bits < REDUNDANT_BITS {
        return 0.0;
    }
    let under = |model: usize| {
        let telling = offers
            .iter()
            .filter(|offer| offer.worth[0].bits >= WORTH_NAMING);
        let best = telling
            .map(|offer| offer.rate(model))
            .fold(own.rate(model), f64::max);
        own.rate(model) / best
    };
    under(0).max(under(1))
}

/// The check that would have told much more a minute, if there is one.
fn better(case: &Case<'_>, own: &Offer, offers: &[Offer], action: &Action) -> Option<Better> {
    let others = offers.iter().filter(|offer| {
        offer.worth[0].bits >= WORTH_NAMING && case.candidates[offer.index].check != *action
    });
    Offer::best(others)
        .filter(|best| best.rate(0) > MUCH_BETTER * own.rate(0))
        .map(|best| named(case, best))
}

fn named(case: &Case<'_>, offer: &Offer) -> Better {
    Better {
        check: case.candidates[offer.index].words(&case.assignment.sound),
        bits: offer.worth[0].bits,
        minutes: Minutes::from_hundredths(offer.hundredths),
    }
}
