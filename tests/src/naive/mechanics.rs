//! The mechanics of a vehicle by their definitions: two triangles, numerical differences, friction.

use std::f64::consts::TAU;

use groundside_engine::machines::Stuck;
use groundside_engine::vehicle::{ComponentId, Kind, Vehicle};

/// What turns in a vehicle, in SI units.
#[derive(Clone, Debug)]
pub(crate) struct Mechanics {
    pub(crate) inertia: f64,
    pub(crate) coulomb: f64,
    pub(crate) viscous: f64,
    pub(crate) ratio: f64,
    efficiency: f64,
    pub(crate) stripped: bool,
    pub(crate) slip: Option<f64>,
    crank: f64,
    coupler: f64,
    rocker: f64,
    frame: f64,
    cam_centre: f64,
    cam_half_width: f64,
    pub(crate) pivots: Vec<Pivot>,
}

/// A pivot and what it moves.
#[derive(Clone, Debug)]
pub(crate) struct Pivot {
    friction: f64,
    /// Force of the blade times its distance.
    press: f64,
    pub(crate) arm: ComponentId,
}

/// What hands and water do to the mechanics.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Handled {
    /// Coefficient of friction of blades on glass.
    pub(crate) friction: f64,
    /// Torque that a hand adds at the pivot of this arm.
    pub(crate) assist: Option<(ComponentId, f64)>,
    pub(crate) crank_off: bool,
    pub(crate) link_off: bool,
}

impl Mechanics {
    /// Reads them out of a vehicle; `None` for one in which nothing turns.
    pub(crate) fn of(vehicle: &Vehicle) -> Option<Self> {
        let kinds = || vehicle.components.iter().map(|component| &component.kind);
        let motor = kinds().find_map(|kind| match kind {
            Kind::Motor(data) => Some(*data),
            _ => None,
        })?;
        let gear = kinds().find_map(|kind| match kind {
            Kind::Gear(data) => Some(*data),
            _ => None,
        })?;
        let four_bar = kinds().find_map(|kind| match kind {
            Kind::Linkage(data) => Some(data.four_bar),
            _ => None,
        })?;
        let cam = kinds().find_map(|kind| match kind {
            Kind::ParkContact(data) => Some(*data),
            _ => None,
        })?;
        // An eccentric that is stuck out is a longer crank.
        let held_out = kinds().find_map(|kind| match kind {
            Kind::Eccentric(eccentric) if eccentric.stuck == Some(Stuck::Out) => {
                Some(2.0 * eccentric.offset.metres())
            }
            _ => None,
        });
        let held_out = held_out.unwrap_or(0.0);
        let slip = kinds().find_map(|kind| match kind {
            Kind::CrankNut { slip } => slip.map(|torque| torque.newton_metres()),
            _ => None,
        });
        let arm_on = |pivot: ComponentId| {
            vehicle
                .ids()
                .find_map(|arm| match vehicle.component(arm).kind {
                    Kind::Arm {
                        data, pivot: on, ..
                    } if on == pivot => Some((arm, data)),
                    _ => None,
                })
        };
        let pivots = vehicle
            .ids()
            .filter_map(|id| match vehicle.component(id).kind {
                Kind::Pivot { friction } => {
                    let (arm, data) = arm_on(id)?;
                    Some(Pivot {
                        friction: friction.newton_metres(),
                        press: data.force.newtons() * data.radius.metres(),
                        arm,
                    })
                }
                _ => None,
            });
        Some(Self {
            inertia: motor.inertia.kilogram_square_metres(),
            coulomb: motor.coulomb.newton_metres(),
            viscous: motor.viscous_nms + motor.shorted_nms,
            ratio: gear.ratio,
            efficiency: gear.efficiency,
            stripped: gear.stripped,
            slip,
            crank: four_bar.crank.metres() + held_out,
            coupler: four_bar.coupler.metres(),
            rocker: four_bar.rocker.metres(),
            frame: four_bar.frame.metres(),
            cam_centre: cam.centre.radians(),
            cam_half_width: cam.half_width.radians(),
            pivots: pivots.collect(),
        })
    }

    /// Crank angle at which crank and coupler are stretched out, from the line crank centre to pivot.
    pub(crate) fn dead_centre(&self) -> f64 {
        let reach = self.coupler + self.crank;
        let (frame, rocker) = (self.frame, self.rocker);
        ((frame * frame + reach * reach - rocker * rocker) / (2.0 * frame * reach)).acos()
    }

    /// Angle of the rocker: two triangles over the diagonal from crank pin to pivot.
    pub(crate) fn rocker_angle(&self, crank: f64) -> f64 {
        let (sin, cos) = crank.sin_cos();
        let (x, y) = (self.frame - self.crank * cos, -self.crank * sin);
        let diagonal = x.hypot(y);
        let cosine = (diagonal * diagonal + self.rocker * self.rocker
            - self.coupler * self.coupler)
            / (2.0 * diagonal * self.rocker);
        // From the pivot the crank pin lies the other way along the diagonal.
        (-y).atan2(-x) - cosine.acos()
    }

    /// Angle the rocker turns while the crank turns from one angle to another nearby.
    pub(crate) fn rocker_turns(&self, from: f64, to: f64) -> f64 {
        let turned = self.rocker_angle(to) - self.rocker_angle(from);
        turned - TAU * (turned / TAU).round()
    }

    /// Whether the park cam stands inside its window.
    pub(crate) fn inside_window(&self, wheel: f64) -> bool {
        let off = (wheel - self.cam_centre).rem_euclid(TAU);
        off.min(TAU - off) < self.cam_half_width
    }

    /// Torque of blades and bushings at the pivots that move, less what a hand adds.
    pub(crate) fn at_pivots(&self, handled: &Handled) -> f64 {
        let moved = if handled.link_off {
            1
        } else {
            self.pivots.len()
        };
        let torque = |pivot: &Pivot| {
            let help = handled
                .assist
                .filter(|(arm, _)| *arm == pivot.arm)
                .map_or(0.0, |(_, torque)| torque);
            pivot.press * handled.friction + pivot.friction - help
        };
        self.pivots.iter().take(moved).map(torque).sum()
    }

    /// Torque at the wheel's shaft that the linkage takes, positive when it opposes motion, and whether the
    /// crank goes along with the wheel.
    pub(crate) fn at_wheel(&self, crank: f64, handled: &Handled) -> (f64, bool) {
        if self.stripped || handled.crank_off {
            return (0.0, false);
        }
        const H: f64 = 1e-5;
        let ratio = self.rocker_turns(crank - H, crank + H).abs() / (2.0 * H);
        let load = self.at_pivots(handled) * ratio;
        match self.slip {
            Some(slip) if load > slip => (slip, false),
            _ => (load, true),
        }
    }

    /// Torque at the motor's shaft that opposes its motion besides the viscous one, and whether the crank goes
    /// along.
    pub(crate) fn opposing(&self, crank: f64, handled: &Handled) -> (f64, bool) {
        let (load, follows) = self.at_wheel(crank, handled);
        let through_worm = self.through_worm(load) / self.ratio;
        (through_worm + self.coulomb, follows)
    }

    /// Work that the shaft does on the worm while the wheel takes this work, both for any angle, or the torques for
    /// one of the wheel. The worm gives the efficiency's share of its work to a load that opposes. One that pushes
    /// holds the teeth together: with what the worm loses either way, it takes a share that is never less than
    /// nothing.
    pub(crate) fn through_worm(&self, wheel: f64) -> f64 {
        if wheel >= 0.0 {
            wheel / self.efficiency
        } else {
            -wheel * (1.0 / self.efficiency - 2.0)
        }
    }

    /// Turns of the wheel for one of the shaft.
    pub(crate) fn wheel_per_shaft(&self) -> f64 {
        if self.stripped { 0.0 } else { 1.0 / self.ratio }
    }
}
