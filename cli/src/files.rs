//! The only file access of the program, and the files that are built into it.

mod authored;

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use groundside_engine::attempt::{Event, Header, Parsed, digest, event_line, header_line, parse};
use groundside_engine::file::{
    FILE_BYTES_MAX, Finding, Severity, check_scenario, read_scenario, read_vehicle,
};
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::Vehicle;

use crate::problem::Failure;

pub(crate) use authored::{Authored, authored, beside, read_authored, write_new};

/// The scenario that is practised on when none is named.
pub(crate) const DEFAULT_SCENARIO: &str = "rain-on-the-quay";

/// The shipped scenarios, by id.
pub(crate) const SCENARIOS: [(&str, &str); 9] = [
    (
        "rain-on-the-quay",
        include_str!("../../scenarios/rain-on-the-quay.toml"),
    ),
    (
        "stiff-morning",
        include_str!("../../scenarios/stiff-morning.toml"),
    ),
    (
        "last-boat-out",
        include_str!("../../scenarios/last-boat-out.toml"),
    ),
    (
        "frost-on-the-slip",
        include_str!("../../scenarios/frost-on-the-slip.toml"),
    ),
    (
        "dust-from-the-wharf",
        include_str!("../../scenarios/dust-from-the-wharf.toml"),
    ),
    (
        "late-bus-to-the-light",
        include_str!("../../scenarios/late-bus-to-the-light.toml"),
    ),
    (
        "sleet-at-the-turning",
        include_str!("../../scenarios/sleet-at-the-turning.toml"),
    ),
    (
        "drizzle-on-the-mole",
        include_str!("../../scenarios/drizzle-on-the-mole.toml"),
    ),
    (
        "fog-at-the-signal",
        include_str!("../../scenarios/fog-at-the-signal.toml"),
    ),
];

/// The shipped vehicles, by id.
pub(crate) const VEHICLES: [(&str, &str); 5] = [
    (
        "van-case-ground",
        include_str!("../../scenarios/van-case-ground.toml"),
    ),
    (
        "hatch-relay",
        include_str!("../../scenarios/hatch-relay.toml"),
    ),
    (
        "bus-compound",
        include_str!("../../scenarios/bus-compound.toml"),
    ),
    (
        "bus-compound-rheostat",
        include_str!("../../scenarios/bus-compound-rheostat.toml"),
    ),
    (
        "sedan-reversing",
        include_str!("../../scenarios/sedan-reversing.toml"),
    ),
];

/// Largest record that is read, bytes: as many events as an attempt holds, each of some size.
const RECORD_BYTES_MAX: u64 = 16 << 20;

/// Most records of one draw that are kept under the state directory.
const NAMES_MAX: usize = 10_000;

/// A vehicle with where it came from.
#[derive(Clone, Debug)]
pub(crate) struct LoadedVehicle {
    /// The vehicle.
    pub(crate) vehicle: Arc<Vehicle>,
    /// SHA-256 of its file.
    pub(crate) digest: String,
    /// What its author should look at: file, text, findings.
    pub(crate) warnings: Option<(String, String, Vec<Finding>)>,
}

/// A scenario with its vehicle.
#[derive(Clone, Debug)]
pub(crate) struct Loaded {
    /// The scenario.
    pub(crate) scenario: Arc<Scenario>,
    /// SHA-256 of its file.
    pub(crate) digest: String,
    /// Its vehicle.
    pub(crate) vehicle: LoadedVehicle,
    /// What its author should look at: file, text, findings.
    pub(crate) warnings: Option<(String, String, Vec<Finding>)>,
}

/// Reads a text file of bounded size.
fn read_text(path: &Path, bytes_max: u64) -> Result<String, Failure> {
    let failed = |error| Failure::file(path, "could not be read", error);
    let file = File::open(path).map_err(failed)?;
    read_open(path, &file, bytes_max)
}

fn read_open(path: &Path, file: &File, bytes_max: u64) -> Result<String, Failure> {
    let failed = |error| Failure::file(path, "could not be read", error);
    let mut bytes = Vec::new();
    file.take(bytes_max + 1)
        .read_to_end(&mut bytes)
        .map_err(failed)?;
    if bytes.len() as u64 > bytes_max {
        let why = format!("the file is larger than {} MiB", bytes_max >> 20);
        return Err(Failure::unusable(path, why));
    }
    String::from_utf8(bytes).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..valid]
            .iter()
            .filter(|&&byte| byte == b'\n')
            .count()
            + 1;
        Failure::unusable(path, format!("line {line}: this is not UTF-8 text"))
    })
}

/// The text of a script.
pub(crate) fn script(path: &Path) -> Result<String, Failure> {
    read_text(path, FILE_BYTES_MAX as u64)
}

/// Whether a word is meant as a path rather than a name.
fn is_path(word: &str) -> bool {
    word.contains(['/', '\\', '.']) || Path::new(word).is_file()
}

fn shipped(list: &[(&'static str, &'static str)], id: &str) -> Option<&'static str> {
    list.iter()
        .find(|(shipped, _)| *shipped == id)
        .map(|(_, text)| *text)
}

fn vehicle_of(path: &str, text: &str) -> Result<LoadedVehicle, Failure> {
    match read_vehicle(text) {
        Ok((vehicle, findings)) => Ok(LoadedVehicle {
            vehicle: Arc::new(vehicle),
            digest: digest(text),
            warnings: (!findings.is_empty()).then(|| (path.to_owned(), text.to_owned(), findings)),
        }),
        Err(findings) => Err(Failure::Findings {
            path: path.to_owned(),
            text: text.to_owned(),
            findings,
        }),
    }
}

fn vehicle_file(path: &Path) -> Result<LoadedVehicle, Failure> {
    let text = read_text(path, FILE_BYTES_MAX as u64)?;
    vehicle_of(&path.display().to_string(), &text)
}

/// A vehicle by its name, or from a file.
pub(crate) fn vehicle(word: &str) -> Result<LoadedVehicle, Failure> {
    match shipped(&VEHICLES, word) {
        Some(text) => vehicle_of(&format!("{word}.toml"), text),
        None if is_path(word) => vehicle_file(Path::new(word)),
        None => Err(Failure::unknown(
            "vehicle",
            word,
            VEHICLES.map(|(id, _)| id),
        )),
    }
}

/// A shipped vehicle by its name alone, which is never taken for a path.
pub(crate) fn shipped_vehicle(id: &str) -> Result<LoadedVehicle, Failure> {
    match shipped(&VEHICLES, id) {
        Some(text) => vehicle_of(&format!("{id}.toml"), text),
        None => Err(Failure::unknown("vehicle", id, VEHICLES.map(|(id, _)| id))),
    }
}

/// A scenario by its name, or from a file, with its vehicle; `vehicle` is a file for that when it is
/// not a shipped one.
pub(crate) fn scenario(word: &str, vehicle: Option<&Path>) -> Result<Loaded, Failure> {
    match shipped(&SCENARIOS, word) {
        Some(text) => scenario_of(&format!("{word}.toml"), text, vehicle),
        None if is_path(word) => scenario_file(Path::new(word), vehicle),
        None => Err(Failure::unknown(
            "scenario",
            word,
            SCENARIOS.map(|(id, _)| id),
        )),
    }
}

/// A shipped scenario by its name alone, which is never taken for a path.
pub(crate) fn shipped_scenario(id: &str, vehicle: Option<&Path>) -> Result<Loaded, Failure> {
    match shipped(&SCENARIOS, id) {
        Some(text) => scenario_of(&format!("{id}.toml"), text, vehicle),
        None => Err(Failure::unknown(
            "scenario",
            id,
            SCENARIOS.map(|(id, _)| id),
        )),
    }
}

/// A scenario from a file, with its vehicle.
pub(crate) fn scenario_file(path: &Path, vehicle: Option<&Path>) -> Result<Loaded, Failure> {
    let text = read_text(path, FILE_BYTES_MAX as u64)?;
    scenario_of(&path.display().to_string(), &text, vehicle)
}

fn scenario_of(path: &str, text: &str, vehicle: Option<&Path>) -> Result<Loaded, Failure> {
    let unusable = |findings| Failure::Findings {
        path: path.to_owned(),
        text: text.to_owned(),
        findings,
    };
    let scenario = read_scenario(text).map_err(unusable)?;
    let vehicle = match (vehicle, shipped(&VEHICLES, scenario.vehicle.as_str())) {
        (Some(file), _) => vehicle_file(file)?,
        (None, Some(_)) => self::vehicle(scenario.vehicle.as_str())?,
        (None, None) => {
            let why = format!(
                "its vehicle `{}` is not a shipped one; give its file with --vehicle",
                scenario.vehicle
            );
            return Err(Failure::unusable(Path::new(path), why));
        }
    };
    let findings = check_scenario(&scenario, text, &vehicle.vehicle);
    if findings
        .iter()
        .any(|finding| finding.severity == Severity::Error)
    {
        return Err(unusable(findings));
    }
    Ok(Loaded {
        scenario: Arc::new(scenario),
        digest: digest(text),
        vehicle,
        warnings: (!findings.is_empty()).then(|| (path.to_owned(), text.to_owned(), findings)),
    })
}

/// A record being written: one line appended and put on disk for each event.
#[derive(Debug)]
pub(crate) struct Recorder {
    file: File,
    path: PathBuf,
    chain: String,
}

impl Recorder {
    /// Starts a record in a new file; a file that exists is left alone.
    pub(crate) fn create(path: &Path, header: &Header) -> Result<Self, Failure> {
        let failed = |error: std::io::Error| match error.kind() {
            ErrorKind::AlreadyExists => Failure::Taken {
                path: path.display().to_string(),
            },
            _ => Failure::file(path, "the record could not be made", error),
        };
        let file = OpenOptions::new()
            .append(true)
            .create_new(true)
            .open(path)
            .map_err(failed)?;
        lock(path, &file)?;
        let (line, chain) = header_line(header).map_err(|error| Failure::record(path, &error))?;
        let mut recorder = Self {
            file,
            path: path.to_owned(),
            chain,
        };
        recorder.append(&line)?;
        Ok(recorder)
    }

    /// Starts a record under the user's state directory, by a name that is not taken.
    pub(crate) fn keep(dir: &Path, stem: &str, header: &Header) -> Result<Self, Failure> {
        fs::create_dir_all(dir)
            .map_err(|error| Failure::file(dir, "the directory could not be made", error))?;
        let mut number = 1;
        loop {
            let tail = if number == 1 {
                String::new()
            } else {
                format!("-{number}")
            };
            match Self::create(&dir.join(format!("{stem}{tail}.jsonl")), header) {
                Err(Failure::Taken { .. }) if number < NAMES_MAX => number += 1,
                other => return other,
            }
        }
    }

    /// Writes an event.
    pub(crate) fn write(&mut self, event: &Event, vehicle: &Vehicle) -> Result<(), Failure> {
        let (line, chain) = event_line(event, vehicle, &self.chain)
            .map_err(|error| Failure::record(&self.path, &error))?;
        self.append(&line)?;
        self.chain = chain;
        Ok(())
    }

    fn append(&mut self, line: &str) -> Result<(), Failure> {
        let whole = format!("{line}\n");
        self.file
            .write_all(whole.as_bytes())
            .and_then(|()| self.file.sync_data())
            .map_err(|error| Failure::file(&self.path, "the record could not be written", error))
    }

    /// Where it is.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }
}

fn lock(path: &Path, file: &File) -> Result<(), Failure> {
    match file.try_lock() {
        Ok(()) => Ok(()),
        Err(TryLockError::WouldBlock) => Err(Failure::unusable(
            path,
            "another program has this record open",
        )),
        Err(TryLockError::Error(error)) => Err(Failure::file(path, "could not be locked", error)),
    }
}

/// A record that was read.
#[derive(Debug)]
pub(crate) struct OpenRecord {
    file: File,
    path: PathBuf,
    /// What is in it.
    pub(crate) parsed: Parsed,
    whole_bytes: u64,
}

/// Reads a record.
pub(crate) fn record(path: &Path) -> Result<Parsed, Failure> {
    let text = read_text(path, RECORD_BYTES_MAX)?;
    parse(&text).map_err(|error| Failure::record(path, &error))
}

/// Reads a record to go on with it; nothing is changed until [`OpenRecord::go_on`].
pub(crate) fn open_record(path: &Path) -> Result<OpenRecord, Failure> {
    let failed = |error| Failure::file(path, "could not be opened", error);
    let file = OpenOptions::new()
        .read(true)
        .append(true)
        .open(path)
        .map_err(failed)?;
    lock(path, &file)?;
    let text = read_open(path, &file, RECORD_BYTES_MAX)?;
    let parsed = parse(&text).map_err(|error| Failure::record(path, &error))?;
    let whole_bytes = text.rfind('\n').map_or(0, |end| end + 1) as u64;
    Ok(OpenRecord {
        file,
        path: path.to_owned(),
        parsed,
        whole_bytes,
    })
}

impl OpenRecord {
    /// Goes on writing after the last whole line; a torn one is dropped.
    pub(crate) fn go_on(mut self) -> Result<Recorder, Failure> {
        let failed = |error| Failure::file(&self.path, "the record could not be written", error);
        if self.parsed.torn {
            self.file.set_len(self.whole_bytes).map_err(failed)?;
        }
        self.file.seek(SeekFrom::End(0)).map_err(failed)?;
        let chain = self
            .parsed
            .lines
            .last()
            .and_then(|line| line.rsplit_once(",\"chain\":\""));
        let chain = chain
            .and_then(|(_, rest)| rest.strip_suffix("\"}"))
            .unwrap_or_default();
        Ok(Recorder {
            chain: chain.to_owned(),
            file: self.file,
            path: self.path,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_shipped_is_sound_and_carries_its_own_name() {
        for (id, _) in VEHICLES {
            assert_eq!(vehicle(id).unwrap().vehicle.id.as_str(), id);
        }
        for (id, _) in SCENARIOS {
            assert_eq!(scenario(id, None).unwrap().scenario.id.as_str(), id);
        }
    }

    /// A fleet numbers its vehicles: the same number is the same vehicle, in whichever scenario it comes in.
    #[test]
    fn no_two_vehicles_go_by_one_number() {
        let mut known: Vec<(String, String)> = Vec::new();
        for (id, _) in SCENARIOS {
            let scenario = scenario(id, None).unwrap().scenario;
            let vehicle = scenario.vehicle.to_string();
            match known.iter().find(|(unit, _)| *unit == scenario.unit) {
                Some((unit, other)) => assert_eq!(*other, vehicle, "{unit}"),
                None => known.push((scenario.unit.clone(), vehicle)),
            }
        }
        assert_eq!(known.len(), SCENARIOS.len());
    }

    #[test]
    fn unknown_names_are_answered_with_the_nearest() {
        let error = scenario("rain-on-the-key", None).unwrap_err();
        assert!(error.to_string().contains("rain-on-the-quay"), "{error}");
    }
}
