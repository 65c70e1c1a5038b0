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
const BINS_MAX: usize = 64;
/// Chance of a bin that is none: the tail of an error law, which no reading meets.
const NO_CHANCE: f64 = 1e-12;
/// Standard deviations beyond which there is no chance.
const FARTHEST_SD: f64 = 8.0;

/// What one state shows of one quantity, with the spread of its cell.
type Shown<'a> = Option<(&'a Observable, f64)>;

/// A state that a hypothesis may be met in: which one, the chance, what it shows.
type State<'a> = (usize, f64, &'a [Observable], &'a [f64]);

/// An outcome by number, and how likely a hypothesis makes it.
pub(super) type Chance = (usize, f64);

/// The joint outcomes of a check by hypothesis. Most are sure not to give most of them, so only chances are kept.
#[derive(Clone, Debug)]
pub(super) struct Outcomes {
    /// How many there are.
    count: usize,
    /// Where the chances of each hypothesis begin, by its place in the list of all, and where the last ones end.
    starts: Vec<usize>,
    chances: Vec<Chance>,
}

impl Outcomes {
    /// Those of a check that some hypotheses predict, by their places in the list, ascending.
    /// Of what nothing is known of there are none.
    pub(super) fn of(predictions: &[Prediction], live: &[usize], coarseness: f64) -> Self {
        let known = live
            .iter()
            .copied()
            .filter(|&index| predictions[index].known);
        let known: Vec<usize> = known.collect();
        let states = states(predictions, &known);
        let joint = joint(&states, coarseness);
        let mut rows = vec![Vec::new(); predictions.len()];
        for ((index, chance, ..), shares) in states.iter().zip(joint) {
            let of_state = shares
                .into_iter()
                .map(|(outcome, share)| (outcome, chance * share));
            rows[*index].extend(of_state);
        }
        Self::of_rows(rows)
    }

    /// Those of a check by what each hypothesis may give, outcomes by any numbers; nothing is known of one that has an
    /// empty list.
    pub(super) fn of_rows(mut rows: Vec<Vec<Chance>>) -> Self {
        let mut numbers: Vec<usize> = rows.iter().flatten().map(|(raw, _)| *raw).collect();
        numbers.sort_unstable();
        numbers.dedup();
        for (raw, _) in rows.iter_mut().flatten() {
            *raw = numbers.partition_point(|number| number < raw);
        }
        let mut outcomes = Self::with_room(rows.len());
        for row in rows {
            outcomes.chances.extend(row);
            outcomes.starts.push(outcomes.chances.len());
        }
        outcomes.count = numbers.len();
        outcomes
    }

    fn with_room(hypotheses: usize) -> Self {
        let mut starts = Vec::with_capacity(hypotheses + 1);
        starts.push(0);
        Self {
            count: 0,
            starts,
            chances: Vec::with_capacity(hypotheses),
        }
    }

    /// The same for some hypotheses alone, by their places in the list, which then stand one after the other. What is
    /// less likely of one than a share of its likeliest outcome is left out.
    pub(super) fn among(&self, live: &[usize], share: f64) -> Self {
        let mut among = Self::with_room(live.len());
        for index in live {
            let all = self.of_hypothesis(*index);
            if let [(outcome, _)] = all {
                among.chances.push((*outcome, 1.0));
                among.starts.push(among.chances.len());
                continue;
            }
            let most = all.iter().map(|(_, chance)| *chance).fold(0.0, f64::max);
            let likely = all.iter().filter(|(_, chance)| *chance >= share * most);
            let sum: f64 = likely.clone().map(|(_, chance)| chance).sum();
            let likely = likely.map(|(outcome, chance)| (*outcome, chance / sum));
            among.chances.extend(likely);
            among.starts.push(among.chances.len());
        }
        let mut numbers = vec![None; self.count];
        for (outcome, _) in &among.chances {
            numbers[*outcome] = Some(0);
        }
        for number in numbers.iter_mut().flatten() {
            *number = among.count;
            among.count += 1;
        }
        for (outcome, _) in &mut among.chances {
            *outcome = numbers[*outcome].unwrap_or(0);
        }
        among
    }

    /// How many outcomes there are.
    pub(super) const fn count(&self) -> usize {
        self.count
    }

    /// What a hypothesis may give, by its place in the list of all; nothing of one that nothing is known of.
    pub(super) fn of_hypothesis(&self, index: usize) -> &[Chance] {
        &self.chances[self.starts[index]..self.starts[index + 1]]
    }
}

fn states<'a>(predictions: &'a [Prediction], known: &[usize]) -> Vec<State<'a>> {
    let mut states: Vec<State<'_>> = Vec::with_capacity(known.len());
    for &index in known {
        let prediction = &predictions[index];
        let chance = prediction.bout.as_ref().map_or(0.0, |bout| bout.chance);
        states.push((index, 1.0 - chance, &prediction.seen, &prediction.spreads));
        if let Some(bout) = &prediction.bout {
            states.push((index, chance, &bout.seen, &bout.spreads));
        }
    }
    states
}

/// The joint outcomes that each state may give, by a number of their own, with their probabilities.
fn joint(states: &[State<'_>], coarseness: f64) -> Vec<Vec<Chance>> {
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
        for (outcomes, seen) in joint.iter_mut().zip(row) {
            let possible = bins(*seen, &edges, coarseness);
            let wider = outcomes.iter().flat_map(|&(outcome, chance)| {
                let first = outcome * (edges.len() + 2);
                let with = move |&(bin, share): &Chance| (first + bin, chance * share);
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

/// The bins between `edges` that may be read, and that of there being nothing to read, last, with their
/// probabilities.
fn bins(seen: Shown<'_>, edges: &[f64], coarseness: f64) -> Vec<Chance> {
    let Some((seen, spread)) = seen else {
        return vec![(edges.len() + 1, 1.0)];
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
    let first = edges.partition_point(|edge| *edge < value - FARTHEST_SD * sd);
    let last = edges.partition_point(|edge| *edge < value + FARTHEST_SD * sd);
    let mut below = 0.0;
    let mut bins = Vec::with_capacity(last - first + 1);
    let upper = edges[first..last].iter().map(Some).chain([None]);
    for (bin, edge) in (first..).zip(upper) {
        let up_to = edge.map_or(1.0, |edge| math::normal_cdf((edge - value) / sd));
        if up_to - below > NO_CHANCE {
            bins.push((bin, up_to - below));
        }
        below = up_to;
    }
    bins
}
