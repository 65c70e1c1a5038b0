//! Completion and hints.

use super::*;

/// The line as it would be with each replacement.
fn completed(language: &Language<'_>, line: &str) -> Vec<String> {
    let (start, offers) = language.complete(line, line.len());
    offers
        .iter()
        .map(|offer| format!("{}{offer}", &line[..start]))
        .collect()
}

#[test]
fn lines_are_completed_by_verb_and_what_stands() {
    with(|language| {
        for (line, expected) in [
            ("un", vec!["unclip", "unplug "]),
            ("ke", vec!["key "]),
            ("hor", vec!["horn"]),
            ("look; vo", vec!["look; volts "]),
            ("hand o", vec!["hand over "]),
            ("drop fus", vec!["drop fusible-link "]),
            ("drop motor-s", vec!["drop motor-strap"]),
            (
                "drop wiper-switch ",
                vec![
                    "drop wiper-switch 15 ",
                    "drop wiper-switch 53 ",
                    "drop wiper-switch 53b ",
                    "drop wiper-switch 53a ",
                    "drop wiper-switch 53e ",
                    "drop wiper-switch low",
                    "drop wiper-switch high",
                    "drop wiper-switch park",
                    "drop wiper-switch feed",
                ],
            ),
            ("ohms motor-s", vec!["ohms motor-strap"]),
            ("volts mo", vec!["volts motor-plug ", "volts motor "]),
            (
                "volts motor ",
                vec![
                    "volts motor-plug ",
                    "volts motor 53",
                    "volts motor 53b",
                    "volts motor 31",
                    "volts motor 53a",
                    "volts motor 53e",
                ],
            ),
            ("v mot 53b", vec!["v motor 53b"]),
            (
                "v bulk 30",
                vec!["v bulkhead 30-engine", "v bulkhead 30-cab"],
            ),
            (
                "volts motor 53 to motor 31",
                vec!["volts motor 53 to motor 31"],
            ),
            ("volts motor 53 motor 31 ", vec![]),
            ("volts motor 53 to ho", vec!["volts motor 53 to horn "]),
            ("key ", vec!["key off", "key acc", "key on"]),
            ("w l", vec!["w low"]),
            ("wiper off ", vec!["wiper off at mid-glass"]),
            ("helper wiper o", vec!["helper wiper off"]),
            ("turn the wi", vec!["turn the wiper "]),
            (
                "go ",
                vec!["go cab", "go bonnet", "go windscreen", "go under-dash"],
            ),
            ("remove d", vec!["remove dash-panel"]),
            (
                "unplug ",
                vec![
                    "unplug bulkhead",
                    "unplug motor-plug",
                    "unplug motor-strap",
                    "unplug battery-strap",
                ],
            ),
            (
                "loosen the c",
                vec!["loosen the crank-nut", "loosen the connecting-link"],
            ),
            ("conclude left p", vec!["conclude left-pivot "]),
            (
                "conclude left-pivot ",
                vec![
                    "conclude left-pivot stiff",
                    "conclude left-pivot seized",
                    "conclude left-pivot loose",
                ],
            ),
            ("con motor low brush w", vec!["con motor low-brush-worn"]),
            (
                "repair motor ",
                vec![
                    "repair motor-53",
                    "repair motor-53b",
                    "repair motor-53a",
                    "repair motor-53e",
                    "repair motor-plug",
                    "repair motor-strap",
                    "repair motor replace",
                    "repair motor brushes",
                ],
            ),
            (
                "hand over ",
                vec![
                    "hand over complaint ",
                    "hand over cause ",
                    "hand over correction ",
                    "hand over note ",
                ],
            ),
            (
                "hand over complaint no",
                vec![
                    "hand over complaint no-low",
                    "hand over complaint no-high",
                    "hand over complaint no-medium",
                    "hand over complaint now-and-then",
                    "hand over complaint no-interval",
                    "hand over complaint no-wash",
                ],
            ),
            (
                "hand over complaint slow ca",
                vec!["hand over complaint slow cause "],
            ),
            ("ho cause left pivot se", vec!["ho cause left-pivot seized"]),
            ("data me", vec!["data meter", "data measuring"]),
            ("help dr", vec!["help drop"]),
            ("help po", vec!["help points"]),
            (
                "drop mo",
                vec!["drop motor-plug ", "drop motor ", "drop motor-strap"],
            ),
            (
                "drop motor 5",
                vec![
                    "drop motor 53 ",
                    "drop motor 53b ",
                    "drop motor 53a ",
                    "drop motor 53e ",
                ],
            ),
            ("note vo", vec![]),
            ("note x; vo", vec![]),
            ("wait ", vec![]),
            ("xyzzy ", vec![]),
        ] {
            assert_eq!(completed(language, line), expected, "{line}");
        }
    });
}

#[test]
fn every_topic_of_the_book_is_offered() {
    with(|language| {
        let (_, offers) = language.complete("data ", 5);
        for topic in TOPICS {
            assert!(
                offers.iter().any(|offer| offer == topic),
                "{topic}: {offers:?}"
            );
        }
        assert_eq!(offers.len(), TOPICS.len() + language.vehicle.book.len());
    });
}

#[test]
fn completion_looks_only_before_the_cursor() {
    with(|language| {
        let line = "volts mot 53";
        assert_eq!(
            language.complete(line, 9),
            (6, vec!["motor-plug ".to_owned(), "motor ".to_owned()])
        );
        assert_eq!(language.complete("ö", 1), language.complete("", 0));
        assert_eq!(language.complete("look", 99).1, ["look "]);
    });
}

#[test]
fn only_a_scenario_with_a_helper_offers_one() {
    with(|language| {
        assert_eq!(language.complete("helpe", 5).1, ["helper "]);
        let mut scenario = language.scenario.clone();
        scenario.helper = false;
        let alone = Language::new(language.vehicle, &scenario);
        assert!(alone.complete("helpe", 5).1.is_empty());
    });
}

#[test]
fn hints_show_what_follows() {
    with(|language| {
        for (line, hint) in [
            ("volts", Some(" POINT [POINT]")),
            ("volts ", Some("POINT [POINT]")),
            ("look; d", Some(" POINT POINT|COMPONENT [PIN]")),
            ("key", Some(" off|acc|on")),
            ("w ", Some("off|low|high")),
            ("wait", Some(" TIME")),
            ("listen", None),
            ("volts motor", None),
            ("volt motor", None),
            ("", None),
            ("xyzzy", None),
        ] {
            assert_eq!(language.hint(line).as_deref(), hint, "{line}");
        }
    });
}

#[test]
fn every_completed_verb_reads_or_asks_for_more() {
    with(|language| {
        for verb in language.complete("", 0).1 {
            if let Err(problem) = language.read(&verb, None) {
                let asked = ["needs more", "goes to", "The helper works", "no line yet"];
                assert!(
                    asked.iter().any(|words| problem.message.contains(words)),
                    "{verb}: {problem}"
                );
            }
        }
    });
}
