//! The order of tests: which test first, and which after each of its outcomes, until it is known what is wrong.
//!
//! The cheapest tree is `V(S) = min over tests of c + Σ P(outcome | S) V(what it leaves of S)`, worked out over the
//! sets of states that can be left ([Johnson 1960], [Pattipati 1990], both from memory). Finding it is hard in
//! general, so beside it stands the tree that always takes the test with the most bits per cost.

use std::collections::BTreeMap;

use super::{DecisionError, Distribution, entropy, lengths};

/// Most states that can be told apart: a set of them is a word of so many bits.
pub const STATES_MAX: usize = 64;
/// Most sets that the cheapest tree is worked out over.
const SETS_MAX: usize = 1 << 16;

/// A test without error: in each state it has one outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// What it costs, in any one unit.
    pub cost: f64,
    /// The number of its outcome in each state.
    pub outcomes: Vec<usize>,
}

/// States, one of which is true, and tests that tell them apart.
#[derive(Clone, Debug)]
pub struct Sequencing {
    priors: Distribution,
    classes: Vec<usize>,
    tests: Vec<Test>,
}

/// A tree of tests.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// What it is expected to cost.
    pub cost: f64,
    /// Its first step.
    pub first: Step,
}

/// A step of a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// What is left needs no telling apart.
    Known {
        /// The class of it.
        class: usize,
    },
    /// A test is made.
    Test {
        /// Its position in the list of tests.
        test: usize,
        /// What to do by its outcome; only outcomes that are possible.
        then: BTreeMap<usize, Self>,
    },
}

impl Step {
    /// Most tests that may be made from here on.
    #[must_use]
    pub fn most(&self) -> usize {
        match self {
            Self::Known { .. } => 0,
            Self::Test { then, .. } => 1 + then.values().map(Self::most).max().unwrap_or(0),
        }
    }
}

/// A set of states, one bit each.
type Set = u64;

impl Sequencing {
    /// States with their chances, all to be told apart, and tests.
    ///
    /// # Errors
    /// [`DecisionError::TooMany`] for more than [`STATES_MAX`] states, [`DecisionError::Lengths`] for a test without
    /// one outcome for each, [`DecisionError::Range`] for a cost that is not above zero and finite.
    pub fn new(priors: Distribution, tests: Vec<Test>) -> Result<Self, DecisionError> {
        let count = priors.probabilities().len();
        if count > STATES_MAX {
            return Err(DecisionError::TooMany {
                found: count,
                most: STATES_MAX,
            });
        }
        for (index, test) in tests.iter().enumerate() {
            lengths(count, test.outcomes.len())?;
            if !(test.cost.is_finite() && test.cost > 0.0) {
                return Err(DecisionError::Range {
                    index,
                    value: test.cost,
                    range: "finite, above zero",
                });
            }
        }
        Ok(Self {
            priors,
            classes: (0..count).collect(),
            tests,
        })
    }

    /// The same where only classes of states need telling apart: the class of each state.
    ///
    /// # Errors
    /// [`DecisionError::Lengths`] when there is not one class for each state.
    pub fn with_classes(self, classes: Vec<usize>) -> Result<Self, DecisionError> {
        lengths(self.classes.len(), classes.len())?;
        Ok(Self { classes, ..self })
    }

    /// Bits of the class that a test is expected to tell while all states are possible.
    ///
    /// # Errors
    /// [`DecisionError::Index`] when there is no such test.
    pub fn bits(&self, test: usize) -> Result<f64, DecisionError> {
        let count = self.tests.len();
        let of = self.tests.get(test);
        let of = of.ok_or(DecisionError::Index { index: test, count })?;
        let all = self.possible();
        Ok(self.bits_told(all, &self.parted(all, of)))
    }

    /// The tree that is cheapest on average.
    ///
    /// # Errors
    /// [`DecisionError::Inseparable`] when no tree can do it, [`DecisionError::TooMany`] when more sets can be left than
    /// memory should hold; [`Self::greedy`] can deal with those.
    pub fn cheapest(&self) -> Result<Plan, DecisionError> {
        self.separable()?;
        let all = self.possible();
        let mut best = BTreeMap::new();
        let cost = self.value(all, &mut best)?;
        let choose = |set: Set| best.get(&set).and_then(|(_, test)| *test);
        Ok(Plan {
            cost,
            first: self.step(all, &choose),
        })
    }

    /// The tree that takes the test with the most bits of the class per cost each time, the first in the list of equals.
    ///
    /// # Errors
    /// [`DecisionError::Inseparable`] when no tree can do it.
    pub fn greedy(&self) -> Result<Plan, DecisionError> {
        self.separable()?;
        let all = self.possible();
        let choose = |set: Set| {
            let rates = self.tests.iter().enumerate().filter_map(|(index, test)| {
                let parts = self.parted(set, test);
                (parts.len() > 1).then(|| (index, self.bits_told(set, &parts) / test.cost))
            });
            let best = rates.reduce(|best, next| {
                // Rounding makes no difference of equals.
                if next.1 > best.1 + 1e-12 { next } else { best }
            });
            best.map(|(index, _)| index)
        };
        let first = self.step(all, &choose);
        Ok(Plan {
            cost: self.cost(all, &first),
            first,
        })
    }

    /// All states that have a chance.
    fn possible(&self) -> Set {
        let chances = self.priors.probabilities().iter().enumerate();
        chances
            .filter(|(_, chance)| **chance > 0.0)
            .fold(0, |set, (state, _)| set | 1 << state)
    }

    fn states(&self, set: Set) -> impl Iterator<Item = usize> + use<> {
        (0..self.classes.len()).filter(move |state| set >> state & 1 == 1)
    }

    fn chance(&self, set: Set) -> f64 {
        let chances = self.priors.probabilities();
        self.states(set).map(|state| chances[state]).sum()
    }

    /// Entropy of the class in a set, bits.
    fn doubt(&self, set: Set) -> f64 {
        let mut masses: BTreeMap<usize, f64> = BTreeMap::new();
        for state in self.states(set) {
            *masses.entry(self.classes[state]).or_default() += self.priors.probabilities()[state];
        }
        entropy(&masses.into_values().collect::<Vec<f64>>())
    }

    /// The class of all states of a set, if they are of one.
    fn class_of(&self, set: Set) -> Option<usize> {
        let mut classes = self.states(set).map(|state| self.classes[state]);
        let first = classes.next()?;
        classes.all(|class| class == first).then_some(first)
    }

    /// What each outcome of a test leaves of a set.
    fn parted(&self, set: Set, test: &Test) -> BTreeMap<usize, Set> {
        let mut parts = BTreeMap::new();
        for state in self.states(set) {
            *parts.entry(test.outcomes[state]).or_default() |= 1 << state;
        }
        parts
    }

    fn bits_told(&self, set: Set, parts: &BTreeMap<usize, Set>) -> f64 {
        let left: f64 = parts
            .values()
            .map(|part| self.chance(*part) * self.doubt(*part))
            .sum();
        self.doubt(set) - left / self.chance(set)
    }

    /// An error when two possible states of different classes have the same outcomes in all tests. Without such a pair
    /// some test parts any set that needs it.
    fn separable(&self) -> Result<(), DecisionError> {
        let possible: Vec<usize> = self.states(self.possible()).collect();
        for (place, &one) in possible.iter().enumerate() {
            for &other in &possible[..place] {
                let told = |test: &Test| test.outcomes[one] != test.outcomes[other];
                if self.classes[one] != self.classes[other] && !self.tests.iter().any(told) {
                    return Err(DecisionError::Inseparable {
                        one: other,
                        other: one,
                    });
                }
            }
        }
        Ok(())
    }

    /// Expected cost of the cheapest tree for a set; keeps it, with its first test, for every set on the way.
    fn value(
        &self,
        set: Set,
        best: &mut BTreeMap<Set, (f64, Option<usize>)>,
    ) -> Result<f64, DecisionError> {
        if let Some((known, _)) = best.get(&set) {
            return Ok(*known);
        }
        if best.len() >= SETS_MAX {
            return Err(DecisionError::TooMany {
                found: best.len() + 1,
                most: SETS_MAX,
            });
        }
        let mut least = (f64::INFINITY, None);
        if self.class_of(set).is_some() {
            least.0 = 0.0;
        } else {
            for (index, test) in self.tests.iter().enumerate() {
                let parts = self.parted(set, test);
                if parts.len() > 1 {
                    let mut cost = test.cost;
                    for part in parts.into_values() {
                        cost += self.chance(part) / self.chance(set) * self.value(part, best)?;
                    }
                    if cost < least.0 {
                        least = (cost, Some(index));
                    }
                }
            }
        }
        best.insert(set, least);
        Ok(least.0)
    }

    /// The tree of a set in which a rule chooses each test.
    fn step(&self, set: Set, choose: &impl Fn(Set) -> Option<usize>) -> Step {
        if let Some(class) = self.class_of(set) {
            return Step::Known { class };
        }
        // What is separable always has a test; without one the step has no way on.
        let test = choose(set).unwrap_or(self.tests.len());
        let parts = self.tests.get(test).map(|of| self.parted(set, of));
        let then = parts.unwrap_or_default().into_iter();
        Step::Test {
            test,
            then: then
                .map(|(outcome, part)| (outcome, self.step(part, choose)))
                .collect(),
        }
    }

    /// Expected cost of a tree for a set.
    fn cost(&self, set: Set, step: &Step) -> f64 {
        let Step::Test { test, then } = step else {
            return 0.0;
        };
        let Some(of) = self.tests.get(*test) else {
            return f64::INFINITY;
        };
        let parts = self.parted(set, of);
        let each = parts.into_iter().filter_map(|(outcome, part)| {
            let next = then.get(&outcome)?;
            Some(self.chance(part) / self.chance(set) * self.cost(part, next))
        });
        of.cost + each.sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::super::huffman_length;
    use super::*;

    fn near(found: f64, expected: f64, bound: f64) {
        assert!((found - expected).abs() <= bound, "{found} {expected}");
    }

    /// Five states and five tests in the form of the worked example of [Johnson 1960] and [Pattipati 1990], with its
    /// chances, from memory; the matrix may differ from print, where 2.18 is remembered for it.
    fn johnson(chances: [f64; 5], costs: [f64; 5]) -> Sequencing {
        let rows = ["00000", "01001", "00110", "10011", "11110"];
        let test = |(column, cost): (usize, f64)| Test {
            cost,
            outcomes: rows
                .iter()
                .map(|row| usize::from(row.as_bytes()[column] == b'1'))
                .collect(),
        };
        let tests = costs.into_iter().enumerate().map(test).collect();
        Sequencing::new(Distribution::of(&chances).unwrap(), tests).unwrap()
    }

    const CHANCES: [f64; 5] = [0.70, 0.01, 0.02, 0.10, 0.17];

    fn known(class: usize) -> Step {
        Step::Known { class }
    }

    /// Test `number`, counted from 1, with what follows when it passes and when it fails.
    fn test(number: usize, pass: Step, fail: Step) -> Step {
        Step::Test {
            test: number - 1,
            then: BTreeMap::from([(0, pass), (1, fail)]),
        }
    }

    fn best_tree() -> Step {
        let passed = test(5, known(0), test(1, known(1), known(3)));
        test(3, passed, test(1, known(2), known(4)))
    }

    #[test]
    fn five_states_with_tests_of_one_cost() {
        let same = johnson(CHANCES, [1.0; 5]);
        for (test, bits) in [0.8415, 0.6801, 0.7015, 0.8687, 0.4999]
            .into_iter()
            .enumerate()
        {
            near(same.bits(test).unwrap(), bits, 5e-5);
        }
        let greedy = same.greedy().unwrap();
        near(greedy.cost, 2.12, 1e-9);
        assert!(matches!(greedy.first, Step::Test { test: 3, .. }));
        let cheapest = same.cheapest().unwrap();
        near(cheapest.cost, 2.11, 1e-9);
        assert_eq!(cheapest.first, best_tree());
        // What no tree can be below.
        let chances = Distribution::of(&CHANCES).unwrap();
        near(chances.bits(), 1.3063, 5e-5);
        near(huffman_length(&chances, 2).unwrap(), 1.46, 1e-9);
    }

    #[test]
    fn five_states_as_likely_as_each_other() {
        // Here the tree is as short as a code.
        let equal = johnson([0.2; 5], [1.0; 5]);
        near(equal.cheapest().unwrap().cost, 2.40, 1e-9);
        let chances = Distribution::uniform(5).unwrap();
        near(huffman_length(&chances, 2).unwrap(), 2.40, 1e-9);
    }

    #[test]
    fn five_states_with_tests_of_unlike_costs() {
        // Own costs for the same matrix: the most bits per cost loses a third.
        let unlike = johnson(CHANCES, [3.0, 4.0, 1.0, 3.0, 4.0]);
        let (cheapest, greedy) = (unlike.cheapest().unwrap(), unlike.greedy().unwrap());
        near(cheapest.cost, 5.14, 1e-9);
        assert_eq!(cheapest.first, best_tree());
        near(greedy.cost, 6.84, 1e-9);
        near(greedy.cost / cheapest.cost, 1.33, 5e-3);
        near(unlike.cost(unlike.possible(), &cheapest.first), 5.14, 1e-9);
    }

    /// A weighing: each ball lies left (1), right (2) or beside the scales (0).
    type Weighing = [u8; 12];

    /// Twelve balls of which one is lighter or heavier, chapter 4 of [MacKay 2003] (exercise 4.1): states are ball
    /// times two, plus one where it is heavier. Outcomes are which side goes down, 0 for neither.
    fn weigh(weighing: &Weighing) -> Test {
        let outcome = |state: usize| match (weighing[state / 2], state % 2) {
            (0, _) => 0,
            (1, 1) | (2, 0) => 1,
            _ => 2,
        };
        Test {
            cost: 1.0,
            outcomes: (0..24).map(outcome).collect(),
        }
    }

    /// All weighings with as many on either side; of two that differ by their sides the one with the first ball left.
    fn weighings() -> Vec<Weighing> {
        let all = (0..3_u32.pow(12)).map(|number| {
            let mut rest = number;
            std::array::from_fn(|_| {
                let place = u8::try_from(rest % 3).unwrap();
                rest /= 3;
                place
            })
        });
        all.filter(|weighing: &Weighing| {
            let on = |side: u8| weighing.iter().filter(|place| **place == side).count();
            let first = weighing.iter().find(|place| **place > 0);
            first == Some(&1) && on(1) == on(2)
        })
        .collect()
    }

    #[test]
    fn twelve_balls_take_three_weighings() {
        let chances = Distribution::uniform(24).unwrap();
        near(chances.bits(), 4.585, 5e-4);
        let against: Vec<Test> = (1..=6)
            .map(|k| {
                let place = |ball: usize| match ball {
                    ball if ball < k => 1,
                    ball if ball < 2 * k => 2,
                    _ => 0,
                };
                weigh(&std::array::from_fn(place))
            })
            .collect();
        let some = Sequencing::new(chances.clone(), against).unwrap();
        for (test, bits) in [0.817, 1.252, 1.500, 1.585, 1.483, 1.000]
            .into_iter()
            .enumerate()
        {
            near(some.bits(test).unwrap(), bits, 5e-4);
        }
        let list = weighings();
        assert_eq!(list.len(), 36_894);
        let all = Sequencing::new(chances.clone(), list.iter().map(weigh).collect()).unwrap();
        let greedy = all.greedy().unwrap();
        // Three for each of the 24: three at most, and three on average.
        assert_eq!(greedy.first.most(), 3);
        near(greedy.cost, 3.0, 1e-9);
    }

    #[test]
    fn classes_are_told_apart_and_what_is_in_them_is_not() {
        let test = |outcomes: &[usize]| Test {
            cost: 1.0,
            outcomes: outcomes.to_vec(),
        };
        let tests = vec![test(&[0, 0, 1, 1]), test(&[0, 1, 0, 1])];
        let four = Sequencing::new(Distribution::uniform(4).unwrap(), tests).unwrap();
        near(four.cheapest().unwrap().cost, 2.0, 1e-12);
        let halves = four.clone().with_classes(vec![7, 7, 8, 8]).unwrap();
        near(halves.cheapest().unwrap().cost, 1.0, 1e-12);
        near(halves.bits(0).unwrap(), 1.0, 1e-12);
        near(halves.bits(1).unwrap(), 0.0, 1e-12);
        // Neither test tells anything by itself of whether the two agree, and yet both are made.
        let agree = four.with_classes(vec![1, 0, 0, 1]).unwrap();
        near(agree.greedy().unwrap().cost, 2.0, 1e-12);
    }

    #[test]
    fn what_cannot_be_planned_is_an_error() {
        let half = Distribution::uniform(2).unwrap();
        let test = |cost: f64, outcomes: &[usize]| Test {
            cost,
            outcomes: outcomes.to_vec(),
        };
        let blind = Sequencing::new(half.clone(), vec![test(1.0, &[0, 0])]).unwrap();
        let apart = DecisionError::Inseparable { one: 0, other: 1 };
        assert_eq!(blind.cheapest(), Err(apart));
        assert_eq!(blind.greedy(), Err(apart));
        assert_eq!(
            blind.bits(1),
            Err(DecisionError::Index { index: 1, count: 1 })
        );
        // What has no chance needs no telling apart.
        let sure = Distribution::of(&[1.0, 0.0]).unwrap();
        let sure = Sequencing::new(sure, Vec::new()).unwrap();
        assert_eq!(sure.cheapest().unwrap().first, known(0));
        for cost in [0.0, -1.0, f64::INFINITY] {
            assert!(matches!(
                Sequencing::new(half.clone(), vec![test(cost, &[0, 1])]),
                Err(DecisionError::Range { index: 0, .. })
            ));
        }
        assert!(Sequencing::new(half.clone(), vec![test(1.0, &[0])]).is_err());
        assert!(blind.with_classes(vec![0]).is_err());
        assert!(Sequencing::new(Distribution::uniform(65).unwrap(), Vec::new()).is_err());
    }

    #[test]
    fn too_many_sets_are_an_error_and_not_a_long_wait() {
        // Each test asks after one of 24 states: every set of those not asked yet can be left.
        let ask = |state: usize| Test {
            cost: 1.0,
            outcomes: (0..24).map(|other| usize::from(other == state)).collect(),
        };
        let chances = Distribution::uniform(24).unwrap();
        let many = Sequencing::new(chances, (0..24).map(ask).collect()).unwrap();
        assert!(matches!(
            many.cheapest(),
            Err(DecisionError::TooMany { .. })
        ));
        // One after the other: (1 + 2 + ... + 23 + 23) / 24.
        near(many.greedy().unwrap().cost, 299.0 / 24.0, 1e-9);
    }
}
