//! The mechanics of a vehicle by their definitions: two triangles, numerical differences, friction.

use std::f64::consts::{PI, TAU};

use groundside_engine::machines::Stuck;
use groundside_engine::vehicle::{ComponentId, Kind, Vehicle, Wear};

/// How far out an eccentric has to be for the cam to work the contact, radians: as the format's notes have it.
const WORKS_FROM: f64 = 140.0 * PI / 180.0;

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
    /// How far from its mark the crank was done up, radians.
    pub(crate) astray: f64,
    /// Whether the drive link, or the connecting link, is off its pin.
    drive_link_off: bool,
    pub(crate) connecting_link_off: bool,
    crank: f64,
    coupler: f64,
    rocker: f64,
    frame: f64,
    eccentric: Option<Eccentric>,
    cam_centre: f64,
    cam_half_width: f64,
    pivots: Vec<Pivot>,
}

/// An eccentric: its offset, and how far out it is stuck where it does not turn.
#[derive(Clone, Copy, Debug)]
struct Eccentric {
    offset: f64,
    stuck: Option<f64>,
}

/// How the pin of a crank stands in its eccentric.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pin {
    /// Radians that it has turned out, from none to half a turn.
    pub(crate) out: f64,
    /// Whether it turns out while the crank goes backward.
    pub(crate) let_go: bool,
}

impl Pin {
    /// Where there is no eccentric, or one that is held in.
    pub(crate) const IN: Self = Self {
        out: 0.0,
        let_go: false,
    };
    const OUT: Self = Self {
        out: PI,
        let_go: true,
    };
}

/// Where crank and pin stand, and which way they go: 1 forward, -1 backward.
#[derive(Clone, Copy, Debug)]
pub(crate) struct At {
    pub(crate) crank: f64,
    pub(crate) pin: Pin,
    pub(crate) way: f64,
}

/// A pivot and what it moves.
#[derive(Clone, Debug)]
struct Pivot {
    friction: f64,
    /// Force of the blade times its distance; nothing where the pivot only guides an arm.
    press: f64,
    /// The most of that which the arm's serrations hand on.
    handed_on: f64,
    arm: ComponentId,
    /// Whether the arm sits on it, so that a hand on the arm turns it.
    carries: bool,
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
        let slip = kinds().find_map(|kind| match kind {
            Kind::CrankNut { slip } => slip.map(|torque| torque.newton_metres()),
            _ => None,
        });
        let wear = |wanted: fn(&Kind) -> bool| {
            let mut parts = vehicle.components.iter();
            parts
                .find(|part| wanted(&part.kind))
                .map_or_else(Wear::default, |part| part.wear)
        };
        let eccentric = kinds().find_map(|kind| match kind {
            Kind::Eccentric(data) => Some(Eccentric {
                offset: data.offset.metres(),
                stuck: data.stuck.map(|at| match at {
                    Stuck::In => 0.0,
                    Stuck::Out => PI,
                }),
            }),
            _ => None,
        });
        let pivots = vehicle
            .ids()
            .filter_map(|id| match vehicle.component(id).kind {
                Kind::Pivot { friction } => pivot(vehicle, id, friction.newton_metres()),
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
            astray: wear(|kind| matches!(kind, Kind::CrankNut { .. }))
                .astray
                .radians(),
            drive_link_off: wear(|kind| matches!(kind, Kind::Linkage(_))).off,
            connecting_link_off: wear(|kind| matches!(kind, Kind::ConnectingLink)).off,
            crank: four_bar.crank.metres(),
            coupler: four_bar.coupler.metres(),
            rocker: four_bar.rocker.metres(),
            frame: four_bar.frame.metres(),
            eccentric,
            cam_centre: cam.centre.radians(),
            cam_half_width: cam.half_width.radians(),
            pivots: pivots.collect(),
        })
    }

    /// The throw of the crank with its pin turned out so far.
    fn throw(&self, out: f64) -> f64 {
        let offset = self.eccentric.map_or(0.0, |eccentric| eccentric.offset);
        self.crank + offset * (1.0 - out.cos())
    }

    /// Crank angle at which crank centre, pin and rocker's pin stand on a line, the last this far from the first.
    fn in_line(&self, reach: f64) -> f64 {
        let (frame, rocker) = (self.frame, self.rocker);
        ((frame * frame + reach * reach - rocker * rocker) / (2.0 * frame * reach)).acos()
    }

    /// Crank angle, from the line crank centre to pivot, with blades at rest: crank and coupler stretched out, and
    /// the eccentric of one that has it right out.
    pub(crate) fn parked(&self) -> f64 {
        self.in_line(self.coupler + self.throw(PI))
    }

    /// Crank angle at the inner end of a wipe: crank and coupler stretched out, an eccentric in.
    pub(crate) fn wipe_begins(&self) -> f64 {
        self.in_line(self.coupler + self.crank)
    }

    /// Crank angle at the outer end of a wipe: coupler folded back over the crank, an eccentric in.
    fn wipe_ends(&self) -> f64 {
        PI + self.in_line(self.coupler - self.crank)
    }

    /// How the pin stands when wheel and crank are put to rest (`true`), or to another place.
    pub(crate) fn put(&self, at_rest: bool) -> Pin {
        match self.eccentric {
            None => Pin::IN,
            Some(Eccentric { stuck: None, .. }) if at_rest => Pin::OUT,
            Some(Eccentric { stuck: None, .. }) => Pin::IN,
            Some(Eccentric {
                stuck: Some(out), ..
            }) => Pin {
                out,
                let_go: out > 0.0,
            },
        }
    }

    /// How the pin stands after the crank has turned so far, a small angle. Backward it is let go at the outer end of
    /// the wipe, and turns out from there on until it is right out; forward it turns in until it is right in, and is
    /// held there.
    pub(crate) fn turned(&self, at: At, travel: f64) -> Pin {
        if self.eccentric.is_none_or(|own| own.stuck.is_some()) {
            return at.pin;
        }
        let Pin { mut out, let_go } = at.pin;
        if travel > 0.0 {
            out = (out - travel).max(0.0);
            return Pin {
                out,
                let_go: let_go && out > 0.0,
            };
        }
        // How far beyond the outer end it stands before and after.
        let before = (at.crank - self.wipe_ends()).rem_euclid(TAU);
        let passed = before > 0.0 && before + travel <= 0.0;
        if let_go {
            out = (out - travel).min(PI);
        } else if passed {
            out = -(before + travel);
        }
        Pin {
            out,
            let_go: let_go || passed,
        }
    }

    /// Whether the cam works the contact as its window is entered: where there is an eccentric, only with that out.
    pub(crate) fn cam_works(&self, pin: Pin) -> bool {
        self.eccentric.is_none() || pin.out > WORKS_FROM
    }

    /// Angle of the rocker: two triangles over the diagonal from crank pin to pivot.
    fn rocker_angle(&self, crank: f64, out: f64) -> f64 {
        let (sin, cos) = crank.sin_cos();
        let throw = self.throw(out);
        let (x, y) = (self.frame - throw * cos, -throw * sin);
        let diagonal = x.hypot(y);
        let cosine = (diagonal * diagonal + self.rocker * self.rocker
            - self.coupler * self.coupler)
            / (2.0 * diagonal * self.rocker);
        // From the pivot the crank pin lies the other way along the diagonal.
        (-y).atan2(-x) - cosine.acos()
    }

    /// Angle the rocker turns while the crank turns from one angle to another nearby, and its pin with it: the angle
    /// of the crank and that of the pin, for each.
    pub(crate) fn rocker_turns(&self, from: (f64, f64), to: (f64, f64)) -> f64 {
        let turned = self.rocker_angle(to.0, to.1) - self.rocker_angle(from.0, from.1);
        turned - TAU * (turned / TAU).round()
    }

    /// By how much the rocker turns for a small turn of the crank, over that.
    fn rocker_ratio(&self, at: At) -> f64 {
        const H: f64 = 1e-5;
        let Pin { out, let_go } = at.pin;
        let free = self.eccentric.is_some_and(|own| own.stuck.is_none());
        let along = free && (at.way > 0.0 || let_go);
        let near = |turn: f64| {
            let out = if along { out - turn } else { out };
            (at.crank + turn, out.clamp(0.0, PI))
        };
        self.rocker_turns(near(-H), near(H)).abs() / (2.0 * H)
    }

    /// Whether the park cam stands inside its window.
    pub(crate) fn inside_window(&self, wheel: f64) -> bool {
        let off = (wheel - self.cam_centre).rem_euclid(TAU);
        off.min(TAU - off) < self.cam_half_width
    }

    /// Torque of blades and bushings at the pivots that move, less what a hand adds. Without the connecting link only
    /// those of the first arm do.
    pub(crate) fn at_pivots(&self, handled: &Handled) -> f64 {
        let first = self.pivots.first().map(|pivot| pivot.arm);
        let off = handled.link_off || self.connecting_link_off;
        let moved = |pivot: &&Pivot| !off || Some(pivot.arm) == first;
        let torque = |pivot: &Pivot| {
            let help = handled
                .assist
                .filter(|(arm, _)| pivot.carries && *arm == pivot.arm)
                .map_or(0.0, |(_, torque)| torque);
            (pivot.press * handled.friction).min(pivot.handed_on) + pivot.friction - help
        };
        self.pivots.iter().filter(moved).map(torque).sum()
    }

    /// Torque at the wheel's shaft that the linkage takes, positive when it opposes motion, and whether the
    /// crank goes along with the wheel.
    pub(crate) fn at_wheel(&self, at: At, handled: &Handled) -> (f64, bool) {
        if self.stripped || self.drive_link_off || handled.crank_off {
            return (0.0, false);
        }
        let load = self.at_pivots(handled) * self.rocker_ratio(at);
        match self.slip {
            Some(slip) if load > slip => (slip, false),
            _ => (load, true),
        }
    }

    /// Torque at the motor's shaft that opposes its motion besides the viscous one, and whether the crank goes
    /// along.
    pub(crate) fn opposing(&self, at: At, handled: &Handled) -> (f64, bool) {
        let (load, follows) = self.at_wheel(at, handled);
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

/// A pivot with the arm that sits on it, or that it guides beside the pivot that carries it.
fn pivot(vehicle: &Vehicle, id: ComponentId, friction: f64) -> Option<Pivot> {
    vehicle.ids().find_map(|arm| {
        let Kind::Arm { data, pivot, guide } = vehicle.component(arm).kind else {
            return None;
        };
        let carries = pivot == id;
        let press = if carries {
            data.force.newtons() * data.radius.metres()
        } else {
            0.0
        };
        (carries || guide == Some(id)).then_some(Pivot {
            friction,
            press,
            handed_on: vehicle
                .component(arm)
                .wear
                .slips_at
                .map_or(f64::INFINITY, |torque| torque.newton_metres()),
            arm,
            carries,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fleet::vehicles;

    /// A crank that is turned by a degree at a time.
    fn turn(mechanics: &Mechanics, at: &mut At, degrees: i32) {
        let step = f64::from(degrees.signum()).to_radians();
        for _ in 0..degrees.abs() {
            at.pin = mechanics.turned(*at, step);
            at.crank += step;
        }
    }

    #[test]
    fn a_pin_comes_out_behind_the_outer_end_and_goes_in_by_half_a_turn_forward() {
        let reversing = vehicles()
            .iter()
            .filter_map(|vehicle| Mechanics::of(vehicle))
            .find(|mechanics| mechanics.eccentric.is_some());
        let mechanics = reversing.unwrap();
        let mut at = At {
            crank: mechanics.parked(),
            pin: mechanics.put(true),
            way: 1.0,
        };
        turn(&mechanics, &mut at, 100);
        assert!((at.pin.out - 80.0_f64.to_radians()).abs() < 1e-9);
        turn(&mechanics, &mut at, 400);
        assert_eq!(at.pin, Pin::IN);
        // Now 140 degrees past rest, short of the outer end: backward it stays in for more than half a turn.
        turn(&mechanics, &mut at, -200);
        assert_eq!(at.pin, Pin::IN);
        turn(&mechanics, &mut at, -330);
        assert_eq!(at.pin, Pin::OUT);
        assert!(mechanics.cam_works(at.pin));
        // At rest the rocker stands further in than at the end of a wipe.
        let [rest, inner, outer] = [
            (mechanics.parked(), PI),
            (mechanics.wipe_begins(), 0.0),
            (mechanics.wipe_ends(), 0.0),
        ];
        let sweep = mechanics.rocker_turns(inner, outer);
        assert!(mechanics.rocker_turns(inner, rest) * sweep < 0.0);
    }
}
