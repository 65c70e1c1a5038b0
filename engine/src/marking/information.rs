//! How many bits of the needed repair a check is expected to tell.
//!
//! Outcomes are bins of what would be read: for a display, the predictions sorted and cut at gaps and
//! every few standard deviations; for words, the words. A hypothesis falls into each bin with the
//! probability of its own error law, and `I = H(class) - Σ P(outcome) H(class | outcome)`.

use std::collections::BTreeMap;

use super::belief::{by_class, entropy};
use crate::math;
use crate::world::{Observable, Quantity, Scale};

/// Width of a bin and of a gap that cuts, in standard deviations of the instrument.
const BIN_SD: f64 = 4.0;
/// Most bins of one quantity.
const BINS_MAX: usize = 12;
/// Hypotheses below this probability are left out of the reckoning.
const NEGLIGIBLE: f64 = 1e-5;

/// What one hypothesis predicts of a check.
#[derive(Clone, Debug)]
pub(super) struct Prediction {
    pub(super) seen: Vec<Observable>,
    /// Standard deviation that the severity's cell adds, one for each observable.
    pub(super) spreads: Vec<f64>,
    /// What it shows instead while a loose contact is parted.
    pub(super) bout: Option<Bout>,
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

/// What a check is expected to give; `coarseness` multiplies the instrument's error, for a person who
/// reads coarser than the instrument allows.
pub(super) fn worth(
    predictions: &[Prediction],
    probabilities: &[f64],
    classes: Classes<'_>,
    coarseness: f64,
) -> Worth {
    let live: Vec<usize> = (0..predictions.len())
        .filter(|&index| probabilities[index] > NEGLIGIBLE)
        .collect();
    let outcomes = outcomes(predictions, &live, coarseness);
    let count = outcomes.first().map_or(0, Vec::len);
    let masses: Vec<f64> = live.iter().map(|&index| probabilities[index]).collect();
    let live_classes: Vec<usize> = live.iter().map(|&index| classes.of[index]).collect();
    let total: f64 = masses.iter().sum();
    let class_count = classes.repair_minutes.len();
    let before = by_class(&masses, &live_classes, class_count);
    let mut worth = Worth {
        bits: entropy(&before),
        minutes: needless_minutes(&before, classes.repair_minutes),
    };
    for outcome in 0..count {
        let joint: Vec<f64> = masses
            .iter()
            .zip(&outcomes)
            .map(|(mass, of)| mass * of[outcome])
            .collect();
        let share = joint.iter().sum::<f64>() / total;
        if share > 0.0 {
            let after = by_class(&joint, &live_classes, class_count);
            worth.bits -= share * entropy(&after);
            worth.minutes -= share * needless_minutes(&after, classes.repair_minutes);
        }
    }
    Worth {
        bits: worth.bits.max(0.0),
        minutes: worth.minutes.max(0.0),
    }
}

/// Expected minutes of repairs that do not cure, when repairs are ordered by belief over minutes, the
/// best order for one fault and independent repairs (Kadane & Simon 1977; Heckerman, Breese & Rommelse
/// 1995): the sum of each one's minutes times the chance that it comes before the right one. What has no repair
/// ('cured', 'none of these') has its share of the belief and costs nothing.
pub(super) fn needless_minutes(beliefs: &[f64], repair_minutes: &[Option<f64>]) -> f64 {
    let mut order: Vec<(f64, f64)> = beliefs
        .iter()
        .zip(repair_minutes)
        .filter_map(|(belief, minutes)| minutes.map(|minutes| (*belief, minutes)))
        .filter(|(belief, _)| *belief > 0.0)
        .collect();
    order.sort_by(|a, b| (b.0 / b.1).total_cmp(&(a.0 / a.1)));
    let total: f64 = beliefs.iter().sum();
    let mut left: f64 = order.iter().map(|(belief, _)| belief).sum();
    let mut expected = 0.0;
    if total <= 0.0 {
        return expected;
    }
    for (belief, minutes) in order {
        left -= belief;
        expected += minutes * left.max(0.0) / total;
    }
    expected
}

/// What each live hypothesis shows of one quantity, with the spread of its cell.
type Row<'a> = Vec<Option<(&'a Observable, f64)>>;

/// A state that a live hypothesis may be met in: its place among them, the chance, what it shows.
type State<'a> = (usize, f64, &'a [Observable], &'a [f64]);

/// Probability of each joint outcome under each live hypothesis.
fn outcomes(predictions: &[Prediction], live: &[usize], coarseness: f64) -> Vec<Vec<f64>> {
    let mut states: Vec<State<'_>> = Vec::new();
    for (place, &index) in live.iter().enumerate() {
        let prediction = &predictions[index];
        let chance = prediction.bout.as_ref().map_or(0.0, |bout| bout.chance);
        states.push((place, 1.0 - chance, &prediction.seen, &prediction.spreads));
        if let Some(bout) = &prediction.bout {
            states.push((place, chance, &bout.seen, &bout.spreads));
        }
    }
    let mut quantities: BTreeMap<(Quantity, &str), Row<'_>> = BTreeMap::new();
    for (place, (_, _, seen, spreads)) in states.iter().enumerate() {
        for (seen, spread) in seen.iter().zip(*spreads) {
            let row = quantities
                .entry((seen.quantity, &seen.subject))
                .or_insert_with(|| vec![None; states.len()]);
            row[place] = Some((seen, *spread));
        }
    }
    let mut joint: Vec<Vec<f64>> = vec![vec![1.0]; states.len()];
    for row in quantities.values() {
        let edges = edges(row, coarseness);
        for (outcome, seen) in joint.iter_mut().zip(row) {
            let single = bins(*seen, &edges, coarseness);
            *outcome = outcome
                .iter()
                .flat_map(|a| single.iter().map(move |b| a * b))
                .collect();
        }
    }
    let mut mixed: Vec<Vec<f64>> = vec![Vec::new(); live.len()];
    for (outcome, (place, chance, ..)) in joint.into_iter().zip(&states) {
        let sum = &mut mixed[*place];
        sum.resize(outcome.len(), 0.0);
        for (sum, share) in sum.iter_mut().zip(&outcome) {
            *sum += chance * share;
        }
    }
    mixed
}

/// Edges between the bins of a quantity.
fn edges(row: &[Option<(&Observable, f64)>], coarseness: f64) -> Vec<f64> {
    let mut values: Vec<f64> = Vec::new();
    for (seen, _) in row.iter().flatten() {
        match &seen.scale {
            Scale::Words(words) => return words.cuts.to_vec(),
            Scale::Display(_) => values.push(seen.readable()),
        }
    }
    values.sort_by(f64::total_cmp);
    let sd = |value: f64| match row.iter().flatten().next() {
        Some((
            Observable {
                scale: Scale::Display(display),
                ..
            },
            _,
        )) => coarseness * display.sd(value),
        _ => 0.0,
    };
    let mut edges: Vec<f64> = Vec::new();
    let mut start = values.first().copied().unwrap_or(0.0);
    for pair in values.windows(2) {
        let width = BIN_SD * sd(pair[1]);
        if pair[1] - pair[0] > width || pair[1] - start > width {
            edges.push(0.5 * (pair[0] + pair[1]));
            start = pair[1];
        }
    }
    // Too fine: keep every so manyeth edge.
    let keep = edges.len().div_ceil(BINS_MAX - 1).max(1);
    edges.into_iter().step_by(keep).collect()
}

/// Probability of each bin, and of there being nothing to read, last.
fn bins(seen: Option<(&Observable, f64)>, edges: &[f64], coarseness: f64) -> Vec<f64> {
    let mut bins = vec![0.0; edges.len() + 2];
    let Some((seen, spread)) = seen else {
        bins[edges.len() + 1] = 1.0;
        return bins;
    };
    let value = seen.readable();
    let own = match &seen.scale {
        Scale::Display(display) => coarseness * display.sd(value),
        Scale::Words(words) => coarseness * words.spread(value),
    };
    let moment = if matches!(seen.scale, Scale::Words(_)) {
        seen.swing_variance()
    } else {
        0.0
    };
    let sd = math::sqrt(own * own + spread * spread + moment);
    let mut below = 0.0;
    for (bin, edge) in edges.iter().enumerate() {
        let up_to = math::normal_cdf((edge - value) / sd);
        bins[bin] = up_to - below;
        below = up_to;
    }
    bins[edges.len()] = 1.0 - below;
    bins
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::Words;

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
                    seen: vec![seen],
                    spreads: vec![0.0],
                    bout: None,
                }
            })
            .collect()
    }

    fn bits(predictions: &[Prediction], probabilities: &[f64], of: &[usize], count: usize) -> f64 {
        let repair_minutes = vec![Some(1.0); count];
        worth(
            predictions,
            probabilities,
            Classes {
                of,
                repair_minutes: &repair_minutes,
            },
            1.0,
        )
        .bits
    }

    #[test]
    fn half_split_tells_most_on_a_chain_of_equals() {
        // Chain of 8 equal parts, one broken: probing after 1..7 tells .544 .811 .954 1 .954 .811 .544 bit.
        let classes: Vec<usize> = (0..8).collect();
        for (after, expected) in (1..8).zip([0.544, 0.811, 0.954, 1.0, 0.954, 0.811, 0.544]) {
            let bits = bits(&chain(8, after), &[0.125; 8], &classes, 8);
            assert!((bits - expected).abs() < 6e-4, "after {after}: {bits}");
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
}
