//! Means, spreads, and how far two lists of numbers go together.

use super::{StatisticsError, lengths, within};
use crate::math;

/// The mean of numbers, in their unit.
///
/// # Errors
/// [`StatisticsError::TooFew`] of none, [`StatisticsError::Range`] for one that is not finite.
pub fn mean(values: &[f64]) -> Result<f64, StatisticsError> {
    for &value in values {
        within(value, value.is_finite(), "finite")?;
    }
    if values.is_empty() {
        return Err(StatisticsError::TooFew { least: 1, found: 0 });
    }
    Ok(values.iter().sum::<f64>() / count(values.len()))
}

/// The standard deviation of numbers that are a sample of more, in their unit: squares over n - 1.
///
/// # Errors
/// [`StatisticsError::TooFew`] of fewer than two, [`StatisticsError::Range`] for one that is not finite.
pub fn standard_deviation(values: &[f64]) -> Result<f64, StatisticsError> {
    let found = values.len();
    if found < 2 {
        return Err(StatisticsError::TooFew { least: 2, found });
    }
    Ok(math::sqrt(squares(values)? / count(found - 1)))
}

/// The correlation of two lists of equal length, -1 to 1 (Pearson's).
///
/// # Errors
/// [`StatisticsError::Lengths`], [`StatisticsError::TooFew`] for fewer than two pairs, [`StatisticsError::NoSpread`] when
/// one of the lists is all the same, [`StatisticsError::Range`] for a number that is not finite.
pub fn pearson(one: &[f64], other: &[f64]) -> Result<f64, StatisticsError> {
    lengths(one.len(), other.len())?;
    if one.len() < 2 {
        return Err(StatisticsError::TooFew {
            least: 2,
            found: one.len(),
        });
    }
    for list in [one, other] {
        // By the entries and not by their squares, which rounding may leave a little of.
        mean(list)?;
        if list
            .windows(2)
            .all(|pair| pair[0].total_cmp(&pair[1]).is_eq())
        {
            return Err(StatisticsError::NoSpread);
        }
    }
    let (first, second) = (mean(one)?, mean(other)?);
    let pairs = one.iter().zip(other);
    let products: f64 = pairs.map(|(a, b)| (a - first) * (b - second)).sum();
    let whole = math::sqrt(squares(one)?) * math::sqrt(squares(other)?);
    if whole > 0.0 && whole.is_finite() {
        Ok((products / whole).clamp(-1.0, 1.0))
    } else {
        Err(StatisticsError::NoSpread)
    }
}

/// The correlation of the ranks of two lists (Spearman's); equal numbers share the mean of their ranks.
///
/// # Errors
/// Those of [`pearson`].
pub fn spearman(one: &[f64], other: &[f64]) -> Result<f64, StatisticsError> {
    mean(one)?;
    mean(other)?;
    pearson(&ranks(one), &ranks(other))
}

/// Sum of the squares of what numbers are off their mean.
fn squares(values: &[f64]) -> Result<f64, StatisticsError> {
    let mean = mean(values)?;
    Ok(values.iter().map(|value| math::square(value - mean)).sum())
}

/// The variance of numbers that are all there are: squares over n.
pub(super) fn variance_of_all(values: &[f64]) -> Result<f64, StatisticsError> {
    Ok(squares(values)? / count(values.len()))
}

/// Ranks from 1, the smallest first, equal numbers at the mean of theirs.
fn ranks(values: &[f64]) -> Vec<f64> {
    let below = |value: f64| values.iter().filter(|other| **other < value).count();
    let up_to = |value: f64| values.iter().filter(|other| **other <= value).count();
    let rank = |value: &f64| 0.5 * (count(below(*value)) + count(up_to(*value)) + 1.0);
    values.iter().map(rank).collect()
}

/// How many there are, as a number to reckon with.
#[expect(
    clippy::cast_precision_loss,
    reason = "lists in memory are far shorter than 2^53"
)]
pub(super) const fn count(of: usize) -> f64 {
    of as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: Result<f64, StatisticsError>, expected: f64) {
        let found = found.unwrap();
        assert!((found - expected).abs() < 1e-12, "{found} {expected}");
    }

    #[test]
    fn mean_and_standard_deviation() {
        // By hand: squares 9, 1, 1, 1, 0, 0, 4, 16 sum to 32.
        let values = [2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0];
        near(mean(&values), 5.0);
        near(standard_deviation(&values), (32.0_f64 / 7.0).sqrt());
        near(variance_of_all(&values), 4.0);
    }

    #[test]
    fn correlation_of_numbers_and_of_ranks() {
        // By hand: products sum to 7, squares to 10 and 10.
        let one = [1.0, 2.0, 3.0, 4.0, 5.0];
        near(pearson(&one, &[1.0, 3.0, 2.0, 5.0, 4.0]), 0.8);
        near(pearson(&one, &[2.0, 1.0, 4.0, 3.0, 5.0]), 0.8);
        near(pearson(&one, &[10.0, 8.0, 6.0, 4.0, 2.0]), -1.0);
        // A curve that only rises has the ranks of a line.
        let cubes = [1.0, 8.0, 27.0, 64.0, 125.0];
        near(spearman(&one, &cubes), 1.0);
        assert!(pearson(&one, &cubes).unwrap() < 0.95);
        // 1 - 6 Σ d² / (n (n² - 1)) without ties: 1 - 6 x 4 / 120.
        near(spearman(&[3.0, 1.0, 7.0, 5.0, 90.0], &one), 0.8);
        // The two in the middle share rank 2.5: products 4.5, squares 4.5 and 5.
        let tied = spearman(&[1.0, 2.0, 2.0, 3.0], &[1.0, 2.0, 3.0, 4.0]);
        near(tied, 4.5 / (4.5_f64 * 5.0).sqrt());
    }

    #[test]
    fn what_has_no_spread_or_is_no_list_is_an_error() {
        let few = |least, found| Err(StatisticsError::TooFew { least, found });
        assert_eq!(mean(&[]), few(1, 0));
        assert_eq!(standard_deviation(&[1.0]), few(2, 1));
        assert_eq!(pearson(&[1.0], &[1.0]), few(2, 1));
        assert!(matches!(
            pearson(&[1.0], &[]),
            Err(StatisticsError::Lengths { .. })
        ));
        let same = [0.1; 3];
        assert_eq!(
            pearson(&same, &[1.0, 2.0, 3.0]),
            Err(StatisticsError::NoSpread)
        );
        assert_eq!(
            spearman(&same, &[1.0, 2.0, 3.0]),
            Err(StatisticsError::NoSpread)
        );
        assert!(matches!(
            spearman(&[f64::NAN, 1.0], &[1.0, 2.0]),
            Err(StatisticsError::Range { .. })
        ));
        assert!(standard_deviation(&[f64::INFINITY, 1.0]).is_err());
    }
}
