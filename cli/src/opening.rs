//! How an attempt begins: drawn anew, or gone on with from its record.

use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt, Header, Parsed, Replayed, replay};
use groundside_engine::random::Seed;

use crate::Io;
use crate::args::Practice;
use crate::files::{self, Loaded, Recorder};
use crate::problem::{Failure, findings_report};

/// An attempt to be played, and its record.
pub(crate) struct Opened {
    /// The attempt.
    pub(crate) attempt: Attempt,
    /// Where it is recorded.
    pub(crate) recorder: Option<Recorder>,
    /// Whether a torn last line of its record was dropped.
    pub(crate) torn: bool,
}

/// Starts a new attempt, or goes on with one.
pub(crate) fn open(
    options: &Practice,
    at_terminal: bool,
    io: &mut Io<'_>,
) -> Result<Opened, Failure> {
    if let Some(path) = &options.resume {
        return resume(path, options, io);
    }
    let word = options
        .scenario
        .as_deref()
        .unwrap_or(files::DEFAULT_SCENARIO);
    let loaded = files::scenario(word, options.vehicle.as_deref())?;
    warn(&loaded, io)?;
    let sound = &loaded.vehicle.vehicle;
    let chosen = options
        .fault
        .as_deref()
        .map(|text| sound.parse_faults(text))
        .transpose()?;
    let seed = match options.seed {
        Some(seed) => seed,
        // Small, so that it can be said across a workshop.
        None if at_terminal => io.host.clock % 100_000,
        None => 1,
    };
    let assignment = Assignment {
        sound: Arc::clone(sound),
        scenario: Arc::clone(&loaded.scenario),
        seed: Seed(seed),
        chosen,
    };
    let header = header_of(&assignment, &loaded);
    let stem = format!("{}-{seed}", loaded.scenario.id);
    let attempt = Attempt::start(assignment)?;
    let recorder = match (&options.record, &io.host.state_dir) {
        (Some(path), _) => Some(Recorder::create(path, &header)?),
        // Nobody asked for this one, so practice goes on without it.
        (None, Some(dir)) if at_terminal => match Recorder::keep(dir, &stem, &header) {
            Ok(recorder) => Some(recorder),
            Err(_) => {
                let dir = dir.display();
                writeln!(io.errors, "No record is kept: {dir} cannot be written.")?;
                None
            }
        },
        _ => None,
    };
    Ok(Opened {
        attempt,
        recorder,
        torn: false,
    })
}

/// The header of an attempt on these files.
fn header_of(assignment: &Assignment, loaded: &Loaded) -> Header {
    Header::of(assignment, &loaded.vehicle.digest, &loaded.digest)
}

/// Tells of what the author of a vehicle file or a scenario file should look at.
fn warn(loaded: &Loaded, io: &mut Io<'_>) -> Result<(), Failure> {
    let both = [&loaded.vehicle.warnings, &loaded.warnings];
    for (path, text, findings) in both.into_iter().flatten() {
        let report = findings_report(path, text, findings, io.error_paint());
        io.errors.write_all(report.as_bytes())?;
    }
    Ok(())
}

fn resume(path: &Path, options: &Practice, io: &mut Io<'_>) -> Result<Opened, Failure> {
    let record = files::open_record(path)?;
    let vehicle = options.vehicle.as_deref();
    let loaded =
        match &options.scenario {
            Some(word) => files::scenario(word, vehicle)?,
            // The name in a record is no path: only shipped scenarios are found by it.
            None => files::shipped_scenario(&record.parsed.header.scenario, vehicle).map_err(
                |failure| Failure::unusable(path, format!("line 1: {failure}; name its file")),
            )?,
        };
    warn(&loaded, io)?;
    let replayed = play_again(path, &record.parsed, &loaded)?;
    if let Some(difference) = replayed.difference {
        let why = format!(
            "line {} is not what the engine gives; `groundside replay` shows both",
            difference.line
        );
        return Err(Failure::unusable(path, why));
    }
    if replayed.attempt.is_over() {
        let why = "this attempt has ended; `groundside debrief` explains it";
        return Err(Failure::unusable(path, why));
    }
    Ok(Opened {
        attempt: replayed.attempt,
        recorder: Some(record.go_on()?),
        torn: replayed.torn,
    })
}

/// Plays a record again on the files it was made with.
pub(crate) fn play_again(
    path: &Path,
    parsed: &Parsed,
    loaded: &Loaded,
) -> Result<Replayed, Failure> {
    let sound = &loaded.vehicle.vehicle;
    let fault = parsed.header.fault.as_deref();
    let chosen = fault
        .map(|text| sound.parse_faults(text))
        .transpose()
        .map_err(|error| Failure::unusable(path, format!("line 1: {error}")))?;
    let assignment = Assignment {
        sound: Arc::clone(sound),
        scenario: Arc::clone(&loaded.scenario),
        seed: parsed.header.seed(),
        chosen,
    };
    let header = header_of(&assignment, loaded);
    replay(parsed, assignment, &header).map_err(|error| Failure::replay(path, &error))
}
