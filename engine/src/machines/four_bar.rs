//! A crank-rocker four-bar linkage in closed form.
//!
//! The crank turns about the origin, the rocker about a pivot at distance `frame` on the positive x
//! axis. Crank angle and rocker angle are measured from that axis, the way the crank turns. Only the
//! assembly with the rocker's pin to the left of the line from crank pin to rocker pivot is modelled.
//! Closed form after [Freudenstein 1955]; dead centres where crank and coupler are in line.

use crate::math;
use crate::quantity::{Angle, Length};

/// Smallest transmission angle that is accepted, degrees (judgement, no published source; texts prefer 40).
const TRANSMISSION_ANGLE_MIN_DEG: f64 = 20.0;

/// Proportions of a crank-rocker.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FourBar {
    /// Throw of the crank.
    pub crank: Length,
    /// Length of the drive link.
    pub coupler: Length,
    /// Length of the rocker.
    pub rocker: Length,
    /// Distance from crank centre to pivot.
    pub frame: Length,
}

/// Why proportions do not make a wiper linkage.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FourBarError {
    /// Not a crank-rocker: the crank cannot turn all the way round.
    #[error(
        "the linkage locks: coupler + crank must be less than frame + rocker, and coupler - crank more than their difference"
    )]
    Locks,
    /// The links come too nearly into line.
    #[error("the transmission angle falls to {degrees:.1} degrees; it must stay over 20")]
    TransmissionAngle {
        /// The smallest angle between coupler and rocker.
        degrees: f64,
    },
}

/// Where the rocker is, and how fast it moves for each unit of crank speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Rocker speed over crank speed.
    pub ratio: f64,
    /// x of the rocker's pin from its pivot, metres.
    pub pin_x: f64,
    /// y of the rocker's pin from its pivot, metres.
    pub pin_y: f64,
}

impl Pose {
    /// Angle of the rocker.
    #[must_use]
    pub fn rocker_angle(&self) -> Angle {
        Angle::from_radians(math::atan2(self.pin_y, self.pin_x))
    }
}

impl FourBar {
    /// Checks that the crank turns all the way round with links well out of line.
    ///
    /// # Errors
    /// [`FourBarError`] when it does not.
    pub fn check(&self) -> Result<(), FourBarError> {
        let (a, b, c, d) = self.lengths();
        if !(b + a < d + c && b - a > (d - c).abs()) {
            return Err(FourBarError::Locks);
        }
        let degrees = self.transmission_angle_min().degrees();
        if degrees < TRANSMISSION_ANGLE_MIN_DEG {
            return Err(FourBarError::TransmissionAngle { degrees });
        }
        Ok(())
    }

    /// Smallest angle between coupler and rocker over a turn: it comes with the crank on the frame line.
    #[must_use]
    pub fn transmission_angle_min(&self) -> Angle {
        let (a, b, c, d) = self.lengths();
        let at = |reach: f64| {
            let cosine = (b * b + c * c - reach * reach) / (2.0 * b * c);
            let angle = math::atan2(math::sqrt((1.0 - cosine * cosine).max(0.0)), cosine);
            angle.min(std::f64::consts::PI - angle)
        };
        Angle::from_radians(at(d - a).min(at(d + a)))
    }

    /// Crank angle of the dead centre with crank and coupler stretched out.
    #[must_use]
    pub fn extended_dead_centre(&self) -> Angle {
        let (a, b, _, _) = self.lengths();
        Angle::from_radians(self.angle_of_reach(b + a))
    }

    /// Crank angle of the dead centre with crank and coupler folded.
    #[must_use]
    pub fn folded_dead_centre(&self) -> Angle {
        let (a, b, _, _) = self.lengths();
        Angle::from_radians(std::f64::consts::PI + self.angle_of_reach(b - a))
    }

    /// Angle the rocker swings through.
    #[must_use]
    pub fn sweep(&self) -> Angle {
        let at = |angle: Angle| self.pose(angle).rocker_angle();
        (at(self.folded_dead_centre()) - at(self.extended_dead_centre())).abs()
    }

    /// Rocker position and speed ratio at a crank angle. The proportions must have passed
    /// [`FourBar::check`]; for others the numbers are meaningless.
    #[must_use]
    pub fn pose(&self, crank: Angle) -> Pose {
        self.pose_and_reach(crank).0
    }

    /// The same, and by how many radians the rocker turns for each metre that the throw grows.
    #[must_use]
    pub fn pose_and_reach(&self, crank: Angle) -> (Pose, f64) {
        let (a, b, c, d) = self.lengths();
        let (sin, cos) = libm::sincos(crank.radians());
        let (pin_x, pin_y) = (a * cos, a * sin);
        // The rocker's pin lies where the circle of the coupler meets that of the rocker.
        let (to_pivot_x, to_pivot_y) = (d - pin_x, -pin_y);
        let reach_2 = to_pivot_x * to_pivot_x + to_pivot_y * to_pivot_y;
        let along = (b * b - c * c + reach_2) / (2.0 * reach_2);
        let across = math::sqrt((b * b / reach_2 - along * along).max(0.0));
        // Left of the line from crank pin to pivot: that line turned a quarter turn forward.
        let coupler_x = along * to_pivot_x - across * to_pivot_y;
        let coupler_y = along * to_pivot_y + across * to_pivot_x;
        let (rocker_x, rocker_y) = (pin_x + coupler_x - d, pin_y + coupler_y);
        // Both ends of the coupler have the same speed along it.
        let crank_speed_along = -pin_y * coupler_x + pin_x * coupler_y;
        let rocker_speed_along = -rocker_y * coupler_x + rocker_x * coupler_y;
        let reach_speed_along = cos * coupler_x + sin * coupler_y;
        let pose = Pose {
            ratio: crank_speed_along / rocker_speed_along,
            pin_x: rocker_x,
            pin_y: rocker_y,
        };
        (pose, reach_speed_along / rocker_speed_along)
    }

    /// These proportions with a longer throw.
    #[must_use]
    pub fn with_more_throw(&self, more: Length) -> Self {
        Self {
            crank: self.crank + more,
            ..*self
        }
    }

    fn angle_of_reach(&self, reach: f64) -> f64 {
        let (_, _, c, d) = self.lengths();
        let cosine = (d * d + reach * reach - c * c) / (2.0 * d * reach);
        math::atan2(math::sqrt((1.0 - cosine * cosine).max(0.0)), cosine)
    }

    const fn lengths(&self) -> (f64, f64, f64, f64) {
        (
            self.crank.metres(),
            self.coupler.metres(),
            self.rocker.metres(),
            self.frame.metres(),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn four_bar(a: f64, b: f64, c: f64, d: f64) -> FourBar {
        let metres = Length::from_metres;
        FourBar {
            crank: metres(a),
            coupler: metres(b),
            rocker: metres(c),
            frame: metres(d),
        }
    }

    #[test]
    fn links_keep_their_lengths_and_the_rocker_stands_at_the_dead_centres() {
        let linkage = four_bar(67.0, 300.0, 81.6, 310.0);
        for degrees in 0..360 {
            let crank = Angle::from_degrees(f64::from(degrees));
            let pose = linkage.pose(crank);
            let (sin, cos) = libm::sincos(crank.radians());
            let coupler = libm::hypot(310.0 + pose.pin_x - 67.0 * cos, pose.pin_y - 67.0 * sin);
            let rocker = libm::hypot(pose.pin_x, pose.pin_y);
            assert!((coupler - 300.0).abs() < 1e-10 && (rocker - 81.6).abs() < 1e-10);
        }
        for dead in [linkage.extended_dead_centre(), linkage.folded_dead_centre()] {
            assert!(linkage.pose(dead).ratio.abs() < 1e-9);
        }
    }

    #[test]
    fn a_linkage_that_locks_is_an_error() {
        assert_eq!(
            four_bar(2.0, 3.5, 4.0, 1.0).check(),
            Err(FourBarError::Locks)
        );
        let tight = four_bar(67.0, 300.0, 80.2, 310.0).check();
        assert!(
            matches!(tight, Err(FourBarError::TransmissionAngle { .. })),
            "{tight:?}"
        );
    }
}
