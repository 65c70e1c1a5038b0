//! How well marks tell habits apart: learners on the same draws, and what their marks add up to.

use super::{Habit, Learner, LearnerError, SURE};
use crate::marking::Debrief;
use crate::random::Seed;
use crate::statistics::{StatisticsError, mean, pearson, spearman, standard_deviation};

/// One learner's attempt at one draw, as far as the study goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Play {
    /// Who played.
    pub learner: Learner,
    /// The seed of the draw.
    pub seed: Seed,
    /// The marks, 0 to 100.
    pub total: f64,
    /// The mark for time.
    pub time: f64,
    /// The mark for the order of checks.
    pub order: f64,
    /// The mark for what was concluded, and how well repairs were founded.
    pub correctness: f64,
    /// What it took, minutes.
    pub minutes: f64,
    /// Minutes that decisions lost.
    pub regret: f64,
    /// Minutes of luck, good where they are below zero.
    pub luck: f64,
    /// Checks that were made.
    pub checks: u32,
    /// Parts repaired that were sound.
    pub needless: u32,
    /// Whether the vehicle was put right.
    pub cured: bool,
    /// How likely the first repair was to be the right one by what was known then, 0 to 1; none where nothing was repaired.
    pub first_chance: Option<f64>,
}

impl Play {
    /// What the study keeps of a debrief.
    ///
    /// # Errors
    /// [`LearnerError::Unmarked`] where it has no mark.
    pub(super) fn of(
        learner: Learner,
        seed: Seed,
        debrief: &Debrief,
    ) -> Result<Self, LearnerError> {
        let score = debrief.score.as_ref().ok_or(LearnerError::Unmarked)?;
        let checks = debrief.lines.iter().filter(|line| line.is_check);
        let count = |of: usize| u32::try_from(of).unwrap_or(u32::MAX);
        Ok(Self {
            learner,
            seed,
            total: score.total,
            time: score.time,
            order: score.order,
            correctness: score.correctness,
            minutes: debrief.minutes.as_minutes(),
            regret: debrief.balance.lost,
            luck: debrief.balance.luck,
            checks: count(checks.count()),
            needless: count(debrief.needless_repairs.len()),
            cured: debrief.cured,
            first_chance: debrief.lines.iter().find_map(|line| line.repair_chance),
        })
    }

    /// Whether the first repair was made before it was sure.
    #[must_use]
    pub fn guessed(&self) -> bool {
        self.first_chance.is_some_and(|chance| chance < SURE)
    }

    /// Whether the first repair was the right one. A learner that repaired nothing was not.
    #[must_use]
    pub const fn hit(&self) -> bool {
        self.cured && self.needless == 0
    }
}

/// What the plays of one learner come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Who played.
    pub learner: Learner,
    /// How many plays.
    pub plays: usize,
    /// Mean of the total, and its standard deviation over the draws.
    pub total: [f64; 2],
    /// Mean mark for time, order and correctness.
    pub marks: [f64; 3],
    /// Mean minutes, and those of them that decisions lost and that were luck.
    pub minutes: [f64; 3],
    /// Mean number of checks and of needless repairs.
    pub counts: [f64; 2],
    /// Share of the vehicles that were put right, 0 to 1.
    pub cured: f64,
}

/// How well the marks of learners on the same draws tell them apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Separation {
    /// The learners, in the order in which they were given.
    pub rows: Vec<Row>,
    /// Rank correlation of mean total and mean regret, with its sign turned: 1 where who loses less always has more.
    pub spearman: f64,
    /// Correlation of total and luck over all plays. 0 where luck has no part.
    pub luck: f64,
    /// The same within learners: each play less its learner's mean.
    pub luck_within: f64,
    /// Mean total of a guesser whose first repair was right, and of one whose first was not, where it was a guess: less
    /// than sure by what was known; none where either never was.
    pub guesser: Option<[f64; 2]>,
}

impl Separation {
    /// That of some plays.
    ///
    /// # Errors
    /// [`StatisticsError`] when there are too few plays or learners for a correlation, or all are alike.
    pub fn of(plays: &[Play]) -> Result<Self, StatisticsError> {
        let mut learners: Vec<Learner> = Vec::new();
        for play in plays {
            if !learners.contains(&play.learner) {
                learners.push(play.learner);
            }
        }
        let of = |learner: &Learner| -> Vec<&Play> {
            plays
                .iter()
                .filter(|play| play.learner == *learner)
                .collect()
        };
        let groups: Vec<Vec<&Play>> = learners.iter().map(of).collect();
        let rows = groups
            .iter()
            .map(|group| Row::of(group))
            .collect::<Result<Vec<_>, _>>()?;
        let totals: Vec<f64> = rows.iter().map(|row| row.total[0]).collect();
        let regrets: Vec<f64> = rows.iter().map(|row| -row.minutes[1]).collect();
        let totals_and_luck: (Vec<f64>, Vec<f64>) =
            plays.iter().map(|play| (play.total, play.luck)).unzip();
        let (mut marks, mut lucks) = (Vec::new(), Vec::new());
        for (group, row) in groups.iter().zip(&rows) {
            for play in group {
                marks.push(play.total - row.total[0]);
                lucks.push(play.luck - row.minutes[2]);
            }
        }
        let guessers = plays
            .iter()
            .filter(|play| play.learner.habit == Habit::Guesser && play.guessed());
        let (lucky, unlucky): (Vec<&Play>, Vec<&Play>) = guessers.partition(|play| play.hit());
        let total =
            |group: Vec<&Play>| mean(&group.iter().map(|play| play.total).collect::<Vec<_>>());
        Ok(Self {
            spearman: spearman(&totals, &regrets)?,
            luck: pearson(&totals_and_luck.0, &totals_and_luck.1)?,
            luck_within: pearson(&marks, &lucks)?,
            guesser: total(lucky)
                .ok()
                .zip(total(unlucky).ok())
                .map(<[f64; 2]>::from),
            rows,
        })
    }
}

/// Least rank correlation of mean total with mean regret.
const SPEARMAN_MIN: f64 = 0.93;
/// Most points that a guesser's luck is worth.
const GUESSER_POINTS: f64 = 20.0;
/// Largest correlation of total and luck, either way.
const LUCK_MAX: f64 = 0.1;

impl Separation {
    /// Where the marks do not tell learners apart as they should, in words.
    #[must_use]
    pub fn falls_short(&self) -> Vec<String> {
        let mut list = Vec::new();
        if self.spearman < SPEARMAN_MIN {
            list.push(format!(
                "mean total and mean minutes lost go together by {:.3}, less than {SPEARMAN_MIN}",
                self.spearman
            ));
        }
        if self.luck.abs() > LUCK_MAX {
            list.push(format!(
                "total and luck go together by {:.2}, more than {LUCK_MAX}",
                self.luck
            ));
        }
        if let Some([lucky, unlucky]) = self.guesser
            && (lucky - unlucky).abs() > GUESSER_POINTS
        {
            list.push(format!(
                "a guesser's luck is worth {:.0} points, more than {GUESSER_POINTS}",
                lucky - unlucky
            ));
        }
        list
    }
}

impl Row {
    fn of(plays: &[&Play]) -> Result<Self, StatisticsError> {
        let first = plays
            .first()
            .ok_or(StatisticsError::TooFew { least: 1, found: 0 })?;
        let each =
            |of: fn(&Play) -> f64| -> Vec<f64> { plays.iter().map(|play| of(play)).collect() };
        let mean_of = |of: fn(&Play) -> f64| mean(&each(of));
        let totals = each(|play| play.total);
        let spread = if plays.len() > 1 {
            standard_deviation(&totals)?
        } else {
            0.0
        };
        Ok(Self {
            learner: first.learner,
            plays: plays.len(),
            total: [mean(&totals)?, spread],
            marks: [
                mean_of(|play| play.time)?,
                mean_of(|play| play.order)?,
                mean_of(|play| play.correctness)?,
            ],
            minutes: [
                mean_of(|play| play.minutes)?,
                mean_of(|play| play.regret)?,
                mean_of(|play| play.luck)?,
            ],
            counts: [
                mean_of(|play| f64::from(play.checks))?,
                mean_of(|play| f64::from(play.needless))?,
            ],
            cured: mean_of(|play| f64::from(u8::from(play.cured)))?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn play(
        habit: Habit,
        seed: u64,
        total: f64,
        (regret, luck): (f64, f64),
        needless: u32,
    ) -> Play {
        Play {
            learner: Learner { habit, slips: 0.0 },
            seed: Seed(seed),
            total,
            time: total,
            order: total,
            correctness: total,
            minutes: 10.0,
            regret,
            luck,
            checks: 3,
            needless,
            cured: true,
            first_chance: Some(0.6),
        }
    }

    #[test]
    fn plays_add_up_by_learner_and_luck_is_seen_within_them() {
        // Own numbers: who loses more has less, and the lucky half of each learner's plays has as much as the other.
        let plays = [
            play(Habit::OneStep, 1, 99.0, (1.0, 5.0), 0),
            play(Habit::OneStep, 2, 97.0, (1.0, 5.0), 0),
            play(Habit::OneStep, 3, 99.0, (1.0, -5.0), 0),
            play(Habit::OneStep, 4, 97.0, (1.0, -5.0), 0),
            play(Habit::Guesser, 1, 80.0, (4.0, -20.0), 0),
            play(Habit::Guesser, 2, 70.0, (6.0, 20.0), 1),
            play(Habit::Swapper, 1, 20.0, (60.0, 0.0), 2),
            play(Habit::Swapper, 2, 20.0, (60.0, 0.0), 2),
        ];
        let found = Separation::of(&plays).unwrap();
        let totals: Vec<f64> = found.rows.iter().map(|row| row.total[0]).collect();
        assert_eq!(totals, [98.0, 75.0, 20.0]);
        assert!((found.rows[1].minutes[1] - 5.0).abs() < 1e-12);
        assert!((found.spearman - 1.0).abs() < 1e-12);
        assert_eq!(found.guesser, Some([80.0, 70.0]));
        // Totals less their means: 1, -1, 1, -1, 5, -5, 0, 0; luck: 5, 5, -5, -5, -20, 20, 0, 0: -200 over the
        // root of 54 x 900. Less 72.75, the mean of all, the squares of the totals sum to 8179.5.
        let within = -200.0 / crate::math::sqrt(54.0 * 900.0);
        assert!((found.luck_within - within).abs() < 1e-12);
        let over_all = -200.0 / crate::math::sqrt(8179.5 * 900.0);
        assert!((found.luck - over_all).abs() < 1e-12, "{}", found.luck);
        assert!(Separation::of(&plays[..1]).is_err());
    }
}
