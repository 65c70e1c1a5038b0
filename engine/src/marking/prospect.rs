//! What there is to do next, by what each comes to if the rule 'most bits a minute' goes on after it.

use super::information::Doubt;
use super::rollout::{CLOSED, From, RollOut, Ways};
use crate::math;

/// Chance of coming to a belief from which it is closed in a first reckoning.
const CLOSED_AT_FIRST: f64 = 0.03;
/// How many times the least of a first reckoning makes a step worth a second one.
const COMES_NEAR: f64 = 1.15;
/// Checks, and repairs, of which it is reckoned what they come to: those with the most bits, or belief, a minute.
const SHORTLIST: usize = 8;

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

impl<W: Ways> RollOut<'_, W> {
    /// What the most promising checks and repairs come to from a stand. All are reckoned roughly first, and once more what
    /// may be the least of them.
    pub(super) fn prospect(&mut self, doubt: &Doubt, stand: usize) -> Prospect {
        let mut heard = self.heard_at(doubt);
        let checks = self.most_promising(doubt, stand, &mut heard, SHORTLIST);
        let from = From::here(&heard, checks.first().copied());
        let repairs = doubt.by_class().filter_map(|(class, belief, minutes)| {
            let minutes = minutes.filter(|_| belief > 0.0)? + self.access(class, stand);
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
        let ordering = self.ordering(doubt, stand);
        let in_order = repairs.first().map(|(class, _)| *class);
        let at_most = |class: usize| match in_order {
            Some(first) if first == class => ordering,
            _ => f64::INFINITY,
        };
        self.closed = CLOSED_AT_FIRST;
        for open in &checks {
            steps.push((Step::Check(open.check), self.of_check(doubt, open, from)));
        }
        for (class, _) in repairs {
            // What its own minutes make worse than another needs no look-ahead.
            if doubt.needless_of(class, self.access(class, stand)).0 < least(&steps)
                || in_order == Some(class)
            {
                let minutes = self.of_repair(doubt, class, stand, from);
                steps.push((Step::Repair(class), minutes.min(at_most(class))));
            }
        }
        self.closed = CLOSED;
        let mut rough = vec![true; steps.len()];
        let next = |steps: &[(Step, f64)], rough: &[bool]| {
            let near = COMES_NEAR * least(steps);
            (0..steps.len()).find(|&place| rough[place] && steps[place].1 <= near)
        };
        // What is reckoned once more comes to more as a rule, so that another may seem least then.
        while let Some(place) = next(&steps, &rough) {
            rough[place] = false;
            let (step, minutes) = &mut steps[place];
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
        let start = self.start(doubt, stand);
        let from = start.from();
        match step {
            Step::Check(check) => {
                let open = self.open(doubt, stand, check, &mut Vec::new())?;
                Some(self.of_check(doubt, &open, from))
            }
            Step::Repair(class) => Some(self.of_repair(doubt, class, stand, from)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::information::Classes;
    use super::super::outcomes::Outcomes;
    use super::*;

    /// One stand, from which every check takes a minute and a repair lies open.
    struct Here;

    impl Ways for Here {
        fn to(&mut self, _: usize, from: usize) -> Option<(u32, usize)> {
            Some((100, from))
        }

        fn access(&self, _: usize, _: usize) -> f64 {
            0.0
        }
    }

    #[test]
    fn what_is_best_is_not_reckoned_roughly() {
        // Forty suspects, parted by six checks of one digit each: of what is left after the fourth or so each comes once in
        // forty, which a first reckoning closes by what the last check told a minute.
        let of: Vec<usize> = (0..40).collect();
        let repair_minutes = vec![Some(30.0); 40];
        let classes = Classes {
            of: &of,
            repair_minutes: &repair_minutes,
        };
        let digit = |place: usize| {
            let row = |suspect: usize| {
                vec![
                    (suspect >> place & 1, 0.97),
                    (1 - (suspect >> place & 1), 0.03),
                ]
            };
            Outcomes::of_rows((0..40).map(row).collect())
        };
        let checks: Vec<Outcomes> = (0..6).map(digit).collect();
        let masses: Vec<f64> = of
            .iter()
            .map(|suspect| 1.0 / f64::from(3 + u8::try_from(*suspect).unwrap()))
            .collect();
        let doubt = Doubt::of(&masses, classes);
        let mut rolled = RollOut::new(classes, &checks, Here);
        let prospect = rolled.prospect(&doubt, 0);
        let (step, minutes) = prospect.best().unwrap();
        let exactly = rolled.minutes_of(&doubt, 0, step).unwrap();
        assert!((minutes - exactly).abs() < 1e-9, "{minutes} {exactly}");
        // And a rough one differs.
        rolled.closed = CLOSED_AT_FIRST;
        let roughly = rolled.minutes_of(&doubt, 0, step).unwrap();
        assert!((roughly - exactly).abs() > 1e-3, "{roughly} {exactly}");
    }
}
