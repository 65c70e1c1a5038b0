//! What a command begins with: a verb, or something that needs none.

use groundside_engine::ident::nearest;

use super::names::{self, is_short_for};
use super::token::Words;
use super::words::{COMMON_WORDS, LEAD_IN, POLITE};
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
    /// Of `take the panel off`, `do the nut up` the verb is `take off`, `do up`: puts its second word behind the
    /// first, where those two are a verb and the words as they stand begin with none of two words.
    pub(super) fn joined<'t>(&self, words: Words<'t>) -> Words<'t> {
        let words = Self::given(words);
        let last = words.len().saturating_sub(1);
        // `put the old breaker back in`, `put the arms back on`; a control that is put back on is worked.
        let control = |n: usize| {
            let found = self.controls.at(words.list(), n);
            found.iter().any(|f| f.rank == names::EXACT)
        };
        let on = || words.text(0) == "put" && !(1..last).any(control);
        let back = words.text(last) == "in" || words.text(last) == "on" && on();
        let words = if back && last > 0 && words.text(last - 1) == "back" {
            words.until(last)
        } else {
            words
        };
        let last = words.len().saturating_sub(1);
        let from = (0..last)
            .take_while(|n| POLITE.contains(&words.text(*n)))
            .count();
        let parts = ["off", "back", "up", "down", "out", "together"].contains(&words.text(last));
        let whole = exact_verb(&words, from).is_some_and(|(_, _, next)| next > from + 1);
        if !parts || whole || last < from + 2 {
            return words;
        }
        let joined = words.moved(last, from + 1);
        match exact_verb(&joined, from) {
            Some((_, _, next)) if next > from + 1 => joined,
            _ => words,
        }
    }

    pub(super) fn start(&self, words: &Words<'_>) -> Start {
        let polite = |at: &usize| POLITE.contains(&words.text(*at));
        let at = (0..words.len()).take_while(polite).count();
        // What only leads in to another verb is passed over: `test continuity ...`, `check for ...`.
        let led = LEAD_IN.contains(&words.text(at)).then(|| {
            let small = |n: &usize| matches!(words.text(*n), "the" | "for");
            exact_verb(
                words,
                at + 1 + (at + 1..words.len()).take_while(small).count(),
            )
        });
        let exact = exact_verb(words, at).filter(|(_, _, next)| {
            // `test battery` is a verb of its own, `test continuity` is not.
            *next > at + 1 || led.flatten().is_none()
        });
        if let Some((verb, word, next)) = exact.or(led.flatten()) {
            return Start::Verb(verb, word, next);
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
    let first = words.text(at).as_bytes().first()?;
    for verb in verbs() {
        let called = [verb.word, verb.short]
            .into_iter()
            .chain(verb.synonyms.iter().copied());
        for word in called.filter(|word| word.as_bytes().first() == Some(first)) {
            if let Some(next) = verb_end(words, at, word)
                && best.is_none_or(|(_, _, longest)| next > longest)
            {
                best = Some((verb, word, next));
            }
        }
    }
    best
}

/// The word after a verb of one or several words that stands at `at`; `the` and `a` may stand within it.
/// Every command and every suggestion asks this of every verb, so it makes nothing.
fn verb_end(words: &Words<'_>, at: usize, verb: &str) -> Option<usize> {
    let mut next = at;
    for (n, part) in verb.split(' ').enumerate() {
        while n > 0 && words.text(next) != part && matches!(words.text(next), "the" | "a" | "an") {
            next += 1;
        }
        if words.text(next) != part {
            return None;
        }
        next += 1;
    }
    Some(next)
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
    found.retain(|word| is_slip(typed, word));
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
            .filter(|word| word.len() >= 3 && is_slip(typed, word))
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

/// Whether a word may be another that was mistyped, and is not simply another word: of few letters all are there, one
/// perhaps too much or missing; of more, one or two are wrong.
fn is_slip(typed: &str, word: &str) -> bool {
    let letters = typed.chars().count();
    let apart = strsim::damerau_levenshtein(typed, word);
    let first = typed.as_bytes().first() == word.as_bytes().first();
    match letters {
        0..=3 => {
            let swapped =
                typed.len() == word.len() && typed.bytes().all(|b| word.as_bytes().contains(&b));
            apart <= 1 && (swapped || (first && typed.len() != word.len()))
        }
        4..=5 => apart <= 1 || (word.contains(typed) && first),
        _ => apart <= 2 || word.contains(typed),
    }
}

/// What verbs are called, short forms apart.
pub(super) fn verb_words() -> impl Iterator<Item = &'static str> {
    verbs()
        .iter()
        .flat_map(|verb| std::iter::once(verb.word).chain(verb.synonyms.iter().copied()))
}
