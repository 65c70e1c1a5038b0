//! Names that files and learners use: kebab-case words, checked once at the door.

use std::fmt;

/// A name in kebab-case: lower-case letters and digits in words joined by single hyphens, at most 40
/// characters. Terminal numbers (`53b`) are names too.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name(String);

/// Why a text is not a [`Name`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "a name is lower-case letters and digits, words joined by single hyphens, at most 40 characters"
)]
pub struct NotAName;

impl Name {
    /// Checks and takes a text.
    ///
    /// # Errors
    /// [`NotAName`] when it is empty, too long or has other characters.
    pub fn new(text: &str) -> Result<Self, NotAName> {
        let word_ok = |word: &str| {
            !word.is_empty()
                && word
                    .bytes()
                    .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit())
        };
        if text.len() <= 40 && text.split('-').all(word_ok) {
            Ok(Self(text.to_owned()))
        } else {
            Err(NotAName)
        }
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(&self.0)
    }
}

/// The candidates nearest to `word`, best first, at most three, for "did you mean".
///
/// Near is a Jaro-Winkler likeness over 0.8 (strsim), or the word standing inside the candidate.
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let word = word.to_ascii_lowercase();
    let mut scored: Vec<(f64, &str)> = candidates
        .into_iter()
        .map(|candidate| {
            let likeness = strsim::jaro_winkler(&word, candidate);
            let inside = word.len() >= 3 && candidate.contains(word.as_str());
            (if inside { likeness.max(0.9) } else { likeness }, candidate)
        })
        .filter(|(likeness, _)| *likeness > 0.8)
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    scored.dedup_by(|a, b| a.1 == b.1);
    scored
        .into_iter()
        .take(3)
        .map(|(_, candidate)| candidate)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_kebab_case() {
        for good in ["53b", "motor", "body-front-2"] {
            assert!(Name::new(good).is_ok(), "{good}");
        }
        for bad in [
            "",
            "-",
            "a--b",
            "Motor",
            "a_b",
            "a b",
            "x\u{1b}",
            &"a".repeat(41),
        ] {
            assert_eq!(Name::new(bad), Err(NotAName), "{bad}");
        }
    }

    #[test]
    fn nearest_offers_what_was_meant() {
        assert_eq!(nearest("motr", ["motor", "battery", "pivot"]), ["motor"]);
        assert!(nearest("xyzzy", ["motor", "battery"]).is_empty());
    }
}
