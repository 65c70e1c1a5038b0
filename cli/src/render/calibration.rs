//! The table of a belief beside what is so.

use groundside_engine::learners::{ByStage, STAGES};
use groundside_engine::random::Seed;
use groundside_engine::statistics::{Calibration, StatisticsError};
use serde::Serialize;

use crate::style::{Page, Tone, columns};

/// Largest expected calibration error with draws by prior, and with every fault drawn as often as every other.
const ERROR_MAX: f64 = 0.02;
const ERROR_MAX_UNIFORM: f64 = 0.06;
/// Belief in the needed repair below which it is as good as given up, and the largest share of draws that end so.
const GIVEN_UP: f64 = 0.01;
const GIVEN_UP_MAX: f64 = 0.01;

/// What the study found.
pub(crate) struct Study {
    scenarios: Vec<String>,
    uniform: bool,
    draws: usize,
    /// By stage; the last one is what is asked for.
    stages: Vec<Calibration>,
    /// Scenario and seed of the draws in which the needed repair was as good as given up.
    given_up: Vec<(String, u64)>,
}

impl Study {
    /// That of draws; none of no draws at all.
    pub(crate) fn of(
        scenarios: Vec<String>,
        uniform: bool,
        all: &[(String, Seed, ByStage)],
    ) -> Result<Self, StatisticsError> {
        let last = STAGES.len() - 1;
        let given_up = all.iter().filter(|(.., by)| by[last].needed < GIVEN_UP);
        let given_up = given_up.map(|(scenario, seed, _)| (scenario.clone(), seed.0));
        let of_stage = |stage: usize| {
            let statements = all
                .iter()
                .map(|(.., by)| (by[stage].likeliest, by[stage].right));
            Calibration::of(&statements.collect::<Vec<_>>())
        };
        Ok(Self {
            scenarios,
            uniform,
            draws: all.len(),
            stages: (0..STAGES.len()).map(of_stage).collect::<Result<_, _>>()?,
            given_up: given_up.collect(),
        })
    }

    /// That after the last check.
    fn calibration(&self) -> &Calibration {
        &self.stages[STAGES.len() - 1]
    }

    fn share_given_up(&self) -> f64 {
        share(self.given_up.len(), self.draws)
    }

    /// Where the belief does not keep its word, in words.
    pub(crate) fn falls_short(&self) -> Vec<String> {
        let mut list = Vec::new();
        let most = match self.uniform {
            true => ERROR_MAX_UNIFORM,
            false => ERROR_MAX,
        };
        let error = self.calibration().error;
        if error > most {
            list.push(format!(
                "the calibration error is {error:.3}, more than {most}"
            ));
        }
        // What the belief holds to be rare comes more often than it thinks where all are drawn alike.
        if !self.uniform && self.share_given_up() > GIVEN_UP_MAX {
            list.push(format!(
                "the needed repair was as good as given up in {:.1} % of the draws, more than 1 %",
                100.0 * self.share_given_up()
            ));
        }
        list
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "counts of draws fit a double exactly"
)]
fn share(part: usize, all: usize) -> f64 {
    if all == 0 {
        0.0
    } else {
        part as f64 / all as f64
    }
}

/// The table for people.
pub(crate) fn page(study: &Study) -> Page {
    let mut page = Page::default();
    let drawn = match study.uniform {
        true => "every fault as often as every other",
        false => "faults by how often they come",
    };
    page.add(
        Tone::Strong,
        format!(
            "{} draws, {drawn}, the {} checks that tell most on each: {}.",
            study.draws,
            STAGES[STAGES.len() - 1],
            study.scenarios.join(", ")
        ),
    );
    let head = ["likeliest repair held at", "draws", "mean", "was needed"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for (place, bin) in study.calibration().bins.iter().enumerate() {
        let Some(bin) = bin else { continue };
        rows.push(vec![
            format!("{} to {} %", 10 * place, 10 * (place + 1)),
            bin.count.to_string(),
            format!("{:.1} %", 100.0 * bin.stated),
            format!("{:.1} %", 100.0 * bin.so),
        ]);
    }
    for line in columns(&rows) {
        page.row(line);
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Plain,
        format!(
            "Expected calibration error: {:.3}. The needed repair was held at less than 1 % in {:.2} % of the draws.",
            study.calibration().error,
            100.0 * study.share_given_up()
        ),
    );
    let earlier = STAGES.iter().zip(&study.stages).take(STAGES.len() - 1);
    let earlier: Vec<String> = earlier
        .map(|(checks, of)| format!("{:.3} after {checks} checks", of.error))
        .collect();
    page.add(
        Tone::Plain,
        format!("Earlier it was {}.", earlier.join(", ")),
    );
    let given_up = study.given_up.iter();
    let given_up: Vec<String> = given_up
        .map(|(scenario, seed)| format!("{scenario} {seed}"))
        .collect();
    if !given_up.is_empty() {
        page.add(Tone::Plain, format!("By seed: {}.", given_up.join(", ")));
    }
    for short in study.falls_short() {
        page.add(Tone::Strong, format!("Falls short: {short}."));
    }
    page
}

/// The table for programs.
#[derive(Serialize)]
pub(crate) struct Table<'s> {
    scenarios: &'s [String],
    uniform: bool,
    draws: usize,
    bins: Vec<OfBin>,
    calibration_error: f64,
    by_stage: Vec<Stage>,
    given_up: &'s [(String, u64)],
    falls_short: Vec<String>,
}

#[derive(Serialize)]
struct Stage {
    checks: usize,
    calibration_error: f64,
}

#[derive(Serialize)]
struct OfBin {
    from: f64,
    to: f64,
    draws: u32,
    stated: f64,
    so: f64,
}

impl<'s> Table<'s> {
    pub(crate) fn of(study: &'s Study) -> Self {
        let bins = study.calibration().bins.iter().enumerate();
        let bin = |(place, bin): (usize, &Option<groundside_engine::statistics::Bin>)| {
            let bin = (*bin)?;
            Some(OfBin {
                from: share(place, study.calibration().bins.len()),
                to: share(place + 1, study.calibration().bins.len()),
                draws: bin.count,
                stated: bin.stated,
                so: bin.so,
            })
        };
        let stages = STAGES.iter().zip(&study.stages);
        let stage = |(checks, of): (&usize, &Calibration)| Stage {
            checks: *checks,
            calibration_error: of.error,
        };
        Self {
            by_stage: stages.map(stage).collect(),
            scenarios: &study.scenarios,
            uniform: study.uniform,
            draws: study.draws,
            bins: bins.filter_map(bin).collect(),
            calibration_error: study.calibration().error,
            given_up: &study.given_up,
            falls_short: study.falls_short(),
        }
    }
}
