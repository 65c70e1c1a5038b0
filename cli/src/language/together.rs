//! Putting together all that is apart, told at a word: `close everything`, `put everything back`, `reassemble`.

use super::token::Words;
use super::words::is_filler;
use super::{Does, Language, Only};

/// Words for all there is.
const ALL: [&str; 4] = ["everything", "all", "every", "both"];

/// Verbs that say it by themselves.
const WHOLE: [&str; 4] = ["reassemble", "put together", "button up", "close up"];

/// Words that may stand beside these, each with the sort of what is meant, where it says one.
const BESIDE: [(&str, Option<Does>); 19] = [
    ("cover", Some(Does::Fit)),
    ("covers", Some(Does::Fit)),
    ("panels", Some(Does::Fit)),
    ("lids", Some(Does::Fit)),
    ("connectors", Some(Does::Plug)),
    ("plugs", Some(Does::Plug)),
    ("nuts", Some(Does::Tighten)),
    ("links", Some(Does::Tighten)),
    ("it", None),
    ("them", None),
    ("that", None),
    ("is", None),
    ("off", None),
    ("apart", None),
    ("up", None),
    ("back", None),
    ("again", None),
    ("together", None),
    ("in", None),
];

impl Language<'_> {
    /// All of a sort, or of every sort, where the words from `at` on name nothing else.
    pub(super) fn together(words: &Words<'_>, at: usize, does: Does, word: &str) -> Option<Only> {
        if ![Does::Fit, Does::Tighten, Does::Plug].contains(&does) {
            return None;
        }
        let beside = |n: usize| BESIDE.iter().find(|(known, _)| *known == words.text(n));
        let all = |n: usize| ALL.contains(&words.text(n));
        let known = |n: usize| all(n) || is_filler(words.text(n)) || beside(n).is_some();
        let rest = at..words.len();
        let told = WHOLE.contains(&word) || rest.clone().any(all);
        if !told || !rest.clone().all(known) {
            return None;
        }
        let named = rest.clone().find_map(|n| beside(n)?.1);
        let by_verb = match does {
            Does::Fit if ["close", "close up", "shut"].contains(&word) => Some(Does::Fit),
            Does::Fit => None,
            does => Some(does),
        };
        Some(Only::Together(named.or(by_verb)))
    }
}
