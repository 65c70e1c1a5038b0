//! The workshop's book: what a sound vehicle does, computed by running one; parts, prices, places; and
//! what its file adds. Never from the vehicle at hand, so it tells nothing of what is wrong.

use std::sync::Arc;

use groundside_engine::attempt::Assignment;
use groundside_engine::vehicle::{Kind, Vehicle};

use super::screen::one_line;
use super::show::short;
use super::{failures, healthy, in_place, instruments, marked};
use crate::language::TOPICS;
use crate::style::{Page, Tone, broken, columns, listed};

/// Width of what a repair cures, in the table of repairs.
const CURES_WIDTH: usize = 34;

/// A chapter: its topic, and what makes its page.
struct Chapter<'a> {
    topic: String,
    write: Box<dyn Fn() -> Page + 'a>,
}

/// The words of DIN 72552 for the terminals that wiper systems have.
const TERMINALS: [(&str, &str); 9] = [
    ("15", "supply, live with the key on"),
    ("30", "supply straight from the battery"),
    ("31", "ground"),
    ("53", "wiper motor, feed for LOW"),
    ("53a", "wiper motor, feed for running home"),
    ("53b", "wiper motor, feed for HIGH"),
    ("53e", "wiper motor, brake and return from the park contact"),
    (
        "75",
        "supply for the radio, live with the key at acc and on",
    ),
    ("31b", "return to a switch on the ground side"),
];

/// The book: all topics with the chapters most asked for, or the chapters that fit a topic.
pub(crate) fn page(assignment: &Assignment, topic: Option<&str>) -> Page {
    let chapters = chapters(assignment);
    let Some(topic) = topic else {
        let mut page = Page::default();
        for chapter in chapters.iter().take(4) {
            page.extend(written(chapter));
        }
        let others: Vec<&str> = chapters
            .iter()
            .skip(4)
            .map(|chapter| chapter.topic.as_str())
            .collect();
        page.hanging(
            Tone::Quiet,
            format!("More, by `data TOPIC`: {}.", others.join("; ")),
            "  ",
        );
        return page;
    };
    let wanted: Vec<String> = topic
        .to_lowercase()
        .replace('-', " ")
        .split_whitespace()
        .map(str::to_owned)
        .collect();
    let fits = |chapter: &&Chapter<'_>| {
        let words: Vec<&str> = chapter.topic.split([' ', '-']).collect();
        wanted
            .iter()
            .all(|want| words.iter().any(|word| word.starts_with(want.as_str())))
    };
    let found: Vec<&Chapter<'_>> = chapters.iter().filter(fits).collect();
    let mut page = Page::default();
    for chapter in &found {
        page.extend(written(chapter));
    }
    if found.is_empty() {
        let topics: Vec<&str> = chapters
            .iter()
            .map(|chapter| chapter.topic.as_str())
            .collect();
        page.add(Tone::Refused, format!("The book has nothing on `{topic}`."));
        page.hanging(
            Tone::Plain,
            format!("It has {}.", listed(&topics, "and")),
            "  ",
        );
    }
    page
}

fn written(chapter: &Chapter<'_>) -> Page {
    let mut page = Page::of(Tone::Strong, crate::style::sentence(&chapter.topic));
    page.extend((chapter.write)());
    page.add(Tone::Plain, "");
    page
}

fn chapters(assignment: &Assignment) -> Vec<Chapter<'_>> {
    let vehicle = &assignment.sound;
    let glass = assignment.scenario.glass;
    let history = || Page::of(Tone::Plain, one_line(&assignment.scenario.history));
    // In the order of the topics, so that what completion offers is there.
    let writers: [Box<dyn Fn() -> Page + '_>; TOPICS.len()] = [
        Box::new(move || healthy::speeds(vehicle)),
        Box::new(move || healthy::voltages(vehicle, glass)),
        Box::new(move || healthy::winding(vehicle)),
        Box::new(move || protection(vehicle)),
        Box::new(move || wires(vehicle)),
        Box::new(move || terminals(vehicle)),
        Box::new(move || in_place::tests(vehicle, glass)),
        Box::new(move || repairs(vehicle)),
        Box::new(move || failures::failures(vehicle)),
        Box::new(failures::symptoms),
        Box::new(move || instruments::instruments(vehicle)),
        Box::new(move || places(vehicle)),
        Box::new(history),
        Box::new(marked::page),
    ];
    let mut all: Vec<Chapter<'_>> = TOPICS
        .iter()
        .zip(writers)
        .map(|(topic, write)| Chapter {
            topic: (*topic).to_owned(),
            write,
        })
        .collect();
    for entry in &vehicle.book {
        all.push(Chapter {
            topic: entry.topic.to_lowercase(),
            write: Box::new(move || Page::of(Tone::Plain, entry.text.trim())),
        });
    }
    all
}

pub(super) fn table(rows: &[Vec<String>]) -> Page {
    let mut page = Page::default();
    columns(rows)
        .into_iter()
        .for_each(|row| page.row(format!("  {row}")));
    page
}

fn protection(vehicle: &Arc<Vehicle>) -> Page {
    let rows = vehicle
        .components
        .iter()
        .filter_map(|component| match &component.kind {
            Kind::Fuse(data) => Some(vec![
                component.title.clone(),
                format!("{} A", short(data.blade_rating().amperes())),
                "opens for good".to_owned(),
            ]),
            Kind::Breaker(data) | Kind::FusibleLink(data) => Some(vec![
                component.title.clone(),
                format!("carries {} A for ever", short(data.ultimate.amperes())),
                if data.reclose.is_some() {
                    "closes again by itself"
                } else {
                    "opens for good"
                }
                .to_owned(),
            ]),
            _ => None,
        });
    table(&rows.collect::<Vec<_>>())
}

fn wires(vehicle: &Arc<Vehicle>) -> Page {
    let end = |node: groundside_engine::vehicle::Node| vehicle.node_names[node.index()].clone();
    let rows = vehicle.components.iter().filter_map(|component| {
        let path = component.paths.first()?;
        let (colour, section) = match &component.kind {
            Kind::Wire { data, colour, .. } => (colour.clone(), data.section),
            Kind::Strap(data) => ("strap".to_owned(), data.section),
            _ => return None,
        };
        Some(vec![
            component.id.to_string(),
            colour,
            short(section.square_millimetres()),
            format!("{} to {}", end(path.p), end(path.n)),
        ])
    });
    let mut rows: Vec<Vec<String>> = rows.collect();
    rows.insert(
        0,
        ["wire", "colour", "mm2", "from, to"]
            .map(str::to_owned)
            .to_vec(),
    );
    table(&rows)
}

fn terminals(vehicle: &Arc<Vehicle>) -> Page {
    let used = |name: &str| {
        let mut all = vehicle
            .components
            .iter()
            .flat_map(|component| &component.terminals);
        all.any(|terminal| terminal.name.as_str() == name)
    };
    let rows = TERMINALS.iter().filter(|(name, _)| used(name));
    table(
        &rows
            .map(|(name, words)| vec![(*name).to_owned(), (*words).to_owned()])
            .collect::<Vec<_>>(),
    )
}

fn repairs(vehicle: &Arc<Vehicle>) -> Page {
    let mut rows = vec![
        ["component", "repair", "min", "parts", "cures"]
            .map(str::to_owned)
            .to_vec(),
    ];
    for component in &vehicle.components {
        for repair in &component.repairs {
            let mut row = [
                component.id.to_string(),
                repair.name.to_string(),
                repair.labour.to_string(),
                repair.price.to_string(),
            ];
            let cured = failures::cured(component, repair.name.as_str());
            for line in broken(&cured, CURES_WIDTH) {
                rows.push(row.iter().cloned().chain([line]).collect());
                row = Default::default();
            }
        }
    }
    let mut page = table(&rows);
    page.add(
        Tone::Quiet,
        "  Minutes once it is reached. What the failures are: `data failures`.",
    );
    for line in failures::built_in(vehicle) {
        page.hanging(Tone::Quiet, format!("  {line}"), "    ");
    }
    page
}

fn places(vehicle: &Arc<Vehicle>) -> Page {
    let layout = &vehicle.layout;
    let charges = &layout.charges;
    let mut rows = Vec::new();
    for (index, place) in layout.places.iter().enumerate() {
        let covers = layout
            .covers
            .iter()
            .filter(|cover| cover.place.index() == index);
        let covers: Vec<String> = covers
            .map(|cover| {
                format!(
                    "{}: off {} min, on {} min",
                    cover.title, cover.off, cover.on
                )
            })
            .collect();
        let here = vehicle
            .components
            .iter()
            .filter(|component| component.place.index() == index);
        let here: Vec<&str> = here
            .filter(|component| !component.is_conductor())
            .map(|component| component.id.as_str())
            .collect();
        rows.push((place, covers, here));
    }
    let mut page = Page::default();
    for (place, covers, here) in rows {
        let covers = if covers.is_empty() {
            String::new()
        } else {
            format!(" ({})", covers.join("; "))
        };
        page.hanging(
            Tone::Plain,
            format!(
                "  {}, {}{covers}: {}",
                place.id,
                place.title,
                here.join(", ")
            ),
            "    ",
        );
    }
    page.hanging(
        Tone::Plain,
        format!(
            "  Minutes: a walk {}, a control {}, by the helper {}, senses {}, meter out {}, a reading {}, a \
             plug {}, counting {}.",
            charges.walk,
            charges.control,
            charges.helper,
            charges.sense,
            charges.meter_out,
            charges.reading,
            charges.plug,
            charges.count
        ),
        "    ",
    );
    page
}

#[cfg(test)]
mod tests {
    use groundside_engine::random::Seed;

    use super::*;
    use crate::files::{SCENARIOS, scenario};
    use crate::style::WIDTH;

    /// A chapter in each scenario, with its vehicle.
    fn pages(topic: &str) -> Vec<(Arc<Vehicle>, String)> {
        let all = SCENARIOS.iter().map(|(id, _)| {
            let loaded = scenario(id, None).unwrap();
            let assignment = Assignment {
                sound: loaded.vehicle.vehicle,
                scenario: loaded.scenario,
                seed: Seed(1),
                chosen: None,
            };
            let page = page(&assignment, Some(topic));
            assert!(page.0.iter().all(|line| line.text.chars().count() <= WIDTH));
            (assignment.sound, page.text())
        });
        all.collect()
    }

    #[test]
    fn every_topic_has_a_chapter() {
        for topic in TOPICS {
            for (_, page) in pages(topic) {
                assert!(
                    page.lines().count() > 1 && !page.contains("nothing on"),
                    "{page}"
                );
            }
        }
    }

    #[test]
    fn the_book_names_failures_with_what_cures_them_and_symptoms() {
        for (vehicle, page) in pages("failures") {
            for (component, _, _) in vehicle.faults() {
                let id = vehicle.component(component).id.as_str();
                let squeezed: String = page.split_whitespace().collect();
                assert!(squeezed.contains(id), "{id}: {page}");
            }
        }
        for (vehicle, page) in pages("repairs") {
            assert!(page.contains("stiff, not "), "{page}");
            let mut modes = vehicle.faults().into_iter().map(|(.., mode)| mode);
            let magnets = modes.any(|mode| mode.name.as_str() == "magnets-weak");
            let told = page.contains("every failure but magnets-weak,");
            assert!(told || !magnets, "{page}");
        }
        for (_, page) in pages("symptoms") {
            for symptom in groundside_engine::scenario::Symptom::ALL {
                assert!(page.contains(symptom.word()), "{page}");
            }
        }
    }

    #[test]
    fn the_book_tells_the_accuracy_of_the_instruments() {
        for (vehicle, page) in pages("meter") {
            let has = |wanted: fn(&Kind) -> bool| {
                let mut parts = vehicle.components.iter();
                parts.any(|part| wanted(&part.kind))
            };
            let ammeter = has(|kind| matches!(kind, Kind::Ammeter));
            assert_eq!(page.contains("marked in twos"), ammeter, "{page}");
            for told in [
                "volts: +/- (0.5 % + 2 counts); one count is 0.0001 V below 0.4",
                "ohms: +/- (0.9 % + 2 counts)",
                "clamp: +/- (2 % + 2 counts); one count is 0.1 A",
                "whole cycles",
                "slow from 12,",
                "a high note from 3440,",
            ] {
                let joined = page.split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(joined.contains(told), "{told}: {page}");
            }
        }
    }
}
