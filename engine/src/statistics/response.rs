//! Item response: the chance that a learner of some ability gets an item right, and the ability by the answers.
//!
//! `P = 1 / (1 + exp(-a (θ - b)))` with ability θ and difficulty b in logits and discrimination a, 1 for all items in
//! the model of [Rasch 1960] and one for each in that of [Birnbaum 1968] (both from memory).

use super::summary::mean;
use super::{StatisticsError, lengths, within};
use crate::math;

/// Most steps of Newton's towards the most likely ability.
const STEPS_MAX: u32 = 500;
/// Longest one, logits: where the likelihood is nearly flat Newton's own would go far beyond.
const STEP_MAX: f64 = 1.0;
/// A step so short ends the search, logits.
const STEP_MIN: f64 = 1e-10;
/// Information below which an ability is not said: a standard error of a thousand logits.
const INFORMATION_MIN: f64 = 1e-6;
/// Half width, in standard deviations of the prior, of the abilities that an expectation is taken over.
const REACH: i32 = 8;
/// Points to each of these standard deviations.
const POINTS: i32 = 20;

/// A question or a case with a right and a wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Item {
    discrimination: f64,
    difficulty: f64,
}

impl Item {
    /// An item of a difficulty, logits, and a discrimination, per logit.
    ///
    /// # Errors
    /// [`StatisticsError::Range`] for a difficulty that is not finite, or a discrimination that is not above zero.
    pub fn new(discrimination: f64, difficulty: f64) -> Result<Self, StatisticsError> {
        let rises = discrimination.is_finite() && discrimination > 0.0;
        within(discrimination, rises, "finite, above zero")?;
        within(difficulty, difficulty.is_finite(), "finite")?;
        Ok(Self {
            discrimination,
            difficulty,
        })
    }

    /// An item that discriminates as all others do.
    ///
    /// # Errors
    /// Those of [`Self::new`].
    pub fn rasch(difficulty: f64) -> Result<Self, StatisticsError> {
        Self::new(1.0, difficulty)
    }

    /// The chance that a learner of an ability, logits, gets it right.
    #[must_use]
    pub fn probability(&self, ability: f64) -> f64 {
        1.0 / (1.0 + math::exp(-self.logit(ability)))
    }

    /// What an answer tells of an ability near there: `a² P (1 - P)`, per square logit.
    #[must_use]
    pub fn information(&self, ability: f64) -> f64 {
        let p = self.probability(ability);
        math::square(self.discrimination) * p * (1.0 - p)
    }

    fn logit(&self, ability: f64) -> f64 {
        self.discrimination * (ability - self.difficulty)
    }

    /// Logarithm of the chance of an answer, also where the chance itself is too small for a number.
    fn log_chance(&self, ability: f64, is_right: bool) -> f64 {
        let logit = if is_right {
            self.logit(ability)
        } else {
            -self.logit(ability)
        };
        logit.min(0.0) - math::log(1.0 + math::exp(-logit.abs()))
    }
}

/// An ability and how sure it is, logits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The ability.
    pub ability: f64,
    /// Its standard error; of an expectation, the standard deviation of what is believed.
    pub error: f64,
}

/// The ability under which answers are most likely, by Newton's method; its standard error is `1 / √information`.
///
/// # Errors
/// [`StatisticsError::AllAlike`] when answers are all right or all wrong, which has no largest likelihood,
/// [`StatisticsError::TooFew`] for no items, [`StatisticsError::Lengths`] when there is not one answer for each,
/// [`StatisticsError::Flat`] when items are so far apart that the likelihood is flat between them.
pub fn most_likely(items: &[Item], answers: &[bool]) -> Result<Estimate, StatisticsError> {
    checked(items, answers)?;
    let right = answers[0];
    if answers.iter().all(|answer| *answer == right) {
        return Err(StatisticsError::AllAlike { right });
    }
    let difficulties: Vec<f64> = items.iter().map(|item| item.difficulty).collect();
    let mut ability = mean(&difficulties)?;
    // The slope falls with the ability, so its sign says on which side the summit is.
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for _ in 0..STEPS_MAX {
        let (mut slope, mut information) = (0.0, 0.0);
        for (item, is_right) in items.iter().zip(answers) {
            let answer = if *is_right { 1.0 } else { 0.0 };
            slope += item.discrimination * (answer - item.probability(ability));
            information += item.information(ability);
        }
        let step = (slope / information).clamp(-STEP_MAX, STEP_MAX);
        if step.is_nan() {
            break;
        }
        if step.abs() < STEP_MIN && information > INFORMATION_MIN {
            let error = 1.0 / math::sqrt(information);
            return Ok(Estimate { ability, error });
        }
        if slope > 0.0 {
            low = ability;
        } else {
            high = ability;
        }
        ability += step;
        if (low.is_finite() && high.is_finite()) && (ability <= low || ability >= high) {
            ability = 0.5 * (low + high);
        }
    }
    Err(StatisticsError::Flat)
}

/// The ability to be expected by answers of a learner from a group whose abilities are normal with mean 0 and standard
/// deviation 1; it is there for answers that are all right as well.
///
/// # Errors
/// [`StatisticsError::TooFew`] for no items, [`StatisticsError::Lengths`] when there is not one answer for each.
pub fn expected_ability(items: &[Item], answers: &[bool]) -> Result<Estimate, StatisticsError> {
    checked(items, answers)?;
    let points = -REACH * POINTS..=REACH * POINTS;
    let log_weights: Vec<(f64, f64)> = points
        .map(|point| {
            let ability = f64::from(point) / f64::from(POINTS);
            let each = items.iter().zip(answers);
            let likelihood: f64 = each
                .map(|(item, is_right)| item.log_chance(ability, *is_right))
                .sum();
            (ability, likelihood - 0.5 * math::square(ability))
        })
        .collect();
    let logs = log_weights.iter().map(|(_, log)| *log);
    let best = logs.fold(f64::NEG_INFINITY, f64::max);
    let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
    for (ability, log) in log_weights {
        let weight = math::exp(log - best);
        sum += weight;
        first += weight * ability;
        second += weight * ability * ability;
    }
    let ability = first / sum;
    let variance = second / sum - ability * ability;
    Ok(Estimate {
        ability,
        error: math::sqrt(variance.max(0.0)),
    })
}

fn checked(items: &[Item], answers: &[bool]) -> Result<(), StatisticsError> {
    lengths(items.len(), answers.len())?;
    if items.is_empty() {
        return Err(StatisticsError::TooFew { least: 1, found: 0 });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn items(list: &[(f64, f64)]) -> Vec<Item> {
        list.iter()
            .map(|(a, b)| Item::new(*a, *b).unwrap())
            .collect()
    }

    fn rasch(difficulties: &[f64]) -> Vec<Item> {
        let items = difficulties.iter().map(|b| Item::rasch(*b).unwrap());
        items.collect()
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() <= 5e-5, "{found} {expected}");
    }

    fn is(found: Result<Estimate, StatisticsError>, ability: f64, error: f64) {
        let found = found.unwrap();
        near(found.ability, ability);
        near(found.error, error);
    }

    #[test]
    fn chances_and_information() {
        // Own numbers by the models of [Rasch 1960] and [Birnbaum 1968].
        near(Item::rasch(0.0).unwrap().probability(1.0), 0.7311);
        let item = Item::new(1.5, 0.5).unwrap();
        near(item.probability(1.0), 0.6792);
        near(item.information(1.0), 0.4903);
    }

    #[test]
    fn most_likely_abilities() {
        // Own numbers, by Newton's method elsewhere as well.
        let three = rasch(&[-1.0, 0.0, 1.0]);
        is(most_likely(&three, &[true, true, false]), 0.8029, 1.3100);
        let five = rasch(&[-2.0, -1.0, 0.0, 1.0, 2.0]);
        let raw = |right: usize| (0..5).map(|place| place < right).collect::<Vec<bool>>();
        is(most_likely(&five, &raw(3)), 0.5908, 1.0960);
        is(most_likely(&five, &raw(4)), 1.9254, 1.2586);
        // Where all discriminate alike only the number of right answers counts.
        let other = [false, true, false, true, true];
        is(most_likely(&five, &other), 0.5908, 1.0960);
        let unlike = items(&[(1.0, -1.0), (1.5, 0.0), (0.8, 1.0)]);
        is(most_likely(&unlike, &[true, true, false]), 0.9881, 1.2853);
    }

    #[test]
    fn expected_abilities() {
        // Own numbers, by a finer sum elsewhere as well.
        let three = rasch(&[-1.0, 0.0, 1.0]);
        is(
            expected_ability(&three, &[true, true, false]),
            0.3154,
            0.7956,
        );
        let all = expected_ability(&three, &[true; 3]).unwrap();
        let none = expected_ability(&three, &[false; 3]).unwrap();
        assert!(all.ability > 0.3154 && all.error < 1.0, "{all:?}");
        near(all.ability, -none.ability);
        // An item that nobody gets wrong tells nothing.
        is(expected_ability(&rasch(&[-50.0]), &[true]), 0.0, 1.0);
        // A wrong answer to an item 2000 logits too easy is as strange for everybody within reach.
        let strange = expected_ability(&rasch(&[-2000.0]), &[false]).unwrap();
        assert!(strange.ability.is_finite() && strange.error.is_finite());
    }

    #[test]
    fn records_without_a_most_likely_ability_are_errors() {
        let two = rasch(&[-1.0, 1.0]);
        for right in [true, false] {
            let alike = StatisticsError::AllAlike { right };
            assert_eq!(most_likely(&two, &[right; 2]), Err(alike));
        }
        let none = StatisticsError::TooFew { least: 1, found: 0 };
        assert_eq!(most_likely(&[], &[]), Err(none));
        assert_eq!(expected_ability(&[], &[]), Err(none));
        assert!(matches!(
            most_likely(&two, &[true]),
            Err(StatisticsError::Lengths { .. })
        ));
        let apart = rasch(&[-1000.0, 1000.0]);
        assert_eq!(
            most_likely(&apart, &[true, false]),
            Err(StatisticsError::Flat)
        );
        for (discrimination, difficulty) in [(0.0, 0.0), (-1.0, 0.0), (1.0, f64::NAN)] {
            assert!(Item::new(discrimination, difficulty).is_err());
        }
    }

    #[test]
    fn far_and_sharp_items_are_no_hindrance() {
        let far = rasch(&[4999.0, 5000.0, 5001.0]);
        is(most_likely(&far, &[true, true, false]), 5000.8029, 1.3100);
        // Between two sharp items, the third off them, Newton's steps would go to and fro for ever.
        let sharp = items(&[(50.0, 0.3), (50.0, 0.7), (1e-3, -1.0)]);
        let found = most_likely(&sharp, &[true, false, true]).unwrap();
        // The two alone meet at 0.5, where both leave 0.0067; the third draws by 0.0005 against 0.227.
        assert!((found.ability - 0.5022).abs() < 1e-4, "{found:?}");
    }
}
