//! The table of simulated learners: what marks each habit has, and whether they tell the habits apart.

use groundside_engine::learners::{Learner, Row, Separation};
use serde::Serialize;

use crate::style::{Page, Tone, columns};

/// The table for people.
pub(crate) fn page(scenarios: &[String], draws: u32, study: &Separation) -> Page {
    let mut page = Page::default();
    page.add(
        Tone::Strong,
        format!(
            "{} learners, {draws} draws of each: {}.",
            study.rows.len(),
            scenarios.join(", ")
        ),
    );
    let head = [
        "learner", "total", "(sd)", "time", "order", "correct", "min", "lost", "luck", "checks",
        "needless", "cured",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(study.rows.iter().map(cells));
    for line in columns(&rows) {
        page.row(line);
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Plain,
        format!(
            "Rank correlation of mean total and mean minutes lost: {:.2}.",
            study.spearman
        ),
    );
    page.add(
        Tone::Plain,
        format!(
            "Correlation of total and luck: {:.2}; within learners: {:.2}.",
            study.luck, study.luck_within
        ),
    );
    if let Some([lucky, unlucky]) = study.guesser {
        page.add(
            Tone::Plain,
            format!("The guesser has {lucky:.0} where a first repair that was a guess was right, {unlucky:.0} where it was not."),
        );
    }
    for short in study.falls_short() {
        page.add(Tone::Strong, format!("Falls short: {short}."));
    }
    page
}

fn name(learner: &Learner) -> String {
    if learner.slips > 0.0 {
        format!(
            "{}, {:.0} % slips",
            learner.habit.word(),
            100.0 * learner.slips
        )
    } else {
        learner.habit.word().to_owned()
    }
}

fn cells(row: &Row) -> Vec<String> {
    let mut cells = vec![name(&row.learner)];
    cells.push(format!("{:.0}", row.total[0]));
    cells.push(format!("({:.0})", row.total[1]));
    cells.extend(row.marks.iter().map(|mark| format!("{mark:.0}")));
    cells.extend(row.minutes.iter().map(|minutes| format!("{minutes:.1}")));
    cells.extend(row.counts.iter().map(|count| format!("{count:.1}")));
    cells.push(format!("{:.0} %", 100.0 * row.cured));
    cells
}

/// The table for programs.
#[derive(Serialize)]
pub(crate) struct Table<'s> {
    scenarios: &'s [String],
    draws: u32,
    learners: Vec<OfLearner>,
    rank_correlation: f64,
    luck_correlation: f64,
    luck_correlation_within_learners: f64,
    guesser_lucky: Option<f64>,
    guesser_unlucky: Option<f64>,
    falls_short: Vec<String>,
}

#[derive(Serialize)]
struct OfLearner {
    learner: String,
    plays: usize,
    total: f64,
    total_sd: f64,
    time: f64,
    order: f64,
    correctness: f64,
    minutes: f64,
    lost_minutes: f64,
    luck_minutes: f64,
    checks: f64,
    needless_repairs: f64,
    cured: f64,
}

impl<'s> Table<'s> {
    pub(crate) fn of(scenarios: &'s [String], draws: u32, study: &Separation) -> Self {
        let of = |row: &Row| OfLearner {
            learner: name(&row.learner),
            plays: row.plays,
            total: row.total[0],
            total_sd: row.total[1],
            time: row.marks[0],
            order: row.marks[1],
            correctness: row.marks[2],
            minutes: row.minutes[0],
            lost_minutes: row.minutes[1],
            luck_minutes: row.minutes[2],
            checks: row.counts[0],
            needless_repairs: row.counts[1],
            cured: row.cured,
        };
        Self {
            scenarios,
            draws,
            learners: study.rows.iter().map(of).collect(),
            rank_correlation: study.spearman,
            luck_correlation: study.luck,
            luck_correlation_within_learners: study.luck_within,
            guesser_lucky: study.guesser.map(|[lucky, _]| lucky),
            guesser_unlucky: study.guesser.map(|[_, unlucky]| unlucky),
            falls_short: study.falls_short(),
        }
    }
}
