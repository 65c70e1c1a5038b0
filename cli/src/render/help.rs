//! The help inside an attempt, from the language's own table of verbs.

use groundside_engine::vehicle::Vehicle;

use super::data;
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
        "Points are a component and its terminal: `motor 53`, `bat+`; more in `help points`. Words may be \
         cut to three letters. In the book: `data symptoms` and `data failures`, the words for the hand-over; \
         `data repairs`, what cures what; `data meter`, how far a reading is right.",
    );
    page
}

/// How points are named.
pub(crate) fn points(vehicle: &Vehicle) -> Page {
    let mut page = Page::of(
        Tone::Strong,
        "A point is a component and one of its terminals",
    );
    let rows = [
        (
            "motor 53, motor.53",
            "a terminal; its name is never cut, the component's may be",
        ),
        (
            "volts motor 53 31",
            "a second terminal of the same component may stand alone",
        ),
        (
            "motor-plug 53",
            "the loom's side of a plug's pin; also `harness motor 53`",
        ),
        ("front-ground", "what has one terminal needs no name for it"),
        (
            "bat+, battery neg",
            "the battery's clamps; `ground`, `earth`: its negative",
        ),
        ("body, chassis", "bare body metal"),
        ("case", "the motor's case, which is its terminal 31"),
    ];
    let rows = rows.map(|(point, what)| vec![point.to_owned(), what.to_owned()]);
    page.extend(data::table(&rows));
    page.add(
        Tone::Strong,
        "Terminals here; what they stand for is in `data terminals`",
    );
    for component in &vehicle.components {
        let names: Vec<&str> = component
            .terminals
            .iter()
            .map(|terminal| terminal.name.as_str())
            .collect();
        if !names.is_empty() {
            page.hanging(
                Tone::Plain,
                format!("  {}: {}", component.id, names.join(", ")),
                "    ",
            );
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{VEHICLES, vehicle};
    use crate::style::WIDTH;

    #[test]
    fn help_names_where_words_and_accuracy_are_told() {
        let text = all().text().replace('\n', " ");
        for named in [
            "help points",
            "data symptoms",
            "data failures",
            "data repairs",
            "data meter",
        ] {
            assert!(text.contains(named), "{named}: {text}");
        }
    }

    #[test]
    fn points_are_told_with_every_terminal() {
        for (id, _) in VEHICLES {
            let vehicle = vehicle(id).unwrap().vehicle;
            let page = points(&vehicle);
            assert!(page.0.iter().all(|line| line.text.chars().count() <= WIDTH));
            assert!(page.text().contains("motor: "), "{}", page.text());
        }
    }
}
