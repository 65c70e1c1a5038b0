//! The command that goes on with an attempt, so that it works as it is typed.

use crate::args::Practice;
use crate::files::SCENARIOS;

/// Everything of the command but the record's path: the program as it was called, and what the record
/// does not hold.
pub(crate) fn command(program: &str, options: &Practice) -> String {
    let program = if program.is_empty() {
        "groundside"
    } else {
        program
    };
    let mut words = vec![quoted(program), "practice".to_owned()];
    let shipped = |word: &str| SCENARIOS.iter().any(|(id, _)| *id == word);
    words.extend(
        options
            .scenario
            .as_deref()
            .filter(|word| !shipped(word))
            .map(quoted),
    );
    if let Some(vehicle) = &options.vehicle {
        words.push("--vehicle".to_owned());
        words.push(quoted(&vehicle.display().to_string()));
    }
    if options.plain {
        words.push("--plain".to_owned());
    }
    words.push("--resume".to_owned());
    words.join(" ")
}

/// A word as a shell takes it for one word.
pub(crate) fn quoted(word: &str) -> String {
    let plain = |c: char| {
        c.is_alphanumeric()
            || matches!(c, '/' | '.' | '-' | '_' | '+' | ':' | '@' | ',' | '=' | '%')
            || (cfg!(windows) && c == '\\')
    };
    // What begins with a hyphen would be taken for an option.
    let word = if word.starts_with('-') {
        format!("./{word}")
    } else {
        word.to_owned()
    };
    if !word.is_empty() && word.chars().all(plain) {
        word
    } else if cfg!(windows) {
        format!("\"{word}\"")
    } else {
        format!("'{}'", word.replace('\'', "'\\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_is_the_one_that_was_typed() {
        let mut options = Practice::default();
        let program = "target/release/groundside";
        assert_eq!(
            command(program, &options),
            "target/release/groundside practice --resume"
        );
        options.scenario = Some("rain-on-the-quay".to_owned());
        assert_eq!(command("", &options), "groundside practice --resume");
        options.scenario = Some("my own.toml".to_owned());
        options.vehicle = Some("van.toml".into());
        assert_eq!(
            command(program, &options),
            "target/release/groundside practice 'my own.toml' --vehicle van.toml --resume"
        );
    }

    #[cfg(not(windows))]
    #[test]
    fn words_are_quoted_for_a_shell() {
        for (word, expected) in [
            ("/tmp/a-1.jsonl", "/tmp/a-1.jsonl"),
            ("/my work/it's", "'/my work/it'\\''s'"),
            ("~x", "'~x'"),
            ("-x", "./-x"),
            ("", "''"),
        ] {
            assert_eq!(quoted(word), expected);
        }
    }
}
