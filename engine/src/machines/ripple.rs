//! The ripple that a finite number of coils leaves on a winding's EMF.
//!
//! In the textbook's machine [Fitzgerald 2003] the EMF of each coil is a sine of the angle it stands at, turned
//! round by the commutator as the coil passes a brush on the neutral axis. Between two such brushes the rectified
//! sines of `n / 2` coils add up to an EMF that swings between its peak and `cos(π/n)` of it, `n` times a turn; for an
//! odd number between its peak and `cos(π/2n)`, `2n` times. Under a brush that bridges its two segments a coil is
//! handed over from one side to the other in proportion to the angle, as the areas of contact are (resistance
//! commutation).
//!
//! What is computed is the deviation of an arc's EMF from its mean over a turn; that mean is the winding's own
//! ([`super::RingWinding`]), whatever the shape of its field. A coil with shorted turns is so much short of the others
//! wherever it stands. Resistances are taken at their mean. It is the EMF's: a current follows it with the lag of the
//! winding's inductance, which is for whoever records one to put on.

use super::coils::{BRIDGED, Coils};
use crate::math;
use crate::quantity::Angle;

/// A winding whose EMF ripples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ripple {
    coils: Coils,
    /// Share of the first coil's turns that are shorted.
    shorted: f64,
    /// Half the angle over which a brush hands a coil over.
    half_bridge: f64,
}

impl Ripple {
    /// The ripple of coils of which the first, at the shaft's zero, has a share of its turns shorted.
    #[must_use]
    pub fn new(coils: Coils, shorted: f64) -> Self {
        Self::with_brush(coils, shorted, BRIDGED)
    }

    /// The same with brushes that bridge segments over a share of a coil's pitch.
    fn with_brush(coils: Coils, shorted: f64, bridged: f64) -> Self {
        Self {
            coils,
            shorted,
            half_bridge: 0.5 * bridged * coils.pitch().radians(),
        }
    }

    /// How far the EMF of an arc between two brushes is off its mean, as a share of the mean EMF of a half of
    /// the winding with all its turns. Brushes are given by their angles from the low one, the arc on either
    /// side of the common brush at half a turn.
    #[must_use]
    pub fn off_mean(&self, shaft: Angle, from: Angle, to: Angle) -> f64 {
        let (from, to) = (from.radians(), to.radians());
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let side = if middle < std::f64::consts::PI {
            1.0
        } else {
            -1.0
        };
        let pitch = self.coils.pitch().radians();
        let mut sum = 0.0;
        for coil in 0..self.coils.count {
            let at = shaft.radians() + f64::from(coil) * pitch;
            let off = math::wrap_half_turn(at - middle);
            let within = self.past(off + half) - self.past(off - half);
            let turns = if coil == 0 { 1.0 - self.shorted } else { 1.0 };
            sum += turns * within * side * math::sin(at);
        }
        let count = f64::from(self.coils.count);
        // Over a turn each coil's sine comes to its integral from brush to brush, a little less for their width.
        let edges = math::sin(self.half_bridge) / self.half_bridge;
        let mean_of_half = count / std::f64::consts::PI * edges;
        let mean = Self::mean_share(Angle::from_radians(from), Angle::from_radians(to));
        let share = mean * self.coils.left(self.shorted);
        sum / mean_of_half - share
    }

    /// The mean EMF of an arc between two brushes in a field that is a sine of the angle, as a share of that of a half
    /// of the winding.
    #[must_use]
    pub fn mean_share(from: Angle, to: Angle) -> f64 {
        let (from, to) = (from.radians(), to.radians());
        let side = if 0.5 * (from + to) < std::f64::consts::PI {
            1.0
        } else {
            -1.0
        };
        0.5 * side * (math::cos(from) - math::cos(to))
    }

    /// How much of a coil a brush has let past, so many radians beyond its middle.
    fn past(&self, beyond: f64) -> f64 {
        (0.5 + beyond / (2.0 * self.half_bridge)).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEPS: u32 = 7200;

    /// EMF between low and common brush over a turn, its mean being 1: the two arcs of the front half.
    fn front(ripple: &Ripple) -> Vec<f64> {
        let degrees = Angle::from_degrees;
        let at = |step: u32| {
            let shaft = degrees(f64::from(step) * 360.0 / f64::from(STEPS));
            let low_high = ripple.off_mean(shaft, degrees(0.0), degrees(60.0));
            1.0 + low_high + ripple.off_mean(shaft, degrees(60.0), degrees(180.0))
        };
        (0..STEPS).map(at).collect()
    }

    fn swing(values: &[f64]) -> f64 {
        let most = values.iter().copied().fold(f64::MIN, f64::max);
        let least = values.iter().copied().fold(f64::MAX, f64::min);
        (most - least) / most
    }

    fn peaks(values: &[f64]) -> usize {
        let count = values.len();
        let value = |k: usize| values[k % count];
        (0..count)
            .filter(|&k| value(k + 1) > value(k) && value(k + 1) >= value(k + 2))
            .count()
    }

    /// 1 - cos(π/n) for an even number of coils, 1 - cos(π/2n) for an odd one. [Fitzgerald 2003]
    #[test]
    fn the_ripple_between_neutral_brushes_is_the_textbooks() {
        for (count, swings, times) in [
            (6, 0.133_975, 6),
            (12, 0.034_074, 12),
            (36, 0.003_805, 36),
            (7, 0.025_072, 14),
            (15, 0.005_478, 30),
        ] {
            // A brush of hardly any width, as the textbook's.
            let ripple = Ripple::with_brush(Coils { count }, 0.0, 1e-6);
            let values = front(&ripple);
            assert!((swing(&values) - swings).abs() < 1e-5, "{count} coils");
            assert_eq!(peaks(&values), times, "{count} coils");
        }
        // With an even number the width of the brush does not matter: what one coil loses another gains.
        let wide = front(&Ripple::new(Coils { count: 12 }, 0.0));
        assert!((swing(&wide) - 0.034_074).abs() < 1e-5);
    }

    #[test]
    fn it_comes_to_nothing_over_a_turn_on_every_arc() {
        let degrees = Angle::from_degrees;
        for shorted in [0.0, 0.7] {
            let ripple = Ripple::new(Coils { count: 12 }, shorted);
            for (from, to) in [(0.0, 60.0), (60.0, 180.0), (180.0, 360.0)] {
                let off = |step: u32| {
                    let shaft = degrees(f64::from(step) * 360.0 / f64::from(STEPS));
                    ripple.off_mean(shaft, degrees(from), degrees(to))
                };
                let mean = (0..STEPS).map(off).sum::<f64>() / f64::from(STEPS);
                assert!(mean.abs() < 1e-6, "{from} to {to} deg: {mean}");
            }
        }
    }

    #[test]
    fn a_shorted_coil_is_missed_where_it_stands() {
        let degrees = Angle::from_degrees;
        let off = |shorted: f64, shaft: f64, from: f64, to: f64| {
            let ripple = Ripple::new(Coils { count: 12 }, shorted);
            ripple.off_mean(degrees(shaft), degrees(from), degrees(to))
        };
        // Half way between the neutral brushes it is short of a whole sine, π/12 of the half's mean, a little
        // more for the brushes' width; its mean loss is a twelfth.
        let bridge = 13.5_f64.to_radians();
        let peak = std::f64::consts::PI / 12.0 * bridge / math::sin(bridge);
        let lost = off(0.0, 90.0, 60.0, 180.0) - off(1.0, 90.0, 60.0, 180.0);
        assert!((lost - (peak - 0.75 / 12.0)).abs() < 1e-9, "{lost}");
        // And it is not missed on the other side.
        let lost = off(0.0, 90.0, 180.0, 360.0) - off(1.0, 90.0, 180.0, 360.0);
        assert!((lost + 1.0 / 12.0).abs() < 1e-12, "{lost}");
    }
}
