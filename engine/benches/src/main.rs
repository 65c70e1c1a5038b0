//! Prints how long the engine takes: operating points, a learner's commands, the marking beside them, fault dictionaries.
//!
//! Nothing is held to a bound here: times are of the machine at hand, and only ratios within one run mean anything elsewhere.

mod marking;
mod networks;
mod ngspice;
mod timing;

use std::error::Error;
use std::sync::Arc;
use std::{env, fs};

use groundside_engine::file::{read_scenario, read_vehicle};
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::Vehicle;

/// Parts that can be asked for by themselves.
const PARTS: [&str; 4] = ["removal", "addition", "dictionary", "command"];

/// The shipped vehicles, by growing number of components.
fn vehicles() -> Result<Vec<Arc<Vehicle>>, Box<dyn Error>> {
    let mut vehicles = Vec::new();
    for text in texts_with("\n[vehicle]")? {
        let (vehicle, _) = read_vehicle(&text).map_err(|_| "a vehicle file is not valid")?;
        vehicles.push(Arc::new(vehicle));
    }
    vehicles.sort_by_key(|vehicle| vehicle.components.len());
    Ok(vehicles)
}

fn scenarios() -> Result<Vec<Arc<Scenario>>, Box<dyn Error>> {
    let mut scenarios = Vec::new();
    for text in texts_with("\n[scenario]")? {
        let scenario = read_scenario(&text).map_err(|_| "a scenario file is not valid")?;
        scenarios.push(Arc::new(scenario));
    }
    Ok(scenarios)
}

fn texts_with(heading: &str) -> Result<Vec<String>, Box<dyn Error>> {
    let mut paths = Vec::new();
    for entry in fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios"))? {
        paths.push(entry?.path());
    }
    paths.retain(|path| path.extension().is_some_and(|of| of == "toml"));
    paths.sort();
    let texts: Result<Vec<String>, _> = paths.iter().map(fs::read_to_string).collect();
    Ok(texts?
        .into_iter()
        .filter(|text| text.contains(heading))
        .collect())
}

fn main() -> Result<(), Box<dyn Error>> {
    let (vehicles, mut scenarios) = (vehicles()?, scenarios()?);
    let (parts, named): (Vec<String>, Vec<String>) = env::args()
        .skip(1)
        .partition(|word| PARTS.contains(&word.as_str()));
    let is_wanted = |part: &str| parts.is_empty() || parts.iter().any(|own| own == part);
    for word in &named {
        if !scenarios
            .iter()
            .any(|scenario| scenario.id.as_str() == word)
        {
            return Err(format!("`{word}` is neither a part, of {PARTS:?}, nor a scenario").into());
        }
    }
    let is_named = |scenario: &Arc<Scenario>| named.iter().any(|word| word == scenario.id.as_str());
    scenarios.retain(|scenario| named.is_empty() || is_named(scenario));
    let threads = std::thread::available_parallelism()?;
    let spice = ngspice::version().unwrap_or("no ngspice".to_owned());
    println!("{threads} threads; {spice}");
    if is_wanted("removal") {
        println!("\nAn operating point after a removal:\n");
        networks::removals(&networks::subjects(&vehicles)?)?;
    }
    if is_wanted("addition") {
        println!("\nA load put on a circuit:\n");
        networks::additions(&vehicles)?;
    }
    if is_wanted("dictionary") || is_wanted("command") {
        marking::all(
            &vehicles,
            &scenarios,
            [is_wanted("dictionary"), is_wanted("command")],
        )?;
    }
    Ok(())
}
