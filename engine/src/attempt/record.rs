//! A record: the log of an attempt as JSON Lines, each line chained to the one before by SHA-256.
//!
//! The header says what the attempt started from; each further line is one action with what it cost and
//! gave. `chain` is the hash of the chain before (empty for the header) and the line without its chain,
//! so that anyone can check it with a standard command. A chain shows editing only when its head is
//! known from elsewhere; what a record *gives* is shown by replaying it.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

use super::{Assignment, Attempt, Event};
use crate::random::Seed;
use crate::vehicle::Vehicle;
use crate::world::Observation;

/// Name of the format, in the header.
const FORMAT: &str = "groundside-record";
/// Version of the format.
const VERSION: u32 = 1;
/// Version of the readings: raised in a commit of its own whenever any displayed digit may change.
pub const READINGS_VERSION: u32 = 1;

/// Version of the weights, bands and limits of the mark: raised whenever the same record may get another mark.
/// The record names it, so that a mark can be had again as it was given.
pub const MARKING_VERSION: u32 = 1;
/// Longest line that is read, bytes.
const LINE_MAX: usize = 64 * 1024;

/// The first line of a record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    /// Always `groundside-record`.
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// Version of the readings.
    pub readings: u32,
    /// Version of the marking that the attempt was made under.
    pub marking: u32,
    /// Id of the vehicle.
    pub vehicle: String,
    /// SHA-256 of the vehicle's file, hexadecimal.
    pub vehicle_digest: String,
    /// Id of the scenario.
    pub scenario: String,
    /// SHA-256 of the scenario's file, hexadecimal.
    pub scenario_digest: String,
    /// The seed.
    pub seed: u64,
    /// Faults that were chosen instead of drawn, joined by `+`.
    pub fault: Option<String>,
}

/// One line after the header.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Counted from 1.
    pub n: usize,
    /// The action in strict words.
    pub action: String,
    /// Minutes it cost.
    pub minutes: String,
    /// Where the person was afterwards.
    pub place: String,
    /// What was observed.
    pub readings: Vec<Value>,
}

/// Why a text is not a record.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum RecordError {
    /// Nothing there.
    #[error("line 1: the record is empty; its first line is a header")]
    Empty,
    /// A line that is not what it should be.
    #[error("line {line}: {why}")]
    Line {
        /// Counted from 1.
        line: usize,
        /// What is wrong with it.
        why: String,
    },
}

impl Header {
    /// The header of an attempt; digests are those of the files it was read from.
    #[must_use]
    pub fn of(assignment: &Assignment, vehicle_digest: &str, scenario_digest: &str) -> Self {
        Self {
            format: FORMAT.to_owned(),
            version: VERSION,
            readings: READINGS_VERSION,
            marking: MARKING_VERSION,
            vehicle: assignment.sound.id.to_string(),
            vehicle_digest: vehicle_digest.to_owned(),
            scenario: assignment.scenario.id.to_string(),
            scenario_digest: scenario_digest.to_owned(),
            seed: assignment.seed.0,
            fault: assignment
                .chosen
                .map(|faults| assignment.sound.faults_name(&faults)),
        }
    }

    /// The seed.
    #[must_use]
    pub const fn seed(&self) -> Seed {
        Seed(self.seed)
    }
}

/// The SHA-256 of a text, hexadecimal.
#[must_use]
pub fn digest(text: &str) -> String {
    hexadecimal(&Sha256::digest(text.as_bytes()))
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A line of JSON with its chain added as the last member.
fn chained(body: &str, before: &str) -> (String, String) {
    let chain = digest(&format!("{before}{body}"));
    let open = body.strip_suffix('}').unwrap_or(body);
    (format!("{open},\"chain\":\"{chain}\"}}"), chain)
}

/// The header as a line of a record, and its chain.
///
/// # Errors
/// [`RecordError`] never in practice: a header is plain data.
pub fn header_line(header: &Header) -> Result<(String, String), RecordError> {
    Ok(chained(&to_json(header, 1)?, ""))
}

/// An event as a line of a record, and its chain.
///
/// # Errors
/// [`RecordError`] never in practice: an event is plain data.
pub fn event_line(
    event: &Event,
    vehicle: &Vehicle,
    before: &str,
) -> Result<(String, String), RecordError> {
    let line = Line {
        n: event.n,
        action: event.action.words(vehicle),
        minutes: event.cost.total().to_string(),
        place: vehicle.layout.places[event.place.index()].id.to_string(),
        readings: readings_json(&event.observations),
    };
    Ok(chained(&to_json(&line, event.n + 1)?, before))
}

fn to_json(value: &impl Serialize, line: usize) -> Result<String, RecordError> {
    serde_json::to_string(value).map_err(|error| RecordError::Line {
        line,
        why: error.to_string(),
    })
}

/// All lines of an attempt's record.
///
/// # Errors
/// As [`event_line`].
pub fn record_lines(attempt: &Attempt, header: &Header) -> Result<Vec<String>, RecordError> {
    let (line, mut chain) = header_line(header)?;
    let mut lines = vec![line];
    for event in attempt.events() {
        let (line, next) = event_line(event, &attempt.assignment().sound, &chain)?;
        lines.push(line);
        chain = next;
    }
    Ok(lines)
}

/// Observations as JSON objects: numbers as displayed, words as perceived.
#[must_use]
pub fn readings_json(observations: &[Observation]) -> Vec<Value> {
    observations
        .iter()
        .map(|seen| match seen {
            Observation::Reading {
                quantity,
                subject,
                unit,
                shown: Some([value, min, max]),
                resolution,
                samples,
            } => {
                let mut reading = json!({
                    "quantity": quantity, "subject": subject, "value": value.value(), "unit": unit,
                    "resolution": resolution, "min": min.value(), "max": max.value(),
                });
                if !samples.is_empty() {
                    let values: Vec<f64> = samples.iter().map(|sample| sample.value()).collect();
                    reading["samples"] = json!(values);
                }
                reading
            }
            Observation::Reading { quantity, subject, unit, shown: None, .. } => {
                json!({ "quantity": quantity, "subject": subject, "value": null, "unit": unit, "overrange": true })
            }
            Observation::Perception { quantity, subject, level, word } => {
                json!({ "quantity": quantity, "subject": subject, "level": level, "word": word })
            }
        })
        .collect()
}

/// A record's text taken apart, its chain checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Parsed {
    /// The header.
    pub header: Header,
    /// The actions' words, in order.
    pub actions: Vec<String>,
    /// All lines as they stand, the header first.
    pub lines: Vec<String>,
    /// Whether the last line was cut off in the writing, and left out.
    pub torn: bool,
}

/// Reads a record and checks its chain. A last line without its line end was cut off in the writing, as
/// by a crash: it is left out and told.
///
/// # Errors
/// [`RecordError`] with the line and what is wrong with it.
pub fn parse(text: &str) -> Result<Parsed, RecordError> {
    let (whole, rest) = text
        .rfind('\n')
        .map_or(("", text), |end| (&text[..end], &text[end + 1..]));
    let torn = !rest.is_empty();
    // An editor or a mail may have saved it with carriage returns, which the last line would keep.
    let mut lines = whole.lines().map(|line| line.trim_end_matches('\r'));
    let first = lines
        .next()
        .filter(|line| !line.is_empty())
        .ok_or(RecordError::Empty)?;
    let (body, mut chain) = unchained(first, "", 1)?;
    let header: Header = from_json(&body, 1)?;
    check_header(&header)?;
    let mut parsed = Parsed {
        header,
        actions: Vec::new(),
        lines: vec![first.to_owned()],
        torn,
    };
    for (index, line) in lines.enumerate() {
        let number = index + 2;
        if number > super::EVENTS_MAX + 1 {
            return Err(RecordError::Line {
                line: number,
                why: "a record has at most 2000 actions".to_owned(),
            });
        }
        let (body, next) = unchained(line, &chain, number)?;
        let event: Line = from_json(&body, number)?;
        if event.n != index + 1 {
            let why = format!(
                "this is action {} by its number, but it stands in the place of action {}",
                event.n,
                index + 1
            );
            return Err(RecordError::Line { line: number, why });
        }
        parsed.actions.push(event.action);
        parsed.lines.push(line.to_owned());
        chain = next;
    }
    Ok(parsed)
}

fn check_header(header: &Header) -> Result<(), RecordError> {
    let bad = |why: String| Err(RecordError::Line { line: 1, why });
    if header.format != FORMAT {
        return bad(format!("this is `{}`, not a {FORMAT}", header.format));
    }
    if header.version != VERSION {
        return bad(format!(
            "format version {} cannot be read; this program reads version {VERSION}",
            header.version
        ));
    }
    if header.readings != READINGS_VERSION {
        return bad(format!(
            "its readings have version {}; this program gives version {READINGS_VERSION}",
            header.readings
        ));
    }
    Ok(())
}

fn from_json<T: for<'de> Deserialize<'de>>(body: &str, line: usize) -> Result<T, RecordError> {
    serde_json::from_str(body).map_err(|error| RecordError::Line {
        line,
        why: format!("not what a record holds here: {error}"),
    })
}

/// Takes the chain off a line and checks it.
fn unchained(line: &str, before: &str, number: usize) -> Result<(String, String), RecordError> {
    let bad = |why: &str| RecordError::Line {
        line: number,
        why: why.to_owned(),
    };
    if line.len() > LINE_MAX {
        return Err(bad("the line is longer than 64 KiB"));
    }
    let (open, rest) = line
        .rsplit_once(",\"chain\":\"")
        .ok_or_else(|| bad("it does not end in its chain"))?;
    let chain = rest
        .strip_suffix("\"}")
        .ok_or_else(|| bad("it does not end in its chain"))?;
    let body = format!("{open}}}");
    if digest(&format!("{before}{body}")) != chain {
        return Err(bad(
            "its chain does not fit: this line or the one before it was changed",
        ));
    }
    Ok((body, chain.to_owned()))
}
