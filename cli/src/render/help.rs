//! The help inside an attempt, from the language's own table of verbs.

use crate::language::{Problem, Verb, verbs};
use crate::style::{Page, Tone};

/// All verbs on one page: word, short form, what follows.
pub(crate) fn all() -> Page {
    let longest = |wanted: fn(&Verb) -> &str| {
        verbs()
            .iter()
            .map(|verb| wanted(verb).chars().count())
            .max()
            .unwrap_or(0)
    };
    let (word, short) = (longest(|verb| verb.word), longest(|verb| verb.short));
    let mut page = Page::of(
        Tone::Strong,
        "Commands, short forms. `help drop` tells more of one; `;` puts several on a line.",
    );
    for verb in verbs() {
        let help = first_clause(verb.help);
        let row = format!("{:<word$}  {:<short$}  {help}", verb.word, verb.short);
        page.hanging(Tone::Plain, row, &" ".repeat(word + short + 4));
    }
    page.add(
        Tone::Quiet,
        "Points are a component and its terminal: `motor 53`, `bat+`. Words may be cut to three letters.",
    );
    page
}

/// What stands before the first semicolon: the rest is on the verb's own page.
fn first_clause(help: &str) -> String {
    help.split(';').next().unwrap_or(help).to_owned()
}

/// One verb.
pub(crate) fn verb(verb: &Verb) -> Page {
    let mut page = Page::of(
        Tone::Strong,
        format!("{} {}", verb.word, verb.arguments).trim_end(),
    );
    page.add(Tone::Plain, format!("{}.", verb.help));
    let mut others: Vec<&str> = verb.synonyms.to_vec();
    if !verb.short.is_empty() {
        others.insert(0, verb.short);
    }
    if !others.is_empty() {
        page.add(Tone::Plain, format!("Also: {}.", others.join(", ")));
    }
    page.add(Tone::Quiet, format!("Example: {}", verb.example));
    page
}

/// What is wrong with a line that is no command, and the nearest right ones.
pub(crate) fn misread(problem: &Problem) -> Page {
    let mut page = Page::of(Tone::Refused, &problem.message);
    let offered = problem.suggestions.iter().take(4);
    let offered: Vec<String> = offered.map(|text| format!("`{text}`")).collect();
    if !offered.is_empty() {
        page.hanging(Tone::Plain, format!("Try {}.", offered.join(", ")), "  ");
    }
    page
}
