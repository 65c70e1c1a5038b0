//! How many bits of the needed repair a check is expected to tell.
//!
//! `I = H(class) - Σ P(outcome) H(class | outcome)`, over the outcomes of [`Outcomes`].

use super::belief::{by_class, entropy};
use super::outcomes::Outcomes;
use crate::world::Observable;

/// Hypotheses below this probability are left out of the reckoning.
const NEGLIGIBLE: f64 = 1e-5;

/// What one hypothesis predicts of a check.
#[derive(Clone, Debug)]
pub(super) struct Prediction {
    /// Whether it predicts anything: 'none of these' does not, nor does what is not run.
    pub(super) known: bool,
    pub(super) seen: Vec<Observable>,
    /// Standard deviation that the severity's cell and the make of vehicles add, one for each observable.
    pub(super) spreads: Vec<f64>,
    /// What each does within the cell.
    pub(super) within: Vec<Within>,
    /// What it shows instead while a loose contact is parted.
    pub(super) bout: Option<Bout>,
}

impl Prediction {
    /// Nothing is known of what would be seen.
    pub(super) const UNKNOWN: Self = Self {
        known: false,
        seen: Vec::new(),
        spreads: Vec::new(),
        within: Vec::new(),
        bout: None,
    };
}

/// What an observable does within a cell of severity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Within {
    /// Standard deviation by which vehicles of one make and severity differ.
    pub(super) tolerance: f64,
    /// What value, least and most rise by to the middle of the next milder cell, and to that of the next worse one.
    pub(super) rise: [[f64; 3]; 2],
}

/// What a vehicle shows while a contact that shaking parts is parted.
#[derive(Clone, Debug)]
pub(super) struct Bout {
    /// Chance that the check meets it so.
    pub(super) chance: f64,
    pub(super) seen: Vec<Observable>,
    pub(super) spreads: Vec<f64>,
}

/// What a check is expected to give.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Worth {
    /// Bits of the needed repair.
    pub(super) bits: f64,
    /// Minutes of needless repairs that it is expected to save: `R(b) - Σ P(outcome) R(b | outcome)`.
    pub(super) minutes: f64,
}

/// What a belief is about: classes, and minutes of the repair that cures each; a class without minutes
/// has no repair.
#[derive(Clone, Copy, Debug)]
pub(super) struct Classes<'a> {
    pub(super) of: &'a [usize],
    pub(super) repair_minutes: &'a [Option<f64>],
}

/// What is in doubt under a belief, alike for every check that could clear it: the hypotheses that are not
/// negligible, their classes, and what is known of these beforehand.
#[derive(Clone, Debug)]
pub(super) struct Doubt {
    live: Vec<usize>,
    masses: Vec<f64>,
    /// Class of each of them, by its place among the classes that are in doubt.
    classes: Vec<usize>,
    /// The classes that are in doubt, ascending, and the mass of each.
    in_doubt: Vec<usize>,
    by_class: Vec<f64>,
    total: f64,
    /// Bits of the class, and expected minutes of needless repairs.
    before: Worth,
    /// Minutes of the repair of each class that is in doubt.
    repair_minutes: Vec<Option<f64>>,
}

impl Doubt {
    /// The doubt that is left in probabilities of hypotheses.
    pub(super) fn of(probabilities: &[f64], classes: Classes<'_>) -> Self {
        let live = (0..probabilities.len()).filter(|&index| probabilities[index] > NEGLIGIBLE);
        Self::among(live.map(|index| (index, probabilities[index])), classes)
    }

    /// That of some hypotheses with masses that need not sum to 1, by their places in the list of all, ascending.
    pub(super) fn among(
        masses: impl IntoIterator<Item = (usize, f64)>,
        classes: Classes<'_>,
    ) -> Self {
        let (live, masses): (Vec<usize>, Vec<f64>) = masses.into_iter().unzip();
        let mut in_doubt: Vec<usize> = live.iter().map(|&index| classes.of[index]).collect();
        in_doubt.sort_unstable();
        in_doubt.dedup();
        let place = |&index: &usize| in_doubt.partition_point(|class| *class < classes.of[index]);
        let live_classes: Vec<usize> = live.iter().map(place).collect();
        let minutes = in_doubt.iter().map(|class| classes.repair_minutes[*class]);
        let repair_minutes: Vec<Option<f64>> = minutes.collect();
        let before = by_class(&masses, &live_classes, repair_minutes.len());
        Self {
            total: masses.iter().sum(),
            before: Worth {
                bits: entropy(&before),
                minutes: needless_minutes(&before, &repair_minutes),
            },
            live,
            masses,
            classes: live_classes,
            in_doubt,
            by_class: before,
            repair_minutes,
        }
    }

    /// Bits of it: no check can tell more.
    pub(super) const fn bits(&self) -> f64 {
        self.before.bits
    }

    /// Minutes of needless repairs to be expected if repairs were ordered now.
    #[cfg(test)]
    pub(super) const fn needless(&self) -> f64 {
        self.before.minutes
    }

    /// Minutes of needless repairs to be expected if repairs were ordered now, where each takes minutes of access besides, by
    /// class.
    pub(super) fn needless_with(&self, access: impl Fn(usize) -> f64) -> f64 {
        let with_access =
            |(class, minutes): (&usize, &Option<f64>)| Some((*minutes)? + access(*class));
        let minutes: Vec<Option<f64>> = self
            .in_doubt
            .iter()
            .zip(&self.repair_minutes)
            .map(with_access)
            .collect();
        needless_minutes(&self.by_class, &minutes)
    }

    /// Bits of which repair it is, if it is one at all.
    pub(super) fn bits_of_repair(&self) -> f64 {
        let with_repair = self.by_class.iter().zip(&self.repair_minutes);
        let masses: Vec<f64> = with_repair
            .filter(|(_, minutes)| minutes.is_some())
            .map(|(mass, _)| *mass)
            .collect();
        entropy(&masses)
    }

    /// The classes that are in doubt, each with the belief in it and the minutes of its repair.
    pub(super) fn by_class(&self) -> impl Iterator<Item = (usize, f64, Option<f64>)> {
        let pairs = self.in_doubt.iter().zip(&self.by_class);
        let all = pairs.zip(&self.repair_minutes);
        all.map(|((class, mass), minutes)| (*class, mass / self.total, *minutes))
    }

    /// Needless minutes to be expected of the repair of a class, which takes so many of access, and the chance that it is
    /// another class. What has no repair costs nothing here either.
    pub(super) fn needless_of(&self, class: usize, access: f64) -> (f64, f64) {
        let (mut needless, mut another) = (0.0, 0.0);
        let mut own = 0.0;
        for (other, belief, minutes) in self.by_class() {
            if other == class {
                own = minutes.map_or(0.0, |minutes| minutes + access);
            } else {
                another += belief;
                needless += minutes.map_or(0.0, |_| belief);
            }
        }
        (own * needless, another)
    }

    /// The doubt that each outcome of a check leaves, with its chance. What nothing is known of gives what the others give;
    /// what has become negligible beside where it all began is left out. Masses are those of the beginning, not scaled up.
    pub(super) fn after(&self, outcomes: &Outcomes, classes: Classes<'_>) -> Vec<(f64, Self)> {
        let mut left: Vec<Vec<(usize, f64)>> = vec![Vec::new(); outcomes.count()];
        let mut masses = vec![0.0; outcomes.count()];
        for (&index, &mass) in self.live.iter().zip(&self.masses) {
            for &(outcome, chance) in outcomes.of_hypothesis(index) {
                masses[outcome] += mass * chance;
                match left[outcome].last_mut() {
                    // Met closed or parted, it gives the same.
                    Some((last, so_far)) if *last == index => *so_far += mass * chance,
                    _ => left[outcome].push((index, mass * chance)),
                }
            }
        }
        let known: f64 = masses.iter().sum();
        let unknown = |index: usize| outcomes.of_hypothesis(index).is_empty();
        let mut unknown: Vec<(usize, f64)> = self
            .live
            .iter()
            .zip(&self.masses)
            .filter(|(index, _)| unknown(**index))
            .map(|(index, mass)| (*index, *mass))
            .collect();
        if known <= 0.0 {
            left = vec![std::mem::take(&mut unknown)];
            masses = vec![1.0];
        }
        let mut after = Vec::with_capacity(left.len());
        for (mut left, mass) in left.into_iter().zip(masses) {
            if mass <= 0.0 {
                continue;
            }
            if !unknown.is_empty() {
                let share = mass / known;
                left.extend(unknown.iter().map(|(index, mass)| (*index, share * mass)));
                left.sort_unstable_by_key(|(index, _)| *index);
            }
            let total: f64 = left.iter().map(|(_, mass)| mass).sum();
            let most = left.iter().map(|(_, mass)| *mass).fold(0.0, f64::max);
            left.retain(|(_, mass)| *mass > NEGLIGIBLE.min(0.5 * most));
            after.push((total / self.total, Self::among(left, classes)));
        }
        after
    }

    /// The doubt that is left when a class is not it; nothing where it is the only one.
    pub(super) fn without(&self, class: usize, classes: Classes<'_>) -> Option<Self> {
        let another = self.left(|index| classes.of[index] != class, classes);
        another.map(|(_, left)| left)
    }

    /// The doubt that is left when it is one of some hypotheses, with the chance of that; nothing where none of them is in
    /// doubt.
    pub(super) fn left(
        &self,
        is_left: impl Fn(usize) -> bool,
        classes: Classes<'_>,
    ) -> Option<(f64, Self)> {
        let all = self.live.iter().zip(&self.masses);
        let left = all.filter(|(index, _)| is_left(**index));
        let left: Vec<(usize, f64)> = left.map(|(index, mass)| (*index, *mass)).collect();
        let doubt = (!left.is_empty()).then(|| Self::among(left, classes))?;
        Some((doubt.total / self.total, doubt))
    }

    /// The hypotheses that are not negligible, by their places in the list of all.
    pub(super) fn live(&self) -> &[usize] {
        &self.live
    }

    /// What a check is expected to give that has these outcomes.
    pub(super) fn worth(&self, outcomes: &Outcomes) -> Worth {
        let joint = self.joint(outcomes);
        Worth {
            bits: self.bits_told(&joint),
            minutes: self.minutes_saved(&joint),
        }
    }

    /// Bits that a check is expected to tell that has these outcomes.
    pub(super) fn bits_of(&self, outcomes: &Outcomes) -> f64 {
        self.bits_told(&self.joint(outcomes))
    }

    /// What it is expected to give, or nothing of a check that tells fewer bits than `least`.
    pub(super) fn worth_from(&self, least: f64, outcomes: &Outcomes) -> Option<Worth> {
        let joint = self.joint(outcomes);
        let bits = self.bits_told(&joint);
        (bits >= least).then(|| Worth {
            bits,
            minutes: self.minutes_saved(&joint),
        })
    }

    /// Probability of each outcome together with each class that is in doubt, a row for each outcome. What nothing is
    /// known of gives what the others give, so that no check tells it from them.
    fn joint(&self, outcomes: &Outcomes) -> Vec<f64> {
        let width = self.repair_minutes.len();
        let mut joint = vec![0.0; outcomes.count() * width];
        let mut unknown = vec![0.0; width];
        let mut known = 0.0;
        for ((index, mass), class) in self.live.iter().zip(&self.masses).zip(&self.classes) {
            let chances = outcomes.of_hypothesis(*index);
            if chances.is_empty() {
                unknown[*class] += mass;
            } else {
                known += mass;
            }
            for (outcome, chance) in chances {
                joint[outcome * width + class] += mass * chance;
            }
        }
        if known <= 0.0 {
            return unknown;
        }
        for row in joint.chunks_mut(width.max(1)) {
            let share = row.iter().sum::<f64>() / known;
            if share > 0.0 {
                for (cell, mass) in row.iter_mut().zip(&unknown) {
                    *cell += share * mass;
                }
            }
        }
        joint
    }

    fn bits_told(&self, joint: &[f64]) -> f64 {
        self.gained(self.before.bits, joint, entropy)
    }

    fn minutes_saved(&self, joint: &[f64]) -> f64 {
        let mut order = Vec::with_capacity(self.repair_minutes.len());
        self.gained(self.before.minutes, joint, |beliefs| {
            needless_in_order(beliefs, &self.repair_minutes, &mut order)
        })
    }

    /// What there was before an outcome is known, less what is left of it after each, by the outcome's chance.
    fn gained(&self, before: f64, joint: &[f64], mut left: impl FnMut(&[f64]) -> f64) -> f64 {
        let mut gained = before;
        for row in joint.chunks(self.repair_minutes.len().max(1)) {
            let share = row.iter().sum::<f64>() / self.total;
            if share > 0.0 {
                gained -= share * left(row);
            }
        }
        gained.max(0.0)
    }
}

/// Expected minutes of repairs that do not cure, when repairs are ordered by belief over minutes, the
/// best order for one fault and independent repairs (Kadane & Simon 1977; Heckerman, Breese & Rommelse
/// 1995): the sum of each one's minutes times the chance that it comes before the right one. What has no repair
/// ('cured', 'none of these') has its share of the belief and costs nothing.
pub(super) fn needless_minutes(beliefs: &[f64], repair_minutes: &[Option<f64>]) -> f64 {
    needless_in_order(beliefs, repair_minutes, &mut Vec::new())
}

/// A repair that may be tried: how early, its belief, its minutes.
type Turn = (f64, f64, f64);

/// The same, with a list to put the repairs in order in.
fn needless_in_order(
    beliefs: &[f64],
    repair_minutes: &[Option<f64>],
    order: &mut Vec<Turn>,
) -> f64 {
    let total: f64 = beliefs.iter().sum();
    if total <= 0.0 {
        return 0.0;
    }
    order.clear();
    let turns = beliefs
        .iter()
        .zip(repair_minutes)
        .filter_map(|(&belief, minutes)| {
            let minutes = minutes.filter(|_| belief > 0.0)?;
            Some((belief / minutes, belief, minutes))
        });
    order.extend(turns);
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut left: f64 = order.iter().map(|(_, belief, _)| belief).sum();
    let mut expected = 0.0;
    for (_, belief, minutes) in order {
        left -= *belief;
        expected += *minutes * left.max(0.0) / total;
    }
    expected
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::{Quantity, Scale, Words};

    const YES_NO: Words = Words {
        cuts: &[0.5],
        words: &["no", "yes"],
        sd: 1e-3,
        share: 0.0,
    };

    fn chain(length: usize, probe_after: usize) -> Vec<Prediction> {
        (0..length)
            .map(|broken| {
                let reached = if broken < probe_after { 0.0 } else { 1.0 };
                let seen = Observable::steady(
                    Quantity::Voltage,
                    String::new(),
                    reached,
                    Scale::Words(YES_NO),
                );
                Prediction {
                    known: true,
                    seen: vec![seen],
                    spreads: vec![0.0],
                    within: Vec::new(),
                    bout: None,
                }
            })
            .collect()
    }

    fn bits(predictions: &[Prediction], probabilities: &[f64], of: &[usize], count: usize) -> f64 {
        let repair_minutes = vec![Some(1.0); count];
        let classes = Classes {
            of,
            repair_minutes: &repair_minutes,
        };
        let doubt = Doubt::of(probabilities, classes);
        doubt
            .worth(&Outcomes::of(predictions, doubt.live(), 1.0))
            .bits
    }

    #[test]
    fn half_split_tells_most_on_a_chain_of_equals() {
        // Own numbers for the half-split of the trade: chain of 8 equal parts, one broken: probing after 1..7 tells
        // .544 .811 .954 1 .954 .811 .544 bit.
        let classes: Vec<usize> = (0..8).collect();
        for (after, expected) in (1..8).zip([0.544, 0.811, 0.954, 1.0, 0.954, 0.811, 0.544]) {
            let bits = bits(&chain(8, after), &[0.125; 8], &classes, 8);
            assert!((bits - expected).abs() < 6e-4, "after {after}: {bits}");
        }
    }

    #[test]
    fn the_half_is_one_of_belief_and_not_of_parts() {
        // Own numbers: the first of seven parts has .4 and each other .1, so half the belief is behind the second.
        let classes: Vec<usize> = (0..7).collect();
        let beliefs = [0.4, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1];
        for (after, expected) in (1..7).zip([0.971, 1.0, 0.971, 0.881, 0.722, 0.469]) {
            let bits = bits(&chain(7, after), &beliefs, &classes, 7);
            assert!((bits - expected).abs() < 6e-4, "after {after}: {bits}");
        }
    }

    #[test]
    fn a_trial_of_what_shows_now_and_then_tells_less() {
        // Own numbers: an intermittent fault against something else, as likely. A trial shows it in three of ten: .169
        // bit; in nine of ten: .758 bit; always: 1 bit.
        for (chance, expected) in [(0.3, 0.169), (0.9, 0.758), (1.0, 1.0)] {
            let mut predictions = chain(2, 0);
            let shown = chain(1, 1).remove(0);
            predictions[0].bout = Some(Bout {
                chance,
                seen: shown.seen,
                spreads: shown.spreads,
            });
            let bits = bits(&predictions, &[0.5; 2], &[0, 1], 2);
            assert!((bits - expected).abs() < 6e-4, "{chance}: {bits}");
        }
    }

    #[test]
    fn what_splits_only_severities_tells_nothing() {
        assert!(bits(&chain(4, 2), &[0.25; 4], &[0; 4], 1).abs() < 1e-12);
    }

    #[test]
    fn repairs_are_ordered_by_belief_over_minutes() {
        // Beliefs .5/.3/.2, minutes 60/20/10: order 3, 2, 1, needless minutes 10 x .8 + 20 x .5 = 18,
        // which with the right one's own minutes makes an expected repair cost of 56.
        let minutes = [Some(60.0), Some(20.0), Some(10.0)];
        let beliefs = [0.5, 0.3, 0.2];
        let needless = needless_minutes(&beliefs, &minutes);
        assert!((needless - 18.0).abs() < 1e-12);
        let right: f64 = beliefs
            .iter()
            .zip(minutes.iter().flatten())
            .map(|(p, c)| p * c)
            .sum();
        // What is cured already asks for no repair: half of the belief there halves the minutes.
        let with_cured = [0.25, 0.15, 0.1, 0.5];
        let minutes = [Some(60.0), Some(20.0), Some(10.0), None];
        assert!((needless_minutes(&with_cured, &minutes) - 9.0).abs() < 1e-12);
        // 18 + 38 = 56.
        assert!((needless + right - 56.0).abs() < 1e-12);
    }

    /// Expected minutes of repairs in an order, the right one's own among them: `Σ C (1 - Σ p of those before)`.
    fn in_order(order: &[usize], beliefs: &[f64], minutes: &[f64]) -> f64 {
        let mut left = 1.0;
        let mut expected = 0.0;
        for &repair in order {
            expected += minutes[repair] * left;
            left -= beliefs[repair];
        }
        expected
    }

    fn orders(count: usize) -> Vec<Vec<usize>> {
        let mut all: Vec<Vec<usize>> = vec![Vec::new()];
        for next in 0..count {
            let wider = all.iter().flat_map(|order| {
                (0..=order.len()).map(move |place| {
                    let mut with = order.clone();
                    with.insert(place, next);
                    with
                })
            });
            all = wider.collect();
        }
        all
    }

    #[test]
    fn no_order_of_repairs_is_better_than_belief_over_minutes() {
        // The rule of Kadane & Simon 1977 and Heckerman, Breese & Rommelse 1995, own numbers: three and five repairs,
        // the best and the worst of all orders, and orders that somebody may think of.
        let near = |found: f64, expected: f64| {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        };
        let three: (&[f64], &[f64]) = (&[0.5, 0.3, 0.2], &[60.0, 20.0, 10.0]);
        let five: (&[f64], &[f64]) = (
            &[0.30, 0.25, 0.20, 0.15, 0.10],
            &[20.0, 35.0, 8.0, 12.0, 4.0],
        );
        for ((beliefs, minutes), best, worst) in [(three, 56.0, 72.0), (five, 38.75, 58.8)] {
            let all = orders(minutes.len());
            let each = all.iter().map(|order| in_order(order, beliefs, minutes));
            let (least, most) = each.fold((f64::INFINITY, 0.0), |(least, most), minutes| {
                (f64::min(least, minutes), f64::max(most, minutes))
            });
            near(least, best);
            near(most, worst);
            let repairs: Vec<Option<f64>> = minutes.iter().copied().map(Some).collect();
            let right: f64 = beliefs.iter().zip(minutes).map(|(p, c)| p * c).sum();
            near(needless_minutes(beliefs, &repairs) + right, best);
        }
        let in_order = |order: &[usize], (beliefs, minutes)| in_order(order, beliefs, minutes);
        near(in_order(&[1, 2, 0], three), 57.0);
        // Likeliest first, cheapest first.
        near(in_order(&[0, 1, 2, 3, 4], five), 51.5);
        near(in_order(&[4, 2, 3, 0, 1], five), 39.35);
    }

    #[test]
    fn an_inspection_saves_the_minutes_of_repairs() {
        // Own numbers: 5 minutes to see whether it is the first of three bring 56 down to 46. Of 18 needless minutes 3
        // are left: where it is not the first, which is half the time, a repair of 10 that does not cure in six of ten.
        let minutes = [Some(60.0), Some(20.0), Some(10.0)];
        let classes = Classes {
            of: &[0, 1, 2],
            repair_minutes: &minutes,
        };
        let doubt = Doubt::of(&[0.5, 0.3, 0.2], classes);
        let saved = doubt
            .worth(&Outcomes::of(&chain(3, 1), doubt.live(), 1.0))
            .minutes;
        assert!((saved - 15.0).abs() < 1e-9, "{saved}");
        assert!((56.0 + 5.0 - saved - 46.0).abs() < 1e-9);
    }
}
