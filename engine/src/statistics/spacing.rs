//! When to practise a skill again.

use super::{StatisticsError, within};
use crate::math;

/// How many times longer a skill lasts after a success, and shorter after a failure (judgement).
const LASTS_TIMES: f64 = 2.0;

/// The time after which one of two would still know a skill that nobody practises: recall falls to `2^(-t / h)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HalfLife {
    days: f64,
}

impl HalfLife {
    /// A half-life in days.
    ///
    /// # Errors
    /// [`StatisticsError::Range`] unless it is finite and above zero.
    pub fn from_days(days: f64) -> Result<Self, StatisticsError> {
        let lasts = days.is_finite() && days > 0.0;
        within(days, lasts, "finite days, above zero")?;
        Ok(Self { days })
    }

    /// Itself, days.
    #[must_use]
    pub const fn days(self) -> f64 {
        self.days
    }

    /// The chance of recall so many days after practice.
    #[must_use]
    pub fn recall(self, days: f64) -> f64 {
        math::pow(2.0, -days / self.days)
    }

    /// Days after practice at which recall has come down to a target.
    ///
    /// # Errors
    /// [`StatisticsError::Range`] for a target that is not above 0 and up to 1.
    pub fn due(self, target: f64) -> Result<f64, StatisticsError> {
        within(target, target > 0.0 && target <= 1.0, "above 0, up to 1")?;
        // Not -0 days for a target of 1.
        Ok((-self.days * math::log2(target)).max(0.0))
    }

    /// The half-life after practice went well, twice as long, or badly, half as long.
    ///
    /// # Errors
    /// Those of [`Self::from_days`], for a half-life without measure.
    pub fn practised(self, went_well: bool) -> Result<Self, StatisticsError> {
        Self::from_days(if went_well {
            self.days * LASTS_TIMES
        } else {
            self.days / LASTS_TIMES
        })
    }
}

/// Ease of what is new.
pub const EASE_AT_FIRST: f64 = 2.5;
/// Least ease: what is harder would come again too often.
pub const EASE_LEAST: f64 = 1.3;
/// Lowest grade that counts as remembered.
const PASSED: u8 = 3;
/// Best grade.
const BEST: u8 = 5;
/// What rounding may have added to a whole number of days.
const HAIR: f64 = 1e-9;
/// Longest interval, days.
const DAYS_MAX: f64 = 36_500.0;

/// Where something stands in the rule SM-2 of [Wozniak 1990] (read in pages that quote it): an interval of 1 day, then
/// 6, then each time the last one times the ease, rounded up to whole days. A grade below 3 begins anew and leaves
/// the ease alone.
///
/// The text does not say whether an interval is multiplied by the ease before or after its grade changes it: here it is
/// before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repetition {
    /// How easy it is: what intervals are multiplied by.
    pub ease: f64,
    /// Passes in a row.
    pub passes: u32,
    /// Days until it comes again.
    pub days: f64,
}

impl Repetition {
    /// What was never asked.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            ease: EASE_AT_FIRST,
            passes: 0,
            days: 0.0,
        }
    }

    /// After it was asked, with a grade from 0, nothing remembered, to 5, known at once.
    ///
    /// # Errors
    /// [`StatisticsError::Range`] for a grade above 5.
    pub fn graded(self, grade: u8) -> Result<Self, StatisticsError> {
        let ease = ease_after(self.ease, grade)?;
        if grade < PASSED {
            return Ok(Self {
                passes: 0,
                days: 1.0,
                ..self
            });
        }
        let days = match self.passes {
            0 => 1.0,
            1 => 6.0,
            _ => (self.days * self.ease - HAIR).ceil().min(DAYS_MAX),
        };
        Ok(Self {
            ease,
            passes: self.passes.saturating_add(1),
            days,
        })
    }
}

impl Default for Repetition {
    fn default() -> Self {
        Self::new()
    }
}

/// The ease after a grade q: `E + 0.1 - (5 - q) (0.08 + (5 - q) 0.02)`, at least 1.3.
///
/// # Errors
/// [`StatisticsError::Range`] for a grade above 5.
pub fn ease_after(ease: f64, grade: u8) -> Result<f64, StatisticsError> {
    within(f64::from(grade), grade <= BEST, "a grade, 0 to 5")?;
    let short = f64::from(BEST) - f64::from(grade);
    Ok((ease + 0.1 - short * (0.08 + short * 0.02)).max(EASE_LEAST))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, expected: f64, bound: f64) {
        assert!((found - expected).abs() <= bound, "{found} {expected}");
    }

    #[test]
    fn recall_and_when_it_is_due() {
        // Own numbers.
        let week = HalfLife::from_days(8.0).unwrap();
        near(week.recall(5.0), 0.6484, 5e-5);
        near(week.recall(8.0), 0.5, 1e-12);
        near(week.due(0.9).unwrap(), 1.216, 5e-4);
        near(week.recall(week.due(0.9).unwrap()), 0.9, 1e-12);
        near(week.practised(true).unwrap().days(), 16.0, 1e-12);
        near(week.practised(false).unwrap().days(), 4.0, 1e-12);
        assert!(week.due(1.0).unwrap().is_sign_positive());
    }

    #[test]
    fn six_repetitions() {
        // Own grades by the rule of [Wozniak 1990]. Programs that lower the ease on a failure too, as the text says of
        // every repetition and takes back for these, come to 2.24 in the last two.
        let grades = [5, 4, 3, 5, 2, 4];
        let days = [1.0, 6.0, 16.0, 40.0, 1.0, 1.0];
        let eases = [2.60, 2.60, 2.46, 2.56, 2.56, 2.56];
        let mut repetition = Repetition::new();
        for ((grade, days), ease) in grades.into_iter().zip(days).zip(eases) {
            repetition = repetition.graded(grade).unwrap();
            near(repetition.days, days, 0.0);
            near(repetition.ease, ease, 1e-12);
        }
        let lowered = ease_after(2.56, 2).unwrap();
        near(lowered, 2.24, 1e-12);
        near(ease_after(lowered, 4).unwrap(), 2.24, 1e-12);
        near(ease_after(1.4, 0).unwrap(), EASE_LEAST, 0.0);
    }

    #[test]
    fn a_whole_number_of_days_is_not_rounded_up_further() {
        // 25 x 2.2 comes out a hair above 55.
        let exact = Repetition {
            ease: 2.2,
            passes: 2,
            days: 25.0,
        };
        near(exact.graded(5).unwrap().days, 55.0, 0.0);
    }

    #[test]
    fn what_is_no_time_target_or_grade_is_an_error() {
        for days in [0.0, -1.0, f64::INFINITY, f64::NAN] {
            assert!(HalfLife::from_days(days).is_err());
        }
        let day = HalfLife::from_days(1.0).unwrap();
        for target in [0.0, 1.1, f64::NAN] {
            assert!(day.due(target).is_err());
        }
        let longest = HalfLife::from_days(f64::MAX).unwrap();
        assert!(longest.practised(true).is_err());
        assert!(Repetition::new().graded(6).is_err());
        let mut known = Repetition::new();
        for _ in 0..2000 {
            known = known.graded(5).unwrap();
        }
        near(known.days, DAYS_MAX, 0.0);
    }
}
