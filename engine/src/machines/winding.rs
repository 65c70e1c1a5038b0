//! The armature of a motor as a ring winding tapped by three brushes, or by two.
//!
//! Brushes stand at 0 (low), `α` (high) and 180 degrees (common). The ring's resistance splits by arc.
//! Under a uniform gap field the EMF of an arc is proportional to its angle, so the high-speed share of
//! the EMF constant is `1 - α/180`: 60 degrees gives a no-load speed ratio of 1.5. (A sinusoidal field
//! would give `(1 + cos α)/2`; the uniform field is the assumption made here.) Torque is the sum over
//! arcs of EMF constant times current with the same constants, so the electrical power into the EMFs
//! *is* the shaft power.
//!
//! Two brushes stand at 0 and 180 degrees, with half the ring and the whole EMF on either side.
//!
//! Sign: an arc's EMF is the voltage of its first tap over its second when the shaft turns forward.

use crate::quantity::{Angle, EmfConstant, Resistance};

/// A ring winding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RingWinding {
    /// Resistance all the way round.
    pub ring: Resistance,
    /// EMF constant between the low and the common brush.
    pub emf: EmfConstant,
    /// Angle of the third (high) brush from the low one.
    pub third_brush: Angle,
}

/// A ring winding tapped by two brushes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HalvedWinding {
    /// Resistance from brush to brush: a quarter of that all the way round.
    pub across: Resistance,
    /// EMF constant between the brushes.
    pub emf: EmfConstant,
}

impl HalvedWinding {
    /// The two halves, from the first brush to the second the way the shaft turns, and the other way.
    #[must_use]
    pub fn arcs(&self) -> [Arc; 2] {
        let half = Arc {
            resistance: self.across * 2.0,
            emf: self.emf,
        };
        [half, half]
    }
}

/// A part of the ring between two brushes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Its resistance.
    pub resistance: Resistance,
    /// Its EMF constant.
    pub emf: EmfConstant,
}

impl RingWinding {
    /// The three arcs: low to high, high to common, low to common (the far side).
    #[must_use]
    pub fn arcs(&self) -> [Arc; 3] {
        let share = self.third_brush.radians() / std::f64::consts::PI;
        let arc = |part: f64| Arc {
            resistance: self.ring * (part / 2.0),
            emf: self.emf * part,
        };
        [arc(share), arc(1.0 - share), arc(1.0)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arcs_add_up_to_the_ring() {
        let winding = RingWinding {
            ring: Resistance::from_ohms(2.4),
            emf: EmfConstant::from_volt_seconds(0.0355),
            third_brush: Angle::from_degrees(60.0),
        };
        let [low_high, high_common, far] = winding.arcs();
        let sum = (low_high.resistance + high_common.resistance + far.resistance).ohms();
        assert!((sum - 2.4).abs() < 1e-12);
        assert!(
            (high_common.emf.volt_seconds() / far.emf.volt_seconds() - 2.0 / 3.0).abs() < 1e-12
        );
        assert!(((low_high.emf + high_common.emf).volt_seconds() - 0.0355).abs() < 1e-15);
    }
}
