//! Finding things by name: whole, abbreviated, or by some of its words.

use super::token::Word;
use super::words::is_filler;

/// Fewest letters of an abbreviation.
pub(super) const SHORTEST: usize = 3;

/// How well typed words fit a name; less is better, and any two of the same rank are as good.
pub(super) type Rank = u32;

/// The id, word for word.
pub(super) const EXACT: Rank = 0;
/// The title, or another name, word for word.
pub(super) const OTHER_NAME: Rank = 1;
/// Each word of the name, some abbreviated; or some of its words, word for word.
const SHORTENED: Rank = 2;
/// Some words of the name in their order, some abbreviated.
const PARTIAL: Rank = 3;
/// Some words of a name that is made of other things' names.
const MENTIONED: Rank = 4;

/// Names of things of one sort.
#[derive(Clone, Debug)]
pub(super) struct Lexicon<T> {
    entries: Vec<Entry<T>>,
    longest: usize,
}

/// A name.
#[derive(Clone, Debug)]
struct Entry<T> {
    item: T,
    words: Vec<String>,
    /// Rank of all its words.
    exact: Rank,
    /// Rank of some of its words; `None` for a name that counts only whole.
    partial: Option<Rank>,
}

/// Something whose name begins at a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Found<T> {
    /// The thing.
    pub(super) item: T,
    /// The word after its name.
    pub(super) next: usize,
    /// How well it fits.
    pub(super) rank: Rank,
}

/// What a stretch of words names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Named<T> {
    /// Nothing.
    None,
    /// One thing.
    One(T),
    /// Several alike.
    Several(Vec<T>),
}

impl<T: Copy + PartialEq> Lexicon<T> {
    pub(super) const fn new() -> Self {
        Self {
            entries: Vec::new(),
            longest: 0,
        }
    }

    /// Adds a thing under its id.
    pub(super) fn add(&mut self, item: T, id: &str) {
        self.insert(item, split(id), EXACT, Some(PARTIAL));
    }

    /// Adds another name of a thing.
    pub(super) fn add_other(&mut self, item: T, name: &str) {
        self.insert(item, split(name), OTHER_NAME, Some(PARTIAL));
        self.insert(item, whole_words(name), OTHER_NAME, None);
    }

    /// Adds another name of a thing that counts only whole.
    pub(super) fn add_whole(&mut self, item: T, name: &str) {
        self.insert(item, whole_words(name), OTHER_NAME, None);
    }

    /// Adds another name of a thing that mentions others, as `ground point behind the switch panel` does. Some of
    /// its words are sooner meant for the things mentioned.
    pub(super) fn add_mentioning(&mut self, item: T, name: &str) {
        self.insert(item, split(name), OTHER_NAME, Some(MENTIONED));
        self.insert(item, whole_words(name), OTHER_NAME, None);
    }

    /// Adds a thing under an id and a title that mention what it runs between, as a wire's do. Some of
    /// their words are sooner meant for the things mentioned.
    pub(super) fn add_between(&mut self, item: T, id: &str, title: &str) {
        self.insert(item, split(id), EXACT, Some(MENTIONED));
        self.add_mentioning(item, title);
    }

    fn insert(&mut self, item: T, words: Vec<String>, exact: Rank, partial: Option<Rank>) {
        if !words.is_empty() {
            self.longest = self.longest.max(words.len());
            self.entries.push(Entry {
                item,
                words,
                exact,
                partial,
            });
        }
    }

    /// Everything whose name begins at `at`, each for each length of name typed. Of the same words only
    /// the best readings count: `motor` is the motor and never short for its plug.
    pub(super) fn at(&self, words: &[Word], at: usize) -> Vec<Found<T>> {
        let mut found: Vec<Found<T>> = Vec::new();
        for used in 1..=self.longest.min(words.len().saturating_sub(at)) {
            let typed = &words[at..at + used];
            for entry in &self.entries {
                let Some(rank) = fit(typed, entry) else {
                    continue;
                };
                let (item, next) = (entry.item, at + used);
                match found.iter_mut().find(|f| f.item == item && f.next == next) {
                    Some(known) => known.rank = known.rank.min(rank),
                    None => found.push(Found { item, next, rank }),
                }
            }
        }
        let best = |next: usize| {
            found
                .iter()
                .filter(|f| f.next == next)
                .map(|f| f.rank)
                .min()
        };
        let best: Vec<Option<Rank>> = (at..=at + self.longest).map(best).collect();
        found.retain(|f| best.get(f.next - at).copied().flatten() == Some(f.rank));
        found
    }

    /// What all words from `at` on name, small words around them passed over.
    pub(super) fn whole(&self, words: &[Word], at: usize, allow: impl Fn(T) -> bool) -> Named<T> {
        let (from, to) = trimmed(words, at);
        let mut best = Best::new();
        for start in [at, from] {
            for end in [words.len(), to] {
                if start >= end {
                    continue;
                }
                for found in self.at(&words[..end], start) {
                    if found.next == end && allow(found.item) {
                        best.offer(found.item, found.rank);
                    }
                }
            }
        }
        best.named()
    }
}

/// The likeliest of several readings: what fits best, by most words.
pub(super) fn likeliest<T>(found: impl IntoIterator<Item = Found<T>>) -> Option<Found<T>> {
    found
        .into_iter()
        .min_by_key(|f| (f.rank, std::cmp::Reverse(f.next)))
}

/// First and end of the words from `at` on without the small words around them.
pub(super) fn trimmed(words: &[Word], at: usize) -> (usize, usize) {
    let at = at.min(words.len());
    let small = |word: &&Word| is_filler(&word.text);
    let from = at + words[at..].iter().take_while(small).count();
    let to = words.len() - words[from..].iter().rev().take_while(small).count();
    (from, to)
}

/// Keeps what fits best.
#[derive(Clone, Debug)]
pub(super) struct Best<T> {
    rank: Rank,
    items: Vec<T>,
}

impl<T: PartialEq> Best<T> {
    pub(super) const fn new() -> Self {
        Self {
            rank: Rank::MAX,
            items: Vec::new(),
        }
    }

    pub(super) fn offer(&mut self, item: T, rank: Rank) {
        if rank < self.rank {
            self.rank = rank;
            self.items.clear();
        }
        if rank == self.rank && !self.items.contains(&item) {
            self.items.push(item);
        }
    }

    /// Whether nothing was offered that fits better than this or as well.
    pub(super) const fn is_worse_than(&self, rank: Rank) -> bool {
        self.rank > rank
    }

    pub(super) fn named(mut self) -> Named<T> {
        match self.items.len() {
            0 => Named::None,
            1 => self.items.pop().map_or(Named::None, Named::One),
            _ => Named::Several(self.items),
        }
    }
}

/// The words of a name, small ones left out.
pub(super) fn split(name: &str) -> Vec<String> {
    let mut words = whole_words(name);
    words.retain(|word| !is_filler(word));
    words
}

/// All words of a name.
fn whole_words(name: &str) -> Vec<String> {
    let words = name.split(|c: char| !c.is_alphanumeric());
    words
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// Whether a typed word is this word, or short for it. What has a digit in it is a number of a
/// terminal or wire and never abbreviated: 53 is not short for 53b.
pub(super) fn is_word(typed: &str, word: &str) -> bool {
    alike_at_first(typed, word)
        && (typed == word || is_short_for(typed, word) || is_plural(typed, word))
}

/// Whether a typed word is this word with an s behind it: `relays`, `pivots`.
fn is_plural(typed: &str, word: &str) -> bool {
    word.len() >= SHORTEST && !has_digit(word) && typed.strip_suffix('s') == Some(word)
}

/// Whether two words begin alike. Most do not, and every typed word is held against every word there is.
fn alike_at_first(typed: &str, word: &str) -> bool {
    typed.as_bytes().first() == word.as_bytes().first()
}

pub(super) fn is_short_for(typed: &str, word: &str) -> bool {
    alike_at_first(typed, word)
        && word.starts_with(typed)
        && typed.chars().nth(SHORTEST - 1).is_some()
        && !has_digit(word)
}

/// Whether a word has a digit in it.
pub(super) fn has_digit(word: &str) -> bool {
    word.bytes().any(|b| b.is_ascii_digit())
}

fn fit<T>(typed: &[Word], entry: &Entry<T>) -> Option<Rank> {
    let name = &entry.words;
    if typed.len() == name.len() {
        if typed.iter().zip(name).all(|(t, n)| t.text == *n) {
            return Some(entry.exact);
        }
        if entry.partial.is_some() && typed.iter().zip(name).all(|(t, n)| is_word(&t.text, n)) {
            return Some(SHORTENED);
        }
    }
    let partial = entry.partial?;
    // Words run together: `motorplug`.
    if typed.len() == 1 && name.len() > 1 && is_run_together(&typed[0].text, name) {
        return Some(SHORTENED);
    }
    // A lone number would be any wire or pin that has it in its name.
    if typed
        .iter()
        .all(|t| t.text.len() < SHORTEST || has_digit(&t.text))
    {
        return None;
    }
    let in_order = |fits: fn(&str, &str) -> bool| {
        let mut rest = name.iter();
        typed.iter().all(|t| rest.any(|n| fits(&t.text, n)))
    };
    if partial == PARTIAL && in_order(|typed, word| typed == word) {
        return Some(SHORTENED);
    }
    in_order(is_word).then_some(partial)
}

/// Whether a typed word is the words of a name without blanks.
fn is_run_together(typed: &str, name: &[String]) -> bool {
    let mut rest = Some(typed);
    for word in name {
        rest = rest.and_then(|rest| rest.strip_prefix(word.as_str()));
    }
    rest == Some("")
}

#[cfg(test)]
mod tests {
    use super::super::token::Words;
    use super::*;

    fn lexicon() -> Lexicon<&'static str> {
        let mut lexicon = Lexicon::new();
        for id in [
            "motor",
            "motor-plug",
            "left-arm",
            "right-arm",
            "wire-53",
            "wire-53b",
        ] {
            lexicon.add(id, id);
        }
        lexicon.add_other("motor", "Wiper motor");
        lexicon
    }

    fn whole(text: &str) -> Named<&'static str> {
        lexicon().whole(Words::of(text).list(), 0, |_| true)
    }

    #[test]
    fn names_are_found_whole_shortened_and_by_some_words() {
        for (typed, expected) in [
            ("motor", "motor"),
            ("the wiper motor please", "motor"),
            ("mot", "motor"),
            ("motor plug", "motor-plug"),
            ("mot plu", "motor-plug"),
            ("plug", "motor-plug"),
            ("motorplug", "motor-plug"),
            ("left", "left-arm"),
            ("wire 53", "wire-53"),
            ("wir 53b", "wire-53b"),
        ] {
            assert_eq!(whole(typed), Named::One(expected), "{typed}");
        }
    }

    #[test]
    fn what_fits_several_alike_is_several() {
        assert_eq!(whole("arm"), Named::Several(vec!["left-arm", "right-arm"]));
        assert_eq!(whole("wire"), Named::Several(vec!["wire-53", "wire-53b"]));
    }

    #[test]
    fn numbers_and_two_letters_are_never_abbreviations() {
        for typed in ["53", "53b", "mo", "wi 53", "wire 5", "", "the"] {
            assert_eq!(whole(typed), Named::None, "{typed}");
        }
    }
}
