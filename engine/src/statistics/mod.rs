//! The mathematics of training records by itself: what marks and answers of many attempts say of learners, of cases and
//! of the marking.
//!
//! - [`mean`], [`standard_deviation`], [`pearson`], [`spearman`]: studies of marks.
//! - [`Item`], [`most_likely`], [`expected_ability`]: how able a learner is, by what was answered (item response).
//! - [`expected_result`], [`after_game`], [`Standing`], [`after_meeting`]: the same, kept up as one goes (Elo).
//! - [`Answers`]: whether a set of cases measures one thing, and which case does not.
//! - [`Calibration`]: whether probabilities keep their word.
//! - [`HalfLife`], [`Repetition`]: when to practise a skill again.
//!
//! Nothing in it knows a vehicle, and no mark hangs on it. Ability is in logits: at the difficulty of an item half of all
//! answers are right, one above it 73 %.

mod answers;
mod calibration;
mod rating;
mod response;
mod spacing;
mod summary;

pub use answers::Answers;
pub use calibration::{Bin, Calibration};
pub use rating::{Standing, after_game, after_meeting, expected_result};
pub use response::{Estimate, Item, expected_ability, most_likely};
pub use spacing::{EASE_AT_FIRST, EASE_LEAST, HalfLife, Repetition, ease_after};
pub use summary::{mean, pearson, spearman, standard_deviation};

/// Why a record says nothing of what was asked.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StatisticsError {
    /// A number is out of its range.
    #[error("number {value} is out of range: {range}")]
    Range {
        /// What was given.
        value: f64,
        /// What is accepted.
        range: &'static str,
    },
    /// There are too few entries.
    #[error("{found} entries are too few, {least} are needed")]
    TooFew {
        /// How many are needed.
        least: usize,
        /// How many there are.
        found: usize,
    },
    /// Two lists that belong together are not equally long.
    #[error("a list has {found} entries where {expected} are needed")]
    Lengths {
        /// How many are needed.
        expected: usize,
        /// How many there are.
        found: usize,
    },
    /// A position beyond the end of its list.
    #[error("there is no entry {index} in a list of {count}")]
    Index {
        /// The position.
        index: usize,
        /// Entries of the list.
        count: usize,
    },
    /// All entries are the same, so nothing goes with them.
    #[error("all entries are the same")]
    NoSpread,
    /// Answers that are all right or all wrong: the more able, or the less, the likelier, without end.
    #[error("answers that are all {} have no most likely ability", if *right { "right" } else { "wrong" })]
    AllAlike {
        /// Whether they are right.
        right: bool,
    },
    /// The likelihood is too flat to say where it is largest.
    #[error("the likelihood is flat: no item is near the ability")]
    Flat,
}

/// An error unless a list is as long as it needs to be.
const fn lengths(expected: usize, found: usize) -> Result<(), StatisticsError> {
    if expected == found {
        Ok(())
    } else {
        Err(StatisticsError::Lengths { expected, found })
    }
}

/// An error unless a number is in its range.
const fn within(value: f64, is_within: bool, range: &'static str) -> Result<(), StatisticsError> {
    if is_within {
        Ok(())
    } else {
        Err(StatisticsError::Range { value, range })
    }
}
