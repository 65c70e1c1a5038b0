//! A typed line cut into words, each with its place, so that a problem can point at it.

use std::ops::Range;

/// Longest line read, characters.
pub const LINE_MAX: usize = 2000;

/// A word: lower case, and where it stood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Word {
    /// The word in lower case.
    pub(super) text: String,
    /// Where it stands in the line, bytes.
    pub(super) span: Range<usize>,
}

/// One command of a line as words.
#[derive(Clone, Debug)]
pub(super) struct Words<'t> {
    line: &'t str,
    span: Range<usize>,
    list: Vec<Word>,
}

impl<'t> Words<'t> {
    /// The words of `line[span]`; `span` lies on character boundaries.
    pub(super) fn new(line: &'t str, span: Range<usize>) -> Self {
        let mut list = Vec::new();
        let text = &line[span.clone()];
        let mut start = None;
        for (at, c) in text.char_indices() {
            if separates(c) {
                if let Some(start) = start.take() {
                    cut_chunk(&text[start..at], span.start + start, &mut list);
                }
            } else if start.is_none() {
                start = Some(at);
            }
        }
        if let Some(start) = start {
            cut_chunk(&text[start..], span.start + start, &mut list);
        }
        Self { line, span, list }
    }

    /// The words before `end`, at their places in the line.
    pub(super) fn until(&self, end: usize) -> Self {
        let mut cut = self.clone();
        cut.list.truncate(end);
        cut
    }

    /// The words with the one at `from` moved to before the one at `to`, which comes before it. What they were
    /// typed as stays where it was.
    pub(super) fn moved(&self, from: usize, to: usize) -> Self {
        let mut moved = self.clone();
        let word = moved.list.remove(from);
        moved.list.insert(to, word);
        moved
    }

    /// The command cut at commas and at `and`, pieces of blanks left out.
    pub(super) fn parts(&self) -> Vec<Self> {
        let mut cuts = vec![];
        for (at, _) in self.line[self.span.clone()].match_indices(',') {
            cuts.push((self.span.start + at, self.span.start + at + 1));
        }
        let and = self.list.iter().filter(|word| word.text == "and");
        cuts.extend(and.map(|word| (word.span.start, word.span.end)));
        cuts.sort_unstable();
        cuts.push((self.span.end, self.span.end));
        let mut from = self.span.start;
        let mut parts = Vec::new();
        for (end, next) in cuts {
            parts.push(Self::new(self.line, from..end.max(from)));
            from = next;
        }
        parts.retain(|part| !part.is_empty());
        parts
    }

    /// The words at these places, in this order. What they were typed as stays where it was.
    pub(super) fn picked(&self, places: impl Iterator<Item = usize>) -> Self {
        let mut picked = self.clone();
        picked.list = places.filter_map(|n| self.list.get(n).cloned()).collect();
        picked
    }

    /// The words without those from `at` on that are passed over.
    pub(super) fn without(&self, at: usize, over: impl Fn(&str) -> bool) -> Self {
        let count = (at..self.len()).take_while(|n| over(self.text(*n))).count();
        let mut left = self.clone();
        left.list.drain(at..at + count);
        left
    }

    /// The words without those from `at` on that are listed; a lead named by its colour goes with it.
    pub(super) fn sifted(&self, at: usize, over: &[&str]) -> Self {
        let mut left = self.clone();
        left.list.clear();
        for (n, word) in self.list.iter().enumerate() {
            let lead =
                word.text == "lead" && n > at && ["red", "black"].contains(&self.text(n - 1));
            if n < at || !(lead || over.contains(&word.text.as_str())) {
                left.list.push(word.clone());
            }
        }
        left
    }

    /// The words without some of them.
    pub(super) fn cut(&self, words: Range<usize>) -> Self {
        let mut left = self.clone();
        left.list.drain(words);
        left
    }

    /// The words of a whole text.
    pub(super) fn of(line: &'t str) -> Self {
        Self::new(line, 0..line.len())
    }

    /// The words.
    pub(super) fn list(&self) -> &[Word] {
        &self.list
    }

    /// Number of words.
    pub(super) fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there is none.
    pub(super) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// A word's text; empty beyond the last, so that looking ahead needs no check.
    pub(super) fn text(&self, at: usize) -> &str {
        self.list.get(at).map_or("", |word| word.text.as_str())
    }

    /// Whether these words stand at `at`.
    pub(super) fn have(&self, at: usize, words: &[&str]) -> bool {
        words
            .iter()
            .enumerate()
            .all(|(n, word)| self.text(at + n) == *word)
    }

    /// Column of a word in the line, characters from 1; beyond the last, the column after it.
    pub(super) fn column(&self, at: usize) -> usize {
        let byte = match self.list.get(at) {
            Some(word) => word.span.start,
            None => self.list.last().map_or(self.span.start, |w| w.span.end),
        };
        self.line[..byte].chars().count() + 1
    }

    /// What was typed for some words, cleaned.
    pub(super) fn whole(&self, words: Range<usize>) -> String {
        clean(&self.line[self.bytes(words)])
    }

    /// What was typed for some words, cleaned and cut for a message.
    pub(super) fn typed(&self, words: Range<usize>) -> String {
        let mut text = self.whole(words);
        if text.chars().count() > 40 {
            text = text.chars().take(39).collect::<String>() + "…";
        }
        text
    }

    /// The command with some words replaced, to be offered instead.
    pub(super) fn with(&self, words: Range<usize>, replacement: &str) -> String {
        let bytes = self.bytes(words);
        let before = clean(&self.line[self.span.start..bytes.start]);
        let after = clean(&self.line[bytes.end..self.span.end]);
        let mut text = before;
        for part in [replacement, after.as_str()] {
            if !text.is_empty() && !part.is_empty() {
                text.push(' ');
            }
            text.push_str(part);
        }
        text
    }

    /// The text behind a word up to the end of the command, cleaned.
    pub(super) fn text_after(&self, at: usize) -> String {
        let from = self.list.get(at).map_or(self.span.end, |w| w.span.end);
        let text = &self.line[from..self.span.end];
        clean(text.strip_prefix(':').unwrap_or(text))
    }

    fn bytes(&self, words: Range<usize>) -> Range<usize> {
        let end = self.list.last().map_or(self.span.start, |w| w.span.end);
        let from = self.list.get(words.start).map_or(end, |w| w.span.start);
        let to = match words.end.checked_sub(1).and_then(|n| self.list.get(n)) {
            Some(last) if words.end > words.start => last.span.end,
            _ if words.end > words.start => end,
            _ => from,
        };
        from..to.max(from)
    }
}

/// Whether a character is never shown: it could move the cursor or turn text around.
fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// Text without characters that are never shown, and without blanks around it.
pub(super) fn clean(text: &str) -> String {
    let seen: String = text
        .chars()
        .map(|c| if c == '\t' { ' ' } else { c })
        .filter(|c| !is_unseen(*c))
        .collect();
    seen.trim().to_owned()
}

fn separates(c: char) -> bool {
    c.is_whitespace()
        || is_unseen(c)
        || matches!(c, ',' | ':' | ';' | '(' | ')' | '"' | '`' | '_' | '/' | '=')
}

const fn is_dash(c: char) -> bool {
    matches!(c, '-' | '\u{2010}'..='\u{2014}' | '\u{2212}')
}

/// Whether a piece is a number, perhaps signed, perhaps with a unit on it (`20s`, `2.5min`, `53b`).
fn is_number(piece: &str) -> bool {
    let unsigned = piece.strip_prefix(is_dash).unwrap_or(piece);
    let digits = unsigned.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let mut parts = digits.split('.');
    let ok = |part: Option<&str>| {
        part.is_some_and(|p| !p.is_empty() && p.bytes().all(|b| b.is_ascii_digit()))
    };
    let whole = ok(parts.next());
    let fraction = parts.next();
    whole && (fraction.is_none() || ok(fraction)) && parts.next().is_none()
}

/// Cuts a piece without blanks into words: at dots and hyphens, with a trailing sign as a word of its
/// own (`bat+`, `bat-`).
fn cut_chunk(chunk: &str, offset: usize, list: &mut Vec<Word>) {
    let mut push = |range: Range<usize>| {
        let text: String = chunk[range.clone()]
            .chars()
            .filter(|c| !matches!(c, '\'' | '\u{2019}'))
            .flat_map(char::to_lowercase)
            .map(|c| if is_dash(c) { '-' } else { c })
            .collect();
        if !text.is_empty() {
            list.push(Word {
                text,
                span: offset + range.start..offset + range.end,
            });
        }
    };
    let body = match chunk {
        "?" | "!!" => chunk,
        _ => chunk.trim_end_matches(['.', '?', '!']),
    };
    if is_number(body) || matches!(body, "?" | "!!") || (body.chars().count() == 1) {
        return push(0..body.len());
    }
    let sign = match body.chars().next_back() {
        Some(c) if c == '+' || is_dash(c) => body.len() - c.len_utf8(),
        _ => body.len(),
    };
    let mut from = 0;
    for (at, c) in body[..sign].char_indices() {
        if is_dash(c) || matches!(c, '.' | '+' | '?' | '!') {
            push(from..at);
            from = at + c.len_utf8();
        }
    }
    push(from..sign);
    push(sign..body.len());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_is_cut_at_commas_and_at_and() {
        let parts = |text| {
            let whole = Words::of(text);
            let texts = |part: &Words<'_>| part.list().iter().map(|w| w.text.clone()).collect();
            whole
                .parts()
                .iter()
                .map(texts)
                .collect::<Vec<Vec<String>>>()
        };
        let expected: Vec<Vec<String>> = vec![vec!["key".into(), "on".into()], vec!["low".into()]];
        for text in [
            "key on, low",
            "key on and low",
            "key on,and low,",
            ", key on ,, low",
        ] {
            assert_eq!(parts(text), expected, "{text}");
        }
    }

    fn words(text: &str) -> Vec<String> {
        let words = Words::of(text);
        words.list().iter().map(|word| word.text.clone()).collect()
    }

    #[test]
    fn lines_are_cut_into_words() {
        for (line, expected) in [
            ("Volts motor.53 to bat-", "volts motor 53 to bat -"),
            ("drop bat+,bulkhead.30-cab", "drop bat + bulkhead 30 cab"),
            ("bat + bat -", "bat + bat -"),
            ("wait 2.5min. wait -5", "wait 2.5min wait -5"),
            ("motor 53b.", "motor 53b"),
            ("it won't park!", "it wont park"),
            ("?", "?"),
            ("!!", "!!"),
            ("motor\u{2212}plug bat\u{2212}", "motor plug bat -"),
            ("\u{1b}[31mlook\u{202e}", "[31mlook"),
            ("-- . .. +", "- +"),
        ] {
            assert_eq!(words(line).join(" "), expected, "{line:?}");
        }
    }

    #[test]
    fn columns_count_characters() {
        let words = Words::of("öö  Ωé motor");
        assert_eq!(
            (words.column(1), words.column(2), words.column(9)),
            (5, 8, 13)
        );
    }

    #[test]
    fn words_can_be_replaced_in_the_text() {
        let words = Words::of("volts  motr 53 ");
        assert_eq!(words.with(1..2, "motor"), "volts motor 53");
        assert_eq!(words.with(3..3, "x"), "volts  motr 53 x");
        assert_eq!(words.with(0..9, "x"), "x");
    }
}
