//! Attempts as a learner sees them: each file of `tests/attempts` is one story, its first line the
//! arguments, the rest what is typed (lines that begin with `#` are remarks to the reader). The whole
//! screen is kept as a snapshot, so that any change of wording, reading or mark is seen and blessed.

use std::ffi::OsString;
use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use groundside::{Exit, Host, Io, run};
use groundside_engine::marking::weights;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("attempts")
}

/// Runs the program on arguments and typed lines: how it ended, and both streams, output first.
pub(crate) fn screen(arguments: &str, typed: &str) -> (Exit, String) {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let arguments = std::iter::once("groundside")
        .chain(arguments.split_whitespace())
        .map(OsString::from);
    let exit = run(
        arguments,
        &mut Io {
            input: Box::new(Cursor::new(typed.as_bytes().to_vec())),
            output: Box::new(&mut output),
            errors: Box::new(&mut errors),
            host: Host::default(),
        },
    );
    let text = [output, errors].concat();
    (exit, String::from_utf8(text).unwrap())
}

/// The arguments and the typed lines of a story.
pub(crate) fn story(name: &str) -> (String, String) {
    let text = fs::read_to_string(folder().join(name)).unwrap();
    let (arguments, rest) = text.split_once('\n').unwrap();
    let typed = rest
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| format!("{line}\n"))
        .collect();
    (arguments.to_owned(), typed)
}

pub(crate) fn stories() -> Vec<String> {
    let entries = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = entries.filter(|name| name.ends_with(".txt")).collect();
    names.sort();
    names
}

/// Whether a story is long to mark: of another vehicle than the van, of what comes and goes, or of a family that
/// `families.rs` holds by figures.
fn long(name: &str) -> bool {
    let kinds = [
        "bus-",
        "rheostat-",
        "relay-",
        "saloon-",
        "intermittent-",
        "family-",
        "motor-",
    ];
    kinds.iter().any(|kind| name.starts_with(kind))
}

#[test]
fn stories_on_screen() {
    let mut names = stories();
    names.retain(|name| !long(name));
    assert!(names.len() >= 6);
    on_screen(names);
}

#[test]
#[ignore = "takes minutes: .ci/slow runs it"]
fn long_stories_on_screen() {
    let mut names = stories();
    names.retain(|name| long(name));
    assert!(names.len() >= 18);
    on_screen(names);
}

fn on_screen(names: Vec<String>) {
    for name in names {
        let (arguments, typed) = story(&name);
        let (exit, text) = screen(&arguments, &typed);
        assert_eq!(exit, Exit::Done, "{name}: {text}");
        // What was typed is repeated as it was, however long.
        for line in text.lines().filter(|line| !line.starts_with("> ")) {
            assert!(
                line.chars().count() <= 80,
                "{name}: over 80 columns: {line}"
            );
        }
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_suffix(name.trim_end_matches(".txt"));
        settings.set_omit_expression(true);
        settings.bind(|| insta::assert_snapshot!("screen", text));
    }
}

#[test]
fn replies_are_at_most_four_lines() {
    for name in stories() {
        let (arguments, typed) = story(&name);
        // What is asked for on paper and what comes at the end may be longer.
        let typed: String = typed
            .lines()
            .filter(|line| !line.contains("hand over") && !line.contains("give up"))
            // A page of the book is as long as it is.
            .filter(|line| !line.starts_with("data"))
            .flat_map(|line| line.split(';'))
            .map(|command| format!("{}\n", command.trim()))
            // Nothing is marked here.
            .chain(["pause\n".to_owned()])
            .collect();
        let (_, text) = screen(&arguments, &typed);
        let played = text.split("\n> ").skip(1);
        for reply in played.filter(|reply| !reply.contains("The script ends")) {
            // The first line repeats what was typed; a question and its answer come before the reply.
            let lines = reply
                .lines()
                .skip(1)
                // What is told once to bear in mind, like a caution, is beside the count.
                .take_while(|line| !line.starts_with("Bear in mind"))
                .filter(|line| !line.is_empty() && !line.contains("go on?"))
                // A drawing below them is beside the count.
                .filter(|line| !line.contains(" |"));
            let lines: Vec<&str> = lines.collect();
            assert!(lines.len() <= 4, "{name}: {lines:?}");
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_screen_and_another_seed_another_vehicle() {
    // Left open: nothing is marked.
    let typed = "key on; low; look; high; look; ammeter\npause\n";
    let first = screen("practice --seed 11", typed);
    assert_eq!(first, screen("practice --seed 11", typed));
    let others = (12..15)
        .filter(|seed| screen(&format!("practice --seed {seed}"), typed).1 != first.1)
        .count();
    assert_eq!(others, 3);
}

#[test]
fn a_hazard_is_cautioned_and_stepping_back_costs_nothing() {
    let typed = "key on; low\nloosen crank nut\nn\nwhere\npause\n";
    let (_, text) = screen("practice --seed 7", typed);
    let caution = text
        .split("> loosen crank nut\n")
        .nth(1)
        .unwrap()
        .split("> where\n")
        .next()
        .unwrap();
    assert!(caution.starts_with("CAUTION"), "{caution}");
    assert!(!caution.contains("is undone"), "{caution}");
    // Two controls at 0.1 min each, and nothing for what was not done.
    assert!(
        text.split("> where\n").nth(1).unwrap().contains("0.2"),
        "{text}"
    );
    let (_, done) = screen("practice --seed 7", &typed.replace("\nn\n", "\ny\n"));
    assert!(done.contains("Crank-nut is undone."), "{done}");
}

fn readme() -> String {
    let root = folder().parent().unwrap().parent().unwrap().to_owned();
    fs::read_to_string(root.join("README.md")).unwrap()
}

/// The text of a section of the README, without what is set as code.
fn section(title: &str) -> String {
    let readme = readme();
    let section = readme.split("\n## ").find(|part| part.starts_with(title));
    let section = section.unwrap().split_once('\n').unwrap().1;
    let prose = section.split("```").step_by(2).collect::<String>();
    prose.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The figures of a text: words that begin with a digit.
fn figures(text: &str) -> Vec<String> {
    let words = text.split_whitespace();
    let figure = |word: &str| word.trim_matches(|c: char| !c.is_ascii_digit()).to_owned();
    words.map(figure).filter(|word| !word.is_empty()).collect()
}

#[test]
fn the_readme_gives_the_weights_of_the_mark() {
    let told = section("How it is marked");
    let percent = |share: f64| format!("{:.0}", 100.0 * share);
    assert!((weights::TIME - 0.5).abs() < 1e-12 && told.contains("half for time"));
    let held = [
        ("Out of", "100".to_owned(), ":"),
        ("", percent(weights::ORDER), " for order"),
        ("", percent(weights::CORRECTNESS), " for correctness"),
        (
            "once and for",
            format!("{:.0}", weights::CONFIRM_FREE_MIN),
            " min",
        ),
        ("held to", format!("{:.0}", weights::UNCURED_CAP), ","),
        (
            "less that repair, with",
            format!("{:.0}", weights::PAR_CONSTANT_MIN),
            " min added: a tenth of that",
        ),
    ];
    for (before, figure, after) in &held {
        let words = format!("{before} {figure}{after}");
        assert!(told.contains(words.trim()), "{words}: {told}");
    }
    assert!((weights::PAR_SLACK - 0.1).abs() < 1e-12);
    // And no figure that is not held here.
    let all = held.map(|(_, figure, _)| figure);
    assert_eq!(figures(&told), all, "{told}");
}

#[test]
fn the_readme_shows_a_real_attempt() {
    let readme = readme();
    let block = readme
        .split("```console\n")
        .nth(1)
        .and_then(|rest| rest.split("\n```").next())
        .unwrap();
    let (command, shown) = block.split_once('\n').unwrap();
    let arguments = command.strip_prefix("$ cargo run --release -- ").unwrap();
    let typed: String = shown
        .lines()
        .filter_map(|line| line.strip_prefix("> "))
        .map(|line| format!("{line}\n"))
        .collect();
    let (exit, text) = screen(arguments, &typed);
    assert_eq!(exit, Exit::Done);
    // The page shows the beginning and leaves out the rest with a line of dots.
    let mut rest = text.as_str();
    for part in shown.trim_end_matches("\n...").split("\n...\n") {
        let found = rest
            .find(part.trim_end())
            .unwrap_or_else(|| panic!("the README shows what is not so:\n{part}\n--\n{text}"));
        rest = &rest[found + part.trim_end().len()..];
    }
    // The mark and what cost most are shown too, and what is said of the attempt below it names figures of the screen.
    for words in ["\nTotal ", "\nWhat cost most"] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    let prose = section("A short real attempt");
    let said = figures(&prose);
    assert!(!said.is_empty(), "{prose}");
    let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for figure in said {
        let at = prose.find(&figure).unwrap();
        let with_unit: String = prose[at..].chars().take(figure.len() + 2).collect();
        assert!(squeezed.contains(&with_unit), "{with_unit}: {prose}");
    }
}
