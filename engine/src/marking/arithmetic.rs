//! The arithmetic of the mark: from minutes lost, efficiencies and foundations to a number. It knows no vehicle and no truth.

use super::weights::{
    CORRECTNESS, FOUNDED_MIN, ORDER, PAR_CONSTANT_MIN, PAR_SLACK, PROVEN, TIME, TRIFLE_MIN,
};

/// The mark for time, 0 to 1, by the avoidable minutes of the reference and those that decisions lost.
pub(super) fn time(reference: f64, lost: f64) -> f64 {
    let par = reference + PAR_CONSTANT_MIN;
    par / (par + (lost - PAR_SLACK * par).max(0.0))
}

/// The mark for order, 0 to 1: the mean efficiency of checks and repairs; 0 without any.
pub(super) fn order(efficiencies: &[f64]) -> f64 {
    if efficiencies.is_empty() {
        return 0.0;
    }
    #[expect(clippy::cast_precision_loss, reason = "at most 2000 lines")]
    let count = efficiencies.len() as f64;
    efficiencies.iter().sum::<f64>() / count
}

/// How well the repair was founded that was founded least; without a repair nothing was, and the verdict still counts
/// for what it is.
pub(super) fn founded(foundations: &[f64]) -> f64 {
    foundations.iter().copied().reduce(f64::min).unwrap_or(0.0)
}

/// How well a repair was founded, 0 to 1, by the minutes that ordering it lost, the belief in it, and its expected kinship.
pub(super) fn foundation(lost: f64, chance: f64, kinship: f64) -> f64 {
    if is_founded(lost, chance) {
        1.0
    } else {
        kinship.max(chance)
    }
}

/// Whether nothing is held against ordering a repair when it was ordered.
pub(super) fn is_founded(lost: f64, chance: f64) -> bool {
    lost <= FOUNDED_MIN || chance >= PROVEN
}

/// Efficiency of a repair, 0 to 1, by the minutes that ordering it lost and the belief in it.
pub(super) fn efficiency_of_repair(lost: f64, chance: f64) -> f64 {
    if lost <= TRIFLE_MIN { 1.0 } else { chance }
}

/// The total before anything is taken off it, 0 to 100, by the three marks, each 0 to 1.
pub(super) fn base(time: f64, order: f64, correctness: f64) -> f64 {
    100.0 * (TIME * time + ORDER * order + CORRECTNESS * correctness)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::beside::{graded, lost};
    use super::super::information::Worth;
    use super::super::offers::Offer;
    use super::super::weights::REDUNDANT_BITS;
    use super::*;

    /// Bits, share of them that a coarse reader gets, minutes to be expected after it, hundredths of minutes of its own.
    type Drawn = (f64, f64, f64, u32);

    fn offer((bits, coarse, _, hundredths): Drawn) -> Offer {
        let worth = |share: f64| Worth {
            bits: bits * share,
            minutes: 0.0,
        };
        Offer {
            index: 0,
            worth: [worth(1.0), worth(coarse)],
            hundredths,
            opens: 0.0,
        }
    }

    fn drawn() -> impl Strategy<Value = Drawn> {
        (0.0..2.0_f64, 0.0..1.0_f64, 0.0..30.0_f64, 10..2000_u32)
    }

    /// Minutes lost by a check and how well it was chosen, beside a rule that comes to so many minutes.
    fn line(own: &Offer, then: f64, rule: f64, offers: &[Offer]) -> (f64, f64) {
        let minutes = own.minutes();
        let regret = (minutes + then - rule).clamp(0.0, minutes);
        (lost(regret, own, offers), graded(regret, own, offers))
    }

    fn others() -> impl Strategy<Value = Vec<Offer>> {
        prop::collection::vec(drawn().prop_map(offer), 0..8)
    }

    /// The other lines of an attempt: minutes of the reference, and what each line loses with its efficiency.
    fn attempt() -> impl Strategy<Value = (f64, Vec<(f64, f64)>)> {
        let lines = prop::collection::vec((0.0..20.0_f64, 0.0..=1.0_f64), 0..12);
        (0.0..40.0_f64, lines)
    }

    /// The base of an attempt with one more line.
    fn with((reference, lines): &(f64, Vec<(f64, f64)>), line: Option<(f64, f64)>) -> f64 {
        let (losses, efficiencies): (Vec<f64>, Vec<f64>) =
            lines.iter().copied().chain(line).unzip();
        base(
            time(*reference, losses.iter().sum()),
            order(&efficiencies),
            0.5,
        )
    }

    const NOISE: f64 = 1e-9;

    proptest! {
        #[test]
        fn a_redundant_check_never_raises_the_total(
            of in attempt(), others in others(), own in drawn(), share in 0.0..1.0_f64, rule in 0.0..30.0_f64,
        ) {
            let (_, coarse, _, hundredths) = own;
            // What tells nothing leaves what there was.
            let own = offer((share * REDUNDANT_BITS * 0.999, coarse, rule, hundredths));
            let line = line(&own, rule, rule, &others);
            prop_assert!(line.1.abs() < NOISE && line.0 >= own.minutes() - NOISE, "{line:?}");
            prop_assert!(with(&of, Some(line)) <= with(&of, None) + NOISE);
        }

        /// Of two checks, one that takes no more minutes, leaves no more to be expected and tells no less a minute. What
        /// tells less than a tenth of a bit is held to its minutes however quick it is, and is left out.
        #[test]
        fn a_better_check_in_its_place_never_lowers_the_total(
            of in attempt(), mut others in others(), one in drawn(), rule in 0.0..30.0_f64,
            (quicker, more, less) in (0.2..1.0_f64, 1.0..4.0_f64, 0.0..1.0_f64),
        ) {
            let own = offer(one);
            let mut better = own;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some hundreds")]
            {
                better.hundredths = ((f64::from(own.hundredths) * quicker).ceil() as u32).max(10);
            }
            let share = better.minutes() / own.minutes();
            for worth in &mut better.worth {
                worth.bits *= share * more;
            }
            prop_assume!(better.worth[0].bits >= 0.1);
            others.extend([own, better]);
            let chosen = line(&own, one.2, rule, &others);
            let better = line(&better, one.2 * less, rule, &others);
            prop_assert!(better.0 <= chosen.0 + NOISE, "{better:?} {chosen:?}");
            prop_assert!(better.1 >= chosen.1 - NOISE, "{better:?} {chosen:?}");
            prop_assert!(with(&of, Some(better)) >= with(&of, Some(chosen)) - NOISE);
        }

        #[test]
        fn dearer_labour_never_makes_a_check_better_chosen(
            others in others(), own in drawn(), more in 0..2000_u32, listed: bool, rule in 0.0..30.0_f64,
        ) {
            let at = |hundredths: u32| {
                let check = Offer { hundredths, ..offer(own) };
                let mut all = others.clone();
                all.extend(listed.then_some(check));
                line(&check, own.2, rule, &all)
            };
            let (cheap, dear) = (at(own.3), at(own.3 + more));
            prop_assert!(dear.0 >= cheap.0 - NOISE, "{cheap:?} {dear:?}");
            prop_assert!(dear.1 <= cheap.1 + NOISE, "{cheap:?} {dear:?}");
        }

        /// Belief in the repair grows at the cost of everything else alike.
        #[test]
        fn a_repair_believed_in_more_is_never_founded_less(
            chance in 0.0..1.0_f64,
            rest in prop::collection::vec((0.01..1.0_f64, prop::sample::select(vec![0.0, 0.3, 1.0])), 1..6),
            (lost, closer) in (0.0..5.0_f64, 0.0..=1.0_f64), spared in 0.0..=1.0_f64,
        ) {
            let all: f64 = rest.iter().map(|(weight, _)| weight).sum();
            let kin = rest.iter().map(|(weight, kin)| weight * kin).sum::<f64>() / all;
            let of = |lost: f64, chance: f64| {
                let kinship = chance + (1.0 - chance) * kin;
                (foundation(lost, chance, kinship), efficiency_of_repair(lost, chance))
            };
            let now = of(lost, chance);
            let then = of(lost * spared, chance + (1.0 - chance) * closer);
            prop_assert!(then.0 >= now.0 - NOISE && then.1 >= now.1 - NOISE, "{now:?} {then:?}");
            // Another order besides never raises it.
            prop_assert!(founded(&[now.0, then.0]) <= founded(&[then.0]));
        }
    }

    #[test]
    fn nothing_done_is_no_order_and_no_foundation() {
        assert!(order(&[]).abs() < 1e-12 && founded(&[]).abs() < 1e-12);
        // Own numbers: 6 min of reference make a par of 10, of which 1 may be lost.
        assert!((time(6.0, 1.0) - 1.0).abs() < 1e-12);
        assert!((time(6.0, 11.0) - 0.5).abs() < 1e-12);
        assert!((base(0.5, 0.6, 0.7) - 57.0).abs() < 1e-12);
    }
}
