//! A worm gear with friction that the load cannot drive back.
//!
//! With the worm driving, efficiency `η`: shaft torque = crank torque / (N η). With an efficiency of a
//! half or less the gear is self-locking: a load that pushes forward never helps, it only presses the
//! teeth, which costs `|T| (1/η - 2) / N`. [Shigley 2011] (form from memory)

use crate::quantity::Torque;

/// A worm gear's law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worm {
    /// Shaft turns for one turn of the wheel.
    pub ratio: f64,
    /// Efficiency with the worm driving, in (0, 0.5].
    pub efficiency: f64,
}

impl Worm {
    /// Friction torque at the shaft, opposing its motion, when the wheel is opposed by `load` (negative
    /// when the load pushes the way it turns).
    #[must_use]
    pub fn shaft_load(&self, load: Torque) -> Torque {
        let factor = if load.newton_metres() >= 0.0 {
            1.0 / self.efficiency
        } else {
            1.0 / self.efficiency - 2.0
        };
        load.abs() * (factor / self.ratio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_self_locking_worm_is_never_helped_by_its_load() {
        let worm = Worm {
            ratio: 60.0,
            efficiency: 0.48,
        };
        let against = worm
            .shaft_load(Torque::from_newton_metres(3.0))
            .newton_metres();
        let with = worm
            .shaft_load(Torque::from_newton_metres(-3.0))
            .newton_metres();
        assert!((against - 3.0 / 28.8).abs() < 1e-12);
        assert!(with > 0.0 && with < against);
    }
}
