//! Regret and luck: what a course of actions took, against what was to be expected.
//!
//! A tree of [`Choice`]s says what can be done, what may come of it with which chance, and what minutes that takes. With
//! `V = min Q` a course's minutes are `V` at its beginning, plus what each decision lost (`Q` of what was done less
//! `V`, never below zero), plus luck (what came of it less `Q`, nothing on average whatever is chosen), to the last
//! digit. Only the middle one is the person's doing. (After D. Zare's articles on luck in backgammon, read in part.)

use super::DecisionError;

/// How far chances may be from summing to 1.
const SUM_TOLERANCE: f64 = 1e-9;

/// A point at which something is to be chosen; nothing to choose from is the end.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    actions: Vec<Action>,
    value: f64,
}

impl Choice {
    /// A choice among actions.
    #[must_use]
    pub fn among(actions: Vec<Action>) -> Self {
        let least = actions.iter().map(Action::expected).reduce(f64::min);
        Self {
            value: least.unwrap_or(0.0),
            actions,
        }
    }

    /// The end: nothing is left to do.
    #[must_use]
    pub const fn done() -> Self {
        Self {
            actions: Vec::new(),
            value: 0.0,
        }
    }

    /// `V`: the minutes to be expected from here by whoever chooses best.
    #[must_use]
    pub const fn value(&self) -> f64 {
        self.value
    }

    /// What there is to choose from.
    #[must_use]
    pub fn actions(&self) -> &[Action] {
        &self.actions
    }
}

/// Something that can be done.
#[derive(Clone, Debug, PartialEq)]
pub struct Action {
    outcomes: Vec<Outcome>,
    expected: f64,
}

/// What may come of an action.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Its chance.
    pub probability: f64,
    /// What it takes, minutes.
    pub minutes: f64,
    /// What is to be chosen then.
    pub then: Choice,
}

impl Action {
    /// An action with all that may come of it.
    ///
    /// # Errors
    /// [`DecisionError::Range`] for a chance outside 0 to 1 or minutes that are not finite, [`DecisionError::Sum`] when
    /// the chances do not sum to 1.
    pub fn new(outcomes: Vec<Outcome>) -> Result<Self, DecisionError> {
        for (index, outcome) in outcomes.iter().enumerate() {
            let (value, range) = if !(0.0..=1.0).contains(&outcome.probability) {
                (outcome.probability, "a probability, 0 to 1")
            } else if !outcome.minutes.is_finite() {
                (outcome.minutes, "finite minutes")
            } else {
                continue;
            };
            return Err(DecisionError::Range {
                index,
                value,
                range,
            });
        }
        let sum: f64 = outcomes.iter().map(|outcome| outcome.probability).sum();
        if (sum - 1.0).abs() > SUM_TOLERANCE {
            return Err(DecisionError::Sum { sum });
        }
        let each = outcomes
            .iter()
            .map(|outcome| outcome.probability * (outcome.minutes + outcome.then.value));
        Ok(Self {
            expected: each.sum(),
            outcomes,
        })
    }

    /// `Q`: the minutes to be expected of doing this and choosing best from then on.
    #[must_use]
    pub const fn expected(&self) -> f64 {
        self.expected
    }

    /// All that may come of it.
    #[must_use]
    pub fn outcomes(&self) -> &[Outcome] {
        &self.outcomes
    }
}

/// What was chosen, and what came of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Position among the actions of the choice.
    pub action: usize,
    /// Position among the outcomes of that action.
    pub outcome: usize,
}

/// One action of a course, priced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Priced {
    /// Minutes that the decision lost against the best one; never below zero.
    pub regret: f64,
    /// Minutes that what came of it took beyond what was to be expected; below zero for good luck.
    pub luck: f64,
}

/// The account of a course of actions: `minutes + left = expected + regret + luck`.
#[derive(Clone, Debug, PartialEq)]
pub struct Account {
    /// `V` at the beginning.
    pub expected: f64,
    /// Each action.
    pub steps: Vec<Priced>,
    /// Minutes that the course took.
    pub minutes: f64,
    /// `V` where it stopped; nothing when it came to an end.
    pub left: f64,
}

impl Account {
    /// Minutes that all decisions lost together.
    #[must_use]
    pub fn regret(&self) -> f64 {
        self.steps.iter().map(|step| step.regret).sum()
    }

    /// Minutes of luck together; below zero for good luck.
    #[must_use]
    pub fn luck(&self) -> f64 {
        self.steps.iter().map(|step| step.luck).sum()
    }

    /// `V / (V + regret)`, 1 for a course without a mistake; 1 too where nothing was to be expected or lost.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        let whole = self.expected + self.regret();
        if whole > 0.0 {
            self.expected / whole
        } else {
            1.0
        }
    }
}

/// Parts what a course took into what was to be expected, what decisions lost, and luck.
///
/// # Errors
/// [`DecisionError::Index`] for an action or an outcome that there is not.
pub fn account(beginning: &Choice, course: &[Taken]) -> Result<Account, DecisionError> {
    let mut here = beginning;
    let mut steps = Vec::with_capacity(course.len());
    let mut minutes = 0.0;
    for taken in course {
        let action = entry(&here.actions, taken.action)?;
        let outcome = entry(&action.outcomes, taken.outcome)?;
        steps.push(Priced {
            regret: action.expected - here.value,
            luck: outcome.minutes + outcome.then.value - action.expected,
        });
        minutes += outcome.minutes;
        here = &outcome.then;
    }
    Ok(Account {
        expected: beginning.value,
        steps,
        minutes,
        left: here.value,
    })
}

fn entry<T>(list: &[T], index: usize) -> Result<&T, DecisionError> {
    let count = list.len();
    list.get(index).ok_or(DecisionError::Index { index, count })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Own numbers: three suspects, minutes of the repair of each, which count where it is the wrong one. Before any
    /// repair it can be asked for 5 minutes whether it is the first, and for 8 whether it is the third.
    const BELIEFS: [f64; 3] = [0.5, 0.3, 0.2];
    const REPAIRS: [f64; 3] = [60.0, 20.0, 10.0];
    const CHECKS: [(f64, usize); 2] = [(5.0, 0), (8.0, 2)];
    const CHECK_A: usize = 0;
    const CHECK_B: usize = 1;
    const REPAIR_1: usize = 2;
    const REPAIR_2: usize = 3;
    const REPAIR_3: usize = 4;
    const YES: usize = 0;
    const NO: usize = 1;

    /// What can be done about suspects that are left: checks first, then repairs. A choice in which each place is always
    /// the same action; what cannot be is dear.
    fn choice(left: [bool; 3]) -> Choice {
        let mass = |live: [bool; 3]| -> f64 {
            let pairs = BELIEFS.iter().zip(live);
            pairs
                .filter(|(_, live)| *live)
                .map(|(belief, _)| belief)
                .sum()
        };
        let count = left.iter().filter(|live| **live).count();
        let action = |suspect: usize, yes_minutes: f64, no_minutes: f64, cures: bool| {
            let (mut only, mut without) = ([false; 3], left);
            only[suspect] = left[suspect];
            without[suspect] = false;
            let yes = mass(only) / mass(left);
            let branch = |live: [bool; 3], cured: bool| {
                if cured || mass(live) == 0.0 {
                    Choice::done()
                } else {
                    choice(live)
                }
            };
            Action::new(vec![
                Outcome {
                    probability: yes,
                    minutes: yes_minutes,
                    then: branch(only, cures),
                },
                Outcome {
                    probability: 1.0 - yes,
                    minutes: no_minutes,
                    then: branch(without, false),
                },
            ])
        };
        // Of what is known to be something else nothing is asked and nothing repaired.
        let useless = || {
            Action::new(vec![Outcome {
                probability: 1.0,
                minutes: 1e6,
                then: Choice::done(),
            }])
        };
        let checks = CHECKS.into_iter().map(|(minutes, suspect)| {
            if left[suspect] && count > 1 {
                action(suspect, minutes, minutes, false)
            } else {
                useless()
            }
        });
        let repairs = (0..3).map(|suspect| {
            if left[suspect] {
                action(suspect, 0.0, REPAIRS[suspect], true)
            } else {
                useless()
            }
        });
        Choice::among(checks.chain(repairs).map(Result::unwrap).collect())
    }

    fn course(taken: &[(usize, usize)]) -> Account {
        let taken: Vec<Taken> = taken
            .iter()
            .map(|&(action, outcome)| Taken { action, outcome })
            .collect();
        account(&choice([true; 3]), &taken).unwrap()
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 1e-9, "{found} {expected}");
    }

    #[test]
    fn what_each_action_is_expected_to_take() {
        let root = choice([true; 3]);
        let expected = [8.0, 12.0, 33.0, 17.5, 12.0];
        let actions = [CHECK_A, CHECK_B, REPAIR_1, REPAIR_2, REPAIR_3];
        for (action, expected) in actions.into_iter().zip(expected) {
            near(root.actions()[action].expected(), expected);
        }
        near(root.value(), 8.0);
    }

    #[test]
    fn a_lucky_guess_took_nothing_and_lost_as_much_as_an_unlucky_one() {
        let lucky = course(&[(REPAIR_1, YES)]);
        near(lucky.minutes, 0.0);
        near(lucky.expected, 8.0);
        near(lucky.regret(), 25.0);
        near(lucky.luck(), -33.0);
        near(lucky.left, 0.0);
        // 8 / (8 + 25) = .24.
        assert!((lucky.ratio() - 0.24).abs() < 5e-3);
        let unlucky = course(&[(REPAIR_1, NO)]);
        near(unlucky.regret(), lucky.regret());
        near(unlucky.minutes + unlucky.left, 66.0);
    }

    #[test]
    fn the_best_course_may_be_an_unlucky_one() {
        let best = course(&[(CHECK_A, NO), (REPAIR_3, NO), (REPAIR_2, YES)]);
        near(best.minutes, 15.0);
        near(best.expected, 8.0);
        near(best.regret(), 0.0);
        near(best.steps[0].luck, 3.0);
        near(best.steps[1].luck, 4.0);
        near(best.steps[2].luck, 0.0);
        near(best.ratio(), 1.0);
    }

    #[test]
    fn what_is_no_chance_or_no_choice_is_an_error() {
        let outcome = |probability, minutes| Outcome {
            probability,
            minutes,
            then: Choice::done(),
        };
        for half in [vec![outcome(0.5, 1.0)], Vec::new()] {
            assert!(matches!(Action::new(half), Err(DecisionError::Sum { .. })));
        }
        for beyond in [outcome(1.5, 1.0), outcome(1.0, f64::NAN)] {
            assert!(matches!(
                Action::new(vec![beyond]),
                Err(DecisionError::Range { index: 0, .. })
            ));
        }
        let taken = [Taken {
            action: 0,
            outcome: 0,
        }];
        let none = DecisionError::Index { index: 0, count: 0 };
        assert_eq!(account(&Choice::done(), &taken), Err(none));
        near(Choice::done().value(), 0.0);
        near(account(&Choice::done(), &[]).unwrap().ratio(), 1.0);
    }

    /// Any tree of three actions with two outcomes each, so many choices deep.
    fn tree(depth: u32) -> BoxedStrategy<Choice> {
        if depth == 0 {
            return Just(Choice::done()).boxed();
        }
        let outcome = || (0.0..60.0_f64, tree(depth - 1));
        let action = (0.0..=1.0_f64, outcome(), outcome()).prop_map(|(chance, yes, no)| {
            let of = |probability, (minutes, then)| Outcome {
                probability,
                minutes,
                then,
            };
            Action::new(vec![of(chance, yes), of(1.0 - chance, no)]).unwrap()
        });
        prop::collection::vec(action, 3)
            .prop_map(Choice::among)
            .boxed()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// Expected, lost and luck make up the minutes of any course; luck is nothing on average over what may come of
        /// any action, the worst ones too.
        #[test]
        fn expected_lost_and_luck_make_up_the_minutes(
            root in tree(3),
            course in prop::collection::vec((0..3_usize, 0..2_usize), 0..=3),
        ) {
            let course: Vec<Taken> =
                course.into_iter().map(|(action, outcome)| Taken { action, outcome }).collect();
            let sum = account(&root, &course).unwrap();
            let made_up = sum.expected + sum.regret() + sum.luck();
            prop_assert!((sum.minutes + sum.left - made_up).abs() < 1e-9);
            prop_assert!(sum.steps.iter().all(|step| step.regret >= 0.0));
            for (action, with) in root.actions().iter().enumerate() {
                let luck = |(outcome, of): (usize, &Outcome)| {
                    let one = account(&root, &[Taken { action, outcome }]).unwrap();
                    of.probability * one.luck()
                };
                let mean: f64 = with.outcomes().iter().enumerate().map(luck).sum();
                prop_assert!(mean.abs() < 1e-9);
            }
        }
    }
}
