//! What a command begins with: a verb, or something that needs none.

use groundside_engine::ident::nearest;

use super::names::{self, is_short_for};
use super::token::Words;
use super::words::{COMMON_WORDS, LEAD_IN};
use super::{Language, Verb, verbs};

/// What a command begins with.
pub(super) enum Start {
    /// A verb: which, the word it was called by, and the word after it.
    Verb(&'static Verb, &'static str, usize),
    /// Several verbs that the word at this place could be short for.
    Several(usize, Vec<&'static str>),
    /// A common word at this place that would be short for a verb, and what may be meant by it.
    Common(usize, &'static [&'static str]),
    /// Something else, from this word on.
    Other(usize),
}

impl Language<'_> {
    /// What a command begins with: a verb word for word, a control's word, else a verb's abbreviation.
    pub(super) fn start(&self, words: &Words<'_>) -> Start {
        let polite =
            |at: &usize| matches!(words.text(*at), "please" | "now" | "then" | "and" | "just");
        let at = (0..words.len()).take_while(polite).count();
        if let Some((verb, word, next)) = exact_verb(words, at) {
            return Start::Verb(verb, word, next);
        }
        if LEAD_IN.contains(&words.text(at)) {
            let next = at + 1 + usize::from(words.text(at + 1) == "the");
            if let Some((verb, word, next)) = exact_verb(words, next) {
                return Start::Verb(verb, word, next);
            }
        }
        let control = |f: &names::Found<_>| f.rank == names::EXACT;
        if self.controls.at(words.list(), at).iter().any(control) {
            return Start::Other(at);
        }
        let common = COMMON_WORDS
            .iter()
            .find(|(word, _)| *word == words.text(at));
        if let Some((_, meant)) = common {
            return Start::Common(at, meant);
        }
        let mut short: Vec<(&'static Verb, &'static str)> = Vec::new();
        for verb in verbs() {
            let called = std::iter::once(verb.word).chain(verb.synonyms.iter().copied());
            let mut called =
                called.filter(|word| is_short_for(words.text(at), word) && !word.contains(' '));
            if let Some(word) = called.next() {
                short.push((verb, word));
            }
        }
        match short.as_slice() {
            [] => Start::Other(at),
            [(verb, word)] => Start::Verb(verb, word, at + 1),
            _ => Start::Several(at, short.into_iter().map(|(_, word)| word).collect()),
        }
    }
}

/// The verb, or its short form or synonym, that stands at `at` word for word; the longest if several.
pub(super) fn exact_verb(
    words: &Words<'_>,
    at: usize,
) -> Option<(&'static Verb, &'static str, usize)> {
    let mut best: Option<(&'static Verb, &'static str, usize)> = None;
    for verb in verbs() {
        let called = [verb.word, verb.short]
            .into_iter()
            .chain(verb.synonyms.iter().copied());
        for word in called.filter(|word| !word.is_empty()) {
            let parts: Vec<&str> = word.split(' ').collect();
            let next = at + parts.len();
            if words.have(at, &parts) && best.is_none_or(|(_, _, longest)| next > longest) {
                best = Some((verb, word, next));
            }
        }
    }
    best
}

/// Verb words near to a wrong one.
pub(super) fn near_verbs<'w>(typed: &str, more: impl IntoIterator<Item = &'w str>) -> Vec<&'w str> {
    let verbs = verb_words().filter(|word| !word.contains(' '));
    let mut words: Vec<&'w str> = verbs.collect();
    words.extend(more);
    near(typed, &words)
}

/// Words near to a wrong one. What [`nearest`] goes by tells little of three or four letters, so among
/// those one letter wrong, missing, too much or in its neighbour's place is near as well.
pub(super) fn near<'w>(typed: &str, words: &[&'w str]) -> Vec<&'w str> {
    const MOST: usize = 3;
    let mut found = nearest(typed, words.iter().copied());
    if found.is_empty() && (3..=4).contains(&typed.chars().count()) {
        let same = |word: &str| {
            let sorted = |text: &str| {
                let mut letters: Vec<char> = text.chars().collect();
                letters.sort_unstable();
                letters
            };
            sorted(typed) == sorted(word)
        };
        found = words
            .iter()
            .copied()
            .filter(|word| word.len() >= 3 && strsim::damerau_levenshtein(typed, word) <= 1)
            .collect();
        // Where letters only changed places, that is what happened.
        if found.iter().any(|word| same(word)) {
            found.retain(|word| same(word));
        }
        found.sort_unstable();
        found.dedup();
        found.truncate(MOST);
    }
    found
}

/// What verbs are called, short forms apart.
pub(super) fn verb_words() -> impl Iterator<Item = &'static str> {
    verbs()
        .iter()
        .flat_map(|verb| std::iter::once(verb.word).chain(verb.synonyms.iter().copied()))
}
