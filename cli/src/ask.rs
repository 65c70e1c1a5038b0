//! The subcommands that answer and are done: list, show, solve, schema, netlist, replay, debrief.

use std::path::Path;
use std::sync::Arc;

use groundside_engine::attempt::Replayed;
use groundside_engine::file;
use groundside_engine::quantity::Angle;
use groundside_engine::quantity::Voltage;
use groundside_engine::scenario::{Glass, Symptom};
use groundside_engine::vehicle::{ComponentId, Instrument, Kind, Vehicle};
use groundside_engine::world::{
    Conditions, OperatingPoint, PointQuery, Shaft, Signature, VOLTMETER, World, symptom,
};

use crate::args::{Debrief, FileWord, Format, List, Point, Record, Show, Solve};
use crate::files::{self, SCENARIOS, VEHICLES};
use crate::opening::play_again;
use crate::problem::Failure;
use crate::render::{
    cautions, debrief as debrief_page, list as lists, netlist as deck, point, show as shown,
};
use crate::session::marked;
use crate::style::{Page, Tone};
use crate::{Exit, Io};

/// `list`.
pub(crate) fn list(list: &List, io: &mut Io<'_>) -> Result<Exit, Failure> {
    match list {
        List::Vehicles(listing) => {
            let loaded = VEHICLES.map(|(id, _)| files::vehicle(id));
            let loaded = loaded.into_iter().collect::<Result<Vec<_>, _>>()?;
            let all: Vec<&Vehicle> = loaded
                .iter()
                .map(|loaded| loaded.vehicle.as_ref())
                .collect();
            match listing.format {
                Format::Text => io.print(&lists::vehicles(&all))?,
                Format::Json => io.print_document(&lists::vehicles_json(&all))?,
            }
        }
        List::Scenarios(listing) => {
            let loaded = SCENARIOS.map(|(id, _)| files::scenario(id, None));
            let loaded = loaded.into_iter().collect::<Result<Vec<_>, _>>()?;
            let all: Vec<_> = loaded
                .iter()
                .map(|loaded| loaded.scenario.as_ref())
                .collect();
            match listing.format {
                Format::Text => io.print(&lists::scenarios(&all))?,
                Format::Json => io.print_document(&lists::scenarios_json(&all))?,
            }
        }
        List::Hazards(listing) => match listing.format {
            Format::Text => io.print(&cautions::list())?,
            Format::Json => io.print_document(&cautions::list_json())?,
        },
        List::Faults { vehicle, listing } => {
            let sound = files::vehicle(vehicle)?.vehicle;
            let complaints = complaints(&sound)?;
            match listing.format {
                Format::Text => io.print(&lists::faults(&sound, &complaints))?,
                Format::Json => io.print_document(&lists::faults_json(&sound, &complaints))?,
            }
        }
    }
    Ok(Exit::Done)
}

/// What each fault at its median severity makes a driver complain of, on wet glass; `None` for one
/// that stays latent.
fn complaints(sound: &Arc<Vehicle>) -> Result<Vec<Option<Symptom>>, Failure> {
    let conditions = Conditions {
        glass: Glass::Wet,
        rain: false,
        helper: false,
    };
    let signature = |vehicle: Arc<Vehicle>| -> Result<Signature, Failure> {
        let mut world = World::new(vehicle, Arc::clone(sound), conditions)
            .map_err(groundside_engine::world::WorldError::from)?;
        // As it comes in: a link that melts for the fault has melted by then.
        world
            .arrive()
            .map_err(groundside_engine::world::WorldError::from)?;
        Ok(Signature::of(world).map_err(groundside_engine::world::WorldError::from)?)
    };
    let healthy = signature(Arc::clone(sound))?;
    let faults = sound.faults();
    faults
        .iter()
        .map(|(id, _, mode)| {
            let name = format!("{}.{}", sound.component(*id).id, mode.name);
            let faulty = sound.inject(&sound.parse_fault(&name)?);
            Ok(symptom(&signature(Arc::new(faulty))?, &healthy))
        })
        .collect()
}

/// `show`.
pub(crate) fn show(show: &Show, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let vehicle = files::vehicle(&show.vehicle)?.vehicle;
    if let Some(kind) = &show.kind {
        let known = shown::kinds(&vehicle);
        if !known.contains(&kind.as_str()) {
            return Err(Failure::unknown("kind of component", kind, known));
        }
    }
    match show.format {
        Format::Text => io.print(&shown::page(&vehicle, show.kind.as_deref()))?,
        Format::Json => io.print_document(&shown::document(&vehicle, show.kind.as_deref()))?,
    }
    Ok(Exit::Done)
}

/// The vehicle and operating point that were asked for.
fn operating_point(asked: &Point) -> Result<(Arc<Vehicle>, PointQuery, OperatingPoint), Failure> {
    let sound = files::vehicle(&asked.vehicle)?.vehicle;
    let vehicle = match &asked.fault {
        Some(fault) => Arc::new(sound.inject_all(&sound.parse_faults(fault)?)),
        None => sound,
    };
    let mut positions = Vec::new();
    for (word, position) in [("key", &asked.key), ("wiper", &asked.wiper)] {
        if let Some(position) = position {
            positions.push(control(&vehicle, word, position)?);
        }
    }
    for set in &asked.set {
        let (word, position) = set
            .split_once('=')
            .ok_or_else(|| Failure::Misuse(format!("`{set}` is not CONTROL=POSITION")))?;
        positions.push(control(&vehicle, word, position)?);
    }
    let unplugged = asked.unplug.iter().map(|id| {
        one_of(&vehicle, id, "connector or strap", |kind| {
            matches!(kind, Kind::Connector { .. } | Kind::Strap(_))
        })
    });
    let tripped = asked.trip.iter().map(|id| {
        one_of(&vehicle, id, "breaker, fuse or fusible link", |kind| {
            matches!(
                kind,
                Kind::Breaker(_) | Kind::Fuse(_) | Kind::FusibleLink(_)
            )
        })
    });
    let instruments = asked.volts.chunks_exact(2).map(|leads| {
        let points = [probe(&vehicle, &leads[0])?, probe(&vehicle, &leads[1])?];
        let [red, black] = points.map(|point| vehicle.node(point));
        if red == black {
            let [first, second] = points.map(|point| vehicle.point_name(point));
            let told = if first == second {
                format!("both leads are on {first}: name a second point")
            } else {
                format!("{first} and {second} are one point: name another for the second lead")
            };
            return Err(Failure::Misuse(told));
        }
        Ok(Instrument {
            red,
            black,
            resistance: VOLTMETER,
            emf: Voltage::ZERO,
        })
    });
    let glasses = [Glass::Dry, Glass::Wet, Glass::Streaming].map(Glass::word);
    let query = PointQuery {
        positions,
        unplugged: unplugged.collect::<Result<_, _>>()?,
        tripped: tripped.collect::<Result<_, _>>()?,
        parted: Vec::new(),
        crank: angle("crank", asked.crank)?,
        shaft_angle: angle("shaft", asked.shaft)?,
        shaft: if asked.held {
            Shaft::Held
        } else {
            Shaft::Running
        },
        glass: Glass::from_word(&asked.glass)
            .ok_or_else(|| Failure::unknown("state of the glass", &asked.glass, glasses))?,
        instruments: instruments.collect::<Result<_, Failure>>()?,
    };
    let point = OperatingPoint::of(&vehicle, &query)?;
    Ok((vehicle, query, point))
}

fn control(vehicle: &Vehicle, word: &str, position: &str) -> Result<(ComponentId, usize), Failure> {
    let words = vehicle
        .controls()
        .filter_map(|(_, component)| component.control.as_ref());
    let words: Vec<&str> = words.map(|word| word.as_str()).collect();
    let id = vehicle
        .control(word)
        .ok_or_else(|| Failure::unknown("control", word, words))?;
    let positions = vehicle.component(id).positions();
    let found = positions.iter().position(|name| *name == position);
    let place = found.ok_or_else(|| Failure::unknown("position", position, positions))?;
    Ok((id, place))
}

/// An angle as given, in degrees.
fn angle(what: &str, degrees: Option<f64>) -> Result<Option<Angle>, Failure> {
    if degrees.is_some_and(|degrees| !degrees.is_finite()) {
        let why = format!("the {what} angle is not a finite number");
        return Err(Failure::Misuse(why));
    }
    Ok(degrees.map(Angle::from_degrees))
}

/// The component with this id, among those of a kind.
fn one_of(
    vehicle: &Vehicle,
    id: &str,
    what: &'static str,
    is_one: fn(&Kind) -> bool,
) -> Result<ComponentId, Failure> {
    let is_one = |id: &ComponentId| is_one(&vehicle.component(*id).kind);
    vehicle.find(id).filter(is_one).ok_or_else(|| {
        let all = vehicle.ids().filter(is_one);
        Failure::unknown(what, id, all.map(|id| vehicle.component(id).id.as_str()))
    })
}

/// A point as `component terminal` or `component.terminal`.
fn probe(vehicle: &Vehicle, text: &str) -> Result<groundside_engine::vehicle::Point, Failure> {
    let wanted = text.trim().replace('.', " ");
    let found = vehicle
        .points()
        .find(|&point| vehicle.point_name(point) == wanted);
    found.ok_or_else(|| {
        let names: Vec<String> = vehicle
            .points()
            .map(|point| vehicle.point_name(point))
            .collect();
        Failure::unknown("point", text, names.iter().map(String::as_str))
    })
}

/// `solve`.
pub(crate) fn solve(solve: &Solve, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let (vehicle, query, solved) = operating_point(&solve.point)?;
    match solve.format {
        Format::Text => io.print(&point::page(&vehicle, &query, &solved))?,
        Format::Json => io.print_document(&point::document(&vehicle, &query, &solved))?,
    }
    Ok(Exit::Done)
}

/// `schema`.
pub(crate) fn schema(kind: Option<FileWord>, io: &mut Io<'_>) -> Result<Exit, Failure> {
    io.print_document(&file::schema(kind.map(Into::into)))?;
    Ok(Exit::Done)
}

/// `netlist`.
pub(crate) fn netlist(asked: &Point, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let (vehicle, query, solved) = operating_point(asked)?;
    let text = deck::deck(&vehicle, asked.fault.as_deref(), &query, &solved);
    io.output.write_all(text.as_bytes())?;
    Ok(Exit::Done)
}

/// Plays a record again on the shipped files or those that are named.
fn played(asked: &Record) -> Result<Replayed, Failure> {
    let path: &Path = &asked.record;
    let parsed = files::record(path)?;
    let vehicle = asked.vehicle.as_deref();
    let loaded = match &asked.scenario {
        Some(file) => files::scenario_file(file, vehicle)?,
        // The name in a record is no path: only shipped scenarios are found by it.
        None => files::shipped_scenario(&parsed.header.scenario, vehicle).map_err(|failure| {
            Failure::unusable(path, format!("line 1: {failure}; --scenario names a file"))
        })?,
    };
    play_again(path, &parsed, &loaded)
}

/// `replay`.
pub(crate) fn replay(asked: &Record, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let replayed = played(asked)?;
    let mut page = Page::default();
    if replayed.torn {
        page.add(
            Tone::Caution,
            "The last line was cut off in the writing and is left out.",
        );
    }
    let exit = match &replayed.difference {
        None => {
            let events = replayed.attempt.events().len();
            let state = if replayed.attempt.is_over() {
                "ended"
            } else {
                "not ended"
            };
            let told = format!("The record is what the engine gives: {events} actions, {state}.");
            page.add(Tone::Plain, told);
            Exit::Done
        }
        Some(difference) => {
            let line = difference.line;
            page.add(
                Tone::Refused,
                format!("Line {line} is not what the engine gives."),
            );
            page.row(format!("stands there: {}", difference.recorded));
            page.row(format!("engine gives: {}", difference.given));
            Exit::FallsShort
        }
    };
    io.print(&page)?;
    Ok(exit)
}

/// `debrief`.
pub(crate) fn debrief(asked: &Debrief, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let replayed = played(&asked.record)?;
    let path: &Path = &asked.record.record;
    if let Some(difference) = &replayed.difference {
        let why = format!(
            "line {} is not what the engine gives; `replay` shows both",
            difference.line
        );
        return Err(Failure::unusable(path, why));
    }
    let attempt = &replayed.attempt;
    if !attempt.is_over() {
        let why = "the attempt has not ended; go on with `practice --resume`";
        return Err(Failure::unusable(path, why));
    }
    let told = marked(attempt, io)?;
    match asked.format {
        Format::Text => io.print(&debrief_page::page(&told, attempt))?,
        Format::Json => {
            io.print_document(&debrief_page::document(&told, &attempt.assignment().sound))?;
        }
    }
    Ok(Exit::Done)
}
