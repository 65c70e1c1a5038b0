//! Belief over all hypotheses: exact Bayes in logarithms, with a floor.
//!
//! A hypothesis is a fault in a cell of its severity, and its belief is parted over points of the cell: a severity does not
//! change from one reading to the next, so each reading says more of where it lies. Readings that were held to be
//! independent within a cell would make two faults too different.

pub(super) use crate::decisions::entropy;
use crate::math;

/// Share of the prior that is mixed in after each observation, so that one odd reading never kills the
/// truth for ever.
const FLOOR: f64 = 1e-4;

/// Points that the belief in a hypothesis is parted over.
pub(super) const POINTS: usize = 5;

/// Something of each point of a hypothesis.
pub(super) type AtPoints = [f64; POINTS];

/// A point's share where nothing says which it is.
#[expect(clippy::cast_precision_loss, reason = "a few points")]
const EVEN_SHARE: f64 = 1.0 / POINTS as f64;

/// Share of the belief in a hypothesis that is dealt out evenly over its points after each observation: what lies between
/// two severities is not quite a straight line.
const LOOSE: f64 = 0.02;

/// A hypothesis with no more than so many times its share of the floor has nothing but the floor.
const HARDLY_ABOVE: f64 = 3.0;

/// Probabilities of all hypotheses, 'none of these' last. They sum to 1.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Belief {
    probabilities: Vec<f64>,
    prior: Vec<f64>,
    /// How each is parted over its points; shares of one hypothesis sum to 1.
    shares: Vec<AtPoints>,
}

impl Belief {
    /// The belief before anything is seen.
    pub(super) fn new(prior: Vec<f64>) -> Self {
        let prior = normalised(prior);
        Self {
            probabilities: prior.clone(),
            shares: vec![[EVEN_SHARE; POINTS]; prior.len()],
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

    /// Logarithm of the likelihood of what was seen under a hypothesis, from those at its points.
    pub(super) fn log_mean(&self, index: usize, logs: &AtPoints) -> f64 {
        let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let shares = self.shares[index].iter().zip(logs);
        let sum: f64 = shares
            .map(|(share, log)| share * math::exp(log - best))
            .sum();
        best + math::log(sum)
    }

    /// Takes in the logarithms of the likelihoods of what was seen at the points of each hypothesis.
    pub(super) fn learn(&mut self, logs: &[AtPoints]) {
        let means: Vec<f64> = (0..logs.len())
            .map(|index| self.log_mean(index, &logs[index]))
            .collect();
        for ((shares, logs), mean) in self.shares.iter_mut().zip(logs).zip(&means) {
            for (share, log) in shares.iter_mut().zip(logs) {
                *share = (1.0 - LOOSE) * *share * math::exp(log - mean) + LOOSE * EVEN_SHARE;
            }
        }
        self.update(&means);
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
    fn one_voltage_tells_a_feed_from_a_ground() {
        // Own numbers: the same resistance at the pin or in the ground of a motor would leave 9.998 or 12.175 V at its
        // terminal; 11.0 V read, sigma .25, speaks for the pin at .953.
        let mut belief = Belief::new(vec![0.5, 0.5]);
        let log = |mean: f64| -0.5 * math::square((11.0 - mean) / 0.25);
        belief.update(&[log(9.998), log(12.175)]);
        let pin = belief.probabilities()[0];
        assert!((pin - 0.953).abs() < 6e-4, "{pin}");
    }

    #[test]
    fn the_floor_keeps_what_bayes_would_kill() {
        // The same with sigma .15 (own numbers): the first is left at 8e-34, from which no number of readings would
        // bring it back; on the floor it has 1e-4 of its prior, and one reading does.
        let log = |reading: f64, mean: f64| -0.5 * math::square((reading - mean) / 0.15);
        let odd = [12.1, 9.8, 0.0].map(|mean| log(10.2, mean));
        let by_bayes = 0.5 / 0.3 * math::exp(odd[0] - odd[1]);
        assert!((by_bayes / 8e-34 - 1.0).abs() < 0.1, "{by_bayes}");
        let mut belief = Belief::new(vec![0.5, 0.3, 0.2]);
        belief.update(&odd);
        assert!((belief.probabilities()[0] - 0.5e-4).abs() < 1e-12);
        belief.update(&[12.1, 9.8, 0.0].map(|mean| log(12.1, mean)));
        assert!(belief.probabilities()[0] > 0.999);
    }
}
