//! The same bits everywhere: digests of records and marks that may change only together with the readings
//! version, in a commit of their own.
//!
//! They are kept in `tests/reference/golden-digests.txt` and made alike by tests, by optimised builds and by
//! builds without any optimisation. Nothing in the engine asks the platform for more than IEEE 754 doubles with
//! each operation rounded by itself (its own clippy.toml bans the standard library's functions beyond
//! that), so other platforms should give the same bits.

use std::fs;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

use groundside_engine::attempt::{Assignment, Attempt, Header, digest, record_lines};
use groundside_engine::file::{read_scenario, read_vehicle};
use groundside_engine::marking::debrief;
use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::world::{Action, WriteUp};

use crate::VEHICLE;
use crate::actions::{SCENARIO, action};
use crate::fleet::folder;
use crate::ledger::{Known, Ledger};

crate::checks![records_of_random_attempts, marks_of_random_attempts];

/// Random attempts whose records are digested.
const ATTEMPTS: u64 = 20;
/// Actions in each.
const ACTIONS: u32 = 110;
/// Attempts that are marked, and their actions: marking takes a second each.
const MARKED: u64 = 1;
const MARKED_ACTIONS: u32 = 8;

/// An attempt of random actions under a seed.
fn attempt(seed: u64, actions: u32) -> Attempt {
    let (sound, _warnings) = read_vehicle(VEHICLE).expect("the shipped vehicle is valid");
    let assignment = Assignment {
        sound: Arc::new(sound),
        scenario: Arc::new(read_scenario(SCENARIO).expect("the shipped scenario is valid")),
        seed: Seed(seed),
        chosen: None,
    };
    let sound = Arc::clone(&assignment.sound);
    let mut attempt = Attempt::start(assignment).expect("every seed has a draw");
    let mut stream = Stream::keyed(Seed(seed), Purpose::ReadingError, "golden");
    for _ in 0..actions {
        // Refused actions leave nothing behind.
        let _ = attempt.act(&action(&sound, word(&mut stream), word(&mut stream)));
    }
    attempt
}

/// A whole number below 2 to the 32nd.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of 2 to the 32nd fits"
)]
fn word(stream: &mut Stream) -> u32 {
    (stream.unit() * 4_294_967_296.0) as u32
}

/// Digest of the records, and the number of actions in them.
fn records() -> (String, usize) {
    let mut all = String::new();
    let mut lines = 0;
    for seed in 0..ATTEMPTS {
        let attempt = attempt(seed, ACTIONS);
        let header = Header::of(attempt.assignment(), &digest(VEHICLE), &digest(SCENARIO));
        let record = record_lines(&attempt, &header).expect("a record can be written");
        // Without the header: files may be reworded without a reading changing.
        for line in record.iter().skip(1) {
            let body = line
                .rsplit_once(",\"chain\"")
                .map_or(line.as_str(), |(body, _)| body);
            all.push_str(body);
            lines += 1;
        }
    }
    (digest(&all), lines)
}

/// Digest of everything that marking says of some attempts.
fn marks() -> String {
    let mut all = String::new();
    for seed in 0..MARKED {
        let mut attempt = attempt(seed, MARKED_ACTIONS);
        let handed = attempt.act(&Action::HandOver(WriteUp::default()));
        handed.expect("an attempt can be handed over");
        let marked = debrief(&attempt).expect("an ended attempt can be marked");
        all.push_str(&format!("{marked:?}"));
    }
    digest(&all)
}

fn path() -> PathBuf {
    folder("tests/reference").join("golden-digests.txt")
}

/// The digest that is kept under a name.
fn kept(name: &str) -> String {
    let text = fs::read_to_string(path()).unwrap_or_default();
    let line = text
        .lines()
        .find_map(|line| line.strip_prefix(name)?.strip_prefix(' '));
    line.unwrap_or("none").to_owned()
}

fn records_of_random_attempts(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "digest in tests/reference/golden-digests.txt",
    );
    let (digest, lines) = records();
    ledger.holds("over a thousand actions", lines > 1000);
    ledger.holds(format_args!("records: {digest}"), digest == kept("records"));
}

fn marks_of_random_attempts(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "digest in tests/reference/golden-digests.txt",
    );
    let digest = marks();
    ledger.holds(format_args!("marks: {digest}"), digest == kept("marks"));
}

/// Keeps the digests as they come out now: for a commit that raises the readings version, and no other.
///
/// # Errors
/// When the file cannot be written.
pub fn write_digests() -> io::Result<()> {
    let (records, _) = records();
    fs::write(path(), format!("records {records}\nmarks {}\n", marks()))
}
