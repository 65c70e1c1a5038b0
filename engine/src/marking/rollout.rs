//! What a decision is expected to take: the rule 'most bits a minute' rolled out over all that may come of it.
//!
//! Of a belief `b` with `R` the needless minutes of ordering repairs at once and `g` the check with the most bits a minute
//!
//! - `V_ref(b) = min(R(b), c(g) + Σ P(outcome) V_ref(b | outcome))`;
//! - `Q(b, check) = c(check) + Σ P(outcome) V_ref(b | outcome)`;
//! - `Q(b, repair) = P(another one is needed) minutes(repair) + (1 - p) V_ref(b | not this)`;
//! - `V(b) = min Q(b, ·)`, which is never more than `R(b)`.
//!
//! It is a step of policy iteration on that rule (roll-out; Bertsekas & Castañon 1999, from memory), so what has the least
//! `Q` is never worse than the rule itself. Minutes are those that can be avoided: checks, less access that the needed
//! repair wants as well, and repairs that do not cure. A check that was made tells nothing when it is made again, so each
//! is looked at once on a way.
//!
//! The outcomes are those of the vehicle as it comes in, put together again before each check; what a deed of the learner's
//! would change in them, a wrong repair among others, is left out, and so is access to a repair that does not cure.

use super::information::{Classes, Doubt};
use super::offers::{LEAST_MIN, own_minutes};
use super::outcomes::Outcomes;
use super::weights::REDUNDANT_BITS;
use crate::math;

/// Chance of coming to a belief from which it is closed: no check is looked for there any more.
const CLOSED: f64 = 0.004;
/// The same for a first reckoning, and how many times the least of it makes a step worth the second.
const CLOSED_AT_FIRST: f64 = 0.03;
const COMES_NEAR: f64 = 1.15;
/// Checks that are asked for their bits at a belief that is come to: those that told most a minute on the way there.
const ASKED: usize = 24;
/// Minutes at stake, by the chance of coming there, below which a belief is closed as well.
const TRIFLE_MIN: f64 = 0.01;
/// Checks, and repairs, of which it is reckoned what they come to: those with the most bits, or belief, a minute.
const SHORTLIST: usize = 8;

/// Where checks can be made from, and what they take. Stands are numbers.
pub(super) trait Ways {
    /// Hundredths of minutes that a check is reckoned with from a stand, and the stand after it; nothing of one that
    /// cannot be made there.
    fn to(&mut self, check: usize, from: usize) -> Option<(u32, usize)>;

    /// Minutes of access to the repair of a class from a stand.
    fn access(&self, class: usize, from: usize) -> f64;
}

/// Something that can be done next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// A check, by its place in the list of checks.
    Check(usize),
    /// A repair, by its class.
    Repair(usize),
}

/// What there is to do next, with the minutes that each is expected to come to if the rule goes on from there: `Q`.
#[derive(Clone, Debug)]
pub(super) struct Prospect {
    /// Checks first, each kind the most promising first.
    pub(super) steps: Vec<(Step, f64)>,
}

impl Prospect {
    /// What is done best, with its `Q`; nothing where there is nothing to do.
    pub(super) fn best(&self) -> Option<(Step, f64)> {
        math::first_of_most(self.steps.iter().copied(), |(_, minutes)| -minutes)
    }

    /// `V`, the least of `Q`; nothing is to be expected where there is nothing to do.
    #[cfg(test)]
    pub(super) fn value(&self) -> f64 {
        self.best().map_or(0.0, |(_, minutes)| minutes)
    }
}

/// A check as it stands at a belief.
#[derive(Clone, Copy, Debug)]
pub(super) struct Open {
    pub(super) check: usize,
    /// Its own minutes.
    pub(super) minutes: f64,
    /// Bits a minute.
    pub(super) rate: f64,
    /// The stand after it.
    pub(super) after: usize,
}

/// The rule, rolled out over outcome tables.
pub(super) struct RollOut<'a, W> {
    classes: Classes<'a>,
    checks: &'a [Outcomes],
    ways: W,
    /// Checks that tell nothing any more, or cannot be made.
    used: Vec<bool>,
    /// Chance of coming to a belief from which it is closed.
    closed: f64,
}

impl<'a, W: Ways> RollOut<'a, W> {
    /// That of some checks by their outcomes over hypotheses that have classes; `used` says which of them tell nothing any
    /// more.
    pub(super) const fn new(
        classes: Classes<'a>,
        checks: &'a [Outcomes],
        ways: W,
        used: Vec<bool>,
    ) -> Self {
        Self {
            classes,
            checks,
            ways,
            used,
            closed: CLOSED,
        }
    }

    /// What the most promising checks and repairs come to from a stand. All are reckoned roughly first, and what comes near
    /// the least of them once more.
    pub(super) fn prospect(&mut self, doubt: &Doubt, stand: usize) -> Prospect {
        let mut heard = self.everything();
        let checks = self.most_promising(doubt, stand, &mut heard, [SHORTLIST, usize::MAX]);
        let from = From {
            heard: &heard,
            best: checks.first().copied(),
            reach: 1.0,
        };
        let repairs = doubt.by_class().filter_map(|(class, belief, minutes)| {
            let minutes = minutes.filter(|_| belief > 0.0)?;
            Some((class, belief / minutes))
        });
        let mut repairs: Vec<(usize, f64)> = repairs.collect();
        repairs.sort_by(|a, b| b.1.total_cmp(&a.1));
        repairs.truncate(SHORTLIST);
        let mut steps: Vec<(Step, f64)> = Vec::with_capacity(checks.len() + repairs.len());
        let least = |steps: &[(Step, f64)]| {
            let minutes = steps.iter().map(|(_, minutes)| *minutes);
            minutes.fold(f64::INFINITY, f64::min)
        };
        // Who begins with the repair that is likeliest for its minutes may go on in that order.
        let in_order = repairs.first().map(|(class, _)| *class);
        let at_most = |class: usize| match in_order {
            Some(first) if first == class => doubt.needless(),
            _ => f64::INFINITY,
        };
        self.closed = CLOSED_AT_FIRST;
        for open in &checks {
            steps.push((Step::Check(open.check), self.of_check(doubt, open, from)));
        }
        for (class, _) in repairs {
            // What its own minutes make worse than another needs no look-ahead.
            if doubt.needless_of(class).0 < least(&steps) || in_order == Some(class) {
                let minutes = self.of_repair(doubt, class, stand, from);
                steps.push((Step::Repair(class), minutes.min(at_most(class))));
            }
        }
        self.closed = CLOSED;
        let near = COMES_NEAR * least(&steps);
        for (step, minutes) in steps.iter_mut().filter(|(_, minutes)| *minutes <= near) {
            *minutes = match *step {
                Step::Check(check) => {
                    let open = checks.iter().find(|open| open.check == check);
                    open.map_or(*minutes, |open| self.of_check(doubt, open, from))
                }
                Step::Repair(class) => {
                    let minutes = self.of_repair(doubt, class, stand, from);
                    minutes.min(at_most(class))
                }
            };
        }
        Prospect { steps }
    }

    /// `Q` of any one step; nothing of a check that cannot be made.
    #[cfg(test)]
    pub(super) fn minutes_of(&mut self, doubt: &Doubt, stand: usize, step: Step) -> Option<f64> {
        let mut heard = self.everything();
        let best = self.most_promising(doubt, stand, &mut heard, [1, usize::MAX]);
        let from = From {
            heard: &heard,
            best: best.first().copied(),
            reach: 1.0,
        };
        match step {
            Step::Check(check) => {
                let open = self.open(doubt, stand, check, &mut Vec::new())?;
                Some(self.of_check(doubt, &open, from))
            }
            Step::Repair(class) => Some(self.of_repair(doubt, class, stand, from)),
        }
    }

    /// The checks that tell so many bits and more from a stand.
    #[cfg(test)]
    pub(super) fn telling(&mut self, doubt: &Doubt, stand: usize, least: f64) -> Vec<Open> {
        let bits = |check: usize| (check, doubt.bits_of(&self.checks[check]));
        let all: Vec<(usize, f64)> = (0..self.checks.len()).map(bits).collect();
        let mut opened = Vec::new();
        all.into_iter()
            .filter(|(_, bits)| *bits >= least)
            .filter_map(|(check, bits)| {
                let open = self.open(doubt, stand, check, &mut opened)?;
                let rate = bits / open.minutes;
                Some(Open { rate, ..open })
            })
            .collect()
    }

    /// `V_ref`: what the rule is expected to take at a belief that has a share of where it comes from.
    fn value(&mut self, doubt: &Doubt, stand: usize, from: From<'_>, share: f64) -> f64 {
        let ordering = doubt.needless();
        if ordering <= LEAST_MIN {
            return ordering;
        }
        let reach = from.reach * share;
        if reach < self.closed || reach * ordering < TRIFLE_MIN {
            return closed(doubt, from.best);
        }
        let mut heard = self.heard(from.heard, share);
        let open = self.most_promising(doubt, stand, &mut heard, [1, ASKED]);
        let Some(open) = open.first().copied() else {
            return ordering;
        };
        // It is not worth looking any further where the check alone takes longer.
        if open.minutes >= ordering {
            return ordering;
        }
        let from = From {
            heard: &heard,
            best: Some(open),
            reach,
        };
        ordering.min(self.of_check(doubt, &open, from))
    }

    fn of_check(&mut self, doubt: &Doubt, open: &Open, from: From<'_>) -> f64 {
        let was = std::mem::replace(&mut self.used[open.check], true);
        let mut minutes = open.minutes;
        for (chance, left) in doubt.after(&self.checks[open.check], self.classes) {
            minutes += chance * self.value(&left, open.after, from, chance);
        }
        self.used[open.check] = was;
        minutes
    }

    fn of_repair(&mut self, doubt: &Doubt, class: usize, stand: usize, from: From<'_>) -> f64 {
        let (needless, another) = doubt.needless_of(class);
        let others = doubt.without(class, self.classes);
        let then = others.map_or(0.0, |others| self.value(&others, stand, from, another));
        needless + another * then
    }

    fn everything(&self) -> Vec<Heard> {
        let unheard = |check| Heard {
            check,
            at_most: f64::INFINITY,
        };
        let unused = (0..self.checks.len()).filter(|check| !self.used[*check]);
        unused.map(unheard).collect()
    }

    /// The checks that may tell something where a belief has a share of another, by the bits that they tell there. What a
    /// check tells on average is hardly ever less than a share of what it tells there, so what told too little is not asked.
    fn heard(&self, before: &[Heard], share: f64) -> Vec<Heard> {
        before
            .iter()
            .filter(|heard| !self.used[heard.check] && heard.at_most >= share * REDUNDANT_BITS)
            .map(|heard| Heard {
                at_most: heard.at_most / share,
                ..*heard
            })
            .collect()
    }

    /// So many of the checks with the most bits a minute from a stand, the best first, of so many that are asked for their
    /// bits at most. A check is asked only while it may be among them by the most that it can tell; what it tells is noted.
    fn most_promising(
        &mut self,
        doubt: &Doubt,
        stand: usize,
        heard: &mut [Heard],
        [count, ask]: [usize; 2],
    ) -> Vec<Open> {
        let mut opened = Vec::new();
        let mut may_be: Vec<(usize, Open)> = Vec::with_capacity(heard.len());
        for (place, heard) in heard.iter().enumerate() {
            let open = self.open(doubt, stand, heard.check, &mut opened);
            may_be.extend(open.map(|open| {
                let rate = heard.at_most / open.minutes;
                (place, Open { rate, ..open })
            }));
        }
        may_be.sort_by(|(_, a), (_, b)| b.rate.total_cmp(&a.rate));
        for heard in &mut *heard {
            heard.at_most = heard.at_most.min(doubt.bits());
        }
        let mut best: Vec<Open> = Vec::with_capacity(count + 1);
        let mut asked = 0;
        for (place, open) in may_be {
            let least = best.get(count - 1).map_or(0.0, |last| last.rate);
            if open.rate <= least || asked == ask {
                break;
            }
            if heard[place].at_most <= least * open.minutes {
                continue;
            }
            asked += 1;
            let bits = doubt.bits_of(&self.checks[open.check]);
            heard[place].at_most = bits;
            if bits >= REDUNDANT_BITS {
                let rate = bits / open.minutes;
                let after = best.partition_point(|other| other.rate >= rate);
                best.insert(after, Open { rate, ..open });
                best.truncate(count);
            }
        }
        best
    }

    /// A check from a stand, but for its bits; `opened` keeps the access that going to other stands does already.
    fn open(
        &mut self,
        doubt: &Doubt,
        stand: usize,
        check: usize,
        opened: &mut Vec<(usize, f64)>,
    ) -> Option<Open> {
        let (hundredths, after) = self.ways.to(check, stand)?;
        let known = opened.iter().find(|(to, _)| *to == after);
        let opens = known.map(|(_, opens)| *opens).unwrap_or_else(|| {
            let of = |(class, belief, _): (usize, f64, _)| {
                belief * (self.ways.access(class, stand) - self.ways.access(class, after))
            };
            let opens = doubt.by_class().map(of).sum();
            opened.push((after, opens));
            opens
        });
        Some(Open {
            check,
            minutes: own_minutes(hundredths, opens),
            rate: 0.0,
            after,
        })
    }
}

/// A check, and the most bits that it may tell somewhere.
#[derive(Clone, Copy, Debug)]
struct Heard {
    check: usize,
    at_most: f64,
}

/// Where a look-ahead comes from.
#[derive(Clone, Copy)]
struct From<'a> {
    /// What the checks may tell there.
    heard: &'a [Heard],
    /// The check with the most bits a minute there.
    best: Option<Open>,
    /// The chance of coming there.
    reach: f64,
}

/// What is hardly ever come to: repairs at once, or the doubt cleared at the rate of the best check on the way and by no
/// less than one such check, whichever is less.
fn closed(doubt: &Doubt, best: Option<Open>) -> f64 {
    let ordering = doubt.needless();
    best.map_or(ordering, |open| {
        let checking = (doubt.bits_of_repair() / open.rate).max(open.minutes);
        ordering.min(checking)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// One stand, from which each check takes its minutes.
    struct Here<'a>(&'a [u32]);

    impl Ways for Here<'_> {
        fn to(&mut self, check: usize, from: usize) -> Option<(u32, usize)> {
            Some((self.0[check], from))
        }

        fn access(&self, _: usize, _: usize) -> f64 {
            0.0
        }
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 1e-9, "{found} {expected}");
    }

    /// A check of three suspects that asks after one of them.
    fn asks_after(suspect: usize) -> Outcomes {
        let row = |other: usize| vec![(usize::from(other == suspect), 1.0)];
        Outcomes::of_rows((0..3).map(row).collect())
    }

    #[test]
    fn what_each_step_comes_to_with_three_suspects() {
        // Own numbers: suspects .5/.3/.2, wrong repairs of 60/20/10 min. Check A, 5 min: is it the first? Check B, 8 min:
        // is it the third?
        let classes = Classes {
            of: &[0, 1, 2],
            repair_minutes: &[Some(60.0), Some(20.0), Some(10.0)],
        };
        let checks = [asks_after(0), asks_after(2)];
        let mut rolled = RollOut::new(classes, &checks, Here(&[500, 800]), vec![false; 2]);
        let doubt = Doubt::of(&[0.5, 0.3, 0.2], classes);
        for (step, minutes) in [
            (Step::Check(0), 8.0),
            (Step::Check(1), 12.0),
            (Step::Repair(2), 12.0),
            (Step::Repair(1), 17.5),
            (Step::Repair(0), 33.0),
        ] {
            near(rolled.minutes_of(&doubt, 0, step).unwrap(), minutes);
        }
        let prospect = rolled.prospect(&doubt, 0);
        near(prospect.value(), 8.0);
        assert_eq!(prospect.best(), Some((Step::Check(0), prospect.value())));
        // Ordering repairs at once: 10 x .8 + 20 x .5.
        near(doubt.needless(), 18.0);
        // Once A was made and said no, it is the third repair first: 10 x .6.
        let after = doubt.after(&checks[0], classes);
        rolled.used[0] = true;
        let no = after
            .iter()
            .find(|(_, left)| left.live().len() == 2)
            .unwrap();
        near(rolled.prospect(&no.1, 0).value(), 6.0);
    }

    #[test]
    fn the_same_reading_is_not_averaged_again_and_again() {
        // Two suspects as likely as each other, a check that is right in eight of ten: without it 10 x .5 = 5 min, with it
        // 1 + 10 x .2 = 3, and no more by making it again.
        let classes = Classes {
            of: &[0, 1],
            repair_minutes: &[Some(10.0), Some(10.0)],
        };
        let checks = [Outcomes::of_rows(vec![
            vec![(0, 0.8), (1, 0.2)],
            vec![(0, 0.2), (1, 0.8)],
        ])];
        let doubt = Doubt::of(&[0.5, 0.5], classes);
        let mut rolled = RollOut::new(classes, &checks, Here(&[100]), vec![false]);
        near(rolled.prospect(&doubt, 0).value(), 3.0);
        rolled.used[0] = true;
        near(rolled.prospect(&doubt, 0).value(), 5.0);
    }

    /// Two covers, and a check under each: minutes as the stand has them, and the way to a repair under the first.
    struct Covers;

    impl Ways for Covers {
        fn to(&mut self, check: usize, from: usize) -> Option<(u32, usize)> {
            let is_off = from >> check & 1 == 1;
            Some((if is_off { 100 } else { 400 }, from | 1 << check))
        }

        fn access(&self, class: usize, from: usize) -> f64 {
            if class == 0 && from & 1 == 0 {
                3.0
            } else {
                0.0
            }
        }
    }

    #[test]
    fn a_cover_is_paid_for_once_and_not_at_all_where_the_repair_wants_it_off() {
        let classes = Classes {
            of: &[0, 1],
            repair_minutes: &[Some(50.0), Some(50.0)],
        };
        let of = |chance: f64| {
            Outcomes::of_rows(vec![
                vec![(0, chance), (1, 1.0 - chance)],
                vec![(0, 1.0 - chance), (1, chance)],
            ])
        };
        let checks = [of(1.0), of(1.0)];
        let doubt = Doubt::of(&[0.8, 0.2], classes);
        let mut rolled = RollOut::new(classes, &checks, Covers, vec![false; 2]);
        let mut q = |check, stand| {
            rolled
                .minutes_of(&doubt, stand, Step::Check(check))
                .unwrap()
        };
        // Of the four minutes three are the cover, which the repair wants off in eight of ten.
        near(q(0, 0), 4.0 - 0.8 * 3.0);
        near(q(1, 0), 4.0);
        near(q(0, 1), 1.0);
        near(q(1, 1), 4.0);
    }

    /// Suspects, and four checks of them.
    #[derive(Debug)]
    struct Problem {
        masses: Vec<f64>,
        of: Vec<usize>,
        repair_minutes: Vec<f64>,
        /// By check and suspect, of three outcomes.
        chances: Vec<Vec<[f64; 3]>>,
        hundredths: Vec<u32>,
    }

    prop_compose! {
        fn problem()(count in 3..8_usize)(
            masses in prop::collection::vec(0.01..1.0_f64, count),
            of in prop::collection::vec(0..4_usize, count),
            repair_minutes in prop::collection::vec(1.0..60.0_f64, 4),
            chances in prop::collection::vec(prop::collection::vec(
                prop::array::uniform3(prop_oneof![Just(0.0), 0.01..1.0_f64]),
                count,
            ), 4),
            hundredths in prop::collection::vec(10..900_u32, 4),
        ) -> Problem {
            Problem { masses, of, repair_minutes, chances, hundredths }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(256))]

        /// No step comes to less than its own minutes, and the best to no more than ordering repairs; what nothing is known
        /// of is among the suspects, where a row is empty.
        #[test]
        fn no_step_is_below_its_own_minutes_and_the_best_is_no_more_than_ordering(
            problem in problem(),
        ) {
            let Problem { masses, of, repair_minutes, chances, hundredths } = problem;
            let mut repair_minutes: Vec<Option<f64>> = repair_minutes.into_iter().map(Some).collect();
            repair_minutes.push(None);
            let of: Vec<usize> = of.into_iter().chain([4]).collect();
            let classes = Classes { of: &of, repair_minutes: &repair_minutes };
            let check = |rows: Vec<[f64; 3]>| {
                let row = |row: [f64; 3]| {
                    let sum: f64 = row.iter().sum();
                    let possible = row.into_iter().enumerate().filter(|(_, chance)| *chance > 0.0);
                    possible.map(|(outcome, chance)| (outcome, chance / sum)).collect()
                };
                Outcomes::of_rows(rows.into_iter().map(row).chain([Vec::new()]).collect())
            };
            let checks: Vec<Outcomes> = chances.into_iter().map(check).collect();
            let doubt = Doubt::among(masses.into_iter().chain([0.05]).enumerate(), classes);
            let mut rolled = RollOut::new(classes, &checks, Here(&hundredths), vec![false; 4]);
            let prospect = rolled.prospect(&doubt, 0);
            let value = prospect.value();
            prop_assert!(value >= 0.0);
            prop_assert!(prospect.steps.iter().all(|(_, minutes)| *minutes >= value));
            prop_assert!(value <= doubt.needless() + 1e-9, "{} {}", value, doubt.needless());
            for (step, minutes) in &prospect.steps {
                if let Step::Check(check) = step {
                    prop_assert!(*minutes >= f64::from(hundredths[*check]) / 100.0);
                }
                if let Step::Repair(class) = step {
                    prop_assert!(*minutes >= doubt.needless_of(*class).0 - 1e-9);
                }
            }
        }
    }
}
