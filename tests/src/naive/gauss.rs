//! Gauss elimination with partial pivoting, written down as it is taught, in ordinary numbers or in numbers of
//! twice the length: opens of a teraohm beside joints of milliohms cost sixteen digits, and a floating part of
//! the circuit would be lost in ordinary ones.

/// What elimination needs of a number.
pub(crate) trait Number: Copy + From<f64> {
    /// `self + other`.
    fn plus(self, other: Self) -> Self;
    /// `self - other`.
    fn minus(self, other: Self) -> Self;
    /// `self * other`.
    fn times(self, other: Self) -> Self;
    /// `self / other`.
    fn over(self, other: Self) -> Self;
    /// The nearest ordinary number.
    fn value(self) -> f64;
}

impl Number for f64 {
    fn plus(self, other: Self) -> Self {
        self + other
    }
    fn minus(self, other: Self) -> Self {
        self - other
    }
    fn times(self, other: Self) -> Self {
        self * other
    }
    fn over(self, other: Self) -> Self {
        self / other
    }
    fn value(self) -> f64 {
        self
    }
}

/// An unevaluated sum of two doubles, some 32 digits. (Dekker 1971, Knuth 1969: error-free sum and product.)
#[derive(Clone, Copy, Debug)]
pub(crate) struct Double {
    high: f64,
    low: f64,
}

impl Double {
    fn of_sum(a: f64, b: f64) -> Self {
        let high = a + b;
        let of_b = high - a;
        Self {
            high,
            low: (a - (high - of_b)) + (b - of_b),
        }
    }
}

impl From<f64> for Double {
    fn from(high: f64) -> Self {
        Self { high, low: 0.0 }
    }
}

impl Number for Double {
    fn plus(self, other: Self) -> Self {
        let high = Self::of_sum(self.high, other.high);
        let low = Self::of_sum(self.low, other.low);
        let sum = Self::of_sum(high.high, high.low + low.high);
        Self::of_sum(sum.high, sum.low + low.low)
    }
    fn minus(self, other: Self) -> Self {
        self.plus(Self {
            high: -other.high,
            low: -other.low,
        })
    }
    fn times(self, other: Self) -> Self {
        let high = self.high * other.high;
        let low = self.high.mul_add(other.high, -high);
        Self::of_sum(high, low + self.high * other.low + self.low * other.high)
    }
    fn over(self, other: Self) -> Self {
        let first = self.high / other.high;
        let left = self.minus(other.times(Self::from(first)));
        let second = left.high / other.high;
        let left = left.minus(other.times(Self::from(second)));
        Self::of_sum(first, second).plus(Self::from(left.high / other.high))
    }
    fn value(self) -> f64 {
        self.high + self.low
    }
}

/// Solves for several right sides at once. A row is one of the matrix, with its entries of the right sides after
/// it; what comes back is a solution for each right side.
///
/// # Panics
/// When the matrix has no rows.
pub(crate) fn gauss<T: Number>(mut rows: Vec<Vec<T>>) -> Vec<Vec<f64>> {
    let size = rows.len();
    for column in 0..size {
        let largest = (column..size)
            .max_by(|&a, &b| {
                let size = |row: usize| rows[row][column].value().abs();
                size(a).total_cmp(&size(b))
            })
            .unwrap();
        rows.swap(column, largest);
        let pivot = rows[column].clone();
        for row in &mut rows[column + 1..] {
            // Nothing is taken away where nothing stands; most of a circuit's matrix is nothing.
            if row[column].value() == 0.0 {
                continue;
            }
            let factor = row[column].over(pivot[column]);
            for (entry, above) in row.iter_mut().zip(&pivot).skip(column) {
                *entry = entry.minus(factor.times(*above));
            }
        }
    }
    let sides = size..rows[0].len();
    sides
        .map(|side| {
            let mut solution = vec![T::from(0.0); size];
            for row in (0..size).rev() {
                let known = (row + 1..size).fold(rows[row][side], |left, column| {
                    left.minus(rows[row][column].times(solution[column]))
                });
                solution[row] = known.over(rows[row][row]);
            }
            solution.into_iter().map(T::value).collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twice_the_digits_keep_a_small_part_beside_a_large_one() {
        let one = Double::from(1.0);
        let tiny = Double::from(1e-25);
        let kept = one.plus(tiny).minus(one).value();
        assert!((kept - 1e-25).abs() < 1e-32, "{kept:e}");
        let third = one.over(Double::from(3.0));
        let left = third.times(Double::from(3.0)).minus(one).value();
        assert!(left.abs() < 1e-31, "{left:e}");
    }

    #[test]
    fn two_equations_are_solved_for_two_right_sides() {
        // 2x + y = 5 or 1, x + 3y = 10 or 3.
        let rows = vec![vec![2.0, 1.0, 5.0, 1.0], vec![1.0, 3.0, 10.0, 3.0]];
        let solutions = gauss(rows);
        assert!((solutions[0][0] - 1.0).abs() < 1e-15 && (solutions[0][1] - 3.0).abs() < 1e-15);
        assert!((solutions[1][0]).abs() < 1e-15 && (solutions[1][1] - 1.0).abs() < 1e-15);
    }
}
