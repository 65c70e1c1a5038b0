//! What a learner held to be likely, beside what the readings said by then.
//!
//! A quadratic score (Brier 1950) of a stated suspicion has its best expected value where one states what one believes. It is
//! reckoned against the belief and never against the truth, so luck has no part in it: what is stated costs
//! `Σ (q - b)²` more than the belief would have, in expectation. What is stated when by the readings it has been put right is
//! compared with nothing: no region is believed in then.

use super::belief::Belief;
use super::case::Case;
use crate::decisions::squares_apart;
use crate::vehicle::Region;
use crate::world::Suspicion;

/// A suspicion that was written down, and what the readings said by then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// The event, counted from 1.
    pub n: usize,
    /// What was stated.
    pub suspicion: Suspicion,
    /// Belief in each region by the readings, in the order of [`Region::ALL`]; what is missing to 1 is 'none of these', or
    /// put right already.
    pub belief: [f64; Region::ALL.len()],
}

impl Stated {
    /// 100 for what the readings said exactly, 0 for all on one region where all they said was another:
    /// `100 (1 - Σ (q - b)² / 2)`, over the regions and what is in none.
    #[must_use]
    pub fn score(&self) -> f64 {
        let stated = self.suspicion.shares();
        let rest = |shares: &[f64]| 1.0 - shares.iter().sum::<f64>();
        let of_none = (rest(&stated), rest(&self.belief));
        let apart = squares_apart(stated.into_iter().zip(self.belief).chain([of_none]));
        100.0 * (1.0 - 0.5 * apart)
    }
}

/// Belief in each region, in the order of [`Region::ALL`]. What has been put right is in none.
pub(super) fn by_region(case: &Case, belief: &Belief) -> [f64; Region::ALL.len()] {
    let sound = &case.assignment.sound;
    let mut regions = [0.0; Region::ALL.len()];
    for ((hypothesis, p), class) in case
        .list
        .iter()
        .zip(belief.probabilities())
        .zip(&case.classes)
    {
        if *class >= case.cures.len() {
            continue;
        }
        let fault = hypothesis.fault;
        let region = sound
            .component(fault.component)
            .region_of(&sound.mode(&fault));
        if let Some(place) = Region::ALL.iter().position(|known| *known == region) {
            regions[place] += p;
        }
    }
    regions
}

#[cfg(test)]
mod tests {
    use super::*;

    fn score(chances: [u8; 6], belief: [f64; 6]) -> f64 {
        let suspicion = Suspicion { chances };
        Stated {
            n: 1,
            suspicion,
            belief,
        }
        .score()
    }

    /// Stated .7/.2/.1 where the readings said .5/.3/.2: `Σ (q - b)²` is .06, as .68 less .62 of the expected Brier scores.
    #[test]
    fn a_suspicion_loses_by_how_far_it_is_from_the_readings() {
        let near = score([70, 20, 10, 0, 0, 0], [0.5, 0.3, 0.2, 0.0, 0.0, 0.0]);
        assert!((near - 97.0).abs() < 1e-9, "{near}");
        let same = score([50, 30, 20, 0, 0, 0], [0.5, 0.3, 0.2, 0.0, 0.0, 0.0]);
        assert!((same - 100.0).abs() < 1e-9, "{same}");
        let opposite = score([100, 0, 0, 0, 0, 0], [0.0, 1.0, 0.0, 0.0, 0.0, 0.0]);
        assert!(opposite.abs() < 1e-9, "{opposite}");
        // Nothing stated is all on none of them: as far off as the sum of squares and the rest make it.
        let nothing = score([0; 6], [1.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
        assert!(nothing.abs() < 1e-9, "{nothing}");
    }

    /// Whoever states anything but the belief loses in expectation under it, whichever way.
    #[test]
    fn nothing_is_stated_better_than_what_the_readings_say() {
        let belief = [0.45, 0.25, 0.15, 0.1, 0.05, 0.0];
        let best = score([45, 25, 15, 10, 5, 0], belief);
        for place in 0..5 {
            let mut chances = [45, 25, 15, 10, 5, 0];
            chances[place] -= 5;
            chances[5] += 5;
            assert!(score(chances, belief) < best);
        }
    }
}
