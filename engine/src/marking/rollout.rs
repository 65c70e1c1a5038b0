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
//! would change in them, a wrong repair among others, is left out: access to a repair is counted from where the first was
//! ordered.

use super::information::{Classes, Doubt};
use super::offers::{LEAST_MIN, own_minutes};
use super::outcomes::Outcomes;
use super::weights::REDUNDANT_BITS;

/// Chance of coming to a belief from which it is closed: no check is looked for there any more.
pub(super) const CLOSED: f64 = 0.01;
/// Minutes at stake, by the chance of coming there, below which a belief is closed as well.
const TRIFLE_MIN: f64 = 0.01;
/// Where checks can be made from, and what they take. Stands are numbers.
pub(super) trait Ways {
    /// Hundredths of minutes that a check is reckoned with from a stand, and the stand after it; nothing of one that
    /// cannot be made there.
    fn to(&mut self, check: usize, from: usize) -> Option<(u32, usize)>;

    /// Minutes that a check is reckoned with at least from a stand, without working out the way to it.
    fn least(&self, _check: usize, _from: usize) -> f64 {
        LEAST_MIN
    }

    /// Minutes of access to the repair of a class from a stand.
    fn access(&self, class: usize, from: usize) -> f64;
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

/// A check that was made.
#[derive(Clone, Copy, Debug)]
pub(super) struct Own<'a> {
    /// What could have come of it.
    pub(super) outcomes: &'a Outcomes,
    /// Its own minutes.
    pub(super) minutes: f64,
    /// The stand after it.
    pub(super) after: usize,
    /// Its place in the list, if it has one.
    pub(super) listed: Option<usize>,
}

/// The rule, rolled out over outcome tables.
pub(super) struct RollOut<'a, W> {
    classes: Classes<'a>,
    checks: &'a [Outcomes],
    ways: W,
    /// Checks that tell nothing any more, or cannot be made.
    used: Vec<bool>,
    /// Chance of coming to a belief from which it is closed.
    pub(super) closed: f64,
}

impl<'a, W: Ways> RollOut<'a, W> {
    /// That of some checks by their outcomes over hypotheses that have classes.
    pub(super) fn new(classes: Classes<'a>, checks: &'a [Outcomes], ways: W) -> Self {
        Self {
            classes,
            checks,
            ways,
            used: vec![false; checks.len()],
            closed: CLOSED,
        }
    }

    /// Where checks can be made from.
    pub(super) const fn ways(&mut self) -> &mut W {
        &mut self.ways
    }

    /// What is to be seen from a stand before anything is looked ahead to.
    pub(super) fn start(&mut self, doubt: &Doubt, stand: usize) -> Start {
        let mut heard = self.heard_at(doubt);
        let best = self.most_promising(doubt, stand, &mut heard, 1);
        Start {
            best: best.first().copied(),
            heard,
        }
    }

    /// `V_ref` from a stand, with the check that the rule begins with, if it makes one, and what that comes to.
    pub(super) fn rule(
        &mut self,
        doubt: &Doubt,
        stand: usize,
        start: &Start,
    ) -> (f64, Option<(Open, f64)>) {
        let ordering = self.ordering(doubt, stand);
        let worth_it = |open: &Open| open.minutes < ordering && ordering > LEAST_MIN;
        let Some(open) = start.best.filter(worth_it) else {
            return (ordering, None);
        };
        let minutes = self.of_check(doubt, &open, start.from());
        (minutes.min(ordering), Some((open, minutes)))
    }

    /// `Q` of a check that takes so many minutes and may come out so, which need not be one of the list: if it is, it is
    /// not made again.
    pub(super) fn of_own(&mut self, doubt: &Doubt, start: &Start, own: Own<'_>) -> f64 {
        let from = start.from();
        let used = own
            .listed
            .map(|check| (check, std::mem::replace(&mut self.used[check], true)));
        let minutes = own.minutes + self.of_outcomes(doubt, own.outcomes, own.after, from);
        if let Some((check, was)) = used {
            self.used[check] = was;
        }
        minutes
    }

    /// Minutes of access to the repair of a class from a stand.
    pub(super) fn access(&self, class: usize, stand: usize) -> f64 {
        self.ways.access(class, stand)
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
        let ordering = self.ordering(doubt, stand);
        if ordering <= LEAST_MIN {
            return ordering;
        }
        let reach = from.reach * share;
        if reach < self.closed || reach * ordering < TRIFLE_MIN {
            return closed(doubt, ordering, from.best);
        }
        let mut heard = self.heard(from.heard, share);
        let open = self.most_promising(doubt, stand, &mut heard, 1);
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

    pub(super) fn of_check(&mut self, doubt: &Doubt, open: &Open, from: From<'_>) -> f64 {
        let was = std::mem::replace(&mut self.used[open.check], true);
        let then = self.of_outcomes(doubt, &self.checks[open.check], open.after, from);
        self.used[open.check] = was;
        open.minutes + then
    }

    fn of_outcomes(&mut self, doubt: &Doubt, of: &Outcomes, stand: usize, from: From<'_>) -> f64 {
        let mut minutes = 0.0;
        for (chance, left) in doubt.after(of, self.classes) {
            minutes += chance * self.value(&left, stand, from, chance);
        }
        minutes
    }

    pub(super) fn of_repair(
        &mut self,
        doubt: &Doubt,
        class: usize,
        stand: usize,
        from: From<'_>,
    ) -> f64 {
        let (needless, another) = doubt.needless_of(class, self.access(class, stand));
        let others = doubt.without(class, self.classes);
        let then = others.map_or(0.0, |others| self.value(&others, stand, from, another));
        needless + another * then
    }

    /// `R` from a stand, access to each repair with it.
    pub(super) fn ordering(&self, doubt: &Doubt, stand: usize) -> f64 {
        doubt.needless_with(|class| self.access(class, stand))
    }

    /// All that is not used, by what it tells at a belief: who looks ahead from there asks by it.
    pub(super) fn heard_at(&self, doubt: &Doubt) -> Vec<Heard> {
        let unused = (0..self.checks.len()).filter(|check| !self.used[*check]);
        let heard = |check: usize| Heard {
            check,
            at_most: doubt.bits_of(&self.checks[check]),
        };
        unused.map(heard).collect()
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

    /// So many of the checks with the most bits a minute from a stand, the best first. The way to a check is worked out, and
    /// then its bits, only while it may be among them by the most that it can tell; what it tells is noted.
    pub(super) fn most_promising(
        &mut self,
        doubt: &Doubt,
        stand: usize,
        heard: &mut [Heard],
        count: usize,
    ) -> Vec<Open> {
        for heard in &mut *heard {
            heard.at_most = heard.at_most.min(doubt.bits());
        }
        let at_best = |(place, heard): (usize, &Heard)| {
            (place, heard.at_most / self.ways.least(heard.check, stand))
        };
        let mut may_be: Vec<(usize, f64)> = heard.iter().enumerate().map(at_best).collect();
        may_be.sort_by(|(_, a), (_, b)| b.total_cmp(a));
        let mut opened = Vec::new();
        let mut best: Vec<Open> = Vec::with_capacity(count + 1);
        for (place, at_best) in may_be {
            let least = best.get(count - 1).map_or(0.0, |last| last.rate);
            if at_best <= least {
                break;
            }
            let Some(open) = self.open(doubt, stand, heard[place].check, &mut opened) else {
                continue;
            };
            if heard[place].at_most <= least * open.minutes {
                continue;
            }
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
    pub(super) fn open(
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
                belief * (self.access(class, stand) - self.access(class, after))
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
pub(super) struct Heard {
    check: usize,
    at_most: f64,
}

/// Where a look-ahead comes from.
#[derive(Clone, Copy)]
pub(super) struct From<'a> {
    /// What the checks may tell there.
    heard: &'a [Heard],
    /// The check with the most bits a minute there.
    best: Option<Open>,
    /// The chance of coming there.
    reach: f64,
}

/// What is to be seen from where a look-ahead begins.
#[derive(Clone, Debug)]
pub(super) struct Start {
    /// What the checks may tell there.
    heard: Vec<Heard>,
    /// The check with the most bits a minute.
    best: Option<Open>,
}

impl Start {
    /// A look-ahead that begins there.
    pub(super) fn from(&self) -> From<'_> {
        From::here(&self.heard, self.best)
    }
}

impl<'a> From<'a> {
    /// Where it all begins, with what the checks may tell there and the best of them.
    pub(super) const fn here(heard: &'a [Heard], best: Option<Open>) -> Self {
        Self {
            heard,
            best,
            reach: 1.0,
        }
    }
}

/// What is hardly ever come to: repairs at once, or the doubt cleared at the rate of the best check on the way and by no
/// less than one such check, whichever is less.
fn closed(doubt: &Doubt, ordering: f64, best: Option<Open>) -> f64 {
    best.map_or(ordering, |open| {
        let checking = (doubt.bits_of_repair() / open.rate).max(open.minutes);
        ordering.min(checking)
    })
}

#[cfg(test)]
mod tests {
    use super::super::prospect::Step;
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
        let mut rolled = RollOut::new(classes, &checks, Here(&[500, 800]));
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
        let start = rolled.start(&doubt, 0);
        let (value, first) = rolled.rule(&doubt, 0, &start);
        near(value, 8.0);
        let (open, minutes) = first.unwrap();
        assert_eq!(open.check, 0);
        near(minutes, 8.0);
        // One that is not of the list may tell as much, and then A may still be made.
        let own = Own {
            outcomes: &checks[1],
            minutes: 8.0,
            after: 0,
            listed: None,
        };
        near(rolled.of_own(&doubt, &start, own), 12.0);
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
        let mut rolled = RollOut::new(classes, &checks, Here(&[100]));
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
        let mut rolled = RollOut::new(classes, &checks, Covers);
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

    #[test]
    fn the_way_to_a_repair_is_needless_where_it_does_not_cure() {
        let classes = Classes {
            of: &[0, 1],
            repair_minutes: &[Some(50.0), Some(20.0)],
        };
        let doubt = Doubt::of(&[0.8, 0.2], classes);
        let mut rolled = RollOut::new(classes, &[], Covers);
        // The first is the likelier for its minutes: 50 and the cover of 3 in two of ten, then the second cures.
        let first = Step::Repair(0);
        near(rolled.minutes_of(&doubt, 0, first).unwrap(), 0.2 * 53.0);
        near(rolled.ordering(&doubt, 0), 0.2 * 53.0);
        let mut rule = |stand: usize| {
            let start = rolled.start(&doubt, stand);
            rolled.rule(&doubt, stand, &start).0
        };
        near(rule(0), 0.2 * 53.0);
        // With the cover off already.
        near(rule(1), 0.2 * 50.0);
        // The second lies open; where it does not cure the first does.
        let second = Step::Repair(1);
        near(rolled.minutes_of(&doubt, 0, second).unwrap(), 0.8 * 20.0);
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
            let mut rolled = RollOut::new(classes, &checks, Here(&hundredths));
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
                    prop_assert!(*minutes >= doubt.needless_of(*class, 0.0).0 - 1e-9);
                }
            }
        }
    }
}
