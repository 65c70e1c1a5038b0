//! The vehicles that are shipped, found by looking, so that a new one is covered the day it is written.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use groundside_engine::file::read_vehicle;
use groundside_engine::vehicle::{ComponentId, Fault, Vehicle};

/// A vehicle with one of its faults in it, or none.
#[derive(Clone, Debug)]
pub struct Variant {
    /// `component.mode:severity`, or `sound`.
    pub name: String,
    /// The fault, if there is one.
    pub fault: Option<Fault>,
    /// The vehicle with it.
    pub vehicle: Arc<Vehicle>,
}

/// Severities at which each fault is tried: light, middling, grave, as shares of all its cases.
const QUANTILES: [f64; 3] = [0.05, 0.5, 0.95];

/// The folder of the repository that holds `name`.
#[must_use]
pub fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(name)
}

/// The text of every vehicle file in `scenarios/`, by name of file.
#[must_use]
pub fn vehicle_texts() -> Vec<String> {
    texts_with("\n[vehicle]")
}

/// The text of every scenario file in `scenarios/`, by name of file.
#[must_use]
pub fn scenario_texts() -> Vec<String> {
    texts_with("\n[scenario]")
}

fn texts_with(heading: &str) -> Vec<String> {
    let files = fs::read_dir(folder("scenarios")).expect("the scenarios are there");
    let mut paths: Vec<PathBuf> = files.map(|file| file.unwrap().path()).collect();
    paths.retain(|path| {
        path.extension()
            .is_some_and(|extension| extension == "toml")
    });
    paths.sort();
    let texts = paths.iter().map(|path| fs::read_to_string(path).unwrap());
    texts.filter(|text| text.contains(heading)).collect()
}

/// Every vehicle in `scenarios/`, by name of file.
#[must_use]
pub fn vehicles() -> Vec<Arc<Vehicle>> {
    let vehicle = |text: &String| {
        let (vehicle, _warnings) = read_vehicle(text).expect("a shipped vehicle is valid");
        Arc::new(vehicle)
    };
    vehicle_texts().iter().map(vehicle).collect()
}

impl Variant {
    /// Components with paths that give way now and then.
    #[must_use]
    pub fn parted(&self) -> Vec<ComponentId> {
        self.vehicle.loose_paths().map(|(id, ..)| id).collect()
    }
}

/// A vehicle sound, and with each of its faults that are always there, at three severities where it has any.
/// What gives way now and then by chance runs in time like nothing outside the engine: `suite/loose.rs` holds
/// its share of the time and its moments, [`loose_variants`] the circuit while it has given way.
#[must_use]
pub fn variants(sound: &Arc<Vehicle>) -> Vec<Variant> {
    let mut list = vec![Variant {
        name: "sound".to_owned(),
        fault: None,
        vehicle: Arc::clone(sound),
    }];
    list.extend(faulty(sound).filter(|variant| variant.parted().is_empty()));
    list
}

/// A vehicle with each of its faults that show now and then.
#[must_use]
pub fn loose_variants(sound: &Arc<Vehicle>) -> Vec<Variant> {
    faulty(sound)
        .filter(|variant| !variant.parted().is_empty())
        .collect()
}

fn faulty(sound: &Arc<Vehicle>) -> impl Iterator<Item = Variant> {
    let mut list = Vec::new();
    for (component, mode, data) in sound.faults() {
        let severities: Vec<Option<f64>> = match data.severity {
            Some(law) => QUANTILES
                .iter()
                .map(|&share| Some(three_digits(law.quantile(share))))
                .collect(),
            None => vec![None],
        };
        for severity in severities {
            let fault = Fault {
                component,
                mode,
                severity,
            };
            list.push(Variant {
                name: sound.fault_name(&fault),
                fault: Some(fault),
                vehicle: Arc::new(sound.inject(&fault)),
            });
        }
    }
    list.into_iter()
}

/// A number that can be written down and typed.
fn three_digits(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn vehicles_are_found_and_every_fault_stands_in_the_list() {
        let vehicles = vehicles();
        assert!(!vehicles.is_empty());
        for vehicle in vehicles {
            let variants = variants(&vehicle);
            assert!(variants.len() > vehicle.faults().len(), "{}", vehicle.id);
            let changed = |variant: &&Variant| *variant.vehicle != *vehicle;
            assert_eq!(variants.iter().filter(changed).count(), variants.len() - 1);
        }
    }
}
