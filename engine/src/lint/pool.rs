//! What the faults of a scenario's pool bring, by running the vehicle with each of them.
//!
//! Each is tried at some severities. What came of none of them may still come of another, so a complaint that nothing
//! brings is tried for once more, at other severities and by other draws, before its author is told.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::attempt::{DrawError, Driver, draw, in_pool};
use crate::file::{Code, Places};
use crate::marking::parallel;
use crate::random::Seed;
use crate::scenario::{Scenario, Selector, Symptom};
use crate::vehicle::{ComponentId, Fault, Mode, ModeId, Vehicle};

/// Where in its range each severity is tried: a mild case, a middling one and a bad one.
const FIRST: [f64; 3] = [0.1, 0.5, 0.9];
/// And where it is tried when something came of none of these.
const AGAIN: [f64; 4] = [0.01, 0.3, 0.7, 0.99];
/// Draws of two faults that are tried for a complaint that no fault brings by itself, in circuits of so many nodes.
const PAIRS: usize = 40;
/// Most trials of a scenario, in circuits of a hundred nodes; one takes some hundredths of a second, and goes with their
/// square.
const TRIALS_MAX: usize = 8000;
const NODES_TYPICAL: usize = 100;

/// A fault that may be drawn, and what it was seen to bring.
struct Tried {
    component: ComponentId,
    mode: ModeId,
    data: Mode,
    brings: BTreeSet<Option<Symptom>>,
}

impl Tried {
    /// What a driver notices of it, at some severity.
    fn symptoms(&self) -> impl Iterator<Item = Symptom> + '_ {
        self.brings.iter().copied().flatten()
    }

    /// Whether an entry of a pool selects it.
    fn is_of(&self, selector: &Selector, vehicle: &Vehicle) -> bool {
        selector.selects(vehicle.component(self.component), &self.data)
    }

    /// Whether a driver notices nothing of it.
    fn is_latent(&self) -> bool {
        self.symptoms().next().is_none()
    }
}

/// Tries every fault that may be drawn and reports complaints, entries and modes that come to nothing.
pub(super) fn check(scenario: &Scenario, vehicle: &Arc<Vehicle>, places: &Places<'_>) {
    let mut pool = drawn(scenario, vehicle);
    if let Some(why) = too_much(pool.len(), vehicle) {
        let span = places.key("scenario", "pool");
        let message = format!("what the pool brings is not tried: {why}");
        let help = "a pool that names fewer is tried whole".to_owned();
        places
            .findings
            .warning(Code::NotChecked, span, message, Some(help));
        return;
    }
    if let Err(error) = try_all(scenario, vehicle, &mut pool, places) {
        let span = places.key("scenario", "vehicle");
        let message = format!("the scenario cannot be played: {error}");
        places.findings.error(Code::CannotRun, span, message, None);
    }
}

/// The faults that may be drawn, with their weights above nothing.
fn drawn(scenario: &Scenario, vehicle: &Vehicle) -> Vec<Tried> {
    let weighed = vehicle.faults().into_iter().zip(vehicle.prior_weights());
    let lets_in = |component: ComponentId, mode: &Mode| {
        scenario.can_bring(mode) && in_pool(&scenario.pool, vehicle, component, mode)
    };
    weighed
        .filter(|((component, _, mode), weight)| *weight > 0.0 && lets_in(*component, mode))
        .map(|((component, mode, data), _)| Tried {
            component,
            mode,
            data,
            brings: BTreeSet::new(),
        })
        .collect()
}

/// Why so many faults are not tried on a vehicle, if they are too many.
fn too_much(faults: usize, vehicle: &Vehicle) -> Option<String> {
    let nodes = vehicle.node_names.len();
    let trials = faults * (FIRST.len() + AGAIN.len());
    let too_many = trials > within(TRIALS_MAX, vehicle);
    too_many.then(|| format!("{faults} faults in a circuit of {nodes} nodes would take too long"))
}

/// How many trials take as long on a vehicle as `most` in a circuit of a hundred nodes.
fn within(most: usize, vehicle: &Vehicle) -> usize {
    let times = |nodes: usize| nodes.max(NODES_TYPICAL).pow(2);
    most * times(0) / times(vehicle.node_names.len())
}

/// Lets a driver try each fault at these places of its severity.
fn try_at<'p>(
    driver: &Driver<'_>,
    quantiles: &[f64],
    pool: impl Iterator<Item = &'p mut Tried>,
) -> Result<(), DrawError> {
    parallel::each(pool.collect(), |tried: &mut Tried| {
        let law = tried.data.severity;
        let severities = quantiles
            .iter()
            .map(|quantile| law.map(|law| law.at(*quantile)));
        // What has no severity is the same at all of them.
        for severity in severities.take(if law.is_some() { quantiles.len() } else { 1 }) {
            let fault = Fault {
                component: tried.component,
                mode: tried.mode,
                severity,
            };
            tried.brings.insert(driver.notices(fault)?);
        }
        Ok(())
    })
    .map(|_: Vec<()>| ())
}

fn try_all(
    scenario: &Scenario,
    vehicle: &Arc<Vehicle>,
    pool: &mut [Tried],
    places: &Places<'_>,
) -> Result<(), DrawError> {
    let told = |symptom: Symptom| scenario.complaint(symptom).is_some();
    try_at(
        &Driver::of(vehicle, scenario, Seed(1))?,
        &FIRST,
        pool.iter_mut(),
    )?;
    let seen =
        |pool: &[Tried]| -> BTreeSet<Symptom> { pool.iter().flat_map(Tried::symptoms).collect() };
    let wanting = |seen: &BTreeSet<Symptom>| {
        let mut complaints = scenario.complaints.iter();
        complaints.any(|(symptom, _)| !seen.contains(symptom))
    };
    let all = wanting(&seen(pool));
    let wordless = wordless(scenario, vehicle, pool);
    let unsure = |tried: &&mut Tried| {
        let mut entries = scenario.pool.iter().zip(&wordless);
        all || entries.any(|(entry, wordless)| {
            let told = *wordless || (is_by_name(entry) && tried.is_latent());
            told && tried.is_of(entry, vehicle)
        })
    };
    let again = pool.iter_mut().filter(unsure);
    try_at(&Driver::of(vehicle, scenario, Seed(2))?, &AGAIN, again)?;
    let mut seen = seen(pool);
    if !seen.iter().copied().any(told) {
        let message = "nothing in the pool brings one of the scenario's complaints";
        let span = places.key("scenario", "pool");
        let help = Some(help_for(&seen));
        places.findings.error(Code::IdlePool, span, message, help);
        return Ok(());
    }
    if scenario.faults > 1 {
        let pairs = within(PAIRS, vehicle).max(1);
        for seed in (1..=pairs as u64).map(Seed) {
            // The first says whether there is a pair at all.
            if seed != Seed(1) && !wanting(&seen) {
                break;
            }
            match draw(vehicle, scenario, seed) {
                Ok(draw) => _ = seen.insert(draw.symptom),
                Err(error @ DrawError::NoSecond(_)) => {
                    let span = places.key("scenario", "faults");
                    places
                        .findings
                        .error(Code::IdlePool, span, error.to_string(), None);
                    return Ok(());
                }
                Err(error) => return Err(error),
            }
        }
    }
    idle_complaints(scenario, &seen, places);
    unworded(scenario, vehicle, pool, places);
    latent(scenario, vehicle, pool, places);
    Ok(())
}

/// Of each entry of the pool, whether the scenario has no words for all that it was seen to bring.
fn wordless(scenario: &Scenario, vehicle: &Vehicle, pool: &[Tried]) -> Vec<bool> {
    let has_words = |symptom: &Symptom| scenario.complaint(*symptom).is_some();
    let entries = scenario.pool.iter();
    entries
        .map(|entry| !brought(entry, vehicle, pool).iter().any(has_words))
        .collect()
}

/// What an entry of the pool was seen to bring.
fn brought(entry: &Selector, vehicle: &Vehicle, pool: &[Tried]) -> BTreeSet<Symptom> {
    let selected = pool.iter().filter(|tried| tried.is_of(entry, vehicle));
    selected.flat_map(Tried::symptoms).collect()
}

/// Whether an entry names a component or a mode. Regions and a pool left out take in whatever there is.
const fn is_by_name(entry: &Selector) -> bool {
    !matches!(entry, Selector::Region(_))
}

/// What would do where something brings other complaints than there are words for.
fn help_for(seen: &BTreeSet<Symptom>) -> String {
    if seen.is_empty() {
        return "a pool with faults that a driver notices".to_owned();
    }
    let lines: Vec<&str> = seen.iter().map(|symptom| symptom.word()).collect();
    format!(
        "it brings {}: a line under [complaints] for that",
        lines.join(", ")
    )
}

/// Reports the complaints that nothing brings, each at its line.
fn idle_complaints(scenario: &Scenario, seen: &BTreeSet<Symptom>, places: &Places<'_>) {
    for (symptom, _) in &scenario.complaints {
        if !seen.contains(symptom) {
            let word = symptom.word();
            let message = format!("nothing in the pool was found to bring `{word}`");
            let span = places.key("complaints", word);
            let help = "leave the line out, or let a fault into the pool that brings it";
            let help = Some(help.to_owned());
            places
                .findings
                .warning(Code::IdleComplaint, span, message, help);
        }
    }
}

/// Reports entries of the pool of which nothing is drawn, as the scenario has no words for what they bring.
fn unworded(scenario: &Scenario, vehicle: &Vehicle, pool: &[Tried], places: &Places<'_>) {
    let entries = scenario.pool.iter().zip(wordless(scenario, vehicle, pool));
    for (index, (entry, wordless)) in entries.enumerate() {
        let seen = brought(entry, vehicle, pool);
        if wordless && !seen.is_empty() {
            let message = "nothing that this selects brings one of the scenario's complaints";
            let span = places.item("scenario", "pool", index);
            let help = Some(help_for(&seen));
            places.findings.warning(Code::IdlePool, span, message, help);
        }
    }
}

/// Reports modes that no driver notices, once for each component, at the entry of the pool that names it. Nobody asked for
/// those that a region or a pool left out takes in.
fn latent(scenario: &Scenario, vehicle: &Vehicle, pool: &[Tried], places: &Places<'_>) {
    let mut told = BTreeSet::new();
    for (index, selector) in scenario.pool.iter().enumerate() {
        let latent = |tried: &&Tried| tried.is_latent() && tried.is_of(selector, vehicle);
        let Some(first) = pool.iter().find(latent).filter(|_| is_by_name(selector)) else {
            continue;
        };
        if !told.insert(first.component) {
            continue;
        }
        let named = |tried: &&Tried| {
            let mut selectors = scenario.pool.iter().filter(|selector| is_by_name(selector));
            let same = tried.component == first.component && tried.is_latent();
            same && selectors.any(|selector| tried.is_of(selector, vehicle))
        };
        let modes = pool
            .iter()
            .filter(named)
            .map(|tried| tried.data.name.as_str());
        let modes: Vec<&str> = modes.collect();
        let part = &vehicle.component(first.component).id;
        let message = format!(
            "modes of {part} that no driver notices, and that are never drawn: {}",
            modes.join(", ")
        );
        let span = places.item("scenario", "pool", index);
        let help = "name those of its modes that a driver notices".to_owned();
        places
            .findings
            .warning(Code::LatentMode, span, message, Some(help));
    }
}
