//! `study calibration`: what is believed after checks, beside what is so.

use std::sync::Arc;

use groundside_engine::learners::{ByStage, Drawing, LearnerError, believed};
use groundside_engine::marking::{Drivers, FaultDictionary, Progress};
use groundside_engine::random::Seed;

use crate::args::{CalibrationOptions, Format};
use crate::files;
use crate::problem::Failure;
use crate::render::calibration::{Study, Table, page};
use crate::separation::scenarios_of;
use crate::waiting::Waiting;
use crate::{Exit, Io};

/// `study calibration`. The exit code says whether the belief keeps its word.
pub(crate) fn calibration(options: &CalibrationOptions, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let scenarios = scenarios_of(&options.scenarios);
    let seeds: Vec<Seed> = (1..=u64::from(options.draws)).map(Seed).collect();
    let drawing = match options.uniform {
        true => Drawing::Uniform,
        false => Drawing::ByPrior,
    };
    let mut all: Vec<(String, Seed, ByStage)> = Vec::new();
    let of = scenarios.len() * seeds.len();
    let mut waiting = Waiting::new("drawing", "vehicles", io);
    for word in &scenarios {
        let loaded = files::scenario(word, options.vehicle.as_deref())?;
        let failed = |error: LearnerError| Failure::Misuse(format!("`{word}`: {error}"));
        let (sound, scenario) = (
            Arc::clone(&loaded.vehicle.vehicle),
            Arc::clone(&loaded.scenario),
        );
        let dictionary = Drivers::of(&sound, &scenario).and_then(FaultDictionary::of);
        let dictionary = dictionary.map_err(|error| failed(error.into()))?;
        let before = all.len();
        let found = believed(&dictionary, &seeds, drawing, &mut |count| {
            waiting.tell(Progress {
                done: before + count,
                of,
            });
        });
        let found = found.map_err(failed)?.into_iter();
        all.extend(found.map(|(seed, believed)| (word.clone(), seed, believed)));
    }
    waiting.end();
    let study = Study::of(scenarios, options.uniform, &all)
        .map_err(|error| Failure::Misuse(format!("too little was drawn: {error}")))?;
    match options.format {
        Format::Text => io.print(&page(&study))?,
        Format::Json => io.print_json(&Table::of(&study))?,
    }
    Ok(if study.falls_short().is_empty() {
        Exit::Done
    } else {
        Exit::FallsShort
    })
}
