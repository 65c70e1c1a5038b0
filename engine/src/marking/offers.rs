//! Checks that could be made next, and what each is worth beside its minutes.

use super::information::Worth;
use crate::math;

/// Least minutes that a check is reckoned with.
pub(super) const LEAST_MIN: f64 = 0.1;

/// A check that could be made next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Offer {
    pub(super) index: usize,
    /// What it is worth under the fine and the coarse reading model.
    pub(super) worth: [Worth; 2],
    pub(super) hundredths: u32,
    /// Minutes of it that are access which the needed repair is expected to want as well: nobody can avoid them,
    /// so they are not the check's.
    pub(super) opens: f64,
}

impl Offer {
    /// Its own minutes.
    pub(super) fn minutes(&self) -> f64 {
        own_minutes(self.hundredths, self.opens)
    }

    /// Bits a minute under a reading model.
    pub(super) fn rate(&self, model: usize) -> f64 {
        self.worth[model].bits / self.minutes()
    }

    /// Minutes of needless repairs it is expected to save beyond its own minutes.
    pub(super) fn net(&self, model: usize) -> f64 {
        self.worth[model].minutes - self.minutes()
    }

    /// The same, worth no less than it was listed for: between what a check is worth by what it shows now, and by the
    /// table of what it shows as the vehicle comes in, a learner need not see a difference.
    pub(super) fn at_least(mut self, listed: &Self) -> Self {
        for (worth, listed) in self.worth.iter_mut().zip(listed.worth) {
            worth.bits = worth.bits.max(listed.bits);
            worth.minutes = worth.minutes.max(listed.minutes);
        }
        self
    }

    /// The offer with the most bits a minute.
    pub(super) fn best<'a>(offers: impl IntoIterator<Item = &'a Self>) -> Option<&'a Self> {
        math::first_of_most(offers, |offer| offer.rate(0))
    }
}

/// Minutes that are a check's own: those it is reckoned with, less the access that the needed repair wants as well.
pub(super) fn own_minutes(hundredths: u32, opens: f64) -> f64 {
    (f64::from(hundredths) / 100.0 - opens).max(LEAST_MIN)
}

/// The expected difference of two accesses to the needed repair.
pub(super) fn opened(beliefs: &[f64], before: &[f64], after: &[f64]) -> f64 {
    let pairs = before
        .iter()
        .zip(after)
        .map(|(before, after)| before - after);
    beliefs.iter().zip(pairs).map(|(p, gone)| p * gone).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn offer(hundredths: u32, opens: f64) -> Offer {
        let worth = Worth {
            bits: 1.0,
            minutes: 3.0,
        };
        Offer {
            index: 0,
            worth: [worth, worth],
            hundredths,
            opens,
        }
    }

    #[test]
    fn access_that_the_needed_repair_wants_anyway_is_not_the_checks() {
        // Behind a cover of 3.5 min that the repair wants off in nine cases of ten: 5.8 - 0.9 x 3.5 = 2.65 min.
        let opens = opened(&[0.9, 0.1], &[3.5, 0.0], &[0.0, 0.0]);
        assert!((offer(580, opens).minutes() - 2.65).abs() < 1e-12);
        assert!((offer(580, opens).net(0) - 0.35).abs() < 1e-12);
        assert!(offer(580, 0.0).net(0) < 0.0);
        // And a way that leads away from the repair is charged with the way back.
        let away = opened(&[1.0], &[0.0], &[0.5]);
        assert!((offer(40, away).minutes() - 0.9).abs() < 1e-12);
    }
}
