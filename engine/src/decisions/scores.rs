//! Scores of a stated suspicion: how well somebody's probabilities do. Both are proper: nobody does better, by what he
//! believes, than by saying what he believes.
//!
//! Against the truth they reward luck too. Against a belief that was earned by readings, what is lost beyond the best
//! possible has no luck in it: [`brier_excess`] and [`log_excess_bits`].

use super::{DecisionError, Distribution, entropy};
use crate::math;

/// `Σ (q - y)²`, with y 1 for what is true and 0 else: from 0 for certainty of the truth to 2 for certainty of something
/// else ([Brier 1950], from memory).
///
/// # Errors
/// [`DecisionError::Index`] when nothing stated is at `truth`.
pub fn brier(stated: &Distribution, truth: usize) -> Result<f64, DecisionError> {
    let squares: f64 = stated.0.iter().map(|q| q * q).sum();
    Ok(squares - 2.0 * stated.at(truth)? + 1.0)
}

/// Bits of surprise at the truth, `-log2 q`: infinite when it was held to be impossible ([Good 1952], from memory).
///
/// # Errors
/// [`DecisionError::Index`] when nothing stated is at `truth`.
pub fn log_bits(stated: &Distribution, truth: usize) -> Result<f64, DecisionError> {
    Ok(-math::log2(stated.at(truth)?))
}

/// [`brier`] as it is to be expected by a belief.
///
/// # Errors
/// [`DecisionError::Lengths`] when the two are not about the same suspects.
pub fn expected_brier(stated: &Distribution, belief: &Distribution) -> Result<f64, DecisionError> {
    Ok(brier_excess(stated, belief)? + 1.0 - belief.0.iter().map(|b| b * b).sum::<f64>())
}

/// [`log_bits`] as they are to be expected by a belief.
///
/// # Errors
/// Those of [`expected_brier`].
pub fn expected_log_bits(
    stated: &Distribution,
    belief: &Distribution,
) -> Result<f64, DecisionError> {
    Ok(entropy(&belief.0) + log_excess_bits(stated, belief)?)
}

/// What is lost of [`brier`], by a belief, against stating that belief: `Σ (q - b)²`.
///
/// # Errors
/// Those of [`expected_brier`].
pub fn brier_excess(stated: &Distribution, belief: &Distribution) -> Result<f64, DecisionError> {
    Ok(squares_apart(stated.beside(belief)?))
}

/// `Σ (q - b)²`.
pub(crate) fn squares_apart(pairs: impl Iterator<Item = (f64, f64)>) -> f64 {
    pairs.map(|(q, b)| math::square(q - b)).sum()
}

/// What is lost of [`log_bits`], by a belief, against stating that belief: the divergence `Σ b log2 (b / q)`, infinite
/// when something believed in was held to be impossible.
///
/// # Errors
/// Those of [`expected_brier`].
pub fn log_excess_bits(stated: &Distribution, belief: &Distribution) -> Result<f64, DecisionError> {
    let pairs = stated.beside(belief)?.filter(|(_, b)| *b > 0.0);
    Ok(pairs.map(|(q, b)| b * math::log2(b / q)).sum())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(weights: &[f64]) -> Distribution {
        Distribution::of(weights).unwrap()
    }

    #[test]
    fn a_suspicion_against_the_truth() {
        // Own numbers by the definitions of [Brier 1950] and [Good 1952].
        let stated = of(&[0.7, 0.2, 0.1]);
        for (truth, square, bits) in [(0, 0.14, 0.515), (1, 1.14, 2.322), (2, 1.34, 3.322)] {
            assert!((brier(&stated, truth).unwrap() - square).abs() < 1e-12);
            assert!((log_bits(&stated, truth).unwrap() - bits).abs() < 5e-4);
        }
        let beyond = DecisionError::Index { index: 3, count: 3 };
        assert_eq!(brier(&stated, 3), Err(beyond));
        assert_eq!(log_bits(&stated, 3), Err(beyond));
    }

    #[test]
    fn a_suspicion_against_a_belief() {
        // Own numbers; expected score = least possible + excess.
        let (stated, belief) = (of(&[0.7, 0.2, 0.1]), of(&[0.5, 0.3, 0.2]));
        let near = |found: Result<f64, DecisionError>, expected: f64, bound: f64| {
            assert!((found.unwrap() - expected).abs() < bound, "{expected}");
        };
        near(expected_brier(&stated, &belief), 0.68, 1e-12);
        near(expected_brier(&belief, &belief), 0.62, 1e-12);
        near(brier_excess(&stated, &belief), 0.06, 1e-12);
        near(expected_log_bits(&stated, &belief), 1.6183, 5e-5);
        near(Ok(belief.bits()), 1.4855, 5e-5);
        near(log_excess_bits(&stated, &belief), 0.1328, 5e-5);
        let short = DecisionError::Lengths {
            expected: 3,
            found: 2,
        };
        assert_eq!(brier_excess(&stated, &of(&[1.0, 1.0])), Err(short));
        assert_eq!(log_excess_bits(&stated, &of(&[1.0, 1.0])), Err(short));
    }

    #[test]
    fn what_was_held_impossible_surprises_without_end() {
        let sure = of(&[1.0, 0.0]);
        assert!(log_bits(&sure, 1).unwrap().is_infinite());
        assert!(
            log_excess_bits(&sure, &of(&[0.9, 0.1]))
                .unwrap()
                .is_infinite()
        );
        assert!(
            log_excess_bits(&of(&[0.9, 0.1]), &sure)
                .unwrap()
                .is_finite()
        );
        assert!((brier(&sure, 1).unwrap() - 2.0).abs() < 1e-12);
    }

    proptest! {
        /// Expected scores are the sums over what may be true, and nothing does better than the belief itself.
        #[test]
        fn expected_scores_are_sums_over_the_truth_and_proper(
            pairs in prop::collection::vec((0.01..1.0, 0.01..1.0), 2..6),
        ) {
            let (stated, belief): (Vec<f64>, Vec<f64>) = pairs.into_iter().unzip();
            let (stated, belief) = (of(&stated), of(&belief));
            let sum = |score: fn(&Distribution, usize) -> Result<f64, DecisionError>| -> f64 {
                let each = belief.probabilities().iter().enumerate();
                each.map(|(truth, b)| b * score(&stated, truth).unwrap()).sum()
            };
            prop_assert!((sum(brier) - expected_brier(&stated, &belief).unwrap()).abs() < 1e-12);
            prop_assert!((sum(log_bits) - expected_log_bits(&stated, &belief).unwrap()).abs() < 1e-12);
            prop_assert!(brier_excess(&stated, &belief).unwrap() >= 0.0);
            prop_assert!(log_excess_bits(&stated, &belief).unwrap() >= -1e-12);
        }
    }
}
