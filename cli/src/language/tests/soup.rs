//! Properties: no text panics, accepted actions come back from their strict words, suggestions read,
//! and the table of verbs is in order.

use super::*;
use groundside_engine::world::Verdict;

/// A generator for tests alone: Knuth's multiplicative congruence, high bits only.
struct Soup(u64);

impl Soup {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % n
    }

    fn pick<'t>(&mut self, from: &[&'t str]) -> &'t str {
        from[self.below(from.len())]
    }
}

/// What holds of any line.
fn holds(language: &Language<'_>, line: &str, last: Option<&str>) -> bool {
    let read = language.read(line, last);
    match &read {
        Ok(commands) => {
            for command in commands {
                if let Command::Act(action) = command {
                    let words = action.words(language.vehicle);
                    let back = Action::from_words(&words, language.vehicle);
                    assert_eq!(back.as_ref(), Ok(action), "{line:?} as {words:?}");
                    assert!(!words.chars().any(char::is_control), "{line:?}");
                }
            }
        }
        Err(problem) => {
            let length = line.chars().count();
            assert!(
                (1..=length + 1).contains(&problem.column),
                "{line:?}: {problem:?}"
            );
            assert!(problem.message.ends_with(['.', '?']), "{line:?}: {problem}");
            assert!(
                !problem.message.chars().any(char::is_control),
                "{line:?}: {problem:?}"
            );
            for suggestion in &problem.suggestions {
                assert!(
                    language.read(suggestion, last).is_ok(),
                    "{line:?}: {suggestion:?}"
                );
            }
        }
    }
    let _ = language.hint(line);
    for pos in [0, line.len() / 3, line.len() / 2, line.len()] {
        let (start, _) = language.complete(line, pos);
        assert!(
            start <= pos && line.is_char_boundary(start),
            "{line:?} at {pos}"
        );
    }
    read.is_ok()
}

/// Lines of a soup at each change, and before a change to the language is called done.
const SOME: u32 = 1_500;
const MANY: u32 = 30_000;

#[test]
fn word_soup_never_panics_and_actions_come_back() {
    word_soup(SOME);
}

#[test]
fn letter_soup_never_panics() {
    letter_soup(SOME);
}

#[test]
#[ignore = "takes minutes: .ci/slow runs it"]
fn much_soup_never_panics() {
    word_soup(MANY);
    letter_soup(MANY);
}

fn word_soup(lines: u32) {
    with(|language| {
        let mut words: Vec<&str> = Vec::new();
        for verb in verbs() {
            words.extend([verb.word, verb.short]);
            words.extend(verb.synonyms);
        }
        let names: Vec<String> = language.vocabulary.clone();
        words.extend(names.iter().map(String::as_str));
        let terminals: Vec<String> = language
            .vehicle
            .points()
            .map(|p| language.vehicle.point_name(p))
            .collect();
        words.extend(terminals.iter().map(String::as_str));
        words.extend([
            "the", "to", "on", "at", ";", "mid", "20", "s", "min", "-5", "1.5", "+", "-", "bat+",
            "bat-",
        ]);
        words.extend([
            "ground",
            "case",
            "harness",
            "motor",
            "53",
            "53b",
            "31",
            "key",
            "wiper",
            "cause",
            "complaint",
        ]);
        words.extend([
            "ö",
            "ß",
            "\u{1b}[2J",
            "\u{202e}",
            "İ",
            "🚌",
            "\t",
            "\u{0}",
            "'",
            "’",
            "--",
            "..",
            "−",
            "a",
        ]);
        let mut soup = Soup(7);
        let mut read = 0;
        for _ in 0..lines {
            let count = 1 + soup.below(6);
            let mut line = String::new();
            for _ in 0..count {
                line.push_str(soup.pick(&words));
                line.push_str(soup.pick(&[" ", " ", " ", ".", "-", "", ";"]));
            }
            read += usize::from(holds(language, &line, Some("key on; look")));
        }
        assert!(
            read > lines as usize / 20,
            "too thin a soup: {read} lines were read"
        );
    });
}

fn letter_soup(lines: u32) {
    with(|language| {
        let letters = [
            "a", "m", "5", "3", "b", " ", ".", "-", "+", ";", "!", "?", "ö", "İ", "🚌", "\u{1b}",
            "\u{301}", "'", ":", "…",
        ];
        let mut soup = Soup(11);
        for _ in 0..lines {
            let count = soup.below(12);
            let line: String = (0..count).map(|_| soup.pick(&letters)).collect();
            holds(language, &line, None);
        }
        for line in [
            "the ".repeat(500),
            "wiper ".repeat(333),
            "motor 53 ".repeat(222),
            "a;".repeat(1000),
            "-".repeat(2000),
        ] {
            holds(language, &line, Some(&line));
        }
    });
}

#[test]
fn every_point_component_mode_and_repair_can_be_named() {
    for (name, _) in FLEET {
        on(name, named_by_names);
    }
}

/// What of a vehicle has a name is found by it, and every failure by the words of a workshop.
fn named_by_names(language: &Language<'_>) {
    let vehicle = language.vehicle;
    for point in vehicle.points() {
        let name = vehicle.point_name(point);
        assert_eq!(language.read_point(&name), Ok(point), "{name}");
        assert_eq!(
            language.read_point(&name.replace(' ', ".")),
            Ok(point),
            "{name}"
        );
    }
    for id in vehicle.ids() {
        let component = vehicle.component(id);
        assert_eq!(
            language.read_correction(component.id.as_str()),
            Ok(id),
            "{}",
            component.id
        );
        assert_eq!(
            language.read_correction(&component.title),
            Ok(id),
            "{}",
            component.title
        );
        for (way, repair) in component.repairs.iter().enumerate() {
            let line = format!("repair {} {}", component.id, repair.name);
            let expected = Command::Act(Action::Repair { component: id, way });
            assert_eq!(language.read(&line, None), Ok(vec![expected]), "{line}");
        }
    }
    for (component, mode, data) in vehicle.faults() {
        let id = &vehicle.component(component).id;
        for text in [format!("{id}.{}", data.name), format!("{id} {}", data.name)] {
            let verdict = language.read_verdict(&text).map(|v| (v.component, v.mode));
            assert_eq!(verdict, Ok((component, mode)), "{text}");
        }
    }
    for symptom in Symptom::ALL {
        assert_eq!(language.read_symptom(symptom.word()), Ok(symptom));
    }
}

#[test]
fn every_failure_is_reached_by_how_it_is_told() {
    let mut wrong = Vec::new();
    for (name, _) in FLEET {
        on(name, |language| {
            for (component, mode, data) in language.vehicle.faults() {
                let part = language.vehicle.component(component);
                let id = part.id.as_str().replace('-', " ");
                let failure = data.name.as_str().replace('-', " ");
                for text in [
                    format!("conclude {id} {failure}"),
                    format!("conclude {failure} {id}"),
                    format!("conclude the {} is {failure}", part.title),
                    format!("conclude {failure} at the {id}"),
                    format!("the fault is {} {failure}", part.title),
                ] {
                    let meant = Command::Act(Action::Conclude(Verdict { component, mode }));
                    match language.read(&text, None) {
                        Ok(read) if read == [meant] => {}
                        // A name that is several things' is asked about, this one among the choices.
                        Err(problem)
                            if problem.suggestions.iter().any(|offer| {
                                language.read(offer, None).is_ok_and(|read| {
                                    read == [Command::Act(Action::Conclude(Verdict {
                                        component,
                                        mode,
                                    }))]
                                })
                            }) => {}
                        other => wrong.push(format!("{name}: {text}: {other:?}")),
                    }
                }
            }
        });
    }
    assert!(
        wrong.is_empty(),
        "{} of them:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn no_word_is_two_verbs_and_every_example_reads() {
    let mut seen: Vec<(&str, Does)> = Vec::new();
    for verb in verbs() {
        for word in [verb.word, verb.short]
            .into_iter()
            .chain(verb.synonyms.iter().copied())
        {
            if !word.is_empty() {
                let known = seen.iter().find(|(known, _)| *known == word);
                assert_eq!(known, None, "{word}");
                seen.push((word, verb.does));
            }
        }
        for (short, _) in words::CONTROL_SHORTS {
            assert_ne!(verb.short, short);
        }
        assert!(!verb.help.ends_with('.'), "{}", verb.word);
    }
    with(|language| {
        for verb in verbs() {
            let read = language.read(verb.example, Some("look"));
            assert!(read.is_ok(), "{}: {read:?}", verb.example);
        }
        for shared in ["k", "w"] {
            assert!(language.read(&format!("{shared} off"), None).is_ok());
        }
    });
}

#[test]
fn a_line_means_the_same_whatever_is_wrong_with_the_vehicle() {
    // The vehicle handed in is the sound one; this holds the reader to names alone all the same.
    with(|language| {
        let lines = [
            "volts motor 53",
            "volts motr",
            "con motor",
            "repair pivot",
            "clamp motor 53",
            "wiper",
            "un",
        ];
        for (component, _, data) in language.vehicle.faults() {
            let name = format!("{}.{}", language.vehicle.component(component).id, data.name);
            let faulty = language
                .vehicle
                .inject(&language.vehicle.parse_fault(&name).unwrap());
            let other = Language::new(&faulty, language.scenario);
            for line in lines {
                assert_eq!(
                    language.read(line, None),
                    other.read(line, None),
                    "{name}: {line}"
                );
                assert_eq!(
                    language.complete(line, line.len()),
                    other.complete(line, line.len()),
                    "{name}: {line}"
                );
                assert_eq!(language.hint(line), other.hint(line), "{name}: {line}");
            }
        }
    });
}
