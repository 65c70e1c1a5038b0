//! Whether probabilities keep their word: of what is held to be 80 % likely, four in five should be so.

use super::StatisticsError;

/// Bins of equal width that stated probabilities are sorted into.
const BINS: u32 = 10;

/// Statements of about the same probability.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bin {
    /// How many.
    pub count: u32,
    /// Their mean probability, 0 to 1.
    pub stated: f64,
    /// The share of them that were so, 0 to 1.
    pub so: f64,
}

/// How far stated probabilities are from what is so.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// By probability, from 0 to 1 in ten bins of equal width; none of those that nothing was stated in.
    pub bins: Vec<Option<Bin>>,
    /// Expected calibration error: the mean distance of the two in a bin, by how many are in it, 0 to 1.
    pub error: f64,
}

impl Calibration {
    /// That of statements: the probability that was stated of something, and whether it was so (Naeini, Cooper and
    /// Hauskrecht, Obtaining well calibrated probabilities, AAAI 2015, section on measures; from memory).
    ///
    /// # Errors
    /// [`StatisticsError`] for no statements, or for a probability that is not from 0 to 1.
    pub fn of(statements: &[(f64, bool)]) -> Result<Self, StatisticsError> {
        if statements.is_empty() {
            return Err(StatisticsError::TooFew { least: 1, found: 0 });
        }
        let mut sums = vec![(0_u32, 0.0, 0_u32); BINS as usize];
        for &(stated, so) in statements {
            if !(0.0..=1.0).contains(&stated) {
                return Err(StatisticsError::Range {
                    value: stated,
                    range: "a probability from 0 to 1",
                });
            }
            let edges = (1..BINS).map(|edge| f64::from(edge) / f64::from(BINS));
            let (count, sum, right) = &mut sums[edges.filter(|edge| stated >= *edge).count()];
            *count += 1;
            *sum += stated;
            *right += u32::from(so);
        }
        let bin = |(count, sum, right): (u32, f64, u32)| {
            (count > 0).then(|| Bin {
                count,
                stated: sum / f64::from(count),
                so: f64::from(right) / f64::from(count),
            })
        };
        let bins: Vec<Option<Bin>> = sums.into_iter().map(bin).collect();
        let all: f64 = bins.iter().flatten().map(|bin| f64::from(bin.count)).sum();
        let apart = |bin: &Bin| f64::from(bin.count) / all * (bin.stated - bin.so).abs();
        Ok(Self {
            error: bins.iter().flatten().map(apart).sum(),
            bins,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_error_is_the_mean_distance_by_bins() {
        // Own numbers: four at 0.85, of which two are so; one at 0.15 that is not: (4 x 0.35 + 1 x 0.15) / 5 = 0.31.
        let four = [(0.85, true), (0.85, true), (0.85, false), (0.85, false)];
        let found = Calibration::of(&[&four[..], &[(0.15, false)]].concat()).unwrap();
        assert!((found.error - 0.31).abs() < 1e-12, "{found:?}");
        assert_eq!(found.bins.iter().flatten().count(), 2);
        assert_eq!(found.bins[8].map(|bin| bin.count), Some(4));
        assert!(Calibration::of(&[(1.0, true), (0.0, false)]).unwrap().error < 1e-12);
        assert!(Calibration::of(&[]).is_err());
        assert!(Calibration::of(&[(1.2, true)]).is_err());
    }
}
