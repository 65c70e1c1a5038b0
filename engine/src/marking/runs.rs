//! The hypotheses' vehicles, run along with what is done.

use super::MarkingError;
use super::belief::Belief;
use super::case::{Case, NOT_RUN, replacement};
use super::information::Prediction;
use super::likelihood::with_spreads;
use super::parallel;
use crate::world::{Observation, Permitted};

/// Belief in 'none of these' from which a reading that adds to it has hypotheses run again that nothing but the floor is left
/// of.
const AT_A_LOSS: f64 = 0.03;

impl Case {
    /// Carries an action out on every hypothesis's vehicle, and on the true one; what each hypothesis shows.
    /// Those of which next to nothing is left wait, but for the next milder and the next worse of a fault that has
    /// more: a severity somewhere between two is told by both.
    pub(super) fn act(
        &mut self,
        permitted: &Permitted,
        belief: &Belief,
    ) -> Result<Vec<Prediction>, MarkingError> {
        self.true_run.carry_out(permitted)?;
        let alive: Vec<bool> = (0..self.list.len())
            .map(|index| self.is_alive(index, belief))
            .collect();
        self.moment = self.moment.then(permitted);
        let shown = parallel::each((0..self.list.len()).collect(), |index| {
            if !self.running[index] || !alive[index] {
                return Ok(None);
            }
            let arrived = self.moment.vehicle(index)?;
            Ok::<_, MarkingError>(arrived.map(|arrived| arrived.shown.clone()))
        })?;
        let running = self.running.iter().zip(&shown);
        self.waits = running
            .map(|(running, shown)| *running && shown.is_none())
            .collect();
        Ok(with_spreads(&self.list, shown))
    }

    /// Whether there is something left of a hypothesis, or of its neighbour in severity.
    fn is_alive(&self, index: usize, belief: &Belief) -> bool {
        let stands = |index: usize| {
            belief.probabilities()[index] > NOT_RUN && !belief.is_on_the_floor(index)
        };
        let mut beside = self.list[index].beside(index).into_iter().flatten();
        stands(index) || beside.any(stands)
    }

    /// How many would be run along with an action that is done now.
    pub(super) fn run_along(&self, belief: &Belief) -> usize {
        let running = self.running.iter().enumerate();
        running
            .filter(|(index, running)| **running && self.is_alive(*index, belief))
            .count()
    }

    /// What was read, taken into a belief. Where no hypothesis that is run explains it, those that wait are run
    /// again and have their say: then what all of them show is returned.
    pub(super) fn learn(
        &mut self,
        belief: &mut Belief,
        predictions: &[Prediction],
        read: &[Observation],
        fresh: &[bool],
    ) -> Result<Option<Vec<Prediction>>, MarkingError> {
        let before = belief.clone();
        belief.learn(&self.log_likelihoods(belief, predictions, read, fresh));
        // What was said before for none of these, and is not said again, nobody has to be woken for.
        let at_a_loss = belief.in_none() > AT_A_LOSS.max(before.in_none());
        if !at_a_loss || !self.waits.contains(&true) {
            return Ok(None);
        }
        let woken = std::mem::replace(&mut self.waits, vec![false; self.list.len()]);
        let shown = parallel::each(
            woken.iter().copied().enumerate().collect(),
            |(index, waits)| {
                let arrived = match waits {
                    true => self.moment.vehicle(index)?,
                    false => None,
                };
                Ok::<_, MarkingError>(arrived.map(|arrived| arrived.shown.clone()))
            },
        )?;
        self.note_cures_of(|index| woken[index])?;
        let mut all = predictions.to_vec();
        for (index, told) in with_spreads(&self.list, shown).into_iter().enumerate() {
            if woken.get(index) == Some(&true) {
                all[index] = told;
            }
        }
        *belief = before;
        belief.learn(&self.log_likelihoods(belief, &all, read, fresh));
        Ok(Some(all))
    }

    /// Takes repairs into account: where they put the fault right, or explained what is none, the class is
    /// 'cured' from then on, or the replacement of a link that had melted for it.
    pub(super) fn note_cures(&mut self) -> Result<(), MarkingError> {
        let stands: Vec<bool> = self.waits.iter().map(|waits| !waits).collect();
        self.note_cures_of(|index| stands[index])
    }

    fn note_cures_of(&mut self, chosen: impl Fn(usize) -> bool) -> Result<(), MarkingError> {
        let sound = &self.assignment.sound;
        for (index, hypothesis) in self.list.iter().enumerate() {
            if !self.running[index] || !chosen(index) {
                continue;
            }
            let Some(arrived) = self.moment.vehicle(index)? else {
                continue;
            };
            let world = &arrived.run.world;
            let component = hypothesis.fault.component;
            // Behind a known good part the old one is as it was.
            let swapped = world.bench().substituted[component.index()];
            let as_sound = world.vehicle().component(component) == sound.component(component);
            let put_right = as_sound && !swapped;
            let condition = sound.mode(&hypothesis.fault).is_condition();
            if !(put_right || condition && world.explained(component)) {
                continue;
            }
            let link = world.melted().map(|link| replacement(sound, link));
            let left = link.and_then(|link| self.cures.iter().position(|cure| *cure == link));
            self.classes[index] = left.unwrap_or(self.cures.len());
        }
        Ok(())
    }
}
