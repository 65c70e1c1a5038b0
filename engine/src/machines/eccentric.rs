//! The eccentric of a depressed park: a crank whose throw grows while the motor runs home backwards, so that the
//! blades come to rest below the wipe.
//!
//! Forward, the pin stands in and the throw is the crank's own. Backward, it is released once the outer dead centre
//! has been passed, and turns out along with the crank for half a turn: `throw = r + e (1 - cos psi)`, with `psi`
//! the travel since then, held to half a turn. The first half turn forward puts it back. So the blades go below
//! the wipe at the inner end and never beyond the outer one. (Law of the throw: an eccentric of offset `e` turned
//! by `psi` in a crank; when it is released: common practice, no published source.)

use crate::math;
use crate::quantity::{Angle, Length};

/// How far out an eccentric must be for the park contact to be worked by the cam, degrees (judgement).
const OUT_DEG: f64 = 140.0;

/// An eccentric in the crank of a motor that reverses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eccentric {
    /// Its offset: half of what it adds to the throw when it is out.
    pub offset: Length,
    /// Where it is stuck: in or out; `None` when it is free.
    pub stuck: Option<Stuck>,
}

/// Where an eccentric can be stuck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stuck {
    /// At the crank's own throw.
    In,
    /// At its longest throw.
    Out,
}

impl Eccentric {
    /// What it adds to the throw of the crank, turned out by an angle.
    #[must_use]
    pub fn adds(&self, out: Angle) -> Length {
        self.offset * (1.0 - math::cos(out.radians()))
    }

    /// Change of the throw, metres for each radian it turns out.
    #[must_use]
    pub fn adds_per_radian(&self, out: Angle) -> f64 {
        self.offset.metres() * math::sin(out.radians())
    }

    /// What it adds when it is right out.
    #[must_use]
    pub fn adds_most(&self) -> Length {
        self.offset * 2.0
    }
}

/// How an eccentric stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Release {
    /// How far it has turned out, radians from 0 to half a turn.
    out: f64,
    /// Whether it may turn out when the crank goes backward.
    released: bool,
}

impl Release {
    /// In, and held there: as after a run forward.
    pub const IN: Self = Self {
        out: 0.0,
        released: false,
    };
    /// Right out: as at rest after a run home.
    pub const OUT: Self = Self {
        out: std::f64::consts::PI,
        released: true,
    };

    /// How far it has turned out.
    #[must_use]
    pub const fn out(self) -> Angle {
        Angle::from_radians(self.out)
    }

    /// Whether it is far enough out for the cam to work the park contact.
    #[must_use]
    pub fn works_contact(self) -> bool {
        self.out > OUT_DEG.to_radians()
    }

    /// Whether it would turn along with a crank that turns the way of `sign`.
    #[must_use]
    pub const fn turns_along(self, sign: f64) -> bool {
        if sign < 0.0 {
            self.released && self.out < std::f64::consts::PI
        } else {
            self.out > 0.0
        }
    }

    /// Travel of the crank, radians, until it comes to its end; `None` when it does not turn along.
    #[must_use]
    pub fn until_end(self, sign: f64) -> Option<f64> {
        let left = if sign < 0.0 {
            std::f64::consts::PI - self.out
        } else {
            self.out
        };
        self.turns_along(sign).then_some(left)
    }

    /// Lets it turn out from now on: the crank has passed the outer dead centre backward.
    #[must_use]
    pub const fn let_go(self) -> Self {
        Self {
            released: true,
            ..self
        }
    }

    /// At the end that it turns to with a crank that turns the way of `sign`.
    #[must_use]
    pub const fn ended(self, sign: f64) -> Self {
        if sign < 0.0 { Self::OUT } else { Self::IN }
    }

    /// After a travel of the crank, radians, backward being negative.
    #[must_use]
    pub fn after(self, travel: f64) -> Self {
        if !self.turns_along(travel) {
            return self;
        }
        let out = (self.out - travel).clamp(0.0, std::f64::consts::PI);
        Self {
            out,
            released: out > 0.0 || travel < 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_turns_out_backward_once_let_go_and_in_forward() {
        let held = Release::IN.after(-1.0);
        assert_eq!(held, Release::IN);
        let out = Release::IN.let_go().after(-1.0);
        assert!((out.out().radians() - 1.0).abs() < 1e-15 && out.turns_along(-1.0));
        let right_out = out.after(-3.0);
        assert_eq!(right_out, Release::OUT);
        assert!(right_out.works_contact() && !right_out.turns_along(-1.0));
        let back = right_out.after(2.0);
        assert!((back.until_end(1.0).unwrap() - (std::f64::consts::PI - 2.0)).abs() < 1e-15);
        // Half-way back and backward again, it turns out again; in, it is held until let go.
        assert_eq!(back.after(-4.0), Release::OUT);
        assert_eq!(back.after(4.0), Release::IN);
    }

    #[test]
    fn the_throw_grows_by_twice_the_offset() {
        let eccentric = Eccentric {
            offset: Length::from_metres(3.15e-3),
            stuck: None,
        };
        let at = |degrees| eccentric.adds(Angle::from_degrees(degrees)).metres();
        assert!(at(0.0).abs() < 1e-18 && (at(90.0) - 3.15e-3).abs() < 1e-15);
        assert!((at(180.0) - eccentric.adds_most().metres()).abs() < 1e-15);
    }
}
