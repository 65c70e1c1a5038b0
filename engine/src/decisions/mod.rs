//! The mathematics of diagnosis by itself: suspects and tests as numbers, with no vehicle in them.
//!
//! - [`minimal_candidates`], [`candidates`], [`Probe`]: what may be broken by conflicts alone, and which probe tells
//!   most of it.
//! - [`Sequencing`]: the cheapest tree of tests, and the tree by bits per cost beside it;
//!   [`huffman_length`] is what neither can be below.
//! - [`Choice`], [`account`]: what a course of actions took, parted into what was to be expected, what decisions lost,
//!   and luck.
//! - [`brier`] and what follows it: scores of a suspicion that somebody states.
//! - [`fraction_detected`], [`fraction_isolated`]: how well faults can be found at all.
//!
//! Marking uses [`entropy`]; the rest is for studies of vehicles and of marks, and is held to worked examples.

mod candidates;
mod code;
mod scores;
mod sequencing;
mod testability;
mod tree;

pub use candidates::{Candidate, PARTS_MAX, Parts, Probe, candidates, minimal_candidates};
pub use code::huffman_length;
pub(crate) use scores::squares_apart;
pub use scores::{
    brier, brier_excess, expected_brier, expected_log_bits, log_bits, log_excess_bits,
};
pub use sequencing::{Plan, STATES_MAX, Sequencing, Step, Test};
pub use testability::{fraction_detected, fraction_isolated};
pub use tree::{Account, Action, Choice, Outcome, Priced, Taken, account};

use crate::math;

/// Why something cannot be reckoned.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DecisionError {
    /// A weight, probability or cost is out of its range.
    #[error("number {value} at {index} is out of range: {range}")]
    Range {
        /// Its position in the list.
        index: usize,
        /// What was given.
        value: f64,
        /// What is accepted.
        range: &'static str,
    },
    /// Weights that sum to nothing, or probabilities of a chance that do not sum to 1.
    #[error("weights sum to {sum}, which is no distribution")]
    Sum {
        /// What they sum to.
        sum: f64,
    },
    /// Two lists that belong together are not equally long.
    #[error("a list has {found} entries where {expected} are needed")]
    Lengths {
        /// How many are needed.
        expected: usize,
        /// How many there are.
        found: usize,
    },
    /// A position beyond the end of its list.
    #[error("there is no entry {index} in a list of {count}")]
    Index {
        /// The position.
        index: usize,
        /// Entries of the list.
        count: usize,
    },
    /// More than can be gone through.
    #[error("{found} are too many, {most} at most")]
    TooMany {
        /// How many there are.
        found: usize,
        /// How many can be dealt with.
        most: usize,
    },
    /// No test tells two states apart that need telling apart.
    #[error("no test tells state {one} from state {other}")]
    Inseparable {
        /// A state.
        one: usize,
        /// Another one of another class.
        other: usize,
    },
}

/// Probabilities that sum to 1, one for each suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct Distribution(Vec<f64>);

impl Distribution {
    /// Weights as shares of their sum.
    ///
    /// # Errors
    /// [`DecisionError::Range`] for a weight that is negative or not finite, [`DecisionError::Sum`] when there is no
    /// weight at all.
    pub fn of(weights: &[f64]) -> Result<Self, DecisionError> {
        for (index, &value) in weights.iter().enumerate() {
            if !(value.is_finite() && value >= 0.0) {
                let range = "finite, zero or more";
                return Err(DecisionError::Range {
                    index,
                    value,
                    range,
                });
            }
        }
        let sum: f64 = weights.iter().sum();
        if !(sum.is_finite() && sum > 0.0) {
            return Err(DecisionError::Sum { sum });
        }
        Ok(Self(weights.iter().map(|weight| weight / sum).collect()))
    }

    /// The same share for each of `count`.
    ///
    /// # Errors
    /// [`DecisionError::Sum`] when `count` is nothing.
    pub fn uniform(count: usize) -> Result<Self, DecisionError> {
        Self::of(&vec![1.0; count])
    }

    /// The probabilities, in the order of the weights.
    #[must_use]
    pub fn probabilities(&self) -> &[f64] {
        &self.0
    }

    /// Its entropy, bits.
    #[must_use]
    pub fn bits(&self) -> f64 {
        entropy(&self.0)
    }

    /// The probability at a position.
    fn at(&self, index: usize) -> Result<f64, DecisionError> {
        let count = self.0.len();
        self.0
            .get(index)
            .copied()
            .ok_or(DecisionError::Index { index, count })
    }

    /// Pairs with another distribution over the same suspects.
    fn beside<'a>(
        &'a self,
        other: &'a Self,
    ) -> Result<impl Iterator<Item = (f64, f64)> + use<'a>, DecisionError> {
        lengths(self.0.len(), other.0.len())?;
        Ok(self.0.iter().copied().zip(other.0.iter().copied()))
    }
}

/// An error unless a list is as long as it needs to be.
const fn lengths(expected: usize, found: usize) -> Result<(), DecisionError> {
    if expected == found {
        Ok(())
    } else {
        Err(DecisionError::Lengths { expected, found })
    }
}

/// Entropy in bits of masses that need not sum to 1; nothing of masses that sum to nothing.
#[must_use]
pub fn entropy(masses: &[f64]) -> f64 {
    let total: f64 = masses.iter().sum();
    if total <= 0.0 {
        return 0.0;
    }
    masses
        .iter()
        .filter(|mass| **mass > 0.0)
        .map(|mass| -(mass / total) * math::log2(mass / total))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entropy_is_that_of_equal_halves_and_of_certainty() {
        assert!((entropy(&[1.0, 1.0]) - 1.0).abs() < 1e-12);
        assert!(entropy(&[3.0, 0.0]).abs() < 1e-12);
        assert!(entropy(&[]).abs() < 1e-12);
    }

    #[test]
    fn weights_become_shares_and_what_is_none_is_refused() {
        let shares = Distribution::of(&[2.0, 6.0]).unwrap();
        assert_eq!(shares.probabilities(), [0.25, 0.75]);
        assert!(matches!(
            Distribution::of(&[1.0, -1.0]),
            Err(DecisionError::Range { index: 1, .. })
        ));
        assert!(matches!(
            Distribution::of(&[f64::NAN]),
            Err(DecisionError::Range { index: 0, .. })
        ));
        for none in [&[][..], &[0.0, 0.0], &[f64::MAX, f64::MAX]] {
            assert!(matches!(
                Distribution::of(none),
                Err(DecisionError::Sum { .. })
            ));
        }
    }
}
