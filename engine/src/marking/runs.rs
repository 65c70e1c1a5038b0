//! The hypotheses' vehicles, run along with what is done.

use super::MarkingError;
use super::belief::Belief;
use super::case::{Case, replacement, with_spreads};
use super::information::Prediction;
use super::parallel;
use super::running::Run;
use crate::world::{Observation, Permitted};

/// Belief in 'none of these' from which hypotheses that nothing but the floor is left of are run again.
const AT_A_LOSS: f64 = 0.03;

impl Case {
    /// Carries an action out on every hypothesis's vehicle, and on the true one; what each hypothesis shows.
    /// Those of which nothing but the floor is left wait, but for the next milder and the next worse of a fault that has
    /// more: a severity somewhere between two is told by both.
    pub(super) fn act(
        &mut self,
        permitted: &Permitted,
        belief: &Belief,
    ) -> Result<Vec<Prediction>, MarkingError> {
        self.true_run.carry_out(permitted)?;
        let stands = |index: usize| !belief.is_on_the_floor(index);
        let alive = |index: usize| {
            let hypothesis = &self.list[index];
            let milder = hypothesis.cell > 0 && stands(index - 1);
            let worse = hypothesis.cell + 1 < hypothesis.cells && stands(index + 1);
            stands(index) || milder || worse
        };
        let runs = std::mem::take(&mut self.runs).into_iter().enumerate();
        let done = parallel::each(runs.collect(), |(index, run)| -> Result<_, MarkingError> {
            let Some(mut run) = run else {
                return Ok((None, None));
            };
            if !alive(index) {
                run.behind.push(permitted.clone());
                return Ok((Some(run), None));
            }
            run.catch_up()?;
            let shown = run.act(permitted)?;
            Ok((Some(run), Some(shown)))
        })?;
        let (runs, shown): (Vec<_>, Vec<_>) = done.into_iter().unzip();
        self.runs = runs;
        Ok(with_spreads(&self.list, shown))
    }

    /// What was read, taken into a belief. Where no hypothesis that is run explains it, those that wait are run
    /// again and have their say.
    pub(super) fn learn(
        &mut self,
        belief: &mut Belief,
        predictions: &[Prediction],
        read: &[Observation],
        fresh: &[bool],
    ) -> Result<(), MarkingError> {
        let before = belief.clone();
        belief.update(&self.log_likelihoods(predictions, read, fresh));
        let waits = |run: &Option<Run>| run.as_ref().is_some_and(|run| !run.behind.is_empty());
        if belief.in_none() <= AT_A_LOSS || !self.runs.iter().any(waits) {
            return Ok(());
        }
        let runs = std::mem::take(&mut self.runs);
        let done = parallel::each(runs, |run| -> Result<_, MarkingError> {
            let Some(mut run) = run else {
                return Ok((None, None));
            };
            let shown = run.catch_up()?;
            Ok((Some(run), shown))
        })?;
        let (runs, shown): (Vec<_>, Vec<_>) = done.into_iter().unzip();
        let woken: Vec<bool> = shown.iter().map(Option::is_some).collect();
        self.runs = runs;
        let mut all = predictions.to_vec();
        for (index, told) in with_spreads(&self.list, shown).into_iter().enumerate() {
            if woken.get(index) == Some(&true) {
                all[index] = told;
            }
        }
        *belief = before;
        belief.update(&self.log_likelihoods(&all, read, fresh));
        Ok(())
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
            let link = run.world.melted().map(|link| replacement(sound, link));
            let left = link.and_then(|link| self.cures.iter().position(|cure| *cure == link));
            self.classes[index] = left.unwrap_or(self.cures.len());
        }
    }
}
