//! The flux of a motor whose field is wound: from ampere turns of a series and a shunt winding through a curve
//! that saturates.
//!
//! Flux counts as a share of what the iron carries when it is quite saturated: `φ = m / (m₀ + |m|)`, Froelich's
//! curve, so it is a half at `m₀` ampere turns. EMF constants are those of a saturated field, and the EMF is
//! constant times flux times speed. Eddy currents in solid poles and the windings' own inductance let the
//! ampere turns take effect with one lag. What stays in the iron counts as ampere turns of its own, which
//! keep their sign until more than themselves opposes them.
//!
//! Turns of a winding count from its first to its second end (IEC 60034-8: D1 to D2, E1 to E2).

use crate::math;
use crate::quantity::Interval;

/// The windings and the iron of a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WoundField {
    /// Turns of the series winding.
    pub series_turns: f64,
    /// Turns of the shunt winding.
    pub shunt_turns: f64,
    /// Ampere turns at which the iron carries half of what it can.
    pub half: f64,
    /// Ampere turns that stay in the iron.
    pub residual: f64,
    /// Time constant with which ampere turns take effect.
    pub lag: Interval,
}

/// The ampere turns of a field in effect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Magnetised {
    /// Ampere turns, those that stay in the iron included.
    pub turns: f64,
    /// Whether what stays in the iron has the sign it has after running forward.
    pub forward: bool,
}

impl WoundField {
    /// Flux at some ampere turns, as a share of the most.
    #[must_use]
    pub fn flux(&self, turns: f64) -> f64 {
        turns / (self.half + turns.abs())
    }

    /// Ampere turns at a share of the flux, which must be less than all of it.
    #[must_use]
    pub fn turns(&self, flux: f64) -> f64 {
        self.half * flux / (1.0 - flux.abs())
    }

    /// A field with no current in it that last ran forward.
    #[must_use]
    pub const fn at_rest(&self) -> Magnetised {
        Magnetised {
            turns: self.residual,
            forward: true,
        }
    }

    /// What ampere turns of the windings lead to in time: what stays in the iron comes on top, turned round
    /// where it is opposed by more than itself.
    #[must_use]
    pub fn goal(&self, field: Magnetised, wound: f64) -> Magnetised {
        let forward = if field.forward {
            wound >= -self.residual
        } else {
            wound > self.residual
        };
        let stays = if forward {
            self.residual
        } else {
            -self.residual
        };
        Magnetised {
            turns: wound + stays,
            forward,
        }
    }

    /// The field after its windings had some ampere turns for some seconds.
    #[must_use]
    pub fn after(&self, field: Magnetised, wound: f64, seconds: f64) -> Magnetised {
        self.after_kept(field, wound, self.kept(seconds))
    }

    /// What is left of the way to the goal after some seconds, as a share.
    #[must_use]
    pub fn kept(&self, seconds: f64) -> f64 {
        math::exp(-seconds / self.lag.seconds())
    }

    /// The field after a time over which so much of the way to the goal is left.
    #[must_use]
    pub fn after_kept(&self, field: Magnetised, wound: f64, kept: f64) -> Magnetised {
        let goal = self.goal(field, wound);
        Magnetised {
            turns: goal.turns + (field.turns - goal.turns) * kept,
            ..goal
        }
    }

    /// Seconds until the flux is `flux` while the windings have some ampere turns; `None` when it never is.
    #[must_use]
    pub fn time_to(&self, field: Magnetised, wound: f64, flux: f64) -> Option<f64> {
        let goal = self.goal(field, wound).turns;
        let level = self.turns(flux);
        let ratio = (goal - field.turns) / (goal - level);
        (flux.abs() < 1.0 && ratio.is_finite() && ratio >= 1.0)
            .then(|| self.lag.seconds() * math::log(ratio))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FIELD: WoundField = WoundField {
        series_turns: 1.0,
        shunt_turns: 11.5,
        half: 16.0,
        residual: 0.7,
        lag: Interval::from_seconds(0.02),
    };

    #[test]
    fn the_curve_saturates_and_can_be_read_both_ways() {
        assert!((FIELD.flux(16.0) - 0.5).abs() < 1e-15);
        assert!((FIELD.flux(-48.0) + 0.75).abs() < 1e-15);
        for flux in [-0.9, -0.1, 0.0, 0.3, 0.99] {
            assert!((FIELD.flux(FIELD.turns(flux)) - flux).abs() < 1e-12);
        }
    }

    #[test]
    fn ampere_turns_take_effect_with_a_lag() {
        // Of a step 1 - 1/e is there after one time constant.
        let after = FIELD.after(FIELD.at_rest(), 10.0, 0.02);
        assert!((after.turns - 0.7 - 10.0 * (1.0 - math::exp(-1.0))).abs() < 1e-12);
        let time = FIELD.time_to(FIELD.at_rest(), 10.0, FIELD.flux(after.turns));
        assert!((time.unwrap() - 0.02).abs() < 1e-12);
        assert_eq!(FIELD.time_to(FIELD.at_rest(), 10.0, 0.5), None);
        assert_eq!(FIELD.time_to(FIELD.at_rest(), 10.0, -0.1), None);
    }

    #[test]
    fn what_stays_in_the_iron_turns_round_only_when_more_than_itself_opposes_it() {
        let opposed = FIELD.goal(FIELD.at_rest(), -0.6);
        assert!(opposed.forward && (opposed.turns - 0.1).abs() < 1e-15);
        let reversed = FIELD.goal(FIELD.at_rest(), -0.8);
        assert!(!reversed.forward && (reversed.turns + 1.5).abs() < 1e-15);
        assert!(!FIELD.goal(reversed, 0.7).forward);
        assert!(FIELD.goal(reversed, 0.71).forward);
    }
}
