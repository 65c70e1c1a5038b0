//! The coils of a ring winding one by one: a broken one, and one with shorted turns.
//!
//! A commutator has a segment between every two coils. A brush about as wide as a segment bridges the two
//! segments of the coil that passes under it, over [`BRIDGED`] of a coil's pitch; the coil is then shorted by
//! the brush, and whether it is broken does not matter. Between brushes a broken coil parts the ring.
//!
//! Turns that are shorted are missing from the winding, and the EMF that still turns in them drives a current
//! round themselves, whose torque brakes. The field is the uniform one of [`super::RingWinding`], so every coil
//! has the same EMF wherever it stands between the neutral brushes; inductance, which would hold that current
//! back, is left out, as everywhere.

use crate::quantity::{Angle, EmfConstant, Resistance};

/// Share of a coil's pitch over which a brush bridges its two segments: a brush as wide as a segment, less the
/// insulation between segments (judgement, no published source).
pub const BRIDGED: f64 = 0.9;

/// The coils of a ring winding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Coils {
    /// How many there are.
    pub count: u32,
}

impl Coils {
    /// Angle from one coil to the next.
    #[must_use]
    pub fn pitch(self) -> Angle {
        Angle::from_radians(std::f64::consts::TAU / f64::from(self.count))
    }

    /// Where a broken coil parts the ring between two brushes: beyond what the one bridges, until the other
    /// does. `None` where the two are so near that one of them always bridges it.
    #[must_use]
    pub fn parted(self, from: Angle, to: Angle) -> Option<(Angle, Angle)> {
        let half = self.pitch() * (0.5 * BRIDGED);
        let (from, to) = (from + half, to - half);
        (from < to).then_some((from, to))
    }

    /// What is left, on average over a turn, of the EMF and of the resistance of each arc when a share of one
    /// coil's turns is shorted: the coil is in each arc for the arc's share of the turn.
    #[must_use]
    pub fn left(self, shorted: f64) -> f64 {
        1.0 - shorted / f64::from(self.count)
    }

    /// Braking torque of a coil with a share of its turns shorted, newton metre seconds per radian.
    ///
    /// Half a winding has the constant `K` in `n / 2` coils, so one coil has `k = 2 K / n`; its resistance is
    /// `r = R / n` of the ring's. In a share `x` of its turns `x k ω` drives `k ω / r`, which brakes with
    /// `x k² / r` for each rad/s; the power goes into heat of the turns.
    #[must_use]
    pub fn drag(self, shorted: f64, half: EmfConstant, ring: Resistance) -> f64 {
        let count = f64::from(self.count);
        let coil = 2.0 * half.volt_seconds() / count;
        shorted * coil * coil / (ring.ohms() / count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWELVE: Coils = Coils { count: 12 };

    #[test]
    fn a_broken_coil_parts_the_ring_but_for_under_the_brushes() {
        // 30 degrees from coil to coil, of which a brush bridges 27: 13.5 on either side of it.
        let at = |from: f64, to: f64| {
            let parted = TWELVE.parted(Angle::from_degrees(from), Angle::from_degrees(to));
            parted.map(|(from, to)| (from.degrees(), to.degrees()))
        };
        let (from, to) = at(60.0, 180.0).unwrap();
        assert!((from - 73.5).abs() < 1e-12 && (to - 166.5).abs() < 1e-12);
        assert_eq!(at(0.0, 20.0), None);
    }

    #[test]
    fn a_shorted_coil_drags_by_its_own_emf_and_resistance() {
        // 0.0355 V s in six coils: 5.917 mV s each; 2.4 ohm in twelve: 0.2 ohm each. At 300 rad/s 1.775 V drives
        // 8.875 A in the shorted coil, 15.75 W.
        let half = EmfConstant::from_volt_seconds(0.0355);
        let drag = TWELVE.drag(1.0, half, Resistance::from_ohms(2.4));
        assert!((drag * 300.0 * 300.0 - 1.775 * 8.875).abs() < 1e-3);
        // Half of its turns have half the EMF over half the resistance: the same current, half the power.
        let half_of_it = TWELVE.drag(0.5, half, Resistance::from_ohms(2.4));
        assert!((half_of_it - 0.5 * drag).abs() < 1e-18);
    }
}
