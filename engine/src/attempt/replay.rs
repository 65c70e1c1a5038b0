//! Playing a record again: whether it is what the engine gives.

use super::record::{Header, Parsed, RecordError, record_lines};
use super::{Assignment, Attempt, AttemptError, DrawError};
use crate::world::Action;

/// An attempt had again from its record.
#[derive(Clone, Debug)]
pub struct Replayed {
    /// The attempt, with every action of the record carried out.
    pub attempt: Attempt,
    /// The first line that differs from what the engine gives, if any does.
    pub difference: Option<Difference>,
    /// Whether the last line was cut off in the writing, and left out.
    pub torn: bool,
}

/// A line of a record that is not what the engine gives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Counted from 1.
    pub line: usize,
    /// What stands there.
    pub recorded: String,
    /// What the engine gives.
    pub given: String,
}

/// Why a record cannot be played again.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReplayError {
    /// It is not a record.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// The attempt it starts from cannot be had.
    #[error("line 1: {0}")]
    Draw(#[from] DrawError),
    /// A line that cannot be carried out.
    #[error("line {line}: {why}")]
    Action {
        /// Counted from 1.
        line: usize,
        /// Why not.
        why: String,
    },
}

/// Plays a record again on the assignment that its header names; `header` is what the files at hand
/// give, so that a changed vehicle or scenario shows as a difference in line 1.
///
/// # Errors
/// [`ReplayError`] when the record cannot be played.
pub fn replay(
    parsed: &Parsed,
    assignment: Assignment,
    header: &Header,
) -> Result<Replayed, ReplayError> {
    let mut attempt = Attempt::start(assignment)?;
    for (index, words) in parsed.actions.iter().enumerate() {
        let bad = |why: String| ReplayError::Action {
            line: index + 2,
            why,
        };
        let action = Action::from_words(words, &attempt.assignment().sound)
            .map_err(|error| bad(error.to_string()))?;
        attempt
            .act(&action)
            .map_err(|error: AttemptError| bad(error.to_string()))?;
    }
    let given = record_lines(&attempt, header)?;
    let differs = parsed
        .lines
        .iter()
        .zip(&given)
        .position(|(recorded, given)| recorded != given);
    let difference = differs.map(|index| Difference {
        line: index + 1,
        recorded: parsed.lines[index].clone(),
        given: given[index].clone(),
    });
    Ok(Replayed {
        attempt,
        difference,
        torn: parsed.torn,
    })
}
