//! What a sound vehicle shows to the eye in each position of its wiper switch, and which faults that tells.

use super::case::Case;
use crate::world::{Action, Errors, Observable, Observation, Quantity, Sense};

impl Case {
    /// The word for the pace of sound blades in each position of the wiper switch.
    pub(super) fn sound_paces(&self, positions: usize) -> Vec<Option<usize>> {
        let pace = |position: usize| {
            let look = self.candidates.iter().find(|candidate| {
                candidate.wiper == Some(position)
                    && candidate.before.is_none()
                    && candidate.check == Action::Sense(Sense::LookBlades)
            })?;
            let seen = self.sound_entry.predict(look);
            let seen = seen.iter().map(|seen| seen.observe(Errors::NONE));
            seen.filter_map(|seen| match seen {
                Observation::Perception {
                    quantity: Quantity::Pace,
                    level,
                    ..
                } => Some(level),
                _ => None,
            })
            .next()
        };
        (0..positions).map(pace).collect()
    }

    /// For each hypothesis that is run: its prior, and whether operating each position of the wiper
    /// switch would show by eye that it is not sound.
    pub(super) fn shown_by_position(&self) -> Vec<(f64, Vec<bool>)> {
        let words = |seen: &[Observable]| -> Vec<Observation> {
            seen.iter()
                .map(|observable| observable.observe(Errors::NONE))
                .collect()
        };
        let looks: Vec<(usize, Vec<Observation>)> = (0..self.candidates.len())
            .filter(|&index| {
                let candidate = &self.candidates[index];
                candidate.before.is_none() && candidate.check == Action::Sense(Sense::LookBlades)
            })
            .map(|look| {
                (
                    look,
                    words(&self.sound_entry.predict(&self.candidates[look])),
                )
            })
            .collect();
        let mut list = Vec::new();
        for (index, hypothesis) in self
            .list
            .iter()
            .enumerate()
            .filter(|(index, _)| self.running[*index])
        {
            let shows: Vec<bool> = looks
                .iter()
                .map(|(look, sound)| *sound != words(&self.predictions(*look)[index].seen))
                .collect();
            if shows.contains(&true) {
                list.push((hypothesis.prior, shows));
            }
        }
        list
    }
}
