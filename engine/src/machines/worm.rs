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
        self.at_shaft().load(load)
    }

    /// The gear as its shaft sees it.
    #[must_use]
    pub fn at_shaft(&self) -> AtShaft {
        AtShaft {
            against: (1.0 / self.efficiency) / self.ratio,
            along: (1.0 / self.efficiency - 2.0) / self.ratio,
            wheel_turns: 1.0 / self.ratio,
        }
    }
}

/// A worm gear as its shaft sees it, with the divisions of its law done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtShaft {
    against: f64,
    along: f64,
    wheel_turns: f64,
}

impl AtShaft {
    /// As [`Worm::shaft_load`].
    #[must_use]
    pub fn load(&self, load: Torque) -> Torque {
        let share = if load.newton_metres() >= 0.0 {
            self.against
        } else {
            self.along
        };
        load.abs() * share
    }

    /// Turns of the wheel for one turn of the shaft.
    #[must_use]
    pub const fn wheel_turns(&self) -> f64 {
        self.wheel_turns
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
