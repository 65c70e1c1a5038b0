//! Hypotheses as vehicles that are run: which of them come in, and one that is run along with what a learner does.

use super::MarkingError;
use super::bouts::told_by_chance;
use super::entry::Met;
use super::hypothesis::Hypothesis;
use super::parallel;
use crate::scenario::Symptom;
use crate::world::{Observable, Permitted, World};

/// Chance to meet a breaker that goes on opening and closing in another state than it is reckoned to be in, or as it moves
/// (judgement: it is open for about as long as it is closed).
const AT_A_BEAT: f64 = 0.5;

/// A hypothesis that is run along.
#[derive(Clone)]
pub(super) struct Run {
    /// With what parts in bouts held closed.
    pub(super) world: World,
    /// The share of running time for which something is parted, if anything is.
    pub(super) share: Option<f64>,
    /// Actions still to be carried out on it: nothing but the floor is left of it, so it waits until somebody
    /// asks for it.
    pub(super) behind: Vec<Permitted>,
}

impl Run {
    /// Carries an action out; what is seen, and what would be in a bout.
    pub(super) fn act(&mut self, permitted: &Permitted) -> Result<ShownBy, MarkingError> {
        let turned = self.world.turns();
        let in_a_bout = self.share.map(|_| self.world.in_a_bout()).transpose()?;
        let before = (self.share.is_none() && self.world.beats()).then(|| self.world.clone());
        let mut outcome = self.world.carry_out(permitted)?;
        told_by_chance(&mut outcome.observables);
        let met = match (in_a_bout, self.share, before) {
            (Some(mut world), Some(share), _) => {
                let mut seen = world.carry_out(permitted)?.observables;
                self.world.tell_of_faltering(&world, &mut seen);
                told_by_chance(&mut seen);
                let chance = self
                    .world
                    .chance_of_a_bout(share, permitted.action(), turned);
                Some(Met { chance, seen })
            }
            (_, _, Some(before)) if !outcome.observables.is_empty() => {
                self.at_a_beat(before, permitted)?
            }
            _ => None,
        };
        Ok((outcome.observables, met))
    }

    /// What is seen while a breaker that goes on opening and closing moves: when it does hangs on a little of the
    /// severity, far less than two hypotheses are apart, so a reading meets it by chance.
    fn at_a_beat(&self, before: World, permitted: &Permitted) -> Result<Option<Met>, MarkingError> {
        let Some(seconds) = self.world.until_next_beat()? else {
            return Ok(None);
        };
        let mut later = before.later(seconds)?;
        let seen = later.carry_out(permitted)?.observables;
        let chance = AT_A_BEAT;
        Ok(Some(Met { chance, seen }))
    }

    /// Carries out what it is behind with; what the last of that showed.
    pub(super) fn catch_up(&mut self) -> Result<Option<ShownBy>, MarkingError> {
        let mut last = None;
        for permitted in std::mem::take(&mut self.behind) {
            last = Some(self.act(&permitted)?);
        }
        Ok(last)
    }
}

/// What one vehicle shows of a check: with loose contacts closed, and in a bout.
pub(super) type ShownBy = (Vec<Observable>, Option<Met>);

/// A vehicle that has come in, where it was needed, and what its driver would tell of it.
pub(super) type ComeIn = (Option<World>, Option<Symptom>);

/// What comes in by hypothesis. Between two severities of a fault that bring the same complaint, and with one
/// between them that does so too, all others do: these are not driven.
pub(super) fn by_cells(
    list: &[Hypothesis],
    drive: impl Fn(&usize) -> Result<ComeIn, MarkingError> + Sync,
) -> Result<Vec<ComeIn>, MarkingError> {
    let mut all: Vec<Option<ComeIn>> = list.iter().map(|_| None).collect();
    let outer = |index: &usize| {
        let Hypothesis { cell, cells, .. } = list[*index];
        cell == 0 || cell + 1 == cells || 2 * cell + 1 == cells
    };
    let first: Vec<usize> = (0..list.len()).filter(outer).collect();
    for (index, came) in first
        .iter()
        .zip(parallel::each(first.clone(), |index| drive(&index))?)
    {
        all[*index] = Some(came);
    }
    let told = |all: &[Option<ComeIn>], index: usize| all[index].as_ref().map(|(_, told)| *told);
    let mut wanted = Vec::new();
    for index in (0..list.len()).filter(|index| !outer(index)) {
        let Hypothesis { cell, cells, .. } = list[index];
        let first = index - cell;
        let middle = first + cells / 2;
        let ends = if index < middle {
            [first, middle]
        } else {
            [middle, first + cells - 1]
        };
        match ends.map(|end| told(&all, end)) {
            [Some(one), Some(other)] if one == other => all[index] = Some((None, one)),
            _ => wanted.push(index),
        }
    }
    for (index, came) in wanted
        .iter()
        .zip(parallel::each(wanted.clone(), |index| drive(&index))?)
    {
        all[*index] = Some(came);
    }
    Ok(all.into_iter().map(Option::unwrap_or_default).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vehicle::{ComponentId, Fault, ModeId};
    use std::sync::Mutex;

    /// One fault in nine cells, of which the last two bring another complaint.
    #[test]
    fn cells_between_two_that_bring_the_same_complaint_are_not_driven() {
        let cells = |cell| Hypothesis {
            fault: Fault {
                component: ComponentId(0),
                mode: ModeId(0),
                severity: None,
            },
            cell,
            cells: 9,
            prior: 0.1,
            class: 0,
        };
        let list: Vec<Hypothesis> = (0..9).map(cells).collect();
        let driven = Mutex::new(Vec::new());
        let came = by_cells(&list, |index| {
            driven.lock().unwrap().push(*index);
            let told = if *index < 7 {
                Symptom::Slow
            } else {
                Symptom::Dead
            };
            Ok((None, Some(told)))
        });
        let told: Vec<Option<Symptom>> = came.unwrap().iter().map(|(_, told)| *told).collect();
        assert_eq!(told[..7], [Some(Symptom::Slow); 7]);
        assert_eq!(told[7..], [Some(Symptom::Dead); 2]);
        let mut driven = driven.into_inner().unwrap();
        driven.sort_unstable();
        assert_eq!(driven, [0, 4, 5, 6, 7, 8]);
    }
}
