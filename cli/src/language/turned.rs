//! What is told the other way round: `the plug at the motor`, `bad earth at the motor`, `wiper rubber right`, `give the
//! motor plug a wiggle`.

use super::names::{Named, trimmed};
use super::token::Words;
use super::words::{POLITE, is_filler};
use super::{Command, Does, Language, Problem, Verb, exact_verb};

/// Words between a part and what it belongs to or sits on.
const JOINING: [&str; 5] = ["at", "of", "on", "in", "for"];

/// What is told behind a name as well as before it.
const SIDES: [&str; 2] = ["left", "right"];

/// Most words that are turned round.
const WORDS_MAX: usize = 10;

/// Verbs behind which one part is named; two points change their meaning with their order.
const OF_ONE_PART: [Does; 18] = [
    Does::Look,
    Does::Feel,
    Does::Smell,
    Does::Tug,
    Does::Wiggle,
    Does::Substitute,
    Does::SwapBack,
    Does::Trace,
    Does::Remove,
    Does::Fit,
    Does::Loosen,
    Does::Tighten,
    Does::Unplug,
    Does::Plug,
    Does::Move,
    Does::Assist,
    Does::Hold,
    Does::Repair,
];

/// Verbs that nothing is given: what they would mean behind `give` is something else.
const NOT_GIVEN: [Does; 5] = [
    Does::Go,
    Does::Set,
    Does::GiveUp,
    Does::HandOver,
    Does::Pause,
];

impl Language<'_> {
    /// The words from `at` on with what a part belongs to put before it, in each way that it may have been meant. None where
    /// nothing is told so.
    pub(super) fn turned<'t>(&self, words: &Words<'t>, at: usize) -> Vec<Words<'t>> {
        let (from, to) = trimmed(words.list(), at);
        if to > from + WORDS_MAX {
            return Vec::new();
        }
        let joining = |n: &usize| JOINING.contains(&words.text(*n));
        let side = |n: usize| SIDES.contains(&words.text(n));
        let (end, begin) = match (from + 1..to).rev().find(joining) {
            Some(n) => {
                let small = (n..to).take_while(|n| joining(n) || is_filler(words.text(*n)));
                (n, n + small.count())
            }
            None if to > from + 1 && side(to - 1) => (to - 1, to - 1),
            None => return Vec::new(),
        };
        let whole = words.until(to);
        let named = begin < to
            && (begin + 1 == to && side(begin)
                || self.components.whole(whole.list(), begin, |_| true) != Named::None);
        if !named {
            return Vec::new();
        }
        // Behind other words for the part first: `bad earth at motor` is a bad motor earth.
        let places = (from..end).rev();
        places
            .map(|place| words.picked((0..place).chain(begin..to).chain(place..end)))
            .collect()
    }

    /// Reads what follows a verb the other way round, where it could not be read as it stands.
    pub(super) fn verb_turned(
        &self,
        words: &Words<'_>,
        (verb, word, at): (&'static Verb, &'static str, usize),
        problem: Problem,
    ) -> Result<Command, Problem> {
        if !OF_ONE_PART.contains(&verb.does) {
            // `get a new switch` begins with no verb of another thing.
            return Err(self.ordered(words, 0).unwrap_or(problem));
        }
        let turned = self.turned(words, at);
        let mut read = turned.iter().map(|words| self.verb(words, verb, word, at));
        read.find_map(Result::ok).ok_or(problem)
    }

    /// `give the motor plug a wiggle` with its verb first; as it stands where nothing of the kind is given.
    pub(super) fn given<'t>(words: Words<'t>) -> Words<'t> {
        let from = (0..words.len())
            .take_while(|n| POLITE.contains(&words.text(*n)))
            .count();
        let last = words.len().saturating_sub(1);
        let article = (from + 1..last)
            .rev()
            .find(|n| ["a", "an", "another", "some"].contains(&words.text(*n)));
        let Some(article) = article.filter(|_| words.text(from) == "give") else {
            return words;
        };
        let me = usize::from(["me", "us"].contains(&words.text(from + 1)));
        let verb_first = words.picked((0..from).chain([last]).chain(from + 1 + me..article));
        let verb = exact_verb(&verb_first, from);
        let known = verb.is_some_and(|(verb, _, _)| !NOT_GIVEN.contains(&verb.does))
            || Self::known_elsewhere(&verb_first, from).is_some();
        if known { verb_first } else { words }
    }
}
