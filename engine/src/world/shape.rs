//! The shape of a recorded current: what is handed over of it, and whether dips or peaks stand out that come back with
//! each turn of the shaft.

use crate::math;

/// Turns of the shaft that are recorded.
pub(super) const TURNS: f64 = 2.0;
/// Samples that the clamp hands over: the least and the most of each of half as many parts of the record.
const SAMPLES: usize = 64;
/// Swing, amperes, below which no ripple is told from the clamp's own noise (judgement).
const NOISE_A: f64 = 0.02;
/// What a swing slower than the ripple must come to, to stand out: a share of the mean current, and of the ripple. On
/// the shipped vehicles, in all speeds and on any glass, a sound motor's is under 0.48 of its ripple, one with an open
/// coil's over 0.70, and one with three tenths of a coil's turns shorted has over 0.037 of the mean and 1.5 of the
/// ripple (worked out).
const STANDS_OUT: f64 = 0.03;
const STANDS_OUT_OF_RIPPLE: f64 = 0.6;
/// Mean below which what stands out is peaks and not dips, as a share of that swing from its bottom. On the shipped
/// vehicles the peaks of an open coil leave 0.18 to 0.34 of it, in LOW as with a wound field; dips of an open or a
/// shorted coil 0.49 to 0.60 (worked out).
const PEAKS_BELOW: f64 = 0.42;
/// Angles of a turn that the shape of a current is looked at in.
const ANGLES: u32 = 360;
/// Dips, or peaks, of a turn that are told one by one; more are several.
const MOST_DIPS: f64 = 3.0;
/// Where, as shares of that swing from its top, a dip begins and is over.
const DIP_DEEP: f64 = 0.6;
const DIP_OVER: f64 = 0.3;

/// A record of a current.
pub(super) struct Record {
    /// The current at each moment, amperes.
    pub(super) amperes: Vec<f64>,
    /// How far the shaft had turned at each of these, turns.
    pub(super) turned: Vec<f64>,
    /// Turns of the shaft in it.
    pub(super) turns: f64,
    /// Coils that passed a brush in a turn; 1 where there is no motor.
    pub(super) coils: u32,
}

#[expect(clippy::cast_precision_loss, reason = "thousands at most")]
pub(super) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places and counts in a record of thousands at most"
)]
impl Record {
    /// What the clamp hands over: the least and the most of each part of the record, in the order they come in, so
    /// that no ripple is lost between two samples.
    pub(super) fn samples(&self) -> Vec<f64> {
        let (count, parts) = (self.amperes.len(), SAMPLES / 2);
        let limits = |k: usize| {
            let part = &self.amperes[k * count / parts..(k + 1) * count / parts];
            let (mut low, mut high) = (0, 0);
            for (place, value) in part.iter().enumerate() {
                if *value < part[low] {
                    low = place;
                }
                if *value > part[high] {
                    high = place;
                }
            }
            [part[low.min(high)], part[low.max(high)]]
        };
        (0..parts).flat_map(limits).collect()
    }

    /// The record without what its second half has over its first: the load drifts as the crank goes on.
    pub(super) fn without_drift(&self) -> Vec<f64> {
        let half = self.amperes.len() / 2;
        let (first, second) = self.amperes.split_at(half);
        let drift = (mean(second) - mean(first)) / half as f64;
        let values = self.amperes.iter().enumerate();
        values.map(|(k, value)| value - drift * k as f64).collect()
    }

    /// The current at an angle of the shaft, turns since the record began.
    fn at(&self, turns: f64) -> f64 {
        let after = self.turned.partition_point(|turned| *turned <= turns);
        let before = after.saturating_sub(1);
        let last = self.amperes.len() - 1;
        let (from, to) = (self.turned[before], self.turned[after.min(last)]);
        let share = if to > from {
            (turns - from) / (to - from)
        } else {
            0.0
        };
        let (one, other) = (self.amperes[before], self.amperes[after.min(last)]);
        one + share * (other - one)
    }

    /// One turn of the shaft, angle by angle, as the mean of the two that are recorded. What the second of them has over
    /// the first is none of the coils' but the load's, which changes as the crank goes on: its rate and its bend are
    /// taken off. `None` where the shaft did not come round twice.
    fn one_turn(&self) -> Option<Vec<f64>> {
        if self.turns < TURNS - 1e-6 {
            return None;
        }
        let step = 1.0 / f64::from(ANGLES);
        let turns: Vec<f64> = (0..ANGLES).map(|k| f64::from(k) * step).collect();
        let first: Vec<f64> = turns.iter().map(|&turn| self.at(turn)).collect();
        let second: Vec<f64> = turns.iter().map(|&turn| self.at(turn + 1.0)).collect();
        let over: Vec<f64> = second.iter().zip(&first).map(|(b, a)| b - a).collect();
        // A drift of `rate t + bend t^2` has `rate + bend (2 t + 1)` more a turn later.
        let middle = mean(&turns);
        let slopes = over.iter().zip(&turns);
        let slope: f64 = slopes.map(|(over, turn)| over * (turn - middle)).sum();
        let squares: f64 = turns.iter().map(|turn| math::square(turn - middle)).sum();
        let bend = 0.5 * slope / squares;
        let rate = mean(&over) - bend * (2.0 * middle + 1.0);
        let drift = |turn: f64| turn * (rate + bend * turn);
        let both = first.iter().zip(&second).zip(&turns);
        let even = both.map(|((one, other), &turn)| {
            0.5 * (one - drift(turn)) + 0.5 * (other - drift(turn + 1.0))
        });
        Some(even.collect())
    }

    /// How the record looks, on the scale [`DIPS`]: whichever way round the clamp is on.
    pub(super) fn dips(&self, even: &[f64]) -> f64 {
        let swing = |values: &[f64]| {
            let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            high - values.iter().copied().fold(f64::INFINITY, f64::min)
        };
        if self.turns == 0.0 || swing(even) < NOISE_A {
            return 0.0;
        }
        let Some(turn) = self.one_turn() else {
            return 1.0;
        };
        // Over a coil's pitch the even ripple comes to nothing.
        let pitch = f64::from(ANGLES) / f64::from(self.coils);
        let smooth = smoothed(&turn, pitch.round().max(1.0) as usize);
        let ripple: Vec<f64> = turn.iter().zip(&smooth).map(|(a, b)| a - b).collect();
        let slow = swing(&smooth);
        let way = mean(&self.amperes).signum();
        let level = STANDS_OUT * mean(&self.amperes).abs();
        if slow
            < level
                .max(STANDS_OUT_OF_RIPPLE * swing(&ripple))
                .max(NOISE_A)
        {
            return 1.0;
        }
        // What lies low for most of a turn has peaks, what lies high has dips.
        let smooth: Vec<f64> = smooth.iter().map(|value| way * value).collect();
        let low = smooth.iter().copied().fold(f64::INFINITY, f64::min);
        let peaks = mean(&smooth) < low + PEAKS_BELOW * slow;
        let (turned, even) = if peaks { (-1.0, 4.0) } else { (1.0, 1.0) };
        let way_round: Vec<f64> = smooth.iter().map(|value| turned * value).collect();
        even + f64::from(dips(&way_round, slow)).clamp(1.0, MOST_DIPS)
    }
}

/// Means over a window about each value, the record closed to a ring.
fn smoothed(values: &[f64], window: usize) -> Vec<f64> {
    let count = values.len();
    let window = window.min(count);
    let about = |k: usize| (0..window).map(move |j| (k + count + j - window / 2) % count);
    (0..count)
        .map(|k| {
            let some: Vec<f64> = about(k).map(|j| values[j]).collect();
            mean(&some)
        })
        .collect()
}

/// How often a closed record falls deep below its top and comes up again.
fn dips(values: &[f64], swing: f64) -> u32 {
    let mut top = 0;
    for (k, value) in values.iter().enumerate() {
        if *value > values[top] {
            top = k;
        }
    }
    let high = values[top];
    let (mut count, mut deep) = (0, false);
    for k in 0..values.len() {
        let below = high - values[(top + k) % values.len()];
        if !deep && below > DIP_DEEP * swing {
            (count, deep) = (count + 1, true);
        } else if deep && below < DIP_OVER * swing {
            deep = false;
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A load that bends as the crank goes on is no peak of the coils, nor is one that speeds the shaft up; what comes back
    /// each turn stays, whichever way round the clamp is on.
    #[test]
    fn what_the_load_does_over_two_turns_is_taken_off() {
        let record = |way: f64, of: &dyn Fn(f64) -> f64| {
            // From 0.8 to 1.2 of the mean speed.
            let turned: Vec<f64> = (0..=720)
                .map(|k| f64::from(k) / 720.0)
                .map(|share| 2.0 * share * (0.8 + 0.2 * share))
                .collect();
            Record {
                amperes: turned.iter().map(|&turns| way * of(turns)).collect(),
                turns: 2.0,
                coils: 12,
                turned,
            }
        };
        let sine = |turns: f64| math::sin(turns * std::f64::consts::TAU);
        let ripples = |turns: f64| 3.0 + 0.05 * sine(12.0 * turns);
        let bends = |turns: f64| ripples(turns) + 0.5 * turns * turns;
        let shorted = |turns: f64| bends(turns) + 0.4 * math::square(sine(turns));
        let open =
            |turns: f64| bends(turns) + math::square(math::square(math::square(sine(turns))));
        for way in [1.0, -1.0] {
            let told = |of: &dyn Fn(f64) -> f64| {
                let record = record(way, of);
                record.dips(&record.without_drift())
            };
            assert!((told(&bends) - 1.0).abs() < 1e-12);
            assert!((told(&shorted) - 3.0).abs() < 1e-12);
            assert!((told(&open) - 6.0).abs() < 1e-12);
        }
    }

    #[test]
    fn dips_are_counted_round_a_closed_record() {
        let wave = |turns: u32| -> Vec<f64> {
            let angle = |k: u32| f64::from(k * turns) * std::f64::consts::TAU / 360.0;
            (0..360).map(|k| math::cos(angle(k))).collect()
        };
        for turns in [1, 2, 5] {
            assert_eq!(dips(&wave(turns), 2.0), turns);
        }
    }
}
