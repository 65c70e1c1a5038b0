//! `study separation`: simulated learners on the same draws. Plays are kept as they come, where a file is named for them, so
//! that a study which was stopped goes on where it was.

use std::collections::BTreeSet;
use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;
use std::sync::Arc;

use groundside_engine::attempt::{MARKING_VERSION, READINGS_VERSION};
use groundside_engine::learners::{Habit, Learner, LearnerError, Play, Separation, plays};
use groundside_engine::marking::{Drivers, FaultDictionary, Progress};
use groundside_engine::random::Seed;
use serde::{Deserialize, Serialize};

use crate::args::{Format, SeparationOptions};
use crate::files;
use crate::problem::Failure;
use crate::render::separation::{Table, page};
use crate::waiting::Waiting;
use crate::{Exit, Io};

/// A scenario for each of the vehicles, where none is named.
const SCENARIOS: [&str; 4] = [
    files::DEFAULT_SCENARIO,
    "fog-at-the-signal",
    "late-bus-to-the-light",
    "drizzle-on-the-mole",
];
/// Share of slips of the learner that makes some.
const SLIPS: f64 = 0.5;

/// The scenarios that were named, or one for each of the vehicles.
pub(crate) fn scenarios_of(named: &[String]) -> Vec<String> {
    match named {
        [] => SCENARIOS.map(str::to_owned).to_vec(),
        named => named.to_vec(),
    }
}

/// Who plays: every habit, and one of them with slips.
fn learners() -> Vec<Learner> {
    let steady = Habit::ALL.map(|habit| Learner { habit, slips: 0.0 });
    let slipping = Learner {
        habit: Habit::UntilSure,
        slips: SLIPS,
    };
    steady.into_iter().chain([slipping]).collect()
}

/// `study separation`. The exit code says whether the marks tell the learners apart as they should.
pub(crate) fn separation(options: &SeparationOptions, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let scenarios = &scenarios_of(&options.scenarios);
    let mut kept = options.keep.as_deref().map(Kept::open).transpose()?;
    let mut all: Vec<(usize, Play)> = Vec::new();
    let each = learners().len() * options.draws as usize;
    let total = scenarios.len() * each;
    let mut waiting = Waiting::new("playing", "attempts", io);
    for (place, word) in scenarios.iter().enumerate() {
        let known = kept.as_ref().map_or_else(Vec::new, |kept| kept.of(word));
        let asked = |play: &&Play| play.seed.0 <= u64::from(options.draws);
        all.extend(known.iter().filter(asked).map(|play| (place, *play)));
        let is_known = |(seed, learner): &(Seed, Learner)| {
            let mut known = known.iter();
            known.any(|play| play.seed == *seed && play.learner == *learner)
        };
        let seeds = (1..=u64::from(options.draws)).map(Seed);
        let pairs = seeds.flat_map(|seed| learners().into_iter().map(move |who| (seed, who)));
        let left: Vec<(Seed, Learner)> = pairs.filter(|pair| !is_known(pair)).collect();
        let mut done = (place + 1) * each - left.len();
        if !left.is_empty() {
            play_all(word, options, &left, |play| {
                done += 1;
                waiting.tell(Progress { done, of: total });
                if let Some(kept) = &mut kept {
                    kept.append(&Line::of(word, &play)).map_err(Stopped::Kept)?;
                }
                all.push((place, play));
                Ok(())
            })?;
        }
    }
    waiting.end();
    // In an order of their own: which thread was first is chance.
    let rank = |play: &Play| {
        learners()
            .iter()
            .position(|learner| *learner == play.learner)
    };
    all.sort_by_key(|(place, play)| (rank(play), *place, play.seed.0));
    let every: Vec<Play> = all.iter().map(|(_, play)| *play).collect();
    let study = Separation::of(&every)
        .map_err(|error| Failure::Misuse(format!("too little was played: {error}")))?;
    match options.format {
        Format::Text => io.print(&page(scenarios, options.draws, &study))?,
        Format::Json => io.print_json(&Table::of(scenarios, options.draws, &study))?,
    }
    Ok(if study.falls_short().is_empty() {
        Exit::Done
    } else {
        Exit::FallsShort
    })
}

/// Plays what is asked for of a scenario, and hands on each play as it ends.
fn play_all(
    word: &str,
    options: &SeparationOptions,
    asked: &[(Seed, Learner)],
    take: impl FnMut(Play) -> Result<(), Stopped>,
) -> Result<(), Failure> {
    let loaded = files::scenario(word, options.vehicle.as_deref())?;
    let (sound, scenario) = (
        Arc::clone(&loaded.vehicle.vehicle),
        Arc::clone(&loaded.scenario),
    );
    let failed = |error: LearnerError| Failure::Misuse(format!("`{word}`: {error}"));
    let dictionary = Drivers::of(&sound, &scenario).and_then(FaultDictionary::of);
    let dictionary = dictionary.map_err(|error| failed(error.into()))?;
    plays(&dictionary, asked, take).map_err(|stopped| match stopped {
        Stopped::Learner(error) => failed(error),
        Stopped::Kept(failure) => failure,
    })
}

/// Why playing ended before its end.
enum Stopped {
    Learner(LearnerError),
    Kept(Failure),
}

impl From<LearnerError> for Stopped {
    fn from(error: LearnerError) -> Self {
        Self::Learner(error)
    }
}

/// The first line of a file of plays.
#[derive(Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Head {
    study: String,
    readings: u32,
    marking: u32,
}

/// A play as it is kept.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Line {
    scenario: String,
    habit: String,
    slips: f64,
    seed: u64,
    total: f64,
    time: f64,
    order: f64,
    correctness: f64,
    minutes: f64,
    regret: f64,
    luck: f64,
    checks: u32,
    needless: u32,
    cured: bool,
    first_chance: Option<f64>,
}

impl Line {
    fn of(scenario: &str, play: &Play) -> Self {
        Self {
            scenario: scenario.to_owned(),
            habit: play.learner.habit.word().to_owned(),
            slips: play.learner.slips,
            seed: play.seed.0,
            total: play.total,
            time: play.time,
            order: play.order,
            correctness: play.correctness,
            minutes: play.minutes,
            regret: play.regret,
            luck: play.luck,
            checks: play.checks,
            needless: play.needless,
            cured: play.cured,
            first_chance: play.first_chance,
        }
    }

    /// The play, if one of today's learners made it.
    fn play(&self) -> Option<Play> {
        let ours = |learner: &Learner| {
            learner.habit.word() == self.habit && learner.slips.total_cmp(&self.slips).is_eq()
        };
        Some(Play {
            learner: learners().into_iter().find(ours)?,
            seed: Seed(self.seed),
            total: self.total,
            time: self.time,
            order: self.order,
            correctness: self.correctness,
            minutes: self.minutes,
            regret: self.regret,
            luck: self.luck,
            checks: self.checks,
            needless: self.needless,
            cured: self.cured,
            first_chance: self.first_chance,
        })
    }
}

/// A file of plays.
#[derive(Debug)]
struct Kept {
    file: File,
    path: std::path::PathBuf,
    lines: Vec<Line>,
}

impl Kept {
    /// Opens a file to go on with, or begins one. A last line that was cut off as it was written is played again.
    fn open(path: &Path) -> Result<Self, Failure> {
        let failed = |error| Failure::file(path, "the plays could not be read", error);
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        let mut file = options.open(path).map_err(failed)?;
        let mut text = String::new();
        file.read_to_string(&mut text).map_err(failed)?;
        let whole = text.rfind('\n').map_or(0, |end| end + 1);
        file.set_len(whole as u64).map_err(failed)?;
        file.seek(SeekFrom::End(0)).map_err(failed)?;
        let mut kept = Self {
            file,
            path: path.to_owned(),
            lines: Vec::new(),
        };
        let head = Head {
            study: "separation".to_owned(),
            readings: READINGS_VERSION,
            marking: MARKING_VERSION,
        };
        let unusable = |why: String| Failure::Unusable {
            path: path.display().to_string(),
            why,
        };
        let mut lines = text[..whole].lines().enumerate();
        match lines.next() {
            None => kept.append(&head)?,
            Some((_, first)) if serde_json::from_str::<Head>(first).is_ok_and(|of| of == head) => {}
            Some(_) => {
                let why = "line 1: these are no plays of `study separation` by this version; name another file";
                return Err(unusable(why.to_owned()));
            }
        }
        let mut seen = BTreeSet::new();
        for (number, line) in lines {
            let line: Line = serde_json::from_str(line)
                .map_err(|error| unusable(format!("line {}: no play: {error}", number + 1)))?;
            let key = (
                line.scenario.clone(),
                line.habit.clone(),
                line.slips.to_bits(),
                line.seed,
            );
            if seen.insert(key) {
                kept.lines.push(line);
            }
        }
        Ok(kept)
    }

    /// The plays of a scenario.
    fn of(&self, scenario: &str) -> Vec<Play> {
        let lines = self.lines.iter().filter(|line| line.scenario == scenario);
        lines.filter_map(Line::play).collect()
    }

    fn append(&mut self, line: &impl Serialize) -> Result<(), Failure> {
        let failed = |error| Failure::file(&self.path, "the plays could not be kept", error);
        let mut text = serde_json::to_string(line).map_err(|error| failed(error.into()))?;
        text.push('\n');
        self.file.write_all(text.as_bytes()).map_err(failed)
    }
}
