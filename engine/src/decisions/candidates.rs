//! What may be broken, by conflicts: sets of parts that cannot all be sound. Several parts may be broken at once, and
//! of a broken part nothing is known but that it does not do what it should.
//!
//! The conventions are those of [de Kleer 1987] (abstract and lecture slides read, formulas from memory).

use std::collections::BTreeSet;

use super::{DecisionError, Distribution, lengths};

/// Positions of parts.
pub type Parts = BTreeSet<usize>;

/// Most parts that all candidates are listed of.
pub const PARTS_MAX: usize = 20;

/// The least sets of broken parts that explain every conflict, smallest first: none of them has another in it. An
/// empty conflict cannot be explained, so then there are none; without conflicts it is the empty set, 'all sound'.
///
/// Their number can grow exponentially with the number of conflicts.
#[must_use]
pub fn minimal_candidates(conflicts: &[Parts]) -> Vec<Parts> {
    let mut found = vec![Parts::new()];
    for conflict in conflicts {
        let (mut explain, others): (Vec<Parts>, Vec<Parts>) = found
            .into_iter()
            .partition(|candidate| !candidate.is_disjoint(conflict));
        let mut wider: Vec<Parts> = Vec::new();
        for candidate in &others {
            for &part in conflict {
                let mut with = candidate.clone();
                with.insert(part);
                wider.push(with);
            }
        }
        wider.sort_by_key(Parts::len);
        for candidate in wider {
            if !explain.iter().any(|known| known.is_subset(&candidate)) {
                explain.push(candidate);
            }
        }
        found = explain;
    }
    found.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
    found
}

/// A set of parts, broken together while all others are sound.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What is broken.
    pub broken: Parts,
    /// Its share of the belief.
    pub probability: f64,
}

/// Every set of broken parts that explains all conflicts, with its probability: parts break independently, part i with
/// chance `priors[i]`, so a set weighs `Π p Π (1 - p)`, and the sets that explain share the whole.
///
/// # Errors
/// [`DecisionError::Range`] for a prior outside 0 to 1, [`DecisionError::Index`] for a conflict of a part without
/// prior, [`DecisionError::TooMany`] for more than [`PARTS_MAX`] parts, [`DecisionError::Sum`] when nothing explains.
pub fn candidates(conflicts: &[Parts], priors: &[f64]) -> Result<Vec<Candidate>, DecisionError> {
    let count = priors.len();
    if count > PARTS_MAX {
        return Err(DecisionError::TooMany {
            found: count,
            most: PARTS_MAX,
        });
    }
    for (index, &value) in priors.iter().enumerate() {
        if !(0.0..=1.0).contains(&value) {
            let range = "a probability, 0 to 1";
            return Err(DecisionError::Range {
                index,
                value,
                range,
            });
        }
    }
    let beyond = conflicts.iter().flatten().find(|part| **part >= count);
    if let Some(&index) = beyond {
        return Err(DecisionError::Index { index, count });
    }
    let mut sets = Vec::new();
    let mut weights = Vec::new();
    for number in 0..1_u32 << count {
        let is_broken = |part: usize| number >> part & 1 == 1;
        if conflicts
            .iter()
            .all(|conflict| conflict.iter().any(|part| is_broken(*part)))
        {
            let share = |part: usize| {
                if is_broken(part) {
                    priors[part]
                } else {
                    1.0 - priors[part]
                }
            };
            weights.push((0..count).map(share).product());
            sets.push((0..count).filter(|part| is_broken(*part)).collect());
        }
    }
    let shares = Distribution::of(&weights)?;
    let probabilities = shares.probabilities().iter().copied();
    Ok(sets
        .into_iter()
        .zip(probabilities)
        .map(|(broken, probability)| Candidate {
            broken,
            probability,
        })
        .collect())
}

/// A place to measure, with what each suspect says of it: a value, or nothing when it follows from no part that the
/// suspect leaves sound. Where nothing is said each of the possible values is equally likely.
#[derive(Clone, Debug)]
pub struct Probe<'a, V> {
    belief: &'a Distribution,
    predictions: &'a [Option<V>],
    /// Different values that are predicted.
    predicted: BTreeSet<&'a V>,
    /// Values that are possible.
    values: u32,
}

impl<'a, V: Ord> Probe<'a, V> {
    /// A place that can show `values` different values, with the prediction of each suspect of a belief.
    ///
    /// # Errors
    /// [`DecisionError::Lengths`] when there is not one prediction for each suspect, [`DecisionError::TooMany`] when
    /// more values are predicted than are possible, [`DecisionError::Sum`] when none is possible.
    pub fn new(
        belief: &'a Distribution,
        predictions: &'a [Option<V>],
        values: u32,
    ) -> Result<Self, DecisionError> {
        lengths(belief.probabilities().len(), predictions.len())?;
        if values == 0 {
            return Err(DecisionError::Sum { sum: 0.0 });
        }
        let predicted: BTreeSet<&V> = predictions.iter().flatten().collect();
        let most = usize::try_from(values).unwrap_or(usize::MAX);
        if predicted.len() > most {
            return Err(DecisionError::TooMany {
                found: predicted.len(),
                most,
            });
        }
        Ok(Self {
            belief,
            predictions,
            predicted,
            values,
        })
    }

    /// Belief in the suspects that predict a value.
    #[must_use]
    pub fn predicting(&self, value: &V) -> f64 {
        self.sum(|prediction| prediction.as_ref() == Some(value))
    }

    /// Belief in the suspects that predict nothing.
    #[must_use]
    pub fn silent(&self) -> f64 {
        self.sum(Option::is_none)
    }

    fn sum(&self, counts: impl Fn(&Option<V>) -> bool) -> f64 {
        let pairs = self.predictions.iter().zip(self.belief.probabilities());
        pairs
            .filter(|(prediction, _)| counts(prediction))
            .map(|(_, probability)| probability)
            .sum()
    }

    /// The chance that it shows a value: `P(S) + P(U) / m`, of those that predict it, those that are silent, and the
    /// number of possible values.
    #[must_use]
    pub fn chance(&self, value: &V) -> f64 {
        self.predicting(value) + self.silent() / f64::from(self.values)
    }

    /// The belief once it has shown a value, by Bayes.
    ///
    /// # Errors
    /// [`DecisionError::Sum`] when no suspect allows that value.
    pub fn after(&self, value: &V) -> Result<Distribution, DecisionError> {
        Distribution::of(&self.joint(Some(value)))
    }

    /// Each suspect's belief times its likelihood of a value, or of one that nobody predicts.
    fn joint(&self, value: Option<&V>) -> Vec<f64> {
        let pairs = self.predictions.iter().zip(self.belief.probabilities());
        pairs
            .map(|(prediction, probability)| match prediction {
                None => probability / f64::from(self.values),
                Some(predicted) if Some(predicted) == value => *probability,
                Some(_) => 0.0,
            })
            .collect()
    }

    /// Entropy of the suspects that is expected to be left after measuring, bits: the less, the better the probe.
    #[must_use]
    pub fn expected_bits(&self) -> f64 {
        let left = |value: Option<&V>| {
            let joint = self.joint(value);
            joint.iter().sum::<f64>() * super::entropy(&joint)
        };
        let predicted: f64 = self.predicted.iter().map(|value| left(Some(value))).sum();
        // No more are predicted than there are values, which is a u32.
        let others = self.values - u32::try_from(self.predicted.len()).unwrap_or(self.values);
        predicted + f64::from(others) * left(None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math;
    use std::collections::BTreeMap;

    /// The circuit of three multipliers and two adders of [de Kleer 1987], sections 1 and 2: inputs and the two
    /// outputs that are seen. Parts are M1, M2, M3, A1, A2.
    const SEEN: [(char, i64); 7] = [
        ('A', 3),
        ('B', 2),
        ('C', 2),
        ('D', 3),
        ('E', 3),
        ('F', 10),
        ('G', 12),
    ];
    const M1: usize = 0;
    const M2: usize = 1;
    const M3: usize = 2;
    const A1: usize = 3;
    const A2: usize = 4;
    const MULTIPLIERS: [(usize, [char; 3]); 3] = [
        (M1, ['A', 'C', 'X']),
        (M2, ['B', 'D', 'Y']),
        (M3, ['C', 'E', 'Z']),
    ];
    const ADDERS: [(usize, [char; 3]); 2] = [(A1, ['X', 'Y', 'F']), (A2, ['Y', 'Z', 'G'])];

    /// All that follows from the sound parts and what was seen, or nothing when they contradict each other.
    fn follows(broken: &Parts, measured: Option<(char, i64)>) -> Option<BTreeMap<char, i64>> {
        let mut known: BTreeMap<char, i64> = SEEN.into_iter().chain(measured).collect();
        loop {
            let before = known.len();
            let mut told: Vec<(char, i64)> = Vec::new();
            for (_, [a, b, out]) in MULTIPLIERS.iter().filter(|(m, _)| !broken.contains(m)) {
                told.push((*out, known[a] * known[b]));
            }
            for (_, [a, b, out]) in ADDERS.iter().filter(|(m, _)| !broken.contains(m)) {
                let at = |name| known.get(name).copied();
                match (at(a), at(b), at(out)) {
                    (Some(x), Some(y), _) => told.push((*out, x + y)),
                    (Some(x), None, Some(sum)) => told.push((*b, sum - x)),
                    (None, Some(y), Some(sum)) => told.push((*a, sum - y)),
                    _ => {}
                }
            }
            for (name, value) in told {
                if *known.entry(name).or_insert(value) != value {
                    return None;
                }
            }
            if known.len() == before {
                return Some(known);
            }
        }
    }

    fn sets() -> Vec<Parts> {
        let set = |number: u32| (0..5).filter(move |part| number >> part & 1 == 1).collect();
        (0..32).map(set).collect()
    }

    /// The least sets of parts that cannot all be sound, found by trying them all.
    fn conflicts(measured: Option<(char, i64)>) -> Vec<Parts> {
        let others = |sound: &Parts| (0..5).filter(|part| !sound.contains(part)).collect();
        let contradict = |sound: &Parts| follows(&others(sound), measured).is_none();
        let all: Vec<Parts> = sets().into_iter().filter(contradict).collect();
        let least = |sound: &&Parts| {
            !all.iter()
                .any(|other| other.is_subset(sound) && other != *sound)
        };
        all.iter().filter(least).cloned().collect()
    }

    fn parts(list: &[usize]) -> Parts {
        list.iter().copied().collect()
    }

    fn near(found: f64, expected: f64, bound: f64) {
        assert!((found - expected).abs() <= bound, "{found} {expected}");
    }

    #[test]
    fn conflicts_and_minimal_candidates_of_the_adders_and_multipliers() {
        // [de Kleer 1987], section 2 (conflicts) and 3 (candidates).
        let found = conflicts(None);
        assert_eq!(found, [parts(&[M1, M2, A1]), parts(&[M1, M3, A1, A2])]);
        let minimal = minimal_candidates(&found);
        let expected = [
            parts(&[M1]),
            parts(&[A1]),
            parts(&[M2, M3]),
            parts(&[M2, A2]),
        ];
        assert_eq!(minimal, expected);
        let all = candidates(&found, &[0.01; 5]).unwrap();
        assert_eq!(all.len(), 27);
        // The same sets are consistent when each is propagated by itself.
        let consistent = sets()
            .into_iter()
            .filter(|set| follows(set, None).is_some());
        assert!(consistent.eq(all.iter().map(|candidate| candidate.broken.clone())));
        for (set, expected) in minimal.iter().zip([0.4780, 0.4780, 0.004_83, 0.004_83]) {
            let found = all.iter().find(|candidate| candidate.broken == *set);
            near(found.unwrap().probability, expected, 5e-5);
        }
    }

    /// The belief in the circuit's candidates, and what each says of a place.
    fn belief(place: char) -> (Vec<Candidate>, Distribution, Vec<Option<i64>>) {
        let all = candidates(&conflicts(None), &[0.01; 5]).unwrap();
        let weights: Vec<f64> = all.iter().map(|candidate| candidate.probability).collect();
        let says = |candidate: &Candidate| {
            let known = follows(&candidate.broken, None).unwrap();
            known.get(&place).copied()
        };
        let predictions = all.iter().map(says).collect();
        (all, Distribution::of(&weights).unwrap(), predictions)
    }

    #[test]
    fn the_probe_between_the_two_likeliest_candidates_is_best() {
        // [de Kleer 1987], section 4, each part broken in one of a hundred; 16 values possible (own numbers by the
        // paper's conventions; the paper's own table was not re-read).
        let expected = [
            ('X', [(6, 0.5024), (4, 0.4926)], 0.0051, 0.326),
            ('Y', [(6, 0.9901), (4, 0.0097)], 0.0002, 1.278),
            // 1.31246: rounds to 1.312.
            ('Z', [(6, 0.9949), (8, 0.0048)], 0.0002, 1.3125),
        ];
        for (place, values, silent, left) in expected {
            let (_, belief, predictions) = belief(place);
            near(belief.bits(), 1.3594, 5e-5);
            let probe = Probe::new(&belief, &predictions, 16).unwrap();
            for (value, chance) in values {
                near(probe.predicting(&value), chance, 5e-5);
            }
            near(probe.silent(), silent, 5e-5);
            near(probe.expected_bits(), left, 5e-4);
            // The paper's closed form: H + Σ P(v) log P(v) + P(U) log m, over all values.
            let term = |chance: f64| chance * math::log2(chance);
            let told: f64 = values.iter().map(|(v, _)| term(probe.chance(v))).sum();
            let untold = 14.0 * term(probe.silent() / 16.0) + probe.silent() * 4.0;
            near(probe.expected_bits(), belief.bits() + told + untold, 1e-9);
        }
    }

    #[test]
    fn what_is_measured_leaves_one_candidate() {
        let (all, belief, predictions) = belief('X');
        let probe = Probe::new(&belief, &predictions, 16).unwrap();
        // By Bayes with the same 16 values a silent candidate keeps a sixteenth of its weight; by consistency alone,
        // as candidates come from conflicts, it keeps all of it.
        for (shown, part, by_bayes, by_conflicts) in
            [(4, M1, 0.9699, 0.9606), (6, A1, 0.9510, 0.942)]
        {
            let is_it = |candidate: &&Candidate| candidate.broken == parts(&[part]);
            let place = all.iter().position(|candidate| is_it(&candidate)).unwrap();
            let after = probe.after(&shown).unwrap();
            near(after.probabilities()[place], by_bayes, 5e-5);
            let anew = candidates(&conflicts(Some(('X', shown))), &[0.01; 5]).unwrap();
            near(
                anew.iter().find(is_it).unwrap().probability,
                by_conflicts,
                5e-4,
            );
        }
    }

    #[test]
    fn what_cannot_be_explained_or_is_not_given_is_an_error() {
        assert_eq!(minimal_candidates(&[]), [Parts::new()]);
        assert!(minimal_candidates(&[parts(&[0]), Parts::new()]).is_empty());
        assert!(matches!(
            candidates(&[Parts::new()], &[0.1]),
            Err(DecisionError::Sum { .. })
        ));
        assert!(matches!(
            candidates(&[parts(&[1])], &[0.1]),
            Err(DecisionError::Index { index: 1, count: 1 })
        ));
        assert!(matches!(
            candidates(&[], &[1.5]),
            Err(DecisionError::Range { index: 0, .. })
        ));
        assert!(matches!(
            candidates(&[], &[0.1; 21]),
            Err(DecisionError::TooMany { found: 21, .. })
        ));
        let two = Distribution::uniform(2).unwrap();
        let says = [Some(1), Some(2)];
        assert!(matches!(
            Probe::new(&two, &says[..1], 2),
            Err(DecisionError::Lengths { .. })
        ));
        assert!(matches!(
            Probe::new(&two, &says, 1),
            Err(DecisionError::TooMany { .. })
        ));
        let probe = Probe::new(&two, &says, 2).unwrap();
        assert!(probe.expected_bits().abs() < 1e-12 && probe.after(&3).is_err());
    }
}
