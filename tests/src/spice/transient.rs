//! The vehicle in time against ngspice `tran`: spinning up, stalling and tripping, braking into park, sound
//! and with faults that change how it moves.
//!
//! The engine meets cam, brush and trip exactly and takes the load at the middle of steps of 4 ms; ngspice
//! takes steps of its own, down to a microsecond at an edge. Both tell speed and crank angle at the end of
//! each stretch and the mean supply current over it. In the stretch in which the park contact moves, the mean
//! is of what flows before and after, in both alike: neither knows of an arc, and in ngspice the change-over
//! takes as long as the cam turns 2e-6 rad. Current jumps by up to its largest value there, so a moment that
//! is 10 us off shows as a thousandth of that in the mean of 10 ms.
//!
//! Winding inductance is left out of the engine, as a simplification: its time constant is half a
//! millisecond. One run has it, to show how little changes.

mod cases;

use std::fs;
use std::io;

use groundside_engine::vehicle::Roles;

use super::kept::{Table, digest};
use super::{Answers, answers, installed};
use crate::coverage::known;
use crate::ledger::{Known, Ledger, Scope};
use crate::roles;
use cases::{Case, Row, Trace, cases};

crate::checks![
    runs_agree_with_the_kept_answers_of_ngspice,
    runs_agree_with_ngspice,
    winding_inductance_hardly_shows,
];

/// Speed, rad/s, below which a trace is no measure of what may be off: a fifteenth of the running speed.
const SPEED_FLOOR: f64 = 20.0;
/// How far off a crank may come to rest, degrees. A motor that is stalled creeps 0.02 in ngspice.
const STOP_DEG: f64 = 0.05;
/// How far a trip or a reclosing may be off, as a share of its time. ngspice's contacts move 0.1 ms after their
/// heat, and within 2e-5 of it.
const CLICK_SHARE: f64 = 1e-4;

/// How much sooner or later the park contact may move, seconds: the engine's angle is off by some 1e-4 rad at
/// 5 rad/s, and by 2.5e-4 after a motor was turned round. The mean current of the stretch in which it moves may be
/// off by that share of what it jumps by, and the speed by what it is braked by in that time.
const CONTACT_S: f64 = 6e-5;

/// ngspice's traces of some cases.
fn ask(cases: &[Case]) -> io::Result<Vec<Trace>> {
    let folder = tempfile::tempdir()?;
    let file = |place: usize| folder.path().join(format!("{place}.txt"));
    let mut decks = Vec::with_capacity(cases.len());
    for (place, case) in cases.iter().enumerate() {
        decks.push(case.deck(&file(place).display().to_string())?);
    }
    let answers = answers(&decks)?;
    let mut traces = Vec::with_capacity(cases.len());
    for (place, (case, answers)) in cases.iter().zip(&answers).enumerate() {
        let text = fs::read_to_string(file(place))?;
        let trace = read(case, &text, answers);
        traces.push(trace.ok_or_else(|| {
            io::Error::other(format!("{}: ngspice did not go all the way", case.name()))
        })?);
    }
    Ok(traces)
}

/// Reads what a run's deck has written; `None` unless the run went all the way and there is a line for every
/// row, and for zero. (Of a run that is broken off, ngspice writes the rest as zeros.)
fn read(case: &Case, text: &str, answers: &Answers) -> Option<Trace> {
    let seconds = f64::from(case.rows) * case.row_s;
    if (answers.get("reached")? - seconds).abs() > 1e-9 * seconds {
        return None;
    }
    let mut lines = text.lines().map(|line| {
        let words = line.split_whitespace().map(str::parse);
        words.collect::<Result<Vec<f64>, _>>().ok()
    });
    let number = |words: Option<Vec<f64>>| -> Option<[f64; 4]> { words?.try_into().ok() };
    let [_, _, start, mut drawn] = number(lines.next()?)?;
    let mut rows = Vec::new();
    for line in lines {
        let [_, speed, crank, drawn_now] = number(line)?;
        rows.push(Row {
            speed,
            turned: crank - start,
            amperes: (drawn_now - drawn) / case.row_s,
            contact_moved: false,
        });
        drawn = drawn_now;
    }
    let clicks = answers.iter().filter(|(name, _)| name.contains("click"));
    let mut clicks: Vec<f64> = clicks.map(|(_, seconds)| *seconds).collect();
    clicks.sort_by(f64::total_cmp);
    (rows.len() == case.rows as usize).then_some(Trace { rows, clicks })
}

impl Case {
    /// Holds the engine's trace against another.
    fn compare(&self, theirs: &Trace, ledger: &mut Ledger) {
        let name = self.name();
        let Some(ours) = self.engine() else {
            return ledger.fail(format_args!("{name}: the engine has no answer"));
        };
        if ours.rows.len() != theirs.rows.len() {
            return ledger.fail(format_args!("{name}: the rows are not those of this run"));
        }
        self.compare_rows(&ours, theirs, &name, ledger);
        self.compare_rest(&ours, theirs, &name, ledger);
        let counts = (ours.clicks.len(), theirs.clicks.len());
        ledger.holds(format_args!("as many clicks, {name}"), counts.0 == counts.1);
        for (ours, theirs) in ours.clicks.iter().zip(&theirs.clicks) {
            ledger.near_share(
                format_args!("s to a click, {name}"),
                *ours,
                *theirs,
                CLICK_SHARE,
            );
        }
    }

    /// Where the crank has come to rest at the end, if it has.
    fn compare_rest(&self, ours: &Trace, theirs: &Trace, name: &str, ledger: &mut Ledger) {
        let ([.., before, ours], Some(last)) = (ours.rows.as_slice(), theirs.rows.last()) else {
            return;
        };
        if ours.turned.to_bits() != before.turned.to_bits() {
            return;
        }
        // As much later as the last click may be, so much further may the crank have turned.
        let late = CLICK_SHARE * theirs.clicks.last().copied().unwrap_or(0.0);
        let rows = theirs.rows.windows(2);
        let fastest = rows
            .map(|pair| (pair[1].turned - pair[0].turned).abs() / self.row_s)
            .fold(0.0, f64::max);
        let bound = STOP_DEG + (late * fastest).to_degrees();
        let what = format_args!("degrees where the crank rests, {name}");
        let (ours, theirs) = (ours.turned.to_degrees(), last.turned.to_degrees());
        ledger.near(what, ours, theirs, bound);
    }

    fn compare_rows(&self, ours: &Trace, theirs: &Trace, name: &str, ledger: &mut Ledger) {
        let largest = |of: fn(&Row) -> f64| {
            let values = theirs.rows.iter().map(|row| of(row).abs());
            values.fold(0.0, f64::max)
        };
        let speed = self.share * largest(|row| row.speed).max(SPEED_FLOOR);
        let turned = self.share * largest(|row| row.turned).max(std::f64::consts::TAU);
        let amperes = largest(|row| row.amperes);
        let pairs = ours.rows.iter().zip(&theirs.rows).zip(theirs.braked());
        for (row, ((ours, their), braked)) in (1..).zip(pairs) {
            let at = f64::from(row) * self.row_s;
            let within = at - self.row_s..at;
            let jump_s = if theirs.clicks.iter().any(|click| within.contains(click)) {
                CLICK_SHARE * at
            } else if ours.contact_moved {
                CONTACT_S
            } else {
                0.0
            };
            let what = |unit: &str| format!("{unit} at {at:.2} s, {name}");
            // What brakes or drives from a moment on has done so for so much longer or shorter.
            let jump = braked * jump_s / self.row_s;
            ledger.near(what("rad/s"), ours.speed, their.speed, speed + jump);
            ledger.near(what("rad"), ours.turned, their.turned, turned);
            let bound = amperes * (self.share + jump_s / self.row_s);
            ledger.near(what("A"), ours.amperes, their.amperes, bound);
        }
    }
}

fn runs_agree_with_ngspice(ledger: &mut Ledger) {
    if !installed() {
        return ledger.skip("ngspice is not installed");
    }
    if ledger.scope() == Scope::Sample {
        return ledger.skip("the kept answers are of this sample");
    }
    ledger.source(
        Known::Computed,
        "ngspice `tran`, mechanics as an electrical analogue",
    );
    for vehicle in known(ledger) {
        let cases = cases(&vehicle, ledger.scope());
        match ask(&cases) {
            Ok(traces) => {
                ledger.holds("a trace for each run", traces.len() == cases.len());
                for (case, trace) in cases.iter().zip(&traces) {
                    case.compare(trace, ledger);
                }
            }
            Err(error) => ledger.fail(format_args!("ngspice: {error}")),
        }
    }
}

/// The kept answers.
const TABLE: Table = Table {
    file: "transients.txt",
    head: "Runs in time",
    columns: "the run, then: times at which breakers click, s (or 0); for each row speed at its end, rad/s, angle \
              the crank has turned, rad, and mean supply current, A",
};

/// What the table has to be about: the deck of a run.
fn about(case: &Case) -> io::Result<u64> {
    Ok(digest(&case.deck("trace.txt")?))
}

fn sample(ledger: &mut Ledger) -> Vec<Case> {
    let cases = known(ledger)
        .into_iter()
        .map(|vehicle| cases(&vehicle, Scope::Sample));
    cases.flatten().collect()
}

fn runs_agree_with_the_kept_answers_of_ngspice(ledger: &mut Ledger) {
    ledger.source(
        Known::Computed,
        "answers of ngspice kept in tests/reference/transients.txt",
    );
    let cases = sample(ledger);
    let entries = cases.iter().map(|case| Ok((case.name(), about(case)?)));
    let kept = entries
        .collect::<io::Result<Vec<_>>>()
        .and_then(|entries| TABLE.read(&entries));
    match kept {
        Ok(kept) => {
            for (case, lines) in cases.iter().zip(&kept) {
                match from_lines(lines) {
                    Some(trace) => case.compare(&trace, ledger),
                    None => ledger.fail(format_args!("{}: no trace in the table", case.name())),
                }
            }
        }
        Err(error) => ledger.fail(error),
    }
}

fn from_lines(lines: &[Vec<f64>]) -> Option<Trace> {
    let (clicks, rows) = lines.split_first()?;
    let row = |row: &Vec<f64>| {
        let &[speed, turned, amperes] = row.as_slice() else {
            return None;
        };
        Some(Row {
            speed,
            turned,
            amperes,
            contact_moved: false,
        })
    };
    Some(Trace {
        rows: rows.iter().map(row).collect::<Option<_>>()?,
        clicks: clicks
            .iter()
            .copied()
            .filter(|&click| click > 0.0)
            .collect(),
    })
}

/// Asks ngspice for the sample and keeps its answers.
///
/// # Errors
/// When ngspice cannot be run, leaves something unanswered, or the file cannot be written.
pub fn write_table() -> io::Result<()> {
    let cases = sample(&mut Ledger::default());
    let mut entries = Vec::with_capacity(cases.len());
    for (case, trace) in cases.iter().zip(ask(&cases)?) {
        let clicks: Vec<String> = trace
            .clicks
            .iter()
            .map(|click| format!("{click:.5}"))
            .collect();
        let mut text = if clicks.is_empty() {
            "0".to_owned()
        } else {
            clicks.join(" ")
        };
        for row in &trace.rows {
            text.push_str(&format!(
                "\n{:.3} {:.5} {:.4}",
                row.speed, row.turned, row.amperes
            ));
        }
        entries.push((case.name(), about(case)?, text));
    }
    TABLE.write(&entries)
}

/// Inductance of a small armature between its brushes, henries: an engineering estimate, no source.
const INDUCTANCE: f64 = 5e-4;

fn winding_inductance_hardly_shows(ledger: &mut Ledger) {
    if !installed() {
        return ledger.skip("ngspice is not installed");
    }
    ledger.source(
        Known::Practice,
        "ngspice `tran` with 0.5 mH in the armature, an engineering estimate",
    );
    for vehicle in known(ledger) {
        // Switched on after a row, so that the current has to rise.
        let Roles { off, speeds, .. } = roles(&vehicle);
        let on = speeds[0];
        let case = Case {
            inductance: INDUCTANCE,
            phases: vec![(0, off), (1, on)],
            ..Case::of("spins up with inductance", &vehicle, on, 60)
        };
        match (case.engine(), ask(std::slice::from_ref(&case))) {
            (Some(ours), Ok(theirs)) => compare_inductive(&ours, &theirs[0], ledger),
            (_, Err(error)) => ledger.fail(format_args!("ngspice: {error}")),
            (None, _) => ledger.fail("the engine has no answer"),
        }
    }
}

/// The first 10 ms show it, which also shows that it is there; then what is left fades.
fn compare_inductive(ours: &Trace, theirs: &Trace, ledger: &mut Ledger) {
    let largest = |of: fn(&Row) -> f64| ours.rows.iter().map(of).fold(0.0, f64::max);
    let (speed, amperes) = (largest(|row| row.speed), largest(|row| row.amperes));
    let first = (ours.rows[1].amperes - theirs.rows[1].amperes) / amperes;
    ledger.between(
        "share of the current that is missing in the first 10 ms",
        first,
        0.005,
        0.05,
    );
    for (row, (ours, theirs)) in ours.rows.iter().zip(&theirs.rows).enumerate().skip(2) {
        let bound = if row < 12 { 0.03 } else { 0.003 };
        ledger.near(
            format_args!("rad/s after row {row}"),
            ours.speed,
            theirs.speed,
            bound * speed,
        );
        ledger.near(
            format_args!("A after row {row}"),
            ours.amperes,
            theirs.amperes,
            bound * amperes,
        );
    }
}
