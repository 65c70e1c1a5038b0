//! Ratings that are kept up result by result.

use super::{StatisticsError, within};
use crate::math;

/// Points between two players of whom the better wins ten times as often ([Elo 1978], from memory).
const POINTS_PER_TENFOLD: f64 = 400.0;
/// First step of a standing, and how fast steps shorten ([Pelanek 2016], the title page read, figures from memory).
const FIRST_STEP: f64 = 1.0;
const STEP_DECAY: f64 = 0.05;

/// The result to be expected of a player rated `own` against one rated `other`, points: from 0 for a loss to 1 for a
/// win.
#[must_use]
pub fn expected_result(own: f64, other: f64) -> f64 {
    1.0 / (1.0 + math::pow(10.0, (other - own) / POINTS_PER_TENFOLD))
}

/// Both ratings after a game in which the first player had a result from 0 to 1; at most `step` points change hands.
///
/// # Errors
/// [`StatisticsError::Range`] for a result outside 0 to 1.
pub fn after_game(
    own: f64,
    other: f64,
    result: f64,
    step: f64,
) -> Result<(f64, f64), StatisticsError> {
    within(result, (0.0..=1.0).contains(&result), "a result, 0 to 1")?;
    let gained = step * (result - expected_result(own, other));
    Ok((own + gained, other - gained))
}

/// What is made of a learner's ability or of a case's difficulty so far.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Standing {
    /// Ability or difficulty, logits.
    pub value: f64,
    /// Results that it comes from.
    pub seen: u32,
}

impl Standing {
    /// How far the next result can move it, logits: `1 / (1 + 0.05 n)`.
    #[must_use]
    pub fn step(&self) -> f64 {
        FIRST_STEP / (1.0 + STEP_DECAY * f64::from(self.seen))
    }

    fn moved(self, surprise: f64) -> Self {
        Self {
            value: self.value + self.step() * surprise,
            seen: self.seen.saturating_add(1),
        }
    }
}

/// The standings of a learner and of a case after a result from 0 to 1: each moves by what was not to be expected, the
/// learner's with it, the case's against it. To hold a case of known difficulty, keep its old standing.
///
/// # Errors
/// [`StatisticsError::Range`] for a result outside 0 to 1.
pub fn after_meeting(
    learner: Standing,
    case: Standing,
    result: f64,
) -> Result<(Standing, Standing), StatisticsError> {
    within(result, (0.0..=1.0).contains(&result), "a result, 0 to 1")?;
    let expected = 1.0 / (1.0 + math::exp(case.value - learner.value));
    let surprise = result - expected;
    Ok((learner.moved(surprise), case.moved(-surprise)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, expected: f64, bound: f64) {
        assert!((found - expected).abs() <= bound, "{found} {expected}");
    }

    #[test]
    fn the_weaker_player_wins() {
        // Own numbers by the rule of [Elo 1978].
        near(expected_result(1400.0, 1600.0), 0.2403, 5e-5);
        let (winner, loser) = after_game(1400.0, 1600.0, 1.0, 32.0).unwrap();
        near(winner, 1424.31, 5e-3);
        near(loser, 1575.69, 5e-3);
        let (drawn, _) = after_game(1500.0, 1500.0, 0.5, 32.0).unwrap();
        near(drawn, 1500.0, 1e-9);
    }

    #[test]
    fn a_learner_with_cases_of_known_difficulty() {
        // Own numbers by the rule of [Pelanek 2016]: difficulty 0, right, right, wrong, right.
        let mut learner = Standing::default();
        let results = [1.0, 1.0, 0.0, 1.0];
        for (result, expected) in results.into_iter().zip([0.5, 0.8596, 0.2209, 0.6078]) {
            (learner, _) = after_meeting(learner, Standing::default(), result).unwrap();
            near(learner.value, expected, 5e-5);
        }
        assert_eq!(learner.seen, 4);
    }

    #[test]
    fn a_case_goes_the_other_way_and_by_its_own_step() {
        let old = Standing {
            value: 0.0,
            seen: 20,
        };
        let (learner, case) = after_meeting(Standing::default(), old, 0.75).unwrap();
        near(learner.value, 0.25, 1e-12);
        near(case.value, -0.125, 1e-12);
    }

    #[test]
    fn a_result_beyond_won_and_lost_is_an_error() {
        for result in [-0.1, 1.1, f64::NAN] {
            assert!(after_game(1500.0, 1500.0, result, 32.0).is_err());
            assert!(after_meeting(Standing::default(), Standing::default(), result).is_err());
        }
    }
}
