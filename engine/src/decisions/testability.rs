//! How well faults can be found with the checks that there are, by their rates.
//!
//! Faults that no check tells apart are one ambiguity group. The figures are those of [IEEE 1522] and of MIL-STD-2165
//! before it (forms from memory).

use std::collections::BTreeMap;

use super::{DecisionError, Distribution, lengths};

/// Fraction of faults detected: the rates of what some check shows, over all rates.
///
/// `rates` are failures in any one unit of time; `groups` has the ambiguity group of each, none where nothing shows it.
///
/// # Errors
/// [`DecisionError::Lengths`] when there is not one group for each rate, and those of [`Distribution::of`] for the rates.
pub fn fraction_detected(rates: &[f64], groups: &[Option<usize>]) -> Result<f64, DecisionError> {
    lengths(rates.len(), groups.len())?;
    let shares = Distribution::of(rates)?;
    let pairs = shares.probabilities().iter().zip(groups);
    Ok(pairs
        .filter(|(_, group)| group.is_some())
        .map(|(share, _)| share)
        .sum())
}

/// Fraction of faults isolated to `most` or fewer: the rates of what is in a group of no more, over the rates of what is
/// detected. Each rate counts as one repair of its group.
///
/// # Errors
/// Those of [`fraction_detected`], and [`DecisionError::Sum`] when nothing is detected.
pub fn fraction_isolated(
    rates: &[f64],
    groups: &[Option<usize>],
    most: usize,
) -> Result<f64, DecisionError> {
    let detected = fraction_detected(rates, groups)?;
    if detected <= 0.0 {
        return Err(DecisionError::Sum { sum: detected });
    }
    let mut sizes: BTreeMap<usize, usize> = BTreeMap::new();
    for group in groups.iter().flatten() {
        *sizes.entry(*group).or_default() += 1;
    }
    let isolated: Vec<Option<usize>> = groups
        .iter()
        .map(|group| group.filter(|group| sizes[group] <= most))
        .collect();
    Ok(fraction_detected(rates, &isolated)? / detected)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn detected_and_isolated_by_rates() {
        // Own numbers by the definitions of [IEEE 1522]: A 40, B 25 and C 20 that no check tells apart, D 10, and
        // E 5 that nothing shows.
        let rates = [40.0, 25.0, 20.0, 10.0, 5.0];
        let groups = [Some(0), Some(1), Some(1), Some(2), None];
        let near = |found: Result<f64, DecisionError>, expected: f64| {
            assert!((found.unwrap() - expected).abs() < 1e-12, "{expected}");
        };
        near(fraction_detected(&rates, &groups), 0.95);
        near(fraction_isolated(&rates, &groups, 1), 50.0 / 95.0);
        near(fraction_isolated(&rates, &groups, 2), 1.0);
        near(fraction_isolated(&rates, &groups, 0), 0.0);
    }

    #[test]
    fn what_is_no_record_of_faults_is_an_error() {
        assert!(matches!(
            fraction_detected(&[1.0], &[]),
            Err(DecisionError::Lengths { .. })
        ));
        assert!(matches!(
            fraction_detected(&[-1.0], &[None]),
            Err(DecisionError::Range { .. })
        ));
        assert!(matches!(
            fraction_isolated(&[1.0], &[None], 1),
            Err(DecisionError::Sum { .. })
        ));
    }
}
