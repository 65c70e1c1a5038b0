//! `lint`: everything that is wrong with an author's files, each scenario beside its vehicle.

#[cfg(test)]
mod tests;

use std::path::Path;
use std::sync::Arc;

use groundside_engine::file::{Code, FileKind, Finding, Severity, read_scenario, read_vehicle};
use groundside_engine::ident::Name;
use groundside_engine::lint::{error_at, lint_scenario, lint_vehicle};
use groundside_engine::marking::Progress;
use groundside_engine::vehicle::Vehicle;

use crate::args::{Format, Lint};
use crate::files::{self, Authored};
use crate::problem::{Failure, kept_note, underlined};
use crate::render::lint::{Checked, count, document, sentences, sum};
use crate::style::{Page, Tone};
use crate::waiting::Waiting;
use crate::{Exit, Io};

/// `lint`.
pub(crate) fn lint(options: &Lint, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let (files, failures) = files::authored(&options.paths);
    let given = options.vehicle.as_deref().map(files::read_authored);
    let given = given.transpose()?;
    let checked = checked(&files, given.as_ref(), io);
    match options.format {
        Format::Json => io.print_document(&document(&checked))?,
        Format::Text => {
            for file in &checked {
                told(file, options.plain, io)?;
            }
            // Where nothing could be read there is nothing to sum up.
            if !checked.is_empty() {
                io.print(&Page::of(Tone::Strong, sum(&checked)))?;
            }
        }
    }
    let errors = count(&checked, Severity::Error);
    let paint = io.error_paint();
    for failure in &failures {
        io.errors.write_all(failure.report(paint).as_bytes())?;
    }
    Ok(match (failures.is_empty(), errors) {
        (false, _) => Exit::Misuse,
        (true, 0) => Exit::Done,
        (true, _) => Exit::FallsShort,
    })
}

/// Writes what was found in a file.
fn told(file: &Checked, plain: bool, io: &mut Io<'_>) -> Result<(), Failure> {
    if plain {
        let paint = crate::style::Paint { colour: false };
        for line in &sentences(file).0 {
            writeln!(io.output, "{}", paint.line(line))?;
        }
    } else {
        let report = underlined(&file.path, &file.text, &file.findings, io.paint());
        io.output.write_all(report.as_bytes())?;
    }
    if let Some(note) = kept_note(&file.path, &file.findings) {
        io.print(&Page::of(Tone::Plain, note))?;
    }
    Ok(())
}

/// A vehicle file that was checked.
struct Known<'f> {
    path: &'f Path,
    vehicle: Option<Arc<Vehicle>>,
}

/// Checks files: vehicles first, as scenarios need them.
fn checked(files: &[Authored], given: Option<&Authored>, io: &mut Io<'_>) -> Vec<Checked> {
    let mut waiting = Waiting::new("checking", "files", io);
    let mut done = 0;
    let mut tell = |waiting: &mut Waiting<'_>| {
        waiting.tell(Progress {
            done,
            of: files.len(),
        });
        done += 1;
    };
    let kinds: Vec<Result<FileKind, Vec<Finding>>> =
        files.iter().map(|file| FileKind::of(&file.text)).collect();
    let mut known: Vec<Known<'_>> = Vec::new();
    let mut found: Vec<Vec<Finding>> = Vec::new();
    for (file, kind) in files.iter().zip(&kinds) {
        found.push(match kind {
            Ok(FileKind::Vehicle) => {
                tell(&mut waiting);
                let (vehicle, mut findings) = lint_vehicle(&file.text);
                findings.extend(taken(vehicle.as_deref(), &file.text, &known));
                let path = file.path.as_path();
                known.push(Known { path, vehicle });
                findings
            }
            Ok(FileKind::Scenario) => Vec::new(),
            Err(findings) => findings.clone(),
        });
    }
    for ((file, kind), findings) in files.iter().zip(&kinds).zip(&mut found) {
        if *kind == Ok(FileKind::Scenario) {
            tell(&mut waiting);
            *findings = of_scenario(file, &known, given);
        }
    }
    waiting.end();
    let files = files.iter().zip(found);
    files
        .map(|(file, findings)| Checked {
            path: file.path.display().to_string(),
            text: file.text.clone(),
            findings,
        })
        .collect()
}

/// What is said of a vehicle that has the id of one before it.
fn taken(vehicle: Option<&Vehicle>, text: &str, known: &[Known<'_>]) -> Vec<Finding> {
    let same = vehicle.and_then(|vehicle| {
        let of = |known: &&Known<'_>| {
            let other = known.vehicle.as_deref();
            other.is_some_and(|other| other.id == vehicle.id)
        };
        known.iter().find(of)
    });
    same.map_or_else(Vec::new, |same| {
        let message = format!("{} has the same id", same.path.display());
        let help = "a scenario finds its vehicle by its id, so each needs its own";
        error_at(text, ("vehicle", "id"), Code::DuplicateId, &message, help)
    })
}

fn of_scenario(file: &Authored, known: &[Known<'_>], given: Option<&Authored>) -> Vec<Finding> {
    let scenario = match read_scenario(&file.text) {
        Ok(scenario) => scenario,
        Err(findings) => return findings,
    };
    match vehicle_of(&scenario.vehicle, &file.path, known, given) {
        Ok(vehicle) => lint_scenario(&scenario, &file.text, &vehicle),
        Err((why, help)) => error_at(
            &file.text,
            ("scenario", "vehicle"),
            Code::NoVehicle,
            &why,
            &help,
        ),
    }
}

/// A scenario's vehicle, or why there is none and what would do.
fn vehicle_of(
    id: &Name,
    scenario: &Path,
    known: &[Known<'_>],
    given: Option<&Authored>,
) -> Result<Arc<Vehicle>, (String, String)> {
    let unusable = |path: &Path| {
        let why = format!(
            "its vehicle `{id}` is not checked against: {} has errors",
            path.display()
        );
        Err((why, "put that file right first".to_owned()))
    };
    let vehicles = known.iter().filter_map(|known| known.vehicle.as_ref());
    if let Some(vehicle) = vehicles.into_iter().find(|vehicle| vehicle.id == *id) {
        return Ok(Arc::clone(vehicle));
    }
    // Of one that cannot be read only the name of its file says what it was to be.
    let broken = known.iter().find(|known| {
        let stem = known.path.file_stem();
        known.vehicle.is_none() && stem.is_some_and(|stem| stem == id.as_str())
    });
    if let Some(broken) = broken {
        return unusable(broken.path);
    }
    if let Ok(shipped) = files::shipped_vehicle(id.as_str()) {
        return Ok(shipped.vehicle);
    }
    if let Some(beside) = files::beside(scenario, id) {
        let beside = beside.map_err(|failure| {
            let help = "a vehicle file beside the scenario can be read".to_owned();
            (failure.to_string(), help)
        })?;
        return match read_vehicle(&beside.text) {
            Ok((vehicle, _)) => Ok(Arc::new(vehicle)),
            Err(_) => unusable(&beside.path),
        };
    }
    match given.map(|file| (file, read_vehicle(&file.text))) {
        Some((_, Ok((vehicle, _)))) => Ok(Arc::new(vehicle)),
        Some((file, Err(_))) => unusable(&file.path),
        None => {
            let why = format!("its vehicle `{id}` is not at hand");
            let help = format!(
                "check its file along with this one, put it beside this one as {id}.toml, or name it with --vehicle"
            );
            Err((why, help))
        }
    }
}
