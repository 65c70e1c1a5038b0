//! Why a line is no command, and what could be typed instead.

use std::ops::Range;

use groundside_engine::vehicle::ComponentId;

use super::start::near;
use super::token::Words;
use super::{Language, names, verb_words};

/// Most suggestions with a problem.
const SUGGESTIONS_MAX: usize = 16;

/// Why a line is no command: where, why, and what could be typed instead.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Problem {
    /// Column of the word it is about, in characters from 1.
    pub column: usize,
    /// One sentence.
    pub message: String,
    /// Commands, each of which would be read.
    pub suggestions: Vec<String>,
}

impl Problem {
    pub(super) fn at(words: &Words<'_>, at: usize, message: impl Into<String>) -> Self {
        let column = words.column(at);
        Self {
            column,
            message: message.into(),
            suggestions: Vec::new(),
        }
    }

    /// Which old part goes back, when not exactly one was taken out.
    pub(crate) fn which_swapped(line: &str, swapped: &[&str]) -> Self {
        let words = Words::of(line);
        if swapped.is_empty() {
            return Self::at(&words, 0, "No known good part is in.");
        }
        let message = format!("Which goes back: {}?", listed(swapped, "or"));
        Self::at(&words, 0, message).offering(swapped.iter().map(|id| format!("swap back {id}")))
    }

    pub(super) fn offering(mut self, suggestions: impl IntoIterator<Item = String>) -> Self {
        self.suggestions.extend(suggestions);
        self
    }

    /// Keeps the suggestions that `reads` accepts, each once.
    pub(super) fn keeping(mut self, reads: impl Fn(&str) -> bool) -> Self {
        let mut kept: Vec<String> = Vec::new();
        for suggestion in std::mem::take(&mut self.suggestions) {
            if kept.len() == SUGGESTIONS_MAX {
                break;
            }
            if !kept.contains(&suggestion) && reads(&suggestion) {
                kept.push(suggestion);
            }
        }
        self.suggestions = kept;
        self
    }
}

impl Language<'_> {
    /// Reads words with suggestions that are known to read.
    pub(super) fn advised<T>(
        &self,
        words: &Words<'_>,
        read: impl Fn(&Words<'_>) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        read(words).map_err(|problem| {
            let problem = self.respelled(words, problem);
            problem.keeping(|text| read(&Words::of(text)).is_ok())
        })
    }

    /// Adds the command with one word spelled as a known word near to it, before other suggestions.
    pub(super) fn respelled(&self, words: &Words<'_>, mut problem: Problem) -> Problem {
        const WORDS_MAX: usize = 16;
        let mut spelled: Vec<String> = Vec::new();
        for at in 0..words.len().min(WORDS_MAX) {
            let word = words.text(at);
            let known = self
                .vocabulary
                .iter()
                .any(|known| names::is_word(word, known))
                || verb_words().any(|known| names::is_word(word, known));
            if known || word.chars().count() < names::SHORTEST || names::has_digit(word) {
                continue;
            }
            let vocabulary: Vec<&str> = self.vocabulary.iter().map(String::as_str).collect();
            let near = near(word, &vocabulary);
            spelled.extend(near.iter().map(|near| words.with(at..at + 1, near)));
        }
        spelled.append(&mut problem.suggestions);
        problem.suggestions = spelled;
        problem
    }

    /// A question back when words name several components alike.
    pub(super) fn several(
        &self,
        words: &Words<'_>,
        at: Range<usize>,
        all: &[ComponentId],
    ) -> Problem {
        let ids: Vec<&str> = all
            .iter()
            .map(|id| self.vehicle.component(*id).id.as_str())
            .collect();
        let message = format!(
            "`{}` could be {}.",
            words.typed(at.clone()),
            listed(&ids, "or")
        );
        Problem::at(words, at.start, message)
            .offering(ids.iter().map(|id| words.with(at.clone(), id)))
    }
}

/// Commands to choose from, each as it is typed.
pub(super) fn choices(ways: &[String]) -> String {
    let told: Vec<String> = ways.iter().map(|way| format!("`{way}`")).collect();
    listed(&told, "or")
}

/// `a, b or c`; a long list is cut, as its rest is among the suggestions.
pub(super) fn listed<T: AsRef<str>>(items: &[T], joint: &str) -> String {
    const SHOWN: usize = 12;
    let items: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
    if items.len() > SHOWN {
        return format!(
            "{} and {} more",
            items[..SHOWN].join(", "),
            items.len() - SHOWN
        );
    }
    match items.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} {joint} {last}", rest.join(", ")),
    }
}
