//! Simulated learners play whole attempts, and are marked by how they search.

use groundside_engine::attempt::{Attempt, Event};
use groundside_engine::learners::{Habit, Learner};
use groundside_engine::marking::Debrief;
use groundside_engine::random::Seed;
use groundside_engine::world::Action;

use crate::marked::with_marker;
use crate::marking::begin;

fn played(habit: Habit, slips: f64, seed: u64) -> (Attempt, Debrief) {
    let attempt = begin(seed);
    let learner = Learner { habit, slips };
    with_marker(&attempt.clone(), |marker| {
        learner.play(marker, attempt, Seed(seed)).unwrap()
    })
}

fn total(habit: Habit, seeds: impl IntoIterator<Item = u64>) -> f64 {
    let marks = seeds.into_iter().map(|seed| played(habit, 0.0, seed).1);
    marks.map(|debrief| debrief.score.unwrap().total).sum()
}

/// Seed 7 brings a stiff left pivot.
#[test]
fn who_measures_beats_who_swaps_repairs_and_sees_to_it() {
    for (habit, least, most) in [(Habit::OneStep, 85.0, 100.0), (Habit::Swapper, 1.0, 60.0)] {
        let (attempt, debrief) = played(habit, 0.0, 7);
        let total = debrief.score.unwrap().total;
        assert!((least..=most).contains(&total), "{habit:?}: {total}");
        let events = attempt.events();
        let is_repair = |event: &Event| matches!(event.action, Action::Repair { .. });
        let last = events.iter().rposition(is_repair).unwrap();
        let looks = events[last..]
            .iter()
            .filter(|event| event.action.is_check());
        assert!(looks.count() >= 3, "{habit:?}: LOW, HIGH and OFF");
        assert!(events.iter().all(|event| event.hazards.is_empty()));
    }
}

/// On the same three vehicles nobody beats the rule that the marking is by, and who never checks is last.
#[test]
#[ignore = "takes minutes: .ci/slow runs it"]
fn habits_stand_in_their_order() {
    let totals = Habit::ALL.map(|habit| total(habit, 1..=3));
    let by = |habit: Habit| totals[Habit::ALL.iter().position(|other| *other == habit).unwrap()];
    let (rule, swapper) = (by(Habit::OneStep), by(Habit::Swapper));
    for (habit, total) in Habit::ALL.iter().zip(totals) {
        assert!(total <= rule + 3.0, "{habit:?}: {totals:?}");
        assert!(total >= swapper, "{habit:?}: {totals:?}");
    }
}

#[test]
#[ignore = "takes long: .ci/slow runs it"]
fn the_same_seed_makes_the_same_choices_and_slips_make_others() {
    let (steady, _) = played(Habit::OneStep, 0.0, 7);
    let (again, _) = played(Habit::OneStep, 0.0, 7);
    assert_eq!(steady.events(), again.events());
    let (slipping, _) = played(Habit::OneStep, 0.8, 7);
    assert_ne!(steady.events(), slipping.events());
}
