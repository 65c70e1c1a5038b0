//! What can go wrong, what cures it and what a driver sees of it: the words that verdicts and hand-overs
//! are told in, the same whatever is wrong with the vehicle at hand.

use std::mem::discriminant;

use groundside_engine::scenario::Symptom;
use groundside_engine::vehicle::{Component, Kind, Vehicle};

use super::data::table;
use crate::style::{Page, Tone, listed};

/// The chapter on symptoms.
pub(super) fn symptoms() -> Page {
    let rows =
        Symptom::ALL.map(|symptom| vec![symptom.word().to_owned(), meaning(symptom).to_owned()]);
    let mut page = table(&rows);
    page.add(Tone::Quiet, "  As in `hand over complaint does-not-park`.");
    page
}

const fn meaning(symptom: Symptom) -> &'static str {
    match symptom {
        Symptom::Dead => "nothing moves in any position; the motor may hum",
        Symptom::BladesStill => "the motor runs, the blades stay where they are",
        Symptom::NoLow => "LOW does not wipe at all, HIGH does",
        Symptom::NoHigh => "HIGH does not wipe at all, LOW does",
        Symptom::NoMedium => "a speed between LOW and HIGH does not wipe, both of them do",
        Symptom::CutsOut => "the blades wipe for a while, then stop by themselves",
        Symptom::NowAndThen => "the blades wipe at one try and not at another",
        Symptom::RunsOn => "the blades go on after the switch is off",
        Symptom::DoesNotPark => "the blades stop wherever they are when it is switched off",
        Symptom::Slow => "the blades wipe, but slowly, in one position or in several",
        Symptom::TooFast => "the blades wipe faster than they should",
        Symptom::NoInterval => "at intervals they wipe too little, too much or not at all",
        Symptom::NoWash => "the washer brings too little water, or none",
        Symptom::OneBladeStill => "one blade stays while the other wipes",
        Symptom::Streaks => "a blade leaves streaks",
        Symptom::Knocks => "the wipers knock as they turn round",
    }
}

/// The chapter on failures: components that fail alike together.
pub(super) fn failures(vehicle: &Vehicle) -> Page {
    let mut alike: Vec<(&Kind, String, Vec<&str>)> = Vec::new();
    let mut last = None;
    for (id, _, mode) in vehicle.faults() {
        let component = vehicle.component(id);
        if last.replace(id) == Some(id) {
            continue;
        }
        let text = modes(component);
        let same = |(kind, other, _): &&mut (&Kind, String, Vec<&str>)| {
            discriminant(*kind) == discriminant(&component.kind) && *other == text
        };
        match alike.iter_mut().find(same) {
            Some((_, _, ids)) => ids.push(component.id.as_str()),
            None => alike.push((&component.kind, text, vec![component.id.as_str()])),
        }
        drop(mode);
    }
    let mut page = Page::default();
    for (_, text, ids) in alike {
        page.hanging(Tone::Plain, format!("  {}{text}", ids.join(", ")), "    ");
    }
    if let Some((id, _, mode)) = vehicle.faults().pop() {
        let example = format!("`conclude {} {}`", vehicle.component(id).id, mode.name);
        page.hanging(
            Tone::Quiet,
            format!(
                "  As in {example}; hyphens may be blanks. `each of a, b: open` stands for a-open and \
                 b-open. What cures them: `data repairs`."
            ),
            "  ",
        );
    }
    page
}

/// The failures of a component, those of its paths that fail alike told once: `, each of 53, 53b: open`.
fn modes(component: &Component) -> String {
    let names: Vec<String> = component
        .modes()
        .iter()
        .map(|mode| mode.name.to_string())
        .collect();
    // Paths with the failures they have in common, and failures of no path.
    let mut paths: Vec<(Vec<&str>, Vec<&str>)> = Vec::new();
    let mut others: Vec<&str> = Vec::new();
    for path in &component.paths {
        let own =
            |name: &&String| !of_two(name) && path_of(component, name) == Some(path.name.as_str());
        let own: Vec<&str> = names
            .iter()
            .filter(own)
            .filter_map(|name| name.get(path.name.as_str().len() + 1..))
            .collect();
        if own.is_empty() {
            continue;
        }
        match paths.iter_mut().find(|(_, all)| *all == own) {
            Some((same, _)) => same.push(path.name.as_str()),
            None => paths.push((vec![path.name.as_str()], own)),
        }
    }
    others.extend(
        names
            .iter()
            .filter(|name| of_two(name) || path_of(component, name).is_none())
            .map(String::as_str),
    );
    let mut parts: Vec<String> = paths
        .iter()
        .map(|(same, own)| match same.as_slice() {
            [one] => own
                .iter()
                .map(|mode| format!("{one}-{mode}"))
                .collect::<Vec<_>>()
                .join(", "),
            all => format!("each of {}: {}", all.join(", "), own.join(", ")),
        })
        .collect();
    if !others.is_empty() {
        parts.push(others.join(", "));
    }
    let joint = if parts
        .first()
        .is_some_and(|part| part.starts_with("each of"))
    {
        ", "
    } else {
        ": "
    };
    format!("{joint}{}", parts.join("; "))
}

/// Whether a failure is one of two pins: pins that fail alike but for their neighbours are told together.
fn of_two(mode: &str) -> bool {
    mode.ends_with("-crossed") || mode.ends_with("-bridged")
}

/// The path that a failure is told of by its first words.
fn path_of<'c>(component: &'c Component, mode: &str) -> Option<&'c str> {
    component
        .paths
        .iter()
        .map(|path| path.name.as_str())
        .filter(|path| {
            mode.strip_prefix(path)
                .is_some_and(|rest| rest.starts_with('-'))
        })
        .max_by_key(|path| path.len())
}

/// The failures that a repair of a component cures.
pub(super) fn cured(component: &Component, repair: &str) -> String {
    let modes = component.modes();
    let named = |cured: bool| -> Vec<&str> {
        let cures = |mode: &&groundside_engine::vehicle::Mode| {
            mode.cures.iter().any(|cure| cure.as_str() == repair) == cured
        };
        modes
            .iter()
            .filter(cures)
            .map(|mode| mode.name.as_str())
            .collect()
    };
    let (cured, not) = (named(true), named(false));
    match (cured.len(), not.len()) {
        (0, _) => "nothing of its own".to_owned(),
        (_, 0) => "every failure".to_owned(),
        (1..=2, 1..=2) => format!("{}, not {}", cured.join(", "), not.join(", ")),
        (cured, not_cured) if not_cured < cured => {
            format!("every failure but {}", listed(&not, "and"))
        }
        _ => cured.join(", "),
    }
}

/// What is built into another component and put right along with it.
pub(super) fn built_in(vehicle: &Vehicle) -> Vec<String> {
    let wholes = vehicle.ids().filter_map(|whole| {
        let parts: Vec<&str> = vehicle
            .components
            .iter()
            .filter(|component| component.part_of == Some(whole))
            .map(|component| component.id.as_str())
            .collect();
        let id = &vehicle.component(whole).id;
        (!parts.is_empty()).then(|| {
            format!(
                "Built into {id}, and put right by `repair {id} replace`: {}.",
                parts.join(", ")
            )
        })
    });
    wholes.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{VEHICLES, vehicle};

    /// The names that a line of the chapter stands for.
    fn expanded(text: &str) -> Vec<String> {
        let text = text.trim_start_matches([',', ':', ' ']);
        let part = |part: &str| -> Vec<String> {
            let listed =
                |text: &str| -> Vec<String> { text.split(", ").map(str::to_owned).collect() };
            match part
                .strip_prefix("each of ")
                .and_then(|part| part.split_once(": "))
            {
                None => listed(part),
                Some((paths, failures)) => listed(paths)
                    .iter()
                    .flat_map(|path| {
                        let all = listed(failures);
                        all.into_iter()
                            .map(move |failure| format!("{path}-{failure}"))
                    })
                    .collect(),
            }
        };
        text.split("; ").flat_map(part).collect()
    }

    #[test]
    fn every_failure_is_told_by_its_name_and_no_other() {
        for (id, _) in VEHICLES {
            for component in &vehicle(id).unwrap().vehicle.components {
                let mut names: Vec<String> = component
                    .modes()
                    .iter()
                    .map(|mode| mode.name.to_string())
                    .collect();
                if names.is_empty() {
                    continue;
                }
                let mut told = expanded(&modes(component));
                names.sort_unstable();
                told.sort_unstable();
                assert_eq!(told, names, "{}", component.id);
            }
        }
    }
}
