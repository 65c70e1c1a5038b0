//! `study`: what the engine makes of a vehicle's faults as a whole.

use std::sync::{Arc, mpsc};
use std::thread;

use groundside_engine::attempt::Assignment;
use groundside_engine::marking::{self, MarkingError};
use groundside_engine::random::Seed;

use crate::args::{Format, Observability, Study};
use crate::files;
use crate::problem::Failure;
use crate::render::observability::{Table, page};
use crate::waiting::Waiting;
use crate::{Exit, Io};

/// `study`.
pub(crate) fn study(study: &Study, io: &mut Io<'_>) -> Result<Exit, Failure> {
    match study {
        Study::Observability(options) => observability(options, io),
        Study::Separation(options) => crate::separation::separation(options, io),
        Study::Calibration(options) => crate::calibration::calibration(options, io),
    }
}

/// The table, with how far it is for a person who waits: it is told from the threads that work, and written by this one.
fn watched(
    assignment: &Assignment,
    io: &mut Io<'_>,
) -> Result<marking::Observability, MarkingError> {
    let mut waiting = Waiting::new("trying", "faults", io);
    let (tell, told) = mpsc::channel();
    let table = thread::scope(|scope| {
        let work = scope.spawn(move || {
            // Nobody listens any more when there is nobody to be told.
            let tell = |progress| {
                let _ = tell.send(progress);
            };
            marking::observability_telling(assignment, &marking::SEVERITIES, &tell)
        });
        told.iter().for_each(|progress| waiting.tell(progress));
        work.join()
    });
    waiting.end();
    table.unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}

/// Every fault by every check. The exit code says whether each is told by some.
fn observability(options: &Observability, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let word = options
        .scenario
        .as_deref()
        .unwrap_or(files::DEFAULT_SCENARIO);
    let loaded = files::scenario(word, options.vehicle.as_deref())?;
    let assignment = Assignment {
        sound: Arc::clone(&loaded.vehicle.vehicle),
        scenario: Arc::clone(&loaded.scenario),
        seed: Seed(1),
        chosen: None,
    };
    let table = watched(&assignment, io)
        .map_err(|error| Failure::Misuse(format!("the vehicle could not be run: {error}")))?;
    match options.format {
        Format::Text => io.print(&page(&table))?,
        Format::Json => io.print_json(&Table::of(&table))?,
    }
    Ok(if table.latent().is_empty() {
        Exit::Done
    } else {
        Exit::FallsShort
    })
}
