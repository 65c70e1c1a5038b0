//! The shortest code for suspects: a bound that no tree of tests is below.

use super::{DecisionError, Distribution};

/// Expected length of the shortest code with `letters` letters, by merging the least likely each time ([Huffman 1952],
/// from memory): no tree of tests with so many outcomes each needs fewer tests on average.
///
/// # Errors
/// [`DecisionError::TooMany`] for fewer than two letters, which are too few to code more than one suspect.
pub fn huffman_length(chances: &Distribution, letters: usize) -> Result<f64, DecisionError> {
    let mut left: Vec<f64> = chances.probabilities().to_vec();
    left.retain(|chance| *chance > 0.0);
    if letters < 2 && left.len() > 1 {
        return Err(DecisionError::TooMany {
            found: left.len(),
            most: 1,
        });
    }
    // The first merge takes so few that all later ones are full.
    let mut take = match left.len().saturating_sub(1) % letters.saturating_sub(1).max(1) {
        0 => letters,
        rest => rest + 1,
    };
    let mut length = 0.0;
    while left.len() > 1 {
        left.sort_by(|a, b| b.total_cmp(a));
        let merged: f64 = left.split_off(left.len().saturating_sub(take)).iter().sum();
        length += merged;
        left.push(merged);
        take = letters;
    }
    Ok(length)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(chances: &[f64], letters: usize, expected: f64) {
        let chances = Distribution::of(chances).unwrap();
        let found = huffman_length(&chances, letters).unwrap();
        assert!((found - expected).abs() < 1e-12, "{found} {expected}");
    }

    #[test]
    fn lengths_of_shortest_codes() {
        // By hand: halves, a quarter and two eighths take one, two and three letters.
        near(&[0.5, 0.25, 0.125, 0.125], 2, 1.75);
        // The twelve balls of [MacKay 2003], chapter 4: 23 words of three letters and one of two.
        near(&[1.0; 24], 3, 71.0 / 24.0);
        // What has no chance needs no word, and what is sure no letter.
        near(&[0.5, 0.5, 0.0], 2, 1.0);
        near(&[1.0, 0.0], 1, 0.0);
    }

    #[test]
    fn one_letter_codes_nothing() {
        let two = Distribution::uniform(2).unwrap();
        for letters in [0, 1] {
            assert!(matches!(
                huffman_length(&two, letters),
                Err(DecisionError::TooMany { found: 2, most: 1 })
            ));
        }
    }
}
