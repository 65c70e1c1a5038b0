//! Belief over all hypotheses: exact Bayes in logarithms, with a floor.

use crate::math;

/// Share of the prior that is mixed in after each observation, so that one odd reading never kills the
/// truth for ever.
const FLOOR: f64 = 1e-4;

/// A hypothesis with no more than so many times its share of the floor has nothing but the floor.
const HARDLY_ABOVE: f64 = 3.0;

/// Probabilities of all hypotheses, 'none of these' last. They sum to 1.
#[derive(Clone, Debug)]
pub(super) struct Belief {
    probabilities: Vec<f64>,
    prior: Vec<f64>,
}

impl Belief {
    /// The belief before anything is seen.
    pub(super) fn new(prior: Vec<f64>) -> Self {
        let prior = normalised(prior);
        Self {
            probabilities: prior.clone(),
            prior,
        }
    }

    /// Probabilities by hypothesis.
    pub(super) fn probabilities(&self) -> &[f64] {
        &self.probabilities
    }

    /// Whether nothing but the floor is left of a hypothesis.
    pub(super) fn is_on_the_floor(&self, index: usize) -> bool {
        self.probabilities[index] <= HARDLY_ABOVE * FLOOR * self.prior[index]
    }

    /// Belief in 'none of these'.
    pub(super) fn in_none(&self) -> f64 {
        self.probabilities.last().copied().unwrap_or(0.0)
    }

    /// Takes in the logarithms of the likelihoods of what was seen.
    pub(super) fn update(&mut self, log_likelihoods: &[f64]) {
        let best = log_likelihoods
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max);
        let weighed = self
            .probabilities
            .iter()
            .zip(log_likelihoods)
            .map(|(p, log)| p * math::exp(log - best));
        let posterior = normalised(weighed.collect());
        self.probabilities = posterior
            .iter()
            .zip(&self.prior)
            .map(|(p, prior)| (1.0 - FLOOR) * p + FLOOR * prior)
            .collect();
    }
}

fn normalised(weights: Vec<f64>) -> Vec<f64> {
    let total: f64 = weights.iter().sum();
    weights.into_iter().map(|weight| weight / total).collect()
}

/// Entropy in bits of masses that need not sum to 1.
pub(super) fn entropy(masses: &[f64]) -> f64 {
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

/// Sums of probabilities by class.
pub(super) fn by_class(probabilities: &[f64], classes: &[usize], count: usize) -> Vec<f64> {
    let mut masses = vec![0.0; count];
    for (probability, class) in probabilities.iter().zip(classes) {
        masses[*class] += probability;
    }
    masses
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_example_and_the_floor() {
        // Three predictions 12.1, 9.8, 0 V with priors .5/.3/.2, sigma .6, reading 10.2 V:
        // .0136 / .9864 / 0 by Bayes; the floor keeps the third at 1e-4 of its prior.
        let mut belief = Belief::new(vec![0.5, 0.3, 0.2]);
        let log = |mean: f64| -0.5 * math::square((10.2 - mean) / 0.6);
        belief.update(&[log(12.1), log(9.8), log(0.0)]);
        let p = belief.probabilities();
        assert!(
            (p[0] - 0.0136).abs() < 1e-4 && (p[1] - 0.9864).abs() < 2e-4,
            "{p:?}"
        );
        assert!(belief.is_on_the_floor(2) && !belief.is_on_the_floor(0));
        assert!(p[2] > 1e-5 && (p.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn entropy_is_that_of_equal_halves_and_of_certainty() {
        assert!((entropy(&[1.0, 1.0]) - 1.0).abs() < 1e-12);
        assert!(entropy(&[3.0, 0.0]).abs() < 1e-12);
    }
}
