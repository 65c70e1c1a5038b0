//! Where things stand, and all readings so far.

use groundside_engine::attempt::Attempt;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::Action;

use super::event;
use crate::style::{Page, Tone, named};

/// Place, covers, controls, plugs, meter, verdict, repairs, minutes.
pub(crate) fn page(attempt: &Attempt) -> Page {
    let vehicle: &Vehicle = &attempt.assignment().sound;
    let bench = attempt.bench();
    let layout = &vehicle.layout;
    let mut page = Page::default();
    let others: Vec<&str> = (layout.places.iter().enumerate())
        .filter(|(place, _)| *place != bench.place.index())
        .map(|(_, place)| place.id.as_str())
        .collect();
    let here = &layout.places[bench.place.index()];
    page.add(
        Tone::Strong,
        format!(
            "You are at: {}. From here: {}.",
            here.title,
            others.join(", ")
        ),
    );
    let covers = |wanted: bool| -> String {
        let covers = layout.covers.iter().zip(&bench.covers_off);
        let covers = covers.filter(|(_, off)| **off == wanted);
        let covers: Vec<&str> = covers.map(|(cover, _)| named(&cover.title)).collect();
        match covers.is_empty() {
            true => "none".to_owned(),
            false => covers.join(", "),
        }
    };
    page.add(
        Tone::Plain,
        format!("Covers on: {}. Off: {}.", covers(false), covers(true)),
    );
    page.add(
        Tone::Plain,
        format!("Controls: {}.", event::set(bench, vehicle)),
    );
    let apart = event::apart(bench, vehicle);
    let apart = if apart.is_empty() {
        "nothing".to_owned()
    } else {
        apart
    };
    page.add(Tone::Plain, format!("Apart: {apart}."));
    if let Some((red, black)) = bench.clip {
        page.add(
            Tone::Plain,
            format!(
                "Meter clipped: {} to {}.",
                vehicle.point_name(red),
                vehicle.point_name(black)
            ),
        );
    }
    if let Some(words) = last_words(attempt, |action| matches!(action, Action::Conclude(_))) {
        page.add(
            Tone::Plain,
            format!("Noted as the fault: {}.", after_verb(&words)),
        );
    }
    if !bench.repairs.is_empty() {
        let repairs = bench.repairs.iter().map(|(component, way)| {
            let component = vehicle.component(*component);
            format!("{} {}", component.id, component.repairs[*way].name)
        });
        page.add(
            Tone::Plain,
            format!("Repaired: {}.", repairs.collect::<Vec<_>>().join(", ")),
        );
    }
    page.add(
        Tone::Quiet,
        format!(
            "{} min used of {} allowed, on which no mark hangs; {} actions.",
            attempt.clock(),
            attempt.assignment().scenario.allowance,
            attempt.events().len()
        ),
    );
    page
}

fn last_words(attempt: &Attempt, wanted: impl Fn(&Action) -> bool) -> Option<String> {
    let events = attempt.events().iter().rev();
    let mut found = events.filter(|event| wanted(&event.action));
    found
        .next()
        .map(|event| event.action.words(&attempt.assignment().sound))
}

fn after_verb(words: &str) -> String {
    words
        .split_once(' ')
        .map_or(words, |(_, rest)| rest)
        .replace('.', " ")
}

/// All readings so far, each with the state it was taken in.
pub(crate) fn readings(attempt: &Attempt) -> Page {
    let vehicle: &Vehicle = &attempt.assignment().sound;
    let mut page = Page::default();
    for event in attempt.events() {
        let seen: Vec<_> = event.observations.iter().collect();
        let told = event::observations(&seen, event, vehicle);
        let text = match &event.action {
            Action::Note(text) => format!("note: {text}"),
            Action::Repair { .. } | Action::Conclude(_) => event.action.words(vehicle),
            _ if told.is_empty() => continue,
            _ => {
                let mut state = event::set(&event.bench, vehicle);
                let apart = event::apart(&event.bench, vehicle);
                if !apart.is_empty() {
                    state = format!("{state}, {apart}");
                }
                format!("{} [{state}]", told.join("; "))
            }
        };
        page.hanging(Tone::Plain, format!("{:>3}  {text}", event.n), "     ");
    }
    if page.0.is_empty() {
        page.add(Tone::Plain, "No readings yet.");
    }
    page
}
