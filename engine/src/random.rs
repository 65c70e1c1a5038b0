//! Seeded randomness: one counter-based stream for each purpose.
//!
//! A stream is ChaCha8 keyed by SHA-256 of the seed and the purpose's name, so that a draw added for
//! one purpose never shifts another, and the same seed gives the same bits on every platform. Only raw
//! 64-bit words are taken from the generator; what they become is decided here, because the random
//! crates allow themselves to change their own sampling in minor versions.

use rand::Rng as _;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng as _;
use sha2::{Digest as _, Sha256};

use crate::math;

/// What an attempt's chance hangs on. Printed with every attempt, so that it can be had again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Seed(pub u64);

/// What a stream is for. Each has its own sequence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Which fault the vehicle has.
    FaultChoice,
    /// How bad it is.
    Severity,
    /// What the customer noticed of it.
    Complaint,
    /// Where crank and shaft stand when the vehicle comes in.
    InitialAngle,
    /// Errors of instruments and senses; keyed further by what is read and in which state.
    ReadingError,
    /// When loose contacts part.
    Bouts,
    /// When those of a vehicle that is only supposed do: other moments, or supposing would foretell.
    SupposedBouts,
    /// What a simulated learner chooses where its habit leaves a choice, and where it slips.
    Learner,
}

impl Purpose {
    const fn name(self) -> &'static str {
        match self {
            Self::FaultChoice => "fault-choice",
            Self::Severity => "severity",
            Self::Complaint => "complaint",
            Self::InitialAngle => "initial-angle",
            Self::ReadingError => "reading-error",
            Self::Bouts => "bouts",
            Self::SupposedBouts => "supposed-bouts",
            Self::Learner => "learner",
        }
    }
}

/// A sequence of draws for one purpose.
#[derive(Debug)]
pub struct Stream(ChaCha8Rng);

impl Stream {
    /// The stream of `purpose` under `seed`.
    #[must_use]
    pub fn new(seed: Seed, purpose: Purpose) -> Self {
        Self::keyed(seed, purpose, "")
    }

    /// The stream of `purpose` under `seed` for one `key`: the same key always gives the same draws.
    #[must_use]
    pub fn keyed(seed: Seed, purpose: Purpose, key: &str) -> Self {
        let mut hash = Sha256::new();
        hash.update(seed.0.to_le_bytes());
        hash.update(purpose.name().as_bytes());
        hash.update([0]);
        hash.update(key.as_bytes());
        Self(ChaCha8Rng::from_seed(hash.finalize().into()))
    }

    /// A number in `[0, 1)` with 53 random bits.
    pub fn unit(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
        let bits = (self.0.next_u64() >> 11) as f64;
        bits / 9_007_199_254_740_992.0
    }

    /// A draw from the standard normal distribution (Box and Muller 1958), one pair of units a draw.
    pub fn normal(&mut self) -> f64 {
        let radius = math::sqrt(-2.0 * math::log(1.0 - self.unit()));
        radius * math::cos(std::f64::consts::TAU * self.unit())
    }

    /// The index of one of `weights`, each as likely as its share of their sum; `None` when the sum
    /// is not positive.
    pub fn pick(&mut self, weights: &[f64]) -> Option<usize> {
        let total: f64 = weights.iter().sum();
        if total.is_nan() || total <= 0.0 {
            return None;
        }
        let mut left = self.unit() * total;
        let mut last = None;
        for (index, &weight) in weights
            .iter()
            .enumerate()
            .filter(|(_, weight)| **weight > 0.0)
        {
            if left < weight {
                return Some(index);
            }
            left -= weight;
            last = Some(index);
        }
        last
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn same_seed_and_key_give_the_same_draws_and_purposes_differ() {
        let draw = |purpose, key| Stream::keyed(Seed(7), purpose, key).0.next_u64();
        assert_eq!(draw(Purpose::Severity, "a"), draw(Purpose::Severity, "a"));
        assert_ne!(draw(Purpose::Severity, "a"), draw(Purpose::Severity, "b"));
        assert_ne!(
            draw(Purpose::Severity, "a"),
            draw(Purpose::ReadingError, "a")
        );
    }

    #[test]
    fn normal_draws_have_the_moments_of_a_normal() {
        let mut stream = Stream::new(Seed(1), Purpose::ReadingError);
        let draws: Vec<f64> = (0..20_000).map(|_| stream.normal()).collect();
        let mean = draws.iter().sum::<f64>() / 20_000.0;
        let variance = draws.iter().map(|x| math::square(x - mean)).sum::<f64>() / 20_000.0;
        assert!(
            mean.abs() < 0.03 && (variance - 1.0).abs() < 0.05,
            "mean {mean}, variance {variance}"
        );
    }

    #[test]
    fn pick_follows_the_weights_and_never_takes_a_zero() {
        let mut stream = Stream::new(Seed(3), Purpose::FaultChoice);
        let mut counts = [0_u32; 4];
        for _ in 0..4000 {
            counts[stream.pick(&[1.0, 0.0, 2.0, 1.0]).unwrap()] += 1;
        }
        assert_eq!(counts[1], 0);
        // Half of them and a quarter, within five standard deviations.
        assert!((1840..2160).contains(&counts[2]), "{counts:?}");
        assert!((860..1140).contains(&counts[3]), "{counts:?}");
        assert_eq!(stream.pick(&[0.0, 0.0]), None);
    }
}
