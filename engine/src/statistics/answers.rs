//! Right and wrong answers of several persons to the same items: whether the items measure one thing, and which does
//! not. Variances are of all persons there are (over n) throughout, as in [Kuder 1937] (from memory).

use super::summary::{count, mean, pearson, variance_of_all};
use super::{StatisticsError, lengths};

/// Answers, one row for each person, one column for each item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answers {
    rows: Vec<Vec<bool>>,
    items: usize,
}

impl Answers {
    /// Rows of answers, true for a right one.
    ///
    /// # Errors
    /// [`StatisticsError::TooFew`] for fewer than two persons or two items, [`StatisticsError::Lengths`] when somebody
    /// has another number of answers than the first.
    pub fn new(rows: Vec<Vec<bool>>) -> Result<Self, StatisticsError> {
        let items = rows.first().map_or(0, Vec::len);
        for found in [rows.len(), items] {
            if found < 2 {
                return Err(StatisticsError::TooFew { least: 2, found });
            }
        }
        for row in &rows {
            lengths(items, row.len())?;
        }
        Ok(Self { rows, items })
    }

    /// Right answers of each person.
    #[must_use]
    pub fn totals(&self) -> Vec<f64> {
        let right = |row: &Vec<bool>| count(row.iter().filter(|answer| **answer).count());
        self.rows.iter().map(right).collect()
    }

    /// Share of the persons who got an item right.
    ///
    /// # Errors
    /// [`StatisticsError::Index`] when there is no such item.
    pub fn share_right(&self, item: usize) -> Result<f64, StatisticsError> {
        mean(&self.column(item)?)
    }

    /// Reliability of the total, `k / (k - 1) (1 - Σ p q / s²)`: the share of its variance that another set of such
    /// items would give again (Kuder and Richardson's formula 20).
    ///
    /// # Errors
    /// [`StatisticsError::NoSpread`] when all totals are the same.
    pub fn kr20(&self) -> Result<f64, StatisticsError> {
        let mut sum = 0.0;
        for item in 0..self.items {
            sum += variance_of_all(&self.column(item)?)?;
        }
        self.reliability(sum)
    }

    /// The same as if all items were equally hard, `k / (k - 1) (1 - M (k - M) / (k s²))`; it is never above
    /// [`Self::kr20`] (Kuder and Richardson's formula 21).
    ///
    /// # Errors
    /// [`StatisticsError::NoSpread`] when all totals are the same.
    pub fn kr21(&self) -> Result<f64, StatisticsError> {
        let (items, middle) = (count(self.items), mean(&self.totals())?);
        self.reliability(middle * (items - middle) / items)
    }

    fn reliability(&self, of_items: f64) -> Result<f64, StatisticsError> {
        let variance = variance_of_all(&self.totals())?;
        if variance <= 0.0 {
            return Err(StatisticsError::NoSpread);
        }
        let items = count(self.items);
        Ok(items / (items - 1.0) * (1.0 - of_items / variance))
    }

    /// Correlation of an item with the total, `(m1 - m0) / s √(p q)` by the mean totals of those who got it right and
    /// wrong (point-biserial). The item is in the total, which lifts it; see [`Self::item_rest`].
    ///
    /// # Errors
    /// [`StatisticsError::Index`] when there is no such item, [`StatisticsError::NoSpread`] when all got it right or
    /// wrong, or all totals are the same.
    pub fn point_biserial(&self, item: usize) -> Result<f64, StatisticsError> {
        pearson(&self.column(item)?, &self.totals())
    }

    /// Correlation of an item with the total of the others: near zero or below it the item measures something else.
    ///
    /// # Errors
    /// Those of [`Self::point_biserial`].
    pub fn item_rest(&self, item: usize) -> Result<f64, StatisticsError> {
        let column = self.column(item)?;
        let totals = self.totals();
        let pairs = totals.iter().zip(&column);
        let rest: Vec<f64> = pairs.map(|(total, own)| total - own).collect();
        pearson(&column, &rest)
    }

    /// An item's answers, 1 for a right one.
    fn column(&self, item: usize) -> Result<Vec<f64>, StatisticsError> {
        if item >= self.items {
            return Err(StatisticsError::Index {
                index: item,
                count: self.items,
            });
        }
        let one = |row: &Vec<bool>| if row[item] { 1.0 } else { 0.0 };
        Ok(self.rows.iter().map(one).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(list: &[&str]) -> Vec<Vec<bool>> {
        let row = |row: &&str| row.bytes().map(|answer| answer == b'1').collect();
        list.iter().map(row).collect()
    }

    /// Ten persons and ten items of K. L. Wuensch's teaching page on KR-20 (read).
    fn wuensch() -> Answers {
        Answers::new(rows(&[
            "1111110110",
            "1011011101",
            "1111011001",
            "0010001000",
            "0000010010",
            "1110111111",
            "1101110111",
            "1111111101",
            "0101111101",
            "1101101110",
        ]))
        .unwrap()
    }

    fn near(found: Result<f64, StatisticsError>, expected: f64) {
        let found = found.unwrap();
        assert!((found - expected).abs() <= 5e-5, "{found} {expected}");
    }

    #[test]
    fn reliability_of_ten_items() {
        let answers = wuensch();
        let totals = answers.totals();
        assert_eq!(totals, [8.0, 7.0, 7.0, 2.0, 2.0, 9.0, 8.0, 9.0, 7.0, 7.0]);
        near(variance_of_all(&totals), 5.84);
        let shares = (0..10).map(|item| answers.share_right(item).unwrap());
        near(Ok(shares.map(|p| p * (1.0 - p)).sum()), 2.18);
        near(answers.kr20(), 0.6963);
        near(answers.kr21(), 0.6842);
    }

    #[test]
    fn a_good_item_and_a_bad_one() {
        let answers = wuensch();
        near(answers.share_right(0), 0.7);
        near(answers.point_biserial(0), 0.7946);
        near(answers.item_rest(0), 0.7059);
        // By the means 7.857 and 3.667 of those who got it right and wrong.
        let by_means = (55.0 / 7.0 - 11.0 / 3.0) / 5.84_f64.sqrt() * 0.21_f64.sqrt();
        near(answers.point_biserial(0), by_means);
        near(answers.point_biserial(8), 0.0828);
        near(answers.item_rest(8), -0.1236);
    }

    #[test]
    fn records_that_say_nothing_are_errors() {
        let few = |found| Err(StatisticsError::TooFew { least: 2, found });
        assert_eq!(Answers::new(Vec::new()), few(0));
        assert_eq!(Answers::new(rows(&["1", "0"])), few(1));
        assert!(matches!(
            Answers::new(rows(&["10", "1"])),
            Err(StatisticsError::Lengths { .. })
        ));
        let alike = Answers::new(rows(&["10", "01"])).unwrap();
        assert_eq!(alike.kr20(), Err(StatisticsError::NoSpread));
        assert_eq!(alike.kr21(), Err(StatisticsError::NoSpread));
        let easy = Answers::new(rows(&["110", "100"])).unwrap();
        assert_eq!(easy.point_biserial(0), Err(StatisticsError::NoSpread));
        let beyond = StatisticsError::Index { index: 3, count: 3 };
        assert_eq!(easy.item_rest(3), Err(beyond));
    }
}
