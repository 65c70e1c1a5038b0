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
/// Chance of a bin that is none: the tail of an error law, which no reading meets.
const NO_CHANCE: f64 = 1e-12;

/// What one state shows of one quantity, with the spread of its cell.
type Shown<'a> = Option<(&'a Observable, f64)>;

/// A state that a live hypothesis may be met in: its place among them, the chance, what it shows.
type State<'a> = (usize, f64, &'a [Observable], &'a [f64]);

/// How likely an outcome is under a live hypothesis, by its place among them.
pub(super) type Chance = (usize, f64);

/// The joint outcomes of a check. Most hypotheses are sure not to give most of them, so only chances are kept.
pub(super) struct Outcomes(Vec<Vec<Chance>>);

impl Outcomes {
    /// Those of a check that the hypotheses at the places `live` predict.
    pub(super) fn of(predictions: &[Prediction], live: &[usize], coarseness: f64) -> Self {
        let states = states(predictions, live);
        let mut outcomes: BTreeMap<usize, Vec<Chance>> = BTreeMap::new();
        for (shares, (place, chance, ..)) in joint(&states, coarseness).iter().zip(&states) {
            for (outcome, share) in shares {
                let chances = outcomes.entry(*outcome).or_default();
                match chances.last_mut() {
                    Some((last, sum)) if last == place => *sum += chance * share,
                    _ => chances.push((*place, chance * share)),
                }
            }
        }
        Self(outcomes.into_values().collect())
    }

    /// Each outcome: its probability under the live hypotheses that may give it, in their order.
    pub(super) fn each(&self) -> impl Iterator<Item = &[Chance]> {
        self.0.iter().map(Vec::as_slice)
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

/// The joint outcomes that each state may give, by number, with their probabilities.
fn joint(states: &[State<'_>], coarseness: f64) -> Vec<Vec<(usize, f64)>> {
    let mut quantities: BTreeMap<(Quantity, &str), Vec<Shown<'_>>> = BTreeMap::new();
    for (place, (_, _, seen, spreads)) in states.iter().enumerate() {
        for (seen, spread) in seen.iter().zip(*spreads) {
            let row = quantities
                .entry((seen.quantity, &seen.subject))
                .or_insert_with(|| vec![None; states.len()]);
            row[place] = Some((seen, *spread));
        }
    }
    let mut joint = vec![vec![(0, 1.0)]; states.len()];
    for row in quantities.values() {
        let edges = edges(row, coarseness);
        let mut single = vec![0.0; edges.len() + 2];
        for (outcomes, seen) in joint.iter_mut().zip(row) {
            bins(*seen, &edges, coarseness, &mut single);
            let possible = single.iter().enumerate();
            let possible: Vec<(usize, f64)> = possible
                .filter(|(_, share)| **share > NO_CHANCE)
                .map(|(bin, share)| (bin, *share))
                .collect();
            let wider = outcomes.iter().flat_map(|&(outcome, chance)| {
                let first = outcome * single.len();
                let with = move |&(bin, share): &(usize, f64)| (first + bin, chance * share);
                possible.iter().map(with)
            });
            *outcomes = wider.collect();
        }
    }
    joint
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
