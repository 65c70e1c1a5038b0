//! Small slices of the studies, by seeds that stand here: what `study separation` and `study calibration` show at length.

use std::collections::BTreeMap;

use groundside_engine::learners::{
    Drawing, Habit, Learner, LearnerError, Play, STAGES, believed, plays,
};
use groundside_engine::random::Seed;
use groundside_engine::statistics::{Calibration, mean};

use crate::marked::dictionary;

fn played(habits: &[Habit], seeds: u64) -> BTreeMap<Habit, Vec<Play>> {
    let asked: Vec<(Seed, Learner)> = (1..=seeds)
        .flat_map(|seed| {
            let with = move |habit: &Habit| {
                (
                    Seed(seed),
                    Learner {
                        habit: *habit,
                        slips: 0.0,
                    },
                )
            };
            habits.iter().map(with)
        })
        .collect();
    let mut by = BTreeMap::<Habit, Vec<Play>>::new();
    plays(dictionary(), &asked, |play| {
        by.entry(play.learner.habit).or_default().push(play);
        Ok::<_, LearnerError>(())
    })
    .unwrap();
    by
}

#[test]
fn marks_tell_three_habits_apart_and_luck_has_no_part_in_it() {
    let habits = [Habit::OneStep, Habit::HalfSplit, Habit::Random];
    let by = played(&habits, 3);
    let mean_of = |habit: Habit, of: fn(&Play) -> f64| {
        let all: Vec<f64> = by[&habit].iter().map(of).collect();
        assert_eq!(all.len(), 3, "{habit:?}");
        mean(&all).unwrap()
    };
    let totals = habits.map(|habit| mean_of(habit, |play| play.total));
    let lost = habits.map(|habit| mean_of(habit, |play| play.regret));
    assert!(totals[0] > totals[1] && totals[1] > totals[2], "{totals:?}");
    assert!(lost[0] < lost[1] && lost[1] < lost[2], "{lost:?}");
    assert!(by[&Habit::OneStep].iter().all(|play| play.cured), "{by:?}");
    // The repairs that these draws need take from 4 to 40 min; what they take is no luck with the readings.
    let mut plays = by[&Habit::OneStep].iter();
    assert!(plays.all(|play| play.luck.abs() < 16.0), "{by:?}");
}

/// Mean belief in the likeliest repair after the last check, the share of draws in which it was needed, and that of those in
/// which the needed one was given up.
fn kept_word(drawing: Drawing, draws: u64) -> (f64, f64, f64) {
    let seeds: Vec<Seed> = (1..=draws).map(Seed).collect();
    let all = believed(dictionary(), &seeds, drawing, &mut |_| {}).unwrap();
    assert_eq!(all.len(), seeds.len());
    let last = STAGES.len() - 1;
    let after: Vec<(f64, bool)> = all
        .iter()
        .map(|(_, by)| (by[last].likeliest, by[last].right))
        .collect();
    // Checks tell something: what is held likeliest before any is less likely to be it.
    let before: Vec<f64> = all.iter().map(|(_, by)| by[0].likeliest).collect();
    let stated: Vec<f64> = after.iter().map(|(stated, _)| *stated).collect();
    assert!(mean(&before).unwrap() < mean(&stated).unwrap() - 0.2);
    assert!(Calibration::of(&after).unwrap().error < 0.2);
    let share = |of: &dyn Fn(usize) -> bool| {
        let counted = (0..all.len()).filter(|place| of(*place)).count();
        f64::from(u32::try_from(counted).unwrap()) / f64::from(u32::try_from(all.len()).unwrap())
    };
    (
        mean(&stated).unwrap(),
        share(&|place| after[place].1),
        share(&|place| all[place].1[last].needed < 0.01),
    )
}

#[test]
#[ignore = "takes minutes: .ci/slow runs it"]
fn what_is_believed_after_ten_checks_is_about_as_often_so() {
    // Three standard deviations of a share of 24 that is nine in ten are less than 0.2.
    let (stated, so, given_up) = kept_word(Drawing::ByPrior, 24);
    assert!((stated - so).abs() < 0.2, "{stated} {so}");
    assert!(given_up <= 0.05, "{given_up}");
}

#[test]
#[ignore = "takes a minute: .ci/slow runs it"]
fn faults_drawn_alike_are_other_faults_and_found_nearly_as_well() {
    let (stated, so, given_up) = kept_word(Drawing::Uniform, 100);
    assert!((stated - so).abs() < 0.2, "{stated} {so}");
    assert!(given_up <= 0.1, "{given_up}");
    let by_prior = kept_word(Drawing::ByPrior, 100);
    assert!((by_prior.0 - stated).abs() > 1e-9, "the same draws");
}
