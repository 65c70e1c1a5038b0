//! What could come of a check, and how likely each hypothesis makes it.
//!
//! Outcomes are bins of what would be read: for a display, the predictions sorted and cut at gaps and
//! every few standard deviations; for words, the words. A hypothesis falls into each bin with the
//! probability of its own error law.

use std::collections::BTreeMap;

use super::information::Prediction;
use crate::math;
use crate::world::{Observable, Quantity, Scale};

/// Width of a bin and of a gap that cuts, in standard deviations of the instrument.
const BIN_SD: f64 = 4.0;
/// Most bins of one quantity.
const BINS_MAX: usize = 12;

/// What one state shows of one quantity, with the spread of its cell.
type Shown<'a> = Option<(&'a Observable, f64)>;

/// A state that a live hypothesis may be met in: its place among them, the chance, what it shows.
type State<'a> = (usize, f64, &'a [Observable], &'a [f64]);

/// The joint outcomes of a check.
pub(super) struct Outcomes {
    /// Probabilities by outcome, and in each by live hypothesis.
    chances: Vec<f64>,
    live: usize,
}

impl Outcomes {
    /// Those of a check that the hypotheses at the places `live` predict.
    pub(super) fn of(predictions: &[Prediction], live: &[usize], coarseness: f64) -> Self {
        let states = states(predictions, live);
        let (joint, count) = joint(&states, coarseness);
        let mut chances = vec![0.0; count * live.len()];
        for (outcomes, (place, chance, ..)) in joint.chunks_exact(count).zip(&states) {
            let own = chances.iter_mut().skip(*place).step_by(live.len());
            for (sum, share) in own.zip(outcomes) {
                *sum += chance * share;
            }
        }
        Self {
            chances,
            live: live.len(),
        }
    }

    /// Each outcome: its probability under each live hypothesis.
    pub(super) fn each(&self) -> impl Iterator<Item = &[f64]> {
        self.chances.chunks_exact(self.live.max(1))
    }
}

fn states<'a>(predictions: &'a [Prediction], live: &[usize]) -> Vec<State<'a>> {
    let mut states: Vec<State<'_>> = Vec::with_capacity(live.len());
    for (place, &index) in live.iter().enumerate() {
        let prediction = &predictions[index];
        let chance = prediction.bout.as_ref().map_or(0.0, |bout| bout.chance);
        states.push((place, 1.0 - chance, &prediction.seen, &prediction.spreads));
        if let Some(bout) = &prediction.bout {
            states.push((place, chance, &bout.seen, &bout.spreads));
        }
    }
    states
}

/// Probabilities by state, and in each by joint outcome; and how many outcomes there are.
fn joint(states: &[State<'_>], coarseness: f64) -> (Vec<f64>, usize) {
    let mut quantities: BTreeMap<(Quantity, &str), Vec<Shown<'_>>> = BTreeMap::new();
    for (place, (_, _, seen, spreads)) in states.iter().enumerate() {
        for (seen, spread) in seen.iter().zip(*spreads) {
            let row = quantities
                .entry((seen.quantity, &seen.subject))
                .or_insert_with(|| vec![None; states.len()]);
            row[place] = Some((seen, *spread));
        }
    }
    let (mut joint, mut count) = (vec![1.0; states.len()], 1);
    for row in quantities.values() {
        let edges = edges(row, coarseness);
        let mut single = vec![0.0; edges.len() + 2];
        let wider = count * single.len();
        let mut next = vec![0.0; states.len() * wider];
        let outcomes = joint.chunks_exact(count).zip(next.chunks_exact_mut(wider));
        for ((before, after), seen) in outcomes.zip(row) {
            bins(*seen, &edges, coarseness, &mut single);
            for (chance, after) in before.iter().zip(after.chunks_exact_mut(single.len())) {
                for (after, bin) in after.iter_mut().zip(&single) {
                    *after = chance * bin;
                }
            }
        }
        (joint, count) = (next, wider);
    }
    (joint, count)
}

/// Edges between the bins of a quantity.
fn edges(row: &[Shown<'_>], coarseness: f64) -> Vec<f64> {
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

/// Probability of each bin between `edges`, and of there being nothing to read, last.
fn bins(seen: Shown<'_>, edges: &[f64], coarseness: f64, bins: &mut [f64]) {
    bins.fill(0.0);
    let Some((seen, spread)) = seen else {
        bins[edges.len() + 1] = 1.0;
        return;
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
}
