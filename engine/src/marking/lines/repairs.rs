//! Repairs among the learner's actions: whether one was worth ordering when it was, and what counts as one.

use super::super::MarkingError;
use super::super::arithmetic::{efficiency_of_repair, foundation, is_founded};
use super::super::beside::named;
use super::super::case::{Case, repair_minutes};
use super::super::debrief::CheckLine;
use super::super::dictionary::reach_minutes;
use super::super::hypothesis::Cure;
use super::super::offers::Offer;
use super::super::weights::{FOUNDED_MIN, PROVEN, VERIFY_FREE_MIN, VERIFY_MIN};
use super::Walk;
use crate::attempt::Event;
use crate::quantity::Minutes;
use crate::world::{Action, Hint, Permitted};

/// Belief from which a nut that was done up counts as the repair.
const AS_LIKELY_AS_NOT: f64 = 0.5;

impl Walk {
    pub(super) fn repair(
        &mut self,
        case: &mut Case,
        event: &Event,
        permitted: &Permitted,
        line: &mut CheckLine,
        earlier: &mut [CheckLine],
    ) -> Result<(), MarkingError> {
        let Action::Repair { component, way } = event.action else {
            return Ok(());
        };
        let from = self.from.clone();
        let offers = self.offers(case, &from)?;
        let outlook = self.outlook(case, &from)?;
        let ahead = case.needed(&self.belief, &from) + outlook.rule().value;
        self.settle(ahead, earlier);
        self.open.ahead = ahead;
        line.consequence = case.is_consequence(component);
        // Preparing for what the repair does not want is lost, beyond what tidying up may take.
        let reach = reach_minutes(component, &case.assignment.sound, &self.from);
        let before = self.preparing - event.cost.total().as_minutes();
        let idle = (before - reach - VERIFY_MIN).max(0.0);
        let classes_before = case.classes.clone();
        let predictions = case.act(permitted, &self.belief)?;
        line.hands = self.hands_in(event, &predictions);
        case.note_cures()?;
        self.verify_left = Some(VERIFY_FREE_MIN);
        if line.consequence {
            // What the work itself spoilt is paid for, and says nothing of how the fault was sought.
            let lost = self.spent;
            (self.lost, self.open.lost, self.open.beyond) = (self.lost + lost, lost, lost);
            line.lost = Minutes::nearest(lost);
            return Ok(());
        }
        let probabilities = self.belief.probabilities();
        let chance = chance_of_change(&classes_before, &case.classes, probabilities);
        let cures = |index: usize| classes_before[index] != case.classes[index];
        let minutes = repair_minutes(&case.assignment, Cure { component, way });
        let dearer = dearer(case, (&classes_before, probabilities), minutes);
        let price = outlook.of_repair(case, (minutes + reach, cures), dearer, &event.bench);
        let lost = price.regret;
        let kinship: f64 = (0..case.list.len())
            .map(|index| probabilities[index] * case.kinship(index, component))
            .sum();
        self.foundations.push(foundation(lost, chance, kinship));
        self.lost += lost + idle;
        self.open.lost = lost + idle;
        self.open.beyond = price.beyond + idle;
        line.lost = Minutes::nearest(lost + idle);
        line.efficiency = Some(efficiency_of_repair(lost, chance));
        line.repair_chance = Some(chance);
        if !is_founded(lost, chance) {
            // Who would have checked first would have made this check.
            let first = offers.iter().filter(|_| outlook.rule().checks_first());
            line.better = Offer::best(first).map(|offer| named(case, offer, self.benches()));
        }
        Ok(())
    }

    /// A crank nut done up is a loose nut put right, though it was undone to feel the arms: it counts as
    /// a repair when that is what it was believed to be. Else the chance that it was one, if it could be.
    pub(super) fn tightened(
        &mut self,
        case: &mut Case,
        event: &Event,
    ) -> Result<Option<f64>, MarkingError> {
        if !matches!(event.action, Action::Tighten(_)) {
            return Ok(None);
        }
        let before = case.classes.clone();
        case.note_cures()?;
        let chance = chance_of_change(&before, &case.classes, self.belief.probabilities());
        if chance < AS_LIKELY_AS_NOT {
            return Ok(Some(chance).filter(|chance| *chance > 0.0));
        }
        self.foundations
            .push(if chance >= PROVEN { 1.0 } else { chance });
        self.verify_left = Some(VERIFY_FREE_MIN);
        Ok(None)
    }

    /// Whether the next check is asked for where a repair is proven.
    pub(super) fn has_proven(&self, case: &Case, action: &Action) -> bool {
        let for_a_check = matches!(action, Action::Hint(Hint::What | Hint::Which));
        for_a_check && case.is_proven(&self.belief)
    }

    /// Whether what was wrong has as likely as not been put right, by what is known.
    pub(super) fn has_put_right(&self, case: &Case) -> bool {
        case.class_beliefs(&self.belief)[case.cures.len()] >= AS_LIKELY_AS_NOT
    }

    /// A nut that turned as it was done up was the loose one, if nothing else fits any more: trying it was the repair, and
    /// what follows sees to that. It takes so little that it is founded like any repair that loses as little.
    pub(super) fn turned_out_loose(&mut self, case: &Case, chance: f64, line: &CheckLine) {
        let cured = case.class_beliefs(&self.belief)[case.cures.len()];
        if cured >= AS_LIKELY_AS_NOT {
            let cheap = line.lost.as_minutes() <= FOUNDED_MIN;
            self.foundations.push(if cheap { 1.0 } else { chance });
            self.verify_left = Some(VERIFY_FREE_MIN);
        }
    }
}

/// Minutes to be expected of a repair of so many that cures what a cheaper one would have cured as well: a motor for its park
/// contact.
fn dearer(case: &Case, (before, probabilities): (&[usize], &[f64]), minutes: f64) -> f64 {
    let beyond = |class: usize| {
        let cheaper = case.cures.get(class).copied();
        let own = cheaper.map_or(minutes, |cure| repair_minutes(&case.assignment, cure));
        (minutes - own).max(0.0)
    };
    let changed = before.iter().zip(&case.classes).zip(probabilities);
    changed
        .filter(|((before, after), _)| before != after)
        .fold(0.0, |sum, ((&before, _), p)| sum + p * beyond(before))
}

/// Belief in the hypotheses whose class changed.
fn chance_of_change(before: &[usize], after: &[usize], probabilities: &[f64]) -> f64 {
    let changed = before
        .iter()
        .zip(after)
        .map(|(before, after)| before != after);
    // From nothing on: an empty sum of floats is minus zero.
    probabilities
        .iter()
        .zip(changed)
        .filter(|(_, changed)| *changed)
        .fold(0.0, |sum, (p, _)| sum + p)
}
